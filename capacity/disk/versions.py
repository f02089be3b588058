"""The last versions of a user's file, for Undo and Redo, in the hidden subfolder beside it.

`.capacity/versions/inventory.csv/past-00000012` is what `inventory.csv` was before its last change; `future-` files
are what was undone. A version is a second name of the old file itself (a hard link, a copy where the system has
none): the change swaps in a new file, so nothing is written twice and a version costs next to nothing.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Literal, get_args

from capacity.disk.files import (
    HIDDEN,
    clear_leftovers,
    confirm,
    make_hidden,
    put_whole,
    read_bytes,
    real_path,
    take_away,
    write_text,
)
from capacity.errors import Fault, InputError

MOST_VERSIONS = 10
"""So many changes can be undone."""

_Side = Literal["past", "future"]


def write_version(path: Path, text: str, joins_last: bool = False) -> None:
    """Write a file, whole or not at all, and keep what stood there as a version.

    Parameters
    ----------
    path
        The file.
    text
        Its new text.
    joins_last
        True: this change belongs to the last one, and both are undone together.

    Raises
    ------
    InputError
        When the folder cannot be written; the file is as it was then.
    """
    kept = None
    if path.exists() and not (joins_last and _kept(path, "past")):
        kept = _keep(path, "past")
    try:
        write_text(path, text)
    except BaseException:
        if kept is not None:
            take_away(kept)
        raise
    for oldest in _kept(path, "past")[:-MOST_VERSIONS]:
        take_away(oldest)
    for undone in _kept(path, "future"):
        take_away(undone)


def undo(path: Path) -> bool:
    """Bring back what the file was before its last change; False when no version is left.

    What is there now is kept for `redo`, even when another program wrote it.
    """
    return _step(path, "past", "future")


def redo(path: Path) -> bool:
    """Bring back what was undone last; False when nothing was undone since the last change."""
    return _step(path, "future", "past")


def would_bring(path: Path, way: Literal["undo", "redo"]) -> bytes | None:
    """What `undo` or `redo` would bring back; None where there is nothing that differs from the file as it is."""
    try:
        now = read_bytes(path) if path.exists() else None
        texts = (read_bytes(version) for version in reversed(_kept(path, "past" if way == "undo" else "future")))
        return next((text for text in texts if text != now), None)
    except OSError:
        return None


def forget(path: Path) -> None:
    """Drop every version of a file, where one of them would no longer mean what it meant.

    Raises
    ------
    InputError
        When one cannot be dropped.
    """
    try:
        for side in get_args(_Side):
            for version in _kept(path, side):
                version.unlink(missing_ok=True)
    except OSError as error:
        problem = f"its old versions cannot be dropped: {error.strerror}"
        raise InputError([Fault(path.name, "", problem)]) from None


def _step(path: Path, source: _Side, target: _Side) -> bool:
    while versions := _kept(path, source):
        version = versions[-1]
        try:
            if path.exists():
                if read_bytes(version) == read_bytes(path):  # nothing would be seen to change
                    version.unlink()
                    continue
                _keep(path, target)
            os.utime(version)
            if path.is_symlink():  # what it leads to may lie on another disk
                _copy(version, real_path(path))
                take_away(version)
            else:
                os.replace(version, path)
        except OSError as error:
            raise InputError([Fault(path.name, "", f"cannot be written: {error.strerror}")]) from None
        confirm(version)
        confirm(real_path(path))
        return True
    return False


def _keep(path: Path, side: _Side) -> Path:
    """Give the file as it is now a place among the versions."""
    folder = _folder(path)
    try:
        make_hidden(path.parent)
        folder.mkdir(parents=True, exist_ok=True)
        kept = _kept(path, side)
        place = folder / f"{side}-{_number(kept[-1]) + 1 if kept else 1:08d}"
        _second_name(path, place)
    except OSError as error:
        problem = (
            f"its old version cannot be kept in {folder}: {error.strerror}; make that a folder that can be written"
        )
        raise InputError([Fault(path.name, "", problem)]) from None
    return place


def _second_name(path: Path, place: Path) -> None:
    try:
        if path.is_symlink():
            raise OSError  # the link would be kept, not what it points to
        os.link(path, place)
    except OSError:
        _copy(path, place)


def _copy(source: Path, place: Path) -> None:
    clear_leftovers(place.parent, r"(?:past|future)-\d+")
    put_whole(place, read_bytes(source))


def _kept(path: Path, side: _Side) -> list[Path]:
    """The versions of one side, the oldest change (or undoing) first."""
    folder = _folder(path)
    if not folder.is_dir():
        return []
    named = [one for one in folder.iterdir() if one.name.startswith(f"{side}-") and one.name[len(side) + 1 :].isdigit()]
    return sorted(named, key=_number)


def _number(version: Path) -> int:
    return int(version.name.rpartition("-")[2])


def _folder(path: Path) -> Path:
    return path.parent / HIDDEN / "versions" / path.name
