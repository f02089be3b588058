"""Before and after as tables, by kind and owner, read from a plan and the inventory it was made for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING

from capacity.inventory import Inventory
from capacity.plan import KindMultiple, Plan, PlanSide

if TYPE_CHECKING:
    import pandas as pd


def stored_by_row(side: PlanSide) -> Counter[int]:
    """Pieces stored by data row."""
    pieces: Counter[int] = Counter()
    for wall in side.walls:
        for bay in wall.bays:
            for opening in bay.openings:
                for holding in opening.holds:
                    pieces[holding.row] += holding.count
    return pieces


def comparison(plan: Plan, inventory: Inventory, by: str) -> pd.DataFrame:
    """Pieces owned, stored before and stored after, one row a kind or an owner.

    Parameters
    ----------
    plan, inventory
        A plan and the inventory that it was made for.
    by
        ``"kind"`` or ``"owner"``; what belongs to nobody is listed as `shared`.
    """
    import pandas as pd

    before, after = stored_by_row(plan.before), stored_by_row(plan.after)
    rows = [
        {
            by: pile.kind if by == "kind" else (pile.owner or "shared"),
            "owned": pile.count,
            "before": before[pile.row],
            "after": after[pile.row],
        }
        for pile in inventory.piles
    ]
    table = pd.DataFrame(rows).groupby(by, sort=False, as_index=False).sum()
    table["gained"] = table["after"] - table["before"]
    return table


def headline(plan: Plan) -> str:
    """The room gained, in one sentence."""
    before, after = plan.before, plan.after
    if after.stored == after.pieces:
        first = f"Everything fits: all {after.pieces} pieces have a place; today's closet holds {before.stored}"
        return f"{first}. Capacity multiple {before.capacity_multiple:.2f} before, {after.capacity_multiple:.2f} after."
    out = after.pieces - after.stored
    share = 100 * after.value // plan.value.all if plan.value.all else 100
    return (
        f"{after.stored} of {after.pieces} pieces have a place ({share} % of their value), "
        f"{out} {'is' if out == 1 else 'are'} left out; "
        f"today's closet holds {before.stored}."
    )


def proof(plan: Plan) -> str:
    """What was proven about the plan, in words."""
    if plan.value.status == "optimal":
        return f"Nothing can store more: value {plan.value.stored} of {plan.value.all} is proven best."
    return (
        f"Stored value {plan.value.stored} of {plan.value.all}; not proven best yet, "
        f"could hold at most {plan.value.bound}."
    )


def multiple_in_words(plan: Plan, inventory: Inventory) -> Iterator[str]:
    """How much of every pile has room at once, by kind of opening; a test not decided shows as an interval."""
    for kind in plan.after.multiples:
        before, after = plan.before.multiples[kind], plan.after.multiples[kind]
        line = f"Room for {_share(before)} of every {KIND_WORDS[kind]} pile before, {_share(after)} after"
        if after.limited_by_row is not None:
            line += f"; the first to run out: {inventory.pile(after.limited_by_row).name}"
        yield line + "."


KIND_WORDS = {"shelf": "shelf", "hang": "hanging", "drawer": "drawer"}


def _share(multiple: KindMultiple) -> str:
    low, high = int(100 * multiple.low + 1e-6), int(100 * multiple.high + 1e-6)
    return f"{low} %" if low == high else f"{low} to {high} %"
