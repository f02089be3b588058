"""Makeover folders made by name: empty ones, and copies as a variant; whole or not at all, never over another."""

from __future__ import annotations

import os
import re
import shutil
import tempfile
import unicodedata
from collections.abc import Callable
from pathlib import Path

from capacity.closet.closet import FILE_NAME as CLOSET_NAME
from capacity.disk.file_lock import is_abandoned, marked
from capacity.disk.files import HALF, confirm, put_whole, read_bytes, sync_folder, write_text
from capacity.errors import Fault, InputError
from capacity.makeover.plan import FILE_NAME as PLAN_NAME
from capacity.wardrobe.inventory import FILE_NAME as INVENTORY_NAME

COPIED = (INVENTORY_NAME, CLOSET_NAME, PLAN_NAME)
"""What a variant takes over, as far as it is there; a packet is made anew."""

HEADER = "what,count,size,owner,use,label\n"
MOST_BYTES = 200
"""Longest name of a folder in UTF-8; file systems take 255, and a name for the half-made copy is longer."""

_RESERVED = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?", re.IGNORECASE)


def folder_name(text: str) -> str:
    """A name that makes a folder here and nowhere else, on every system that the folder may be carried to.

    Raises
    ------
    InputError
        When it is none: empty, a path, hidden, too long, or with a sign that some system refuses.

    Examples
    --------
    >>> folder_name("  with drawers ")
    'with drawers'
    """
    name = unicodedata.normalize("NFC", " ".join(text.split(" ")).strip(" "))
    odd = sorted({sign for sign in name if sign in '/\\<>:"|?*' or not sign.isprintable()})
    if not name:
        problem = "is empty; type a name such as with drawers"
    elif odd:
        shown = " ".join(sign if sign.isprintable() else f"U+{ord(sign):04X}" for sign in odd)
        problem = f"has {shown}, which no name of a folder may have; use letters, digits, spaces and hyphens"
    elif name.startswith((".", "-", "~")) or name.endswith("."):
        problem = "begins with . - or ~, or ends with a full stop; use another name"
    elif _RESERVED.fullmatch(name):
        problem = f"{name} is a name that some systems keep for a device; use another"
    elif len(name.encode("utf-8", "surrogatepass")) > MOST_BYTES:
        problem = f"is longer than {MOST_BYTES} bytes; use a shorter one"
    else:
        return name
    raise InputError([Fault("name of the folder", "", problem)])


def make_empty(parent: Path, text: str) -> Path:
    """A folder with an inventory that has columns and no pile yet.

    Raises
    ------
    InputError
        When the name is none, something of that name is there, or nothing can be made in `parent`.
    """
    return _make(parent, folder_name(text), lambda half: write_text(half / INVENTORY_NAME, HEADER))


def copy_variant(folder: Path, text: str) -> Path:
    """A copy of a makeover folder beside it: the count, the closet and the layout found for them.

    Raises
    ------
    InputError
        As for `make_empty`, and when there is nothing to copy or it cannot be read.
    """
    there = [folder / name for name in COPIED if (folder / name).is_file()]
    if not there:
        raise InputError([Fault(folder.name, "", f"has neither {INVENTORY_NAME} nor {CLOSET_NAME} to be copied")])

    def fill(half: Path) -> None:
        for path in there:
            put_whole(half / path.name, read_bytes(path))

    return _make(folder.parent, folder_name(text), fill)


def _make(parent: Path, name: str, fill: Callable[[Path], None]) -> Path:
    """Fill a folder under another name, then give it its own."""
    target = parent / name
    _clear_leftovers(parent, name)
    if os.path.lexists(target):
        raise InputError([Fault(name, "", f"is already in {parent}; nothing is overwritten")])
    half: Path | None = None
    try:
        half = Path(tempfile.mkdtemp(dir=parent, prefix=f".{name}.", suffix=HALF))
        with marked(half):
            fill(half)
            half.chmod(0o755)
            sync_folder(half)
            os.rename(half, target)
    except OSError as error:
        raise InputError([Fault(name, "", f"cannot be made in {parent}: {error.strerror}")]) from None
    finally:
        if half is not None:
            shutil.rmtree(half, ignore_errors=True)
    confirm(target)
    return target


def _clear_leftovers(parent: Path, name: str) -> None:
    """Take away what a program that was killed has left of a folder of this name; a living one holds its lock."""
    ours = re.compile(rf"\.{re.escape(name)}\.[a-z0-9_]{{8}}\{HALF}")
    try:
        halves = sorted(path for path in parent.iterdir() if ours.fullmatch(path.name))
    except OSError:
        return
    for half in halves:
        if half.is_dir() and not half.is_symlink() and is_abandoned(half):
            shutil.rmtree(half, ignore_errors=True)
