"""From a size to room: what one piece takes as it stands, lies folded or hangs.

The figures are those of the catalogue (`kinds`); this module holds the rules that turn a size into room. Room
is rounded up to 1/16 in, never down.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from capacity.units import INCH_MM, PER_INCH, PER_MM, Ticks
from capacity.wardrobe.clothing_sizes import ClothingSize
from capacity.wardrobe.kinds import Figures, Kind, Store, parse_kind_size
from capacity.wardrobe.shoe_sizes import ShoeSize
from capacity.wardrobe.size_text import Wearer

SIXTEENTH = PER_INCH // 16
"""What a piece's room is rounded up to [ticks]."""


@dataclass(frozen=True, slots=True)
class Shape:
    """The room of one piece (a pair for footwear) stored in one way, rounded up to 1/16 in [ticks].

    `width`, `depth` and `height` are 0 for what hangs, `drop` and `rod` for what does not; `most` is the
    most in one stack, or of what has a lid one on the other; 1 otherwise.
    """

    width: Ticks
    depth: Ticks
    height: Ticks
    drop: Ticks
    rod: Ticks
    most: int
    weight_kg: float


def shape_of(kind: Kind, size: ShoeSize | ClothingSize | None, store: Store) -> Shape:
    """The room that one piece takes, stored in one way.

    Parameters
    ----------
    kind
        What it is.
    size
        Its size; None is the kind's middle size.
    store
        How it is stored.

    Raises
    ------
    ValueError
        When there are no figures for this way of storing, or the size is of another system.
    """
    if store not in kind.stores:
        msg = f"no figures for {kind.name} stored by {store}; there are {', '.join(kind.stores)}"
        raise ValueError(msg)
    if size is None:
        size = parse_kind_size(kind, "")
    if isinstance(size, ShoeSize) != (kind.size_system == "shoe"):
        msg = f"{size!r} is not a size of {kind.name}"
        raise ValueError(msg)
    row = kind.figures
    if isinstance(size, ShoeSize):
        box = _pair(row, size)
        return Shape(*_up(*box), Ticks(0), Ticks(0), 1, kind.weight_kg)
    clothing = size or ClothingSize(Fraction(0))
    weight_kg = _weight_kg(row, clothing)
    if store is Store.STAND:
        sides = (_given(row.width_in), _given(row.depth_in), _given(row.height_in))
        return Shape(*_up(*(side * INCH_MM for side in sides)), Ticks(0), Ticks(0), row.most, weight_kg)
    if store is Store.HANG:
        drop, rod, _ = _up(_drop_in(row, clothing) * INCH_MM, _given(row.rod_in) * INCH_MM, Fraction(0))
        return Shape(Ticks(0), Ticks(0), Ticks(0), drop, rod, 1, weight_kg)
    most = row.most if store is Store.STACK else 1
    folded = _up(*(side * INCH_MM for side in _folded_in(row, clothing)))
    return Shape(*folded, Ticks(0), Ticks(0), most, weight_kg)


def _up(*sides_mm: Fraction) -> tuple[Ticks, Ticks, Ticks]:
    """Three lengths [mm] in ticks, each rounded up to 1/16 in."""
    first, second, third = (Ticks(math.ceil(side * PER_MM / SIXTEENTH) * SIXTEENTH) for side in sides_mm)
    return first, second, third


def _given(figure: Fraction | None) -> Fraction:
    """A figure that the row is known to have, because `Figures` was checked when it was made."""
    assert figure is not None
    return figure


# --- footwear ---

REFERENCE_FOOT_MM: Mapping[str, int] = MappingProxyType({"men": 262, "women": 241, "child": 180})
"""Foot length at which heights are stated [mm]: US men 9, US women 8, a child. Our proposal."""

SHAFT_GROWTH = Fraction(9, 16)
"""Growth of a boot shaft with the foot [mm/mm]: 3/16 in per full size. Common practice."""


def foot_breadth_mm(foot_mm: Fraction, wearer: Wearer) -> Fraction:
    """Breadth of a foot from its length [mm].

    men 38.1 + 0.2352 x length, women 40.2 + 0.2134 x length, children 0.40 x length.

    References
    ----------
    ANSUR II (Gordon et al. 2014, NATICK/TR-15/007), least-squares lines computed from the public data of 4082
    men and 1986 women (residual SD 4.2 and 4.0 mm). Children: our proposal.

    Examples
    --------
    >>> round(float(foot_breadth_mm(Fraction("271.2"), "men")), 1)
    101.9
    """
    start, slope = {"men": ("38.1", "0.2352"), "women": ("40.2", "0.2134"), "child": ("0", "0.40")}[wearer]
    return Fraction(start) + Fraction(slope) * foot_mm


def shaft_diameter_mm(foot_mm: Fraction, wearer: Wearer) -> Fraction:
    """Diameter of an upright boot shaft that holds its shape [mm].

    (calf circumference + 20 mm) / pi; the circumference is the mean at the mean foot and grows half as fast
    as the foot (both our proposal).

    References
    ----------
    Mean calf circumference: ANSUR II (Gordon et al. 2014, NATICK/TR-15/007), men 392.3 mm, women 373.3 mm, at
    mean foot lengths of 271.2 and 246.3 mm, computed from the public data. Child, 240 mm: our proposal.
    """
    calf, mean_foot = {
        "men": ("392.3", "271.2"), "women": ("373.3", "246.3"), "child": ("240", "180"),
    }[wearer]  # fmt: skip
    round_mm = Fraction(calf) * (1 + foot_mm / Fraction(mean_foot)) / 2 + 20
    return round_mm / Fraction("3.14159")  # a little less than pi: rounds up


def _pair(row: Figures, size: ShoeSize) -> tuple[Fraction, Fraction, Fraction]:
    """Width, depth and height of a pair side by side, not nested heel to toe [mm].

    depth = foot + a, less a tenth of a high heel; width = 2 w + gap with w = breadth + c, or the shaft where
    that is wider; height of a shoe = H (1 + (foot/reference - 1)/2) + heel, of a boot = shaft + heel.
    """
    wearer = size.wearer or row.wearer or "men"
    foot = size.foot_mm
    allow_width = {"men": row.allow_width_men_mm, "women": row.allow_width_women_mm}.get(
        wearer, row.allow_width_child_mm
    )
    height = _given({"men": row.height_men_mm, "women": row.height_women_mm}.get(wearer, row.height_child_mm))
    one = foot_breadth_mm(foot, wearer) + _given(allow_width)
    depth = foot + _given(row.allow_length_mm)
    if row.round_shaft:
        one = max(one, shaft_diameter_mm(foot, wearer))
    if row.stand_rule == "boot":
        height += SHAFT_GROWTH * (foot - REFERENCE_FOOT_MM[wearer])
    else:
        height *= (1 + foot / REFERENCE_FOOT_MM[wearer]) / 2
        depth -= row.heel_mm / 10
    return 2 * one + _given(row.pair_gap_mm), depth, height + row.heel_mm


# --- clothes and textiles ---

RISE_IN = Fraction(10)
"""Outseam less inseam of trousers [in]. Common practice, no published source."""

ADULT_STATURE_MM, CHILD_STATURE_MM = 1700, 1160
"""Stature for which the figures of adults' and children's clothes hold [mm]. Our proposal."""


def _share_of_stature(row: Figures, size: ClothingSize) -> Fraction:
    """How much smaller a child's garment is than the row's figures, in length and width."""
    if size.stature_mm is None:
        return Fraction(1)
    return size.stature_mm / (CHILD_STATURE_MM if row.size_system == "child" else ADULT_STATURE_MM)


def _waist_inseam(row: Figures, size: ClothingSize) -> tuple[Fraction, Fraction]:
    if size.waist_in is None or size.inseam_in is None:
        msg = f"{size!r} has no waist and inseam, which {row.name} needs"
        raise ValueError(msg)
    return size.waist_in, size.inseam_in


def _folded_in(row: Figures, size: ClothingSize) -> tuple[Fraction, Fraction, Fraction]:
    """Width, depth and thickness of a folded piece [in].

    Trousers, folded in thirds: waist/4 + 2 and (inseam + 10)/3, the geometry of the folds (our proposal).
    """
    thickness = _given(row.thickness_in) * (1 + size.steps * row.thickness_step)
    if row.fold_rule == "trousers":
        waist, inseam = _waist_inseam(row, size)
        return waist / 4 + 2, (inseam + RISE_IN) / 3, thickness
    share = _share_of_stature(row, size)
    width = _given(row.fold_width_in) + size.steps * row.fold_width_step_in
    return width * share, _given(row.fold_depth_in) * share, thickness


def _drop_in(row: Figures, size: ClothingSize) -> Fraction:
    """Rod to hem [in]: over the bar outseam/2 + 8, by the cuff outseam + 4, else the row's own figure."""
    if row.hang_rule:
        outseam = _waist_inseam(row, size)[1] + RISE_IN
        return outseam / 2 + 8 if row.hang_rule == "over the bar" else outseam + 4
    return (_given(row.drop_in) + size.steps * row.drop_step_in + size.longer_in) * _share_of_stature(row, size)


def _weight_kg(row: Figures, size: ClothingSize) -> float:
    """Weight of one piece [kg]; denim by the cloth, textiles by their share of it, else the row's own figure.

    Jeans in 12 oz denim: 0.02835 x 12 x 1.85 x (waist/33)^0.8 x (0.35 + 0.65 x inseam/34) x 1.1, fitted to a
    published 0.7 kg for W33 L34 (our proposal).
    """
    if row.weight_rule == "denim":
        waist, inseam = _waist_inseam(row, size)
        cloth = 0.02835 * 12 * 1.85 * 1.1
        return cloth * math.pow(float(waist) / 33, 0.8) * (0.35 + 0.65 * float(inseam) / 34)
    return row.weight_kg * float(1 + size.steps * row.weight_step)
