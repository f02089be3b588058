"""The whole problem as one integer program: exact where it is small, with CP-SAT's own proof.

Bays, openings, heights and contents of all walls at once (`whole_model`), corners too, hinted by the layout known so
far.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from capacity.layout.corners import corner_choices, ends_of
from capacity.layout.layout import Bay, Holding, Layout
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.sketches import BaySketch, OpeningSketch, build_wall, sketch_of
from capacity.layout.towers import candidate_heights, groups_of, towers_of
from capacity.solver.effort import Effort
from capacity.solver.filling.program import Linear, ModelOpening
from capacity.solver.proof.whole_model import LayoutModel, ModelBay

WHOLE_WORK = 6.0
"""Deterministic work on the whole problem at once."""

SMALL = 9_000
"""Choices (binaries and columns) up to which the whole problem is worth giving to CP-SAT at once."""


@dataclass(frozen=True, slots=True)
class Whole:
    """A layout if one was found, and the proven bound."""

    layout: Layout | None
    bound: int


def is_worth_a_program(problem: Problem) -> bool:
    """Whether there are slopes, blocked parts or bays that must be, and the integer program of all is small enough.

    On other closets it has found nothing that the search had not (`tests/benchmarks/README.md`).
    """
    total = 0
    if problem.most_panel:  # the model knows no budget
        return False
    if all(run.is_plain and not run.fixed for run in problem.runs):
        return False
    for index, run in enumerate(problem.runs):
        towers = towers_of(problem, groups_of(problem), run.spot)
        heights = candidate_heights(towers, problem.top)
        total += most_bays(problem, index) * most_slots(problem, heights) * (len(towers) + len(heights))
    return total <= SMALL


def solve_whole(problem: Problem, start: Layout, bound: int, effort: Effort) -> Whole:
    """The best layout of all walls at once; `start` is the hint, `bound` a bound that is known already."""
    model = LayoutModel(problem)
    rows: list[list[ModelBay]] = []
    choices = {owners: model.program.new_bool_var(f"corners {owners}") for owners in corner_choices(problem)}
    model.program.add_exactly_one(choices.values())
    for index, run in enumerate(problem.runs):
        ends = {owners: ends_of(problem, index, owners) for owners in choices}
        begin: Linear = sum(ends[owners][0] * chosen for owners, chosen in choices.items())
        end: Linear = sum(ends[owners][1] * chosen for owners, chosen in choices.items())
        slots = most_slots(problem, candidate_heights(model.filling.towers(run.spot), problem.top))
        bays = [model.add_free_bay(index, begin, end, slots) for _ in range(most_bays(problem, index))]
        if run.is_between:
            model.add_width_limit(index, run.width - problem.rules.panel)
        elif run.is_plain:
            # a wall that loses all its width to a corner has no bay, but rules out no layout of the others
            room = model.program.new_int_var(problem.rules.panel, max(problem.rules.panel, run.width), "room")
            for bay in bays:
                model.program.add(room <= end - begin).only_enforce_if(bay.used)
            model.add_width_limit(index, room - problem.rules.panel)
        else:
            model.add_order(bays)
        rows.append(bays)
    model.filling.close(bound)
    for index, bays in enumerate(rows):
        built = start.walls[index].bays
        for number, bay in enumerate(bays):
            model.hint_free_bay(bay, _tight(problem, index, built[number]) if number < len(built) else None)
    for owners, chosen in choices.items():
        model.program.add_hint(chosen, owners == start.owners)
    solver, status = effort.solve(model.program, WHOLE_WORK)
    if status == cp_model.INFEASIBLE:
        msg = "no layout at all satisfies the model, not even an empty one"
        raise AssertionError(msg)
    proven = min(bound, int(solver.best_objective_bound + 1e-6))
    if status == cp_model.UNKNOWN and proven <= 0:  # it ended before it had any bound, and reports 0
        proven = bound
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Whole(None, proven)
    owners = next(owners for owners, chosen in choices.items() if solver.value(chosen))
    return Whole(_read(problem, model, solver, rows, owners), proven)


def most_bays(problem: Problem, run: int) -> int:
    """Most bays side by side on one run."""
    if problem.runs[run].fixed:
        return 1
    return max(0, (problem.runs[run].width - problem.rules.panel) // (problem.rules.min_bay + problem.rules.panel))


def most_slots(problem: Problem, heights: Iterable[tuple[OpeningKind, int]]) -> int:
    """Most openings one over the other in a bay."""
    lowest = min((height for _, height in heights), default=problem.top)
    return max(1, problem.top // (lowest + problem.rules.panel))


def _tight(problem: Problem, w: int, bay: Bay) -> Bay:
    """A bay with its openings lowered to what they need, as a hint."""
    sketch = sketch_of(problem, w, bay)
    given = len(problem.runs[w].prescribed)
    pieces = iter([*([sketch.floor] if sketch.floor else []), *sketch.pieces[given:]])
    openings = list(bay.openings[:given])
    for opening in bay.openings[given:]:
        if opening.bottom < problem.top and opening.holds:
            openings.append(replace(opening, height=next(pieces).height))
        elif opening.holds:
            openings.append(opening)
    return replace(bay, openings=tuple(openings))


def _read(
    problem: Problem,
    model: LayoutModel,
    solver: cp_model.CpSolver,
    rows: Sequence[list[ModelBay]],
    owners: tuple[bool, ...],
) -> Layout:
    """The layout of a solution, verified by nobody yet."""
    slots: list[tuple[object, ModelOpening]] = []
    for w, bays in enumerate(rows):
        for n, bay in enumerate(bays):
            slots += [((w, n, i), slot) for i, slot in enumerate((bay.floor, *bay.slots, bay.above, *bay.prescribed))]
    held = model.filling.contents(solver, slots)
    walls = []
    for w, bays in enumerate(rows):
        sketches = [
            _sketch(problem, solver, bay, [held[(w, n, i)] for i in range(len(bay.slots) + 2 + len(bay.prescribed))])
            for n, bay in enumerate(bays)
            if solver.value(bay.used)
        ]
        if not problem.runs[w].is_plain:
            sketches.sort(key=lambda sketch: sketch.left or 0)
        kept = [sketch for sketch in sketches if sketch.floor or sketch.pieces or sketch.above]
        walls.append(build_wall(problem, w, owners, kept))
    return Layout(tuple(walls), owners)


def _sketch(
    problem: Problem, solver: cp_model.CpSolver, bay: ModelBay, held: Sequence[tuple[Holding, ...]]
) -> BaySketch:
    """A bay of a solution: what it holds in its floor opening, its slots, on top, and in what is prescribed."""
    top = len(bay.slots) + 1

    def piece(slot: ModelOpening, holds: tuple[Holding, ...]) -> OpeningSketch | None:
        for (kind, height), chosen in slot.choice.items():
            if solver.value(chosen):
                return OpeningSketch(kind, height, holds)
        return None

    given = [
        OpeningSketch(item.kind, item.height, holds)
        for item, holds in zip(problem.runs[bay.run].prescribed, held[top + 1 :], strict=True)
    ]
    pieces = [piece(slot, holds) for slot, holds in zip(bay.slots, held[1:top], strict=True)]
    return BaySketch(
        width=solver.value(bay.width),
        floor=piece(bay.floor, held[0]),
        pieces=(*given, *(item for item in pieces if item is not None)),
        above=held[top],
        left=None if bay.left is None else solver.value(bay.left),
    )
