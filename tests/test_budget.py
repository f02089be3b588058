"""A budget as a limit on the panels of the layout, by the estimate that the plan states."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from cases import INCH, problem, random_things, run
from quick import changed, closet_of, inventory_of, sample

from capacity.bounding import bound_choices, design_master
from capacity.closet import parse_closet
from capacity.design import design
from capacity.effort import Effort
from capacity.errors import InputError
from capacity.layout import Layout, panel_area
from capacity.problem import Corner, Problem
from capacity.sizing import affordable_panel
from capacity.solving import make_plan
from capacity.verify import violations

QUICK = Effort(factor=0.1)


def _household(seed: int, share: float) -> Problem:
    """A household with a corner whose budget buys a share of the panel that the free design takes."""
    chance = random.Random(seed)
    walls = [run("left", 66, 15, 96), run("back", 84, 14, 96)]
    facts = problem(random_things(chance, 8, 6), walls, (Corner(0, 1),))
    free = design(facts, QUICK)
    return replace(facts, most_panel=round(share * panel_area(facts, free.layout)))


@pytest.mark.parametrize(("seed", "share"), [(0, 0.4), (1, 0.6), (2, 0.8)])
def test_a_layout_keeps_within_the_budget_and_under_its_bound(seed: int, share: float) -> None:
    facts = _household(seed, share)
    found = design(facts, QUICK)
    assert violations(facts, found.layout) == ()
    assert 0 < found.value <= found.bound
    assert panel_area(facts, found.layout) <= facts.most_panel


def test_less_money_never_raises_the_bound() -> None:
    facts = _household(3, 1.0)
    bounds = []
    for share in (100, 70, 40, 10):
        poorer = replace(facts, most_panel=facts.most_panel * share // 100)
        bounds.append(bound_choices(poorer, design_master(poorer), Effort(), facts.value_of_all)[0].bound)
    assert bounds == sorted(bounds, reverse=True)
    assert bounds[-1] < bounds[0]


def test_a_dear_layout_of_a_richer_household_is_never_above_its_own_bound() -> None:
    """What a richer search finds, and a poorer budget buys exactly, is at most the poorer bound."""
    facts = _household(4, 0.7)
    found = design(facts, QUICK)
    exact = replace(facts, most_panel=panel_area(facts, found.layout))
    assert violations(exact, found.layout) == ()
    bound = bound_choices(exact, design_master(exact), Effort(), facts.value_of_all)[0].bound
    assert found.value <= bound + 1e-6


def test_the_checker_counts_the_panels_to_the_square_tick() -> None:
    facts = _household(5, 0.7)
    found = design(facts, QUICK)
    area = panel_area(facts, found.layout)
    assert violations(replace(facts, most_panel=area), found.layout) == ()
    (broken,) = violations(replace(facts, most_panel=area - 1), found.layout)
    assert broken.rule == "budget"


def test_the_estimate_is_the_one_that_the_plan_states() -> None:
    """By hand: $100 less 25 % tax are $80, at $40 a sheet two of 4 x 8 ft, 70 % of which is 6,451.2 square inches."""
    settings = {"wishes.budget": 100, "panel.price": 40, "panel.sheet": [48, 96], "prices.tax": 0.25}
    closet = closet_of(changed(sample("six-foot-reach-in"), settings))
    assert affordable_panel(closet) == 64512 * INCH * INCH // 10
    assert affordable_panel(closet_of(changed(sample("six-foot-reach-in"), {"wishes.budget": 0}))) == 0


def test_the_plan_says_what_the_boards_cost() -> None:
    closet = closet_of(changed(sample("six-foot-reach-in"), {"wishes.budget": 120}))
    plan = make_plan(closet, inventory_of("six-foot-reach-in", closet), QUICK)
    assert plan.boards is not None
    assert 0 < plan.boards.estimate <= plan.boards.budget == 120
    free = make_plan(closet_of(sample("six-foot-reach-in")), inventory_of("six-foot-reach-in", closet), QUICK)
    assert free.boards is None
    assert plan.value.stored < free.value.stored


def test_a_budget_without_a_price_is_a_fault() -> None:
    text = 'ceiling = 96\ntop = 84\n[[wall]]\nname = "back"\nwidth = 60\ndepth = 15\n[wishes]\nbudget = 200\n'
    with pytest.raises(InputError, match=r"\[wishes\] budget: is a limit only where a sheet has a price"):
        parse_closet(text)


def test_a_budget_too_small_for_the_bays_that_must_be_is_a_fault() -> None:
    settings = {"wishes.budget": 3, "wishes.bay": [{"wall": "back", "left": 20, "width": 20}]}
    closet = closet_of(changed(sample("six-foot-reach-in"), settings))
    with pytest.raises(InputError, match="does not buy the board"):
        make_plan(closet, inventory_of("six-foot-reach-in", closet), QUICK)


def test_no_money_buys_nothing() -> None:
    facts = replace(_household(6, 1.0), most_panel=1)
    found = design(facts, QUICK)
    assert found.value == 0
    assert found.layout == Layout(tuple(replace(wall, bays=()) for wall in found.layout.walls), found.layout.owners)
