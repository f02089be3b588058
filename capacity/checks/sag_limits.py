"""Will it hold: the sag of a shelf and the bow of a rod of one stock, and the longest that the stock allows.

Two verdicts on a shelf are kept apart. *Meets the standard*: first deflection under a standard's design load.
*Looks straight*: deflection after years under what stands there and the shelf's own weight.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from capacity.checks.beams import (
    HANDBOOK_FACTORS,
    Ends,
    Layer,
    LineLoad,
    Section,
    composite_section,
    deflection,
    nested_sag,
    round_section,
    two_span_sag,
)
from capacity.closet.boards import Panel, Rod, StiffeningStrip
from capacity.closet.materials import ACROSS_GRAIN, materials
from capacity.units import MM_PER_INCH, MPA_PER_PSF, NEWTONS_PER_KG, NEWTONS_PER_POUND, Ticks, inches, to_mm
from capacity.wardrobe.kinds import Store
from capacity.wardrobe.piles import Pile

SAFE_ROUNDING = 1 + 1e-9
"""A computed figure passes when it is above its limit by no more than rounding in floating point."""


@dataclass(frozen=True, slots=True)
class Standard:
    """A standard's design load [lb/ft2], most load on one shelf [lb], and its limits of sag."""

    load_psf: float
    most_lb: float | None
    span_over: float | None  # the sag may be at most span / this
    most_in: float | None
    source: str
    how_known: str


STANDARDS: dict[str, Standard] = {
    "architectural": Standard(
        40, 200, 144, None, "Architectural Woodwork Standards 1st ed. 2009, 1.2.21.2 and 1.2.21.3.1.1", "published"
    ),
    "heavy architectural": Standard(
        50, 200, 144, None, "Architectural Woodwork Standards 1st ed. 2009, 1.2.21.2 and 1.2.21.3.1.1", "published"
    ),
    "kitchen cabinet": Standard(15, None, 192, 0.25, "ANSI/KCMA A161.1 clause 5.1", "published, second hand"),
    "laboratory": Standard(40, 200, None, 0.25, "SEFA 8; most load as in woodwork", "published, second hand"),
}

LOOKS_STRAIGHT = 384
"""A shelf looks straight up to span/384, 1/32 in per foot: a shelf design guideline (published, second hand)."""
LOOKS_STRAIGHT_SOURCE = "what the eye notices, 1/32 in per ft: a shelf design guideline"

ROD_BOW = 144
"""A rod may bow by span/144 in the long run. Our proposal: no published limit for rods is known to us; that of
architectural shelves is taken."""
ROD_BOW_SOURCE = "our proposal: the architectural limit for shelves taken for rods; no published limit is known"

POLE_SPAN = inches(48)
POLE_DIAMETER_WOOD, POLE_DIAMETER_METAL = inches(1.25), inches(1.0625)
POLE_SOURCE = "Architectural Woodwork Standards 1st ed. 2009, 4.4.16 and 4.4.16.1.2"
"""Clothes poles: supports at most 48 in apart, wood at least 1 1/4 in, metal at least 1 1/16 in thick."""

USUAL_SHELF, USUAL_ROD = inches(36), inches(48)
"""The design never takes more than these unless the user says so, however stiff the stock is: 36 in between supports
of a shelf (common practice, no published source), and the pole rule's 48 in."""


# ---- shelves ------------------------------------------------------------------------------------------


def shelf_section(panel: Panel, depth: int, thickness: int | None = None) -> Section:
    """The section of a shelf with its front strip and back cleat.

    Parameters
    ----------
    panel
        The stock; its thinnest measured thickness counts.
    depth
        Depth of the shelf, front strip included [ticks].
    thickness
        Another thickness of the board [ticks].
    """
    stuff = materials()[panel.material]
    share = ACROSS_GRAIN if panel.grain == "across" and stuff.family == "board" else 1.0
    thick = to_mm(panel.thinnest if thickness is None else thickness)
    breadth = to_mm(depth) - (to_mm(panel.strip.thickness) if panel.strip else 0.0)
    layers = [Layer(stuff.modulus * share, stuff.shear_modulus * share, max(breadth, 1.0), thick, 0.0)]
    if panel.strip is not None:  # flush with the upper face
        layers.append(_stick(panel.strip, thick - to_mm(panel.strip.height)))
    if panel.cleat is not None:  # under the lower face
        layers.append(_stick(panel.cleat, -to_mm(panel.cleat.height)))
    holds = [True, *[stick.glued for stick in _sticks(panel)]]
    held = composite_section([layer for layer, glued in zip(layers, holds, strict=True) if glued])
    if all(holds):
        return held
    loose = composite_section([layer for layer, glued in zip(layers, holds, strict=True) if not glued], glued=False)
    return Section(held.bending + loose.bending, held.shear + loose.shear)


def _sticks(panel: Panel) -> list[StiffeningStrip]:
    return [stick for stick in (panel.strip, panel.cleat) if stick is not None]


def _stick(strip: StiffeningStrip, bottom: float) -> Layer:
    stuff = materials()[strip.material]
    return Layer(stuff.modulus, stuff.shear_modulus, to_mm(strip.thickness), to_mm(strip.height), bottom)


def shelf_weight(panel: Panel, depth: int) -> float:
    """Weight of a shelf with its strip and cleat, per length [N/mm]."""
    breadth = to_mm(depth) - (to_mm(panel.strip.thickness) if panel.strip else 0.0)
    kg_per_m = materials()[panel.material].density * breadth * to_mm(panel.thickest) / 1e6
    for stick in _sticks(panel):
        kg_per_m += materials()[stick.material].density * to_mm(stick.thickness) * to_mm(stick.height) / 1e6
    return kg_per_m * NEWTONS_PER_KG / 1000


def spans(width: int, every: int | None) -> tuple[int, float]:
    """How many spans a shelf or rod has, and how long one is [mm]."""
    number = 1 if every is None else max(1, -(-width // every))
    return number, to_mm(width) / number


def design_load(standard: Standard, width: int, depth: int) -> float:
    """The standard's design load on one shelf [N]: so much per area, at most so much in all."""
    load = standard.load_psf * MPA_PER_PSF * to_mm(width) * to_mm(depth)
    return load if standard.most_lb is None else min(load, standard.most_lb * NEWTONS_PER_POUND)


def standard_sag(panel: Panel, width: int, depth: int) -> tuple[float, float]:
    """Sag under the design load at once, and what the standard allows [mm].

    Over a middle support both spans are loaded; over more supports a span is taken as simply supported (safe).
    """
    standard = STANDARDS[panel.standard]
    number, span = spans(width, panel.support_every)
    section = shelf_section(panel, depth)
    load = design_load(standard, width, depth) / number
    if number == 2:
        sag = two_span_sag(load / span, span, section)
    else:
        ends = "clamped" if panel.ends == "clamped" and number == 1 else "supported"
        sag = deflection(HANDBOOK_FACTORS[f"uniform, both ends {ends}"], load, span, section)
    limits = [] if standard.span_over is None else [span / standard.span_over]
    limits += [] if standard.most_in is None else [standard.most_in * MM_PER_INCH]
    return sag, min(limits)


def contents_sag(panel: Panel, width: int, depth: int, loads: Iterable[LineLoad]) -> tuple[float, float]:
    """Sag after years under its contents and its own weight, and up to what it looks straight [mm].

    The contents stand in the worst order; over middle supports the worst of them stand in one span, which
    is taken as simply supported (safe).
    """
    number, span = spans(width, panel.support_every)
    ends = Ends(panel.ends) if number == 1 else Ends.SUPPORTED
    section = shelf_section(panel, depth)
    own = LineLoad(shelf_weight(panel, depth), span)
    sag = nested_sag(loads, span, ends, section) + nested_sag([own], span, ends, section)
    return sag * materials()[panel.material].creep, span / LOOKS_STRAIGHT


def shelf_holds(panel: Panel, width: int, depth: int, loads: Iterable[LineLoad]) -> bool:
    """Whether a shelf passes both verdicts."""
    pairs = (standard_sag(panel, width, depth), contents_sag(panel, width, depth, loads))
    return all(sag <= limit * SAFE_ROUNDING for sag, limit in pairs)


# ---- rods ---------------------------------------------------------------------------------------------


def rod_section(rod: Rod) -> Section:
    """The section of a dowel or tube."""
    stuff = materials()[rod.material]
    return round_section(stuff.modulus, stuff.shear_modulus, to_mm(rod.diameter), to_mm(rod.bore))


def rod_weight(rod: Rod) -> float:
    """Weight of a rod per length [N/mm]."""
    area = math.pi / 4 * (to_mm(rod.diameter) ** 2 - to_mm(rod.bore) ** 2)
    return materials()[rod.material].density * area / 1e9 * NEWTONS_PER_KG


def rod_bow(rod: Rod, width: int, loads: Iterable[LineLoad]) -> tuple[float, float]:
    """Bow after years under the garments, in the worst order, and the rod itself; and the limit [mm]."""
    _, span = spans(width, rod.support_every)
    section = rod_section(rod)
    own = LineLoad(rod_weight(rod), span)
    bow = nested_sag(loads, span, Ends.SUPPORTED, section) + nested_sag([own], span, Ends.SUPPORTED, section)
    return bow * materials()[rod.material].creep, span / ROD_BOW


def pole_rule(rod: Rod, width: int) -> bool:
    """The published rule for clothes poles: thick enough, and no span over 48 in."""
    thick = POLE_DIAMETER_METAL if rod.is_metal else POLE_DIAMETER_WOOD
    _, span = spans(width, rod.support_every)
    return rod.diameter >= thick and span <= to_mm(POLE_SPAN)


def rod_holds(rod: Rod, width: int, loads: Iterable[LineLoad]) -> bool:
    """Whether a rod bows no more than it may and no span is over the rule's 48 in."""
    bow, limit = rod_bow(rod, width, loads)
    return bow <= limit * SAFE_ROUNDING and spans(width, rod.support_every)[1] <= to_mm(POLE_SPAN)


# ---- loads, and the longest that holds ----------------------------------------------------------------


def heaviest_on_shelves(piles: Iterable[Pile], rows_deep: int) -> list[LineLoad]:
    """The most that each pile can weigh on a shelf, whatever the layout: turned and stacked as dense as can be."""
    loads = []
    for pile, (store, shape) in ((one, way) for one in piles for way in one.ways):
        if store in (Store.STAND, Store.STACK) and pile.count:
            dense = shape.weight_kg * shape.most * rows_deep / to_mm(min(shape.width, shape.depth))
            loads.append(LineLoad(dense * NEWTONS_PER_KG, shape.weight_kg * pile.count / dense))
    return loads


def heaviest_on_rods(piles: Iterable[Pile]) -> list[LineLoad]:
    """What each hanging pile weighs on a rod."""
    return [
        LineLoad(shape.weight_kg * NEWTONS_PER_KG / to_mm(shape.rod), to_mm(shape.rod) * pile.count)
        for pile in piles
        for store, shape in pile.ways
        if store is Store.HANG and pile.count
    ]


def longest(holds: Callable[[int], bool], most: int, every: int | None = None) -> Ticks:
    """The longest length up to `most` that holds, rounded down to a tick; 1 tick when none does.

    Sag grows faster than its limit with the length, so halving finds the place. With supports at most `every`
    apart no span is longer than that, and what holds so long holds at any length.
    """
    reach = most if every is None else min(most, every)
    if holds(reach):
        return Ticks(most)
    low, high = 1, reach
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return Ticks(low)


def longest_shelf(
    panel: Panel, depths: Iterable[int], piles: Iterable[Pile], rows_deep: int, most: int = USUAL_SHELF
) -> Ticks:
    """Longest shelf of this stock that passes both verdicts whatever of these piles it will hold [ticks].

    Every plan whose shelves are no longer passes the checks of its own contents: among all contents that fit
    on the shelf, the densest piles nested about the middle sag most.
    """
    loads = heaviest_on_shelves(piles, rows_deep)
    depths = sorted(set(depths))
    return longest(
        lambda width: all(shelf_holds(panel, width, depth, loads) for depth in depths), most, panel.support_every
    )


def longest_rod(rod: Rod, piles: Iterable[Pile], most: int = USUAL_ROD) -> Ticks:
    """Longest rod of this stock that holds whatever of these piles will hang on it [ticks]."""
    loads = heaviest_on_rods(piles)
    return longest(lambda width: rod_holds(rod, width, loads), most, rod.support_every)
