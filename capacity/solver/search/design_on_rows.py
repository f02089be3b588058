"""A design whose shelves stand on rows of holes wherever that costs no stored value.

First every shelf is held to the rows: few heights are left, so that this is quick. Where it stores what no layout at
any heights can exceed, it is the design. Else the heights are set free, from that layout on; where this stores no more
after all, the rows are kept, and else bay by bay (`rows_of_holes`), as long as the later goals find nothing better. The
bound is always that of free heights.
"""

from __future__ import annotations

from dataclasses import replace

from capacity.layout.layout import Layout, value_of, without_surplus
from capacity.layout.problem import Problem
from capacity.layout.rows_of_holes import on_rows
from capacity.solver.effort import Effort
from capacity.solver.filling.exact import placeable
from capacity.solver.search.design import Design, design, share_of_search
from capacity.solver.search.wall_parts import divide

ROWS_SHARE, ROWS_WORK = 0.25, 0.06
"""Shares of the wall clock, where there is one, and of the work, after which the heights are set free."""


class MustTooLargeError(Exception):
    """What must have a place is larger than any opening that could be built; `rows` says which things."""

    def __init__(self, rows: tuple[int, ...]) -> None:
        super().__init__(rows)
        self.rows = rows


def design_on_rows(
    problem: Problem, effort: Effort, today: Layout | None = None, start: Layout | None = None
) -> Design:
    """Find a layout as `design` does; where the wish is for rows that cost nothing, on as many as can be.

    Raises
    ------
    BudgetTooSmallError
        As `design`.
    MustTooLargeError
        When what must have a place is larger than any opening that could be built.
    """
    rules, able = problem.rules, placeable(divide(problem).problem)
    too_large = tuple(item.row for item, fits in zip(problem.things, able, strict=True) if item.first and not fits)
    if too_large:
        raise MustTooLargeError(too_large)
    if not rules.usual_pitch:
        return design(problem, effort, today, start)
    held = replace(problem, rules=replace(rules, pitch=rules.usual_pitch, usual_pitch=0))
    with effort.within(ROWS_SHARE), effort.share(ROWS_WORK):
        found = design(held, effort, today, start, beside=problem)
    everything = sum(thing.value * thing.count for thing, fits in zip(problem.things, able, strict=True) if fits)
    if found.value >= everything:
        return replace(found, able=able)
    on_held = found.layout
    better = start
    if start is None or value_of(problem, without_surplus(problem, start)) <= value_of(problem, on_held):
        better = on_held
    with effort.share(share_of_search(problem) - ROWS_WORK):
        free = design(problem, effort, today, better, (found.comparator, found.today))
    layout = free.in_parts.layout
    if free.value == found.value:
        parted = free.divided.parted(on_held)
        layout = layout if parted is None else parted
    return replace(free, in_parts=replace(free.in_parts, layout=on_rows(free.parts, layout)))
