"""A makeover folder read whole: both of the user's files, the faults of both at once."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from capacity import closet as closet_file
from capacity import inventory as inventory_file
from capacity.banks import bank_faults
from capacity.closet import Closet, read_closet
from capacity.edging import edge_faults
from capacity.errors import Fault, InputError
from capacity.inventory import Inventory, read_inventory
from capacity.locks import bay_faults, lock_faults

NAMES = (closet_file.FILE_NAME, inventory_file.FILE_NAME)
MOST_TRIES = 20
"""So often the files are read when they change meanwhile."""


@dataclass(frozen=True, slots=True)
class FolderTexts:
    """Both of the user's files, byte for byte, by name; `digest` is their `fingerprint`."""

    files: Mapping[str, bytes]

    @property
    def digest(self) -> str:
        """A digest of both, by which a plan can tell that it is stale."""
        digest = hashlib.sha256()
        for name in NAMES:
            digest.update(self.files[name])
        return digest.hexdigest()


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
        return FolderTexts({name: (folder / name).read_bytes() for name in NAMES})
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
        faults += bank_faults(closet, inventory) if not faults else ()
    if faults or closet is None or inventory is None:
        raise InputError(faults)
    return closet, inventory


def fingerprint(folder: Path) -> str:
    """A digest of both files, by which a plan can tell that it is stale."""
    return FolderTexts({name: (folder / name).read_bytes() for name in NAMES}).digest
