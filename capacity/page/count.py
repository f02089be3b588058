"""Count: a tally of one big button a pile, by owner, written at once; and every column in a table for a keyboard."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from capacity.errors import InputError
from capacity.inventory import COLUMNS, FILE_NAME, MOST_PIECES, Inventory, Pile, with_cells
from capacity.kinds import kinds
from capacity.page import table, undoing
from capacity.page.household import (
    Household,
    change_inventory,
    current_inventory,
    plain,
    read_household,
    show_faults,
)
from capacity.page.start import folder_is_open
from capacity.tally import tally_sentence
from capacity.units import Units

SHARED = "shared"


def show(folder: Path | None) -> None:
    """Draw the step."""
    if not folder_is_open(folder) or folder is None:
        return
    household = read_household(folder)
    if household.inventory is None:
        st.header("The count cannot be read yet.")
        show_faults(household)
        if (folder / FILE_NAME).exists():
            table.show(folder, household.units)
        return
    total = st.empty()
    _total(total, household.inventory, household.units)
    show_faults(household)
    st.write("Tap a pile to add one; every tap is saved at once. The number beside it can be typed as well.")
    _tally(household, household.inventory, total)
    undoing.show(folder / FILE_NAME, "the count")
    _adding(household, household.inventory)
    table.show(folder, household.units)


def _tally(household: Household, inventory: Inventory, total: DeltaGenerator) -> None:
    owners: list[str | None] = [*inventory.owners]
    if any(pile.owner is None for pile in inventory.piles):
        owners.append(None)
    chosen = 0
    if len(owners) > 1:
        chosen = st.radio(
            "Whose things",
            range(len(owners)),
            format_func=lambda index: plain(owners[index] or SHARED),
            horizontal=True,
            key="count_owner",
            persist_state="session",
        )
    owner = owners[min(chosen, len(owners) - 1)]
    with st.container(width=640, key="tally"):
        for pile in (pile for pile in inventory.piles if pile.owner == owner):
            _tile(household.folder, household.units, pile.row, total)


@st.fragment
def _tile(folder: Path, units: Units, row: int, total: DeltaGenerator) -> None:
    """One pile: one more, one less, or the exact number; only this part is drawn again at a tap."""
    try:
        inventory = current_inventory(folder, units)
        pile = inventory.pile(row)
    except (InputError, KeyError):
        st.error("This pile has changed on disk; reload the page.")
        return
    _total(total, inventory, units)
    change = partial(_change, folder, units, row)
    with st.container(horizontal=True, wrap=False, vertical_alignment="center", gap="small", key=f"row_{row}"):
        st.button(
            f"{plain(_tile_name(pile))}: **{pile.count}**",
            key=f"tile_{row}",
            width="stretch",
            wrap=True,
            on_click=change,
            args=(1,),
            disabled=pile.count >= MOST_PIECES,
        )
        st.button("-1", key=f"less_{row}", width=56, on_click=change, args=(-1,), disabled=pile.count == 0)
        # Each count has a field of its own. When taps come faster than the screen is drawn, the browser sends the
        # number of an older field after them; `_set` knows it by its key, where one lasting field would take the
        # taps back.
        field = f"number_{row}_{pile.count}"
        st.number_input(
            f"Number of {plain(_tile_name(pile))}",
            min_value=0,
            max_value=MOST_PIECES,
            value=pile.count,
            step=1,
            key=field,
            label_visibility="collapsed",
            width=76,
            on_change=_set,
            args=(folder, units, row, field, pile.count),
        )
    fault = st.session_state.pop(f"fault_{row}", "")
    if fault:
        st.error(plain(fault))


def _change(folder: Path, units: Units, row: int, step: int) -> None:
    """Add a step to the count that stands in the folder now."""
    _write(folder, units, row, lambda count: count + step)


def _set(folder: Path, units: Units, row: int, field: str, shown: int) -> None:
    """Take over the typed number; the number that the field was drawn with is an echo, not typed."""
    typed = st.session_state.get(field)
    if typed is not None and typed != shown:
        _write(folder, units, row, lambda _: int(typed))


def _write(folder: Path, units: Units, row: int, count_of: Callable[[int], int]) -> None:
    """Write one count, before anything is drawn; a refusal is kept for the tile to say."""

    def changed(inventory: Inventory) -> Inventory:
        count = max(0, min(MOST_PIECES, count_of(inventory.pile(row).count)))
        return with_cells(inventory, {(row, "count"): str(count)}, units)

    try:
        change_inventory(folder, units, changed)
    except (InputError, KeyError) as error:
        faults = error.faults if isinstance(error, InputError) else ("this pile is no longer in the file",)
        st.session_state[f"fault_{row}"] = "Not saved: " + "; ".join(str(fault) for fault in faults)


def _total(place: DeltaGenerator, inventory: Inventory, units: Units) -> None:
    place.header(tally_sentence(inventory, units))


def _tile_name(pile: Pile) -> str:
    words = f"{pile.kind} {pile.size}" if pile.size else pile.kind
    return f"{words} ({pile.label})" if pile.label else words


def _adding(household: Household, inventory: Inventory) -> None:
    """A pile more, for a phone: kind, owner, size and number."""
    with st.expander("Add a pile"), st.form("add_form", border=False, clear_on_submit=True):
        st.selectbox("Kind", tuple(kinds()), index=None, placeholder="Choose or type", key="add_kind")
        st.text_input("Whose (empty: shared)", key="add_owner", max_chars=60)
        st.text_input("Size (empty: the middle size)", key="add_size", max_chars=40)
        st.number_input("How many", min_value=0, max_value=MOST_PIECES, value=1, step=1, key="add_count")
        st.form_submit_button("Add it", on_click=_add, args=(household.folder, household.units))
    for fault in st.session_state.pop("add_faults", ()):
        st.error(plain(fault))


def _add(folder: Path, units: Units) -> None:
    cells = {
        "what": st.session_state.add_kind or "",
        "count": str(st.session_state.add_count),
        "size": st.session_state.add_size.strip(),
        "owner": st.session_state.add_owner.strip(),
    }

    def longer(inventory: Inventory) -> Inventory:
        row = len(inventory.cells) + 1
        changes = {(row, column): cells[column] for column in COLUMNS if cells.get(column)}
        return with_cells(inventory, changes, units)

    try:
        change_inventory(folder, units, longer)
    except InputError as error:
        st.session_state.add_faults = tuple(f"Not added: {fault}" for fault in error.faults)
