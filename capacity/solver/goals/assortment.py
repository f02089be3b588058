"""Few sizes for many needs: which sizes to make so that every need gets one at least as large.

The assortment problem (compact book storage; Wolfson 1965, Sadowski 1959 for stock sizes, from memory) with what is
free in each group limited: an integer program for HiGHS,

    minimise  sum_c z[c]   subject to   sum_c x[i,c] = 1,   x[i,c] <= z[c],
              sum_i,c (size of c - need of i) * x[i,c] <= what is free in each group.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import highspy

from capacity.solver.effort import Effort
from capacity.solver.relaxation.highs import new_program, solve_whole_numbers
from capacity.units import PER_INCH

NODES = 60
"""Branching nodes for one assortment."""

SIZE, WASTE = 10.0, 0.01
"""What one more size counts, and an inch given away."""


@dataclass(frozen=True, slots=True)
class Need:
    """What needs at least `least` and takes at most `most`, in a group whose free length it shares [ticks]."""

    group: int
    least: int
    most: int


def assorted(
    needs: Sequence[Need], free: Mapping[int, int], sizes: Sequence[int], effort: Effort, made: Sequence[int] = ()
) -> list[int]:
    """A size for each need, so that few sizes differ.

    Parameters
    ----------
    needs
        What is to get a size.
    free
        By group, how much its sizes may exceed its needs together [ticks].
    sizes
        The sizes to choose from; the least of each need is among them, whatever stands here.
    effort
        The budget.
    made
        Sizes that there are anyway, so that they count as none.
    """
    every = sorted({*sizes, *(need.least for need in needs), *made})
    columns: list[tuple[int, int]] = []
    for index, need in enumerate(needs):
        most = min(need.most, need.least + free[need.group])
        columns += [(index, size) for size in every if need.least <= size <= most or size == need.least]
    solver, first = new_program(), len(every)
    for size in every:
        solver.addVar(0.0, 1.0)
        solver.changeColCost(every.index(size), 0.0 if size in made else SIZE)
    start = [0.0] * first
    rows: dict[int, list[int]] = defaultdict(list)
    given: dict[int, list[tuple[int, float]]] = defaultdict(list)
    for at, (index, size) in enumerate(columns, start=first):
        need = needs[index]
        solver.addVar(0.0, 1.0)
        solver.changeColCost(at, WASTE * (size - need.least) / PER_INCH)
        solver.addRow(-highspy.kHighsInf, 0.0, 2, [at, every.index(size)], [1.0, -1.0])
        rows[index].append(at)
        given[need.group].append((at, float(size - need.least) / PER_INCH))
        start.append(float(size == need.least))
        if size == need.least:
            start[every.index(size)] = 1.0
    for some in rows.values():
        solver.addRow(1.0, 1.0, len(some), some, [1.0] * len(some))
    for group, pairs in given.items():
        solver.addRow(
            -highspy.kHighsInf, free[group] / PER_INCH, len(pairs), [at for at, _ in pairs], [much for _, much in pairs]
        )
    values = solve_whole_numbers(solver, start, effort, NODES)
    chosen = [need.least for need in needs]
    for (index, size), value in zip(columns, values[first:], strict=False):
        if value > 0.5:
            chosen[index] = size
    left = dict(free)
    for need, size in zip(needs, chosen, strict=True):
        left[need.group] -= size - need.least
    return chosen if min(left.values(), default=0) >= 0 else [need.least for need in needs]
