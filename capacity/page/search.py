"""One search for a layout a folder, in a process of its own that outlives a reload and can be stopped.

The search runs `python -m capacity fit` and writes its progress into the hidden subfolder. Whether it runs is
asked of the system by its lock, so that a second window, or this page started again, finds it.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import streamlit as st

from capacity.closet import FILE_NAME as CLOSET_NAME
from capacity.files import HIDDEN, make_hidden
from capacity.inventory import FILE_NAME as INVENTORY_NAME
from capacity.page.household import one_writer
from capacity.progress import ProgressRecord, ask_to_stop, is_running, read_progress

PROGRESS_NAME, STOP_NAME, LOG_NAME, COPY_NAME = "progress.json", "progress.stop", "fit.log", "fitted"
FELL_SHORT = 1


def start(folder: Path, seconds: float) -> None:
    """Start a search unless one runs; `seconds` is the limit, 0 for none [s]. A refusal is kept for `failure`."""
    _refusals().pop(str(folder), None)
    with one_writer(folder):
        if runs(folder):
            return
        try:
            _launch(folder, seconds)
        except OSError as error:
            _refusals()[str(folder)] = f"The search cannot be started in {folder}: {error.strerror}"


def _launch(folder: Path, seconds: float) -> None:
    hidden = make_hidden(folder)
    for name in (PROGRESS_NAME, LOG_NAME, STOP_NAME):
        (hidden / name).unlink(missing_ok=True)
    # a copy of what is fitted, by which a layout can be drawn after the count has changed
    copy = hidden / COPY_NAME
    copy.mkdir(exist_ok=True)
    for name in (CLOSET_NAME, INVENTORY_NAME):
        shutil.copyfile(folder / name, copy / name)
    arguments = ["fit", str(folder), "--json", "--progress", str(hidden / PROGRESS_NAME)]
    if seconds > 0:
        arguments += ["--seconds", str(seconds)]
    with (hidden / LOG_NAME).open("wb") as log:
        _processes()[str(folder)] = subprocess.Popen(
            [sys.executable, "-m", "capacity", *arguments],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=log,
            start_new_session=True,
        )


def runs(folder: Path) -> bool:
    """Whether a search for this folder runs, started by whomever."""
    process = _processes().get(str(folder))
    if process is not None and process.poll() is None:
        return True
    return is_running(folder / HIDDEN / PROGRESS_NAME)


def stop(folder: Path) -> None:
    """Ask the search to end with the best that it has."""
    ask_to_stop(folder / HIDDEN / PROGRESS_NAME)


def is_stopping(folder: Path) -> bool:
    """Whether it has been asked to."""
    return (folder / HIDDEN / PROGRESS_NAME).with_suffix(".stop").exists()


def progress(folder: Path) -> ProgressRecord | None:
    """Where the search stands, or stood last."""
    return read_progress(folder / HIDDEN / PROGRESS_NAME)


def failure(folder: Path) -> str:
    """What the last search, which no longer runs, said when it ended without a layout; empty when it did not."""
    if str(folder) in _refusals():
        return _refusals()[str(folder)]
    process = _processes().get(str(folder))
    code = process.poll() if process is not None else None
    record = progress(folder)
    if code in (None, 0, FELL_SHORT) and (record is None or record.state == "done"):
        return ""
    try:
        lines = (folder / HIDDEN / LOG_NAME).read_text(encoding="utf-8", errors="replace").strip().splitlines()
    except OSError:
        lines = []
    if code == 2:
        return "\n".join(lines)
    return lines[-1] if lines else "The search ended without a layout."


def fitted_folder(folder: Path) -> Path:
    """Where the copy of the fitted files lies."""
    return folder / HIDDEN / COPY_NAME


@st.cache_resource
def _processes() -> dict[str, subprocess.Popen[bytes]]:
    return {}


@st.cache_resource
def _refusals() -> dict[str, str]:
    return {}
