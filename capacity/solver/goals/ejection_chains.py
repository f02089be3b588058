"""Ejection chains: a pile goes where it costs least, perhaps for others there, which then go elsewhere in turn.

In a full closet hardly anything can be moved by itself, and two things seldom change places: three or four can. A chain
(Glover 1996, Discrete Applied Mathematics 65, 223-253; from memory) begins with what gives trouble. Costs along a chain
are estimates, and the weights in them our own; the search that asks for it counts what the changed bays cost, and takes
it or not.
"""

from __future__ import annotations

import random
from collections import Counter
from typing import NamedTuple

from capacity.layout.drawer_rule import DRAWER_SIDES
from capacity.layout.problem import OpeningKind
from capacity.makeover.plan import PLACE
from capacity.solver.goals.held_bays import EMPTY, HeldBay, HeldBays, HeldOpening
from capacity.solver.goals.pile_moves import ABOVE, Bays, PileMoves, SlotIndex
from capacity.units import PER_INCH

DRAWS = 3
"""Openings from which that of most trouble begins a chain."""

LONGEST = 10
"""Times that something is ejected in a chain."""

WHOLE, TOGETHER, PASSED = 0.5, 0.7, 0.08
"""How often all of an opening begins a chain; how often what lies elsewhere of it comes along; and how often a place is
passed over, so that chains differ."""

HIGHER, WIDER, EJECTED, ANOTHER = 0.7, 2.0, 1.0, 18
"""What an inch of a bay's height, an inch of a wall's width, a square inch that is ejected, and another clear height
count, about."""

HIGHEST = 4
"""Heights for which an opening of its own is looked at: those of the highest stacks, besides the lowest."""

NO_LESS = 40.0
"""An opening for which another would be ejected is looked at where it costs no more than the best by this."""

NOWHERE = float("inf")


class _Stand(NamedTuple):
    """A bay: bottoms of its openings, height left over, width with an upright, and what each would leave.

    That is height with a panel, what its size counts, and the trouble and height that are spared.
    """

    bottoms: list[int]
    rest: int
    width: int
    leaving: list[tuple[int, float, float]]


class _Place(NamedTuple):
    """Where something goes: the opening that then is there, new or for the one at that place, and what is ejected.

    `out` is a thing of that opening or, where the opening is new, the number of one of the same bay; -1: nothing.
    """

    number: int
    at: int
    made: HeldOpening
    is_new: bool
    out: int


class EjectionChains:
    """Chains for the bays as `moves` has them; all chance from one seeded source."""

    def __init__(self, held: HeldBays, moves: PileMoves, chance: random.Random) -> None:
        self._held, self._moves, self._chance = held, moves, chance
        self._runs, self._top, self._base = held.problem.runs, held.problem.top, held.problem.rules.base
        self._thick = held.problem.rules.panel
        self._kinds = [
            [kind for kind in OpeningKind if any((thing, kind) in ways for ways in held.ways)]
            for thing in range(len(held.problem.things))
        ]
        self._known: dict[int, tuple[HeldBay, tuple[int, ...], _Stand]] = {}
        self._alone: dict[tuple[int, OpeningKind, int, int], tuple[int, list[HeldOpening]]] = {}
        self._bays: list[HeldBay] = []
        self._stands: list[_Stand] = []
        self._lying: Counter[int] = Counter()
        self._heights: Counter[int] = Counter()
        self._slack: dict[int, int] = {}
        self._settled: set[int] = set()
        self._least = NOWHERE
        self._found: _Place | None = None

    def one(self, heights: Counter[int], taken: Counter[int]) -> Bays | None:
        """The bays that a chain would change; None where it does not end well.

        Parameters
        ----------
        heights
            Shelf openings by clear height.
        taken
            Width that the bays of each run take with their uprights [ticks].
        """
        moves, held = self._moves, self._held
        self._bays, self._lying, self._heights = list(moves.bays), moves.lying.copy(), heights.copy()
        self._slack = {w: room - taken[w] for w, room in held.room.items()}
        self._stands = [self._known_stand(number, bay) for number, bay in enumerate(self._bays)]
        self._settled = set()
        pool = self._begun()
        ejected = 0
        while pool:
            thing, count = pool.pop()
            place = self._best_place(thing, count, ejected < LONGEST)
            if place is None:
                return None
            self._settled.add(thing)
            ejected += place.out >= 0
            pool = [*reversed(self._moved_in(place)), *pool]
        old = moves.bays
        return {number: bay for number, bay in enumerate(self._bays) if bay is not old[number] and bay != old[number]}

    # ---- what is taken out and put in ------------------------------------------------------------------

    def _begun(self) -> list[tuple[int, int]]:
        """Take out what gives trouble; as (thing, number of pieces)."""
        slot, chance = self._troubled(), self._chance
        if slot is None:
            return []
        pieces = self._at(slot).pieces
        if len(pieces) == 1 or chance.random() < WHOLE:
            self._set(slot, None)
            pool = list(pieces)
        else:
            thing = chance.choice(pieces)[0]
            pool = [(thing, self._take_out(slot, thing))]
        if chance.random() < TOGETHER:
            pool = [(thing, count + self._gathered(thing)) for thing, count in pool]
        chance.shuffle(pool)
        return pool

    def _troubled(self) -> SlotIndex | None:
        """Of some openings by chance the one that gives most trouble; None where all are empty."""
        most, found, moves = -1.0, None, self._moves
        for _ in range(DRAWS):
            slot = self._chance.choice(moves.slots)
            item, (number, at) = self._at(slot), slot
            if item.pieces:
                bottom = self._top if at == ABOVE else self._stands[number].bottoms[at]
                trouble = self._chance.random() + self._held.trouble_in(self._held.rooms[number], item, bottom)
                trouble += PLACE / 2 * sum(moves.lying[thing] > 1 for thing in item.things)
                if trouble > most:
                    most, found = trouble, slot
        return found

    def _gathered(self, thing: int) -> int:
        """Take a thing out wherever it lies; how many pieces."""
        count = 0
        if self._lying[thing] > 0:
            for number, bay in enumerate(self._bays):
                for at in range(len(bay.openings) - 1, ABOVE - 1, -1):
                    if thing in self._at((number, at)).things:
                        count += self._take_out((number, at), thing)
        return count

    def _take_out(self, slot: SlotIndex, thing: int) -> int:
        """Take a thing out of an opening; how many pieces."""
        item, pieces = self._at(slot), dict(self._at(slot).pieces)
        count = pieces.pop(thing)
        height = 0 if slot[1] == ABOVE else item.height
        self._set(slot, self._opening(self._held.rooms[slot[0]].site, item.kind, pieces, height) if pieces else None)
        return count

    def _moved_in(self, place: _Place) -> list[tuple[int, int]]:
        """Put something where it goes; what is ejected for it, as (thing, number of pieces)."""
        slot = place.number, place.at
        if place.is_new:
            out = self._bays[place.number].openings[place.out].pieces if place.out >= 0 else ()
            if place.out >= 0:
                self._set((place.number, place.out), None)
            self._set(slot, place.made, is_new=True)
            return list(out)
        ejected = [(thing, count) for thing, count in self._at(slot).pieces if thing == place.out]
        self._set(slot, place.made)
        return ejected

    def _at(self, slot: SlotIndex) -> HeldOpening:
        bay = self._bays[slot[0]]
        return bay.above if slot[1] == ABOVE else bay.openings[slot[1]]

    def _opening(self, site: int, kind: OpeningKind, pieces: dict[int, int], height: int) -> HeldOpening | None:
        return self._held.opening(site, kind, tuple(sorted(pieces.items())), height)

    def _set(self, slot: SlotIndex, made: HeldOpening | None, is_new: bool = False) -> None:
        """Put an opening for the one at a place, or where it is new under it; None: that one goes."""
        (number, at), bay, built = slot, self._bays[slot[0]], self._held.built_height
        old, new = EMPTY if is_new else self._at(slot), made or EMPTY
        if at == ABOVE:
            bay = HeldBay(bay.openings, new)
        else:
            between = (new,) if new.pieces else ()
            bay = HeldBay((*bay.openings[:at], *between, *bay.openings[at + (not is_new) :]), bay.above)
            for item, more in ((old, -1), (new, 1)):
                if item.kind is OpeningKind.SHELF and item.pieces:
                    self._heights[built(item)] += more
        for thing in old.things:
            self._lying[thing] -= 1
        for thing in new.things:
            self._lying[thing] += 1
        stand = self._stand(number, bay)
        self._slack[self._held.rooms[number].run] -= stand.width - self._stands[number].width
        self._bays[number], self._stands[number] = bay, stand

    def _known_stand(self, number: int, bay: HeldBay) -> _Stand:
        """How a bay stands, which it mostly did the last time too."""
        known = self._known.get(number)
        if known is None or known[0] is not bay or known[1] is not self._held.common:
            known = self._known[number] = bay, self._held.common, self._stand(number, bay)
        return known[2]

    def _stand(self, number: int, bay: HeldBay) -> _Stand:
        held, room = self._held, self._held.rooms[number]
        place = 0 if bay.openings and bay.openings[0].kind is OpeningKind.HANG else self._base
        bottoms, leaving = [], []
        for item in bay.openings:
            high = held.built_height(item) + self._thick
            spared = held.trouble_in(room, item, place) + HIGHER * high / PER_INCH
            bottoms.append(place)
            leaving.append((high, EJECTED * item.height * item.width / PER_INCH**2, spared))
            place += high
        return _Stand(bottoms, room.upper - place, held.width_of(room, bay), leaving)

    # ---- where something goes --------------------------------------------------------------------------

    def _best_place(self, thing: int, count: int, may_eject: bool) -> _Place | None:
        """Where some pieces cost least; None where they fit nowhere."""
        self._least, self._found = NOWHERE, None
        for number, room in enumerate(self._held.rooms):
            ways, kinds = self._held.ways[room.site], self._runs[room.run].kinds
            width = self._stands[number].width
            clear = max(0, width - self._thick)
            for kind in self._kinds[thing]:
                if (thing, kind) not in ways or kind not in kinds:
                    continue
                most = room.fixed
                if not most:
                    longest = room.widest_rod if kind is OpeningKind.HANG else room.widest
                    most = min(clear + self._slack[room.run] - (0 if width else self._thick), longest)
                least, alone = self._openings_alone(room.site, kind, thing, count)
                if least <= most:
                    self._look_into_openings(number, kind, (thing, count, least), (clear, most), may_eject)
                    self._look_between(number, self._chance.choice(alone), thing, (clear, most), may_eject)
        return self._found

    def _openings_alone(self, site: int, kind: OpeningKind, thing: int, count: int) -> tuple[int, list[HeldOpening]]:
        """Openings that hold some pieces and nothing else, by rising height; the least width of one before them."""
        key = site, kind, thing, count
        if key not in self._alone:
            ways = self._held.ways[site][thing, kind]
            heights = {step[0] for _, _, steps in ways for step in (steps[0], *steps[-HIGHEST:])}
            made = (self._opening(site, kind, {thing: count}, height) for height in sorted(heights))
            found = list(dict.fromkeys(item for item in made if item is not None))
            self._alone[key] = min(item.width for item in found), found
        return self._alone[key]

    def _look_into_openings(
        self, number: int, kind: OpeningKind, piece: tuple[int, int, int], widths: tuple[int, int], may_eject: bool
    ) -> None:
        """Look at the openings of a bay that are there, perhaps for something in one of them."""
        held, draw, (thing, count, least), (clear, most) = self._held, self._chance.random, piece, widths
        room, bay, stand = held.rooms[number], self._bays[number], self._stands[number]
        least -= DRAWER_SIDES if kind is OpeningKind.DRAWER else 0
        more_places = PLACE if self._lying[thing] > 0 else 0
        for at in range(ABOVE if kind is OpeningKind.SHELF and room.above else 0, len(bay.openings)):
            item = bay.above if at == ABOVE else bay.openings[at]
            if (item.pieces and item.kind is not kind) or draw() < PASSED:
                continue
            bottom = self._top if at == ABOVE else stand.bottoms[at]
            area = EJECTED / PER_INCH**2 * item.height * item.width / max(1, len(item.pieces))
            for out, pieces_out in ((-1, 0), *(item.pieces if may_eject else ())):
                cost = 0.0
                if out < 0:
                    if item.width + least > most and thing not in item.things:
                        continue
                elif out == thing or out in self._settled:
                    continue
                else:
                    cost = area * (0.5 + draw())
                    cost -= pieces_out * held.cost_of_piece(out, kind, room.depth, bottom, item.height)
                    if cost >= self._least:
                        continue
                pieces = {one: number_of for one, number_of in item.pieces if one != out}
                pieces[thing] = pieces.get(thing, 0) + count
                made = self._opening(room.site, kind, pieces, item.height if len(pieces) > 1 or out < 0 else 0)
                if made is None or made.width > most:
                    continue
                high, was = held.built_height(made), held.built_height(item) if item.pieces else 0
                if at == ABOVE:
                    if made.height > room.above:
                        continue
                elif high - was > stand.rest:
                    continue
                elif high != was:
                    cost += HIGHER * (high - was) / PER_INCH
                    if kind is OpeningKind.SHELF:
                        cost += ANOTHER * ((self._heights[high] <= 0) - (self._heights[was] <= 1))
                cost += count * held.cost_of_piece(thing, kind, room.depth, bottom, high) + draw()
                cost += 0 if thing in item.things else more_places
                cost += WIDER * max(0, made.width - clear) / PER_INCH
                if cost < self._least:
                    self._least, self._found = cost, _Place(number, at, made, False, out)

    def _look_between(
        self, number: int, made: HeldOpening, thing: int, widths: tuple[int, int], may_eject: bool
    ) -> None:
        """Look at an opening of its own in a bay, where it costs least, perhaps for another opening of the bay."""
        held, draw, (clear, most) = self._held, self._chance.random, widths
        room, bay, (bottoms, rest, _, leaving) = held.rooms[number], self._bays[number], self._stands[number]
        if made.width > most or draw() < PASSED:
            return
        is_hung, high = made.kind is OpeningKind.HANG, held.built_height(made)
        tall = high + self._thick
        cost = HIGHER * tall / PER_INCH + WIDER * max(0, made.width - clear) / PER_INCH
        cost += PLACE if self._lying[thing] > 0 else 0
        cost += ANOTHER if made.kind is OpeningKind.SHELF and self._heights[high] <= 0 else 0
        if cost >= self._least:
            return
        lowest, (_, count) = 0 if is_hung else self._base, made.pieces[0]
        # under a rod on the floor there is no panel: what comes there takes the base besides
        first = bool(bay.openings) and bottoms[0] == 0 and not is_hung and rest < tall + self._base
        ends = [*bottoms, room.upper - rest] if bay.openings else [lowest]
        where, cheap = 0, NOWHERE
        for at in range(first, len(ends)):
            one = count * held.cost_of_piece(thing, made.kind, room.depth, ends[at] or lowest, high) + draw()
            if one < cheap:
                where, cheap = at, one
        cost += cheap
        if tall <= rest:
            if cost < self._least:
                self._least, self._found = cost, _Place(number, where, made, True, -1)
        elif may_eject and cost < self._least + NO_LESS:
            for at, (leaves, area, spared) in enumerate(leaving):
                if leaves < tall - rest:
                    continue
                one = cost + area * (0.5 + draw()) - spared
                things = bay.openings[at].things
                if one < self._least and thing not in things and self._settled.isdisjoint(things):
                    self._least, self._found = one, _Place(number, where - (where > at), made, True, at)
