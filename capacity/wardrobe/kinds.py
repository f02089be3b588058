"""The catalogue of kinds: what people own, the way it is stored, and the figures for its room.

The figures stand in `kinds.csv`, one row a kind, each with its source and how it is known. `piece_dimensions` holds the
rules that turn them and a size into room.
"""

from __future__ import annotations

import csv
import difflib
import io
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cache, lru_cache
from importlib import resources
from types import MappingProxyType
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from capacity.wardrobe.clothing_sizes import ClothingSize
from capacity.wardrobe.shoe_sizes import ShoeSize
from capacity.wardrobe.size_text import SizeError, Wearer
from capacity.wardrobe.sizes import parse_size


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
    share. `most` is how many lie in a stack, or of a box with a lid stand one on the other; what usually lies
    `in_drawers_too` (common practice, no published source) is folded and stacked else; what is `measured_only` has no
    figures.
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
    in_drawers_too: bool = False
    measured_only: bool = False
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
        if missing or (self.store in self.stores) is self.measured_only:
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


@cache
def kinds() -> Mapping[str, Kind]:
    """All kinds by name, in the order of the file."""
    return _read_kinds(resources.files("capacity.wardrobe").joinpath("kinds.csv").read_text(encoding="utf-8"))


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


@lru_cache(maxsize=256)
def nearest_kinds(text: str, most: int = 3) -> tuple[str, ...]:
    """The names nearest to a text, the nearest first; names that share a word with it come first."""
    key, words = _key(text[:_MOST_CHARACTERS]), set(plain_words(text[:_MOST_CHARACTERS]))
    score: dict[str, float] = {}
    for kind in kinds().values():
        for name in (kind.name, *kind.aliases):
            like = difflib.SequenceMatcher(None, _key(name), key).ratio()
            like += 0.3 * len(words & set(plain_words(name)))
            score[kind.name] = max(score.get(kind.name, 0), like)
    return tuple(sorted(score, key=lambda name: -score[name])[:most])


_MOST_CHARACTERS = 60


def plain_words(text: str) -> list[str]:
    """The words of a text in lower case, singular, without marks; for comparing what people type."""
    plain = re.sub(r"['\u2019`]", "", unicodedata.normalize("NFKC", text).casefold())
    return [_singular(word) for word in re.findall(r"[^\W_]+", plain)]


def _singular(word: str) -> str:
    """The word without its plural ending; crude, but the same on both sides of a comparison."""
    if word.endswith(("sses", "shes", "ches", "xes")):
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 2 else word


def _key(text: str) -> str:
    return "".join(plain_words(text))


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
