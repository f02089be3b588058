"""One search for a layout a folder, in a process of its own that outlives a reload and can be stopped."""

from __future__ import annotations

from pathlib import Path

from capacity.page.errand import Errand
from capacity.solver.progress import ProgressRecord

SEARCH = Errand("fit", "progress")
LONGEST = 3600.0
"""After this a search that nobody limited ends with its best [s]."""


def start(folder: Path, seconds: float) -> None:
    """Start a search unless one runs; `seconds` is the limit, 0 for `LONGEST` [s]. A refusal is kept for `failure`."""
    limit = seconds if 0 < seconds <= LONGEST else LONGEST
    SEARCH.start(folder, ("--json", "--seconds", f"{limit:g}"))


def runs(folder: Path) -> bool:
    """Whether a search for this folder runs, started by whomever."""
    return SEARCH.runs(folder)


def stop(folder: Path) -> None:
    """Ask the search to end with the best that it has."""
    SEARCH.stop(folder)


def end(folder: Path) -> None:
    """End a search that does not end when asked; the layout found before it stays."""
    SEARCH.end(folder)


def is_stopping(folder: Path) -> bool:
    """Whether it has been asked to."""
    return SEARCH.is_stopping(folder)


def progress(folder: Path) -> ProgressRecord | None:
    """Where the search stands, or stood last."""
    return SEARCH.progress(folder)


def failure(folder: Path) -> str:
    """What the last search, which no longer runs, said when it ended without a layout; empty when it did not."""
    return SEARCH.failure(folder)
