"""Undo and Redo of the last changes to one of the user's files, two buttons that a step puts where it likes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import streamlit as st

from capacity.disk.versions import MOST_VERSIONS, redo, undo
from capacity.errors import InputError
from capacity.page.household import one_writer, plain


def show(path: Path, name: str, undone: Callable[[], None] | None = None) -> None:
    """Draw both buttons, and what the last press has done.

    Parameters
    ----------
    path
        The file, such as `inventory.csv` of the open folder.
    name
        What a person calls it, such as "the count"; also makes the keys of the buttons.
    undone
        Called after the file was brought back, so that a step can forget what it had half typed.
    """
    key = name.replace(" ", "_")
    with st.container(horizontal=True, vertical_alignment="center", key=f"undo_row_{key}"):
        for word, step in (("Undo", undo), ("Redo", redo)):
            st.button(
                word,
                key=f"{word.casefold()}_{key}",
                on_click=_press,
                args=(path, name, step, undone),
                help=f"Bring back {name} as it was {'before the last change' if word == 'Undo' else 'before Undo'}; "
                f"the last {MOST_VERSIONS} changes are kept.",
            )
        said = st.session_state.pop(f"undo_said_{key}", "")
        if said:
            st.write(plain(said))


def _press(path: Path, name: str, step: Callable[[Path], bool], undone: Callable[[], None] | None) -> None:
    try:
        with one_writer(path.parent):
            is_done = step(path)
    except InputError as error:
        said = "; ".join(str(fault) for fault in error.faults)
    else:
        if is_done and undone is not None:
            undone()
        before = "before the last change" if step is undo else "before Undo"
        none = "There is nothing to undo." if step is undo else "There is nothing to redo."
        said = f"Brought back {name} as it was {before}." if is_done else none
    st.session_state[f"undo_said_{name.replace(' ', '_')}"] = said
