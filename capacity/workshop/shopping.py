"""The shopping list: whole sheets, lengths, boxes and rolls, what they cost, and the total against the budget.

Money is counted in whole cents. A price that is missing leaves its line standing and marks the total as partial.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

from capacity.closet.construction import USUAL_SHEET, USUAL_STICK
from capacity.drawings.labels import length_words, thickness_words
from capacity.units import PER_MM, Units, counted
from capacity.workshop.cutting.cutting_plan import PlacedBlank, Stock
from capacity.workshop.job import CutList, Job
from capacity.workshop.parts.parts import StockKind
from capacity.workshop.quantities import SQUARE_FOOT, quantities
from capacity.workshop.stock import BAND_ENDS

GUESSED = 2026
"""Year of the price ranges in `shopping.csv`: US shops, our guesses, marked so wherever they are shown."""

ONE = {
    "pairs": "pair", "pieces": "piece", "pins": "pin", "screws": "screw", "plates": "plate", "anchors": "anchor",
    "brackets": "bracket", "joints": "joint", "shims": "shim", "sheets": "sheet",
}  # fmt: skip
"""One of what is counted in the needs."""

NAMES = {
    "panel": "board for uprights and shelves", "back": "board for backs", "drawer box": "board for drawer boxes",
    "drawer bottom": "board for drawer bottoms", "rod": "rod", "nosing": "nosing strip",
    "shelf cleat": "strip under shelves", "edge band": "edge band",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Article:
    """One row of `shopping.csv`: how it is usually packed, and what a pack costs, low and high [cents]."""

    key: str
    item: str
    pack: int
    packed_in: str
    guess: tuple[int, int]


@dataclass(frozen=True, slots=True)
class ShoppingLine:
    """One line of the list; `cents` is the price of one pack, None when no price is written: then `guess` holds."""

    item: str
    need: str
    how: str
    packs: int
    pack: str
    cents: int | None
    guess: tuple[int, int] | None = None
    owned: str = ""

    @property
    def likely(self) -> tuple[int, int]:
        """What the line costs, low and high [cents]: as written, else as guessed, 0 where there is neither."""
        low, high = (self.cents, self.cents) if self.cents is not None else self.guess or (0, 0)
        return low * self.packs, high * self.packs

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
    hangs: tuple[str, ...] = ()
    """What one sheet, or one roll of edge band, hangs on, a sentence each (`whole_sheets.hangs_on`)."""

    @property
    def subtotal(self) -> int:
        """The sum of the lines that have a price."""
        return sum(line.total or 0 for line in self.lines)

    @property
    def likely(self) -> tuple[int, int]:
        """The total with tax and reserve, low and high: prices as written, else the guesses [cents]."""
        more = (1 + self.tax_share) * (1 + self.reserve_share)
        low, high = (sum(line.likely[end] for line in self.lines) for end in (0, 1))
        return math.ceil(low * more), math.ceil(high * more)

    @property
    def has_guesses(self) -> bool:
        """Whether a price is guessed, so that the total is a range."""
        return any(line.packs and line.cents is None and line.guess is not None for line in self.lines)

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
        """Whether something that is bought has no price."""
        return any(line.packs and line.cents is None for line in self.lines)

    @property
    def has_gaps(self) -> bool:
        """Whether something that is bought has neither a price nor a guess, so that nothing says what all costs."""
        return any(line.packs and line.cents is None and line.guess is None for line in self.lines)

    @property
    def is_over_budget(self) -> bool:
        """Whether a budget is set and the total is above it, at the lowest of the guesses too."""
        return 0 < self.budget < max(self.total, self.likely[0])

    @property
    def may_be_over_budget(self) -> bool:
        """Whether a budget is set that the lowest of the guesses keeps and the highest does not."""
        return self.likely[0] <= self.budget < self.likely[1]

    def range_words(self) -> str:
        """The total as a sentence has it."""
        low, high = self.likely
        if self.has_gaps:
            return f"{self.money(self.total)} for what has a price; the rest comes on top"
        if low == high:
            return self.money(self.total)
        low, high = low // 100, -(-high // 100)
        guesses = f"guesses of {GUESSED} for what has no price"
        return f"likely between {self.currency}{low} and {self.currency}{high} ({guesses})"

    @property
    def against_budget(self) -> str:
        """Where the total is, beside a budget."""
        if self.is_over_budget:
            return "above"
        if self.has_gaps:
            return "not yet above"
        return "perhaps above" if self.may_be_over_budget else "within"

    def budget_words(self) -> str:
        """What everything costs, and what was to be spent."""
        cost = f"All to buy: {self.range_words()}."
        if not self.budget:
            return f"{cost} No budget is set."
        return f"{cost} {self.compared()}"

    def compared(self) -> str:
        """Where the total is beside the budget, and how far above it at least."""
        over = f"{self.money(max(self.total, self.likely[0]) - self.budget)} " if self.is_over_budget else ""
        more = "or more " if over and self.has_guesses else ""
        return f"That is {over}{more}{self.against_budget} the budget of {self.money(self.budget)}."

    def room_words(self) -> str:
        """Perhaps above the budget: what boards may cost so that the rest has room; the search limits them alone."""
        if not (self.is_over_budget or self.may_be_over_budget):
            return ""
        high = sum(line.likely[1] for line in self.lines if not line.item.startswith(NAMES["panel"]))
        rest = math.ceil(high * (1 + self.tax_share) * (1 + self.reserve_share) / 100)
        words = f"What is no board for uprights and shelves takes up to {self.currency}{rest} of it"
        left = self.budget // 100 - rest
        return f"{words}; `budget = {left}` in [wishes] leaves room for that." if left > 0 else f"{words}."

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
    return {
        row["key"]: Article(
            row["key"], row["item"], int(row["pack"]), row["packed in"], (100 * int(row["low"]), 100 * int(row["high"]))
        )
        for row in rows
    }


def shopping_list(job: Job) -> ShoppingList:
    """Everything that has to be bought for a job."""
    cut_lists = {**{material.value: cut_list for material, cut_list in job.sheets.items()}, **job.sticks}
    lines = [line for use, cut_list in cut_lists.items() for line in _stock_lines(job, use, cut_list)]
    for quantity in quantities(job):
        article = articles()[quantity.key]
        pack = getattr(job.closet.hardware, quantity.key, None) or article.pack
        price: float | None = getattr(job.closet.prices, quantity.key)
        owned = getattr(job.closet.have, quantity.key)
        wanted = max(0, quantity.number - owned)
        note = f", {quantity.note}" if quantity.note else ""
        packed_in = in_units(article.packed_in, job.closet.units)
        packed = packed_in if pack == 1 else f"{packed_in} of {pack}"
        if quantity.unit in ("joints", "ft", "sq ft"):
            packed = f"{packed_in} for {_measure(pack, quantity.unit, job.closet.units)}"
        lines.append(
            ShoppingLine(
                in_units(article.item, job.closet.units) + note,
                _measure(quantity.number, quantity.unit, job.closet.units),
                quantity.how,
                -(-wanted // pack),
                packed,
                _cents(price),
                _guess(job, article.guess),
                f"{owned} owned already" if owned else "",
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


def in_units(words: str, units: Units) -> str:
    """The name of an article or a pack, with inches, ounces and quarts only where the folder is in inches.

    Examples
    --------
    >>> in_units("wood screws #8 x 1 in (4 x 25 mm)", "mm"), in_units("quart (0.95 l)", "mm")
    ('wood screws 4 x 25 mm', 'tin of 0.95 l')
    """
    if units == "in":
        return words
    words = re.sub(r"(#[0-9]+ x )?[0-9][0-9 /]* (in|oz) \(([^)]*)\)", r"\3", words)
    return re.sub(r"quart \(([^)]*)\)", r"tin of \1", words)


def _measure(number: int, unit: str, units: Units) -> str:
    """A number with its unit; feet and square feet as metres where the folder is metric."""
    if units == "mm" and unit == "ft":
        return f"{number * 0.3048:.1f} m"
    if units == "mm" and unit == "sq ft":
        return f"{number * 0.3048**2:.1f} m²"
    return counted(number, ONE.get(unit, unit), unit)


def _guess(job: Job, guess: tuple[int, int], share: Fraction = Fraction(1)) -> tuple[int, int] | None:
    """A range of `shopping.csv` in proportion to what is bought; none in another currency, which it does not know."""
    if job.closet.prices.currency != "$":
        return None
    return 100 * math.floor(guess[0] * share / 100), 100 * math.ceil(guess[1] * share / 100)


def _cents(price: float | None) -> int | None:
    return None if price is None else round(Fraction(str(price)) * 100)


def _stock_lines(job: Job, use: str, cut_list: CutList) -> Iterator[ShoppingLine]:
    """A line for each size that is cut of sheets, lengths or rolls for one use."""
    for stock in cut_list.choice.stocks:
        layouts = [layout for layout in cut_list.plan.layouts if layout.stock.name == stock.name]
        if not layouts:
            continue
        pieces = [piece for layout in layouts for piece in layout.placed]
        if stock.width > 1:
            item, need, how, pack = _sheets_said(job, use, stock, len(layouts), pieces)
            full = USUAL_SHEET[0] * USUAL_SHEET[1]
        else:
            item, need, how, pack = _lengths_said(job, use, pieces)
            full = USUAL_STICK["in"][use]
        yield ShoppingLine(
            item,
            need,
            f"{how}; {bound_words(job, cut_list)}",
            max(0, len(layouts) - stock.owned),
            f"{pack} {stock.name}",
            _cents(cut_list.choice.prices[stock.name]),
            _guess(job, articles()[use].guess, Fraction(stock.width * stock.length, full)),
            f"{stock.owned} owned already" if stock.owned else "",
        )


def _sheets_said(
    job: Job, use: str, stock: Stock, number: int, parts: Sequence[PlacedBlank]
) -> tuple[str, str, str, str]:
    """What sheets of one size are, how many, what for, and what one is called."""
    thick = thickness_words(job.carcass.sheet_parts(StockKind(use))[0].thickness, job.closet.units)
    area = sum(part.across * part.along for part in parts)
    sheets = "sheets" if number > 1 else "sheet"
    share = 100 * area // (number * stock.width * stock.length)
    how = f"{counted(len(parts), 'part')}, {area_words(job, area)}; {share} % of the {sheets} used"
    return f"{NAMES[use]}, {thick} thick", f"{number} {sheets}", how, "sheet"


def _lengths_said(job: Job, use: str, pieces: Sequence[PlacedBlank]) -> tuple[str, str, str, str]:
    """What lengths or rolls of one size are, how many pieces, what for, and what one is called."""
    units, is_band = job.closet.units, use == "edge band"
    how = f"{length_words(sum(piece.along for piece in pieces), units)} in all"
    how += f", {length_words(BAND_ENDS // 2, units)} more at each end" if is_band else ""
    item = f"{NAMES[use]}, {length_words(job.closet.rod.diameter, units)} thick" if use == "rod" else NAMES[use]
    return item, counted(len(pieces), "piece"), how, "roll of" if is_band else "length of"


def area_words(job: Job, area: int) -> str:
    """An area for reading: square feet or square metres."""
    if job.closet.units == "in":
        return f"{area / SQUARE_FOOT:.1f} sq ft"
    return f"{area / (1000 * PER_MM) ** 2:.2f} m²"


def bound_words(job: Job, cut_list: CutList) -> str:
    """What is proven about the number of sheets or lengths."""
    plan, choice = cut_list.plan, cut_list.choice
    if not plan.cost:
        return "all of it from what is owned"
    if plan.is_proven:
        what = "no fewer can do" if len(choice.stocks) == 1 else "no less board can do"
        what = "nothing cheaper can be cut" if choice.is_priced else what
        return f"{what} (proven)"
    costs = [stock.cost for stock in choice.stocks]
    if len(costs) == 1:
        return f"at least {-(-plan.bound // costs[0])} to buy (proven)"
    if choice.is_priced:
        return f"at least {job.closet.prices.currency}{plan.bound / 100:.2f} (proven)"
    return f"at least {100 * plan.bound // plan.cost} % of that is needed (proven)"
