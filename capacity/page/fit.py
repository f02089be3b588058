"""Fit: find a layout, watch the best so far, stop, keep."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from capacity.comparing import headline, proof
from capacity.page import search
from capacity.page.household import STALE, Household, plain, read_household, show_faults
from capacity.page.start import folder_is_open

LONGEST = 86_400


def show(folder: Path | None) -> None:
    """Draw the step."""
    if not folder_is_open(folder) or folder is None:
        return
    household = read_household(folder)
    is_running = search.runs(folder)
    _sentence(household, is_running)
    show_faults(household)
    st.number_input(
        "Seconds at most (0: until the search is done)",
        min_value=0,
        max_value=LONGEST,
        value=0,
        step=10,
        key="fit_seconds",
        persist_state="session",
        width=320,
        disabled=is_running,
        help="The search ends by itself. With a limit it keeps the best layout that it has by then.",
    )
    can_start = household.closet is not None and household.inventory is not None and not is_running
    st.button("Find a layout", type="primary", key="fit_start", on_click=_start, args=(folder,), disabled=not can_start)
    st.session_state.was_running = is_running
    # a watcher that asks only while something runs, or the page would never rest
    st.fragment(_watch, run_every="500ms" if is_running else None)(folder)
    if not is_running:
        _outcome(household)


def _sentence(household: Household, is_running: bool) -> None:
    plan = household.plan
    if is_running:
        st.header("A layout is being looked for.")
    elif plan is None and household.inventory is not None:
        st.header(f"No layout yet: {household.inventory.pieces} pieces wait for a place.")
    elif plan is None:
        st.header("No layout yet: the count and the measurements come first.")
    elif household.is_stale:
        st.header(f"{STALE} Find a new one.")
    else:
        st.header(headline(plan))


def _start(folder: Path) -> None:
    search.start(folder, float(st.session_state.fit_seconds))


def _watch(folder: Path) -> None:
    """The best so far, and the way to stop; draws the whole page anew once, when the search has ended."""
    if not search.runs(folder):
        if st.session_state.get("was_running"):
            st.session_state.was_running = False
            st.rerun()
        return
    record = search.progress(folder)
    if record is None or record.all == 0:
        st.progress(0.0, text="Reading the folder.")
    else:
        best = f"Best so far: value {record.stored} of {record.all}." if record.stored else "No layout so far."
        st.progress(record.stored / record.all, text=f"{best} Could hold at most {record.bound}.")
        st.caption(f"{record.seconds:.0f} s, {record.doing}. Value: daily 3, weekly 2, seasonal 1 a stored piece.")
    st.button(
        "Stop and keep the best",
        key="fit_stop",
        on_click=search.stop,
        args=(folder,),
        disabled=search.is_stopping(folder),
    )
    if search.is_stopping(folder):
        st.write("Stopping: the best so far is being checked and written.")


def _outcome(household: Household) -> None:
    for line in search.failure(household.folder).splitlines():
        st.error(plain(line))
    if household.plan is None or household.is_stale:
        return
    st.write(proof(household.plan))
    st.caption(
        f"Found in {household.plan.seconds:.0f} s"
        + ("; stopped early, this is the best of that search." if household.plan.stopped_early else ".")
        + " The page Compare draws it."
    )
