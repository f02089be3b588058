"""Column generation over bays: the linear relaxation whose prices steer the search and give the bound.

    maximise  sum_g v_g S_g - charge   subject to   S_g <= n_g,   S_g <= sum_j a_gj x_j   (price of g),
              sizes of the bays on each wall <= its units, rows of bays on each stretch of a wall where places
              differ <= 1, contents of each opening that is already fixed <= 1 each.

A column is a bay (plain wall), a row of bays, or the contents of a fixed opening. For any prices s >= 0

    L(s) = sum_g n_g max(0, v_g - s_g) + sum over walls of the best row at s + the best contents at s

is a bound (Lagrangian relaxation of "nothing is stored twice"; Geoffrion 1974, Mathematical Programming Study 2,
82-114), valid however early the prices stop. One master serves a whole search: a state sets right-hand sides only.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from capacity.layout.problem import BayForm, OpeningKind, Problem, Site
from capacity.layout.towers import groups_of
from capacity.solver.effort import Effort
from capacity.solver.relaxation.bay_pricing import BayValues, Counted, Stack, owners_of
from capacity.solver.relaxation.columns import AREA, BayColumn, Column, OpeningType, State, bay_area
from capacity.solver.relaxation.linear_program import new_master, solve_linear
from capacity.solver.relaxation.opening_knapsack import Floats, Grid
from capacity.solver.relaxation.wall_pricing import RowBay, Stretch, WallValues

CHARGE = 0.5
"""What using all the width of all walls is charged in all, so that the relaxation prefers narrow, dense bays."""

NUMBER, ITERATION = 2.3e-9, 7.0e-5
"""Work that a number of the tables of openings and bays counts for, and an iteration of the simplex method."""

LITTLE_GAIN = 1.0e-6
"""Least gain for which a column is added."""

NEW_SIZES, APART = 6, 5
"""Bays added a step and wall, and how far apart their sizes are [units of the grid]."""


@dataclass(slots=True)
class CountingRow:
    """A row more of the master: how many a column has of what is counted, and the row's dual in the last solution."""

    number_of: Callable[[Column], int]
    row: Any
    dual: float = 0.0


class Master:
    """The columns found so far for one problem, and the linear program over them.

    `standing` are openings that stand already and may be deeper or wider than any that would be built; with
    `builds` false nothing else is priced, which is quicker. `effort` counts the work. With `prefers_narrow` false
    width costs nothing: for prices that prove.
    """

    def __init__(
        self,
        problem: Problem,
        grid: Grid,
        standing: Iterable[OpeningType] = (),
        effort: Effort | None = None,
        builds: bool = True,
        prefers_narrow: bool = True,
    ) -> None:
        self.problem, self.grid, self._effort = problem, grid, effort or Effort()
        openings = tuple(standing)
        wanted = {run.form for run in problem.runs} if builds else set[BayForm]()
        wanted |= {BayForm(run.prescribed_spot) for run in problem.runs if run.prescribed and builds}
        covered = {form.spot for form in wanted}
        wanted |= {BayForm(opening.spot) for opening in openings if opening.spot not in covered}
        widths = [*(opening.width for opening in openings), *(run.fixed for run in problem.runs)]
        widest = max(widths, default=0)
        self.groups = groups_of(problem)
        self.worth: Floats = np.array([float(group.value) for group in self.groups])
        self.counts: Floats = np.array([float(group.count) for group in self.groups])
        if problem.most_panel:  # the last price is that of panel
            self.worth = np.append(self.worth, np.inf)
            self.counts = np.append(self.counts, 0.0)
        heights: dict[OpeningKind, set[int]] = defaultdict(set)
        for opening in openings:
            heights[opening.kind].add(opening.height)
        only = None if builds else {kind: tuple(each) for kind, each in heights.items()}
        self._bays_of = {
            form: [BayValues(problem, self.groups, form, owner, grid, widest, only) for owner in owners_of(problem)]
            for form in sorted(wanted)
        }
        self._openings_of = {form.spot: values for form, values in self._bays_of.items()}
        self.walls = [
            WallValues(problem, index, self._bays_of[run.form]) for index, run in enumerate(problem.runs) if builds
        ]
        self.columns: list[Column] = []
        self.state = State(())
        self._priced: Floats | None = None
        self._has_bays = False
        self._alike = self._runs_alike()
        self._build(CHARGE if prefers_narrow else 0.0)

    def _runs_alike(self) -> list[list[int]]:
        """For each run the plain runs whose bays it shares."""
        keys = [
            (run.form, run.ceiling_left) if run.is_plain else (index,) for index, run in enumerate(self.problem.runs)
        ]
        return [[other for other, key in enumerate(keys) if key == mine] for mine in keys]

    def _build(self, charge: float) -> None:
        self._solver, self._demand, self._stored = new_master(self.groups)
        self._panel = self._new_row() if self.problem.most_panel else None
        self._rows: dict[int | Stretch | OpeningType, Any] = {}
        self._variables: list[Any] = []
        self._allowed: dict[int, int] = {}
        self._bays: dict[int, list[tuple[int, Any]]] = {index: [] for index in range(len(self.problem.runs))}
        self._duals: dict[int | Stretch | OpeningType, float] = {}
        self._levels: Floats = np.zeros(0)
        self._seen: set[tuple[object, ...]] = set()
        total = sum(run.width for run in self.problem.runs) / self.grid.step
        self._charge = charge / max(1.0, total)
        self._counting: list[CountingRow] = []
        self._dearest = self.worth

    # ---- state ----------------------------------------------------------------------------------------

    def units(self, stretch: Stretch) -> int:
        """Units of size that the bays of a plain stretch may add up to."""
        return max(0, (stretch.end - stretch.start - self.problem.rules.panel) // self.grid.step)

    def set_state(self, state: State) -> None:
        """Set what is open and what is fixed."""
        for row in self._rows.values():
            row.SetUb(0.0)
        for stretch in state.stretches:
            if self.problem.runs[stretch.run].is_plain:
                units = self.units(stretch)
                self._row(stretch.run).SetUb(float(units))
                self._allow(stretch.run, units)
            else:
                self._row(stretch).SetUb(1.0)
        for opening, number in state.openings:
            self._row(opening).SetUb(float(number))
        if self._panel is not None:
            self._panel.SetUb(self._panel_left(state))
        self.state = state

    def _panel_left(self, state: State) -> float:
        """Panel area that the fixed bays leave of what the budget buys [AREA]."""
        return max(0.0, (self.problem.most_panel - state.panel) / AREA)

    def _allow(self, run: int, units: int) -> None:
        """Let only bays into the relaxation that the free width of a plain wall takes whole."""
        if self._allowed.get(run) != units:
            self._allowed[run] = units
            for size, variable in self._bays[run]:
                variable.SetUb(self._solver.infinity() if size <= units else 0.0)

    def _row(self, key: int | Stretch | OpeningType) -> Any:
        if key not in self._rows:
            self._rows[key] = self._new_row()
        return self._rows[key]

    def _new_row(self) -> Any:
        return self._solver.RowConstraint(-self._solver.infinity(), 0.0, "")

    # ---- limits on what is counted --------------------------------------------------------------------

    def lend(self, cost: float) -> None:
        """Let pieces be borrowed at a cost, where a limit asks for more than there are columns for."""
        self._dearest = np.full_like(self.worth, np.inf)
        for row in self._demand:
            row.SetCoefficient(self._lent(cost), -1.0)

    def _lent(self, cost: float) -> Any:
        lent = self._solver.NumVar(0.0, self._solver.infinity(), "")
        self._solver.Objective().SetCoefficient(lent, -cost)
        return lent

    def count(self, number_of: Callable[[Column], int], cost: float) -> CountingRow:
        """Count something of the columns in a row of its own, which may borrow at a cost; yet without limits."""
        row = CountingRow(number_of, self._solver.RowConstraint(0.0, self._solver.infinity(), ""))
        row.row.SetCoefficient(self._lent(cost), 1.0)
        for column, variable in zip(self.columns, self._variables, strict=True):
            row.row.SetCoefficient(variable, float(number_of(column)))
        self._counting.append(row)
        return row

    def limit(self, row: CountingRow, low: int, high: int | None) -> None:
        """Let what is counted be from `low` to `high`; None: any number."""
        row.row.SetBounds(float(low), self._solver.infinity() if high is None else float(high))

    def limit_pieces(self, group: int, low: int, high: int | None) -> None:
        """Let the pieces stored of a group be from `low` to `high`; None: all of them."""
        count = float(self.counts[group])
        self._stored[group].SetBounds(float(low), count if high is None else min(count, float(high)))

    def charge(self, charges: dict[Counted, float]) -> None:
        """Charge so much for each bay and opening that is counted, from the next pricing on."""
        for each in self._bays_of.values():
            for values in each:
                values.charges = charges
        self._priced = None

    # ---- linear program -------------------------------------------------------------------------------

    def solve(self) -> tuple[float, Floats]:
        """The value of the relaxation over the columns so far, and the price of a piece of each group (and of panel).

        Raises
        ------
        AssertionError
            When the solver gives anything but an optimum: an empty answer would look like convergence.
        """
        value = solve_linear(self._solver)
        self._effort.spend(ITERATION * self._solver.iterations())
        rows = self._demand if self._panel is None else [*self._demand, self._panel]
        prices = np.maximum(0.0, np.array([row.dual_value() for row in rows]))
        # read now: adding a column makes the solution unreadable
        self._duals = {key: float(row.dual_value()) for key, row in self._rows.items()}
        self._levels = np.array([variable.solution_value() for variable in self._variables])
        for counting in self._counting:
            counting.dual = float(counting.row.dual_value())
        return value, np.minimum(prices, self._dearest)

    def stored(self) -> list[float]:
        """The pieces of each group that the last solution stores."""
        return [float(stored.solution_value()) for stored in self._stored]

    def levels(self) -> Floats:
        """The value of each column's variable in the last solution."""
        return self._levels

    def price(self, prices: Floats) -> float:
        """Price every opening, bay and row at `prices`; returns L(prices) for the present state."""
        needs_bays = bool(self.state.stretches)
        is_priced = self._priced is not None and np.array_equal(prices, self._priced)
        panel = 0.0 if self._panel is None else float(prices[-1])
        if not is_priced or (needs_bays and not self._has_bays):
            for each in self._bays_of.values():
                for values in each:
                    self._effort.spend(NUMBER * values.price(prices, needs_bays, panel / AREA))
            for wall in self.walls if needs_bays else ():
                wall.price()
            self._priced, self._has_bays = prices.copy(), needs_bays
        groups = slice(len(self.groups))
        bound = float(self.counts[groups] @ np.maximum(0.0, self.worth[groups] - prices[groups]))
        bound += panel * self._panel_left(self.state)
        self._rows_found = [(stretch, *self.walls[stretch.run].best(stretch)) for stretch in self.state.stretches]
        bound += sum(value for _, value, _ in self._rows_found)
        for opening, number in self.state.openings:
            values = self._openings_of[opening.spot][opening.owner]
            bound += number * values.opening_value(opening.kind, opening.height, opening.width)
        return bound

    def values_of(self, spot: Site) -> list[BayValues]:
        """The openings of a spot, one set of tables for each owner."""
        return self._openings_of[spot]

    def price_openings(self, prices: Floats) -> None:
        """Price every opening, and no bay, at `prices`."""
        if self._priced is None or not np.array_equal(prices, self._priced):
            for each in self._bays_of.values():
                for values in each:
                    self._effort.spend(NUMBER * values.price(prices, bays=False))
            self._priced, self._has_bays = prices.copy(), False

    def add_columns(self, prices: Floats) -> int:
        """Add what the last pricing found that gains at the LP's own prices; returns how many."""
        added = 0
        for stretch, _, row in self._rows_found:
            if self.problem.runs[stretch.run].is_plain:
                added += self._add_bays(stretch, row, prices)
            elif row:
                bays, pieces, panel = self._plans(stretch.run, row)
                column = Column(stretch.run, stretch, None, bays, 1, pieces, None, panel)
                added += self._add(column, prices, self._dual(stretch))
        for opening, _ in self.state.openings:
            values = self._openings_of[opening.spot][opening.owner]
            holds = values.opening_contents(opening.kind, opening.height, opening.width)
            counted: Counter[int] = Counter()
            for (group, _), number in holds.items():
                counted[group] += number
            column = Column(-1, None, opening, (), 1, tuple(sorted(counted.items())), holds)
            added += self._add(column, prices, self._dual(opening))
        return added

    def _dual(self, key: int | Stretch | OpeningType) -> float:
        return self._duals.get(key, 0.0)

    def _add_bays(self, stretch: Stretch, row: Sequence[RowBay], prices: Floats) -> int:
        wall = self.walls[stretch.run]
        if len(wall.sizes) == 0:
            return 0
        each = self._dual(stretch.run)
        gain = wall.worth()[0] - (each + self._charge) * wall.sizes
        gain = np.where(wall.sizes <= self.units(stretch), gain, -np.inf)
        added = 0
        for size in gaining_sizes(gain, row):
            bays, pieces, panel = self._plans(stretch.run, [wall.placed(0, size)])
            for run in self._alike[stretch.run]:
                column = Column(run, None, None, bays, int(wall.sizes[size]), pieces, None, panel)
                added += self._add(column, prices, self._dual(run))
        return added

    def _plans(
        self, run: int, row: Iterable[RowBay]
    ) -> tuple[tuple[BayColumn, ...], tuple[tuple[int, int], ...], float]:
        """Bays without contents, their pieces by group, and their panel area [AREA]."""
        wall, total, area = self.walls[run], Counter[int](), 0.0
        bays = []
        for placed in row:
            stack: Stack = wall.values[placed.owner].stack(placed.room, placed.size)
            width = int(wall.values[placed.owner].lows[placed.size]) + placed.more
            if self.problem.has_marked_widths(self.problem.runs[run]):
                width = self.problem.rules.width_down(width)
            above = placed.room.above if stack.above else 0
            bays.append(BayColumn(width, placed.left, placed.owner, stack.floor, stack.openings, above))
            area += bay_area(self.problem, run, bays[-1], placed.room.standing) / AREA
            total.update(stack.contents())
        return tuple(bays), tuple(sorted(total.items())), area

    def _add(self, column: Column, prices: Floats, dual: float) -> int:
        gain = sum(prices[group] * number for group, number in column.pieces)
        gain -= (dual + (self._charge if column.opening is None else 0.0)) * column.sizes
        if self._panel is not None:
            gain -= prices[-1] * column.panel
        gain -= sum(row.dual * row.number_of(column) for row in self._counting)
        return self._insert(column) if gain > LITTLE_GAIN else 0

    def take_over(self, columns: Iterable[Column]) -> None:
        """Take over the bays and rows of bays of another master of the same problem, whatever its grid."""
        for column in columns:
            if column.stretch is not None:
                self._insert(column)
            elif column.opening is None:
                width = column.bays[0].width + self.problem.rules.panel
                self._insert(replace(column, sizes=width // self.grid.step))

    def _insert(self, column: Column) -> int:
        key = (column.run, column.stretch, column.opening, column.bays, column.pieces)
        if key in self._seen:
            return 0
        self._seen.add(key)
        variable = self._solver.NumVar(0.0, self._solver.infinity(), "")
        for group, number in column.pieces:
            self._demand[group].SetCoefficient(variable, -float(number))
        if self._panel is not None:
            self._panel.SetCoefficient(variable, column.panel)
        key_of_row = next(item for item in (column.opening, column.stretch, column.run) if item is not None)
        self._row(key_of_row).SetCoefficient(variable, float(column.sizes))
        if column.opening is None:
            sizes = column.sizes if column.stretch is None else sum(bay.width for bay in column.bays) / self.grid.step
            self._solver.Objective().SetCoefficient(variable, -self._charge * sizes)
        if column.opening is None and column.stretch is None:
            self._bays[column.run].append((column.sizes, variable))
            if column.sizes > self._allowed.get(column.run, 0):
                variable.SetUb(0.0)
        for row in self._counting:
            row.row.SetCoefficient(variable, float(row.number_of(column)))
        self.columns.append(column)
        self._variables.append(variable)
        return 1

    def generate(self, steps: int, smooth: float = 0.5, best: tuple[float, Floats] | None = None) -> Relaxed:
        """Solve and price in turn, at most `steps` times; the bound is valid whenever it stops.

        `best` is a bound of this state that is known already, with its prices.
        """
        bound, at = best or (float("inf"), None)
        value, prices = self.solve()
        for _ in range(steps):
            tried = prices if at is None or smooth == 0.0 else smooth * at + (1.0 - smooth) * prices
            found = self.price(tried)
            if found < bound:
                bound, at = found, tried
            added = self.add_columns(prices)
            if not added and tried is not prices:
                found = self.price(prices)
                if found < bound:
                    bound, at = found, prices
                added = self.add_columns(prices)
            if not added or bound - value < CHARGE + 0.01 or self._effort.is_stopping:
                break
            value, prices = self.solve()
        return Relaxed(value, prices, bound, at if at is not None else prices)


def gaining_sizes(gain: Floats, row: Sequence[RowBay]) -> list[int]:
    """Indices of bay sizes: those of a row, then those that gain most, apart from each other; `gain` is by size."""
    wanted = dict.fromkeys(placed.size for placed in row)
    for size in np.argsort(-gain, kind="stable"):
        if len(wanted) >= NEW_SIZES + len(row) or gain[size] <= LITTLE_GAIN:
            break
        if all(abs(int(size) - other) >= APART for other in wanted):
            wanted[int(size)] = None
    return list(wanted)


@dataclass(frozen=True, slots=True)
class Relaxed:
    """The relaxation's value over the columns so far, its prices, the proven bound and the prices that give it."""

    value: float
    prices: Floats
    bound: float
    at: Floats
