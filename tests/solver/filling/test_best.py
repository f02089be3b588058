"""Openings that stand, filled as well as possible: value and bound where these can be counted by hand."""

from __future__ import annotations

import pytest
from support.cases import INCH, problem, run, thing

from capacity.layout.layout import Bay, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind
from capacity.solver.effort import Effort
from capacity.solver.filling.best import refill


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
