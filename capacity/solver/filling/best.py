"""The best filling of openings that stand, by patterns first: quick, and mostly with its proof.

The relaxation over the contents of each opening bounds every filling and gives good patterns; an integer program over
these, bettered by repacking (`greedy`), is the start for the exact filling by CP-SAT, which is spared where the
bound is reached already.
"""

from __future__ import annotations

from collections import Counter

from capacity.layout.layout import Bay, Layout, site_of, value_of
from capacity.layout.problem import Problem
from capacity.solver.effort import Effort
from capacity.solver.filling.exact import FILLING_WORK, Filling, fill
from capacity.solver.filling.greedy import repack
from capacity.solver.filling.patterns import NODES, HandingOut, choose_patterns
from capacity.solver.relaxation.columns import OpeningType, State
from capacity.solver.relaxation.master import Master
from capacity.solver.relaxation.value_bound import DESIGN_GRID, FINE

PATIENCE = 2000
"""Steps without better contents after which the quick repacking ends, unless told otherwise."""

STEPS = 30
"""Pricing steps for the relaxation of a filling."""


def refill(
    problem: Problem, layout: Layout, effort: Effort, work: float = FILLING_WORK, patience: int = PATIENCE
) -> Filling:
    """Fill the openings of a layout as well as possible; what it holds is the first answer and never made worse.

    Parameters
    ----------
    problem, layout
        The facts and the openings.
    effort, work
        How much work CP-SAT may do for each kind of opening; 0: no integer program is solved, whatever is open.
    patience
        Steps without better contents after which the quick repacking ends.
    """
    most = problem.value_of_all
    # out of time, only the short try of CP-SAT is left: the relaxation of a large household takes seconds
    if problem.rules.owners_apart or value_of(problem, layout) == most or effort.is_stopping:
        return fill(problem, layout, effort, work)
    counted = Counter(_type(problem, w, bay, o) for w, _, o, bay, _ in layout.openings())
    state = State((), tuple(sorted(counted.items())))
    master = Master(problem, DESIGN_GRID, counted, effort, builds=False)
    master.set_state(state)
    relaxed = master.generate(STEPS)
    bound = most
    if int(relaxed.bound + 1e-6) < most and not effort.is_stopping:
        fine = Master(problem, FINE, counted, effort, builds=False)
        fine.set_state(state)
        bound = min(most, int(fine.price(relaxed.at) + 1e-6))
    patterns = choose_patterns(master, counted, effort, NODES if work and not effort.is_stopping else 0)
    hand_out = HandingOut(master)
    contents = {}
    for w, b, o, bay, _ in layout.openings():
        choice = patterns.get(_type(problem, w, bay, o))
        contents[(w, b, o)] = hand_out.next(choice.pop()) if choice else ()
    filled = layout.holding(contents)
    better = filled if value_of(problem, filled) > value_of(problem, layout) else layout
    better = repack(problem, better, max(1, round(patience * effort.factor)), effort)
    value = value_of(problem, better)
    if value == bound or not work:
        return Filling(better, value, bound)
    exact = fill(problem, better, effort, work)
    return Filling(exact.layout, exact.value, min(exact.bound, bound))


def _type(problem: Problem, run: int, bay: Bay, number: int) -> OpeningType:
    opening = bay.openings[number]
    return OpeningType(site_of(problem, run, bay, number), 0, opening.kind, opening.height, bay.width)
