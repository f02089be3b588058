"""What a row of bays can hold at most when each bay is one of a given set: bound, prices and what to branch on.

A box says for each bay of the row which stacks and which sizes it may have. For prices s >= 0 of a piece of each group

    L(s) = sum_g n_g max(0, v_g - s_g) + max over bays of the box, sizes adding up to at most the wall, of their value

bounds every layout of the box; s comes from column generation as in `master`, with one convexity row a bay. What cannot
be part of a better layout at the best prices (variable fixing by reduced cost) is taken out of the box.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import gcd
from typing import Any

import numpy as np

from capacity.solver.proof.bay_list import NEVER, WallRows
from capacity.solver.relaxation.linear_program import new_master, solve_linear
from capacity.solver.relaxation.opening_knapsack import Floats, Ints

MOST_UNITS = 2000
"""Most units into which the free width of a wall is divided; needs are rounded down to a unit."""

SURE = 1.0e-6
"""Slack for sums of floating-point numbers."""

LITTLE = 1.0e-4
"""Difference of bound and linear program at which the prices are taken to be the best."""

MORE = 0.05
"""Share by which the piles are made larger to get prices where everything fits."""

NEW = 2
"""Columns added for each bay and pricing beside those of the best row."""


@dataclass(frozen=True, slots=True)
class NodeBay:
    """Rows of `WallRows` and first and last size that one bay may have.

    `rows` None: any stack at all; `failed`: the number of sizes for which the stacks were too many to be listed.
    """

    rows: Ints | None
    low: int
    high: int
    failed: int = 0


@dataclass(frozen=True, slots=True)
class Node:
    """What each bay of a row may be, with a bound on what it stores, and prices that prove it."""

    bays: tuple[NodeBay, ...]
    bound: float
    prices: Floats


@dataclass(frozen=True, slots=True)
class ColumnLevel:
    """Row and size of a bay, and the level at which the linear program uses it."""

    row: int
    size: int
    level: float


@dataclass(frozen=True, slots=True)
class _At:
    """L and the worth of the bays of a box at some prices."""

    prices: Floats
    value: float
    worths: Sequence[Floats]


class RowRelaxation:
    """Bounds boxes with a given number of bays on a stretch of so much width, uprights included [ticks]."""

    def __init__(self, wall: WallRows, width: int, bays: int) -> None:
        self.wall, self.number = wall, bays
        self.free = width - (bays + 1) * wall.problem.rules.panel
        needs = wall.sizes.needs
        unit = gcd(*(int(need) for need in needs))
        unit *= max(1, -(-self.free // (unit * MOST_UNITS)))
        self.units: Ints = needs // unit
        self.room = self.free // unit
        self.worth = np.array([float(group.value) for group in wall.groups])
        self.counts = np.array([float(group.count) for group in wall.groups])
        self._columns: dict[tuple[int, int, tuple[tuple[int, int], ...]], None] = {}

    # ---- prices to bound --------------------------------------------------------------------------------

    def value_at(self, box: Node, prices: Floats) -> tuple[float, list[Floats], list[tuple[int, int]]]:
        """L(prices) for a box, the worth of its bays, and the best row as (row, size) of each bay."""
        self.wall.price(prices)
        known: dict[tuple[int, int, int], Floats] = {}
        worths, reach, tables = [], [], [np.zeros(self.room + 1)]
        for bay in box.bays:
            key = (id(bay.rows), bay.low, bay.high)
            if key not in known:
                known[key] = self._worth(bay)
            worths.append(known[key])
            best = known[key].max(axis=0)
            reach.append(best)
            tables.append(self._joined(tables[-1], best, bay.low))
        constant = float(self.counts @ np.maximum(0.0, self.worth - prices))
        total = float(tables[-1][self.room])
        if total < NEVER / 2:
            return float("-inf"), worths, []
        picked: list[tuple[int, int]] = []
        left = self.room
        for index in range(len(box.bays) - 1, -1, -1):
            bay, before = box.bays[index], tables[index]
            units = self.units[bay.low : bay.high + 1]
            rest = left - units
            sums = np.where(rest >= 0, before[np.maximum(rest, 0)] + reach[index], NEVER * 10)
            size = int(sums.argmax())
            picked.append((self._row(bay, worths[index], size), bay.low + size))
            left = int(rest[size])
        return constant + total, worths, picked[::-1]

    def _worth(self, bay: NodeBay) -> Floats:
        if bay.rows is None:
            return self.wall.best_by_size()[None, bay.low : bay.high + 1]
        return self.wall.worth(bay.rows, bay.low, bay.high)

    def _row(self, bay: NodeBay, worth: Floats, size: int) -> int:
        """The best row for a size, counted from the first of the bay."""
        if bay.rows is None:
            return self.wall.best_row(bay.low + size)
        return int(bay.rows[worth[:, size].argmax()])

    def _joined(self, table: Floats, best: Floats, low: int) -> Floats:
        """The best of one more bay: by units of width that may be used."""
        joined = np.full(self.room + 1, NEVER)
        for index, value in enumerate(best.tolist()):
            need = int(self.units[low + index])
            if need <= self.room and value > NEVER / 2:
                np.maximum(joined[need:], table[: self.room + 1 - need] + value, out=joined[need:])
        return joined

    # ---- column generation ------------------------------------------------------------------------------

    def bound(self, box: Node, rounds: int, enough: float) -> tuple[Node, tuple[tuple[ColumnLevel, ...], ...]]:
        """Better the bound of a box; stops early below `enough`.

        Returns
        -------
        The box with its bound, its prices and less to choose from; and what the linear program chose for each bay.
        """
        value, worths, picked = self.value_at(box, box.prices)
        now = _At(box.prices, value, worths)
        if min(box.bound, value) < enough:
            return replace(box, bound=min(box.bound, value)), ()
        program = _Program(self, box)
        for column in self._columns:
            program.add(column)
        self._grow(program, box, worths, picked, box.prices, 0.0)
        best, chosen = self._generate(program, box, now, rounds, enough)
        bound = min(box.bound, best.value)
        if bound >= enough and bound >= float(self.worth @ self.counts) - SURE:
            # everything fits, so that no price says anything: look where a little more would have to fit
            program.ask_for(MORE)
            best, _ = self._generate(program, box, _At(best.prices, float("inf"), best.worths), rounds, enough)
        box = replace(box, bound=bound, prices=best.prices)
        if bound >= enough:
            self.wall.price(best.prices)  # for what the fixing lists
            box = self._fixed(box, best, enough)
        return box, chosen

    def _generate(
        self, program: _Program, box: Node, best: _At, rounds: int, enough: float
    ) -> tuple[_At, tuple[tuple[ColumnLevel, ...], ...]]:
        """Solve and price in turn; the best prices met, and what the program chose last."""
        chosen: tuple[tuple[ColumnLevel, ...], ...] = ()
        for number in range(rounds):
            relaxed, duals, per_width, chosen = program.solve()
            if best.value - relaxed < LITTLE:
                break
            tried = duals if number % 2 else 0.5 * (best.prices + duals)
            value, worths, picked = self.value_at(box, tried)
            if value < best.value - SURE:
                best = _At(tried, value, worths)
            if best.value < enough:
                break
            if not self._grow(program, box, worths, picked, tried, per_width) and tried is duals:
                break
        return best, chosen

    def _grow(
        self,
        program: _Program,
        box: Node,
        worths: Sequence[Floats],
        picked: Sequence[tuple[int, int]],
        prices: Floats,
        per_width: float,
    ) -> int:
        """Add the bays of the best row, and those that gain most at a price of width; returns how many are new."""
        wanted = dict.fromkeys(picked)
        for bay, worth in zip(box.bays, worths, strict=True):
            gains = worth.max(axis=0) - per_width * self.units[bay.low : bay.high + 1]
            for size in np.argsort(-gains, kind="stable")[:NEW].tolist():
                if gains[size] > NEVER / 2:
                    wanted[(self._row(bay, worth, size), bay.low + size)] = None
        added = 0
        for row, size in wanted:
            column = (row, size, tuple(sorted(self.wall.contents(row, size).items())))
            if column not in self._columns:
                self._columns[column] = None
                program.add(column)
                added += 1
        return added

    # ---- fixing -----------------------------------------------------------------------------------------

    def _fixed(self, box: Node, best: _At, enough: float) -> Node:
        """Take out rows and sizes without which nothing as good as `enough` is lost."""
        worths = best.worths
        constant = float(self.counts @ np.maximum(0.0, self.worth - box.prices)) + SURE
        tops = [worth.max(axis=0) for worth in worths]
        before, after = [np.zeros(self.room + 1)], [np.zeros(self.room + 1)]
        for bay, top in zip(box.bays, tops, strict=True):
            before.append(self._joined(before[-1], top, bay.low))
        for bay, top in zip(box.bays[::-1], tops[::-1], strict=True):
            after.append(self._joined(after[-1], top, bay.low))
        after.reverse()
        found: list[NodeBay] = []
        known: dict[tuple[int, int, int, bytes], NodeBay] = {}
        for index, (bay, worth) in enumerate(zip(box.bays, worths, strict=True)):
            others = np.full(bay.high - bay.low + 1, NEVER)
            for size in range(bay.low, bay.high + 1):
                left = self.room - int(self.units[size])
                if left >= 0:
                    others[size - bay.low] = (before[index][: left + 1] + after[index + 1][left::-1]).max()
            key = (id(bay.rows), bay.low, bay.high, others.tobytes())
            if key not in known:
                alive = worth + others + constant >= enough
                sizes = np.flatnonzero(alive.any(axis=0))
                if len(sizes) == 0:
                    return replace(box, bound=float("-inf"))
                low, high = int(sizes[0]), int(sizes[-1])
                rows, failed = bay.rows, bay.failed
                if rows is not None:
                    rows = rows[alive.any(axis=1)]
                elif failed == 0 or 2 * (high - low + 1) <= failed:
                    rows = self.wall.listed(bay.low + low, bay.low + high, (enough - constant - others)[low : high + 1])
                    failed = high - low + 1
                if rows is not None and len(rows) == 0:  # heights to the tick leave no stack that is worth enough
                    return replace(box, bound=float("-inf"))
                known[key] = NodeBay(rows, bay.low + low, bay.low + high, failed)
            found.append(known[key])
        return replace(box, bays=tuple(found))


class _Program:
    """The linear program over columns (row, size, pieces) for one box."""

    def __init__(self, relaxation: RowRelaxation, box: Node) -> None:
        self._relaxation, self._box = relaxation, box
        self._solver, self._demand, self._stored = new_master(relaxation.wall.groups)
        infinity = self._solver.infinity()
        self._one = [self._solver.RowConstraint(-infinity, 1.0, "") for _ in box.bays]
        # in shares of the wall: whole ticks would be a million times the other numbers, and upset the solver
        self._width = self._solver.RowConstraint(-infinity, 1.0, "")
        self._may = [None if bay.rows is None else set(bay.rows.tolist()) for bay in box.bays]
        self._variables: list[list[tuple[Any, int, int]]] = [[] for _ in box.bays]

    def ask_for(self, more: float) -> None:
        """Let piles be larger by a share; bounds are for the piles as they are whatever prices this gives."""
        for stored, count in zip(self._stored, self._relaxation.counts.tolist(), strict=True):
            stored.SetUb(count * (1.0 + more))

    def add(self, column: tuple[int, int, tuple[tuple[int, int], ...]]) -> None:
        """Let every bay use a column that may."""
        row, size, pieces = column
        for index, bay in enumerate(self._box.bays):
            may = self._may[index]
            if bay.low <= size <= bay.high and (may is None or row in may):
                variable = self._solver.NumVar(0.0, 1.0, "")
                for group, number in pieces:
                    self._demand[group].SetCoefficient(variable, -float(number))
                self._one[index].SetCoefficient(variable, 1.0)
                self._width.SetCoefficient(
                    variable, float(self._relaxation.units[size]) / max(1, self._relaxation.room)
                )
                self._variables[index].append((variable, row, size))

    def solve(self) -> tuple[float, Floats, float, tuple[tuple[ColumnLevel, ...], ...]]:
        """Value, price of a piece of each group, price of a unit of width, and what is used."""
        value = solve_linear(self._solver)
        prices = np.array([row.dual_value() for row in self._demand])
        chosen = tuple(
            tuple(
                ColumnLevel(row, size, float(variable.solution_value()))
                for variable, row, size in each
                if variable.solution_value() > 1e-7
            )
            for each in self._variables
        )
        return (
            value,
            np.clip(prices, 0.0, self._relaxation.worth),
            float(self._width.dual_value()) / max(1, self._relaxation.room),
            chosen,
        )
