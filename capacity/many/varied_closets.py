"""The tasks of a sweep: each folder as it is, or once for each combination of the settings that vary."""

from __future__ import annotations

import hashlib
import itertools
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from capacity.closet.closet import FILE_NAME as CLOSET
from capacity.closet.closet import load_closet, parse_closet
from capacity.closet.text_edits import Edit, SettingPath, changed_text
from capacity.disk.files import MOST_BYTES, read_text
from capacity.errors import Fault, InputError
from capacity.wardrobe.inventory import FILE_NAME as INVENTORY
from capacity.wardrobe.inventory import format_inventory, parse_inventory, with_cells

COUNTS = "counts"
"""What varies every count by a factor, rounded up."""

ANOTHER_WALL = "another_wall"
"""What varies the width of a wall more, as deep as the first, without a corner; 0 is none."""

MOST_TASKS = 10_000


@dataclass(frozen=True, slots=True)
class Task:
    """One closet to find a layout for: its two texts, and what was varied in them.

    `name` says which folder and what was varied; `effort` is a factor of the usual work.
    """

    name: str
    folder: str
    varied: tuple[tuple[str, str], ...]
    closet: str
    inventory: str
    effort: float = 1.0
    seed: int = 0

    @property
    def digest(self) -> str:
        """Of all that the answer depends on: two tasks with one digest have the same answer."""
        parts = (self.closet, self.inventory, repr(self.effort), str(self.seed))
        return hashlib.sha256("\0".join(parts).encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Variation:
    """A setting and the values that it takes in turn, as they were written."""

    key: str
    values: tuple[str, ...]


def parse_variation(text: str) -> Variation:
    """`KEY=A,B,C`: a setting of `closet.toml` with dots between its parts, `counts` or `another_wall`.

    Raises
    ------
    InputError
        When it is something else.
    """
    key, is_there, values = text.partition("=")
    several = tuple(value.strip() for value in values.split(","))
    if not is_there or not key.strip() or not all(several):
        words = "is not KEY=A,B,C; KEY is a setting with dots, such as wishes.budget, or counts, or another_wall"
        raise InputError([Fault("--vary", f'"{text}"', words)])
    return Variation(key.strip(), several)


def tasks_of(
    folders: Sequence[Path], variations: Sequence[Variation] = (), effort: float = 1.0, seed: int = 0
) -> tuple[Task, ...]:
    """The tasks in order: folder by folder, the last variation changing fastest; the faults of all at once.

    Raises
    ------
    InputError
        When a folder cannot be read, a setting does not exist or a value is none for it, or there are too many.
    """
    faults: list[Fault] = []
    found: list[Task] = []
    number = len(folders)
    for variation in variations:
        number *= len(variation.values)
    if number > MOST_TASKS:
        raise InputError([Fault("--vary", "", f"{number} closets are too many; at most {MOST_TASKS} at once")])
    for folder in folders:
        name = _names(folders)[folder]
        try:
            closet, inventory = (read_text(folder / file, MOST_BYTES) for file in (CLOSET, INVENTORY))
            plain = Task(name, str(folder), (), closet, inventory, effort, seed)
            for values in itertools.product(*(variation.values for variation in variations)):
                varied = [(item.key, value) for item, value in zip(variations, values, strict=True)]
                found.append(_varied(plain, varied))
        except InputError as error:
            faults += [replace(fault, file=f"{name}/{fault.file}") for fault in error.faults]
    if faults:
        raise InputError(list(dict.fromkeys(faults)))
    return tuple(found)


def _names(folders: Sequence[Path]) -> dict[Path, str]:
    """What each folder is called: its own name, or its whole path where two have the same."""
    short = [folder.resolve().name for folder in folders]
    return {f: name if short.count(name) == 1 else str(f) for f, name in zip(folders, short, strict=True)}


def _varied(task: Task, varied: Sequence[tuple[str, str]]) -> Task:
    """A task with its settings changed, its files read as `fit` reads them."""
    closet, inventory = task.closet, task.inventory
    for key, value in varied:
        if key == COUNTS:
            inventory = _times(inventory, closet, value)
        elif key == ANOTHER_WALL:
            closet = closet if value == "0" else _with_a_wall(closet, value)
        else:
            data = load_closet(closet)
            closet = changed_text(closet, [Edit(_place(data, key), _value(value))])
    parse_inventory(inventory, parse_closet(closet).units)
    words = ", ".join(f"{key} {value}" for key, value in varied)
    name = f"{task.name}: {words}" if words else task.name
    return replace(task, name=name, varied=tuple(varied), closet=closet, inventory=inventory)


def _with_a_wall(closet: str, width: str) -> str:
    """A closet with a wall more, so wide."""
    walls = load_closet(closet)["wall"]
    wall = {"name": ANOTHER_WALL.replace("_", " "), "width": _value(width), "depth": walls[0]["depth"]}
    return changed_text(closet, [Edit(("wall", len(walls)), wall)])


def _place(data: dict[str, Any], key: str) -> SettingPath:
    """Where a setting stands: an entry of a list is named by its name, or numbered from 1."""
    place: list[str | int] = []
    now: Any = data
    for part in key.split("."):
        if isinstance(now, list):
            names = [entry.get("name") if isinstance(entry, dict) else None for entry in now]
            at = names.index(part) if part in names else int(part) - 1 if part.isdecimal() else -1
            if not 0 <= at < len(now):
                told = ", ".join(str(name) for name in names if name) or f"1 to {len(now)}"
                raise InputError([Fault(CLOSET, key, f'there is no "{part}" there; there are: {told}')])
            place.append(at)
            now = now[at]
        else:
            place.append(part)
            now = now.get(part) if isinstance(now, dict) else None
    return tuple(place)


def _value(text: str) -> Any:
    """A value as the file would have it: a number, true or false, else a text."""
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except tomllib.TOMLDecodeError:
        return text


def _times(inventory: str, closet: str, factor: str) -> str:
    """Every count times a factor, rounded up."""
    try:
        times = Decimal(factor)
        if not Decimal(0) < times <= Decimal(100):
            raise InvalidOperation
    except InvalidOperation:
        raise InputError([Fault("--vary", COUNTS, f'"{factor}" is no factor above 0, at most 100')]) from None
    units = parse_closet(closet).units
    read = parse_inventory(inventory, units)
    changes = {(pile.row, "count"): str(-int(-pile.count * times // 1)) for pile in read.piles}
    return format_inventory(with_cells(read, changes, units))
