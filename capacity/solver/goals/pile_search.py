"""Layouts of the same value with piles kept whole and things at hand, by chance and never a proof.

Bays are built anew as in `ruin_and_recreate`, what lies of a pile in one opening moves to where more of it lies, and
openings, piles and parts of piles change places, each opening as high and each bay as wide as its contents then need.
A bay counts with the best order of its openings. A layout is kept when it stores no less, in no more places, no less
conveniently. What is asked for often thus comes between knuckle and shoulder; in a warehouse this is called slotting
(common practice).
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from capacity.layout.layout import Bay, Holding, Layout, value_of
from capacity.layout.needs import width_for
from capacity.layout.problem import OpeningKind, Problem, Site
from capacity.layout.reach_zones import PriceList, Zone
from capacity.layout.sketches import (
    BaySketch,
    OpeningSketch,
    as_it_stands,
    build_bay,
    closed,
    drawer_room,
    heightened,
    is_free_of_blocked,
)
from capacity.solver.effort import Effort
from capacity.solver.goals.reach_order import best_order
from capacity.solver.search.ruin_and_recreate import Content, Option, Recreator, ScoredBay, Worth

REBUILT, GATHERED = 0.1, 0.6
"""Share of the steps that build bays anew; and of the others, as long as piles lie in several places, of those that put
parts of one pile together."""

TRIES = 20
"""Exchanges that are tried in a step before it is given up."""

Lines = dict[tuple[int, bool, OpeningKind], tuple[int, tuple[tuple[int, int], ...]]]
"""Width of a column of a thing and turning in openings of a kind, and (clear height, pieces) of its stacks, rising."""

WORSE = 0.1
"""How often the search goes on from a layout with one place more than the best."""

FOR_IT = 0.7
"""How often something is taken back for what is put together."""

NEVER = 10**15
"""Stands for a cost that nothing has."""


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """Where something lies: run, bay, and the number of the opening from the floor up (`ABOVE`: over the top panel)."""

    run: int
    bay: int
    opening: int


FLOOR, ABOVE = -1, -2

Changes = tuple[tuple[Whereabouts, OpeningSketch | None], ...]
"""Openings by where they are, and what they become; None: taken out."""


class Gatherer(Recreator):
    """Betters a layout's places and inconvenience at its value; all chance comes from one seeded source."""

    def __init__(
        self, problem: Problem, chance: random.Random, zones: Mapping[str, Zone], has_extra_shelves: bool = True
    ) -> None:
        super().__init__(problem, chance)
        self._has_extra_shelves = has_extra_shelves and not problem.most_panel
        self._prices = PriceList(problem, zones)
        self._ordered: dict[tuple[int, BaySketch], tuple[int, BaySketch]] = {}
        self._lying: dict[BaySketch, Counter[int]] = {}
        self._needs: dict[tuple[Site, OpeningKind, int, tuple[Holding, ...]], tuple[int, int] | None] = {}
        self._least_value = 0
        self._is_for_reach = False
        self._was_exchange = False
        self._lines: dict[Site, Lines] = {}
        for spot, towers in self._towers.items():
            lines: dict[tuple[int, bool, OpeningKind], list[tuple[int, int]]] = {}
            widths: dict[tuple[int, bool, OpeningKind], int] = {}
            for tower in towers:
                key = (tower.group, tower.turned, tower.kind)
                lines.setdefault(key, []).append((tower.need, tower.pieces))
                widths[key] = tower.width
            self._lines[spot] = {key: (widths[key], tuple(sorted(steps))) for key, steps in lines.items()}

    def gather(self, layout: Layout, patience: int, effort: Effort) -> Layout:
        """The layout of no less value with the fewest places found before `patience` steps in a row found none."""
        self._least_value, self._is_for_reach = value_of(self._problem, layout), False
        return self._search(layout, patience, effort, (self._problem.value_of_all, 0), False)

    def ease(self, layout: Layout, patience: int, effort: Effort, is_thrifty: bool = False) -> Layout:
        """As `gather`, and between layouts with so few places the one of least inconvenience, then of least panel."""
        self._least_value, self._is_for_reach = value_of(self._problem, layout), True
        target = (self._problem.value_of_all, 0, int(is_thrifty))
        return self._search(layout, patience, effort, target, is_thrifty)

    # ---- worth ----------------------------------------------------------------------------------------

    def _worth_of(self, walls: Sequence[Sequence[ScoredBay]], is_thrifty: bool) -> Worth:
        value, area = super()._worth_of(walls, is_thrifty)
        if value < self._least_value:
            return value, -NEVER, 0
        lying: Counter[int] = Counter()
        for wall in walls:
            for bay in wall:
                if bay.area:
                    lying += self._openings_of(bay.sketch)
        places = sum(lying.values()) - len(lying)
        if not self._is_for_reach:
            return value, -places
        cost = sum(self._in_order(w, bay.sketch)[0] for w, wall in enumerate(walls) for bay in wall)
        return value, -places, -cost, area

    def _is_accepted(self, found: Worth, now: Worth, best: Worth) -> bool:
        """No worse than where the search stands, or in one place more than the best."""
        return found >= now or (found[0] >= best[0] and found[1] >= best[1] - 1 and self._chance.random() < WORSE)

    def _openings_of(self, sketch: BaySketch) -> Counter[int]:
        """In how many openings of a bay each row lies."""
        if sketch not in self._lying:
            self._lying[sketch] = Counter(row for holds in _all_holds(sketch) for row in {item.row for item in holds})
        return self._lying[sketch]

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
                bays = [best_order(self._problem, item, self._prices, lowest=len(run.prescribed)) for item in both]
            cost, _, best = min((self._cost(item), -number, item) for number, item in enumerate(bays))
            found = self._ordered[key] = cost, as_it_stands(self._problem, best, sketch.left)
        return found

    def _cost(self, bay: Bay) -> int:
        return sum(
            self._prices.contents(item.kind, item.bottom, item.height, bay.depth, item.holds) for item in bay.openings
        )

    def _content(self, option: Option, room: int, owner: str | None) -> Content:
        """What to put into an opening: whole piles first, then parts, each by value for width."""
        whole = [tower for tower in option.order if 0 < self._supply[tower[0]] <= room // tower[1] * tower[2]]
        rest = [tower for tower in option.order if tower not in whole]
        return super()._content(replace(option, order=[*whole, *rest]), room, owner)

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
        several = self._in_several(walls, slots)
        for _ in range(TRIES):
            changes = self._together(walls, several) if several and self._chance.random() < GATHERED else ()
            if self._make(new, owners, changes or self._exchange(walls, *self._chance.sample(slots, 2))):
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
                ceiling = run.ceiling_over(left, left + bay.sketch.width)
                if self._problem.above_under(run, ceiling) and not run.blocked:
                    found.append(Whereabouts(w, b, ABOVE))
        return found

    def _in_several(
        self, walls: Sequence[Sequence[ScoredBay]], slots: Sequence[Whereabouts]
    ) -> list[list[tuple[Whereabouts, Holding]]]:
        """The piles that lie in several openings: where, and what of them."""
        lying: dict[int, list[tuple[Whereabouts, Holding]]] = {}
        for slot in slots:
            for item in _piece(walls[slot.run][slot.bay].sketch, slot.opening).holds:
                lying.setdefault(item.row, []).append((slot, item))
        return [there for there in lying.values() if len(there) > 1]

    def _together(
        self, walls: Sequence[Sequence[ScoredBay]], several: Sequence[Sequence[tuple[Whereabouts, Holding]]]
    ) -> Changes:
        """What lies of a pile in one opening goes where more of it lies, perhaps for something that lies there."""
        (first, given), (second, more) = self._chance.sample(self._chance.choice(several), 2)
        one, two = (_piece(walls[slot.run][slot.bay].sketch, slot.opening) for slot in (first, second))
        others = tuple(item for item in two.holds if item.row != more.row)
        taken = self._some_of(others) if self._chance.random() < FOR_IT else ()
        put = (replace(given, turned=more.turned),)
        return (
            (first, replace(one, holds=_without(one.holds, (given,), taken))),
            (second, replace(two, holds=_without(two.holds, taken, put))),
        )

    def _exchange(self, walls: Sequence[Sequence[ScoredBay]], first: Whereabouts, second: Whereabouts) -> Changes:
        """Two openings, or some of what lies in them, change places; empty where that is no change."""
        draw, is_same_bay = self._chance.random, (first.run, first.bay) == (second.run, second.bay)
        sketches = [walls[slot.run][slot.bay].sketch for slot in (first, second)]
        one, two = (_piece(sketch, slot.opening) for sketch, slot in zip(sketches, (first, second), strict=True))
        kept, into = (len(self._problem.runs[slot.run].prescribed) for slot in (first, second))
        if draw() < 0.35 and not is_same_bay and first.opening >= kept:
            # whole openings: one for the other, or one that moves over
            if second.opening >= into and draw() < 0.6:
                return (first, two), (second, one)
            return (first, None), (Whereabouts(second.run, second.bay, len(sketches[1].pieces)), one)
        if one.kind is not two.kind or not (one.holds or two.holds):
            return ()
        given = self._some_of(one.holds)
        taken = self._some_of(two.holds) if draw() < 0.7 or not given else ()
        if not given and not taken:
            return ()
        return (
            (first, replace(one, holds=_without(one.holds, given, taken))),
            (second, replace(two, holds=_without(two.holds, taken, given))),
        )

    def _make(self, walls: list[list[ScoredBay]], owners: tuple[bool, ...], changes: Changes) -> bool:
        """Change openings, in place; False where that is no change or breaks a rule."""
        if not changes:
            return False
        sketches = {(slot.run, slot.bay): walls[slot.run][slot.bay].sketch for slot, _ in changes}
        for slot, piece in changes:
            sketches[slot.run, slot.bay] = _with_piece(sketches[slot.run, slot.bay], slot.opening, piece)
        made: dict[tuple[int, int], ScoredBay] = {}
        for (w, b), sketch in sketches.items():
            kept, kinds = len(self._problem.runs[w].prescribed), self._problem.runs[w].kinds
            others = tuple(piece for piece in sketch.pieces[kept:] if piece.holds)
            if any(piece.kind not in kinds for piece in others):
                return False
            sketch = replace(sketch, pieces=(*sketch.pieces[:kept], *others))
            if sketch.floor is not None and not sketch.floor.holds:
                sketch = replace(sketch, floor=None)
            fitted = self._fitted(w, sketch)
            if fitted is None or not self._is_of_one_owner(fitted):
                return False
            made[w, b] = self._built(w, fitted)
        if not all(self._fits_wall(w, owners, walls, made) for w in {w for w, _ in made}):
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
        upper, above = problem.head_under(run, ceiling), problem.above_under(run, ceiling)
        width, used, drawn = rules.min_bay, 0 if sketch.floor else rules.base, 0
        limits = []
        floor, pieces = sketch.floor, []
        for number, piece in enumerate((*([floor] if floor else []), *sketch.pieces)):
            spot = run.prescribed_spot if number < len(run.prescribed) else run.spot
            found = self._need(spot, piece.kind, piece.height, piece.holds)
            if found is None:
                return None
            height, taken = found
            if number < len(run.prescribed):
                if height > piece.height:
                    return None
                height = piece.height
            used += height + rules.panel
            drawn += height + rules.panel if piece.kind is OpeningKind.DRAWER else 0
            width = max(width, width_for(self._problem.rules, piece.kind, taken))
            limits.append(problem.longest(w, piece.kind))
            pieces.append(piece if height == piece.height else OpeningSketch(piece.kind, height, piece.holds))
        if sketch.above:
            found = self._need(run.spot, OpeningKind.SHELF, above, sketch.above)
            if found is None or found[0] > above:
                return None
            width = max(width, width_for(self._problem.rules, OpeningKind.SHELF, found[1]))
            limits.append(problem.longest(w, OpeningKind.SHELF))
        start = pieces[0].height + rules.panel if floor else rules.base
        if used > upper or drawn > (drawer_room(problem, start, upper) if drawn else 0):
            return None
        width = rules.width_up(width) if problem.has_marked_widths(run) else width
        if sketch.left is not None or run.fixed:
            if width > sketch.width:
                return None
            width = sketch.width
        elif width > min(limits, default=width):
            return None
        return replace(sketch, width=width, floor=pieces.pop(0) if floor else None, pieces=tuple(pieces))

    def _need(self, spot: Site, kind: OpeningKind, height: int, holds: tuple[Holding, ...]) -> tuple[int, int] | None:
        """Least clear height, and width, for contents in an opening so high, or as much higher as they need."""
        key = (spot, kind, height, holds)
        if key not in self._needs:
            self._needs[key] = self._computed_need(spot, kind, height, holds)
        return self._needs[key]

    def _computed_need(
        self, spot: Site, kind: OpeningKind, height: int, holds: Sequence[Holding]
    ) -> tuple[int, int] | None:
        lines, index_of = self._lines[spot], self._index
        columns: list[tuple[int, tuple[tuple[int, int], ...], int]] = []
        for item in holds:
            line = lines.get((index_of[item.row], item.turned, kind))
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
