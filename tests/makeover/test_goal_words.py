"""What was reached is said as far as it is proven, and a kind that is left out whole is named."""

from __future__ import annotations

import pytest
from support.quick import closet_of, inventory_of, sample

from capacity.makeover.comparison import goals_in_words
from capacity.makeover.left_out import kinds_left_out
from capacity.makeover.plan import LeftOut, Plan, PlanGoal
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan
from capacity.wardrobe.inventory import Inventory


@pytest.fixture(scope="module")
def made() -> tuple[Plan, Inventory]:
    closet = closet_of(sample("six-foot-reach-in"))
    inventory = inventory_of("six-foot-reach-in", closet)
    return make_plan(closet, inventory, Effort(factor=0.01)), inventory


def _places(plan: Plan, value: float, bound: float | None, of: str | None) -> str:
    goal = PlanGoal.model_validate(
        {"name": "places", "value": value, "bound": bound, "status": "feasible", "bound_of": of}
    )
    return next(goals_in_words(plan.model_copy(update={"goals": (goal,)})))


def test_a_goal_says_what_is_proven_and_of_what(made: tuple[Plan, Inventory]) -> None:
    plan, _ = made
    assert _places(plan, 0, 0, "all layouts") == "Every pile lies in one place; no layout has less."
    assert _places(plan, 4, 4, "these openings and pieces") == (
        "Places beyond one a pile: 4; none for these pieces in these openings has less."
    )
    assert _places(plan, 4, 2, "all layouts") == "Places beyond one a pile: 4; at least 2 in any layout."
    assert _places(plan, 4, None, None) == "Places beyond one a pile: 4."


def test_whoever_is_assumed_begins_a_sentence(made: tuple[Plan, Inventory]) -> None:
    note = "one adult of 5 ft 4 in is assumed"
    goal = PlanGoal(name="inconvenience", value=3, bound=None, status="feasible", note=note)
    line = next(goals_in_words(made[0].model_copy(update={"goals": (goal,)})))
    assert line == "Bending, stretching and steps: 3. One adult of 5 ft 4 in is assumed"


def test_the_plan_has_its_goals_in_order_and_says_the_exchange(made: tuple[Plan, Inventory]) -> None:
    plan, _ = made
    names = [goal.name for goal in plan.goals]
    assert names[:4] == ["stored value", "places", "inconvenience", "sizes"]
    assert set(names[4:]) == {"capacity multiple", "panel area"}
    assert list(goals_in_words(plan))[-1] == plan.exchange


def test_only_a_kind_that_is_left_out_whole_is_named(made: tuple[Plan, Inventory]) -> None:
    plan, inventory = made
    rows: dict[str, list[LeftOut]] = {}
    for pile in inventory.piles:
        if pile.count:
            rows.setdefault(pile.kind, []).append(LeftOut(row=pile.row, count=pile.count, reason="no room"))
    kind, whole = next(iter(rows.items()))
    other = next(out[0] for name, out in rows.items() if name != kind and out[0].count > 1)
    part = other.model_copy(update={"count": other.count - 1})
    lines = list(kinds_left_out(plan.model_copy(update={"left_out": (*whole, part)}), inventory))
    assert len(lines) == 1
    count = sum(item.count for item in whole)
    assert lines[0].startswith(f"No {kind} has a place: {'the one is' if count == 1 else f'all {count} are'} left out")
