"""The layout beside other ways: only re-spacing today's bays, and variants in folders beside this one."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from capacity.disk.files import read_bytes
from capacity.errors import InputError
from capacity.makeover.folder import fingerprint, read_folder
from capacity.makeover.gain_for_money import (
    RESPACED,
    TODAY,
    Variant,
    gain_for_money,
    steps_in_words,
    today_of,
    variant_of,
    variants_table,
)
from capacity.makeover.plan import FILE_NAME as PLAN_NAME
from capacity.makeover.plan import Plan, read_plan
from capacity.page.compare import respacing
from capacity.page.errand import SEARCH, has_ended
from capacity.page.household import Household, escaped, plain
from capacity.page.money import cost_of
from capacity.page.words import in_page_words
from capacity.wardrobe.inventory import FILE_NAME as INVENTORY_NAME

MOST = 12
"""So many folders are looked into."""

THIS = "this layout"


def show(household: Household, fitted: Household, plan: Plan, steps: DeltaGenerator) -> str:
    """Draw the comparison; `fitted` is what the plan was found for.

    What each step of money buys is written into `steps` where there are several: last, since a cost that nobody has
    asked for yet takes a moment.

    Returns
    -------
    What is gained for how much, in a sentence; empty where no closet of today is described.
    """
    if fitted.closet is None or fitted.inventory is None:
        return ""
    st.subheader("Against other ways")
    place = st.empty()
    st.caption("What all of it likely costs is the figure of the shopping list; the page Build makes that list.")
    others, left = _beside(household.folder)
    if left:
        st.caption(plain(f"Not shown, as they have another count or no layout of their own now: {', '.join(left)}."))
    variants = [*_own(household, fitted, plan), *others]
    place.table(escaped(variants_table(variants)), hide_index=True, border="horizontal")
    named = {variant.name: variant for variant in variants}
    if len(variants) > 2:
        steps.markdown("\n".join(f"- {plain(line)}" for line in steps_in_words(variants)))
    return gain_for_money(named[TODAY], named.get(RESPACED), named[THIS]) if TODAY in named else ""


def _own(household: Household, fitted: Household, plan: Plan) -> Iterator[Variant]:
    """Today's closet, its bays re-spaced, and the layout."""
    folder, closet, inventory = household.folder, fitted.closet, fitted.inventory
    if closet is None or inventory is None:
        return
    if any(wall.bays for wall in plan.before.walls):
        yield today_of(plan, closet.prices.currency)
    yield variant_of(THIS, plan, cost_of(folder, closet, inventory, plan))
    respaced = respacing.read_respaced(folder)
    if respaced.plan is not None and respaced.closet is not None and not respaced.is_old:
        cost = cost_of(respacing.folder_of(folder), respaced.closet, inventory, respaced.plan)
        yield variant_of(RESPACED, respaced.plan, cost)


def _beside(folder: Path) -> tuple[list[Variant], list[str]]:
    """Variants for the same count in folders beside this one, and the names of those that cannot be compared."""
    found: list[Variant] = []
    left: list[str] = []
    try:
        count = read_bytes(folder / INVENTORY_NAME)
        paths = sorted(path for path in folder.parent.iterdir() if (path / PLAN_NAME).is_file() and path != folder)
    except OSError:
        return [], []
    for path in paths[:MOST]:
        try:
            plan = read_plan(path / PLAN_NAME)
            is_same = read_bytes(path / INVENTORY_NAME) == count and plan.inputs == fingerprint(path)
            if is_same:
                closet, inventory = read_folder(path)
                found.append(variant_of(path.name, plan, cost_of(path, closet, inventory, plan)))
            else:
                left.append(path.name)
        except (InputError, OSError):
            left.append(path.name)
    return found, left + [path.name for path in paths[MOST:]]


def offer_respacing(household: Household) -> None:
    """Draw the button that tries what re-spacing alone brings, and how far that is; nothing without bays of today."""
    folder = household.folder
    if household.closet is None or not household.closet.before or household.inventory is None:
        return
    respaced = respacing.read_respaced(folder)
    variant = respacing.folder_of(folder)
    is_running = SEARCH.runs(variant)
    if respaced.is_old and not is_running:
        st.warning("The count or the closet has changed since re-spacing was tried, so it is not in the table.")
    if respaced.plan is None or respaced.is_old or is_running:
        st.button(
            "What would re-spaced shelves alone bring?",
            key="respace",
            on_click=_start,
            args=(folder,),
            disabled=is_running,
            help="Today's bays and uprights stay; only shelves and rods move. This layout stays as it is.",
        )
    st.session_state.was_respacing = is_running
    st.fragment(_watch, run_every="500ms" if is_running else None)(variant)
    fault = st.session_state.get("respace_fault", "") or ("" if is_running else SEARCH.failure(variant))
    for line in fault.splitlines():
        st.error(plain(in_page_words(line)))


def _start(folder: Path) -> None:
    st.session_state.respace_fault = respacing.start(folder)


def _watch(variant: Path) -> None:
    """The best so far, and the way to stop; draws the whole page anew once, when it has ended."""
    if has_ended("was_respacing", SEARCH.runs(variant)):
        return
    record = SEARCH.progress(variant)
    if record is None or record.all == 0:
        st.progress(0.0, text="Reading the folder.")
    else:
        words = f"Re-spaced so far: value {record.stored} of {record.all}; at most {record.bound} could be."
        st.progress(record.stored / record.all, text=words)
    is_stopping = SEARCH.is_stopping(variant)
    st.button("Stop and keep the best", key="respace_stop", on_click=SEARCH.stop, args=(variant,), disabled=is_stopping)
