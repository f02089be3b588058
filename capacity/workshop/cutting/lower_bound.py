"""The least that any two-stage cutting can cost, by pricing whole sheets; and the patterns met on the way.

Column generation over whole sheets (Gilmore and Gomory, Operations Research 13, 1965: two-stage cutting; volume from
memory). Whatever the linear program's prices are, no cutting costs less than the pieces' worth divided by the
greatest worth that a unit of cost can carry; strips and sheet are priced together, in whole numbers and with
needs rounded down, so the bound does not lean on a floating-point answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from ortools.linear_solver import pywraplp

from capacity.solver.relaxation.linear_program import solve_linear
from capacity.workshop.cutting.patterns import BlankType, SheetFrame, SheetPattern, StripPattern, priced

ROUNDS = 300
"""Most rounds of pricing; each of them gives a valid bound."""

PRICE_UNIT = 10**7
"""Prices are rounded down to whole numbers of 1/this of a unit of cost."""


@dataclass(frozen=True, slots=True)
class Generated:
    """The proven bound on the cost, and every strip and sheet that was best at some prices."""

    bound: int
    strips: tuple[StripPattern, ...]
    sheets: tuple[SheetPattern, ...]


def generate(frames: Sequence[SheetFrame], types: Sequence[BlankType]) -> Generated:
    """Price until nothing better is found.

    Parameters
    ----------
    frames
        Every stock with every first cut that may be used.
    types
        What is to be cut; each must fit into a frame.
    """
    solver = pywraplp.Solver.CreateSolver("GLOP")
    if solver is None:
        msg = "the linear solver that comes with OR-Tools is missing"
        raise AssertionError(msg)
    rows = [solver.Constraint(kind.count, solver.infinity()) for kind in types]
    objective = solver.Objective()
    objective.SetMinimization()

    def add(cost: float, content: dict[int, int]) -> None:
        column = solver.NumVar(0, solver.infinity(), "")
        objective.SetCoefficient(column, cost)
        for kind, count in content.items():
            rows[kind].SetCoefficient(column, count)

    costs = [frame.stock.cost for frame in frames]
    for number in range(len(types)):  # one piece a sheet: dear, but it can be cut
        add(min(cost for f, cost in enumerate(costs) if _holds(frames[f], number)), {number: 1})
    strips: set[StripPattern] = set()
    sheets: set[SheetPattern] = set()
    seen: set[tuple[int, tuple[tuple[int, int], ...]]] = set()
    best = _by_area(frames, types)
    for _ in range(ROUNDS):
        solve_linear(solver)
        prices = [max(0, int(row.dual_value() * PRICE_UNIT)) for row in rows]
        worth = sum(price * kind.count for price, kind in zip(prices, types, strict=True))
        dearest = Fraction(0)
        has_grown = False
        for number, frame in enumerate(frames):
            found = priced(frame, number, types, prices)
            strips.update(found.strips)
            dearest = max(dearest, Fraction(found.most, costs[number]))
            key = (number, tuple(sorted(found.content.items())))
            if found.value > costs[number] * PRICE_UNIT and key not in seen:
                seen.add(key)
                sheets.add(found.sheet)
                add(costs[number], found.content)
                has_grown = True
        if dearest > 0:
            best = max(best, Fraction(worth) / dearest)
        if not has_grown:
            break
    return Generated(
        attainable(ceil(best), {frame.stock.cost for frame in frames}), tuple(sorted(strips)), tuple(sorted(sheets))
    )


def _by_area(frames: Sequence[SheetFrame], types: Sequence[BlankType]) -> Fraction:
    """The bound of everyday: nothing is cut from less than its own area, kerfs counted."""
    least: dict[int, int] = {}
    for frame in frames:
        for option in frame.options:
            least[option.type] = min(least.get(option.type, option.size * option.use), option.size * option.use)
    area = sum(least[number] * kind.count for number, kind in enumerate(types))
    return min(Fraction(area * frame.stock.cost, frame.capacity * frame.height) for frame in frames)


def _holds(frame: SheetFrame, number: int) -> bool:
    return any(option.type == number for option in frame.options)


def attainable(least: int, costs: set[int]) -> int:
    """The least sum of costs, each taken any number of times, that is at least `least`.

    Examples
    --------
    >>> attainable(130, {62, 34})
    130
    >>> attainable(125, {62})
    186
    """
    if least <= 0:
        return 0
    order = sorted(costs, reverse=True)
    best = -(-least // order[-1]) * order[-1]

    def go(at: int, total: int) -> None:
        nonlocal best
        if total >= least:
            best = min(best, total)
            return
        if at == len(order) or best == least:
            return
        most = -(-(least - total) // order[at])
        for number in range(most, -1, -1):
            if total + number * order[at] < best or number == 0:
                go(at + 1, total + number * order[at])

    if len(order) > 1 and least // order[-1] > 400:
        return least  # too many sheets to list every sum; the plain bound is valid too
    go(0, 0)
    return best
