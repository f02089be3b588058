"""The best bay of every width where a piece is worth its price less what it costs to reach where it lies.

As in `bay_pricing`, but an opening counts with the levels of reach at its height (`reach_zones`): the recursion runs
over places above the floor, and each kind of opening has a table for every set of levels that its places have. For
bounds only: an opening between two places of the grid has the better of their levels, so nothing is worth less than it
is.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np

from capacity.layout.problem import OpeningKind, Problem, Site
from capacity.layout.reach_zones import Zone, hand_depth, hand_height, level_for, price_breaks
from capacity.layout.towers import Group, room_of, towers_of
from capacity.solver.relaxation.bay_pricing import LITTLE, BayValues, Headroom
from capacity.solver.relaxation.opening_knapsack import Floats, Grid, Ints, OpeningTables
from capacity.units import PER_INCH

Levels = tuple[int, ...]
"""What one use costs each owner, in the order of the owners."""

Pieces = Counter[int]

NEAR = PER_INCH // 4
"""How far apart the places of openings are at most, where the grid is fine enough: 1/4 in [ticks]."""


class ZoneBays(BayValues):
    """Bays of one spot, their openings priced by zone; the parameters are those of `BayValues`, and the zones."""

    def __init__(
        self,
        problem: Problem,
        groups: tuple[Group, ...],
        spot: Site,
        owner: str | None,
        grid: Grid,
        zones: Mapping[str, Zone],
        fixed: int = 0,
        is_kept: bool = False,
    ) -> None:
        super().__init__(problem, groups, spot, owner, grid, fixed, fixed, is_kept)
        names = [problem.things[group.members[0]].owner for group in groups]
        self._owners = sorted(set(names), key=lambda name: (name is not None, name or ""))
        self._owner_of: Ints = np.array([self._owners.index(name) for name in names], dtype=np.int64)
        self._worth_of: Floats = np.array([float(group.value) for group in groups])
        self._zoned: dict[tuple[OpeningKind, Levels], OpeningTables] = {}
        self._levels = {kind: self._levels_of(kind, zones) for kind in OpeningKind}
        self._free = {
            kind: tuple(min(column) for column in zip(*levels[1], strict=True)) for kind, levels in self._levels.items()
        }
        self._steps: list[list[tuple[int, int, Levels]]] = [
            self._stretches(kind, self.tables[kind].heights[height]) for kind, height, _ in self._candidates
        ]
        self._top_levels = self._at(OpeningKind.SHELF, problem.top, problem.top)
        towers = [
            tower
            for tower in towers_of(problem, groups, spot)
            if not problem.rules.owners_apart or groups[tower.group].owner in (None, owner)
        ]
        self._has_more = any(run.blocked for run in problem.runs)
        wanted = {
            (kind, levels)
            for (kind, _, _), steps in zip(self._candidates, self._steps, strict=True)
            for _, _, levels in steps
        }
        wanted.add((OpeningKind.SHELF, self._top_levels))
        if self._has_more:
            wanted |= set(self._free.items())
        ceiling = max(max(run.ceiling_left, run.ceiling_right) for run in problem.runs)
        highest = max(min(problem.top, ceiling), ceiling - problem.top)
        for kind, levels in sorted(wanted):
            limit = problem.rules.max_rod if kind is OpeningKind.HANG else problem.rules.max_shelf
            mine = [tower for tower in towers if tower.kind is kind]
            room = room_of(problem.rules, kind, max(limit, fixed))
            self._zoned[kind, levels] = OpeningTables(groups, mine, grid, room, highest)
        self._start = problem.rules.base // self.unit
        self._placed: Floats = np.zeros((0, 0))
        self._loose: Floats = np.zeros((0, 0))

    def _places(self) -> tuple[int, ...]:
        return self.problem.rules.base, NEAR

    # ---- levels ---------------------------------------------------------------------------------------

    def _levels_of(self, kind: OpeningKind, zones: Mapping[str, Zone]) -> tuple[Ints, list[Levels]]:
        """Heights of the hand at which some level changes, and the levels of all owners from each on."""
        breaks = price_breaks(zones.values(), kind, self.spot.depth)
        into = hand_depth(kind, self.spot.depth)
        levels = [tuple(level_for(owner, mark, into, zones) for owner in self._owners) for mark in breaks]
        return np.array(breaks, dtype=np.int64), levels

    def _at(self, kind: OpeningKind, low: int, high: int) -> Levels:
        """The best levels of all heights of the hand from `low` to `high` [ticks]."""
        breaks, levels = self._levels[kind]
        first, last = (max(0, int(np.searchsorted(breaks, hand, side="right")) - 1) for hand in (low, high))
        return tuple(min(column) for column in zip(*levels[first : last + 1], strict=True))

    def _stretches(self, kind: OpeningKind, height: int) -> list[tuple[int, int, Levels]]:
        """Places of the bottom of an opening [units], from and up to, and the best levels of each such stretch.

        An opening of another height with the same contents may be made just so high without moving the hand: a shelf
        from above, the others from below.
        """
        more = hand_height(kind, 0, height, self.problem.rules.hang_allowance)
        found: list[tuple[int, int, Levels]] = []
        for place in range(self.units + 1):
            low = place * self.unit + more
            levels = self._at(kind, low, low + self.unit - 1)
            if found and found[-1][2] == levels:
                found[-1] = (found[-1][0], place + 1, levels)
            else:
                found.append((place, place + 1, levels))
        return found

    # ---- prices ---------------------------------------------------------------------------------------

    def price(self, prices: Floats, bays: bool = True, panel: float = 0.0) -> int:
        """Compute all bays for prices per piece, by group; `bays` and `panel` are not looked at.

        Returns how many numbers were looked at.
        """
        del bays, panel
        self._known.clear()
        for (_, levels), table in self._zoned.items():
            table.price(np.maximum(prices - self._worth_of * np.array(levels, dtype=np.float64)[self._owner_of], 0.0))
        self._each: list[dict[Levels, Floats]] = []
        for (kind, height, _), steps in zip(self._candidates, self._steps, strict=True):
            wanted = {levels for _, _, levels in steps} | ({self._free[kind]} if self._has_more else set())
            self._each.append({levels: self._row(kind, height, levels) for levels in wanted})
        self._placed = self._recursion(is_placed=True)
        if self._has_more:
            self._loose = self._recursion(is_placed=False)
        return (1 + self._has_more) * self._placed.size * len(self._candidates)

    def _row(self, kind: OpeningKind, height: int, levels: Levels) -> Floats:
        table = self._zoned[kind, levels]
        row = table.values[table.row_of[height]][self._columns[kind]]
        return np.where(self._allowed[kind], row, LITTLE)

    def _recursion(self, *, is_placed: bool) -> Floats:
        """The most that openings up to each place hold, by place and size; a rod may be the first from the floor on."""
        best = np.full((self.units + 1, len(self.sizes)), LITTLE)
        start = self._start if is_placed else 0
        block = max(1, min((cost for _, _, cost in self._candidates), default=1))
        for low in range(0, self.units + 1, block):
            high = min(low + block, self.units + 1)
            part = best[low:high]
            if low > 0:
                part[:] = best[low - 1]
            if low <= start < high:
                np.maximum(part[start - low :], 0.0, out=part[start - low :])
            for index, (kind, _, cost) in enumerate(self._candidates):
                for first, end, levels in self._steps_of(index, is_placed):
                    begin, stop = max(first, low - cost, 0), min(end, high - cost)
                    if begin < stop:
                        before = best[begin:stop]
                        if kind is OpeningKind.HANG:
                            before = np.maximum(before, 0.0)
                        into = part[begin + cost - low : stop + cost - low]
                        np.maximum(into, before + self._each[index][levels], out=into)
            np.maximum.accumulate(part, axis=0, out=part)
        return best

    def _steps_of(self, index: int, is_placed: bool) -> Sequence[tuple[int, int, Levels]]:
        if is_placed:
            return self._steps[index]
        return [(0, self.units + 1, self._free[self._candidates[index][0]])]

    # ---- values ---------------------------------------------------------------------------------------

    def of(self, room: Headroom) -> Floats:
        """The value of the best bay of every size in `sizes`, shape (sizes,)."""
        total: Floats = np.maximum(self._placed[self._units_of(room.standing)], 0.0)
        for stretch in room.more:
            total = total + np.maximum(self._loose[self._units_of(stretch)], 0.0)
        return total + self.top_values(room.above)

    def top_values(self, above: int) -> Floats:
        """The value of what lies over the top panel, by size."""
        table = self._zoned[OpeningKind.SHELF, self._top_levels]
        row = table.row_for(above)
        if row < 0:
            return np.zeros(len(self.sizes))
        kind = OpeningKind.SHELF
        return np.where(self._allowed[kind], table.values[row, self._columns[kind]], 0.0)

    def bay(self, room: Headroom, size: int) -> tuple[Pieces, int]:
        """Pieces by group of the best bay for the size of this index, and its inconvenience at least."""
        pieces, cost = Pieces(), 0
        parts = [(self._placed, self._units_of(room.standing), True)]
        parts += [(self._loose, self._units_of(stretch), False) for stretch in room.more]
        for best, units, is_placed in parts:
            for index, levels in self._path(best[:, size], units, size, is_placed):
                kind, height, _ = self._candidates[index]
                row = int(self._zoned[kind, levels].row_of[height])
                cost += self._take(pieces, kind, levels, row, size)
        row = self._zoned[OpeningKind.SHELF, self._top_levels].row_for(room.above)
        if row >= 0 and self._allowed[OpeningKind.SHELF][size]:
            cost += self._take(pieces, OpeningKind.SHELF, self._top_levels, row, size)
        return pieces, cost

    def _take(self, pieces: Pieces, kind: OpeningKind, levels: Levels, row: int, size: int) -> int:
        cost = 0
        for (group, _), number in self._zoned[kind, levels].contents(row, int(self._columns[kind][size])).items():
            pieces[group] += number
            cost += number * int(self._worth_of[group]) * levels[int(self._owner_of[group])]
        return cost

    def _path(self, column: Floats, units: int, size: int, is_placed: bool) -> list[tuple[int, Levels]]:
        """Candidates of an optimal stack up to a place, with their levels."""
        found: list[tuple[int, Levels]] = []
        while column[units] > 0.0:
            units = int(np.searchsorted(column, column[units], side="left"))
            step = self._origin(column, units, size, is_placed)
            found.append((step[0], step[1]))
            units = step[2]
        return found

    def _origin(self, column: Floats, units: int, size: int, is_placed: bool) -> tuple[int, Levels, int]:
        for index, (kind, _, cost) in enumerate(self._candidates):
            if cost > units:
                continue
            before = float(column[units - cost])
            if kind is OpeningKind.HANG:
                before = max(before, 0.0)
            for first, end, levels in self._steps_of(index, is_placed):
                if first <= units - cost < end and before + self._each[index][levels][size] == column[units]:
                    return index, levels, units - cost
        msg = "a stack has no origin"
        raise AssertionError(msg)
