"""Progress of a search in a small file, so that another process can watch it, stop it, and see that it runs.

Three files lie side by side: `NAME.json` is the progress, `NAME.lock` is held as long as the search runs and holds its
number (the system lets go of it when the process ends in whatever way), and a `NAME.stop` made by anybody asks for an
early end.
"""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, PositiveInt, ValidationError

from capacity.disk.file_lock import hold, holder, is_held
from capacity.disk.files import make_hidden, read_text, take_away, write_text
from capacity.errors import Fault, InputError

if TYPE_CHECKING:
    from capacity.layout.layout import Layout
    from capacity.solver.effort import Effort, Progress

    Keep = Callable[[Layout, int], None]
    """Keeps a layout of so much value as the best so far."""

MOST_BYTES = 100_000
FILE_NAME = "progress.json"
"""The progress of the search in a makeover folder, in its hidden subfolder."""

LOOKING = "a layout is being looked for"

BEAT = 0.25
"""How often a stop is looked for and the time is written [s]."""

APART = 0.1
"""Reports closer together than this are written with the next beat [s]."""

PATIENCE = 1.0
"""How long a search waits for the lock before it says that another runs [s]."""


class ProgressRecord(BaseModel):
    """Where a search stands; `all` is 0 until the first report."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)

    schema_name: Annotated[Literal["capacity.progress/1"], Field(alias="schema")] = "capacity.progress/1"
    state: Literal["searching", "done", "failed"] = "searching"
    process: PositiveInt
    doing: str = "reading"
    stored: int = 0
    bound: int = 0
    all: int = 0
    seconds: float = 0.0


def read_progress(path: Path) -> ProgressRecord | None:
    """The progress in a file, or None when there is none that can be read."""
    try:
        return ProgressRecord.model_validate_json(read_text(path, MOST_BYTES))
    except (InputError, ValidationError):
        return None


def is_running(path: Path) -> bool:
    """Whether a search that writes to this file runs now."""
    return is_held(path.with_suffix(".lock"))


def searcher(path: Path) -> int | None:
    """The number of the process whose search writes to this file now; None where none does, or it is not known."""
    return holder(path.with_suffix(".lock"))


def ask_to_stop(path: Path) -> None:
    """Ask the search that writes to this file for an early end; it keeps its best.

    Raises
    ------
    InputError
        When the request cannot be written.
    """
    try:
        path.with_suffix(".stop").touch()
    except OSError as error:
        problem = f"cannot be asked to stop: {error.strerror}; end it, or make room on the disk"
        raise InputError([Fault(path.parent.parent.name, "", problem)]) from None


@contextmanager
def progress_in(path: Path | None, effort: Effort, work: str = LOOKING) -> Iterator[None]:
    """Write the progress of an effort into a file while the block runs, and obey a request to stop.

    A request that is there already is obeyed too: it was meant for a search that was just being started.

    Parameters
    ----------
    path
        The file, or None to do nothing.
    effort
        The effort to watch.
    work
        What the block does, for whoever is refused.

    Raises
    ------
    InputError
        When a search already writes to this file, or it cannot be written.
    """
    if path is None:
        yield
        return
    with _only_one(path, path.parent.parent, work), _reported(path, effort):
        yield


@contextmanager
def search_in(folder: Path, path: Path | None, effort: Effort, keep: Keep | None = None) -> Iterator[None]:
    """Let one search a makeover folder run while the block runs, whoever starts it, with its progress in a file.

    The progress stands in the hidden subfolder, where the page watches it, whatever other file is asked for.

    Parameters
    ----------
    folder
        The makeover folder.
    path
        Another file for the progress as well; None for none.
    effort
        The effort to watch.
    keep
        Called with each layout that is the best so far, some time after it was found.

    Raises
    ------
    InputError
        When a layout is being looked for in this folder already, or something else writes to this file.
    """
    try:
        own = make_hidden(folder) / FILE_NAME
    except OSError:  # no hidden subfolder can be made: `keep_plan` still overwrites nobody's layout
        with progress_in(path, effort):
            yield
        return
    with _only_one(own, folder, LOOKING), ExitStack() as stack:
        if path is None or os.path.realpath(path) != os.path.realpath(own):
            for rest in (own.with_suffix(".stop"), own.with_suffix(".log")):
                take_away(rest)  # what an earlier search or its page has left is not meant for this one
            stack.enter_context(progress_in(path, effort))
        stack.enter_context(_reported(own, effort, keep))
        yield


@contextmanager
def _only_one(path: Path, folder: Path, work: str) -> Iterator[None]:
    """Hold the lock beside a file of progress."""
    with ExitStack() as stack:
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            # patient, since watchers hold it for a moment to see whether a search runs
            is_ours = stack.enter_context(hold(path.with_suffix(".lock"), PATIENCE, signs=True))
        except OSError as error:
            raise InputError([Fault(str(path), "", f"cannot be written: {error.strerror}")]) from None
        if not is_ours:
            raise InputError([Fault(str(folder), "", f"{work} in this folder already; wait for its end, or stop it")])
        yield


@contextmanager
def _reported(path: Path, effort: Effort, keep: Keep | None = None) -> Iterator[None]:
    reporter = _Reporter(path, effort, keep)
    try:
        yield
    except BaseException:
        reporter.close("failed")
        raise
    else:
        reporter.close("done")


class _Reporter:
    """Writes the record at each report and each beat, and has the best layout so far kept."""

    def __init__(self, path: Path, effort: Effort, keep: Keep | None) -> None:
        self._path, self._effort, self._keep = path, effort, keep
        self._kept: tuple[Layout, int] | None = None
        self._record = ProgressRecord(process=os.getpid())
        self._lock, self._over = threading.Lock(), threading.Event()
        self._written, self._lasting = 0.0, (-1, -1)
        self._write({})
        effort.listen(self._heard)
        self._thread = threading.Thread(target=self._beat, daemon=True)
        self._thread.start()

    def close(self, state: str) -> None:
        """Write the last record."""
        self._over.set()
        self._thread.join()
        if state == "failed":  # else the whole plan is kept
            self._keep_best()
        self._write({"state": state}, lasts=True)
        take_away(self._path.with_suffix(".stop"))

    def _heard(self, progress: Progress) -> None:
        changes = {"doing": progress.doing, "stored": progress.stored, "bound": progress.bound, "all": progress.all}
        if time.monotonic() - self._written >= APART:
            self._write(changes)
            return
        with self._lock:
            self._record = self._record.model_copy(update=changes)

    def _beat(self) -> None:
        stop = self._path.with_suffix(".stop")
        while not self._over.wait(BEAT):
            if stop.exists():
                self._effort.stop()
            self._write({})
            self._keep_best()

    def _keep_best(self) -> None:
        best = self._effort.best
        if self._keep is not None and best is not None and best is not self._kept:
            self._keep(*best)
            self._kept = best

    def _write(self, changes: dict[str, object], lasts: bool = False) -> None:
        """Write the record; it lasts through a power cut where something better is known than what did so last."""
        with self._lock:
            seconds = round(self._effort.seconds, 1)
            self._record = self._record.model_copy(update={**changes, "seconds": seconds})
            known = (self._record.stored, self._record.bound)
            # a watcher's file that cannot be written must not end the search
            try:
                text = self._record.model_dump_json(by_alias=True) + "\n"
                write_text(self._path, text, lasts=lasts or known != self._lasting)
            except InputError:
                return
            self._written, self._lasting = time.monotonic(), known
