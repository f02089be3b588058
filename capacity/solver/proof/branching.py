"""Prices where one vector of prices proves too little: boxes of layouts, each with prices of its own.

Branch and price (Barnhart, Johnson, Nemhauser, Savelsbergh and Vance 1998, Operations Research 46, 316-329), branching
on what is counted over a whole layout: pieces stored of a group, bays so wide, openings that need to be so high in
bays so wide (Vanderbeck 2000, Operations Research 48, 111-128). A limit on a count is one row more of the relaxation;
its dual is a charge for each of what is counted, and L(s) with the charges bounds every layout of the box. So a box
is checked as prices are, whoever proved the bound before: branch and bound over bays (`branch_and_bound`) or CP-SAT
(`whole`), neither of which leaves anything to check. Where counts do not tell fractions apart it gives up.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import product

import numpy as np

from capacity.layout.problem import Problem
from capacity.solver.effort import Effort
from capacity.solver.relaxation.bay_pricing import Counted, owners_of
from capacity.solver.relaxation.columns import Column
from capacity.solver.relaxation.master import CountingRow, Master
from capacity.solver.relaxation.opening_knapsack import Floats
from capacity.solver.relaxation.structure import open_state
from capacity.solver.relaxation.value_bound import FINE, MILLION, CornerBound

SURE = 1.0e-4
"""A box counts as closed when its bound is so far below what would be one more: far above what sums of floats lose."""

STEPS, WORK = 60, 10.0
"""Pricings for a box, and work for the boxes of a choice of corners, whatever the effort: what holds is to be shown."""

FRACTION = 1.0e-3
"""Nearer to a whole number than this a count is taken to be one."""

TRIED = 100
"""Ways to part a box that are tried on the columns that are there."""

Number = Counted | int
"""What may be limited: a count of bays or openings, or the pieces stored of the group of this index."""


@dataclass(frozen=True, slots=True)
class Box:
    """Prices by group (and of panel, where a budget limits it), and the charge for each limit from the root on."""

    prices: Floats
    charges: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Parted:
    """All layouts with at most so many of something, and all others."""

    counted: Number
    number: int
    fewer: Box | Parted
    more: Box | Parted


@dataclass(frozen=True, slots=True)
class _Limit:
    counted: Number
    is_most: bool
    number: int


def parted_bound(problem: Problem, choice: CornerBound, most: int, effort: Effort) -> Box | Parted | None:
    """Boxes that prove that no layout of one choice of corners is worth more than `most`; None where none were found.

    Parameters
    ----------
    problem
        The walls in parts.
    choice
        The choice of corners with the prices to begin with.
    most
        What has been proven by other means.
    effort
        Counts the work, and may end it.
    """
    return _Branching(problem, choice.owners, most, effort).closed((), choice.prices)


class _Branching:
    def __init__(self, problem: Problem, owners: tuple[bool, ...], most: int, effort: Effort) -> None:
        self.limited = _LimitedMaster(problem, effort)
        self.limited.master.set_state(open_state(problem, owners))
        self.enough, self.effort, self.end = most + 1 - SURE, effort, effort.work + WORK

    def closed(self, limits: tuple[_Limit, ...], start: Floats) -> Box | Parted | None:
        """The boxes below some limits, all of them closed; None where one is not. `start`: prices to begin with."""
        if self.effort.work > self.end or self.effort.is_over:
            return None
        bound, prices, charges = self._bounded(limits, start)
        if bound < self.enough:
            return self._in_millionths(limits, prices, charges)
        self.limited.solve()
        candidates = self.limited.fractional()
        if not candidates:
            return None
        counted, number = min(candidates, key=lambda item: self._left_over(limits, *item))
        parts = []
        for is_most, at in ((True, number), (False, number + 1)):
            part = self.closed((*limits, _Limit(counted, is_most, at)), prices)
            if part is None:
                return None
            parts.append(part)
        return Parted(counted, number, *parts)

    def _left_over(self, limits: tuple[_Limit, ...], counted: Number, number: int) -> tuple[float, float]:
        """How good parting a box would be, by the columns that are there: what is above enough, and all, in both."""
        values = []
        for is_most, at in ((True, number), (False, number + 1)):
            self.limited.limit((*limits, _Limit(counted, is_most, at)))
            values.append(self.limited.solve()[0])
        return sum(max(0.0, value - self.enough) for value in values), sum(values)

    def _bounded(self, limits: Sequence[_Limit], start: Floats) -> tuple[float, Floats, dict[Counted, float]]:
        """The least bound met, with its prices and charges."""
        limited = self.limited
        limited.limit(limits)
        best, at = limited.look(start, {}), (start, dict[Counted, float]())
        for _ in range(STEPS):
            if best < self.enough:
                break
            value, prices, charges = limited.solve()
            if value >= self.enough:
                break
            for share in (0.5, 0.0):  # of the best prices so far
                mixed = share * at[0] + (1.0 - share) * prices
                keys = {*at[1], *charges}
                each = {key: share * at[1].get(key, 0.0) + (1.0 - share) * charges.get(key, 0.0) for key in keys}
                found = limited.look(mixed, each)
                if found < best:
                    best, at = found, (mixed, each)
                added = limited.master.add_columns(prices)
                if added or best < self.enough:
                    break
            else:
                break
        return best, *at

    def _in_millionths(self, limits: Sequence[_Limit], prices: Floats, charges: dict[Counted, float]) -> Box | None:
        """The box with prices and charges in whole millionths, if these close it too."""
        prices = np.round(prices * MILLION) / MILLION
        charges = {key: round(each * MILLION) / MILLION for key, each in charges.items()}
        if self.limited.look(prices, charges) >= self.enough:
            return None
        return Box(prices, tuple(self.limited.charges_of(limits, prices, charges)))


class _LimitedMaster:
    """The master on the grid for bounds, with limits on what is counted."""

    def __init__(self, problem: Problem, effort: Effort) -> None:
        self.master = Master(problem, FINE, effort=effort, prefers_narrow=False)
        self._problem, self._dear = problem, 2.0 * problem.value_of_all + 1.0
        self._rows: dict[Counted, CountingRow] = {}
        self._bounds: dict[Number, tuple[int, int | None]] = {}
        self._stored_now: list[float] = []
        self._names = [owner or "" for owner in owners_of(problem)]
        self.master.lend(self._dear)

    def limit(self, limits: Sequence[_Limit]) -> None:
        """Set the limits of a box, and no others."""
        self._bounds = {}
        for limit in limits:
            low, high = self._bounds.get(limit.counted, (0, None))
            if limit.is_most:
                high = limit.number if high is None else min(high, limit.number)
            else:
                low = max(low, limit.number)
            self._bounds[limit.counted] = (low, high)
        for group in range(len(self.master.groups)):
            self.master.limit_pieces(group, *self._bounds.get(group, (0, None)))
        for counted in {key for key in self._bounds if isinstance(key, Counted)} - set(self._rows):
            self._rows[counted] = self.master.count(partial(self._number_of, counted), self._dear)
        for counted, row in self._rows.items():
            self.master.limit(row, *self._bounds.get(counted, (0, None)))

    def solve(self) -> tuple[float, Floats, dict[Counted, float]]:
        """Value of the relaxation over the columns so far, prices, and charges (below 0: rewards)."""
        value, prices = self.master.solve()
        self._stored_now = self.master.stored()
        return value, prices, {counted: row.dual for counted, row in self._rows.items() if counted in self._bounds}

    def fractional(self) -> list[tuple[Number, int]]:
        """The counts that are furthest from a whole number in the last solution, and the whole numbers below them.

        Those that borrow what a limit asks for are left out: one of the two boxes beside such a number is empty.
        """
        levels = self.master.levels()
        used = [(self.master.columns[i], float(levels[i])) for i in np.flatnonzero(levels > FRACTION)]
        numbers: dict[Number, float] = dict(enumerate(self._stored_now))
        for counted in sorted({item for column, _ in used for item in self._counts(column)}):
            numbers[counted] = sum(level * self._number_of(counted, column) for column, level in used)
        numbers = {key: number for key, number in numbers.items() if self._may_part(key, int(number))}
        away = {key: min(number % 1.0, 1.0 - number % 1.0) for key, number in numbers.items()}
        found = sorted((key for key in numbers if away[key] > FRACTION), key=lambda key: -round(away[key], 3))
        return [(key, int(numbers[key])) for key in found[:TRIED]]

    def _may_part(self, key: Number, number: int) -> bool:
        """Whether the limits leave both at most so many and more."""
        low, high = self._bounds.get(key, (0, None))
        return low <= number and (high is None or number < high)

    def _counts(self, column: Column) -> Iterator[Counted]:
        """What may be counted that a column has."""
        for is_new, size, owner, openings in self._bays_in(column):
            for at, whose in product((0, size), sorted({"", owner})):
                if is_new:
                    yield Counted("", 0, at, whose)
                yield from (Counted(kind, height, at, whose) for kind, height in openings)

    def look(self, prices: Floats, charges: dict[Counted, float]) -> float:
        """L(prices) of the box with charges for what is counted."""
        # a charge needs a limit from above, a reward one from below
        bounds = {key: self._bounds[key] for key in charges}
        charges = {key: each for key, each in charges.items() if each < 0.0 or bounds[key][1] is not None}
        master = self.master
        master.charge(charges)
        bound = master.price(prices)
        for index, group_worth in enumerate(master.worth[: len(master.groups)]):
            low, high = self._bounds.get(index, (0, None))
            gain, count = float(group_worth - prices[index]), float(master.counts[index])
            most = count if high is None else min(count, float(high))
            bound += max(gain * low, gain * most) - count * max(0.0, gain)
        return bound + sum(each * self._at(key, each) for key, each in charges.items())

    def _at(self, counted: Counted, each: float) -> int:
        low, high = self._bounds[counted]
        return low if each < 0.0 or high is None else high

    def charges_of(self, limits: Sequence[_Limit], prices: Floats, charges: dict[Counted, float]) -> Iterator[float]:
        """The charge for each limit, 0 for those that a narrower one makes idle."""
        for limit in limits:
            low, high = self._bounds[limit.counted]
            if limit.number != (high if limit.is_most else low):
                yield 0.0
            elif isinstance(limit.counted, Counted):
                yield max(0.0, charges.get(limit.counted, 0.0) * (1 if limit.is_most else -1))
            else:
                gain = float(self.master.worth[limit.counted] - prices[limit.counted])
                yield max(0.0, gain if limit.is_most else -gain)

    def _number_of(self, counted: Counted, column: Column) -> int:
        """How many of what is counted a column has."""
        bays = [
            (is_new, openings)
            for is_new, size, owner, openings in self._bays_in(column)
            if size >= counted.size and counted.owner in ("", owner)
        ]
        if not counted.kind:
            return sum(is_new for is_new, _ in bays)
        return sum(kind == counted.kind and height >= counted.height for _, some in bays for kind, height in some)

    def _bays_in(self, column: Column) -> Iterator[tuple[bool, int, str, list[tuple[str, int]]]]:
        """Of each bay whether it is none that must be, size, owner, and openings but prescribed ones and the top."""
        run, thick = self._problem.runs[column.run], self._problem.rules.panel
        for bay in column.bays:
            size = column.sizes if column.stretch is None else (bay.width + thick) // self.master.grid.step
            floor = [] if bay.floor is None else [("hang", bay.floor)]
            openings = [*floor, *((str(kind), height) for kind, height in bay.openings[len(run.prescribed) :])]
            yield not run.fixed, size, self._names[bay.owner], openings
