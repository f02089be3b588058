"""What one opening can hold at given prices: a bounded knapsack over its width, for every height at once.

For one kind of opening, one depth and one owner. Row h of a table belongs to the h-th candidate height, column c
to c units of room; entry (h, c) is the largest total price of contents that stand, hang or lie there. The demand
of a pile is respected within the opening. All columns of one pile that are equally wide are joined with those of
other piles into one stage, sorted by value, so that the work depends on the number of distinct widths only.
Formulation: nested one-dimensional knapsacks of guillotine cutting, Gilmore and Gomory (1965), Operations
Research 13, 94-120.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import gcd

import numpy as np
import numpy.typing as npt

from capacity.layout.towers import Group, Tower

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]
NOTHING = 1.0e-9
"""A price up to this counts as none."""

Taken = dict[tuple[int, bool], int]
"""Pieces by group and turning."""


@dataclass(frozen=True, slots=True)
class Grid:
    """How lengths become whole units.

    `is_bound`: needs are rounded down, which a bound may do; else up, which a design must. Rooms are rounded down
    in both. `step` is the unit of bay widths [ticks]; `most` the most units of width in one table, `tall` the most
    units of height. A length that is a multiple of the unit is exact either way.
    """

    is_bound: bool
    step: int
    most: int = 1500
    tall: int = 1500

    def need(self, length: int, unit: int) -> int:
        """A need in units."""
        return length // unit if self.is_bound else -(-length // unit)

    @staticmethod
    def unit(lengths: Sequence[int], room: int, most: int) -> int:
        """The greatest common divisor of lengths, or the least multiple of it of which few enough fill the room."""
        exact = gcd(*lengths) if lengths else 1
        return exact * max(1, -(-room // (exact * most)))


@dataclass(slots=True)
class _Stage:
    """Columns of one width: `pieces` (heights x columns), `group` and turning of each.

    `priced` are the columns whose piles have a price, `order` the same by row, the most value first.
    """

    width: int
    pieces: Ints
    group: Ints
    turned: tuple[bool, ...]
    prefix: Floats = field(default_factory=lambda: np.zeros((0, 0)))
    prices: Floats = field(default_factory=lambda: np.zeros(0))
    rows: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    priced: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    order: dict[int, Ints] = field(default_factory=dict)

    def apply(self, table: Floats, prices: Floats, rows: Ints) -> Floats:
        self.prices, self.rows = prices, rows
        self.order.clear()
        priced = self.priced = np.flatnonzero(prices[self.group] > NOTHING)
        if len(priced) == 0:
            return table
        values = self.pieces[np.ix_(rows, priced)] * prices[self.group[priced]]
        most = min(values.shape[1], (table.shape[1] - 1) // self.width)
        ordered = -np.sort(-values, axis=1)[:, :most]
        self.prefix = np.cumsum(ordered, axis=1)
        result = table.copy()
        for number in range(1, most + 1):
            if not ordered[:, number - 1].any():
                break
            shift = number * self.width
            np.maximum(result[:, shift:], table[:, :-shift] + self.prefix[:, number - 1, None], out=result[:, shift:])
        return result

    def undo(self, row: int, before: Floats, room: int, value: float, taken: Taken) -> int:
        """Room that is left after taking out the columns that this stage put into an optimal filling."""
        for number in range(1, self.prefix.shape[1] + 1):
            left = room - number * self.width
            if left >= 0 and before[row, left] + self.prefix[row, number - 1] == value:
                for column in self._best_first(row)[:number]:
                    pieces = int(self.pieces[self.rows[row], column])
                    _add(taken, int(self.group[column]), self.turned[column], pieces)
                return left
        msg = "a table entry has no origin"
        raise AssertionError(msg)

    def _best_first(self, row: int) -> Ints:
        """The columns that have a price, those of most value at this height first."""
        if row not in self.order:
            values = self.pieces[self.rows[row], self.priced] * self.prices[self.group[self.priced]]
            self.order[row] = self.priced[np.argsort(-values, kind="stable")]
        return self.order[row]


@dataclass(slots=True)
class _Choice:
    """A pile that may stand in two turnings, neither better in all.

    Each option is a width with the pieces by height that stand in it unturned and turned.
    """

    group: int
    options: tuple[tuple[int, Ints, Ints], ...]
    price: float = 0.0
    rows: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))

    def apply(self, table: Floats, prices: Floats, rows: Ints) -> Floats:
        self.price, self.rows = float(prices[self.group]), rows
        if self.price <= NOTHING:
            return table
        result = table.copy()
        for width, plain, turned in self.options:
            if width < table.shape[1]:
                worth = ((plain + turned)[rows] * self.price)[:, None]
                np.maximum(result[:, width:], table[:, : table.shape[1] - width] + worth, out=result[:, width:])
        return result

    def undo(self, row: int, before: Floats, room: int, value: float, taken: Taken) -> int:
        for width, plain, turned in self.options:
            at = self.rows[row]
            pieces = int(plain[at] + turned[at])
            if pieces and width <= room and before[row, room - width] + pieces * self.price == value:
                _add(taken, self.group, False, int(plain[at]))
                _add(taken, self.group, True, int(turned[at]))
                return room - width
        msg = "a table entry has no origin"
        raise AssertionError(msg)


def _add(taken: Taken, group: int, turned: bool, pieces: int) -> None:
    if pieces:
        taken[(group, turned)] = taken.get((group, turned), 0) + pieces


class OpeningTables:
    """The tables of one kind of opening.

    Parameters
    ----------
    groups, towers
        The piles, and the towers of this kind, depth and owner.
    grid
        How lengths are rounded.
    room
        The most room that any opening of this kind has [ticks].
    highest
        The largest clear height that any opening may have [ticks].
    """

    def __init__(self, groups: Sequence[Group], towers: Sequence[Tower], grid: Grid, room: int, highest: int) -> None:
        towers = [tower for tower in towers if tower.need <= highest and tower.width <= room]
        self.heights = sorted({tower.need for tower in towers})
        self.unit = grid.unit([tower.width for tower in towers], room, grid.most)
        self.room = room // self.unit
        self.values = np.zeros((len(self.heights), self.room + 1))
        self.row_of: Ints = np.zeros(len(self.heights), dtype=np.int64)
        self._rises = self._rising(towers)
        self._tables: list[Floats] = []
        self._stages: list[_Stage | _Choice] = self._make_stages(groups, towers, grid)

    def _make_stages(self, groups: Sequence[Group], towers: Sequence[Tower], grid: Grid) -> list[_Stage | _Choice]:
        lines: dict[tuple[int, bool], list[Tower]] = defaultdict(list)
        for tower in towers:
            lines[(tower.group, tower.turned)].append(tower)
        widths: dict[int, list[tuple[int, bool, Ints]]] = defaultdict(list)
        stages: list[_Stage | _Choice] = []
        for (group, turned), line in sorted(lines.items()):
            best = self._pieces_by_height(line)
            width = grid.need(line[0].width, self.unit)
            if (group, not turned) in lines:
                if not turned:
                    other = lines[(group, True)]
                    stages.append(
                        self._choice(
                            group,
                            groups[group].count,
                            (width, best),
                            (grid.need(other[0].width, self.unit), self._pieces_by_height(other)),
                        )
                    )
                continue
            widths[width].append((group, turned, best))
        for width, members in sorted(widths.items()):
            stages.append(self._stage(groups, width, members))
        return stages

    def _rising(self, towers: Sequence[Tower]) -> list[tuple[int, Ints]]:
        """For each group the indices of the heights at which one of its towers begins to fit."""
        found: dict[int, set[int]] = defaultdict(set)
        for tower in towers:
            found[tower.group].add(self.heights.index(tower.need))
        return [(group, np.array(sorted(rises), dtype=np.int64)) for group, rises in sorted(found.items())]

    def _pieces_by_height(self, line: Sequence[Tower]) -> Ints:
        """Most pieces in one column at each candidate height; 0 where it is too low."""
        pieces = np.zeros(len(self.heights), dtype=np.int64)
        for index, height in enumerate(self.heights):
            pieces[index] = max((tower.pieces for tower in line if tower.need <= height), default=0)
        return pieces

    def _stage(self, groups: Sequence[Group], width: int, members: Sequence[tuple[int, bool, Ints]]) -> _Stage:
        most = self.room // max(width, 1)
        columns: list[Ints] = []
        owner: list[int] = []
        turnings: list[bool] = []
        for group, turned, best in members:
            count = groups[group].count
            least = int(best[best > 0].min()) if best.any() else 1
            for number in range(min(most, -(-count // least))):
                columns.append(np.clip(count - number * best, 0, best))
                owner.append(group)
                turnings.append(turned)
        pieces = np.stack(columns, axis=1) if columns else np.zeros((len(self.heights), 0), dtype=np.int64)
        return _Stage(max(width, 1), pieces, np.array(owner, dtype=np.int64), tuple(turnings))

    def _choice(self, group: int, count: int, one: tuple[int, Ints], two: tuple[int, Ints]) -> _Choice:
        options: list[tuple[int, Ints, Ints]] = []
        for first in range(self.room // max(one[0], 1) + 1):
            plain = np.minimum(count, first * one[1])
            for second in range((self.room - first * one[0]) // max(two[0], 1) + 1):
                turned = np.minimum(count - plain, second * two[1])
                options.append((first * one[0] + second * two[0], plain, turned))
        kept: list[tuple[int, Ints, Ints]] = []
        best = np.zeros(len(self.heights), dtype=np.int64)
        for width, plain, turned in sorted(options, key=lambda option: option[0]):
            if (plain + turned > best).any():
                kept.append((width, plain, turned))
                best = np.maximum(best, plain + turned)
        return _Choice(group, tuple(kept))

    def price(self, prices: Floats) -> int:
        """Compute all tables for prices per piece, by group; returns how many numbers they have.

        Heights that hold no more than the next lower one share its row.
        """
        self.row_of = self._rows_for(prices)
        rows = np.flatnonzero(np.diff(self.row_of, prepend=-1))
        table = np.zeros((len(rows), self.room + 1))
        self._tables = [table]
        for stage in self._stages:
            table = stage.apply(table, prices, rows)
            self._tables.append(table)
        self.values = table
        return table.size * len(self._tables)

    def _rows_for(self, prices: Floats) -> Ints:
        """The row of each candidate height: a new one where some pile that has a price stands higher."""
        if not self.heights:
            return np.zeros(0, dtype=np.int64)
        is_new = np.zeros(len(self.heights), dtype=bool)
        is_new[0] = True
        for group, heights in self._rises:
            if prices[group] > NOTHING:
                is_new[heights] = True
        return np.cumsum(is_new) - 1

    def row_for(self, height: int) -> int:
        """The row for the largest candidate height that is at most `height`; -1 when there is none."""
        index = int(np.searchsorted(self.heights, height, side="right")) - 1
        return int(self.row_of[index]) if index >= 0 else -1

    def contents(self, row: int, room: int) -> Taken:
        """Pieces in an optimal filling of one opening at the last prices."""
        taken: Taken = {}
        for index in range(len(self._stages) - 1, -1, -1):
            after, before = self._tables[index + 1], self._tables[index]
            value = after[row, room]
            if before[row, room] != value:
                room = self._stages[index].undo(row, before, room, float(value), taken)
        return taken
