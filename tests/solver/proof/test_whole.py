"""The integer program of a whole closet by itself, beside the best of all layouts, found by listing them."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

import pytest
from support.brute_force import best_value
from support.cases import INCH, box, problem, run, thing
from support.scenes import (
    SMALL,
    a_bay_that_must_be,
    a_blocked_part,
    a_corner,
    a_slope,
    above_the_top,
    between_two_bays_that_must_be,
    blocked_to_the_ceiling,
)

from capacity.layout.fit_rules import stored_value, violations
from capacity.layout.problem import Corner, FixedBay, OpeningKind, Problem
from capacity.solver.effort import Effort
from capacity.solver.proof.whole import Whole, is_worth_a_program, solve_whole
from capacity.solver.search.design import design, first_layout
from capacity.solver.search.wall_parts import divide


def _solved(facts: Problem) -> Whole:
    """The program of the walls in parts, told nothing but that not more than everything can be stored."""
    parts = divide(facts).problem
    return solve_whole(parts, first_layout(parts), facts.value_of_all, Effort())


def _agrees(facts: Problem) -> int:
    """The best value, which the program's bound equals and its layout stores."""
    best, found = best_value(facts), _solved(facts)
    assert found.bound == best
    assert found.layout is not None
    parts = divide(facts).problem
    assert violations(parts, found.layout) == ()
    assert stored_value(parts, found.layout) == best
    return best


def test_a_bay_of_rods_too_low_for_any_garment_still_stands_and_carries_what_lies_on_its_top() -> None:
    """By hand: 24 in of rod over a base that begins at 5 in, and coats that need 27 in; on its top lie two hats."""
    things = [thing(1, "hang", 3, 23, 3, value=3), thing(2, "stand", 3, 10, 10, 5)]
    wall = run("back", 24, 15, 40, None, box(1, 22, 0, 5))
    facts = problem(things, [wall], top=31, **SMALL)
    bay = FixedBay(0, INCH, 22 * INCH, 15 * INCH, kinds=(OpeningKind.HANG,))
    facts = replace(facts, fixed=(bay,))
    assert is_worth_a_program(divide(facts).problem)
    assert _agrees(facts) == 4


def test_a_bay_lower_than_everything_may_be_built_for_what_lies_on_its_top() -> None:
    """By hand: under a top of 12 in there are 7 in, and both piles need 11 and more; over it two boxes fit."""
    things = [thing(1, "stand", 3, 10, 10, 10, value=3), thing(2, "stand", 3, 10, 10, 11)]
    facts = problem(things, [run("back", 24, 15, 30, None, box(23, 1, 0, 4))], top=12, **SMALL)
    assert _agrees(facts) == 6


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(
    "scene",
    [
        above_the_top,
        a_corner,
        a_blocked_part,
        blocked_to_the_ceiling,
        a_slope,
        a_bay_that_must_be,
        between_two_bays_that_must_be,
    ],
    ids=lambda scene: scene.__name__,
)
def test_the_program_finds_and_proves_the_best_of_all_layouts(
    scene: Callable[[random.Random], Problem], seed: int
) -> None:
    _agrees(scene(random.Random(seed)))


def test_a_bay_that_must_be_beside_a_corner_is_filled_as_well_as_can_be() -> None:
    """By HiGHS: seven drawer piles, turned, in one drawer leave a shelf for a stack of five beside a box, 32 in all.

    Found by chance (closet 10,079 of `tests/benchmarks/tiny.py`): the search ended at 30, whatever the seed.
    """
    things = [
        thing(1, "stack", 8, 5.5, 12.25, 2.25, most=5, owner="B"),
        thing(2, "drawer", 4, 10.75, 8.25, 1, value=1, owner="B"),
        thing(3, "stand", 4, 6.5, 13.25, 12.25),
        thing(4, "drawer", 7, 4.25, 14.5, 2, owner="B"),
    ]
    walls = [
        replace(run("long", 19, 18, 32), barred=(2,)),
        replace(run("short", 21, 18, 27, 41), barred=(2, 3), kept_left=2 * INCH, kept_right=2 * INCH),
    ]
    sizes = {"panel": INCH // 2, "toe_kick": 2 * INCH, "max_shelf": 24 * INCH, "max_rod": 30 * INCH, "corner_access": 0}
    facts = problem(things, walls, (Corner(1, 0),), top=29, **sizes)
    found = design(replace(facts, fixed=(FixedBay(0, 6096, 17 * INCH, 18 * INCH),)), Effort())
    assert (found.value, found.bound) == (32, 32)
