"""What the years bring: seasons that turn, children who grow, boards to move, and what is let go; each on request."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator
from functools import partial
from itertools import groupby
from pathlib import Path

import streamlit as st

from capacity.closet.closet import Closet
from capacity.errors import InputError
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.refilled import Refilled
from capacity.page.household import Household, plain
from capacity.page.words import in_page_words, told
from capacity.solver.boards_to_move import shelf_moves
from capacity.solver.effort import Effort
from capacity.upkeep.board_moves_in_words import reshelved_in_words
from capacity.upkeep.growing import growing_in_words
from capacity.upkeep.letting_go import GOES, Going, going, take_out, write_going
from capacity.upkeep.seasons import SeasonPlan, plan_seasons, seasons_in_words, turn_in_words, turns
from capacity.upkeep.swap_calendar import FILE_NAME as CALENDAR
from capacity.upkeep.swap_calendar import format_calendar
from capacity.upkeep.where import built_by, put_away
from capacity.wardrobe.inventory import Inventory

STAYS = "stays in the count"
STEP = 3
"""Years ahead that are offered first."""


def show(household: Household, refilled: Refilled | None) -> None:
    """Draw the part: four folded questions, each answered when it is opened."""
    closet, inventory, folder = household.closet, household.inventory, household.folder
    if closet is None or inventory is None:
        return
    _folded("When a season turns", "living_seasons", partial(_seasons, closet, inventory))
    _folded("When children grow", "living_growing", partial(_growing, folder, closet, inventory))
    if refilled is not None:
        _folded("Shelves to move", "living_respace", partial(_respace, folder, closet, inventory, refilled))
    _folded("Let go of what has no place", "living_gone", partial(_gone, folder, closet, inventory))


def _folded(title: str, key: str, draw: Callable[[], None]) -> None:
    with st.expander(title, key=key, on_change="rerun"):
        if st.session_state.get(key):
            draw()


def _lines(lines: Iterator[str]) -> None:
    """Lines as they are printed: those set in belong to the one before."""
    st.markdown(
        "\n".join(f"{'    ' if line.startswith('  ') else ''}- {plain(in_page_words(line.strip()))}" for line in lines)
    )


def _seasons(closet: Closet, inventory: Inventory) -> None:
    seasons = _planned_seasons(closet, inventory)
    if not seasons:
        st.write("No pile names a season. Write one into the column season of the count, such as winter.")
        return
    _lines(seasons_in_words(seasons, closet, inventory))
    found = turns(seasons, inventory)
    for turn in found:
        st.markdown(f"**When {plain(turn.begins.name)} begins**")
        if turn.moves:
            _lines(turn_in_words(turn, closet))
        else:
            st.write("Nothing moves.")
    if found:
        st.download_button(
            "The swap lists for a calendar (iCalendar)",
            data=lambda: format_calendar(found, closet, datetime.date.today()),
            file_name=CALENDAR,
            mime="text/calendar",
            on_click="ignore",
            key="living_calendar",
        )


def _planned_seasons(closet: Closet, inventory: Inventory) -> tuple[SeasonPlan, ...]:
    """Found once for a closet and a count of this window."""
    known = st.session_state.get("living_season_plan")
    if known is None or known[0] != (closet, inventory):
        known = st.session_state.living_season_plan = ((closet, inventory), plan_seasons(closet, inventory, Effort()))
    found: tuple[SeasonPlan, ...] = known[1]
    return found


def _growing(folder: Path, closet: Closet, inventory: Inventory) -> None:
    years = st.number_input("In how many years?", 1, 15, STEP, key="living_years", persist_state="session", width=200)
    try:
        layout = put_away(folder, closet, inventory)
    except InputError as error:
        st.write(plain(in_page_words(error.faults[0].problem)))
        return
    planned = built_by(folder, size_problem(closet, inventory))
    _lines(growing_in_words(closet, inventory, layout, int(years), planned))


def _respace(folder: Path, closet: Closet, inventory: Inventory, refilled: Refilled) -> None:
    if not st.button("Look which boards to move", key="living_look"):
        return
    problem = size_problem(closet, inventory)
    with st.spinner("Trying other holes"):
        steps = shelf_moves(closet, inventory, refilled, Effort(), built_by(folder, problem))
    _lines(reshelved_in_words(steps, refilled, problem, closet))


def _gone(folder: Path, closet: Closet, inventory: Inventory) -> None:
    """What has no place, owner by owner with a choice for each, and one button that takes out what goes."""
    try:
        lines = going(inventory, put_away(folder, closet, inventory))
    except InputError as error:
        st.write(plain(in_page_words(error.faults[0].problem)))
        return
    if not lines:
        st.write("Everything has a place.")
        return
    goes = []
    for owner, mine in groupby(lines, lambda one: one.owner):
        st.markdown(f"**{plain(owner or 'shared')}**")
        goes += [_where_it_goes(one) for one in mine]
    st.button(
        "Take what goes out of the count",
        key="living_take_out",
        disabled=not any(goes),
        on_click=_take_out,
        args=(folder, closet, lines, goes),
    )


def _where_it_goes(line: Going) -> str:
    """Ask for one pile; empty for what stays in the count."""
    name = " ".join(filter(None, (line.what, line.size, line.label)))
    chosen: str = st.selectbox(
        f"{plain(name)}: {line.pieces} of {line.of} without a place, value {line.value}",
        (STAYS, *GOES),
        key=f"living_goes_{line.row}_{line.pieces}_{line.of}",
        persist_state="session",
    )
    return "" if chosen == STAYS else chosen


def _take_out(folder: Path, closet: Closet, lines: tuple[Going, ...], goes: list[str]) -> None:
    """Write the list as it was answered, and take what goes out of the count."""
    try:
        write_going(folder, tuple(one.going_to(where) for one, where in zip(lines, goes, strict=True)))
        take_out(folder, closet.units)
    except InputError as error:
        st.session_state.living_said = list(told(error))
