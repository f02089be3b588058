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
from pathlib import Path

from capacity.errors import Fault, InputError
from capacity.files import confirm, sync_folder

NAME = "build"
MANIFEST = "parts.json"
SCHEMA = "capacity.build/1"
_OLD, _NEW = ".build-old", ".build-new-"


def require_ours(folder: Path) -> None:
    """Refuse to replace a `build` that holds anything this program has not written.

    Raises
    ------
    InputError
        Naming what stands in the way.
    """
    build = folder / NAME
    try:
        _restore(folder)
        there = sorted(path.name for path in build.iterdir()) if build.is_dir() else []
    except OSError as error:
        raise InputError([Fault(NAME, "", f"cannot be looked into: {error.strerror}")]) from None
    if not build.exists() and not build.is_symlink():
        return
    if build.is_symlink() or not build.is_dir():
        raise InputError([Fault(NAME, "", "is there and is not a folder; move it away")])
    try:
        known = json.loads((build / MANIFEST).read_text(encoding="utf-8"))
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
        When there is no room or no permission; the old folder is whole then.
    """
    require_ours(folder)
    build, old = folder / NAME, folder / _OLD
    try:
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
