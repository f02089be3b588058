"""What came out of the closet: `inventory.csv` and the piles in it."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from capacity.errors import Fault, InputError
from capacity.files import read_text, write_text
from capacity.kinds import Kind, Store, find_kind, nearest_kinds, parse_kind_size
from capacity.letters import without_codes
from capacity.shapes import Shape, shape_of
from capacity.size_text import SizeError
from capacity.units import PER_INCH, LengthError, Rounding, Ticks, Units, parse_length, shorten

if TYPE_CHECKING:
    import pandas as pd

FILE_NAME = "inventory.csv"
COLUMNS = (
    "what", "count", "size", "owner", "use", "store",
    "width", "depth", "height", "drop", "rod", "label",
)  # fmt: skip
MOST_BYTES = 2_000_000
MOST_PILES = 2_000
MOST_ROWS, MOST_COLUMNS = 20_000, 1_000
MOST_FAULTS = 100
MOST_PIECES = 9_999
MOST_CHARACTERS = 200
MOST_STACK = Ticks(12 * PER_INCH)  # common practice: a stack of folded things leans above 10-12 in
_Choice = TypeVar("_Choice", bound=StrEnum)


class Use(StrEnum):
    """How often a pile is used; sets what one of its pieces counts."""

    DAILY = "daily"
    WEEKLY = "weekly"
    SEASONAL = "seasonal"

    @property
    def value_per_piece(self) -> int:
        """What one stored piece counts: daily 3, weekly 2, seasonal 1."""
        return {Use.DAILY: 3, Use.WEEKLY: 2, Use.SEASONAL: 1}[self]


@dataclass(frozen=True, slots=True)
class Pile:
    """One row of the inventory: so many pieces of one kind, size and owner.

    `row` is the 1-based data row of the file, the header not counted. `shape` is one piece as it is stored
    in the way `store`, with the measured values put in where there are any.
    """

    row: int
    kind: str
    family: str
    count: int
    size: str
    owner: str | None
    use: Use
    store: Store
    shape: Shape
    label: str

    @property
    def name(self) -> str:
        """What a person calls the pile: `Ann's jeans 34x32`, and its label if it has one."""
        words = f"{self.owner}'s {self.kind}" if self.owner else self.kind
        words = f"{words} {self.size}" if self.size else words
        return f"{words} ({self.label})" if self.label else words


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

    def to_frame(self) -> pd.DataFrame:
        """One pile a row, lengths in ticks, for a notebook."""
        import pandas as pd

        return pd.DataFrame(
            [
                {
                    "row": pile.row, "what": pile.kind, "count": pile.count, "size": pile.size,
                    "owner": pile.owner or "", "use": pile.use.value, "store": pile.store.value,
                    "width": pile.shape.width, "depth": pile.shape.depth, "height": pile.shape.height,
                    "drop": pile.shape.drop, "rod": pile.shape.rod, "label": pile.label,
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
        row = _Row(file, sheet_row, data_row, dict(zip(names, padded, strict=False)), units)
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
        faults.append(Fault(file, "", f"has {len(piles)} piles, at most {MOST_PILES} can be read; join equal ones"))
    if not faults and not piles:
        faults.append(Fault(file, "", "holds no pile; write one pile a row, such as sneakers,4"))
    if not faults and not any(pile.count for pile in piles):
        faults.append(Fault(file, "", "every count is 0: there is nothing to store"))
    if faults:
        raise InputError(faults)
    return Inventory(tuple(header), tuple(cells), tuple(piles))


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


class _Row:
    """One data row while it is read; gathers its faults."""

    def __init__(self, file: str, sheet_row: int, data_row: int, cells: dict[str, str], units: Units) -> None:
        self._file = file
        self._sheet_row = sheet_row
        self._data_row = data_row
        self._cells = {name: " ".join(without_codes(_unescape(text)).split()) for name, text in cells.items()}
        self._units = units
        self.faults: list[Fault] = []

    def fault(self, column: str, problem: str) -> None:
        """Note one fault of this row."""
        place = f"row {self._sheet_row}" + (f", column {column}" if column else "")
        self.faults.append(Fault(self._file, place, problem))

    def pile(self, owners: dict[str, str]) -> Pile | None:
        """The pile of this row, or None when the row has a fault."""
        kind = self._kind()
        count = self._count()
        use = self._choice("use", Use, Use.WEEKLY)
        store = self._choice("store", Store, kind.store if kind else Store.STAND)
        owner = self._text("owner")
        label = self._text("label")
        shape = self._shape(kind, store) if kind and store else None
        if kind is None or count is None or use is None or store is None or shape is None or self.faults:
            return None
        return Pile(
            row=self._data_row,
            kind=kind.name,
            family=kind.family,
            count=count,
            size=self._cells.get("size", ""),
            owner=owners.setdefault(owner.casefold(), owner) if owner else None,
            use=use,
            store=store,
            shape=shape,
            label=label,
        )

    def _text(self, column: str) -> str:
        text = self._cells.get(column, "")
        if len(text) > MOST_CHARACTERS:
            self.fault(column, f"has {len(text)} characters, at most {MOST_CHARACTERS} can be read")
        return text

    def _kind(self) -> Kind | None:
        text = self._cells["what"]
        if not text:
            self.fault("what", "is empty; name a kind, such as sneakers, jeans or long dress")
            return None
        kind = find_kind(text) if len(text) <= MOST_CHARACTERS else None
        if kind is None:
            near = " or ".join(f'"{name}"' for name in nearest_kinds(text[:MOST_CHARACTERS]))
            self.fault("what", f'"{shorten(text)}" is not a kind that is known; nearest: {near}')
        return kind

    def _count(self) -> int | None:
        text = self._cells["count"]
        if not text:
            self.fault("count", "is empty; expected a whole number, 0 or more")
            return None
        match = re.fullmatch(r"([0-9]+)(?:[.,]0{0,2})?", text)  # 4.0 and 4,00 are spreadsheets' 4; 1,000 is not 1
        if not match:
            self.fault(
                "count", f'"{shorten(text)}" is not a whole number of 0 or more, without marks between thousands'
            )
            return None
        digits = match[1].lstrip("0") or "0"
        if len(digits) > 4:
            self.fault("count", f"{shorten(digits)} pieces in one pile; at most {MOST_PIECES} can be read")
            return None
        return int(digits)

    def _choice(self, column: str, choices: type[_Choice], default: _Choice) -> _Choice | None:
        text = self._cells.get(column, "").casefold()
        if not text:
            return default
        try:
            return choices(text)
        except ValueError:
            known = ", ".join(choice.value for choice in choices)
            self.fault(column, f'"{shorten(text)}" is not one of {known}')
            return None

    def _shape(self, kind: Kind, store: Store) -> Shape | None:
        size = None
        try:
            size = parse_kind_size(kind, self._cells.get("size", ""))
        except SizeError as error:
            self.fault("size", str(error))
            return None
        columns = ("drop", "rod") if store is Store.HANG else ("width", "depth", "height")
        measured = {column: self._length(column) for column in ("width", "depth", "height", "drop", "rod")}
        given = {column: measured[column] for column in columns if measured[column] is not None}
        if self.faults:
            return None
        if store in kind.stores:
            shape = shape_of(kind, size, store)
        elif len(given) == len(columns):
            shape = Shape(Ticks(0), Ticks(0), Ticks(0), Ticks(0), Ticks(0), 1, kind.weight_kg)
        else:
            usual = ", ".join(way.value for way in kind.stores)
            missing = ", ".join(column for column in columns if column not in given)
            self.fault(
                "store",
                f'no sizes are known for {kind.name} with "{store}"; use {usual}, or measure {missing}',
            )
            return None
        changed = replace(shape, **{column: length for column, length in given.items() if length is not None})
        if store is Store.STACK and store not in kind.stores:
            changed = replace(changed, most=max(1, MOST_STACK // changed.height))
        return changed

    def _length(self, column: str) -> Ticks | None:
        text = self._cells.get(column, "")
        if not text:
            return None
        try:
            length = parse_length(text, self._units, Rounding.UP)
        except LengthError as error:
            self.fault(column, str(error))
            return None
        if length == 0:
            self.fault(column, f'"{text}" is nothing; expected a length above 0')
            return None
        return length


def _unescape(text: str) -> str:
    """Take off the one apostrophe that keeps a spreadsheet from reading a text as a formula."""
    return text[1:] if re.match(r"'['=+\-@\t\r]", text) else text
