"""How many of each strip and sheet pattern to cut: the integer program of two-stage cutting, solved by SCIP.

    minimise  cost of the sheets  (then the cuts, with the cost held)
    subject to  pieces of each type in the strips >= its count,
                strips at least s wide <= places at least s wide on the sheets, for each frame and size s

(Gilmore and Gomory, Operations Research 13, 1965; as an integer program Lodi and Monaci, Mathematical Programming 94,
2003; volumes from memory.) Branching nodes are counted, not seconds, so that the same list gives the same plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import TypeVar

from ortools.linear_solver import pywraplp

from capacity.solver.effort import Effort
from capacity.workshop.cutting.first_fit import ChosenSheet, cuts_in
from capacity.workshop.cutting.patterns import BlankType, SheetFrame, SheetPattern, StripPattern

Pattern = TypeVar("Pattern", StripPattern, SheetPattern)

TOLERANCE = 1e-5
"""How far below a whole number the solver's bound may lie and still count as that number."""


@dataclass(frozen=True, slots=True)
class Pool:
    """Patterns to choose from; `is_complete` when no other pattern could do better."""

    strips: tuple[StripPattern, ...]
    sheets: tuple[SheetPattern, ...]
    is_complete: bool

    def with_plan(self, plan: Sequence[ChosenSheet]) -> Pool:
        """The pool and the patterns of a plan that is known."""
        strips = {strip for sheet in plan for strip in sheet.strips}
        sheets = {SheetPattern(sheet.frame, sheet.sizes) for sheet in plan}
        return Pool(tuple(sorted({*self.strips, *strips})), tuple(sorted({*self.sheets, *sheets})), self.is_complete)


@dataclass(frozen=True, slots=True)
class SheetChoice:
    """Sheets chosen (None: none found), and the least goal that the patterns of the pool allow, as far as proven."""

    sheets: tuple[ChosenSheet, ...] | None
    least: int


def choose(
    frames: Sequence[SheetFrame],
    types: Sequence[BlankType],
    pool: Pool,
    effort: Effort,
    nodes: int,
    cost_limit: int | None = None,
) -> SheetChoice:
    """Choose how many of each pattern: the least cost, or with a limit on it the fewest cuts.

    Parameters
    ----------
    frames, types, pool
        What may be used, what is to be cut, and the patterns.
    effort
        Multiplies the nodes; its wall clock, where there is one, is kept to.
    nodes
        Nodes of the search tree.
    cost_limit
        The most that the sheets may cost; then cuts are counted.
    """
    solver = pywraplp.Solver.CreateSolver("SCIP")
    if solver is None:
        msg = "the integer solver that comes with OR-Tools is missing"
        raise AssertionError(msg)
    need = sum(kind.count for kind in types)
    number_of = [solver.IntVar(0, need, "") for _ in pool.strips]
    sheets_of = [solver.IntVar(0, need, "") for _ in pool.sheets]
    _demand(solver, frames, types, pool.strips, number_of)
    _places(solver, frames, pool, number_of, sheets_of)
    costs = [(variable, frames[sheet.frame].stock.cost) for sheet, variable in zip(pool.sheets, sheets_of, strict=True)]
    costs += _owned(solver, frames, pool, sheets_of)
    objective = solver.Objective()
    objective.SetMinimization()
    if cost_limit is None:
        for variable, cost in costs:
            objective.SetCoefficient(variable, cost)
    else:
        limit = solver.RowConstraint(-solver.infinity(), cost_limit + 0.5, "")
        for variable, cost in costs:
            limit.SetCoefficient(variable, cost)
        for strip, variable in zip(pool.strips, number_of, strict=True):
            objective.SetCoefficient(variable, cuts_in(frames, strip))
    solver.SetSolverSpecificParametersAsString(_parameters(effort, nodes))
    if solver.Solve() not in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE):
        return SheetChoice(None, 0)
    strips = _times(pool.strips, number_of)
    sheets = _times(pool.sheets, sheets_of)
    return SheetChoice(_put_together(types, frames, strips, sheets), ceil(objective.BestBound() - TOLERANCE))


def _parameters(effort: Effort, nodes: int) -> str:
    seconds = effort.seconds_left
    lines = [f"limits/totalnodes = {max(1, round(nodes * effort.factor))}", "misc/catchctrlc = FALSE"]
    if seconds is not None:
        lines.append(f"limits/time = {max(0.5, seconds):.3f}")
    return "\n".join(lines) + "\n"


def _times(patterns: Sequence[Pattern], numbers: Sequence[pywraplp.Variable]) -> list[Pattern]:
    return [
        pattern
        for pattern, number in zip(patterns, numbers, strict=True)
        for _ in range(round(number.solution_value()))
    ]


def _demand(
    solver: pywraplp.Solver,
    frames: Sequence[SheetFrame],
    types: Sequence[BlankType],
    strips: Sequence[StripPattern],
    number_of: Sequence[pywraplp.Variable],
) -> None:
    rows = [solver.RowConstraint(kind.count, solver.infinity(), "") for kind in types]
    for strip, variable in zip(strips, number_of, strict=True):
        options = frames[strip.frame].options
        pieces: dict[int, int] = {}
        for option, count in strip.content:
            kind = options[option].type
            pieces[kind] = pieces.get(kind, 0) + count
        for kind, count in pieces.items():
            rows[kind].SetCoefficient(variable, count)


def _places(
    solver: pywraplp.Solver,
    frames: Sequence[SheetFrame],
    pool: Pool,
    number_of: Sequence[pywraplp.Variable],
    sheets_of: Sequence[pywraplp.Variable],
) -> None:
    """A strip may lie where a wider one would."""
    rows = {
        (index, size): solver.RowConstraint(-solver.infinity(), 0, "")
        for index, frame in enumerate(frames)
        for size in frame.sizes
    }
    for strip, variable in zip(pool.strips, number_of, strict=True):
        for size in frames[strip.frame].sizes:
            if strip.size >= size:
                rows[strip.frame, size].SetCoefficient(variable, 1)
    for sheet, variable in zip(pool.sheets, sheets_of, strict=True):
        for size in frames[sheet.frame].sizes:
            places = sum(count for wide, count in sheet.strips if wide >= size)
            if places:
                rows[sheet.frame, size].SetCoefficient(variable, -places)


def _owned(
    solver: pywraplp.Solver, frames: Sequence[SheetFrame], pool: Pool, sheets_of: Sequence[pywraplp.Variable]
) -> list[tuple[pywraplp.Variable, int]]:
    """How many of each stock are owned already, with what that saves; of one that is not sold there are no others."""
    saved = []
    for stock in dict.fromkeys(frame.stock for frame in frames if frame.stock.owned or not frame.stock.is_sold):
        number = solver.IntVar(0, stock.owned, "")
        used = solver.RowConstraint(0, 0 if not stock.is_sold else solver.infinity(), "")
        used.SetCoefficient(number, -1)
        for sheet, variable in zip(pool.sheets, sheets_of, strict=True):
            if frames[sheet.frame].stock == stock:
                used.SetCoefficient(variable, 1)
        saved.append((number, -stock.cost))
    return saved


def _put_together(
    types: Sequence[BlankType],
    frames: Sequence[SheetFrame],
    strips: Sequence[StripPattern],
    sheets: Sequence[SheetPattern],
) -> tuple[ChosenSheet, ...]:
    """Strips into the places of the sheets, widest first; what nobody needs is left out."""
    left = [kind.count for kind in types]
    trimmed: list[StripPattern] = []
    for strip in sorted(strips, key=lambda strip: (-strip.size, strip.frame, strip.content)):
        options = frames[strip.frame].options
        content = []
        for option, count in strip.content:
            taken = min(count, left[options[option].type])
            left[options[option].type] -= taken
            if taken:
                content.append((option, taken))
        if content:
            size = max(options[option].size for option, _ in content)
            trimmed.append(StripPattern(strip.frame, size, tuple(content)))
    places = [
        (size, number)
        for number, sheet in enumerate(sheets)
        for size, count in sheet.strips
        for _ in range(count)
    ]  # fmt: skip
    inside: dict[int, list[StripPattern]] = {}
    for strip in sorted(trimmed, key=lambda strip: (-strip.size, strip.frame, strip.content)):
        able = [place for place in places if place[0] >= strip.size and sheets[place[1]].frame == strip.frame]
        place = min(able)  # the narrowest that is wide enough
        places.remove(place)
        inside.setdefault(place[1], []).append(strip)
    return tuple(
        ChosenSheet(sheets[number].frame, tuple(sorted(held, key=lambda strip: (-strip.size, strip.content))))
        for number, held in sorted(inside.items())
    )
