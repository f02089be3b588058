"""Design: never worse than its comparator, never above its bound, and equal to the best of all tiny layouts."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import product

import pytest
from support.cases import INCH, box, problem, random_things, run, thing
from support.quick import closet_of, inventory_of, sample

from capacity.layout.fit_rules import stored_value, violations
from capacity.layout.layout import Layout
from capacity.layout.problem import Corner, OpeningKind, Problem
from capacity.layout.sketches import BaySketch, OpeningSketch, build_wall
from capacity.makeover.files_to_problem import size_problem
from capacity.solver.effort import Effort
from capacity.solver.filling.exact import fill
from capacity.solver.search.design import design
from capacity.solver.search.design_on_rows import design_on_rows
from capacity.solver.search.ruin_and_recreate import Recreator


def _checked(facts: Problem, factor: float = 0.2) -> tuple[int, int, int]:
    found = design(facts, Effort(factor=factor))
    assert violations(facts, found.layout) == ()
    assert stored_value(facts, found.layout) == found.value
    assert found.comparator.value <= found.value <= found.bound <= facts.value_of_all
    return found.comparator.value, found.value, found.bound


@pytest.mark.parametrize("seed", range(6))
def test_one_wall_is_right_and_never_below_the_rule_of_thumb(seed: int) -> None:
    _checked(problem(random_things(random.Random(seed), 6, 6), [run("back", 60)]))


@pytest.mark.parametrize("seed", range(3))
def test_two_walls_owners_apart_spare_and_two_rows(seed: int) -> None:
    things = random_things(random.Random(seed), 7, 6, ("A", "B", None))
    facts = problem(
        things, [run("a", 60), run("b", 70)], (Corner(0, 1),), owners_apart=True, spare=Fraction(1, 10), rows_deep=2
    )
    _checked(facts)


@pytest.mark.parametrize("seed", range(3))
def test_slope_and_blocked_parts_are_kept_clear(seed: int) -> None:
    things = random_things(random.Random(seed), 6, 6)
    _checked(problem(things, [run("a", 80, 15, 96, 60, box(30, 20, 40, 20)), run("b", 50, 15, 70, 96)]))


def _best_of_all(facts: Problem) -> int:
    """Every layout of one bay as wide as it goes: each sequence of openings of needed heights, filled exactly."""
    heights = sorted({(item.opening_kind, item.height + INCH) for item in facts.things})
    width = facts.runs[0].width - 2 * facts.rules.panel
    best = 0
    for number in range(1, 4):
        for choice in product(heights, repeat=number):
            sketch = BaySketch(width, None, tuple(OpeningSketch(kind, height) for kind, height in choice))
            layout = Layout((build_wall(facts, 0, (), [sketch]),))
            if not violations(facts, layout):
                best = max(best, fill(facts, layout, Effort()).value)
    return best


@pytest.mark.parametrize("seed", range(4))
def test_a_tiny_wall_reaches_the_best_of_all_layouts(seed: int) -> None:
    """One bay, at most three openings one over the other: few enough to list every layout."""
    chance = random.Random(seed)
    things = [
        thing(row, "stand", chance.randint(1, 4), chance.randint(7, 11), 12, chance.randint(9, 16), value=row)
        for row in (1, 2, 3)
    ]
    facts = problem(things, [run("back", 24, 15, 40)], top=40, max_rod=36 * INCH)
    _, value, bound = _checked(facts, factor=1.0)
    assert value == bound == _best_of_all(facts)


def test_a_layout_to_start_from_is_never_made_worse() -> None:
    facts = problem(random_things(random.Random(9), 6, 8), [run("back", 50)])
    first = design(facts, Effort(factor=0.2))
    again = design(facts, Effort(factor=0.01, seed=5), first.layout)
    assert again.value >= first.value


def test_openings_for_hanging_only_may_be_wider_than_the_longest_shelf() -> None:
    """Sixteen shirts of 2.75 in need 44 in of rod: by hand one 44 1/2 in bay, not two of 43 3/4 in together."""
    facts = problem([thing(1, "hang", 16, 70, 2.75)], [run("back", 46)])
    _, value, bound = _checked(facts)
    assert value == bound == 32
    assert any(
        o.kind is OpeningKind.HANG and bay.width > 36 * INCH for *_, bay, o in design(facts, Effort()).layout.openings()
    )


def test_a_search_that_ends_before_it_has_a_bound_claims_none() -> None:
    """So little work that the solver has no bound at all: it reports 0, which proves nothing."""
    chance = random.Random(0)
    things = [thing(row, "hang", chance.randint(6, 14), 70, 3, value=3) for row in (1, 2, 3)]
    things += [thing(row, "stand", chance.randint(25, 60), 9, 11, 6) for row in (4, 5)]
    facts = problem(things, [run("back", chance.randint(60, 120))], max_shelf=20 * INCH)
    found = design(facts, Effort(factor=0.001))
    assert violations(facts, found.layout) == ()
    assert 0 < found.value <= found.bound


def test_nothing_lies_over_a_rod_that_is_longer_than_the_longest_shelf() -> None:
    """The family's closet has rods longer than any shelf; filling the finished layout leaves their tops empty."""
    closet = closet_of(sample("family-walk-in"))
    facts = size_problem(closet, inventory_of("family-walk-in", closet))
    effort = Effort(factor=0.003)
    effort.stop()
    found = design(facts, effort)
    assert violations(facts, found.layout) == ()
    wide = [bay for wall in found.layout.walls for bay in wall.bays if bay.width > facts.rules.max_shelf]
    assert wide
    assert all(opening.bottom < facts.top for bay in wide for opening in bay.openings)


@pytest.mark.parametrize("seed", [0, 2])
def test_the_smallest_sample_is_stored_in_full(seed: int) -> None:
    """A bulky suitcase of the least value is the last to find a place: it goes in only where it goes first."""
    closet = closet_of(sample("six-foot-reach-in"))
    facts = size_problem(closet, inventory_of("six-foot-reach-in", closet))
    found = design_on_rows(facts, Effort(seed=seed))
    assert (found.value, found.bound) == (facts.value_of_all, facts.value_of_all)


def test_of_layouts_of_one_value_the_one_with_fewer_bays_is_taken() -> None:
    """What stands in three narrow bays stands in one wide bay as well: fewer uprights, and piles stay whole."""
    facts = problem([thing(row, "stand", 4, 9, 11, 6) for row in (1, 2, 3)], [run("back", 50)], max_shelf=30 * INCH)
    shelf = BaySketch(11 * INCH, None, (OpeningSketch(OpeningKind.SHELF, 12 * INCH),))
    narrow = fill(facts, Layout((build_wall(facts, 0, (), [shelf] * 3),), ()), Effort()).layout
    found = Recreator(facts, random.Random(1)).improve(narrow, 100, Effort(), facts.value_of_all + 1)
    assert len(narrow.walls[0].bays) == 3
    assert len(found.walls[0].bays) == 1
    assert stored_value(facts, found) == facts.value_of_all
