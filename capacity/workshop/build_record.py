"""What `build/parts.json` says, read back: parts, sheets, shopping list, drawings, and for which plan they are."""

from __future__ import annotations

import hashlib
from pathlib import Path

from pydantic import BaseModel, ConfigDict, ValidationError

from capacity.closet.closet import FILE_NAME as CLOSET_NAME
from capacity.disk.files import read_text
from capacity.disk.folder_swap import MANIFEST, NAME, SCHEMA
from capacity.errors import Fault, InputError
from capacity.makeover.plan import Plan, format_plan
from capacity.units import Units

MOST_BYTES = 20_000_000


class _Record(BaseModel):
    # what else stands in the file is for other readers
    model_config = ConfigDict(frozen=True, extra="ignore")


class BuiltPart(_Record):
    """One part as it is cut; lengths in the folder's units, walls and bays from 1."""

    label: str
    part: str
    material: str
    length: float
    width: float
    thickness: float
    banded_long: int
    banded_short: int
    wall: int
    bay: int | None
    note: str


class BuiltPiece(_Record):
    """One part on a sheet or length."""

    label: str


class BuiltSheet(_Record):
    """One sheet or length with the parts that are cut from it."""

    stock: str
    placed: tuple[BuiltPiece, ...]


class BuiltCuts(_Record):
    """How one material is cut."""

    layouts: tuple[BuiltSheet, ...]


class BuiltLine(_Record):
    """One line of the shopping list; `price` of one pack and `total` are None when no price is written."""

    article: str
    needed: str
    how: str
    packs: int
    packed_as: str
    price: float | None
    total: float | None
    guess: tuple[float, float] | None


class BuiltShopping(_Record):
    """The lines and the sums, in `currency`."""

    currency: str
    lines: tuple[BuiltLine, ...]
    sum: float
    tax: float
    reserve: float
    total: float
    is_partial: bool
    budget: float
    is_over_budget: bool
    likely: tuple[float, float]
    in_words: str
    """What all of it costs, beside the budget: the sentence of the packet."""
    hangs: tuple[str, ...] = ()
    """What one sheet, or one roll of edge band, hangs on, a sentence each."""

    def money(self, amount: float) -> str:
        """An amount as printed: no thousands mark."""
        return f"{self.currency}{amount:.2f}"

    def dearest(self, number: int = 3) -> tuple[BuiltLine, ...]:
        """The lines that cost most, dearest first."""
        return tuple(sorted((line for line in self.lines if line.total), key=lambda line: -(line.total or 0)))[:number]


class BuiltDrawing(_Record):
    """A drawing: the name of its file without the ending, and a sentence on what it shows."""

    name: str
    shows: str


class BuildRecord(_Record):
    """One packet; `revision` says which plan and closet it was made for, see `revision_of`."""

    units: Units
    name: str
    revision: str
    files: tuple[str, ...]
    drawings: tuple[BuiltDrawing, ...] = ()
    parts: tuple[BuiltPart, ...]
    remarks: tuple[str, ...]
    sheets: dict[str, BuiltCuts]
    sticks: dict[str, BuiltCuts]
    shopping: BuiltShopping

    @property
    def sheet_count(self) -> int:
        """Sheets of every material."""
        return sum(len(cuts.layouts) for cuts in self.sheets.values())

    @property
    def sheets_by_name(self) -> dict[str, BuiltSheet]:
        """Every sheet by the name of its diagram."""
        return {
            sheet_name(material, number): sheet
            for material, cuts in self.sheets.items()
            for number, sheet in enumerate(cuts.layouts, 1)
        }

    def part(self, label: str) -> BuiltPart:
        """The part of a label.

        Raises
        ------
        KeyError
            When there is none.
        """
        for part in self.parts:
            if part.label == label:
                return part
        raise KeyError(label)


def read_build(folder: Path) -> BuildRecord | None:
    """The packet of a makeover folder, None when there is none.

    Raises
    ------
    InputError
        When it cannot be read, or is of another version.
    """
    path = folder / NAME / MANIFEST
    if not path.exists():
        return None
    place = f"{NAME}/{MANIFEST}"
    try:
        text = read_text(path, MOST_BYTES)
    except InputError as error:
        raise InputError([Fault(place, "", f"{error.faults[0].problem}, or make the packet again")]) from None
    if f'"{SCHEMA}"' not in text[:200]:
        raise InputError([Fault(place, "schema", f"is not {SCHEMA}; make the packet again")])
    try:
        return BuildRecord.model_validate_json(text)
    except ValidationError as error:
        item = error.errors(include_url=False)[0]
        where = ", ".join(str(part) for part in item["loc"])
        raise InputError([Fault(place, where, f"cannot be read ({item['msg']}); make the packet again")]) from None


def revision_of(plan: Plan, closet_text: str) -> str:
    """A short digest of a plan and the text of the closet file: the same as long as the same is built."""
    timeless = format_plan(plan.model_copy(update={"seconds": 0.0}))
    return hashlib.sha256((timeless + closet_text).encode()).hexdigest()[:8]


def current_revision(plan: Plan, folder: Path) -> str:
    """The `revision_of` a plan and the closet file as it stands in its folder; empty where that cannot be read."""
    try:
        return revision_of(plan, read_text(folder / CLOSET_NAME, MOST_BYTES))
    except InputError:
        return ""


def sheet_name(material: str, number: int) -> str:
    """The file name of a sheet's diagram."""
    return f"sheet-{material.replace(' ', '-')}-{number}"
