"""The goals after the stored value: reach, room to spare (the capacity multiple), little panel, each keeping the last.

Where people are known, layouts of the same value are searched for one that puts things where they reach them
(`reach_search`), and what comes after is kept only where it costs no more in bending, stretching and steps.

A layout in which everything has a place is searched again with the counts scaled up: where q thousandths of every
pile fit at once, the multiple is q / 1000 at least. Among layouts that hold as much, one with less panel is kept.
Where something is left out, neither is pursued: there is no room to trade.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, replace

from capacity.layout.fit_rules import violations
from capacity.layout.layout import Layout, value_of, without_surplus
from capacity.layout.problem import Problem
from capacity.layout.reach_zones import Zone, inconvenience
from capacity.layout.sketches import finish_within_budget
from capacity.solver.effort import Effort
from capacity.solver.filling.exact import Filling
from capacity.solver.goals.reach_order import ease
from capacity.solver.goals.reach_search import Zoner, with_least_trouble
from capacity.solver.relaxation.reach_bound import least_inconvenience
from capacity.solver.relaxation.value_bound import bound_choices, design_master
from capacity.solver.search.design import Design
from capacity.solver.search.ruin_and_recreate import Recreator

AIMS = (1100, 1200, 1300, 1400, 1500, 1750, 2000, 2500, 3000)
"""Multiples aimed at, one after the other [thousandths]."""

PATIENCE, THRIFT = 200, 200
"""Steps without a better layout for each aim, and for less panel."""

REACH = 1000
"""Steps without a more convenient layout."""


@dataclass(frozen=True, slots=True)
class Pursued:
    """The filled layout, and the largest multiple that was not shown to be impossible [thousandths; None: unknown]."""

    filling: Filling
    multiple_bound: int | None


@dataclass(frozen=True, slots=True)
class Reached:
    """The design, its inconvenience, and a proven bound: no layout that stores as much has less."""

    design: Design
    inconvenience: int
    bound: int


def put_within_reach(problem: Problem, found: Design, zones: Mapping[str, Zone], effort: Effort) -> Reached:
    """A design that stores no less, with less bending, stretching and steps where one was found.

    Parameters
    ----------
    problem, found
        The facts, and the design to begin with.
    zones
        Zones of reach by the owner's name in lower case (`reach.zones_of`).
    effort
        The budget.
    """
    effort.report("putting things within reach", found.value, found.bound, problem.value_of_all)
    first = ease(problem, found.layout, zones, effort)
    bound = least_inconvenience(problem, zones, found.value, first.inconvenience, effort)
    zoner = Zoner(problem, random.Random(effort.seed), zones)
    tried = zoner.ease(first.layout, bound, _steps(REACH, effort), effort)
    value, broken = value_of(problem, tried), violations(problem, tried)
    if broken or value < found.value or value > found.bound:
        msg = f"putting things within reach spoiled the layout: {value}, {broken}"
        raise AssertionError(msg)
    if value == found.value and inconvenience(problem, tried, zones) >= first.inconvenience:
        tried = first.layout
    cost = inconvenience(problem, tried, zones)
    if cost < bound:
        msg = f"an inconvenience of {cost} refutes the bound of {bound}"
        raise AssertionError(msg)
    return Reached(replace(found, filling=Filling(tried, value, found.bound)), cost, bound)


def pursue(
    problem: Problem,
    found: Design,
    effort: Effort,
    prefers_plywood: bool = False,
    zones: Mapping[str, Zone] | None = None,
) -> Pursued:
    """Raise the multiple of a layout in which everything has a place, then lessen its panel area.

    Parameters
    ----------
    problem, found
        The facts, and the design whose value is kept.
    effort
        The budget.
    prefers_plywood
        Lessen the panel area first and leave the multiple as it comes.
    zones
        Zones of reach, where people are known: the inconvenience of the design is not exceeded.
    """
    if found.value < problem.value_of_all or not problem.things:
        return Pursued(found.filling, None)
    chance = random.Random(effort.seed)
    effort.report("making room to spare", found.value, found.bound, problem.value_of_all)
    layout, reached = found.layout, 1000
    if zones:
        return _pursue_within_reach(problem, found, effort, prefers_plywood, zones)
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


def _pursue_within_reach(
    problem: Problem, found: Design, effort: Effort, prefers_plywood: bool, zones: Mapping[str, Zone]
) -> Pursued:
    """As `pursue`, each step kept only where the household's own things are reached no less easily."""
    chance, most = random.Random(effort.seed), inconvenience(problem, found.layout, zones)

    def tried(more: Problem, layout: Layout, patience: int, is_thrifty: bool) -> tuple[Layout, Layout] | None:
        zoner = Zoner(more, chance, zones, has_extra_shelves=not prefers_plywood)
        made = zoner.ease(layout, 0, _steps(patience, effort), effort, is_thrifty)
        if value_of(more, made) < more.value_of_all:
            return None
        own = ease(problem, with_least_trouble(problem, made, zones), zones, effort)
        return (made, own.layout) if own.inconvenience <= most and not violations(problem, own.layout) else None

    layout, kept, reached = found.layout, found.layout, 1000
    for aim in () if prefers_plywood else AIMS:
        better = tried(scaled(problem, aim), layout, PATIENCE, is_thrifty=False)
        if better is None or effort.is_over:
            break
        layout, kept, reached = *better, aim
    better = tried(scaled(problem, reached), layout, THRIFT, is_thrifty=True)
    if better is not None:
        kept = better[1]
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
