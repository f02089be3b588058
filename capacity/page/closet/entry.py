"""One setting of `closet.toml` as a field: each accepted entry is saved at once and said back, a fault stands below it.

What stands in the file is drawn into the field whenever it has changed there; what was typed and refused stays in
the field until it is put right, the file changes, or the page is left.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path
from types import MappingProxyType
from typing import Any

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from capacity.closet.closet import FILE_NAME, Closet
from capacity.closet.edits import setting_at
from capacity.closet.saving import change_closet, closet_faults, closet_of, missing_settings, only_tables, read_data
from capacity.closet.text_edits import Edit, SettingPath
from capacity.errors import Fault, InputError
from capacity.page.household import one_writer, plain
from capacity.page.words import fault_in_words, in_page_words
from capacity.units import LengthError, Rounding, Ticks, Units, format_length, parse_length, without_unit

FIELD_WIDTH = 132
"""Width of a field, so that two stand side by side on a phone, also within two frames [pixels]."""

NAME_WIDTH = 2 * FIELD_WIDTH + 16
"""Width of a field for a name [pixels]."""

NOT_SET = "not set"
MOST_TEXT = 200

Convert = Callable[[str], Any]
Changes = Callable[[dict[str, Any]], list[Edit]]

_AT_PLACE = object()

_MOVED = "it has been changed elsewhere in the meantime; what is there now stands in the fields"


@dataclass(frozen=True, slots=True)
class Form:
    """The settings as they are drawn: their folder, what stands in the file, and the closet that they describe.

    `faults` are those of the file, whoever wrote them; that it lacks its first settings is none. `lists`
    counts how often an entry came or went, so that no field writes to an entry that has moved.
    """

    folder: Path
    data: dict[str, Any]
    closet: Closet | None
    faults: tuple[str, ...]
    lists: int

    @property
    def units(self) -> Units:
        """What a bare number means."""
        return "mm" if self.data.get("units") == "mm" else "in"

    @property
    def wall_names(self) -> tuple[str, ...]:
        """Names of the walls, in order."""
        return tuple(str(wall.get("name", "")) for wall in self.data.get("wall", ()) if isinstance(wall, dict))

    def at(self, *place: str | int) -> Any:
        """What stands at a place, None where nothing does."""
        return setting_at(self.data, place)


def open_form(folder: Path) -> Form:
    """The settings of a folder as they stand now.

    Raises
    ------
    InputError
        When the file cannot be read or is not TOML.
    """
    data = read_data(folder / FILE_NAME)
    if st.session_state.get("closet_folder") != str(folder):
        forget()
        st.session_state.closet_folder = str(folder)
    st.session_state.closet_seen = data
    missing = missing_settings(data)
    faults = tuple(fault_in_words(fault) for fault in closet_faults(data) if fault.place not in missing)
    return Form(folder, only_tables(data), closet_of(data), faults, st.session_state.get("closet_lists", 0))


def forget() -> None:
    """Drop what was half typed and every fault, after the file has become another."""
    st.session_state.closet_shown = {}
    st.session_state.closet_said = {}
    st.session_state.closet_conflicts = {}
    st.session_state.closet_lists = st.session_state.get("closet_lists", 0) + 1


# ---- fields ---------------------------------------------------------------------------------------------


def length(form: Form, place: SettingPath, label: str, note: str = "", usual: int | None = None) -> None:
    """A length; what was understood is said below, or what counts while nothing is written.

    Parameters
    ----------
    form, place, label
        The settings, which one, and what it is called.
    note
        Help on it.
    usual
        What counts while it is not written [ticks].
    """
    said = length_said(setting_at(form.data, place), form.units, usual)
    typed(form, Question(place, label, note), length_of(form.units), said)


def part_of_length(
    form: Form, place: SettingPath, label: str, value: Any, changes: Callable[[dict[str, Any], Any], list[Edit]],
    note: str = "",
) -> None:  # fmt: skip
    """One of several lengths of a setting, with the value that stands for it now and what it takes to change it."""
    said = length_said(value, form.units)
    typed(form, Question(place, label, note), length_of(form.units), said, changes, value)


def length_said(value: Any, units: Units, usual: int | None = None) -> str:
    """What is said back of a length that is written, or not written."""
    if value is None:
        return "" if usual is None else f"counts as {format_length(Ticks(usual), units)}"
    try:
        return f"understood: {format_length(parse_length(value, units, Rounding.NEAREST), units)}"
    except (LengthError, TypeError):
        return ""


@dataclass(frozen=True, slots=True)
class Question:
    """Which setting is asked for, what it is called, help on it, and the width of its field [pixels]."""

    place: SettingPath
    label: str
    note: str = ""
    width: int = FIELD_WIDTH


def typed(
    form: Form, question: Question, convert: Convert, said: str = "",
    changes: Callable[[dict[str, Any], Any], list[Edit]] | None = None, value: Any = _AT_PLACE,
) -> None:  # fmt: skip
    """A setting that is typed: a text, a number or a length.

    Parameters
    ----------
    form, question
        The settings, and which one is asked for.
    convert
        From the text to what is written, None for an empty one.
    said
        What is said below it while it has no fault.
    changes
        What it takes to set it, where that is more than the one setting.
    value
        What stands in the file, where that is not simply what stands at the place.
    """
    key = key_of(question.place)
    _keep_up(key, shown(setting_at(form.data, question.place) if value is _AT_PLACE else value))
    with _place_for(key, question.width):
        st.text_input(
            question.label, key=key, help=question.note or None, max_chars=MOST_TEXT, width=question.width,
            on_change=_typed, args=(form, question.place, key, convert, changes),
        )  # fmt: skip
        say(key, said)


def chosen(
    form: Form, place: SettingPath, label: str, options: Sequence[str], note: str = "", usual: str = "",
    words: Mapping[str, str] = MappingProxyType({}),
) -> None:  # fmt: skip
    """A setting that is one of several; with `usual` it may be left out, and what counts then is said.

    `words` are what a choice is called where that is not what the file says.
    """
    key = key_of(place)
    value = setting_at(form.data, place)
    choices = ["", *options] if usual or value is None else list(options)
    if value is not None and value not in choices:  # a value at fault is still shown
        choices.append(str(value))
    _keep_up(key, "" if value is None else str(value))
    with _place_for(key, FIELD_WIDTH):
        st.selectbox(
            label, choices, key=key, help=note or None, filter_mode=None, width=FIELD_WIDTH,
            format_func=lambda choice: plain(words.get(choice, choice)) or NOT_SET, on_change=_typed,
            args=(form, place, key, lambda choice: choice or None, None),
        )  # fmt: skip
        say(key, f"counts as {usual}" if usual and value is None else "")


def ticked(form: Form, place: SettingPath, label: str, note: str = "", usual: bool = False) -> None:
    """A setting that is true or false."""
    key = key_of(place)
    value = setting_at(form.data, place)
    _keep_up(key, value if isinstance(value, bool) else usual)
    st.checkbox(label, key=key, help=note or None, on_change=_typed, args=(form, place, key, bool, None))
    say(key)


def _place_for(key: str, width: int) -> DeltaGenerator:
    """Room for a field; a whole row while it has a fault, so that this can be read."""
    asked = st.session_state.get("closet_conflicts", {})
    is_faulty = key in st.session_state.get("closet_said", {}) or key in asked
    return st.container(width="stretch" if is_faulty else width, gap="xxsmall")


def say(key: str, said: str = "") -> None:
    """The fault of a field, what another window has made of it meanwhile, or what is said of it."""
    conflict = st.session_state.get("closet_conflicts", {}).get(key)
    if conflict is not None:
        _ask(key, conflict)
        return
    fault = st.session_state.get("closet_said", {}).get(key)
    if fault:
        st.error(plain(fault))
    elif said:
        st.caption(plain(said))


def key_of(place: SettingPath) -> str:
    """The key of a setting's field."""
    return "closet_" + "_".join(str(part) for part in place)


def _keep_up(key: str, value: Any) -> None:
    """Show what stands in the file when that is not what was shown last; else leave what was typed."""
    drawn = st.session_state.setdefault("closet_shown", {})
    if key not in st.session_state or key not in drawn or drawn[key] != value:
        st.session_state[key] = drawn[key] = value
        st.session_state.setdefault("closet_said", {}).pop(key, None)


@dataclass(frozen=True, slots=True)
class _Conflict:
    """A value typed here while the setting was changed elsewhere; `theirs` is what stands in the file now."""

    mine: Any
    theirs: Any
    settle: Callable[[bool], None]


def _typed(
    form: Form,
    place: SettingPath,
    key: str,
    convert: Convert,
    changes: Callable[[dict[str, Any], Any], list[Edit]] | None,
) -> None:
    text = st.session_state[key]
    value = convert(text)

    def write() -> None:
        save(form, key, lambda data: changes(data, value) if changes else [Edit(place, value)], place)

    def settle(keeps_mine: bool) -> None:
        del st.session_state.closet_conflicts[key]
        if keeps_mine:
            st.session_state.closet_seen = read_data(form.folder / FILE_NAME)
            write()

    try:
        theirs = setting_at(read_data(form.folder / FILE_NAME), place)
    except InputError:
        write()  # says what is wrong with the file
        return
    if theirs != setting_at(st.session_state.closet_seen, place) and theirs != value:
        conflict = _Conflict(text, theirs, settle)
        st.session_state.setdefault("closet_conflicts", {})[key] = conflict
        return
    write()


def _ask(key: str, conflict: _Conflict) -> None:
    """Let the person choose between what was typed here and what another window has written."""
    mine, theirs = (_choice(value) for value in (conflict.mine, conflict.theirs))
    st.warning(plain(f"Changed elsewhere meanwhile: it says {theirs} now, you chose {mine}."))
    with st.container(horizontal=True):
        st.button(plain(f"Keep mine: {mine}"), key=f"mine_{key}", on_click=conflict.settle, args=(True,))
        st.button(plain(f"Take theirs: {theirs}"), key=f"theirs_{key}", on_click=conflict.settle, args=(False,))


def _choice(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return shown(value) or "nothing"


# ---- saving ---------------------------------------------------------------------------------------------


def save(form: Form, key: str, changes: Changes, place: SettingPath, is_list: bool = False) -> bool:
    """Write some changes if the file still says there what it said when it was drawn; says why not below `key`.

    Parameters
    ----------
    form, key
        What the change was made from, and where a fault is said.
    changes
        What to change, from the settings as they stand in the file.
    place
        What must not have changed in the meantime: a whole entry of a list, or one setting.
    is_list
        Whether entries come, go or move: then the whole list must be as it was drawn.
    """
    root = place[:1] if is_list else place[:2] if len(place) > 1 and isinstance(place[1], int) else place
    said = st.session_state.setdefault("closet_said", {})
    seen = st.session_state.closet_seen

    def checked(now: dict[str, Any]) -> list[Edit]:
        same_list = form.lists == st.session_state.get("closet_lists", 0) or len(root) == 1
        is_same = setting_at(now, root) == setting_at(seen, root) and now.get("units") == seen.get("units")
        if not (same_list and is_same):
            raise InputError([Fault(FILE_NAME, "", _MOVED)])
        return changes(only_tables(now))

    try:
        with one_writer(form.folder):
            st.session_state.closet_seen = change_closet(form.folder / FILE_NAME, checked)
    except (InputError, LengthError) as error:
        said[key] = f"Not saved: {_in_words(error, place)}"
        return False
    said.pop(key, None)
    if is_list:
        forget()
    return True


def _in_words(error: InputError | LengthError, place: SettingPath) -> str:
    """Faults beside their field: the place is left out where it is the field's own."""
    if isinstance(error, LengthError):
        return str(error)
    words = []
    for fault in error.faults:
        names = [part for part in place if isinstance(part, str)]
        is_own = not fault.place or fault.place.rstrip("0123456789 ").endswith(names[-1])
        words.append(in_page_words(fault.problem if is_own else f"{fault.place}: {fault.problem}"))
    return "; ".join(words)


# ---- from what is typed to what is written, and back ----------------------------------------------------


def shown(value: Any) -> str:
    """How a value of the file is shown in a field."""
    if value is None:
        return ""
    if isinstance(value, float):
        text = format(Decimal(str(value)), "f")
        return text.rstrip("0").rstrip(".") if "." in text else text
    return str(value)


def text_of(text: str) -> str | None:
    """A text as it was typed, None for an empty one."""
    return text.strip() or None


def number_of(text: str) -> int | float | str | None:
    """A number where it is one, else the text, which the file's reader will refuse in words."""
    plain_text = text.strip()
    try:
        number = Decimal(plain_text)
    except InvalidOperation:
        return plain_text or None
    if not number.is_finite() or len(plain_text) > 15:
        return plain_text
    return int(number) if number == number.to_integral_value() and "." not in plain_text else float(number)


def length_of(units: Units) -> Convert:
    """A length as a number of the folder's units where it is one, else as it was typed."""

    def convert(text: str) -> Any:
        if not text.strip():
            return None
        try:
            return without_unit(text, units)
        except LengthError:
            return text.strip()

    return convert
