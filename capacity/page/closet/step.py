"""Closet: walls, what stands there today, and all that the checks ask; each entry is saved and drawn at once."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import streamlit as st

from capacity.closet.closet import FILE_NAME, Closet
from capacity.closet.edits import new_ceiling
from capacity.closet.saving import replace_text
from capacity.closet.summary import measured_sentence, not_given
from capacity.closet.unit_switch import switch_units
from capacity.disk.files import read_text
from capacity.drawings.room_drawing import Sheet, draw_from_above, draw_wall, wall_in_words
from capacity.drawings.to_svg import ON_PAPER, ON_SLATE, format_svg
from capacity.errors import InputError
from capacity.page import undoing
from capacity.page.closet import rarer_tables
from capacity.page.closet.entry import (
    NAME_WIDTH,
    Form,
    Question,
    forget,
    length,
    open_form,
    part_of_length,
    text_of,
    typed,
)
from capacity.page.closet.entry_table import add, appended
from capacity.page.closet.wall import NEW_WALL, show_bays, show_wall
from capacity.page.household import one_writer, plain, read_household
from capacity.page.start import folder_is_open
from capacity.page.words import fault_in_words, told
from capacity.units import Units
from capacity.wardrobe.inventory import FILE_NAME as INVENTORY_NAME

MOST_WIDE, MOST_HIGH = 340, 430
"""What a drawing is made for; it is shown `LARGER` where there is room [pixels]."""
LARGER = 1.25
MOST_BYTES = 1_000_000
SYSTEMS: tuple[Units, ...] = ("in", "mm")
_SYSTEM_WORDS = {"in": "inches", "mm": "millimetres"}


def show(folder: Path | None) -> None:
    """Draw the step."""
    if not folder_is_open(folder) or folder is None:
        return
    if not folder.is_dir():
        st.header(plain(f"There is no folder {folder}."))
        return
    try:
        form = open_form(folder)
    except InputError as error:
        st.header("The measurements cannot be read yet.")
        for fault in error.faults:
            st.error(plain(fault_in_words(fault)))
        _as_text(folder, is_open=True)
        return
    st.header(plain(measured_sentence(form.data, form.closet)))
    for words in form.faults:
        st.error(plain(words))
    undoing.show(folder / FILE_NAME, "the measurements", forget)
    _first(form)
    inventory = read_household(folder).inventory if (folder / INVENTORY_NAME).exists() else None
    number = _which_wall(form)
    if number is not None:
        drawn, fields = st.columns([2, 3], gap="medium")
        with fields:
            show_wall(form, number, inventory.piles if inventory else ())
            st.subheader("What is there today")
            show_bays(form, number)
        with drawn, st.container(key="room_drawing"):
            _drawings(form.closet, number)
    _new_wall(form)
    st.subheader("What the checks and the shopping list ask")
    absent = not_given(form.data)
    if absent:
        st.caption(plain(absent))
    kinds = sorted({pile.kind for pile in inventory.piles}) if inventory else ()
    rarer_tables.show(form, inventory.owners if inventory else (), kinds)
    _as_text(folder)


def _first(form: Form) -> None:
    with st.container(horizontal=True, key="fields_first"):
        typed(form, Question(("name",), "Name of the closet", width=NAME_WIDTH), text_of)
        note = "from the floor, where it is lowest; what reaches up to it today follows it"
        part_of_length(form, ("ceiling",), "Ceiling", form.at("ceiling"), new_ceiling, note)
        length(form, ("top",), "Top of the built-ins", "at most the ceiling; one more shelf may lie on top of them")
    st.session_state.closet_units = form.units
    st.radio(
        "Numbers without a unit are",
        SYSTEMS,
        format_func=_SYSTEM_WORDS.__getitem__,
        horizontal=True,
        key="closet_units",
        on_change=_switch,
        args=(form.folder,),
        help="Other units can always be written: 3' 2 1/2\", 14 1/2 in, 368 mm, 36.8 cm. A change rewrites what is in "
        "the files so that no length changes; Undo begins anew there. An edge band and lengths in the shop that you "
        "have not named follow it.",
    )
    fault = st.session_state.pop("closet_units_fault", "")
    if fault:
        st.error(plain(fault))


def _switch(folder: Path) -> None:
    try:
        with one_writer(folder):
            switch_units(folder, st.session_state.closet_units)
    except InputError as error:
        st.session_state.closet_units_fault = "Not changed: " + "; ".join(told(error))
    else:
        forget()


def _which_wall(form: Form) -> int | None:
    """The wall that is shown, from 0; None while there is none."""
    names = form.wall_names
    if not names:
        return None
    st.subheader("Walls")
    if len(names) == 1:
        return 0
    chosen = st.radio(
        "Wall",
        range(len(names)),
        format_func=lambda number: plain(names[number]) or f"wall {number + 1}",
        horizontal=True,
        key="closet_wall",
        persist_state="session",
    )
    return min(int(chosen), len(names) - 1)


def _new_wall(form: Form) -> None:
    title = "Add a wall" if form.wall_names else "The first wall"
    with st.expander(title, key="open_new_wall", expanded=not form.wall_names):
        st.caption("A stretch of wall to build against, from left to right as you stand inside and face it.")
        add(form, "wall", NEW_WALL, partial(appended, ("wall",)), "Add the wall", ("wall",))


def _drawings(closet: Closet | None, number: int) -> None:
    if closet is None:
        st.write("It is drawn as soon as the measurements have no fault and nothing is missing.")
        return
    _picture(draw_wall(closet, number, MOST_WIDE, MOST_HIGH), wall_in_words(closet, number))
    _picture(draw_from_above(closet, MOST_WIDE, MOST_HIGH), "All walls from above, with today's bays, door and lamps")


def _picture(sheet: Sheet, words: str) -> None:
    inks = ON_SLATE if st.context.theme.type == "dark" else ON_PAPER
    picture = format_svg(sheet.drawing, words, sheet.letter, inks)
    st.image(picture, width=round(sheet.width * LARGER), alt=words)


def _as_text(folder: Path, is_open: bool = False) -> None:
    """The file itself, for what has no field here and for a repair."""
    path = folder / FILE_NAME
    with st.expander("The whole file as text", key="open_text", expanded=is_open):
        try:
            text = read_text(path, MOST_BYTES) if path.exists() else ""
        except InputError:
            st.write("It cannot be shown here.")
            return
        if st.session_state.get("closet_text_seen") != text or "closet_text" not in st.session_state:
            st.session_state.closet_text = st.session_state.closet_text_seen = text
        with st.form("text_form", border=False):
            st.text_area("closet.toml", key="closet_text", height=300)
            st.form_submit_button("Save the file", on_click=_save_text, args=(path,))
        for fault in st.session_state.pop("closet_text_faults", ()):
            st.error(plain(fault))


def _save_text(path: Path) -> None:
    try:
        with one_writer(path.parent):
            now = read_text(path, MOST_BYTES) if path.exists() else ""
            if now != st.session_state.closet_text_seen:
                st.session_state.closet_text_faults = [
                    "Not saved: the file has been changed elsewhere in the meantime."
                ]
                return
            replace_text(path, st.session_state.closet_text)
    except InputError as error:
        st.session_state.closet_text_faults = [f"Not saved: {line}" for line in told(error)]
        return
    forget()
