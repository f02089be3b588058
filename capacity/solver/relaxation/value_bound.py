"""The proven bound on what any layout can store, and the prices that give it.

The prices come from column generation on the grid of designs; the bound is the Lagrangian function at these prices
on a finer grid that rounds needs down, so that it holds for every layout whatever its widths. Corners are bounded
choice by choice; the largest of these bounds is the bound.
"""

from __future__ import annotations

from dataclasses import dataclass

from capacity.layout.problem import Problem
from capacity.solver.effort import Effort
from capacity.solver.relaxation.master import Master
from capacity.solver.relaxation.opening_knapsack import Floats, Grid
from capacity.solver.relaxation.structure import open_state

DESIGN_GRID = Grid(is_bound=False, step=4064)
"""The grid for designs: bay widths, upright included, in 1/2 in; finer ones were measured to gain next to nothing."""

FINE = Grid(is_bound=True, step=508, most=3000, tall=6000)
"""The grid for bounds: bay widths in 1/16 in."""

STEPS = 40
"""Pricing steps for each choice of corners; as many as there are groups where these are more."""

MANY, SMOOTH, SMOOTHER = 60, 0.5, 0.75
"""Above so many groups prices move more slowly: the share of the best prices so far that is kept in each step.

Measured on 200 groups: within 0.5 per cent of the final bound after 57 steps instead of 75.
"""


@dataclass(frozen=True, slots=True)
class CornerBound:
    """What is proven for one choice of corners: the bound as a number and its prices by group."""

    owners: tuple[bool, ...]
    bound: float
    prices: Floats

    @property
    def whole(self) -> int:
        """The bound on a value, which is a whole number."""
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
    fine: Master | None = None
    found: list[CornerBound] = []
    number = len(master.groups)
    steps, smooth = max(STEPS, number), SMOOTHER if number > MANY else SMOOTH
    for owners in problem.corner_choices():
        master.set_state(open_state(problem, owners))
        relaxed = master.generate(steps if not effort.is_over else 1, smooth=smooth)
        bound = float(known)
        if not effort.is_over and int(relaxed.bound + 1e-6) < known:
            # the design grid's own bound says whether a finer look can lower the printed one
            fine = fine or Master(problem, FINE, effort=effort)
            fine.set_state(open_state(problem, owners))
            bound = min(bound, fine.price(relaxed.at))
        found.append(CornerBound(owners, bound, relaxed.at))
    return sorted(found, key=lambda choice: (-choice.bound, choice.owners))
