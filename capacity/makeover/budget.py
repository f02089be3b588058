"""A budget as an area of panel, and what panel costs; `layout.layout.is_within_budget` holds a layout to it."""

from __future__ import annotations

from fractions import Fraction

from capacity.closet.closet import Closet
from capacity.closet.construction import USUAL_SHEET

SHARE_USED = Fraction(7, 10)
"""Share of the bought sheets that becomes uprights, shelves, bottoms and tops; 63 to 79 % on the samples (measured)."""


BUDGET_RULE = (
    "Area of uprights, shelves, bottoms and tops at the price of a sheet, of which 70 % becomes panels, with tax and "
    "reserve; rods, screws and the other lines of the shopping list are not in it."
)


def affordable_panel(closet: Closet) -> int:
    """Area of uprights and shelves that the budget buys [square ticks]; 0 where there is no budget.

    The estimate: tax and reserve come off the budget, the rest buys sheets at the least price for their area, of which
    `SHARE_USED` becomes panels. Rods, screws and the other lines of the shopping list are not in it.
    """
    price = _panel_price(closet)
    if not closet.wishes.budget or price is None:
        return 0
    return max(1, int(Fraction(str(closet.wishes.budget)) / price))


def budget_before(closet: Closet) -> str:
    """What the budget means while a layout is looked for, in one sentence."""
    budget = f"{closet.prices.currency}{closet.wishes.budget:.2f}"
    width, length = closet.panel.sheet or USUAL_SHEET
    sheets = affordable_panel(closet) / SHARE_USED / (width * length)
    return (
        f"The budget of {budget} limits boards while a layout is looked for: to {float(sheets):.1f} sheets. Rods, "
        "hardware, drawers and paint are held against it when one is found."
    )


def _panel_price(closet: Closet) -> Fraction | None:
    """Money for a square tick of panel, waste, tax and reserve in it."""
    rates = [
        Fraction(str(sheet.price)) / (sheet.size[0] * sheet.size[1])
        for sheet in closet.sheet
        if sheet.use == "panel" and sheet.price
    ]
    if not rates and closet.panel.price:
        width, length = closet.panel.sheet or USUAL_SHEET
        rates = [Fraction(str(closet.panel.price)) / (width * length)]
    if not rates:
        return None
    extra = (1 + Fraction(str(closet.prices.tax))) * (1 + Fraction(str(closet.prices.reserve)))
    return min(rates) * extra / SHARE_USED
