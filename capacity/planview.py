"""The plan view checked: aisle, depth for hangers, corners, door swing, drawers coming out."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from pydantic import JsonValue

from capacity.checks import Check, Cure, Place, down_to_mark, in_units, length_check, up_to_mark
from capacity.closet import Closet
from capacity.closet_tables import Door
from capacity.floorplan import (
    HANGER_DEPTH,
    HANGER_SOURCE,
    WIDE_KINDS,
    Rect,
    Solid,
    built_ins,
    drawer_run,
    frames,
    hang_reach,
    slide_length,
    step_off,
)
from capacity.inventory import Inventory
from capacity.layout import Bay, Layout
from capacity.problem import OpeningKind, Problem
from capacity.units import Ticks, format_about, format_length, inches

AISLE, AISLE_SEATED = inches(24), inches(36)
AISLE_SOURCE = "walk-in aisle 24 in bare: architecture-firm planning page and practice"
SEATED_AISLE_SOURCE = "2010 ADA Standards 403.5: 36 in clear for a wheelchair"
PRACTICE = "common practice, no published source"

LEAF_LOSS, LEAF_THICK = inches(2), inches(1.375)
BIFOLD_LOSS, SLIDING_LOSS, HEAD_LOSS = inches(6), inches(1), inches(0.5)
DOOR_SOURCE = "clear opening: hinged leaf less 2 in, bifold less 6 in, sliding half less 1 in"


def clear_width(door: Door) -> Ticks:
    """Clear width of a door standing open: measured, or less what its kind loses (common practice) [ticks]."""
    if door.clear is not None:
        return door.clear
    loss = {
        "hinged": LEAF_LOSS,
        "bifold": BIFOLD_LOSS,
        "sliding": door.width - door.width // 2 + SLIDING_LOSS,
        "open": 0,
    }[door.kind]
    return Ticks(max(1, door.width - loss))


def clear_height(door: Door) -> Ticks:
    """Clear height of a door: less 1/2 in for stop and carpet, unless it is a bare opening [ticks]."""
    return Ticks(max(1, door.height - (0 if door.kind == "open" else HEAD_LOSS)))


def plan_checks(closet: Closet, problem: Problem, inventory: Inventory, layout: Layout) -> Iterator[Check]:
    """All checks of the plan view that the file gives enough for."""
    solids = built_ins(closet, inventory, layout)
    yield from _aisles(closet, solids)
    yield from _hanger_depths(closet, inventory, layout)
    yield from _corners(closet, problem, solids)
    if closet.door is not None and closet.door.faces is not None:
        yield from _door_swing(closet, closet.door, closet.door.faces, solids, layout)
        yield from _drawers_at_the_door(closet, closet.door, closet.door.faces, layout)
    yield from _drawer_runs(closet, solids, layout)


# ---- aisle, hangers, corners --------------------------------------------------------------------------


def _aisles(closet: Closet, solids: tuple[Solid, ...]) -> Iterator[Check]:
    """Between two walls of built-ins that face each other, and between one and what its `front` says faces it."""
    places = frames(closet)
    seated = any(person.posture == "seated" for person in closet.person)
    limit = AISLE_SEATED if seated else AISLE
    source, known = (SEATED_AISLE_SOURCE, "from memory") if seated else (AISLE_SOURCE, "published, second hand")
    reaches = {wall: max(s.reach for s in solids if s.wall == wall) for wall in dict.fromkeys(s.wall for s in solids)}
    free: list[tuple[str, str, int, tuple[str, ...]]] = [
        (wall.name, "what faces it", wall.front - reaches[wall.name], (wall.name,))
        for wall in closet.wall
        if wall.front is not None and wall.name in reaches
    ]
    for first, second in combinations(reaches, 2):
        one, two = places[first], places[second]
        if one.group == two.group and one.into == (-two.into[0], -two.into[1]):
            apart = abs((two.x - one.x) * one.into[0] + (two.y - one.y) * one.into[1])
            free.append((first, f"wall {second}", apart - reaches[first] - reaches[second], (first, second)))
    for name, other, aisle, walls in free:
        yield length_check(
            closet.units,
            "aisle",
            Place(wall=name),
            aisle,
            limit,
            "at least",
            source,
            known,
            f"to {other}, in front of what hangs there; 36 in is comfortable",
            _shallower(closet, walls, reaches, aisle, limit),
        )


def _shallower(closet: Closet, walls: tuple[str, ...], reaches: dict[str, int], aisle: int, limit: int) -> Cure | None:
    """Shelves as much shallower as the aisle is short, shared by its walls; clothes that reach out further stay."""
    settings: dict[str, JsonValue] = {}
    words, gained = [], 0
    for index, wall in enumerate(closet.wall, start=1):
        if wall.name in walls:
            share = up_to_mark(-(-(limit - aisle) // len(walls)), closet.units)
            depth = Ticks(wall.depth - share)
            if depth < inches(12) or reaches[wall.name] > wall.depth + step_off(closet):
                return None
            settings[f"wall.{index}.depth"] = format_length(depth, closet.units)
            words.append(f"wall {wall.name} {format_about(depth, closet.units)}")
            gained += share
    return Cure(
        action="shallower shelves",
        sentence=f"make {' and '.join(words)} deep and run `capacity fit` again",
        settings=settings,
        computed=in_units(aisle + gained, closet.units),
        limit=in_units(limit, closet.units),
        passed=aisle + gained >= limit,
    )


def _hanger_depths(closet: Closet, inventory: Inventory, layout: Layout) -> Iterator[Check]:
    """From the wall to the front of what hangs, against the door or whatever faces that wall."""
    for index, wall in enumerate(layout.walls):
        door = closet.door
        known = [closet.wall[index].front]
        if door is not None and door.faces == wall.name and door.kind != "open":
            known.append(door.distance)
        free = min((length for length in known if length is not None), default=None)
        if free is None:
            continue
        for number, bay in enumerate(wall.bays, start=1):
            if hang_reach(bay, inventory):
                need = step_off(closet) + hang_reach(bay, inventory)
                yield length_check(
                    closet.units,
                    "depth for hangers",
                    Place(wall=wall.name, bay=number),
                    free,
                    need,
                    "at least",
                    HANGER_SOURCE,
                    "published",
                    "from the wall to the door or to what faces it",
                    _hang_elsewhere(closet, inventory, wall.name, number, bay, free),
                )


def _hang_elsewhere(closet: Closet, inventory: Inventory, wall: str, number: int, bay: Bay, free: int) -> Cure | None:
    """Hang the widest garments elsewhere; where even the others touch the door, do without it."""
    units = closet.units
    if free - step_off(closet) >= HANGER_DEPTH:
        rods = [opening for opening in bay.openings if opening.kind is OpeningKind.HANG]
        rows = sorted({item.row for o in rods for item in o.holds if inventory.pile(item.row).kind in WIDE_KINDS})
        names = ", ".join(inventory.pile(row).name for row in rows)
        return Cure(
            action="hang elsewhere",
            sentence=f"hang {names} where it is deeper; the rest needs {format_length(HANGER_DEPTH, units)}",
            settings={"layout.without_rows": [wall, number, list(rows)]},
            computed=in_units(free, units),
            limit=in_units(HANGER_DEPTH + step_off(closet), units),
            passed=True,
        )
    front = next(item.front for item in closet.wall if item.name == wall)
    need = step_off(closet) + hang_reach(bay, inventory)
    if front is not None and front < need:
        return None
    return Cure(
        action="open doorway",
        sentence="take the door away or hang a curtain: the clothes then reach out into the doorway",
        settings={"door.kind": "open", "door.clear": None},
        computed=in_units(front if front is not None else need, units),
        limit=in_units(need, units),
        passed=True,
    )


def _corners(closet: Closet, problem: Problem, solids: tuple[Solid, ...]) -> Iterator[Check]:
    """What hangs on one wall keeps clear of the built-ins and clothes of the wall round the corner."""
    names = [wall.name for wall in closet.wall]
    access = problem.rules.corner_access
    for corner in problem.corners:
        pair = names[corner.ends], names[corner.starts]
        first, second = ([solid for solid in solids if solid.wall == name] for name in pair)
        if not first or not second:
            continue
        deepest = max(one.rect.overlap(two.rect) for one in first for two in second)
        shown = format_length(Ticks(access + deepest), closet.units)
        yield length_check(
            closet.units,
            "clothes clear at the corner",
            Place(wall=pair[0], thing=f"corner with wall {pair[1]}"),
            deepest,
            0,
            "at most",
            HANGER_SOURCE,
            "published",
            "how deep hanging clothes run into the other wall in plan view",
            Cure(
                action="more corner access",
                sentence=f"keep {shown} free in front of the wall that owns the corner and run `capacity fit` again",
                settings={"wishes.corner_access": shown},
                computed=0,
                limit=0,
                passed=True,
            ),
        )


# ---- door and drawers ---------------------------------------------------------------------------------


def _door_swing(closet: Closet, door: Door, faces: str, solids: tuple[Solid, ...], layout: Layout) -> Iterator[Check]:
    """A leaf that swings in sweeps a quarter circle that must be free, and stands clear of the drawers when open."""
    if door.kind != "hinged" or door.swings != "in" or door.left is None or door.distance is None:
        return
    frame, leaf = frames(closet)[faces], door.width
    right = door.left + leaf
    swept = frame.rect(door.left, right, door.distance - leaf, door.distance)
    at = frame.point(door.left if door.hinge == "left" else right, door.distance)
    hinge = Rect(*at, *at)
    nearest: int = leaf
    what = Place(thing="door")
    for solid in solids:
        if frames(closet)[solid.wall].group == frame.group and solid.rect.overlap(swept):
            wide, high = solid.rect.clipped(swept).gaps(hinge)
            away = math.isqrt(wide * wide + high * high)
            if away < nearest:
                nearest, what = away, Place(wall=solid.wall, bay=solid.bay + 1, thing="door")
    out = Cure(
        action="door swings out",
        sentence="hang the door so that it swings out of the closet",
        settings={"door.swings": "out"},
        computed=in_units(leaf, closet.units),
        limit=in_units(leaf, closet.units),
        passed=True,
    )
    words = "from the hinge to the nearest built-in or clothes within the swing"
    yield length_check(
        closet.units, "door swings free", what, nearest, leaf, "at least", "geometry", "computed", words, out
    )
    ends = (door.left, door.left + LEAF_THICK) if door.hinge == "left" else (right - LEAF_THICK, right)
    open_leaf = frame.rect(*ends, door.distance - leaf, door.distance)
    for place, rect, _ in _drawers(closet, layout):
        if frames(closet)[place.wall or ""].group == frame.group:
            words = "how deep a drawer that is pulled out runs into the open door"
            met = rect.overlap(open_leaf)
            yield length_check(
                closet.units,
                "drawer clear of the open door",
                place,
                met,
                0,
                "at most",
                "geometry",
                "computed",
                words,
                out,
            )


def _drawers(closet: Closet, layout: Layout) -> Iterator[tuple[Place, Rect, int]]:
    """Every bay with drawers: its place, what a pulled-out drawer covers, and how far it comes out."""
    places, off = frames(closet), step_off(closet)
    for wall in layout.walls:
        for number, bay in enumerate(wall.bays, start=1):
            run = drawer_run(bay)
            if run:
                front = off + bay.depth
                rect = places[wall.name].rect(bay.left, bay.left + bay.width, front, front + run)
                yield Place(wall=wall.name, bay=number), rect, run


def _drawers_at_the_door(closet: Closet, door: Door, faces: str, layout: Layout) -> Iterator[Check]:
    """Drawers that come out past the door lie within its clear opening; two sliding leaves open one half at a time."""
    if door.left is None or door.distance is None:
        return
    for wall in layout.walls:
        for number, bay in enumerate(wall.bays, start=1):
            run = drawer_run(bay) if wall.name == faces else 0
            if not run or step_off(closet) + bay.depth + run <= door.distance:
                continue
            hidden = _hidden(door, bay.left, bay.left + bay.width)
            others = [door.model_copy(update={"kind": kind, "clear": None}) for kind in ("bifold", "open")]
            free = next((item for item in others if _hidden(item, bay.left, bay.left + bay.width) == 0), None)
            cure = None
            if free is not None:
                cure = Cure(
                    action="other door",
                    sentence=f"make it {'a bifold door' if free.kind == 'bifold' else 'an open doorway'}",
                    settings={"door.kind": free.kind, "door.clear": None},
                    computed=0,
                    limit=0,
                    passed=True,
                )
            yield length_check(
                closet.units,
                "drawer comes out past the door",
                Place(wall=wall.name, bay=number),
                hidden,
                0,
                "at most",
                DOOR_SOURCE,
                PRACTICE,
                "how much of the drawers the door hides at its best",
                cure,
            )


def _hidden(door: Door, left: int, right: int) -> int:
    """How much of what lies between two places along the wall the open door hides at least [ticks]."""
    start, clear = door.left or 0, clear_width(door)
    end = start + door.width
    if door.kind == "sliding":
        free = [(start, start + clear), (end - clear, end)]
    elif door.kind == "hinged":
        free = [(end - clear, end) if door.hinge == "left" else (start, start + clear)]
    else:
        margin = (door.width - clear) // 2
        free = [(start + margin, start + margin + clear)]
    return min(max(0, low - left) + max(0, right - high) for low, high in free)


def _drawer_runs(closet: Closet, solids: tuple[Solid, ...], layout: Layout) -> Iterator[Check]:
    """A drawer pulled out meets neither the other walls' built-ins nor what faces its wall."""
    for place, rect, run in _drawers(closet, layout):
        group = frames(closet)[place.wall or ""].group
        others = [
            rect.overlap(solid.rect)
            for solid in solids
            if solid.wall != place.wall and frames(closet)[solid.wall].group == group
        ]
        at_side = max(others, default=0)
        index = [wall.name for wall in closet.wall].index(place.wall or "")
        wall = closet.wall[index]
        reach = step_off(closet) + wall.depth + run
        at_front = max(0, reach - wall.front) if wall.front is not None else 0
        cure = None
        if at_front:
            cure = _drawer_cure(closet, index)
        elif at_side:
            shown = format_length(up_to_mark(closet.wishes.corner_access + at_side, closet.units), closet.units)
            cure = Cure(
                action="more corner access",
                sentence=f"keep {shown} free in front of the wall that owns the corner and run `capacity fit` again",
                settings={"wishes.corner_access": shown},
                computed=0,
                limit=0,
                passed=True,
            )
        note = f"how far it meets something on its {format_length(Ticks(run), closet.units)} way"
        met = max(at_side, at_front)
        yield length_check(
            closet.units, "drawer comes out fully", place, met, 0, "at most", "geometry", "computed", note, cure
        )


def _drawer_cure(closet: Closet, index: int) -> Cure | None:
    """The deepest shelves whose drawers come out fully in front of what faces the wall; at least 12 in deep."""
    wall, units = closet.wall[index], closet.units
    for depth in range(down_to_mark(wall.depth, units), inches(12) - 1, -up_to_mark(1, units)):
        reach = step_off(closet) + depth + slide_length(depth)
        if wall.front is not None and reach <= wall.front:
            shown = format_length(Ticks(depth), units)
            return Cure(
                action="shallower shelves",
                sentence=f"make wall {wall.name} {shown} deep and run `capacity fit` again",
                settings={f"wall.{index + 1}.depth": shown},
                computed=0,
                limit=0,
                passed=True,
            )
    return None
