"""One writer a makeover folder: a lock in its hidden subfolder, among pages, commands and their threads."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from capacity.disk.file_lock import hold
from capacity.disk.files import make_hidden
from capacity.errors import Fault, InputError

LONGEST_CHANGE = 10.0
"""How long one waits for another program's change to the same folder [s]."""


class BusyError(InputError):
    """Another program has not finished its change to the folder in `LONGEST_CHANGE`."""


@contextmanager
def one_program(folder: Path) -> Iterator[None]:
    """Let one change of a folder's files after the other in, whichever program makes it.

    Raises
    ------
    BusyError
        When another has not finished its change in `LONGEST_CHANGE`.
    """
    with ExitStack() as stack:
        try:
            lock = make_hidden(folder) / "write.lock"
            lock.touch()
            is_ours = stack.enter_context(hold(lock, LONGEST_CHANGE))
        except OSError:  # the write itself will say what is wrong with the folder
            is_ours = True
        if not is_ours:
            raise BusyError([Fault(folder.name, "", "is being written by another program; try again")])
        yield
