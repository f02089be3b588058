"""All bays that a plain wall may have, listed by stack and size, and what they hold at given prices.

Where a household is small the stacks that no other beats (`stacks`) and the sizes that matter (`bay_sizes`) are few
enough to be listed. The value of every listed bay at given prices is then one product of matrices, and any subset
of them can be priced exactly, which a recursion over elevations cannot.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from capacity.bay_sizes import Sizes, limit_of, sizes_of
from capacity.bay_values import owners_of
from capacity.building import Piece, Sketch
from capacity.opening_tables import Floats, Grid, Ints, OpeningTables, Taken
from capacity.problem import OpeningKind, Problem
from capacity.stacks import Stacks, stacks_of, useful_towers
from capacity.stretches import plain_room
from capacity.towers import groups_of, room_of, towers_of

NEVER = -1.0e9
"""The value of a bay that may not be."""

MOST_STACKS, MOST_SIZES = 6000, 320
"""Stacks of one owner and sizes up to which a wall is listed."""

TABLE_UNITS = 3000
"""Most units of width in an opening table; needs are rounded down to a unit, which bounds may do."""


@dataclass(slots=True)
class _Block:
    """The bays that one owner's things and what is shared may stand in: rows `first` and on."""

    first: int
    stacks: Stacks
    tables: dict[OpeningKind, OpeningTables]
    columns: dict[OpeningKind, Ints]
    rows: Ints  # of the table of its kind, by candidate
    worth: Floats  # by candidate and size
    above: Floats  # by size


class WallRows:
    """The bays of one plain wall; a bay is a row (owner and stack) and a size.

    `counts` has a row for each, and a column for each candidate of any owner, so that rows can be told apart by it.
    """

    def __init__(self, problem: Problem, run_index: int, blocks: Sequence[_Block], sizes: Sizes) -> None:
        self.problem, self.run_index, self.sizes = problem, run_index, sizes
        self.groups = groups_of(problem)
        self._blocks = tuple(blocks)
        self.keys = sorted({item for block in blocks for item in block.stacks.candidates})
        total = sum(len(block.stacks.counts) for block in blocks)
        self.counts = np.zeros((total, len(self.keys)), dtype=np.int64)
        self.block_of = np.zeros(total, dtype=np.int64)
        self.is_mixed = np.zeros(total, dtype=bool)
        for number, block in enumerate(blocks):
            rows = slice(block.first, block.first + len(block.stacks.counts))
            at = [self.keys.index(item) for item in block.stacks.candidates]
            self.counts[rows, at] = block.stacks.counts
            self.block_of[rows] = number
            self.is_mixed[rows] = block.stacks.is_mixed
        rules = problem.rules
        self._is_narrow = sizes.needs <= min(rules.max_shelf, rules.max_rod)
        self._known: dict[tuple[int, OpeningKind, int, int], Taken] = {}

    def price(self, prices: Floats) -> None:
        """Price every opening, by candidate and size; prices are per piece, by group."""
        self._known.clear()
        rules, run = self.problem.rules, self.problem.runs[self.run_index]
        above = run.ceiling_left - self.problem.top
        for block in self._blocks:
            for table in block.tables.values():
                table.price(prices)
            for index, (kind, height) in enumerate(block.stacks.candidates):
                table = block.tables[kind]
                row = table.row_for(height)
                block.rows[index] = row
                may_be = self.sizes.needs <= limit_of(rules, kind)
                block.worth[index] = np.where(may_be, table.values[row, block.columns[kind]], NEVER)
            shelf = block.tables[OpeningKind.SHELF]
            top = shelf.row_for(above)
            may_be = self.sizes.needs <= rules.max_shelf
            block.above = (
                np.where(may_be, shelf.values[top, block.columns[OpeningKind.SHELF]], 0.0)
                if top >= 0
                else (np.zeros(len(self.sizes.needs)))
            )

    def worth(self, rows: Ints, low: int, high: int) -> Floats:
        """The value of each bay of these rows and of the sizes `low` to `high`, shape (rows, sizes)."""
        found = np.empty((len(rows), high - low + 1))
        blocks = self.block_of[rows]
        for number, block in enumerate(self._blocks):
            mine = blocks == number
            if mine.any():
                counts = block.stacks.counts[rows[mine] - block.first]
                found[mine] = counts @ block.worth[:, low : high + 1] + block.above[low : high + 1]
        wide_only = ~self.is_mixed[rows]
        if wide_only.any():
            found[wide_only] += np.where(self._is_narrow[low : high + 1], NEVER, 0.0)
        return found

    def contents(self, row: int, size: int) -> Counter[int]:
        """Pieces by group in the best contents of one bay at the last prices."""
        number = int(self.block_of[row])
        block, total = self._blocks[number], Counter[int]()
        kinds = block.stacks.candidates
        for index, times in enumerate(block.stacks.counts[row - block.first].tolist()):
            if times:
                kind = kinds[index][0]
                taken = self._taken(number, kind, int(block.rows[index]), int(block.columns[kind][size]))
                for (group, _), pieces in taken.items():
                    total[group] += times * pieces
        run = self.problem.runs[self.run_index]
        top = block.tables[OpeningKind.SHELF].row_for(run.ceiling_left - self.problem.top)
        if top >= 0 and self.sizes.needs[size] <= self.problem.rules.max_shelf:
            column = int(block.columns[OpeningKind.SHELF][size])
            for (group, _), pieces in self._taken(number, OpeningKind.SHELF, top, column).items():
                total[group] += pieces
        return total

    def _taken(self, number: int, kind: OpeningKind, row: int, column: int) -> Taken:
        key = (number, kind, row, column)
        if key not in self._known:
            self._known[key] = self._blocks[number].tables[kind].contents(row, column)
        return self._known[key]

    def sketch(self, row: int, size: int, is_bound: bool) -> Sketch:
        """One bay without contents: as wide as its size may be for a bound, else as narrow as it may be."""
        width = int(self.sizes.tops[size] if is_bound else self.sizes.needs[size])
        pieces = [
            Piece(kind, height)
            for (kind, height), times in zip(self.keys, self.counts[row].tolist(), strict=True)
            for _ in range(times)
        ]
        rods = [piece for piece in pieces if piece.kind is OpeningKind.HANG]
        floor = max(rods, key=lambda piece: piece.height) if rods else None
        if floor is not None:
            pieces.remove(floor)
        return Sketch(width, floor, tuple(pieces))


def wall_rows(problem: Problem, run_index: int, width: int) -> WallRows | None:
    """List the bays of a wall with so much free width [ticks]; None when it is not plain, one bay, or has too many."""
    run, rules = problem.runs[run_index], problem.rules
    room = plain_room(problem, run)
    if not run.is_plain or run.fixed or room.kicked < 0:
        return None
    groups = groups_of(problem)
    highest = max(room.standing, room.above)
    towers = tuple(
        tower
        for tower in useful_towers(groups, towers_of(problem, groups, run.spot))
        if tower.need <= highest and tower.width <= room_of(rules, tower.kind, limit_of(rules, tower.kind))
    )
    longest = max(rules.max_shelf, rules.max_rod)
    wide = frozenset(kind for kind in OpeningKind if limit_of(rules, kind) == longest)
    wide = frozenset() if rules.max_shelf == rules.max_rod else wide
    grid = Grid(is_bound=True, step=1, most=TABLE_UNITS, tall=1)
    parts = []
    for owner in owners_of(problem):
        mine = [tower for tower in towers if not rules.owners_apart or groups[tower.group].owner in (None, owner)]
        stacks = stacks_of(groups, mine, room, rules.panel, wide, MOST_STACKS)
        if stacks is None:
            return None
        tables = {
            kind: OpeningTables(
                groups, [t for t in mine if t.kind is kind], grid, room_of(rules, kind, limit_of(rules, kind)), highest
            )
            for kind in OpeningKind
        }
        parts.append((mine, stacks, tables))
    each = [(mine, tables) for mine, _, tables in parts]
    sizes = sizes_of(rules, groups, each, grid, width - 2 * rules.panel, MOST_SIZES)
    if len(sizes.needs) == 0:
        return None
    blocks, first = [], 0
    for _, stacks, tables in parts:
        blocks.append(_block(problem, first, stacks, tables, sizes))
        first += len(stacks.counts)
    return WallRows(problem, run_index, blocks, sizes)


def _block(
    problem: Problem, first: int, stacks: Stacks, tables: dict[OpeningKind, OpeningTables], sizes: Sizes
) -> _Block:
    columns = {}
    for kind, table in tables.items():
        limit = limit_of(problem.rules, kind)
        rooms = [room_of(problem.rules, kind, min(int(top), limit)) // table.unit for top in sizes.tops]
        columns[kind] = np.minimum(np.array(rooms, dtype=np.int64), table.room)
    shape = (len(stacks.candidates), len(sizes.needs))
    rows = np.zeros(shape[0], dtype=np.int64)
    return _Block(first, stacks, tables, columns, rows, np.zeros(shape), np.zeros(shape[1]))
