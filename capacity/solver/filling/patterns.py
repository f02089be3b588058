"""Filling a wall's bays from a pool of patterns: one opening of one bay with what it holds."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from heapq import heapify, heappop, heapreplace

import highspy

from capacity.layout.layout import Holding, Layout
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.sketches import BaySketch, OpeningSketch, build_wall, closed
from capacity.solver.effort import Effort
from capacity.solver.relaxation.columns import BayColumn, Column, OpeningType, State
from capacity.solver.relaxation.highs import new_program, solve_whole_numbers
from capacity.solver.relaxation.master import Master
from capacity.solver.relaxation.opening_knapsack import Taken
from capacity.solver.relaxation.structure import Structure, opening_types, state_of

ROOT_STEPS, STEPS = 40, 6
"""Pricing steps at the start of a dive, and after a bay is fixed."""


NODES = 1
"""Branching nodes of the integer program over patterns."""


def pattern_filling(master: Master, structure: Structure, effort: Effort) -> Layout:
    """A layout with the structure's bays, filled from the patterns that the relaxation has found for its openings.

    Patterns may together hold more of a pile than there is; what is too much is left out again.
    """
    problem = master.problem
    structure = _without_narrow_gaps(problem, structure)
    state = state_of(problem, structure, master.grid.step)
    openings = State((), state.openings, state.panel)
    master.set_state(openings)
    master.generate(STEPS)
    patterns = choose_patterns(master, dict(openings.openings), effort)
    sketches: list[list[BaySketch]] = []
    hand_out = HandingOut(master)
    for run, bays in enumerate(structure.bays):
        made: list[BaySketch] = []
        for bay in bays:
            holds = []
            for opening in opening_types(problem, run, bay):
                pattern = patterns[opening].pop() if patterns.get(opening) else {}
                holds.append(hand_out.next(pattern))
            made.append(_sketch(problem, bay, holds))
        if not problem.runs[run].is_plain:
            made.sort(key=lambda sketch: sketch.left or 0)
        sketches.append([sketch for sketch in made if sketch.floor or sketch.pieces or sketch.above])
    return Layout(
        tuple(build_wall(problem, run, structure.owners, made) for run, made in enumerate(sketches)), structure.owners
    )


def _without_narrow_gaps(problem: Problem, structure: Structure) -> Structure:
    """No gap narrower than a panel between bays that must be: bays a little wider, else the widest one narrower."""
    thick, rows = problem.rules.panel, []
    for run, bays in enumerate(structure.bays):
        row = list(bays)
        sketches = closed(problem, run, [_sketch(problem, bay, [()] * (len(bay.openings) + 2)) for bay in row])
        if sketches is not None:
            row = [replace(bay, width=sketch.width) for bay, sketch in zip(row, sketches, strict=True)]
        else:
            left_over = problem.runs[run].width - thick - sum(bay.width + thick for bay in row)
            widest = max(range(len(row)), key=lambda index: row[index].width)
            row[widest] = replace(row[widest], width=row[widest].width - (thick - left_over))
            row = [bay for bay in row if bay.width >= problem.rules.min_bay]
        rows.append(tuple(row))
    return replace(structure, bays=tuple(rows))


def choose_patterns(
    master: Master, openings: Mapping[OpeningType, int], effort: Effort, nodes: int = NODES
) -> dict[OpeningType, list[Taken]]:
    """Patterns for all openings together, out of those that the master has.

    The relaxation rounded down, and what is still free given to the pattern that adds most, one after the other; from
    there on an integer program, unless there are no branching `nodes` for it.
    """
    used = [
        (column, level)
        for column, level in zip(master.columns, master.levels(), strict=False)
        if column.opening in openings and column.holds
    ]
    numbers = _rounded(master, used, openings)
    if nodes and used:
        numbers = _chosen(master, used, openings, numbers, effort, nodes) or numbers
    chosen: dict[OpeningType, list[Taken]] = defaultdict(list)
    for (column, _), number in zip(used, numbers, strict=True):
        if column.opening is not None and column.holds:
            chosen[column.opening] += [column.holds] * number
    return chosen


def _rounded(master: Master, used: Sequence[tuple[Column, float]], openings: Mapping[OpeningType, int]) -> list[int]:
    """How often each pattern is used: as the relaxation says, rounded down, then whatever adds most, greedily."""
    numbers = [int(level + 1e-6) for _, level in used]
    left, free = [group.count for group in master.groups], dict(openings)
    for (column, _), number in zip(used, numbers, strict=True):
        _take(column, number, left, free)

    def worth(column: Column) -> int:
        return sum(master.groups[group].value * min(number, left[group]) for group, number in column.pieces)

    ranked = [(-worth(column), -level, index) for index, (column, level) in enumerate(used)]
    heapify(ranked)
    while ranked:
        promised, level, index = ranked[0]
        column = used[index][0]
        now = worth(column) if column.opening is not None and free[column.opening] else 0
        if not now:
            heappop(ranked)
        elif now < -promised:  # some of it was taken meanwhile
            heapreplace(ranked, (-now, level, index))
        else:
            numbers[index] += 1
            _take(column, 1, left, free)
    return numbers


def _take(column: Column, times: int, left: list[int], free: dict[OpeningType, int]) -> None:
    """Count what a pattern used so many times takes of the pieces and of the openings."""
    if column.opening is not None:
        free[column.opening] -= times
    for group, number in column.pieces:
        left[group] = max(0, left[group] - times * number)


def _chosen(
    master: Master,
    used: Sequence[tuple[Column, float]],
    openings: Mapping[OpeningType, int],
    start: Sequence[int],
    effort: Effort,
    nodes: int,
) -> list[int]:
    """How often each pattern is used by the integer program: of more pieces than there are, no more count."""
    solver, most = new_program(), [group.count for group in master.groups]
    row_of = {opening: len(most) + at for at, opening in enumerate(openings)}
    for limit in (*([0.0] * len(most)), *map(float, openings.values())):
        solver.addRow(-highspy.kHighsInf, limit, 0, [], [])
    for at, group in enumerate(master.groups):
        solver.addCol(-float(group.value), 0.0, float(group.count), 1, [at], [1.0])
    held = [0] * len(most)
    for (column, _), number in zip(used, start, strict=True):
        if column.opening is not None:
            rows = [row_of[column.opening], *(group for group, _ in column.pieces)]
            entries = [1.0, *(-float(pieces) for _, pieces in column.pieces)]
            solver.addCol(0.0, 0.0, float(openings[column.opening]), len(rows), rows, entries)
        for index, pieces in column.pieces:
            held[index] += number * pieces
    begin = [*(float(min(some, every)) for some, every in zip(held, most, strict=True)), *map(float, start)]
    return [round(number) for number in solve_whole_numbers(solver, begin, effort, nodes)[len(most) :]]


class HandingOut:
    """Turns patterns into holdings one after the other, until a pile has run out; row by row."""

    def __init__(self, master: Master, left: Mapping[int, int] | None = None) -> None:
        rows = [thing.row for thing in master.problem.things]
        free = left if left is not None else {thing.row: thing.count for thing in master.problem.things}
        self._left = [[[rows[index], free[rows[index]]] for index in group.members] for group in master.groups]

    def next(self, pattern: Taken) -> tuple[Holding, ...]:
        """The pieces of a pattern that are still to be had."""
        holds: list[Holding] = []
        for (group, turned), pieces in sorted(pattern.items()):
            wanted = pieces
            for share in self._left[group]:
                taken = min(wanted, share[1])
                if taken:
                    share[1] -= taken
                    wanted -= taken
                    holds.append(Holding(share[0], taken, turned))
        return tuple(sorted(holds))


def _sketch(problem: Problem, bay: BayColumn, holds: Sequence[tuple[Holding, ...]]) -> BaySketch:
    contents = list(holds)
    floor = None
    if bay.floor is not None:
        floor = OpeningSketch(OpeningKind.HANG, bay.floor, contents.pop(0))
    pieces = [OpeningSketch(kind, height, contents.pop(0)) for kind, height in bay.openings]
    above = contents.pop(0) if contents else ()
    return BaySketch(bay.width, floor, tuple(pieces), above, bay.left)
