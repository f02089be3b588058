"""Several answers for one count: what each stores, what its boards cost, what each step of money buys."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from capacity.closet.closet import Closet
from capacity.makeover.budget import panel_cost
from capacity.makeover.comparison import multiple_of
from capacity.makeover.plan import Plan
from capacity.units import PER_INCH, PER_MM

if TYPE_CHECKING:
    import pandas as pd

TODAY = "today's closet"


@dataclass(frozen=True, slots=True)
class Variant:
    """One answer. `cost` is the estimate for its boards, None where they have no price; `bound` limits its value."""

    name: str
    stored: int
    pieces: int
    value: int
    bound: int
    multiple: str
    cost: float | None
    currency: str

    @property
    def money(self) -> str:
        """The cost as printed."""
        return "no price yet" if self.cost is None else f"{self.currency}{self.cost:.2f}"


def today_of(plan: Plan, currency: str) -> Variant:
    """Today's closet, filled as well as it can be; it costs nothing."""
    side = plan.before
    return Variant(TODAY, side.stored, side.pieces, side.value, side.value_bound, multiple_of(side), 0.0, currency)


def variant_of(name: str, closet: Closet, plan: Plan) -> Variant:
    """The answer of one plan, for the closet that it was found for; uprights that stand already cost nothing."""
    unit = PER_INCH if plan.units == "in" else PER_MM
    area = next(goal.value for goal in plan.goals if goal.name == "panel area") * unit**2
    side = plan.after
    cost = panel_cost(closet, area)
    return Variant(
        name, side.stored, side.pieces, side.value, plan.value.bound, multiple_of(side), cost, closet.prices.currency
    )


def variants_table(variants: Sequence[Variant]) -> pd.DataFrame:
    """One row a variant, the cheapest first; a value that is not proven best says what could be held at most."""
    import pandas as pd

    rows = [
        {
            "closet": item.name,
            "boards, about": item.money,
            "pieces": f"{item.stored} of {item.pieces}",
            "value": f"{item.value}" if item.value == item.bound else f"{item.value}, at most {item.bound}",
            "capacity multiple": item.multiple,
        }
        for item in _by_cost(variants)
    ]
    return pd.DataFrame(rows)


def steps_in_words(variants: Sequence[Variant]) -> Iterator[str]:
    """What each step of money buys, from the cheapest up; what costs more and stores no more is said to.

    Variants without a price, or in another currency than the first, are left out.
    """
    priced = [item for item in _by_cost(variants) if item.cost is not None and item.currency == variants[0].currency]
    worth: list[Variant] = []
    for item in priced:
        if worth and item.value <= worth[-1].value:
            money = (item.cost or 0) - (worth[-1].cost or 0)
            words = f"costs {item.currency}{money:.2f} more" if money else "costs the same"
            yield f"{item.name} {words} than {worth[-1].name} and stores no more."
        else:
            worth.append(item)
    for less, more in itertools.pairwise(worth):
        yield _step(less, more)


def _step(less: Variant, more: Variant) -> str:
    money = (more.cost or 0) - (less.cost or 0)
    pieces, value = more.stored - less.stored, more.value - less.value
    number = f"{pieces} more {'piece' if pieces == 1 else 'pieces'}" if pieces >= 0 else f"{-pieces} fewer pieces"
    each = f", about {more.currency}{money / pieces:.2f} a piece" if pieces > 0 else ""
    cost = f"about {more.currency}{money:.2f} of boards"
    return f"From {less.name} to {more.name}: {cost} buys {number} (value {value:+d}){each}."


def _by_cost(variants: Sequence[Variant]) -> list[Variant]:
    """Cheapest first, unknown prices last; of equal cost the one that stores least first."""
    return sorted(variants, key=lambda item: (item.cost is None, item.cost or 0.0, item.value, item.name != TODAY))
