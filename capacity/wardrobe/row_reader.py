"""How one row of the inventory is read: its cells become a pile, or one fault each."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import replace
from enum import StrEnum
from typing import TypeVar

from capacity.errors import Fault, without_codes
from capacity.units import PER_INCH, LengthError, Rounding, Ticks, Units, parse_length, shorten
from capacity.wardrobe.kinds import Kind, Store, find_kind, nearest_kinds, parse_kind_size
from capacity.wardrobe.piece_dimensions import Shape, shape_of
from capacity.wardrobe.piles import MOST_PIECES, Pile, Use
from capacity.wardrobe.size_text import SizeError

MOST_CHARACTERS = 200
"""Characters of a text in one cell."""

MOST_STACK = Ticks(12 * PER_INCH)
"""A stack of folded things leans above 10-12 in (common practice, no published source)."""

_Choice = TypeVar("_Choice", bound=StrEnum)


class RowReader:
    """One data row while it is read; gathers its faults.

    Parameters
    ----------
    file
        Name of the file, for faults.
    sheet_row
        The row as a spreadsheet counts it, for faults.
    data_row
        The row from 1, the header not counted.
    cells
        The texts by column name in lower case, `what` and `count` among them.
    units
        What a bare number in a length column means.
    """

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
        stores = self._stores(kind.store if kind else Store.STAND)
        owner = unicodedata.normalize("NFC", self._text("owner"))  # "é" may be typed as one letter or as two
        label = self._text("label")
        seasons = self._seasons()
        shapes = [self._shape(kind, store) for store in stores] if kind else []
        ways = [(store, shape) for store, shape in zip(stores, shapes, strict=False) if shape is not None]
        if kind is None or count is None or use is None or not ways or self.faults:
            return None
        store, shape = ways[0]
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
            seasons=seasons,
            others=tuple(ways[1:]),
            in_drawers_too=kind.figures.in_drawers_too and not self._cells.get("store", ""),
        )

    def _text(self, column: str) -> str:
        text = self._cells.get(column, "")
        if len(text) > MOST_CHARACTERS:
            self.fault(column, f"has {len(text)} characters, at most {MOST_CHARACTERS} can be read")
        return text

    def _seasons(self) -> tuple[str, ...]:
        """The seasons of a pile, parted by commas, semicolons, slashes or "and"; none for the whole year."""
        text = self._text("season").casefold()
        names = tuple(dict.fromkeys(name for part in re.split(r"[,;/+&]|\band\b", text) if (name := part.strip())))
        return () if names in (("year",), ("whole year",), ("all year",)) else names

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

    def _stores(self, usual: Store) -> list[Store]:
        """The way or the ways of storing, "hang or stack"; none where the cell has a fault."""
        text = self._cells.get("store", "").casefold()
        words = text.split(" or ") if text else [usual.value]
        stores = [Store(word.strip()) for word in words if word.strip() in list(Store)]
        if len(stores) < len(words):
            known = ", ".join(store.value for store in Store)
            self.fault("store", f'"{shorten(text)}" is not one of {known}, or two of them: "hang or stack"')
            return []
        shelved = [store for store in stores if store in (Store.STAND, Store.STACK)]
        if len(set(stores)) < len(stores) or len(shelved) > 1:
            self.fault("store", f'"{shorten(text)}" says one way twice, or two ways on a shelf; write one of them')
        return stores

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
            usual = f"use {', '.join(way.value for way in kind.stores)}, or " if kind.stores else ""
            missing = ", ".join(column for column in columns if column not in given)
            self.fault("store", f'no sizes are known for {kind.name} with "{store}"; {usual}measure {missing}')
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
