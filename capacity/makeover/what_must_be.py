"""What is decided: bays that must be or are kept (`keep_bays`), things that must be stored or that keep to a wall."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from capacity.closet.closet import FILE_NAME, Closet
from capacity.closet.fields import show_value
from capacity.closet.walls import Wall
from capacity.closet.wishes import DRAWER_OPENING, BayPlace, KeepTo, Must, WishedBay
from capacity.errors import Fault
from capacity.layout.drawer_rule import DRAWER_ENDS, DRAWER_HEIGHT, slide_length
from capacity.layout.problem import HANG_DEPTH, BlockedPart, FixedBay, OpeningKind, PrescribedOpening, Problem
from capacity.layout.rod_height import LEAST_OVER, over_rod
from capacity.layout.sketches import BaySketch, build_bay
from capacity.wardrobe.inventory import Inventory
from capacity.wardrobe.kinds import find_kind
from capacity.wardrobe.piles import Pile


def fixed_bays(closet: Closet, problem: Problem) -> tuple[FixedBay, ...]:
    """The bays that stand where they are kept, else the bays that must be, on the walls of a problem without them."""
    index = {wall.name: number for number, wall in enumerate(closet.wall)}
    if closet.wishes.keep_bays:
        return tuple(FixedBay(index[bay.wall], bay.left, bay.width, bay.depth) for bay in closet.standing)

    def placed(bay: BayPlace) -> FixedBay:
        return FixedBay(index[bay.wall], bay.left, bay.width, problem.runs[index[bay.wall]].depth)

    wished = (_as_wished(problem, bay, placed(bay)) for _, bay in closet.wishes.bays)
    banks = (
        replace(
            placed(bank),
            prescribed=_drawers(problem, problem.rules.base, bank.count, bank.height),
            kinds=(OpeningKind.SHELF, OpeningKind.HANG),
        )
        for bank in closet.wishes.drawers
    )
    return (*wished, *banks)


def _as_wished(problem: Problem, bay: WishedBay, item: FixedBay) -> FixedBay:
    """A bay that must be with the openings, or the kinds of them, that it is wished for with."""
    upper = problem.head_over(problem.runs[item.run], item.left, item.left + item.width)
    if bay.rod:
        return replace(item, prescribed=_rods(problem, bay, upper), kinds=(OpeningKind.SHELF,))
    if bay.kind == "drawer":
        start = base_of(problem, bay)
        drawers = _drawers(problem, start, _most_drawers(problem, start, upper), DRAWER_OPENING)
        return replace(item, prescribed=drawers, kinds=(OpeningKind.SHELF,))
    return item if bay.kind is None else replace(item, kinds=(OpeningKind(bay.kind),))


def prescribes_the_same(problem: Problem, top: int) -> bool:
    """Whether bays that must be have the same openings under another top [ticks]: as many drawers and as long rods."""
    other = replace(problem, top=top)
    for item in problem.fixed:
        if not item.prescribed or OpeningKind.HANG in item.kinds:  # a bank has as many drawers as are written
            continue
        run, first, last = problem.runs[item.run], item.prescribed[0], item.prescribed[-1]
        now, then = (each.head_over(run, item.left, item.left + item.width) for each in (problem, other))
        if last.kind is OpeningKind.HANG:
            end = last.rod + over_rod(problem.rules.hang_allowance)
            is_same = min(end, now - problem.rules.panel) == min(end, then - problem.rules.panel)
        else:
            is_same = _most_drawers(problem, first.bottom, now) == _most_drawers(problem, first.bottom, then)
        if not is_same:
            return False
    return True


def kept_free(closet: Closet, wall: Wall) -> tuple[BlockedPart, ...]:
    """What stays free under the bays of a wall that begin higher than on the floor, an own unit in it or not."""
    bays = () if closet.wishes.keep_bays else closet.wishes.bays
    names = {f"[[wishes.unit]] {number}": unit.what for number, unit in enumerate(closet.wishes.unit, start=1)}
    return tuple(
        BlockedPart(bay.left, bay.left + bay.width, 0, bay.bottom, names.get(place, ""))
        for place, bay in bays
        if bay.wall == wall.name and bay.bottom
    )


def base_of(problem: Problem, bay: WishedBay) -> int:
    """Height over the floor at which the openings of a bay that must be begin [ticks]."""
    return max(problem.rules.base, bay.bottom + problem.rules.panel if bay.bottom else 0)


def _drawers(problem: Problem, start: int, count: int, height: int) -> tuple[PrescribedOpening, ...]:
    """Drawers of one height, one over the other; their bay has none besides."""
    bottoms = (start + number * (height + problem.rules.panel) for number in range(count))
    return tuple(PrescribedOpening(OpeningKind.DRAWER, bottom, height) for bottom in bottoms)


def _most_drawers(problem: Problem, start: int, upper: int) -> int:
    """How many drawers of the usual height end where drawers may, with an opening over them."""
    rules = problem.rules
    limit = upper - 2 * rules.panel - max(1, rules.least_opening)
    if rules.highest_drawer:
        limit = min(limit, rules.highest_drawer)
    return max(0, (limit + rules.panel - start) // (DRAWER_OPENING + rules.panel))


def _rods(problem: Problem, bay: WishedBay, upper: int) -> tuple[PrescribedOpening, ...]:
    """An opening for each rod, from the one below it up; the highest reaches to the top panel where no shelf goes."""
    start, thick, made = base_of(problem, bay), problem.rules.panel, []
    for rod in sorted(bay.rod):
        end = min(rod + over_rod(problem.rules.hang_allowance), upper - thick)
        made.append(PrescribedOpening(OpeningKind.HANG, start, end - start, rod))
        start = end + thick
    return tuple(made)


def barred_rows(closet: Closet, inventory: Inventory, wall: Wall) -> tuple[int, ...]:
    """Data rows of what may not be stored on a wall."""
    return tuple(pile.row for pile in inventory.piles if wall.name not in _walls_for(closet, pile))


def lock_faults(closet: Closet, inventory: Inventory) -> Iterator[Fault]:
    """Wishes that name nothing there is, or leave some pile no wall at all."""
    walls = {wall.name for wall in closet.wall}
    for number, keep in enumerate(closet.wishes.keep_to, start=1):
        place = f"[[wishes.keep_to]] {number}"
        if keep.wall not in walls:
            known = ", ".join(f'"{wall.name}"' for wall in closet.wall)
            yield Fault(FILE_NAME, f"{place}, wall", f"{show_value(keep.wall)} is not a wall; the walls are: {known}")
        yield from _unknown(place, keep, inventory)
    for number, must in enumerate(closet.wishes.must, start=1):
        place = f"[[wishes.must]] {number}"
        faults = [*_unknown(place, must, inventory)]
        yield from faults
        if not faults and not any(_concerns(must, pile) and pile.count for pile in inventory.piles):
            whose = f"{must.owner} has" if must.owner is not None else "the inventory has"
            yield Fault(FILE_NAME, place, f"{whose} none of {show_value(must.what or 'it')}; correct it or take it out")
    if all(wish.wall in walls for wish in closet.wishes.keep_to):
        for pile in inventory.piles:
            if not _walls_for(closet, pile):
                problem = f"leaves row {pile.row} of the inventory, {pile.name}, no wall; take one of the wishes out"
                yield Fault(FILE_NAME, "[[wishes.keep_to]]", problem)


def _unknown(place: str, wish: KeepTo | Must, inventory: Inventory) -> Iterator[Fault]:
    """An owner or a kind that there is not."""
    if wish.owner is not None and wish.owner.casefold() not in {owner.casefold() for owner in inventory.owners}:
        known = ", ".join(f'"{owner}"' for owner in inventory.owners) or "none"
        problem = f"{show_value(wish.owner)} owns nothing in the inventory; the owners are: {known}"
        yield Fault(FILE_NAME, f"{place}, owner", problem)
    if wish.what is not None and find_kind(wish.what) is None:
        problem = f"{show_value(wish.what)} is not a kind of the catalogue; write it as in the inventory"
        yield Fault(FILE_NAME, f"{place}, what", problem)


def must_have_place(closet: Closet, pile: Pile) -> bool:
    """Whether a pile must have a place before anything else is weighed."""
    return any(_concerns(wish, pile) for wish in closet.wishes.must)


def _walls_for(closet: Closet, pile: Pile) -> set[str]:
    """The walls on which a pile may be: wishes about the same things join, others must all hold."""
    allowed = {wall.name for wall in closet.wall}
    about: dict[tuple[str | None, str | None], set[str]] = {}
    for wish in closet.wishes.keep_to:
        if _concerns(wish, pile):
            about.setdefault((wish.owner, wish.what), set()).add(wish.wall)
    for walls in about.values():
        allowed &= walls
    taken = {wish.wall for wish in closet.wishes.keep_to if wish.alone and not _concerns(wish, pile)}
    mine = {wish.wall for wish in closet.wishes.keep_to if _concerns(wish, pile)}
    # what belongs to nobody in particular may join an owner who wants a wall alone
    return allowed - (set() if pile.owner is None else taken - mine)


def _concerns(wish: KeepTo | Must, pile: Pile) -> bool:
    if wish.owner is not None and (pile.owner is None or pile.owner.casefold() != wish.owner.casefold()):
        return False
    kind = None if wish.what is None else find_kind(wish.what)
    return wish.what is None or (kind is not None and kind.name == pile.kind)


def bay_faults(closet: Closet) -> Iterator[tuple[str, str]]:
    """Bays that must be but cannot: outside their wall, over each other, or cut by every choice of corners."""
    wishes, thick, show = closet.wishes, closet.panel.thickness, closet.show
    if wishes.keep_bays and not closet.standing:
        yield "[wishes] keep_bays", "there are no bays to keep; write today's bays as [[before]]"
    bays = [
        *wishes.bays,
        *((f"[[wishes.drawers]] {number}", bank) for number, bank in enumerate(wishes.drawers, start=1)),
    ]
    if wishes.keep_bays and bays:
        yield (
            bays[0][0].partition(" ")[0],
            "cannot be wished for while keep_bays keeps today's bays; take one of the two out",
        )
        return
    walls = {wall.name: wall for wall in closet.wall}
    seen: list[tuple[str, int, int]] = []
    for place, bay in bays:
        wall = walls.get(bay.wall)
        if wall is None:
            known = ", ".join(f'"{name}"' for name in walls)
            yield f"{place}, wall", f"{show_value(bay.wall)} is not a wall; the walls are: {known}"
            continue
        low, high = bay.left - thick, bay.left + bay.width + thick
        yield from _size_faults(closet, place, bay, wall)
        yield from _neighbour_faults(closet, place, [one[1:] for one in seen if one[0] == bay.wall], low, high)
        seen.append((bay.wall, low, high))
        yield from _unit_faults(closet, place, wall)
        for blocked in wall.blocked:
            right = blocked.left + blocked.width
            inside = bay.left <= blocked.left and right <= bay.left + bay.width
            if low < right and blocked.left < high and not inside:
                yield f"{place}, left", f"an upright of it would stand in the blocked part at {show(blocked.left)}"
    yield from _corner_faults(closet)


def _size_faults(closet: Closet, place: str, bay: BayPlace, wall: Wall) -> Iterator[tuple[str, str]]:
    """A bay that must be but reaches beyond its wall, or is narrower or wider than any bay may be."""
    wishes, thick, show = closet.wishes, closet.panel.thickness, closet.show
    start, kept_right = closet.design_ends(wall)
    room, high = wall.clear_width - kept_right, bay.left + bay.width + thick
    if bay.left - thick < start:
        least = show(start + thick)
        yield f"{place}, left", f"{show(bay.left)} leaves no room for its upright at the left; {least} at least"
    if high > room:
        yield f"{place}, width", f"the bay and its upright end at {show(high)}, beyond the wall's {show(room)}"
    if bay.width < wishes.min_bay:
        yield f"{place}, width", f"{show(bay.width)} is less than min_bay, {show(wishes.min_bay)}"
    if bay.width > max(wishes.max_shelf, wishes.max_rod):
        longest = show(max(wishes.max_shelf, wishes.max_rod))
        yield f"{place}, width", f"{show(bay.width)} is more than the longest shelf or rod, {longest}"


def _neighbour_faults(
    closet: Closet, place: str, seen: Sequence[tuple[int, int]], low: int, high: int
) -> Iterator[tuple[str, str]]:
    """A bay with uprights from `low` to `high` that meets another of its wall that must be."""
    thick, show = closet.panel.thickness, closet.show
    for left, right in seen:
        between = max(low - right, left - high) + 2 * thick
        if between < thick:
            yield f"{place}, left", "it or its upright overlaps another bay that must be on the same wall"
        elif thick < between < 2 * thick:
            one, two = show(thick), show(2 * thick)
            words = f"{show(between)} is between it and another bay that must be: make that {one}, for one upright"
            yield f"{place}, left", f"{words}, or {two} at least, for two"


def _unit_faults(closet: Closet, place: str, wall: Wall) -> Iterator[tuple[str, str]]:
    """An own unit that would stick out, or would stand in a blocked part."""
    if not place.startswith("[[wishes.unit]]"):
        return
    unit = closet.wishes.unit[int(place.rpartition(" ")[2]) - 1]
    behind = closet.baseboard.thickness if closet.baseboard is not None and closet.baseboard.keep else 0
    if unit.depth + behind > wall.depth:
        kept = f" and the baseboard behind it {closet.show(behind)}" if behind else ""
        words = f"it is {closet.show(unit.depth)} deep{kept}, and its wall {closet.show(wall.depth)}"
        yield f"{place}, depth", f"{words}; deepen the wall or put it elsewhere"
    for box in wall.blocked:
        if box.left < unit.left + unit.width and unit.left < box.left + box.width and box.bottom < unit.height:
            yield f"{place}, left", f"it would stand in the blocked part at {closet.show(box.left)}"


def _corner_faults(closet: Closet) -> Iterator[tuple[str, str]]:
    """A corner between two bays that must be, of which either would take the other's place."""
    must_be = (*(bay for _, bay in closet.wishes.bays), *closet.wishes.drawers)
    access, thick = closet.wishes.corner_access, closet.panel.thickness
    walls = {wall.name: wall for wall in closet.wall}
    for wall in closet.wall:
        following = walls.get(wall.corner or "")
        if following is None:
            continue
        kept = wall.clear_width - following.depth - access
        cuts_first = any(bay.wall == wall.name and bay.left + bay.width + thick > kept for bay in must_be)
        cuts_next = any(bay.wall == following.name and bay.left - thick < wall.depth + access for bay in must_be)
        if cuts_first and cuts_next:
            yield (
                closet.wishes.bays[0][0].partition(" ")[0] if closet.wishes.bays else "[[wishes.drawers]]",
                f'both walls of the corner "{wall.name}", "{following.name}" must have a bay in it; move one of them',
            )


def opening_faults(closet: Closet, problem: Problem) -> Iterator[Fault]:
    """Bays that must be and cannot be built as they are wished for: drawers, rods, kinds and where they begin."""
    wished = closet.wishes.bays
    for (place, bay), item in zip(wished, problem.fixed, strict=False):
        for name, words in _bay_wrong(closet, problem, bay, item):
            if place.startswith("[[wishes.unit]]") and name == "bottom":  # of which the file says only the height
                name, words = "height", words.replace(" leaves", ", with hand room over it, leaves", 1)
            yield Fault(FILE_NAME, f"{place}, {name}", words)
    for number, item in enumerate(problem.fixed[len(wished) :] if closet.wishes.drawers else (), start=1):
        for name, words in _bank_wrong(closet, problem, item):
            yield Fault(FILE_NAME, f"[[wishes.drawers]] {number}, {name}", words)


def unopened_faults(closet: Closet, problem: Problem) -> Iterator[Fault]:
    """Bays that must be or are kept, in which the blocked parts of their wall leave room for no opening."""
    table = "built" if closet.built else "before"
    kept = [f"[[{table}]] {number}" for number in range(1, len(closet.standing) + 1)]
    places = kept if problem.keeps_bays else [place for place, _ in closet.wishes.bays]
    for place, item in zip(places, problem.fixed, strict=False):
        run = replace(problem.runs[item.run], fixed=item.width, is_kept=problem.keeps_bays)
        sketch, thick = BaySketch(item.width, None, ()), problem.rules.panel
        right = item.left + item.width + thick
        boxes = [box for box in run.blocked if box.left < right and item.left - thick < box.right]
        if boxes and not item.prescribed and not build_bay(problem, run, item.left, sketch).openings:
            where = " and at ".join(closet.show(box.left) for box in boxes)
            least = closet.show(max(1, problem.rules.least_opening))
            words = f"what is blocked at {where} leaves it no opening as high as least_opening, {least}"
            cure = "take keep_bays out" if problem.keeps_bays else "move the bay"
            yield Fault(FILE_NAME, place, f"{words}; {cure}, or make least_opening less")


def _bank_wrong(closet: Closet, problem: Problem, item: FixedBay) -> Iterator[tuple[str, str]]:
    """Too wide for its panels, too low or too shallow a drawer, too high for the wall, in a blocked part."""
    show, thick, height = closet.show, problem.rules.panel, item.prescribed[0].height
    if item.width > problem.rules.max_shelf:
        yield "width", f"{show(item.width)} is more than a shelf may be long, {show(problem.rules.max_shelf)}"
    if height <= DRAWER_HEIGHT:
        yield "height", f"{show(height)} leaves nothing inside; a drawer takes {show(DRAWER_HEIGHT)} for itself"
    if slide_length(item.depth) <= DRAWER_ENDS:
        yield "wall", f"{show(item.depth)} is too shallow for the slides of a drawer"
        return
    written, end = closet.wishes.model_fields_set, item.prescribed[-1].bottom + height
    if "least_drawer" in written and height < closet.wishes.least_drawer:
        yield "height", f"{show(height)} is less than least_drawer, {show(closet.wishes.least_drawer)}"
    if "highest_drawer" in written and 0 < closet.wishes.highest_drawer < end:
        yield "count", f"the highest ends at {show(end)}, over highest_drawer, {show(closet.wishes.highest_drawer)}"
    head = problem.rules.base_over(item.prescribed)
    room = problem.head_over(problem.runs[item.run], item.left, item.left + item.width) - thick
    least = max(1, problem.rules.least_opening)
    if room - least < head != room + thick:  # a bank may end at the top panel itself
        most = max(0, (room - problem.rules.base - least) // (height + thick))
        words = f"{len(item.prescribed)} drawers reach up to {show(head)}, and an opening must be left below"
        more = f", {show(least)} high at least" if least > 1 else ""
        yield "count", f"{words} {show(room)}{more}: at most {most}"
    yield from _in_blocked_part(closet, problem, item, problem.rules.base)


def _bay_wrong(closet: Closet, problem: Problem, bay: WishedBay, item: FixedBay) -> Iterator[tuple[str, str]]:
    """Two kinds at once, longer than its shelves or rods may be, too shallow, begun too low or too high."""
    show, rules, start = closet.show, problem.rules, base_of(problem, bay)
    room = problem.head_over(problem.runs[item.run], item.left, item.left + item.width) - rules.panel
    if bay.rod and bay.kind not in (None, "hang"):
        yield "rod", f'goes with a bay of kind "hang", and kind is "{bay.kind}"; take one of the two out'
        return
    least = max(1, rules.least_opening)
    if 0 < bay.bottom < rules.toe_kick:
        yield (
            "bottom",
            f"{show(bay.bottom)} is lower than the toe kick, {show(rules.toe_kick)}; leave it out, or raise it",
        )
    if start + least > room:
        most = max(0, room - least - rules.panel)
        yield "bottom", f"{show(bay.bottom)} leaves no opening under the top panel; {show(most)} at most"
        return
    is_hung = bool(bay.rod) or bay.kind == "hang"
    longest = rules.max_rod if is_hung else rules.max_shelf
    if item.width > longest and (is_hung or bay.kind):
        words = "a rod may be long" if is_hung else "a shelf may be long"
        yield "width", f"{show(item.width)} is more than {words}, {show(longest)}"
    if is_hung and item.depth < HANG_DEPTH:
        yield "kind" if bay.kind else "rod", f"its wall is {show(item.depth)} deep, and a rod needs {show(HANG_DEPTH)}"
    if bay.kind == "drawer" and not item.prescribed:
        yield (
            "kind",
            f"no drawer opening of {show(DRAWER_OPENING)} ends low enough; raise highest_drawer or lower `bottom`",
        )
    elif bay.kind == "drawer" and slide_length(item.depth) <= DRAWER_ENDS:
        yield "kind", f"its wall is {show(item.depth)} deep, too shallow for the slides of a drawer"
    if bay.rod:
        yield from _rods_wrong(closet, problem, bay, item, room)
    if item.prescribed:
        yield from _in_blocked_part(closet, problem, item, start)


def _rods_wrong(
    closet: Closet, problem: Problem, bay: WishedBay, item: FixedBay, room: int
) -> Iterator[tuple[str, str]]:
    """Rods too near to what is below or above them, or to the shelf that would be over the highest."""
    show, rules, start = closet.show, problem.rules, base_of(problem, bay)
    over, thick = over_rod(rules.hang_allowance), rules.panel
    for rod in sorted(bay.rod):
        if rod < start + rules.hang_allowance:
            below = "the bottom panel" if start == base_of(problem, bay) else "the rod below it"
            yield "rod", f"{show(rod)} is too near to {below}: {show(start + rules.hang_allowance)} at least"
            return
        if rod + LEAST_OVER > room:
            yield "rod", f"{show(rod)} is too near to the top panel: {show(room - LEAST_OVER)} at most"
            return
        start = rod + over + thick
    rest, least = room - start + thick, max(1, rules.least_opening)
    if 0 < rest < thick + least:
        words = f"{show(start - thick - over)} leaves {show(rest)} over its rod, too little for a shelf"
        lower = show(room - thick - least - over)
        yield "rod", f"{words}: make it {show(room - over)}, so that none is there, or {lower} at most"
    if rest >= thick + least and item.width > rules.max_shelf:
        words = f"the shelf over the highest rod may be {show(rules.max_shelf)} long"
        yield "width", f"{show(item.width)} is too much, since {words}; or set the rod at {show(room - over)}"


def _in_blocked_part(closet: Closet, problem: Problem, item: FixedBay, start: int) -> Iterator[tuple[str, str]]:
    """Drawers or rods in a blocked part; `start` is where the lowest of them begins."""
    thick, head = problem.rules.panel, problem.rules.base_over(item.prescribed)
    what = "drawers" if item.prescribed[0].kind is OpeningKind.DRAWER else "rods"
    for box in problem.runs[item.run].blocked:
        is_beside = box.right <= item.left - thick or item.left + item.width + thick <= box.left
        if not is_beside and box.bottom < head and box.top > start - thick:
            yield "left", f"the {what} would stand in the blocked part at {closet.show(box.left)}"
