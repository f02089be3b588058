"""The catalogue of kinds: what people own, the way it is stored, and the room that one piece takes.

The figures stand in `kinds.csv`, one row a kind, each with its source and how it is known. This module holds
the rules that turn a size into room. Room is rounded up to 1/16 in, never down.
"""

from __future__ import annotations

import csv
import difflib
import io
import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from capacity.sizes import INCH_MM, ClothingSize, ShoeSize, SizeError, Wearer, parse_size
from capacity.units import PER_INCH, PER_MM, Ticks

SIXTEENTH = PER_INCH // 16
"""What a piece's room is rounded up to [ticks]."""


class Store(StrEnum):
    """A way of storing."""

    STAND = "stand"
    STACK = "stack"
    HANG = "hang"
    DRAWER = "drawer"


HowKnown = Literal["published", "computed", "common practice, no published source", "from memory", "our proposal"]
Family = Literal["footwear", "boots", "bags and boxes", "folded", "short hanging", "long hanging", "small things"]


def _above_0(figure: Fraction) -> Fraction:
    if figure <= 0:
        msg = "must be above 0"
        raise ValueError(msg)
    return figure


_FIGURE = Annotated[Fraction, BeforeValidator(Fraction)]
_ROOM = Annotated[_FIGURE, AfterValidator(_above_0)]


class Figures(BaseModel):
    """One row of `kinds.csv`; a column that is empty there is None here.

    `allow_width` and `height` of footwear are by wearer, at the reference foot; for boots `height` is the
    shaft. `*_step` is growth per letter step: of widths and drops in inches, of thickness and weight as a
    share.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)

    name: str
    aliases: str = ""
    store: Store
    family: Family
    size_system: Literal["shoe", "letter", "waist", "suit", "child", "towel", "bed", "none"]
    wearer: Wearer | None = None
    middle_size: str = ""
    stand_rule: Literal["shoe", "boot", "box"] | None = None
    allow_length_mm: _FIGURE | None = None
    allow_width_men_mm: _FIGURE | None = None
    allow_width_women_mm: _FIGURE | None = None
    allow_width_child_mm: _FIGURE | None = None
    pair_gap_mm: _ROOM | None = None
    height_men_mm: _ROOM | None = None
    height_women_mm: _ROOM | None = None
    height_child_mm: _ROOM | None = None
    heel_mm: _FIGURE = Fraction(0)
    round_shaft: bool = False
    width_in: _ROOM | None = None
    depth_in: _ROOM | None = None
    height_in: _ROOM | None = None
    fold_rule: Literal["trousers"] | None = None
    fold_width_in: _ROOM | None = None
    fold_width_step_in: _FIGURE = Fraction(0)
    fold_depth_in: _ROOM | None = None
    thickness_in: _ROOM | None = None
    thickness_step: _FIGURE = Fraction(0)
    most: int = Field(default=1, ge=1)
    hang_rule: Literal["over the bar", "by the cuff"] | None = None
    drop_in: _ROOM | None = None
    drop_step_in: _FIGURE = Fraction(0)
    rod_in: _ROOM | None = None
    weight_rule: Literal["denim"] | None = None
    weight_kg: float = Field(gt=0, le=50)
    weight_step: _FIGURE = Fraction(0)
    source: str = Field(min_length=5)
    how_known: HowKnown

    @model_validator(mode="after")
    def _is_complete(self) -> Figures:
        missing = [name for name in _NEEDED.get(self.stand_rule or "", ()) if getattr(self, name) is None]
        if self.thickness_in is not None and not self.fold_rule:
            missing += [name for name in ("fold_width_in", "fold_depth_in") if getattr(self, name) is None]
        if (self.drop_in is not None or self.hang_rule) and self.rod_in is None:
            missing.append("rod_in")
        if self.size_system != "none" and not self.middle_size:
            missing.append("middle_size")
        if missing or self.store not in self.stores:
            msg = f"{self.name}: no {', '.join(missing) or f'figures for {self.store}'}"
            raise ValueError(msg)
        return self

    @property
    def stores(self) -> tuple[Store, ...]:
        """The ways of storing that there are figures for, the usual one first."""
        ways = [Store.STAND] if self.stand_rule else []
        ways += [Store.STACK, Store.DRAWER] if self.thickness_in is not None else []
        ways += [Store.HANG] if self.rod_in is not None else []
        return tuple(sorted(ways, key=lambda way: way is not self.store))


_SHOE_FIGURES = (
    "allow_length_mm", "allow_width_men_mm", "allow_width_women_mm", "allow_width_child_mm", "pair_gap_mm",
    "height_men_mm", "height_women_mm", "height_child_mm", "wearer",
)  # fmt: skip
_NEEDED = {"shoe": _SHOE_FIGURES, "boot": _SHOE_FIGURES, "box": ("width_in", "depth_in", "height_in")}


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of thing that people own; `stores` are the ways there are figures for, the usual one first."""

    name: str
    store: Store
    family: str
    size_system: str
    wearer: Wearer | None
    middle_size: str
    stores: tuple[Store, ...]
    weight_kg: float
    source: str
    how_known: str
    aliases: tuple[str, ...]
    figures: Figures


@dataclass(frozen=True, slots=True)
class Shape:
    """The room of one piece (a pair for footwear) stored in one way, rounded up to 1/16 in [ticks].

    `width`, `depth` and `height` are 0 for what hangs, `drop` and `rod` for what does not; `most` is the
    most in one stack, 1 unless stacked.
    """

    width: Ticks
    depth: Ticks
    height: Ticks
    drop: Ticks
    rod: Ticks
    most: int
    weight_kg: float


@cache
def kinds() -> Mapping[str, Kind]:
    """All kinds by name, in the order of the file."""
    return _read_kinds(resources.files("capacity").joinpath("kinds.csv").read_text(encoding="utf-8"))


def _read_kinds(text: str) -> Mapping[str, Kind]:
    found: dict[str, Kind] = {}
    for record in csv.DictReader(io.StringIO(text), strict=True):
        row = Figures.model_validate({column: cell for column, cell in record.items() if cell})
        if row.name in found:
            msg = f"kinds.csv names {row.name} twice"
            raise ValueError(msg)
        found[row.name] = Kind(
            name=row.name,
            store=row.store,
            family=row.family,
            size_system=row.size_system,
            wearer=row.wearer,
            middle_size=row.middle_size,
            stores=row.stores,
            weight_kg=row.weight_kg,
            source=row.source,
            how_known=row.how_known,
            aliases=tuple(row.aliases.split(";")) if row.aliases else (),
            figures=row,
        )
    return MappingProxyType(found)


def find_kind(text: str) -> Kind | None:
    """The kind of that name or alias; case, plural, spaces and hyphens are forgiven.

    Examples
    --------
    >>> [kind.name for kind in map(find_kind, ("Tall  Boots", "tee shirts", "Knee-High Boot")) if kind]
    ['tall boots', 't-shirt', 'tall boots']
    """
    return _by_key().get(_key(text[:_MOST_CHARACTERS]))


def nearest_kinds(text: str, most: int = 3) -> tuple[str, ...]:
    """The names nearest to a text, the nearest first; names that share a word with it come first."""
    key, words = _key(text[:_MOST_CHARACTERS]), set(_words(text[:_MOST_CHARACTERS]))
    score: dict[str, float] = {}
    for kind in kinds().values():
        for name in (kind.name, *kind.aliases):
            like = difflib.SequenceMatcher(None, _key(name), key).ratio()
            like += 0.3 * len(words & set(_words(name)))
            score[kind.name] = max(score.get(kind.name, 0), like)
    return tuple(sorted(score, key=lambda name: -score[name])[:most])


_MOST_CHARACTERS = 60


def _words(text: str) -> list[str]:
    plain = re.sub(r"['\u2019`]", "", unicodedata.normalize("NFKC", text).casefold())
    return [_singular(word) for word in re.findall(r"[^\W_]+", plain)]


def _singular(word: str) -> str:
    """The word without its plural ending; crude, but the same on both sides of a comparison."""
    if word.endswith(("sses", "shes", "ches", "xes")):
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 2 else word


def _key(text: str) -> str:
    return "".join(_words(text))


@cache
def _by_key() -> Mapping[str, Kind]:
    found = {_key(kind.name): kind for kind in kinds().values()}
    for kind in kinds().values():
        for alias in kind.aliases:
            found.setdefault(_key(alias), kind)
    return found


def parse_kind_size(kind: Kind, text: str) -> ShoeSize | ClothingSize | None:
    """Read a size in the kind's own system; an empty text is its middle size.

    Returns
    -------
    The size, or None for a kind that has none.

    Raises
    ------
    SizeError
        When the text cannot be read, is of another system, or the kind has no sizes.
    """
    text = " ".join(text.split())
    if kind.size_system == "none":
        if text:
            msg = f"{kind.name} has no sizes; measure it instead (width, depth, height)"
            raise SizeError(msg)
        return None
    return parse_size(text or kind.middle_size, kind.size_system, kind.wearer)


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
        return Shape(*_up(*(side * INCH_MM for side in sides)), Ticks(0), Ticks(0), 1, weight_kg)
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
    """Rod to hem [in]: over the bar outseam/2 + 5, by the cuff outseam + 4, else the row's own figure."""
    if row.hang_rule:
        outseam = _waist_inseam(row, size)[1] + RISE_IN
        return outseam / 2 + 5 if row.hang_rule == "over the bar" else outseam + 4
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
