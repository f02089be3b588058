"""Reading and writing whole files: never half a file, never a file too large to be meant."""

from __future__ import annotations

import errno
import os
import tempfile
from contextlib import suppress
from pathlib import Path

from capacity.errors import Fault, InputError

HIDDEN = ".capacity"
"""The subfolder of a makeover folder for what need not be kept: progress, copies, old versions."""


def read_text(path: Path, most_bytes: int) -> str:
    """Read a UTF-8 text file, a byte order mark allowed.

    Raises
    ------
    InputError
        When the file is missing, unreadable, larger than `most_bytes`, or not UTF-8.
    """
    try:
        if path.stat().st_size > most_bytes:
            problem = f"the file is larger than {most_bytes // 1_000_000} MB; is it the right one?"
            raise InputError([Fault(path.name, "", problem)])
        data = path.read_bytes()
    except FileNotFoundError:
        maker = "fit" if path.name == "plan.json" else "start"
        makes = "writes one" if maker == "fit" else "makes a folder that has one"
        problem = f"there is no such file in {path.parent}; `capacity {maker}` {makes}"
        raise InputError([Fault(path.name, "", problem)]) from None
    except OSError as error:
        raise InputError([Fault(path.name, "", f"cannot be read: {error.strerror}")]) from None
    return decode_text(data, path.name)


def decode_text(data: bytes, name: str) -> str:
    """The text in the bytes of a file of that name: UTF-8, a byte order mark allowed.

    Raises
    ------
    InputError
        When they are no such text.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        problem = f"line {line} is not UTF-8 text; save the file again as UTF-8 (in a spreadsheet: CSV UTF-8)"
        raise InputError([Fault(name, "", problem)]) from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        problem = f"line {line} has a NUL character; save the file again as plain UTF-8 text"
        raise InputError([Fault(name, "", problem)])
    return text


def write_text(path: Path, text: str) -> None:
    """Write a whole file or leave the old one: new file beside it, flushed to disk, then swapped in.

    A link to a file stays one: the file that it leads to is written.

    Raises
    ------
    InputError
        When the folder cannot be written; nothing has been changed then. Or when the disk does not confirm the swap.
    """
    path = real_path(path)
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".new")
    except OSError as error:
        problem = f"cannot be written in {path.parent}: {error.strerror}"
        raise InputError([Fault(path.name, "", problem)]) from None
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, _mode_of(path))
        os.replace(name, path)
    except OSError as error:
        take_away(Path(name))
        cure = "; if a spreadsheet has it open, close it there" if isinstance(error, PermissionError) else ""
        raise InputError([Fault(path.name, "", f"cannot be written: {error.strerror}{cure}")]) from None
    except BaseException:
        take_away(Path(name))
        raise
    confirm(path)


def real_path(path: Path) -> Path:
    """The file that a link leads to, or the path itself where it is none."""
    return Path(os.path.realpath(path)) if path.is_symlink() else path


def take_away(path: Path) -> None:
    """Take away a file that is of no more use, where the folder lets us."""
    with suppress(OSError):
        path.unlink(missing_ok=True)


def confirm(path: Path) -> None:
    """Have a file's place in its folder last through a power cut.

    Raises
    ------
    InputError
        When the disk does not confirm it; the file is in its place all the same.
    """
    try:
        sync_folder(path.parent)
    except OSError as error:
        problem = f"was written, but the disk does not confirm it ({error.strerror}); look after the disk"
        raise InputError([Fault(path.name, "", problem)]) from None


def make_hidden(folder: Path) -> Path:
    """The hidden subfolder, made if it is not there, and kept out of git.

    Raises
    ------
    OSError
        When it cannot be made.
    """
    hidden = folder / HIDDEN
    hidden.mkdir(exist_ok=True)
    ignored = hidden / ".gitignore"
    if not ignored.exists():
        handle, name = tempfile.mkstemp(dir=hidden)
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write("*\n")
            os.replace(name, ignored)
        except BaseException:
            take_away(Path(name))
            raise
    return hidden


def require_writable(folder: Path) -> None:
    """Refuse a folder in which the answer could not be saved, before any long work.

    Raises
    ------
    InputError
        When no file can be made in the folder.
    """
    try:
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError as error:
        raise InputError([Fault(str(folder), "", f"cannot be written: {error.strerror}")]) from None


def _mode_of(path: Path) -> int:
    try:
        return path.stat().st_mode & 0o777
    except FileNotFoundError:
        return 0o644


def sync_folder(folder: Path) -> None:
    """Make what happened to the names in a folder last through a power cut, where the system can (not on Windows).

    Raises
    ------
    OSError
        When the disk is broken or full.
    """
    try:
        descriptor = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(descriptor)
    except OSError as error:
        if error.errno in (errno.EIO, errno.ENOSPC, errno.EDQUOT):
            raise
    finally:
        os.close(descriptor)
