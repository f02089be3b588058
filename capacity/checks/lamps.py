"""Lamps and the storage space of a closet: the clearance that a luminaire keeps. Whole ticks.

Storage space: along every wall of the closet, 24 in out, from the floor to 6 ft or to the highest rod, whichever is
higher; above that up to the ceiling 12 in out, or as far as the shelf is wide, whichever is more. Published, second
hand: NEC 410.2 and 410.16 as quoted by others. A licensed electrician and the local code decide.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from pydantic import JsonValue

from capacity.checks.check import Check, Cure, Place, Rule, length_check, length_cure, up_to_mark
from capacity.checks.floor_plan import Rect, frames, step_off
from capacity.closet.closet import Closet
from capacity.closet.surroundings import Lamp
from capacity.layout.layout import Layout
from capacity.layout.problem import OpeningKind
from capacity.units import Ticks, format_length, inches

LOWER_OUT, LOWER_TOP, UPPER_OUT = inches(24), inches(72), inches(12)
"""Storage space: 24 in from the wall up to 6 ft or the highest rod, above that 12 in or the shelf's width (NEC 410.2,
published, second hand)."""

CLEARANCES: Mapping[str, Ticks] = MappingProxyType(
    {
        "surface incandescent": inches(12),
        "surface led": inches(12),
        "surface fluorescent": inches(6),
        "recessed incandescent": inches(6),
        "recessed led": inches(6),
        "recessed fluorescent": inches(6),
        "closet rated": inches(0),
    }
)
"""Least clearance by kind: surface and recessed lamps fully enclosed; `closet rated` is one identified for use within
the storage space (NEC 410.16(C)). An open bulb or a pendant is not allowed at all (410.16(B), from memory)."""

FAR = inches(120)
"""How far a side wall reaches into a closet when no `front` says it (our proposal)."""

SOURCE = "NEC 410.2 and 410.16 as quoted by others; a licensed electrician and the local code decide"


@dataclass(frozen=True, slots=True)
class Block:
    """A box in space: its rectangle in the plan view and its heights."""

    rect: Rect
    bottom: int
    top: int

    def distance_squared(self, other: Block) -> int:
        """Square of the distance between two boxes; 0 when they touch."""
        wide, deep = self.rect.gaps(other.rect)
        high = max(0, self.bottom - other.top, other.bottom - self.top)
        return wide * wide + deep * deep + high * high


def storage_space(closet: Closet, layout: Layout) -> dict[int, tuple[Block, ...]]:
    """The storage space as boxes, by group of walls that are joined; the upper part reaches up to the ceiling.

    A free end of the wall that faces the door is taken as a side wall of the closet, of any wall where the door
    is not placed (safe); along a side wall the upper part is 12 in out.
    """
    places = frames(closet)
    rods = [
        opening.bottom + opening.height
        for wall in layout.walls
        for bay in wall.bays
        for opening in bay.openings
        if opening.kind is OpeningKind.HANG
    ]
    split = max([LOWER_TOP, *rods])
    found: dict[int, list[Block]] = {}
    followed = {wall.corner for wall in closet.wall if wall.corner is not None}
    faced = closet.door.faces if closet.door is not None else None
    for wall in closet.wall:
        frame = places[wall.name]
        upper = max(UPPER_OUT, wall.depth + step_off(closet))
        blocks = found.setdefault(frame.group, [])
        blocks.append(Block(frame.rect(0, frame.length, 0, LOWER_OUT), 0, split))
        blocks.append(Block(frame.rect(0, frame.length, 0, upper), 0, closet.ceiling))
        if faced not in (None, wall.name):
            continue
        far = wall.front or FAR
        for out, top in ((LOWER_OUT, split), (UPPER_OUT, closet.ceiling)):
            if wall.name not in followed:
                blocks.append(Block(frame.rect(0, out, 0, far), 0, top))
            if wall.corner is None:
                blocks.append(Block(frame.rect(frame.length - out, frame.length, 0, far), 0, top))
    return {group: tuple(blocks) for group, blocks in found.items()}


def lamp_block(closet: Closet, lamp: Lamp) -> tuple[int, Block]:
    """Group of walls and box of a lamp; from its lowest point to the ceiling."""
    frame = frames(closet)[lamp.wall]
    rect = frame.rect(lamp.left, lamp.left + lamp.width, lamp.out, lamp.out + lamp.depth)
    bottom = closet.ceiling if lamp.bottom is None else lamp.bottom
    return frame.group, Block(rect, bottom, max(bottom, closet.ceiling))


def clearance(closet: Closet, layout: Layout, lamp: Lamp) -> int:
    """Distance from a lamp to the nearest storage space, rounded down to a tick; 0 when it is in it."""
    return math.isqrt(_clearance_squared(closet, layout, lamp))


def _clearance_squared(closet: Closet, layout: Layout, lamp: Lamp) -> int:
    group, block = lamp_block(closet, lamp)
    spaces = storage_space(closet, layout)[group]
    return min(block.distance_squared(space) for space in spaces)


def is_clear(closet: Closet, layout: Layout, lamp: Lamp) -> bool:
    """Whether a lamp is of a kind that is allowed and keeps its clearance, compared exactly."""
    least = CLEARANCES.get(lamp.kind)
    return least is not None and _clearance_squared(closet, layout, lamp) >= least * least


def lamp_checks(closet: Closet, layout: Layout) -> Iterator[Check]:
    """Every lamp against the storage space as the plan has it."""
    for number, lamp in enumerate(closet.lamp, start=1):
        least = CLEARANCES.get(lamp.kind)
        place = Place(wall=lamp.wall, thing=f"lamp {number}, {lamp.kind}")
        note = "from the lamp to the storage space"
        away = clearance(closet, layout, lamp)
        if least is None:
            note = (
                f"an {lamp.kind} is not allowed in a closet" if lamp.kind == "open bulb" else "not allowed in a closet"
            )
            away, least = -1, Ticks(0)
        cure = None if is_clear(closet, layout, lamp) else _cure(closet, layout, lamp, number)
        rule = Rule("lamp clear of the storage space", "at least", SOURCE, "published, second hand", note)
        yield length_check(closet.units, rule, place, away, least, cure)


def _cure(closet: Closet, layout: Layout, lamp: Lamp, number: int) -> Cure | None:
    """Another place if the lamp may stay, else a recessed one, else one identified for use in the storage space."""
    units, key = closet.units, f"lamp.{number}"
    trials: list[tuple[str, str, dict[str, object], dict[str, JsonValue]]] = []
    out = _nearest_place(closet, layout, lamp) if lamp.kind in CLEARANCES else None
    if out is not None:
        shown = format_length(out, units)
        trials.append(("other place", f"move it to {shown} from wall {lamp.wall}", {"out": out}, {f"{key}.out": shown}))
    for kind, words in (
        ("recessed led", "take a recessed, fully enclosed LED fixture"),
        ("closet rated", "take a fixture identified for use within the storage space"),
    ):
        settings: dict[str, JsonValue] = {f"{key}.kind": kind, f"{key}.bottom": None}
        trials.append((kind, words, {"kind": kind, "bottom": None}, settings))
        out = _nearest_place(closet, layout, lamp.model_copy(update={"kind": kind, "bottom": None}))
        if out is not None:
            shown = format_length(out, units)
            more = {**settings, f"{key}.out": shown}
            trials.append(
                (kind, f"{words}, {shown} from wall {lamp.wall}", {"kind": kind, "bottom": None, "out": out}, more)
            )
    for action, words, update, settings in trials:
        other = lamp.model_copy(update=update)
        if is_clear(closet, layout, other):
            return length_cure(
                units,
                action=action,
                sentence=f"{words}; have a licensed electrician do it",
                settings=settings,
                computed=clearance(closet, layout, other),
                limit=CLEARANCES[other.kind],
            )
    return None


def _nearest_place(closet: Closet, layout: Layout, lamp: Lamp) -> Ticks | None:
    """The nearest place further out from its wall, on a mark of the rule, where a lamp is clear."""
    wall = next(wall for wall in closet.wall if wall.name == lamp.wall)
    start, step = up_to_mark(lamp.out, closet.units), up_to_mark(1, closet.units)
    for at in range(start, wall.front or FAR, step):
        if is_clear(closet, layout, lamp.model_copy(update={"out": Ticks(at)})):
            return Ticks(at)
    return None
