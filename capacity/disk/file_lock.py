"""A lock that processes hold on a file; the system lets go of it when its process ends in whatever way."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from importlib import import_module
from pathlib import Path
from typing import IO, Any

SIGNED_FROM, MOST_DIGITS = 1, 20
"""Where the holder's number begins and how long it is at most: on Windows nobody else reads the byte that is locked."""

STEP = 0.005
"""How long one waits before the next try [s]."""


class Posix:
    """Locks of a whole file or folder; those who only look share one."""

    can_mark = True

    def __init__(self) -> None:
        self._calls: Any = import_module("fcntl")

    def take(self, file: IO[bytes] | int, for_a_look: bool = False) -> None:
        """Take the lock of an open file, or raise `OSError`."""
        self._calls.flock(file, (self._calls.LOCK_SH if for_a_look else self._calls.LOCK_EX) | self._calls.LOCK_NB)

    def let_go(self, file: IO[bytes]) -> None:
        """Let go of it."""
        self._calls.flock(file, self._calls.LOCK_UN)


class Windows:
    """Locks of the first byte of a file, which nobody else reads or writes meanwhile; a look takes it as well.

    A folder cannot be locked so, and a file with a locked byte cannot be given another name: nothing is marked.
    """

    can_mark = False

    def __init__(self) -> None:
        self._calls: Any = import_module("msvcrt")

    def take(self, file: IO[bytes] | int, for_a_look: bool = False) -> None:
        """Take the lock of an open file, or raise `OSError`."""
        self._first_byte(file, self._calls.LK_NBLCK)

    def let_go(self, file: IO[bytes]) -> None:
        """Let go of it."""
        self._first_byte(file, self._calls.LK_UNLCK)

    def _first_byte(self, file: IO[bytes] | int, how: int) -> None:
        descriptor = file if isinstance(file, int) else file.fileno()
        os.lseek(descriptor, 0, os.SEEK_SET)
        self._calls.locking(descriptor, how, 1)


SYSTEM: Posix | Windows = Windows() if sys.platform == "win32" else Posix()


@contextmanager
def hold(path: Path, patience: float, signs: bool = False) -> Iterator[bool]:
    """Hold the lock of a file while the block runs; gives whether it was got within `patience` [s].

    With `signs`, the file then holds the number of this process, for `holder`.

    Raises
    ------
    OSError
        When the file can be neither opened nor made.
    """
    with path.open("a+b") as file:
        is_held = _take_within(file, patience)
        if is_held and signs:
            _sign(file)
        try:
            yield is_held
        finally:
            if is_held:
                SYSTEM.let_go(file)


def is_held(path: Path) -> bool:
    """Whether anybody holds the lock of a file now; a file that is missing or closed to us is held by nobody.

    Those who only ask do not take each other for a holder.
    """
    try:
        with path.open("r+b") as file:
            is_free = _take(file, for_a_look=True)
            if is_free:
                SYSTEM.let_go(file)
            return not is_free
    except OSError:
        return False


def holder(path: Path) -> int | None:
    """The number of the process that holds the lock of a file and signed it; None where there is none to be known."""
    if not is_held(path):
        return None
    try:
        with path.open("rb") as file:
            file.seek(SIGNED_FROM)
            number = int(file.read(MOST_DIGITS))
    except (OSError, ValueError):
        return None
    return number if 0 < number < 2**31 else None


@contextmanager
def marked(path: Path) -> Iterator[None]:
    """Mark a file or folder as being written while the block runs, for `is_abandoned`; not on Windows."""
    if not SYSTEM.can_mark:
        yield
        return
    descriptor = os.open(path, os.O_RDONLY)
    try:
        with suppress(OSError):  # a disk that has no locks: nobody will take it for abandoned either
            SYSTEM.take(descriptor)
        yield
    finally:
        os.close(descriptor)


def is_abandoned(path: Path) -> bool:
    """Whether it is certain that nobody has a file or folder `marked`; never certain on Windows."""
    if not SYSTEM.can_mark:
        return False
    try:
        descriptor = os.open(path, os.O_RDONLY)
    except OSError:
        return False
    try:
        SYSTEM.take(descriptor)
    except OSError:
        return False
    finally:
        os.close(descriptor)
    return True


def _sign(file: IO[bytes]) -> None:
    with suppress(OSError):  # a full disk: it is held all the same
        file.truncate(SIGNED_FROM)
        file.write(b"%d\n" % os.getpid())  # at its end: the file is opened for adding
        file.flush()


def _take_within(file: IO[bytes], patience: float) -> bool:
    end = time.monotonic() + patience
    while not _take(file):
        if time.monotonic() >= end:
            return False
        time.sleep(STEP)
    return True


def _take(file: IO[bytes], for_a_look: bool = False) -> bool:
    """Take the lock of an open file if nobody holds it; several may take it for a look (not on Windows)."""
    try:
        SYSTEM.take(file, for_a_look)
    except OSError:
        return False
    return True
