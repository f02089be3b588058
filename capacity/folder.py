"""A makeover folder read whole: both of the user's files, the faults of both at once."""

from __future__ import annotations

import hashlib
from pathlib import Path

from capacity import closet as closet_file
from capacity import inventory as inventory_file
from capacity.banks import bank_faults
from capacity.closet import Closet, read_closet
from capacity.edging import edge_faults
from capacity.errors import Fault, InputError
from capacity.inventory import Inventory, read_inventory
from capacity.locks import bay_faults, lock_faults


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
    digest = hashlib.sha256()
    for name in (closet_file.FILE_NAME, inventory_file.FILE_NAME):
        digest.update((folder / name).read_bytes())
    return digest.hexdigest()
