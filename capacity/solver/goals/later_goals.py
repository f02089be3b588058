"""The goals after the stored value, each pursued without losing what came before.

Few places for each pile, little inconvenience, few sizes to set a stop for, each at the price that the plan states. A
search over whole bays (`pile_search`) is followed by filling the same openings anew (`places`); then the heights and
widths that are left free are given out so that few of them differ (`sizes`).

The room to spare (the capacity multiple) is made beforehand, since it comes from the bays themselves: a household in
which everything has a place is searched again with the counts scaled up, and the roomiest layout found is where the
search for few places begins. Where something is left out there is no room to trade.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, replace

from capacity.layout.fit_rules import violations
from capacity.layout.layout import Layout, is_within_budget, panel_area, value_of, without_surplus
from capacity.layout.problem import Problem, Rules
from capacity.layout.reach_zones import Zone, inconvenience
from capacity.layout.rows_of_holes import on_rows
from capacity.layout.sketches import finish_within_budget
from capacity.makeover.plan import PLACE, SIZE
from capacity.solver.effort import Effort
from capacity.solver.filling.capacity_multiple import scaled
from capacity.solver.filling.exact import Filling
from capacity.solver.goals.few_places import Gathered, gathered, places_of
from capacity.solver.goals.few_sizes import in_few_sizes, sizes_of
from capacity.solver.goals.pile_search import SHEET_AREA, THRIFTY, PileSearch
from capacity.solver.goals.reach_order import ease
from capacity.solver.relaxation.value_bound import bound_choices, design_master
from capacity.solver.search.design import Design
from capacity.solver.search.ruin_and_recreate import Recreator

AIMS = (1100, 1200, 1300, 1400, 1500, 1750, 2000, 2500, 3000)
"""Multiples aimed at, one after the other [thousandths]."""

PATIENCE = 200
"""Steps without a better layout for each aim."""

SHARE = 2.0
"""Share of the work of the first goal for the search for few places, little inconvenience and few sizes."""

TURNS = 2
"""Times that sizes are given out and the openings filled anew, at most."""


@dataclass(frozen=True, slots=True)
class Pursued:
    """The design with the layout that was found, and what was proven on the way.

    `gathered` is the last filling of its openings, with bounds that hold for these openings. `multiple_bound` is the
    largest multiple that was not shown to be impossible [thousandths; None: unknown].
    """

    design: Design
    gathered: Gathered
    multiple_bound: int | None


def pursue(
    found: Design,
    zones: Mapping[str, Zone],
    effort: Effort,
    prefers_plywood: bool = False,
    rules: Rules | None = None,
) -> Pursued:
    """Keep the value of a layout and better it in all later goals, in their order.

    Parameters
    ----------
    found
        The design whose value is kept.
    zones
        Zones of reach by the owner's name in lower case (`reach_zones.zones_of`).
    effort
        The budget.
    prefers_plywood
        Leave the multiple as it comes, and put no shelf more in than what is stored needs.
    rules
        The rules that bounds are for, where the design is held to stricter ones (rows of holes); None: its own.
    """
    problem, layout, reached = found.parts, found.in_parts.layout, 1000
    has_all = found.value == problem.value_of_all
    if has_all and not prefers_plywood:
        layout, reached = _roomier(found, effort)
    layout = _in_few_places(problem, layout, zones, effort, prefers_plywood)
    last = gathered(problem, layout, zones, effort, rules)
    for _ in range(TURNS):  # what lies where leaves other sizes free, and these other contents
        sized = in_few_sizes(problem, last.layout, zones, effort, not prefers_plywood)
        if sized == last.layout:
            break
        last = gathered(problem, sized, zones, effort, rules)
    if violations(problem, last.layout) or not found.value <= value_of(problem, last.layout) <= found.bound:
        msg = f"the later goals spoiled the layout: {violations(problem, last.layout)}"
        raise AssertionError(msg)
    bound = _multiple_bound(problem, reached, effort) if has_all and problem.things else None
    layout = on_rows(
        problem, last.layout, lambda item: inconvenience(problem, item, zones) + SIZE * sizes_of(problem, item)
    )
    filling = Filling(layout, value_of(problem, last.layout), found.bound)
    return Pursued(replace(found, in_parts=filling), last, bound)


def _roomier(found: Design, effort: Effort) -> tuple[Layout, int]:
    """A layout of the same value with room for more of every pile, and for how much more [thousandths]."""
    problem = found.parts
    effort.report("making room to spare", found.value, found.bound, problem.value_of_all)
    chance, layout, reached = random.Random(effort.seed), found.in_parts.layout, 1000
    for aim in AIMS:
        if effort.is_stopping:
            break
        more = enlarged(problem, aim)
        tried = Recreator(more, chance).improve(
            layout, max(1, round(PATIENCE * effort.factor)), effort, more.value_of_all
        )
        if value_of(more, tried) < more.value_of_all or not is_within_budget(more, tried) or effort.is_over:
            break
        layout, reached = tried, aim
    kept = without_surplus(problem, finish_within_budget(problem, layout))
    if violations(problem, kept) or value_of(problem, kept) != found.value:
        msg = f"making room spoiled the layout: {violations(problem, kept)}"
        raise AssertionError(msg)
    return kept, reached


def _in_few_places(
    problem: Problem, layout: Layout, zones: Mapping[str, Zone], effort: Effort, prefers_plywood: bool
) -> Layout:
    """The same pieces in few places, at hand and at few heights, where the search finds such a layout."""
    value = value_of(problem, layout)
    effort.report("keeping piles together", value, problem.value_of_all, problem.value_of_all)
    best = ease(problem, finish_within_budget(problem, layout, not prefers_plywood), zones, effort).layout
    search = PileSearch(problem, best, zones, random.Random(effort.seed), prefers_plywood)
    with effort.share(SHARE):
        found = search.best(effort)
    tried = ease(problem, finish_within_budget(problem, found, not prefers_plywood), zones, effort).layout
    tried = in_few_sizes(problem, tried, zones, effort, not prefers_plywood, search.common)

    def cost(item: Layout) -> float:
        panel = THRIFTY * panel_area(problem, item) / SHEET_AREA if prefers_plywood else 0.0
        return PLACE * places_of(item) + inconvenience(problem, item, zones) + panel

    if value_of(problem, tried) < value or violations(problem, tried):
        return best
    return tried if cost(tried) < cost(best) else best


def enlarged(problem: Problem, thousandths: int) -> Problem:
    """The same household with floor(q * count / 1000) of every pile, at least what there is."""
    things = tuple(
        replace(thing, count=max(thing.count, count))
        for thing, count in zip(problem.things, scaled(problem, thousandths), strict=True)
    )
    return replace(problem, things=things)


def _multiple_bound(problem: Problem, reached: int, effort: Effort) -> int | None:
    """The largest aim that the bound on the value of the scaled household does not refute, from what was reached on."""
    fitting, refuted, ahead = sum(aim <= reached for aim in AIMS), len(AIMS), 1
    while fitting < refuted and not effort.is_over:
        # the next one is refuted most often: further ones only where it is not
        middle = min(fitting + ahead - 1, (fitting + refuted) // 2)
        more = enlarged(problem, AIMS[middle])
        choices = bound_choices(more, design_master(more), effort, more.value_of_all)
        if effort.is_over:
            return None
        if choices[0].whole < more.value_of_all:
            refuted = middle
        else:
            fitting, ahead = middle + 1, 2 * ahead
    # what is one below a refuted aim was not refuted itself
    return AIMS[refuted] - 1 if refuted < len(AIMS) and fitting == refuted else None
