"""A bay built by a greedy rule with a grain of chance, from what has no place yet.

Each opening of a new bay is the one that holds the most value for its height among what has no place yet, its
pieces taken in the order of value for width; what an opening would hold is worked out again only when it is the best
and some of it was taken meanwhile (Minoux 1978, Optimization Techniques, 234-243).
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from heapq import heapify, heappop, heapreplace
from typing import NamedTuple

from capacity.layout.layout import Holding
from capacity.layout.needs import width_for
from capacity.layout.problem import OpeningKind, Problem, Site
from capacity.layout.sketches import BaySketch, OpeningSketch, drawer_room
from capacity.layout.towers import best_towers, candidate_heights, each_alone, room_of, towers_of
from capacity.solver.filling.greedy import Choice, Ranked, Taken, filled_in_order

LOOK, CONTENT = 2.5e-7, 3.2e-6
"""Work that a look at what an opening holds counts for, and working out what it would hold."""


@dataclass(slots=True)
class Option:
    """An opening that could be built: kind, least clear height, what it costs in height, and its towers.

    `more` are the things of which the next lower opening of its kind holds fewer pieces a tower, with how many; `order`
    are towers of what is free in the order in which they are tried.
    """

    kind: OpeningKind
    height: int
    cost: int
    towers: tuple[Choice, ...]
    more: tuple[tuple[int, int], ...] = ()
    order: list[Ranked] = field(default_factory=list)


class Content(NamedTuple):
    """What an opening would hold: weighted and true value, width taken, pieces as (thing, number, turned)."""

    score: float
    value: int
    width: int
    taken: list[Taken]


@dataclass(frozen=True, slots=True)
class ScoredBay:
    """A bay with its value, the pieces that it holds by thing, and its panels with one upright [square ticks]."""

    sketch: BaySketch
    value: int
    pieces: tuple[tuple[int, int], ...]
    is_fixed: bool
    area: int


class BayRoom(NamedTuple):
    """Where a bay is to be built: wall, most clear width, ceiling and, where it matters, clear left face [ticks]."""

    run: int
    width: int
    ceiling: int
    left: int | None


@dataclass(slots=True)
class _RisingBay:
    """A bay while it is built: height left, for all and for drawers [ticks], its openings, and what lies on its top."""

    is_on_floor: bool
    room: int
    drawers: int
    openings: list[tuple[OpeningKind, int, Content]] = field(default_factory=list)
    above: Content | None = None

    def contents(self) -> list[tuple[OpeningKind, Content]]:
        """Everything that it holds, with the kind of its opening."""
        inside = [(kind, content) for kind, _, content in self.openings]
        return inside if self.above is None else [*inside, (OpeningKind.SHELF, self.above)]


class BayBuilder:
    """Builds bays one after the other from one supply.

    `supply` are pieces without a place, by thing; `panel_price` is what a square tick of panel must be worth, and
    `panel_left` how many the budget leaves for what is built (None: any number); `is_short` says whether an opening was
    left out for that. `work` counts what was done since it was last set.
    """

    def __init__(self, problem: Problem, chance: random.Random) -> None:
        self._problem, self._chance = problem, chance
        self._values = [thing.value for thing in problem.things]
        groups = each_alone(problem)
        self._options: dict[Site, list[Option]] = {}
        self._worthwhile: dict[Site, list[Option]] = {}
        self._given: dict[tuple[Site, OpeningKind, int], Option] = {}
        self._towers = {spot: towers_of(problem, groups, spot) for spot in _spots(problem)}
        for spot, towers in self._towers.items():
            below: Option | None = None
            self._options[spot] = []
            for kind, height in candidate_heights(towers, problem.top):
                below = self._option(spot, kind, height, below)
                self._options[spot].append(below)
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
        self.panel_left: int | None = None
        self.is_short = False
        self.work = 0.0

    def _option(self, spot: Site, kind: OpeningKind, height: int, below: Option | None = None) -> Option:
        towers = tuple(
            (tower.group, tower.width, tower.pieces, tower.turned)
            for tower in best_towers(self._towers[spot], kind, height)
        )
        known = (
            {} if below is None or below.kind is not kind else {(item[0], item[3]): item[2] for item in below.towers}
        )
        fewer = ((index, known.get((index, turned), 0), pieces) for index, _, pieces, turned in towers)
        more = tuple((index, few) for index, few, pieces in fewer if few < pieces)
        return Option(kind, height, height + self._problem.rules.panel, towers, more)

    def begin(self, supply: Sequence[int], worth: list[float], spots: Sequence[Site]) -> None:
        """Build for these spots from now on, from this supply, at a worth of a piece of each thing.

        Openings that take no more of what is free than the next lower one are left out.
        """
        self.supply = list(supply)
        self._worth, self._free = worth, list(supply)
        for spot in spots:
            self._worthwhile[spot] = worthwhile = []
            for option in self._options[spot]:
                for index, few in option.more:
                    if supply[index] > few:
                        option.order = self._by_worth(option.towers)
                        worthwhile.append(option)
                        break
        for option in self._given.values():
            option.order = self._by_worth(option.towers)

    def _by_worth(self, towers: Sequence[Choice]) -> list[Ranked]:
        """Towers of what is free in this step, by weighted value for width; none holds more than is free."""
        free, worth = self._free, self._worth
        ranked = []
        for index, width, pieces, turned in towers:
            if have := free[index]:
                pieces = min(pieces, have)
                ranked.append((-worth[index] * pieces / width, index, width, pieces, turned))
        ranked.sort()
        return ranked

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
        best: tuple[float, _RisingBay, list[int]] | None = None
        for owner in owners:
            known: dict[int, Content] = {}
            for on_floor in (False, True) if may_stand else (False,):
                self.supply = list(before)
                rising = self._stack(place, owner, on_floor, known)
                score = sum(content.score for _, content in rising.contents())
                if best is None or score > best[0]:
                    best = score, rising, self.supply
        if best is None:
            msg = "no bay was built"
            raise AssertionError(msg)
        self.supply = best[2]
        made = self._scored(best[1], place)
        if self.panel_left is not None:
            self.panel_left -= made.area
        return made

    def _stack(self, place: BayRoom, owner: str | None, on_floor: bool, known: dict[int, Content]) -> _RisingBay:
        """Openings from the floor up, the most value for height first; `known` are contents while all is free."""
        problem, run = self._problem, self._problem.runs[place.run]
        upper, base = problem.head_under(run, place.ceiling), problem.rules.base_over(run.prescribed)
        rising = _RisingBay(
            on_floor, upper - (0 if on_floor else base), 0 if on_floor else drawer_room(problem, base, upper)
        )
        for item in run.prescribed:
            option = self._given_option(run.prescribed_spot, item.kind, item.height)
            content = self._content(option, room_of(problem.rules, item.kind, place.width), owner)
            self._take(content)
            rising.openings.append((item.kind, item.height, content))
        self._rise(rising, place, owner, known)
        rising.above = self._above(place, owner)
        return rising

    def _rise(self, rising: _RisingBay, place: BayRoom, owner: str | None, known: dict[int, Content]) -> None:
        """Add openings, the best for its height first, as long as one fits and is worth its panel."""
        run, supply = self._problem.runs[place.run], self.supply
        options, space = self._worthwhile[run.spot], self._space(place)
        panel, latest, ranked = self.panel_price * place.width * run.depth, dict[int, Content](), []
        for number, option in enumerate(options):
            kind = option.kind
            if option.cost > rising.room or kind not in space:
                continue
            content = known.get(number)
            if content is None:
                content = known[number] = self._content(option, space[kind], owner)
            if content.score > panel:
                latest[number] = content
                chance = (0.9 + 0.2 * self._chance.random()) / option.cost
                ranked.append(((panel - content.score) * chance, number, chance))
        self.work += LOOK * len(options)
        if rising.is_on_floor:
            first = min((item for item in ranked if options[item[1]].kind is OpeningKind.HANG), default=None)
            if first is None:
                return
            self._add(rising, options[first[1]], latest[first[1]])
        heapify(ranked)
        while ranked:
            _, number, chance = ranked[0]
            option, content = options[number], latest[number]
            room = rising.room if option.kind is not OpeningKind.DRAWER else min(rising.room, rising.drawers)
            if option.cost > room or self._is_too_dear(rising, place, option, content):
                heappop(ranked)
                continue
            for index, much, _ in content.taken:
                if supply[index] < much:  # some of it was taken meanwhile
                    content = latest[number] = self._content(option, space[option.kind], owner)
                    if content.score > panel:
                        heapreplace(ranked, ((panel - content.score) * chance, number, chance))
                    else:
                        heappop(ranked)
                    break
            else:
                self._add(rising, option, content)

    def _is_too_dear(self, rising: _RisingBay, place: BayRoom, option: Option, content: Content) -> bool:
        """Whether one more opening takes a bay over what is left of the budget."""
        if self.panel_left is None:
            return False
        problem, run = self._problem, self._problem.runs[place.run]
        contents = [*rising.contents(), (option.kind, content)]
        width = self._width_of(contents, place)
        upright = 0 if run.is_kept else problem.head_under(run, max(run.ceiling_left, run.ceiling_right))
        panels = len(contents) + (0 if rising.is_on_floor else 1)
        is_too_dear = (width * panels + upright) * run.depth > self.panel_left
        self.is_short = self.is_short or is_too_dear
        return is_too_dear

    def _space(self, place: BayRoom) -> dict[OpeningKind, int]:
        """What the columns of each kind of opening that a bay so wide may have there add up to at most [ticks]."""
        run, rules, width = self._problem.runs[place.run], self._problem.rules, place.width
        return {
            kind: room_of(rules, kind, width) for kind in run.kinds if width <= self._problem.longest(place.run, kind)
        }

    def _add(self, rising: _RisingBay, option: Option, content: Content) -> None:
        """Put an opening with its contents on what has risen so far."""
        self._take(content)
        rising.room -= option.cost
        rising.drawers -= option.cost if option.kind is OpeningKind.DRAWER else 0
        rising.openings.append((option.kind, option.height, content))

    def _above(self, place: BayRoom, owner: str | None) -> Content | None:
        """What lies on the top panel, where the room under the ceiling holds anything."""
        problem, run = self._problem, self._problem.runs[place.run]
        over = problem.above_under(run, place.ceiling)
        is_short = place.width <= problem.longest(place.run, OpeningKind.SHELF)
        if not over or not is_short or (place.left is not None and run.blocked):
            return None
        option = self._given_option(run.spot, OpeningKind.SHELF, over)
        content = self._content(option, room_of(problem.rules, OpeningKind.SHELF, place.width), owner)
        if not content.value:
            return None
        self._take(content)
        return content

    def _scored(self, rising: _RisingBay, place: BayRoom) -> ScoredBay:
        """The bay as it is built, as narrow as what it holds where its place leaves it free."""
        contents, counted = rising.contents(), dict[int, int]()
        for _, content in contents:
            for index, number, _ in content.taken:
                counted[index] = counted.get(index, 0) + number
        width = self._width_of(contents, place)
        pieces = [OpeningSketch(kind, height, self._holds(content)) for kind, height, content in rising.openings]
        floor = pieces.pop(0) if rising.is_on_floor and pieces else None
        above = () if rising.above is None else self._holds(rising.above)
        sketch = BaySketch(width, floor, tuple(pieces), above, place.left)
        value = sum(content.value for _, content in contents)
        return ScoredBay(sketch, value, tuple(counted.items()), False, self.area(place.run, sketch))

    def _width_of(self, contents: Iterable[tuple[OpeningKind, Content]], place: BayRoom) -> int:
        """The clear width of a bay: as narrow as what it holds where its place leaves it free [ticks]."""
        rules = self._problem.rules
        if place.left is not None or self._problem.runs[place.run].fixed:
            return place.width
        needed = max((width_for(rules, kind, content.width) for kind, content in contents), default=0)
        return min(place.width, rules.width_up(max(rules.min_bay, needed)))

    def _given_option(self, spot: Site, kind: OpeningKind, height: int) -> Option:
        """An opening whose height nobody chooses: over the top panel, or prescribed."""
        if (spot, kind, height) not in self._given:
            option = self._given[(spot, kind, height)] = self._option(spot, kind, height)
            option.order = self._by_worth(option.towers)
        return self._given[(spot, kind, height)]

    def _content(self, option: Option, room: int, owner: str | None) -> Content:
        """What to put into an opening: value for width first."""
        self.work += CONTENT
        taken, left = filled_in_order(option.order, room, self.supply, self._barred[owner])
        score, value, worth, values = 0.0, 0, self._worth, self._values
        for index, number, _ in taken:
            score += worth[index] * number
            value += values[index] * number
        return Content(score, value, room - left, taken)

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
