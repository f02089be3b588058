"""The proven bound on what any layout can store, and the prices that give it.

The prices come from column generation on the grid of designs; the bound is the Lagrangian function on a finer grid
that rounds needs down, so that it holds for every layout whatever its widths. Beginning with those prices and the bays
of the grid of designs, a few more steps on the fine grid find prices of its own. Corners are bounded choice by choice;
the largest of these bounds is the bound.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from capacity.layout.corners import corner_choices
from capacity.layout.problem import Problem
from capacity.solver.effort import Effort
from capacity.solver.relaxation.master import Master
from capacity.solver.relaxation.opening_knapsack import Floats, Grid
from capacity.solver.relaxation.structure import open_state

DESIGN_GRID = Grid(is_bound=False, step=4064)
"""The grid for designs: bay widths, upright included, in 1/2 in; finer ones were measured to gain next to nothing."""

FINE = Grid(is_bound=True, step=508, most=3000, tall=6000)
"""The grid for bounds: bay widths in 1/16 in."""

MILLION = 10**6
"""Prices that prove a bound are whole millionths of a point of value, so that a certificate states them exactly."""

STEPS = 40
"""Pricing steps for each choice of corners; as many as there are groups where these are more."""

MANY, SMOOTH, SMOOTHER = 60, 0.5, 0.75
"""Above so many groups prices move more slowly: the share of the best prices so far that is kept in each step.

Measured on 200 groups: within 0.5 per cent of the final bound after 57 steps instead of 75.
"""


AT_ONCE, AGAIN, NEARLY = 3, 5, 0.6
"""Pricing steps on the fine grid between two looks, looks, and the distance to its linear program that is near enough.

Measured on six over-full closets: up to 1.3 per cent off the bound for 0.1 to 2.5 s.
"""


@dataclass(frozen=True, slots=True)
class CornerBound:
    """What is proven for one choice of corners: the bound as a number and its prices by group."""

    owners: tuple[bool, ...]
    bound: float
    prices: Floats

    @property
    def whole(self) -> int:
        """The bound on a value, a whole number: rounded down, after a margin of 1e-6 for sums of floats (some 1e-9)."""
        return int(self.bound + 1e-6)


def design_master(problem: Problem, effort: Effort | None = None) -> Master:
    """A master on the grid of designs, whose work `effort` counts."""
    return Master(problem, DESIGN_GRID, effort=effort)


def bound_choices(problem: Problem, master: Master, effort: Effort, known: int) -> list[CornerBound]:
    """Bound every choice of corners, best first; `known` is a bound that holds already.

    Parameters
    ----------
    problem, master
        The problem, and its master on the grid of designs, whose columns are added to.
    effort
        Looked at between the choices; where it is over, what is left has the known bound.
    known
        A bound on the value of every layout, for example the value of everything that can be stored at all.
    """
    found: list[CornerBound] = []
    number = len(master.groups)
    steps, smooth = max(STEPS, number), SMOOTHER if number > MANY else SMOOTH
    for owners in corner_choices(problem):
        master.set_state(open_state(problem, owners))
        relaxed = master.generate(steps if not effort.is_over else 1, smooth=smooth)
        # the design grid's own bound says whether a finer look can lower the printed one
        is_known = int(relaxed.bound + 1e-6) >= known or effort.is_over
        found.append(CornerBound(owners, float(known) if is_known else relaxed.bound, _in_millionths(relaxed.at)))
    return _sorted(_on_fine_grid(problem, found, known, effort))


def _in_millionths(prices: Floats) -> Floats:
    return np.round(prices * MILLION) / MILLION


def _sorted(choices: list[CornerBound]) -> list[CornerBound]:
    return sorted(choices, key=lambda choice: (-choice.bound, choice.owners))


def _on_fine_grid(problem: Problem, choices: list[CornerBound], known: int, effort: Effort) -> list[CornerBound]:
    """The choices bounded on the fine grid at the prices that they have."""
    if all(choice.bound == known for choice in choices):
        return choices
    fine = Master(problem, FINE, effort=effort)
    found: list[CornerBound] = []
    for choice in choices:
        if choice.bound < known:
            fine.set_state(open_state(problem, choice.owners))
            choice = replace(choice, bound=min(float(known), fine.price(choice.prices)))
        found.append(choice)
    return found


def priced_again(
    problem: Problem, master: Master, choices: list[CornerBound], known: int, effort: Effort
) -> list[CornerBound]:
    """Choices with prices of the fine grid, best first, as far as they hold up the bound and the effort lasts.

    Parameters
    ----------
    problem, master
        The problem, and its master on the grid of designs, whose bays are a start.
    choices
        All choices of corners as they are bounded so far.
    known
        A value that is stored already: a choice that cannot exceed it is left alone.
    effort
        Looked at between the steps.
    """
    fine = Master(problem, FINE, effort=effort)
    fine.take_over(master.columns)
    found, most = list(choices), known
    for index, choice in sorted(enumerate(choices), key=lambda item: -item[1].bound):
        if choice.bound < problem.value_of_all and choice.whole > most:
            found[index] = _priced_again(problem, fine, choice, effort)
        most = max(most, found[index].whole)
    return _sorted(found)


def _priced_again(problem: Problem, fine: Master, choice: CornerBound, effort: Effort) -> CornerBound:
    """A choice with prices of the fine grid, until a lower bound is out of reach or would be the same whole number."""
    fine.set_state(open_state(problem, choice.owners))
    for _ in range(AGAIN):
        if effort.is_over:
            break
        relaxed = fine.generate(AT_ONCE, best=(choice.bound, choice.prices))
        choice = replace(choice, bound=relaxed.bound, prices=relaxed.at)
        if relaxed.bound - relaxed.value < NEARLY or choice.whole <= int(relaxed.value):
            break
    exact = _in_millionths(choice.prices)
    return replace(choice, bound=fine.price(exact), prices=exact)
