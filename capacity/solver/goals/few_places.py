"""The second goal, each pile in as few places as its size asks for, and the third: where it is reached most easily.

A pile lies in one place for every opening that holds some of it; the goal counts those above one. The openings stay as
they are: a few of them at a time are filled anew together by an integer program (`placing_program`).
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from capacity.layout.layout import Layout
from capacity.layout.problem import OpeningKind, Problem, Rules
from capacity.layout.reach_zones import Zone, inconvenience
from capacity.layout.towers import Tower, each_alone, room_of, towers_of
from capacity.solver.effort import Effort
from capacity.solver.goals.placing_program import OpeningIndex, PlacingProgram

TOGETHER, NODES = (2, 2, 3), 1
"""Openings that are filled anew together, of which chance takes one, and branching nodes for it."""

PATIENCE = 25
"""Times in a row without fewer places or less inconvenience, after which it ends."""

SHARE = 0.06
"""Share of the work of the first goal for one kind of opening."""


def places_of(layout: Layout) -> int:
    """The sum over piles of the openings that hold some of it, less one each."""
    openings: Counter[int] = Counter()
    for *_, opening in layout.openings():
        openings.update({item.row for item in opening.holds})
    return sum(openings.values()) - len(openings)


def piles_in_several(layout: Layout) -> int:
    """How many piles lie in several openings."""
    openings: Counter[int] = Counter()
    for *_, opening in layout.openings():
        openings.update({item.row for item in opening.holds})
    return sum(number > 1 for number in openings.values())


def forced_places(problem: Problem, pieces: Mapping[int, int]) -> int:
    """Places that so many pieces of each row need at least in any layout, each pile by itself."""
    rules, groups, total = problem.rules, each_alone(problem), 0
    for index, thing in enumerate(problem.things):
        group = groups[index : index + 1]
        most = 0
        for w, run in enumerate(problem.runs):
            widest = {kind: min(problem.longest(w, kind), run.width - 2 * rules.panel) for kind in OpeningKind}
            room = {kind: room_of(rules, kind, width) for kind, width in widest.items()}
            highest = max(run.ceiling_left, run.ceiling_right)
            fitting = [tower for tower in towers_of(problem, group, run.spot) if tower.need <= highest]
            most = max([most, *(_most_in(room[kind], kind, fitting) for kind in OpeningKind)])
        count = pieces.get(thing.row, 0)
        total += -(-count // most) - 1 if most and count else 0
    return total


def _most_in(room: int, kind: OpeningKind, towers: Sequence[Tower]) -> int:
    """Most pieces of a pile in an opening of a kind with so much room, some turned and some not [ticks]."""
    ways = [[tower for tower in towers if tower.kind is kind and tower.turned is turned] for turned in (False, True)]
    (one, many), (other, more) = (
        (way[0].width, max(tower.pieces for tower in way)) if way else (room + 1, 0) for way in ways
    )
    return max((number * many + (room - number * one) // other * more for number in range(room // one + 1)), default=0)


@dataclass(frozen=True, slots=True)
class Gathered:
    """The same openings filled anew; the bounds are of all contents of these openings that store the same pieces."""

    layout: Layout
    places: int
    least_places: int
    inconvenience: int
    least_inconvenience: int


def gathered(
    problem: Problem, layout: Layout, zones: Mapping[str, Zone], effort: Effort, rules: Rules | None = None
) -> Gathered:
    """Put the stored pieces into the same openings in few places and where they are reached most easily.

    Parameters
    ----------
    problem, layout
        The facts, and a layout that keeps every fit rule; the same pieces stay stored.
    zones
        Zones of reach by the owner's name in lower case (`reach_zones.zones_of`).
    effort
        The budget.
    rules
        The rules that the bounds are for, where the problem has stricter ones (rows of holes); None: those it has.

    Notes
    -----
    Where bays belong to owners each bay keeps its own. Out of time the layout stays as it is, with nothing proven.
    """
    if effort.is_stopping:
        return Gathered(layout, places_of(layout), 0, inconvenience(problem, layout, zones), 0)
    filled, found = _filled_anew(problem, layout, zones, effort)
    # what may be stored in two ways might lie better in openings of another kind, of which no program knows
    is_proven, bounding = not problem.has_choices, found
    own = problem if rules is None else replace(problem, rules=rules)
    if own != problem or problem.rules.owners_apart:
        bounding = [PlacingProgram(own, filled, kind, zones, keeps_owners=False) for kind in OpeningKind]
    return Gathered(
        filled,
        sum(program.places for program in found),
        sum(program.least_places(effort) for program in bounding) if is_proven else 0,
        sum(program.trouble for program in found),
        sum(program.least_trouble(effort) for program in bounding) if is_proven else 0,
    )


def in_few_places(problem: Problem, layout: Layout, zones: Mapping[str, Zone], effort: Effort) -> Layout:
    """The layout of `gathered`, without its bounds."""
    return _filled_anew(problem, layout, zones, effort)[0]


def _filled_anew(
    problem: Problem, layout: Layout, zones: Mapping[str, Zone], effort: Effort
) -> tuple[Layout, list[PlacingProgram]]:
    """The same openings with other contents, kind by kind, and the program of each kind."""
    contents = {(w, b, o): opening.holds for w, b, o, _, opening in layout.openings()}
    found = []
    for kind in OpeningKind:
        program = PlacingProgram(problem, layout, kind, zones)
        _bettered(program, effort)
        contents.update(program.contents())
        found.append(program)
    return layout.holding(contents), found


def _bettered(program: PlacingProgram, effort: Effort) -> None:
    """Openings around a pile in several places, or around those that give most trouble, in turn."""
    chance, patience = random.Random(effort.seed), max(1, round(PATIENCE * effort.factor))
    if len(program.slots) < 2:
        return
    stale, is_for_places = 0, True
    if len(program.slots) <= min(TOGETHER):  # always the same program
        stale = patience - 1
    with effort.share(SHARE):
        while stale < patience and (program.places or program.trouble) and not effort.is_over:
            is_better = program.better(_some(program, chance, is_for_places), effort, NODES)
            stale, is_for_places = 0 if is_better else stale + 1, not is_for_places


def _some(program: PlacingProgram, chance: random.Random, is_for_places: bool) -> set[OpeningIndex]:
    """Openings to fill anew together: around one pile, or around one opening that gives trouble, and any others."""
    every, several, number = list(program.slots), program.in_several(), chance.choice(TOGETHER)
    if is_for_places and several:
        around = chance.choice(list(several.values()))
        some = set(chance.sample(around, min(number - 1, len(around))))
    else:
        some = {chance.choice([place for place in every if program.trouble_in(place)] or every)}
    while len(some) < min(number, len(every)):
        is_related = is_for_places and several and chance.random() < 0.5
        some.add(chance.choice(chance.choice(list(several.values())) if is_related else every))
    return some
