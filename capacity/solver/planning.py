"""From a makeover folder to a plan: read, size, fill today's closet, design, verify, score both alike."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from capacity.checks.all_checks import check_layout
from capacity.closet.closet import FILE_NAME, Closet
from capacity.errors import Fault, InputError
from capacity.layout.drawer_rule import DRAWER_RULE
from capacity.layout.fit_rules import filling_violations, stored_value, violations
from capacity.layout.layout import Layout, panel_area
from capacity.layout.problem import Problem, Thing
from capacity.layout.reach_zones import ASSUMED_WORDS, BELONGS_RULE, Zone, inconvenience, zones_or_assumed
from capacity.makeover.budget import BUDGET_RULE, affordable_panel
from capacity.makeover.files_to_problem import size_problem, standing_layout, todays_layout
from capacity.makeover.plan import (
    MUST_GOAL,
    CountsSheets,
    KindMultiple,
    LeftOut,
    Plan,
    PlanAlternative,
    PlanBoards,
    PlanChange,
    PlanGoal,
    Planned,
    PlanSide,
    PlanValue,
    SheetsToBuy,
    plan_walls,
    planned_layout,
)
from capacity.solver.effort import Effort
from capacity.solver.filling.best import refill
from capacity.solver.filling.capacity_multiple import Multiple, multiples
from capacity.solver.filling.exact import Filling
from capacity.solver.goals.few_places import forced_places, piles_in_several, places_of
from capacity.solver.goals.few_sizes import shelf_heights, sizes_of
from capacity.solver.goals.later_goals import Pursued, pursue
from capacity.solver.goals.roomier_layout import Aimed, aim
from capacity.solver.goals.what_it_takes import what_would_it_take
from capacity.solver.proof.certificate import certificate
from capacity.solver.search.design import TODAY_WORK, BudgetTooSmallError, Design
from capacity.solver.search.design_on_rows import MustTooLargeError, design_on_rows
from capacity.units import PER_INCH, PER_MM
from capacity.wardrobe.inventory import Inventory

STORED_GOAL = "stored value"
"""The goal that is proven."""


def make_plan(
    closet: Closet,
    inventory: Inventory,
    effort: Effort,
    inputs: str = "",
    start: Planned | None = None,
    sheets: CountsSheets | None = None,
) -> Plan:
    """Find a layout, prove what can be proven, and score it and today's closet by the same rules.

    Parameters
    ----------
    closet, inventory, effort
        The household's files as read, and the budget of the search.
    inputs
        The digest of the files, to be kept in the plan.
    start
        A plan to go on from, perhaps made for another count or other walls.
    sheets
        What counts the sheets that a layout takes (`workshop.whole_sheets`); without it that goal is not in the plan.

    Raises
    ------
    InputError
        When the budget does not buy the boards of the bays that must be, or what must have a place is larger than any
        opening.
    AssertionError
        When the checker disagrees with the search, which is a defect of this program.
    """
    problem = replace(size_problem(closet, inventory), most_panel=affordable_panel(closet))
    effort.told = lambda stored, bound: (problem.told(stored)[1], problem.told_bound(stored, bound)[1])
    found = _designed(closet, problem, effort, start)
    effort.answered()
    zones = zones_or_assumed(closet.person)
    pursued = pursue(found, zones, effort, closet.wishes.prefer == "plywood", problem.rules)
    found = pursued.design
    before = _today(closet, problem, found, effort)
    _refuse_broken(problem, found.filling, before)
    before_side = side_of(closet, _by_use(problem), before, effort)
    after_side = side_of(closet, problem, found.filling, effort)
    aimed = aim(found, round(1000 * after_side.capacity_multiple), effort)
    report = check_layout(closet, inventory, problem, found.layout)
    bought = None if sheets is None else sheets(closet, problem, found.layout, effort.seconds_left)
    goals = _goals(closet, problem, pursued, zones, after_side.capacity_multiple, bought)
    return Plan(
        units=closet.units,
        name=closet.name,
        inputs=inputs,
        corners=_corners(problem, found.layout),
        walls=plan_walls(found.layout, closet.units),
        left_out=_left_out(problem, found, found.filling),
        would_take=_would_take(problem, found, effort),
        value=_plan_value(problem, goals),
        goals=goals,
        before=before_side,
        after=after_side,
        drawer_rule=DRAWER_RULE,
        rule_of_thumb=problem.told(found.comparator.value)[1],
        rule_of_thumb_bound=problem.told_bound(found.comparator.value, found.comparator.bound)[1],
        alternative=None if aimed is None else _alternative(closet, problem, found, aimed),
        boards=_boards(closet, panel_area(problem, found.layout), problem.most_panel),
        checks=report.checks,
        fillers=report.fillers,
        proof=certificate(problem, found.parts, found.choices, found.able, found.bound, effort),
        seconds=round(effort.seconds, 3),
        seed=effort.seed,
        stopped_early=effort.was_cut_short,
    )


def _plan_value(problem: Problem, goals: Sequence[PlanGoal]) -> PlanValue:
    """What is stored of all, by the goal that says it."""
    goal = next(goal for goal in goals if goal.name == STORED_GOAL)
    everything = problem.told(problem.value_of_all)[1]
    return PlanValue(stored=int(goal.value), all=everything, bound=int(goal.bound or 0), status=goal.status)


def _corners(problem: Problem, layout: Layout) -> tuple[str, ...]:
    """The wall that owns each corner."""
    owners = zip(problem.corners, layout.owners, strict=True)
    return tuple(problem.runs[corner.ends if first else corner.starts].name for corner, first in owners)


def _designed(closet: Closet, problem: Problem, effort: Effort, start: Planned | None) -> Design:
    """The layout of the most value, from a plan that was made before or from what stands where bays are kept."""
    known = None if start is None else planned_layout(start, problem)
    if known is not None and [wall.name for wall in known.walls] != [run.name for run in problem.runs]:
        known = None
    if known is None and closet.wishes.keep_bays and closet.built:
        known = refill(problem.as_given, standing_layout(closet), effort).layout
    try:
        return design_on_rows(problem, effort, todays_layout(closet), known)
    except BudgetTooSmallError:
        words = "does not buy the board for the bays that must be; raise it or take bays out"
        raise InputError([Fault(FILE_NAME, "[wishes] budget", words)]) from None
    except MustTooLargeError as error:
        raise InputError(_too_large(problem.thing(row)) for row in error.rows) from None


def _by_use(problem: Problem) -> Problem:
    """The same with each piece worth what its use says, whatever must have a place."""
    if not problem.first:
        return problem
    return replace(problem, things=tuple(replace(item, value=item.by_use, first=0) for item in problem.things))


def _today(closet: Closet, problem: Problem, found: Design, effort: Effort) -> Filling:
    """Today's closet, filled by use alone, so that the gain is never flattered."""
    if not problem.first:
        return found.today
    return refill(_by_use(problem).as_given, todays_layout(closet), effort, TODAY_WORK)


def _refuse_broken(problem: Problem, after: Filling, before: Filling) -> None:
    """Have the checker look at both."""
    broken = [*violations(problem, after.layout), *filling_violations(problem, before.layout)]
    if broken or stored_value(problem, after.layout) != after.value:
        msg = "the checker refuses the plan: " + "; ".join(str(item) for item in broken)
        raise AssertionError(msg)


def _would_take(problem: Problem, found: Design, effort: Effort) -> tuple[PlanChange, ...]:
    """What single changes would store."""
    return tuple(
        PlanChange(
            change=change.words,
            stored=problem.told(change.stored)[1],
            bound=problem.told_bound(change.stored, change.bound)[1],
        )
        for change in what_would_it_take(found, effort, problem.rules)
    )


def _goals(
    closet: Closet,
    problem: Problem,
    pursued: Pursued,
    zones: Mapping[str, Zone],
    multiple: float,
    bought: SheetsToBuy | None,
) -> tuple[PlanGoal, ...]:
    """All goals in their order, each with how far it is from its bound."""
    found = pursued.design
    value = PlanGoal(
        name=STORED_GOAL,
        value=problem.told(found.value)[1],
        bound=problem.told_bound(found.value, found.bound)[1],
        status="optimal" if found.value == found.bound else "feasible",
        bound_of="all layouts",
    )
    # what is proven of layouts on rows of holes is not proven of those at free heights
    is_held = bool(problem.rules.usual_pitch and found.parts.rules.pitch)
    unit = PER_INCH if closet.units == "in" else PER_MM
    return (
        *_must_goal(problem, found),
        value,
        *_goals_of_filling(closet, problem, pursued, zones),
        *_later_goals(
            closet,
            multiple,
            None if is_held else pursued.multiple_bound,
            bought,
            panel_area(problem, found.layout) / unit**2,
        ),
    )


def _too_large(thing: Thing) -> Fault:
    words = f"row {thing.row} of the inventory, {thing.name}, is larger than any opening that could be built"
    return Fault(FILE_NAME, "[[wishes.must]]", f"{words}; measure it again, or take the wish out")


def _must_goal(problem: Problem, found: Design) -> Iterator[PlanGoal]:
    """What must have a place, where anything must: it goes before the stored value."""
    if problem.first:
        pieces, most = problem.told(found.value)[0], problem.told_bound(found.value, found.bound)[0]
        asked = problem.told(problem.value_of_all)[0]
        yield PlanGoal(
            name=MUST_GOAL,
            value=pieces,
            bound=most,
            status="optimal" if pieces == most else "feasible",
            bound_of="all layouts",
            note=f"of {asked} pieces",
        )


def _alternative(closet: Closet, problem: Problem, found: Design, aimed: Aimed) -> PlanAlternative:
    other = aimed.filling
    if broken := violations(problem, other.layout):
        raise AssertionError("; ".join(map(str, broken)))
    return PlanAlternative(
        value=problem.told(other.value)[1],
        stored=sum(other.layout.stored().values()),
        capacity_multiple=aimed.multiple / 1000,
        left_out=_left_out(problem, found, other),
        walls=plan_walls(other.layout, closet.units),
    )


def _boards(closet: Closet, area: int, most: int) -> PlanBoards | None:
    """What the boards cost by the estimate that limits the layout, where there is a budget."""
    if not most:
        return None
    budget = closet.wishes.budget
    return PlanBoards(
        currency=closet.prices.currency, budget=budget, estimate=round(budget * area / most, 2), rule=BUDGET_RULE
    )


def _goals_of_filling(
    closet: Closet, problem: Problem, pursued: Pursued, zones: Mapping[str, Zone]
) -> Iterator[PlanGoal]:
    """Places, inconvenience and sizes."""
    layout, whole = pursued.design.layout, pursued.design.value == problem.value_of_all
    places, forced = places_of(layout), forced_places(problem, layout.stored()) if whole else 0
    least = min(places, max(forced, pursued.gathered.least_places))
    yield PlanGoal(
        name="places",
        value=places,
        bound=least,
        status="optimal" if places == least else "feasible",
        bound_of="all layouts" if least == forced else "these openings and pieces",
        note=f"{piles_in_several(layout)} piles lie in several places",
    )
    cost = inconvenience(problem, layout, zones)
    least = min(cost, pursued.gathered.least_inconvenience)
    yield PlanGoal(
        name="inconvenience",
        value=cost,
        bound=least,
        status="optimal" if cost == least else "feasible",
        bound_of="all layouts" if least == 0 else "these openings and pieces",
        note=BELONGS_RULE if closet.person else f"{ASSUMED_WORDS}. {BELONGS_RULE}",
    )
    heights = shelf_heights(problem, layout)
    yield PlanGoal(
        name="sizes",
        value=sizes_of(problem, layout),
        bound=None,
        status="feasible",
        note=f"{len(heights)} clear heights for {sum(heights.values())} shelf openings, and the widths of bays",
    )


def _later_goals(
    closet: Closet, multiple: float, bound: int | None, bought: SheetsToBuy | None, area: float
) -> tuple[PlanGoal, ...]:
    """Room to spare, and what is bought, in the order of the wish; a bound that nobody has proven is null."""
    most = None if bound is None else max(bound / 1000, multiple)
    room = PlanGoal(
        name="capacity multiple", value=multiple, bound=most, status="optimal" if most == multiple else "feasible"
    )
    panel = PlanGoal(name="panel area", value=round(area, 3), bound=None, status="feasible")
    board = (panel,) if bought is None else (bought.goal(), panel)
    return (*board, room) if closet.wishes.prefer == "plywood" else (room, *board)


def side_of(closet: Closet, problem: Problem, filling: Filling, effort: Effort) -> PlanSide:
    """What a plan says of one side: what is stored in it, and how many times over there is room."""
    each = multiples(problem.as_given, filling.layout, effort)
    return PlanSide(
        value=problem.told(filling.value)[1],
        value_bound=problem.told_bound(filling.value, filling.bound)[1],
        capacity_multiple=min((item.low for item in each.values()), default=0) / 1000,
        capacity_multiple_at_most=min((item.high for item in each.values()), default=0) / 1000,
        multiples={kind.value: _kind_multiple(item) for kind, item in sorted(each.items())},
        stored=sum(filling.layout.stored().values()),
        pieces=sum(thing.count for thing in problem.things),
        walls=plan_walls(filling.layout, closet.units),
    )


def _kind_multiple(item: Multiple) -> KindMultiple:
    return KindMultiple(low=item.low / 1000, high=item.high / 1000, limited_by_row=item.limit)


def _left_out(problem: Problem, found: Design, after: Filling) -> tuple[LeftOut, ...]:
    stored = after.layout.stored()
    return tuple(
        LeftOut.of(problem, thing.row, thing.count - stored[thing.row], able)
        for thing, able in zip(problem.things, found.able, strict=True)
        if stored[thing.row] < thing.count
    )
