"""A makeover folder as the page sees it: what can be read, what is at fault, and whether its layout still holds."""

from __future__ import annotations

import hashlib
import re
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import streamlit as st

from capacity.checks.all_checks import Report
from capacity.closet import closet as closet_file
from capacity.closet.closet import Closet, read_closet
from capacity.closet.saving import closet_faults, missing_settings, read_data, units_in
from capacity.disk.files import read_bytes, read_text
from capacity.disk.folder_lock import one_program
from capacity.disk.versions import write_version
from capacity.errors import InputError
from capacity.makeover.folder import fingerprint as digest
from capacity.makeover.plan import FILE_NAME as PLAN_NAME
from capacity.makeover.plan import Plan, read_plan
from capacity.makeover.plan_checks import check_plan
from capacity.page.words import fault_in_words, told
from capacity.units import Units
from capacity.wardrobe import inventory as inventory_file
from capacity.wardrobe.inventory import MOST_BYTES, Inventory, format_inventory, read_inventory
from capacity.wardrobe.inventory_edits import is_blank

if TYPE_CHECKING:
    import pandas as pd

_T = TypeVar("_T")

_latest: dict[Path, tuple[tuple[Path, Units, tuple[int, int, int]], Inventory]] = {}
"""The inventory of each folder as last read or written, with what its file looked like then."""

_judged: dict[Path, tuple[tuple[tuple[int, int, int], ...], tuple[str, ...], Report | None]] = {}
"""What is untrue in the plan of each folder as it stood last, else what the checks say of it, and its files then."""

NO_LINK = "\u2060"
"""The word joiner, of no width."""

_ADDRESS = re.compile(r"https?:/(?=/)|www(?=\.)|@(?=[\w-]+\.)", re.IGNORECASE)

STALE = "The count or the closet has changed since this layout was found."


@dataclass(frozen=True, slots=True)
class Household:
    """One folder as it stands now; what is not there or cannot be read is None, and `faults` says what is wrong.

    That nothing is counted or measured yet is no fault.
    `units` is what a bare number means, and `people` are those named in the closet file, also while the measurements
    are not complete.
    """

    folder: Path
    closet: Closet | None
    inventory: Inventory | None
    plan: Plan | None
    is_stale: bool
    faults: tuple[str, ...]
    units: Units = "in"
    people: tuple[str, ...] = ()
    report: Report | None = None
    """What the checks say of the layout, with the closet as it stands; None without a layout for it."""

    @property
    def name(self) -> str:
        """What the household calls its closet, or the folder's name."""
        return self.closet.name if self.closet else name_of(self.folder)


def name_of(folder: Path) -> str:
    """What the household calls its closet, however incomplete its file; the folder's name where it says nothing."""
    try:
        name = read_data(folder / closet_file.FILE_NAME).get("name")
    except InputError:
        name = None
    return name if isinstance(name, str) and name.strip() else folder.name


def read_household(folder: Path) -> Household:
    """Read whatever can be read of a folder; never raises for what stands in it."""
    faults: list[str] = []
    if not folder.is_dir():
        return Household(folder, None, None, None, False, (f"There is no folder {folder}.",))
    inventory = plan = report = None
    closet = _closet(folder, faults)
    units = closet.units if closet else units_in(folder / closet_file.FILE_NAME)
    if not is_blank(folder / inventory_file.FILE_NAME):
        inventory = _read(lambda: current_inventory(folder, units), faults)
    is_stale = False
    if (folder / PLAN_NAME).exists():
        plan = _read(lambda: _plan(folder / PLAN_NAME, _stamp(folder / PLAN_NAME)), faults)
        is_read = closet is not None and inventory is not None
        is_stale = plan is not None and (not is_read or plan.inputs != fingerprint(folder))
        if plan is not None and closet is not None and inventory is not None and not is_stale:
            untrue, report = _judgement(folder, closet, inventory, plan)
            faults += untrue
            plan = None if untrue else plan
    return Household(folder, closet, inventory, plan, is_stale, tuple(faults), units, _people(folder), report)


def _people(folder: Path) -> tuple[str, ...]:
    """Names of the people in the closet file, however incomplete."""
    try:
        listed = read_data(folder / closet_file.FILE_NAME).get("person")
    except InputError:
        return ()
    names = [entry.get("name") for entry in listed if isinstance(entry, dict)] if isinstance(listed, list) else []
    return tuple(name for name in names if isinstance(name, str) and name.strip())


def fingerprint(folder: Path) -> str:
    """The digest by which a plan knows its inputs, empty where a file is missing."""
    try:
        return digest(folder)
    except OSError:
        return ""


def current_inventory(folder: Path, units: Units) -> Inventory:
    """The inventory as it stands in the folder at this moment."""
    path = folder / inventory_file.FILE_NAME
    key = (path, units, _stamp(path))
    known = _latest.get(path)
    if known is not None and known[0] == key:
        return known[1]
    inventory = read_inventory(path, units)
    _latest[path] = (key, inventory)
    return inventory


@contextmanager
def one_writer(folder: Path) -> Iterator[None]:
    """Let one change of a folder's files after the other in: those of this page in turn, then `one_program`.

    Raises
    ------
    BusyError
        When another program has not finished its change.
    """
    with _locks().setdefault(str(folder), threading.Lock()), one_program(folder):
        yield


def change_inventory(
    folder: Path, units: Units, change: Callable[[Inventory], Inventory], joins_last: bool = False
) -> Inventory:
    """Apply a change to the inventory as it is on disk now, and write it, whole or not at all.

    What stood there is kept as a version for Undo; `joins_last` says that this change belongs to the last one.

    Raises
    ------
    InputError
        When the changed inventory has a fault; nothing is written then.
    """
    path = folder / inventory_file.FILE_NAME
    with one_writer(folder):
        known = _latest.get(path)
        is_ours = known is not None and known[0] == (path, units, _stamp(path))  # no other program has written it
        changed = change(current_inventory(folder, units))
        write_version(path, format_inventory(changed), joins_last and is_ours)
        # a tap must be quick: what was written need not be read again
        _latest[path] = ((path, units, _stamp(path)), changed)
    return changed


class ChangedOnDiskError(Exception):
    """A file is not what it was when a change to it was begun; nothing has been written."""


def revision(path: Path) -> str:
    """What is in a file, as a digest to be compared later; empty when there is no such file."""
    try:
        return hashlib.sha256(read_bytes(path)).hexdigest()
    except OSError:
        return ""


def change_file(path: Path, change: Callable[[str], str], seen: str | None = None) -> None:
    """Apply a change to the text of a file as it is on disk now, and write it, whole or not at all.

    What stood there is kept as a version for Undo.

    Parameters
    ----------
    path
        The file, directly in a makeover folder; one that is not there is taken as empty.
    change
        From the text on disk to the new one; what it raises goes on up, and nothing is written.
    seen
        The `revision` from which the change was made; None applies it to whatever is there.

    Raises
    ------
    ChangedOnDiskError
        When the file is no longer what was seen.
    InputError
        When it cannot be read or written.
    """
    with one_writer(path.parent):
        if seen is not None and seen != revision(path):
            raise ChangedOnDiskError
        write_version(path, change(read_text(path, MOST_BYTES) if path.exists() else ""))


def show_faults(household: Household) -> None:
    """Every fault of the folder in words."""
    for fault in household.faults:
        st.error(plain(fault.replace("the ", "The ", 1) if fault.startswith("the ") else fault))


def plain(text: str) -> str:
    """A person's text with the characters that Markdown would take for its own marked as plain.

    What looks like an address would become a link all the same; a sign that is not seen keeps its parts from being one.
    """
    text = _ADDRESS.sub(lambda found: f"{found[0]}{NO_LINK}", text)
    return "".join(f"\\{sign}" if sign in "\\`*_{}[]()<>#+-.!|~$:^=&" else sign for sign in text)


def escaped(table: pd.DataFrame) -> pd.DataFrame:
    """The table with its texts safe from being read as Markdown."""
    return table.map(lambda cell: plain(cell) if isinstance(cell, str) else cell)


def _judgement(folder: Path, closet: Closet, inventory: Inventory, plan: Plan) -> tuple[tuple[str, ...], Report | None]:
    """What a hand edit has made untrue in a plan, else all checks of it; once for the files as they stand."""
    key = tuple(_stamp(folder / name) for name in (closet_file.FILE_NAME, inventory_file.FILE_NAME, PLAN_NAME))
    known = _judged.get(folder)
    if known is None or known[0] != key:
        found: list[str] = []
        report = _read(lambda: check_plan(closet, inventory, plan), found)
        known = _judged[folder] = (key, tuple(found), report)
    return known[1], known[2]


@st.cache_resource
def _locks() -> dict[str, threading.Lock]:
    return {}


def _stamp(path: Path) -> tuple[int, int, int]:
    """What changes when a file does, also twice in one tick of the clock; a missing file has a stamp too."""
    try:
        status = path.stat()
    except OSError:
        return 0, 0, 0
    return status.st_size, status.st_mtime_ns, status.st_ino


def _closet(folder: Path, faults: list[str]) -> Closet | None:
    """The closet; that its file lacks what comes first, or is not there before any layout, is no fault."""
    path = folder / closet_file.FILE_NAME
    if not path.exists() and not (folder / PLAN_NAME).exists():
        return None
    found: list[str] = []
    closet = _read(lambda: read_closet(path), found)
    missing: tuple[str, ...] = ()
    if closet is None and path.exists():
        missing = _read(lambda: missing_settings(read_data(path)), []) or ()
    if missing:
        faults += [fault_in_words(fault) for fault in closet_faults(read_data(path)) if fault.place not in missing]
    else:
        faults += found
    return closet


@lru_cache(maxsize=8)
def _plan(path: Path, stamp: tuple[int, int, int]) -> Plan:
    return read_plan(path)


def _read(work: Callable[[], _T], faults: list[str]) -> _T | None:
    try:
        return work()
    except InputError as error:
        faults += told(error)
        return None
