"""Fit: find a layout, watch the best so far, stop, keep."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import streamlit as st

from capacity.drawings.to_plotly import CONFIG, DARK, LIGHT
from capacity.makeover.comparison import headline
from capacity.makeover.saved_plan import fitted_folder
from capacity.page import picture
from capacity.page.errand import SEARCH, has_ended, look_for_layout
from capacity.page.fit import answer
from capacity.page.household import STALE, Household, fingerprint, plain, read_household, show_faults
from capacity.page.start import folder_is_open
from capacity.page.window import is_wide
from capacity.page.words import in_page_words
from capacity.solver.best_so_far import read_best
from capacity.solver.progress import ProgressRecord
from capacity.units import counted

LIMITS = {"after 1 minute": 60.0, "after 5 minutes": 300.0, "when it is done": 0.0}
"""When a search ends by itself [s]; 0: when all that it tries has been tried."""

PATIENCE = 20.0
"""A search that was asked to stop is given so long before it can be ended [s]."""


def show(folder: Path | None) -> None:
    """Draw the step."""
    if not folder_is_open(folder) or folder is None:
        return
    household = read_household(folder)
    is_running = SEARCH.runs(folder)
    wide = is_wide()
    _sentence(household, is_running)
    show_faults(household)
    if household.is_stale and not is_running:
        st.warning(f"{STALE} What follows is the old one.")
    st.radio(
        "Stop by itself",
        list(LIMITS),
        index=2,
        horizontal=True,
        key="fit_limit",
        persist_state="session",
        disabled=is_running,
        help="However it ends, the best layout that was found is kept.",
    )
    can_start = household.closet is not None and household.inventory is not None and not is_running
    words = "Find a new layout" if household.plan else "Find a layout"
    st.button(words, type="primary", key="fit_start", on_click=_start, args=(folder,), disabled=not can_start)
    st.session_state.was_running = is_running
    # a watcher that asks only while something runs, or the page would never rest
    st.fragment(_watch, run_every="500ms" if is_running else None)(folder, wide)
    if not is_running:
        for line in SEARCH.failure(folder).splitlines():
            st.error(plain(in_page_words(line)))
    _outcome(household, wide)


def _sentence(household: Household, is_running: bool) -> None:
    plan = household.plan
    if is_running:
        st.header("A layout is being looked for.")
    elif plan is None and household.inventory is not None:
        st.header(f"No layout yet: {counted(household.inventory.pieces, 'piece')} to be given a place.")
    elif plan is None:
        st.header("No layout yet: the count and the measurements come first.")
    else:
        st.header(headline(plan))


def _start(folder: Path) -> None:
    st.session_state.pop("asked_to_stop", None)
    look_for_layout(folder, LIMITS[st.session_state.fit_limit])


def _watch(folder: Path, wide: bool) -> None:
    """The best so far, and the way to stop; draws the whole page anew once, when the search has ended."""
    if has_ended("was_running", SEARCH.runs(folder)):
        return
    record = SEARCH.progress(folder)
    if record is None or record.all == 0:
        st.progress(0.0, text="Reading the folder.")
    else:
        _best_so_far(folder, record, wide)
    is_stopping = SEARCH.is_stopping(folder)
    st.button("Stop and keep the best", key="fit_stop", on_click=_stop, args=(folder,), disabled=is_stopping)
    if not is_stopping:
        return
    st.write("Stopping: the best so far is being checked and written.")
    asked = st.session_state.setdefault("asked_to_stop", time.monotonic())
    if time.monotonic() - asked > PATIENCE:
        st.button("End it now and keep the layout found before", key="fit_end", on_click=SEARCH.end, args=(folder,))


def _best_so_far(folder: Path, record: ProgressRecord, wide: bool) -> None:
    """How much has a place, how much could, and the picture of it; the bar is full when nothing can be better."""
    figure, words = _best_drawn(folder, record, wide)
    more = record.bound - record.stored
    st.progress(min(1.0, record.stored / record.bound) if record.bound else 0.0, text=words)
    st.caption(
        f"{record.seconds:.0f} s, {record.doing}. "
        + (f"Waiting longer can bring {more} more in value at most" if more > 0 else "Nothing can store more")
        + ": a piece counts 3 if used daily, 2 weekly, 1 seasonally. "
        "The bar is full when nothing can store more; then the shelves are made easier to use and to build."
    )
    if figure is not None:
        st.plotly_chart(figure, theme=None, width="content", config=CONFIG, key="fit_best", alt=words)


def _best_drawn(folder: Path, record: ProgressRecord, wide: bool) -> tuple[Any, str]:
    """The picture of the best layout so far, made once for each, and how many pieces have a place in it."""
    best = read_best(folder, fingerprint(folder))
    if best is None:
        return None, "No layout so far."
    is_dark = st.context.theme.type == "dark"
    key = (folder, best.inputs, best.stored, wide, is_dark)
    known = st.session_state.get("fit_best_drawn")
    if known is None or known[0] != key:
        household = read_household(folder)
        if household.closet is None or household.inventory is None:
            return None, "No layout so far."
        paper = DARK if is_dark else LIGHT
        figure, stored = picture.best_figure(household.closet, household.inventory, best, paper, wide)
        known = st.session_state.fit_best_drawn = key, figure, stored, household.inventory.pieces
    _, figure, stored, pieces = known
    return figure, f"{stored} of {pieces} pieces have a place{_hope(stored, pieces, record)}."


def _hope(stored: int, pieces: int, record: ProgressRecord) -> str:
    if stored == pieces:
        return ""
    return "; perhaps all can" if record.bound >= record.all else "; that all can is ruled out"


def _stop(folder: Path) -> None:
    st.session_state.asked_to_stop = time.monotonic()
    SEARCH.stop(folder)


def _outcome(household: Household, wide: bool) -> None:
    """The layout that stands in the folder, drawn for what it was found for."""
    plan = household.plan
    if plan is None:
        return
    fitted = household
    if household.is_stale:
        copy = fitted_folder(household.folder, plan.inputs)
        if plan.inputs != fingerprint(copy):
            st.write("What it was found for is not known any more, so it is not drawn.")
            return
        fitted = read_household(copy)
    answer.show(fitted, plan, wide, is_current=not household.is_stale and not SEARCH.runs(household.folder))
