"""What `capacity fit` found: the record that becomes `plan.json`, and whether one that was read back is still true."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Literal, Protocol, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from capacity.checks.check import Check, Filler
from capacity.closet.closet import Closet
from capacity.disk.files import read_text, write_text
from capacity.errors import Fault, InputError
from capacity.layout.drawer_rule import DRAWER_RULE
from capacity.layout.fit_rules import filling_violations, stored_value, violations
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind, Problem
from capacity.makeover.files_to_problem import size_problem
from capacity.units import LONGEST, Ticks, Units, from_number, to_number
from capacity.wardrobe.inventory import Inventory

FILE_NAME = "plan.json"
MOST_BYTES = 20_000_000
MOST_FAULTS = 8
"""So many faults of a plan are said at most."""

PLACE, SIZE = 50, 26
"""What one place more counts, and one size more, so that one number compares what people live with and what is built
[inconvenience]; our proposal."""

EXCHANGE_RULE = (
    f"Stored value is kept whatever the later goals ask for. These may be exchanged: a place more for {PLACE} less of "
    f"inconvenience, {SIZE} more of inconvenience for a size less. Where a closet cannot stand on rows of holes as a "
    "whole, a bay stands on them where that costs neither inconvenience nor a size."
)
"""What of an earlier goal may go for a later one."""


MUST_GOAL = "what must have a place"
"""The goal before all others, where something must."""

SHEETS_GOAL = "sheets"
"""The last goal, whole sheets of board to buy; between layouts that take as many stands the area of board."""


class _Record(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class PlanHolding(_Record):
    """Pieces of one data row of the inventory in one opening."""

    row: int
    count: int
    turned: bool


class PlanOpening(_Record):
    """One opening; lengths in the plan's units."""

    kind: Literal["shelf", "hang", "drawer"]
    bottom: float
    height: float
    holds: tuple[PlanHolding, ...]


class PlanBay(_Record):
    """One bay; lengths in the plan's units."""

    left: float
    width: float
    depth: float
    openings: tuple[PlanOpening, ...]


class PlanWall(_Record):
    """One wall."""

    name: str
    bays: tuple[PlanBay, ...]


class LeftOut(_Record):
    """Pieces that have no place."""

    row: int
    count: int
    reason: Literal[
        "no room", "no room within the budget", "no room in the bays that are kept", "no room with owners apart",
        "larger than any opening", "larger than any opening where it may be",
    ]  # fmt: skip

    @classmethod
    def of(cls, problem: Problem, row: int, count: int, has_opening: bool) -> Self:
        """So many pieces of a row; `has_opening`: one piece of it would fit into some opening where it may be."""
        if not has_opening:
            is_kept_off = any(row in run.barred for run in problem.runs)
            words = "larger than any opening" + " where it may be" * is_kept_off
        elif problem.most_panel:
            words = "no room within the budget"
        elif problem.keeps_bays:
            words = "no room in the bays that are kept"
        else:
            words = "no room" + " with owners apart" * problem.rules.owners_apart
        return cls.model_validate({"row": row, "count": count, "reason": words})


class PlanChange(_Record):
    """What a change to the closet would store: a search's answer, and the proven most."""

    change: str
    stored: int
    bound: int


class PlanValue(_Record):
    """The first goal."""

    stored: int
    all: int
    bound: int
    status: Literal["optimal", "feasible"]


class PlanGoal(_Record):
    """One goal with its value, proven bound and status; a bound that nobody has proven is null.

    `bound_of` says what the bound was proven of: of all layouts, of all ways to fill the openings of this one with the
    same pieces, or of all ways to cut its parts. `note` says what else the value stands on.
    """

    name: str
    value: float
    bound: float | None
    status: Literal["optimal", "feasible"]
    bound_of: Literal["all layouts", "these openings and pieces", "these parts"] | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class SheetsToBuy:
    """Whole sheets of board for uprights and shelves, and the fewest that are proven for the parts of a layout."""

    number: int
    least: int

    def goal(self) -> PlanGoal:
        """The goal of a plan that they are."""
        return PlanGoal(
            name=SHEETS_GOAL,
            value=self.number,
            bound=self.least,
            status="optimal" if self.number == self.least else "feasible",
            bound_of="these parts",
            note="board for uprights and shelves; what backs and drawers take comes on top",
        )


class CountsSheets(Protocol):
    """Whatever knows how the parts of a layout are cut."""

    def __call__(self, closet: Closet, problem: Problem, layout: Layout, seconds: float | None) -> SheetsToBuy | None:
        """Sheets for a layout, looked for no longer than that; None where a part fits on no sheet."""


class PlanBoards(_Record):
    """What the boards cost by the estimate that limits the layout, in the folder's currency."""

    currency: str
    budget: float
    estimate: float
    rule: str


class PlanAlternative(_Record):
    """Another layout, which gives up at most a hundredth of the value for room for 0.3 of every pile more, at least."""

    value: int
    stored: int
    capacity_multiple: float
    left_out: tuple[LeftOut, ...]
    walls: tuple[PlanWall, ...]


class KindMultiple(_Record):
    """The capacity multiple of one kind of opening; an interval when a test was not decided."""

    low: float
    high: float
    limited_by_row: int | None


class PlanSide(_Record):
    """Before or after: what the closet stores when filled as well as possible."""

    value: int
    value_bound: int
    capacity_multiple: float
    capacity_multiple_at_most: float
    multiples: dict[str, KindMultiple]
    stored: int
    pieces: int
    walls: tuple[PlanWall, ...]


class Plan(_Record):
    """The whole answer."""

    schema_name: Annotated[Literal["capacity.plan/1"], Field(alias="schema")] = "capacity.plan/1"
    units: Units
    name: str
    inputs: str
    corners: tuple[str, ...]
    walls: tuple[PlanWall, ...]
    left_out: tuple[LeftOut, ...]
    would_take: tuple[PlanChange, ...] = ()
    value: PlanValue
    goals: tuple[PlanGoal, ...]
    exchange: str = EXCHANGE_RULE
    before: PlanSide
    after: PlanSide
    rule_of_thumb: int
    rule_of_thumb_bound: int
    boards: PlanBoards | None = None
    alternative: PlanAlternative | None = None
    checks: tuple[Check, ...] = ()
    fillers: tuple[Filler, ...] = ()
    drawer_rule: str = DRAWER_RULE
    proof: dict[str, object] | None = None
    seconds: float
    seed: int
    stopped_early: bool

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, allow_inf_nan=False)

    @model_validator(mode="after")
    def _has_lengths(self) -> Self:
        """No wall is longer or higher than any length that can be written."""
        longest = to_number(Ticks(LONGEST), self.units)
        sides = (self.walls, self.before.walls, self.after.walls, self.alternative.walls if self.alternative else ())
        for bay in (bay for walls in sides for wall in walls for bay in wall.bays):
            lengths = [bay.left, bay.width, bay.depth, *(n for o in bay.openings for n in (o.bottom, o.height))]
            wrong = next((length for length in lengths if not 0 <= length <= longest), None)
            if wrong is not None:
                msg = f"{wrong:g} is no length of a closet"
                raise ValueError(msg)
        return self


class Planned(Protocol):
    """Whatever has a layout as a plan writes it."""

    @property
    def units(self) -> Units:
        """What its lengths mean."""

    @property
    def corners(self) -> tuple[str, ...]:
        """The owner of each corner."""

    @property
    def walls(self) -> tuple[PlanWall, ...]:
        """Its walls."""


def stored_by_row(walls: Iterable[PlanWall]) -> Counter[int]:
    """Pieces stored by data row."""
    pieces: Counter[int] = Counter()
    for wall in walls:
        for bay in wall.bays:
            for opening in bay.openings:
                for holding in opening.holds:
                    pieces[holding.row] += holding.count
    return pieces


def plan_walls(layout: Layout, units: Units) -> tuple[PlanWall, ...]:
    """The walls of a layout as the plan writes them."""

    def number(length: int) -> float:
        return to_number(Ticks(length), units)

    def holding(item: Holding) -> PlanHolding:
        return PlanHolding(row=item.row, count=item.count, turned=item.turned)

    return tuple(
        PlanWall(
            name=wall.name,
            bays=tuple(
                PlanBay(
                    left=number(bay.left),
                    width=number(bay.width),
                    depth=number(bay.depth),
                    openings=tuple(
                        PlanOpening(
                            kind=opening.kind.value,
                            bottom=number(opening.bottom),
                            height=number(opening.height),
                            holds=tuple(holding(item) for item in opening.holds),
                        )
                        for opening in bay.openings
                    ),
                )
                for bay in wall.bays
            ),
        )
        for wall in layout.walls
    )


def layout_of(walls: tuple[PlanWall, ...], units: Units, owners: tuple[bool, ...] = ()) -> Layout:
    """The layout that `plan_walls` wrote, in ticks again; `owners` says who owns each corner."""

    def ticks(number: float) -> int:
        return from_number(number, units)

    def opening(item: PlanOpening) -> Opening:
        holds = tuple(Holding(one.row, one.count, one.turned) for one in item.holds)
        return Opening(OpeningKind(item.kind), ticks(item.bottom), ticks(item.height), holds)

    def bay(item: PlanBay) -> Bay:
        return Bay(ticks(item.left), ticks(item.width), ticks(item.depth), tuple(map(opening, item.openings)))

    return Layout(tuple(WallLayout(wall.name, tuple(map(bay, wall.bays))) for wall in walls), owners)


def layouts_of(plan: Plan, problem: Problem) -> tuple[Layout, Layout]:
    """Today's closet and what is planned, in ticks, with the owners of the corners."""
    first = tuple(True for _ in problem.corners)
    return layout_of(plan.before.walls, plan.units, first), planned_layout(plan, problem)


def planned_layout(plan: Planned, problem: Problem) -> Layout:
    """What is planned, in ticks, with the owners of the corners."""
    names = [problem.runs[corner.ends].name for corner in problem.corners]
    owners = tuple(owner == name for owner, name in zip(plan.corners, names, strict=False))
    return layout_of(plan.walls, plan.units, owners)


def format_plan(plan: Plan) -> str:
    """The text of `plan.json`."""
    return json.dumps(plan.model_dump(mode="json", by_alias=True), indent=1, ensure_ascii=False) + "\n"


def write_plan(plan: Plan, path: Path) -> None:
    """Write the plan, whole or not at all."""
    write_text(path, format_plan(plan))


def read_plan(path: Path) -> Plan:
    """Read a plan back.

    Raises
    ------
    InputError
        When there is none, or it is not a plan of this schema.
    """
    try:
        return Plan.model_validate_json(read_text(path, MOST_BYTES))
    except ValidationError as error:
        item = error.errors(include_url=False)[0]
        where = ", ".join(str(part) for part in item["loc"])
        problem = f"is not a plan of this version ({item['msg']}); run `capacity fit` again"
        raise InputError([Fault(path.name, where, problem)]) from None


def require_sound(closet: Closet, inventory: Inventory, plan: Plan) -> None:
    """Refuse a plan that a hand edit made untrue: whose layouts break a rule, or whose figures are not theirs.

    Raises
    ------
    InputError
        One fault for each thing that is wrong, a few at most.
    """
    problem = size_problem(closet, inventory)
    wrong = [*_rules_broken(plan, problem)] or [*_figures_wrong(plan, problem, inventory)]
    if wrong:
        raise InputError(
            Fault(FILE_NAME, place, f"{words}; run `capacity fit` again") for place, words in wrong[:MOST_FAULTS]
        )


def _rules_broken(plan: Plan, problem: Problem) -> Iterator[tuple[str, str]]:
    """Each place at which a layout of a plan breaks a fit rule, and which."""
    today, layout = layouts_of(plan, problem)
    for where, broken in (("", violations(problem, layout)), ("before, ", filling_violations(problem, today))):
        for place, rule in dict.fromkeys((one.place, one.rule) for one in broken):
            yield f"{where}{place}", f'the layout breaks the rule "{rule}" there'


def _figures_wrong(plan: Plan, problem: Problem, inventory: Inventory) -> Iterator[tuple[str, str]]:
    """Each figure of a plan that is not that of its layouts."""
    today, layout = layouts_of(plan, problem)
    held, value = layout.stored(), plan.value
    out = Counter({thing.row: thing.count - held[thing.row] for thing in problem.things})
    said = Counter[int]()
    for item in plan.left_out:
        said[item.row] += item.count
    worth = problem.told(stored_value(problem, layout))[1]
    for place, stands, is_so in (
        ("value, stored", value.stored, worth),
        ("value, all", value.all, problem.told(problem.value_of_all)[1]),
        ("after, value", plan.after.value, worth),
        ("after, stored", plan.after.stored, sum(held.values())),
        ("after, pieces", plan.after.pieces, sum(thing.count for thing in problem.things)),
        ("before, value", plan.before.value, problem.told(stored_value(problem, today))[1]),
        ("before, stored", plan.before.stored, sum(today.stored().values())),
    ):
        if stands != is_so:
            yield place, f"it says {stands}, and it is {is_so}"
    if plan.after.walls != plan.walls:
        yield "after, walls", "they are not the walls of the plan"
    if +said != +out:
        yield "left_out", "it is not what has no place in the layout"
    if not value.stored <= value.bound <= value.all or (value.status == "optimal") != (value.stored == value.bound):
        yield "value", f"{value.stored} stored and a bound of {value.bound} of {value.all} are not {value.status}"
    limits = {each.limited_by_row for side in (plan.before, plan.after) for each in side.multiples.values()}
    for row in sorted(limits - {None} - {pile.row for pile in inventory.piles}, key=str):
        yield "multiples, limited_by_row", f"row {row} is no row of the inventory"
