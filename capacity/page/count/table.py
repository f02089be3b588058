"""Every column of the inventory in a table for a keyboard; checked as a whole before anything is written."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import streamlit as st

from capacity.disk.files import read_bytes
from capacity.disk.versions import write_version
from capacity.errors import InputError
from capacity.page.household import one_writer, plain
from capacity.page.words import told
from capacity.units import Units
from capacity.wardrobe.inventory import COLUMNS, FILE_NAME, Inventory, format_inventory, parse_inventory, read_cells
from capacity.wardrobe.kinds import Store
from capacity.wardrobe.piles import Use

if TYPE_CHECKING:
    import pandas as pd

CHANGED = "The file has changed on disk since you opened this table."

_WORDS = {
    "what": "kind, such as sneakers or tall boots",
    "count": "whole number, pairs for footwear",
    "size": "such as US M 10.5, EU 42, 34x32 or M; empty: the middle size",
    "owner": "empty: shared",
    "use": "empty: weekly",
    "store": "empty: the kind's usual way; hang or stack: the search chooses",
    "width": "measured, as it stands or lies",
    "depth": "measured, as it stands or lies",
    "height": "measured; thickness of a folded piece",
    "drop": "rod to hem, measured",
    "rod": "rod length that one piece takes, measured",
    "label": "free text",
}


def show(folder: Path, units: Units, is_open: bool) -> None:
    """Draw the table, open or folded away, the button that saves it, and the faults of the last try."""
    try:
        frame = _opened(folder)
    except InputError:
        return  # the step has already said why
    revision = st.session_state.get("table_revision", 0)
    with st.expander(
        "Table of all piles",
        expanded=is_open or bool(st.session_state.get("table_faults") or st.session_state.get("table_conflict")),
    ):
        if st.session_state.table_text != _text(folder):
            if _has_edits(revision):
                st.warning(CHANGED)
            else:
                frame = _reopen(folder)
                revision = st.session_state.table_revision
        edited = st.data_editor(
            frame,
            num_rows="dynamic",
            placeholder=" ",
            hide_index=True,
            column_config=_columns(frame),
            key=f"table_{revision}",
            alt="The inventory, one pile a row",
        )
        with st.container(horizontal=True):
            st.button("Save the table", key="table_save", on_click=_save, args=(folder, units, edited))
            st.button("Read the file again", key="table_again", on_click=_read_again, args=(folder,))
        if st.session_state.get("table_conflict"):
            st.warning(f"Not saved. {CHANGED}")
            with st.container(horizontal=True):
                mine = partial(_save, folder, units, edited, is_certain=True)
                st.button("Keep mine: save this table over it", key="table_mine", on_click=mine)
                st.button("Take theirs: read the file again", key="table_theirs", on_click=_read_again, args=(folder,))
        for fault in st.session_state.get("table_faults", ()):
            st.error(plain(fault))


def _columns(frame: pd.DataFrame) -> dict[str, Any]:
    configuration: dict[str, Any] = {}
    for column in frame.columns:
        name = str(column).strip().casefold()
        if name in ("use", "store"):
            known = [choice.value for choice in (Use if name == "use" else Store)]
            others = [text for text in frame[column].unique() if text not in ("", *known)]
            configuration[column] = st.column_config.SelectboxColumn(help=_WORDS[name], options=["", *known, *others])
        else:
            configuration[column] = st.column_config.TextColumn(help=_WORDS.get(name), max_chars=200)
    return configuration


def _opened(folder: Path) -> pd.DataFrame:
    """The frame that stays the same object until it is saved or read again."""
    if st.session_state.get("table_folder") != str(folder) or "table_frame" not in st.session_state:
        _reopen(folder)
    frame: pd.DataFrame = st.session_state.table_frame
    return frame


def _read_again(folder: Path) -> None:
    _reopen(folder)


def _reopen(folder: Path) -> pd.DataFrame:
    import pandas as pd

    header, rows = read_cells(folder / FILE_NAME)
    names = [" ".join(name.split()).casefold() for name in header]
    more = [column for column in COLUMNS if column not in names]
    # columns must differ for the table; a file in which two are alike is a fault that it cannot show
    unique = [
        name if name.strip() and header.index(name) == at else f"{name} {at + 1}" for at, name in enumerate(header)
    ]
    frame = pd.DataFrame([[*row, *[""] * len(more)] for row in rows], columns=[*unique, *more], dtype=str)
    st.session_state.table_folder, st.session_state.table_text = str(folder), _text(folder)
    st.session_state.table_frame, st.session_state.table_header = frame, (*header, *more)
    st.session_state.table_revision = st.session_state.get("table_revision", 0) + 1
    st.session_state.table_faults, st.session_state.table_conflict = (), False
    return frame


def _save(folder: Path, units: Units, edited: pd.DataFrame, is_certain: bool = False) -> None:
    """Check the whole table and write it, or keep it as it is and say what is wrong.

    `is_certain`: over whatever another window has written meanwhile; Undo brings that back.
    """
    st.session_state.table_conflict = False
    rows = [["" if cell is None or cell != cell else str(cell) for cell in row] for row in edited.to_numpy().tolist()]
    rows = [row for row in rows if any(cell.strip() for cell in row)]
    header = st.session_state.table_header
    _, before = read_cells(folder / FILE_NAME)
    old = len(before[0]) if before else len(header)
    kept = [at for at in range(len(header)) if at < old or any(row[at].strip() for row in rows)]
    cells = tuple(tuple(row[at] for at in kept) for row in rows)
    text = format_inventory(Inventory(tuple(header[at] for at in kept), cells, ()))
    try:
        parse_inventory(text, units)
        with one_writer(folder):
            if not is_certain and st.session_state.table_text != _text(folder):
                st.session_state.table_conflict = True
                return
            write_version(folder / FILE_NAME, text)
    except InputError as error:
        st.session_state.table_faults = tuple(f"Not saved: {line}" for line in told(error))
        return
    _reopen(folder)


def _text(folder: Path) -> bytes:
    try:
        return read_bytes(folder / FILE_NAME)
    except OSError:
        return b""


def _has_edits(revision: int) -> bool:
    state = st.session_state.get(f"table_{revision}")
    return bool(state and any(state.get(part) for part in ("edited_rows", "added_rows", "deleted_rows")))
