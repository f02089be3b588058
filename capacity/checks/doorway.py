"""The closet's door and the drawers: clear opening, swing, drawers that come out past it and round the corner."""

from __future__ import annotations

import math
from collections.abc import Iterator

from capacity.checks.check import Check, Cure, Place, Rule, down_to_mark, length_check, length_cure, up_to_mark
from capacity.checks.floor_plan import HANGER_DEPTH, Rect, Solid, drawer_run, frames, hang_depth_of, step_off
from capacity.closet.closet import Closet
from capacity.closet.surroundings import Door
from capacity.layout.drawer_rule import slide_length
from capacity.layout.layout import Layout
from capacity.layout.problem import HANG_DEPTH
from capacity.units import Ticks, format_about, format_length, inches
from capacity.wardrobe.inventory import Inventory
from capacity.wardrobe.kinds import Store

PRACTICE = "common practice, no published source"
WHEELCHAIR_DOOR = inches(32)
WHEELCHAIR_SOURCE = "2010 ADA Standards 404.2.3: 32 in clear"
"""Clear width for a wheelchair (from memory)."""

LEAF_LOSS, LEAF_THICK = inches(2), inches(1.375)
"""What a hinged leaf that stands open takes of its width: its thickness, stop and hinge, a little more than they are;
and its thickness alone (common practice, no published source)."""

LEAF_OFF_LOSS = inches(3 / 4)
"""What the stops take where the leaf is off (common practice, no published source)."""

BIFOLD_LOSS, SLIDING_LOSS, HEAD_LOSS = inches(6), inches(1), inches(0.5)
"""What a folded pair takes of the width, of 4 to 6 in; a sliding leaf beside its half; stop and carpet of the height
(common practice, no published source)."""

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


def without_leaves(closet: Closet) -> Closet | None:
    """The closet with the leaves of its door taken off: all of the opening but 3/4 in is clear (common practice)."""
    door = closet.door
    if door is None or door.kind == "open":
        return None
    clear = Ticks(max(clear_width(door), door.width - LEAF_OFF_LOSS))
    return closet.model_copy(update={"door": door.model_copy(update={"clear": clear})})


def doorway_checks(closet: Closet, inventory: Inventory, solids: tuple[Solid, ...], layout: Layout) -> Iterator[Check]:
    """All checks of door and drawers that the file gives enough for."""
    door = closet.door
    if door is not None and any(person.posture == "seated" for person in closet.person):
        yield _wheelchair(closet, door)
    if door is not None and door.faces is not None:
        yield from _door_swing(closet, door, door.faces, solids, layout)
        yield from _drawers_at_the_door(closet, door, door.faces, layout)
    yield from _drawer_runs(closet, inventory, solids, layout)


def _wheelchair(closet: Closet, door: Door) -> Check:
    """Somebody who is seated gets through the door."""
    bare, units = without_leaves(closet), closet.units
    cure = None
    if bare is not None and bare.door is not None and clear_width(bare.door) >= WHEELCHAIR_DOOR:
        shown = format_length(clear_width(bare.door), units)
        cure = length_cure(
            units,
            action="door off",
            sentence="take the leaves of the door off for good, or hang a curtain",
            settings={"door.clear": shown},
            computed=clear_width(bare.door),
            limit=WHEELCHAIR_DOOR,
        )
    clear, words = clear_width(door), "clear width with the door open"
    rule = Rule("door wide enough for a wheelchair", "at least", WHEELCHAIR_SOURCE, "from memory", words)
    return length_check(units, rule, Place(thing="door"), clear, WHEELCHAIR_DOOR, cure)


def more_corner_access(closet: Closet, inventory: Inventory) -> Cure:
    """So much free width in front of the owner of a corner that neither clothes nor drawers of any layout meet.

    The other wall begins at the owner's depth and this access: it must reach as far as the widest clothes that hang
    here, and as the longest slide.
    """
    ways = {(pile.kind, store) for pile in inventory.piles if pile.count for store, _ in pile.ways}
    kinds = {kind for kind, store in ways if store is Store.HANG}
    clothes = max([HANGER_DEPTH, *map(hang_depth_of, kinds)]) - min(wall.depth for wall in closet.wall)
    slides = max(slide_length(wall.depth) for wall in closet.wall)
    has_drawers = any(store is Store.DRAWER for _, store in ways)
    need = step_off(closet) + max(0, clothes if kinds else 0, slides if has_drawers else 0)
    shown = format_length(up_to_mark(need, closet.units), closet.units)
    return Cure(
        action="more corner access",
        sentence=f"keep {shown} free in front of the wall that owns the corner and run `capacity fit` again",
        settings={"wishes.corner_access": shown},
        computed=0,
        limit=0,
        passed=True,
    )


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
    out = length_cure(
        closet.units,
        action="door swings out",
        sentence="hang the door so that it swings out of the closet",
        settings={"door.swings": "out"},
        computed=leaf,
        limit=leaf,
    )
    words = "from the hinge to the nearest built-in or clothes within the swing"
    yield length_check(
        closet.units, Rule("door swings free", "at least", "geometry", "computed", words), what, nearest, leaf, out
    )
    ends = (door.left, door.left + LEAF_THICK) if door.hinge == "left" else (right - LEAF_THICK, right)
    open_leaf = frame.rect(*ends, door.distance - leaf, door.distance)
    for place, rect, _ in _drawers(closet, layout):
        if frames(closet)[place.wall or ""].group == frame.group:
            words = "how deep a drawer that is pulled out runs into the open door"
            met = rect.overlap(open_leaf)
            rule = Rule("drawer clear of the open door", "at most", "geometry", "computed", words)
            yield length_check(closet.units, rule, place, met, 0, out)


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
            words = "how much of the drawers the door hides at its best"
            rule = Rule("drawer comes out past the door", "at most", DOOR_SOURCE, PRACTICE, words)
            yield length_check(closet.units, rule, Place(wall=wall.name, bay=number), hidden, 0, cure)


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


def _drawer_runs(closet: Closet, inventory: Inventory, solids: tuple[Solid, ...], layout: Layout) -> Iterator[Check]:
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
            cure = more_corner_access(closet, inventory)
        note = f"how far it meets something on its {format_about(run, closet.units)} way"
        met = max(at_side, at_front)
        yield length_check(
            closet.units, Rule("drawer comes out fully", "at most", "geometry", "computed", note), place, met, 0, cure
        )


def _drawer_cure(closet: Closet, index: int) -> Cure | None:
    """The deepest shelves whose drawers come out fully in front of what faces the wall; at least 12 in deep."""
    wall, units = closet.wall[index], closet.units
    for depth in range(down_to_mark(wall.depth, units), HANG_DEPTH - 1, -up_to_mark(1, units)):
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
