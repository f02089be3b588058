"""Linear programs of restricted masters: the rows of what is stored, and an optimum for sure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ortools.linear_solver import pywraplp

from capacity.layout.towers import Group


def new_master(groups: Sequence[Group]) -> tuple[Any, list[Any], list[Any]]:
    """A program that stores pieces of each group at their value, as many as columns yet to be added hold.

        maximise  sum_g v_g S_g   subject to   S_g <= n_g,   S_g <= pieces of g in the columns.

    Returns
    -------
    The solver; by group the row into which a column puts minus its pieces; by group the variable S_g.
    """
    solver: Any = pywraplp.Solver.CreateSolver("GLOP")
    objective = solver.Objective()
    objective.SetMaximization()
    demand, stored = [], []
    for group in groups:
        demand.append(solver.RowConstraint(-solver.infinity(), 0.0, ""))
        stored.append(solver.NumVar(0.0, float(group.count), ""))
        demand[-1].SetCoefficient(stored[-1], 1.0)
        objective.SetCoefficient(stored[-1], float(group.value))
    return solver, demand, stored


def solve_linear(solver: Any) -> float:
    """Solve a linear program to its optimum; its value.

    Raises
    ------
    AssertionError
        When the solver gives anything but an optimum: an empty answer would look like convergence.
    """
    status = solver.Solve()
    for presolves in (True, False):
        if status == pywraplp.Solver.ABNORMAL:  # the simplex method lost its way among rounding errors
            status = solver.Solve(_dual_from_scratch(presolves))
    if status != pywraplp.Solver.OPTIMAL:
        msg = f"the linear program ended with status {status}"
        raise AssertionError(msg)
    return float(solver.Objective().Value())


def _dual_from_scratch(presolves: bool) -> Any:
    """Parameters for the dual simplex method without what was known before."""
    parameters = pywraplp.MPSolverParameters()
    parameters.SetIntegerParam(parameters.INCREMENTALITY, parameters.INCREMENTALITY_OFF)
    parameters.SetIntegerParam(parameters.LP_ALGORITHM, parameters.DUAL)
    presolve = parameters.PRESOLVE_ON if presolves else parameters.PRESOLVE_OFF
    parameters.SetIntegerParam(parameters.PRESOLVE, presolve)
    return parameters
