"""Every fit rule and the value, restated from their wording, with no solver and none of its tables.

The search keeps them by `towers`, `needs` and `sketches`. `violations` is run on every result before anything is
written. It reads only the problem and the layout, in exact whole ticks. What it does not accept is never shown.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from capacity.layout.drawer_rule import (
    DRAWER_BEHIND,
    DRAWER_ENDS,
    DRAWER_HEIGHT,
    DRAWER_LONGEST,
    DRAWER_SHORTEST,
    DRAWER_SIDES,
    DRAWER_SLIDE_STEP,
    DRAWER_STACK,
)
from capacity.layout.layout import Bay, Holding, Layout, Opening
from capacity.layout.problem import HANG_DEPTH, FixedBay, OpeningKind, Problem, Run, Thing
from capacity.wardrobe.kinds import Store


@dataclass(frozen=True, slots=True)
class Violation:
    """One rule that a layout breaks; `rule` is its short name, `place` says where."""

    rule: str
    place: str
    detail: str

    def __str__(self) -> str:
        return f"{self.rule} at {self.place}: {self.detail}"


def violations(problem: Problem, layout: Layout) -> tuple[Violation, ...]:
    """Everything in which a designed layout breaks the fit rules; empty means that it is right."""
    return (
        *_built_wrongly(problem, layout), *_too_dear(problem, layout),
        *filling_violations(problem, _counted(problem, layout)),
    )  # fmt: skip


def _counted(problem: Problem, layout: Layout) -> Layout:
    """The layout with every opening as high as it counts: down to a row of holes, else to a mark.

    Openings that must be have just the height that is wished for.
    """
    rules = problem.rules
    if not rules.pitch and not rules.mark:
        return layout

    def height(clear: int) -> int:
        if rules.pitch:
            return clear - (clear + rules.panel) % rules.pitch
        on_row = clear - (clear + rules.panel) % rules.usual_pitch if rules.usual_pitch else 0
        return max(clear - clear % rules.mark, on_row)

    walls = []
    for number, wall in enumerate(layout.walls):
        bays = []
        for bay in wall.bays:
            wished = _prescribed_number(problem, number, bay)
            openings = (
                item if index < wished else replace(item, height=height(item.height))
                for index, item in enumerate(bay.openings)
            )
            bays.append(replace(bay, openings=tuple(openings)))
        walls.append(replace(wall, bays=tuple(bays)))
    return replace(layout, walls=tuple(walls))


def filling_violations(problem: Problem, layout: Layout) -> tuple[Violation, ...]:
    """The rules that concern what stands in given openings (rules 4-10 and 12), however those were built."""
    return (
        *_stored_twice(problem, layout), *_overfull(problem, layout), *_owners_mixed(problem, layout),
        *_on_wrong_walls(problem, layout),
    )  # fmt: skip


def stored_value(problem: Problem, layout: Layout) -> int:
    """Rule 11, counted again piece by piece."""
    return sum(
        problem.thing(holding.row).value * holding.count
        for wall in layout.walls
        for bay in wall.bays
        for opening in bay.openings
        for holding in opening.holds
    )


# ---- how it is built: rules 1, 2, 3 -------------------------------------------------------------------


def _built_wrongly(problem: Problem, layout: Layout) -> Iterator[Violation]:
    names, thick = [wall.name for wall in layout.walls], problem.rules.panel
    if names != [run.name for run in problem.runs]:
        yield Violation("walls match", "layout", f"the walls are {names}")
        return
    if len(layout.owners) != len(problem.corners):
        yield Violation("corner", "layout", f"{len(problem.corners)} corners, {len(layout.owners)} owners")
        return
    for number, (run, wall) in enumerate(zip(problem.runs, layout.walls, strict=True)):
        lost_left, lost_right = _lost_to_corners(problem, layout.owners, number)
        start, end = max(lost_left, run.kept_left), run.width - max(lost_right, run.kept_right)
        rule = "corner" if lost_left or lost_right else "wall width"
        fixed = [item for item in problem.fixed if item.run == number]
        if run.fixed:  # a part of a wall that is one bay that must be
            fixed = [FixedBay(number, thick, run.fixed, run.depth, run.prescribed, run.kinds)]
        yield from _fixed_missing(problem, fixed, wall.bays, wall.name)
        if not problem.keeps_bays:
            for detail in _wall_filled_wrongly(problem, wall.bays, start, end):
                yield Violation(rule, f"wall {wall.name}", detail)
            yield from _uprights_wrong(problem, run, wall.bays, wall.name, {item.left for item in fixed})
        for bay_number, bay in enumerate(wall.bays, start=1):
            place = f"wall {wall.name}, bay {bay_number}"
            yield from _bay_wrong(problem, number, bay, place)


def _too_dear(problem: Problem, layout: Layout) -> Iterator[Violation]:
    """The estimate of the budget: no more panel than it buys; counted opening by opening."""
    if not problem.most_panel:
        return
    area, thick = 0, problem.rules.panel
    uprights: dict[tuple[str, int], int] = {}  # by wall and place along it: two parts of a wall may share one
    for run, wall in zip(problem.runs, layout.walls, strict=False):
        for bay in wall.bays:
            upper = _top_panel(problem, run, bay)
            faces = {opening.bottom - thick for opening in bay.openings if opening.bottom > 0}
            faces |= {opening.bottom + opening.height for opening in bay.openings if opening.bottom < problem.top}
            area += len(faces) * bay.width * bay.depth
            if not problem.keeps_bays and not run.is_kept:
                for left in (bay.left - thick, bay.left + bay.width):
                    place = (run.name, run.offset + left)
                    uprights[place] = max(uprights.get(place, 0), upper * bay.depth)
    area += sum(uprights.values())
    if area > problem.most_panel:
        yield Violation("budget", "layout", f"{area} of panel, the budget buys {problem.most_panel}")


def _lost_to_corners(problem: Problem, owners: tuple[bool, ...], run: int) -> tuple[int, int]:
    """Rule 2: the wall that does not own the corner loses the owner's depth and the access, at that end."""
    left = right = 0
    for choice, lost in problem.lost:
        if choice == owners:
            return lost[run]
    for corner, ends_owns in zip(problem.corners, owners, strict=True):
        if ends_owns and corner.starts == run:
            left = problem.runs[corner.ends].depth + problem.rules.corner_access
        if not ends_owns and corner.ends == run:
            right = problem.runs[corner.starts].depth + problem.rules.corner_access
    return left, right


def _fixed_missing(problem: Problem, fixed: list[FixedBay], bays: tuple[Bay, ...], name: str) -> Iterator[Violation]:
    """The bays that must be, and, where today's bays are kept, no others."""
    found = {(bay.left, bay.width) for bay in bays}
    wanted = {(item.left, item.width) for item in fixed}
    for left, width in sorted(wanted - found):
        yield Violation("bay that must be", f"wall {name}", f"no bay of {width} at {left}")
    for number, item in enumerate(fixed, start=1):
        for bay in bays:
            if bay.left == item.left:
                yield from _not_as_prescribed(problem, item, bay, f"wall {name}, bay that must be {number}")
    for left, width in sorted(found - wanted if problem.keeps_bays else set()):
        yield Violation("bay that must be", f"wall {name}", f"a bay of {width} at {left} does not stand today")


def _not_as_prescribed(problem: Problem, item: FixedBay, bay: Bay, place: str) -> Iterator[Violation]:
    """The openings that a bay must have are its lowest, and the others are of the kinds that it may have."""
    lowest, others = bay.openings[: len(item.prescribed)], bay.openings[len(item.prescribed) :]
    for number, wanted in enumerate(item.prescribed):
        found = lowest[number] if number < len(lowest) else None
        if found is None or (found.kind, found.bottom, found.height) != (wanted.kind, wanted.bottom, wanted.height):
            detail = f"no {wanted.kind} opening of {wanted.height} at {wanted.bottom}"
            yield Violation("opening that must be", f"{place}, opening {number + 1}", detail)
    for opening in others:
        if opening.kind not in item.kinds and opening.bottom < problem.top:
            yield Violation("opening that must be", place, f"a {opening.kind} opening at {opening.bottom} besides")


def _wall_filled_wrongly(problem: Problem, bays: tuple[Bay, ...], start: int, end: int) -> Iterator[str]:
    if not bays:
        return
    thick = problem.rules.panel
    widths = sum(bay.width for bay in bays) + (len(bays) + 1) * thick
    if widths > end - start or bays[0].left - thick < start or bays[-1].left + bays[-1].width + thick > end:
        yield f"bays and uprights take {widths}, there are {end - start}"


def _uprights_wrong(
    problem: Problem, run: Run, bays: tuple[Bay, ...], name: str, fixed: set[int]
) -> Iterator[Violation]:
    thick = problem.rules.panel
    for number, (bay, following) in enumerate(pairwise(bays), start=1):
        between = following.left - (bay.left + bay.width)
        may_gap = not run.is_plain or bay.left in fixed or following.left in fixed
        if between != thick and (between < 2 * thick or not may_gap):
            yield Violation("upright thickness", f"wall {name}, after bay {number}", f"{between} for {thick}")
    if not bays:
        return
    # a part of a wall that ends with the upright of a bay that must be
    ends = ((run.shares_left, bays[0].left), (run.shares_right, run.width - bays[-1].left - bays[-1].width))
    for shares, beside in ends:
        if shares and beside != thick and beside < 2 * thick:
            place = f"wall {name}, beside a bay that must be"
            yield Violation("upright thickness", place, f"{beside} for {thick}")


def _bay_wrong(problem: Problem, run_index: int, bay: Bay, place: str) -> Iterator[Violation]:
    rules, thick, run = problem.rules, problem.rules.panel, problem.runs[run_index]
    fixed = next((item for item in problem.fixed if (item.run, item.left) == (run_index, bay.left)), None)
    # what stands already may be wider than a new bay: its shelves and rods get supports in between
    is_kept = run.is_kept or (problem.keeps_bays and fixed is not None and bay.width <= fixed.width)
    depth = run.depth if fixed is None else fixed.depth
    if bay.depth != depth:
        yield Violation("bay depth", place, f"{bay.depth} on a wall of {depth}")
    if run.fixed and bay.width != run.fixed:
        yield Violation("bay that must be", place, f"{bay.width} wide, not {run.fixed}")
    if bay.width < rules.min_bay and not is_kept:
        yield Violation("narrow bay", place, f"{bay.width} < {rules.min_bay}")
    if rules.mark and bay.width % rules.mark and not (run.fixed or fixed or _is_pinned(problem, run_index, bay)):
        yield Violation("width not on the mark", place, f"{bay.width} is no multiple of {rules.mark}")
    ceiling = run.ceiling_over(bay.left, bay.left + bay.width)
    top_panel_upper = _top_panel(problem, run, bay)
    needs_support = False
    for opening in bay.openings:
        above_the_top = opening.bottom >= top_panel_upper
        if opening.kind is not OpeningKind.HANG and (opening.holds or not above_the_top):
            needs_support = True
    if needs_support and bay.width > rules.max_shelf and not is_kept:
        yield Violation("long shelf", place, f"{bay.width} > {rules.max_shelf}")
    has_rod = any(opening.kind is OpeningKind.HANG for opening in bay.openings)
    if has_rod and bay.width > rules.max_rod and not is_kept:
        yield Violation("long rod", place, f"{bay.width} > {rules.max_rod}")
    yield from _stack_of_openings_wrong(problem, run, bay, ceiling, place)
    yield from _sizes_wrong(problem, run, bay, place, _prescribed_number(problem, run_index, bay))
    beside = 0 if is_kept else thick  # uprights that stand already may do so in a blocked part
    outer_left, outer_right = bay.left - beside, bay.left + bay.width + beside
    for box in run.blocked:
        if not (outer_left < box.right and box.left < outer_right):
            continue
        if not is_kept and not (bay.left <= box.left and box.right <= bay.left + bay.width):
            yield Violation("blocked", place, "an upright stands in a blocked part")
        for number, opening in enumerate(bay.openings, start=1):
            low = opening.bottom - thick if opening.bottom > 0 else 0
            high = opening.bottom + opening.height + thick
            if opening.bottom >= top_panel_upper:
                high = opening.bottom + opening.height
            if low < box.top and box.bottom < high:
                yield Violation("blocked", f"{place}, opening {number}", "it or a panel of it is in a blocked part")


def _stack_of_openings_wrong(problem: Problem, run: Run, bay: Bay, ceiling: int, place: str) -> Iterator[Violation]:
    """Rule 3, from the floor up."""
    rules, thick = problem.rules, problem.rules.panel
    top_panel_upper = _top_panel(problem, run, bay)
    spanned = any(bay.left < box.right and box.left < bay.left + bay.width for box in run.blocked)
    below_top = [opening for opening in bay.openings if opening.bottom < top_panel_upper]
    above_top = [opening for opening in bay.openings if opening.bottom >= top_panel_upper]
    if not bay.openings:
        yield Violation("bay without an opening", place, "nothing stands between its uprights")
    for number, opening in enumerate(below_top, start=1):
        where = f"{place}, opening {number}"
        if opening.height <= 0:
            yield Violation("panel between openings", where, f"the height is {opening.height}")
        if number == 1:
            # an empty rod lower than the toe kick would stand there only to do away with the kick
            is_rod = bool(opening.holds) or opening.height >= rules.toe_kick
            on_floor = opening.bottom == 0 and opening.kind is OpeningKind.HANG and is_rod
            if not on_floor and (opening.bottom < rules.toe_kick + thick if spanned else opening.bottom != rules.base):
                yield Violation("bottom panel", where, f"bottom at {opening.bottom}, not at {rules.base}")
        else:
            lower = below_top[number - 2]
            between = opening.bottom - (lower.bottom + lower.height)
            if between != thick and not (spanned and between >= 2 * thick):
                yield Violation("panel between openings", where, f"{between} above the one below, not {thick}")
    reached = below_top[-1].bottom + below_top[-1].height + thick if below_top else 0
    if reached > top_panel_upper or (reached < top_panel_upper and not spanned):
        yield Violation("top panel", place, f"its upper face is at {reached}, not at {top_panel_upper}")
    if len(above_top) > 1:
        yield Violation("top opening", place, f"{len(above_top)} openings above the top panel")
    for opening in above_top:
        is_right = opening.kind is OpeningKind.SHELF and opening.bottom == problem.top < ceiling
        if not is_right or opening.height <= 0 or opening.bottom + opening.height > ceiling:
            yield Violation("top opening", place, f"{opening.kind} from {opening.bottom}, {opening.height} high")


def _top_panel(problem: Problem, run: Run, bay: Bay) -> int:
    """Upper face of the top panel: at the top, or as far under a lower ceiling as what is built anew has to stay."""
    play = 0 if problem.keeps_bays or run.is_kept else problem.rules.under_ceiling
    return min(problem.top, run.ceiling_over(bay.left, bay.left + bay.width) - play)


def _is_pinned(problem: Problem, run_index: int, bay: Bay) -> bool:
    """Whether a bay stands where places count, or between two bays that must be."""
    run = problem.runs[run_index]
    mine = [item for item in problem.fixed if item.run == run_index]
    is_placed = run.is_sloped or not all(
        any(item.left <= box.left and box.right <= item.left + item.width for item in mine) for box in run.blocked
    )
    lefts = [item.left for item in problem.fixed if item.run == run_index]
    is_between = any(left < bay.left for left in lefts) and any(left > bay.left for left in lefts)
    return is_placed or (run.shares_left and run.shares_right) or is_between


def _prescribed_number(problem: Problem, run_index: int, bay: Bay) -> int:
    """How many of a bay's lowest openings are as they must be, on a wall or on a part of one."""
    wished = [item.prescribed for item in problem.fixed if (item.run, item.left) == (run_index, bay.left)]
    return max(map(len, [problem.runs[run_index].prescribed, *wished]))


def _sizes_wrong(problem: Problem, run: Run, bay: Bay, place: str, wished: int) -> Iterator[Violation]:
    """Least heights, how high drawers may end, and heights on rows of holes or marks."""
    rules = problem.rules
    upper = _top_panel(problem, run, bay)
    stops = {upper, *(box.bottom for box in run.blocked if bay.left < box.right and box.left < bay.left + bay.width)}
    for number, opening in enumerate(bay.openings, start=1):
        where, face = f"{place}, opening {number}", opening.bottom + opening.height + rules.panel
        if number <= wished:
            continue  # as high, and at such a height, as it is wished for
        if opening.kind is OpeningKind.DRAWER:
            if opening.height < rules.least_drawer:
                yield Violation("low drawer", where, f"{opening.height} < {rules.least_drawer}")
            if rules.highest_drawer and opening.bottom + opening.height > rules.highest_drawer:
                yield Violation("high drawer", where, f"ends over {rules.highest_drawer}")
        if opening.kind is OpeningKind.SHELF and opening.height < rules.least_opening:
            yield Violation("low opening", where, f"{opening.height} < {rules.least_opening}")
        if opening.bottom >= upper or face in stops:
            continue  # it takes what is left
        if rules.pitch and (opening.height + rules.panel) % rules.pitch:
            yield Violation("shelf not on a row of holes", where, f"{opening.height} with its panel: {rules.pitch}")
        is_on_row = rules.usual_pitch and (opening.height + rules.panel) % rules.usual_pitch == 0
        if not rules.pitch and rules.mark and opening.height % rules.mark and not is_on_row:
            yield Violation("height not on the mark", where, f"{opening.height} is no multiple of {rules.mark}")


# ---- what it holds: rules 4 to 12 ---------------------------------------------------------------------


def _stored_twice(problem: Problem, layout: Layout) -> Iterator[Violation]:
    known = {thing.row: thing.count for thing in problem.things}
    stored: Counter[int] = Counter()
    for wall in layout.walls:
        for bay in wall.bays:
            for opening in bay.openings:
                for holding in opening.holds:
                    if holding.row not in known or holding.count < 1:
                        yield Violation("count", f"row {holding.row}", f"{holding.count} pieces of no pile")
                    stored[holding.row] += holding.count
    for row, count in sorted(stored.items()):
        if count > known.get(row, 0):
            yield Violation("count", f"row {row}", f"{count} stored, {known.get(row, 0)} owned")


def _overfull(problem: Problem, layout: Layout) -> Iterator[Violation]:
    known = {thing.row: thing for thing in problem.things}
    for wall in layout.walls:
        for bay_number, bay in enumerate(wall.bays, start=1):
            for number, opening in enumerate(bay.openings, start=1):
                place = f"wall {wall.name}, bay {bay_number}, opening {number}"
                holds = [(known[item.row], item) for item in opening.holds if item.row in known and item.count > 0]
                yield from _opening_wrong(problem, bay, opening, holds, place)


def _opening_wrong(
    problem: Problem, bay: Bay, opening: Opening, holds: list[tuple[Thing, Holding]], place: str
) -> Iterator[Violation]:
    taken = 0
    wanted = {
        OpeningKind.HANG: (Store.HANG,),
        OpeningKind.DRAWER: (Store.DRAWER,),
        OpeningKind.SHELF: (Store.STAND, Store.STACK),
    }[opening.kind]
    for whole, holding in holds:
        where = f"{place}, row {whole.row}"
        ways = [way for way in whole.ways if way.store in wanted]
        if not ways:
            yield Violation("kind of opening", where, f"{whole.store} in a {opening.kind} opening")
            continue
        thing = ways[0]
        if thing.store is Store.HANG:
            taken += thing.rod * holding.count
            if opening.height < thing.drop + problem.rules.hang_allowance:
                yield Violation("hem", where, f"{thing.drop} long in {opening.height}")
            if bay.depth < HANG_DEPTH:
                yield Violation("rod depth", where, f"uprights {bay.depth} deep")
            continue
        width, depth = (thing.depth, thing.width) if holding.turned else (thing.width, thing.depth)
        room_high, room_deep, most = _inside(problem, bay, opening, thing)
        if depth > room_deep:
            yield Violation("too deep", where, f"{depth} deep in {room_deep}")
            continue
        rows = room_deep // depth
        if thing.store is not Store.DRAWER:
            rows = min(problem.rules.rows_deep, rows)
        high = min(most, room_high // thing.height)
        if high < 1:
            yield Violation("too high", where, f"{thing.height} high in {room_high}")
            continue
        stacks = -(-holding.count // high)
        taken += -(-stacks // rows) * width
    yield from _room_exceeded(problem, bay, opening, taken, place)


def _inside(problem: Problem, bay: Bay, opening: Opening, thing: Thing) -> tuple[int, int, int]:
    """Height and depth that a thing may use in an opening, and the most in a stack there."""
    if thing.store is Store.DRAWER:
        lengths = range(DRAWER_SHORTEST, DRAWER_LONGEST + 1, DRAWER_SLIDE_STEP)
        slide = max((length for length in lengths if length + DRAWER_BEHIND <= bay.depth), default=0)
        return opening.height - DRAWER_HEIGHT, slide - DRAWER_ENDS, max(1, DRAWER_STACK // thing.height)
    return opening.height - problem.rules.gap, bay.depth, thing.most  # 1 where nothing stands on another


def _room_exceeded(problem: Problem, bay: Bay, opening: Opening, taken: int, place: str) -> Iterator[Violation]:
    width = bay.width - DRAWER_SIDES if opening.kind is OpeningKind.DRAWER else bay.width
    spare = problem.rules.spare
    # taken <= (1 - spare) * width, in whole numbers
    if taken > 0 and taken * spare.denominator > (spare.denominator - spare.numerator) * width:
        rule = {"shelf": "shelf full", "hang": "rod full", "drawer": "drawer full"}[opening.kind.value]
        yield Violation(rule, place, f"{taken} taken of {width}, {spare} of it to be left free")


def _owners_mixed(problem: Problem, layout: Layout) -> Iterator[Violation]:
    if not problem.rules.owners_apart:
        return
    owner_of = {thing.row: thing.owner for thing in problem.things}
    for wall in layout.walls:
        for number, bay in enumerate(wall.bays, start=1):
            rows = [holding.row for opening in bay.openings for holding in opening.holds]
            owners = sorted({owner for row in rows if (owner := owner_of.get(row)) is not None})
            if len(owners) > 1:
                yield Violation("owners apart", f"wall {wall.name}, bay {number}", " and ".join(owners))


def _on_wrong_walls(problem: Problem, layout: Layout) -> Iterator[Violation]:
    """What the wishes keep to other walls."""
    for run, wall in zip(problem.runs, layout.walls, strict=False):
        for number, bay in enumerate(wall.bays, start=1):
            for row in sorted({item.row for opening in bay.openings for item in opening.holds} & set(run.barred)):
                yield Violation("wrong wall", f"wall {wall.name}, bay {number}", f"row {row} is to be on another wall")
