"""A command of ours run for the page in a process of its own: one a folder, watched by its progress, never waited for.

The process writes its progress into the hidden subfolder and holds a lock there, so that a second window, or this
page started again, finds it running.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import streamlit as st

from capacity.disk.file_lock import hold, is_held
from capacity.disk.files import HIDDEN, make_hidden, read_bytes
from capacity.errors import BAD_INPUT, DONE, FELL_SHORT, Fault, InputError
from capacity.page.household import one_writer
from capacity.page.server.own_python import command_of, environment
from capacity.page.words import told
from capacity.solver.progress import ProgressRecord, ask_to_stop, is_running, read_progress, searcher

if sys.platform == "linux":
    import resource

MOST_MEMORY = 4 * 2**30
"""What a process may take for its data [bytes]."""

MOST_WORK = 4 * 3600
"""How long a process may keep processors busy, all of them together [s]."""

MOST_AT_ONCE = 4
"""So many run at once for one page, whatever the folders and however many windows."""


@dataclass(frozen=True, slots=True)
class Errand:
    """One command with `DIR` and `--progress FILE`; `name` is that of its files in the hidden subfolder."""

    command: str
    name: str

    def start(self, folder: Path, arguments: Sequence[str] = ()) -> None:
        """Run it for a folder unless it runs already, for whichever page; a refusal is kept for `failure`."""
        _refusals().pop(self._key(folder), None)
        try:
            with one_writer(folder), _launching():
                if not self.runs(folder):
                    self._require_room(folder)
                    self._launch(folder, arguments)
        except OSError as error:
            _refusals()[self._key(folder)] = f"This cannot be started in {folder}: {error.strerror}"
        except InputError as error:  # somebody else writes in the folder
            _refusals()[self._key(folder)] = "; ".join(told(error))

    def runs(self, folder: Path) -> bool:
        """Whether it runs for this folder, started by whomever."""
        process = _processes().get(self._key(folder))
        if process is not None and process.poll() is None:
            return True
        return is_held(self._starting(folder)) or is_running(self._progress(folder))

    def end(self, folder: Path) -> None:
        """End it when it has not ended after `stop`, whoever started it; what it wrote before stays."""
        process = _processes().get(self._key(folder))
        if process is not None and process.poll() is None:
            process.kill()
            return
        number = searcher(self._progress(folder))  # of the one that holds the lock, whatever the record says
        if number is not None:
            os.kill(number, getattr(signal, "SIGKILL", signal.SIGTERM))  # as `kill` does; Windows has but one

    def stop(self, folder: Path) -> None:
        """Ask it to end with the best that it has; a folder that takes no request is said by `failure`."""
        try:
            ask_to_stop(self._progress(folder))
        except InputError as error:
            _refusals()[self._key(folder)] = "; ".join(told(error))

    def is_stopping(self, folder: Path) -> bool:
        """Whether it has been asked to."""
        return self._progress(folder).with_suffix(".stop").exists()

    def progress(self, folder: Path) -> ProgressRecord | None:
        """Where it stands, or stood last."""
        return read_progress(self._progress(folder))

    def failure(self, folder: Path) -> str:
        """What the last one, which no longer runs, said when it ended without an answer; empty when it did not."""
        if self._key(folder) in _refusals():
            return _refusals()[self._key(folder)]
        process = _processes().get(self._key(folder))
        code = process.poll() if process is not None else None
        record = self.progress(folder)
        if record is None and code in (None, DONE):
            return ""
        if record is not None and record.state == "done" and code in (None, DONE, FELL_SHORT):
            return ""
        try:
            text = read_bytes(folder / HIDDEN / f"{self.name}.log").decode("utf-8", errors="replace")
        except OSError:
            text = ""
        lines = text.strip().splitlines()
        if code == BAD_INPUT:
            return "\n".join(lines)
        if "MemoryError" in text or "bad_alloc" in text:
            return f"This needed more than {MOST_MEMORY / 2**30:.0f} GB of memory and was ended."
        return lines[-1] if lines else "This ended without an answer; try again."

    def _require_room(self, folder: Path) -> None:
        running = sum(process.poll() is None for process in _processes().values())
        if running >= MOST_AT_ONCE:
            problem = f"{running} searches and packets run already for this page; wait until one has ended, or stop it"
            raise InputError([Fault(folder.name, "", problem)])

    def _launch(self, folder: Path, arguments: Sequence[str]) -> None:
        hidden = make_hidden(folder)
        progress = self._progress(folder)
        for path in (progress, progress.with_suffix(".stop"), hidden / f"{self.name}.log"):
            path.unlink(missing_ok=True)
        command = command_of("capacity", [self.command, str(folder), "--progress", str(progress), *arguments])
        with (hidden / f"{self.name}.log").open("wb") as log:
            process = subprocess.Popen(
                command,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=log,
                start_new_session=True,
                env=environment(),
            )
        _bound(process.pid)
        _processes()[self._key(folder)] = process
        is_guarded = threading.Event()
        threading.Thread(target=self._guard, args=(folder, process, is_guarded), daemon=True).start()
        is_guarded.wait()

    def _guard(self, folder: Path, process: subprocess.Popen[bytes], is_guarded: threading.Event) -> None:
        """Hold a lock until the process holds its own, so that no other page starts one in between."""
        try:
            with hold(self._starting(folder), 1.0):
                is_guarded.set()
                while process.poll() is None and not is_running(self._progress(folder)):
                    time.sleep(0.05)
        finally:
            is_guarded.set()

    def _key(self, folder: Path) -> str:
        return f"{self.name} {folder}"

    def _progress(self, folder: Path) -> Path:
        return folder / HIDDEN / f"{self.name}.json"

    def _starting(self, folder: Path) -> Path:
        return folder / HIDDEN / f"{self.name}.starting"


SEARCH = Errand("fit", "progress")
"""The search for a layout, in a process of its own that outlives a reload and can be stopped."""

LONGEST = 3600.0
"""After this a search that nobody limited ends with its best [s]."""


def look_for_layout(folder: Path, seconds: float) -> None:
    """Start a search unless one runs; `seconds` is the limit, 0 for `LONGEST` [s]. A refusal is kept for `failure`."""
    limit = seconds if 0 < seconds <= LONGEST else LONGEST
    SEARCH.start(folder, ("--json", "--seconds", f"{limit:g}"))


def has_ended(key: str, runs: bool) -> bool:
    """Whether what a fragment watches runs no more; draws the whole page anew once, when it has just ended.

    `key` is that of the session's state where the page says that it ran when it was drawn.
    """
    if not runs and st.session_state.get(key):
        st.session_state[key] = False
        st.rerun()
    return not runs


def _bound(process: int) -> None:
    """Keep a process from taking all of the machine's memory, or working for ever, where the system can (Linux)."""
    if sys.platform == "linux":
        with suppress(OSError, ValueError):  # it may have ended already
            resource.prlimit(process, resource.RLIMIT_DATA, (MOST_MEMORY, MOST_MEMORY))
            resource.prlimit(process, resource.RLIMIT_CPU, (MOST_WORK, MOST_WORK))


@st.cache_resource
def _processes() -> dict[str, subprocess.Popen[bytes]]:
    return {}


@st.cache_resource
def _launching() -> threading.Lock:
    return threading.Lock()


@st.cache_resource
def _refusals() -> dict[str, str]:
    return {}
