"""A budget as a limit on the panels of the layout, by the estimate that the plan states."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from support.cases import INCH, one_wall, problem, random_things, run, thing
from support.quick import changed, closet_of, inventory_of, sample

from capacity.closet.closet import parse_closet
from capacity.errors import InputError
from capacity.layout.fit_rules import violations
from capacity.layout.layout import Layout, is_within_budget, panel_area, value_of
from capacity.layout.problem import Corner, FixedBay, OpeningKind, Problem
from capacity.layout.sketches import BaySketch, uprights_besides
from capacity.layout.towers import groups_of
from capacity.makeover.budget import affordable_panel
from capacity.makeover.plan import Plan
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan
from capacity.solver.relaxation.bay_pricing import BayValues
from capacity.solver.relaxation.columns import BayColumn, bay_area
from capacity.solver.relaxation.value_bound import FINE, bound_choices, design_master
from capacity.solver.relaxation.wall_pricing import plain_room
from capacity.solver.search.design import design, first_layout
from capacity.solver.search.ruin_and_recreate import Recreator
from capacity.solver.search.wall_parts import divide

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


def _with_bays_that_must_be(seed: int) -> Problem:
    """A wall for eight bays of 14 in side by side, of which five must be, two of them next to each other."""
    facts = problem(random_things(random.Random(seed), 12, 12), [run("back", 8 * 14 + 9 * 0.75, 15, 96)])
    places = (3 * INCH // 4 + number * (14 * INCH + 3 * INCH // 4) for number in (0, 2, 4, 6, 7))
    return replace(facts, fixed=tuple(FixedBay(0, place, 14 * INCH, 15 * INCH) for place in places))


@pytest.mark.parametrize("seed", range(2))
def test_an_upright_that_two_parts_of_a_wall_share_is_paid_once(seed: int) -> None:
    """What is found without a budget, and is bought exactly, is at most the bound and is found again."""
    facts = _with_bays_that_must_be(seed)
    found = design(facts, QUICK)
    whole = found.layout
    assert found.value == facts.value_of_all
    assert panel_area(facts, whole) == panel_area(found.parts, found.in_parts.layout)
    exact = replace(facts, most_panel=panel_area(facts, whole))
    again = design(exact, QUICK)
    assert again.bound >= found.value
    assert violations(exact, again.layout) == ()
    assert again.value == found.value
    for layout, fits in ((whole, exact), (found.in_parts.layout, replace(found.parts, most_panel=exact.most_panel))):
        (broken,) = violations(replace(fits, most_panel=exact.most_panel - 1), layout)
        assert broken.rule == "budget"


def test_a_bay_pays_as_much_for_uprights_on_a_part_of_a_wall_as_on_the_whole() -> None:
    """Bounds charge each bay one upright and, by its width, a share of the one more that a wall has, not a part."""
    facts = _with_bays_that_must_be(0)
    parts, whole = divide(facts).problem, replace(facts, fixed=())
    groups, bay = groups_of(whole), BayColumn(14 * INCH, None, 0, None, ((OpeningKind.SHELF, 12 * INCH),), 0)
    worth = []
    for wall in (whole, parts):
        values = BayValues(wall, groups, facts.runs[0].form, None, FINE)
        values.price(np.array([float(group.value) for group in groups]), panel=1 / (90 * INCH * INCH))
        worth.append(values.of(plain_room(wall, wall.runs[0])))
        assert bay_area(wall, 0, bay, wall.top) == bay_area(whole, 0, bay, wall.top)
    assert worth[0].tolist() == worth[1].tolist()


def test_the_search_counts_the_uprights_that_parts_of_a_wall_share() -> None:
    """Between two bays 26 in apart: a bay of 24 1/2 in brings none of its own, one of 20 in one, two of 12 in two."""
    facts = problem(random_things(random.Random(0), 3, 3), [run("back", 100, 15, 96)])
    fixed = (FixedBay(0, 30 * INCH, 14 * INCH, 15 * INCH), FixedBay(0, 70 * INCH, 14 * INCH, 15 * INCH))
    parts = divide(replace(facts, fixed=fixed)).problem
    each = 15 * INCH * parts.top

    def number(part: int, *widths: float) -> int:
        sketches = [BaySketch(round(width * INCH), None, ()) for width in widths]
        return len(sketches) + uprights_besides(parts, part, sketches) // each

    assert [number(2, 24.5), number(2, 20), number(2, 12, 11.75), number(2, 12, 11), number(2)] == [0, 1, 1, 2, 0]
    assert [number(0, 20), number(4, 15), number(0, 14, 14), number(1, 14), number(3, 14)] == [1, 1, 2, 2, 2]
    alone = replace(facts, fixed=(fixed[0], replace(fixed[1], left=44 * INCH + 3 * INCH // 4)))
    assert [part.shares_left for part in divide(alone).problem.runs] == [False, False, True, True]
    parts = divide(alone).problem
    assert [number(1, 14), number(2, 14)] == [2, 1]


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
    quick = Effort(factor=0.01)
    plan = make_plan(closet, inventory_of("six-foot-reach-in", closet), quick)
    assert plan.boards is not None
    assert 0 < plan.boards.estimate <= plan.boards.budget == 120
    free = make_plan(closet_of(sample("six-foot-reach-in")), inventory_of("six-foot-reach-in", closet), quick)
    assert free.boards is None
    assert plan.value.stored < free.value.stored


def test_a_budget_without_a_price_is_a_fault() -> None:
    text = one_wall(60) + "[wishes]\nbudget = 200\n"
    with pytest.raises(InputError, match=r"\[wishes\] budget: is a limit only where a sheet has a price"):
        parse_closet(text)


def test_a_budget_too_small_for_the_bays_that_must_be_is_a_fault() -> None:
    settings = {"wishes.budget": 3, "wishes.bay": [{"wall": "back", "left": 20, "width": 20}]}
    closet = closet_of(changed(sample("six-foot-reach-in"), settings))
    with pytest.raises(InputError, match="does not buy the board"):
        make_plan(closet, inventory_of("six-foot-reach-in", closet), QUICK)


def test_the_least_that_a_kept_bay_takes_is_a_top_panel() -> None:
    """Two of 15 in by 15: a budget must buy the panel over a rod that stands on the floor, and no bottom panel."""
    bay = {"wall": "back", "width": 15, "depth": 15, "openings": [{"kind": "shelf", "bottom": 0, "height": 60}]}
    today = {"before": [bay | {"left": 5}, bay | {"left": 30}], "wishes.keep_bays": True,
             "panel.price": 100, "panel.sheet": [10, 45], "prices.tax": 0, "prices.reserve": 0}  # fmt: skip

    def planned(budget: int) -> Plan:
        closet = closet_of(changed(sample("six-foot-reach-in"), {**today, "wishes.budget": budget}))
        return make_plan(closet, inventory_of("six-foot-reach-in", closet), Effort(factor=0.01))

    plan = planned(143)  # 100 for 70 % of a sheet
    assert plan.boards is not None
    assert 142 < plan.boards.estimate <= 143
    assert {item.reason for item in plan.left_out} <= {"no room within the budget", "larger than any opening"}
    with pytest.raises(InputError, match="does not buy the board"):
        planned(142)


def test_no_money_buys_nothing() -> None:
    facts = replace(_household(6, 1.0), most_panel=1)
    found = design(facts, QUICK)
    assert found.value == 0
    assert found.layout == Layout(tuple(replace(wall, bays=()) for wall in found.layout.walls), found.layout.owners)


def test_a_few_steps_store_more_for_more_money() -> None:
    """Bays end where the budget does, and may be narrow: once 34 at 4,500 to 5,500 sq in and 60 at 6,000."""
    things = [thing(1, "stand", 20, 8, 12, 5, value=2), thing(2, "stack", 10, 10, 14, 1.25, most=8, value=2)]
    stored = []
    for inches in range(4000, 6001, 500):
        facts = replace(problem(things, [run("back", 72, 16)]), most_panel=inches * INCH**2)
        found = Recreator(facts, random.Random(0)).improve(first_layout(facts), 200, Effort(), facts.value_of_all)
        assert is_within_budget(facts, found)
        stored.append(value_of(facts, found))
    assert stored == [32, 40, 50, 56, 60]
