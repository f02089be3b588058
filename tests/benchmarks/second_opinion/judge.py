"""Whether a plan keeps every rule and says true sums: from the folder and `plan.json` alone, in whole ticks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise, product
from typing import Any

from second_opinion.household import INCH, PER, Box, Household, Must, Pile, Wall

QUARTER = INCH // 4
DRAWER_LOW, DRAWER_NARROW, STACK_HIGH, HANG_DEPTH = 5 * INCH // 4, 2 * INCH, 12 * INCH, 12 * INCH
"""What the drawer rule takes of an opening's height and width, its highest stack; least depth beside a rod."""


@dataclass(frozen=True, slots=True)
class Opening:
    """One opening; `holds` are (data row, pieces, turned)."""

    kind: str
    bottom: int
    height: int
    holds: tuple[tuple[int, int, bool], ...] = ()


@dataclass(frozen=True, slots=True)
class Bay:
    """One bay of a wall."""

    left: int
    width: int
    depth: int
    openings: tuple[Opening, ...]

    @property
    def right(self) -> int:
        """Its clear right face."""
        return self.left + self.width


Layout = tuple[tuple[Bay, ...], ...]
"""The bays of each wall, left to right."""


def read_layout(walls: list[dict[str, Any]], units: str) -> Layout:
    """The walls of a plan in ticks."""

    def ticks(number: float) -> int:
        length = Fraction(str(number)) * PER[units]
        assert abs(length - round(length)) < Fraction(1, 100), f"{number} is no whole tick"
        return round(length)

    return tuple(
        tuple(
            Bay(ticks(bay["left"]), ticks(bay["width"]), ticks(bay["depth"]), tuple(
                Opening(o["kind"], ticks(o["bottom"]), ticks(o["height"]),
                        tuple((hold["row"], hold["count"], hold["turned"]) for hold in o["holds"]))
                for o in bay["openings"]
            ))
            for bay in wall["bays"]
        )
        for wall in walls
    )  # fmt: skip


def value_of(home: Household, layout: Layout) -> int:
    """Rule 11."""
    return sum(home.piles[row - 1].value * n for bays in layout for bay in bays for o in bay.openings
               for row, n, _ in o.holds)  # fmt: skip


def weight_of(home: Household, layout: Layout) -> int:
    """Rule 11 with what counts besides, where it must have a place."""
    return sum((home.piles[row - 1].value + home.piles[row - 1].first) * n
               for row, n in stored_in(layout).items())  # fmt: skip


def stored_in(layout: Layout) -> Counter[int]:
    """Pieces by data row."""
    found: Counter[int] = Counter()
    for bays in layout:
        for bay in bays:
            for opening in bay.openings:
                for row, count, _ in opening.holds:
                    found[row] += count
    return found


# ---- what an opening holds: rules 4 to 8, 12 ----------------------------------------------------------


def ways_of(home: Household, pile: Pile, depth: int, height: int) -> Iterator[tuple[bool, int, int]]:
    """(turned, width of a column, pieces in one) of a pile in an opening of its kind, so deep and high."""
    if pile.store == "hang":
        if depth >= HANG_DEPTH and height >= pile.drop + home.wishes.hang_allowance:
            yield False, pile.rod, 1
        return
    is_drawer = pile.store == "drawer"
    slides = [slide * INCH for slide in range(10, 29, 2) if (slide + 1) * INCH <= depth]
    inside = max(slides, default=INCH) - INCH if is_drawer else depth
    room = height - (DRAWER_LOW if is_drawer else home.wishes.gap)
    most = max(1, STACK_HIGH // pile.height) if is_drawer else pile.most
    high = min(most, room // pile.height)
    for turned, across, deep in ((False, pile.width, pile.depth), (True, pile.depth, pile.width)):
        if high >= 1 and deep <= inside:
            rows = inside // deep
            yield turned, across, high * (rows if is_drawer else min(home.wishes.rows_deep, rows))


def opening_faults(home: Household, wall: str, bay: Bay, opening: Opening) -> Iterator[str]:
    """What is wrong with the contents of one opening."""
    taken = 0
    for row, count, turned in opening.holds:
        pile = home.piles[row - 1].stored_in(opening.kind) or home.piles[row - 1]
        ways = {way: (across, each) for way, across, each in ways_of(home, pile, bay.depth, opening.height)}
        if pile.stored_in(opening.kind) is None or turned not in ways:
            yield f"row {row} does not fit a {opening.kind} opening {opening.height} high, {bay.depth} deep"
            continue
        if not home.may_be(pile, wall):
            yield f"row {row} may not be on wall {wall}"
        across, each = ways[turned]
        taken += -(-count // each) * across
    inside = bay.width - (DRAWER_NARROW if opening.kind == "drawer" else 0)
    if taken and taken > (1 - home.wishes.spare) * inside:
        yield f"{taken} taken of {inside} with {home.wishes.spare} to spare"


def filling_faults(home: Household, layout: Layout) -> Iterator[str]:
    """Rules 4 to 10 and 12, in openings however built."""
    for row, count in stored_in(layout).items():
        if count > home.piles[row - 1].count:
            yield f"{count} of row {row} are stored, {home.piles[row - 1].count} are there"
    for wall, bays in zip(home.walls, layout, strict=True):
        for bay in bays:
            for opening in bay.openings:
                for fault in opening_faults(home, wall.name, bay, opening):
                    yield f"wall {wall.name}, bay at {bay.left}, opening at {opening.bottom}: {fault}"
            owners = {home.piles[row - 1].owner for o in bay.openings for row, _, _ in o.holds} - {None}
            if home.wishes.owners_apart and len(owners) > 1:
                yield f"wall {wall.name}, bay at {bay.left}: things of {owners}"


# ---- how it is built: rules 1 to 3 --------------------------------------------------------------------


def ceiling_over(wall: Wall, left: int, right: int) -> int:
    """Least ceiling over a bay, a room, so rounded down."""
    low, high = wall.ceilings
    return min((low * (wall.width - place) + high * place) // wall.width for place in (left, right))


def head_over(home: Household, wall: Wall, left: int, right: int) -> int:
    """Upper face of the top panel of a bay: at the top, or under a lower ceiling."""
    return min(home.top, ceiling_over(wall, left, right) - home.under_ceiling)


def given_openings(home: Household, must: Must) -> list[tuple[str, int, int]]:
    """(kind, bottom, height) of the openings that a bay that must be has, from its bottom panel up."""
    wall, thick = home.walls[home.wall(must.wall)], home.thick
    start = max(home.wishes.toe_kick, must.bottom) + thick
    room = head_over(home, wall, must.left, must.left + must.width) - thick
    count, height = must.count, must.height
    if must.kind == "drawer":  # as many of 7 1/4 in as end low enough, with an opening over them
        height, limit = 29 * QUARTER, room - thick - max(1, home.wishes.least_opening)
        limit = min(limit, home.wishes.highest_drawer or limit)
        count = max(0, (limit + thick - start) // (height + thick))
    found = [("drawer", start + number * (height + thick), height) for number in range(count)]
    for rod in must.rods:  # over its middle fifteen sixteenths of the allowance, at most 4 in
        end = min(rod + min(home.wishes.hang_allowance * 15 // 16, 4 * INCH), room)
        found.append(("hang", start, end - start))
        start = end + thick
    return found


def is_within_drawer_wishes(home: Household, must: Must) -> bool:
    """Whether the drawers of a bank, if it is one, are as high and end as low as the other wishes say."""
    if not must.count:
        return True
    _, bottom, height = given_openings(home, must)[-1]
    return height >= home.wishes.least_drawer and bottom + height <= (home.wishes.highest_drawer or home.ceiling)


def is_placed(home: Household, wall: Wall) -> bool:
    """Whether it counts where a bay stands along a wall; what is kept free under a bay that must be does not."""
    free = {box for must in home.must if must.wall == wall.name for box in must.kept_free}
    return wall.ceilings[0] != wall.ceilings[1] or not free.issuperset(wall.boxes)


def limits_of(home: Household, wall: int, owners: tuple[bool, ...]) -> tuple[int, int]:
    """Rule 2: what a wall may use; True: the wall that ends at the corner owns it."""
    start, lost = 0, home.wishes.play
    for (ends, starts), ends_owns in zip(home.corners, owners, strict=True):
        if starts == wall and ends_owns:
            start = home.walls[ends].depth + home.wishes.corner_access
        if ends == wall and not ends_owns:
            lost = max(lost, home.walls[starts].depth + home.wishes.corner_access)
    return start, home.walls[wall].width - lost


def building_faults(home: Household, layout: Layout) -> list[str]:
    """Rules 1 to 3, the bays that must be or are kept, and the budget."""
    found = []
    if not home.wishes.keep_bays and not any(
        all(_is_within(home, bays, *limits_of(home, wall, owners)) for wall, bays in enumerate(layout))
        for owners in product((True, False), repeat=len(home.corners))
    ):
        found.append("the bays and uprights of some wall leave it, or take what a corner's owner needs")
    for wall, bays in zip(home.walls, layout, strict=True):
        where = f"wall {wall.name}"
        found += [f"{where}: {fault}" for fault in _wished_faults(home, wall, bays)]
        for bay, following in pairwise(bays):
            between = following.left - bay.right
            if not home.wishes.keep_bays and between != home.thick and between < 2 * home.thick:
                found.append(f"{where}: {between} between two bays")
        for bay in bays:
            found += [f"{where}, bay at {bay.left}: {fault}" for fault in _bay_faults(home, wall, bay)]
    if home.most_panel is not None and panel_area(home, layout) > home.most_panel:
        found.append(f"{panel_area(home, layout)} of panel, the budget buys {home.most_panel}")
    return found


def _is_within(home: Household, bays: tuple[Bay, ...], start: int, end: int) -> bool:
    return not bays or (bays[0].left - home.thick >= start and bays[-1].right + home.thick <= end)


def _wished_faults(home: Household, wall: Wall, bays: tuple[Bay, ...]) -> Iterator[str]:
    found = {(bay.left, bay.width): bay for bay in bays}
    if home.wishes.keep_bays:
        kept = {(bay.left, bay.width): bay.depth for bay in home.standing if bay.wall == wall.name}
        if kept != {key: bay.depth for key, bay in found.items()}:
            yield f"the bays are {sorted(found)}, those that stand {sorted(kept)}"
    for must in home.must if not home.wishes.keep_bays else ():
        if must.wall != wall.name:
            continue
        bay = found.get((must.left, must.width))
        if bay is None:
            yield f"no bay {must.width} wide at {must.left}"
            continue
        given = given_openings(home, must)
        lowest = [(o.kind, o.bottom, o.height) for o in bay.openings[: len(given)]]
        if lowest != given:
            yield f"the lowest openings are {lowest}, wished were {given}"
        others = {o.kind for o in bay.openings[len(given) :] if o.bottom < home.top}
        if not others <= set(must.kinds):
            yield f"openings of {others} where only {must.kinds} may be"


def _bay_faults(home: Household, wall: Wall, bay: Bay) -> Iterator[str]:
    wishes, kept = home.wishes, home.wishes.keep_bays
    upper = head_over(home, wall, bay.left, bay.right)
    if not kept:
        if bay.depth != wall.depth:
            yield f"{bay.depth} deep"
        if bay.width < wishes.min_bay:
            yield f"{bay.width} wide"
        flat = [o for o in bay.openings if o.kind != "hang" and (o.holds or o.bottom < upper)]
        if flat and bay.width > wishes.max_shelf:
            yield f"a shelf of {bay.width}"
        if bay.width > wishes.max_rod and any(o.kind == "hang" for o in bay.openings):
            yield f"a rod of {bay.width}"
    boxes = [box for box in wall.boxes if bay.left < box.left + box.width and box.left < bay.right]
    for box in wall.boxes if not kept else ():
        is_beside = bay.right + home.thick <= box.left or box.left + box.width <= bay.left - home.thick
        is_inside = bay.left <= box.left and box.left + box.width <= bay.right
        if not is_beside and not is_inside:
            yield "an upright in a blocked part"
    yield from _stack_faults(home, wall, bay, upper, boxes)
    yield from _size_faults(home, wall, bay, upper)


def _stack_faults(home: Household, wall: Wall, bay: Bay, upper: int, boxes: list[Box]) -> Iterator[str]:
    """Rule 3, from the floor up; around a blocked part there may be room that is no opening."""
    thick, base = home.thick, home.wishes.toe_kick + home.thick
    stack = [o for o in bay.openings if o.bottom < upper]
    above = [o for o in bay.openings if o.bottom >= upper]
    low = 0
    if not bay.openings:
        yield "no opening at all"
    for number, opening in enumerate(stack):
        if number == 0:
            on_floor = opening.kind == "hang" and opening.bottom == 0
            if not on_floor and (opening.bottom < base if boxes else opening.bottom != base):
                yield f"the lowest opening begins at {opening.bottom}"
        elif opening.bottom - low != thick and not (boxes and opening.bottom - low >= 2 * thick):
            yield f"{opening.bottom - low} between openings at {opening.bottom}"
        low = opening.bottom + opening.height
        if opening.height <= 0:
            yield "an opening without height"
    if low + thick > upper or (low + thick != upper and not boxes):
        yield f"the top panel ends at {low + thick}, not at {upper}"
    ceiling = ceiling_over(wall, bay.left, bay.right)
    for number, opening in enumerate(above):
        if number or opening.kind != "shelf" or opening.bottom != home.top:
            yield f"an opening above the top at {opening.bottom}"
        if opening.height <= 0 or opening.bottom + opening.height > ceiling or upper < home.top:
            yield f"the opening above the top ends at {opening.bottom + opening.height}"
    for opening in bay.openings:
        panel_below = thick if opening.bottom > 0 else 0
        panel_above = 0 if opening in above else thick
        for box in boxes:
            ends = opening.bottom + opening.height + panel_above
            if opening.bottom - panel_below < box.bottom + box.height and box.bottom < ends:
                yield f"the opening at {opening.bottom} or a panel of it is in a blocked part"


def _size_faults(home: Household, wall: Wall, bay: Bay, upper: int) -> Iterator[str]:
    """Least heights, the highest drawer, and marks; a bank is as it was wished for."""
    wishes, thick = home.wishes, home.thick
    wished = [must for must in home.must if must.wall == wall.name]
    must = next((must for must in wished if must.left == bay.left), None)
    is_plain = not is_placed(home, wall)
    is_between = any(m.left < bay.left for m in wished) and any(m.left > bay.left for m in wished)
    is_marked = is_plain and not wishes.keep_bays and must is None and not is_between
    if wishes.round and is_marked and bay.width % wishes.round:
        yield f"{bay.width} wide, {wishes.round} is the mark"
    stops = {upper, *(box.bottom for box in wall.boxes if bay.left < box.left + box.width and box.left < bay.right)}
    given = given_openings(home, must) if must is not None and not wishes.keep_bays else []
    for opening in bay.openings[len(given) :]:
        end = opening.bottom + opening.height
        if opening.height < {"shelf": wishes.least_opening, "drawer": wishes.least_drawer}.get(opening.kind, 0):
            yield f"a {opening.kind} opening {opening.height} high"
        if opening.kind == "drawer" and wishes.highest_drawer and end > wishes.highest_drawer:
            yield f"a drawer that ends at {end}"
        takes_rest = opening.bottom >= upper or end + thick in stops
        if home.steps and not takes_rest and all((opening.height + more) % step for step, more in home.steps):
            yield f"an opening {opening.height} high, {home.steps} are the marks or rows"


def counted(home: Household, layout: Layout) -> Layout:
    """The layout with the openings that are built anew as high as they count: down to a mark or row."""
    if not home.steps:
        return layout
    must = home.must if not home.wishes.keep_bays else ()
    given = {(bay.wall, bay.left): len(given_openings(home, bay)) for bay in must}

    def lower(wall: Wall, bay: Bay) -> Bay:
        number = given.get((wall.name, bay.left), 0)
        heights = (max(o.height - (o.height + more) % step for step, more in home.steps) for o in bay.openings)
        openings = (
            o if index < number else replace(o, height=height)
            for index, (o, height) in enumerate(zip(bay.openings, heights, strict=True))
        )
        return replace(bay, openings=tuple(openings))

    return tuple(tuple(lower(wall, bay) for bay in bays) for wall, bays in zip(home.walls, layout, strict=True))


def plan_rule_faults(home: Household, layout: Layout) -> list[str]:
    """Every rule that a layout built anew breaks."""
    return [*building_faults(home, layout), *filling_faults(home, counted(home, layout))]


def panel_area(home: Household, layout: Layout) -> int:
    """Uprights, shelves, bottoms and tops [square ticks]; what stands today is not bought again."""
    area, thick = 0, home.thick
    for wall, bays in zip(home.walls, layout, strict=True):
        uprights: dict[int, int] = {}
        for bay in bays:
            upper = head_over(home, wall, bay.left, bay.right)
            panels = {o.bottom - thick for o in bay.openings if o.bottom > 0}
            panels |= {o.bottom + o.height for o in bay.openings if o.bottom < home.top}
            area += len(panels) * bay.width * bay.depth
            for place in () if home.wishes.keep_bays else (bay.left - thick, bay.right):
                uprights[place] = max(uprights.get(place, 0), upper * bay.depth)
        area += sum(uprights.values())
    return area
