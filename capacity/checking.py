"""All checks of a plan: will it hold, will it go in, can they reach it. No solver takes part.

A plan is checked from its own contents. Without a plan, what can be said of the stock, the lamps and the way in is
checked on the largest upright and the longest shelf and rod that the design may use.
"""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import BaseModel, ConfigDict

from capacity.bearing import bearing_checks
from capacity.carrying import carrying_checks
from capacity.cautions import cautions
from capacity.checks import Check, Filler, Place, in_units, length_check, length_cure
from capacity.closet import Closet
from capacity.errors import Fault, InputError
from capacity.inventory import Inventory
from capacity.lamp import lamp_checks
from capacity.layout import Bay, Layout, Opening, WallLayout
from capacity.plan import FILE_NAME as PLAN_FILE
from capacity.plan import Plan, layouts_of
from capacity.planview import plan_checks
from capacity.problem import OpeningKind, Problem
from capacity.reaching import reach_checks
from capacity.room import fillers, room_checks
from capacity.sizing import size_problem
from capacity.strength import LOOKS_STRAIGHT_SOURCE, ROD_BOW_SOURCE, longest_rod, longest_shelf
from capacity.units import Units
from capacity.verify import violations


class CautionRecord(BaseModel):
    """One caution as it is written."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    topic: str
    words: str


class Report(BaseModel):
    """Everything that the checks say about a closet and its plan; longest shelf and rod are the design's limits."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    units: Units
    has_plan: bool
    longest_shelf: float
    longest_rod: float
    checks: tuple[Check, ...]
    fillers: tuple[Filler, ...]
    not_checked: tuple[str, ...]
    cautions: tuple[CautionRecord, ...]

    @property
    def short(self) -> tuple[Check, ...]:
        """The checks that fall short, the worst of each name first, in the order of the checks."""
        return tuple(check for check in self.checks if not check.passed)


def check_layout(closet: Closet, inventory: Inventory, problem: Problem, layout: Layout) -> Report:
    """All checks of a layout.

    Parameters
    ----------
    closet, inventory
        The user's files.
    problem
        What they pose; see `size_problem`.
    layout
        The layout with its contents.
    """
    checks = [
        *bearing_checks(closet, problem, inventory, layout),
        *room_checks(closet, problem, layout),
        *plan_checks(closet, problem, inventory, layout),
        *carrying_checks(closet, problem, layout),
        *reach_checks(closet, problem, inventory, layout),
        *lamp_checks(closet, layout),
    ]
    return Report(
        units=closet.units,
        has_plan=True,
        longest_shelf=in_units(problem.rules.max_shelf, closet.units),
        longest_rod=in_units(problem.rules.max_rod, closet.units),
        checks=tuple(checks),
        fillers=tuple(fillers(closet, problem, layout)),
        not_checked=tuple(_not_checked(closet, inventory)),
        cautions=_cautions(closet, problem, layout),
    )


def check_plan(closet: Closet, inventory: Inventory, plan: Plan) -> Report:
    """All checks of a plan that was read back.

    Raises
    ------
    InputError
        When the plan is not a layout of this closet, as after editing it by hand.
    """
    problem = size_problem(closet, inventory)
    layout = layouts_of(plan, problem)[1]
    broken = violations(problem, layout)
    if broken:
        problem_words = f"breaks the fit rules ({broken[0]}); run `capacity fit` again"
        raise InputError([Fault(PLAN_FILE, "", problem_words)])
    return check_layout(closet, inventory, problem, layout)


def check_without_plan(closet: Closet, inventory: Inventory) -> Report:
    """What can be checked before there is a plan: longest shelf and rod, lamps, and the parts that any plan has."""
    problem = size_problem(closet, inventory)
    empty = Layout(tuple(WallLayout(wall.name, ()) for wall in closet.wall), (True,) * len(problem.corners))
    rules = problem.rules
    bay = Bay(
        rules.panel,
        rules.min_bay,
        max(wall.depth for wall in closet.wall),
        (Opening(OpeningKind.SHELF, rules.base, problem.top - rules.panel - rules.base),),
    )
    deepest = max(range(len(closet.wall)), key=lambda index: closet.wall[index].depth)
    smallest = Layout(
        tuple(WallLayout(wall.name, (bay,) if index == deepest else ()) for index, wall in enumerate(closet.wall)),
        empty.owners,
    )
    checks = [
        *_limit_checks(closet, inventory, problem),
        *carrying_checks(closet, problem, smallest),
        *lamp_checks(closet, empty),
    ]
    missing = "no plan.json yet: shelves, rods, room, aisle and reach need one; run `capacity fit`"
    return Report(
        units=closet.units,
        has_plan=False,
        longest_shelf=in_units(problem.rules.max_shelf, closet.units),
        longest_rod=in_units(problem.rules.max_rod, closet.units),
        checks=tuple(checks),
        fillers=(),
        not_checked=(missing, *_not_checked(closet, inventory)),
        cautions=_cautions(closet, problem, empty),
    )


def _limit_checks(closet: Closet, inventory: Inventory, problem: Problem) -> Iterator[Check]:
    """The longest shelf and rod that a design may have, against what the stock allows."""
    depths, deep = [wall.depth for wall in closet.wall], problem.rules.rows_deep
    shelf = longest_shelf(closet.panel, depths, inventory.piles, deep, problem.rules.max_shelf)
    rod = longest_rod(closet.rod, inventory.piles, problem.rules.max_rod)
    for name, setting, asked, allowed, source in (
        ("longest shelf that a plan may have", "max_shelf", problem.rules.max_shelf, shelf, LOOKS_STRAIGHT_SOURCE),
        ("longest rod that a plan may have", "max_rod", problem.rules.max_rod, rod, ROD_BOW_SOURCE),
    ):
        yield length_check(
            closet.units,
            name,
            Place(),
            asked,
            allowed,
            "at most",
            source,
            "computed",
            "under the heaviest of these piles, whatever the layout",
            length_cure(
                closet.units,
                action="computed limit",
                sentence=f"take {setting} out of [wishes]: the design then uses what the stock allows",
                settings={f"wishes.{setting}": None},
                computed=allowed,
                limit=allowed,
                passed=allowed >= problem.rules.min_bay,
            ),
        )


def _not_checked(closet: Closet, inventory: Inventory) -> Iterator[str]:
    """What was left unchecked because the file does not say it, and what to write."""
    if closet.door is None:
        yield "the closet's door: write [door]"
    elif closet.door.faces is None:
        yield "door swing, depth for hangers and drawers at the door: write faces, left and distance in [door]"
    if not closet.way:
        yield "the way into the room: write [[way]]"
    if closet.room is None:
        yield "the room in front, taken as high as the closet and wide enough: write [room]"
    if not closet.lamp:
        yield "lamps: write [[lamp]]"
    if not closet.person:
        yield "reach: write [[person]]"
    known = {person.name.casefold() for person in closet.person}
    strangers = [owner for owner in inventory.owners if owner.casefold() not in known]
    if closet.person and strangers:
        yield f"reach of {', '.join(strangers)}: write a [[person]] of that name"


def _cautions(closet: Closet, problem: Problem, layout: Layout) -> tuple[CautionRecord, ...]:
    return tuple(CautionRecord(topic=item.topic, words=item.words) for item in cautions(closet, problem, layout))
