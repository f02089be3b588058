"""Undo and Redo of the last changes to one of the user's files, two buttons that a step puts where it likes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Literal

import streamlit as st

from capacity.disk.files import read_bytes
from capacity.disk.versions import MOST_VERSIONS, redo, undo, would_bring
from capacity.errors import InputError
from capacity.page.household import one_writer, plain
from capacity.page.words import told

WAYS: tuple[tuple[str, Literal["undo", "redo"]], ...] = (("Undo", "undo"), ("Redo", "redo"))


def show(
    path: Path, name: str, undone: Callable[[], None] | None = None, words: Callable[[str, str], str] | None = None
) -> None:
    """Draw both buttons, off where there is nothing to bring back, and what the last press has done.

    Parameters
    ----------
    path
        The file, such as `inventory.csv` of the open folder.
    name
        What a person calls it, such as "the count"; also makes the keys of the buttons.
    undone
        Called after the file was brought back, so that a step can forget what it had half typed.
    words
        What changed from one text of the file to another.
    """
    key = name.replace(" ", "_")
    st.session_state[f"undo_off_{key}"] = would_bring(path, "undo") is None
    with st.container(horizontal=True, vertical_alignment="center", key=f"undo_row_{key}"):
        for word, way in WAYS:
            st.button(
                word,
                key=f"{way}_{key}",
                disabled=would_bring(path, way) is None,
                on_click=_press,
                args=(path, name, way, undone, words),
                help=f"Bring back {name} as it was {'before the last change' if way == 'undo' else 'before Undo'}; "
                f"the last {MOST_VERSIONS} changes are kept.",
            )
        said = st.session_state.pop(f"undo_said_{key}", "")
        if said:
            st.write(plain(said))


def keep_up(path: Path, name: str) -> None:
    """Draw the page anew when Undo was drawn off and there is something to undo now; called by a part of the page."""
    key = f"undo_off_{name.replace(' ', '_')}"
    if st.session_state.get(key) and would_bring(path, "undo") is not None:
        st.session_state[key] = False
        st.rerun(scope="app")


def _press(
    path: Path,
    name: str,
    way: Literal["undo", "redo"],
    undone: Callable[[], None] | None,
    words: Callable[[str, str], str] | None,
) -> None:
    try:
        with one_writer(path.parent):
            before = _text(path)
            is_done = undo(path) if way == "undo" else redo(path)
            after = _text(path)
    except InputError as error:
        said = "; ".join(told(error))
    else:
        if is_done and undone is not None:
            undone()
        changed = words(before, after) if words is not None else ""
        verb = "Undone" if way == "undo" else "Done again"
        said = f"{verb}: {changed or name}." if is_done else f"There is nothing to {way}."
    st.session_state[f"undo_said_{name.replace(' ', '_')}"] = said


def _text(path: Path) -> str:
    try:
        return read_bytes(path).decode("utf-8-sig", errors="replace")
    except OSError:
        return ""
