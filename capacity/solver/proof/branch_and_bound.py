"""The proof on a small closet: branch and bound over the bays of one plain wall.

For each number of bays all rows of bays are one box (`node_relaxation`). The box with the largest bound is split in two
or three, by the size of one bay or by how many of its openings of a kind are so high or higher, until every box is
worth no more than the best layout, or each of its bays has one stack and one size and is filled exactly. The larger
bay comes first in every row, and rows in which a bay could be widened need not be looked at. All is counted, so that
it repeats; where the count runs out the largest bound of what is left is the bound.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from capacity.layout.corners import corner_choices, ends_of
from capacity.layout.fit_rules import violations
from capacity.layout.layout import Layout
from capacity.layout.problem import Problem
from capacity.layout.sketches import build_wall
from capacity.solver.effort import Effort
from capacity.solver.filling.exact import Filling, fill
from capacity.solver.proof.bay_list import WallRows, wall_rows
from capacity.solver.proof.node_relaxation import SURE, ColumnLevel, Node, NodeBay, RowRelaxation
from capacity.solver.relaxation.opening_knapsack import Floats, Ints

WORK, MORE_WORK = 300_000_000, 1_500_000_000
"""Work (numbers looked at, see `WallRows`) before the rounds of a search, and after them."""

LOOKED_AT = 3.2e-9
"""Work for an effort that a number looked at counts for."""

PILES, PIECES = 10, 64
"""Most piles and pieces with which the proof has ever succeeded; with more it is not begun."""

BOX = 200_000
"""Work for each box beside its pricings."""

ROOT_ROUNDS, ROUNDS = 40, 8
"""Pricings for a number of bays, and for a box within it."""

LEAF_WORK = 0.3
"""Deterministic work for the exact filling of one row of bays."""


@dataclass(frozen=True, slots=True)
class Proof:
    """The bound that was proven, and the best layout found on the way if it beats the value given."""

    bound: int
    layout: Layout | None


def prover_of(problem: Problem, known: int, prices: Floats) -> Prover | None:
    """A prover for one plain wall and few things; None where there is more, or a slope, blocked part or budget.

    Parameters
    ----------
    problem
        The facts. None too when the bays are too many to be listed (`wall_rows`).
    known
        A bound that holds already.
    prices
        Prices per piece to begin with, by group.
    """
    if len(problem.runs) != 1 or problem.runs[0].fixed or problem.most_panel:
        return None
    if len(problem.things) > PILES or sum(thing.count for thing in problem.things) > PIECES:
        return None
    start, end = ends_of(problem, 0, next(iter(corner_choices(problem))))
    wall = wall_rows(problem, 0, end - start)
    return None if wall is None else Prover(wall, end - start, known, prices)


class Prover:
    """The boxes that are left, and what is known so far; may be asked again and goes on from there."""

    def __init__(self, wall: WallRows, width: int, known: int, prices: Floats) -> None:
        self.wall, self.known, self.value = wall, known, 0
        self.pushed = 0
        self.layout: Layout | None = None
        self.heap: list[tuple[float, int, int, Node]] = []
        self.unclosed: list[int] = []
        self.filled: dict[tuple[tuple[int, int], ...], Filling] = {}
        self.relaxations: dict[int, RowRelaxation] = {}
        rules = wall.problem.rules
        for number in range(1, max(0, (width - rules.panel) // (rules.min_bay + rules.panel)) + 1):
            self.relaxations[number] = RowRelaxation(wall, width, number)
            every = NodeBay(None, 0, len(wall.sizes.needs) - 1)
            self._push(number, Node((every,) * number, float(known), prices))

    @property
    def enough(self) -> float:
        """The value that a box must reach to be worth a look."""
        return self.value + 1 - SURE

    def run(self, work: int, value: int, effort: Effort) -> Proof:
        """Do some more work, on the box of the largest bound first; `value` is what the best known layout stores."""
        if value > self.value:
            self.value, self.layout = value, None
        self.effort = effort
        begin = self.wall.work
        end = begin + work * effort.factor
        while self.heap and self.value < self.bound and self.wall.work < end and not effort.is_over:
            _, _, number, box = heapq.heappop(self.heap)
            if box.bound >= self.enough:
                self._open(number, box)
        effort.spend(LOOKED_AT * (self.wall.work - begin))
        return Proof(self.bound, self.layout)

    @property
    def bound(self) -> int:
        """The bound as far as it is proven."""
        first = [int(-self.heap[0][0] + SURE)] if self.heap else []
        return min(self.known, max([self.value, *self.unclosed, *first]))

    def _push(self, number: int, box: Node) -> None:
        narrowed = self._narrowed(number, box)
        if narrowed is not None and narrowed.bound >= self.enough:
            self.pushed += 1
            heapq.heappush(self.heap, (-narrowed.bound, self.pushed, number, narrowed))

    def _narrowed(self, number: int, box: Node) -> Node | None:
        """The box with sizes in order and no wider than the wall allows; None when nothing is left of it."""
        relaxation, needs = self.relaxations[number], self.wall.sizes.needs
        low, high = [bay.low for bay in box.bays], [bay.high for bay in box.bays]
        changed = True
        while changed:
            before = (tuple(low), tuple(high))
            for index in range(1, number):
                high[index] = min(high[index], high[index - 1])
                low[-index - 1] = max(low[-index - 1], low[-index])
            least = sum(int(needs[size]) for size in low)
            for index in range(number):
                most = relaxation.free - least + int(needs[low[index]])
                high[index] = min(high[index], int(np.searchsorted(needs, most, side="right")) - 1)
            if any(a > b for a, b in zip(low, high, strict=True)):
                return None
            changed = before != (tuple(low), tuple(high))
        if self._can_widen(relaxation, low, high):
            return None
        bays = [
            bay if (bay.low, bay.high) == (a, b) else replace(bay, low=a, high=b)
            for bay, a, b in zip(box.bays, low, high, strict=True)
        ]
        for index in range(number - 1):  # of two bays of one size the one with the lower row comes first
            one, two = bays[index], bays[index + 1]
            if one.rows is None or two.rows is None or not one.low == one.high == two.low == two.high:
                continue
            first, second = one.rows[one.rows <= two.rows[-1]], two.rows[two.rows >= one.rows[0]]
            if len(first) == 0 or len(second) == 0:
                return None
            bays[index], bays[index + 1] = replace(one, rows=first), replace(two, rows=second)
        return replace(box, bays=tuple(bays))

    def _can_widen(self, relaxation: RowRelaxation, low: list[int], high: list[int]) -> bool:
        """Whether in every row of a box one bay can be widened without a kind of opening getting too long."""
        needs, rules = self.wall.sizes.needs, self.wall.problem.rules
        spare = relaxation.free - sum(int(needs[size]) for size in high)
        narrow = min(rules.max_shelf, rules.max_rod)
        return any(
            last + 1 < len(needs)
            and int(needs[last + 1] - needs[last]) <= spare
            and not needs[first] <= narrow < needs[last + 1]
            for first, last in zip(low, high, strict=True)
        )

    # ---- one box ----------------------------------------------------------------------------------------

    def _open(self, number: int, box: Node) -> None:
        self.wall.work += BOX
        is_root = box.bound >= self.known
        box, chosen = self.relaxations[number].bound(box, ROOT_ROUNDS if is_root else ROUNDS, self.enough)
        if box.bound < self.enough:
            return
        narrowed = self._narrowed(number, box)
        if narrowed is None:
            return
        box = narrowed
        single = [self._single(bay) for bay in box.bays]
        if all(single):
            filling = self._fill(tuple(item for item in single if item))
            if filling.bound > self.value:
                self.unclosed.append(min(filling.bound, int(box.bound + SURE)))
            return
        for child in self._split(number, box, chosen):
            self._push(number, child)

    def _single(self, bay: NodeBay) -> tuple[int, int] | None:
        if bay.rows is None or len(bay.rows) > 1 or bay.low < bay.high:
            return None
        return int(bay.rows[0]), bay.low

    def _fill(self, row: tuple[tuple[int, int], ...]) -> Filling:
        """Fill one row of bays exactly; a better layout is kept."""
        row = tuple(sorted(row))
        if row not in self.filled:
            found = self._filling(row, is_bound=False)
            if found.value > self.value and not violations(self.wall.problem, found.layout):
                self.value, self.layout = found.value, found.layout
            self.filled[row] = found if self.wall.sizes.is_exact else self._filling(row, is_bound=True)
        return self.filled[row]

    def _filling(self, row: tuple[tuple[int, int], ...], is_bound: bool) -> Filling:
        sketches = [self.wall.sketch(*bay, is_bound) for bay in row]
        layout = Layout((build_wall(self.wall.problem, 0, (), sketches),), ())
        return fill(self.wall.problem, layout, self.effort, LEAF_WORK)

    def _split(self, number: int, box: Node, chosen: tuple[tuple[ColumnLevel, ...], ...]) -> Iterable[Node]:
        """Two or three boxes that hold all of this one, and not all what the linear program chose."""
        options: list[tuple[float, int, tuple[int, int] | None, float]] = []
        for index, (bay, used) in enumerate(zip(box.bays, chosen, strict=False)):
            used = self._alive(bay, used)
            total = sum(item.level for item in used)
            if total <= 0.0:
                continue
            levels = np.array([item.level for item in used]) / total
            sizes = np.array([float(item.size) for item in used])
            middle = float(levels @ sizes)
            below = float(levels[sizes <= np.floor(middle)].sum())
            if sizes.min() < sizes.max():
                options.append((1.0 + min(below, 1.0 - below), index, None, middle))
            if bay.rows is None:
                continue
            cumulative = self._cumulative(np.array([item.row for item in used]))
            means = levels @ cumulative
            for key in np.flatnonzero(cumulative.min(axis=0) < cumulative.max(axis=0)).tolist():
                low = float(levels[cumulative[:, key] <= np.floor(means[key])].sum())
                options.append((min(low, 1.0 - low), index, (key, int(np.floor(means[key]))), 0.0))
        options = [option for option in options if option[0] > 1e-6]
        if not options:
            return self._cut_off(box, chosen)
        _, index, split, middle = max(options, key=lambda option: (option[0], -option[1]))
        bay = box.bays[index]
        if split is None:
            at = min(max(int(np.floor(middle)), bay.low), bay.high - 1)
            parts = [replace(bay, high=at), replace(bay, low=at + 1)]
        else:
            rows = _rows(bay)
            column = self._cumulative(rows)[:, split[0]]
            parts = [replace(bay, rows=rows[column <= split[1]]), replace(bay, rows=rows[column > split[1]])]
        return self._with(box, index, parts)

    def _alive(self, bay: NodeBay, used: tuple[ColumnLevel, ...]) -> tuple[ColumnLevel, ...]:
        """What the linear program chose, as far as the bay may still be so."""
        alive = None if bay.rows is None else set(bay.rows.tolist())
        return tuple(c for c in used if (alive is None or c.row in alive) and bay.low <= c.size <= bay.high)

    def _cut_off(self, box: Node, chosen: tuple[tuple[ColumnLevel, ...], ...]) -> Iterable[Node]:
        """Where the linear program uses one bay each: fill these, then part them from the rest."""
        picks: list[tuple[int | None, int]] = []
        for index, bay in enumerate(box.bays):
            used = self._alive(bay, chosen[index]) if index < len(chosen) else ()
            best = max(used, key=lambda item: item.level, default=None)
            if best is not None:
                picks.append((best.row, best.size))
            else:
                picks.append((None if bay.rows is None else int(bay.rows[0]), bay.high))
        needs = self.wall.sizes.needs
        row_of_bays = tuple((row, size) for row, size in picks if row is not None)
        if len(row_of_bays) == len(picks) and sum(int(needs[size]) for _, size in picks) <= self.free(len(picks)):
            self._fill(row_of_bays)
        by_size = max(range(len(picks)), key=lambda i: (box.bays[i].rows is None, box.bays[i].high - box.bays[i].low))
        many = max(range(len(picks)), key=lambda i: len(_rows(box.bays[i])))
        if len(_rows(box.bays[many])) > 1:
            return self._with(box, many, self._parted(box.bays[many], picks[many][0]))
        bay, size = box.bays[by_size], picks[by_size][1]
        if bay.low == bay.high:  # nothing to part: a bay whose stacks are too many to be listed
            self.unclosed.append(int(box.bound + SURE))
            return []
        parts = [replace(bay, low=size, high=size)]
        parts += [replace(bay, high=size - 1)] if size > bay.low else []
        parts += [replace(bay, low=size + 1)] if size < bay.high else []
        return self._with(box, by_size, parts)

    def _parted(self, bay: NodeBay, row: int | None) -> list[NodeBay]:
        """The rows with as many openings of some kind and height as one row has, with fewer, and with more."""
        rows = _rows(bay)
        cumulative = self._cumulative(rows)
        mine = cumulative[rows.tolist().index(row)] if row in rows.tolist() else cumulative[0]
        same = (cumulative == mine).sum(axis=0)
        key = int(np.where(same == len(rows), 2 * len(rows), np.abs(same - len(rows) / 2)).argmin())
        column = cumulative[:, key]
        parts = [rows[column == mine[key]], rows[column < mine[key]], rows[column > mine[key]]]
        if len(parts[0]) == len(rows):  # alike but for their owner
            parts = [rows[:1], rows[1:]]
        return [replace(bay, rows=part) for part in parts if len(part)]

    def free(self, bays: int) -> int:
        """Clear width that so many bays may share [ticks]."""
        return self.relaxations[bays].free

    def _with(self, box: Node, index: int, parts: Iterable[NodeBay]) -> Iterable[Node]:
        return [replace(box, bays=(*box.bays[:index], part, *box.bays[index + 1 :])) for part in parts]

    def _cumulative(self, rows: Ints) -> Ints:
        """Openings of each kind that are so high or higher, by row and candidate."""
        keys = self.wall.keys
        counts = self.wall.counts(rows)
        result: Ints = np.empty_like(counts)
        for index, (kind, height) in enumerate(keys):
            mine = [other for other, (each, tall) in enumerate(keys) if each is kind and tall >= height]
            result[:, index] = counts[:, mine].sum(axis=1)
        return result


def _rows(bay: NodeBay) -> Ints:
    """The rows of a bay where they are listed, else none."""
    return np.zeros(0, dtype=np.int64) if bay.rows is None else bay.rows
