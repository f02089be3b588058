"""The text of `closet.toml`, changed so that the rest of it stays: remarks, order, spacing, unknown tables.

The text is cut into sections, one a header, so that a change touches only its own; tomlkit then changes the
section. What comes out is read again and compared with the same change made to plain data.
"""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array

from capacity.closet.closet import FILE_NAME, load_closet
from capacity.errors import Fault, InputError

SettingPath = tuple[str | int, ...]
"""Where a setting stands, by table, number in a list (from 0) and name: ``("wall", 0, "depth")``."""

ORDER = (
    "wall", "before", "built", "panel", "rod", "wishes", "baseboard", "door", "room", "way", "person", "lamp",
    "construction", "sheet", "stick", "prices", "hardware",
)  # fmt: skip
"""Where a new table goes: after the last of those that stand before it here."""

KEPT_EMPTY = ("openings",)
"""Lists that stay when their last entry goes; others are left out then, since a header cannot stand for nothing."""

_HEADER = re.compile(r"\s*(\[\[?)\s*(.+?)\s*\]\]?\s*(?:#.*)?")


@dataclass(frozen=True, slots=True)
class Edit:
    """One setting with its new value; None takes it out. A number in a list that is its length adds an entry.

    A value is what the file would hold: text, number, true or false, a list, or a table as a dictionary.
    """

    place: SettingPath
    value: Any


def changed_text(text: str, changes: Sequence[Edit], file: str = FILE_NAME) -> str:
    """The text of a closet file after some changes, everything else as it was.

    Raises
    ------
    InputError
        When the text is not TOML, or is written in a way in which it cannot be changed safely.
    """
    wanted: dict[str, Any] | None = load_closet(text, file)
    sections = _sections(text, file)
    try:
        for change in changes:
            _apply(wanted, change, _plain)
            sections = _change_sections(sections, change)
        new = "".join(section.text for section in sections)
        found = load_closet(new, file)
    except (TOMLKitError, InputError, LookupError, TypeError, ValueError, AttributeError):
        new, found = text, None
    if found != wanted:
        places = ", ".join(".".join(map(str, change.place)) for change in changes)
        raise InputError([Fault(file, places, "is written in a way that cannot be changed here; change it by hand")])
    return new


# ---- the same change, to plain data and to what tomlkit reads -------------------------------------------


def _apply(data: Any, change: Edit, make: Callable[[Any, bool], Any]) -> None:
    """Make one change; `make` turns a value into what this kind of data holds, on a line of its own or inside one."""
    way, last = change.place[:-1], change.place[-1]
    trail: list[tuple[Any, str | int]] = []
    at = data
    for key, following in zip(way, change.place[1:], strict=True):
        trail.append((at, key))
        if isinstance(key, str) and key not in at:
            if change.value is None:
                return
            at[key] = make([] if isinstance(following, int) else {}, isinstance(at, dict))
        at = at[key]
    if change.value is not None:
        if isinstance(last, int) and last == len(at):
            at.append(make(change.value, isinstance(at, AoT)))
        else:
            at[last] = make(change.value, True)
    elif isinstance(last, int) or last in at:
        del at[last]
        if isinstance(last, int) and not len(at) and way[-1] not in KEPT_EMPTY:
            above, key = trail[-1]
            del above[key]


def _plain(value: Any, _is_own: bool) -> Any:
    return copy.deepcopy(value)


def _styled(value: Any, is_own: bool) -> Any:
    """A value as it is written: a table inside a line in braces, lists of tables one entry a line."""
    if isinstance(value, dict):
        table: Any = tomlkit.table() if is_own else tomlkit.inline_table()
        for key, inner in value.items():
            table.append(key, _styled(inner, False))
        return table
    if isinstance(value, list):
        array = tomlkit.array()
        for inner in value:
            array.append(_styled(inner, False))
        return array.multiline(any(isinstance(inner, dict) for inner in value))
    return tomlkit.item(value)


# ---- the sections of a file -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Section:
    """A header with what follows it; `tail` are the remarks and empty lines before the next header.

    `name` is the first name of the header, empty for what stands above all headers.
    """

    name: str
    is_list: bool
    head: str
    tail: str

    @property
    def text(self) -> str:
        return self.head + self.tail


def _sections(text: str, file: str) -> list[_Section]:
    """Cut a text at its headers; a header under a table (`[[wall.blocked]]`) stays with the table above it."""
    lines = _lines(text)
    cuts: list[tuple[int, str, bool]] = [(0, "", False)]
    for number, line in enumerate(lines):
        match = _HEADER.fullmatch(line.rstrip("\r\n"))
        if match is None or not _is_whole("".join(lines[:number])):
            continue
        path = _names(match[2], match[1])
        is_below = len(path) > 1 and cuts[-1][1] == path[0]
        if not is_below:
            cuts.append((number, str(path[0]), match[1] == "[[" and len(path) == 1))
    found = []
    for (start, name, is_list), (end, _, _) in zip(cuts, [*cuts[1:], (len(lines), "", False)], strict=True):
        body = lines[start:end]
        rest = len(body)
        while rest and (not body[rest - 1].strip() or body[rest - 1].lstrip().startswith("#")):
            rest -= 1
        if not name and not rest:  # nothing but remarks at the top: a first setting comes after them
            rest = len(body)
        found.append(_Section(name, is_list, "".join(body[:rest]), "".join(body[rest:])))
    return found


def _lines(text: str) -> list[str]:
    """The lines of a text with their ends; no other sign than the file's own parts them."""
    return re.findall(r"[^\n]*\n|[^\n]+", text)


def _is_whole(text: str) -> bool:
    """Whether a text ends outside of every text and list: what follows is then a header, not an entry."""
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return False
    return True


def _names(words: str, opens: str) -> list[str]:
    """The names of a header, in order."""
    closes = "]" * len(opens)
    at: Any = tomllib.loads(f"{opens}{words}{closes}")
    names = []
    while isinstance(at, dict) and at:
        name = next(iter(at))
        names.append(name)
        at = at[name][0] if isinstance(at[name], list) else at[name]
    return names


def _change_sections(sections: list[_Section], change: Edit) -> list[_Section]:
    name = change.place[0]
    own = [index for index, section in enumerate(sections) if section.name == name]
    if not own:
        if len(change.place) == 1 and isinstance(change.value, dict):
            return _with_new_section(sections, str(name), False, change.value)
        if len(change.place) == 1 or name in tomllib.loads(sections[0].head):
            return _with_head(sections, 0, change)
        if change.value is None:
            return sections
        if isinstance(change.place[1], int):
            return _with_new_section(sections, str(name), True, change.value)
        inner: Any = {}
        _apply(inner, Edit(change.place[1:], change.value), _plain)
        return _with_new_section(sections, str(name), False, inner)
    if len(change.place) == 1:
        if change.value is not None:
            msg = "a table is changed setting by setting"
            raise ValueError(msg)
        return _without(sections, own)
    if not sections[own[0]].is_list:
        place = next((at for at in own if _holds(sections[at], change.place)), own[0])
        return _with_head(sections, place, change)
    number = change.place[1]
    if not isinstance(number, int):
        msg = f"{name} is a list"
        raise TypeError(msg)
    if len(change.place) == 2 and number == len(own):
        return _with_new_section(sections, str(name), True, change.value)
    if len(change.place) == 2 and change.value is None:
        return _without(sections, [own[number]])
    return _with_head(sections, own[number], replace(change, place=(name, 0, *change.place[2:])))


def _holds(section: _Section, place: SettingPath) -> bool:
    """Whether the table of a setting stands in this section."""
    at: Any = tomllib.loads(section.head)
    for key in place[:-1]:
        if key not in at:
            return False
        at = at[key]
    return True


def _with_head(sections: list[_Section], index: int, change: Edit) -> list[_Section]:
    """Change one section."""
    document = tomlkit.parse(sections[index].head)
    lists = _lists_on_one_line(document, change.place)
    _apply(document, change, _styled)
    for array in lists:
        if any(isinstance(inner, dict) for inner in array):
            array.multiline(True)
    return [*sections[:index], replace(sections[index], head=_ended(document.as_string())), *sections[index + 1 :]]


def _lists_on_one_line(document: Any, place: SettingPath) -> list[Array]:
    """Lists of tables that are about to get their first entry."""
    found, at = [], document
    for key in place[:-1]:
        try:
            at = at[key]
        except (KeyError, IndexError):
            break
        if isinstance(at, Array) and not len(at):
            found.append(at)
    return found


def _without(sections: list[_Section], gone: Sequence[int]) -> list[_Section]:
    """The sections but some; what is remarked after these stays."""
    kept = [replace(section, head="") if index in gone else section for index, section in enumerate(sections)]
    joined: list[_Section] = []
    for section in kept:
        if joined and not section.head:
            joined[-1] = replace(joined[-1], tail=_one_gap(joined[-1].tail, section.tail))
        else:
            joined.append(section)
    if len(sections) - 1 in gone and not joined[-1].tail.strip():
        joined[-1] = replace(joined[-1], tail="")  # no empty lines at the end of the file
    return joined


def _one_gap(first: str, second: str) -> str:
    """Two tails in a row, with no more empty lines between them than one of them had."""
    return first + (second.lstrip("\r\n") if first.endswith(("\n\n", "\r\n\r\n")) else second)


def _with_new_section(sections: list[_Section], name: str, is_list: bool, value: dict[str, Any]) -> list[_Section]:
    """A new table after the last of its kind, or where `ORDER` has it."""
    document = tomlkit.document()
    table = _styled(value, True)
    if is_list:
        entries = tomlkit.aot()
        entries.append(table)
        document.append(name, entries)
    else:
        document.append(name, table)
    rank = {known: number for number, known in enumerate(ORDER)}
    mine = rank.get(name, len(ORDER))
    after = max(
        index for index, section in enumerate(sections) if index == 0 or rank.get(section.name, len(ORDER)) <= mine
    )
    before = sections[after]
    gap, rest = _split_tail(before.tail)
    new = _Section(name, is_list, _ended(document.as_string()), rest if rest.strip() else "")
    head = _ended(before.head) if before.text else ""
    first = replace(before, head=head, tail=gap or ("\n" if head.strip() and not head.endswith("\n\n") else ""))
    follows = after + 1 < len(sections)
    if follows and not new.tail.startswith(("\n", "\r\n")):
        new = replace(new, tail=f"\n{new.tail}")
    return [*sections[:after], first, new, *sections[after + 1 :]]


def _split_tail(tail: str) -> tuple[str, str]:
    """A tail up to its last empty line, and the remarks after it, which belong to the header that follows."""
    lines = _lines(tail)
    cut = len(lines)
    while cut and lines[cut - 1].strip():
        cut -= 1
    return "".join(lines[:cut]), "".join(lines[cut:])


def _ended(text: str) -> str:
    return text if not text or text.endswith("\n") else f"{text}\n"
