"""One change tried: what has a place then, in a moment; and the plan of it, if it is kept."""

from __future__ import annotations

from typing import Literal

from capacity.checks.all_checks import check_layout
from capacity.closet.closet import Closet
from capacity.layout.changes import Change, ChangeError, changed
from capacity.layout.fit_rules import stored_value, violations
from capacity.layout.layout import Layout, panel_area
from capacity.layout.problem import Problem
from capacity.layout.reach_zones import inconvenience, zones_or_assumed
from capacity.makeover.plan import (
    MUST_GOAL,
    SHEETS_GOAL,
    CountsSheets,
    LeftOut,
    Plan,
    PlanGoal,
    PlanValue,
    plan_walls,
    planned_layout,
)
from capacity.solver.effort import Effort
from capacity.solver.filling.best import refill
from capacity.solver.filling.exact import Filling
from capacity.solver.filling.greedy import repack
from capacity.solver.goals.few_places import piles_in_several, places_of
from capacity.solver.goals.few_sizes import shelf_heights, sizes_of
from capacity.solver.planning import side_of
from capacity.units import PER_INCH, PER_MM
from capacity.wardrobe.inventory import Inventory

PATIENCE = 1000
"""Steps without better contents after which a change is taken as filled (our proposal: within half a second)."""


IN_WORDS = {
    "low opening": "an opening would be too low",
    "narrow bay": "a bay would be too narrow",
    "long shelf": "a shelf would be too long without a support",
    "long rod": "a rod would be too long without a bracket",
    "blocked": "it would stand where nothing may be built",
    "bay that must be": "this bay must stay where it is, by your wish",
    "opening that must be": "this opening must stay as it is, by your wish",
    "high drawer": "a drawer would be higher than anybody looks into",
    "low drawer": "a drawer would be too low for its slides",
    "rod depth": "the bay is not deep enough for a rod",
    "budget": "it takes more board than the budget buys",
}
"""What a rule of a layout means for somebody who tries a change."""


def can_be_built(problem: Problem, layout: Layout, change: Change) -> bool:
    """Whether a change breaks no fit rule, whatever then has no place."""
    try:
        _built(problem, layout, change)
    except ChangeError:
        return False
    return True


def _built(problem: Problem, layout: Layout, change: Change) -> Layout:
    """The layout with one change, its contents where they were."""
    bare = changed(problem, layout, change)
    broken = violations(problem, bare.emptied())
    if broken:
        raise ChangeError(IN_WORDS.get(broken[0].rule, f"{broken[0].place}: {broken[0].rule}"))
    return bare


def tried(problem: Problem, layout: Layout, change: Change) -> Layout:
    """The layout with one change, filled again in a moment; other piles may move, and a longer search may store more.

    Raises
    ------
    ChangeError
        When it cannot be done, or breaks a fit rule.
    """
    bare = _with_what_fits(problem, _built(problem, layout, change))
    effort = Effort(seconds=0.5)
    if problem.rules.owners_apart:
        return refill(problem, bare, effort).layout
    return repack(problem, bare, PATIENCE, effort)


def _with_what_fits(problem: Problem, layout: Layout) -> Layout:
    """The layout without what no longer fits into its opening."""
    kept = {
        (w, b, o): opening.holds
        for w, b, o, _, opening in layout.openings()
        if not violations(problem, layout.holding({(w, b, o): opening.holds}))
    }
    return layout.holding(kept)


def plan_of(
    closet: Closet, inventory: Inventory, problem: Problem, plan: Plan, layout: Layout, sheets: CountsSheets
) -> Plan:
    """The plan with another layout, its figures, checks and goals; the bound over all layouts stays true."""
    whole = stored_value(problem, layout)
    first, value = problem.told(whole)
    before = problem.told(stored_value(problem, planned_layout(plan, problem)))[0]
    # a bound beside so many of the pieces that must have a place says nothing of layouts with fewer or more of them
    bound = plan.value.bound if first == before else plan.value.all
    status: Literal["optimal", "feasible"] = "optimal" if value == bound else "feasible"
    after = side_of(closet, problem, Filling(layout, whole, whole), Effort(factor=0.1))
    after = after.model_copy(update={"value_bound": bound})
    report = check_layout(closet, inventory, problem, layout)
    measured = {
        MUST_GOAL: (first, None),
        "stored value": (value, None),
        "capacity multiple": (after.capacity_multiple, None),
        **_measured(closet, problem, layout),
    }
    bought = sheets(closet, problem, layout, None)
    reasons = {item.row: item.reason for item in plan.left_out}
    stored = layout.stored()
    changes: dict[str, object] = {
        "walls": plan_walls(layout, closet.units),
        "after": after,
        "value": PlanValue(stored=value, all=plan.value.all, bound=bound, status=status),
        "goals": tuple(
            bought.goal()
            if goal.name == SHEETS_GOAL and bought is not None
            else _goal(
                goal.model_copy(update={"bound": bound}) if goal.name == "stored value" else goal, *measured[goal.name]
            )
            for goal in plan.goals
            if goal.name != SHEETS_GOAL or bought is not None
        ),
        "left_out": tuple(
            LeftOut(row=thing.row, count=thing.count - stored[thing.row], reason=reasons.get(thing.row, "no room"))
            for thing in problem.things
            if stored[thing.row] < thing.count
        ),
        "checks": report.checks,
        "fillers": report.fillers,
    }
    return plan.model_copy(update=changes)


def _measured(closet: Closet, problem: Problem, layout: Layout) -> dict[str, tuple[float, str | None]]:
    """Value and note, by goal, of what a layout shows by itself."""
    heights, unit = shelf_heights(problem, layout), PER_INCH if closet.units == "in" else PER_MM
    sizes = f"{len(heights)} clear heights for {sum(heights.values())} shelf openings, and the widths of bays"
    return {
        "places": (places_of(layout), f"{piles_in_several(layout)} piles lie in several places"),
        "inconvenience": (inconvenience(problem, layout, zones_or_assumed(closet.person)), None),
        "sizes": (sizes_of(problem, layout), sizes),
        "panel area": (round(panel_area(problem, layout) / unit**2, 3), None),
    }


def _goal(goal: PlanGoal, value: float, note: str | None) -> PlanGoal:
    """A goal with its value for another layout, without what was proven of the old openings only."""
    bound = goal.bound if goal.bound_of == "all layouts" else None
    is_best = bound is not None and bound == value
    return goal.model_copy(
        update={
            "value": value,
            "bound": bound,
            "bound_of": goal.bound_of if bound is not None else None,
            "status": "optimal" if is_best else "feasible",
            "note": goal.note if note is None else note,
        }
    )
