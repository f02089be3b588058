"""What of a wall is already decided while the relaxation is solved again."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from capacity.layout.corners import ends_of
from capacity.layout.layout import Layout
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.sketches import sketch_of
from capacity.solver.relaxation.bay_pricing import owners_of
from capacity.solver.relaxation.columns import BayColumn, OpeningType, State, bay_area
from capacity.solver.relaxation.wall_pricing import Stretch


@dataclass(frozen=True, slots=True)
class Structure:
    """Bays without contents by wall, and who owns the corners."""

    bays: tuple[tuple[BayColumn, ...], ...]
    owners: tuple[bool, ...]


def opening_types(problem: Problem, run: int, bay: BayColumn) -> list[OpeningType]:
    """The openings of a bay of a run from the floor up, the one on top last."""
    found, spot = [], problem.runs[run].spot
    if bay.floor is not None:
        found.append(OpeningType(spot, bay.owner, OpeningKind.HANG, bay.floor, bay.width))
    given = len(problem.runs[run].prescribed)
    for number, (kind, height) in enumerate(bay.openings):
        site = problem.runs[run].prescribed_spot if number < given else spot
        found.append(OpeningType(site, bay.owner, kind, height, bay.width))
    if bay.above and bay.width <= problem.longest(run, OpeningKind.SHELF):
        found.append(OpeningType(spot, bay.owner, OpeningKind.SHELF, bay.above, bay.width))
    return found


def open_state(problem: Problem, owners: tuple[bool, ...]) -> State:
    """Every wall free from end to end."""
    return State(
        tuple(
            _last_stretch(problem, index, *ends_of(problem, index, owners), run.shares_left)
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
        upper = problem.head_under(whole, max(whole.ceiling_left, whole.ceiling_right))
        area += sum(bay_area(problem, run, bay, upper) for bay in bays)
        start, end = ends_of(problem, run, structure.owners)
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


def empty_structure(problem: Problem, owners: tuple[bool, ...]) -> Structure:
    """No bays at all."""
    return Structure(tuple(() for _ in problem.runs), owners)


def structure_of(problem: Problem, layout: Layout, out: frozenset[tuple[int, int]] = frozenset()) -> Structure:
    """The bays of a layout without contents, openings as low as their contents allow; `out` are left out."""
    owners = list(owners_of(problem))
    owner_of = {thing.row: thing.owner for thing in problem.things}
    rows: list[tuple[BayColumn, ...]] = []
    for w, wall in enumerate(layout.walls):
        bays: list[BayColumn] = []
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
            bays.append(BayColumn(bay.width, left, owner, floor, openings, tops[0] if tops else 0))
        rows.append(tuple(bays))
    return Structure(tuple(rows), layout.owners)
