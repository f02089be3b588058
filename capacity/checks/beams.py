"""Beams: how far a shelf or a rod bends. Pure mechanics in one coherent set of units: N, mm, MPa (N/mm2).

Deflection = kb W L^3/(E I) + ks W L/(G A'), bending and shear added, with kb and ks of the case. Loads are
symmetric about the middle; `nested_sag` puts the heaviest line load in the middle, which is the worst order
in which things can stand, because the influence of a load falls from the middle to the ends.

References
----------
Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, chapter 9, equation 9-2 and Table 9-1 (kb, ks).
Form of A' (5/6 of a rectangle, 9/10 of a round, 1/2 of a thin tube) and mixed sections: mechanics, from memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum


class Ends(StrEnum):
    """How a shelf or rod is held at its ends; `SUPPORTED` is the safe choice."""

    SUPPORTED = "supported"  # lies on pins, cleats or in sockets: free to turn
    CLAMPED = "clamped"  # held so that it cannot turn, as wood is hardly ever held


@dataclass(frozen=True, slots=True)
class Section:
    """What a cross-section resists with: `bending` is E I [N mm2], `shear` is G A' [N]."""

    bending: float
    shear: float

    def __post_init__(self) -> None:
        """Refuse a section that resists nothing."""
        if not (self.bending > 0 and self.shear > 0):
            msg = f"a section must resist bending and shear, not {self.bending} and {self.shear}"
            raise ValueError(msg)


@dataclass(frozen=True, slots=True)
class Layer:
    """A rectangle of one material in a section: E and G [MPa], breadth and height [mm], its lower edge [mm]."""

    modulus: float
    shear_modulus: float
    breadth: float
    height: float
    bottom: float = 0.0

    @property
    def area(self) -> float:
        """Area [mm2]."""
        return self.breadth * self.height


@dataclass(frozen=True, slots=True)
class LineLoad:
    """A uniform load over a length: `intensity` [N/mm], `length` [mm]."""

    intensity: float
    length: float


# (kb, ks) of the Wood Handbook, Table 9-1, by load and ends; deflection is at midspan or at the free end.
HANDBOOK_FACTORS: dict[str, tuple[float, float]] = {
    "uniform, both ends supported": (5 / 384, 1 / 8),
    "uniform, both ends clamped": (1 / 384, 1 / 8),
    "middle load, both ends supported": (1 / 48, 1 / 4),
    "middle load, both ends clamped": (1 / 192, 1 / 4),
    "two quarter-point loads, both ends supported": (11 / 768, 1 / 8),
    "uniform, cantilever": (1 / 8, 1 / 2),
    "end load, cantilever": (1 / 3, 1.0),
}


def deflection(factors: tuple[float, float], load: float, span: float, section: Section) -> float:
    """Deflection kb W L^3/(E I) + ks W L/(G A') [mm].

    Parameters
    ----------
    factors
        kb and ks of the case, e.g. an entry of `HANDBOOK_FACTORS`.
    load
        The whole load W [N].
    span
        Clear span L [mm]; must be > 0.
    section
        Bending and shear stiffness.

    Raises
    ------
    ValueError
        When the span is not above 0.

    Examples
    --------
    A shelf of 18 mm x 300 mm, E = 2500 MPa, 600 mm long under 20 kg sags 1.514 mm (shear left out):

    >>> section = Section(2500 * rectangle_inertia(300, 18), 1e30)
    >>> round(deflection(HANDBOOK_FACTORS["uniform, both ends supported"], 20 * 9.81, 600, section), 3)
    1.514
    """
    if not span > 0:
        msg = f"the span must be above 0, not {span}"
        raise ValueError(msg)
    kb, ks = factors
    return kb * load * span**3 / section.bending + ks * load * span / section.shear


def patch_factors(share: float, ends: Ends) -> tuple[float, float]:
    """Factors kb and ks of a uniform load over the middle `share` (0 to 1) of the span, at midspan.

    Supported: kb = (8 - 4 r^2 + r^3)/384. Clamped: kb = (2 - 2 r^2 + r^3)/384. Both: ks = (2 - r)/8.
    With r = 1 these are the handbook's uniform load, with r = 0 its load in the middle. Derived by
    integrating the influence line of the midspan deflection.

    Examples
    --------
    >>> patch_factors(1, Ends.SUPPORTED) == (5 / 384, 1 / 8)
    True
    """
    if not 0 <= share <= 1:
        msg = f"the loaded share of a span must be 0 to 1, not {share}"
        raise ValueError(msg)
    first, second = (8, 4) if ends is Ends.SUPPORTED else (2, 2)
    return (first - second * share**2 + share**3) / 384, (2 - share) / 8


def nested_sag(loads: Iterable[LineLoad], span: float, ends: Ends, section: Section) -> float:
    """Midspan sag when the heaviest line load stands in the middle and the others beside it [mm].

    No other order of the same loads sags more. What does not find room within the span is left out.

    Parameters
    ----------
    loads
        Line loads, in any order; lengths that add up to more than the span are cut off, the lightest first.
    span, ends, section
        The beam; span [mm].
    """
    ordered = sorted(loads, key=lambda load: (-load.intensity, load.length))
    total, reached = 0.0, 0.0
    for index, load in enumerate(ordered):
        reached = min(span, reached + load.length)
        lighter = ordered[index + 1].intensity if index + 1 < len(ordered) and reached < span else 0.0
        step = load.intensity - lighter
        total += deflection(patch_factors(reached / span, ends), step * reached, span, section)
        if reached >= span:
            break
    return total


def two_span_sag(intensity: float, span: float, section: Section) -> float:
    """Greatest sag of a beam over two equal spans, uniformly loaded, with shear [mm].

    One end supported, the other clamped by symmetry. Reaction at the free end R = w L (1/8 + a/2)/(1/3 + a)
    with a = E I/(G A' L^2); without shear R = 3/8 w L and the sag is w L^4/(185 E I) at 0.4215 L.

    Parameters
    ----------
    intensity
        Line load w [N/mm].
    span
        Length of each of the two spans [mm].

    References
    ----------
    Case without shear: beam tables of the AISC Manual and AWC Design Aid 6 (published, second hand). Shear: unit
    load method, derived here.
    """
    if not span > 0:
        msg = f"the span must be above 0, not {span}"
        raise ValueError(msg)
    bending, shear = section.bending, section.shear
    ratio = bending / (shear * span**2)
    reaction = intensity * span * (1 / 8 + ratio / 2) / (1 / 3 + ratio)
    slope = (reaction * span**2 / 2 - intensity * span**3 / 6) / bending

    def sag(place: float) -> float:
        bent = slope * place - (reaction * place**3 / 6 - intensity * place**4 / 24) / bending
        return bent + (reaction * place - intensity * place**2 / 2) / shear

    low, high = 0.0, span
    for _ in range(100):  # the sag has one hump: thirds close in on its top
        left, right = low + (high - low) / 3, high - (high - low) / 3
        if sag(left) < sag(right):
            low = left
        else:
            high = right
    return sag((low + high) / 2)


# ---- sections -----------------------------------------------------------------------------------------


def rectangle_inertia(breadth: float, height: float) -> float:
    """Second moment of area of a rectangle, b h^3/12 [mm4]."""
    return breadth * height**3 / 12


def round_inertia(diameter: float, bore: float = 0.0) -> float:
    """Second moment of area of a round bar or tube, pi (D^4 - d^4)/64 [mm4]; exact for any wall."""
    if not 0 <= bore < diameter:
        msg = f"a bore of {bore} does not fit into a diameter of {diameter}"
        raise ValueError(msg)
    return math.pi * (diameter**4 - bore**4) / 64


def round_section(modulus: float, shear_modulus: float, diameter: float, bore: float = 0.0) -> Section:
    """A round bar or tube; A' is 9/10 of a solid round and 1/2 of a tube."""
    area = math.pi * (diameter**2 - bore**2) / 4
    return Section(modulus * round_inertia(diameter, bore), shear_modulus * area * (0.5 if bore else 0.9))


def composite_section(layers: Sequence[Layer], glued: bool = True) -> Section:
    """A board with a strip or cleat along it, bending about a level axis.

    Glued: E I = sum E_i (I_i + A_i d_i^2) about y = sum(E_i A_i y_i)/sum(E_i A_i). Screwed only: the sum of
    E_i I_i about each one's own axis, because the joint slips. Shear: the layers side by side, sum of G A'.

    Parameters
    ----------
    layers
        At least one; `bottom` of all is measured from the same level.
    glued
        Whether the joint holds without slip.

    Notes
    -----
    All layers bend together only where the load is passed on between front and back edge; a strip at the
    front counts for the whole depth only while the back edge is held too (cleat, groove or pins).
    """
    if not layers:
        msg = "a section needs at least one layer"
        raise ValueError(msg)
    weight = sum(layer.modulus * layer.area for layer in layers)
    axis = sum(layer.modulus * layer.area * (layer.bottom + layer.height / 2) for layer in layers) / weight
    bending = 0.0
    for layer in layers:
        arm = layer.bottom + layer.height / 2 - axis if glued else 0.0
        bending += layer.modulus * (rectangle_inertia(layer.breadth, layer.height) + layer.area * arm**2)
    return Section(bending, sum(layer.shear_modulus * 5 / 6 * layer.area for layer in layers))
