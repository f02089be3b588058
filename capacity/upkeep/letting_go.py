"""Letting go: a list of what has no place, owner by owner, with a column for where it goes; then out of the count.

The list says for each pile how many of how many pieces have no place. What is taken out leaves the rest as the pile's
count, so that a list that is taken twice takes nothing more.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import astuple, dataclass, fields, replace
from pathlib import Path

from capacity.disk.files import read_text, write_text
from capacity.disk.folder_lock import one_program
from capacity.disk.versions import write_version
from capacity.errors import Fault, InputError
from capacity.layout.layout import Layout
from capacity.units import Units, shorten
from capacity.wardrobe.inventory import FILE_NAME as INVENTORY_NAME
from capacity.wardrobe.inventory import Inventory, format_inventory, read_inventory, with_cells
from capacity.wardrobe.inventory_edits import escaped
from capacity.wardrobe.piles import Pile

FILE_NAME = "letting-go.csv"
GOES = ("keep elsewhere", "give", "sell")
MOST_BYTES = 2_000_000


@dataclass(frozen=True, slots=True)
class Going:
    """A line of the list: a pile as the count names it, so many pieces of how many, their value, and where they go."""

    owner: str
    what: str
    size: str
    label: str
    use: str
    pieces: int
    of: int
    value: int
    goes: str
    row: int

    @property
    def pile(self) -> tuple[int, str, str, str, str]:
        """What tells the pile from all others."""
        return self.row, self.owner, self.what, self.size, self.label

    def going_to(self, where: str) -> Going:
        """The same line with where it goes."""
        return replace(self, goes=where)


COLUMNS = tuple(field.name for field in fields(Going))


def going(inventory: Inventory, layout: Layout) -> tuple[Going, ...]:
    """What has no place, the owner first who gives up most; nobody has said yet where it goes."""
    stored = layout.stored()
    found = [_line(pile, pile.count - stored[pile.row]) for pile in inventory.piles if pile.count > stored[pile.row]]
    worth: dict[str, int] = {}
    for one in found:
        worth[one.owner] = worth.get(one.owner, 0) + one.value
    return tuple(sorted(found, key=lambda one: (-worth[one.owner], one.owner, one.row)))


def _line(pile: Pile, pieces: int) -> Going:
    owner, size, label = (escaped(text) for text in (pile.owner or "", pile.size, pile.label))
    value = pile.use.value_per_piece * pieces
    return Going(owner, pile.kind, size, label, pile.use.value, pieces, pile.count, value, "", pile.row)


def write_going(folder: Path, found: tuple[Going, ...]) -> tuple[Going, ...]:
    """Write the list; what was answered before for the same pile is kept. Returns what was written.

    Raises
    ------
    InputError
        When the list that is there cannot be read, or it cannot be written.
    """
    old = read_going(folder) if (folder / FILE_NAME).exists() else ()
    answers = {(one.pile, one.of): one.goes for one in old}
    lines = tuple(one if one.goes else one.going_to(answers.get((one.pile, one.of), "")) for one in found)
    write_text(folder / FILE_NAME, format_going(lines))
    return lines


def format_going(lines: tuple[Going, ...]) -> str:
    """The text of the list."""
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows([COLUMNS, *map(astuple, lines)])
    return text.getvalue()


def read_going(folder: Path) -> tuple[Going, ...]:
    """The list as somebody has filled it in.

    Raises
    ------
    InputError
        With every fault of it.
    """
    return parse_going(read_text(folder / FILE_NAME, MOST_BYTES))


def parse_going(text: str) -> tuple[Going, ...]:
    """The text of a list; see `read_going`."""
    text = text.removeprefix("\ufeff")
    first = text.split("\n", 1)[0]
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=max(",;\t", key=first.count), strict=True))
    except csv.Error as error:
        raise InputError([Fault(FILE_NAME, "", f"cannot be read as CSV: {error}")]) from None
    if not rows or tuple(rows[0][: len(COLUMNS)]) != COLUMNS:
        raise InputError([Fault(FILE_NAME, "", f"the first row must be {','.join(COLUMNS)}; write the list anew")])
    found: list[Going] = []
    faults: list[Fault] = []
    for number, row in enumerate(rows[1:], start=2):
        if any(cell.strip() for cell in row):
            line, problem = _read(row)
            faults += [Fault(FILE_NAME, f"row {number}", problem)] if problem else []
            found += [line] if line else []
    if faults:
        raise InputError(faults[:100])
    return tuple(found)


def _read(row: list[str]) -> tuple[Going | None, str]:
    """A line, or what is wrong with it."""
    cells = [" ".join(cell.split()) for cell in [*row, *[""] * len(COLUMNS)][: len(COLUMNS)]]
    named = dict(zip(COLUMNS, cells, strict=True))
    numbers = [named[name] for name in ("pieces", "of", "value", "row")]
    if not all(cell.isascii() and cell.isdigit() and len(cell) <= 7 for cell in numbers):
        return None, "pieces, of, value and row are whole numbers"
    pieces, of, value, place = map(int, numbers)
    if pieces > of:
        return None, f"{pieces} pieces of {of} cannot go"
    goes = named["goes"].casefold()
    if goes and goes not in GOES:
        return None, f'column goes, "{shorten(goes)}" is not one of {", ".join(GOES)}, or empty for what stays'
    owner, what, size, label, use = (named[name] for name in COLUMNS[:5])
    return Going(owner, what, size, label, use, pieces, of, value, goes, place), ""


def take_out(folder: Path, units: Units) -> tuple[Going, ...]:
    """Take what goes out of the count, which can be undone; returns the lines that were taken now.

    Raises
    ------
    InputError
        When the list has faults, or does not fit the count any more; nothing is written then.
    """
    with one_program(folder):
        inventory = read_inventory(folder / INVENTORY_NAME, units)
        lines = [one for one in read_going(folder) if one.goes and one.pieces]
        faults: list[Fault] = []
        taken: list[Going] = []
        piles = {_line(pile, 0).pile: pile for pile in inventory.piles}
        for one in lines:
            pile = piles.get(one.pile)
            if pile is None or pile.count not in (one.of, one.of - one.pieces):
                now = "is not there any more" if pile is None else f"has {pile.count} pieces now, not {one.of}"
                named = " ".join(filter(None, (one.owner, one.what, one.size)))
                problem = f"row {one.row} of the count, {named}, {now}; write the list anew"
                faults.append(Fault(FILE_NAME, "", problem))
            elif pile.count == one.of:
                taken.append(one)
        if faults:
            raise InputError(faults)
        if taken:
            changes = {(one.row, "count"): str(one.of - one.pieces) for one in taken}
            write_version(folder / INVENTORY_NAME, format_inventory(with_cells(inventory, changes, units)))
    return tuple(taken)


def going_in_words(lines: tuple[Going, ...]) -> Iterator[str]:
    """One line an owner."""
    for owner in dict.fromkeys(one.owner for one in lines):
        mine = [one for one in lines if one.owner == owner]
        pieces = ", ".join(
            f"{one.pieces} of {one.of} {one.what}{f' {one.size}' if one.size else ''}"
            f"{f' ({one.goes})' if one.goes else ''}"
            for one in mine
        )
        yield f"{owner or 'Shared'} (value {sum(one.value for one in mine)}): {pieces}."
