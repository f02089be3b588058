"""Programs for HiGHS, linear or in whole numbers, with their work counted.

HiGHS minimises, and its prices have the sign that goes with that.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import highspy
import numpy as np

from capacity.solver.effort import Effort

ITERATION, BRANCHED, SOLVED = 4.0e-5, 9.0e-5, 1.0e-3
"""Work that an iteration of the simplex method counts for, one while branching, and a linear program besides."""

IN_WHOLE_NUMBERS = (
    ("mip_heuristic_run_rins", False),
    ("mip_abs_gap", 0.999),
    ("mip_rel_gap", 0.0),
)
"""How HiGHS looks for whole numbers; worth is whole, so that a gap below 1 is none."""

LEAST_SECONDS = 0.2
"""What an integer program gets where a wall clock has nearly run out [s]."""


class _Silent(highspy.Highs):
    """Without callbacks: what sets them up prints a banner on standard output."""

    def __init__(self) -> None:
        start: Any = super(highspy.Highs, self).__init__
        start()


def new_program() -> Any:
    """An empty program for HiGHS, which minimises; one thread, fixed seed, nothing printed."""
    solver: Any = _Silent()
    for name, value in (("output_flag", False), ("threads", 1), ("random_seed", 0), ("parallel", "off")):
        solver.setOptionValue(name, value)
    return solver


def solve_whole_numbers(
    solver: Any, start: Sequence[float], effort: Effort, nodes: int, presolves: bool = False
) -> list[float]:
    """The best whole numbers found for all variables within so many branching nodes; empty where none were.

    Parameters
    ----------
    solver
        The program.
    start
        Whole numbers to begin with.
    effort, nodes
        Whose clock counts, and how many nodes at its usual amount.
    presolves
        Whether the program is made smaller first: quicker for what lies where, slower for spacings.
    """
    number = solver.getNumCol()
    solver.changeColsIntegrality(number, np.arange(number, dtype=np.int32), [highspy.HighsVarType.kInteger] * number)
    solution = highspy.HighsSolution()
    solution.col_value = list(start)
    solver.setSolution(solution)
    seconds = effort.seconds_left
    for name, value in IN_WHOLE_NUMBERS:
        solver.setOptionValue(name, value)
    solver.setOptionValue("presolve", "on" if presolves else "off")
    solver.setOptionValue("mip_max_nodes", nodes)
    solver.setOptionValue("time_limit", highspy.kHighsInf if seconds is None else max(LEAST_SECONDS, seconds))
    solver.run()
    info = solver.getInfo()
    effort.spend(BRANCHED * info.simplex_iteration_count)
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return []
    return list(solver.getSolution().col_value)


def solve_relaxed(solver: Any, effort: Effort) -> float:
    """Solve a linear program to its optimum, whatever the clock says; its value.

    Raises
    ------
    AssertionError
        When the solver gives anything but an optimum: an empty answer would look like convergence.
    """
    return _solved(solver, effort, highspy.HighsModelStatus.kOptimal)


def solve_in_time(solver: Any, effort: Effort) -> float | None:
    """Solve a linear program to its optimum; its value, or None where the clock runs out before.

    Raises
    ------
    AssertionError
        When the solver gives anything else.
    """
    seconds = effort.seconds_left
    if seconds is not None:
        solver.setOptionValue("time_limit", max(0.0, seconds))
    value = _solved(solver, effort, highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kTimeLimit)
    return value if solver.getModelStatus() == highspy.HighsModelStatus.kOptimal else None


def _solved(solver: Any, effort: Effort, *may_end: highspy.HighsModelStatus) -> float:
    solver.run()
    info, status = solver.getInfo(), solver.getModelStatus()
    effort.spend(SOLVED + ITERATION * info.simplex_iteration_count)
    if status not in may_end:
        msg = f"the linear program ended with status {status}"
        raise AssertionError(msg)
    return float(info.objective_function_value)
