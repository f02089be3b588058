"""The second goal: the same things in the same openings, put where the people reach them with the least trouble.

Within a bay the openings may stand in any order: the best one is found exactly, by dynamic programming over sets of
openings. Between bays the contents of two openings change places where each fits the other. Neither changes what is
stored, nor how much of every pile the openings hold.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations

from capacity.building import needed_height
from capacity.effort import Effort
from capacity.layout import Bay, Holding, Layout, Opening
from capacity.problem import OpeningKind, Problem, Spot
from capacity.reach import Zone, hand_depth, inconvenience, level_for, piece_price, price_breaks
from capacity.towers import groups_of, towers_of
from capacity.verify import violations

MOST_IN_ORDER = 11
"""Openings of one bay up to which every order is looked at; the lowest ones are, where there are more."""

PASSES = 4
"""Times that orders and exchanges are gone through at most."""

Place = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Eased:
    """The layout, its inconvenience, and the least that any layout storing the same pieces could have."""

    layout: Layout
    inconvenience: int
    bound: int


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
        tried = _exchanged(problem, _ordered(problem, best, zones), zones)
        found = inconvenience(problem, tried, zones)
        if found >= least or effort.is_over or violations(problem, tried):
            break
        best, least = tried, found
    return Eased(best, least, _least(problem, layout, zones))


def _least(problem: Problem, layout: Layout, zones: Mapping[str, Zone]) -> int:
    """What the stored pieces cost at least, each at the height and depth that suit its owner best."""
    total, stored = 0, layout.stored()
    for thing in problem.things:
        kind = thing.opening_kind
        depths = {hand_depth(kind, run.depth) for run in problem.runs}
        levels = [
            level_for(thing.owner, hand, into, zones)
            for into in depths
            for run in problem.runs
            for hand in price_breaks(zones.values(), kind, run.depth)
        ]
        total += thing.value * stored[thing.row] * min(levels, default=0)
    return total


# ---- orders within a bay --------------------------------------------------------------------------------


def _ordered(problem: Problem, layout: Layout, zones: Mapping[str, Zone]) -> Layout:
    walls = tuple(
        replace(wall, bays=tuple(_best_order(problem, bay, zones) for bay in wall.bays))
        if not problem.runs[w].blocked
        else wall
        for w, wall in enumerate(layout.walls)
    )
    return replace(layout, walls=walls)


def _best_order(problem: Problem, bay: Bay, zones: Mapping[str, Zone]) -> Bay:
    """The bay with its openings in the order of least inconvenience; what stands on the floor or on top stays."""
    movable = [i for i, o in enumerate(bay.openings) if 0 < o.bottom < problem.top][:MOST_IN_ORDER]
    if len(movable) < 2:
        return bay
    first, thick = bay.openings[movable[0]].bottom, problem.rules.panel
    known: dict[tuple[int, int], int] = {}

    def cost(index: int, bottom: int) -> int:
        if (index, bottom) not in known:
            known[(index, bottom)] = _price(problem, zones, bay.openings[index], bottom, bay.depth)
        return known[(index, bottom)]

    heights = [bay.openings[index].height + thick for index in movable]
    reached: list[tuple[int, int]] = [(0, -1)] * (1 << len(movable))
    bottoms = [first] * (1 << len(movable))
    for chosen in range(1, 1 << len(movable)):
        options = [n for n in range(len(movable)) if chosen >> n & 1]
        bottoms[chosen] = first + sum(heights[n] for n in options)
        reached[chosen] = min(
            (reached[chosen ^ 1 << n][0] + cost(movable[n], bottoms[chosen ^ 1 << n]), n) for n in options
        )
    order: list[int] = []
    chosen = (1 << len(movable)) - 1
    if reached[chosen][0] >= sum(cost(index, bay.openings[index].bottom) for index in movable):
        return bay
    while chosen:
        order.append(movable[reached[chosen][1]])
        chosen ^= 1 << reached[chosen][1]
    moved: list[Opening] = []
    bottom = first
    for index in reversed(order):
        moved.append(replace(bay.openings[index], bottom=bottom))
        bottom += bay.openings[index].height + thick
    kept = list(bay.openings)
    kept[movable[0] : movable[-1] + 1] = moved
    return replace(bay, openings=tuple(kept))


def _price(problem: Problem, zones: Mapping[str, Zone], opening: Opening, bottom: int, depth: int) -> int:
    return sum(
        item.count * piece_price(problem, zones, item.row, opening.kind, bottom, opening.height, depth)
        for item in opening.holds
    )


# ---- exchanges between bays -----------------------------------------------------------------------------


def _exchanged(problem: Problem, layout: Layout, zones: Mapping[str, Zone]) -> Layout:
    """Contents of two openings change places where both fit, as long as that helps."""
    if problem.rules.owners_apart:
        return layout
    openings = {(w, b, o): (bay, opening) for w, b, o, bay, opening in layout.openings()}
    holds: dict[Place, tuple[Holding, ...]] = {place: opening.holds for place, (_, opening) in openings.items()}
    price: dict[tuple[Place, tuple[Holding, ...]], int] = {}

    def cost(place: Place, content: tuple[Holding, ...]) -> int:
        if (place, content) not in price:
            bay, opening = openings[place]
            held = replace(opening, holds=content)
            price[(place, content)] = _price(problem, zones, held, opening.bottom, bay.depth)
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


def _pairs(problem: Problem, openings: Mapping[Place, tuple[Bay, Opening]]) -> Iterator[tuple[Place, Place]]:
    """Pairs of openings of one kind; the kinds never mix."""
    for kind in OpeningKind:
        places = [place for place, (_, opening) in openings.items() if opening.kind is kind]
        yield from combinations(places, 2)


def needed_height_of(problem: Problem, bay: Bay, opening: Opening) -> int:
    """Least clear height in which an opening's contents take no more width than they do now [ticks]."""
    return needed_height(problem, towers_of(problem, groups_of(problem), Spot(bay.depth)), opening)
