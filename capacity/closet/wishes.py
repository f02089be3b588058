"""What the household may wish for beside single settings: tables of `[wishes]` in `closet.toml`."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from capacity.closet.construction import Money
from capacity.closet.fields import Name, Need, NeedOrAuto, Position, Room, Table, Text, Thick, Usual, one_or_several
from capacity.closet.walls import MOST_PLACES
from capacity.units import PER_MM, Ticks, inches

DRAWER_OPENING = inches(7.25)
"""Opening of a drawer where none is written: 6 in inside the drawer (common practice, no published source) and the
1 1/4 in that the drawer rule takes [ticks]."""


UNDER_CEILING = {"in": inches(0.5), "mm": Ticks(12 * PER_MM)}
"""How far built-ins stay below a ceiling or a slope where there is any play (common practice, no published source)
[ticks]."""


ROWS = {"in": inches(1.25), "mm": Ticks(32 * PER_MM)}
"""Usual distance of the rows of holes that loose shelves stand on (common practice, no published source) [ticks]."""


class BayPlace(Table):
    """Where a bay that must be stands: its clear left face from the left end of the wall, and its clear width."""

    wall: Text
    left: Position
    width: Room


class WishedBay(BayPlace):
    """A bay that must be, and what it is.

    `kind` is what its openings below the top panel are made for: all of them, but that over drawers, which end at
    `highest_drawer`, come shelves. `rod` are the heights of its rods over the floor, to their middle, and makes it a
    bay of rods: garments hang from the bottom panel up, and over the highest rod is a shelf where there is room for
    one. `bottom` is the lower face of the bottom panel over the floor, and 0 is on the floor; under it nothing is
    built but the uprights.
    """

    kind: Literal["shelf", "hang", "drawer"] | None = None
    rod: Annotated[tuple[Position, ...], BeforeValidator(one_or_several), Field(max_length=20)] = ()
    bottom: Position = Ticks(0)


class OwnUnit(BayPlace):
    """A chest, a tower of drawers or baskets that is owned already and stands on the floor in a bay that must be.

    `width`, `depth` and `height` are its own, outside; `what` is its name. The bay is wider by the play, and begins
    over it with hand room between. What lies in it is no part of the count.
    """

    what: Name
    width: Thick
    depth: Thick
    height: Thick


class Drawers(BayPlace):
    """A bank of drawers in a bay that must be: how many, and the clear height of the opening of each."""

    count: Annotated[int, Field(ge=1, le=20)]
    height: Thick = DRAWER_OPENING


NEITHER = "says neither whose things nor which kind; write owner, what or both"


class KeepTo(Table):
    """Things that keep to a wall: an owner's, of one kind, or both; `alone`: nothing of other owners joins them."""

    wall: Text
    owner: Name | None = None
    what: Text | None = None
    alone: bool = False

    @model_validator(mode="after")
    def _says_what(self) -> KeepTo:
        if self.owner is None and self.what is None:
            msg = NEITHER
            raise ValueError(msg)
        return self


class Must(Table):
    """What has a place before anything else is weighed: an owner's things, those of one kind, or both."""

    owner: Name | None = None
    what: Text | None = None

    @model_validator(mode="after")
    def _says_what(self) -> Must:
        if self.owner is None and self.what is None:
            msg = NEITHER
            raise ValueError(msg)
        return self


class Wishes(Table):
    """What the household wants.

    The default lengths are common practice, no published source, but for `max_rod`, which is that of the pole rule
    (`checks/sag_limits`), and `hang_allowance`: 3 in from the pole to what is above it, as an architects' handbook of
    building types has it (seen only as quoted), and 1 in under the hem. Where `max_shelf` and `max_rod` are not
    written, stock and piles may make them less.

    `years` asks for a layout that holds the sizes of now and those that children will have in so many years.

    `play` to `round` bind only what is built anew, and 0 switches each off. Play is kept at the right end of a wall,
    where what a row of bays leaves over lies; at an end that is given up to the owner of a corner the room in front of
    that is play enough. A bay that must be keeps its measured sizes, and so does the row between two of them.
    """

    toe_kick: Need = Field(default="3 in", validate_default=True)
    gap: Need = Field(default="1 in", validate_default=True)
    hang_allowance: Need = Field(default="4 in", validate_default=True)
    min_bay: Thick = Field(default="12 in", validate_default=True)
    max_shelf: Room = Field(default="36 in", validate_default=True)
    max_rod: Room = Field(default="48 in", validate_default=True)
    rows_deep: Annotated[int, Field(ge=1, le=20)] = 1
    corner_access: Need = Field(default="12 in", validate_default=True)
    owners_apart: bool = False
    years: Annotated[int, Field(ge=0, le=17)] = 0
    spare: Annotated[float, Field(ge=0, le=0.9, strict=False, allow_inf_nan=False)] = 0.0
    keep_bays: bool = False
    prefer: Literal["plywood"] | None = None
    budget: Money = 0.0
    play: Need = Field(default=Usual("1/4 in", "6 mm"), validate_default=True)
    least_opening: Need = Field(default=Usual("4 in", "100 mm"), validate_default=True)
    least_drawer: Need = Field(default=Usual("4 in", "100 mm"), validate_default=True)
    highest_drawer: Position = Field(default=Usual("48 in", "1220 mm"), validate_default=True)
    round: Need = Field(default=Usual("1/16 in", "1 mm"), validate_default=True)
    pitch: NeedOrAuto = Field(default="auto", validate_default=True)
    bay: Annotated[tuple[WishedBay, ...], Field(max_length=MOST_PLACES)] = ()
    drawers: Annotated[tuple[Drawers, ...], Field(max_length=MOST_PLACES)] = ()
    unit: Annotated[tuple[OwnUnit, ...], Field(max_length=MOST_PLACES)] = ()
    must: Annotated[tuple[Must, ...], Field(max_length=MOST_PLACES)] = ()
    keep_to: Annotated[tuple[KeepTo, ...], Field(max_length=MOST_PLACES)] = ()

    @property
    def fixed_pitch(self) -> Ticks:
        """The distance of rows of holes that every shelf stands on; 0: none, or only where they cost nothing."""
        return Ticks(0) if self.pitch == "auto" else self.pitch

    @property
    def bays(self) -> tuple[tuple[str, WishedBay], ...]:
        """Every bay that must be, banks of drawers aside, with its place in the file: those of own units too."""
        mark, least = max(1, self.round), self.min_bay
        return (
            *((f"[[wishes.bay]] {number}", bay) for number, bay in enumerate(self.bay, start=1)),
            *(
                (
                    f"[[wishes.unit]] {number}",
                    WishedBay.model_construct(
                        wall=unit.wall,
                        left=unit.left,
                        width=Ticks(max(least, -(-(unit.width + self.play) // mark) * mark)),
                        kind=None,
                        rod=(),
                        bottom=Ticks(max(self.toe_kick, -(-(unit.height + self.gap) // mark) * mark)),
                    ),
                )
                for number, unit in enumerate(self.unit, start=1)
            ),
        )

    @property
    def spare_share(self) -> Fraction:
        """The share of room to leave free, exactly as typed (0.15 is 3/20)."""
        return Fraction(str(self.spare))
