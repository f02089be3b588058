"""How high in its opening a rod hangs; that hems and hangers have room there is a rule of `fit_rules`."""

from __future__ import annotations

from capacity.layout.layout import Opening
from capacity.layout.problem import Problem
from capacity.units import inches

LIFT = inches(3)
"""Clear over a clothes pole, so that hangers lift off it: building-types handbook (published, second hand) [ticks]."""

MOST_OVER = LIFT + inches(1)
"""No rod is set lower than for hangers over a rod of 2 in [ticks]."""

LEAST_OVER = inches(2)
"""No rod that is wished for is nearer to what is above it, or no hook lifts off it (our proposal) [ticks]."""

SHARE = (15, 16)
"""How much of the hang allowance is over the rod's middle: 3 3/4 of the usual 4 in, the rest under the longest hem (our
proposal; enough for a rod of 1 1/2 in)."""


def over_rod(hang_allowance: int) -> int:
    """From the middle of a rod to what is above it [ticks]."""
    part, of = SHARE
    return min(hang_allowance * part // of, MOST_OVER)


def rod_height(problem: Problem, opening: Opening) -> int:
    """Height of the middle of an opening's rod over the floor [ticks]; the rest of the allowance is under the hem."""
    usual = opening.bottom + opening.height - over_rod(problem.rules.hang_allowance)
    return rod_wished(problem, opening) or usual


def rod_wished(problem: Problem, opening: Opening) -> int:
    """The height that is wished for the rod of an opening [ticks]; 0: none."""
    place = opening.kind, opening.bottom, opening.height
    wished = (item for bay in problem.fixed for item in bay.prescribed if item.rod)
    return next((item.rod for item in wished if (item.kind, item.bottom, item.height) == place), 0)
