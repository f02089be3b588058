"""The best bay of every width at given prices, and the stack of openings that makes it.

From what so many units of height hold (`height_knapsack`) follow bays of every ceiling height, with a rod that stands
on the floor, with a shelf on top and with blocked parts: only the room to look up differs. Openings that are prescribed
add what each of them can hold.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from capacity.layout.problem import BayForm, OpeningKind, Problem, Site
from capacity.layout.towers import Group, Tower, room_of, towers_of
from capacity.solver.relaxation.height_knapsack import filled, traced, useful
from capacity.solver.relaxation.opening_knapsack import Bools, Floats, Grid, Ints, OpeningTables, Taken

LITTLE = -1.0e18
"""Stands for minus infinity where sums are formed."""


@dataclass(frozen=True, slots=True)
class Headroom:
    """The heights that a bay has for openings [ticks].

    `kicked`: from the upper face of the bottom panel, or of the panel over what is prescribed, to the first stop;
    `standing`: from the floor to it, for a bay whose lowest rod stands on the floor; `more`: each stretch above a
    blocked part, over its own bottom panel; `above`: over the top panel. Every stretch includes the panel over its last
    opening. Negative: none. `drawers`: what drawers may take of `kicked` and of each of `more`; empty: all of it.
    """

    kicked: int
    standing: int
    more: tuple[int, ...] = ()
    above: int = 0
    drawers: tuple[int, ...] = ()

    @property
    def stretches(self) -> tuple[tuple[int, int], ...]:
        """Each stretch over a bottom panel from the floor up, with what drawers may take of it."""
        rooms = (self.kicked, *self.more)
        return tuple(zip(rooms, self.drawers or rooms, strict=True))


@dataclass(frozen=True, slots=True)
class Stack:
    """The openings of a bay from the floor up as (kind, clear height in ticks), prescribed ones too.

    `floor` is a rod on the floor.

    `holds` is what an optimal filling at the last prices puts into floor opening, openings and top, in that order:
    pieces by group and turning.
    """

    floor: int | None
    openings: tuple[tuple[OpeningKind, int], ...]
    above: bool
    holds: tuple[Taken, ...]

    def contents(self) -> dict[int, int]:
        """All pieces by group; a pile may be counted in several openings."""
        total: dict[int, int] = {}
        for taken in self.holds:
            for (group, _), pieces in taken.items():
                total[group] = total.get(group, 0) + pieces
        return total


def _raised(towers: Iterable[Tower], heights: Sequence[int]) -> list[Tower]:
    """Towers with the least of these clear heights that they stand in as their need [ticks]; none that is too high."""
    places = [(tower, bisect_left(heights, tower.need)) for tower in towers]
    return [replace(tower, need=heights[place]) for tower, place in places if place < len(heights)]


def _widths(problem: Problem, form: BayForm, grid: Grid, most: int) -> tuple[Ints, Ints, Ints]:
    """The sizes of bays of a form, and the least and the most clear width of each [ticks], shape (sizes,) each."""
    rules, thick, step, fixed = problem.rules, problem.rules.panel, grid.step, form.fixed
    if fixed:
        one = np.array([fixed], dtype=np.int64)
        return (one + thick) // step, one, one
    first = (rules.min_bay + thick) // step if grid.is_bound else -(-(rules.width_up(rules.min_bay) + thick) // step)
    sizes: Ints = np.arange(first, max(first, (most + thick) // step + 1), dtype=np.int64)
    tops = (sizes + 1) * step - thick - 1 if grid.is_bound else sizes * step - thick
    if not grid.is_bound or all(run.fixed or problem.has_marked_widths(run) for run in problem.runs):
        tops = np.array([rules.width_down(top) for top in tops.tolist()], dtype=np.int64)
    return sizes, np.maximum(sizes * step - thick, rules.min_bay), tops


@dataclass(frozen=True, slots=True, order=True)
class Counted:
    """What branching counts over all layouts: bays, or openings of a kind that what they hold needs to be so high.

    Those in bays of at least so many units of width, upright included, and of one owner; neither prescribed openings
    nor bays that must be, nor what lies over a top panel. `kind` is empty for bays, and `height` then 0 [ticks]; an
    empty `owner` is any.
    """

    kind: str
    height: int
    size: int
    owner: str = ""


class BayValues:
    """Bays of one form whose things belong to one owner (or to whomever, where owners do not matter).

    Widths are counted in units of the grid's step, upright included: a bay of m units is m * step - panel wide.
    In a grid for bounds it stands for every width that rounds down to m units, and has room for the widest of them.
    `widest` is the width of the widest opening that stands already [ticks], where it may be wider than a bay; with
    `standing`, clear heights by kind, only openings of these are priced, and no bay. Where
    the form is of a bay that must be there is one bay only, of just its clear width, with the openings that it says.
    """

    def __init__(
        self,
        problem: Problem,
        groups: tuple[Group, ...],
        form: BayForm,
        owner: str | None,
        grid: Grid,
        widest: int = 0,
        standing: Mapping[OpeningKind, Sequence[int]] | None = None,
    ) -> None:
        self.problem, self.owner, self.grid, self.form = problem, owner, grid, form
        rules = problem.rules
        limits = {kind: rules.max_rod if kind is OpeningKind.HANG else rules.max_shelf for kind in OpeningKind}
        if form.is_kept:
            limits = {kind: max(limit, form.fixed) for kind, limit in limits.items()}
        self.sizes, self.lows, self.tops = _widths(problem, form, grid, max(limits.values()))
        ceiling = max(max(run.ceiling_left, run.ceiling_right) for run in problem.runs)
        highest = max(min(problem.top, ceiling), ceiling - problem.top)
        if standing is not None:  # what stands may be higher than what would be built
            highest = max((height for heights in standing.values() for height in heights), default=0)
        towers = self._towers(groups, form.spot)
        self.tables: dict[OpeningKind, OpeningTables] = {}
        self._columns: dict[OpeningKind, Ints] = {}
        self._allowed: dict[OpeningKind, Bools] = {}
        for kind in OpeningKind:
            limit = limits[kind]
            mine = [tower for tower in towers if tower.kind is kind]
            if standing is not None:
                mine = _raised(mine, sorted(standing.get(kind, ())))
            table = OpeningTables(groups, mine, grid, room_of(rules, kind, max(limit, widest)), highest)
            rooms = [room_of(rules, kind, min(top, limit)) // table.unit for top in self.tops.tolist()]
            self.tables[kind] = table
            self._columns[kind] = np.minimum(np.array(rooms, dtype=np.int64), table.room)
            self._allowed[kind] = self.lows <= limit
        self.charges: dict[Counted, float] = {}  # for each of what branching counts
        self._given = self._tables_given(groups, highest)
        self._set_heights(max(min(problem.top, ceiling), 0))

    def _towers(self, groups: tuple[Group, ...], spot: Site) -> list[Tower]:
        """Towers of what may lie in a bay of this owner."""
        towers = towers_of(self.problem, groups, spot)
        if not self.problem.rules.owners_apart:
            return list(towers)
        return [tower for tower in towers if groups[tower.group].owner in (None, self.owner)]

    def _tables_given(self, groups: tuple[Group, ...], highest: int) -> dict[OpeningKind, OpeningTables]:
        """The tables of what is prescribed, by kind."""
        rules, form = self.problem.rules, self.form
        towers = self._towers(groups, replace(form.spot, is_prescribed=True)) if form.prescribed else []
        tables = {}
        for kind in sorted({item.kind for item in form.prescribed}):
            mine = [tower for tower in towers if tower.kind is kind]
            tables[kind] = OpeningTables(groups, mine, self.grid, room_of(rules, kind, form.fixed), highest)
        return tables

    def _of_prescribed(self) -> float:
        """What the prescribed openings hold at the last prices."""
        rows = [(self._given[item.kind], self._given[item.kind].row_for(item.height)) for item in self.form.prescribed]
        return sum(float(table.values[row, table.room]) for table, row in rows if row >= 0)

    def _set_heights(self, most: int) -> None:
        """Candidates as (kind, index of the height, cost in units of elevation), and the unit."""
        thick = self.problem.rules.panel
        costs = [height + thick for table in self.tables.values() for height in table.heights]
        self.unit = self.grid.unit(costs, max(most, 1), self.grid.tall)
        self.units = most // self.unit
        self._candidates = [
            (kind, index, max(1, self.grid.need(height + thick, self.unit)))
            for kind, table in self.tables.items()
            for index, height in enumerate(table.heights)
            if kind in self.form.kinds and self.grid.need(height + thick, self.unit) <= self.units
        ]
        self._values: Floats = np.zeros((0, 0))
        self._used: list[int] = []
        self._best: Floats = np.zeros((0, 0))
        self._drawn: Floats = np.zeros((0, 0))
        self._mixed: dict[tuple[int, int], Floats] = {}
        self._known: dict[tuple[OpeningKind, int, int], Taken] = {}
        self._panels: Floats = np.zeros(len(self.sizes))
        self._prescribed: Floats = np.zeros(len(self.sizes))
        self._uprights: Floats = np.zeros(len(self.sizes))
        # one upright a bay, and its share of the one more that a wall needs
        self._uprights_each: Floats = 1.0 + self.sizes * self.grid.step / max(
            run.whole or run.width for run in self.problem.runs
        )

    def price(self, prices: Floats, bays: bool = True, panel: float = 0.0) -> int:
        """Compute the openings, and the bays unless told otherwise, for prices per piece, by group.

        `panel` is the price of a square tick of panel; openings that stand cost none. Returns how many numbers were
        looked at.
        """
        self._known.clear()
        depth = float(self.form.spot.depth)
        self._panels = (panel * depth) * self.lows.astype(np.float64)
        self._uprights = (0.0 if self.form.is_kept else panel * depth) * self._uprights_each
        work = sum(table.price(prices) for table in self.tables.values())
        if not bays:
            return work
        work += sum(table.price(prices) for table in self._given.values())
        self._prescribed = self._of_prescribed() - len(self.form.prescribed) * self._panels
        self._values = np.full((len(self._candidates), len(self.sizes)), LITTLE)
        for index, (kind, height, _) in enumerate(self._candidates):
            row = self.tables[kind].values[self.tables[kind].row_of[height]]
            np.copyto(self._values[index], row[self._columns[kind]] - self._panels, where=self._allowed[kind])
            self._values[index] -= self._charged(kind.value, self.tables[kind].heights[height])
        self._used = useful([kind for kind, *_ in self._candidates], self._values)
        self._recurse()
        return work + len(self.sizes) * (len(self._candidates) + self.units * len(self._used))

    def _charged(self, kind: str, height: int) -> Floats:
        """What is charged for a bay or an opening, by size."""
        total = np.zeros(len(self.sizes))
        for counted, each in self.charges.items():
            if counted.kind == kind and counted.height <= height and counted.owner in ("", self.owner):
                total[self.sizes >= counted.size] += each
        return total

    def _recurse(self) -> None:
        """The best of all openings in so many units; drawers by themselves where they may not end anywhere."""
        drawers = [index for index in self._used if self._candidates[index][0] is OpeningKind.DRAWER]
        self._drawn, self._mixed = np.zeros((0, 0)), {}
        if drawers and self.problem.rules.highest_drawer:
            self._best = self._filled([index for index in self._used if index not in drawers])
            self._drawn = self._filled(drawers)
        else:
            self._best = self._filled(self._used)

    def _filled(self, used: Sequence[int]) -> Floats:
        return filled({index: self._candidates[index][2] for index in used}, self._values, self.units)

    def _stacked(self, units: int, drawers: int) -> Floats:
        """The most that so many units hold, at most so many of them taken by drawers, by size."""
        if len(self._drawn) == 0:
            found: Floats = self._best[units]
            return found
        key = units, min(units, drawers)
        if key not in self._mixed:
            rows = self._drawer_steps(key[1])
            self._mixed[key] = (self._drawn[rows] + self._best[units - rows]).max(axis=0)
        return self._mixed[key]

    def _drawer_steps(self, most: int) -> Ints:
        """Units at which drawers hold more than in one less, none among them, up to so many."""
        return np.array([0, *(1 + np.flatnonzero((np.diff(self._drawn[: most + 1], axis=0) > 0).any(axis=1)))])

    def _over_rod(self, units: int) -> tuple[Floats, int]:
        """What units over a rod on the floor hold, and how many of them drawers may take: none in a design."""
        rules = self.problem.rules
        drawers = self._units_of(rules.highest_drawer + rules.panel) if self.grid.is_bound else 0
        return self._stacked(units, drawers), drawers

    # ---- values ---------------------------------------------------------------------------------------

    def _units_of(self, room: int) -> int:
        return min(self.units, room // self.unit) if room > 0 else 0

    def of(self, room: Headroom) -> Floats:
        """The value of the best bay of every size in `sizes`, shape (sizes,)."""
        (kicked, drawers), *more = room.stretches
        total: Floats = self._stacked(self._units_of(kicked), self._units_of(drawers)) - self._panels
        for index, left in self._floor_rods(room.standing):
            np.maximum(total, self._values[index] + self._over_rod(left)[0], out=total)
        for stretch, drawers in more:
            total += self._stacked(self._units_of(stretch), self._units_of(drawers))
        if self.form.prescribed:
            total += self._prescribed
        total = total if self.form.fixed else total - self._charged("", 0)
        return total + self.top_values(room.above) - self._uprights * max(0, room.standing)

    def top_values(self, above: int) -> Floats:
        """The value of what lies over the top panel, by size."""
        table = self.tables[OpeningKind.SHELF]
        row = table.row_for(above)
        if row < 0:
            return np.zeros(len(self.sizes))
        kind = OpeningKind.SHELF
        return np.where(self._allowed[kind], table.values[row, self._columns[kind]], 0.0)

    def _floor_rods(self, standing: int) -> list[tuple[int, int]]:
        if self.form.prescribed:
            return []
        room = self._units_of(standing)
        return [
            (index, room - self._candidates[index][2])
            for index in self._used
            if self._candidates[index][0] is OpeningKind.HANG and self._candidates[index][2] <= room
        ]

    # ---- stacks ---------------------------------------------------------------------------------------

    def stack(self, room: Headroom, size: int) -> Stack:
        """The openings of the best bay for the size of this index."""
        openings = [(item.kind, item.height) for item in self.form.prescribed]
        rows = [(self._given[kind], self._given[kind].row_for(height)) for kind, height in openings]
        holds = [table.contents(row, table.room) if row >= 0 else {} for table, row in rows]
        floor: int | None = None
        parts = [(self._units_of(stretch), self._units_of(drawers)) for stretch, drawers in room.stretches]
        best, choice = float(self._stacked(*parts[0])[size] - self._panels[size]), None
        for index, left in self._floor_rods(room.standing):
            value = float(self._values[index, size] + self._over_rod(left)[0][size])
            if value > best:
                best, choice = value, (index, left)
        if choice is not None:
            kind, height, _ = self._candidates[choice[0]]
            floor, parts[0] = self.tables[kind].heights[height], (choice[1], self._over_rod(choice[1])[1])
            holds.append(self._holds(choice[0], size))
        for units, drawers in parts:
            for index in self._walk(units, drawers, size):
                kind, height, _ = self._candidates[index]
                openings.append((kind, self.tables[kind].heights[height]))
                holds.append(self._holds(index, size))
        shelf = OpeningKind.SHELF
        row = self.tables[shelf].row_for(room.above)
        has_above = bool(row >= 0 and self._allowed[shelf][size])
        if has_above:
            holds.append(self._contents(shelf, row, int(self._columns[shelf][size])))
        return Stack(floor, tuple(openings), has_above and bool(holds[-1]), tuple(holds))

    def _holds(self, candidate: int, size: int) -> Taken:
        kind, height, _ = self._candidates[candidate]
        return self._contents(kind, int(self.tables[kind].row_of[height]), int(self._columns[kind][size]))

    def _walk(self, units: int, drawers: int, size: int) -> list[int]:
        """Candidates of an optimal stack in so many units, drawers in at most so many of them, at one size."""
        if len(self._drawn) == 0:
            return self._traced(self._best, units, size)
        rows = self._drawer_steps(min(units, drawers))
        taken = int(rows[(self._drawn[rows, size] + self._best[units - rows, size]).argmax()])
        return self._traced(self._drawn, taken, size) + self._traced(self._best, units - taken, size)

    def _traced(self, best: Floats, units: int, size: int) -> list[int]:
        costs = {index: self._candidates[index][2] for index in self._used}
        return traced(best[:, size], costs, self._values[:, size], units)

    def opening_value(self, kind: OpeningKind, height: int, width: int) -> float:
        """The value of the best contents of one opening [ticks] at the last prices; 0 where it may not be."""
        table = self.tables[kind]
        row = table.row_for(height)
        if row < 0:
            return 0.0
        return float(table.values[row, self.opening_room(kind, width)])

    def opening_contents(self, kind: OpeningKind, height: int, width: int) -> Taken:
        """The best contents of one opening [ticks] at the last prices."""
        row = self.tables[kind].row_for(height)
        return {} if row < 0 else self._contents(kind, row, self.opening_room(kind, width))

    def _contents(self, kind: OpeningKind, row: int, room: int) -> Taken:
        key = (kind, row, room)
        if key not in self._known:
            self._known[key] = self.tables[kind].contents(row, room)
        return self._known[key]

    def opening_room(self, kind: OpeningKind, width: int) -> int:
        """Room of an opening in units of its table."""
        table = self.tables[kind]
        return min(table.room, room_of(self.problem.rules, kind, width) // table.unit)


def owners_of(problem: Problem) -> Sequence[str | None]:
    """The owners that a bay may have: each in turn where they are kept apart, else nobody in particular."""
    return problem.owners or (None,) if problem.rules.owners_apart else (None,)
