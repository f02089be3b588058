"""The moves of the search over whole piles: parts of piles, piles and openings go elsewhere or change places."""

from __future__ import annotations

import random
from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from typing import TypeVar

from capacity.layout.problem import OpeningKind
from capacity.solver.goals.held_bays import EMPTY, HeldBay, HeldBays, HeldOpening

Item = TypeVar("Item")

Bays = dict[int, HeldBay]
"""Bays by number, and what becomes of them."""

SlotIndex = tuple[int, int]
"""A bay and the number of an opening in it from the floor up; `ABOVE`: over its top panel."""

ABOVE = -1


class PileMoves:
    """What a step of the search may do to bays; all chance from one seeded source.

    `bays` are the bays as they stand, `slots` their openings (`follow` reads them anew), and `lying` in how many
    openings each thing lies.
    """

    def __init__(self, held: HeldBays, chance: random.Random) -> None:
        self._held, self._problem, self._chance = held, held.problem, chance
        self._rooms, self._ways, self._opening = held.rooms, held.ways, held.opening
        self.bays = list(held.start)
        self.slots: list[SlotIndex] = []
        self.lying: Counter[int] = Counter()
        self._draw = chance.random
        self._moves: tuple[Callable[[], Bays | None], ...] = (
            self._joined,
            self._shifted,
            self._by_itself,
            self._exchanged,
            self._opening_moved,
            self._stacked_otherwise,
        )
        self._often = (0.05, 0.17, 0.30, 0.55, 0.90, 1.00)
        """How often each move or one before it is done."""

    def follow(self) -> None:
        """Take note of the openings of the bays as they stand."""
        self.slots = [
            (number, at)
            for number, (room, bay) in enumerate(zip(self._rooms, self.bays, strict=True))
            for at in range(ABOVE if room.above else 0, len(bay.openings))
        ]

    def one(self) -> Bays | None:
        """The bays that a step chosen by chance would change; none where it cannot be done."""
        return self._moves[bisect_left(self._often, self._draw())]()

    def with_a_bay_fewer(self) -> list[HeldBay]:
        """The bays as they were given, but one empty, its openings in other bays of its wall."""
        draw, made = self._chance, list(self._held.start)
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
        made[out] = HeldBay((), EMPTY)
        return made

    def _any(self, items: Sequence[Item]) -> Item:
        """One of them, by chance; in half the time of `Random.choice`."""
        return items[int(self._draw() * len(items))]

    def _at(self, slot: SlotIndex) -> HeldOpening:
        bay = self.bays[slot[0]]
        return bay.above if slot[1] == ABOVE else bay.openings[slot[1]]

    def _some_of(self, opening: HeldOpening) -> tuple[int, int]:
        """One pile of an opening, or a part of it."""
        thing, count = self._any(opening.pieces)
        return (thing, self._chance.randint(1, count - 1)) if count > 1 and self._draw() < 0.3 else (
            thing,
            count,
        )  # fmt: skip

    def _some_height(self, site: int, kind: OpeningKind, thing: int) -> int:
        """A clear height that a stack of a thing needs."""
        _, _, steps = self._any(self._ways[site][thing, kind])
        return self._any(steps)[0]

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
            if self._draw() < 0.5:
                height = max(height, self._some_height(site, opening.kind, put[0]))
        return self._opening(site, opening.kind, tuple(sorted(pieces.items())), height)

    def _with(self, *changes: tuple[SlotIndex, HeldOpening | None]) -> Bays | None:
        """The bays with some openings changed; empty ones go."""
        new: Bays = {}
        is_emptied = False
        for (number, at), opening in changes:
            if opening is None:
                return None
            is_emptied = is_emptied or not opening.pieces
            bay = new.get(number, self.bays[number])
            if at == ABOVE:
                new[number] = HeldBay(bay.openings, opening)
            else:
                new[number] = HeldBay((*bay.openings[:at], opening, *bay.openings[at + 1 :]), bay.above)
        for number, bay in new.items() if is_emptied else ():
            if not all(item.pieces for item in bay.openings):
                new[number] = HeldBay(tuple(item for item in bay.openings if item.pieces), bay.above)
        return new

    def _moved(self, first: SlotIndex, second: SlotIndex, piece: tuple[int, int]) -> Bays | None:
        """A piece of the first opening goes into the second, perhaps for something of another pile that lies there."""
        one, two = self._at(first), self._at(second)
        if one.kind is not two.kind:
            return None
        others = [item for item in two.pieces if item[0] != piece[0]]
        back = None
        if others and self._draw() < 0.5:
            thing, count = self._any(others)
            is_part = count > 1 and self._draw() < 0.3
            back = (thing, self._chance.randint(1, count - 1) if is_part else count)
        return self._with(
            (first, self._changed(first, one, piece, back)), (second, self._changed(second, two, back, piece))
        )

    def _joined(self) -> Bays | None:
        """What lies of a pile in one opening goes where more of it lies."""
        several = [thing for thing, number in self.lying.items() if number > 1]
        if not several:
            return None
        thing = self._any(several)
        slots = [slot for slot in self.slots if thing in self._at(slot).things]
        if len(slots) < 2:
            return None
        first, second = self._chance.sample(slots, 2)
        return self._moved(first, second, (thing, dict(self._at(first).pieces)[thing]))

    def _two(self) -> tuple[SlotIndex, SlotIndex] | None:
        first, second = self._any(self.slots), self._any(self.slots)
        return None if first == second else (first, second)

    def _shifted(self) -> Bays | None:
        """Something goes into another opening."""
        two = self._two()
        if two is None or not self._at(two[0]).pieces:
            return None
        return self._moved(*two, self._some_of(self._at(two[0])))

    def _by_itself(self) -> Bays | None:
        """Something gets an opening of its own, in any bay."""
        slot, number = self._any(self.slots), self._chance.randrange(len(self.bays))
        old, room = self._at(slot), self._rooms[number]
        if not old.pieces or old.kind not in self._problem.runs[room.run].kinds:
            return None
        thing, count = self._some_of(old)
        if (thing, old.kind) not in self._ways[room.site]:
            return None
        made = self._opening(room.site, old.kind, ((thing, count),), self._some_height(room.site, old.kind, thing))
        at = self._chance.randint(0, len(self.bays[number].openings))
        new = self._with((slot, self._changed(slot, old, (thing, count), None)))
        if new is None or made is None:
            return None
        bay = new.get(number, self.bays[number])
        return {**new, number: _inserted(bay, min(at, len(bay.openings)), made)}

    def _exchanged(self) -> Bays | None:
        """Two things change places."""
        two = self._two()
        if two is None:
            return None
        one, other = self._at(two[0]), self._at(two[1])
        if one.kind is not other.kind or not one.pieces or not other.pieces:
            return None
        piece, back = self._any(one.pieces), self._any(other.pieces)
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
        if is_above or self._draw() < 0.5:
            if other.kind not in self._problem.runs[rooms[0].run].kinds:
                return None
            back = self._opening(rooms[0].site, other.kind, other.pieces, other.height)
            return self._with((two[0], back), (two[1], put))
        if put is None:
            return None
        old = self.bays[number]
        new = {number: HeldBay((*old.openings[:at], *old.openings[at + 1 :]), old.above)}
        bay = new.get(into, self.bays[into])
        return {**new, into: _inserted(bay, min(before, len(bay.openings)), put)}

    def _stacked_otherwise(self) -> Bays | None:
        """An opening of another height, with higher or lower stacks."""
        slot = self._any(self.slots)
        old = self._at(slot)
        if not old.pieces:
            return None
        site = self._rooms[slot[0]].site
        height = self._some_height(site, old.kind, self._any(old.pieces)[0])
        made = self._opening(site, old.kind, old.pieces, height)
        return None if made == old else self._with((slot, made))


def _inserted(bay: HeldBay, at: int, opening: HeldOpening) -> HeldBay:
    """A bay with one opening more."""
    return HeldBay((*bay.openings[:at], opening, *bay.openings[at:]), bay.above)
