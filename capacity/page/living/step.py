"""Live with it: where everything is, what came out differently, the counts so far, and what the years bring."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pandas as pd
import streamlit as st

from capacity.drawings.to_svg import ON_PAPER, ON_SLATE, format_svg
from capacity.errors import InputError
from capacity.makeover.adoption import adopt_plan
from capacity.makeover.comparison import gains, rows_of
from capacity.makeover.plan import Plan
from capacity.makeover.refilled import Refilled, read_refilled, write_refilled
from capacity.page.household import Household, escaped, one_writer, plain, read_household, show_faults
from capacity.page.living import found, later, measured
from capacity.page.start import folder_is_open
from capacity.page.words import told
from capacity.solver.refilling import refill_folder
from capacity.upkeep import counts
from capacity.upkeep.counts_chart import LETTER, counts_drawing, counts_in_words
from capacity.upkeep.promised import gain_in_words, reasons

CHART_WIDE = 620
"""Width of the chart of counts [pixels]."""


def show(folder: Path | None) -> None:
    """Draw the step."""
    if not folder_is_open(folder) or folder is None:
        return
    household = read_household(folder)
    closet, inventory = household.closet, household.inventory
    if closet is None or inventory is None:
        st.header("Nothing to live with yet: count and measure first.")
        show_faults(household)
        return
    refilled = read_refilled(folder, closet)
    st.header(_sentence(household, refilled))
    show_faults(household)
    for line in st.session_state.pop("living_said", ()):
        st.error(plain(line))
    with st.container(horizontal=True, key="living_buttons"):
        if household.plan is not None and not closet.built:
            st.button("It is built: take the plan over", key="living_adopt", on_click=_adopt, args=(household,))
        st.button("Put everything away anew", key="living_refill", type="primary", on_click=_refill, args=(folder,))
    found.show(folder, closet, inventory)
    if closet.built:
        measured.show(household)
    _counted_again(household, refilled)
    later.show(household, refilled)


def _sentence(household: Household, refilled: Refilled | None) -> str:
    closet = household.closet
    stands = "What was built" if closet is not None and closet.built else "What stands today"
    if refilled is None:
        return f"{stands} is not filled yet for the count as it is."
    return f"{stands} holds {refilled.stored} of {refilled.pieces} pieces."


def _adopt(household: Household) -> None:
    if household.plan is not None:
        _told(partial(adopt_plan, household.folder, household.plan), household.folder)


def _refill(folder: Path) -> None:
    """Fill what stands now, keep it, and note the count of the day."""

    def work() -> None:
        household = read_household(folder)
        if household.closet is None or household.inventory is None:
            return
        closet, inventory = household.closet, household.inventory
        refilled = refill_folder(folder, closet, inventory)
        write_refilled(folder, refilled)
        counts.note_count(folder, counts.day_count(closet, inventory, refilled, datetime.date.today()))

    _told(work, folder)


def _told(work: Callable[[], object], folder: Path) -> None:
    """Do it as the only writer of the folder; what goes wrong is said at the next drawing."""
    try:
        with one_writer(folder):
            work()
    except InputError as error:
        st.session_state.living_said = list(told(error))


def _counted_again(household: Household, refilled: Refilled | None) -> None:
    """Before, planned and built by kind, the gain promised and the gain that is, and the counts over time."""
    st.subheader("Counted again")
    closet, inventory, plan = household.closet, household.inventory, household.plan
    if closet is None or inventory is None:
        return
    if refilled is not None and closet.built and plan is not None:
        st.write(plain(gain_in_words(plan, refilled, household.is_stale)))
        if not household.is_stale:
            for line in reasons(plan, refilled, closet, inventory):
                st.markdown(f"- {plain(line)}")
            _table(plan, household, refilled)
    _history(household.folder)


def _table(plan: Plan, household: Household, refilled: Refilled) -> None:
    if household.inventory is None:
        return
    with st.expander("Before, planned and built"):
        for by in ("kind", "owner"):
            rows = rows_of(gains(plan, household.inventory, by, refilled.pieces_of), by)
            st.table(escaped(pd.DataFrame(rows)), hide_index=True, border="horizontal")


def _history(folder: Path) -> None:
    try:
        days = counts.read_counts(folder)
    except InputError as error:
        st.error(plain("; ".join(told(error))))
        return
    if not days:
        st.write("Each time that everything is put away anew, the count of the day is noted, and drawn here over time.")
        return
    inks = ON_SLATE if st.context.theme.type == "dark" else ON_PAPER
    words = counts_in_words(days)
    drawing = counts_drawing(days)
    with st.container(key="room_drawing_counts"):
        st.image(format_svg(drawing, words, LETTER, inks), width=CHART_WIDE, alt=words)
    with st.expander("The counts as a table"):
        st.table(pd.DataFrame(counts.rows_of(days)), hide_index=True, border="horizontal")
