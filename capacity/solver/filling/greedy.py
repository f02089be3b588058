"""Empty a few openings and fill them anew, greedily and with a grain of chance; quick, and never a proof.

The same idea as `ruin_and_recreate` for openings that stand: what stays without a place weighs more from step to step.
It gives the exact filling a start that is mostly as good as can be.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from operator import itemgetter, mul

from capacity.layout.layout import Holding, Layout, site_of, value_of
from capacity.layout.problem import Problem
from capacity.layout.towers import best_towers, each_alone, room_of, towers_of
from capacity.solver.effort import Effort

HEAVIER, LIGHTER, MOST_WEIGHT = 1.1, 0.98, 4.0
"""Factors on the weight of what is left out, and on weights above 1, after each step; and the largest weight."""

STEP, TOWER = 1.5e-5, 1.0e-6
"""Work that a step counts for, and each tower that a slot has on average."""

OpeningIndex = tuple[int, int, int]
Taken = tuple[int, int, bool]
"""Pieces in an opening: thing, number, turned."""

Choice = tuple[int, int, int, bool]
"""A tower: thing, width, pieces, turned."""

Ranked = tuple[float, int, int, int, bool]
"""A tower with what its width is worth, below 0, so that the best is the first."""

_first = itemgetter(0)


@dataclass(frozen=True, slots=True)
class Slot:
    """An opening: the room for columns [ticks], and the towers that it takes."""

    place: OpeningIndex
    room: int
    towers: tuple[Choice, ...]


def repack(
    problem: Problem, layout: Layout, patience: int, effort: Effort, slots: Sequence[Slot] | None = None
) -> Layout:
    """The same openings with the best contents found before `patience` steps in a row found none better.

    Where bays belong to owners the layout is given back as it is. `slots` are those of the openings (`slots_of`), for
    whoever asks again with other counts; None: they are made.
    """
    if problem.rules.owners_apart:
        return layout
    chance = random.Random(effort.seed)
    draw = chance.random
    slots = slots_of(problem, layout) if slots is None else slots
    index_of = {thing.row: index for index, thing in enumerate(problem.things)}
    held = {
        (w, b, o): [(index_of[item.row], item.count, item.turned) for item in opening.holds]
        for w, b, o, _, opening in layout.openings()
    }
    supply = [thing.count for thing in problem.things]
    for content in held.values():
        for index, number, _ in content:
            supply[index] -= number
    values = [thing.value for thing in problem.things]
    weights = [1.0] * len(values)
    missing = least = sum(value * left for value, left in zip(values, supply, strict=True))
    best, stale = dict(held), 0
    step = STEP + TOWER * sum(len(slot.towers) for slot in slots) / max(1, len(slots))
    while slots and least > 0 and stale < patience and not effort.is_over:
        stale += 1
        effort.spend(step)
        picked = chance.sample(slots, min(len(slots), chance.choice((1, 2, 2, 3, 4))))
        worth = [v * w * (0.7 + 0.6 * draw()) for v, w in zip(values, weights, strict=True)]
        tried = list(supply)
        for slot in picked:
            for index, number, _ in held[slot.place]:
                tried[index] += number
        new = {slot.place: _filled_anew(slot, tried, worth) for slot in picked}
        found = sum(map(mul, values, tried))
        weights = [
            min(MOST_WEIGHT, weight * HEAVIER) if left > 0 else max(1.0, weight * LIGHTER) if weight > 1.0 else 1.0
            for weight, left in zip(weights, tried, strict=True)
        ]
        if found <= missing:
            held.update(new)
            supply, missing = tried, found
        if found < least:
            least, best, stale = found, dict(held), 0
    rows = [thing.row for thing in problem.things]
    packed = layout.holding(
        {place: tuple(sorted(Holding(rows[i], n, turned) for i, n, turned in c)) for place, c in best.items()}
    )
    return packed if value_of(problem, packed) > value_of(problem, layout) else layout


def slots_of(problem: Problem, layout: Layout) -> tuple[Slot, ...]:
    """The openings that take anything of what is owned, whatever it counts."""
    groups = each_alone(problem)
    spots = {(w, b, o): site_of(problem, w, bay, o) for w, b, o, bay, _ in layout.openings()}
    towers = {spot: towers_of(problem, groups, spot) for spot in set(spots.values())}
    slots: list[Slot] = []
    for w, b, o, bay, opening in layout.openings():
        room = room_of(problem.rules, opening.kind, bay.width)
        fitting = tuple(t for t in best_towers(towers[spots[w, b, o]], opening.kind, opening.height) if t.width <= room)
        if fitting:
            slots.append(Slot((w, b, o), room, tuple((t.group, t.width, t.pieces, t.turned) for t in fitting)))
    return tuple(slots)


def _filled_anew(slot: Slot, supply: list[int], worth: list[float]) -> list[Taken]:
    """Value for width first; takes from the supply."""
    towers = [(-worth[i] * much / width, i, width, much, turned) for i, width, much, turned in slot.towers if supply[i]]
    taken, _ = filled_in_order(sorted(towers, key=_first), slot.room, supply, 0)
    for index, number, _ in taken:
        supply[index] -= number
    return taken


def filled_in_order(towers: Iterable[Ranked], room: int, supply: Sequence[int], barred: int) -> tuple[list[Taken], int]:
    """Of each tower as many columns as there are pieces and room for, and the room left [ticks].

    A thing is taken once; those whose bits are set in `barred` are not.
    """
    taken = []
    for _, index, width, pieces, turned in towers:
        if width > room or barred >> index & 1:
            continue
        have = supply[index]
        if have <= 0:
            continue
        columns = room // width
        if columns * pieces >= have:
            columns = -(-have // pieces)
            taken.append((index, have, turned))
        else:
            taken.append((index, columns * pieces, turned))
        barred |= 1 << index
        room -= columns * width
    return taken, room
