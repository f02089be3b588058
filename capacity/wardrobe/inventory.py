"""What came out of the closet: `inventory.csv` and the piles in it."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING

from capacity.disk.files import read_text, write_text
from capacity.errors import Fault, InputError, visible
from capacity.units import Units, shorten
from capacity.wardrobe.kinds import Store
from capacity.wardrobe.piles import Pile
from capacity.wardrobe.row_reader import RowReader

if TYPE_CHECKING:
    import pandas as pd

FILE_NAME = "inventory.csv"
LENGTHS_LAID, LENGTHS_HUNG = ("width", "depth", "height"), ("drop", "rod")
COLUMNS = ("what", "count", "size", "owner", "use", "store", *LENGTHS_LAID, *LENGTHS_HUNG, "label", "season")
ALSO_CALLED = {
    "what": {"item", "items", "kind", "article"},
    "count": {"quantity", "qty", "number", "pieces"},
    "owner": {"owners", "person", "who", "belongs"},
    "use": {"frequency", "used", "often"},
    "season": {"seasons", "worn"},
    "store": {"storage", "stored"},
    "width": {"w", "wide", "breadth"},
    "depth": {"d", "deep"},
    "height": {"h", "high", "tall"},
}
"""What people call a column that is read under another name."""

MOST_BYTES, MOST_PILES, MOST_ROWS, MOST_COLUMNS, MOST_FAULTS = 2_000_000, 500, 20_000, 1_000, 100
"""What is read at most (chosen by us), so that a wrong file is refused at once."""


@dataclass(frozen=True, slots=True)
class Inventory:
    """All piles of one household, with the cells of the file as they stood.

    `header` is the header row as written; `cells` holds one tuple a data row, as long as the header.
    """

    header: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]
    piles: tuple[Pile, ...]

    def __repr__(self) -> str:
        owners = {pile.owner for pile in self.piles if pile.owner}
        return f"<Inventory: {len(self.piles)} piles, {self.pieces} pieces, {len(owners)} owners>"

    @property
    def pieces(self) -> int:
        """How many pieces there are in all."""
        return sum(pile.count for pile in self.piles)

    @property
    def owners(self) -> tuple[str, ...]:
        """Owners in the order in which they first appear."""
        return tuple(dict.fromkeys(pile.owner for pile in self.piles if pile.owner))

    def pile(self, row: int) -> Pile:
        """The pile of one data row; `KeyError` when the row holds none."""
        for pile in self.piles:
            if pile.row == row:
                return pile
        raise KeyError(row)

    @property
    def remarks(self) -> tuple[str, ...]:
        """A line for each column or length that is kept but not read and is probably meant to be.

        A column whose name is nearly that of one that is read; what is measured of a pile for another way of storing.
        """
        names = [" ".join(name.split()).casefold() for name in self.header]
        near = ((name, _nearly(name)) for name in dict.fromkeys(names) if name not in COLUMNS)
        columns = (
            f'column "{shorten(visible(name))}" is kept but not read; is "{meant}" meant?'
            for name, meant in near
            if meant is not None and meant not in names
        )
        lengths = (
            f'{shorten(visible(pile.name))}: "{column}" is kept but not read, {why}'
            for pile in self.piles
            for why, idle in _idle_columns(pile)
            for column in idle
            if column in names and self.cells[pile.row - 1][names.index(column)].strip()
        )
        return (*columns, *lengths)

    def to_frame(self) -> pd.DataFrame:
        """One pile a row, lengths in ticks, for a notebook."""
        import pandas as pd

        return pd.DataFrame(
            [
                {
                    "row": pile.row, "what": pile.kind, "count": pile.count, "size": pile.size,
                    "owner": pile.owner or "", "use": pile.use.value,
                    "store": " or ".join(store.value for store, _ in pile.ways),
                    "width": pile.shape.width, "depth": pile.shape.depth, "height": pile.shape.height,
                    "drop": pile.shape.drop, "rod": pile.shape.rod, "label": pile.label,
                    "season": ", ".join(pile.seasons),
                }
                for pile in self.piles
            ]
        )  # fmt: skip


def read_inventory(path: Path, units: Units) -> Inventory:
    """Read `inventory.csv`: UTF-8, comma, semicolon or tab, columns in any order.

    Parameters
    ----------
    path
        The file.
    units
        What a bare number in a length column means.

    Raises
    ------
    InputError
        With every fault of the file, each with its row as a spreadsheet shows it and its column.
    """
    return parse_inventory(read_text(path, MOST_BYTES), units, path.name)


def parse_inventory(text: str, units: Units, file: str = FILE_NAME) -> Inventory:
    """Read the text of an inventory; see `read_inventory`."""
    lines = list(_records(text, file))
    if not any(cell.strip() for _, record in lines for cell in record):
        raise InputError([Fault(file, "", "the file is empty; the first row must name the columns what, count")])
    first_row, header = lines[0]
    names = [" ".join(name.split()).casefold() for name in header]
    faults = list(_header_faults(names, first_row, file))
    if faults:
        raise InputError(faults)
    cells: list[tuple[str, ...]] = []
    piles: list[Pile] = []
    owners: dict[str, str] = {}
    for data_row, (sheet_row, record) in enumerate(lines[1:], start=1):
        while len(record) > len(header) and not record[-1].strip():
            record = record[:-1]
        padded = (*record, *[""] * (len(header) - len(record)))
        cells.append(padded)
        if not any(cell.strip() for cell in padded):
            continue
        row = RowReader(file, sheet_row, data_row, dict(zip(names, padded, strict=False)), units)
        if len(record) > len(header):
            row.fault("", f"has {len(record)} cells, but there are {len(header)} columns; quote a text with a comma")
        pile = row.pile(owners)
        faults += row.faults
        if pile is not None:
            piles.append(pile)
        if len(faults) > MOST_FAULTS:
            faults.append(Fault(file, "", f"has more faults than these {len(faults)}; put these right first"))
            break
    if not faults and len(piles) > MOST_PILES:
        faults.append(
            Fault(
                file, "", f"has {len(piles)} piles, at most {MOST_PILES} can be planned for; join rows that are alike"
            )
        )
    if not faults and not piles:
        faults.append(Fault(file, "", "holds no pile; write one pile a row, such as sneakers,4"))
    if not faults and not any(pile.count for pile in piles):
        faults.append(Fault(file, "", "every count is 0: there is nothing to store"))
    if faults:
        raise InputError(faults)
    return Inventory(tuple(header), tuple(cells), tuple(piles))


def _idle_columns(pile: Pile) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Why some lengths of a pile are not read, and their columns."""
    hangs = [store is Store.HANG for store, _ in pile.ways]
    if not any(hangs):
        yield "for it does not hang", LENGTHS_HUNG
    if all(hangs):
        yield "for it hangs", LENGTHS_LAID


def _nearly(name: str) -> str | None:
    """The column that is probably meant by a name that is none; None where it is like no column."""
    words = re.findall(r"[^\W_]+", name)
    known = next((word for word in words if word in COLUMNS), None) or next(
        (meant for meant, others in ALSO_CALLED.items() if set(words) & others), None
    )
    return known or next(iter(get_close_matches(name, COLUMNS, n=1, cutoff=0.75)), None)


def read_cells(path: Path) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """The header and the data rows as they stand in the file, padded to one length, whatever faults they have.

    Raises
    ------
    InputError
        When the file cannot be read as a table at all.
    """
    lines = list(_records(read_text(path, MOST_BYTES), path.name))
    if not lines:
        raise InputError([Fault(path.name, "", "the file is empty; the first row must name the columns what, count")])
    wide = max(len(record) for _, record in lines)
    rows = [(*record, *[""] * (wide - len(record))) for _, record in lines]
    return rows[0], tuple(rows[1:])


def format_inventory(inventory: Inventory) -> str:
    """The text of the file: comma, LF, every column and cell kept, unknown ones too."""
    rows = (inventory.header, *inventory.cells)
    return "".join(",".join(map(_quoted, row)) + "\n" for row in rows)


def _quoted(cell: str) -> str:
    """A cell as CSV, in quotes where a reader could take a part of it for a separator or the end of a line."""
    return '"' + cell.replace('"', '""') + '"' if re.search(r'[",;\t\v\f\r\n\x1c-\x1e\x85\u2028\u2029]', cell) else cell


def write_inventory(inventory: Inventory, path: Path) -> None:
    """Write the inventory back, whole or not at all; columns that we do not know survive."""
    write_text(path, format_inventory(inventory))


def with_cells(inventory: Inventory, changes: Mapping[tuple[int, str], str], units: Units) -> Inventory:
    """The inventory with some cells changed, checked again.

    Parameters
    ----------
    inventory
        What stands now; not altered.
    changes
        New text by (data row, column); a data row one past the last adds a row; an absent column is added.
    units
        What a bare number in a length column means.

    Raises
    ------
    InputError
        With every fault of the changed inventory.
    """
    unwritable = [place for place, text in sorted(changes.items()) if re.search("[\0\ud800-\udfff]", text)]
    if unwritable:
        problem = "has a character that no text file can hold (NUL or half of a pair); leave it out"
        raise InputError([Fault(FILE_NAME, f"row {row + 1}, column {column}", problem) for row, column in unwritable])
    names = [" ".join(name.split()).casefold() for name in inventory.header]
    header = list(inventory.header)
    for _, column in changes:
        if column not in names:
            names.append(column)
            header.append(column)
    rows = [[*row, *[""] * (len(header) - len(row))] for row in inventory.cells]
    for (data_row, column), text in sorted(changes.items()):
        while len(rows) < data_row:
            rows.append([""] * len(header))
        rows[data_row - 1][names.index(column)] = text
    changed = replace(inventory, header=tuple(header), cells=tuple(tuple(row) for row in rows))
    return parse_inventory(format_inventory(changed), units)


def _records(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    """Records with the row that a spreadsheet shows for them; wholly empty lines are passed over."""
    text = text.removeprefix("\ufeff")
    delimiter = None
    offset = 0
    hint = re.match(r"sep=(.)\r?\n", text, re.IGNORECASE)  # a line that a spreadsheet puts there
    if hint:
        delimiter, text, offset = hint[1], text[hint.end() :], 1
    if delimiter is None:
        bare = re.sub(r'"[^"]*"', "", text)  # a quoted name of a column may hold separators and ends of lines
        top = next((line for line in re.split(r"[\r\n]", bare) if line.strip()), "")
        delimiter = max(",;\t", key=top.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    row = offset
    try:
        for record in reader:
            row += 1
            if row > MOST_ROWS:
                raise InputError([Fault(file, "", f"has more than {MOST_ROWS} rows; is it the right file?")])
            if len(record) > MOST_COLUMNS:
                problem = f"has {len(record)} cells, at most {MOST_COLUMNS} can be read; is it the right file?"
                raise InputError([Fault(file, f"row {row}", problem)])
            if record:
                yield row, record
    except csv.Error as error:
        raise InputError([Fault(file, f"row {row + 1}", f"cannot be read as CSV: {error}")]) from None


def _header_faults(names: list[str], row: int, file: str) -> Iterator[Fault]:
    for required in ("what", "count"):
        if required not in names:
            have = ", ".join(name for name in names if name) or "nothing"
            yield Fault(file, f"row {row}", f'the header has no column "{required}"; it has {shorten(have)}')
    for name in dict.fromkeys(names):
        if name in COLUMNS and names.count(name) > 1:
            yield Fault(file, f"row {row}", f'the header names the column "{name}" more than once; keep one')
