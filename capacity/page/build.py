"""Build: what falls short and its cure, what to buy and to cut, and the packet to take away."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pandas as pd
import streamlit as st

from capacity.checks.check import NO_CURE, Cure, figures, shortfalls, tally_of
from capacity.closet.closet import FILE_NAME as CLOSET_NAME
from capacity.closet.text_edits import Edit, changed_text
from capacity.disk.folder_swap import NAME as BUILD
from capacity.errors import InputError
from capacity.makeover.checked_plan import check_plan
from capacity.makeover.plan import Plan
from capacity.page import packet_contents
from capacity.page.errand import SEARCH, Errand, has_ended, look_for_layout
from capacity.page.household import STALE, Household, change_file, plain, show_faults
from capacity.page.start import planned
from capacity.workshop.build_record import BuildRecord, current_revision, read_build

PACKET = Errand("build", "packet")
CHOICES = ("wishes", "panel", "rod", "wall", "construction")
"""Tables of the closet file that say what is built."""

PAPERS = {"Letter": "letter", "A4": "a4"}
PDF, CUT_LIST, SHOPPING = "packet.pdf", "cut-list.csv", "shopping-list.csv"


def show(folder: Path | None) -> None:
    """Draw the step."""
    found = planned(folder, "build")
    if found is None or folder is None:
        return
    household, plan = found
    record, fault = _packet(folder)
    is_running = PACKET.runs(folder)
    st.header(plain(sentence(plan, record)))
    show_faults(household)
    said = st.session_state.pop("build_said", "")
    if said:
        st.info(plain(said))
    _stale(household, plan, record)
    if fault:
        st.error(plain(fault))
    _making(household, is_running)
    if record is not None:
        _take_away(folder, record)
    _checks(plan, None if household.is_stale else folder)
    if record is not None:
        packet_contents.show(folder / BUILD, record)
    _cautions(household, plan)


def sentence(plan: Plan, record: BuildRecord | None) -> str:
    """What is checked, what is sawn and what it costs, in one sentence."""
    short = sum(not check.passed for check in plan.checks)
    number = len(plan.checks)
    words = f"{short} of {number} checks fall short" if short else f"All {number} checks passed"
    if not number:
        words = "This layout was found without checks"
    if record is None:
        return f"{words}; the packet is not made yet."
    sheets = f"{record.sheet_count} {'sheet' if record.sheet_count == 1 else 'sheets'}"
    shopping = record.shopping
    return f"{words}; {sheets}. {shopping.in_words}"


def _packet(folder: Path) -> tuple[BuildRecord | None, str]:
    """The packet, and the fault that keeps it from being read."""
    try:
        return read_build(folder), ""
    except InputError as error:
        return None, "; ".join(str(fault) for fault in error.faults)


def _stale(household: Household, plan: Plan, record: BuildRecord | None) -> None:
    """Say what is older than what it was made from, with one button each."""
    if household.is_stale:
        with st.container(key="build_stale"):
            st.warning(f"{STALE} A packet is made only for the count and the closet as they are: find a new one.")
            if SEARCH.runs(household.folder):
                st.write("A new one is being looked for; the page Fit shows how far it is.")
            elif household.closet and household.inventory:
                st.button("Find a new layout", key="build_fit", on_click=look_for_layout, args=(household.folder, 0.0))
    if record is not None and record.revision != current_revision(plan, household.folder):
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
                st.error(plain(line))


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


def _take_away(folder: Path, record: BuildRecord) -> None:
    """The files to take away: packet and tables here, each drawing beside its picture."""
    build = folder / BUILD
    offers = (
        (PDF, "The packet to print (PDF)", "application/pdf"),
        (CUT_LIST, "Cut list (CSV)", "text/csv"),
        (SHOPPING, "Shopping list (CSV)", "text/csv"),
    )
    with st.container(horizontal=True, key="take_away"):
        for name, label, kind in offers:
            if name in record.files and (build / name).is_file():
                st.download_button(
                    label,
                    data=partial(packet_contents.content, build / name),
                    file_name=f"{folder.name}-{name}",
                    mime=kind,
                    on_click="ignore",
                    key=f"take_{name.partition('.')[0].replace('-', '_')}",
                )


def is_setting(cure: Cure) -> bool:
    """Whether a cure is a choice of what is built, so that it can be written into the closet file and no more is done.

    A door that is widened or taken off, a step, or pieces put elsewhere, are work.
    """
    return bool(cure.settings) and all(place.split(".")[0] in CHOICES and "." in place for place in cure.settings)


def _use(folder: Path, cure: Cure) -> None:
    """Write the settings of a cure into the closet file; Undo on the page Closet takes them back."""
    edits = [
        Edit(tuple(int(part) - 1 if part.isdigit() else part for part in place.split(".")), value)
        for place, value in cure.settings.items()
    ]
    try:
        change_file(folder / CLOSET_NAME, lambda text: changed_text(text, edits))
    except InputError as error:
        st.session_state.build_said = str(error)
    else:
        st.session_state.build_said = (
            f"Written into the closet: {cure.sentence}. Find a new layout, and it is checked with it. "
            "Undo on the page Closet takes it back."
        )


def _checks(plan: Plan, folder: Path | None = None) -> None:
    """What falls short with its cure, one paragraph a fault; then every kind of check in a table.

    With `folder`, a cure that is a setting of it can be used.
    """
    st.subheader("Checks")
    short = shortfalls(plan.checks)
    if not plan.checks:
        st.write("Find the layout again, and it is checked.")
        return
    if not short:
        st.write("Nothing falls short.")
    for number, group in enumerate(short):
        worst = group[0]
        with st.container(border=True):
            places = "; ".join(str(check.place) for check in group)
            st.markdown(f"**Falls short: {plain(worst.name)}**, {plain(places)}")
            note = f"; {worst.note}" if worst.note else ""
            st.write(plain(f"{figures(worst.computed, worst.limit, worst.sense, worst.unit)}{note}."))
            cure = worst.cure
            if cure is None:
                st.markdown(f"**Cure:** {plain(worst.advice or NO_CURE)}.")
            else:
                then = figures(cure.computed, cure.limit, worst.sense, worst.unit)
                st.markdown(f"**Cure:** {plain(f'{cure.sentence}; then {then}.')}")
                if folder is not None and is_setting(cure):
                    st.button("Use this cure", key=f"cure_{number}", on_click=_use, args=(folder, cure))
            st.caption(plain(f"Source: {worst.source} ({worst.how_known})"))
    with st.expander(f"All {len(plan.checks)} checks"):
        st.table(packet_contents.escaped(pd.DataFrame(tally_of(plan.checks))), hide_index=True, border="horizontal")
        st.caption("A ratio of 1 is at the limit; what is above 1 falls short.")


def _cautions(household: Household, plan: Plan) -> None:
    """What could not be checked, and where the work can hurt somebody."""
    if household.closet is None or household.inventory is None:
        return
    try:
        report = check_plan(household.closet, household.inventory, plan)
    except InputError:  # the layout is of another closet or count, which has been said
        return
    if report.not_checked:
        st.subheader("Not checked")
        st.markdown("\n".join(f"- {plain(line)}" for line in report.not_checked))
    st.subheader("Before you begin")
    st.markdown("\n".join(f"- **{plain(item.topic)}:** {plain(item.words)}" for item in report.cautions))
