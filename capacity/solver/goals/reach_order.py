"""The third goal: the same things in the same openings, put where the people reach them with the least trouble.

Within a bay the openings may stand in any order: the best one is found exactly, by dynamic programming over sets of
openings. Between bays the contents of two openings change places where each fits the other. Neither changes what is
stored, nor how much of every pile the openings hold.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations

import numpy as np
import numpy.typing as npt

from capacity.layout.fit_rules import violations
from capacity.layout.layout import Bay, Holding, Layout, Opening
from capacity.layout.needs import needed_height
from capacity.layout.problem import OpeningKind, Problem, Site
from capacity.layout.reach_zones import Ints, PriceList, Zone, inconvenience
from capacity.layout.sketches import is_free_of_blocked
from capacity.layout.towers import groups_of, towers_of
from capacity.solver.effort import Effort

MOST_IN_ORDER = 11
"""Openings of one bay up to which every order is looked at; the lowest ones are, where there are more."""

Bools = npt.NDArray[np.bool_]

NEVER = 10**15
"""Stands for a cost that nothing has."""

PASSES = 4
"""Times that orders and exchanges are gone through at most."""

OpeningIndex = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Eased:
    """The layout and its inconvenience."""

    layout: Layout
    inconvenience: int


def ease(problem: Problem, layout: Layout, zones: Mapping[str, Zone], effort: Effort) -> Eased:
    """Lessen the inconvenience of a layout without changing what it stores.

    Parameters
    ----------
    problem, layout
        The facts, and a layout that keeps every fit rule.
    zones
        Zones of reach by the owner's name in lower case (`reach.zones_of`).
    effort
        Looked at between the passes.
    """
    best, least = layout, inconvenience(problem, layout, zones)
    for _ in range(PASSES):
        if effort.is_stopping:
            break
        tried = _exchanged(problem, _ordered(problem, best, zones), zones)
        found = inconvenience(problem, tried, zones)
        if found >= least or effort.is_over or violations(problem, tried):
            break
        best, least = tried, found
    return Eased(best, least)


# ---- orders within a bay --------------------------------------------------------------------------------


def _ordered(problem: Problem, layout: Layout, zones: Mapping[str, Zone]) -> Layout:
    prices = PriceList(problem, zones)
    walls = tuple(
        replace(
            wall,
            bays=tuple(
                best_order(problem, bay, prices, lowest=len(problem.runs[w].prescribed))
                if is_free_of_blocked(problem, w, bay)
                else bay
                for bay in wall.bays
            ),
        )
        for w, wall in enumerate(layout.walls)
    )
    return replace(layout, walls=walls)


def best_order(problem: Problem, bay: Bay, prices: PriceList, lines: Container[int] = (), *, lowest: int = 0) -> Bay:
    """The bay with its openings in the order of least inconvenience; what stands on the floor or on top stays.

    So do the `lowest` ones, so many as are prescribed. Between orders alike in this the one with most shelves at the
    heights of `lines`, their upper faces [ticks].
    """
    movable = _movable(problem, bay, lowest)
    if len(movable) < 2:
        return bay
    first, thick = bay.openings[movable[0]].bottom, problem.rules.panel
    end = bay.openings[movable[-1]].bottom + bay.openings[movable[-1]].height
    # the last one takes what is left; where it is not the last it counts as it would be built
    lowered = {
        index: replace(bay.openings[index], height=problem.rules.counted(bay.openings[index].height))
        for index in movable
    }
    layers = _subsets(len(movable))
    bottoms = np.full(1 << len(movable), first, dtype=np.int64)
    for number, index in enumerate(movable):
        bottoms += (np.arange(1 << len(movable)) >> number & 1) * (lowered[index].height + thick)
    meets = np.array([int(bottom) in lines for bottom in bottoms], dtype=np.int64)
    costs = np.stack([prices.at_bottoms(lowered[index], bay.depth, bottoms) for index in movable])
    costs = costs * (len(movable) + 1) - meets
    for number, index in enumerate(movable):
        if problem.rules.highest_drawer and lowered[index].kind is OpeningKind.DRAWER:
            ends = bottoms + lowered[index].height
            costs[number] = np.where(ends > problem.rules.highest_drawer, NEVER // 1000, costs[number])
    least = np.zeros(1 << len(movable), dtype=np.int64)
    last = np.zeros(1 << len(movable), dtype=np.int64)
    for chosen, before, is_in in layers:
        found = np.where(is_in, least[before] + costs[np.arange(len(movable)), before], NEVER)
        last[chosen] = found.argmin(axis=1)
        least[chosen] = found.min(axis=1)
    order: list[int] = []
    whole = (1 << len(movable)) - 1
    now = sum(
        prices.contents(item.kind, item.bottom, item.height, bay.depth, item.holds) * (len(movable) + 1)
        - (item.bottom in lines)
        for item in (bay.openings[index] for index in movable)
    )
    if least[whole] >= now:
        return bay
    while whole:
        order.append(movable[last[whole]])
        whole ^= 1 << int(last[whole])
    moved = _one_over_the_other([lowered[index] for index in reversed(order)], first, end, thick)
    if moved[-1].kind is OpeningKind.DRAWER and 0 < problem.rules.highest_drawer < end:
        return bay
    kept = list(bay.openings)
    kept[movable[0] : movable[-1] + 1] = moved
    return replace(bay, openings=tuple(kept))


def _one_over_the_other(openings: Sequence[Opening], bottom: int, end: int, panel: int) -> list[Opening]:
    """Openings from a bottom up, the last of which takes what is left to the end [ticks]."""
    moved: list[Opening] = []
    for opening in openings:
        moved.append(replace(opening, bottom=bottom))
        bottom += opening.height + panel
    moved[-1] = replace(moved[-1], height=end - moved[-1].bottom)
    return moved


def _movable(problem: Problem, bay: Bay, lowest: int) -> list[int]:
    """The openings that may stand in any order, the lowest ones where there are many; one that is low only on top."""
    between = [index for index, item in enumerate(bay.openings) if index >= lowest and 0 < item.bottom < problem.top]
    if between:
        last = bay.openings[between[-1]]
        if problem.rules.counted(last.height) < max(1, problem.rules.least_of(last.kind)):
            del between[-1]
    return between[:MOST_IN_ORDER]


@cache
def _subsets(number: int) -> list[tuple[Ints, Ints, Bools]]:
    """Sets of so many openings by size: the sets, each without one of its members, and who is a member."""
    every = np.arange(1 << number)
    members = (every[:, None] >> np.arange(number) & 1).astype(bool)
    sizes = members.sum(axis=1)
    layers = []
    for size in range(1, number + 1):
        chosen = every[sizes == size]
        is_in = members[chosen]
        layers.append((chosen, np.where(is_in, chosen[:, None] ^ (1 << np.arange(number)), 0), is_in))
    return layers


# ---- exchanges between bays -----------------------------------------------------------------------------


def _exchanged(problem: Problem, layout: Layout, zones: Mapping[str, Zone]) -> Layout:
    """Contents of two openings change places where both fit, as long as that helps."""
    if problem.rules.owners_apart:
        return layout
    openings = {(w, b, o): (bay, opening) for w, b, o, bay, opening in layout.openings()}
    holds: dict[OpeningIndex, tuple[Holding, ...]] = {place: opening.holds for place, (_, opening) in openings.items()}
    price: dict[tuple[OpeningIndex, tuple[Holding, ...]], int] = {}
    prices = PriceList(problem, zones)

    def cost(place: OpeningIndex, content: tuple[Holding, ...]) -> int:
        if (place, content) not in price:
            bay, opening = openings[place]
            at = (opening.kind, opening.bottom, opening.height, bay.depth)
            price[(place, content)] = prices.contents(*at, content)
        return price[(place, content)]

    needs = {place: needed_height_of(problem, bay, opening) for place, (bay, opening) in openings.items()}
    for one, two in _pairs(problem, openings):
        (bay, opening), (other_bay, other) = openings[one], openings[two]
        if needs[one] > other.height or needs[two] > opening.height:
            continue
        if not (_may_lie(problem, holds[one], two[0]) and _may_lie(problem, holds[two], one[0])):
            continue
        gain = cost(one, holds[one]) + cost(two, holds[two]) - cost(one, holds[two]) - cost(two, holds[one])
        if gain > 0 and bay.width == other_bay.width and bay.depth == other_bay.depth:
            holds[one], holds[two] = holds[two], holds[one]
            needs[one], needs[two] = needs[two], needs[one]
    return layout.holding(holds)


def _may_lie(problem: Problem, holds: tuple[Holding, ...], run: int) -> bool:
    return not any(item.row in problem.runs[run].barred for item in holds)


def _pairs(
    problem: Problem, openings: Mapping[OpeningIndex, tuple[Bay, Opening]]
) -> Iterator[tuple[OpeningIndex, OpeningIndex]]:
    """Pairs of openings of one kind; the kinds never mix."""
    for kind in OpeningKind:
        places = [place for place, (_, opening) in openings.items() if opening.kind is kind]
        yield from combinations(places, 2)


def needed_height_of(problem: Problem, bay: Bay, opening: Opening) -> int:
    """Least clear height in which an opening's contents take no more width than they do now [ticks]."""
    return needed_height(problem, towers_of(problem, groups_of(problem), Site(bay.depth)), opening)
