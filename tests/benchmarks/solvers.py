"""The same integer program given to HiGHS and to CP-SAT, with what each had found by when.

Time is processor time for each worker, so that other work on the machine does not change what a method may do:
HiGHS runs on one worker, CP-SAT on two (and so gets twice the processor time).
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

import highspy
import numpy as np
from ortools.sat.python import cp_model
from program import Program

Trace = list[tuple[float, int]]
"""(seconds, value) whenever something better was found."""

PATIENCE = 4.0
"""A method is ended after this many times its seconds by the wall clock, however little processor time it got."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a solver ended with: values of the variables if it found any, its bound, whether it proved its optimum."""

    solution: list[float] | None
    bound: float
    is_proven: bool
    trace: Trace
    seconds: float


class Clock:
    """Processor seconds of this process (or, with `thread_time`, of this thread) for each of so many workers."""

    def __init__(self, workers: int, now: Callable[[], float] = time.process_time) -> None:
        self.workers, self._now, self._started = workers, now, now()

    @property
    def seconds(self) -> float:
        """Seconds so far."""
        return (self._now() - self._started) / self.workers


class _Watcher(cp_model.CpSolverSolutionCallback):
    """Notes when each solution was found."""

    def __init__(self, clock: Clock) -> None:
        super().__init__()
        self.clock, self.trace = clock, Trace()

    def on_solution_callback(self) -> None:
        self.trace.append((self.clock.seconds, round(self.objective_value)))


@contextmanager
def ended_after(solver: cp_model.CpSolver, clock: Clock, seconds: float) -> Iterator[None]:
    """Stop the search of `solver` when so many seconds of the clock are over."""
    is_done = threading.Event()

    def watch() -> None:
        while not is_done.wait(0.05):
            if clock.seconds >= seconds:
                solver.stop_search()

    thread = threading.Thread(target=watch, daemon=True)
    thread.start()
    try:
        yield
    finally:
        is_done.set()
        thread.join()


def run_cpsat(
    model: cp_model.CpModel, seconds: float, workers: int = 2
) -> tuple[cp_model.CpSolver, cp_model.CpSolverStatus, Trace, float]:
    """CP-SAT on a model for so many seconds for each worker."""
    clock, solver = Clock(workers), cp_model.CpSolver()
    solver.parameters.num_workers = workers
    solver.parameters.max_time_in_seconds = PATIENCE * seconds
    watcher = _Watcher(clock)
    with ended_after(solver, clock, seconds):
        status = solver.solve(model, watcher)
    assert status != cp_model.MODEL_INVALID, model.validate()
    return solver, status, watcher.trace, clock.seconds


def with_cpsat(program: Program, seconds: float) -> Outcome:
    """Two workers of CP-SAT."""
    model = cp_model.CpModel()
    limits = zip(program.lower, program.upper, strict=True)
    variables = [model.new_int_var(low, high, "") for low, high in limits]
    infinity = cp_model.INT_MAX
    for terms, low, high in program.rows:
        numbers, amounts = [variables[v] for v, _ in terms], [amount for _, amount in terms]
        lowest, highest = -infinity if low is None else low, infinity if high is None else high
        model.add_linear_constraint(cp_model.LinearExpr.weighted_sum(numbers, amounts), lowest, highest)
    worth = list(program.worth.items())
    model.maximize(cp_model.LinearExpr.weighted_sum([variables[v] for v, _ in worth], [c for _, c in worth]))
    solver, status, trace, spent = run_cpsat(model, seconds)
    is_found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    solution = [float(solver.value(variable)) for variable in variables] if is_found else None
    bound = float("inf") if status == cp_model.UNKNOWN else solver.best_objective_bound  # it reports 0 when it has none
    return Outcome(solution, bound, status == cp_model.OPTIMAL, trace, spent)


def with_highs(program: Program, seconds: float) -> Outcome:
    """One worker of HiGHS: a process has one pool of threads for all its programs, and the search asks for one.

    Raises
    ------
    AssertionError
        When it ends with any status but an optimum, a limit or an error: an empty answer would look like one.
    """
    clock, trace = Clock(1), Trace()
    highs = highspy.Highs()  # type: ignore[no-untyped-call]
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("time_limit", PATIENCE * seconds)
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("mip_abs_gap", 0.99)  # values are whole
    assert highs.passModel(_matrix(program)) == highspy.HighsStatus.kOk

    def note(event: highspy.HighsCallbackEvent) -> None:
        trace.append((clock.seconds, round(event.data_out.objective_function_value)))

    def watch(event: highspy.HighsCallbackEvent) -> None:
        if clock.seconds >= seconds:
            event.interrupt()

    highs.cbMipImprovingSolution += note
    highs.cbMipInterrupt += watch
    highs.cbSimplexInterrupt += watch
    highs.run()
    status = highs.getModelStatus()
    kinds = highspy.HighsModelStatus
    if status == kinds.kSolveError:  # it gave up; what it has is not looked at
        return Outcome(None, float("inf"), False, [], clock.seconds)
    assert status in (kinds.kOptimal, kinds.kTimeLimit, kinds.kInterrupt), status
    info = highs.getInfo()
    is_found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    solution = list(highs.getSolution().col_value) if is_found else None
    if is_found:
        trace.append((clock.seconds, round(info.objective_function_value)))
    bound = float(info.mip_dual_bound)
    return Outcome(solution, bound, status == kinds.kOptimal, trace, clock.seconds)


def _matrix(program: Program) -> highspy.HighsLp:
    """The program as HiGHS reads it, row by row."""
    lp = highspy.HighsLp()
    size = len(program.lower)
    lp.num_col_, lp.num_row_ = size, len(program.rows)
    lp.sense_ = highspy.ObjSense.kMaximize
    cost = np.zeros(size)
    for variable, worth in program.worth.items():
        cost[variable] = worth
    lp.col_cost_ = cost
    lp.col_lower_, lp.col_upper_ = np.array(program.lower, dtype=float), np.array(program.upper, dtype=float)
    whole, free = highspy.HighsVarType.kInteger, highspy.HighsVarType.kContinuous
    lp.integrality_ = [whole if is_whole else free for is_whole in program.is_whole]
    starts, indices, amounts, low, high = [0], [], [], [], []
    for terms, least, most in program.rows:
        for variable, amount in _summed(terms):
            indices.append(variable)
            amounts.append(float(amount))
        starts.append(len(indices))
        low.append(-highspy.kHighsInf if least is None else float(least))
        high.append(highspy.kHighsInf if most is None else float(most))
    lp.row_lower_, lp.row_upper_ = np.array(low), np.array(high)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_, lp.a_matrix_.index_ = np.array(starts), np.array(indices)
    lp.a_matrix_.value_ = np.array(amounts)
    return lp


def _summed(terms: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """Each variable once."""
    found: dict[int, int] = {}
    for variable, amount in terms:
        found[variable] = found.get(variable, 0) + amount
    return list(found.items())
