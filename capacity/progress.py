"""Progress of a search in a small file, so that another process can watch it, stop it, and see that it runs.

Three files lie side by side: `NAME.json` is the progress, `NAME.lock` is held as long as the search runs (the
system lets go of it when the process ends in whatever way), and a `NAME.stop` made by anybody asks for an early end.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from capacity.errors import Fault, InputError
from capacity.file_lock import hold, is_held
from capacity.files import read_text, write_text

if TYPE_CHECKING:
    from capacity.effort import Effort, Progress

MOST_BYTES = 100_000
BEAT = 0.25
"""How often a stop is looked for and the time is written [s]."""

PATIENCE = 1.0
"""How long a search waits for the lock before it says that another runs [s]."""


class ProgressRecord(BaseModel):
    """Where a search stands; `all` is 0 until the first report."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)

    schema_name: Annotated[Literal["capacity.progress/1"], Field(alias="schema")] = "capacity.progress/1"
    state: Literal["searching", "done", "failed"] = "searching"
    process: int
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


def ask_to_stop(path: Path) -> None:
    """Ask the search that writes to this file for an early end; it keeps its best."""
    path.with_suffix(".stop").touch()


@contextmanager
def progress_in(path: Path | None, effort: Effort, work: str = "a layout is being looked for") -> Iterator[None]:
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
        When a search already writes to this file.
    """
    if path is None:
        yield
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    # patient, since watchers hold it for a moment to see whether a search runs
    with hold(path.with_suffix(".lock"), PATIENCE) as is_ours:
        if not is_ours:
            raise InputError([Fault(str(path.parent.parent), "", f"{work} in this folder already")])
        reporter = _Reporter(path, effort)
        try:
            yield
        except BaseException:
            reporter.close("failed")
            raise
        else:
            reporter.close("done")


class _Reporter:
    """Writes the record at each report and each beat."""

    def __init__(self, path: Path, effort: Effort) -> None:
        self._path, self._effort = path, effort
        self._record = ProgressRecord(process=os.getpid())
        self._lock, self._over = threading.Lock(), threading.Event()
        self._write({})
        effort.listen(self._heard)
        self._thread = threading.Thread(target=self._beat, daemon=True)
        self._thread.start()

    def close(self, state: str) -> None:
        """Write the last record."""
        self._over.set()
        self._thread.join()
        self._write({"state": state})
        self._path.with_suffix(".stop").unlink(missing_ok=True)

    def _heard(self, progress: Progress) -> None:
        self._write({"doing": progress.doing, "stored": progress.stored, "bound": progress.bound, "all": progress.all})

    def _beat(self) -> None:
        stop = self._path.with_suffix(".stop")
        while not self._over.wait(BEAT):
            if stop.exists():
                self._effort.stop()
            self._write({})

    def _write(self, changes: dict[str, object]) -> None:
        with self._lock:
            seconds = round(self._effort.seconds, 1)
            self._record = self._record.model_copy(update={**changes, "seconds": seconds})
            # a watcher's file that cannot be written must not end the search
            try:
                write_text(self._path, self._record.model_dump_json(by_alias=True) + "\n")
            except InputError:
                return
