"""Several answers for one count: what each stores, what it costs, what each step of money buys."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from capacity.makeover.comparison import multiple_of
from capacity.makeover.plan import Plan
from capacity.units import counted

if TYPE_CHECKING:
    import pandas as pd

TODAY = "today's closet"
RESPACED = "today's bays re-spaced"


@dataclass(frozen=True, slots=True)
class Cost:
    """What all of it likely costs, low and high, and how many sheets; `has_gaps`: something has no price at all."""

    low: float
    high: float
    currency: str
    has_gaps: bool = False
    sheets: int = 0

    def __str__(self) -> str:
        if self.has_gaps:
            return f"{self.currency}{self.low:.2f} and more" if self.low else "no price yet"
        return money_in_words(self.currency, self.low, self.high)


def money_in_words(currency: str, low: float, high: float) -> str:
    """An amount, or a range of whole units of money around it."""
    if low == high:
        return f"{currency}{low:.2f}"
    return f"{currency}{math.floor(low)} to {currency}{math.ceil(high)}"


@dataclass(frozen=True, slots=True)
class Variant:
    """One answer. `cost` is None where it is not known; `bound` limits its value."""

    name: str
    stored: int
    pieces: int
    value: int
    bound: int
    multiple: str
    cost: Cost | None

    @property
    def money(self) -> str:
        """The cost as printed."""
        return "not known" if self.cost is None else str(self.cost)

    @property
    def order(self) -> tuple[bool, float, int, bool]:
        """Cheapest first, unknown costs last; of equal cost the one that stores least first."""
        amount = 0.0 if self.cost is None else self.cost.low + self.cost.high
        return self.cost is None, amount, self.value, self.name != TODAY


def today_of(plan: Plan, currency: str) -> Variant:
    """Today's closet, filled as well as it can be; it costs nothing."""
    side = plan.before
    cost = Cost(0.0, 0.0, currency)
    return Variant(TODAY, side.stored, side.pieces, side.value, side.value_bound, multiple_of(side), cost)


def variant_of(name: str, plan: Plan, cost: Cost | None) -> Variant:
    """The answer of one plan."""
    side = plan.after
    return Variant(name, side.stored, side.pieces, side.value, plan.value.bound, multiple_of(side), cost)


def variants_table(variants: Sequence[Variant]) -> pd.DataFrame:
    """One row a variant, the cheapest first; a value that is not proven best says what could be held at most."""
    import pandas as pd

    rows = [
        {
            "closet": item.name,
            "to buy, likely": item.money,
            "pieces": f"{item.stored} of {item.pieces}",
            "value": f"{item.value}" if item.value == item.bound else f"{item.value}, at most {item.bound}",
            "capacity multiple": item.multiple,
        }
        for item in sorted(variants, key=lambda item: item.order)
    ]
    return pd.DataFrame(rows)


def gain_for_money(today: Variant, respaced: Variant | None, whole: Variant) -> str:
    """What a family asks first: how many more pieces for how much, by re-spacing what is there and by the layout."""

    def brings(item: Variant) -> str:
        more = item.stored - today.stored
        words = f"{more} more" if more > 0 else f"{-more} fewer" if more < 0 else "no more"
        return f"{words}, for {item.cost}" if item.cost is not None and not item.cost.has_gaps else words

    if respaced is None:
        words = brings(whole)
        number, _, rest = words.partition(",")
        noun = "piece" if number in ("1 more", "1 fewer") else "pieces"
        return f"Against today's closet this layout brings {number} {noun}{',' if rest else ''}{rest}."
    return f"Against today's closet, re-spaced shelves alone bring {brings(respaced)}; this layout {brings(whole)}."


def steps_in_words(variants: Sequence[Variant]) -> Iterator[str]:
    """What each step of money buys, from the cheapest up; what costs more and stores no more is said to.

    Variants whose cost is not wholly known, or in another currency than the first, are left out.
    """
    known = [item for item in variants if item.cost is not None and not item.cost.has_gaps]
    currency = next((item.cost.currency for item in known if item.cost is not None), "")
    priced = [item for item in known if item.cost is not None and item.cost.currency == currency]
    worth: list[Variant] = []
    for item in sorted(priced, key=lambda item: item.order):
        if worth and item.value <= worth[-1].value:
            low, high = _more(worth[-1], item)
            words = f"costs {money_in_words(currency, low, high)} more" if high else "costs the same"
            yield f"{item.name} {words} than {worth[-1].name} and stores no more."
        else:
            worth.append(item)
    for less, more in itertools.pairwise(worth):
        yield _step(less, more, currency)


def _more(less: Variant, more: Variant) -> tuple[float, float]:
    """How much more the second costs, at the low prices and at the high ones."""
    one, other = less.cost, more.cost
    if one is None or other is None:
        return 0.0, 0.0
    low, high = sorted((round(other.low - one.low, 2), round(other.high - one.high, 2)))
    return low, high


def _step(less: Variant, more: Variant, currency: str) -> str:
    low, high = _more(less, more)
    pieces, value = more.stored - less.stored, more.value - less.value
    number = counted(pieces, "more piece") if pieces >= 0 else counted(-pieces, "fewer piece")
    each = f", {money_in_words(currency, low / pieces, high / pieces)} a piece" if pieces > 0 else ""
    cost = money_in_words(currency, low, high)
    return f"From {less.name} to {more.name}: {cost} buys {number} (value {value:+d}){each}."
