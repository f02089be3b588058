"""The other system of units for a folder: every length that stands in it stays the same, to the tick."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel

from capacity.closet.closet import FILE_NAME as CLOSET_NAME
from capacity.closet.closet import Closet
from capacity.closet.saving import change_closet, closet_faults, missing_settings, read_data, table_in
from capacity.closet.text_edits import Edit, SettingPath
from capacity.disk.files import write_text
from capacity.disk.versions import forget
from capacity.errors import Fault, InputError
from capacity.units import LengthError, Ticks, Units, with_unit, without_unit
from capacity.wardrobe.inventory import FILE_NAME as INVENTORY_NAME
from capacity.wardrobe.inventory import Inventory, read_inventory, with_cells, write_inventory

LENGTH_COLUMNS = ("width", "depth", "height", "drop", "rod")
"""Columns of the inventory whose bare numbers are in the folder's units."""


def switch_units(folder: Path, units: Units) -> None:
    """Make a bare number mean the other unit, and give every length that is one its unit, so that none changes.

    The inventory is written first: its lengths then mean the same in either system, so nothing is lost should the
    second file not be written. Older versions, whose bare numbers would be read wrongly, are dropped.

    Raises
    ------
    InputError
        When one of the files has a fault, or cannot be written.
    """
    data = read_data(folder / CLOSET_NAME)
    old: Units = data.get("units", "in")
    lacking = missing_settings(data)
    faults = [fault for fault in closet_faults(data) if fault.place not in lacking]
    if faults:
        raise InputError(faults)
    if old == units:
        return
    try:
        tuple(_told(data, units))
    except LengthError as error:  # a number with more places than a text may have
        raise InputError([Fault(CLOSET_NAME, "units", str(error))]) from None
    path = folder / INVENTORY_NAME
    inventory = read_inventory(path, old) if path.exists() else None
    for name in (INVENTORY_NAME, CLOSET_NAME):
        forget(folder / name)
    if inventory is not None:
        told = _with_units(inventory, old)
        if told:
            write_inventory(with_cells(inventory, told, old), path)
    change_closet(folder / CLOSET_NAME, lambda now: [*_told(now, units), Edit(("units",), units)], write_text)


def _told(data: dict[str, Any], units: Units) -> Iterator[Edit]:
    """Every length of the closet file that must be written differently."""
    old: Units = data.get("units", "in")
    for place, value in length_places(data):
        written = without_unit(with_unit(value, old), units)
        if written != value or type(written) is not type(value):
            yield Edit(place, written)


def _with_units(inventory: Inventory, units: Units) -> dict[tuple[int, str], str]:
    names = [" ".join(name.split()).casefold() for name in inventory.header]
    told: dict[tuple[int, str], str] = {}
    for row, cells in enumerate(inventory.cells, start=1):
        for column in LENGTH_COLUMNS:
            text = cells[names.index(column)].strip() if column in names and names.index(column) < len(cells) else ""
            if text and with_unit(text, units) != text:
                told[row, column] = str(with_unit(text, units))
    return told


def length_places(data: dict[str, Any]) -> Iterator[tuple[SettingPath, Any]]:
    """Every setting of a closet file that is a length, with what is written there.

    Which ones are lengths is read from the data model, so a new setting is never forgotten.
    """
    yield from _lengths(Closet, data, ())


def _lengths(model: type[BaseModel], table: dict[str, Any], place: SettingPath) -> Iterator[tuple[SettingPath, Any]]:
    for name, field in model.model_fields.items():
        value = table.get(field.alias or name)
        inner = table_in(field.annotation)
        own = (*place, field.alias or name)
        if inner is not None:
            for at, entry in _entries(value, own):
                if isinstance(entry, dict):
                    yield from _lengths(inner, entry, at)
        elif _holds_length(field.annotation):
            for at, entry in _entries(value, own):
                if isinstance(entry, str | int | float) and not isinstance(entry, bool) and entry != "auto":
                    yield at, entry


def _entries(value: Any, place: SettingPath) -> Iterator[tuple[SettingPath, Any]]:
    if isinstance(value, list):
        yield from (((*place, number), entry) for number, entry in enumerate(value))
    else:
        yield place, value


def _holds_length(annotation: Any) -> bool:
    return annotation is Ticks or any(_holds_length(part) for part in get_args(annotation))
