"""One pile opened: its size, use, owner, name and measures changed together, or the pile taken out."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from itertools import combinations
from pathlib import Path

import streamlit as st

from capacity.errors import InputError
from capacity.page.household import change_file, current_inventory, plain
from capacity.page.words import in_page_words
from capacity.units import Units
from capacity.wardrobe.inventory import FILE_NAME
from capacity.wardrobe.inventory_edits import changed_pile, without_pile
from capacity.wardrobe.kinds import Kind, Store, kinds
from capacity.wardrobe.piles import Pile, Use
from capacity.wardrobe.size_text import EXAMPLES

MEASURES = {
    "width": "Width",
    "depth": "Depth",
    "height": "Height",
    "drop": "From the rod to the hem",
    "rod": "Length of rod that it takes",
}


@st.dialog("Change this pile")
def change(folder: Path, units: Units, row: int, name: str) -> None:
    """Draw the fields of one pile; it closes when what was typed is saved, and stays open while it is refused.

    Parameters
    ----------
    folder, units
        The folder, and what a bare number means.
    row, name
        The data row of the pile, and what it was called when it was opened.
    """
    try:
        inventory = current_inventory(folder, units)
        pile = inventory.pile(row)
    except (InputError, KeyError):
        pile = None
    if pile is None or pile.name != name:
        st.write("This pile has changed meanwhile; close this and look again.")
        return
    kind = kinds()[pile.kind]
    names = [" ".join(column.split()).casefold() for column in inventory.header]
    now = dict(zip(names, inventory.cells[row - 1], strict=False))
    st.write(plain(pile.name))
    with st.form(f"pile_{row}", border=False):
        cells: dict[str, str] = {}
        if kind.size_system != "none":
            words = f"Size (empty: {kind.middle_size})"
            cells["size"] = st.text_input(
                words, now.get("size", ""), max_chars=40, placeholder=EXAMPLES[kind.size_system]
            )
        use = st.radio("How often", [use.value for use in Use], _index(list(Use), pile.use), horizontal=True)
        cells["use"] = "" if use == Use.WEEKLY.value and not now.get("use") else use
        cells["owner"] = st.text_input("Whose (empty: shared)", now.get("owner", ""), max_chars=60)
        cells["label"] = st.text_input("A name for it", now.get("label", ""), max_chars=60)
        if len(kind.stores) > 1:
            ways = _ways(kind, pile)
            store = st.radio("How it is kept", ways, ways.index(_words(pile.ways)), horizontal=True)
            cells["store"] = "" if store == kind.store.value and not now.get("store") else store
        st.caption("Measured sizes of one piece win over what its size says.")
        for column in _measures(kind):
            cells[column] = st.text_input(MEASURES[column], now.get(column, ""), max_chars=20)
        is_saved = st.form_submit_button("Save", type="primary")
    if is_saved and _is_done(partial(_save, folder, units, row, {key: text.strip() for key, text in cells.items()})):
        st.rerun()
    if st.button("Take this pile out", key=f"take_out_{row}") and _is_done(partial(_take_out, folder, units, row)):
        st.rerun()


def _index(choices: list[Use], chosen: Use) -> int:
    return [choice.value for choice in choices].index(chosen.value)


def _words(ways: Iterable[tuple[Store, object]]) -> str:
    return " or ".join(store.value for store, _ in ways)


def _ways(kind: Kind, pile: Pile) -> list[str]:
    """One way of storing, or two in openings of different kinds, of which the search takes the better."""
    shelved = {Store.STAND, Store.STACK}
    pairs = [pair for pair in combinations(kind.stores, 2) if not shelved.issuperset(pair)]
    ways = [*(store.value for store in kind.stores), *(f"{one.value} or {two.value}" for one, two in pairs)]
    now = _words(pile.ways)
    same = (now if set(way.split(" or ")) == set(now.split(" or ")) else way for way in ways)
    return list(dict.fromkeys([*same, now]))


def _measures(kind: Kind) -> tuple[str, ...]:
    """The columns in which one piece may be measured."""
    is_laid = any(store is not Store.HANG for store in kind.stores)
    return (*(("width", "depth", "height") if is_laid else ()), *(("drop", "rod") if Store.HANG in kind.stores else ()))


def _is_done(work: partial[None]) -> bool:
    """Whether a change was accepted; what is wrong with it is said."""
    try:
        work()
    except InputError as error:
        for fault in error.faults:
            st.error(plain(f"Not saved: {in_page_words(fault.problem)}"))
        return False
    return True


def _save(folder: Path, units: Units, row: int, cells: dict[str, str]) -> None:
    change_file(folder / FILE_NAME, lambda text: changed_pile(text, row, cells, units))


def _take_out(folder: Path, units: Units, row: int) -> None:
    change_file(folder / FILE_NAME, lambda text: without_pile(text, row, units))
