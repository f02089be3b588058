"""Space the shelves and rods of some bays anew, all at once, at the widths that they have.

Openings are generated until the linear program over them (`spacing_program`) is solved, each the best at the prices
of pieces and heights, a bounded knapsack (`opening_knapsack`; Gilmore and Gomory 1961, Operations Research 9, 849-859).
The integer program then takes those that can still better what stands. Between two such steps the width that bays do
not need is given to another, so that widths change too.
"""

from __future__ import annotations

import random
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from math import gcd

import numpy as np

from capacity.layout.corners import ends_of
from capacity.layout.layout import Bay, Holding, Layout, is_within_budget, panel_area, value_of
from capacity.layout.needs import needed_width
from capacity.layout.problem import BlockedPart, OpeningKind, Problem
from capacity.layout.sketches import BaySketch, OpeningSketch, build_bay, build_wall, sketch_of, widest
from capacity.layout.towers import groups_of, towers_of
from capacity.solver.effort import Effort
from capacity.solver.filling.patterns import HandingOut
from capacity.solver.relaxation.columns import AREA
from capacity.solver.relaxation.master import Master
from capacity.solver.relaxation.wall_pricing import plain_room, room_between
from capacity.solver.search.spacing_program import (
    ON_FLOOR,
    ON_TOP,
    PRESCRIBED,
    EmptyBay,
    Facts,
    Pattern,
    PatternProgram,
)

STEPS = 60
"""Pricing steps at most; 3 to 15 are enough for most."""

HEIGHTS = 3
"""Openings added a step, stretch and kind, best first."""

LITTLE_GAIN = 1.0e-6
"""Least gain for which a pattern is added."""

MOST_PATTERNS = 120
"""Openings among which the integer program chooses, those that the relaxation would rather use first."""

BayIndex = tuple[int, int]
"""Wall and bay, from 0."""

Candidate = tuple[int, int, OpeningKind, int]
"""Bay, stretch, kind and clear height of an opening."""


def with_slack_moved(problem: Problem, layout: Layout, places: Iterable[BayIndex], chance: random.Random) -> Layout:
    """Give what bays at `places` do not need of their width, and what is free on their walls, to one of them a wall.

    Walls whose bays have places of their own, bays that must be and the walls beside them are left alone.
    """
    walls = list(layout.walls)
    by_wall: dict[int, list[int]] = defaultdict(list)
    for w, b in sorted(places):
        by_wall[w].append(b)
    for w, mine in sorted(by_wall.items()):
        run = problem.runs[w]
        if not run.is_plain or run.fixed or run.shares_left or run.shares_right:
            continue
        towers = towers_of(problem, groups_of(problem), run.spot)
        sketches = [sketch_of(problem, w, bay) for bay in walls[w].bays]
        for b in mine:
            least = max((needed_width(problem, towers, opening) for opening in walls[w].bays[b].openings), default=0)
            least = problem.rules.width_up(max(problem.rules.min_bay, least))
            sketches[b] = replace(sketches[b], width=min(sketches[b].width, least))
        start, end = ends_of(problem, w, layout.owners)
        thick = problem.rules.panel
        slack = end - start - thick - sum(sketch.width + thick for sketch in sketches)
        taker = chance.choice(mine)
        most = widest(problem, w, sketches[taker])
        sketches[taker] = replace(sketches[taker], width=min(most, sketches[taker].width + max(0, slack)))
        walls[w] = build_wall(problem, w, layout.owners, sketches)
    return replace(layout, walls=tuple(walls))


def space_anew(master: Master, layout: Layout, places: Iterable[BayIndex], effort: Effort, nodes: int) -> Layout:
    """The layout with the bays at `places` spaced anew, or as it was where nothing better was found.

    Parameters
    ----------
    master
        Its tables price the openings.
    layout
        What stands; whatever is not at `places` stays.
    effort, nodes
        Branching nodes of the integer program, which is spared where the relaxation cannot be better.
    """
    problem = master.problem
    spacing = Spacing(master, layout, sorted(places))
    most = spacing.relax(effort)
    before = value_of(problem, layout)
    if effort.is_over or int(most + 1e-6) <= before:
        return layout
    better = spacing.choose(effort, nodes)
    if value_of(problem, better) <= before or not is_within_budget(problem, better):
        return layout
    return better


class Spacing:
    """Some bays of a layout that are spaced anew, and the openings found for them so far."""

    def __init__(self, master: Master, layout: Layout, places: Sequence[BayIndex]) -> None:
        self._master, self._problem, self._layout, self._places = master, master.problem, layout, places
        things, inside = self._problem.things, set(places)
        self._group_of = {
            things[index].row: number for number, group in enumerate(master.groups) for index in group.members
        }
        self._left = {thing.row: thing.count for thing in things}
        worth = {thing.row: thing.value for thing in things}
        self._elsewhere = 0
        for w, b, _, _, opening in layout.openings():
            for item in opening.holds if (w, b) not in inside else ():
                self._left[item.row] -= item.count
                self._elsewhere += worth[item.row] * item.count
        supply: Counter[int] = Counter()
        for row, number in self._left.items():
            supply[self._group_of[row]] += number
        self._bays = tuple(self._bay(w, layout.walls[w].bays[b]) for w, b in places)
        self._now = [pattern for index in range(len(places)) for pattern in self._standing(index)]
        self._facts = Facts(
            self._bays,
            tuple(supply[number] for number in range(len(master.groups))),
            np.array([float(group.value) for group in master.groups]),
            self._problem.rules.panel,
            self._panel_left() if self._problem.most_panel else None,
            self._unit(),
        )
        self._found: dict[Pattern, float] = {}
        self._most = 0.0

    # ---- bays -----------------------------------------------------------------------------------------

    def _unit(self) -> int:
        """What divides all that openings take of the height [ticks]."""
        thick, heights = self._problem.rules.panel, {pattern.height for pattern in self._now}
        for bay in self._bays:
            values = self._master.values_of(self._problem.runs[bay.run].spot)[bay.owner]
            heights.update(height for table in values.tables.values() for height in table.heights)
        return gcd(*(height + thick for height in heights), *(bay.saved for bay in self._bays)) or 1

    def _boxes(self, w: int, bay: Bay) -> list[BlockedPart]:
        """The blocked parts that a bay spans."""
        thick = self._problem.rules.panel
        blocked = self._problem.runs[w].blocked
        return [box for box in blocked if bay.left - thick < box.right and box.left < bay.left + bay.width + thick]

    def _bay(self, w: int, bay: Bay) -> EmptyBay:
        run, room = self._problem.runs[w], plain_room(self._problem, self._problem.runs[w])
        if not run.is_plain:
            ceiling = run.ceiling_over(bay.left, bay.left + bay.width)
            room = room_between(self._problem, run, ceiling, self._boxes(w, bay), is_bound=False)
        owner_of = {thing.row: thing.owner for thing in self._problem.things}
        names = {owner_of[item.row] for opening in bay.openings for item in opening.holds}
        owners = [values.owner for values in self._master.values_of(run.spot)]
        mine = [owners.index(name) for name in names if name is not None and name in owners]
        return EmptyBay(w, bay.width, bay.depth, room, min(mine, default=0), run.prescribed)

    def _standing(self, index: int) -> Iterator[Pattern]:
        """What a bay has now, each opening as low as its contents allow."""
        w, b = self._places[index]
        bay, room = self._layout.walls[w].bays[b], self._bays[index].room
        sketch, boxes = sketch_of(self._problem, w, bay), self._boxes(w, bay)
        given = len(self._bays[index].prescribed)
        for number, piece in enumerate(sketch.pieces[:given]):
            if piece.holds:
                yield self._pattern(index, PRESCRIBED - number, piece)
        others = [opening for opening in bay.openings[given:] if opening.holds]
        bottoms = [opening.bottom for opening in others if opening.bottom < self._problem.top]
        if sketch.floor:
            yield self._pattern(index, ON_FLOOR, sketch.floor)
            del bottoms[0]
        for piece, bottom in zip(sketch.pieces[given:], bottoms, strict=True):
            stretch = min(sum(box.top <= bottom for box in boxes), len(room.more))
            yield self._pattern(index, stretch, piece)
        if sketch.above:
            yield self._pattern(index, ON_TOP, OpeningSketch(OpeningKind.SHELF, room.above, sketch.above))

    def _pattern(self, bay: int, stretch: int, piece: OpeningSketch) -> Pattern:
        taken: Counter[tuple[int, bool]] = Counter()
        for item in piece.holds:
            taken[(self._group_of[item.row], item.turned)] += item.count
        holds = tuple(sorted((*key, number) for key, number in taken.items()))
        return Pattern(bay, stretch, piece.kind, piece.height, holds)

    def _panel_left(self) -> float:
        """Panel for openings that the rest of the layout, a bottom panel a bay and what must be leave [AREA]."""
        inside = set(self._places)
        rest = replace(
            self._layout,
            walls=tuple(
                replace(
                    wall,
                    bays=tuple(
                        replace(bay, openings=()) if (w, b) in inside else bay for b, bay in enumerate(wall.bays)
                    ),
                )
                for w, wall in enumerate(self._layout.walls)
            ),
        )
        left = (self._problem.most_panel - panel_area(self._problem, rest)) / AREA
        return left - sum(bay.panel * (1 + len(bay.prescribed)) for bay in self._bays)

    # ---- linear program -------------------------------------------------------------------------------

    def relax(self, effort: Effort) -> float:
        """Generate openings until none gains; no spacing on the grid of designs makes the layout worth more."""
        program = PatternProgram(self._facts)
        known = dict.fromkeys(self._now)
        for pattern in known:
            program.add(pattern)
        value = program.solve(effort)
        for _ in range(STEPS):
            new = [pattern for pattern in self._priced(program) if pattern not in known]
            if not new:
                break
            for pattern in dict.fromkeys(new):
                program.add(pattern)
                known[pattern] = None
            value = program.solve(effort)
        self._found = program.gains()
        self._most = value + self._elsewhere
        return self._most

    def _priced(self, program: PatternProgram) -> list[Pattern]:
        """The openings that gain most at the prices of the linear program."""
        self._master.price_openings(program.prices())
        found = [item for index in range(len(self._bays)) for item in self._gaining(program, index)]
        patterns = []
        for index, stretch, kind, height in found:
            bay = self._bays[index]
            run = self._problem.runs[bay.run]
            values = self._master.values_of(run.prescribed_spot if stretch <= PRESCRIBED else run.spot)[bay.owner]
            taken = values.opening_contents(kind, height, bay.width)
            holds = tuple(sorted((*key, number) for key, number in taken.items()))
            patterns.append(Pattern(index, stretch, kind, height, holds))
        return patterns

    def _gaining(self, program: PatternProgram, index: int) -> Iterator[Candidate]:
        bay, thick = self._bays[index], self._problem.rules.panel
        run = self._problem.runs[bay.run]
        values = self._master.values_of(run.spot)[bay.owner]
        for number, item in enumerate(bay.prescribed):
            given = self._master.values_of(run.prescribed_spot)[bay.owner]
            gain_there = given.opening_value(item.kind, item.height, bay.width)
            if gain_there - program.single_price(index, PRESCRIBED - number) > LITTLE_GAIN:
                yield index, PRESCRIBED - number, item.kind, item.height
        for kind, table in values.tables.items():
            if bay.width > self._problem.longest(bay.run, kind) or not table.heights:
                continue
            costs = np.array(table.heights, dtype=np.float64) + thick
            room = values.opening_room(kind, bay.width)
            worth = table.values[table.row_of, room] - program.panel_price(bay)
            for stretch, height in enumerate(bay.stretches if kind in run.kinds else ()):
                price = program.height_price(index, stretch)
                if kind is OpeningKind.DRAWER:
                    price, height = price + program.drawer_price(index, stretch), bay.room.stretches[stretch][1]
                gain = np.where(costs <= height, worth - price * costs, 0.0)
                for at in np.argsort(-gain, kind="stable")[:HEIGHTS]:
                    if gain[at] > LITTLE_GAIN:
                        yield index, stretch, kind, table.heights[int(at)]
            if kind is OpeningKind.HANG and not bay.prescribed:
                gain = worth - program.height_price(index, 0) * (costs - bay.saved)
                gain -= program.drawer_price(index, 0) * (bay.room.drawers[0] if bay.room.drawers else 0)
                gain = np.where(costs <= bay.room.standing, gain - program.single_price(index, ON_FLOOR), 0.0)
                at = int(np.argmax(gain))
                if gain[at] > LITTLE_GAIN:
                    yield index, ON_FLOOR, kind, table.heights[at]
            row = table.row_for(bay.room.above) if kind is OpeningKind.SHELF else -1
            if row >= 0 and table.values[row, room] - program.single_price(index, ON_TOP) > LITTLE_GAIN:
                yield index, ON_TOP, kind, bay.room.above

    # ---- integer program ------------------------------------------------------------------------------

    def choose(self, effort: Effort, nodes: int) -> Layout:
        """The layout with the best openings found; after `relax`."""
        least = value_of(self._problem, self._layout)
        useful = sorted((-gain, pattern) for pattern, gain in self._found.items() if self._most + gain > least)
        program = PatternProgram(self._facts)
        for pattern in sorted({*(pattern for _, pattern in useful[:MOST_PATTERNS]), *self._now}):
            program.add(pattern)
        chosen = program.choose(Counter(self._now), effort, nodes)
        return self._built(chosen) if chosen else self._layout

    def _built(self, chosen: Sequence[Pattern]) -> Layout:
        by_bay: dict[int, list[Pattern]] = defaultdict(list)
        for pattern in sorted(chosen, key=lambda pattern: (pattern.bay, pattern.stretch)):
            by_bay[pattern.bay].append(pattern)
        hand_out = HandingOut(self._master, self._left)
        walls = [list(wall.bays) for wall in self._layout.walls]
        for index, (w, b) in enumerate(self._places):
            floor: OpeningSketch | None = None
            given = self._bays[index].prescribed
            pieces = [OpeningSketch(item.kind, item.height) for item in given]
            above: tuple[Holding, ...] = ()
            for pattern in by_bay[index]:
                holds = hand_out.next({(group, turned): number for group, turned, number in pattern.holds})
                if not holds:
                    continue
                if pattern.stretch == ON_TOP:
                    above = holds
                elif pattern.stretch <= PRESCRIBED:
                    pieces[PRESCRIBED - pattern.stretch] = OpeningSketch(pattern.kind, pattern.height, holds)
                elif pattern.stretch == ON_FLOOR:
                    floor = OpeningSketch(pattern.kind, pattern.height, holds)
                else:
                    pieces.append(OpeningSketch(pattern.kind, pattern.height, holds))
            old = walls[w][b]
            sketch = BaySketch(old.width, floor, tuple(pieces), above, old.left)
            walls[w][b] = build_bay(self._problem, self._problem.runs[w], old.left, sketch)
        made = (replace(wall, bays=tuple(bays)) for wall, bays in zip(self._layout.walls, walls, strict=True))
        return replace(self._layout, walls=tuple(made))
