"""Every stack of openings that a bay of a plain wall can have and that no other stack beats.

A stack is a number of openings for each candidate (kind, clear height); their order does not matter where nobody
prices the reach. Lowered to what they need, openings of height h or more of one kind number at most

    sum over groups g of floor(count of g / fewest pieces of g that need such a height),

because each is as high as it is for the sake of some pieces of its own. Among the stacks that keep this and fit,
only those need be looked at in which no opening can be raised to the next candidate and none added: what the others
hold, one of these holds too (dominance as in the maximal patterns of cutting stock).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from capacity.bay_values import Room
from capacity.opening_tables import Bools, Ints
from capacity.problem import OpeningKind
from capacity.towers import Group, Tower, candidate_heights

VISITS = 100
"""Partial stacks that are looked at for each stack that may be listed."""

Candidate = tuple[OpeningKind, int]
"""Kind and clear height [ticks] of an opening that may be built."""


@dataclass(frozen=True, slots=True)
class Stacks:
    """Stacks by number of openings: `counts` has a row a stack and a column a candidate.

    `is_mixed` says of each row whether it may hold every kind; the others are for widths that only some kinds may
    have.
    """

    candidates: tuple[Candidate, ...]
    counts: Ints
    is_mixed: Bools


@dataclass(frozen=True, slots=True)
class _Level:
    """A candidate with the most openings as high or higher, the step to the next higher one, and its place."""

    cost: int
    most: int
    step: int | None
    is_highest: bool
    is_lowest: bool
    is_rod: bool


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


def stacks_of(
    groups: Sequence[Group],
    towers: Sequence[Tower],
    room: Room,
    panel: int,
    wide: frozenset[OpeningKind],
    most: int,
) -> Stacks | None:
    """All stacks that no other beats; None when they are more than `most`.

    Parameters
    ----------
    groups, towers
        The piles, and their useful towers for this depth and owner.
    room, panel
        The heights of the bay, and the thickness of a panel [ticks].
    wide
        The kinds that a bay may still have where it is wider than some kind allows.
    most
        Count at which the listing is given up.
    """
    highest = max(room.kicked, room.standing) - panel
    candidates = candidate_heights(towers, highest)
    mixed = _listed(groups, towers, candidates, room, panel, most)
    some = [item for item in candidates if item[0] in wide]
    if mixed is None:
        return None
    if not some:
        return Stacks(candidates, mixed, np.ones(len(mixed), dtype=bool))
    narrow = _listed(groups, towers, some, room, panel, most)
    if narrow is None:
        return None
    at = [candidates.index(item) for item in some]
    spread = np.zeros((len(narrow), len(candidates)), dtype=np.int64)
    spread[:, at] = narrow
    counts = np.concatenate([mixed, spread])
    is_mixed = np.arange(len(counts)) < len(mixed)
    return Stacks(candidates, counts, is_mixed)


def _listed(
    groups: Sequence[Group],
    towers: Sequence[Tower],
    candidates: Sequence[Candidate],
    room: Room,
    panel: int,
    most: int,
) -> Ints | None:
    """Rows of counts over the candidates; None when they are more than `most`."""
    order = sorted(range(len(candidates)), key=lambda index: (candidates[index][0].value, -candidates[index][1]))
    levels = [_level(groups, towers, candidates, index, panel) for index in order]
    found: list[tuple[int, ...]] = []
    gained = room.standing - room.kicked  # what a bay gains whose lowest opening is a rod on the floor

    visited = 0

    def extend(
        place: int, left: int, has_rod: bool, chosen: tuple[int, ...], so_far: int, spare: int, least: int
    ) -> None:
        """Choose the number at one level; `least`: what the cheapest change so far would cost in height."""
        nonlocal visited
        visited += 1
        if len(found) > most or visited > most * VISITS:
            return
        if place == len(levels):
            if left < least:
                found.append(chosen)
            return
        level = levels[place]
        if level.is_highest:
            so_far, spare = 0, 0
        number = 0
        while so_far + number <= level.most:
            rod_now = has_rod or (level.is_rod and number > 0)
            rest = left - number * level.cost + (gained if rod_now and not has_rod else 0)
            if rest < 0:
                break
            change = least
            if number and level.step is not None and spare > 0:
                change = min(change, level.step)
            if level.is_lowest and so_far + number < level.most:
                change = min(change, level.cost - (gained if level.is_rod and not rod_now else 0))
            extend(place + 1, rest, rod_now, (*chosen, number), so_far + number, level.most - so_far - number, change)
            number += 1

    extend(0, room.kicked, False, (), 0, 0, 2**62)
    if len(found) > most or visited > most * VISITS:
        return None
    rows = np.zeros((len(found), len(candidates)), dtype=np.int64)
    if order and found:
        rows[:, order] = np.array(found, dtype=np.int64)
    return rows


def _level(
    groups: Sequence[Group], towers: Sequence[Tower], candidates: Sequence[Candidate], index: int, panel: int
) -> _Level:
    kind, height = candidates[index]
    heights = sorted(other for each, other in candidates if each is kind)
    place = heights.index(height)
    return _Level(
        cost=height + panel,
        most=most_openings(groups, towers, kind, height),
        step=heights[place + 1] - height if place + 1 < len(heights) else None,
        is_highest=place + 1 == len(heights),
        is_lowest=place == 0,
        is_rod=kind is OpeningKind.HANG,
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
