"""The best layout of a search that has not ended, on disk: what is left when a search is broken off in whatever way.

`capacity fit --keep-going` goes on from it. A search that ends takes its own away; one that stores more stays.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from capacity.closet.closet import Closet
from capacity.disk.files import HIDDEN, MOST_BYTES, read_text, take_away, write_text
from capacity.errors import InputError
from capacity.layout.layout import Layout
from capacity.makeover.plan import FILE_NAME as PLAN_NAME
from capacity.makeover.plan import Plan, PlanWall, plan_walls, read_plan
from capacity.units import Units

FILE_NAME = "best.json"


class BestSoFar(BaseModel):
    """A layout with what it holds, its value, and the digest of the files that it was found for."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, allow_inf_nan=False)

    schema_name: Annotated[Literal["capacity.best/1"], Field(alias="schema")] = "capacity.best/1"
    units: Units
    inputs: str
    stored: int
    corners: tuple[str, ...]
    walls: tuple[PlanWall, ...]


def read_best(folder: Path, inputs: str) -> BestSoFar | None:
    """The best layout that a search for these inputs has left; None where there is none that can be read."""
    try:
        best = BestSoFar.model_validate_json(read_text(_path(folder), MOST_BYTES))
    except (InputError, ValidationError, OSError):
        return None
    return best if best.inputs == inputs else None


def keeper(folder: Path, closet: Closet, inputs: str) -> Callable[[Layout, int], None]:
    """What keeps the best layout of a search, where none that stores as much is kept already; it never fails."""
    known = read_best(folder, inputs)
    corners = [(wall.name, wall.corner) for wall in closet.wall if wall.corner]

    def keep(layout: Layout, value: int) -> None:
        if known is not None and known.stored >= value:
            return
        owners = tuple(first if owns else second for (first, second), owns in zip(corners, layout.owners, strict=True))
        best = BestSoFar(
            units=closet.units, inputs=inputs, stored=value, corners=owners, walls=plan_walls(layout, closet.units)
        )
        try:
            write_text(_path(folder), best.model_dump_json(by_alias=True) + "\n")
        except (InputError, OSError):  # a full disk must not end the search
            return

    return keep


def drop_best(folder: Path, plan: Plan) -> BestSoFar | None:
    """Take away what a search has left, unless it is worth more than the plan; gives it then."""
    best = read_best(folder, plan.inputs)
    if best is not None and best.stored > plan.value.stored:
        return best
    take_away(_path(folder))
    return None


def start_of(folder: Path, inputs: str) -> Plan | BestSoFar:
    """The layout to go on from: `plan.json`, or what a search that was broken off has left and stores more.

    Raises
    ------
    InputError
        When there is neither.
    """
    best = read_best(folder, inputs)
    try:
        plan = read_plan(folder / PLAN_NAME)
    except InputError:
        if best is None:
            raise
        return best
    is_better = best is not None and (plan.inputs != inputs or best.stored > plan.value.stored)
    return best if best is not None and is_better else plan


def _path(folder: Path) -> Path:
    return folder / HIDDEN / FILE_NAME
