"""Openings that stand, filled as well as possible: value and bound where these can be counted by hand."""

from __future__ import annotations

import pytest
from support.cases import INCH, problem, run, thing

from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind
from capacity.solver.effort import Effort
from capacity.solver.filling import exact
from capacity.solver.filling.best import refill
from capacity.solver.filling.capacity_multiple import multiples


@pytest.mark.parametrize(("drop", "value"), [(6.25, 3), (15.5, 3), (15.75, 0)])
@pytest.mark.parametrize("top", [18, 84])
def test_a_rod_of_today_may_be_higher_than_any_that_would_be_built(drop: float, value: int, top: float) -> None:
    """A rod opening of 19 1/2 in from the floor up: with 4 in of allowance it takes coats of 15 1/2 in.

    Under a top of 18 in none so high would be built (closet 1062 of the adversary: once "at most 0").
    """
    facts = problem([thing(1, "hang", 5, drop, 2, value=1)], [run("back", 30, 13, max(21, top))], top=top)
    rod = Opening(OpeningKind.HANG, 0, 19 * INCH + INCH // 2)
    today = Layout((WallLayout("back", (Bay(0, 6 * INCH, 13 * INCH, (rod,)),)),), ())
    found = refill(facts.as_given, today, Effort())
    assert (found.value, found.bound) == (value, value)


def test_out_of_time_many_piles_stay_where_they_lie_and_nothing_is_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """One of eight boxes lies on a shelf for four; a program for so many piles would be long in the making."""
    monkeypatch.setattr(exact, "SHORT_TRY", 7)
    facts = problem([thing(row, "stand", 1, 9, 12, 6) for row in range(1, 9)], [run("back", 60)])
    shelf = Opening(OpeningKind.SHELF, 4 * INCH, 9 * INCH, (Holding(3, 1),))
    layout = Layout((WallLayout("back", (Bay(INCH, 36 * INCH, 15 * INCH, (shelf,)),)),), ())
    effort = Effort(seconds=0.0)
    found = refill(facts, layout, effort)
    assert (found.layout, found.bound, effort.work) == (layout, facts.value_of_all, 0.0)
    assert effort.was_cut_short
    assert refill(facts, layout, Effort()).value == 4 * found.value
    monkeypatch.setattr(exact, "SHORT_TRY", 8)
    assert refill(facts, layout, Effort(seconds=0.0)).value == 4 * found.value


def test_which_pile_limits_the_room_is_not_asked_when_the_clock_has_run_out() -> None:
    facts = problem([thing(row, "stand", 2, 9, 12, 6) for row in (1, 2)], [run("back", 60)])
    shelf = Opening(OpeningKind.SHELF, 4 * INCH, 9 * INCH, (Holding(1, 2), Holding(2, 2)))
    layout = Layout((WallLayout("back", (Bay(INCH, 36 * INCH, 15 * INCH, (shelf,)),)),), ())
    in_time = multiples(facts, layout, Effort())[OpeningKind.SHELF]
    late = multiples(facts, layout, Effort(seconds=0.0))[OpeningKind.SHELF]
    assert (in_time.low, in_time.limit) == (1499, 1)
    assert (late.low, late.limit) == (1499, None)
