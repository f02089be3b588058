"""The plan view checked: aisle, depth for hangers, corners; and what `doorway` checks."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from pydantic import JsonValue

from capacity.checks.check import Check, Cure, Place, length_check, length_cure, up_to_mark
from capacity.checks.doorway import doorway_checks, more_corner_access
from capacity.checks.floor_plan import (
    HANGER_DEPTH,
    HANGER_SOURCE,
    WIDE_KINDS,
    Solid,
    built_ins,
    frames,
    hang_reach,
    step_off,
)
from capacity.closet.closet import Closet
from capacity.layout.layout import Bay, Layout
from capacity.layout.problem import HANG_DEPTH, OpeningKind, Problem
from capacity.units import Ticks, format_about, format_length, inches
from capacity.wardrobe.inventory import Inventory

AISLE, AISLE_SEATED = inches(24), inches(36)
AISLE_SOURCE = "walk-in aisle 24 in bare: architecture-firm planning page and practice"
SEATED_AISLE_SOURCE = "2010 ADA Standards 403.5: 36 in clear for a wheelchair"
"""Free width to walk in (published, second hand), and to roll in (from memory)."""


def plan_checks(closet: Closet, problem: Problem, inventory: Inventory, layout: Layout) -> Iterator[Check]:
    """All checks of the plan view that the file gives enough for."""
    solids = built_ins(closet, inventory, layout)
    yield from _aisles(closet, solids)
    yield from _hanger_depths(closet, inventory, layout)
    yield from _corners(closet, problem, inventory, solids)
    yield from doorway_checks(closet, inventory, solids, layout)


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
            if depth < HANG_DEPTH or reaches[wall.name] > wall.depth + step_off(closet):
                return None
            settings[f"wall.{index}.depth"] = format_length(depth, closet.units)
            words.append(f"wall {wall.name} {format_about(depth, closet.units)}")
            gained += share
    return length_cure(
        closet.units,
        action="shallower shelves",
        sentence=f"make {' and '.join(words)} deep and run `capacity fit` again",
        settings=settings,
        computed=aisle + gained,
        limit=limit,
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
        return length_cure(
            units,
            action="hang elsewhere",
            sentence=f"hang {names} where it is deeper; the rest needs {format_length(HANGER_DEPTH, units)}",
            settings={"layout.without_rows": [wall, number, list(rows)]},
            computed=free,
            limit=HANGER_DEPTH + step_off(closet),
        )
    front = next(item.front for item in closet.wall if item.name == wall)
    need = step_off(closet) + hang_reach(bay, inventory)
    if front is not None and front < need:
        return None
    return length_cure(
        units,
        action="open doorway",
        sentence="take the door away or hang a curtain: the clothes then reach out into the doorway",
        settings={"door.kind": "open", "door.clear": None},
        computed=front if front is not None else need,
        limit=need,
    )


def _corners(closet: Closet, problem: Problem, inventory: Inventory, solids: tuple[Solid, ...]) -> Iterator[Check]:
    """What hangs on one wall keeps clear of the built-ins and clothes of the wall round the corner."""
    names = [wall.name for wall in closet.wall]
    for corner in problem.corners:
        pair = names[corner.ends], names[corner.starts]
        first, second = ([solid for solid in solids if solid.wall == name] for name in pair)
        if not first or not second:
            continue
        deepest = max(one.rect.overlap(two.rect) for one in first for two in second)
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
            more_corner_access(closet, inventory),
        )
