"""The best possible filling of given openings, exact and with its proof; used before and after alike."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from capacity.layout.layout import Bay, Holding, Layout, value_of
from capacity.layout.problem import OpeningKind, Problem, Run
from capacity.layout.towers import best_towers, each_alone, room_of, towers_of
from capacity.solver.effort import Effort

if TYPE_CHECKING:
    from capacity.solver.filling.program import ModelOpening

OpeningIndex = tuple[int, int, int]

FILLING_WORK = 1.5
"""Deterministic work for one filling; what is not proven by then is reported as not proven."""

SHORT_TRY = 5000
"""Piles times openings up to which what holds something already is filled anew when time has run out: a larger program
takes longer to be made than such a short try may last."""


@dataclass(frozen=True, slots=True)
class Filling:
    """Contents of given openings, their value, and a proven bound on the value of any contents."""

    layout: Layout
    value: int
    bound: int

    @property
    def is_proven(self) -> bool:
        """Whether no other contents of these openings can be worth more."""
        return self.value == self.bound


def fill(problem: Problem, layout: Layout, effort: Effort, work: float = FILLING_WORK) -> Filling:
    """Fill the openings of a layout as well as possible; start from what it holds.

    Parameters
    ----------
    problem
        What is to be stored, and the fit rules.
    layout
        The openings; contents, where there are any, are the first answer and are never made worse.
    effort, work
        How much work may be done for each kind of opening.

    Returns
    -------
    The best contents found. Where bays do not belong to owners, and no thing may be stored in two ways, the three kinds
    of opening are independent and are solved one after the other; the bound is the sum of theirs.
    """
    is_joint = problem.rules.owners_apart or problem.has_choices
    parts = [tuple(OpeningKind)] if is_joint else [(kind,) for kind in OpeningKind]
    value = bound = 0
    contents = {(w, b, o): opening.holds for w, b, o, _, opening in layout.openings()}
    for kinds in parts:
        most = sum(thing.value * thing.count for thing in problem.things if thing.opening_kind in kinds)
        places = {(w, b, o) for w, b, o, _, opening in layout.openings() if opening.kind in kinds}
        kept = _value_in(problem, contents, places)
        is_large = kept and len(problem.things) * len(places) > SHORT_TRY
        if kept == most or not places or (is_large and effort.is_stopping):
            value, bound = value + kept, bound + (most if places else 0)
            continue
        from capacity.solver.filling.program import CpSolverStatus, FillingModel  # takes longer than most fillings

        model = FillingModel(problem)
        for (w, b), bay in _bays(layout).items():
            model.add_fixed_bay((w, b), bay, kinds)
        model.close()
        for (w, b), bay in _bays(layout).items():
            model.hint_fixed_bay((w, b), bay)
        solver, status = effort.solve(model.program, work)
        found = int(solver.objective_value) if status in (CpSolverStatus.OPTIMAL, CpSolverStatus.FEASIBLE) else -1
        if found > kept:
            slots: list[tuple[object, ModelOpening]] = list(model.fixed.items())
            held = model.contents(solver, slots)
            for (w, b), bay in _bays(layout).items():
                for index in range(len(bay.openings)):
                    if ((w, b), index) in held:
                        contents[(w, b, index)] = held[((w, b), index)]
            kept = _value_in(problem, contents, places)  # at least what the solver had counted
        value += kept
        proven = int(solver.best_objective_bound + 1e-6)
        if status == CpSolverStatus.UNKNOWN and proven <= 0:  # it ended before it had any bound
            proven = most
        bound += kept if status == CpSolverStatus.OPTIMAL else min(most, proven)
    filled = layout.holding(contents)
    if value_of(problem, filled) != value:
        msg = f"a filling of value {value} holds {value_of(problem, filled)}"
        raise AssertionError(msg)
    return Filling(filled, value, bound)


def fits(
    problem: Problem, layout: Layout, counts: Sequence[int], kinds: Sequence[OpeningKind], effort: Effort, work: float
) -> bool | None:
    """Whether so many pieces of every pile fit into the openings of these kinds; None when undecided.

    Parameters
    ----------
    problem, layout
        The facts and the openings; what the openings hold is not looked at.
    counts
        Pieces wanted of each thing, in the order of the things.
    kinds
        The kinds of opening, and so the things, that are asked about.
    """
    wanted = [count if thing.opening_kind in kinds else 0 for thing, count in zip(problem.things, counts, strict=True)]
    if not any(wanted):
        return True
    from capacity.solver.filling.program import CpSolverStatus, FillingModel  # takes longer than most fillings

    model = FillingModel(problem, wanted, must_store_all=True)
    for key, bay in _bays(layout).items():
        model.add_fixed_bay(key, bay, kinds)
    model.close()
    _, status = effort.solve(model.program, work, least_seconds=0.2)
    answers = {CpSolverStatus.OPTIMAL: True, CpSolverStatus.FEASIBLE: True, CpSolverStatus.INFEASIBLE: False}
    return answers.get(status)


def placeable(problem: Problem) -> tuple[bool, ...]:
    """For each thing, whether one piece of it could ever be stored on some wall, in an opening of its own."""
    rules, groups, able = problem.rules, each_alone(problem), [False] * len(problem.things)
    for w, run in enumerate(problem.runs):
        rooms = _highest_openings(problem, run)
        for tower in towers_of(problem, groups, run.spot):
            widest = min(problem.longest(w, tower.kind), run.width - 2 * rules.panel)
            if tower.need <= rooms[tower.kind] and tower.width <= room_of(rules, tower.kind, widest):
                able[tower.group] = True
        for item in run.prescribed:
            room = room_of(rules, item.kind, run.fixed)
            for tower in best_towers(towers_of(problem, groups, run.prescribed_spot), item.kind, item.height):
                able[tower.group] = able[tower.group] or tower.width <= room
    return tuple(able)


def _highest_openings(problem: Problem, run: Run) -> dict[OpeningKind, int]:
    """The clear height of the highest opening of each kind to be built on a run [ticks]; 0 or less: none."""
    ceiling = max(run.ceiling_left, run.ceiling_right)
    free = problem.head_under(run, ceiling) - problem.rules.panel
    inside = free - problem.rules.base_over(run.prescribed)
    rooms = {kind: inside if kind in run.kinds else 0 for kind in OpeningKind}
    if not run.prescribed and OpeningKind.HANG in run.kinds:  # it may stand on the floor
        rooms[OpeningKind.HANG] = free
    rooms[OpeningKind.SHELF] = max(rooms[OpeningKind.SHELF], problem.above_under(run, ceiling))
    if problem.rules.highest_drawer:
        rooms[OpeningKind.DRAWER] = min(rooms[OpeningKind.DRAWER], problem.rules.highest_drawer - problem.rules.base)
    return rooms


def _bays(layout: Layout) -> dict[tuple[int, int], Bay]:
    return {(w, b): bay for w, wall in enumerate(layout.walls) for b, bay in enumerate(wall.bays)}


def _value_in(problem: Problem, contents: dict[OpeningIndex, tuple[Holding, ...]], places: set[OpeningIndex]) -> int:
    values = {thing.row: thing.value for thing in problem.things}
    return sum(values[item.row] * item.count for place in places for item in contents[place])
