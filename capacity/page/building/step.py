"""Build: what falls short and its cure, what to buy and to cut, and the packet to take away."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import streamlit as st

from capacity.checks.all_checks import unchecked
from capacity.checks.check import Check
from capacity.disk.folder_swap import NAME as BUILD
from capacity.errors import InputError
from capacity.makeover.plan import Plan
from capacity.page.building import contents, shortfalls, single_pages
from capacity.page.errand import SEARCH, Errand, has_ended, look_for_layout
from capacity.page.household import STALE, Household, plain, show_faults
from capacity.page.start import planned
from capacity.page.words import in_page_words, told
from capacity.units import counted
from capacity.workshop.build_record import BuildRecord, current_revision, read_build
from capacity.workshop.packet import Paper

PACKET = Errand("build", "packet")

PAPERS: dict[str, Paper] = {"Letter": "letter", "A4": "a4"}
PDF, CUT_LIST, SHOPPING = "packet.pdf", "cut-list.csv", "shopping-list.csv"

TABS = ("Falls short", "Shopping", "Sheets", "Parts", "Cautions")


def show(folder: Path | None) -> None:
    """Draw the step."""
    found = planned(folder, "build")
    if found is None or folder is None:
        return
    household, plan = found
    record, fault = _packet(folder)
    is_running = PACKET.runs(folder)
    st.header(plain(sentence(household, plan, record)))
    show_faults(household)
    said = st.session_state.pop("build_said", "")
    if said:
        st.info(plain(said))
    is_old = record is not None and record.revision != current_revision(plan, folder)
    _stale(household, is_old and not is_running)
    if fault:
        st.error(plain(fault))
    _making(household, is_running)
    old = ", old" if is_old or is_running else ""
    with st.container(horizontal=True, key="take_away"):
        if record is not None:
            _take_away(folder, record, old)
        single_pages.offer(household, plan, record, PAPERS[st.session_state.build_paper], old)
    _tabs(household, plan, record)


def _tabs(household: Household, plan: Plan, record: BuildRecord | None) -> None:
    """What falls short, what to buy, sheets, parts and cautions, each in a tab of its own."""
    short, shopping, sheets, parts, cautions = st.tabs(TABS, key="build_tabs")
    with short:
        shortfalls.show(_checks(household, plan), None if household.is_stale else household.folder)
    for tab, draw in (
        (shopping, contents.show_shopping),
        (sheets, partial(contents.show_drawings, household.folder / BUILD)),
        (parts, contents.show_parts),
    ):
        with tab:
            if record is None:
                st.write("The packet is not made yet; it brings this.")
            else:
                draw(record)
    with cautions:
        if household.report is None or household.closet is None or household.inventory is None:
            st.write("They are told for a layout that is found for the count and the closet as they are.")
        else:
            shortfalls.show_cautions(household.report, tuple(unchecked(household.closet, household.inventory)))


def _checks(household: Household, plan: Plan) -> tuple[Check, ...]:
    """The checks of the layout with the closet as it stands now, else as it was found."""
    return plan.checks if household.report is None else household.report.checks


def sentence(household: Household, plan: Plan, record: BuildRecord | None) -> str:
    """What is checked, what is sawn and what it costs, in one sentence."""
    checks = _checks(household, plan)
    short = sum(not check.passed for check in checks)
    number = len(checks)
    words = f"{short} of {number} checks fall short" if short else f"All {number} checks passed"
    if not number:
        words = "This layout was found without checks"
    if record is None:
        return f"{words}; the packet is not made yet."
    return f"{words}; {counted(record.sheet_count, 'sheet')}. {record.shopping.in_words}"


def _packet(folder: Path) -> tuple[BuildRecord | None, str]:
    """The packet, and the fault that keeps it from being read."""
    try:
        return read_build(folder), ""
    except InputError as error:
        return None, "; ".join(told(error))


def _stale(household: Household, is_old: bool) -> None:
    """Say what is older than what it was made from, with one button each; `is_old`: the packet."""
    if household.is_stale:
        with st.container(key="build_stale"):
            st.warning(f"{STALE} A packet is made only for the count and the closet as they are: find a new one.")
            if SEARCH.runs(household.folder):
                st.write("A new one is being looked for; the page Fit shows how far it is.")
            elif household.closet and household.inventory:
                st.button("Find a new layout", key="build_fit", on_click=look_for_layout, args=(household.folder, 0.0))
    if is_old:
        st.warning("The layout or the closet has changed since this packet was made. Make it again.")


def _making(household: Household, is_running: bool) -> None:
    folder = household.folder
    can_read = household.closet is not None and household.inventory is not None and not household.is_stale
    can_start = can_read and not is_running
    st.radio(
        "Paper",
        list(PAPERS),
        index=1 if household.units == "mm" else 0,
        horizontal=True,
        key="build_paper",
        persist_state="session",
        disabled=is_running,
    )
    st.button(
        "Make the packet", type="primary", key="build_start", on_click=_start, args=(folder,), disabled=not can_start
    )
    st.session_state.was_building = is_running
    st.fragment(_watch, run_every="500ms" if is_running else None)(folder)
    if not is_running:
        for line in PACKET.failure(folder).splitlines():
            if "above the budget of" not in line:  # that is an answer, and stands in the first line
                st.error(plain(in_page_words(line)))


def _start(folder: Path) -> None:
    PACKET.start(folder, ("--json", "--paper", PAPERS[st.session_state.build_paper]))


def _watch(folder: Path) -> None:
    """Which step it is at; draws the whole page anew once, when it has ended."""
    if has_ended("was_building", PACKET.runs(folder)):
        return
    record = PACKET.progress(folder)
    if record is None or record.all == 0:
        st.progress(0.0, text="Making the parts.")
        return
    step = f"Step {record.stored + 1} of {record.all}: {record.doing}, {record.seconds:.0f} s."
    st.progress(record.stored / record.all, text=step)


def _take_away(folder: Path, record: BuildRecord, old: str) -> None:
    """The files to take away: packet and tables here, each drawing beside its picture; `old` is said of old ones."""
    build = folder / BUILD
    offers = (
        (PDF, "The packet to print (PDF)", "application/pdf"),
        (CUT_LIST, "Cut list (CSV)", "text/csv"),
        (SHOPPING, "Shopping list (CSV)", "text/csv"),
    )
    for name, label, kind in offers:
        if name in record.files and (build / name).is_file():
            st.download_button(
                f"{label}{old}",
                data=partial(contents.content, build / name),
                file_name=f"{folder.name}-{name}",
                mime=kind,
                on_click="ignore",
                key=f"take_{name.partition('.')[0].replace('-', '_')}",
            )
