"""From the relaxation to a design: fix one bay's structure after the other, then fill the openings by patterns.

Only the structure of a bay (width, kinds and heights of its openings) is ever fixed, never its contents; the fixed
openings stay in the relaxation with patterns of contents of their own. With look-ahead each of a few promising bays
is tried for some pricing steps and the one that leaves the best relaxation is kept.
"""

from __future__ import annotations

import random
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from capacity.bay_values import LITTLE, owners_of
from capacity.building import Piece, Sketch, build_wall, closed, sketch_of
from capacity.effort import Effort
from capacity.layout import Holding, Layout
from capacity.master import BayPlan, Master, OpeningType, State, bay_area
from capacity.opening_tables import Taken
from capacity.problem import OpeningKind, Problem
from capacity.stretches import Stretch

ROOT_STEPS, STEPS, TRIAL_STEPS = 40, 6, 2
"""Pricing steps at the start of a dive, after a bay is fixed, and to try one out."""

PATTERN_WORK = 0.2
"""Deterministic work for the integer program over patterns."""


@dataclass(frozen=True, slots=True)
class Structure:
    """Bays without contents by wall, and who owns the corners."""

    bays: tuple[tuple[BayPlan, ...], ...]
    owners: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Dive:
    """How a dive chooses: bays tried at each step (1: the largest level), and chance among the largest levels."""

    look_ahead: int = 1
    chance: random.Random | None = None


def opening_types(problem: Problem, run: int, bay: BayPlan) -> list[OpeningType]:
    """The openings of a bay of a run from the floor up, the one on top last."""
    found, spot = [], problem.runs[run].spot
    if bay.floor is not None:
        found.append(OpeningType(spot, bay.owner, OpeningKind.HANG, bay.floor, bay.width))
    found += [OpeningType(spot, bay.owner, kind, height, bay.width) for kind, height in bay.openings]
    if bay.above and bay.width <= problem.longest(run, OpeningKind.SHELF):
        found.append(OpeningType(spot, bay.owner, OpeningKind.SHELF, bay.above, bay.width))
    return found


def open_state(problem: Problem, owners: tuple[bool, ...]) -> State:
    """Every wall free from end to end."""
    return State(
        tuple(
            _last_stretch(problem, index, *problem.ends_of(index, owners), run.shares_left)
            for index, run in enumerate(problem.runs)
        )
    )


def _last_stretch(problem: Problem, run: int, start: int, end: int, shares: bool) -> Stretch:
    """What is free of a wall up to its right end, where an upright of a bay that must be may stand."""
    if problem.runs[run].is_plain or not problem.runs[run].shares_right:
        return Stretch(run, start, end, shares)
    last = end - problem.rules.panel
    return Stretch(run, start, last, shares, last)


def state_of(problem: Problem, structure: Structure, step: int) -> State:
    """The walls with some bays standing, the rest free."""
    thick = problem.rules.panel
    stretches: list[Stretch] = []
    counted: Counter[OpeningType] = Counter()
    area = 0
    for run, bays in enumerate(structure.bays):
        whole = problem.runs[run]
        upper = min(problem.top, max(whole.ceiling_left, whole.ceiling_right))
        area += sum(bay_area(problem, run, bay, upper) for bay in bays)
        start, end = problem.ends_of(run, structure.owners)
        for bay in bays:
            counted.update(opening_types(problem, run, bay))
        if problem.runs[run].is_plain:
            end -= sum(bay.width + thick for bay in bays)
            stretches.append(_last_stretch(problem, run, start, end, whole.shares_left))
            continue
        shares = whole.shares_left
        for bay in sorted(bays, key=lambda bay: bay.left or 0):
            left = bay.left or 0
            stretches.append(Stretch(run, start, left - thick, shares, left - thick))
            start = left + bay.width
            shares = start % step == 0
            start += 0 if shares else thick
        stretches.append(_last_stretch(problem, run, start, end, shares))
    return State(tuple(stretches), tuple(sorted(counted.items())), area)


def dive(master: Master, start: Structure, how: Dive, effort: Effort) -> Structure:
    """Fill the free stretches with bays, one after the other; the contents stay open throughout."""
    problem, step = master.problem, master.grid.step
    structure, steps = start, ROOT_STEPS
    while not effort.is_over:
        master.set_state(state_of(problem, structure, step))
        master.generate(steps)
        options = [item for item in _options(master) if _is_affordable(master, structure, *item[0])]
        if not options:
            return structure
        steps = STEPS
        whole = [(run, bay) for (run, bay), level in options if level > 0.999]
        if whole and problem.runs[whole[0][0]].is_plain:
            structure = _with_bay(structure, *whole[0])
            continue
        if how.look_ahead > 1 and len(options) > 1:
            structure = _best_of(master, structure, [option for option, _ in options[: how.look_ahead]])
            continue
        pick = 0 if how.chance is None else how.chance.randrange(min(4, len(options)))
        structure = _with_bay(structure, *options[pick][0])
    return structure


def _is_affordable(master: Master, structure: Structure, run: int, bay: BayPlan) -> bool:
    """Whether the budget buys one more bay."""
    problem = master.problem
    more = _with_bay(structure, run, bay)
    return not problem.most_panel or state_of(problem, more, master.grid.step).panel <= problem.most_panel


def _options(master: Master) -> list[tuple[tuple[int, BayPlan], float]]:
    """Bays that the relaxation uses, largest level first."""
    levels: dict[tuple[int, BayPlan], float] = defaultdict(float)
    for column, level in zip(master.columns, master.levels(), strict=False):
        if level > 1e-6 and column.opening is None:
            for bay in column.bays:
                levels[(column.run, bay)] += float(level)
    return sorted(levels.items(), key=lambda item: (-round(item[1], 9), item[0][0], repr(item[0][1])))


def _best_of(master: Master, structure: Structure, options: Sequence[tuple[int, BayPlan]]) -> Structure:
    best, most = structure, LITTLE
    for run, bay in options:
        tried = _with_bay(structure, run, bay)
        master.set_state(state_of(master.problem, tried, master.grid.step))
        value = master.generate(TRIAL_STEPS, smooth=0.0).value
        if value > most + 1e-9:
            best, most = tried, value
    return best


def _with_bay(structure: Structure, run: int, bay: BayPlan) -> Structure:
    bays = tuple((*row, bay) if index == run else row for index, row in enumerate(structure.bays))
    return replace(structure, bays=bays)


# ---- filling by patterns --------------------------------------------------------------------------------


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
    sketches: list[list[Sketch]] = []
    hand_out = HandingOut(master)
    for run, bays in enumerate(structure.bays):
        made: list[Sketch] = []
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
    """Patterns for all openings together, by an integer program over those that the master has."""
    model = cp_model.CpModel()
    supply: list[list[cp_model.LinearExprT]] = [[] for _ in master.groups]
    used: dict[OpeningType, list[tuple[Taken, cp_model.IntVar]]] = defaultdict(list)
    for column, level in zip(master.columns, master.levels(), strict=False):
        opening = column.opening
        if opening is not None and opening in openings and column.holds:
            number = model.new_int_var(0, openings[opening], "")
            model.add_hint(number, int(level + 0.5))
            used[opening].append((column.holds, number))
            for index, pieces in column.pieces:
                supply[index].append(pieces * number)
    for opening, items in used.items():
        model.add(sum(number for _, number in items) <= openings[opening])
    goal = []
    for group, terms in zip(master.groups, supply, strict=True):
        stored = model.new_int_var(0, group.count, "")
        model.add(stored <= sum(terms))
        goal.append(group.value * stored)
    model.maximize(sum(goal))
    solver, status = effort.solve(model, PATTERN_WORK, least_seconds=0.1)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return {}
    return {
        opening: [holds for holds, number in items for _ in range(solver.value(number))]
        for opening, items in used.items()
    }


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


def _sketch(problem: Problem, bay: BayPlan, holds: Sequence[tuple[Holding, ...]]) -> Sketch:
    contents = list(holds)
    floor = None
    if bay.floor is not None:
        floor = Piece(OpeningKind.HANG, bay.floor, contents.pop(0))
    pieces = [Piece(kind, height, contents.pop(0)) for kind, height in bay.openings]
    above = contents.pop(0) if contents else ()
    return Sketch(bay.width, floor, tuple(pieces), above, bay.left)


def empty_structure(problem: Problem, owners: tuple[bool, ...]) -> Structure:
    """No bays at all."""
    return Structure(tuple(() for _ in problem.runs), owners)


def structure_of(problem: Problem, layout: Layout, out: frozenset[tuple[int, int]] = frozenset()) -> Structure:
    """The bays of a layout without contents, openings as low as their contents allow; `out` are left out."""
    owners = list(owners_of(problem))
    owner_of = {thing.row: thing.owner for thing in problem.things}
    rows: list[tuple[BayPlan, ...]] = []
    for w, wall in enumerate(layout.walls):
        bays: list[BayPlan] = []
        for b, bay in enumerate(wall.bays):
            sketch = sketch_of(problem, w, bay)
            if (w, b) in out or not (sketch.floor or sketch.pieces or sketch.above):
                continue
            names = {owner_of[item.row] for opening in bay.openings for item in opening.holds} - {None}
            owner = owners.index(min(names, key=str)) if problem.rules.owners_apart and names else 0
            tops = [opening.height for opening in bay.openings if opening.bottom >= problem.top]
            openings = tuple((piece.kind, piece.height) for piece in sketch.pieces)
            floor = sketch.floor.height if sketch.floor else None
            left = None if problem.runs[w].is_plain else bay.left
            bays.append(BayPlan(bay.width, left, owner, floor, openings, tops[0] if tops else 0))
        rows.append(tuple(bays))
    return Structure(tuple(rows), layout.owners)
