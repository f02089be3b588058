"""A bay built by a greedy rule with a grain of chance, from what has no place yet.

Each opening of a new bay is the one that holds the most value for its height among what has no place yet, its
pieces taken in the order of value for width; what an opening would hold is worked out again only when it is the best
and some of it was taken meanwhile (Minoux 1978, Optimization Techniques, 234-243).
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from heapq import heapify, heappop, heapreplace
from typing import NamedTuple

from capacity.layout.layout import Holding
from capacity.layout.needs import width_for
from capacity.layout.problem import OpeningKind, Problem, Site
from capacity.layout.sketches import BaySketch, OpeningSketch, drawer_room
from capacity.layout.towers import best_towers, candidate_heights, each_alone, room_of, towers_of

LOOK, CONTENT = 2.5e-7, 3.2e-6
"""Work that a look at what an opening holds counts for, and working out what it would hold."""

Choice = tuple[int, int, int, bool]
"""A tower: thing, width, pieces, turned."""


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


class BayBuilder:
    """Builds bays one after the other from one supply.

    `supply` are pieces without a place, by thing; `panel_price` is what a square tick of panel must be worth; `work`
    counts what was done since it was last set.
    """

    def __init__(self, problem: Problem, chance: random.Random) -> None:
        self._problem, self._chance = problem, chance
        self._values = [thing.value for thing in problem.things]
        groups = each_alone(problem)
        self._options: dict[Site, list[Option]] = {}
        self._given: dict[tuple[Site, OpeningKind, int], Option] = {}
        self._towers = {spot: towers_of(problem, groups, spot) for spot in _spots(problem)}
        for spot, towers in self._towers.items():
            self._options[spot] = [
                self._option(spot, kind, height) for kind, height in candidate_heights(towers, problem.top)
            ]
        self.supply: list[int] = []
        self._free: list[int] = []
        self._worth: list[float] = []
        self._barred = {
            owner: sum(1 << index for index, thing in enumerate(problem.things) if thing.owner not in (None, owner))
            if problem.rules.owners_apart
            else 0
            for owner in (None, *problem.owners)
        }
        self.panel_price = 0.0
        self.work = 0.0

    def _option(self, spot: Site, kind: OpeningKind, height: int) -> Option:
        towers = tuple(
            (tower.group, tower.width, tower.pieces, tower.turned)
            for tower in best_towers(self._towers[spot], kind, height)
        )
        narrowest = min((tower[1] for tower in towers), default=0)
        return Option(kind, height, height + self._problem.rules.panel, towers, narrowest, list(towers))

    def begin(self, supply: Sequence[int], worth: list[float], spots: Sequence[Site]) -> None:
        """Build for these spots from now on, from this supply, at a worth of a piece of each thing."""
        self.supply = list(supply)
        self._worth, self._free = worth, list(supply)
        for spot in spots:
            for option in self._options[spot]:
                option.order = self._by_worth(option.towers)
        for option in self._given.values():
            option.order = self._by_worth(option.towers)

    def _by_worth(self, towers: Sequence[Choice]) -> list[Choice]:
        """Towers of what is free in this step, by weighted value for width."""
        free, worth = self._free, self._worth
        free_towers = [tower for tower in towers if free[tower[0]]]
        return sorted(free_towers, key=lambda tower: -worth[tower[0]] * tower[2] / tower[1])

    def area(self, w: int, sketch: BaySketch) -> int:
        """Panels of a bay and one upright [square ticks]; 0 where it is not built, because it holds nothing."""
        run = self._problem.runs[w]
        if not (sketch.floor or sketch.pieces or sketch.above or run.fixed):
            return 0
        height = 0 if run.is_kept else self._problem.head_under(run, max(run.ceiling_left, run.ceiling_right))
        given = len(run.prescribed)
        panels = given + max(1, len(sketch.pieces) - given) + 1 if sketch.floor is None else len(sketch.pieces) + 1
        return (sketch.width * panels + height) * run.depth

    def bay(self, w: int, width: int, ceiling: int, left: int | None) -> ScoredBay:
        """The best of a bay on a toe kick and one whose lowest rod stands on the floor, for each owner."""
        apart, may_stand = self._problem.rules.owners_apart, not self._problem.runs[w].prescribed
        owners: Sequence[str | None] = (self._problem.owners or (None,)) if apart else (None,)
        before, place = self.supply, BayRoom(w, width, ceiling, left)
        best: tuple[float, ScoredBay, list[int]] | None = None
        for owner in owners:
            known: dict[int, Content] = {}
            for on_floor in (False, True) if may_stand else (False,):
                self.supply = list(before)
                score, built = self._stack(place, owner, on_floor, known)
                if best is None or score > best[0]:
                    best = score, built, self.supply
        if best is None:
            msg = "no bay was built"
            raise AssertionError(msg)
        self.supply = best[2]
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
        built = ScoredBay(sketch, value, tuple(counted.items()), False, self.area(place.run, sketch))
        return sum(content.score for content in rising.chosen), built

    def _rise(
        self, rising: _RisingBay, place: BayRoom, owner: str | None, on_floor: bool, known: dict[int, Content]
    ) -> None:
        """Add openings, the best for its height first, as long as one fits and is worth its panel."""
        rules, run = self._problem.rules, self._problem.runs[place.run]
        options, supply = self._options[run.spot], self.supply
        space = {kind: room_of(rules, kind, place.width) for kind in OpeningKind}
        panel = self.panel_price * place.width * run.depth
        chance = [(0.9 + 0.2 * self._chance.random()) / option.cost for option in options]
        ranked = []
        for number, option in self._allowed(place, rising.room):
            content = known.get(number)
            if content is None:
                content = known[number] = self._content(option, space[option.kind], owner)
            if content.score > panel:
                ranked.append(((panel - content.score) * chance[number], number))
        self.work += LOOK * len(options)
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
        supply, taken = self.supply, []
        self.work += CONTENT
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
            self.supply[index] -= number

    def _holds(self, content: Content) -> tuple[Holding, ...]:
        rows = self._problem.things
        return tuple(sorted(Holding(rows[index].row, number, turned) for index, number, turned in content.taken))


def _spots(problem: Problem) -> list[Site]:
    """What decides what openings can hold, of bays to be built and of what is prescribed."""
    given = [run.prescribed_spot for run in problem.runs if run.prescribed]
    return list(dict.fromkeys([*(run.spot for run in problem.runs), *given]))
