"""The best row of bays on a stretch of wall at given prices.

On a plain wall only the sum of sizes counts: a knapsack over the units of its width. On a wall with a sloped
ceiling or blocked parts the place counts too: a recursion from left to right over the place of the next upright,
where the next bay shares it or stands at least a panel's thickness apart. In a grid for bounds a place stands
for every place that rounds down to it, and a bay gets the best ceiling and the best side of each blocked part that
any of them has.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from capacity.layout.problem import BlockedPart, Problem, Run
from capacity.layout.sketches import drawer_room
from capacity.solver.relaxation.bay_pricing import LITTLE, BayValues, Headroom
from capacity.solver.relaxation.opening_knapsack import Bools, Floats, Grid, Ints


@dataclass(frozen=True, slots=True)
class RowBay:
    """A bay of a row: index into the sizes, index of its owner, its heights, and its clear left face [ticks].

    `left` is None on a plain wall, where the bay may stand anywhere; `more` is what it is wider than its size, to meet
    an upright that stands between two places of the grid.
    """

    size: int
    owner: int
    room: Headroom
    left: int | None
    more: int = 0


@dataclass(frozen=True, slots=True)
class Stretch:
    """Part of a wall that is free for bays [ticks].

    `start` is where the left face of the first upright may be, at the earliest; `end` is where the right face of
    the last upright must be, at the latest. Where places count, `shares`: at `start` stands an upright, which the
    first bay shares or keeps a panel's thickness away from; `meets`: where the left face of the last upright may be
    too, because it is the upright of a bay that stands there.
    """

    run: int
    start: int
    end: int
    shares: bool = False
    meets: int | None = None


@dataclass(frozen=True, slots=True)
class _Reached:
    """How the best row reaches each place: by a bay of which size, or from the end of a bay so far `apart`.

    A bay that ends at `met[0]` is wider by `met[1]` than its size.
    """

    first: int
    apart: int
    met: tuple[int, int]
    is_end: Bools
    size_at: Ints
    from_end: Bools


def plain_room(problem: Problem, run: Run) -> Headroom:
    """The heights of every bay of a wall without slope or blocked parts."""
    upper, base = problem.head_under(run, run.ceiling_left), problem.rules.base_over(run.prescribed)
    drawers = () if not problem.rules.highest_drawer else (drawer_room(problem, base, upper),)
    return Headroom(upper - base, upper, (), problem.above_under(run, run.ceiling_left), drawers)


def room_between(problem: Problem, run: Run, ceiling: int, boxes: Sequence[BlockedPart], is_bound: bool) -> Headroom:
    """The heights of a bay of a run under a ceiling that spans some blocked parts."""
    thick, kick = problem.rules.panel, problem.rules.toe_kick
    upper = problem.head_under(run, ceiling)
    above = problem.above_under(run, ceiling)
    stretches: list[tuple[int, int]] = []
    start = 0
    for box in sorted(boxes, key=lambda box: (box.bottom, box.top)):
        stretches.append((start, min(box.bottom, upper)))
        start = max(start, box.top, kick)
        if box.top > problem.top - thick and box.bottom < ceiling:
            # a bound may let something lie below the blocked part; a design leaves the top alone
            above = min(above, max(0, box.bottom - problem.top)) if is_bound else 0
    stretches.append((start, upper))
    base = problem.rules.base_over(run.prescribed)
    spans = [(base, stretches[0][1])]
    spans += [(max(base, low + thick), limit) for low, limit in stretches[1:] if limit > max(base, low + thick)]
    more = tuple(limit - low for low, limit in spans[1:])
    drawers: tuple[int, ...] = ()
    if problem.rules.highest_drawer:
        drawers = tuple(drawer_room(problem, low, limit, is_bound) for low, limit in spans)
    return Headroom(stretches[0][1] - base, stretches[0][1], more, above, drawers)


class WallValues:
    """Rows of bays on one wall; `places` and `sizes` index what is known about each possible bay.

    Parameters
    ----------
    problem, run_index
        The wall.
    values
        The bays of the wall's form, one for each owner.
    """

    def __init__(self, problem: Problem, run_index: int, values: Sequence[BayValues]) -> None:
        self.problem, self.index, self.values = problem, run_index, tuple(values)
        self.run = problem.runs[run_index]
        self.grid: Grid = values[0].grid
        self.sizes: Ints = values[0].sizes
        self.rooms: list[Headroom] = []
        self.ids: Ints = np.zeros((0, 0), dtype=np.int64)
        self.meeting: Ints = np.full(len(self.sizes), -1, dtype=np.int64)
        if self.run.is_plain:
            self.rooms = [plain_room(problem, self.run)]
        else:
            self._survey()
            if self.run.shares_right and not self.grid.is_bound:
                self._survey_meeting()
        self._worth: Floats = np.zeros((0, 0))
        self._owner: Ints = np.zeros((0, 0), dtype=np.int64)

    def _survey(self) -> None:
        """For every place of the left upright and every size: which heights a bay there has, or -1."""
        problem, run, step, thick = self.problem, self.run, self.grid.step, self.problem.rules.panel
        slack = step - 1 if self.grid.is_bound else 0
        units = max(0, (run.width - thick) // step)
        left_low = (np.arange(units + 1, dtype=np.int64) * step + thick)[:, None]
        left_high = left_low + slack
        narrow = self.values[0].lows[None, :]
        wide = self.values[0].tops[None, :]
        code = np.zeros((units + 1, len(self.sizes)), dtype=np.int64)
        is_free = left_low + narrow + thick <= run.width
        for number, box in enumerate(run.blocked):
            misses = (left_low + narrow + thick <= box.left) | (left_high - thick >= box.right)
            spans = (left_low <= box.left) & (np.minimum(left_high, box.left) + wide >= box.right)
            code += np.where(misses, 0, 1) << number
            is_free = is_free & (misses | spans)
        place = np.minimum(left_low + narrow, run.width) if run.ceiling_left > run.ceiling_right else left_high
        place, whole = np.clip(place, 0, run.width) + run.offset, run.whole or run.width
        ceiling = (run.ceiling_left * (whole - place) + run.ceiling_right * place) // whole
        highest = 1 + max(run.ceiling_left, run.ceiling_right)
        unique, inverse = np.unique((code * highest + ceiling)[is_free], return_inverse=True)
        self.ids = np.full(code.shape, -1, dtype=np.int64)
        self.ids[is_free] = inverse
        for boxes, height in (divmod(int(key), highest) for key in unique):
            spanned = [box for number, box in enumerate(run.blocked) if boxes >> number & 1]
            self.rooms.append(room_between(problem, run, height, spanned, self.grid.is_bound))
        if not self.rooms:  # no bay goes anywhere on this wall; the tables still need a row
            self.rooms.append(Headroom(-1, -1))

    def _survey_meeting(self) -> None:
        """For every size: which heights a bay has that meets the upright of a bay that must be at the right, or -1."""
        rules, step, right = self.problem.rules, self.grid.step, self.run.width - self.problem.rules.panel
        for column, size in enumerate(self.sizes):
            left, low = (right // step - int(size)) * step + rules.panel, int(self.values[0].lows[column])
            is_too_long = any(low <= limit < right - left for limit in (rules.max_shelf, rules.max_rod))
            boxes = [box for box in self.run.blocked if left - rules.panel < box.right]
            if left < rules.panel or is_too_long or not all(left <= box.left and box.right <= right for box in boxes):
                continue
            self.meeting[column] = len(self.rooms)
            ceiling = self.run.ceiling_over(left, right)
            self.rooms.append(room_between(self.problem, self.run, ceiling, boxes, is_bound=False))

    def price(self) -> None:
        """Take over the values of the bays at the prices that these were last priced with."""
        each = np.stack([np.stack([values.of(room) for room in self.rooms]) for values in self.values])
        self._owner = each.argmax(axis=0)
        self._worth = each.max(axis=0)

    def worth(self) -> Floats:
        """The value of the best bay by room (row) and size (column)."""
        return self._worth

    def placed(self, room: int, size: int, left: int | None = None) -> RowBay:
        """The best bay of one room and size."""
        return RowBay(size, int(self._owner[room, size]), self.rooms[room], left)

    def best(self, stretch: Stretch) -> tuple[float, list[RowBay]]:
        """The best row of bays on a stretch of this wall and its value."""
        return self._plain(stretch) if self.run.is_plain else self._placed_row(stretch)

    def _plain(self, stretch: Stretch) -> tuple[float, list[RowBay]]:
        units = (stretch.end - stretch.start - self.problem.rules.panel) // self.grid.step
        if len(self.sizes) == 0 or units < self.sizes[0]:
            return 0.0, []
        worth, least = self._worth[0], int(self.sizes[0])
        table = np.zeros(units + 1)
        for low in range(least, units + 1, least):
            high = min(low + least, units + 1)
            before = np.arange(low, high)[:, None] - self.sizes[None, :]
            found = np.where(before >= 0, table[np.maximum(before, 0)] + worth[None, :], LITTLE).max(axis=1)
            table[low:high] = np.maximum.accumulate(np.maximum(found, table[low - 1]))
        row: list[RowBay] = []
        left = units
        while table[left] > 0.0:
            left = int(np.searchsorted(table, table[left], side="left"))
            before = left - self.sizes
            origin = np.where(before >= 0, table[np.maximum(before, 0)] + worth, LITTLE)
            size = int(origin.argmax())
            row.append(self.placed(0, size))
            left -= int(self.sizes[size])
        return float(table[units]), row

    def _placed_row(self, stretch: Stretch) -> tuple[float, list[RowBay]]:
        step, thick = self.grid.step, self.problem.rules.panel
        first = stretch.start // step if self.grid.is_bound else -(-stretch.start // step)
        last = (stretch.end - thick) // step
        meets, more = -1, 0  # more: what a bay is wider there than its size
        if stretch.meets is not None and self.grid.is_bound:
            last = max(last, stretch.meets // step)
        elif stretch.meets is not None and (stretch.meets % step == 0 or stretch.meets == self.run.width - thick):
            meets, more = divmod(stretch.meets, step)
            if more and meets <= last:  # the place stands for an upright of its own already
                meets, more = -1, 0
        top = min(max(last, meets), self.ids.shape[0] - 1 + (int(self.sizes[-1]) if len(self.sizes) else 0))
        if len(self.sizes) == 0 or top < first:
            return 0.0, []
        apart = 0 if self.grid.is_bound else -(-thick // step)
        ended = np.full(top + 1, LITTLE)  # the last upright stands here
        free = np.full(top + 1, LITTLE)  # an upright of its own may stand here
        size_at = np.full(top + 1, -1, dtype=np.int64)
        from_ended = np.zeros(top + 1, dtype=bool)
        columns = np.arange(len(self.sizes))
        for place in range(first, top + 1):
            if place > first:
                free[place] = free[place - 1]
            elif stretch.shares:
                ended[place] = 0.0
            else:
                free[place] = 0.0
            before = place - self.sizes
            usable = (before >= first) & (before < self.ids.shape[0])
            if place > first and usable.any():
                origin, mine = before[usable], columns[usable]
                room = self.meeting[mine] if more and place == meets else self.ids[origin, mine]
                start = np.maximum(ended[origin], free[origin])
                found = np.where(room >= 0, start + self._worth[np.maximum(room, 0), mine], LITTLE)
                best = int(found.argmax())
                ended[place], size_at[place] = found[best], mine[best]
            if place - apart >= first and ended[place - apart] > free[place]:
                free[place], from_ended[place] = ended[place - apart], True
        ends = [place for place in range(first, top + 1) if place <= last or place == meets]
        finish = max(ends, key=lambda place: (max(ended[place], free[place]), -place), default=first)
        reached = _Reached(first, apart, (meets, more), ended >= free, size_at, from_ended)
        return float(max(ended[finish], free[finish], 0.0)), self._walk(finish, reached)

    def _walk(self, place: int, reached: _Reached) -> list[RowBay]:
        """Bays that lead to a place, left to right."""
        row: list[RowBay] = []
        size_at, has_ended = reached.size_at, bool(reached.is_end[place])
        while True:
            if has_ended and size_at[place] < 0:
                break
            if has_ended:
                size, more = int(size_at[place]), reached.met[1] if place == reached.met[0] else 0
                place -= int(self.sizes[size])
                room = int(self.meeting[size] if more else self.ids[place, size])
                left = place * self.grid.step + self.problem.rules.panel
                row.append(replace(self.placed(room, size, left), more=more))
                has_ended = bool(reached.is_end[place])
            elif reached.from_end[place]:
                place, has_ended = place - reached.apart, True
            elif place == reached.first:
                break
            else:
                place -= 1
        return row[::-1]
