"""The checks of a folder's plan, or of what can be checked without one."""

from __future__ import annotations

from collections.abc import Iterator

from capacity.checks.all_checks import Report, caution_records, check_layout, unchecked
from capacity.checks.check import Check, Place, Rule, in_units, length_check, length_cure
from capacity.checks.lamps import lamp_checks
from capacity.checks.sag_limits import LOOKS_STRAIGHT_SOURCE, ROD_BOW_SOURCE, longest_rod, longest_shelf
from capacity.checks.way_in import carrying_checks
from capacity.closet.closet import Closet
from capacity.layout.layout import Bay, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind, Problem
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.plan import Plan, layouts_of, require_sound
from capacity.wardrobe.inventory import Inventory


def check_plan(closet: Closet, inventory: Inventory, plan: Plan) -> Report:
    """All checks of a plan that was read back.

    Raises
    ------
    InputError
        When the plan is not a layout of this closet, as after editing it by hand.
    """
    require_sound(closet, inventory, plan)
    problem = size_problem(closet, inventory)
    return check_layout(closet, inventory, problem, layouts_of(plan, problem)[1])


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
        not_checked=(missing, *(item.in_the_file for item in unchecked(closet, inventory))),
        cautions=caution_records(closet, problem, empty),
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
            Rule(name, "at most", source, "computed", "under the heaviest of these piles, whatever the layout"),
            Place(),
            asked,
            allowed,
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
