"""Openings that aim at the zones of reach: the same value with less inconvenience, by chance and never a proof.

Bays are built anew as in `ruin_and_recreate`, and between two bays openings, piles and parts of piles change places,
which keeps the value. A bay counts with the best order of its openings. A layout is kept when it stores no less and is
no less convenient. What is asked for often thus comes between knuckle and shoulder; in a warehouse this is called
slotting (common practice).
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from capacity.layout.layout import Bay, Holding, Layout, is_within_budget, value_of
from capacity.layout.needs import width_for
from capacity.layout.problem import OpeningKind, Problem, Site
from capacity.layout.reach_zones import PriceList, Zone
from capacity.layout.sketches import (
    BaySketch,
    OpeningSketch,
    as_it_stands,
    build_bay,
    closed,
    heightened,
    is_free_of_blocked,
    widened,
)
from capacity.solver.effort import Effort
from capacity.solver.goals.reach_order import best_order
from capacity.solver.search.ruin_and_recreate import Recreator, ScoredBay, Worth

REBUILT = 0.15
"""Share of the steps that build bays anew; the others exchange."""

Lines = dict[tuple[int, bool], tuple[int, tuple[tuple[int, int], ...]]]
"""Width of a column of a thing and turning, and (clear height, pieces) of its stacks, rising."""


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """Where something lies: run, bay, and the number of the opening from the floor up (`ABOVE`: over the top panel)."""

    run: int
    bay: int
    opening: int


FLOOR, ABOVE = -1, -2


class Zoner(Recreator):
    """Betters a layout's inconvenience at the value that it has; all chance comes from one seeded source."""

    def __init__(
        self, problem: Problem, chance: random.Random, zones: Mapping[str, Zone], has_extra_shelves: bool = True
    ) -> None:
        super().__init__(problem, chance)
        self._has_extra_shelves = has_extra_shelves and not problem.most_panel
        self._prices = PriceList(problem, zones)
        self._ordered: dict[tuple[int, BaySketch], tuple[int, BaySketch]] = {}
        self._least_value = 0
        self._was_exchange = False
        self._lines: dict[Site, Lines] = {}
        for spot, towers in self._towers.items():
            lines: dict[tuple[int, bool], list[tuple[int, int]]] = {}
            widths: dict[tuple[int, bool], int] = {}
            for tower in towers:
                key = (tower.group, tower.turned)
                lines.setdefault(key, []).append((tower.need, tower.pieces))
                widths[key] = tower.width
            self._lines[spot] = {key: (widths[key], tuple(sorted(steps))) for key, steps in lines.items()}

    def ease(self, layout: Layout, least: int, patience: int, effort: Effort, is_thrifty: bool = False) -> Layout:
        """The most convenient layout of no less value found before `patience` steps in a row found none.

        Parameters
        ----------
        layout
            Where to begin.
        least
            An inconvenience that is good enough.
        patience, effort
            When to end.
        is_thrifty
            Of layouts alike in value and inconvenience, one with less panel is the better.
        """
        self._least_value = value_of(self._problem, layout)
        everything = self._problem.value_of_all
        target = (everything + 1,) if is_thrifty else (everything, -least)
        made = self._search(layout, patience, effort, target, is_thrifty)
        wide = widened(self._problem, made)
        return wide if is_within_budget(self._problem, wide) else made

    # ---- worth ----------------------------------------------------------------------------------------

    def _worth_of(self, walls: Sequence[Sequence[ScoredBay]], is_thrifty: bool) -> Worth:
        value, area = super()._worth_of(walls, is_thrifty)
        if value < self._least_value:
            return value, 0
        cost = sum(self._in_order(w, bay.sketch)[0] for w, wall in enumerate(walls) for bay in wall)
        return value, -cost, area

    def _as_built(self, w: int, wall: Sequence[ScoredBay]) -> list[BaySketch]:
        ordered = [self._in_order(w, bay.sketch)[1] for bay in wall if bay.area]
        made = closed(self._problem, w, ordered)
        return super()._as_built(w, wall) if made is None else made

    def _in_order(self, w: int, sketch: BaySketch) -> tuple[int, BaySketch]:
        """The inconvenience of a bay with its openings in the best order, and that order."""
        key = (w, sketch)
        found = self._ordered.get(key)
        if found is None:
            run = self._problem.runs[w]
            left = self._problem.rules.panel if sketch.left is None else sketch.left
            bay = build_bay(self._problem, run, left, sketch)
            bays = [bay]
            if is_free_of_blocked(self._problem, w, bay):
                higher = heightened(self._problem, w, bay, sketch, self._has_extra_shelves)
                both = [bay, build_bay(self._problem, run, left, higher)]
                bays = [best_order(self._problem, item, self._prices) for item in both]
            cost, _, best = min((self._cost(item), -number, item) for number, item in enumerate(bays))
            found = self._ordered[key] = cost, as_it_stands(self._problem, best, sketch.left)
        return found

    def _cost(self, bay: Bay) -> int:
        return sum(
            self._prices.contents(item.kind, item.bottom, item.height, bay.depth, item.holds) for item in bay.openings
        )

    def _known(self, w: int, bay: Bay) -> ScoredBay:
        built = super()._known(w, bay)
        return built if built.is_fixed else self._narrowed(w, built)

    def _narrowed(self, w: int, built: ScoredBay) -> ScoredBay:
        """As narrow as its contents allow, where it may stand anywhere."""
        if built.sketch.left is not None or self._problem.runs[w].fixed or not built.area:
            return built
        made = self._fitted(w, built.sketch)
        if made is None or made.width > built.sketch.width:
            return built
        return replace(built, sketch=made, area=self._area(w, made))

    # ---- steps ----------------------------------------------------------------------------------------

    def _changed(self, walls: Sequence[Sequence[ScoredBay]], owners: tuple[bool, ...]) -> list[list[ScoredBay]] | None:
        self._was_exchange = self._chance.random() >= REBUILT
        if not self._was_exchange:
            return super()._changed(walls, owners)
        new = [list(wall) for wall in walls]
        slots = self._slots(walls)
        if len(slots) < 2:
            return new
        for _ in range(20):
            first, second = self._chance.sample(slots, 2)
            if self._exchange(new, owners, first, second):
                break
        return new

    def _learn(self, is_too_dear: bool) -> None:
        if not self._was_exchange:
            super()._learn(is_too_dear)

    def _slots(self, walls: Sequence[Sequence[ScoredBay]]) -> list[Whereabouts]:
        found = []
        for w, wall in enumerate(walls):
            run = self._problem.runs[w]
            for b, bay in enumerate(wall):
                if bay.is_fixed or not bay.area:
                    continue
                if bay.sketch.floor is not None:
                    found.append(Whereabouts(w, b, FLOOR))
                found += [Whereabouts(w, b, number) for number in range(len(bay.sketch.pieces))]
                left = bay.sketch.left or 0
                if run.ceiling_over(left, left + bay.sketch.width) > self._problem.top and not run.blocked:
                    found.append(Whereabouts(w, b, ABOVE))
        return found

    def _exchange(
        self, walls: list[list[ScoredBay]], owners: tuple[bool, ...], first: Whereabouts, second: Whereabouts
    ) -> bool:
        """Exchange openings or contents, in place; False where that is no change or breaks a rule."""
        draw = self._chance.random
        sketches = {(slot.run, slot.bay): walls[slot.run][slot.bay].sketch for slot in (first, second)}
        one, two = (_piece(sketches[slot.run, slot.bay], slot.opening) for slot in (first, second))
        is_same_bay = len(sketches) == 1
        way = draw()
        changes: list[tuple[Whereabouts, OpeningSketch | None]]
        if way < 0.35 and not is_same_bay and first.opening >= 0:
            # whole openings: one for the other, or one that moves over
            if second.opening >= 0 and draw() < 0.6:
                changes = [(first, two), (second, one)]
            else:
                changes = [
                    (first, None),
                    (Whereabouts(second.run, second.bay, len(sketches[second.run, second.bay].pieces)), one),
                ]
        else:
            if one.kind is not two.kind or not (one.holds or two.holds):
                return False
            given = self._some_of(one.holds)
            taken = self._some_of(two.holds) if draw() < 0.7 or not given else ()
            if not given and not taken:
                return False
            changes = [
                (first, replace(one, holds=_without(one.holds, given, taken))),
                (second, replace(two, holds=_without(two.holds, taken, given))),
            ]
        for slot, piece in changes:
            sketches[slot.run, slot.bay] = _with_piece(sketches[slot.run, slot.bay], slot.opening, piece)
        made: dict[tuple[int, int], ScoredBay] = {}
        for (w, b), sketch in sketches.items():
            sketch = replace(sketch, pieces=tuple(piece for piece in sketch.pieces if piece.holds))
            if sketch.floor is not None and not sketch.floor.holds:
                sketch = replace(sketch, floor=None)
            fitted = self._fitted(w, sketch)
            if fitted is None or not self._is_of_one_owner(fitted):
                return False
            made[w, b] = self._built(w, fitted)
        for w in {w for w, _ in made}:
            if not self._fits_wall(w, owners, walls, made):
                return False
        for (w, b), built in made.items():
            walls[w][b] = built
        return True

    def _some_of(self, holds: tuple[Holding, ...]) -> tuple[Holding, ...]:
        """One pile of an opening, or a part of it."""
        if not holds:
            return ()
        item = self._chance.choice(holds)
        if item.count > 1 and self._chance.random() < 0.4:
            item = replace(item, count=self._chance.randint(1, item.count - 1))
        return (item,)

    # ---- fitting --------------------------------------------------------------------------------------

    def _fitted(self, w: int, sketch: BaySketch) -> BaySketch | None:
        """The bay with each opening as high as its contents need, and as wide as needed; None where it does not fit."""
        problem, run = self._problem, self._problem.runs[w]
        rules = problem.rules
        left = sketch.left or 0
        ceiling = run.ceiling_over(left, left + sketch.width)
        upper = min(problem.top, ceiling)
        width, used = rules.min_bay, 0 if sketch.floor else rules.base
        limits = []
        floor, pieces = sketch.floor, []
        for piece in (*([floor] if floor else []), *sketch.pieces):
            found = self._need(run.spot, piece.height, piece.holds)
            if found is None:
                return None
            height, taken = found
            used += height + rules.panel
            width = max(width, width_for(self._problem.rules, piece.kind, taken))
            limits.append(problem.longest(w, piece.kind))
            pieces.append(replace(piece, height=height))
        if sketch.above:
            found = self._need(run.spot, ceiling - problem.top, sketch.above)
            if found is None or found[0] > ceiling - problem.top:
                return None
            width = max(width, width_for(self._problem.rules, OpeningKind.SHELF, found[1]))
            limits.append(problem.longest(w, OpeningKind.SHELF))
        if used > upper:
            return None
        if sketch.left is not None or run.fixed:
            if width > sketch.width:
                return None
            width = sketch.width
        elif width > min(limits, default=width):
            return None
        return replace(sketch, width=width, floor=pieces.pop(0) if floor else None, pieces=tuple(pieces))

    def _need(self, spot: Site, height: int, holds: Sequence[Holding]) -> tuple[int, int] | None:
        """Least clear height, and width, for contents in an opening so high, or as much higher as they need."""
        lines, index_of = self._lines[spot], self._index
        columns: list[tuple[int, tuple[tuple[int, int], ...], int]] = []
        for item in holds:
            line = lines.get((index_of[item.row], item.turned))
            if line is None:
                return None
            columns.append((*line, item.count))
            height = max(height, line[1][0][0])
        need = total = 0
        for width, steps, count in columns:
            number = -(-count // max(pieces for least, pieces in steps if least <= height))
            need = max(need, next(least for least, pieces in steps if -(-count // pieces) <= number))
            total += number * width
        return need, total

    def _fits_wall(
        self,
        w: int,
        owners: tuple[bool, ...],
        walls: Sequence[Sequence[ScoredBay]],
        made: Mapping[tuple[int, int], ScoredBay],
    ) -> bool:
        run, thick = self._problem.runs[w], self._problem.rules.panel
        if run.fixed or not run.is_plain:
            return True
        start, end = self._problem.ends_of(w, owners)
        bays = [bay for b, old in enumerate(walls[w]) if (bay := made.get((w, b), old)).area]
        is_in = sum(bay.sketch.width + thick for bay in bays) + thick <= end - start
        return is_in and self._sketches(w, bays) is not None

    def _is_of_one_owner(self, sketch: BaySketch) -> bool:
        if not self._problem.rules.owners_apart:
            return True
        rows = {item.row for holds in _all_holds(sketch) for item in holds}
        owners = {self._problem.things[self._index[row]].owner for row in rows}
        return len(owners - {None}) <= 1

    def _built(self, w: int, sketch: BaySketch) -> ScoredBay:
        counted: dict[int, int] = {}
        for holds in _all_holds(sketch):
            for item in holds:
                index = self._index[item.row]
                counted[index] = counted.get(index, 0) + item.count
        value = sum(self._values[index] * number for index, number in counted.items())
        return ScoredBay(sketch, value, tuple(counted.items()), False, self._area(w, sketch))


def _all_holds(sketch: BaySketch) -> list[tuple[Holding, ...]]:
    floor = [sketch.floor.holds] if sketch.floor else []
    return [*floor, *(piece.holds for piece in sketch.pieces), sketch.above]


def _piece(sketch: BaySketch, number: int) -> OpeningSketch:
    if number == ABOVE:
        return OpeningSketch(OpeningKind.SHELF, 0, sketch.above)
    if number == FLOOR and sketch.floor is not None:
        return sketch.floor
    return sketch.pieces[number]


def _with_piece(sketch: BaySketch, number: int, piece: OpeningSketch | None) -> BaySketch:
    """A sketch with another piece at a place; None takes it out, a number past the last adds it."""
    if number == ABOVE:
        return replace(sketch, above=piece.holds if piece else ())
    if number == FLOOR:
        return replace(sketch, floor=piece)
    pieces = list(sketch.pieces)
    pieces[number : number + 1] = [piece or OpeningSketch(OpeningKind.SHELF, 1)]
    return replace(sketch, pieces=tuple(pieces))


def _without(holds: tuple[Holding, ...], out: tuple[Holding, ...], more: tuple[Holding, ...]) -> tuple[Holding, ...]:
    """Contents after something was taken out and something put in."""
    counted = {(item.row, item.turned): item.count for item in holds}
    for item in out:
        counted[item.row, item.turned] -= item.count
    for item in more:
        counted[item.row, item.turned] = counted.get((item.row, item.turned), 0) + item.count
    return tuple(sorted(Holding(row, count, turned) for (row, turned), count in counted.items() if count))


def with_least_trouble(problem: Problem, layout: Layout, zones: Mapping[str, Zone]) -> Layout:
    """The same openings with only the pieces that there are, those kept that are easiest to reach."""
    prices, left = PriceList(problem, zones), {thing.row: thing.count for thing in problem.things}
    kept: dict[tuple[int, int, int], list[Holding]] = {}
    places = [
        (prices.contents(opening.kind, opening.bottom, opening.height, bay.depth, (replace(item, count=1),)), key, item)
        for *key, bay, opening in layout.openings()
        for item in opening.holds
    ]
    for _, key, item in sorted(places):
        taken = min(item.count, left[item.row])
        left[item.row] -= taken
        if taken:
            kept.setdefault((key[0], key[1], key[2]), []).append(replace(item, count=taken))
    return layout.holding({place: tuple(sorted(holds)) for place, holds in kept.items()})
