"""Filling a wall's bays from a pool of patterns: one opening of one bay with what it holds."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from ortools.linear_solver import pywraplp

from capacity.layout.layout import Holding, Layout
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.sketches import BaySketch, OpeningSketch, build_wall, closed
from capacity.solver.effort import EXACT, Effort
from capacity.solver.relaxation.master import BayColumn, Master, OpeningType, State
from capacity.solver.relaxation.opening_knapsack import Taken
from capacity.solver.relaxation.structure import Structure, opening_types, state_of

ROOT_STEPS, STEPS = 40, 6
"""Pricing steps at the start of a dive, and after a bay is fixed."""


PATTERN_WORK, EACH = 0.2, 2.0e-4
"""Deterministic work for the integer program over patterns at most, and what each of them counts for."""

LEAST_SECONDS = 0.1
"""What the integer program gets where a wall clock has nearly run out [s]."""


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
    master: Master, openings: Mapping[OpeningType, int], effort: Effort
) -> dict[OpeningType, list[Taken]]:
    """Patterns for all openings together, by an integer program over those that the master has.

    CP-SAT by way of OR-Tools' linear solver: its own interface would load pandas, which takes longer than a refill.
    """
    solver = pywraplp.Solver.CreateSolver("SAT")
    no_limit, objective = solver.infinity(), solver.Objective()
    objective.SetMaximization()
    demand = [solver.RowConstraint(-no_limit, 0.0, "") for _ in master.groups]
    for group, row in zip(master.groups, demand, strict=True):
        stored = solver.IntVar(0, group.count, "")
        row.SetCoefficient(stored, 1.0)
        objective.SetCoefficient(stored, group.value)
    rows = {opening: solver.RowConstraint(0, number, "") for opening, number in openings.items()}
    used: list[tuple[OpeningType, Taken, Any]] = []
    start: list[float] = []
    for column, level in zip(master.columns, master.levels(), strict=False):
        opening = column.opening
        if opening is not None and opening in rows and column.holds:
            number = solver.IntVar(0, openings[opening], "")
            rows[opening].SetCoefficient(number, 1.0)
            for index, pieces in column.pieces:
                demand[index].SetCoefficient(number, -float(pieces))
            used.append((opening, column.holds, number))
            start.append(int(level + 0.5))
    solver.SetHint([number for _, _, number in used], start)
    parameters = (
        f"num_workers:1,random_seed:{effort.seed % 2**31},max_deterministic_time:{PATTERN_WORK * effort.factor}"
    )
    solver.SetSolverSpecificParametersAsString(parameters)
    if (left := effort.seconds_left) is not None:
        solver.SetTimeLimit(round(1000 * max(LEAST_SECONDS, left)))
    effort.spend(min(EACH * len(used), EXACT * PATTERN_WORK * effort.factor))
    chosen: dict[OpeningType, list[Taken]] = defaultdict(list)
    if solver.Solve() in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE):
        for opening, holds, number in used:
            chosen[opening] += [holds] * round(number.solution_value())
    return chosen


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
