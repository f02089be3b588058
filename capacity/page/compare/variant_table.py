"""The layout beside other ways: only re-spacing today's bays, and variants in folders beside this one."""

from __future__ import annotations

from pathlib import Path

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from capacity.closet.closet import FILE_NAME as CLOSET_NAME
from capacity.closet.closet import read_closet
from capacity.disk.files import read_bytes
from capacity.errors import InputError
from capacity.makeover.budget import BUDGET_RULE
from capacity.makeover.folder import fingerprint
from capacity.makeover.plan import FILE_NAME as PLAN_NAME
from capacity.makeover.plan import Plan, read_plan
from capacity.makeover.variants import Variant, steps_in_words, today_of, variant_of, variants_table
from capacity.page.compare import respacing
from capacity.page.errand import SEARCH, has_ended
from capacity.page.household import Household, escaped, plain
from capacity.wardrobe.inventory import FILE_NAME as INVENTORY_NAME

MOST = 12
"""So many folders are looked into."""

RESPACED = "today's bays re-spaced"


def show(household: Household, fitted: Household, plan: Plan, first: DeltaGenerator) -> None:
    """Draw the comparison; `fitted` is what the plan was found for.

    What each step of money buys, which a family asks first, is written into `first`, at the top of the page.
    """
    if fitted.closet is None:
        return
    folder = household.folder
    st.subheader("Against other ways")
    respaced = respacing.read_respaced(folder)
    variants = [variant_of("this layout", fitted.closet, plan)]
    if any(wall.bays for wall in plan.before.walls):
        variants.insert(0, today_of(plan, fitted.closet.prices.currency))
    if respaced.plan is not None and respaced.closet is not None and not respaced.is_old:
        variants.append(variant_of(RESPACED, respaced.closet, respaced.plan))
    others, left = _beside(folder)
    variants += others
    for line in steps_in_words(variants):
        first.markdown(f"- {plain(line)}")
    st.table(escaped(variants_table(variants)), hide_index=True, border="horizontal")
    rule = (
        BUDGET_RULE if any(item.cost for item in variants) else "Boards have no price yet; the page Closet takes one."
    )
    st.caption(plain(rule))
    if left:
        st.caption(plain(f"Not shown, as they have another count or no layout of their own now: {', '.join(left)}."))
    if household.closet is not None and household.closet.before and household.inventory is not None:
        _respacing(folder, respaced)


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
                found.append(variant_of(path.name, read_closet(path / CLOSET_NAME), plan))
            else:
                left.append(path.name)
        except (InputError, OSError):
            left.append(path.name)
    return found, left + [path.name for path in paths[MOST:]]


def _respacing(folder: Path, respaced: respacing.Respaced) -> None:
    """The button that tries it, and how far that is."""
    variant = respacing.folder_of(folder)
    is_running = SEARCH.runs(variant)
    if respaced.is_old and not is_running:
        st.warning("The count or the closet has changed since re-spacing was tried, so it is not in the table.")
    words = "Try again with only the shelves re-spaced" if respaced.plan else "Try with only the shelves re-spaced"
    st.button(words, key="respace", on_click=_start, args=(folder,), disabled=is_running)
    st.caption("Today's bays and uprights stay where they are; only shelves and rods move. This layout stays as it is.")
    st.session_state.was_respacing = is_running
    st.fragment(_watch, run_every="500ms" if is_running else None)(variant)
    fault = st.session_state.get("respace_fault", "") or ("" if is_running else SEARCH.failure(variant))
    for line in fault.splitlines():
        st.error(plain(line))


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
        words = f"Re-spaced so far: value {record.stored} of {record.all}. Could hold at most {record.bound}."
        st.progress(record.stored / record.all, text=words)
    is_stopping = SEARCH.is_stopping(variant)
    st.button("Stop and keep the best", key="respace_stop", on_click=SEARCH.stop, args=(variant,), disabled=is_stopping)
