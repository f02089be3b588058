"""The tally: whose things, one tile a pile, and the commonest kinds ready at 0 for the person chosen.

A tap is written before anything is drawn. A ready tile stays where it is once its pile has a piece, so that nothing
jumps under the finger.
"""

from __future__ import annotations

import hashlib
import re
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from capacity.closet.closet import Closet
from capacity.errors import InputError
from capacity.page import undoing
from capacity.page.count import pile_dialog
from capacity.page.count.adding import LONGEST_NAME, NAMED, WHOSE, owners_of
from capacity.page.count.ready_kinds import ready_kinds
from capacity.page.count.tile import Turn, Typed, hear, hearing, last_heard, tile
from capacity.page.household import Household, change_file, change_inventory, current_inventory, plain
from capacity.page.words import told
from capacity.units import Units
from capacity.wardrobe.inventory import FILE_NAME, Inventory
from capacity.wardrobe.inventory_edits import is_blank, with_pile
from capacity.wardrobe.piles import MOST_PIECES, Pile, Use
from capacity.wardrobe.tally import tally_sentence, with_count

SHARED = "shared"
MOST_TILES = 200
"""More would make the page slow to draw."""
ONE_COUNTING = 10.0
"""Taps on one pile with less than this between them are undone together [s]."""
NOTHING_YET = "Nothing is counted yet: tap what comes out of the closet."
CHANGED = "this pile has changed on disk; reload the page."


@dataclass(frozen=True, slots=True)
class Places:
    """Where a tap is answered outside its tile: the total, and when it was saved."""

    total: DeltaGenerator
    saved: DeltaGenerator

    def fill(self, folder: Path, inventory: Inventory | None, units: Units) -> None:
        """Say both for what stands on disk now; Streamlit lets a tile fill only what it filled when all was drawn."""
        if inventory is None:
            self.total.header(NOTHING_YET)
            self.saved.empty()
            return
        self.total.header(tally_sentence(inventory, units))
        moment = datetime.fromtimestamp((folder / FILE_NAME).stat().st_mtime).astimezone()
        today = moment.date() == datetime.now().astimezone().date()
        self.saved.caption(f"Last saved {moment:%H:%M:%S}" if today else f"Last saved {moment:%Y-%m-%d %H:%M}")


@dataclass(frozen=True, slots=True)
class TilePile:
    """The pile of a tile: in a data row, or the first of a kind and an owner, which may not be there yet."""

    row: int
    name: str
    kind: str = ""
    owner: str | None = None

    @property
    def key(self) -> str:
        """What the page knows its tile by; an owner's name may hold what no key may."""
        if not self.kind:
            return f"tile_{self.row}"
        owner = hashlib.sha256(self.owner.encode()).hexdigest()[:8] if self.owner else SHARED
        return f"ready_{owner}_{self.kind.replace(' ', '-')}"

    def found(self, inventory: Inventory | None) -> Pile | None:
        """The pile as it stands; None for one of which there is nothing yet."""
        if inventory is None:
            return None
        if self.kind:
            return next((pile for pile in inventory.piles if (pile.kind, pile.owner) == (self.kind, self.owner)), None)
        pile = inventory.pile(self.row)
        if pile.name != self.name:
            raise KeyError(self.row)
        return pile


def show(household: Household, places: Places) -> None:
    """Draw whose things are counted, and the tiles of that person."""
    inventory = household.inventory
    owner, turn = _whose(household)
    ready = _ready(owner, bool(owners_of(household)), inventory, household.closet)
    mine = [pile for pile in inventory.piles if pile.owner == owner] if inventory is not None else []
    drawn = {kind: TilePile(0, kind, kind, owner) for kind in ready}
    firsts = {pile.row for item in drawn.values() if (pile := item.found(inventory)) is not None}
    others = [TilePile(pile.row, pile.name) for pile in mine if pile.row not in firsts]
    with st.container(gap="xsmall", key="tally"):
        for item in (*others[:MOST_TILES], *drawn.values()):
            with st.container(gap="xsmall"):  # what a tile has to say stays with it, also in two columns
                _tile(household.folder, household.units, item, turn, places)
    if len(others) > MOST_TILES:
        st.caption(f"{len(others) - MOST_TILES} more piles stand in the table below only.")


def _whose(household: Household) -> tuple[str | None, Turn]:
    """Whose things are counted now, None for nobody's in particular, chosen here by name; more may be added."""
    owners: list[str | None] = [*owners_of(household), None]
    said = st.session_state
    whose = said.get(WHOSE, owners[0])
    person = owners.index(whose) if whose in owners else 0
    if owners[person] is not None:
        said.setdefault(WHOSE, owners[person])
    if (said.get("count_owner"), said.get("count_offered")) != (person, owners):  # on another step, or others have come
        said.count_owner, said.count_offered, said.count_turn = person, owners, secrets.token_hex(4)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.radio(
            "Whose things",
            range(len(owners)),
            format_func=lambda index: plain(owners[index] or SHARED),
            horizontal=True,
            key="count_owner",
            on_change=_choose,
            args=(owners,),
        )
        with st.popover("Add a person"):
            st.text_input("Name", key="count_person", max_chars=LONGEST_NAME, on_change=_add_person)
    return owners[person], Turn(person, said.count_turn)


def _choose(owners: list[str | None]) -> None:
    st.session_state[WHOSE] = owners[st.session_state.count_owner]


def _add_person() -> None:
    name = " ".join(st.session_state.count_person.split())
    if name:
        st.session_state.setdefault(NAMED, []).append(name)
        st.session_state[WHOSE] = name
    st.session_state.count_person = ""


def _ready(owner: str | None, has_names: bool, inventory: Inventory | None, closet: Closet | None) -> tuple[str, ...]:
    """The kinds that had no pile of this owner when this window first showed them; they stay where they are."""
    known: dict[tuple[str | None, bool], tuple[str, ...]] = st.session_state.setdefault("count_ready", {})
    if (owner, has_names) not in known:
        there = {pile.kind for pile in inventory.piles if pile.owner == owner} if inventory is not None else set()
        ready = ready_kinds(owner, inventory, closet, has_names)
        known[owner, has_names] = tuple(kind for kind in ready if kind not in there)
    return known[owner, has_names]


def forget() -> None:
    """Let go of open questions after the count was brought back."""
    for key in [str(key) for key in st.session_state if str(key).startswith("conflict_")]:
        del st.session_state[key]


@st.fragment
def _tile(folder: Path, units: Units, item: TilePile, turn: Turn, places: Places) -> None:
    """One pile; only this part and the total are drawn again at a tap."""
    inventory: Inventory | None = None
    last = last_heard(item.key)  # before the count is read, which has it then
    try:
        if not (item.kind and is_blank(folder / FILE_NAME)):
            inventory = current_inventory(folder, units)
        pile = item.found(inventory)
    except (InputError, KeyError):
        st.error("This pile has changed on disk; reload the page.")
        return
    places.fill(folder, inventory, units)
    name = _tile_name(pile) if pile is not None else item.kind
    note = "" if pile is None or pile.use is Use.WEEKLY else pile.use.value
    with st.container(horizontal=True, wrap=False, vertical_alignment="center", gap="xsmall"):
        heard = partial(_heard, folder, units, item)
        with st.container(width="stretch"):
            tile(item.key, name, 0 if pile is None else pile.count, MOST_PIECES, heard, turn, last, note)
        if pile is not None:
            opens = st.button(
                "…", key=f"open_{item.key}", help=f"Size, use, owner, measures of {plain(name)}", width=44
            )
            if opens:
                pile_dialog.change(folder, units, pile.row, pile.name)
    _questions(folder, units, item)
    undoing.keep_up(folder / FILE_NAME, "the count")


def _questions(folder: Path, units: Units, item: TilePile) -> None:
    """What another window has changed meanwhile, and what was refused."""
    conflict = st.session_state.get(f"conflict_{item.key}")
    if conflict:
        typed, theirs = conflict
        st.warning(f"Changed on disk since you opened this: it says {theirs} now, you typed {typed}.")
        with st.container(horizontal=True):
            settle = partial(_settle, folder, units, item)
            st.button(f"Keep mine: {typed}", key=f"mine_{item.key}", on_click=settle, args=(typed,))
            st.button(f"Take theirs: {theirs}", key=f"theirs_{item.key}", on_click=settle, args=(None,))
    fault = st.session_state.pop(f"fault_{item.key}", "")
    if fault:
        st.error(plain(fault))


def _heard(folder: Path, units: Units, item: TilePile) -> None:
    """Take in what a tile has said: presses are added to the count on disk, a typed number replaces it."""
    with hearing():
        said = hear(item.key, _count_on_disk(folder, units, item))
        if said.step:
            _write(folder, units, item, lambda count: count + said.step)
        if said.typed is not None:
            _take_typed(folder, units, item, said.typed)


def _take_typed(folder: Path, units: Units, item: TilePile, typed: Typed) -> None:
    """Write a number that was typed; ask where it replaces another than it was typed over."""
    if not re.fullmatch("[0-9]{1,6}", typed.text) or int(typed.text) > MOST_PIECES:
        problem = f'Not saved: "{typed.text}" is not a whole number from 0 to {MOST_PIECES}.'
        st.session_state[f"fault_{item.key}"] = problem
        return
    now, count = _count_on_disk(folder, units, item), int(typed.text)
    if now is not None and now not in (typed.shown, count):
        st.session_state[f"conflict_{item.key}"] = (count, now)
        return
    _write(folder, units, item, lambda _: count)


def _settle(folder: Path, units: Units, item: TilePile, count: int | None) -> None:
    """End a conflict: with this count, or with what is on disk."""
    st.session_state.pop(f"conflict_{item.key}", None)
    if count is not None:
        _write(folder, units, item, lambda _: count)


def _count_on_disk(folder: Path, units: Units, item: TilePile) -> int | None:
    if item.kind and is_blank(folder / FILE_NAME):
        return 0
    try:
        pile = item.found(current_inventory(folder, units))
    except (InputError, KeyError):
        return None
    return 0 if pile is None else pile.count


def _write(folder: Path, units: Units, item: TilePile, count_of: Callable[[int], int]) -> None:
    """Write one count, before anything is drawn; a refusal is kept for the tile to say."""

    def changed(inventory: Inventory) -> Inventory:
        pile = item.found(inventory)
        if pile is None:
            raise KeyError(item.row)
        return with_count(inventory, pile.row, count_of(pile.count))

    last = st.session_state.get("last_tap")
    is_soon = last is not None and last[:2] == (str(folder), item.key) and time.monotonic() - last[2] < ONE_COUNTING
    try:
        if _is_new(folder, units, item):
            _begin(folder, units, item, count_of(0))
        else:
            change_inventory(folder, units, changed, joins_last=is_soon)
    except InputError as error:
        st.session_state[f"fault_{item.key}"] = "Not saved: " + "; ".join(told(error))
    except KeyError:
        st.session_state[f"fault_{item.key}"] = f"Not saved: {CHANGED}"
    else:
        st.session_state.last_tap = (str(folder), item.key, time.monotonic())


def _is_new(folder: Path, units: Units, item: TilePile) -> bool:
    """Whether a ready tile has no pile yet."""
    return bool(item.kind) and (is_blank(folder / FILE_NAME) or item.found(current_inventory(folder, units)) is None)


def _begin(folder: Path, units: Units, item: TilePile, count: int) -> None:
    """Add the pile of a ready tile with its first pieces."""
    if count <= 0:
        return
    cells = {"what": item.kind, "count": str(min(count, MOST_PIECES)), "owner": item.owner or ""}
    change_file(folder / FILE_NAME, lambda text: with_pile(text, cells, units))


def _tile_name(pile: Pile) -> str:
    words = f"{pile.kind} {pile.size}" if pile.size else pile.kind
    return f"{words} ({pile.label})" if pile.label else words
