"""A pile as a tile that counts presses in the browser, so that no press is lost however fast they come.

A stock button sends one press at a time, and presses that arrive while one waits are merged into one: measured, of
30 presses without a pause 6 were kept, and on a busy machine some of 20 at 150 ms went missing. This tile sends its
running total instead. A merged message then carries every press, and the page adds what it has not added yet to the
count that stands on disk at that moment, whoever wrote it.
"""

from __future__ import annotations

import secrets
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import streamlit as st

Last = tuple[str, int, int]
"""What was last heard of a tile: its token, its presses, and the number of what was typed."""

MOST_TILES = 10_000
"""So many tiles of all windows are remembered by their running totals; the oldest are forgotten first."""

_BODY = """<div class="tile">
<button type="button" class="more"><span><span class="name"></span> <span class="about"></span></span>
<span class="count"></span></button>
<button type="button" class="less">-1</button>
<input class="exact" type="text" inputmode="numeric" maxlength="6" autocomplete="off">
</div>"""


@dataclass(frozen=True, slots=True)
class Typed:
    """A number typed into a tile, and the count that it replaces."""

    text: str
    shown: int


@dataclass(frozen=True, slots=True)
class Said:
    """What a tile has said since it was last heard: presses to be added, then a number typed."""

    step: int
    typed: Typed | None


@dataclass(frozen=True, slots=True)
class Turn:
    """Whose things are counted: the place among those to choose from, and a token.

    It is another whenever the page has chosen by itself, such as somebody just added.
    """

    person: int
    token: str


def tile(
    key: str, name: str, count: int, most: int, heard: Callable[[], None], turn: Turn, last: Last, note: str = ""
) -> None:
    """Draw one tile.

    Parameters
    ----------
    key
        Key of the tile, by which `hear` asks for it.
    name
        What the pile is called; shown as text, never as markup.
    count, most
        Pieces on disk now, and the most that there may be.
    heard
        Called before the page is drawn again whenever the tile has said something.
    turn
        Whose it is; it takes presses only while that one is chosen.
    last
        What it was last heard to say, asked for (`last_heard`) before `count` was read: a press that is heard in
        between is then answered once more, never taken as answered by a count without it.
    note
        What else is said of the pile, in small letters.
    """
    token, presses, serial = last
    _component()(
        key=key,
        data={
            "name": name,
            "note": note,
            "count": count,
            "most": most,
            "person": turn.person,
            "turn": turn.token,
            "page": _this_page(),
            "token": token,
            "seen": presses,
            "serial": serial,
        },
        on_said_change=heard,
    )


def last_heard(key: str) -> Last:
    """What a tile of this window was last heard to say: its token, its presses and the number of what was typed."""
    return _last_heard().get(key, ("", 0, 0))


def hear(key: str, count: int | None) -> Said:
    """What the tile has said and nobody has heard yet; it is heard by this, whatever becomes of it.

    Parameters
    ----------
    key
        Key of the tile.
    count
        Pieces on disk now, None when nobody knows. After a new start of the page nobody remembers what was heard
        last; then presses by which the disk already exceeds what the tile was last told are taken as written.
    """
    said = st.session_state.get(key, {}).get("said")
    if not _is_sound(said):
        return Said(0, None)
    token, presses = said["token"], said["presses"]
    heard = _heard()
    first = (0, 0) if said["page"] == _this_page() else (said["seen"] + _written(said, count), 0)
    last_presses, last_serial = heard.pop(token, first)
    typed = said["typed"]
    serial = max(typed["serial"] if typed else 0, last_serial)
    heard[token] = (presses, serial)
    while len(heard) > MOST_TILES:
        heard.pop(next(iter(heard)))
    _last_heard()[key] = (token, presses, serial)
    is_new = typed is not None and serial > last_serial
    return Said(presses - last_presses, Typed(typed["text"], typed["shown"]) if is_new else None)


def _written(said: dict[str, Any], count: int | None) -> int:
    """How many of a tile's unanswered presses stand on disk already."""
    unanswered: int = said["presses"] - said["seen"]
    change = 0 if count is None else count - said["base"]
    return min(max(change, min(0, unanswered)), max(0, unanswered))


def _is_sound(said: Any) -> bool:
    """Whether a message has the shape that a tile sends; whatever else arrives is passed over."""
    if not isinstance(said, dict) or not all(isinstance(said.get(name), str) for name in ("token", "page")):
        return False
    typed = said.get("typed")
    is_typed_sound = typed is None or (
        isinstance(typed, dict)
        and isinstance(typed.get("text"), str)
        and all(isinstance(typed.get(name), int) for name in ("serial", "shown"))
    )
    return is_typed_sound and all(isinstance(said.get(name), int) for name in ("presses", "seen", "base"))


@st.cache_resource
def _this_page() -> str:
    """What tells this run of the page from an earlier one."""
    return secrets.token_hex(8)


@st.cache_resource
def _heard() -> dict[str, tuple[int, int]]:
    """By the token of a tile in some window: its presses and the last number typed that were heard."""
    return {}


def _last_heard() -> dict[str, Last]:
    """By the key of a tile in this window what was last heard of it."""
    tiles: dict[str, Last] = st.session_state.setdefault("tiles_heard", {})
    return tiles


@st.cache_resource
def hearing() -> threading.Lock:
    """To be held from hearing a tile until what it said is on disk.

    A window whose connection broke has two sessions for a moment, and both are told the same: the one that comes second
    must not draw the count before the first has written it.
    """
    return threading.Lock()


@st.cache_resource
def _component() -> Any:
    folder = Path(__file__).parent
    script, style = ((folder / f"tile.{end}").read_text(encoding="utf-8") for end in ("js", "css"))
    return st.components.v2.component("capacity_tile", html=_BODY, css=style, js=script)
