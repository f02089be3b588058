"""The bound beside a second program in another solver, on tiny closets that mix all the rules: never below its optimum.

The closets and the program are those of `benchmarks/tiny.py`, which attacks hundreds of them; these were taken because
HiGHS proves them in less than a second each, none holds everything, and each of a dozen faults put into the tables on
purpose (a panel too many, a turning or an owner forgotten, a corner 2 in wider ...) breaks at least one of them.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from support.cases import INCH, problem, run, thing
from tiny import bounds, second_opinion, tiny, traits

from capacity.layout.corners import corner_choices
from capacity.layout.problem import FixedBay, Problem, Run
from capacity.solver.effort import Effort
from capacity.solver.relaxation.structure import open_state
from capacity.solver.relaxation.value_bound import design_master
from capacity.solver.search.design import design

SEEDS = (
    2, 5, 7, 9, 10, 11, 12, 17, 18, 20, 21, 27, 28, 29, 33, 36, 90, 91,
    115, 120, 154, 164, 211, 224, 225, 263, 270, 291, 293, 319, 341, 347, 379, 978, 1051, 1248,
)  # fmt: skip
RULES = {
    "blocked", "slope", "corner", "two walls", "owners apart", "two rows", "spare", "above the top", "turned",
    "two turnings", "stand", "stack", "hang", "drawer",
}  # fmt: skip
"""Every rule is met by three of the closets at least."""


@pytest.mark.parametrize("seed", SEEDS)
def test_no_bound_is_below_the_optimum_that_highs_proves(seed: int) -> None:
    facts = tiny(seed)
    opinion = second_opinion(facts, 60.0)
    assert opinion.is_proven
    for name, bound in bounds(facts, opinion, seed).items():
        assert bound >= opinion.value, name


@pytest.mark.parametrize("seed", [20000, 20003, 20006, 20007])
def test_with_wishes_for_sizes_the_design_is_what_highs_proves_best(seed: int) -> None:
    """Least heights, marks, rows of holes, low drawers, play under a ceiling: both programs keep them, to the tick."""
    facts = tiny(seed)
    opinion = second_opinion(facts, 60.0)
    assert opinion.is_proven
    assert all(bound >= opinion.value for bound in bounds(facts, opinion, seed).values())
    assert design(facts, Effort()).value == opinion.value < facts.value_of_all


def test_the_closets_meet_every_rule() -> None:
    found = [traits(tiny(seed)) for seed in SEEDS]
    assert {rule for rule in RULES if sum(rule in each for each in found) >= 3} == RULES


def _between_two(wall: Run) -> Problem:
    """Two bays that must be, 11 and 10 in wide, with room for one more of 10 in that shares both their uprights."""
    things = [thing(1, "stand", 2, 5, 12, 4), thing(2, "stand", 3, 9, 9, 7), thing(3, "hang", 4, 16, 5.75, value=3)]
    fixed = (FixedBay(0, 5 * INCH, 11 * INCH, 15 * INCH), FixedBay(0, 28 * INCH, 10 * INCH, 15 * INCH))
    sizes: dict[str, object] = {"panel": INCH, "min_bay": 10 * INCH, "max_shelf": 24 * INCH, "max_rod": 30 * INCH}
    return replace(problem(things, [wall], top=20, **sizes), fixed=fixed)  # type: ignore[arg-type]


@pytest.mark.parametrize(("wall", "best"), [(14, 4), (13.75, 3), (14.5, 3), (15, 4)])
@pytest.mark.parametrize("slope", [0, 4])
def test_no_bay_stands_less_than_a_panel_beside_the_upright_of_a_bay_that_must_be(
    wall: float, best: int, slope: float
) -> None:
    """By hand: a shelf of 12 in, the longest, takes two boxes of 6 in, any other one, and each bay has one shelf.

    Of 14 in of wall between two bays that must be, a bay has 12 in if it shares both uprights. Of 14 1/2 in, a bay
    of 12 in would leave 1/2 in for a panel of 1 in; of 15 in it has an upright of its own at one side.
    """
    sizes: dict[str, object] = {"panel": INCH, "min_bay": 10 * INCH, "max_shelf": 12 * INCH, "max_rod": 12 * INCH}
    runs = [run("back", 22 + wall, 15, 12 + slope, 12)]
    fixed = (FixedBay(0, INCH, 10 * INCH, 15 * INCH), FixedBay(0, round((11 + wall) * INCH), 10 * INCH, 15 * INCH))
    facts = problem([thing(1, "stand", 9, 6, 8, 6, value=1)], runs, top=12, **sizes)  # type: ignore[arg-type]
    found = design(replace(facts, fixed=fixed), Effort())
    assert (found.value, found.bound) == (best, best)


@pytest.mark.parametrize("wall", [run("back", 46, 15, 20), run("back", 46, 15, 24, 20)], ids=["plain", "sloped"])
def test_a_free_bay_shares_the_uprights_of_the_bays_that_must_be_on_either_side(wall: Run) -> None:
    """By hand: two large boxes stand in the outer bays, the third in the bay between them, the small ones over one.

    All 10 of value that stands; nothing can hang, for the longest rod under a top of 20 in has no bay for it.
    """
    facts = _between_two(wall)
    opinion = second_opinion(facts, 60.0)
    assert opinion.is_proven
    assert opinion.value == 10
    assert all(bound >= 10 for bound in bounds(facts, opinion, 0).values())
    found = design(facts, Effort())
    assert (found.value, found.bound) == (10, 10)
    assert [(bay.left // INCH, bay.width // INCH) for bay in found.layout.walls[0].bays] == [
        (5, 11), (17, 10), (28, 10),
    ]  # fmt: skip


def test_the_steps_of_pricing_end_with_the_clock() -> None:
    """Out of time one step is made, which has a bound, and no more."""
    facts, work = tiny(2), []
    for effort, steps in ((Effort(), 1), (Effort(seconds=0.0), 30), (Effort(), 30)):
        master = design_master(facts, effort)
        master.set_state(open_state(facts, next(iter(corner_choices(facts)))))
        master.generate(steps)
        work.append(effort.work)
    assert work[0] == work[1] < work[2]
