"""Fit: find a layout, watch the best so far, stop, keep."""

from __future__ import annotations

import time
from pathlib import Path

import streamlit as st

from capacity.makeover.comparison import headline, proof
from capacity.makeover.saved_plan import fitted_folder
from capacity.page.errand import LONGEST, SEARCH, has_ended, look_for_layout
from capacity.page.fit import answer
from capacity.page.household import STALE, Household, fingerprint, plain, read_household, show_faults
from capacity.page.start import folder_is_open

PATIENCE = 20.0
"""A search that was asked to stop is given so long before it can be ended [s]."""


def show(folder: Path | None) -> None:
    """Draw the step."""
    if not folder_is_open(folder) or folder is None:
        return
    household = read_household(folder)
    is_running = SEARCH.runs(folder)
    _sentence(household, is_running)
    show_faults(household)
    if household.is_stale and not is_running:
        st.warning(f"{STALE} What follows is the old one.")
    st.number_input(
        "Seconds at most (0: until the search is done)",
        min_value=0,
        max_value=int(LONGEST),
        value=0,
        step=10,
        key="fit_seconds",
        persist_state="session",
        width=320,
        disabled=is_running,
        help="The search ends by itself. With a limit it keeps the best layout that it has by then.",
    )
    can_start = household.closet is not None and household.inventory is not None and not is_running
    words = "Find a new layout" if household.plan else "Find a layout"
    st.button(words, type="primary", key="fit_start", on_click=_start, args=(folder,), disabled=not can_start)
    st.session_state.was_running = is_running
    # a watcher that asks only while something runs, or the page would never rest
    st.fragment(_watch, run_every="500ms" if is_running else None)(folder)
    if not is_running:
        for line in SEARCH.failure(folder).splitlines():
            st.error(plain(line))
    _outcome(household)


def _sentence(household: Household, is_running: bool) -> None:
    plan = household.plan
    if is_running:
        st.header("A layout is being looked for.")
    elif plan is None and household.inventory is not None:
        st.header(f"No layout yet: {household.inventory.pieces} pieces wait for a place.")
    elif plan is None:
        st.header("No layout yet: the count and the measurements come first.")
    else:
        st.header(headline(plan))


def _start(folder: Path) -> None:
    st.session_state.pop("asked_to_stop", None)
    look_for_layout(folder, float(st.session_state.fit_seconds))


def _watch(folder: Path) -> None:
    """The best so far, and the way to stop; draws the whole page anew once, when the search has ended."""
    if has_ended("was_running", SEARCH.runs(folder)):
        return
    record = SEARCH.progress(folder)
    if record is None or record.all == 0:
        st.progress(0.0, text="Reading the folder.")
    else:
        best = f"Best so far: value {record.stored} of {record.all}." if record.stored else "No layout so far."
        st.progress(record.stored / record.all, text=f"{best} Could hold at most {record.bound}.")
        st.caption(f"{record.seconds:.0f} s, {record.doing}. Value: daily 3, weekly 2, seasonal 1 a stored piece.")
    is_stopping = SEARCH.is_stopping(folder)
    st.button("Stop and keep the best", key="fit_stop", on_click=_stop, args=(folder,), disabled=is_stopping)
    if not is_stopping:
        return
    st.write("Stopping: the best so far is being checked and written.")
    asked = st.session_state.setdefault("asked_to_stop", time.monotonic())
    if time.monotonic() - asked > PATIENCE:
        st.button("End it now and keep the layout found before", key="fit_end", on_click=SEARCH.end, args=(folder,))


def _stop(folder: Path) -> None:
    st.session_state.asked_to_stop = time.monotonic()
    SEARCH.stop(folder)


def _outcome(household: Household) -> None:
    """The layout that stands in the folder, drawn for what it was found for."""
    plan = household.plan
    if plan is None:
        return
    st.write(proof(plan))
    st.caption(
        f"Found in {plan.seconds:.0f} s"
        + ("; stopped early, this is the best of that search." if plan.stopped_early else ".")
    )
    fitted = household
    if household.is_stale:
        copy = fitted_folder(household.folder, plan.inputs)
        if plan.inputs != fingerprint(copy):
            st.write("What it was found for is not known any more, so it is not drawn.")
            return
        fitted = read_household(copy)
    answer.show(fitted, plan)
