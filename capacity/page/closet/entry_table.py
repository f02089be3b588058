"""Several settings as one table of fields, and forms by which a table or an entry of a list comes into the file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Literal

import streamlit as st

from capacity.closet.edits import setting_at
from capacity.closet.text_edits import Edit, SettingPath
from capacity.page.closet.entry import (
    FIELD_WIDTH,
    MOST_TEXT,
    NOT_SET,
    Form,
    Question,
    chosen,
    key_of,
    length,
    length_of,
    number_of,
    save,
    say,
    text_of,
    ticked,
    typed,
)
from capacity.page.household import plain

Changes = Callable[[dict[str, Any], dict[str, Any]], list[Edit]]


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting of a table: its name in the file, what it is called, and how it is entered.

    `usual` is what counts while it is not written: a length in ticks, or words for a choice; `is_needed` is asked
    for when the table is made.
    """

    name: str
    label: str
    kind: Literal["length", "text", "number", "choice", "tick"] = "length"
    options: tuple[str, ...] = ()
    note: str = ""
    usual: Any = None
    is_needed: bool = False


def table(form: Form, place: SettingPath, settings: Sequence[Setting]) -> None:
    """Every setting of a table as a field, side by side as far as there is room."""
    with st.container(horizontal=True, key=f"fields_{key_of(place)}"):
        for item in settings:
            _field(form, (*place, item.name), item)


def _field(form: Form, place: SettingPath, item: Setting) -> None:
    if item.kind == "length":
        length(form, place, item.label, item.note, item.usual)
    elif item.kind == "choice":
        chosen(form, place, item.label, item.options, item.note, item.usual or "")
    elif item.kind == "tick":
        ticked(form, place, item.label, item.note, bool(item.usual))
    else:
        convert = number_of if item.kind == "number" else text_of
        said = f"counts as {item.usual}" if item.usual is not None and form.at(*place) is None else ""
        typed(form, Question(place, item.label, item.note), convert, said)


def add(form: Form, name: str, settings: Sequence[Setting], changes: Changes, words: str, root: SettingPath) -> None:
    """A form for what must be entered together, with a button that saves it.

    Parameters
    ----------
    form
        The settings.
    name
        Tells this form from others.
    settings
        What is asked.
    changes
        From the settings of the file and the answers, without the empty ones, to what to change.
    words
        On the button.
    root
        The list or table that must be as it was drawn.
    """
    key = f"add_{name}"
    with st.form(key, border=False):
        with st.container(horizontal=True, key=f"fields_{key}"):
            for item in settings:
                _question(f"{key}_{item.name}", item)
        st.form_submit_button(words, on_click=_added, args=(form, key, tuple(settings), changes, root))
    say(key)


def _question(key: str, item: Setting) -> None:
    if item.kind == "choice":
        st.selectbox(
            item.label, ["", *item.options], key=key, help=item.note or None, filter_mode=None, width=FIELD_WIDTH,
            format_func=lambda choice: plain(choice) or NOT_SET,
        )  # fmt: skip
    elif item.kind == "tick":
        st.checkbox(item.label, key=key, help=item.note or None)
    else:
        st.text_input(item.label, key=key, help=item.note or None, max_chars=MOST_TEXT, width=FIELD_WIDTH)


def _added(form: Form, key: str, settings: tuple[Setting, ...], changes: Changes, root: SettingPath) -> None:
    converts = {"length": length_of(form.units), "number": number_of}
    answers = {
        item.name: converts.get(item.kind, text_of if item.kind != "tick" else bool)(
            st.session_state[f"{key}_{item.name}"]
        )
        for item in settings
    }
    answers = {name: value for name, value in answers.items() if value is not None and value is not False}
    if save(form, key, lambda data: changes(data, answers), root, is_list=True):
        for item in settings:
            st.session_state[f"{key}_{item.name}"] = False if item.kind == "tick" else ""


def appended(place: SettingPath, data: dict[str, Any], answers: dict[str, Any]) -> list[Edit]:
    """The answers as a new entry at the end of a list."""
    return [Edit((*place, len(setting_at(data, place) or [])), answers)]


def made(place: SettingPath, _data: dict[str, Any], answers: dict[str, Any]) -> list[Edit]:
    """The answers as a new table."""
    return [Edit(place, answers)]


def one_table(form: Form, place: SettingPath, settings: Sequence[Setting], name: str) -> None:
    """A table that may be left out: its fields and a button that takes it out, or a form that makes it."""
    if form.at(*place) is not None:
        table(form, place, settings)
        remove(form, place, f"Take out {name}", is_list=False)
    else:
        needed = [item for item in settings if item.is_needed]
        add(form, key_of(place), needed, partial(made, place), f"Add {name}", place)


def remove(form: Form, place: SettingPath, words: str, is_list: bool = True) -> None:
    """A button that takes an entry of a list or a table out."""
    key = f"remove_{key_of(place)}"
    act(form, key, words, lambda _: [Edit(place, None)], place[:-1] if is_list else place)


def act(form: Form, key: str, words: str, changes: Callable[[dict[str, Any]], list[Edit]], root: SettingPath) -> None:
    """A button that changes a list."""
    st.button(words, key=key, on_click=_act, args=(form, key, changes, root))
    say(key)


def _act(form: Form, key: str, changes: Callable[[dict[str, Any]], list[Edit]], root: SettingPath) -> None:
    save(form, key, changes, root, is_list=True)
