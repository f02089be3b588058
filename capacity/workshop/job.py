"""One building job: a plan held against the folder, its parts, and how each material is cut."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from capacity.checks.all_checks import Report, check_layout
from capacity.closet.closet import FILE_NAME, Closet
from capacity.drawings.elevation import Side
from capacity.drawings.labels import length_words
from capacity.errors import Fault, InputError
from capacity.layout.fit_rules import filling_violations, violations
from capacity.layout.layout import Layout
from capacity.layout.problem import Problem
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.plan import FILE_NAME as PLAN_NAME
from capacity.makeover.plan import Plan, layouts_of
from capacity.solver.effort import Effort
from capacity.units import Ticks, to_number
from capacity.wardrobe.inventory import Inventory
from capacity.workshop.build_record import revision_of
from capacity.workshop.cutting.cutting_plan import CuttingPlan
from capacity.workshop.cutting.least_cost import DoesNotFitError, cut
from capacity.workshop.parts.carpentry import Carcass, make_parts
from capacity.workshop.parts.parts import SHEETS, STICKS, Part, StockKind
from capacity.workshop.parts.reassembly import differences
from capacity.workshop.stock import (
    StockSizes,
    band_pieces,
    pieces_of,
    saw_of,
    sheet_choice,
    size_words,
    stick_choice,
    stick_saw,
    sticks_of,
)

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True, slots=True)
class CutList:
    """How one material is cut, out of which sizes."""

    choice: StockSizes
    plan: CuttingPlan


@dataclass(frozen=True, slots=True)
class Job:
    """Everything that the packet and the tables are written from.

    `sheets` and `sticks` hold only what is needed; `revision` is a short digest of plan and closet; `report` is what
    the checks say of what is built.
    """

    closet: Closet
    inventory: Inventory
    plan: Plan
    problem: Problem
    before: Side
    after: Side
    carcass: Carcass
    sheets: dict[StockKind, CutList]
    sticks: dict[str, CutList]
    revision: str
    report: Report

    @property
    def layout(self) -> Layout:
        """What is built."""
        return self.after.layout

    def to_frame(self) -> pd.DataFrame:
        """The cut list: one row a part, lengths in the folder's units, `bay` 0 for what belongs to a whole wall."""
        import pandas as pd

        units = self.closet.units
        return pd.DataFrame(
            [
                {
                    "label": part.label, "part": part.role.value, "material": part.material.value,
                    "length": to_number(Ticks(part.length), units), "width": to_number(Ticks(part.width), units),
                    "thickness": to_number(Ticks(part.thickness), units), "has_grain": part.has_grain,
                    "banded_long": part.long_bands, "banded_short": part.short_bands,
                    "wall": self.problem.runs[part.wall - 1].name, "bay": part.bay, "note": part.note,
                }
                for part in self.carcass.parts
            ]
        )  # fmt: skip


def prepare(closet: Closet, inventory: Inventory, plan: Plan, effort: Effort, closet_text: str = "") -> Job:
    """Check the plan against the folder, make the parts, put them together again, and cut them.

    Parameters
    ----------
    closet, inventory, plan
        The three files of the folder.
    effort
        Work allowed for cutting; it is told each step, as so many done of so many.
    closet_text
        The text of the closet file, for the revision.

    Raises
    ------
    InputError
        When the plan does not keep to the rules for the folder as it is now, or a part fits on no sheet.
    AssertionError
        When the parts, put together, are not the plan, which is a defect of this program.
    """
    problem = size_problem(closet, inventory)
    before, after = _sides(problem, plan)
    if not any(wall.bays for wall in after.layout.walls):
        problem_words = "has no bays, so there is nothing to build; a larger budget or more room would give some"
        raise InputError([Fault(PLAN_NAME, "", problem_words)])
    carcass = make_parts(closet, problem, after.layout)
    wrong = list(differences(problem, after.layout, carcass.parts, closet))
    if wrong:
        msg = "the parts are not the plan: " + "; ".join(f"{place}: {what}" for place, what in wrong)
        raise AssertionError(msg)
    boards = [material for material in SHEETS if carcass.sheet_parts(material)]
    bars = [material for material in STICKS if carcass.sheet_parts(material)]
    steps = len(boards) + 2
    sheets: dict[StockKind, CutList] = {}
    for number, material in enumerate(boards):
        effort.report(f"laying out the {material.value} sheets", number, steps, steps)
        sheets[material] = _cut_sheets(closet, material, carcass.sheet_parts(material), effort)
    effort.report("laying out rods and edges", steps - 2, steps, steps)
    sticks = {bar.value: _cut_sticks(closet, bar.value, carcass.sheet_parts(bar), effort) for bar in bars}
    if any(part.band_lengths for part in carcass.parts):
        sticks["edge band"] = _cut_sticks(closet, "edge band", carcass.parts, effort)
    effort.report("drawing and printing", steps - 1, steps, steps)
    revision = revision_of(plan, closet_text)
    report = check_layout(closet, inventory, problem, after.layout)
    return Job(closet, inventory, plan, problem, before, after, carcass, sheets, sticks, revision, report)


def _sides(problem: Problem, plan: Plan) -> tuple[Side, Side]:
    """Both sides as layouts; refused unless they keep to every rule and to the count for the folder as it is."""
    names = [run.name for run in problem.runs]
    faults = list(_faults(problem, plan, names))
    if faults:
        raise InputError([Fault(PLAN_NAME, "", f"{faults[0]}; run `capacity fit` again")])
    today, planned = layouts_of(plan, problem)
    before, after = Side("Before", today, False), Side("After", planned, True)
    broken = [*violations(problem, after.layout), *filling_violations(problem, before.layout)]
    if broken:
        raise InputError([Fault(PLAN_NAME, "", f"does not fit this folder ({broken[0]}); run `capacity fit` again")])
    return before, after


def _faults(problem: Problem, plan: Plan, names: list[str]) -> Iterator[str]:
    if [wall.name for wall in plan.walls] != names or [wall.name for wall in plan.before.walls] != names:
        yield "was found for other walls"
        return
    if len(plan.corners) != len(problem.corners):
        yield "was found for other corners"
        return
    counted = {thing.row: thing.count for thing in problem.things}
    places: dict[int, int] = {item.row: item.count for item in plan.left_out}
    for wall in plan.walls:
        for bay in wall.bays:
            for opening in bay.openings:
                for item in opening.holds:
                    places[item.row] = places.get(item.row, 0) + item.count
    if places != counted:
        rows = sorted(row for row in counted.keys() | places.keys() if counted.get(row) != places.get(row))
        yield f"was found for another count (row {rows[0]} of the inventory)"


def _cut_sheets(closet: Closet, material: StockKind, parts: tuple[Part, ...], effort: Effort) -> CutList:
    choice = sheet_choice(closet, material)
    try:
        return CutList(choice, cut(pieces_of(parts), choice.stocks, saw_of(closet), effort))
    except DoesNotFitError as error:
        part = next(part for part in parts if part.label == error.label)
        size = size_words(part.width, part.length, closet.units)
        sold = ", ".join(size_words(stock.width, stock.length, closet.units) for stock in choice.stocks)
        trim = length_words(closet.construction.trim, closet.units)
        grain = ", and must lie with the grain" if part.has_grain else ""
        problem = (
            f"the {part.role.value} {part.label} is {size} and fits on no sheet ({sold}, less {trim} at every edge"
            f"{grain}); add a larger [[sheet]], or a lower `top` or shallower wall"
        )
        raise InputError([Fault(FILE_NAME, f"sheets for the {material.value}", problem)]) from None


def _cut_sticks(closet: Closet, use: str, parts: tuple[Part, ...], effort: Effort) -> CutList:
    choice = stick_choice(closet, use)
    pieces = tuple(band_pieces(parts)) if use == "edge band" else sticks_of(parts)
    try:
        return CutList(choice, cut(pieces, choice.stocks, stick_saw(closet, use), effort))
    except DoesNotFitError as error:
        longest = max(piece.length for piece in pieces)
        words = length_words(longest, closet.units)
        problem = f"{error.label} takes {words}, longer than any length sold; add a longer [[stick]]"
        raise InputError([Fault(FILE_NAME, f"lengths of {use}", problem)]) from None
