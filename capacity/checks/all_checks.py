"""All checks of a plan: will it hold, will it go in, can they reach it. No solver takes part.

A plan is checked from its own contents. Without a plan, what can be said of the stock, the lamps and the way in is
checked on the largest upright and the longest shelf and rod that the design may use.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pydantic import BaseModel, ConfigDict

from capacity.checks.cautions import cautions
from capacity.checks.check import Check, Filler, in_units
from capacity.checks.lamps import lamp_checks
from capacity.checks.out_of_reach import reach_checks
from capacity.checks.plan_view import plan_checks
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
        not_checked=tuple(item.in_the_file for item in unchecked(closet, inventory)),
        cautions=caution_records(closet, problem, layout),
    )


@dataclass(frozen=True, slots=True)
class Unchecked:
    """One thing: what it is, what to write into the file, and as a whole sentence for the page."""

    what: str
    to_write: str
    on_the_page: str

    @property
    def in_the_file(self) -> str:
        """What was not checked, and what to write."""
        return f"{self.what}: write {self.to_write}"


def unchecked(closet: Closet, inventory: Inventory) -> Iterator[Unchecked]:
    """Everything that the file leaves open, in the order of the checks."""
    if closet.door is None:
        yield Unchecked(
            "the closet's door", "[door]",
            "Nothing is known of the closet's door, so nothing is held against it: add it under Door of the closet.",
        )  # fmt: skip
    elif closet.door.faces is None:
        yield Unchecked(
            "door swing, depth for hangers and drawers at the door", "faces, left and distance in [door]",
            "Whether the door swings free, and hangers and drawers clear it, is not checked: say where the door is, "
            "under Door of the closet.",
        )  # fmt: skip
    if closet.door is not None and inside_depth(closet) is None:
        yield Unchecked(
            "turning an upright inside the closet", "front, the depth inside, at its longest [[wall]]",
            "Whether an upright can be turned inside the closet is not checked: enter the depth of the closet at "
            "its longest wall.",
        )  # fmt: skip
    if not closet.way:
        yield Unchecked(
            "the way into the room", "[[way]]",
            "Whether everything gets into the room is not checked: enter doors, stairs and corners under Way in.",
        )  # fmt: skip
    if closet.room is None:
        yield Unchecked(
            "the room in front, taken as high as the closet and wide enough", "[room]",
            "The room in front is taken to be wide enough and as high as the closet: measure it under Room in front.",
        )  # fmt: skip
    if not closet.lamp:
        yield Unchecked(
            "lamps", "[[lamp]]", "Whether things keep clear of a lamp is not checked: enter lamps under Lamps."
        )
    if not closet.person:
        yield Unchecked(
            "reach", "[[person]]",
            "Whether everybody reaches what they use is not checked: enter how tall they are, under People.",
        )  # fmt: skip
    known = {person.name.casefold() for person in closet.person}
    strangers = [owner for owner in inventory.owners if owner.casefold() not in known]
    if closet.person and strangers:
        names = ", ".join(strangers)
        yield Unchecked(
            f"reach of {names}", "a [[person]] of that name",
            f"What {names} can reach is not checked: enter how tall they are, under People.",
        )  # fmt: skip


def caution_records(closet: Closet, problem: Problem, layout: Layout) -> tuple[CautionRecord, ...]:
    """The cautions that apply to a closet and its layout, as they are written."""
    return tuple(CautionRecord(topic=item.topic, words=item.words) for item in cautions(closet, problem, layout))
