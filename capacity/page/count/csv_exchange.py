"""The count as a CSV file: taken out for a spreadsheet, and brought in after a look at what it holds."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pandas as pd
import streamlit as st

from capacity.disk.files import decode_text
from capacity.errors import InputError
from capacity.page.household import ChangedOnDiskError, Household, change_file, change_inventory, plain, revision
from capacity.page.words import fault_in_words, told
from capacity.units import Units
from capacity.wardrobe.inventory import (
    ALSO_CALLED,
    COLUMNS,
    FILE_NAME,
    Inventory,
    format_inventory,
    parse_inventory,
    read_inventory,
    with_cells,
)
from capacity.wardrobe.inventory_edits import for_spreadsheet

MOST_PASTED, MOST_COLUMNS = 100_000, 5
"""Letters that may be pasted, and columns that are taken for what, count, size, owner and use without a header."""

MOST_SHOWN = 20
"""So many rows and faults of a file are shown before it replaces the count."""


def show(household: Household) -> None:
    """Draw both ways."""
    path = household.folder / FILE_NAME
    with st.expander("From and to a spreadsheet", expanded=bool(st.session_state.get("csv_fault"))):
        if household.inventory is not None:
            st.download_button(
                "Take the count out",
                data=partial(_taken_out, path, household.units),
                file_name=FILE_NAME,
                mime="text/csv",
                on_click="ignore",
                key="csv_out",
            )
        turn = st.session_state.setdefault("csv_turn", 0)
        file = st.file_uploader(
            "Bring a count in: a file with the columns what and count at least",
            type=["csv"],
            max_upload_size=2,
            key=f"csv_in_{turn}",
        )
        pasted = st.text_area(
            "Or paste rows from a spreadsheet: what, count, then size, owner and use if you like",
            key=f"csv_paste_{turn}",
            max_chars=MOST_PASTED,
        )
        if file is not None:
            _look(household, file.name, file.getvalue())
        elif pasted.strip():
            _look(household, "What was pasted", with_header(pasted).encode())
        fault = st.session_state.pop("csv_fault", "")
        if fault:
            st.error(plain(fault))


def with_header(text: str) -> str:
    """Rows as they were pasted, under a header where they have none of their own.

    Examples
    --------
    >>> with_header("jeans;3\\nshirt;4").splitlines()[0], with_header("What,Count\\njeans,3").splitlines()[0]
    ('what;count', 'What,Count')
    """
    text = text.strip("\r\n")
    first = text.splitlines()[0]
    separator = max("\t;,", key=first.count)
    cells = [cell.strip().strip('"').casefold() for cell in first.split(separator)]
    if "what" in cells or ALSO_CALLED["what"] & set(cells):
        return text
    return "\n".join([separator.join(COLUMNS[: max(2, min(len(cells), MOST_COLUMNS))]), text])


def _taken_out(path: Path, units: Units) -> str:
    return for_spreadsheet(read_inventory(path, units))


def _look(household: Household, name: str, data: bytes) -> None:
    """What the file holds and what is wrong with it, before anything is replaced."""
    try:
        brought = parse_inventory(decode_text(data, name), household.units, name)
    except InputError as error:
        st.write(f"Nothing has been replaced: the file has {_number(len(error.faults), 'fault')}.")
        for fault in error.faults[:MOST_SHOWN]:
            st.error(plain(fault_in_words(fault)))
        if len(error.faults) > MOST_SHOWN:
            st.write(f"and {len(error.faults) - MOST_SHOWN} more.")
        return
    now = household.inventory
    old = f"the count has {_sums(now)} now" if now else "nothing is counted now"
    st.write(plain(f"{name} has {_sums(brought)}; {old}. Nothing has been replaced yet."))
    rows = [{"pile": plain(pile.name), "pieces": pile.count, "use": pile.use.value} for pile in brought.piles]
    st.table(pd.DataFrame(rows[:MOST_SHOWN]), hide_index=True, border="horizontal")
    if len(rows) > MOST_SHOWN:
        st.write(f"and {_number(len(rows) - MOST_SHOWN, 'pile')} more.")
    replace = partial(_replace, household.folder / FILE_NAME, brought, revision(household.folder / FILE_NAME))
    with st.container(horizontal=True):
        st.button("Replace the count with it", key="csv_replace", type="primary", on_click=replace)
        if now is not None:
            st.button("Add it to the count", key="csv_add", on_click=partial(_add, household, brought))


def _add(household: Household, brought: Inventory) -> None:
    """Put every row that was brought under those of the count as it is now."""

    def more(now: Inventory) -> Inventory:
        names = [" ".join(name.split()).casefold() for name in brought.header]
        rows = [row for row in brought.cells if any(cell.strip() for cell in row)]
        cells = {
            (len(now.cells) + number, name): cell
            for number, row in enumerate(rows, start=1)
            for name, cell in zip(names, row, strict=False)
            if cell.strip()
        }
        return with_cells(now, cells, household.units)

    try:
        change_inventory(household.folder, household.units, more)
    except InputError as error:
        st.session_state.csv_fault = "Not added: " + "; ".join(told(error))
    else:
        st.session_state.csv_turn += 1
        st.session_state.count_said = f"Added {_sums(brought)}. Undo takes them out again."


def _replace(path: Path, brought: Inventory, seen: str) -> None:
    try:
        change_file(path, lambda _: format_inventory(brought), seen)
    except ChangedOnDiskError:
        st.session_state.csv_fault = (
            "Not replaced: the count has changed on disk since you looked at this file. "
            "Look at the numbers again, then press once more."
        )
    except InputError as error:
        st.session_state.csv_fault = "Not replaced: " + "; ".join(told(error))
    else:
        st.session_state.csv_turn += 1  # an empty field again
        st.session_state.count_said = "Replaced. Undo brings the old count back."


def _sums(inventory: Inventory) -> str:
    return f"{_number(len(inventory.piles), 'pile')}, {_number(inventory.pieces, 'piece')}"


def _number(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
