"""What boards, sticks and rods are made of: stiffness, weight and creep, each with its source.

Figures stand in `materials.csv` as printed (million psi, lb/ft3, specific gravity) and are converted once, here.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from capacity.units import KG_PER_M3_PER_LB_PER_FT3, MPA_PER_PSI

MOISTURE = 1.12
"""Weight of wood at 12 % moisture over its oven-dry weight, on which specific gravity is based (by definition)."""

WATER_LB_FT3 = 62.4
"""Weight of water [lb/ft3], handbook value (from memory)."""

ACROSS_GRAIN = 1 / 3
"""Stiffness of plywood whose face grain runs across the span, as a share. Our proposal: 1/3 to 2/3 for 5 to 7
plies, from the rule that a veneer at right angles counts about 1/35; the lower end is taken."""

HowKnown = Literal["published", "published, second hand", "from memory"]
_Printed = Annotated[float | None, BeforeValidator(lambda cell: float(cell) if cell else None)]


class Material(BaseModel):
    """One material. `creep` is long-term deflection over first deflection; `shear_ratio` is E/G.

    Creep of solid wood 1.5: AWC NDS 3.5.2 (published, second hand). All other creep factors and all shear ratios
    of wood and boards are our proposal (handbook: creep 1 to 3 in general; MDF industry: up to 1.5).
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    family: Literal["board", "solid", "metal"]
    modulus_mpsi: float = Field(gt=0, lt=100)
    specific_gravity: _Printed = None
    density_lb_ft3: _Printed = None
    shear_ratio: float = Field(gt=1, lt=100)
    creep: float = Field(ge=1, le=3)
    source: str = Field(min_length=5)
    how_known: HowKnown

    @model_validator(mode="after")
    def _has_one_weight(self) -> Material:
        if (self.specific_gravity is None) == (self.density_lb_ft3 is None):
            msg = f"{self.name}: either a specific gravity or a density, not both"
            raise ValueError(msg)
        return self

    @property
    def modulus(self) -> float:
        """Modulus of elasticity E [MPa]."""
        return self.modulus_mpsi * 1e6 * MPA_PER_PSI

    @property
    def shear_modulus(self) -> float:
        """Shear modulus G [MPa]."""
        return self.modulus / self.shear_ratio

    @property
    def density(self) -> float:
        """Density [kg/m3], at 12 % moisture for wood."""
        pounds = self.density_lb_ft3
        if pounds is None:
            pounds = (self.specific_gravity or 0.0) * WATER_LB_FT3 * MOISTURE
        return pounds * KG_PER_M3_PER_LB_PER_FT3


@cache
def materials() -> Mapping[str, Material]:
    """All materials by name, in the order of the file."""
    text = resources.files("capacity.closet").joinpath("materials.csv").read_text(encoding="utf-8")
    rows = [Material.model_validate(record) for record in csv.DictReader(io.StringIO(text), strict=True)]
    found = {row.name: row for row in rows}
    if len(found) != len(rows):
        msg = "materials.csv names a material twice"
        raise ValueError(msg)
    return MappingProxyType(found)


def names_of(*families: str) -> tuple[str, ...]:
    """Names of the materials of some families, in the order of the file."""
    return tuple(material.name for material in materials().values() if material.family in families)


# Thickness allowed in a performance category [in]: PS 1 as published by the panel association (published,
# second hand); unsanded, touch-sanded and overlaid panels. Name, least, most.
PERFORMANCE_CATEGORIES: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "1/4": (0.219, 0.281),
        "11/32": (0.313, 0.375),
        "15/32": (0.438, 0.500),
        "1/2": (0.469, 0.531),
        "19/32": (0.563, 0.625),
        "5/8": (0.594, 0.656),
        "23/32": (0.688, 0.750),
        "3/4": (0.719, 0.781),
    }
)
PERFORMANCE_SOURCE = "PS 1 table of performance categories, as published by the panel association"
