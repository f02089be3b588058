"""The shopping list: whole sheets, lengths, boxes and rolls, what they cost, and the total against the budget.

Money is counted in whole cents. A price that is missing leaves its line standing and marks the total as partial.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

from capacity.drawings.labels import length_words
from capacity.units import PER_MM, Ticks, Units, format_length
from capacity.workshop.job import CutList, Job
from capacity.workshop.parts.parts import StockKind
from capacity.workshop.quantities import SQUARE_FOOT, quantities

NAMES = {
    "panel": "board for uprights and shelves", "back": "board for backs", "drawer box": "board for drawer boxes",
    "drawer bottom": "board for drawer bottoms", "rod": "rod", "nosing": "nosing strip",
    "shelf cleat": "strip under shelves", "edge band": "edge band",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Article:
    """One row of `shopping.csv`: how it is usually packed."""

    key: str
    item: str
    pack: int
    packed_in: str


@dataclass(frozen=True, slots=True)
class ShoppingLine:
    """One line of the list; `cents` is the price of one pack, None when no price is written."""

    item: str
    need: str
    how: str
    packs: int
    pack: str
    cents: int | None

    @property
    def total(self) -> int | None:
        """What the line costs [cents]."""
        return None if self.cents is None else self.cents * self.packs


@dataclass(frozen=True, slots=True)
class ShoppingList:
    """The lines and the sums [cents]; `is_partial` when a line has no price."""

    lines: tuple[ShoppingLine, ...]
    currency: str
    tax_share: Fraction
    reserve_share: Fraction
    budget: int

    @property
    def subtotal(self) -> int:
        """The sum of the lines that have a price."""
        return sum(line.total or 0 for line in self.lines)

    @property
    def tax(self) -> int:
        """Tax on the subtotal, rounded up to a cent."""
        return -(-(self.subtotal * self.tax_share.numerator) // self.tax_share.denominator)

    @property
    def reserve(self) -> int:
        """What is put aside for the unforeseen, on subtotal and tax, rounded up to a cent."""
        return -(-((self.subtotal + self.tax) * self.reserve_share.numerator) // self.reserve_share.denominator)

    @property
    def total(self) -> int:
        """All of it."""
        return self.subtotal + self.tax + self.reserve

    @property
    def is_partial(self) -> bool:
        """Whether a line has no price."""
        return any(line.cents is None for line in self.lines)

    @property
    def is_over_budget(self) -> bool:
        """Whether a budget is set and the total is above it."""
        return 0 < self.budget < self.total

    def dearest(self, number: int = 3) -> tuple[ShoppingLine, ...]:
        """The lines that cost most, dearest first."""
        priced = [line for line in self.lines if line.total]
        return tuple(sorted(priced, key=lambda line: -(line.total or 0))[:number])

    def money(self, cents: int) -> str:
        """An amount as printed: no thousands mark."""
        return f"{self.currency}{cents // 100}.{cents % 100:02d}"


@cache
def articles() -> dict[str, Article]:
    """The articles of `shopping.csv` by key."""
    text = Path(__file__).with_name("shopping.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return {row["key"]: Article(row["key"], row["item"], int(row["pack"]), row["packed in"]) for row in rows}


def shopping_list(job: Job) -> ShoppingList:
    """Everything that has to be bought for a job."""
    lines: list[ShoppingLine] = []
    for material, cut_list in job.sheets.items():
        lines += _sheet_lines(job, material, cut_list)
    for use, cut_list in job.sticks.items():
        lines += _stick_lines(job, use, cut_list)
    for quantity in quantities(job):
        article = articles()[quantity.key]
        pack = getattr(job.closet.hardware, quantity.key, None) or article.pack
        price: float | None = getattr(job.closet.prices, quantity.key)
        note = f", {quantity.note}" if quantity.note else ""
        packed = article.packed_in if pack == 1 else f"{article.packed_in} of {pack}"
        if quantity.unit in ("joints", "ft", "sq ft"):
            packed = f"{article.packed_in} for {_measure(pack, quantity.unit, job.closet.units)}"
        lines.append(
            ShoppingLine(
                article.item + note,
                _measure(quantity.number, quantity.unit, job.closet.units),
                quantity.how,
                -(-quantity.number // pack),
                packed,
                _cents(price),
            )
        )
    prices = job.closet.prices
    return ShoppingList(
        tuple(lines),
        prices.currency,
        Fraction(str(prices.tax)),
        Fraction(str(prices.reserve)),
        round(100 * job.closet.wishes.budget),
    )


def _measure(number: int, unit: str, units: Units) -> str:
    """A number with its unit; feet and square feet as metres where the folder is metric."""
    if units == "mm" and unit == "ft":
        return f"{number * 0.3048:.1f} m"
    if units == "mm" and unit == "sq ft":
        return f"{number * 0.3048**2:.1f} m²"
    return f"{number} {unit}"


def _cents(price: float | None) -> int | None:
    return None if price is None else round(Fraction(str(price)) * 100)


def _sheet_lines(job: Job, material: StockKind, cut_list: CutList) -> list[ShoppingLine]:
    parts = job.carcass.sheet_parts(material)
    thick = format_length(Ticks(parts[0].thickness), job.closet.units)
    lines: list[ShoppingLine] = []
    for stock in cut_list.choice.stocks:
        layouts = [layout for layout in cut_list.plan.layouts if layout.stock.name == stock.name]
        if not layouts:
            continue
        area = sum(piece.across * piece.along for layout in layouts for piece in layout.placed)
        number = sum(len(layout.placed) for layout in layouts)
        share = 100 * area // (len(layouts) * stock.width * stock.length)
        sheets = "sheets" if len(layouts) > 1 else "sheet"
        how = f"{number} parts, {area_words(job, area)}; {share} % of the {sheets} used"
        price = cut_list.choice.prices[stock.name]
        need = f"{len(layouts)} {sheets}"
        item = f"{NAMES[material.value]}, {thick} thick"
        lines.append(
            ShoppingLine(
                item, need, f"{how}; {bound_words(job, cut_list)}", len(layouts), f"sheet {stock.name}", _cents(price)
            )
        )
    return lines


def _stick_lines(job: Job, use: str, cut_list: CutList) -> list[ShoppingLine]:
    lines: list[ShoppingLine] = []
    for stock in cut_list.choice.stocks:
        layouts = [layout for layout in cut_list.plan.layouts if layout.stock.name == stock.name]
        if not layouts:
            continue
        pieces = [piece for layout in layouts for piece in layout.placed]
        length = sum(piece.along for piece in pieces)
        how = f"{len(pieces)} pieces, {length_words(length, job.closet.units)} in all"
        if use == "edge band":
            how += ", 2 in more at each end"
        price = cut_list.choice.prices[stock.name]
        item = NAMES[use] + (
            f", {length_words(job.closet.rod.diameter, job.closet.units)} thick" if use == "rod" else ""
        )
        packed = f"roll of {stock.name}" if use == "edge band" else f"length of {stock.name}"
        lines.append(
            ShoppingLine(
                item,
                f"{len(pieces)} pieces",
                f"{how}; {bound_words(job, cut_list)}",
                len(layouts),
                packed,
                _cents(price),
            )
        )
    return lines


def area_words(job: Job, area: int) -> str:
    """An area for reading: square feet or square metres."""
    if job.closet.units == "in":
        return f"{area / SQUARE_FOOT:.1f} sq ft"
    return f"{area / (1000 * PER_MM) ** 2:.2f} m²"


def bound_words(job: Job, cut_list: CutList) -> str:
    """What is proven about the number of sheets or lengths."""
    plan, choice = cut_list.plan, cut_list.choice
    if plan.is_proven:
        what = "no fewer can do" if len(choice.stocks) == 1 else "no less board can do"
        what = "nothing cheaper can be cut" if choice.is_priced else what
        return f"{what} (proven)"
    costs = [stock.cost for stock in choice.stocks]
    if len(costs) == 1:
        return f"at least {-(-plan.bound // costs[0])} are needed (proven)"
    if choice.is_priced:
        return f"at least {job.closet.prices.currency}{plan.bound / 100:.2f} (proven)"
    return f"at least {100 * plan.bound // plan.cost} % of that is needed (proven)"
