"""The bays that a plain wall may have, by stack and size, and what they hold at given prices.

The best bay of every size comes from what so many units of height hold (`height_knapsack`), on the sizes that matter
(`bay_widths`). Where few stacks are worth enough they are listed (`stack_list`): the value of every listed bay at given
prices is one product of matrices, and any subset of them can be priced exactly, which a recursion cannot.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.sketches import BaySketch, OpeningSketch
from capacity.layout.towers import Tower, groups_of, room_of, towers_of
from capacity.solver.proof.bay_widths import Sizes, limit_of, marked, sizes_of
from capacity.solver.proof.stack_list import StackSpace, useful_towers
from capacity.solver.relaxation.bay_pricing import owners_of
from capacity.solver.relaxation.height_knapsack import filled, traced, useful
from capacity.solver.relaxation.opening_knapsack import Floats, Grid, Ints, OpeningTables, Taken
from capacity.solver.relaxation.wall_pricing import plain_room

NEVER = -1.0e9
"""The value of a bay that may not be."""

MOST_ROWS = 12_000
"""Most stacks of one listing."""

MOST_CANDIDATES, MOST_SIZES = 90, 320
"""Candidates of one owner up to which a wall is looked at, and most sizes."""

PRICING, TABLES, LISTING = 100_000, 4, 3
"""Work for each pricing, and weights on the numbers of the opening tables and of a listing (measured)."""

TABLE_UNITS, UNITS = 3000, 700
"""Most units of width in an opening table, and of height in the recursion; needs are rounded down to a unit."""


@dataclass(slots=True)
class _Block:
    """The bays that one owner's things and what is shared may stand in; `worth` is by candidate and size."""

    towers: tuple[Tower, ...]
    mixed: StackSpace
    wide: StackSpace | None  # for sizes that only some kinds may have
    tables: dict[OpeningKind, OpeningTables]
    columns: dict[OpeningKind, Ints] = field(default_factory=dict)
    rows: list[int] = field(default_factory=list)  # of the table of its kind, by candidate
    worth: Floats = field(default_factory=lambda: np.zeros((0, 0)))
    above: Floats = field(default_factory=lambda: np.zeros(0))  # by size
    best: Floats = field(default_factory=lambda: np.zeros((0, 0)))  # by units of height left, and size


class WallRows:
    """The bays of one plain wall; a bay is a row (owner and stack) and a size. Rows are numbered as they are met."""

    def __init__(self, problem: Problem, run_index: int, blocks: tuple[_Block, ...], sizes: Sizes) -> None:
        self.problem, self.run_index, self.sizes = problem, run_index, sizes
        self.groups = groups_of(problem)
        self.work = 0  # numbers looked at so far, weighted so that some 10^8 take a second
        self._blocks = blocks
        self._room = plain_room(problem, problem.runs[run_index])
        self.keys = sorted({item for block in blocks for item in block.mixed.candidates})
        self._numbers: dict[tuple[int, bytes], int] = {}
        self._counts: list[Ints] = []  # by row, over the candidates of its block
        self._block_of: list[int] = []
        self._matrix: Floats = np.zeros((0, len(self.keys)))  # the same over `keys`, as far as needed
        self._blocks_of: Ints = np.zeros(0, dtype=np.int64)
        self._places = [[self.keys.index(item) for item in block.mixed.candidates] for block in blocks]
        self._known: dict[tuple[int, OpeningKind, int, int], Taken] = {}
        rules = problem.rules
        self._is_narrow = sizes.needs <= min(rules.max_shelf, rules.max_rod)
        costs = [height + rules.panel for _, height in self.keys]
        whole = max(self._room.kicked, self._room.standing)
        self._unit = Grid.unit(costs, max(1, whole), UNITS)
        for block in blocks:
            for kind, table in block.tables.items():
                limit = limit_of(rules, kind)
                rooms = [room_of(rules, kind, min(int(top), limit)) // table.unit for top in sizes.tops]
                block.columns[kind] = np.minimum(np.array(rooms, dtype=np.int64), table.room)

    # ---- prices -----------------------------------------------------------------------------------------

    def price(self, prices: Floats) -> None:
        """Price every opening, by candidate and size; prices are per piece, by group."""
        self._known.clear()
        rules, needs = self.problem.rules, self.sizes.needs
        for block in self._blocks:
            for table in block.tables.values():
                table.price(prices)
            candidates = block.mixed.candidates
            block.rows = [block.tables[kind].row_for(height) for kind, height in candidates]
            block.worth = np.full((len(candidates), len(needs)), NEVER)
            for index, (kind, _) in enumerate(candidates):
                values = block.tables[kind].values[block.rows[index], block.columns[kind]]
                np.copyto(block.worth[index], values, where=needs <= limit_of(rules, kind))
            block.above = np.zeros(len(needs))
            shelf = block.tables[OpeningKind.SHELF]
            top = shelf.row_for(self._room.above)
            if top >= 0:
                values = shelf.values[top, block.columns[OpeningKind.SHELF]]
                np.copyto(block.above, values, where=needs <= rules.max_shelf)
            block.best = np.zeros((0, 0))
            self.work += PRICING + TABLES * sum(table.values.size for table in block.tables.values())

    def best_by_size(self) -> Floats:
        """The value of the best bay of every size, whatever its stack, shape (sizes,)."""
        best: Floats = np.stack([self._best_of(block) for block in self._blocks]).max(axis=0)
        return best

    def _best_of(self, block: _Block) -> Floats:
        if block.best.shape[0] == 0:
            self._recurse(block)
        total: Floats = block.best[self._room.kicked // self._unit].copy()
        for index, left in self._rods_on_the_floor(block):
            np.maximum(total, block.worth[index] + block.best[left], out=total)
        return total + block.above

    def _rods_on_the_floor(self, block: _Block) -> list[tuple[int, int]]:
        """Rods that may stand on the floor, with the units that they leave."""
        costs, units = self._costs(block), self._room.standing // self._unit
        rods = (index for index, (kind, _) in enumerate(block.mixed.candidates) if kind is OpeningKind.HANG)
        return [(index, units - costs[index]) for index in rods if costs[index] <= units]

    def _costs(self, block: _Block) -> dict[int, int]:
        """Units of each opening of a block, by its number."""
        heights = (height + self.problem.rules.panel for _, height in block.mixed.candidates)
        return {index: max(1, height // self._unit) for index, height in enumerate(heights)}

    def _recurse(self, block: _Block) -> None:
        """The most that fits into so many units of height, panels included."""
        units = max(self._room.kicked, self._room.standing) // self._unit
        self.work += (units + 1) * block.worth.size
        costs = self._costs(block)
        used = useful([kind for kind, _ in block.mixed.candidates], block.worth)
        block.best = filled({index: costs[index] for index in used}, block.worth, units)

    def best_row(self, size: int) -> int:
        """The row of the best bay of one size."""
        worths = [float(self._best_of(block)[size]) for block in self._blocks]
        number = max(range(len(worths)), key=lambda index: (worths[index], -index))
        block = self._blocks[number]
        counts = np.zeros(len(block.mixed.candidates), dtype=np.int64)
        left = self._room.kicked // self._unit
        value = worths[number] - float(block.above[size])
        if block.best[left, size] != value:
            for index, rest in self._rods_on_the_floor(block):
                if float(block.worth[index, size] + block.best[rest, size]) >= value - 1e-12:
                    counts[index] += 1
                    left = rest
                    break
        for index in traced(block.best[:, size], self._costs(block), block.worth[:, size], left):
            counts[index] += 1
        return self._number(number, counts)

    # ---- rows -------------------------------------------------------------------------------------------

    def _number(self, block: int, counts: Ints) -> int:
        key = (block, counts.tobytes())
        if key not in self._numbers:
            self._numbers[key] = len(self._counts)
            self._counts.append(counts)
            self._block_of.append(block)
        return self._numbers[key]

    def listed(self, low: int, high: int, needed: Floats) -> Ints | None:
        """The rows that no other beats and that are worth what is needed at one of some sizes at least.

        Parameters
        ----------
        low, high
            First and last size.
        needed
            By size from `low` on; prices are those of the last pricing.
        """
        found: list[int] = []
        narrow = self._is_narrow[low : high + 1]
        for number, block in enumerate(self._blocks):
            worth = block.worth[:, low : high + 1]
            least = needed - block.above[low : high + 1]
            for space, may in ((block.mixed, narrow), (block.wide, ~narrow)):
                if space is None or not may.any():
                    continue
                rows, work = space.listed(worth[:, may], least[may])
                self.work += LISTING * work
                if rows is None or len(rows) + len(found) > MOST_ROWS:
                    return None
                found += [self._number(number, row) for row in rows]
        return np.array(sorted(set(found)), dtype=np.int64)

    def counts(self, rows: Ints) -> Ints:
        """Openings of each of `keys`, shape (rows, keys)."""
        self._gather()
        return self._matrix[rows].astype(np.int64)

    def _gather(self) -> None:
        known = len(self._matrix)
        if known < len(self._counts):
            more = np.zeros((len(self._counts) - known, len(self.keys)))
            for index, (block, counts) in enumerate(zip(self._block_of[known:], self._counts[known:], strict=True)):
                more[index, self._places[block]] = counts
            self._matrix = np.concatenate([self._matrix, more])
            self._blocks_of = np.array(self._block_of, dtype=np.int64)

    def worth(self, rows: Ints, low: int, high: int) -> Floats:
        """The value of each bay of these rows and of the sizes `low` to `high`, shape (rows, sizes)."""
        self._gather()
        self.work += len(rows) * (high - low + 1) * len(self.keys)
        found = np.empty((len(rows), high - low + 1))
        blocks = self._blocks_of[rows]
        for number, block in enumerate(self._blocks):
            mine = np.flatnonzero(blocks == number)
            if len(mine):
                counts = self._matrix[np.ix_(rows[mine], np.array(self._places[number], dtype=np.int64))]
                found[mine] = counts @ block.worth[:, low : high + 1] + block.above[low : high + 1]
        return found

    def contents(self, row: int, size: int) -> Counter[int]:
        """Pieces by group in the best contents of one bay at the last prices."""
        number = self._block_of[row]
        block, total = self._blocks[number], Counter[int]()
        for index, times in enumerate(self._counts[row].tolist()):
            if times:
                kind = block.mixed.candidates[index][0]
                taken = self._taken(number, kind, block.rows[index], int(block.columns[kind][size]))
                for (group, _), pieces in taken.items():
                    total[group] += times * pieces
        shelf = OpeningKind.SHELF
        top = block.tables[shelf].row_for(self._room.above)
        if top >= 0 and self.sizes.needs[size] <= self.problem.rules.max_shelf:
            for (group, _), pieces in self._taken(number, shelf, top, int(block.columns[shelf][size])).items():
                total[group] += pieces
        return total

    def _taken(self, number: int, kind: OpeningKind, row: int, column: int) -> Taken:
        key = (number, kind, row, column)
        if key not in self._known:
            self._known[key] = self._blocks[number].tables[kind].contents(row, column)
        return self._known[key]

    def sketch(self, row: int, size: int, is_bound: bool) -> BaySketch:
        """One bay without contents: as wide as its size may be for a bound, else as narrow as it may be."""
        width = int(self.sizes.tops[size] if is_bound else self.sizes.needs[size])
        candidates = self._blocks[self._block_of[row]].mixed.candidates
        pieces = [
            OpeningSketch(kind, height)
            for (kind, height), times in zip(candidates, self._counts[row].tolist(), strict=True)
            for _ in range(times)
        ]
        rods = [piece for piece in pieces if piece.kind is OpeningKind.HANG]
        floor = max(rods, key=lambda piece: piece.height) if rods else None
        if floor is not None:
            pieces.remove(floor)
        return BaySketch(width, floor, tuple(pieces))


def wall_rows(problem: Problem, run_index: int, width: int) -> WallRows | None:
    """The bays of a wall with so much free width [ticks]; None when it is not plain, or candidates are too many."""
    run, rules = problem.runs[run_index], problem.rules
    room = plain_room(problem, run)
    if not run.is_plain or room.kicked < 0:
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
    grid = Grid(is_bound=True, step=1, most=TABLE_UNITS, tall=1)
    blocks = []
    for owner in owners_of(problem):
        mine = tuple(tower for tower in towers if not rules.owners_apart or groups[tower.group].owner in (None, owner))
        if len({(tower.kind, tower.need) for tower in mine}) > MOST_CANDIDATES:
            return None
        tables = {
            kind: OpeningTables(
                groups, [t for t in mine if t.kind is kind], grid, room_of(rules, kind, limit_of(rules, kind)), highest
            )
            for kind in OpeningKind
        }
        mixed = StackSpace(groups, mine, room, rules.panel)
        has_wide = rules.max_shelf != rules.max_rod
        blocks.append(
            _Block(mine, mixed, StackSpace(groups, mine, room, rules.panel, wide) if has_wide else None, tables)
        )
    each = [(block.towers, block.tables) for block in blocks]
    sizes = sizes_of(rules, groups, each, grid, width - 2 * rules.panel, MOST_SIZES)
    sizes = marked(rules, sizes) if problem.has_marked_widths(run) else sizes
    if len(sizes.needs) == 0:
        return None
    return WallRows(problem, run_index, tuple(blocks), sizes)
