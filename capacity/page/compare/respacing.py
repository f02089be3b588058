"""Today's bays kept and only their shelves and rods re-spaced: found on request, kept in the hidden subfolder."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from capacity.closet.closet import FILE_NAME as CLOSET_NAME
from capacity.closet.closet import Closet, read_closet
from capacity.closet.saving import read_data
from capacity.closet.text_edits import Edit, changed_text
from capacity.disk.files import HIDDEN, make_hidden, put_whole, read_bytes, read_text, write_text
from capacity.errors import InputError
from capacity.makeover.folder import fingerprint
from capacity.makeover.plan import FILE_NAME as PLAN_NAME
from capacity.makeover.plan import Plan, read_plan
from capacity.page.errand import look_for_layout
from capacity.page.words import told
from capacity.wardrobe.inventory import FILE_NAME as INVENTORY_NAME

NAME = "respaced"
MOST_BYTES = 2_000_000


@dataclass(frozen=True, slots=True)
class Respaced:
    """What is known about it: the layout and its closet, or why there is none; `is_old` when the folder has changed."""

    closet: Closet | None = None
    plan: Plan | None = None
    is_old: bool = False


def folder_of(folder: Path) -> Path:
    """Where the variant of a makeover folder lies."""
    return folder / HIDDEN / NAME


def start(folder: Path) -> str:
    """Make the variant and look for its layout; returns what is wrong, empty when it has been started."""
    try:
        text = _closet_text(folder)
        variant = make_hidden(folder) / NAME
        variant.mkdir(exist_ok=True)
        (variant / PLAN_NAME).unlink(missing_ok=True)
        put_whole(variant / INVENTORY_NAME, read_bytes(folder / INVENTORY_NAME))
        write_text(variant / CLOSET_NAME, text)
    except InputError as error:
        return "; ".join(told(error))
    except OSError as error:
        return f"This cannot be tried in {folder}: {error.strerror}"
    look_for_layout(variant, 0.0)
    return ""


def read_respaced(folder: Path) -> Respaced:
    """What was found last, held against the folder as it is now."""
    variant = folder_of(folder)
    try:
        plan = read_plan(variant / PLAN_NAME)
        closet = read_closet(variant / CLOSET_NAME)
        now = _closet_text(folder)
        same = now == read_text(variant / CLOSET_NAME, MOST_BYTES) and (
            read_bytes(folder / INVENTORY_NAME) == read_bytes(variant / INVENTORY_NAME)
        )
        return Respaced(closet, plan, is_old=not same or plan.inputs != fingerprint(variant))
    except (InputError, OSError):
        return Respaced()


def _closet_text(folder: Path) -> str:
    """The closet file with today's bays kept; bays that must be would contradict that, so they go."""
    path = folder / CLOSET_NAME
    wishes = read_data(path).get("wishes", {})
    changes = [Edit(("wishes", name), None) for name in ("bay", "drawers", "unit") if name in wishes]
    return changed_text(read_text(path, MOST_BYTES), [*changes, Edit(("wishes", "keep_bays"), True)])
