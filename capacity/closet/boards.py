"""Shelf and rod stock as `closet.toml` gives it: thickness, material, strips and supports."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, BeforeValidator, Field

from capacity.closet.construction import Money
from capacity.closet.fields import Room, Table, Text, Thick, one_or_several, show_value
from capacity.closet.materials import PERFORMANCE_CATEGORIES, materials, names_of
from capacity.units import Ticks, inches

STANDARDS = ("architectural", "heavy architectural", "kitchen cabinet", "laboratory")
"""Names of the load standards that a shelf can be held to; figures stand in `checks.sag_limits`."""

TUBE_WALL = inches(0.035)
"""Wall of a metal rod when none is written: the thinnest that is usual (our proposal, the safe side)."""


def _known(*families: str) -> AfterValidator:
    def read(name: str) -> str:
        plain = " ".join(name.casefold().split())
        if plain not in materials() or materials()[plain].family not in families:
            msg = f"{show_value(name)} is not a material that is known here; known: {', '.join(names_of(*families))}"
            raise ValueError(msg)
        return plain

    return AfterValidator(read)


def _category(name: str) -> str:
    if name not in PERFORMANCE_CATEGORIES:
        msg = f"{show_value(name)} is not a performance category; known: {', '.join(PERFORMANCE_CATEGORIES)}"
        raise ValueError(msg)
    return name


class StiffeningStrip(Table):
    """A solid strip along a shelf: at the front edge flush with its top, or a cleat under its back edge."""

    material: Annotated[Text, _known("solid", "board", "metal")] = "poplar"
    thickness: Thick
    height: Thick
    glued: bool = True


class Panel(Table):
    """Shelf and upright stock. `thickness` is what the design counts with; `measured` what a caliper says.

    `support_every`: middle supports under every shelf, at most so far apart. 23/32 in is what 3/4 in plywood
    usually is (common practice, no published source).
    """

    thickness: Thick = Field(default="23/32 in", validate_default=True)
    sheet: tuple[Room, Room] | None = None
    price: Money | None = None
    material: Annotated[Text, _known("board", "solid")] = "plywood"
    grain: Literal["along", "across"] = "along"
    ends: Literal["supported", "clamped"] = "supported"
    standard: Literal["architectural", "heavy architectural", "kitchen cabinet", "laboratory"] = "architectural"
    category: Annotated[Text, AfterValidator(_category)] | None = None
    measured: Annotated[tuple[Thick, ...], BeforeValidator(one_or_several), Field(max_length=50)] = ()
    strip: StiffeningStrip | None = None
    cleat: StiffeningStrip | None = None
    support_every: Room | None = None

    @property
    def thinnest(self) -> Ticks:
        """Least measured thickness, for stiffness."""
        return min(self.measured, default=self.thickness)

    @property
    def thickest(self) -> Ticks:
        """Greatest measured thickness, for how much room the uprights take."""
        return max(self.measured, default=self.thickness)


class Rod(Table):
    """The rod that garments hang on: a dowel of wood, or a tube of metal with `wall` thickness.

    Poplar, the weakest wood that rods are usually made of, when nothing is written (our proposal, the safe
    side). `support_every`: centre brackets, at most so far apart. 1 1/4 in is the least that the pole rule allows
    (see `checks.sag_limits`).
    """

    diameter: Thick = Field(default="1 1/4 in", validate_default=True)
    material: Annotated[Text, _known("solid", "metal")] = "poplar"
    wall: Thick | None = None
    support_every: Room | None = None

    @property
    def is_metal(self) -> bool:
        """Whether it is a metal tube or bar."""
        return materials()[self.material].family == "metal"

    @property
    def bore(self) -> Ticks:
        """Inner diameter; 0 for a dowel or a solid bar."""
        wall = self.wall if self.wall is not None else (TUBE_WALL if self.is_metal else None)
        return Ticks(max(0, self.diameter - 2 * wall)) if wall is not None else Ticks(0)
