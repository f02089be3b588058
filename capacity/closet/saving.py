"""Changes of `closet.toml`: a few settings at once, judged before they are written, whole or not at all."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, get_args, get_origin

from pydantic import BaseModel

from capacity.closet.closet import FILE_NAME, MOST_BYTES, Closet, load_closet, validate_closet
from capacity.closet.text_edits import Edit, SettingPath, changed_text
from capacity.disk.files import read_text
from capacity.disk.versions import write_version
from capacity.errors import Fault, InputError
from capacity.units import Units

NEW_FILE = (
    "# The closet of this folder. Lines that start with # are remarks; change what you like.\n"
    '# A length is a number in the units below, or a text: "70 1/4", "3 ft 2 1/2 in", "368 mm".\n\n'
)
"""What a file begins with that is made by its first setting."""

_HIGH = "100 m"
_FIRST_SETTINGS = ("ceiling", "top", "wall")


def read_data(path: Path) -> dict[str, Any]:
    """The settings of a closet file as plain data, however faulty; empty where there is no file.

    Raises
    ------
    InputError
        When the file cannot be read or is not TOML.
    """
    return load_closet(_text_of(path)) if path.exists() else {}


def units_in(path: Path) -> Units:
    """What a bare number means by a closet file, however incomplete; inches where it does not say or cannot be read."""
    try:
        return "mm" if read_data(path).get("units") == "mm" else "in"
    except InputError:
        return "in"


def missing_settings(data: dict[str, Any]) -> tuple[str, ...]:
    """Which settings a layout cannot do without and the file does not have yet, of `ceiling`, `top` and `wall`."""
    return tuple(name for name in _FIRST_SETTINGS if data.get(name) in (None, []))


def closet_faults(data: dict[str, Any], file: str = FILE_NAME) -> tuple[Fault, ...]:
    """Every fault of the settings, judged as if there were room for all where the first settings are missing.

    A setting that is missing is itself a fault.
    """
    missing = missing_settings(data)
    absent = [Fault(file, name, "is missing; write it") for name in missing]
    roomy = {
        "ceiling": _HIGH,
        "top": data.get("ceiling", _HIGH),
        "wall": [{"name": "wall", "width": _HIGH, "depth": _HIGH}],
    }
    try:
        validate_closet({**data, **{name: roomy[name] for name in missing}}, file)
    except InputError as error:
        return (*absent, *(fault for fault in error.faults if fault.place not in missing))
    return tuple(absent)


def change_closet(
    path: Path,
    changes_of: Callable[[dict[str, Any]], Sequence[Edit]],
    write: Callable[[Path, str], None] = write_version,
) -> dict[str, Any]:
    """Change some settings of a closet file, all of them or none, and write it whole.

    Parameters
    ----------
    path
        The file; where there is none it is made.
    changes_of
        Gives the changes for the settings as they stand in the file now.
    write
        How the file is written; usually what stood there is kept as a version.

    Returns
    -------
    The settings as they are then, as plain data.

    Raises
    ------
    InputError
        When the change would bring a fault into the file, or the file cannot be read, changed or written. Nothing
        is written then. A file that lacks its first settings, or has faults already, may keep these.
    """
    old = _text_of(path) if path.exists() else ""
    data = load_closet(old, path.name)
    changes = tuple(changes_of(data))
    new = changed_text(old or NEW_FILE, changes, path.name)
    changed = load_closet(new, path.name)
    _refuse_new_faults(closet_faults(data, path.name), closet_faults(changed, path.name), changes)
    if new != old:
        write(path, new)
    return changed


def replace_text(path: Path, text: str) -> None:
    """Write a whole closet file that somebody has typed, if it has no fault but what it still lacks.

    Raises
    ------
    InputError
        With every fault; nothing is written then.
    """
    data = load_closet(text, path.name)
    lacking = missing_settings(data)
    faults = [fault for fault in closet_faults(data, path.name) if fault.place not in lacking]
    if faults:
        raise InputError(faults)
    write_version(path, text)


def closet_of(data: dict[str, Any]) -> Closet | None:
    """The closet that the settings describe, None while they have a fault or lack something."""
    try:
        return validate_closet(data)
    except InputError:
        return None


def _text_of(path: Path) -> str:
    return read_text(path, MOST_BYTES)


def _refuse_new_faults(old: Sequence[Fault], new: Sequence[Fault], changes: Sequence[Edit]) -> None:
    """Let no change bring a fault in; a file with faults may keep them, and a repair may bring others to light."""
    left = Counter(_without_numbers(fault) for fault in old)
    fresh: list[Fault] = []
    for fault in new:
        left[_without_numbers(fault)] -= 1
        if left[_without_numbers(fault)] < 0:
            fresh.append(fault)
    is_repair = any(fault.problem != "is missing; write it" for fault in old)
    if is_repair:
        heads = tuple(_head(change.place) for change in changes)
        fresh = [fault for fault in fresh if fault.place.startswith(heads)]
    if fresh:
        raise InputError(fresh)


def _without_numbers(fault: Fault) -> tuple[str, str]:
    """A fault by which it is known again when an entry before it has gone."""
    return re.sub(r"[0-9]+", "", fault.place), fault.problem


def _head(place: SettingPath) -> str:
    """How the place of a fault begins in this table."""
    if len(place) == 1:
        return str(place[0])
    return f"[[{place[0]}]] {place[1] + 1}" if isinstance(place[1], int) else f"[{place[0]}]"


def table_in(annotation: Any) -> type[BaseModel] | None:
    """The table that a setting is, or that the entries of its list are; None when it is neither."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for part in get_args(annotation) if (found := table_in(part)) is not None), None)


def only_tables(data: dict[str, Any]) -> dict[str, Any]:
    """The settings without those that should be a table or a list of tables and are something else.

    What is left can be walked through without looking; whatever stands in single settings is kept, however wrong.
    """
    return _only_tables(Closet, data)


def _only_tables(model: type[BaseModel], table: dict[str, Any]) -> dict[str, Any]:
    fields = {field.alias or name: field for name, field in model.model_fields.items()}
    kept: dict[str, Any] = {}
    for key, value in table.items():
        annotation = fields[key].annotation if key in fields else None
        inner = table_in(annotation)
        if inner is None:
            kept[key] = value
        elif _is_list(annotation):
            if isinstance(value, list) and all(isinstance(entry, dict) for entry in value):
                kept[key] = [_only_tables(inner, entry) for entry in value]
        elif isinstance(value, dict):
            kept[key] = _only_tables(inner, value)
    return kept


def _is_list(annotation: Any) -> bool:
    return get_origin(annotation) is tuple or any(_is_list(part) for part in get_args(annotation))
