"""Take a few bays out and build them anew by a greedy rule with a grain of chance; quick, and never a proof.

`bay_building` makes each of them from what has no place yet. What stays without a place weighs more and more in its
choices, until a layout is found that has room for it (weights as in guided local search; Voudouris and Tsang 1999,
European Journal of Operational Research 113, 469-499; ruin and recreate: Schrimpf and others 2000, Journal of
Computational Physics 159, 139-171). A layout is kept when it is worth no less. Where a budget
binds, a bay ends when it is used up, and bays may be narrow and leave some of the wall empty.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

from capacity.layout.corners import ends_of
from capacity.layout.layout import Bay, Layout
from capacity.layout.problem import Problem
from capacity.layout.sketches import (
    BaySketch,
    build_wall,
    closed,
    is_free_of_blocked,
    sketch_of,
    uprights_besides,
)
from capacity.solver.effort import Effort
from capacity.solver.search.bay_building import BayBuilder, ScoredBay

HEAVIER, LIGHTER = 1.1, 0.98
"""Factors on the weight of what is left out, and on all weights above 1 after each step."""

MOST_WEIGHT, LAST_WEIGHT = 4.0, 40.0
"""Most weight, and that of the last piece: what is left out may weigh `LAST_WEIGHT` over the value that is missing.

One bulky piece of little value gets a place only where it goes first: with 4 the smallest sample is stored in full
after some 5000 steps, with 40 after some 900; where more is missing 4 finds more.
"""

DEARER, CHEAPER = 1.15, 0.93
"""Factors on the price of panel after a step above the budget, and after one within it."""

STEP = 1.5e-4
"""Work that a step counts for, besides building the bays."""

MORE_BAYS = (0, 0, 0, 1, 1, 2)
"""Bays beside the fewest that fill what is free of a wall, by chance: wide bays leave more room and keep piles whole.

Measured on the samples: published-count 273.6 after 0.2 s, where one to three alike gave 272.3 after 0.4 s.
"""

Worth = tuple[int, ...]
"""What layouts are compared by, the first number first."""


class Recreator:
    """Betters a layout by building bays anew; all chance comes from one seeded source."""

    def __init__(self, problem: Problem, chance: random.Random) -> None:
        self._problem, self._chance = problem, chance
        self._builder = BayBuilder(problem, chance)
        self._values = [thing.value for thing in problem.things]
        self._index = {thing.row: index for index, thing in enumerate(problem.things)}
        self._weights = [1.0] * len(problem.things)
        self._limit = 0
        self._most_weight = MOST_WEIGHT
        self._is_tight = False

    # ---- search ---------------------------------------------------------------------------------------

    def improve(self, layout: Layout, patience: int, effort: Effort, enough: int, is_thrifty: bool = False) -> Layout:
        """The best layout found before `patience` steps in a row found none, or one is worth `enough`.

        Between layouts of one value the one with fewer bays is the better: piles lie in few places, and less is cut.
        A thrifty search goes on from there: between layouts of one value the one with less panel is the better.
        """
        target = (self._problem.value_of_all + 1,) if is_thrifty else (enough,)
        return self._search(layout, patience, effort, target, is_thrifty)

    def _search(self, layout: Layout, patience: int, effort: Effort, target: Worth, is_thrifty: bool) -> Layout:
        """Steps until `patience` of them in a row bettered nothing, or the worth is no longer below the target."""
        walls = [[self._known(w, bay) for bay in wall.bays] for w, wall in enumerate(layout.walls)]
        now = best = self._worth_of(walls, is_thrifty)
        kept, stale = [list(wall) for wall in walls], 0
        while stale < patience and best < target and not effort.is_over:
            stale += 1
            self._builder.work = STEP
            new = self._changed(walls, layout.owners)
            if new is None:
                break
            effort.spend(self._builder.work)
            found = self._worth_of(new, is_thrifty)
            self._most_weight = max(MOST_WEIGHT, LAST_WEIGHT / max(1, target[0] - best[0]))
            self._is_tight = found[0] < 0 or self._builder.is_short
            self._learn(self._is_tight)
            if found >= now:
                walls, now = new, found
            if found > best:
                best, kept, stale = found, [list(wall) for wall in new], 0
        made = tuple(
            build_wall(
                self._problem,
                w,
                layout.owners,
                sorted(self._sketches(w, wall) or [], key=lambda sketch: sketch.left or 0),
            )
            for w, wall in enumerate(kept)
        )
        return Layout(made, layout.owners)

    def _changed(self, walls: Sequence[Sequence[ScoredBay]], owners: tuple[bool, ...]) -> list[list[ScoredBay]] | None:
        """The walls with some bays built anew; None where there is nothing to build anew."""
        picked = self._pick(walls)
        return self._rebuild(walls, owners, picked) if picked else None

    def _worth_of(self, walls: Sequence[Sequence[ScoredBay]], is_thrifty: bool) -> Worth:
        """Value first, then few bays, or little panel for a thrifty search; below 0 by how much it is too dear."""
        most = self._problem.most_panel
        area = sum(self._area_of(w, wall) for w, wall in enumerate(walls)) if most or is_thrifty else 0
        if most:
            total = area + sum(
                uprights_besides(self._problem, w, self._sketches(w, wall) or []) for w, wall in enumerate(walls)
            )
            if total > most:
                return most - total, 0
        value = sum(bay.value for wall in walls for bay in wall)
        return value, -area if is_thrifty else -sum(bay.area > 0 for wall in walls for bay in wall)

    def _known(self, w: int, bay: Bay) -> ScoredBay:
        counted: dict[int, int] = {}
        for opening in bay.openings:
            for holding in opening.holds:
                index = self._index[holding.row]
                counted[index] = counted.get(index, 0) + holding.count
        value = sum(self._values[index] * number for index, number in counted.items())
        sketch = sketch_of(self._problem, w, bay)
        is_fixed = not is_free_of_blocked(self._problem, w, bay)
        return ScoredBay(sketch, value, tuple(counted.items()), is_fixed, self._builder.area(w, sketch))

    def _sketches(self, w: int, wall: Sequence[ScoredBay]) -> list[BaySketch] | None:
        """The bays that are built; None where they leave a gap that is too narrow."""
        return closed(self._problem, w, [bay.sketch for bay in wall if bay.area])

    def _area_of(self, w: int, wall: Sequence[ScoredBay]) -> int:
        if not self._problem.runs[w].is_between:
            return sum(bay.area for bay in wall)
        return sum(self._builder.area(w, sketch) for sketch in self._sketches(w, wall) or [])

    def _pick(self, walls: Sequence[Sequence[ScoredBay]]) -> set[tuple[int, int]]:
        """One to three bays, next to each other or anywhere; an empty wall counts as one."""
        places = [(w, b) for w, wall in enumerate(walls) for b, bay in enumerate(wall) if not bay.is_fixed]
        places += [(w, 0) for w, wall in enumerate(walls) if not wall and self._problem.runs[w].is_plain]
        if not places:
            return set()
        number = self._chance.choice((1, 2, 2, 2, 3))
        first = self._chance.choice(places)
        if self._chance.random() < 0.4:
            near = sorted(places, key=lambda place: (place[0] != first[0], abs(place[1] - first[1])))
            return set(near[:number])
        return {first, *self._chance.sample(places, min(number, len(places)) - 1)}

    def _learn(self, is_too_dear: bool) -> None:
        """What has no place weighs more from now on; panel too, where the budget does not buy so much."""
        if is_too_dear:
            average = self._problem.value_of_all / self._problem.most_panel
            self._builder.panel_price = min(4.0 * average, max(0.1 * average, self._builder.panel_price * DEARER))
        else:
            self._builder.panel_price *= CHEAPER
        for index, left in enumerate(self._builder.supply):
            weight = self._weights[index]
            if left > 0:
                self._weights[index] = min(self._most_weight, weight * HEAVIER)
            elif weight > 1.0:
                self._weights[index] = max(1.0, weight * LIGHTER)

    def _rebuild(
        self, walls: Sequence[Sequence[ScoredBay]], owners: tuple[bool, ...], picked: set[tuple[int, int]]
    ) -> list[list[ScoredBay]]:
        supply = [thing.count for thing in self._problem.things]
        for w, wall in enumerate(walls):
            for b, bay in enumerate(wall):
                if (w, b) not in picked:
                    for index, number in bay.pieces:
                        supply[index] -= number
        draw = self._chance.random
        worth = [
            value * weight * (0.7 + 0.6 * draw()) for value, weight in zip(self._values, self._weights, strict=True)
        ]
        spots = dict.fromkeys(self._problem.runs[w].spot for w, _ in picked)
        self._builder.begin(supply, worth, list(spots))
        if self._problem.most_panel:
            self._builder.panel_left, self._builder.is_short = self._panel_besides(walls, picked), False
        new: list[list[ScoredBay]] = [list(wall) for wall in walls]
        for w in sorted({w for w, _ in picked}, key=lambda _: draw()):
            out = {b for wall, b in picked if wall == w}
            kept = [bay for b, bay in enumerate(walls[w]) if b not in out]
            old = [walls[w][b] for b in sorted(out) if b < len(walls[w])]
            supply, panel_left = list(self._builder.supply), self._builder.panel_left
            new[w] = self._wall(w, kept, old, owners)
            if self._sketches(w, new[w]) is None:  # an upright of its own instead
                self._builder.supply, self._builder.panel_left = supply, panel_left
                new[w] = self._wall(w, kept, old, owners, self._problem.rules.panel)
        return new

    def _panel_besides(self, walls: Sequence[Sequence[ScoredBay]], picked: set[tuple[int, int]]) -> int:
        """Panel that the budget leaves beside what is not picked and the last upright of each wall to be built on."""
        left = self._problem.most_panel
        for w, wall in enumerate(walls):
            kept = [bay for b, bay in enumerate(wall) if (w, b) not in picked]
            sketches = self._sketches(w, kept) or []
            if not sketches and any(run == w for run, _ in picked):
                sketches = [BaySketch(self._problem.rules.min_bay, None, ())]
            left -= self._area_of(w, kept) + uprights_besides(self._problem, w, sketches)
        return left

    def _wall(
        self, w: int, kept: list[ScoredBay], out: Sequence[ScoredBay], owners: tuple[bool, ...], less: int = 0
    ) -> list[ScoredBay]:
        """The bays that are kept and new ones beside them; `less` of a plain wall stays free."""
        run, thick = self._problem.runs[w], self._problem.rules.panel
        if run.fixed and run.is_plain:
            return [self._builder.bay(w, run.fixed, run.ceiling_left, None)]
        if not run.is_plain:
            made = []
            for bay in out:
                left, width = bay.sketch.left or 0, bay.sketch.width
                made.append(self._builder.bay(w, width, run.ceiling_over(left, left + width), left))
            return kept + made
        start, end = ends_of(self._problem, w, owners)
        room = end - start - less - thick - sum(bay.sketch.width + thick for bay in kept)
        made = []
        widths = self._widths(room)
        for number, width in enumerate(widths):
            if number == len(widths) - 1 and not self._is_tight:
                width = min(max(width, room - thick), self._limit)
            width = self._problem.rules.width_down(width) if self._problem.has_marked_widths(run) else width
            bay = self._builder.bay(w, width, run.ceiling_left, None)
            room -= bay.sketch.width + thick
            made.append(bay)
        return kept + made

    def _widths(self, room: int) -> list[int]:
        """Widths that share out some room, uprights included, by chance."""
        rules = self._problem.rules
        thick, widest, narrowest = rules.panel, max(rules.max_shelf, rules.max_rod), rules.width_up(rules.min_bay)
        most = room // (narrowest + thick)
        self._limit = rules.max_shelf if self._chance.random() < 0.8 else widest
        if most < 1:
            return []
        least = min(most, -(-room // (widest + thick)))
        number = min(most, least + self._chance.choice(MORE_BAYS))
        if self._problem.most_panel:  # a budget may leave some of the wall empty
            number = self._chance.randint(0, number)
        if number == 0:
            return []
        left = room - number * (narrowest + thick)
        if self._is_tight:
            left = int(left * self._chance.random() ** 0.5)
        shares = [self._chance.random() + 0.3 for _ in range(number)]
        extra = [int(left * share / sum(shares)) for share in shares]
        return [max(narrowest, min(narrowest + more, self._limit)) for more in extra]
