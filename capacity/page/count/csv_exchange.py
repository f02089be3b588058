"""The count as a CSV file: taken out for a spreadsheet, and brought in after a look at what it holds."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pandas as pd
import streamlit as st

from capacity.disk.files import decode_text
from capacity.errors import InputError
from capacity.page.household import ChangedOnDiskError, Household, change_file, plain, revision
from capacity.units import Units
from capacity.wardrobe.inventory import FILE_NAME, Inventory, format_inventory, parse_inventory, read_inventory
from capacity.wardrobe.inventory_rows import for_spreadsheet

MOST_SHOWN = 20
"""So many rows and faults of a file are shown before it replaces the count."""


def show(household: Household) -> None:
    """Draw both ways."""
    path = household.folder / FILE_NAME
    with st.expander("As a CSV file, out and in", expanded=bool(st.session_state.get("csv_fault"))):
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
        if file is not None:
            _look(household, file.name, file.getvalue())
        fault = st.session_state.pop("csv_fault", "")
        if fault:
            st.error(plain(fault))


def _taken_out(path: Path, units: Units) -> str:
    return for_spreadsheet(read_inventory(path, units))


def _look(household: Household, name: str, data: bytes) -> None:
    """What the file holds and what is wrong with it, before anything is replaced."""
    try:
        brought = parse_inventory(decode_text(data, name), household.units, name)
    except InputError as error:
        st.write(f"Nothing has been replaced: the file has {_number(len(error.faults), 'fault')}.")
        for fault in error.faults[:MOST_SHOWN]:
            st.error(plain(str(fault)))
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
    st.button("Replace the count with it", key="csv_replace", type="primary", on_click=replace)


def _replace(path: Path, brought: Inventory, seen: str) -> None:
    try:
        change_file(path, lambda _: format_inventory(brought), seen)
    except ChangedOnDiskError:
        st.session_state.csv_fault = (
            "Not replaced: the count has changed on disk since you looked at this file. "
            "Look at the numbers again, then press once more."
        )
    except InputError as error:
        st.session_state.csv_fault = "Not replaced: " + "; ".join(str(fault) for fault in error.faults)
    else:
        st.session_state.csv_turn += 1  # an empty field again
        st.session_state.count_said = "Replaced. Undo brings the old count back."


def _sums(inventory: Inventory) -> str:
    return f"{_number(len(inventory.piles), 'pile')}, {_number(inventory.pieces, 'piece')}"


def _number(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
