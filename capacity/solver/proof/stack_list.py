"""Every stack of openings that a bay of a plain wall can have, that no other beats, and that is worth enough.

A stack is a number of openings for each candidate (kind, clear height); their order does not matter where nobody
prices the reach. Lowered to what they need, openings of height h or more of one kind number at most

    sum over groups g of floor(count of g / fewest pieces of g that need such a height),

because each is as high as it is for the sake of some pieces of its own. Among the stacks that keep this and fit,
only those need be looked at in which no opening can be raised to the next candidate and none added: what the others
hold, one of these holds too (dominance as in the maximal patterns of cutting stock). Stacks are built up candidate by
candidate, all at once; what cannot reach the worth that is asked for, whatever is still added, is left.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from capacity.layout.problem import OpeningKind
from capacity.layout.towers import Group, Tower, candidate_heights
from capacity.solver.relaxation.bay_pricing import Headroom
from capacity.solver.relaxation.opening_knapsack import Bools, Floats, Ints

Candidate = tuple[OpeningKind, int]
"""Kind and clear height [ticks] of an opening that may be built."""

UNITS = 300
"""Units of height in which what may still be added is bounded; heights are rounded down to them."""

MOST_NUMBERS, MOST_PARTIAL = 6_000_000, 150_000
"""Numbers, and stacks so far, that a listing may hold at once before it is given up."""


FAR = 2**60
"""A height [ticks] that no change takes."""


@dataclass(frozen=True, slots=True)
class _Level:
    """A candidate with the most openings as high or higher, the step to the next higher one, and its place."""

    index: int
    cost: int
    most: int
    step: int
    is_highest: bool
    is_lowest: bool
    is_rod: bool


@dataclass(frozen=True, slots=True)
class _Partial:
    """Stacks so far, one a row: numbers of openings, height left, what they are worth by size.

    `so_far` and `spare` are openings of the kind at hand, and how many more there may be as high as the last level;
    `least` is the height that the cheapest change so far would take.
    """

    counts: Ints
    left: Ints
    has_rod: Bools
    so_far: Ints
    spare: Ints
    least: Ints
    worth: Floats

    def of(self, rows: Bools) -> _Partial:
        return _Partial(
            self.counts[rows],
            self.left[rows],
            self.has_rod[rows],
            self.so_far[rows],
            self.spare[rows],
            self.least[rows],
            self.worth[rows],
        )


def useful_towers(groups: Sequence[Group], towers: Iterable[Tower]) -> tuple[Tower, ...]:
    """The towers without those of which a lower one holds the whole pile in one column."""
    every = tuple(towers)
    return tuple(
        tower
        for tower in every
        if not any(
            (other.group, other.turned) == (tower.group, tower.turned)
            and other.need < tower.need
            and other.pieces >= groups[tower.group].count
            for other in every
        )
    )


class StackSpace:
    """All stacks of the bays of one owner.

    Parameters
    ----------
    groups, towers
        The piles, and their useful towers for this spot and owner.
    room, panel
        The heights of the bay, and the thickness of a panel [ticks].
    kinds
        The kinds of opening that are allowed.
    """

    def __init__(
        self,
        groups: Sequence[Group],
        towers: Sequence[Tower],
        room: Headroom,
        panel: int,
        kinds: frozenset[OpeningKind] = frozenset(OpeningKind),
    ) -> None:
        self.candidates = candidate_heights(towers, max(room.kicked, room.standing) - panel)
        self._kicked, self._gained = room.kicked, room.standing - room.kicked
        order = [index for index, (kind, _) in enumerate(self.candidates) if kind in kinds]
        order.sort(key=lambda index: (self.candidates[index][0].value, -self.candidates[index][1]))
        self._levels = [self._level(groups, towers, index, panel) for index in order]
        self._rods_from = [any(level.is_rod for level in self._levels[place:]) for place in range(len(order) + 1)]

    def _level(self, groups: Sequence[Group], towers: Sequence[Tower], index: int, panel: int) -> _Level:
        kind, height = self.candidates[index]
        heights = sorted(other for each, other in self.candidates if each is kind)
        place = heights.index(height)
        is_highest = place + 1 == len(heights)
        return _Level(
            index=index,
            cost=height + panel,
            most=most_openings(groups, towers, kind, height),
            step=FAR if is_highest else heights[place + 1] - height,
            is_highest=is_highest,
            is_lowest=place == 0,
            is_rod=kind is OpeningKind.HANG,
        )

    def listed(self, worth: Floats, needed: Floats) -> tuple[Ints | None, int]:
        """Numbers of openings by stack and candidate, None when they are too many to be held; and the work done.

        Parameters
        ----------
        worth
            The worth of an opening, shape (candidates, sizes).
        needed
            What a stack must be worth in all at one size at least, shape (sizes,).
        """
        sizes = worth.shape[1]
        most = min(MOST_PARTIAL, MOST_NUMBERS // (sizes + len(self.candidates)))
        further = self._further(worth)
        now = _Partial(
            np.zeros((1, len(self.candidates)), dtype=np.int64),
            np.array([self._kicked]),
            np.zeros(1, dtype=bool),
            np.zeros(1, dtype=np.int64),
            np.zeros(1, dtype=np.int64),
            np.full(1, FAR),
            np.zeros((1, sizes)),
        )
        held = 0
        for place, level in enumerate(self._levels):
            parts: list[_Partial] = []
            number = total = 0
            while True:
                part = self._with(now, level, number, worth[level.index])
                if len(part.left) == 0:
                    break
                part = part.of(self._may_reach(part, further, place + 1, needed))
                parts.append(part)
                total += len(part.left)
                if total > most:
                    return None, (held + total) * (sizes + len(self.candidates))
                number += 1
            held += total
            if not parts:
                return np.zeros((0, len(self.candidates)), dtype=np.int64), held * (sizes + len(self.candidates))
            now = _joined(parts)
        return now.counts[now.left < now.least], held * (sizes + len(self.candidates))

    def _with(self, now: _Partial, level: _Level, number: int, worth: Floats) -> _Partial:
        """The stacks so far with so many openings of one level, those that fit."""
        so_far = np.zeros_like(now.so_far) if level.is_highest else now.so_far
        has_rod = now.has_rod | (level.is_rod and number > 0)
        left = now.left - number * level.cost + np.where(has_rod & ~now.has_rod, self._gained, 0)
        least = now.least
        if number:
            can_raise = np.zeros_like(has_rod) if level.is_highest else now.spare > 0
            least = np.where(can_raise, np.minimum(least, level.step), least)
        if level.is_lowest:
            add = np.where(has_rod, level.cost, level.cost - (self._gained if level.is_rod else 0))
            least = np.where(so_far + number < level.most, np.minimum(least, add), least)
        counts = now.counts.copy()
        counts[:, level.index] = number
        grown = _Partial(
            counts, left, has_rod, so_far + number, level.most - so_far - number, least, now.worth + number * worth
        )
        return grown.of((left >= 0) & (so_far + number <= level.most))

    def _further(self, worth: Floats) -> list[Floats]:
        """For each level what it and the later ones can add at most, by units of height left and size."""
        unit = max(1, -(-(self._kicked + self._gained) // UNITS))
        units = (self._kicked + self._gained) // unit
        tables = [np.zeros((units + 1, worth.shape[1]))]
        for level in reversed(self._levels):
            table, cost = tables[-1].copy(), max(1, level.cost // unit)
            for low in range(cost, units + 1, cost):
                high = min(low + cost, units + 1)
                np.maximum(table[low:high], table[low - cost : high - cost] + worth[level.index], out=table[low:high])
            tables.append(table)
        return tables[::-1]

    def _may_reach(self, part: _Partial, further: Sequence[Floats], place: int, needed: Floats) -> Bools:
        unit = max(1, -(-(self._kicked + self._gained) // UNITS))
        more = np.where(part.has_rod, 0, self._gained if self._rods_from[place] else 0)
        most = part.worth + further[place][(part.left + more) // unit]
        return np.asarray((most >= needed).any(axis=1))


def _joined(parts: Sequence[_Partial]) -> _Partial:
    return _Partial(
        np.concatenate([part.counts for part in parts]),
        np.concatenate([part.left for part in parts]),
        np.concatenate([part.has_rod for part in parts]),
        np.concatenate([part.so_far for part in parts]),
        np.concatenate([part.spare for part in parts]),
        np.concatenate([part.least for part in parts]),
        np.concatenate([part.worth for part in parts]),
    )


def most_openings(groups: Sequence[Group], towers: Sequence[Tower], kind: OpeningKind, height: int) -> int:
    """Most openings of a kind that anything in them needs to be so high [ticks] or higher."""
    fewest: dict[int, int] = {}
    for tower in towers:
        if tower.kind is kind and tower.need >= height:
            lower = [
                other.pieces
                for other in towers
                if (other.group, other.turned) == (tower.group, tower.turned) and other.need < tower.need
            ]
            pieces = max(lower, default=0) + 1
            fewest[tower.group] = min(fewest.get(tower.group, pieces), pieces)
    return sum(groups[group].count // pieces for group, pieces in fewest.items())
