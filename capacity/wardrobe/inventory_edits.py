"""Changes of the inventory as rows of text: a pile added, changed or taken out; and as rows for a spreadsheet."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from capacity.disk.files import read_bytes
from capacity.errors import InputError
from capacity.units import Units
from capacity.wardrobe.inventory import COLUMNS, Inventory, format_inventory, parse_inventory, read_cells, with_cells


def is_blank(path: Path) -> bool:
    """Whether there is no inventory, or one without a single row: not a fault, only nothing counted yet."""
    if not path.exists():
        return True
    try:
        _, rows = read_cells(path)
    except InputError:
        try:
            return not read_bytes(path).strip(b"\xef\xbb\xbf \t\r\n")
        except OSError:
            return False
    return not any(cell.strip() for row in rows for cell in row)


def with_pile(text: str, cells: Mapping[str, str], units: Units) -> str:
    """The text of an inventory with one pile more; a blank text is begun with its header.

    Parameters
    ----------
    text
        What stands in the file now.
    cells
        What the new row says, by column; empty ones are left out.
    units
        What a bare number in a length column means.

    Raises
    ------
    InputError
        With every fault of the longer inventory.
    """
    said = {column: escaped(cells[column]) for column in COLUMNS if cells.get(column)}
    lines = [line for line in text.removeprefix("\ufeff").splitlines() if line.strip()]
    if len(lines) > 1:
        inventory = parse_inventory(text, units)
    else:
        delimiter = max(",;\t", key=lines[0].count) if lines else ","
        names = next(csv.reader(lines, delimiter=delimiter), [])
        inventory = Inventory(tuple(names), (), ())
    row = len(inventory.cells) + 1
    return format_inventory(with_cells(inventory, {(row, column): cell for column, cell in said.items()}, units))


def changed_pile(text: str, row: int, cells: Mapping[str, str], units: Units) -> str:
    """The text of an inventory with other cells in one data row; a column is added where it says something.

    Raises
    ------
    InputError
        With every fault of the changed inventory.
    """
    inventory = parse_inventory(text, units)
    names = [" ".join(name.split()).casefold() for name in inventory.header]
    said = {(row, column): escaped(cell) for column, cell in cells.items() if cell or column in names}
    return format_inventory(with_cells(inventory, said, units))


def without_pile(text: str, row: int, units: Units) -> str:
    """The text of an inventory without one data row.

    Raises
    ------
    InputError
        When nothing would be left, or another row has a fault.
    """
    inventory = parse_inventory(text, units)
    rows = (*inventory.cells[: row - 1], *inventory.cells[row:])
    shorter = format_inventory(replace(inventory, cells=rows))
    parse_inventory(shorter, units)
    return shorter


def escaped(text: str) -> str:
    """A person's text as a cell that no spreadsheet takes for a formula; reading the inventory takes it back.

    Examples
    --------
    >>> escaped("=1+1"), escaped("shirt"), escaped("'=x")
    ("'=1+1", 'shirt', "''=x")
    """
    return f"'{text}" if re.match(r"'?[=+\-@\t\r]|''", text) else text


def for_spreadsheet(inventory: Inventory) -> str:
    """The text of an inventory with no cell that a spreadsheet would take for a formula; it reads back the same."""
    rows = tuple(
        tuple(f"'{cell}" if re.match(r"[=+\-@\t\r]", cell) else cell for cell in row) for row in inventory.cells
    )
    return format_inventory(Inventory(inventory.header, rows, ()))
