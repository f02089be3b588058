"""What stands now, filled as well as possible: kept beside the folder's files, and how it differs from the plan."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from capacity.closet.closet import Closet
from capacity.disk.files import HIDDEN, make_hidden, read_text, write_text
from capacity.errors import Fault, InputError
from capacity.layout.layout import Layout
from capacity.layout.problem import Problem
from capacity.makeover.folder import fingerprint
from capacity.makeover.plan import FILE_NAME as PLAN_NAME
from capacity.makeover.plan import (
    MOST_BYTES,
    LeftOut,
    Plan,
    PlanValue,
    PlanWall,
    layout_of,
    planned_layout,
    read_plan,
    stored_by_row,
)
from capacity.units import Units
from capacity.wardrobe.inventory import Inventory

FILE_NAME = "refill.json"


class Refilled(BaseModel):
    """The best filling of the openings of `[[built]]`, or of `[[before]]` where nothing was built.

    `inputs` is `refill_digest` of what it was found for; `value` as in a plan, over all fillings of these openings.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)

    schema_name: Annotated[Literal["capacity.refill/1"], Field(alias="schema")] = "capacity.refill/1"
    units: Units
    inputs: str
    stands: Literal["built", "before"]
    walls: tuple[PlanWall, ...]
    left_out: tuple[LeftOut, ...]
    value: PlanValue
    stored: int
    pieces: int

    @property
    def pieces_of(self) -> Counter[int]:
        """Pieces stored by data row."""
        return stored_by_row(self.walls)


def refill_digest(folder: Path, closet: Closet) -> str:
    """A digest of all that a refill is found for: what a search reads, and the openings that stand."""
    standing = json.dumps([bay.model_dump(mode="json") for bay in closet.standing], sort_keys=True)
    return hashlib.sha256(f"{fingerprint(folder)}{standing}".encode()).hexdigest()


def write_refilled(folder: Path, refilled: Refilled) -> None:
    """Keep it in the hidden subfolder, whole or not at all.

    Raises
    ------
    InputError
        When it cannot be written.
    """
    try:
        make_hidden(folder)
    except OSError as error:
        raise InputError([Fault(FILE_NAME, "", f"cannot be written: {error.strerror}")]) from None
    write_text(folder / HIDDEN / FILE_NAME, format_refilled(refilled))


def format_refilled(refilled: Refilled) -> str:
    """The text of the file."""
    return json.dumps(refilled.model_dump(mode="json", by_alias=True), indent=1, ensure_ascii=False) + "\n"


def read_refilled(folder: Path, closet: Closet) -> Refilled | None:
    """What was kept last, None where there is nothing or it was found for something else."""
    found = _kept(folder)
    try:
        return found if found is not None and found.inputs == refill_digest(folder, closet) else None
    except OSError:
        return None


def _kept(folder: Path) -> Refilled | None:
    """What was kept last, for whatever it was found; None where nothing can be read."""
    try:
        return Refilled.model_validate_json(read_text(folder / HIDDEN / FILE_NAME, MOST_BYTES))
    except (InputError, ValidationError, OSError):
        return None


def last_contents(folder: Path, closet: Closet, problem: Problem) -> Layout | None:
    """What lay where when what stands was last filled, for whatever count that was; else what is planned; else None."""
    found = _kept(folder)
    try:
        if found is not None and found.stands == ("built" if closet.built else "before"):
            return layout_of(found.walls, found.units)
        return planned_layout(read_plan(folder / PLAN_NAME), problem) if closet.built else None
    except (ValueError, OSError):  # a length that is none, or no plan
        return None


def differences(plan: Plan, refilled: Refilled, inventory: Inventory) -> Iterator[str]:
    """Each pile of which more or fewer have a place than the plan says, in words."""
    planned, now = stored_by_row(plan.walls), refilled.pieces_of
    for pile in inventory.piles:
        if planned[pile.row] != now[pile.row]:
            yield f"{pile.name}: {now[pile.row]} of {pile.count} have a place, planned were {planned[pile.row]}"
