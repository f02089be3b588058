"""Which openings some bays get at the widths that they have: a program over patterns, linear or in whole numbers.

    maximise  sum_g v_g S_g   subject to   S_g <= pieces of g that are free,   S_g <= sum_j a_gj x_j,
              heights of the openings in each stretch of a bay, panels included, <= its height,
              at most one rod on the floor, one filling of the top and one of each opening that must be, a bay,
              panel <= what the budget leaves,
              drawers of each stretch <= what they may take of it (none over a rod on the floor)

A pattern j is one opening of one bay with what it holds. Whole numbers are found by HiGHS; branching nodes are counted,
not seconds, so that the same patterns give the same answer.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import highspy
import numpy as np

from capacity.layout.problem import OpeningKind, PrescribedOpening
from capacity.solver.effort import Effort
from capacity.solver.relaxation.bay_pricing import Headroom
from capacity.solver.relaxation.columns import AREA
from capacity.solver.relaxation.highs import new_program, solve_relaxed, solve_whole_numbers
from capacity.solver.relaxation.opening_knapsack import Floats

ON_FLOOR, ON_TOP, PRESCRIBED = -1, -2, -3
"""Stand for a stretch: a rod that stands on the floor, what lies over the top panel, and the lowest of the openings
that must be; the next higher of these is one less, and so on."""


@dataclass(frozen=True, slots=True, order=True)
class Pattern:
    """An opening with its contents, as (group, turned, pieces).

    `bay` is an index into the bays of the program; `stretch` counts the stretches of its height from the floor up, or
    is ON_FLOOR, ON_TOP, or PRESCRIBED and less; `height` is the clear height [ticks].
    """

    bay: int
    stretch: int
    kind: OpeningKind
    height: int
    holds: tuple[tuple[int, bool, int], ...]


@dataclass(frozen=True, slots=True)
class EmptyBay:
    """A bay without openings: its run, clear width and depth [ticks], heights, the index of its owner, what must be."""

    run: int
    width: int
    depth: int
    room: Headroom
    owner: int
    prescribed: tuple[PrescribedOpening, ...] = ()

    @property
    def singles(self) -> tuple[int, ...]:
        """Stretches that take one opening each."""
        return (ON_FLOOR, ON_TOP, *(PRESCRIBED - number for number in range(len(self.prescribed))))

    @property
    def stretches(self) -> tuple[int, ...]:
        """Heights of its stretches from the floor up, the panels over the openings included [ticks]."""
        return tuple(room for room, _ in self.room.stretches)

    @property
    def saved(self) -> int:
        """What a rod on the floor does without: toe kick and bottom panel [ticks]."""
        return self.room.standing - self.room.kicked

    @property
    def panel(self) -> float:
        """One panel of the bay [AREA]."""
        return self.width * self.depth / AREA


@dataclass(frozen=True, slots=True)
class Facts:
    """What the program is about.

    `supply` and `worth` are pieces that are free and value a piece, by group; `thick` is the thickness of a panel
    [ticks]; `panel_left` the panel that openings may take, one each [AREA; None: any]; `unit` divides what each opening
    takes of the height [ticks].
    """

    bays: tuple[EmptyBay, ...]
    supply: tuple[int, ...]
    worth: Floats
    thick: int
    panel_left: float | None
    unit: int


class PatternProgram:
    """The program over the patterns added so far, linear (`solve`) or in whole numbers (`choose`)."""

    def __init__(self, facts: Facts) -> None:
        self._facts = facts
        limits = [0.0] * len(facts.supply)
        self._height_rows: list[int] = []
        for bay in facts.bays:
            self._height_rows.append(len(limits))
            limits += [float(max(0, height) // facts.unit) for height in bay.stretches]
        self._drawer_rows: list[int] = []
        for bay in facts.bays:
            self._drawer_rows.append(len(limits))
            limits += [float(max(0, drawers) // facts.unit) for _, drawers in bay.room.stretches]
        singles = [(index, stretch) for index, bay in enumerate(facts.bays) for stretch in bay.singles]
        self._single_rows = {single: len(limits) + number for number, single in enumerate(singles)}
        limits += [1.0] * len(singles)
        self._panel_row = len(limits)
        if facts.panel_left is not None:
            limits.append(max(0.0, facts.panel_left))
        solver = self._solver = new_program()
        for limit in limits:
            solver.addRow(-highspy.kHighsInf, limit, 0, [], [])
        for group, (free, worth) in enumerate(zip(facts.supply, facts.worth, strict=True)):
            solver.addCol(-float(worth), 0.0, float(free), 1, [group], [1.0])
        self._patterns: list[Pattern] = []

    def add(self, pattern: Pattern) -> None:
        """Let a pattern be used."""
        bay, cost = self._facts.bays[pattern.bay], pattern.height + self._facts.thick
        most = 1 if pattern.stretch < 0 else max(1, bay.stretches[pattern.stretch] // cost)
        total: Counter[int] = Counter()
        for group, _, number in pattern.holds:
            total[group] += number
        entries = {group: -float(min(number, self._facts.supply[group])) for group, number in total.items() if number}
        if pattern.stretch < 0:
            entries[self._single_rows[pattern.bay, pattern.stretch]] = 1.0
        if pattern.stretch >= ON_FLOOR:
            if pattern.stretch == ON_FLOOR:
                if bay.room.drawers:  # over a rod on the floor there are none
                    entries[self._drawer_rows[pattern.bay]] = float(bay.room.drawers[0] // self._facts.unit)
                cost -= bay.saved
            elif pattern.kind is OpeningKind.DRAWER:
                entries[self._drawer_rows[pattern.bay] + pattern.stretch] = float(cost // self._facts.unit)
            entries[self._height_rows[pattern.bay] + max(0, pattern.stretch)] = float(cost // self._facts.unit)
            if self._facts.panel_left is not None:
                entries[self._panel_row] = bay.panel
        self._solver.addCol(0.0, 0.0, float(most), len(entries), [*entries], [*entries.values()])
        self._patterns.append(pattern)

    def solve(self, effort: Effort) -> float:
        """Solve the linear program; its value.

        Raises
        ------
        AssertionError
            When the solver gives anything but an optimum: an empty answer would look like convergence.
        """
        value = solve_relaxed(self._solver, effort)
        solution = self._solver.getSolution()
        self._prices = -np.array(solution.row_dual)
        self._gains = -np.array(solution.col_dual)[len(self._facts.supply) :]
        return -value

    def prices(self) -> Floats:
        """The price of a piece of each group, shape (groups,)."""
        clipped: Floats = np.clip(self._prices[: len(self._facts.supply)], 0.0, self._facts.worth)
        return clipped

    def height_price(self, bay: int, stretch: int) -> float:
        """The price of a tick of height."""
        return float(self._prices[self._height_rows[bay] + stretch]) / self._facts.unit

    def drawer_price(self, bay: int, stretch: int) -> float:
        """The price of a tick of what drawers may take of the height."""
        return float(self._prices[self._drawer_rows[bay] + stretch]) / self._facts.unit

    def panel_price(self, bay: EmptyBay) -> float:
        """The price of one panel of a bay."""
        return 0.0 if self._facts.panel_left is None else float(self._prices[self._panel_row]) * bay.panel

    def single_price(self, bay: int, stretch: int) -> float:
        """The price of the one rod on the floor, the one filling of the top or of an opening that must be."""
        return float(self._prices[self._single_rows[bay, stretch]])

    def gains(self) -> dict[Pattern, float]:
        """What one more of each pattern would add to the relaxation, below 0 what it would cost."""
        return dict(zip(self._patterns, self._gains.tolist(), strict=True))

    def choose(self, hint: Counter[Pattern], effort: Effort, nodes: int) -> list[Pattern]:
        """The best whole numbers found from those of the hint, a pattern as often as it is used; none: none found."""
        stored: Counter[int] = Counter()
        for pattern, times in hint.items():
            for group, _, number in pattern.holds:
                stored[group] += times * number
        start = [float(min(stored[group], free)) for group, free in enumerate(self._facts.supply)]
        start += [float(hint[pattern]) for pattern in self._patterns]
        values = solve_whole_numbers(self._solver, start, effort, nodes)[len(self._facts.supply) :]
        chosen = zip(self._patterns, values, strict=False)
        return [pattern for pattern, value in chosen for _ in range(round(value))]
