"""One part of the built-ins with its cut size and its place: what `carpentry` makes and everything else reads."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from capacity.closet.construction import Construction
from capacity.drawings.drawing import Extent


class StockKind(StrEnum):
    """What a part is cut from; sheets first, then what is sold by length."""

    PANEL = "panel"
    BACK = "back"
    DRAWER_BOX = "drawer box"
    DRAWER_BOTTOM = "drawer bottom"
    ROD = "rod"
    NOSING = "nosing"
    SHELF_CLEAT = "shelf cleat"


SHEETS = (StockKind.PANEL, StockKind.BACK, StockKind.DRAWER_BOX, StockKind.DRAWER_BOTTOM)
STICKS = (StockKind.ROD, StockKind.NOSING, StockKind.SHELF_CLEAT)


class Role(StrEnum):
    """What a part is for; the value is its name in the cut list."""

    UPRIGHT = "upright"
    BOTTOM = "bottom"
    TOP = "top"
    FIXED = "fixed shelf"
    LOOSE = "loose shelf"
    KICK = "kick board"
    BASE = "base"
    CLEAT = "wall cleat"
    SUPPORT = "shelf support"
    SCRIBE = "scribe strip"
    FILLER = "filler panel"
    BACK = "back"
    FRONT = "drawer front"
    BOX_SIDE = "drawer side"
    BOX_FRONT = "drawer box front"
    BOX_BACK = "drawer box back"
    BOX_BOTTOM = "drawer bottom"
    ROD = "rod"
    NOSING = "nosing"
    SHELF_CLEAT = "shelf cleat"


class Lie(StrEnum):
    """How a part lies as one faces the wall; the value says what is seen, level x upright."""

    FLAT = "length x thickness"
    STANDING = "thickness x length"
    FACING = "length x width"
    FACING_UP = "width x length"
    END_ON = "thickness x width"


SHELVES = (Role.BOTTOM, Role.TOP, Role.FIXED, Role.LOOSE)
FIXED_SHELVES = (Role.BOTTOM, Role.TOP, Role.FIXED)


@dataclass(frozen=True, slots=True)
class Part:
    """One part as it is cut; lengths in ticks.

    `length` runs with the grain, `width` across it. `long_bands` and `short_bands` say how many of its long and
    short edges are banded (long: along `length`). `wall` and `bay` count from 1, bay 0 belongs to the whole wall.
    `left` and `bottom` are where its lower left corner is seen, from the left end of the wall and from the floor.
    """

    label: str
    role: Role
    material: StockKind
    length: int
    width: int
    thickness: int
    has_grain: bool
    long_bands: int
    short_bands: int
    wall: int
    bay: int
    left: int
    bottom: int
    lie: Lie
    note: str = ""

    @property
    def seen(self) -> Extent:
        """What of it is seen from the front, as a box on the wall."""
        across, high = {
            Lie.FLAT: (self.length, self.thickness),
            Lie.STANDING: (self.thickness, self.length),
            Lie.FACING: (self.length, self.width),
            Lie.FACING_UP: (self.width, self.length),
            Lie.END_ON: (self.thickness, self.width),
        }[self.lie]
        return Extent(self.left, self.bottom, self.left + across, self.bottom + high)

    @property
    def area(self) -> int:
        """Area of its face [square ticks]."""
        return self.length * self.width

    @property
    def band_lengths(self) -> tuple[int, ...]:
        """Lengths of its banded edges [ticks]."""
        return (self.length,) * self.long_bands + (self.width,) * self.short_bands


def fixed_length(width: int, built: Construction) -> int:
    """Length of a fixed shelf between two uprights a clear width apart."""
    return width + 2 * built.dado - built.dado_play if built.joint == "dado" else width
