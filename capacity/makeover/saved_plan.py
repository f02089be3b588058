"""The layout that a search found, kept in its folder, and what it was found for beside it.

`plan.json` is replaced only while it is still the one that stood there when the search began. Else it stays, and the
new layout gets a file of its own, `plan-2.json` or the next that is free; where the folder takes none, one among the
system's temporary files. The closet and the inventory as they were read are kept in `.capacity/fitted/DIGEST/`, where
the digest is the plan's `inputs`: a plan can be drawn for what it was found for, whatever has changed since.
"""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path

from capacity.disk.files import (
    HIDDEN,
    TakenError,
    clear_leftovers,
    make_hidden,
    put_whole,
    read_bytes,
    sync_folder,
    write_text,
)
from capacity.disk.folder_lock import BusyError, one_program
from capacity.errors import Fault, InputError
from capacity.makeover.folder import FolderTexts, fingerprint
from capacity.makeover.plan import FILE_NAME, Plan, format_plan, write_plan

MOST_ASIDE = 99
"""So many layouts are kept beside `plan.json`."""

ASIDE = r"plan-\d+\.json"
"""Their names, as a regular expression."""

COPIES = "fitted"
UNREADABLE = "unreadable"
"""The digest of a `plan.json` that is there and cannot be read."""

_DIGEST = re.compile("[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Before:
    """What a folder held when a search began: both files of the user, and the digest of `plan.json`, empty for none."""

    texts: FolderTexts
    plan: str


def before_search(folder: Path, texts: FolderTexts) -> Before:
    """Note what a search begins from."""
    return Before(texts, _digest(folder / FILE_NAME))


def keep_plan(folder: Path, plan: Plan, before: Before) -> None:
    """Write `plan.json` and the copy of what it was found for, whole or not at all.

    Parameters
    ----------
    folder
        The makeover folder.
    plan
        What was found for `before.texts`.
    before
        What the folder held when the search began.

    Raises
    ------
    InputError
        When another program has written `plan.json` meanwhile, which stays, or it cannot be written: the message names
        the file in which this layout is kept instead.
    """
    clear_leftovers(folder, ASIDE)
    why = "was written by another program while this layout was looked for, and stays"
    try:
        with one_program(folder):
            _keep_copy(folder, before.texts)
            if _digest(folder / FILE_NAME) == before.plan:
                write_plan(plan, folder / FILE_NAME)
                _drop_other_copies(folder)
                return
    except BusyError:
        why = "is being written by another program, and stays"
    except InputError as error:
        why = error.faults[0].problem
        if "does not confirm" in why:
            raise
    raise InputError([Fault(FILE_NAME, "", f"{why}; {_kept_aside(folder, plan)}")])


def changed_meanwhile(folder: Path, before: Before) -> bool:
    """Whether the count or the closet is no longer what the layout was looked for."""
    try:
        return fingerprint(folder) != before.texts.digest
    except OSError:
        return True


def fitted_folder(folder: Path, digest: str) -> Path:
    """Where the copy lies for which a layout was found; `digest` is `inputs` of its plan, whoever wrote it."""
    return folder / HIDDEN / COPIES / (digest if _DIGEST.fullmatch(digest) else "unknown")


def _keep_copy(folder: Path, texts: FolderTexts) -> None:
    """Keep both files as they were read; a layout that cannot be drawn later is still a layout, so no error goes up."""
    try:
        copy = fitted_folder(make_hidden(folder).parent, texts.digest)
        copy.mkdir(parents=True, exist_ok=True)
        for name, data in texts.files.items():
            put_whole(copy / name, data)
        for place in (copy, copy.parent, copy.parent.parent, folder):
            sync_folder(place)
    except OSError:
        return


def _drop_other_copies(folder: Path) -> None:
    """Drop the copies for which no layout is kept any more."""
    copies = folder / HIDDEN / COPIES
    try:
        kept = [path for path in folder.iterdir() if path.name == FILE_NAME or re.fullmatch(ASIDE, path.name)]
        used = {_inputs_of(path) for path in kept}
        others = sorted(place for place in copies.iterdir() if _DIGEST.fullmatch(place.name) and place.name not in used)
    except OSError:
        return
    for place in others:
        shutil.rmtree(place, ignore_errors=True)


def _inputs_of(path: Path) -> str:
    """What a layout that is kept was found for; empty where that cannot be told."""
    try:
        plan = json.loads(read_bytes(path))
    except (OSError, ValueError, RecursionError):
        return ""
    return str(plan.get("inputs", "")) if isinstance(plan, dict) else ""


def _kept_aside(folder: Path, plan: Plan) -> str:
    """Keep a layout under another name; returns where, in words."""
    stem, ending = FILE_NAME.split(".")
    full = ""
    for number in range(2, MOST_ASIDE + 2):
        name = f"{stem}-{number}.{ending}"
        if not (folder / name).exists():
            try:
                write_text(folder / name, format_plan(plan), is_new=True)
            except TakenError:  # made by another in this instant
                continue
            except InputError as error:
                if "does not confirm" not in error.faults[0].problem:
                    break
            return f"this layout is kept in {name}: to use it, give it the name {FILE_NAME}"
    else:
        full = f"{MOST_ASIDE} layouts are kept beside it already, take some away; "
    try:
        with tempfile.NamedTemporaryFile(
            "w", prefix="capacity-plan-", suffix=".json", delete=False, encoding="utf-8", newline=""
        ) as file:
            file.write(format_plan(plan))
    except OSError:
        return f"{full}this layout could be kept nowhere"
    return f"{full}this layout is kept in {file.name}: to use it, copy it to {folder / FILE_NAME}"


def _digest(path: Path) -> str:
    try:
        return hashlib.sha256(read_bytes(path)).hexdigest()
    except FileNotFoundError:
        return ""
    except OSError:
        return UNREADABLE
