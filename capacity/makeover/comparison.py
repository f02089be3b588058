"""Before and after as tables, by kind and owner, read from a plan and the inventory it was made for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from capacity.layout.problem import OPENING_FOR
from capacity.makeover.plan import MUST_GOAL, SHEETS_GOAL, KindMultiple, Plan, PlanGoal, PlanSide, stored_by_row
from capacity.wardrobe.inventory import Inventory
from capacity.wardrobe.piles import Pile

if TYPE_CHECKING:
    import pandas as pd

By = Literal["kind", "owner"]
"""What the gains are added up by."""


@dataclass(frozen=True, slots=True)
class Gain:
    """Pieces of one kind or owner: owned, stored before, stored after, and in what was built (None: not known)."""

    name: str
    owned: int
    before: int
    after: int
    built: int | None = None

    @property
    def gained(self) -> int:
        """How many more are stored after, or in what was built, than before; below 0 where fewer are."""
        return (self.after if self.built is None else self.built) - self.before


def gains(plan: Plan, inventory: Inventory, by: By, built: Counter[int] | None = None) -> tuple[Gain, ...]:
    """Pieces owned, stored before and stored after, in the order of the inventory.

    Parameters
    ----------
    plan, inventory
        A plan and the inventory that it was made for.
    by
        ``"kind"`` or ``"owner"``; what belongs to nobody is listed as `shared`.
    built
        Pieces by data row in what was built, where that is known.
    """
    before, after = stored_by_row(plan.before.walls), stored_by_row(plan.after.walls)
    sides = (before, after) if built is None else (before, after, built)
    sums: dict[str, list[int]] = {}
    for pile in inventory.piles:
        name = pile.kind if by == "kind" else (pile.owner or "shared")
        pieces = sums.setdefault(name, [0] * (1 + len(sides)))
        for index, more in enumerate((pile.count, *(side[pile.row] for side in sides))):
            pieces[index] += more
    return tuple(Gain(name, *pieces) for name, pieces in sums.items())


@dataclass(frozen=True, slots=True)
class Comparison:
    """Before and after: what is gained by kind and by owner, and the same in words."""

    by_kind: tuple[Gain, ...]
    by_owner: tuple[Gain, ...]
    headline: str
    proof: str

    def __str__(self) -> str:
        return f"{self.headline}\n{self.proof}"

    def to_frame(self, by: By = "kind") -> pd.DataFrame:
        """One row a kind or an owner, columns `kind` or `owner`, `owned`, `before`, `after`, `gained` [pieces]."""
        import pandas as pd

        return pd.DataFrame(rows_of(self.by_kind if by == "kind" else self.by_owner, by))


def comparison(plan: Plan, inventory: Inventory) -> Comparison:
    """Before and after of a plan and the inventory that it was made for."""
    by_kind, by_owner = gains(plan, inventory, "kind"), gains(plan, inventory, "owner")
    return Comparison(by_kind, by_owner, headline(plan), proof(plan))


def rows_of(gained: Iterable[Gain], by: By) -> list[dict[str, str | int]]:
    """The gains as rows of a table."""
    return [
        {
            by: item.name,
            "owned": item.owned,
            "before": item.before,
            **({"after": item.after} if item.built is None else {"planned": item.after, "built": item.built}),
            "gained": item.gained,
        }
        for item in gained
    ]


def rows_with_shares(gained: Iterable[Gain], by: By) -> list[dict[str, str | int]]:
    """The rows of `rows_of` with the share of what is owned beside what is stored, rounded down to a percent."""

    def share(stored: int, owned: int) -> str:
        return f"{stored} ({100 * stored // owned if owned else 100} %)"

    return [
        {**row, "before": share(item.before, item.owned), "after": share(item.after, item.owned)}
        for item in gained
        for row in rows_of([item], by)
    ]


def gain_in_words(gained: Sequence[Gain], by: By) -> str:
    """What a chart of the gains shows: how many are wholly stored, and the largest gains."""
    before, after = (sum(getattr(item, side) == item.owned for item in gained) for side in ("before", "after"))
    names = {"kind": ("kind", "kinds"), "owner": ("owner", "owners")}[by]
    whole = f"{before} wholly stored before, {after} after"
    words = f"Pieces before and after by {by}: of {len(gained)} {names[len(gained) != 1]}, {whole}"
    top = sorted((item for item in gained if item.gained > 0), key=lambda item: (-item.gained, item.name))[:3]
    largest = [f"{item.name} {item.before} to {item.after}" for item in top]
    return f"{words}; largest gains: {', '.join(largest)}." if largest else f"{words}; nothing is gained."


MULTIPLE_IN_WORDS = (
    "The capacity multiple does not depend on how much you own, only on the mix: 0.80 means room for 80 % of every "
    "pile at once, 1.30 means room for all of it and 30 % more of each."
)


def headline(plan: Plan) -> str:
    """The room gained, in one sentence; a figure that is not proven says "at least"."""
    before, after = plan.before, plan.after
    today = f"today's closet holds {_at_least(before.value < before.value_bound)}{before.stored}"
    if not any(wall.bays for wall in before.walls):
        today = "no closet of today is described"
    if after.stored == after.pieces:
        first = f"Everything fits: all {after.pieces} pieces have a place; {today}"
        then = f"{multiple_of(before)} before, {multiple_of(after)} after" if before.stored else multiple_of(after)
        return f"{first}. Capacity multiple {then}.{_worse(plan)}"
    out = after.pieces - after.stored
    share = 100 * after.value // plan.value.all if plan.value.all else 100
    return (
        f"{after.stored} of {after.pieces} pieces have a place ({share} % of their value), "
        f"{out} {'is' if out == 1 else 'are'} left out; {today}.{_worse(plan)}"
    )


def _worse(plan: Plan) -> str:
    """Say it where the layout stores less than what stands today, as under a budget or with bays that must be."""
    less = plan.before.value - plan.after.value
    return f" That is worse than what you have, which stores {less} more in value." if less > 0 else ""


def more_time_in_words(plan: Plan) -> str:
    """What more time might still bring, by the proven bound."""
    more = plan.value.bound - plan.value.stored
    if more <= 0:
        return "More time can store nothing more; `--effort thorough` may still better what comes after that."
    return (
        f"More time might store up to {more} more in value, and no layout more than that: `capacity fit --keep-going`, "
        "or `--effort thorough`."
    )


def alternative_in_words(plan: Plan) -> str | None:
    """The other layout that the plan keeps, and what it gives up; None where there is none."""
    other = plan.alternative
    if other is None:
        return None
    low = int(100 * plan.after.capacity_multiple + 1e-6)
    high = int(100 * other.capacity_multiple + 1e-6)
    less = plan.value.stored - other.value
    worth = f"stores {less} less in value" if less else "stores as much, its piles in more places,"
    return (
        f"Another layout, kept in the plan as `alternative`, {worth} "
        f"but has room for {high} % of every pile at once instead of {low} %."
    )


def left_out_in_words(plan: Plan) -> str | None:
    """What has to go so that all the rest has a place, and what any layout would leave out; None: nothing."""
    goes, least = plan.value.all - plan.value.stored, plan.value.all - plan.value.bound
    if not goes:
        return None
    if goes == least:
        words = "no layout leaves out less"
    else:
        words = f"any layout leaves out {least} at least" if least else "whether some layout stores that too is open"
    return f"Let what is left out go, worth {goes}, and all the rest has a place; {words}."


def boards_in_words(plan: Plan) -> str | None:
    """What the boards cost by the estimate that limits the layout; None without a budget."""
    if plan.boards is None:
        return None
    spent, most = (f"{plan.boards.currency}{amount:.2f}" for amount in (plan.boards.estimate, plan.boards.budget))
    return f"Boards cost about {spent} of the budget of {most}. {plan.boards.rule}"


def _at_least(is_open: bool) -> str:
    return "at least " if is_open else ""


def multiple_of(side: PlanSide) -> str:
    """The capacity multiple, rounded down as room is; an interval when it is not decided."""
    low, high = (int(100 * number + 1e-6) / 100 for number in (side.capacity_multiple, side.capacity_multiple_at_most))
    return f"{low:.2f}" if low == high else f"{low:.2f} to {high:.2f}"


def rule_of_thumb_in_words(plan: Plan) -> str:
    """The comparison with the rule of thumb, and what value means."""
    is_open = plan.rule_of_thumb < plan.rule_of_thumb_bound
    rule = "the rule of thumb (equal shelves, half the wall double-hung)"
    if plan.rule_of_thumb or not plan.value.all:
        more = plan.value.stored - plan.rule_of_thumb
        words = f"{more} more than" if more >= 0 else f"{-more} less than"
        first = f"That is {words} the {_at_least(is_open)}{plan.rule_of_thumb} of {rule}"
        first += ", built anew whatever it costs." if more < 0 else "."
    elif is_open:
        first = f"What {rule} holds here was not found out in time; it is at most {plan.rule_of_thumb_bound}."
    else:
        first = f"There is nothing to compare it with: {rule} has no room here for any of this."
    return f"{first} Value: each stored piece counts 3 if used daily, 2 weekly, 1 seasonally."


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
    kinds = list(plan.after.multiples)
    is_joint = len(kinds) > 1 and len({repr(plan.after.multiples[kind]) for kind in kinds}) == 1
    for kind in kinds[:1] if is_joint else kinds:
        before, after = plan.before.multiples[kind], plan.after.multiples[kind]
        piles = [pile for pile in inventory.piles if is_joint or OPENING_FOR[pile.store] == kind]
        words = "" if is_joint else f"{KIND_WORDS[kind]} "
        line = f"Before: {_room(before, piles, words)}; after: {_room(after, piles, words)}"
        if after.limited_by_row is not None:
            line += f", where the first to run out is {inventory.pile(after.limited_by_row).name}"
        yield line + "."


def _room(multiple: KindMultiple, piles: Sequence[Pile], words: str) -> str:
    """Room for so much of every pile at once; where that is not a single whole piece, for none."""
    if not any(int(1000 * multiple.low + 0.5) * pile.count // 1000 for pile in piles):
        return f"no room for a piece of every {words}pile at once"
    return f"room for {_share(multiple)} of every {words}pile"


def wanting_in_words(plan: Plan) -> Iterator[str]:
    """What a little more room would store, one line a change."""
    for change in plan.would_take:
        more = f"{change.stored - plan.value.stored} more of value {plan.value.all}"
        most = "" if change.stored >= change.bound else f", at most {change.bound - plan.value.stored} more"
        yield f"{change.change} would store {more}{most}."


KIND_WORDS = {"shelf": "shelf", "hang": "hanging", "drawer": "drawer"}


def _share(multiple: KindMultiple) -> str:
    low, high = int(100 * multiple.low + 1e-6), int(100 * multiple.high + 1e-6)
    return f"{low} %" if low == high else f"{low} to {high} %"


def goals_in_words(plan: Plan) -> Iterator[str]:
    """One line a goal after the stored value: what it came to, and how far it is from what is proven."""
    goals = {goal.name: goal for goal in plan.goals}
    if (must := goals.get(MUST_GOAL)) is not None:
        most = "no layout gives one to more" if must.value == must.bound else f"in any layout at most {must.bound:g}"
        yield f"What must have a place: {must.value:g} {must.note} have one; {most}."
    if (places := goals.get("places")) is not None:
        lying = "Every pile lies in one place" if not places.value else f"Places beyond one a pile: {places.value:g}"
        yield f"{lying}{_proven(places)}."
    if (trouble := goals.get("inconvenience")) is not None:
        note = f"{trouble.note[:1].upper()}{trouble.note[1:]}"
        yield f"Bending, stretching and steps: {trouble.value:g}{_proven(trouble)}. {note}".rstrip()
    if (sizes := goals.get("sizes")) is not None:
        yield f"Sizes to set a stop for: {sizes.value:g} ({sizes.note})."
    if (sheets := goals.get(SHEETS_GOAL)) is not None:
        yield f"Whole sheets to buy: {sheets.value:g} ({sheets.note}){_proven(sheets)}."
    if places is not None:
        yield plan.exchange


def _proven(goal: PlanGoal) -> str:
    if goal.bound is None:
        return ""
    best, where = {
        "all layouts": ("no layout has less", "in any layout"),
        "these parts": ("these parts cannot be cut from fewer", "for these parts"),
    }.get(goal.bound_of or "", _OF_OPENINGS)
    return f"; {best}" if goal.bound == goal.value else f"; at least {goal.bound:g} {where}"


_OF_OPENINGS = ("none for these pieces in these openings has less", "in these openings with these pieces")
