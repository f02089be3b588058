"""All checks of a plan: will it hold, will it go in, can they reach it. No solver takes part.

A plan is checked from its own contents. Without a plan, what can be said of the stock, the lamps and the way in is
checked on the largest upright and the longest shelf and rod that the design may use.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pydantic import BaseModel, ConfigDict

from capacity.checks.cautions import cautions
from capacity.checks.check import Check, Filler, in_units
from capacity.checks.lamps import lamp_checks
from capacity.checks.plan_view import plan_checks
from capacity.checks.reach import reach_checks
from capacity.checks.room import fillers, room_checks
from capacity.checks.sag_and_bow import bearing_checks
from capacity.checks.way_in import carrying_checks, inside_depth
from capacity.closet.closet import Closet
from capacity.layout.layout import Layout
from capacity.layout.problem import Problem
from capacity.units import Units
from capacity.wardrobe.inventory import Inventory

if TYPE_CHECKING:
    import pandas as pd


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

    def to_frame(self) -> pd.DataFrame:
        """One row a check: name, wall, bay, opening, thing, computed and limit in `unit`, ratio, passed, source, cure.

        `bay` and `opening` are counted from 1 and are missing where a check speaks of more than one.
        """
        import pandas as pd

        rows = [
            {
                "check": check.name, **check.place.model_dump(), "computed": check.computed, "sense": check.sense,
                "limit": check.limit, "unit": check.unit, "ratio": check.ratio, "passed": check.passed,
                "source": check.source, "how_known": check.how_known,
                "cure": "" if check.cure is None else check.cure.sentence,
            }
            for check in self.checks
        ]  # fmt: skip
        return pd.DataFrame(rows).astype({"bay": "Int64", "opening": "Int64"}) if rows else pd.DataFrame()


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


def _not_checked(closet: Closet, inventory: Inventory) -> Iterator[str]:
    """What was left unchecked because the file does not say it, and what to write."""
    if closet.door is None:
        yield "the closet's door: write [door]"
    elif closet.door.faces is None:
        yield "door swing, depth for hangers and drawers at the door: write faces, left and distance in [door]"
    if closet.door is not None and inside_depth(closet) is None:
        yield "turning an upright inside the closet: write front, the depth inside, at its longest [[wall]]"
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
