"""The goals after the stored value: room to spare (the capacity multiple) and little panel, each keeping the last.

A layout in which everything has a place is searched again with the counts scaled up: where q thousandths of every
pile fit at once, the multiple is q / 1000 at least. Among layouts that hold as much, one with less panel is kept.
Where something is left out, neither is pursued: there is no room to trade.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace

from capacity.bounding import bound_choices, design_master
from capacity.building import finish_within_budget
from capacity.design import Design
from capacity.effort import Effort
from capacity.filling import Filling
from capacity.layout import value_of, without_surplus
from capacity.problem import Problem
from capacity.recreate import Recreator
from capacity.verify import violations

AIMS = (1100, 1200, 1300, 1400, 1500, 1750, 2000, 2500, 3000)
"""Multiples aimed at, one after the other [thousandths]."""

PATIENCE, THRIFT = 200, 200
"""Steps without a better layout for each aim, and for less panel."""


@dataclass(frozen=True, slots=True)
class Pursued:
    """The filled layout, and the largest multiple that was not shown to be impossible [thousandths; None: unknown]."""

    filling: Filling
    multiple_bound: int | None


def pursue(problem: Problem, found: Design, effort: Effort, prefers_plywood: bool = False) -> Pursued:
    """Raise the multiple of a layout in which everything has a place, then lessen its panel area.

    Parameters
    ----------
    problem, found
        The facts, and the design whose value is kept.
    effort
        The budget.
    prefers_plywood
        Lessen the panel area first and leave the multiple as it comes.
    """
    if found.value < problem.value_of_all or not problem.things:
        return Pursued(found.filling, None)
    chance = random.Random(effort.seed)
    effort.report("making room to spare", found.value, found.bound, problem.value_of_all)
    layout, reached = found.layout, 1000
    for aim in () if prefers_plywood else AIMS:
        more = scaled(problem, aim)
        tried = Recreator(more, chance).improve(layout, _steps(PATIENCE, effort), effort, more.value_of_all)
        if value_of(more, tried) < more.value_of_all or effort.is_over:
            break
        layout, reached = tried, aim
    held = scaled(problem, reached)
    thrifty = Recreator(held, chance).improve(layout, _steps(THRIFT, effort), effort, held.value_of_all, True)
    finished = finish_within_budget(held, thrifty, has_extra_shelves=not prefers_plywood)
    kept = without_surplus(problem, finished)
    if violations(problem, kept) or value_of(problem, kept) != found.value:
        msg = f"making room spoiled the layout: {violations(problem, kept)}"
        raise AssertionError(msg)
    return Pursued(Filling(kept, found.value, found.value), _multiple_bound(problem, reached, effort))


def scaled(problem: Problem, thousandths: int) -> Problem:
    """The same household with floor(q * count / 1000) of every pile, at least what there is."""
    things = tuple(
        replace(thing, count=max(thing.count, thousandths * thing.count // 1000)) for thing in problem.things
    )
    return replace(problem, things=things)


def _steps(number: int, effort: Effort) -> int:
    return max(1, round(number * effort.factor))


def _multiple_bound(problem: Problem, reached: int, effort: Effort) -> int | None:
    """The largest aim that the bound on the value of the scaled household does not refute, by bisection."""
    fitting, refuted = 0, len(AIMS)
    while fitting < refuted and not effort.is_over:
        middle = (fitting + refuted) // 2
        if AIMS[middle] <= reached:
            fitting = middle + 1
            continue
        more = scaled(problem, AIMS[middle])
        choices = bound_choices(more, design_master(more), effort, more.value_of_all)
        if effort.is_over:
            return None
        if choices[0].whole < more.value_of_all:
            refuted = middle
        else:
            fitting = middle + 1
    # what is one below a refuted aim was not refuted itself
    return AIMS[refuted] - 1 if refuted < len(AIMS) and fitting == refuted else None
