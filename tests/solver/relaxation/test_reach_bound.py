"""The bound on inconvenience: never too high, beside all layouts of tiny closets and some of others."""

from __future__ import annotations

import random

import pytest
from support.brute_force_reach import least_by_value
from support.cases import INCH, problem, run, thing
from support.reach_closets import CLOSETS, PEOPLE

from capacity.layout.layout import value_of
from capacity.layout.problem import Problem
from capacity.layout.reach_zones import Zone, inconvenience
from capacity.solver.effort import Effort
from capacity.solver.goals.later_goals import put_within_reach
from capacity.solver.goals.reach_order import ease
from capacity.solver.relaxation.reach_bound import least_inconvenience
from capacity.solver.search.design import design, first_layout
from capacity.solver.search.ruin_and_recreate import Recreator
from capacity.solver.search.wall_parts import divide

MUCH = 10**6


def _zone(name: str, low: int, high: int, most: int) -> Zone:
    """A made-up person; the heights at which a price begins are whole inches, as `brute_force_reach` needs."""
    return Zone(name, 0, low * INCH, high * INCH, most * INCH, 28 * INCH, True, False, "made up")


def _tiny(seed: int) -> tuple[Problem, dict[str, Zone]]:
    """Two or three piles of two people, in one low bay or two: stacks, rods, drawers, a shelf over the top panel."""
    chance = random.Random(seed)

    def between(low: int, high: int) -> int:
        return chance.randint(low, high)

    zones = {
        "a": _zone("A", between(14, 22), between(26, 34), between(36, 48)),
        "b": _zone("B", between(8, 16), between(20, 26), between(28, 36)),
    }
    things = []
    for row in range(1, between(3, 4)):
        about = {"value": between(1, 3), "owner": chance.choice(("A", "B", None))}
        store = chance.choices(("stand", "stack", "hang", "drawer"), (11, 3, 4, 2))[0]
        sizes = {
            "stand": (between(5, 11), between(8, 14), between(4, 12)),
            "stack": (between(8, 12), between(9, 14), between(1, 3)),
            "hang": (between(12, 26), between(2, 5)),
            "drawer": (between(3, 7), between(3, 9), between(1, 2)),
        }[store]
        most = 2 if store == "stack" else 1
        things.append(thing(row, store, between(1, 3), *sizes, most=most, **about))  # type: ignore[arg-type]
    top = between(26, 44)
    runs = [run("a", between(14, 30), 15, top + chance.choice((0, 0, 3, 8)))]
    if chance.random() < 0.3:
        runs.append(run("b", between(14, 20), chance.choice((11, 13, 15)), top))
    rules = {"panel": INCH, "min_bay": 10 * INCH, "max_shelf": 24 * INCH, "max_rod": 30 * INCH}
    rows, apart = chance.choice((1, 1, 2)), chance.random() < 0.2
    return problem(things, runs, top=top, rows_deep=rows, owners_apart=apart, **rules), zones


def test_the_bound_is_never_above_the_best_of_all_layouts_and_mostly_meets_it() -> None:
    """For every value that a layout may have at least; both the bound and what the search finds."""
    tight, found, closets = 0, 0, range(16)
    for seed in closets:
        facts, zones = _tiny(seed)
        least = least_by_value(facts, zones)
        for value, best in least.items():
            assert least_inconvenience(facts, zones, value, MUCH, Effort()) <= best, (seed, value)
        most = max(least)
        reached = put_within_reach(facts, design(facts, Effort(factor=0.3)), zones, Effort(factor=0.3))
        assert reached.design.value == most
        assert reached.bound <= least[most] <= reached.inconvenience
        tight += reached.bound == least[most]
        found += reached.inconvenience == least[most]
    assert tight >= 0.8 * len(closets)
    assert found >= 0.5 * len(closets)


@pytest.mark.parametrize("name", CLOSETS)
def test_no_layout_of_a_household_is_below_the_bound(name: str) -> None:
    """Layouts of any quality, each against the bound for the value that it stores; some bound says something."""
    facts, bounds = divide(CLOSETS[name](1, 18)).problem, []
    for patience in (5, 60):
        better = Recreator(facts, random.Random(patience)).improve(first_layout(facts), patience, Effort(), MUCH)
        eased = ease(facts, better, PEOPLE, Effort()).layout
        bound = least_inconvenience(facts, PEOPLE, value_of(facts, eased), MUCH, Effort(factor=0.2))
        assert bound <= inconvenience(facts, eased, PEOPLE)
        bounds.append(bound)
    assert max(bounds) > 0


def test_less_value_may_be_had_with_less_trouble() -> None:
    facts = CLOSETS["over-full"](1)
    most = value_of(facts, design(facts, Effort(factor=0.1)).layout)
    bounds = [least_inconvenience(facts, PEOPLE, value, MUCH, Effort()) for value in (most // 2, most * 3 // 4, most)]
    assert bounds == sorted(bounds)
    assert bounds[-1] > bounds[0]


@pytest.mark.parametrize(("low", "high", "least"), [(26, 26, 0), (22, 22, 0), (20, 21, 2), (27, 30, 2)])
def test_a_zone_counts_to_its_last_tick(low: int, high: int, least: int) -> None:
    """The rod of a bay 29 in high can be from 22 to 26 in over the floor, both ends included."""
    facts = problem([thing(1, "hang", 1, 20, 2, owner="A")], [run("a", 14, 15, 29)], top=29, panel=INCH)
    people = {"a": _zone("A", low, high, 60)}
    assert least_by_value(facts, people)[2] == least
    assert least_inconvenience(facts, people, 2, MUCH, Effort()) == least


def test_a_wider_wall_and_longer_arms_never_raise_the_bound() -> None:
    facts = problem([thing(1, "stand", 9, 9, 12, 9, value=3, owner="A")], [run("a", 22)])
    wider = problem([thing(1, "stand", 9, 9, 12, 9, value=3, owner="A")], [run("a", 44)])
    people = {"a": _zone("A", 30, 50, 60)}
    longer = {"a": _zone("A", 20, 50, 70)}
    least = [
        least_inconvenience(*case, 27, MUCH, Effort()) for case in ((facts, people), (wider, people), (facts, longer))
    ]
    assert least[0] > 0
    assert least[1] <= least[0]
    assert least[2] <= least[0]


def test_what_is_known_is_never_passed_and_an_early_end_proves_nothing() -> None:
    facts = CLOSETS["over-full"](1)
    most = value_of(facts, design(facts, Effort(factor=0.1)).layout)
    assert least_inconvenience(facts, PEOPLE, most, 1, Effort()) == 1
    stopped = Effort()
    stopped.stop()
    assert least_inconvenience(facts, PEOPLE, most, MUCH, stopped) == 0
