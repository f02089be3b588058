"""The least inconvenience of any layout that stores so much value: a proven bound, all zones priced together.

minimise  sum_j c_j x_j   subject to   S_g <= n_g,   S_g <= sum_j a_gj x_j   (price s_g),   sum_g v_g S_g >= V,
          sizes of the bays on each wall <= its units, rows of bays on walls where places differ <= 1.

A column is a bay (or a row of bays) with what reaching its a_gj pieces costs at least (`reach_pricing`). For any prices

    L(s) = min { sum_g s_g S_g : 0 <= S_g <= n_g, sum_g v_g S_g >= V } - sum over walls of the best row at s

is a bound (Lagrangian relaxation, as in `master`): in the best row a piece is worth its price less what it costs to
reach it there. The first minimum is a knapsack with parts of pieces. Each choice of corners has its bound; the least of
them holds for all.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from ortools.linear_solver import pywraplp

from capacity.layout.problem import Problem
from capacity.layout.reach_zones import Zone
from capacity.layout.towers import Group
from capacity.solver.effort import Effort
from capacity.solver.relaxation.bay_pricing import owners_of
from capacity.solver.relaxation.linear_program import solve_linear
from capacity.solver.relaxation.master import NUMBER, gaining_sizes
from capacity.solver.relaxation.opening_knapsack import Floats, Grid
from capacity.solver.relaxation.reach_pricing import Pieces, ZoneBays
from capacity.solver.relaxation.structure import open_state
from capacity.solver.relaxation.wall_pricing import RowBay, Stretch, WallValues

COARSE = Grid(is_bound=True, step=2032, most=800, tall=500)
FINE = Grid(is_bound=True, step=508, most=1500, tall=3000)
"""The grids for prices and for the bound: bay widths in 1/4 and 1/16 in."""

STEPS = 60
"""Pricing steps at most for each choice of corners."""

DEAREST = 40.0
"""What a unit of value that is not stored costs in the linear program: large, so that the prices reach far enough."""

SMOOTH = 0.5
"""Share of the best prices so far that is kept in each step."""

NEW_SIZES, APART = 6, 10
"""Bays added a step and wall besides the best row, and how far apart their sizes are [units of the grid]."""

LITTLE_GAIN = 1.0e-6
"""Least gain for which a column is added."""


@dataclass(frozen=True, slots=True)
class _Column:
    run: int
    size: float
    pieces: Pieces
    cost: int


class _Walls:
    """All rows of bays of a problem on one grid."""

    def __init__(
        self, problem: Problem, groups: tuple[Group, ...], zones: Mapping[str, Zone], grid: Grid, effort: Effort
    ) -> None:
        self.problem, self.grid, self._effort = problem, grid, effort
        keys = sorted({(run.spot, run.fixed, run.is_kept) for run in problem.runs})
        self.bays = {
            key: [ZoneBays(problem, groups, key[0], owner, grid, zones, *key[1:]) for owner in owners_of(problem)]
            for key in keys
        }
        self.walls = [
            WallValues(problem, index, self.bays[run.spot, run.fixed, run.is_kept])
            for index, run in enumerate(problem.runs)
        ]
        self._priced: Floats | None = None

    def price(self, prices: Floats) -> None:
        """Price all bays, unless these were the last prices."""
        if self._priced is not None and np.array_equal(self._priced, prices):
            return
        for each in self.bays.values():
            for values in each:
                self._effort.spend(NUMBER * values.price(prices))
        for wall in self.walls:
            wall.price()
        self._priced = prices.copy()

    def rows(self, stretches: Sequence[Stretch]) -> list[tuple[Stretch, float, list[RowBay]]]:
        """The best row of each stretch at the last prices."""
        return [(stretch, *self.walls[stretch.run].best(stretch)) for stretch in stretches]

    def units(self, stretch: Stretch) -> int:
        """Units of size that the bays of a plain stretch may add up to."""
        return max(0, (stretch.end - stretch.start - self.problem.rules.panel) // self.grid.step)

    def column(self, run: int, size: float, row: Sequence[RowBay]) -> _Column:
        """What a row of bays holds, and what it costs at least."""
        total, cost = Pieces(), 0
        for placed in row:
            values = self.bays[self._key(run)][placed.owner]
            pieces, more = values.bay(placed.room, placed.size)
            total.update(pieces)
            cost += more
        return _Column(run, size, total, cost)

    def _key(self, run: int) -> Any:
        whole = self.problem.runs[run]
        return whole.spot, whole.fixed, whole.is_kept


class _Prices:
    """The linear program over the columns so far, for one choice of corners."""

    def __init__(self, groups: Sequence[Group], value: int, room: Sequence[float], columns: Sequence[_Column]) -> None:
        self._solver = solver = pywraplp.Solver.CreateSolver("GLOP")
        infinity = solver.infinity()
        self._goal = solver.Objective()
        self._goal.SetMinimization()
        self._value = solver.RowConstraint(float(value), infinity, "")
        missing = solver.NumVar(0.0, infinity, "")
        self._value.SetCoefficient(missing, 1.0)
        self._goal.SetCoefficient(missing, DEAREST)
        self._demand = []
        for group in groups:
            row = solver.RowConstraint(0.0, infinity, "")
            stored = solver.NumVar(0.0, float(group.count), "")
            row.SetCoefficient(stored, -1.0)
            self._value.SetCoefficient(stored, float(group.value))
            self._demand.append(row)
        self._rooms = [solver.RowConstraint(-infinity, units, "") for units in room]
        for column in columns:
            self.add(column)

    def add(self, column: _Column) -> None:
        """One more column."""
        variable = self._solver.NumVar(0.0, self._solver.infinity(), "")
        for group, number in column.pieces.items():
            self._demand[group].SetCoefficient(variable, float(number))
        self._rooms[column.run].SetCoefficient(variable, column.size)
        self._goal.SetCoefficient(variable, float(column.cost))

    def solve(self) -> tuple[float, Floats, list[float]]:
        """Its least cost, the price of a piece of each group, and the price of room on each wall."""
        cost = solve_linear(self._solver)
        prices = np.maximum(np.array([row.dual_value() for row in self._demand]), 0.0)
        return cost, prices, [-float(row.dual_value()) for row in self._rooms]


def least_inconvenience(problem: Problem, zones: Mapping[str, Zone], value: int, known: int, effort: Effort) -> int:
    """A bound from below on the inconvenience of every layout that stores at least so much value.

    Parameters
    ----------
    problem, zones
        The facts, and the zones of reach by the owner's name in lower case.
    value
        What the layouts store at least.
    known
        The inconvenience of one such layout, which the bound never passes.
    effort
        Looked at between the steps; the prices found by then make the bound, which is 0 where the clock has run out.
    """
    if known == 0 or not problem.things:
        return 0
    groups = tuple(
        Group(
            (index,), thing.count, thing.value, thing.owner if problem.rules.owners_apart else None, thing.opening_kind
        )
        for index, thing in enumerate(problem.things)
    )
    coarse = _Walls(problem, groups, zones, COARSE, effort)
    columns: list[_Column] = []
    reached = float(known)
    prices: list[Floats] = []
    for owners in problem.corner_choices():
        stretches = open_state(problem, owners).stretches
        bound = _bounded(coarse, groups, stretches, value, (reached, columns, prices), effort)
        reached = min(reached, bound)
        if effort.is_over and effort.was_cut_short:
            return 0
    fine = _Walls(problem, groups, zones, FINE, effort)
    finer = []
    for owners, at in zip(problem.corner_choices(), prices, strict=True):
        stretches = open_state(problem, owners).stretches
        finer.append(lagrangian(fine, groups, stretches, value, at))
    return min(known, math.ceil(max(0.0, max(reached, min(finer))) - 1e-6))


def lagrangian(
    walls: _Walls, groups: Sequence[Group], stretches: Sequence[Stretch], value: int, prices: Floats
) -> float:
    """L(prices): no layout on these stretches that stores the value costs less."""
    walls.price(prices)
    return _cheapest(groups, value, prices) - sum(worth for _, worth, _ in walls.rows(stretches))


def _cheapest(groups: Sequence[Group], value: int, prices: Floats) -> float:
    """The least total price of pieces that are worth so much together, parts of pieces allowed."""
    total, left = 0.0, float(value)
    for group, price in sorted(zip(groups, prices, strict=True), key=lambda item: float(item[1]) / item[0].value):
        taken = min(float(group.count), left / group.value)
        total += taken * float(price)
        left -= taken * group.value
    return total


def _bounded(
    walls: _Walls,
    groups: Sequence[Group],
    stretches: Sequence[Stretch],
    value: int,
    so_far: tuple[float, list[_Column], list[Floats]],
    effort: Effort,
) -> float:
    """The bound of one choice of corners, by column generation; its prices and new columns are added to `so_far`."""
    enough, columns, found_prices = so_far
    at, bound = None, -math.inf
    for known in found_prices:  # the prices of another choice may do
        if (found := lagrangian(walls, groups, stretches, value, known)) > bound:
            bound, at = found, known
    is_plain = [run.is_plain for run in walls.problem.runs]
    room = [
        float(walls.units(stretch)) if is_plain[stretch.run] else 1.0
        for stretch in sorted(stretches, key=lambda stretch: stretch.run)
    ]
    usable = [column for column in columns if is_plain[column.run] and column.size <= room[column.run]]
    program, seen = _Prices(groups, value, room, usable), {_key(column) for column in usable}
    for _ in range(max(1, round(STEPS * effort.factor))):
        if effort.is_over or bound >= enough:
            break
        least, prices, dear = program.solve()
        added = 0
        for tried in (prices if at is None else SMOOTH * at + (1.0 - SMOOTH) * prices, prices):
            found = lagrangian(walls, groups, stretches, value, tried)
            if found > bound:
                bound, at = found, tried
            for column in _new_columns(walls, stretches, dear):
                gain = sum(prices[group] * number for group, number in column.pieces.items()) - column.cost
                if gain - dear[column.run] * column.size > LITTLE_GAIN and _key(column) not in seen:
                    seen.add(_key(column))
                    program.add(column)
                    columns.append(column)
                    added += 1
            if added:
                break
        if not added or least - bound < 0.01:
            break
    found_prices.append(np.zeros(len(groups)) if at is None else at)
    return bound


def _key(column: _Column) -> tuple[object, ...]:
    return column.run, column.size, column.cost, tuple(sorted(column.pieces.items()))


def _new_columns(walls: _Walls, stretches: Sequence[Stretch], dear: Sequence[float]) -> list[_Column]:
    """The best rows at the last prices, and on plain walls some bays besides."""
    made = []
    for stretch, _, row in walls.rows(stretches):
        wall = walls.walls[stretch.run]
        if not walls.problem.runs[stretch.run].is_plain:
            if row:
                made.append(walls.column(stretch.run, 1.0, row))
            continue
        if len(wall.sizes) == 0:
            continue
        gain = wall.worth()[0] - dear[stretch.run] * wall.sizes
        gain = np.where(wall.sizes <= walls.units(stretch), gain, -np.inf)
        made += [
            walls.column(stretch.run, float(wall.sizes[size]), [wall.placed(0, size)])
            for size in gaining_sizes(gain, row)
        ]
    return made
