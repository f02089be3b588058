"""Layouts of the same pieces with piles kept whole, things at hand and few heights, by chance and never a proof.

Simulated annealing (Kirkpatrick, Gelatt and Vecchi 1983, Science 220, 671-680): parts of piles, piles and openings go
elsewhere or change places, each opening as high and each bay as wide as its contents then need. What is worse is
taken the more seldom the longer the search lasts. A bay may be too high for a while, at a price that rises; no wall is
ever too narrow. Besides from the layout as it is, the search begins from it with one bay fewer, whose openings stand in
the others: wider bays keep large piles whole and take fewer uprights.
"""

from __future__ import annotations

import math
import random
from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping
from typing import NamedTuple

from capacity.layout.corners import ends_of
from capacity.layout.layout import Holding, Layout
from capacity.layout.needs import width_for
from capacity.layout.problem import OpeningKind, Problem, Site
from capacity.layout.reach_zones import PriceList, Zone, hand_height
from capacity.layout.sketches import (
    BaySketch,
    OpeningSketch,
    build_wall,
    is_free_of_blocked,
    sketch_of,
    uprights_besides,
)
from capacity.layout.towers import each_alone, towers_of
from capacity.makeover.plan import PLACE, SIZE
from capacity.solver.effort import Effort
from capacity.units import PER_INCH

STEPS, LAST_STEPS = 5000, 9000
"""Steps of a start, and of a last search, for the square root of the number of piles."""

STARTS = 2
"""Starts with a bay fewer, of which the better is searched on."""

HOT, COLD, LAST_HOT, LAST_COLD = 40.0, 6.0, 30.0, 3.0
"""How much worse a step may be, about, at the beginning and the end of a search [inconvenience]."""

TOO_HIGH, DEARER = 500.0, 8.0
"""What an inch too high counts half way through, and by how much more at the end than at the beginning."""

SHEET, THRIFTY, SHEET_AREA = 4.0, 60.0, 48 * 96 * PER_INCH**2
"""What a sheet of 4 by 8 ft counts, and where plywood is to be saved, and its area [square ticks]."""

NEVER = 10**12
"""Stands for what no bay may be: too wide, of two owners, too dear."""

STEP, LOOKS = 4.0e-5, 200
"""Work that a step counts for, and steps between looks at the clock."""

MOST_KNOWN = 60_000
"""Bays whose figures are kept at hand."""

Pieces = tuple[tuple[int, int], ...]
"""Pieces by thing, as (index, number), rising."""


class HeldOpening(NamedTuple):
    """An opening as low as its contents allow, and the clear width that it asks of its bay [ticks]."""

    kind: OpeningKind
    height: int
    pieces: Pieces
    width: int


class HeldBay(NamedTuple):
    """The openings of a bay from the floor up, none of them empty, and what lies over its top panel."""

    openings: tuple[HeldOpening, ...]
    above: HeldOpening


class _BayRoom(NamedTuple):
    """What is given of a bay: run, place and width where it has one, upper face of the top, room over it [ticks]."""

    run: int
    left: int | None
    fixed: int
    upper: int
    above: int
    site: int


class _Figures(NamedTuple):
    """A bay's width with an upright, how much too high it is, its area, clear heights, and what lies in it."""

    width: int
    over: int
    area: int
    heights: tuple[int, ...]
    lying: tuple[int, ...]


Bays = dict[int, HeldBay]
"""Bays by number, and what becomes of them."""

SlotIndex = tuple[int, int]
"""A bay and the number of an opening in it from the floor up; `ABOVE`: over its top panel."""

ABOVE = -1


class PileSearch:
    """Betters a layout's places, inconvenience and clear heights at its contents; all chance from one seeded source.

    Bays at a blocked part of a wall, and those of which openings are prescribed, stay as they are.
    """

    def __init__(
        self,
        problem: Problem,
        layout: Layout,
        zones: Mapping[str, Zone],
        chance: random.Random,
        is_thrifty: bool = False,
    ) -> None:
        self._problem, self._layout, self._chance = problem, layout, chance
        self._prices = PriceList(problem, zones)
        self._sheet_price = (THRIFTY if is_thrifty else SHEET) / SHEET_AREA
        self._sites: dict[Site, int] = {}
        self._ways: list[dict[tuple[int, OpeningKind], list[tuple[int, bool, list[tuple[int, int]]]]]] = []
        self._rooms: list[_BayRoom] = []
        self._start: list[HeldBay] = []
        self._elsewhere: Counter[int] = Counter()
        self._fits: dict[tuple[int, OpeningKind, int, int, int], tuple[int, int, bool]] = {}
        self._made: dict[tuple[int, OpeningKind, Pieces, int], HeldOpening | None] = {}
        self._figures: dict[tuple[_BayRoom, HeldBay], _Figures] = {}
        self._trouble: dict[tuple[_BayRoom, HeldBay], int] = {}
        self._steps: dict[tuple[int, HeldOpening], tuple[int, tuple[int, ...], tuple[int, ...]]] = {}
        self._read()
        self._room = {
            w: end - start - problem.rules.panel
            for w in range(len(problem.runs))
            for start, end in [ends_of(problem, w, layout.owners)]
        }
        self._bays = list(self._start)
        self._slots: list[SlotIndex] = []
        self._reached = math.inf
        self._lying: Counter[int] = Counter()

    def best(self, effort: Effort) -> Layout:
        """The best layout that was found, or the one that was given where none is better."""
        number = effort.factor * len(self._problem.things) ** 0.5
        every, ends = [self._search(0, HOT, COLD, effort)], []
        every.append(self._search(round(STEPS * number), LAST_HOT, COLD, effort))
        self._start = min(every, key=lambda item: item[0])[1]
        for _ in range(STARTS):
            self._bays = self._with_a_bay_fewer()
            every.append(self._search(round(STEPS * number), HOT, COLD, effort))
            ends.append((self._reached, self._bays))
        self._bays = min(ends, key=lambda item: item[0])[1]
        every.append(self._search(round(LAST_STEPS * number), LAST_HOT, LAST_COLD, effort))
        least, bays = min(every, key=lambda item: item[0])
        return self._built(bays) if least < every[0][0] else self._layout

    # ---- reading and building --------------------------------------------------------------------------

    def _read(self) -> None:
        problem, index_of = self._problem, {thing.row: at for at, thing in enumerate(self._problem.things)}
        groups = each_alone(problem)
        for w, wall in enumerate(self._layout.walls):
            run = problem.runs[w]
            for bay in wall.bays:
                held: dict[int, Counter[int]] = {}
                for o, opening in enumerate(bay.openings):
                    held[o] = Counter()
                    for item in opening.holds:
                        held[o][index_of[item.row]] += item.count
                if run.prescribed or not is_free_of_blocked(problem, w, bay):
                    self._elsewhere.update(thing for pieces in held.values() for thing in pieces)
                    continue
                if run.spot not in self._sites:
                    self._sites[run.spot] = len(self._ways)
                    ways: dict[tuple[int, OpeningKind], dict[tuple[int, bool], list[tuple[int, int]]]] = defaultdict(
                        dict
                    )
                    for tower in towers_of(problem, groups, run.spot):
                        steps = ways[tower.group, tower.kind].setdefault((tower.width, tower.turned), [])
                        steps.append((tower.need, tower.pieces))
                    self._ways.append(
                        {way: [(*key, sorted(steps)) for key, steps in mine.items()] for way, mine in ways.items()}
                    )
                ceiling = run.ceiling_over(bay.left, bay.left + bay.width)
                has_above = not run.blocked or bay.openings[-1].bottom >= problem.top
                is_fixed = run.fixed or run.is_between or not run.is_plain
                room = _BayRoom(
                    w,
                    None if run.is_plain else bay.left,
                    bay.width if is_fixed else 0,
                    problem.head_under(run, ceiling),
                    problem.above_under(run, ceiling) if has_above else 0,
                    self._sites[run.spot],
                )
                openings, above = [], self._empty()
                for o, opening in enumerate(bay.openings):
                    made = self._opening(room.site, opening.kind, tuple(sorted(held[o].items())), opening.height)
                    if made is None:
                        continue
                    if opening.bottom >= problem.top:
                        above = made
                    elif made.pieces:
                        openings.append(made)
                self._rooms.append(room)
                self._start.append(HeldBay(tuple(openings), above))

    def _built(self, bays: list[HeldBay]) -> Layout:
        problem, walls, number = self._problem, [], 0
        for w, wall in enumerate(self._layout.walls):
            sketches = []
            for bay in wall.bays:
                if problem.runs[w].prescribed or not is_free_of_blocked(problem, w, bay):
                    sketches.append(sketch_of(problem, w, bay))
                    continue
                room, held = self._rooms[number], bays[number]
                number += 1
                if held.openings or held.above.pieces or room.fixed:
                    sketches.append(self._sketch(room, held))
            walls.append(build_wall(problem, w, self._layout.owners, sketches))
        return Layout(tuple(walls), self._layout.owners)

    def _sketch(self, room: _BayRoom, bay: HeldBay) -> BaySketch:
        width = room.fixed or self._figures_of(room, bay).width - self._problem.rules.panel
        pieces = [OpeningSketch(item.kind, item.height, self._holds(room, item)) for item in bay.openings]
        floor = pieces.pop(0) if pieces and pieces[0].kind is OpeningKind.HANG else None
        return BaySketch(width, floor, tuple(pieces), self._holds(room, bay.above), room.left)

    def _holds(self, room: _BayRoom, opening: HeldOpening) -> tuple[Holding, ...]:
        rows = self._problem.things
        return tuple(
            sorted(
                Holding(rows[thing].row, count, self._fit(room.site, opening.kind, thing, count, opening.height)[2])
                for thing, count in opening.pieces
            )
        )

    # ---- figures ---------------------------------------------------------------------------------------

    def _fit(self, site: int, kind: OpeningKind, thing: int, count: int, height: int) -> tuple[int, int, bool]:
        """Width and least clear height that pieces take in an opening so high, and whether they are turned."""
        key = (site, kind, thing, count, height)
        if key not in self._fits:
            found = []
            for width, turned, steps in self._ways[site][thing, kind]:
                most = max((pieces for need, pieces in steps if need <= height), default=0)
                if most:
                    columns = -(-count // most)
                    need = next(least for least, pieces in steps if -(-count // pieces) <= columns)
                    found.append((columns * width, need, turned))
            self._fits[key] = min(found)
        return self._fits[key]

    def _opening(self, site: int, kind: OpeningKind, pieces: Pieces, height: int) -> HeldOpening | None:
        """An opening about so high with some pieces; None where they may not lie there."""
        key = (site, kind, pieces, height)
        if key not in self._made:
            self._made[key] = self._computed_opening(site, kind, pieces, height)
        return self._made[key]

    def _computed_opening(self, site: int, kind: OpeningKind, pieces: Pieces, height: int) -> HeldOpening | None:
        ways = self._ways[site]
        if not pieces:
            return HeldOpening(kind, 0, (), 0)
        if any((thing, kind) not in ways for thing, _ in pieces):
            return None
        height = max(height, *(min(steps[0][0] for _, _, steps in ways[thing, kind]) for thing, _ in pieces))
        found = [self._fit(site, kind, thing, count, height) for thing, count in pieces]
        width = width_for(self._problem.rules, kind, sum(taken for taken, _, _ in found))
        return HeldOpening(kind, max(need for _, need, _ in found), pieces, width)

    def _empty(self) -> HeldOpening:
        return HeldOpening(OpeningKind.SHELF, 0, (), 0)

    def _figures_of(self, room: _BayRoom, bay: HeldBay) -> _Figures:
        key = (room, bay)
        found = self._figures.get(key)
        if found is None:
            if len(self._figures) > MOST_KNOWN:
                self._figures.clear()
                self._trouble.clear()
            found = self._figures[key] = self._computed(room, bay)
        return found

    def _computed(self, room: _BayRoom, bay: HeldBay) -> _Figures:
        problem, rules, run = self._problem, self._problem.rules, self._problem.runs[room.run]
        every = (*bay.openings, bay.above) if bay.above.pieces else bay.openings
        if not every:
            return _Figures(0, 0, 0, (), ())
        over = 0
        is_on_floor = _is_on_floor(bay)
        place = 0 if is_on_floor else rules.base
        for item in bay.openings:
            if item.kind is OpeningKind.DRAWER and 0 < rules.highest_drawer < place + item.height:
                over += place + item.height - rules.highest_drawer
            place += item.height + rules.panel
        over += max(0, place - room.upper)
        if bay.above.pieces:
            over += max(0, bay.above.height - room.above)
        lying = tuple(thing for item in every for thing, _ in item.pieces)
        if rules.owners_apart and len({problem.things[thing].owner for thing in lying} - {None}) > 1:
            over += NEVER
        width = max(rules.min_bay, *(item.width for item in every))
        if room.fixed:
            over += NEVER if width > room.fixed else 0
            width = room.fixed
        else:
            kinds = {item.kind for item in every}
            width = rules.width_up(width) if problem.has_marked_widths(run) else width
            over += NEVER if width > min(problem.longest(room.run, kind) for kind in kinds) else 0
        high = 0 if run.is_kept else problem.head_under(run, max(run.ceiling_left, run.ceiling_right))
        area = (width * (max(1, len(bay.openings)) + (not is_on_floor)) + high) * run.depth
        heights = tuple(item.height for item in bay.openings if item.kind is OpeningKind.SHELF)
        return _Figures(width + rules.panel, over, area, heights, lying)

    def _trouble_of(self, room: _BayRoom, bay: HeldBay) -> int:
        """The inconvenience of what a bay holds."""
        key = (room, bay)
        if key not in self._trouble:
            rules = self._problem.rules
            place, total = 0 if _is_on_floor(bay) else rules.base, 0
            for item in bay.openings:
                total += self._price(room, item, place)
                place += item.height + rules.panel
            if bay.above.pieces:
                total += self._price(room, bay.above, self._problem.top)
            self._trouble[key] = total
        return self._trouble[key]

    def _price(self, room: _BayRoom, opening: HeldOpening, bottom: int) -> int:
        key = (room.site, opening)
        if key not in self._steps:
            depth = self._problem.runs[room.run].depth
            holds = tuple(Holding(self._problem.things[thing].row, count) for thing, count in opening.pieces)
            hand = hand_height(opening.kind, 0, opening.height, self._problem.rules.hang_allowance)
            self._steps[key] = (hand, *self._prices.steps(opening.kind, depth, holds))
        hand, breaks, costs = self._steps[key]
        return costs[max(0, bisect_right(breaks, bottom + hand) - 1)]

    # ---- search ----------------------------------------------------------------------------------------

    def _with_a_bay_fewer(self) -> list[HeldBay]:
        """The bays as they were given, but one empty, its openings in other bays of its wall."""
        draw, made = self._chance, list(self._start)
        beside: dict[int, list[int]] = defaultdict(list)
        for number, room in enumerate(self._rooms):
            if not room.fixed:
                beside[room.run].append(number)
        emptied = [number for mine in beside.values() if len(mine) > 1 for number in mine]
        if not emptied:
            return made
        out = draw.choice(emptied)
        others = [number for number in beside[self._rooms[out].run] if number != out]
        for item in (*made[out].openings, *([made[out].above] if made[out].above.pieces else [])):
            into = draw.choice(others)
            made[into] = _inserted(made[into], draw.randint(0, len(made[into].openings)), item)
        made[out] = HeldBay((), self._empty())
        return made

    def _search(self, steps: int, hot: float, cold: float, effort: Effort) -> tuple[float, list[HeldBay]]:
        """Steps from the bays as they stand; the least energy of a layout that keeps every rule, and its bays."""
        known = [self._figures_of(room, bay) for room, bay in zip(self._rooms, self._bays, strict=True)]
        self._lying = self._elsewhere.copy()
        heights: Counter[int] = Counter()
        taken: Counter[int] = Counter()
        for room, mine in zip(self._rooms, known, strict=True):
            self._lying.update(mine.lying)
            heights.update(mine.heights)
            taken[room.run] += mine.width
        self._slots = self._every_slot()
        spare, room_of = self._spare_panel(), self._room
        places = sum(self._lying.values()) - sum(number > 0 for number in self._lying.values())
        over, area = sum(mine.over for mine in known), sum(mine.area for mine in known)
        trouble = sum(self._trouble_of(room, bay) for room, bay in zip(self._rooms, self._bays, strict=True))
        now: float = PLACE * places + trouble + SIZE * sum(number > 0 for number in heights.values())
        now += self._sheet_price * area
        is_whole = over == 0 and area <= spare and all(taken[w] <= room_of[w] for w in taken)
        best, kept = now if is_whole else math.inf, list(self._bays)
        draw, moves = self._chance.random, self._moves()
        for step in range(steps if self._slots else 0):
            if step % LOOKS == 0:
                effort.spend(STEP * LOOKS)
                if effort.is_over:
                    break
            chosen, which = draw(), 0
            while chosen > moves[which][0]:
                which += 1
            new = moves[which][1]()
            if not new:
                continue
            found, more_over, more_area, wider = [], 0, 0, dict[int, int]()
            for number, bay in new.items():
                room, old = self._rooms[number], known[number]
                mine = self._figures_of(room, bay)
                found.append((number, bay, mine, old))
                more_over += mine.over - old.over
                more_area += mine.area - old.area
                wider[room.run] = wider.get(room.run, 0) + mine.width - old.width
            if over + more_over >= NEVER or area + more_area > max(spare, area):
                continue
            if any(more > 0 and taken[w] + more > room_of[w] for w, more in wider.items()):
                continue
            worse: float = self._sheet_price * more_area
            lying, other = dict[int, int](), dict[int, int]()
            for number, bay, mine, old in found:
                room = self._rooms[number]
                worse += self._trouble_of(room, bay) - self._trouble_of(room, self._bays[number])
                worse += PLACE * (len(mine.lying) - len(old.lying))
                for thing in mine.lying:
                    lying[thing] = lying.get(thing, 0) + 1
                for thing in old.lying:
                    lying[thing] = lying.get(thing, 0) - 1
                if mine.heights != old.heights:
                    for height in mine.heights:
                        other[height] = other.get(height, 0) + 1
                    for height in old.heights:
                        other[height] = other.get(height, 0) - 1
            for height, more in other.items():
                worse += SIZE * ((heights[height] + more > 0) - (heights[height] > 0))
            inch = TOO_HIGH * DEARER ** (step / steps - 0.5) / PER_INCH
            change = worse + inch * more_over
            if change > 0 and draw() >= math.exp(-change / (hot * (cold / hot) ** (step / steps))):
                continue
            for number, bay, mine, _ in found:
                self._bays[number], known[number] = bay, mine
            for mores, counts in ((lying, self._lying), (other, heights), (wider, taken)):
                for key, more in mores.items():
                    counts[key] += more
            over, area, now = over + more_over, area + more_area, now + worse
            self._slots = self._every_slot()
            if over == 0 and now < best - 0.001 and area <= spare and all(taken[w] <= room_of[w] for w in taken):
                best, kept = now, list(self._bays)
        self._reached = now + TOO_HIGH * over / PER_INCH
        return best, kept

    def _spare_panel(self) -> int:
        """What the budget leaves for the bays of the search [square ticks]."""
        problem = self._problem
        if not problem.most_panel:
            return NEVER**2
        besides = 0
        for w, wall in enumerate(self._layout.walls):
            sketches = [sketch_of(problem, w, bay) for bay in wall.bays]
            besides += uprights_besides(problem, w, sketches)
        return problem.most_panel - besides

    def _every_slot(self) -> list[SlotIndex]:
        return [
            (number, at)
            for number, (room, bay) in enumerate(zip(self._rooms, self._bays, strict=True))
            for at in range(ABOVE if room.above else 0, len(bay.openings))
        ]

    # ---- moves -----------------------------------------------------------------------------------------

    def _moves(self) -> tuple[tuple[float, Callable[[], Bays | None]], ...]:
        """What a step may do, each with how often it or one before it is done."""
        return (
            (0.18, self._joined),
            (0.30, self._shifted),
            (0.42, self._by_itself),
            (0.62, self._exchanged),
            (0.90, self._opening_moved),
            (1.00, self._stacked_otherwise),
        )

    def _at(self, slot: SlotIndex) -> HeldOpening:
        bay = self._bays[slot[0]]
        return bay.above if slot[1] == ABOVE else bay.openings[slot[1]]

    def _some_of(self, opening: HeldOpening) -> tuple[int, int]:
        """One pile of an opening, or a part of it."""
        thing, count = self._chance.choice(opening.pieces)
        return (thing, self._chance.randint(1, count - 1)) if count > 1 and self._chance.random() < 0.3 else (
            thing,
            count,
        )  # fmt: skip

    def _some_height(self, site: int, kind: OpeningKind, thing: int) -> int:
        """A clear height that a stack of a thing needs."""
        _, _, steps = self._chance.choice(self._ways[site][thing, kind])
        return self._chance.choice(steps)[0]

    def _changed(
        self, slot: SlotIndex, opening: HeldOpening | None, out: tuple[int, int] | None, put: tuple[int, int] | None
    ) -> HeldOpening | None:
        """An opening after something was taken out and something put in; None where that cannot be."""
        if opening is None:
            return None
        site, height, pieces = self._rooms[slot[0]].site, opening.height, dict(opening.pieces)
        if out is not None:
            pieces[out[0]] -= out[1]
            if not pieces[out[0]]:
                del pieces[out[0]]
        if put is not None:
            if (put[0], opening.kind) not in self._ways[site]:
                return None
            pieces[put[0]] = pieces.get(put[0], 0) + put[1]
            if self._chance.random() < 0.5:
                height = max(height, self._some_height(site, opening.kind, put[0]))
        return self._opening(site, opening.kind, tuple(sorted(pieces.items())), height)

    def _with(self, *changes: tuple[SlotIndex, HeldOpening | None]) -> Bays | None:
        """The bays with some openings changed; empty ones go."""
        new: Bays = {}
        for (number, at), opening in changes:
            if opening is None:
                return None
            bay = new.get(number, self._bays[number])
            if at == ABOVE:
                new[number] = HeldBay(bay.openings, opening)
            else:
                new[number] = HeldBay((*bay.openings[:at], opening, *bay.openings[at + 1 :]), bay.above)
        return {
            number: HeldBay(tuple(item for item in bay.openings if item.pieces), bay.above)
            for number, bay in new.items()
        }

    def _moved(self, first: SlotIndex, second: SlotIndex, piece: tuple[int, int]) -> Bays | None:
        """A piece of the first opening goes into the second, perhaps for something of another pile that lies there."""
        one, two = self._at(first), self._at(second)
        if one.kind is not two.kind:
            return None
        others = [item for item in two.pieces if item[0] != piece[0]]
        back = None
        if others and self._chance.random() < 0.5:
            thing, count = self._chance.choice(others)
            is_part = count > 1 and self._chance.random() < 0.3
            back = (thing, self._chance.randint(1, count - 1) if is_part else count)
        return self._with(
            (first, self._changed(first, one, piece, back)), (second, self._changed(second, two, back, piece))
        )

    def _joined(self) -> Bays | None:
        """What lies of a pile in one opening goes where more of it lies."""
        several = [thing for thing, number in self._lying.items() if number > 1]
        if not several:
            return None
        thing = self._chance.choice(several)
        slots = [slot for slot in self._slots if any(item[0] == thing for item in self._at(slot).pieces)]
        if len(slots) < 2:
            return None
        first, second = self._chance.sample(slots, 2)
        return self._moved(first, second, (thing, dict(self._at(first).pieces)[thing]))

    def _two(self) -> tuple[SlotIndex, SlotIndex] | None:
        first, second = self._chance.choice(self._slots), self._chance.choice(self._slots)
        return None if first == second else (first, second)

    def _shifted(self) -> Bays | None:
        """Something goes into another opening."""
        two = self._two()
        if two is None or not self._at(two[0]).pieces:
            return None
        return self._moved(*two, self._some_of(self._at(two[0])))

    def _by_itself(self) -> Bays | None:
        """Something gets an opening of its own, in any bay."""
        slot, number = self._chance.choice(self._slots), self._chance.randrange(len(self._bays))
        old, room = self._at(slot), self._rooms[number]
        if not old.pieces or old.kind not in self._problem.runs[room.run].kinds:
            return None
        thing, count = self._some_of(old)
        if (thing, old.kind) not in self._ways[room.site]:
            return None
        made = self._opening(room.site, old.kind, ((thing, count),), self._some_height(room.site, old.kind, thing))
        at = self._chance.randint(0, len(self._bays[number].openings))
        new = self._with((slot, self._changed(slot, old, (thing, count), None)))
        if new is None or made is None:
            return None
        bay = new.get(number, self._bays[number])
        return {**new, number: _inserted(bay, min(at, len(bay.openings)), made)}

    def _exchanged(self) -> Bays | None:
        """Two things change places."""
        two = self._two()
        if two is None:
            return None
        one, other = self._at(two[0]), self._at(two[1])
        if one.kind is not other.kind or not one.pieces or not other.pieces:
            return None
        piece, back = self._chance.choice(one.pieces), self._chance.choice(other.pieces)
        if piece[0] == back[0]:
            return None
        return self._with(
            (two[0], self._changed(two[0], one, piece, back)), (two[1], self._changed(two[1], other, back, piece))
        )

    def _opening_moved(self) -> Bays | None:
        """A whole opening stands elsewhere, or two change places."""
        two = self._two()
        if two is None:
            return None
        (number, at), (into, before) = two
        one, other = self._at(two[0]), self._at(two[1])
        rooms, kinds = (self._rooms[number], self._rooms[into]), OpeningKind
        is_above = at == ABOVE or before == ABOVE
        if is_above and not one.kind is other.kind is kinds.SHELF:
            return None
        if one.kind not in self._problem.runs[rooms[1].run].kinds:
            return None
        put = self._opening(rooms[1].site, one.kind, one.pieces, one.height)
        if is_above or self._chance.random() < 0.5:
            if other.kind not in self._problem.runs[rooms[0].run].kinds:
                return None
            back = self._opening(rooms[0].site, other.kind, other.pieces, other.height)
            return self._with((two[0], back), (two[1], put))
        if put is None:
            return None
        old = self._bays[number]
        new = {number: HeldBay((*old.openings[:at], *old.openings[at + 1 :]), old.above)}
        bay = new.get(into, self._bays[into])
        return {**new, into: _inserted(bay, min(before, len(bay.openings)), put)}

    def _stacked_otherwise(self) -> Bays | None:
        """An opening of another height, with higher or lower stacks."""
        slot = self._chance.choice(self._slots)
        old = self._at(slot)
        if not old.pieces:
            return None
        site = self._rooms[slot[0]].site
        height = self._some_height(site, old.kind, self._chance.choice(old.pieces)[0])
        made = self._opening(site, old.kind, old.pieces, height)
        return None if made == old else self._with((slot, made))


def _inserted(bay: HeldBay, at: int, opening: HeldOpening) -> HeldBay:
    """A bay with one opening more."""
    return HeldBay((*bay.openings[:at], opening, *bay.openings[at:]), bay.above)


def _is_on_floor(bay: HeldBay) -> bool:
    """Whether the lowest opening has a rod and stands on the floor."""
    return bool(bay.openings) and bay.openings[0].kind is OpeningKind.HANG
