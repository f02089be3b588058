"""Reading and writing whole files: never half a file, never a file too large to be meant."""

from __future__ import annotations

import errno
import os
import re
import stat
import tempfile
from contextlib import suppress
from pathlib import Path

from capacity.disk.file_lock import is_abandoned, marked
from capacity.errors import Fault, InputError

HIDDEN = ".capacity"
"""The subfolder of a makeover folder for what need not be kept: progress, copies, old versions."""

HALF = ".new"
"""How the name of a file ends that is not yet whole: `.NAME.XXXXXXXX.new`."""

MOST_BYTES = 20_000_000
"""No file of a makeover folder is larger."""

TRIES = 3
"""So often a file is begun when it is taken away before it is marked as being written."""


class TakenError(InputError):
    """A file that was to be new is there already."""


def read_text(path: Path, most_bytes: int) -> str:
    """Read a UTF-8 text file, a byte order mark allowed.

    Raises
    ------
    InputError
        When the file is missing, unreadable, larger than `most_bytes`, or not UTF-8.
    """
    try:
        data = read_bytes(path, most_bytes)
    except FileNotFoundError:
        maker = "fit" if path.name == "plan.json" else "start"
        makes = "writes one" if maker == "fit" else "makes a folder that has one"
        problem = f"there is no such file in {path.parent}; `capacity {maker}` {makes}"
        raise InputError([Fault(path.name, "", problem)]) from None
    except OSError as error:
        problem = f"cannot be read: {error.strerror}"
        if error.errno == errno.EFBIG:
            problem = f"the file is larger than {most_bytes / 1_000_000:g} MB; is it the right one?"
        raise InputError([Fault(path.name, "", problem)]) from None
    return decode_text(data, path.name)


def read_bytes(path: Path, most_bytes: int = MOST_BYTES) -> bytes:
    """Read an ordinary file; a device, a pipe or what is too large is never waited for or read to its end.

    Raises
    ------
    OSError
        When it cannot be read; with the number `EFBIG` where it is larger than `most_bytes`.
    """
    descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with open(descriptor, "rb") as file:
        mode = os.fstat(descriptor).st_mode
        if stat.S_ISDIR(mode):
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
        if not stat.S_ISREG(mode):
            raise OSError(errno.EINVAL, "it is no ordinary file", str(path))
        data = file.read(most_bytes + 1)
    if len(data) > most_bytes:
        raise OSError(errno.EFBIG, os.strerror(errno.EFBIG), str(path))
    return data


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
        how = " (in a spreadsheet: CSV UTF-8)" if name.endswith(".csv") else ""
        problem = f"line {line} is not UTF-8 text; save the file again as UTF-8{how}"
        raise InputError([Fault(name, "", problem)]) from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        problem = f"line {line} has a NUL character; save the file again as plain UTF-8 text"
        raise InputError([Fault(name, "", problem)])
    return text


def write_text(path: Path, text: str | bytes, is_new: bool = False, lasts: bool = True) -> None:
    """Write a whole file or leave the old one: new file beside it, flushed to disk, then swapped in.

    A link to a file stays one: the file that it leads to is written. What a writer that was killed has left of the same
    file is cleared away.

    Parameters
    ----------
    path, text
        The file and all that it is to hold, as UTF-8 or as bytes.
    is_new
        True: a file that is there already, also one made in this instant, is refused and stays.
    lasts
        False: what need not last through a power cut is not flushed, which is much quicker; it is whole all the same.

    Raises
    ------
    TakenError
        When `is_new` and the file is there.
    InputError
        When the folder cannot be written; nothing has been changed then. Or when the disk does not confirm the swap.
    """
    path = real_path(path)
    data = text if isinstance(text, bytes) else text.encode("utf-8")
    try:
        half = _half_of(path)
    except OSError as error:
        problem = f"cannot be written in {path.parent}: {error.strerror}"
        raise InputError([Fault(path.name, "", problem)]) from None
    try:
        _fill_and_swap(half, data, path, is_new, lasts)
    except FileExistsError:
        raise TakenError([Fault(path.name, "", f"is already in {path.parent}; nothing is overwritten")]) from None
    except OSError as error:
        cure = "; if a spreadsheet has it open, close it there" if isinstance(error, PermissionError) else ""
        raise InputError([Fault(path.name, "", f"cannot be written: {error.strerror}{cure}")]) from None
    if lasts:
        confirm(path)


def put_whole(path: Path, data: bytes) -> None:
    """Write a file, whole and flushed, or leave the old one; that it lasts in its folder is `sync_folder`'s.

    Raises
    ------
    OSError
        When it cannot be written; nothing has been changed then.
    """
    _fill_and_swap(_half_of(path), data, path, is_new=False)


def clear_leftovers(folder: Path, names: str) -> None:
    """Take away what killed writers have left half written in a folder, of the files whose names match a pattern.

    A writer that lives holds the lock of its own half, which stays. Nothing with another name is touched.

    Parameters
    ----------
    folder
        Where to look.
    names
        A regular expression for the names of the files that were being written.
    """
    ours = re.compile(rf"\.(?:{names})\.[a-z0-9_]{{8}}\{HALF}")
    try:
        with os.scandir(folder) as entries:
            halves = [entry.name for entry in entries if ours.fullmatch(entry.name)]
    except OSError:
        return
    for name in sorted(halves):
        half = folder / name
        if half.is_file() and not half.is_symlink() and is_abandoned(half):
            take_away(half)


def _half_of(path: Path) -> Path:
    """A new empty file beside the one that is to be written."""
    clear_leftovers(path.parent, re.escape(path.name))
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=HALF)
    os.close(handle)
    return Path(name)


def _fill_and_swap(half: Path, data: bytes, path: Path, is_new: bool, lasts: bool = True) -> None:
    for _ in range(TRIES):
        try:
            with marked(half):
                with open(half, "r+b") as file:
                    file.write(data)
                    file.flush()
                    if lasts:
                        os.fsync(file.fileno())
                os.chmod(half, _mode_of(path))
                if is_new:
                    _name_anew(half, path)
                else:
                    os.replace(half, path)
            return
        except FileNotFoundError:  # taken for abandoned before it was marked
            if not path.parent.is_dir():
                raise
            half = _half_of(path)
        except BaseException:
            take_away(half)
            raise
    take_away(half)
    raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), str(half))


def _name_anew(half: Path, path: Path) -> None:
    """Give a file its name, unless another has it.

    Raises
    ------
    FileExistsError
        When another has it.
    """
    try:
        os.link(half, path)
    except FileExistsError:
        raise
    except OSError as error:
        if error.errno not in (errno.EPERM, errno.ENOTSUP, errno.ENOSYS, errno.EMLINK):
            raise
        if os.path.lexists(path):  # a disk without links: two in the same instant are not told apart
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path)) from None
        os.replace(half, path)
    else:
        take_away(half)


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
        put_whole(ignored, b"*\n")
        sync_folder(hidden)
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
