"""A makeover folder read whole: both of the user's files, the faults of both at once."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from capacity.closet import closet as closet_file
from capacity.closet.closet import Closet, load_closet, read_closet
from capacity.closet.edging import edge_faults
from capacity.disk.files import read_bytes
from capacity.errors import Fault, InputError
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.what_must_be import bay_faults, lock_faults, opening_faults, unopened_faults
from capacity.wardrobe import inventory as inventory_file
from capacity.wardrobe.inventory import Inventory, read_inventory

NAMES = (closet_file.FILE_NAME, inventory_file.FILE_NAME)
UNREAD = (
    "name", "season", "door", "way", "lamp", "room", "assembly", "fillers", "construction", "stick", "hardware", "have",
    "print", "minutes",
)  # fmt: skip
"""Settings of the closet that only the checks and the packet read, so that a layout stays good when they change."""

MOST_TRIES = 20
"""So often the files are read when they change meanwhile."""


@dataclass(frozen=True, slots=True)
class FolderTexts:
    """Both of the user's files, byte for byte, by name; `digest` is their `fingerprint`."""

    files: Mapping[str, bytes]

    @property
    def digest(self) -> str:
        """A digest of what a search reads of both, by which a plan can tell that it is stale.

        A remark, the closet's name, a price, the way in, a lamp or what was built makes no plan stale.
        """
        digest = hashlib.sha256(_searched(self.files[closet_file.FILE_NAME]))
        digest.update(self.files[inventory_file.FILE_NAME])
        return digest.hexdigest()


def _searched(data: bytes) -> bytes:
    """What a search reads of a closet file, in one form; the bytes themselves where it is no TOML."""
    try:
        settings = load_closet(data.decode("utf-8-sig"))
    except (InputError, UnicodeDecodeError):
        return data
    wishes = settings.get("wishes")
    wishes = wishes if isinstance(wishes, dict) else {}
    unread = set(UNREAD if wishes.get("keep_bays") else (*UNREAD, "built"))
    if not wishes.get("budget"):
        unread |= {"prices", "sheet"}
        if isinstance(panel := settings.get("panel"), dict):
            settings["panel"] = {key: value for key, value in panel.items() if key != "price"}
    read = {key: settings[key] for key in settings.keys() - unread if settings[key] != {}}
    return json.dumps(read, sort_keys=True, default=str).encode()


def read_folder_at_once(folder: Path) -> tuple[Closet, Inventory, FolderTexts]:
    """Read both files as they stood at one moment, and their bytes then.

    Raises
    ------
    InputError
        When they have faults, or do not stay as they are for as long as it takes to read them.
    """
    for _ in range(MOST_TRIES):
        before = _texts(folder)
        closet, inventory = read_folder(folder)
        if before is not None and before == _texts(folder):
            return closet, inventory, before
    raise InputError([Fault(folder.name, "", "is being changed all the time; try again")])


def _texts(folder: Path) -> FolderTexts | None:
    """Both files; None when one is not there or closed to us, which `read_folder` says in words."""
    try:
        return FolderTexts({name: read_bytes(folder / name) for name in NAMES})
    except OSError:
        return None


def read_folder(folder: Path) -> tuple[Closet, Inventory]:
    """Read both files of a makeover folder, the faults of both at once."""
    faults: list[Fault] = []
    closet = inventory = None
    try:
        closet = read_closet(folder / closet_file.FILE_NAME)
    except InputError as error:
        faults += error.faults
    try:
        inventory = read_inventory(folder / inventory_file.FILE_NAME, closet.units if closet else "in")
    except InputError as error:
        faults += error.faults
    if closet is not None and inventory is not None:
        faults += [Fault(closet_file.FILE_NAME, place, problem) for place, problem in bay_faults(closet)]
        faults += lock_faults(closet, inventory)
        faults += edge_faults(closet)
        if not faults:
            problem = size_problem(closet, inventory)
            faults += list(opening_faults(closet, problem)) or unopened_faults(closet, problem)
    if faults or closet is None or inventory is None:
        raise InputError(faults)
    return closet, inventory


def fingerprint(folder: Path) -> str:
    """A digest of both files, by which a plan can tell that it is stale."""
    return FolderTexts({name: read_bytes(folder / name) for name in NAMES}).digest
