"""Count: a tally of one big button a pile, by owner, written at once; and every column in a table for a keyboard."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import streamlit as st

from capacity.makeover.sizes_wanted import size_matters
from capacity.page import undoing
from capacity.page.count import adding, csv_exchange, table, tiles
from capacity.page.count.changes import changes_in_words
from capacity.page.household import Household, plain, read_household, show_faults
from capacity.page.start import folder_is_open
from capacity.page.words import in_page_words
from capacity.wardrobe.inventory import FILE_NAME, Inventory
from capacity.wardrobe.inventory_edits import is_blank
from capacity.wardrobe.kinds import kinds
from capacity.wardrobe.piles import Pile
from capacity.wardrobe.tally import tally_sentence

MOST_NAMED = 8


def show(folder: Path | None) -> None:
    """Draw the step."""
    if not folder_is_open(folder) or folder is None:
        return
    household = read_household(folder)
    inventory = household.inventory
    is_first = inventory is None and folder.is_dir() and is_blank(folder / FILE_NAME)
    total = st.empty()
    if is_first:
        total.header(tiles.NOTHING_YET)
    elif inventory is None:
        total.header("The count cannot be read yet.")
    else:
        total.header(tally_sentence(inventory, household.units))
    show_faults(household)
    if inventory is not None or is_first:
        st.write(
            "Tap once for each piece, for shoes each pair; every tap is saved at once. Or type the number beside it."
        )
    saved = st.empty()
    words = partial(changes_in_words, units=household.units)
    undoing.show(folder / FILE_NAME, "the count", tiles.forget, words)
    said = st.session_state.pop("count_said", "")
    if said:
        st.write(said)
    toast = st.session_state.pop("count_toast", "")
    if toast:
        st.toast(plain(toast))
    if inventory is not None or is_first:
        tiles.show(household, tiles.Places(total, saved))
        adding.show(household)
    if inventory is not None:
        for remark in inventory.remarks:
            st.info(plain(in_page_words(f"{FILE_NAME}: {remark}")))
        _sizes_wanted(household, inventory)
    if (folder / FILE_NAME).exists():
        table.show(folder, household.units, is_open=inventory is None and not is_first)
    csv_exchange.show(household)


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
