"""Layouts of the same pieces with piles kept whole, things at hand and few heights, by chance and never a proof.

Simulated annealing (Kirkpatrick, Gelatt and Vecchi 1983, Science 220, 671-680): parts of piles, piles and openings go
elsewhere or change places, one step in ten is a chain of them (`ejection_chains`), and each opening is as high and each
bay as wide as its contents then need. What is worse is taken the more seldom the longer the search lasts. A bay may be
too high for a while, at a price that rises; no wall is ever too narrow. Besides from the layout as it is, the search
begins from it with one bay fewer, whose openings stand in the others: wider bays keep large piles whole and take fewer
uprights. A last search has shelf openings at common heights, few of them: each is built at the least that is enough for
it, and a step may also take one out or add one.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from capacity.layout.layout import Layout
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.reach_zones import Zone
from capacity.makeover.plan import PLACE, SIZE
from capacity.solver.effort import Effort
from capacity.solver.goals.ejection_chains import EjectionChains
from capacity.solver.goals.held_bays import NEVER, Figures, HeldBay, HeldBays
from capacity.solver.goals.pile_moves import Bays, PileMoves
from capacity.units import PER_INCH

STEPS, LAST_STEPS = 300, 540
"""Steps of a start, and of a last search, for each pile; fewer of all where the share of the work buys fewer."""

CHAINS = 0.1
"""How often a step is an ejection chain; not where heights are common, which chains know too little of."""

STARTS = 2
"""Starts with a bay fewer, of which the better is searched on."""

HOT, COLD, LAST_HOT, LAST_COLD = 40.0, 6.0, 30.0, 3.0
"""How much worse a step may be, about, at the beginning and the end of a search [inconvenience]."""

TOO_HIGH, DEARER = 500.0, 8.0
"""What an inch too high counts half way through, and by how much more at the end than at the beginning."""

COMMON_STEPS, COMMON_HOT, COMMON_COLD, OFTEN = 3200, 16.0, 1.5, 0.04
"""The same of the search with common heights, and how often a step of it is one of these heights less or more."""

SHEET, THRIFTY, SHEET_AREA = 4.0, 60.0, 48 * 96 * PER_INCH**2
"""What a sheet of 4 by 8 ft counts, and where plywood is to be saved, and its area [square ticks]."""

STEP, LOOKS = 2.2e-5, 200
"""Work that a step counts for, and steps between looks at the clock."""


class _Step(NamedTuple):
    """What a step would change: each bay with its figures after and before, and by how much more."""

    bays: list[tuple[int, HeldBay, Figures, Figures]]
    over: int
    area: int
    wider: dict[int, int]


class _Worse(NamedTuple):
    """What a step costs besides what is too high and the inconvenience of its bays; how many more of each height."""

    worse: float
    heights: dict[int, int]


class PileSearch:
    """Betters a layout's places, inconvenience and clear heights at its contents; all chance from one seeded source.

    Bays at a blocked part of a wall, and those of which openings are prescribed, stay as they are. `common` are the
    heights, rising, at which the last search had the shelf openings of its best layout [ticks].
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
        self._sheet_price = (THRIFTY if is_thrifty else SHEET) / SHEET_AREA
        self._held = HeldBays(problem, layout, zones)
        self._moves = PileMoves(self._held, chance)
        self._chains = EjectionChains(self._held, self._moves, chance)
        self._spare = self._held.spare_panel()
        self._known: list[Figures] = []
        self._troubles: list[int] = []
        self._heights: Counter[int] = Counter()
        self._taken: Counter[int] = Counter()
        self._over, self._area, self._now = 0, 0, 0.0
        self.common: tuple[int, ...] = ()

    def best(self, effort: Effort) -> Layout:
        """The best layout that was found, or the one that was given where none is better."""
        moves = self._moves
        affordable = effort.work_left / (STEP * (STEPS * (1 + STARTS) + LAST_STEPS + COMMON_STEPS))
        number = min(effort.factor * len(self._problem.things), affordable)  # so that the last search cools down too
        every, ends = [self._search(0, HOT, COLD, effort)], []
        every.append(self._search(round(STEPS * number), LAST_HOT, COLD, effort))
        self._held.start, is_whole = min(every, key=lambda item: item[0])[1], True
        for _ in range(STARTS):
            # where a bay fewer is not enough for all, another time from all of them
            moves.bays = moves.with_a_bay_fewer() if is_whole else list(self._held.start)
            every.append(self._search(round(STEPS * number), HOT, COLD, effort))
            is_whole = self._is_whole()
            if is_whole:
                ends.append((self._now, moves.bays))
        moves.bays = min(ends, key=lambda item: item[0])[1] if ends else list(self._held.start)
        every.append(self._search(round(LAST_STEPS * number), LAST_HOT, LAST_COLD, effort))
        moves.bays = list(min(every, key=lambda item: item[0])[1])
        self._held.common = tuple(sorted(set(self._shelf_needs())))
        every.append(self._search(round(COMMON_STEPS * number), COMMON_HOT, COMMON_COLD, effort))
        self._held.common = ()
        least, bays = min(every, key=lambda item: item[0])
        return self._held.built(bays) if least < every[0][0] else self._layout

    def _shelf_needs(self) -> list[int]:
        """The least height of each shelf opening."""
        return [item.height for bay in self._moves.bays for item in bay.openings if item.kind is OpeningKind.SHELF]

    def _search(self, steps: int, hot: float, cold: float, effort: Effort) -> tuple[float, list[HeldBay]]:
        """Steps from the bays as they stand; the least energy of a layout that keeps every rule, and its bays."""
        self._begin()
        moves, draw = self._moves, self._chance.random
        best, kept, self.common = self._now if self._is_whole() else math.inf, list(moves.bays), self._held.common
        for step in range(steps if moves.slots else 0):
            if step % LOOKS == 0:
                effort.spend(STEP * LOOKS)
                if effort.is_over:
                    break
            heat, inch = hot * (cold / hot) ** (step / steps), TOO_HIGH * DEARER ** (step / steps - 0.5) / PER_INCH
            if self._held.common and draw() < OFTEN:
                is_taken = self._changes_common(heat, inch)
            else:
                is_taken = self._changes_bays(heat, inch)
            if is_taken and self._now < best - 0.001 and self._is_whole():
                best, kept, self.common = self._now, list(moves.bays), self._held.common
        return best, kept

    def _changes_bays(self, heat: float, inch: float) -> bool:
        """One step of some bays, at so much heat and with such a price of an inch too high; whether it is taken."""
        if not self._held.common and self._chance.random() < CHAINS:
            new = self._chains.one(self._heights, self._taken)
        else:
            new = self._moves.one()
        tried = self._tried(new) if new else None
        if tried is None:
            return False
        found = self._worse(tried)
        change, drawn, draw = found.worse + inch * tried.over, None, self._chance.random
        if change > 0:  # mostly it is too bad already, so that the rest need not be worked out
            drawn = draw()
            if drawn >= math.exp(-change / heat):
                return False
        troubles = self._troubles_of(tried)
        change += sum(troubles)
        if change > 0 and (draw() if drawn is None else drawn) >= math.exp(-change / heat):
            return False
        self._take(tried, found, troubles)
        return True

    def _changes_common(self, heat: float, inch: float) -> bool:
        """One common height less, or another one; the highest that is needed stays. Whether it is taken."""
        before, needs, chance = self._held.common, self._shelf_needs(), self._chance
        if not needs:
            return False
        made = {*before, max(needs)}
        if len(made) > 1 and chance.random() < 0.6:
            made.discard(chance.choice(sorted(made)))
        if chance.random() < 0.6:
            made.add(chance.choice(needs))
        state = self._known, self._troubles, self._heights, self._taken, self._over, self._area, self._now
        self._held.common = tuple(sorted({*made, max(needs)}))
        self._begin()
        change = self._now - state[-1] + inch * (self._over - state[-3])
        if change > 0 and chance.random() >= math.exp(-change / heat):
            self._known, self._troubles, self._heights, self._taken, self._over, self._area, self._now = state
            self._held.common = before
            return False
        return True

    def _take(self, tried: _Step, found: _Worse, troubles: list[int]) -> None:
        """Go on from a step."""
        moves = self._moves
        lying: dict[int, int] = {}
        for (number, bay, mine, old), trouble in zip(tried.bays, troubles, strict=True):
            moves.bays[number], self._known[number], self._troubles[number] = bay, mine, trouble
            _count(lying, mine.lying, old.lying)
        for mores, counts in ((lying, moves.lying), (found.heights, self._heights), (tried.wider, self._taken)):
            for key, more in mores.items():
                counts[key] += more
        self._over, self._area = self._over + tried.over, self._area + tried.area
        self._now += found.worse + sum(troubles)
        moves.follow()

    def _begin(self) -> None:
        """Count what the bays hold, are wide and high, and take."""
        held, moves = self._held, self._moves
        self._known = [
            held.figures_of(room, bay, held.width_of(room, bay))
            for room, bay in zip(held.rooms, moves.bays, strict=True)
        ]
        moves.lying = held.elsewhere.copy()
        self._heights, self._taken = held.heights_elsewhere.copy(), Counter()
        for room, mine in zip(held.rooms, self._known, strict=True):
            moves.lying.update(mine.lying)
            self._heights.update(mine.heights)
            self._taken[room.run] += mine.width
        moves.follow()
        places = sum(moves.lying.values()) - sum(number > 0 for number in moves.lying.values())
        self._over, self._area = sum(mine.over for mine in self._known), sum(mine.area for mine in self._known)
        self._troubles = [
            held.trouble_of(room, bay, mine.rest)
            for room, bay, mine in zip(held.rooms, moves.bays, self._known, strict=True)
        ]
        self._now = PLACE * places + sum(self._troubles) + SIZE * sum(number > 0 for number in self._heights.values())
        self._now += self._sheet_price * self._area

    def _is_whole(self) -> bool:
        """Whether the bays as they stand keep every rule."""
        fits = all(self._taken[w] <= self._held.room[w] for w in self._taken)
        return self._over == 0 and self._area <= self._spare and fits

    def _tried(self, new: Bays) -> _Step | None:
        """A step's bays with their figures; None where a wall would be too narrow, or it may never be."""
        held, found, over, area = self._held, [], 0, 0
        wider, taken = dict[int, int](), list[int]()
        for number, bay in new.items():  # most steps end here, so that nothing else is worked out before
            room = held.rooms[number]
            width = held.width_of(room, bay)
            taken.append(width)
            wider[room.run] = wider.get(room.run, 0) + width - self._known[number].width
        if any(more > 0 and self._taken[w] + more > held.room[w] for w, more in wider.items()):
            return None
        for (number, bay), width in zip(new.items(), taken, strict=True):
            old = self._known[number]
            mine = held.figures_of(held.rooms[number], bay, width)
            found.append((number, bay, mine, old))
            over += mine.over - old.over
            area += mine.area - old.area
        if self._over + over >= NEVER or self._area + area > max(self._spare, self._area):
            return None
        return _Step(found, over, area, wider)

    def _worse(self, tried: _Step) -> _Worse:
        """What a step costs besides the inconvenience of its bays after it."""
        heights, worse, other = self._heights, self._sheet_price * tried.area, dict[int, int]()
        for number, _, mine, old in tried.bays:
            worse += PLACE * (len(mine.lying) - len(old.lying)) - self._troubles[number]
            if mine.heights != old.heights:
                _count(other, mine.heights, old.heights)
        for height, more in other.items():
            worse += SIZE * ((heights[height] + more > 0) - (heights[height] > 0))
        return _Worse(worse, other)

    def _troubles_of(self, tried: _Step) -> list[int]:
        """The inconvenience of each bay of a step after it."""
        rooms, held = self._held.rooms, self._held
        return [held.trouble_of(rooms[number], bay, mine.rest) for number, bay, mine, _ in tried.bays]


def _count(mores: dict[int, int], after: Iterable[int], before: Iterable[int]) -> None:
    """Count what is there after a step, and off what was there before."""
    for key in after:
        mores[key] = mores.get(key, 0) + 1
    for key in before:
        mores[key] = mores.get(key, 0) - 1
