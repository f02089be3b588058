"""The methods that are compared: ours and its rivals, each on one case, with what it had by when.

Seconds are processor seconds for each worker (`solvers.Clock`): ours and HiGHS have one worker, CP-SAT has two. The
rivals' programs have room for fewer bays and openings than the rules allow (`BAY`, `SLOTS`), which spares them most of
their variables; building a program is not counted against them.
"""

from __future__ import annotations

import resource
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from unittest.mock import patch

from families import Case
from naive import Naive
from ortools.sat.python import cp_model
from reading import Reading
from solvers import Clock, Outcome, Trace, run_cpsat, with_cpsat, with_highs

from capacity.layout.corners import corner_choices
from capacity.layout.fit_rules import stored_value, violations
from capacity.layout.layout import Layout, value_of
from capacity.layout.problem import Problem
from capacity.solver.effort import EFFORTS, Effort, Progress
from capacity.solver.filling.best import refill
from capacity.solver.filling.exact import Filling
from capacity.solver.proof import whole
from capacity.solver.search.design import design
from capacity.solver.search.rule_of_thumb import rule_of_thumb

BAY, SLOTS = 18 * 8128, 9
"""The rivals may build a bay for every so many ticks of wall, and so many openings over the bottom panel of each."""


@dataclass(slots=True)
class Result:
    """What one method made of one case; `trace` is (seconds, value), `bounds` (seconds, bound).

    `proven` is when it had proven that nothing better can be had (None: it has not).
    """

    value: int = 0
    pieces: int = 0
    bound: int = 0
    proven: float | None = None
    seconds: float = 0.0
    wall: float = 0.0
    memory: int = 0
    size: int = 0
    trace: Trace = field(default_factory=list)
    bounds: Trace = field(default_factory=list)


def _checked(facts: Problem, layout: Layout) -> tuple[int, int]:
    """Value and pieces of a layout that keeps every rule."""
    broken = violations(facts, layout)
    assert not broken, broken[0]
    return stored_value(facts, layout), sum(layout.stored().values())


def ours(case: Case, seconds: float) -> Result:
    """The search of `capacity fit`; its last seconds go to filling, as they do for a user."""
    return ours_for(case.problem, seconds)


def ours_for(facts: Problem, seconds: float) -> Result:
    """The search on any problem, thorough, so that it does not end by its count of work before the seconds do."""
    result, everything = Result(), facts.value_of_all
    clock = Clock(1, time.thread_time)

    def note(item: Progress) -> None:
        result.trace.append((clock.seconds, item.stored))
        result.bounds.append((clock.seconds, item.bound))
        if item.stored == item.bound and result.proven is None:
            result.proven = clock.seconds

    with patch("capacity.solver.effort.time.monotonic", time.thread_time):
        found = design(facts, Effort(seconds, factor=EFFORTS["thorough"], on_progress=note))
    result.seconds = clock.seconds
    result.value, result.pieces = _checked(facts, found.layout)
    result.trace.append((result.seconds, found.value))
    result.bounds.append((result.seconds, found.bound))
    if found.value == found.bound and result.proven is None:
        result.proven = result.seconds
    result.bound = min(found.bound, everything)
    return result


def _by_value(filling: Filling) -> int:
    return filling.value


def rule(case: Case, _seconds: float) -> Result:
    """The best of the rule of thumb's layouts: all filled quickly, the best two as well as can be, with their bound."""
    clock, facts = Clock(1), case.problem
    quick = [
        refill(facts, layout, Effort(), 0.1)
        for owners in corner_choices(facts)
        for layout in rule_of_thumb(facts, owners)
    ]
    fillings = [refill(facts, filling.layout, Effort(), 3.0) for filling in sorted(quick, key=_by_value)[-2:]]
    best = max(fillings, key=_by_value)
    value, pieces = _checked(facts, best.layout)
    most = max(filling.bound for filling in fillings)
    return Result(value, pieces, most, None, clock.seconds, trace=[(clock.seconds, value)])


def _limits(facts: Problem) -> list[int]:
    return [min(whole.most_bays(facts, index), -(-run.width // BAY)) for index, run in enumerate(facts.runs)]


def _naive(case: Case, seconds: float, solve: Callable[..., Outcome], by_count: bool = False) -> Result:
    naive = Naive(case.problem, _limits(case.problem), SLOTS, by_count)
    found = solve(naive.program, seconds)
    result = Result(trace=found.trace, seconds=found.seconds, size=len(naive.program.lower))
    result.bound = int(min(found.bound + 1.0e-6, case.problem.value_of_all))
    if found.solution is not None:
        result.value, result.pieces = _checked(case.problem, Reading(naive).layout(found.solution))
    if found.is_proven or result.value == case.problem.value_of_all:
        result.proven = next((s for s, v in found.trace if v == case.problem.value_of_all), found.seconds)
    return result


def naive_highs(case: Case, seconds: float) -> Result:
    """A binary for each piece and opening, in HiGHS."""
    return _naive(case, seconds, with_highs)


def naive_cpsat(case: Case, seconds: float) -> Result:
    """The same program in CP-SAT."""
    return _naive(case, seconds, with_cpsat)


def counted_highs(case: Case, seconds: float) -> Result:
    """Numbers of pieces instead of a binary for each, in HiGHS."""
    return _naive(case, seconds, with_highs, by_count=True)


class _TwoWorkers(Effort):
    """An effort that gives CP-SAT two workers and all of the time."""

    def __init__(self, limit: float) -> None:
        super().__init__()
        self.limit, self.trace, self.spent = limit, Trace(), 0.0
        self.is_proven, self.bound = False, 0.0

    def solve(
        self, model: cp_model.CpModel, work: float, least_seconds: float = 0.2
    ) -> tuple[cp_model.CpSolver, cp_model.CpSolverStatus]:
        del work, least_seconds
        solver, status, self.trace, self.spent = run_cpsat(model, self.limit)
        self.is_proven, self.bound = status == cp_model.OPTIMAL, solver.best_objective_bound
        return solver, status


def aggregated(case: Case, seconds: float) -> Result:
    """Numbers of columns and candidate heights, no ordering rows, in CP-SAT; begun with the rule of thumb's layout."""
    facts, rival = case.problem, _TwoWorkers(seconds)
    first = next(iter(corner_choices(facts)))
    start = max(
        (refill(facts, layout, Effort(), 0.1).layout for layout in rule_of_thumb(facts, first)),
        key=lambda layout: value_of(facts, layout),
    )
    bays = _limits(facts)
    with (
        patch.object(whole, "most_slots", lambda *_: SLOTS),
        patch.object(whole, "most_bays", lambda _, run: bays[run]),
    ):
        found = whole.solve_whole(facts, start, facts.value_of_all, rival)
    result = Result(trace=rival.trace, seconds=rival.spent, bound=found.bound)
    result.value, result.pieces = max(_checked(facts, layout) for layout in (start, found.layout) if layout is not None)
    result.trace.insert(0, (0.0, value_of(facts, start)))
    if rival.is_proven:
        result.proven = rival.spent
    return result


METHODS: dict[str, Callable[[Case, float], Result]] = {
    "ours": ours,
    "rule": rule,
    "aggregated": aggregated,
    "naive-cpsat": naive_cpsat,
    "counted-highs": counted_highs,
    "naive-highs": naive_highs,
}


def measured(name: str, case: Case, seconds: float) -> Result:
    """One method on one case, with the wall clock and the memory [MB] that it took."""
    started = time.monotonic()
    result = METHODS[name](case, seconds)
    result.wall = time.monotonic() - started
    result.memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    return result
