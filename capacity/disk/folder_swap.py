"""A folder written whole or not at all: made beside the old one under another name, then swapped in.

Between the two renames of the swap there is no `build`; whoever is killed just there leaves the old folder under its
other name, and the next run puts it back first.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from contextlib import ExitStack
from pathlib import Path

from capacity.disk.file_lock import hold
from capacity.disk.files import confirm, make_hidden, read_bytes, sync_folder
from capacity.errors import Fault, InputError

NAME = "build"
MANIFEST = "parts.json"
SCHEMA = "capacity.build/1"
LOCK = "build.lock"
LONGEST_WRITE = 30.0
"""How long one waits for another program that is writing `build` [s]."""

_OLD, _NEW = ".build-old", ".build-new-"


def require_ours(folder: Path) -> None:
    """Refuse to replace a `build` that holds anything this program has not written.

    Raises
    ------
    InputError
        Naming what stands in the way.
    """
    with ExitStack() as stack:
        rests = (folder / _OLD).is_dir() or any(folder.glob(f"{_NEW}*"))
        try:
            if rests and stack.enter_context(hold(make_hidden(folder) / LOCK, 0)):  # else somebody is just writing
                _restore(folder)
        except OSError as error:
            raise InputError([Fault(NAME, "", f"cannot be looked into: {error.strerror}")]) from None
    _refuse_foreign(folder)


def _refuse_foreign(folder: Path) -> None:
    build = folder / NAME
    try:
        there = sorted(path.name for path in build.iterdir()) if build.is_dir() else []
    except OSError as error:
        raise InputError([Fault(NAME, "", f"cannot be looked into: {error.strerror}")]) from None
    if not build.exists() and not build.is_symlink():
        return
    if build.is_symlink() or not build.is_dir():
        raise InputError([Fault(NAME, "", "is there and is not a folder; move it away")])
    try:
        known = json.loads(read_bytes(build / MANIFEST))
        is_ours = known["schema"] == SCHEMA
        files = {str(name) for name in known["files"]}
    except (OSError, ValueError, KeyError, TypeError):
        is_ours, files = False, set()
    if not is_ours and there:
        raise InputError([Fault(NAME, "", f"holds {there[0]}, which this program has not written; move it away")])
    for name in there:
        if name not in files:
            raise InputError([Fault(NAME, name, "was not written by this program; move it out of the folder")])


def write_folder(folder: Path, files: Mapping[str, bytes]) -> Path:
    """Write all files as `folder/build`, or leave the old one as it was.

    Raises
    ------
    InputError
        When there is no room or no permission, or another program is just writing it; the old folder is whole then.
    """
    with ExitStack() as stack:
        try:
            is_ours = stack.enter_context(hold(make_hidden(folder) / LOCK, LONGEST_WRITE))
        except OSError as error:
            raise InputError([Fault(NAME, "", f"cannot be written in {folder}: {error.strerror}")]) from None
        if not is_ours:
            raise InputError([Fault(NAME, "", "another build is being written here; try again")])
        return _write_folder(folder, files)


def _write_folder(folder: Path, files: Mapping[str, bytes]) -> Path:
    build, old = folder / NAME, folder / _OLD
    try:
        _restore(folder)
        _refuse_foreign(folder)
        new = Path(tempfile.mkdtemp(dir=folder, prefix=_NEW))
    except OSError as error:
        raise InputError([Fault(NAME, "", f"cannot be written in {folder}: {error.strerror}")]) from None
    try:
        for name, data in files.items():
            _write(new / name, data)
        new.chmod(0o755)
        sync_folder(new)
        if build.exists():
            os.replace(build, old)
        try:
            os.replace(new, build)
        except OSError:
            if old.exists():
                os.replace(old, build)
            raise
    except OSError as error:
        shutil.rmtree(new, ignore_errors=True)
        raise InputError([Fault(NAME, "", f"cannot be written: {error.strerror}; nothing was changed")]) from None
    except BaseException:
        shutil.rmtree(new, ignore_errors=True)
        raise
    confirm(build)
    shutil.rmtree(old, ignore_errors=True)
    return build


def _write(path: Path, data: bytes) -> None:
    with open(path, "xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _restore(folder: Path) -> None:
    """Put back what a run that was killed half way through the swap has left, and clear its rest."""
    build, old = folder / NAME, folder / _OLD
    if old.is_dir():
        if build.exists():
            shutil.rmtree(old, ignore_errors=True)
        else:
            os.replace(old, build)
    for rest in folder.glob(f"{_NEW}*"):
        shutil.rmtree(rest, ignore_errors=True)
