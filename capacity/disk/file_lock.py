"""A lock that processes hold on a file; the system lets go of it when its process ends in whatever way."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO

STEP = 0.005
"""How long one waits before the next try [s]."""


@contextmanager
def hold(path: Path, patience: float) -> Iterator[bool]:
    """Hold the lock of a file while the block runs; gives whether it was got within `patience` [s].

    Raises
    ------
    OSError
        When the file can be neither opened nor made.
    """
    with path.open("a+b") as file:
        is_held = _take_within(file, patience)
        try:
            yield is_held
        finally:
            if is_held:
                _let_go(file)


def is_held(path: Path) -> bool:
    """Whether anybody holds the lock of a file now; a file that is missing or closed to us is held by nobody.

    Those who only ask do not take each other for a holder.
    """
    try:
        with path.open("r+b") as file:
            is_free = _take(file, for_a_look=True)
            if is_free:
                _let_go(file)
            return not is_free
    except OSError:
        return False


@contextmanager
def marked(path: Path) -> Iterator[None]:
    """Mark a file or folder as being written while the block runs, for `is_abandoned`; not on Windows."""
    if sys.platform == "win32":
        yield
        return
    import fcntl

    descriptor = os.open(path, os.O_RDONLY)
    try:
        with suppress(OSError):  # a disk that has no locks: nobody will take it for abandoned either
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield
    finally:
        os.close(descriptor)


def is_abandoned(path: Path) -> bool:
    """Whether it is certain that nobody has a file or folder `marked`; never certain on Windows."""
    if sys.platform == "win32":
        return False
    import fcntl

    try:
        descriptor = os.open(path, os.O_RDONLY)
    except OSError:
        return False
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    finally:
        os.close(descriptor)
    return True


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
        if sys.platform == "win32":
            import msvcrt

            file.seek(0)
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(file, (fcntl.LOCK_SH if for_a_look else fcntl.LOCK_EX) | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _let_go(file: IO[bytes]) -> None:
    if sys.platform == "win32":
        import msvcrt

        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)
    else:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_UN)
