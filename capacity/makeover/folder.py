"""A makeover folder read whole: both of the user's files, the faults of both at once."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from capacity.closet import closet as closet_file
from capacity.closet.closet import FILE_NAME, Closet, load_closet, read_closet
from capacity.closet.edging import edge_faults
from capacity.disk.files import read_bytes
from capacity.errors import Fault, InputError
from capacity.layout.drawer_rule import DRAWER_ENDS, DRAWER_HEIGHT, slide_length
from capacity.makeover.decisions import bay_faults, fixed_bays, lock_faults
from capacity.makeover.files_to_problem import size_problem
from capacity.wardrobe import inventory as inventory_file
from capacity.wardrobe.inventory import Inventory, read_inventory

NAMES = (closet_file.FILE_NAME, inventory_file.FILE_NAME)
MOST_TRIES = 20
"""So often the files are read when they change meanwhile."""


@dataclass(frozen=True, slots=True)
class FolderTexts:
    """Both of the user's files, byte for byte, by name; `digest` is their `fingerprint`."""

    files: Mapping[str, bytes]

    @property
    def digest(self) -> str:
        """A digest of what a search reads of both, by which a plan can tell that it is stale.

        A remark, the closet's name, the price of glue or what was built makes no plan stale.
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
    unread = {"name", "season", *([] if wishes.get("keep_bays") else ["built"])}
    if not wishes.get("budget"):
        unread |= {"prices", "hardware"}
    return json.dumps({key: settings[key] for key in settings.keys() - unread}, sort_keys=True, default=str).encode()


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
        faults += bank_faults(closet, inventory) if not faults else ()
    if faults or closet is None or inventory is None:
        raise InputError(faults)
    return closet, inventory


def fingerprint(folder: Path) -> str:
    """A digest of both files, by which a plan can tell that it is stale."""
    return FolderTexts({name: read_bytes(folder / name) for name in NAMES}).digest


def bank_faults(closet: Closet, inventory: Inventory) -> Iterator[Fault]:
    """Banks that cannot be built: too wide for their panels, too low or too shallow a drawer, too high for the wall."""
    problem = size_problem(closet, inventory)
    thick = problem.rules.panel

    show = closet.show

    def fault(number: int, name: str, words: str) -> Fault:
        return Fault(FILE_NAME, f"[[wishes.drawers]] {number}, {name}", words)

    for number, item in enumerate((item for item in fixed_bays(closet) if item.prescribed), start=1):
        height = item.prescribed[0].height
        run = problem.runs[item.run]
        if item.width > problem.rules.max_shelf:
            longest = show(problem.rules.max_shelf)
            yield fault(number, "width", f"{show(item.width)} is more than a shelf may be long, {longest}")
        if height <= DRAWER_HEIGHT:
            words = f"{show(height)} leaves nothing inside; a drawer takes {show(DRAWER_HEIGHT)} for itself"
            yield fault(number, "height", words)
        if slide_length(item.depth) <= DRAWER_ENDS:
            yield fault(number, "wall", f"{show(item.depth)} is too shallow for the slides of a drawer")
            continue
        head = problem.rules.base_over(item.prescribed)
        room = problem.head_over(run, item.left, item.left + item.width) - thick
        least = max(1, problem.rules.least_opening)
        if head + least > room:
            most = max(0, (room - problem.rules.base - least) // (height + thick))
            words = f"{len(item.prescribed)} drawers reach up to {show(head)}, and an opening must be left below"
            more = f", {show(least)} high at least" if least > 1 else ""
            yield fault(number, "count", f"{words} {show(room)}{more}: at most {most}")
        for box in run.blocked:
            if item.left - thick < box.right and box.left < item.left + item.width + thick and box.bottom < head:
                yield fault(number, "left", f"the drawers would stand in the blocked part at {show(box.left)}")
