"""The walls and what stands there: the tables `[[wall]]`, `[[before]]` and `[[built]]` of `closet.toml`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from capacity.closet.fields import Need, Position, Room, Table, Text, Thick, one_or_several, show_value
from capacity.units import Ticks, Units, format_length, shorten

MOST_PLACES = 200
"""Blocked parts, bays or openings in one list (chosen by us)."""


class Blocked(Table):
    """A part of a wall where nothing may be built; `what` it is, where that asks for more: a radiator gives heat."""

    left: Position
    width: Thick
    bottom: Position
    height: Thick
    what: Literal["radiator", "window", "panel", "hatch"] | None = None


class Wall(Table):
    """A stretch of wall to build against, left to right as one faces it.

    `lean` is how far its ends are out of plumb over the height, `out_of_square` how far the end walls run out of
    square over the depth, `level` how much the floor falls along it, `front` the free floor from this wall to
    what faces it.
    """

    name: Text
    width: Annotated[tuple[Room, ...], BeforeValidator(one_or_several), Field(min_length=1, max_length=20)]
    depth: Room
    corner: Text | None = None
    ceiling: Annotated[tuple[Room, Room], Field()] | None = None
    blocked: Annotated[tuple[Blocked, ...], Field(max_length=MOST_PLACES)] = ()
    lean: Need = Ticks(0)
    out_of_square: Need = Ticks(0)
    level: Need = Ticks(0)
    front: Room | None = None

    @property
    def clear_width(self) -> Ticks:
        """The least of the measured widths."""
        return min(self.width)


class OldOpening(Table):
    """One opening of today's closet; `bottom` is measured from the floor."""

    kind: Literal["shelf", "hang", "drawer"]
    bottom: Position
    height: Room


class BayToday(Table):
    """One bay of today's closet, or of what was built, its openings from the floor up."""

    wall: Text
    left: Position
    width: Room
    depth: Room
    openings: Annotated[tuple[OldOpening, ...], Field(max_length=MOST_PLACES)]


def corner_faults(walls: Sequence[Wall]) -> Iterator[tuple[str, str]]:
    """A corner that names no other wall, or a wall that begins at two corners."""
    names = [wall.name for wall in walls]
    started: dict[str, str] = {}
    for number, wall in enumerate(walls, start=1):
        if wall.corner is None:
            continue
        place = f'[[wall]] {number} "{shorten(wall.name)}", corner'
        if wall.corner not in names or wall.corner == wall.name:
            others = ", ".join(f'"{shorten(name)}"' for name in names if name != wall.name) or "none"
            yield place, f"{show_value(wall.corner)} is not another wall; the others are: {others}"
        elif wall.corner in started:
            yield (
                place,
                f'wall "{shorten(started[wall.corner])}" already ends at the start of {show_value(wall.corner)}',
            )
        else:
            started[wall.corner] = wall.name


def before_faults(
    bays: Sequence[BayToday], walls: Sequence[Wall], ceiling: Ticks, units: Units, table: str = "before"
) -> Iterator[tuple[str, str]]:
    """Bays of `[[before]]` or `[[built]]` that leave their wall or the room, or overlap."""

    def show(length: int) -> str:
        return format_length(Ticks(length), units)

    named = {wall.name: wall for wall in walls}
    placed: dict[str, list[tuple[int, int, int]]] = {}
    for number, bay in enumerate(bays, start=1):
        place = f"[[{table}]] {number}"
        wall = named.get(bay.wall)
        if wall is None:
            known = ", ".join(f'"{shorten(name)}"' for name in named)
            yield f"{place}, wall", f"{show_value(bay.wall)} is not a wall; the walls are: {known}"
            continue
        if bay.left + bay.width > wall.clear_width:
            end = show(bay.left + bay.width)
            yield f"{place}, width", f"the bay ends at {end}, outside the wall's {show(wall.clear_width)}"
        for other, left, right in placed.setdefault(bay.wall, []):
            if bay.left < right and left < bay.left + bay.width:
                yield f"{place}, left", f"the bay overlaps [[{table}]] {other} on the same wall"
        placed[bay.wall].append((number, bay.left, bay.left + bay.width))
        highest = max(wall.ceiling) if wall.ceiling else ceiling
        for index, opening in enumerate(bay.openings, start=1):
            upper = opening.bottom + opening.height
            if upper > highest:
                yield (f"{place}, opening {index}", f"ends at {show(upper)}, above the ceiling of {show(highest)}")
            for below, lower in enumerate(bay.openings[: index - 1], start=1):
                if opening.bottom < lower.bottom + lower.height and lower.bottom < upper:
                    yield f"{place}, opening {index}", f"overlaps opening {below} of the same bay"
