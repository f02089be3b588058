"""A layout aimed at room for more of every pile, beside the one that stores most.

While something is left out one bulky pair can pin the capacity multiple, and raising it afterwards finds next to
nothing. So the search is run again with a part of every pile, floor(q count / 1000) pieces, worth far more than the
rest: what it builds has room for q thousandths of everything, and then for as much value as it can. It is an
alternative when it gives up little of the value for much of the multiple; where it gives up none, it is the better.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace

from capacity.layout.fit_rules import violations
from capacity.layout.layout import Holding, Layout
from capacity.layout.problem import Problem
from capacity.layout.sketches import finish_within_budget
from capacity.solver.effort import Effort
from capacity.solver.filling.best import refill
from capacity.solver.filling.capacity_multiple import multiples, scaled
from capacity.solver.filling.exact import Filling
from capacity.solver.search.design import Design
from capacity.solver.search.ruin_and_recreate import Recreator

GIVEN_UP = 100
"""An alternative gives up at most one part in so many of the value."""

GAINED = 300
"""An alternative has room for so many thousandths of every pile more, at least."""

MIDDLE_AIMS = (600, 800, 1000)
"""Multiples aimed at [thousandths], where they are above what is to be gained."""

SHARE = 0.3
"""Of the work for the first goal, for all aims together."""

PATIENCE = 300
"""Steps without a better layout for each aim."""

FILLING_WORK = 0.1
"""Deterministic work to fill a layout that was found, for each kind of opening."""

WEIGHT = 1000
"""How much more a piece of the part that is aimed at is worth; more than what one place could hold of the rest."""


@dataclass(frozen=True, slots=True)
class Aimed:
    """A layout filled as well as possible, and the largest multiple that was shown to fit [thousandths]."""

    filling: Filling
    multiple: int


def aim(found: Design, reached: int, effort: Effort) -> Aimed | None:
    """The layout with the largest multiple that gives up at most a hundredth of the value, if it gains enough.

    Parameters
    ----------
    found
        The design whose value counts.
    reached
        The multiple of that design [thousandths].
    effort
        The budget.

    Returns
    -------
    None where everything is stored already, or where no layout gained 0.3.
    """
    problem = found.parts
    if found.value >= problem.value_of_all:
        return None
    effort.report("aiming at room for more of every pile", found.value, found.bound, problem.value_of_all)
    with effort.share(SHARE):
        return _best_aimed(problem, found, reached, effort)


def _best_aimed(problem: Problem, found: Design, reached: int, effort: Effort) -> Aimed | None:
    least = found.value - problem.told(found.value)[1] // GIVEN_UP  # and nothing of what must have a place
    best: Aimed | None = None
    for target in sorted({reached + GAINED, *(q for q in MIDDLE_AIMS if q > reached + GAINED)}):
        if effort.is_over:
            break
        tried = _layout_for(problem, found.in_parts.layout, target, effort)
        filling = refill(problem, tried, effort, FILLING_WORK)
        if filling.value < least or violations(problem, filling.layout):
            continue
        multiple = min((item.low for item in multiples(problem, filling.layout, effort).values()), default=0)
        if multiple >= reached + GAINED and (best is None or multiple > best.multiple):
            best = Aimed(filling, multiple)
    return None if best is None else replace(best, filling=found.whole(best.filling))


def _layout_for(problem: Problem, start: Layout, target: int, effort: Effort) -> Layout:
    """A layout that holds `target` thousandths of every pile before anything else."""
    aimed = scaled(problem, target)
    rows = max((thing.row for thing in problem.things), default=0) + 1
    first = [
        replace(thing, count=min(count, thing.count), value=WEIGHT * thing.value)
        for thing, count in zip(problem.things, aimed, strict=True)
    ]
    rest = [
        replace(thing, row=thing.row + rows, count=max(0, thing.count - count))
        for thing, count in zip(problem.things, aimed, strict=True)
    ]
    barred = [tuple(sorted({*run.barred, *(row + rows for row in run.barred)})) for run in problem.runs]
    split = replace(
        problem,
        things=tuple(thing for thing in (*first, *rest) if thing.count),
        runs=tuple(replace(run, barred=kept_out) for run, kept_out in zip(problem.runs, barred, strict=True)),
    )
    steps = max(1, round(PATIENCE * effort.factor))
    search = Recreator(split, random.Random(effort.seed))
    made = search.improve(_shared_out(split, start, rows), steps, effort, split.value_of_all)
    joined = made.holding(
        {
            (w, b, o): tuple(sorted(replace(item, row=item.row % rows) for item in opening.holds))
            for w, b, o, _, opening in made.openings()
        }
    )
    return finish_within_budget(problem, _merged(joined))


def _shared_out(split: Problem, layout: Layout, rows: int) -> Layout:
    """What a layout holds, counted to the part that is aimed at first, the rest after it."""
    left = {thing.row: thing.count for thing in split.things}
    contents: dict[tuple[int, int, int], tuple[Holding, ...]] = {}
    for w, b, o, _, opening in layout.openings():
        holds: list[Holding] = []
        for item in opening.holds:
            taken = min(item.count, left.get(item.row, 0))
            if taken:
                left[item.row] -= taken
                holds.append(replace(item, count=taken))
            # a stack shared by both parts may need one more column, so the rest of it is placed anew
            if taken == 0:
                more = min(item.count, left.get(item.row + rows, 0))
                if more:
                    left[item.row + rows] -= more
                    holds.append(Holding(item.row + rows, more, item.turned))
        contents[(w, b, o)] = tuple(sorted(holds))
    return layout.holding(contents)


def _merged(layout: Layout) -> Layout:
    """Holdings of one row and turning in one opening put together."""
    contents: dict[tuple[int, int, int], tuple[Holding, ...]] = {}
    for w, b, o, _, opening in layout.openings():
        total: dict[tuple[int, bool], int] = {}
        for item in opening.holds:
            total[(item.row, item.turned)] = total.get((item.row, item.turned), 0) + item.count
        contents[(w, b, o)] = tuple(sorted(Holding(row, count, turned) for (row, turned), count in total.items()))
    return layout.holding(contents)
