"""Growing: how tall a child will be by the published medians, and the sizes of its clothes and shoes then."""

from __future__ import annotations

import csv
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from importlib import resources
from typing import Literal

from capacity.units import Ticks
from capacity.wardrobe.clothing_sizes import ClothingSize
from capacity.wardrobe.kinds import Store, find_kind, parse_kind_size
from capacity.wardrobe.piece_dimensions import SIXTEENTH, Shape, shape_of
from capacity.wardrobe.piles import Pile
from capacity.wardrobe.shoe_sizes import EU_CHILD, ShoeSize

Chart = Literal["boys", "girls"]
CHARTS: tuple[Chart, ...] = ("boys", "girls")
GROWN_UP = 20
"""Nobody grows after this age: the charts end there [years]."""

GROWTH_SOURCE = (
    "CDC 2000 growth charts, stature-for-age, medians (Kuczmarski and others 2002, Vital and Health Statistics 11, "
    "246; the published data file, read in a public copy), straight lines between birthdays"
)
SHARE_RULE = (
    "A child keeps its share of the median, and its clothes and feet keep their share of its stature (our proposal; "
    "feet stop growing earlier, so shoes come out rather too long)."
)
WORN = ("shoe", "letter", "waist", "suit", "child")
"""Systems of sizes of what somebody wears and grows out of."""


@cache
def _medians() -> tuple[tuple[Fraction, ...], dict[Chart, tuple[Fraction, ...]]]:
    text = resources.files("capacity.wardrobe").joinpath("stature.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines(), strict=True))
    columns: dict[Chart, tuple[Fraction, ...]] = {
        chart: tuple(Fraction(row[f"{chart}_cm"]) for row in rows) for chart in CHARTS
    }
    return tuple(Fraction(row["months"]) for row in rows), columns


def median_stature_cm(age: Fraction | int, chart: Chart) -> Fraction:
    """Median stature at an age of 2 to 20 years [cm]; before and after, that of 2 and of 20.

    References
    ----------
    `GROWTH_SOURCE`.

    Examples
    --------
    >>> round(float(median_stature_cm(8, "girls")), 1)
    127.6
    """
    months, columns = _medians()
    at, medians = min(max(Fraction(age) * 12, months[0]), months[-1]), columns[chart]
    upper = min(bisect_right(months, at), len(months) - 1)
    share = (at - months[upper - 1]) / (months[upper] - months[upper - 1])
    return medians[upper - 1] + share * (medians[upper] - medians[upper - 1])


def growth(age: int, years: int, charts: Sequence[Chart] = CHARTS) -> Fraction:
    """How many times as tall somebody of this age will be in some years; of several charts by the one that grows more.

    Examples
    --------
    >>> growth(40, 3)
    Fraction(1, 1)
    """
    return max(median_stature_cm(age + years, chart) / median_stature_cm(age, chart) for chart in charts)


def is_worn(pile: Pile) -> bool:
    """Whether a pile is of clothes or shoes, which somebody who grows will have in larger sizes."""
    kind = find_kind(pile.kind)
    return kind is not None and kind.size_system in WORN


def grown(pile: Pile, factor: Fraction) -> Pile:
    """The same pile in the sizes of an owner so many times as tall; what was measured grows alike.

    Shoes by the length of the foot, clothes by stature; a folded piece grows no thicker, a hung one takes no more rod,
    as in the catalogue.
    """
    kind = find_kind(pile.kind)
    if kind is None or not is_worn(pile) or factor <= 1:
        return pile
    size = parse_kind_size(kind, pile.size)
    words, ways = pile.size, []
    for store, shape in pile.ways:
        larger = _larger(shape, store, factor)
        if store in kind.stores and size is not None:
            old, new = shape_of(kind, size, store), shape_of(kind, _grown_size(size, factor), store)
            if new != old:
                larger, words = _alike(shape, old, new), _size_words(size, factor, pile.size)
        ways.append((store, larger))
    return replace(pile, shape=ways[0][1], others=tuple(ways[1:]), size=words)


def _grown_size(size: ShoeSize | ClothingSize, factor: Fraction) -> ShoeSize | ClothingSize:
    if isinstance(size, ShoeSize):
        return replace(size, foot_mm=size.foot_mm * factor)
    return replace(size, stature_mm=None if size.stature_mm is None else size.stature_mm * factor)


def _size_words(size: ShoeSize | ClothingSize, factor: Fraction, text: str) -> str:
    """The new size as people write it, where the old one was written."""
    if not text:
        return text
    if isinstance(size, ShoeSize):
        return EU_CHILD.text(size.foot_mm * factor)
    if size.stature_mm is None:
        return text
    return f"{round(size.stature_mm * factor / 10)} cm"


def _alike(now: Shape, old: Shape, new: Shape) -> Shape:
    """A shape, perhaps measured, grown as the catalogue's grows from old to new."""

    def length(name: str) -> Ticks:
        mine, before, after = (getattr(shape, name) for shape in (now, old, new))
        return Ticks(after if mine == before or not before else -(-mine * after // before))

    return replace(now, **{name: length(name) for name in ("width", "depth", "height", "drop", "rod")})


def _larger(shape: Shape, store: Store, factor: Fraction) -> Shape:
    """A shape of which the catalogue knows no growth: garments longer, folded pieces wider and deeper, the rest all."""

    def length(number: int) -> Ticks:
        return Ticks(-(-number * factor // SIXTEENTH) * SIXTEENTH)

    if store is Store.HANG:
        return replace(shape, drop=length(shape.drop))
    wide = replace(shape, width=length(shape.width), depth=length(shape.depth))
    return replace(wide, height=length(shape.height)) if store is Store.STAND else wide
