"""What a careful person would build by rule of thumb: the comparator, and where the search starts.

Equal bays of about 30 in, half of them with two rods one over the other, the others with shelves at equal
spacing. Where something needs it, one of the hanging bays gets a single long rod and one of the shelf bays a
bank of four drawers. Common practice, no published source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from capacity.layout.corners import ends_of
from capacity.layout.drawer_rule import DRAWER_HEIGHT
from capacity.layout.layout import Bay, Layout, WallLayout
from capacity.layout.problem import OpeningKind, Problem, Run
from capacity.layout.sketches import BaySketch, OpeningSketch, build_bay, drawer_room
from capacity.units import PER_INCH

BAY = 30 * PER_INCH
SPACING = 12 * PER_INCH
DRAWERS = 4
DRAWER = 6 * PER_INCH + DRAWER_HEIGHT
"""Width of a bay and spacing of its shelves [ticks]; how many drawers, and the opening of one, 6 in clear in the box
[ticks] (common practice, no published source)."""


def rule_of_thumb(problem: Problem, owners: tuple[bool, ...]) -> tuple[Layout, ...]:
    """The rule itself, in its few readings: an odd bay hung or shelved, a long rod or none."""
    return tuple(dict.fromkeys(_variants(problem, owners)))


def _variants(problem: Problem, owners: tuple[bool, ...]) -> Iterator[Layout]:
    for odd_is_hung in (True, False):
        for long_rods in (True, False):
            yield _layout(problem, owners, odd_is_hung, long_rods)


def _layout(problem: Problem, owners: tuple[bool, ...], odd_is_hung: bool, long_rods: bool) -> Layout:
    wants_drawers = any(thing.opening_kind is OpeningKind.DRAWER for thing in problem.things)
    walls: list[WallLayout] = []
    bays_before = 0
    has_long_rod = False
    has_drawers = any(item.kind is OpeningKind.DRAWER for run in problem.runs for item in run.prescribed)
    for index, run in enumerate(problem.runs):
        bays: list[Bay] = []
        for left, width in _equal_bays(problem, index, owners):
            is_hung = (bays_before % 2 == 0) is odd_is_hung
            is_hung = is_hung and not run.prescribed  # over a bank of drawers come shelves
            if run.fixed and not width <= problem.longest(index, OpeningKind.HANG if is_hung else OpeningKind.SHELF):
                is_hung = not is_hung
            if (OpeningKind.HANG if is_hung else OpeningKind.SHELF) not in run.kinds:
                is_hung = not is_hung
            bays_before += 1
            given = tuple(OpeningSketch(item.kind, item.height) for item in run.prescribed)
            empty = build_bay(problem, run, left, BaySketch(width, None, (*given, OpeningSketch(OpeningKind.SHELF, 1))))
            upper = max(o.bottom + o.height for o in empty.openings if o.bottom < problem.top)
            if is_hung:
                is_long = long_rods and not has_long_rod
                sketch = _hung(problem, width, upper, is_long)
                has_long_rod = has_long_rod or is_long
            else:
                may_draw = OpeningKind.DRAWER in run.kinds and not has_drawers
                sketch = _shelved(problem, run, width, upper, wants_drawers and may_draw)
                has_drawers = has_drawers or any(piece.kind is OpeningKind.DRAWER for piece in sketch.pieces)
            if run.fixed and run.blocked:  # nothing more until the search finds what fits beside the blocked part
                sketch = BaySketch(width, None, sketch.pieces[: len(run.prescribed)])
            if sketch.floor or sketch.pieces or run.fixed:
                bays.append(build_bay(problem, run, left, replace(sketch, left=left)))
        walls.append(WallLayout(run.name, tuple(bays)))
    return Layout(tuple(walls), owners)


def _equal_bays(problem: Problem, run_index: int, owners: tuple[bool, ...]) -> Iterator[tuple[int, int]]:
    """(left, width) of equal bays in each stretch of wall that is free of blocked parts."""
    rules, thick = problem.rules, problem.rules.panel
    if problem.runs[run_index].fixed:
        yield thick, problem.runs[run_index].fixed
        return
    start, end = ends_of(problem, run_index, owners)
    stretches: list[tuple[int, int]] = []
    for box in sorted(problem.runs[run_index].blocked, key=lambda box: box.left):
        stretches.append((start, min(box.left, end)))
        start = max(start, box.right)
    stretches.append((start, end))
    widest = min(rules.max_shelf, rules.max_rod)
    for left, right in stretches:
        room = right - left - thick
        number = max(1, round(room / (BAY + thick)))
        while room // number - thick > widest:
            number += 1
        width = room // number - thick
        if problem.has_marked_widths(problem.runs[run_index]):
            width = rules.width_down(width)
        if width < rules.min_bay:  # equal shares are too narrow where fewer are too wide: fewer, and some wall is left
            number, width = number - 1, min(widest, room - thick)
        if width < rules.min_bay:
            continue
        left_over, last, run = room - number * (width + thick), width, problem.runs[run_index]
        if run.is_plain and run.shares_right and not run.shares_left:
            left += left_over
        elif right == end and run.shares_right and 0 < left_over < thick:
            last += left_over if width + left_over <= widest else left_over - thick
        for index in range(number):
            wide = width if index + 1 < number else last
            if wide >= rules.min_bay:
                yield left + thick + index * (width + thick), wide


def _hung(problem: Problem, width: int, upper: int, is_long: bool) -> BaySketch:
    """One long rod, or two rods one over the other, from the floor."""
    if is_long:
        return BaySketch(width, OpeningSketch(OpeningKind.HANG, upper), ())
    half = problem.rules.counted((upper - problem.rules.panel) // 2)
    return BaySketch(width, OpeningSketch(OpeningKind.HANG, half), (OpeningSketch(OpeningKind.HANG, half),))


def _shelved(problem: Problem, run: Run, width: int, upper: int, with_drawers: bool) -> BaySketch:
    """What must be, drawers at the bottom if needed, then shelves at equal spacing."""
    thick = problem.rules.panel
    base = problem.rules.base_over(run.prescribed)
    room = upper - base + thick
    pieces = [OpeningSketch(item.kind, item.height) for item in run.prescribed]
    drawer = problem.rules.built(OpeningKind.DRAWER, DRAWER)
    if with_drawers and drawer_room(problem, base, upper + thick) >= DRAWERS * (drawer + thick):
        pieces += [OpeningSketch(OpeningKind.DRAWER, drawer)] * DRAWERS
        room -= DRAWERS * (drawer + thick)
    number = room // (SPACING + thick)
    if number == 0 and not pieces and room > thick:
        number = 1
    if number:
        height = max(problem.rules.counted(room // number - thick), problem.rules.least_opening, 1)
        pieces += [OpeningSketch(OpeningKind.SHELF, height)] * number
    return BaySketch(width, None, tuple(pieces))
