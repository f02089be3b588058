"""Count: a tally of one big button a pile, by owner, written at once; and every column in a table for a keyboard."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from capacity.errors import InputError
from capacity.makeover.sizes_wanted import size_matters
from capacity.page import undoing
from capacity.page.count import adding, csv_exchange, table
from capacity.page.count.tile import hear, tile
from capacity.page.household import (
    Household,
    change_inventory,
    current_inventory,
    plain,
    read_household,
    show_faults,
)
from capacity.page.start import folder_is_open
from capacity.units import Units
from capacity.wardrobe.inventory import FILE_NAME, Inventory
from capacity.wardrobe.inventory_rows import is_blank
from capacity.wardrobe.kinds import kinds
from capacity.wardrobe.piles import MOST_PIECES, Pile
from capacity.wardrobe.tally import tally_sentence, with_count

SHARED = "shared"
MOST_NAMED = 8
MOST_TILES = 200
"""More would make the page slow to draw."""
ONE_COUNTING = 10.0
"""Taps on one pile with less than this between them are undone together [s]."""


def show(folder: Path | None) -> None:
    """Draw the step."""
    if not folder_is_open(folder) or folder is None:
        return
    household = read_household(folder)
    inventory = household.inventory
    is_first = inventory is None and is_blank(folder / FILE_NAME)
    total = st.empty()
    if is_first:
        total.header("Nothing is counted yet: add the first pile.")
        _other_faults(household)
    elif inventory is None:
        total.header("The count cannot be read yet.")
        show_faults(household)
    else:
        _total(total, inventory, household.units)
        show_faults(household)
        st.write("Tap a pile to add one; every tap is saved at once. The number beside it can be typed as well.")
    saved = st.empty()
    undoing.show(folder / FILE_NAME, "the count", _forget)
    said = st.session_state.pop("count_said", "")
    if said:
        st.write(said)
    if inventory is not None:
        _tally(household, inventory, _Places(total, saved))
        _sizes_wanted(household, inventory)
    if inventory is not None or is_first:
        adding.show(household, is_first)
    if (folder / FILE_NAME).exists():
        table.show(folder, household.units, is_open=inventory is None and not is_first)
    csv_exchange.show(household)


def _other_faults(household: Household) -> None:
    """What is wrong with the folder besides that nothing is counted."""
    for fault in household.faults:
        if not fault.startswith(FILE_NAME):
            st.error(plain(fault))


@dataclass(frozen=True, slots=True)
class _Places:
    """Where a tap is answered outside its tile."""

    total: DeltaGenerator
    saved: DeltaGenerator

    def fill(self, folder: Path, inventory: Inventory, units: Units) -> None:
        _total(self.total, inventory, units)
        moment = datetime.fromtimestamp((folder / FILE_NAME).stat().st_mtime).astimezone()
        today = moment.date() == datetime.now().astimezone().date()
        self.saved.caption(f"Last saved {moment:%H:%M:%S}" if today else f"Last saved {moment:%Y-%m-%d %H:%M}")


def _forget() -> None:
    """Let go of open questions after the count was brought back."""
    for key in [str(key) for key in st.session_state if str(key).startswith("conflict_")]:
        del st.session_state[key]


def _tally(household: Household, inventory: Inventory, places: _Places) -> None:
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
    with st.container(gap="xsmall", key="tally"):
        mine = [pile for pile in inventory.piles if pile.owner == owner]
        for pile in mine[:MOST_TILES]:
            with st.container(gap="xsmall"):  # what a tile has to say stays with it, also in two columns
                _tile(household.folder, household.units, pile.row, places)
    if len(mine) > MOST_TILES:
        st.caption(f"{len(mine) - MOST_TILES} more piles stand in the table below only.")


@st.fragment
def _tile(folder: Path, units: Units, row: int, places: _Places) -> None:
    """One pile; only this part and the total are drawn again at a tap."""
    try:
        inventory = current_inventory(folder, units)
        pile = inventory.pile(row)
    except (InputError, KeyError):
        st.error("This pile has changed on disk; reload the page.")
        return
    places.fill(folder, inventory, units)
    name = _tile_name(pile)
    tile(f"tile_{row}", name, pile.count, MOST_PIECES, partial(_heard, folder, units, row, pile.name))
    conflict = st.session_state.get(f"conflict_{row}")
    if conflict:
        typed, theirs = conflict
        st.warning(f"Changed on disk since you opened this: it says {theirs} now, you typed {typed}.")
        with st.container(horizontal=True):
            settle = partial(_settle, folder, units, row, pile.name)
            st.button(f"Keep mine: {typed}", key=f"mine_{row}", on_click=settle, args=(typed,))
            st.button(f"Take theirs: {theirs}", key=f"theirs_{row}", on_click=settle, args=(None,))
    fault = st.session_state.pop(f"fault_{row}", "")
    if fault:
        st.error(plain(fault))


def _heard(folder: Path, units: Units, row: int, name: str) -> None:
    """Take in what a tile has said: presses are added to the count on disk, a typed number replaces it."""
    said = hear(f"tile_{row}", _count_on_disk(folder, units, row))
    if said.step:
        _write(folder, units, row, name, lambda count: count + said.step)
    if said.typed is None:
        return
    text = said.typed.text
    if not re.fullmatch("[0-9]{1,6}", text) or int(text) > MOST_PIECES:
        problem = f'Not saved: "{text}" is not a whole number from 0 to {MOST_PIECES}.'
        st.session_state[f"fault_{row}"] = problem
        return
    now = _count_on_disk(folder, units, row)
    if now is not None and now not in (said.typed.shown, int(text)):
        st.session_state[f"conflict_{row}"] = (int(text), now)
        return
    _write(folder, units, row, name, lambda _: int(text))


def _settle(folder: Path, units: Units, row: int, name: str, count: int | None) -> None:
    """End a conflict: with this count, or with what is on disk."""
    st.session_state.pop(f"conflict_{row}", None)
    if count is not None:
        _write(folder, units, row, name, lambda _: count)


def _count_on_disk(folder: Path, units: Units, row: int) -> int | None:
    try:
        return current_inventory(folder, units).pile(row).count
    except (InputError, KeyError):
        return None


def _write(folder: Path, units: Units, row: int, name: str, count_of: Callable[[int], int]) -> None:
    """Write one count, before anything is drawn; a refusal is kept for the tile to say."""

    def changed(inventory: Inventory) -> Inventory:
        pile = inventory.pile(row)
        if pile.name != name:
            raise KeyError(row)
        return with_count(inventory, row, count_of(pile.count))

    last = st.session_state.get("last_tap")
    is_soon = last is not None and last[:2] == (str(folder), row) and time.monotonic() - last[2] < ONE_COUNTING
    try:
        change_inventory(folder, units, changed, joins_last=is_soon)
    except InputError as error:
        st.session_state[f"fault_{row}"] = "Not saved: " + "; ".join(str(fault) for fault in error.faults)
    except KeyError:
        st.session_state[f"fault_{row}"] = "Not saved: this pile has changed on disk; reload the page."
    else:
        st.session_state.last_tap = (str(folder), row, time.monotonic())


def _sizes_wanted(household: Household, inventory: Inventory) -> None:
    """Name the piles whose missing size could change the plan."""
    room = adding.room_of(household)
    wanted = [
        pile.name
        for pile in inventory.piles
        if not pile.size and pile.count and not _is_measured(inventory, pile)
        and size_matters(kinds()[pile.kind], pile.store, pile.count, room)
    ]  # fmt: skip
    if wanted:
        more = "" if len(wanted) <= MOST_NAMED else f" and {len(wanted) - MOST_NAMED} more"
        st.caption(plain(f"A size that could change the plan is missing: {', '.join(wanted[:MOST_NAMED])}{more}."))


def _is_measured(inventory: Inventory, pile: Pile) -> bool:
    """Whether anything of the pile was measured, which wins over any size."""
    cells = dict(
        zip((name.strip().casefold() for name in inventory.header), inventory.cells[pile.row - 1], strict=True)
    )
    return any(cells.get(column, "").strip() for column in ("width", "depth", "height", "drop", "rod"))


def _total(place: DeltaGenerator, inventory: Inventory, units: Units) -> None:
    place.header(tally_sentence(inventory, units))


def _tile_name(pile: Pile) -> str:
    words = f"{pile.kind} {pile.size}" if pile.size else pile.kind
    return f"{words} ({pile.label})" if pile.label else words
