"""Which openings some bays get at the widths that they have: a program over patterns, linear or in whole numbers.

    maximise  sum_g v_g S_g   subject to   S_g <= pieces of g that are free,   S_g <= sum_j a_gj x_j,
              heights of the openings in each stretch of a bay, panels included, <= its height,
              at most one rod on the floor and one filling of the top a bay,   panel <= what the budget leaves

A pattern j is one opening of one bay with what it holds. Whole numbers are found by SCIP, which comes with OR-Tools;
branching nodes are counted, not seconds, so that the same patterns give the same answer.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Any

import numpy as np
from ortools.linear_solver import pywraplp

from capacity.layout.problem import OpeningKind
from capacity.solver.effort import Effort
from capacity.solver.relaxation.bay_pricing import Headroom
from capacity.solver.relaxation.linear_program import solve_linear
from capacity.solver.relaxation.master import AREA
from capacity.solver.relaxation.opening_knapsack import Floats
from capacity.units import PER_INCH

ON_FLOOR, ON_TOP = -1, -2
"""Stand for a stretch: a rod that stands on the floor, and what lies over the top panel."""

LEAST_SECONDS = 0.2
"""What an integer program gets where a wall clock has nearly run out [s]."""


@dataclass(frozen=True, slots=True, order=True)
class Pattern:
    """An opening with its contents, as (group, turned, pieces).

    `bay` is an index into the bays of the program; `stretch` counts the stretches of its height from the floor up, or
    is ON_FLOOR or ON_TOP; `height` is the clear height [ticks].
    """

    bay: int
    stretch: int
    kind: OpeningKind
    height: int
    holds: tuple[tuple[int, bool, int], ...]


@dataclass(frozen=True, slots=True)
class EmptyBay:
    """A bay without openings: its run, clear width and depth [ticks], heights, and the index of its owner."""

    run: int
    width: int
    depth: int
    room: Headroom
    owner: int

    @property
    def stretches(self) -> tuple[int, ...]:
        """Heights of its stretches from the floor up, the panels over the openings included [ticks]."""
        return (self.room.kicked, *self.room.more)

    @property
    def saved(self) -> int:
        """What a rod on the floor does without: toe kick and bottom panel [ticks]."""
        return self.room.standing - self.room.kicked

    @property
    def panel(self) -> float:
        """One panel of the bay [AREA]."""
        return self.width * self.depth / AREA


@dataclass(frozen=True, slots=True)
class Facts:
    """What the program is about.

    `supply` and `worth` are pieces that are free and value a piece, by group; `thick` is the thickness of a panel
    [ticks]; `panel_left` the panel that openings may take, one each [AREA; None: any].
    """

    bays: tuple[EmptyBay, ...]
    supply: tuple[int, ...]
    worth: Floats
    thick: int
    panel_left: float | None


class PatternProgram:
    """A linear program (`GLOP`) or one in whole numbers (`SCIP`) over the patterns added so far."""

    def __init__(self, facts: Facts, solver_name: str) -> None:
        self._facts = facts
        solver = self._solver = pywraplp.Solver.CreateSolver(solver_name)
        if solver is None:
            msg = f"the solver {solver_name} that comes with OR-Tools is missing"
            raise AssertionError(msg)
        infinity = solver.infinity()
        self._objective = solver.Objective()
        self._objective.SetMaximization()
        self._demand: list[Any] = []
        for free, worth in zip(facts.supply, facts.worth, strict=True):
            row, stored = solver.RowConstraint(-infinity, 0.0, ""), solver.IntVar(0.0, float(free), "")
            row.SetCoefficient(stored, 1.0)
            self._objective.SetCoefficient(stored, float(worth))
            self._demand.append(row)
        self._heights = [
            [solver.RowConstraint(-infinity, max(0, height) / PER_INCH, "") for height in bay.stretches]
            for bay in facts.bays
        ]
        self._floors = [solver.RowConstraint(-infinity, 1.0, "") for _ in facts.bays]
        self._tops = [solver.RowConstraint(-infinity, 1.0, "") for _ in facts.bays]
        limit = facts.panel_left
        self._panel = None if limit is None else solver.RowConstraint(-infinity, max(0.0, limit), "")
        self._variables: dict[Pattern, Any] = {}

    def add(self, pattern: Pattern) -> None:
        """Let a pattern be used."""
        bay, cost = self._facts.bays[pattern.bay], pattern.height + self._facts.thick
        most = 1 if pattern.stretch < 0 else max(1, bay.stretches[pattern.stretch] // cost)
        variable = self._variables[pattern] = self._solver.IntVar(0.0, float(most), "")
        total: Counter[int] = Counter()
        for group, _, number in pattern.holds:
            total[group] += number
        for group, number in total.items():
            self._demand[group].SetCoefficient(variable, -float(min(number, self._facts.supply[group])))
        if pattern.stretch == ON_TOP:
            self._tops[pattern.bay].SetCoefficient(variable, 1.0)
            return
        if pattern.stretch == ON_FLOOR:
            self._floors[pattern.bay].SetCoefficient(variable, 1.0)
            cost -= bay.saved
        self._heights[pattern.bay][max(0, pattern.stretch)].SetCoefficient(variable, cost / PER_INCH)
        if self._panel is not None:
            self._panel.SetCoefficient(variable, bay.panel)

    def solve(self) -> float:
        """Solve the linear program; its value.

        Raises
        ------
        AssertionError
            When the solver gives anything but an optimum: an empty answer would look like convergence.
        """
        return solve_linear(self._solver)

    def prices(self) -> Floats:
        """The price of a piece of each group, shape (groups,)."""
        prices = np.array([row.dual_value() for row in self._demand])
        clipped: Floats = np.clip(prices, 0.0, self._facts.worth)
        return clipped

    def height_price(self, bay: int, stretch: int) -> float:
        """The price of a tick of height."""
        return float(self._heights[bay][stretch].dual_value()) / PER_INCH

    def panel_price(self, bay: EmptyBay) -> float:
        """The price of one panel of a bay."""
        return 0.0 if self._panel is None else float(self._panel.dual_value()) * bay.panel

    def single_price(self, bay: int, stretch: int) -> float:
        """The price of the one rod on the floor, or the one filling of the top, that a bay may have."""
        rows = self._floors if stretch == ON_FLOOR else self._tops
        return float(rows[bay].dual_value())

    def gains(self) -> dict[Pattern, float]:
        """What one more of each pattern would add to the relaxation, below 0 what it would cost."""
        return {pattern: float(variable.reduced_cost()) for pattern, variable in self._variables.items()}

    def choose(self, hint: Counter[Pattern], effort: Effort, nodes: int) -> list[Pattern]:
        """The best whole numbers found from those of the hint, a pattern as often as it is used; none: none found."""
        self._solver.SetHint([*self._variables.values()], [float(hint[pattern]) for pattern in self._variables])
        seconds = effort.seconds_left
        lines = [f"limits/totalnodes = {max(1, round(nodes * effort.factor))}", "misc/catchctrlc = FALSE"]
        if seconds is not None:
            lines.append(f"limits/time = {max(LEAST_SECONDS, seconds):.3f}")
        self._solver.SetSolverSpecificParametersAsString("\n".join(lines) + "\n")
        if self._solver.Solve() not in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE):
            return []
        return [
            pattern
            for pattern, variable in self._variables.items()
            for _ in range(round(variable.solution_value()))
        ]  # fmt: skip
