"""Solving a linear program for sure, whatever the simplex method makes of it at first."""

from __future__ import annotations

from typing import Any

from ortools.linear_solver import pywraplp


def solve_linear(solver: Any) -> float:
    """Solve a linear program to its optimum; its value.

    Raises
    ------
    AssertionError
        When the solver gives anything but an optimum: an empty answer would look like convergence.
    """
    status = solver.Solve()
    if status == pywraplp.Solver.ABNORMAL:  # the primal simplex lost its way among rounding errors
        status = solver.Solve(_dual_from_scratch())
    if status != pywraplp.Solver.OPTIMAL:
        msg = f"the linear program ended with status {status}"
        raise AssertionError(msg)
    return float(solver.Objective().Value())


def _dual_from_scratch() -> Any:
    """Parameters for the dual simplex method without what was known before."""
    parameters = pywraplp.MPSolverParameters()
    parameters.SetIntegerParam(parameters.INCREMENTALITY, parameters.INCREMENTALITY_OFF)
    parameters.SetIntegerParam(parameters.LP_ALGORITHM, parameters.DUAL)
    return parameters
