"""Will it go in: every carcass and every single part along the way in, through the door, and stood up.

A carcass is one bay with its uprights. It is carried lying on its back, on its side, or upright, as each place
allows; it is stood up in the room in front and walked in upright, or carried in lying and stood up inside.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from capacity.checks.check import Check, Cure, Place, Rule, length_check, length_cure
from capacity.checks.doorway import clear_height, clear_width, without_leaves
from capacity.checks.floor_plan import frames
from capacity.checks.passage import diagonal, goes_through, stair_clearance, turns_corner, widest_turning, width_needed
from capacity.closet.closet import Closet
from capacity.closet.materials import materials
from capacity.closet.surroundings import Way
from capacity.layout.layout import Bay, Layout, panels_of
from capacity.layout.problem import Problem
from capacity.layout.uprights import beside_bay, top_over, uprights_of
from capacity.units import Ticks, Units, format_about, format_length, inches, to_mm

PADDING = inches(1 / 2)
"""Room for padding and hands on each side of what is carried (our proposal, from practice)."""
TIP_MARGIN = inches(1 / 2)
"""Room between the corner that swings highest and the ceiling (our proposal, from practice)."""
SOURCE = "geometry: rectangle in rectangle, corner of two halls, diagonal of the side"

ASSEMBLIES = ("whole", "on a base", "two pieces", "in place")
"""Ways to build, in order of cost where a bay stands alone: whole; on a separate toe-kick base; in two pieces; part by
part in place. Where bays share uprights, in place comes first: they are joined there anyhow, at no cost."""


@dataclass(frozen=True, slots=True)
class CarriedItem:
    """Something to be carried: width along the wall, depth, height, as it will stand [ticks]."""

    name: str
    width: int
    depth: int
    height: int
    stands_up: bool = True

    @property
    def padded(self) -> tuple[int, int, int]:
        """Width, depth and height with padding on every side."""
        return self.width + 2 * PADDING, self.depth + 2 * PADDING, self.height + 2 * PADDING


Hurdle = tuple[str, int, int, str]
"""What is to be passed: its name, what the box needs, what there is [ticks], and how it is carried."""


# ---- what is carried ----------------------------------------------------------------------------------


def carcasses(problem: Problem, layout: Layout, wall: int, number: int, assembly: str) -> tuple[CarriedItem, ...]:
    """The pieces of one bay (from 1) that are carried whole, for a way of building; none when built in place."""
    kick, bays = problem.rules.toe_kick, layout.walls[wall].bays
    bay = bays[number - 1]
    top = top_over(problem, wall, bay)
    width = bay.width + 2 * problem.rules.panel
    name = f"carcass of bay {number}"
    if assembly == "whole":
        return (CarriedItem(name, width, bay.depth, top),)
    if assembly == "on a base":
        return (CarriedItem(f"{name} without its base", width, bay.depth, top - kick),)
    if assembly == "two pieces":
        beside = tuple(beside_bay(uprights_of(problem, wall, bays, assembly), problem, bay))
        cuts = [upright.cut for upright in beside if upright.cut is not None]
        return (
            CarriedItem(f"lower half of bay {number}", width, bay.depth, max(cuts)),
            CarriedItem(f"upper half of bay {number}", width, bay.depth, top - min(cuts), stands_up=False),
        )
    return ()


def single_parts(problem: Problem, layout: Layout, assembly: str) -> tuple[CarriedItem, ...]:
    """Uprights, shelves and kicks, each size once, the largest of a name first."""
    thick, kick = problem.rules.panel, problem.rules.toe_kick
    found: dict[CarriedItem, None] = {}
    for index, wall in enumerate(layout.walls):
        for upright in () if problem.keeps_bays else uprights_of(problem, index, wall.bays, assembly):
            for _, length in upright.pieces:
                found[CarriedItem("upright", thick, problem.runs[index].depth, length)] = None
        for bay in wall.bays:
            found[CarriedItem("shelf", bay.width, bay.depth, thick, stands_up=False)] = None
            if kick:
                found[CarriedItem("toe kick", bay.width, thick, kick, stands_up=False)] = None
    order = sorted(found, key=lambda box: (box.name != "upright", box.name, -box.height, -box.width, -box.depth))
    return tuple(order)


# ---- what is to be passed -----------------------------------------------------------------------------


def through(box: CarriedItem, width: int, height: int) -> tuple[int, int, str]:
    """Least width needed of an opening of a height, the width there is, and the way it is carried that needs least.

    Pushed lengthwise first (lying), then upright; turned in the opening as may be.
    """
    w, d, h = box.padded
    best: tuple[int, str] | None = None
    for first, second, words in ((w, d, "lying"), (d, h, "on edge or upright"), (w, h, "on edge or upright")):
        need = width_needed(first, second, height)
        if need is not None and (best is None or need < best[0]):
            best = (need, words)
            if need <= width:
                break
    if best is None:
        return min(w, d, h), height, "no way round"
    return best[0], width, best[1]


def round_corner(box: CarriedItem, way: Way) -> tuple[int, int, str]:
    """Width of the box in plan and the widest that gets round, in the carry with most room to spare."""
    w, d, h = box.padded
    ceiling, hall, after = way.ceiling or 0, way.width, way.width_after or way.width
    best: tuple[int, int, str] | None = None
    for upright, one, two, words in ((d, h, w, "on its back"), (w, h, d, "on its side"), (h, w, d, "upright")):
        if upright > ceiling:
            continue
        long, wide = max(one, two), min(one, two)
        if turns_corner(long, wide, hall, after):
            slides = max(widest_turning(long, hall, after), wide)
            return wide, slides, words
        limit = widest_turning(long, hall, after)
        if best is None or limit - wide > best[1] - best[0]:
            best = (wide, limit, words)
    return best if best is not None else (min(w, d, h), ceiling, "no way round")


def hurdles_on_the_way(closet: Closet, box: CarriedItem) -> Iterator[Hurdle]:
    """Every stretch of the way into the room; only the window when the box goes in there and not else."""
    steps = [way for way in closet.way if way.kind != "window"]
    found = [(f"goes through: {way.title}", *_pass(box, way)) for way in steps]
    windows = [(f"goes through: {way.title}", *_pass(box, way)) for way in closet.way if way.kind == "window"]
    if any(need > there for _, need, there, _ in found):
        for name, need, there, words in windows:
            if need <= there:
                yield name, need, there, f"{words}; the way inside the house does not let it pass"
                return
    yield from found


def _pass(box: CarriedItem, way: Way) -> tuple[int, int, str]:
    if way.kind == "corner":
        return round_corner(box, way)
    if way.kind == "stairs":
        return through(box, way.width, stair_clearance(way.headroom or 0, way.rise or 1, way.run or 1))
    return through(box, way.width, way.height or way.ceiling or 0)


def hurdles_at_the_closet(closet: Closet, box: CarriedItem) -> tuple[Hurdle, ...]:
    """The closet's door and standing up, by the way that lacks least: stood up in front, or inside.

    Without a [room] table the room in front is taken as high as the closet and wide enough.
    """
    room = closet.room
    if not box.stands_up:
        return _door(closet, box, is_upright=False)
    floor = (room.length, room.width) if room is not None else None
    ceiling = room.ceiling if room is not None else closet.ceiling
    outside = (*_stand_up(box, ceiling, floor, "in the room in front"), *_door(closet, box, is_upright=True))
    inside = (
        *_door(closet, box, is_upright=False),
        *_stand_up(box, closet.ceiling, inside_floor(closet), "inside the closet"),
    )
    ways = (outside, inside)
    return min(ways, key=lambda way: max([0, *[need - there for _, need, there, _ in way]]))


def inside_depth(closet: Closet) -> Ticks | None:
    """How far it is inside from the longest wall to what faces it; None where nothing of the file says it [ticks]."""
    places = frames(closet)
    longest = max(closet.wall, key=lambda wall: wall.clear_width)
    frame = places[longest.name]
    known = [
        wall.clear_width
        for wall in closet.wall
        if places[wall.name].group == frame.group and places[wall.name].along[0] != frame.along[0]
    ]
    known += [longest.front] if longest.front is not None else []
    door = closet.door
    known += [door.distance] if door is not None and door.faces == longest.name and door.distance is not None else []
    return Ticks(max(known)) if known else None


def inside_floor(closet: Closet) -> tuple[int, int]:
    """Length and width of the floor inside, at least: the longest wall, and how far it is to what faces it [ticks]."""
    longest = max(closet.wall, key=lambda wall: wall.clear_width)
    return longest.clear_width, max(longest.depth, inside_depth(closet) or 0)


def _stand_up(box: CarriedItem, ceiling: int, floor: tuple[int, int] | None, where: str) -> tuple[Hurdle, ...]:
    """The diagonal under the ceiling and the free floor, tipped up from its back or from its side."""
    tries = []
    for side, across, words in ((box.depth, box.width, "from its back"), (box.width, box.depth, "from its side")):
        tall = diagonal(box.height, side) + TIP_MARGIN
        hurdles: tuple[Hurdle, ...] = (("stands up under the ceiling", tall, ceiling, f"{words}, {where}"),)
        if floor is not None:
            long, wide = max(box.height, across), min(box.height, across)
            if goes_through(long, wide, *floor):
                need, there = long, max(long, *floor)
            else:
                need, there = (long, max(floor)) if long > max(floor) else (wide, min(floor))
            hurdles = (*hurdles, ("floor to lie on", need, there, where))
        tries.append(hurdles)
    return next((way for way in tries if all(need <= there for _, need, there, _ in way)), tries[0])


def _door(closet: Closet, box: CarriedItem, is_upright: bool) -> tuple[Hurdle, ...]:
    door = closet.door
    if door is None:
        return ()
    width, height = clear_width(door), clear_height(door)
    if not is_upright:
        return (("goes through: the closet's door", *through(box, width, height)),)
    w, d, _ = box.padded
    tall = box.height + PADDING  # only the soles are without padding
    if tall <= height:
        return (("goes upright through the closet's door", min(w, d), width, "upright"),)
    # too tall: tilted sideways in the doorway, then turned and stood up inside
    need = width_needed(tall, min(w, d), height)
    if need is None or need > width:
        return (("goes upright through the closet's door", tall, height, "upright, head height"),)
    side = diagonal(box.height, min(box.width, box.depth)) + TIP_MARGIN
    tilted: tuple[Hurdle, ...] = (("goes tilted through the closet's door", need, width, "tilted"),)
    if inside_depth(closet) is not None:  # else it is named among what was not checked
        across = diagonal(box.width, box.depth)
        tilted += (("turns inside the closet", across, min(inside_floor(closet)), "upright, seen from above"),)
    return (*tilted, ("stands up inside the closet", side, closet.ceiling, "from tilted"))


def passes(closet: Closet, box: CarriedItem) -> bool:
    """Whether something gets in and can be stood up."""
    hurdles = (*hurdles_on_the_way(closet, box), *hurdles_at_the_closet(closet, box))
    return all(need <= there for _, need, there, _ in hurdles)


# ---- the checks ---------------------------------------------------------------------------------------


def carrying_checks(closet: Closet, problem: Problem, layout: Layout) -> Iterator[Check]:
    """Every carcass of the chosen way of building, and every single part."""
    for index, wall in enumerate(layout.walls):
        for number in () if problem.keeps_bays else range(1, len(wall.bays) + 1):
            for box in carcasses(problem, layout, index, number, closet.assembly):
                place = Place(wall=wall.name, bay=number, thing=box.name)
                yield from _box_checks(closet, problem, layout, place, box, (index, number))
    for part in single_parts(problem, layout, closet.assembly):
        yield from _box_checks(closet, problem, layout, Place(thing=part_name(part, closet.units)), part, None)


def part_name(part: CarriedItem, units: Units) -> str:
    """What a check calls a single part: what it is, its length and its width."""
    sides = sorted((part.width, part.depth, part.height))[:0:-1]
    return f"{part.name} {' x '.join(format_about(Ticks(side), units) for side in sides)}"


def _box_checks(
    closet: Closet, problem: Problem, layout: Layout, place: Place, box: CarriedItem, bay: tuple[int, int] | None
) -> Iterator[Check]:
    hurdles = (*hurdles_on_the_way(closet, box), *hurdles_at_the_closet(closet, box))
    if all(need <= there for _, need, there, _ in hurdles):
        cure = None
    elif bay is not None:
        cure = _carcass_cure(closet, problem, layout, *bay)
    else:
        cure = _part_cure(closet, problem, layout, box)
    spare = "1/2 in" if closet.units == "in" else "13 mm"
    for name, need, there, words in hurdles:
        note = f"{words}; with {spare} {'padding a side' if 'goes' in name else 'to spare'}"
        yield length_check(closet.units, Rule(name, "at most", SOURCE, "computed", note), place, need, there, cure)


def _carcass_cure(closet: Closet, problem: Problem, layout: Layout, index: int, number: int) -> Cure | None:
    """In place where that costs nothing; the door off its hinges; else the cheapest way of building that gets it in."""
    sentences = {
        "on a base": "build it on a separate toe-kick base and lift it on",
        "two pieces": "build it in two pieces, one on the other",
        "in place": "put it together in place from single parts",
    }

    def built(assembly: str) -> Cure | None:
        boxes = carcasses(problem, layout, index, number, assembly) or single_parts(problem, layout, assembly)
        if not all(passes(closet, box) for box in boxes):
            return None
        need, there = _tightest(closet, boxes)
        return length_cure(closet.units, assembly, sentences[assembly], {"assembly": assembly}, need, there)

    if _shares_uprights(problem, layout, index, number) and (cure := built("in place")) is not None:
        return cure
    whole = carcasses(problem, layout, index, number, closet.assembly)
    without = without_leaves(closet)
    if without is not None and all(passes(without, box) for box in whole):
        need, there = _tightest(without, whole)
        return _door_off(closet, without, need, there)
    cures = map(built, ASSEMBLIES[ASSEMBLIES.index(closet.assembly) + 1 :])
    return next((cure for cure in cures if cure is not None), None)


def _shares_uprights(problem: Problem, layout: Layout, index: int, number: int) -> bool:
    """Whether another bay of the wall stands beside a bay, with one upright between them."""
    bays, thick = layout.walls[index].bays, problem.rules.panel
    bay = bays[number - 1]
    ends = (bay.left + bay.width + thick, bay.left - thick)
    return any(other.left == ends[0] or other.left + other.width == ends[1] for other in bays)


def _part_cure(closet: Closet, problem: Problem, layout: Layout, box: CarriedItem) -> Cure | None:
    """The door off its hinges, else an upright cut in two; for a shelf that does not go in there is none."""
    without = without_leaves(closet)
    if without is not None and passes(without, box):
        need, there = _tightest(without, (box,))
        return _door_off(closet, without, need, there)
    if box.name == "upright" and closet.assembly != "two pieces":
        halves = [part for part in single_parts(problem, layout, "two pieces") if part.name == "upright"]
        if all(passes(closet, part) for part in halves):
            need, there = _tightest(closet, tuple(halves))
            return length_cure(
                closet.units,
                action="two pieces",
                sentence="cut the uprights in two at a shelf and join them there",
                settings={"assembly": "two pieces"},
                computed=need,
                limit=there,
            )
    return None


def _door_off(closet: Closet, without: Closet, need: int, there: int) -> Cure:
    clear = without.door.clear if without.door is not None else None
    return length_cure(
        closet.units,
        action="door off",
        sentence="take the leaves of the door off while you carry it in",
        settings={"door.clear": format_length(clear or Ticks(0), closet.units)},
        computed=need,
        limit=there,
    )


def _tightest(closet: Closet, boxes: tuple[CarriedItem, ...]) -> tuple[int, int]:
    """What is needed and what there is at the tightest place [ticks]."""
    pairs = [
        (need, there)
        for box in boxes
        for _, need, there, _ in (*hurdles_on_the_way(closet, box), *hurdles_at_the_closet(closet, box))
    ]
    return min(pairs, key=lambda pair: (pair[1] - pair[0], pair), default=(0, 0))


def carcass_weight(closet: Closet, problem: Problem, bay: Bay, top: int) -> float:
    """Weight of one bay's carcass: two uprights and its panels [kg]."""
    area = 2 * to_mm(top) * to_mm(bay.depth) + len(panels_of(problem, bay)) * to_mm(bay.width) * to_mm(bay.depth)
    return materials()[closet.panel.material].density * area * to_mm(closet.panel.thickness) / 1e9
