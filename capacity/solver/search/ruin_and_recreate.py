"""Take a few bays out and build them anew by a greedy rule with a grain of chance; quick, and never a proof.

Each opening of a new bay is the one that holds the most value for its height among what has no place yet, its
pieces taken in the order of value for width; what an opening would hold is worked out again only when it is the best
and some of it was taken meanwhile (Minoux 1978, Optimization Techniques, 234-243). What stays without a place weighs
more and more in these choices, until a layout is found that has room for it (weights as in guided local search;
Voudouris and Tsang 1999, European Journal of Operational Research 113, 469-499; ruin and recreate: Schrimpf and others
2000, Journal of Computational Physics 159, 139-171). A layout is kept when it is worth no less.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from heapq import heapify, heappop, heapreplace
from typing import NamedTuple

from capacity.layout.corners import ends_of
from capacity.layout.layout import Bay, Holding, Layout
from capacity.layout.needs import width_for
from capacity.layout.problem import OpeningKind, Problem, Site
from capacity.layout.sketches import (
    BaySketch,
    OpeningSketch,
    build_wall,
    closed,
    drawer_room,
    is_free_of_blocked,
    sketch_of,
    uprights_besides,
)
from capacity.layout.towers import best_towers, candidate_heights, each_alone, room_of, towers_of
from capacity.solver.effort import Effort

HEAVIER, LIGHTER = 1.1, 0.98
"""Factors on the weight of what is left out, and on all weights above 1 after each step."""

MOST_WEIGHT, LAST_WEIGHT = 4.0, 40.0
"""Most weight, and that of the last piece: what is left out may weigh `LAST_WEIGHT` over the value that is missing.

One bulky piece of little value gets a place only where it goes first: with 4 the smallest sample is stored in full
after some 5000 steps, with 40 after some 900; where more is missing 4 finds more.
"""

DEARER, CHEAPER = 1.15, 0.93
"""Factors on the price of panel after a step above the budget, and after one within it."""


STEP, LOOK, CONTENT = 1.5e-4, 2.5e-7, 3.2e-6
"""Work that a step counts for, a look at what an opening holds, and working out what it would hold."""

Choice = tuple[int, int, int, bool]
"""A tower: thing, width, pieces, turned."""

Worth = tuple[int, ...]
"""What layouts are compared by, the first number first."""


@dataclass(slots=True)
class Option:
    """An opening that could be built: kind, least clear height, what it costs in height, and its towers.

    `order` is the order in which towers of what is free are tried.
    """

    kind: OpeningKind
    height: int
    cost: int
    towers: tuple[Choice, ...]
    narrowest: int
    order: list[Choice]


class Content(NamedTuple):
    """What an opening would hold: weighted and true value, width taken, pieces as (thing, number, turned)."""

    score: float
    value: int
    width: int
    taken: tuple[tuple[int, int, bool], ...]


@dataclass(frozen=True, slots=True)
class ScoredBay:
    """A bay with its value, the pieces that it holds by thing, and its panels with one upright [square ticks]."""

    sketch: BaySketch
    value: int
    pieces: tuple[tuple[int, int], ...]
    is_fixed: bool
    area: int


Scored = tuple[float, ScoredBay]
"""A bay with the weighted value by which bays built for the same place are compared."""


class BayRoom(NamedTuple):
    """Where a bay is to be built: wall, most clear width, ceiling and, where it matters, clear left face [ticks]."""

    run: int
    width: int
    ceiling: int
    left: int | None


@dataclass(slots=True)
class _RisingBay:
    """A bay while it is built: height left, for all and for drawers, width needed so far [ticks], and its openings."""

    room: int
    drawers: int
    needed: int
    floor: OpeningSketch | None = None
    pieces: list[OpeningSketch] = field(default_factory=list)
    chosen: list[Content] = field(default_factory=list)

    def room_for(self, kind: OpeningKind) -> int:
        """Height left for an opening of a kind with its panel [ticks]."""
        return min(self.room, self.drawers) if kind is OpeningKind.DRAWER else self.room


class Recreator:
    """Betters a layout by building bays anew; all chance comes from one seeded source."""

    def __init__(self, problem: Problem, chance: random.Random) -> None:
        self._problem, self._chance = problem, chance
        self._values = [thing.value for thing in problem.things]
        self._index = {thing.row: index for index, thing in enumerate(problem.things)}
        groups = each_alone(problem)
        self._options: dict[Site, list[Option]] = {}
        self._given: dict[tuple[Site, OpeningKind, int], Option] = {}
        self._towers = {spot: towers_of(problem, groups, spot) for spot in _spots(problem)}
        for spot, towers in self._towers.items():
            self._options[spot] = [
                self._option(spot, kind, height) for kind, height in candidate_heights(towers, problem.top)
            ]
        self._weights = [1.0] * len(problem.things)
        self._supply: list[int] = []
        self._free: list[int] = []
        self._worth: list[float] = []
        self._barred = {
            owner: sum(1 << index for index, thing in enumerate(problem.things) if thing.owner not in (None, owner))
            if problem.rules.owners_apart
            else 0
            for owner in (None, *problem.owners)
        }
        self._limit = 0
        self._panel_price = 0.0
        self._most_weight = MOST_WEIGHT
        self._work = 0.0

    def _option(self, spot: Site, kind: OpeningKind, height: int) -> Option:
        towers = tuple(
            (tower.group, tower.width, tower.pieces, tower.turned)
            for tower in best_towers(self._towers[spot], kind, height)
        )
        narrowest = min((tower[1] for tower in towers), default=0)
        return Option(kind, height, height + self._problem.rules.panel, towers, narrowest, list(towers))

    # ---- search ---------------------------------------------------------------------------------------

    def improve(self, layout: Layout, patience: int, effort: Effort, enough: int, is_thrifty: bool = False) -> Layout:
        """The best layout found before `patience` steps in a row found none, or one is worth `enough`.

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
            self._work = STEP
            new = self._changed(walls, layout.owners)
            if new is None:
                break
            effort.spend(self._work)
            found = self._worth_of(new, is_thrifty)
            self._most_weight = max(MOST_WEIGHT, LAST_WEIGHT / max(1, target[0] - best[0]))
            self._learn(found[0] < 0)
            if self._is_accepted(found, now, best):
                walls, now = new, found
            if found > best:
                best, kept, stale = found, [list(wall) for wall in new], 0
        made = tuple(
            build_wall(
                self._problem,
                w,
                layout.owners,
                sorted(self._as_built(w, wall), key=lambda sketch: sketch.left or 0),
            )
            for w, wall in enumerate(kept)
        )
        return Layout(made, layout.owners)

    def _is_accepted(self, found: Worth, now: Worth, best: Worth) -> bool:
        """Whether the search goes on from what was found."""
        return found >= now

    def _changed(self, walls: Sequence[Sequence[ScoredBay]], owners: tuple[bool, ...]) -> list[list[ScoredBay]] | None:
        """The walls with some bays built anew; None where there is nothing to build anew."""
        picked = self._pick(walls)
        return self._rebuild(walls, owners, picked) if picked else None

    def _as_built(self, w: int, wall: Sequence[ScoredBay]) -> list[BaySketch]:
        """How the bays of a run are to be built in the end."""
        return self._sketches(w, wall) or []

    def _worth_of(self, walls: Sequence[Sequence[ScoredBay]], is_thrifty: bool) -> Worth:
        """Value first, then, for a thrifty search, as little panel as possible; below 0 by how much it is too dear."""
        area = sum(self._area_of(w, wall) for w, wall in enumerate(walls))
        most = self._problem.most_panel
        if most:
            total = area + sum(
                uprights_besides(self._problem, w, self._sketches(w, wall) or []) for w, wall in enumerate(walls)
            )
            if total > most:
                return most - total, 0
        return sum(bay.value for wall in walls for bay in wall), -area if is_thrifty else 0

    def _known(self, w: int, bay: Bay) -> ScoredBay:
        counted: dict[int, int] = {}
        for opening in bay.openings:
            for holding in opening.holds:
                index = self._index[holding.row]
                counted[index] = counted.get(index, 0) + holding.count
        value = sum(self._values[index] * number for index, number in counted.items())
        sketch = sketch_of(self._problem, w, bay)
        is_fixed = not is_free_of_blocked(self._problem, w, bay)
        return ScoredBay(sketch, value, tuple(counted.items()), is_fixed, self._area(w, sketch))

    def _sketches(self, w: int, wall: Sequence[ScoredBay]) -> list[BaySketch] | None:
        """The bays that are built; None where they leave a gap that is too narrow."""
        return closed(self._problem, w, [bay.sketch for bay in wall if bay.area])

    def _area_of(self, w: int, wall: Sequence[ScoredBay]) -> int:
        if not self._problem.runs[w].is_between:
            return sum(bay.area for bay in wall)
        return sum(self._area(w, sketch) for sketch in self._sketches(w, wall) or [])

    def _area(self, w: int, sketch: BaySketch) -> int:
        """Panels of a bay and one upright [square ticks]; 0 where it is not built, because it holds nothing."""
        run = self._problem.runs[w]
        if not (sketch.floor or sketch.pieces or sketch.above or run.fixed):
            return 0
        height = 0 if run.is_kept else self._problem.head_under(run, max(run.ceiling_left, run.ceiling_right))
        given = len(run.prescribed)
        panels = given + max(1, len(sketch.pieces) - given) + 1 if sketch.floor is None else len(sketch.pieces) + 1
        return (sketch.width * panels + height) * run.depth

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
            self._panel_price = min(4.0 * average, max(0.1 * average, self._panel_price * DEARER))
        else:
            self._panel_price *= CHEAPER
        for index, left in enumerate(self._supply):
            weight = self._weights[index]
            if left > 0:
                self._weights[index] = min(self._most_weight, weight * HEAVIER)
            elif weight > 1.0:
                self._weights[index] = max(1.0, weight * LIGHTER)

    def _rebuild(
        self, walls: Sequence[Sequence[ScoredBay]], owners: tuple[bool, ...], picked: set[tuple[int, int]]
    ) -> list[list[ScoredBay]]:
        self._supply = [thing.count for thing in self._problem.things]
        for w, wall in enumerate(walls):
            for b, bay in enumerate(wall):
                if (w, b) not in picked:
                    for index, number in bay.pieces:
                        self._supply[index] -= number
        draw = self._chance.random
        worth = [
            value * weight * (0.7 + 0.6 * draw()) for value, weight in zip(self._values, self._weights, strict=True)
        ]
        self._worth, self._free = worth, list(self._supply)
        for spot in dict.fromkeys(self._problem.runs[w].spot for w, _ in picked):
            for option in self._options[spot]:
                option.order = self._by_worth(option.towers)
        for option in self._given.values():
            option.order = self._by_worth(option.towers)
        new: list[list[ScoredBay]] = [list(wall) for wall in walls]
        for w in sorted({w for w, _ in picked}, key=lambda _: draw()):
            out = {b for wall, b in picked if wall == w}
            kept = [bay for b, bay in enumerate(walls[w]) if b not in out]
            old = [walls[w][b] for b in sorted(out) if b < len(walls[w])]
            supply = list(self._supply)
            new[w] = self._wall(w, kept, old, owners)
            if self._sketches(w, new[w]) is None:  # an upright of its own instead
                self._supply = supply
                new[w] = self._wall(w, kept, old, owners, self._problem.rules.panel)
        return new

    def _wall(
        self, w: int, kept: list[ScoredBay], out: Sequence[ScoredBay], owners: tuple[bool, ...], less: int = 0
    ) -> list[ScoredBay]:
        """The bays that are kept and new ones beside them; `less` of a plain wall stays free."""
        run, thick = self._problem.runs[w], self._problem.rules.panel
        if run.fixed and run.is_plain:
            return [self._bay(w, run.fixed, run.ceiling_left, None)]
        if not run.is_plain:
            made = []
            for bay in out:
                left, width = bay.sketch.left or 0, bay.sketch.width
                made.append(self._bay(w, width, run.ceiling_over(left, left + width), left))
            return kept + made
        start, end = ends_of(self._problem, w, owners)
        room = end - start - less - thick - sum(bay.sketch.width + thick for bay in kept)
        made = []
        widths = self._widths(room)
        for number, width in enumerate(widths):
            if number == len(widths) - 1:
                width = min(max(width, room - thick), self._limit)
            width = self._problem.rules.width_down(width) if self._problem.has_marked_widths(run) else width
            bay = self._bay(w, width, run.ceiling_left, None)
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
        # a budget may leave some of the wall empty
        number = self._chance.randint(0 if self._problem.most_panel else least, min(most, least + 2))
        if number == 0:
            return []
        left = room - number * (narrowest + thick)
        shares = [self._chance.random() + 0.3 for _ in range(number)]
        extra = [int(left * share / sum(shares)) for share in shares]
        return [max(narrowest, min(narrowest + more, self._limit)) for more in extra]

    def _by_worth(self, towers: Sequence[Choice]) -> list[Choice]:
        """Towers of what is free in this step, by weighted value for width."""
        free, worth = self._free, self._worth
        free_towers = [tower for tower in towers if free[tower[0]]]
        return sorted(free_towers, key=lambda tower: -worth[tower[0]] * tower[2] / tower[1])

    # ---- one bay --------------------------------------------------------------------------------------

    def _bay(self, w: int, width: int, ceiling: int, left: int | None) -> ScoredBay:
        """The best of a bay on a toe kick and one whose lowest rod stands on the floor, for each owner."""
        apart, may_stand = self._problem.rules.owners_apart, not self._problem.runs[w].prescribed
        owners: Sequence[str | None] = (self._problem.owners or (None,)) if apart else (None,)
        before, place = self._supply, BayRoom(w, width, ceiling, left)
        best: tuple[float, ScoredBay, list[int]] | None = None
        for owner in owners:
            known: dict[int, Content] = {}
            for on_floor in (False, True) if may_stand else (False,):
                self._supply = list(before)
                score, built = self._stack(place, owner, on_floor, known)
                if best is None or score > best[0]:
                    best = score, built, self._supply
        if best is None:
            msg = "no bay was built"
            raise AssertionError(msg)
        self._supply = best[2]
        return best[1]

    def _stack(self, place: BayRoom, owner: str | None, on_floor: bool, known: dict[int, Content]) -> Scored:
        """Openings from the floor up, the most value for height first; `known` are contents while all is free."""
        problem, run = self._problem, self._problem.runs[place.run]
        rules = problem.rules
        upper, base = problem.head_under(run, place.ceiling), rules.base_over(run.prescribed)
        rising = _RisingBay(
            room=upper - (0 if on_floor else base),
            drawers=0 if on_floor else drawer_room(problem, base, upper),
            needed=rules.min_bay,
        )
        for item in run.prescribed:
            option = self._given_option(run.prescribed_spot, item.kind, item.height)
            content = self._content(option, room_of(rules, item.kind, place.width), owner)
            self._put(rising, item.kind, item.height, content)
        self._rise(rising, place, owner, on_floor, known)
        above = self._above(rising, place, owner)
        counted: dict[int, int] = {}
        for content in rising.chosen:
            for index, pieces_held, _ in content.taken:
                counted[index] = counted.get(index, 0) + pieces_held
        value = sum(content.value for content in rising.chosen)
        is_wide = place.left is not None or run.fixed
        width = place.width if is_wide else min(place.width, rules.width_up(rising.needed))
        sketch = BaySketch(width, rising.floor, tuple(rising.pieces), above, place.left)
        built = ScoredBay(sketch, value, tuple(counted.items()), False, self._area(place.run, sketch))
        return sum(content.score for content in rising.chosen), built

    def _rise(
        self, rising: _RisingBay, place: BayRoom, owner: str | None, on_floor: bool, known: dict[int, Content]
    ) -> None:
        """Add openings, the best for its height first, as long as one fits and is worth its panel."""
        rules, run = self._problem.rules, self._problem.runs[place.run]
        options, supply = self._options[run.spot], self._supply
        space = {kind: room_of(rules, kind, place.width) for kind in OpeningKind}
        panel = self._panel_price * place.width * run.depth
        chance = [(0.9 + 0.2 * self._chance.random()) / option.cost for option in options]
        ranked = []
        for number, option in self._allowed(place, rising.room):
            content = known.get(number)
            if content is None:
                content = known[number] = self._content(option, space[option.kind], owner)
            if content.score > panel:
                ranked.append(((panel - content.score) * chance[number], number))
        self._work += LOOK * len(options)
        heapify(ranked)
        latest = dict(known)
        while ranked:
            _, at = ranked[0]
            if on_floor and rising.floor is None:
                at = min((item for item in ranked if options[item[1]].kind is OpeningKind.HANG), default=(0.0, -1))[1]
                if at < 0:
                    break
            option, content = options[at], latest[at]
            if option.cost > rising.room_for(option.kind):
                heappop(ranked)
                continue
            if any(supply[index] < much for index, much, _ in content.taken):
                # some of it was taken meanwhile
                content = latest[at] = self._content(option, space[option.kind], owner)
                if content.score > panel:
                    heapreplace(ranked, ((panel - content.score) * chance[at], at))
                else:
                    heappop(ranked)
                continue
            rising.room -= option.cost
            rising.drawers -= option.cost if option.kind is OpeningKind.DRAWER else 0
            rising.needed = max(rising.needed, width_for(rules, option.kind, content.width))
            self._put(rising, option.kind, option.height, content, on_floor)

    def _allowed(self, place: BayRoom, room: int) -> Iterator[tuple[int, Option]]:
        """The openings that the wall may have in a bay so wide and so high, with their numbers."""
        run = self._problem.runs[place.run]
        kinds = {
            kind for kind in OpeningKind if kind in run.kinds and place.width <= self._problem.longest(place.run, kind)
        }
        for number, option in enumerate(self._options[run.spot]):
            if option.cost <= room and option.kind in kinds:
                yield number, option

    def _put(
        self, rising: _RisingBay, kind: OpeningKind, height: int, content: Content, on_floor: bool = False
    ) -> None:
        """Put an opening with its contents on what has risen so far, the first one on the floor where told."""
        self._take(content)
        rising.chosen.append(content)
        piece = OpeningSketch(kind, height, self._holds(content))
        if on_floor and rising.floor is None:
            rising.floor = piece
        else:
            rising.pieces.append(piece)

    def _above(self, rising: _RisingBay, place: BayRoom, owner: str | None) -> tuple[Holding, ...]:
        """What lies on the top panel, where the room under the ceiling holds anything."""
        problem, run = self._problem, self._problem.runs[place.run]
        over = problem.above_under(run, place.ceiling)
        is_short = place.width <= problem.longest(place.run, OpeningKind.SHELF)
        if not over or not is_short or (place.left is not None and run.blocked):
            return ()
        option = self._given_option(run.spot, OpeningKind.SHELF, over)
        content = self._content(option, room_of(problem.rules, OpeningKind.SHELF, place.width), owner)
        if not content.value:
            return ()
        self._take(content)
        rising.chosen.append(content)
        rising.needed = max(rising.needed, width_for(problem.rules, OpeningKind.SHELF, content.width))
        return self._holds(content)

    def _given_option(self, spot: Site, kind: OpeningKind, height: int) -> Option:
        """An opening whose height nobody chooses: over the top panel, or prescribed."""
        if (spot, kind, height) not in self._given:
            option = self._given[(spot, kind, height)] = self._option(spot, kind, height)
            option.order = self._by_worth(option.towers)
        return self._given[(spot, kind, height)]

    def _content(self, option: Option, room: int, owner: str | None) -> Content:
        """What to put into an opening: value for width first."""
        supply, taken = self._supply, []
        self._work += CONTENT
        score, value, left = 0.0, 0, room
        used = self._barred[owner]
        worth, values, narrowest = self._worth, self._values, option.narrowest
        for index, width, pieces, turned in option.order:
            if width > left or used >> index & 1:
                continue
            have = supply[index]
            if have <= 0:
                continue
            columns = min(left // width, -(-have // pieces))
            number = min(have, columns * pieces)
            taken.append((index, number, turned))
            used |= 1 << index
            score += worth[index] * number
            value += values[index] * number
            left -= columns * width
            if left < narrowest:
                break
        return Content(score, value, room - left, tuple(taken))

    def _take(self, content: Content) -> None:
        for index, number, _ in content.taken:
            self._supply[index] -= number

    def _holds(self, content: Content) -> tuple[Holding, ...]:
        rows = self._problem.things
        return tuple(sorted(Holding(rows[index].row, number, turned) for index, number, turned in content.taken))


def _spots(problem: Problem) -> list[Site]:
    """What decides what openings can hold, of bays to be built and of what is prescribed."""
    given = [run.prescribed_spot for run in problem.runs if run.prescribed]
    return list(dict.fromkeys([*(run.spot for run in problem.runs), *given]))
