"""The alternative that is aimed at room for more of every pile."""

from __future__ import annotations

from dataclasses import replace

from support.cases import INCH, problem, run, thing

from capacity.layout.fit_rules import violations
from capacity.layout.problem import FixedBay, Problem
from capacity.solver.effort import Effort
from capacity.solver.filling.capacity_multiple import multiples
from capacity.solver.goals.roomier_layout import aim
from capacity.solver.search.design import design
from capacity.solver.search.wall_parts import divide

QUICK = Effort(factor=0.1)


def _full(height: float, count: int) -> Problem:
    """A bay just full of 156 rows of 14 thin boards; a thicker one makes one row higher, and costs a row."""
    thin, thick = thing(1, "stand", 156 * 14, 5, 10, 0.25, value=2), thing(2, "stand", count, 5, 11, height, value=1)
    facts = problem([thin, thick], [run("back", 80, 15, 81.25)], top=81.25, panel=INCH // 4, gap=0)
    kept = replace(facts, fixed=(FixedBay(0, INCH, 70 * INCH, 15 * INCH),), keeps_bays=True)
    return divide(kept).problem


def test_a_hundredth_of_the_value_may_buy_much_room() -> None:
    """By hand: all thin boards leave no thick one a place, 0.499; a higher row for it costs a row, 28 of 4368."""
    facts = _full(0.5, 2)
    found = design(facts, QUICK)
    reached = min(item.low for item in multiples(facts, found.layout, QUICK).values())
    assert (found.value, reached) == (4368, 499)
    aimed = aim(found, reached, QUICK)
    assert aimed is not None
    assert violations(facts, aimed.filling.layout) == ()
    assert aimed.filling.value == 4368 - 28  # one row of thin boards less; today they fill the higher row too
    assert aimed.multiple > 950


def test_no_alternative_gives_up_more_than_a_hundredth() -> None:
    """A board 2 in thick takes four rows: 112 of 4368, less one or two."""
    facts = _full(2.0, 2)
    found = design(facts, QUICK)
    assert found.value == 4368
    assert aim(found, 499, QUICK) is None


def test_nothing_is_aimed_at_where_all_is_stored() -> None:
    facts = _full(0.25, 2)
    facts = replace(facts, things=(replace(facts.things[0], count=5), facts.things[1]))
    found = design(facts, QUICK)
    assert found.value == facts.value_of_all
    assert aim(found, 499, QUICK) is None
