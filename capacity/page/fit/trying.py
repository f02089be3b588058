"""Try a change: one shelf, rod or upright of the layout found, and at once what has no place then; kept or dropped."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import streamlit as st

from capacity.closet.closet import FILE_NAME as CLOSET
from capacity.closet.closet import Closet
from capacity.closet.edits import BayToKeep, wished_bays
from capacity.closet.saving import change_closet
from capacity.drawings.labels import LetteredOpening, length_words, lettered
from capacity.errors import InputError
from capacity.layout.changes import Action, Change, ChangeError
from capacity.layout.layout import Bay, Layout
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.rod_height import rod_height
from capacity.makeover.plan import FILE_NAME, Plan, format_plan
from capacity.page import undoing
from capacity.page.household import ChangedOnDiskError, Household, change_file, one_writer, plain, revision
from capacity.page.money import sheets_at_once
from capacity.page.picture import Sides
from capacity.page.words import told
from capacity.units import PER_INCH, PER_MM, Rounding, Ticks, counted, parse_length
from capacity.wardrobe.inventory import Inventory

LENGTH = {
    Action.MOVE_SHELF: "How far up (less than 0: down)",
    Action.ADD_SHELF: "How high over the lower edge of the opening",
    Action.MOVE_UPRIGHT: "How far to the right (less than 0: to the left)",
}
"""What is asked for besides, by action."""


def show(fitted: Household, plan: Plan, sides: Sides, wall: int, letter: str) -> Layout | None:
    """Ask for a change at the opening with this letter, say what it would do, and offer to keep it.

    Returns
    -------
    The layout with the change, to be drawn; None where none is tried.
    """
    closet, inventory = fitted.closet, fitted.inventory
    path = fitted.folder / FILE_NAME
    if revision(path) in st.session_state.get("try_kept", ()):
        undoing.show(path, "the layout")
    if closet is None or inventory is None:
        return None
    item = next((each for each in lettered(sides.after.layout) if (each.wall, each.letter) == (wall, letter)), None)
    if item is None:
        st.write("Choose an opening in the picture or in the list first.")
        return None
    action = st.radio(f"What to do at {letter}", list(Action), index=None, key="try_action")
    if action is None:
        return None
    change = _asked(closet, sides, item, Action(action))
    if change is None:
        return None
    from capacity.solver.trying import tried

    try:
        layout = tried(sides.problem, sides.after.layout, change)
    except ChangeError as error:
        st.error(plain(f"That cannot be built: {error}."))
        return None
    _said(closet, sides, inventory, layout)
    with st.container(horizontal=True):
        st.button(
            "Keep it as the layout", type="primary", key="try_keep", on_click=_keep, args=(fitted, plan, sides, layout)
        )
        if not closet.wishes.keep_bays:
            st.button(
                "Make it a wish",
                key="try_wish",
                on_click=_wish,
                args=(fitted, sides, layout, change),
                help="The next search keeps this bay where it is, as wide as it is, and made for what it is made for.",
            )
        st.button("Drop it", key="try_drop", on_click=_drop)
    fault = st.session_state.pop("try_fault", "")
    if fault:
        st.error(plain(fault))
    return layout


def _asked(closet: Closet, sides: Sides, item: LetteredOpening, action: Action) -> Change | None:
    """The change that is asked for; None while a length is missing."""
    number = sum(1 for each in item.in_bay.openings if each.bottom < item.opening.bottom)
    by = 0
    if action in LENGTH:
        usual = _first_length(closet, sides, Change(item.wall, item.bay, number, action))
        words = f"{'-' if usual < 0 else ''}{length_words(abs(usual), closet.units)}"
        text = st.text_input(LENGTH[action], words, key=f"try_by_{action.name.casefold()}")
        sign, text = (-1, text.strip()[1:]) if text.strip().startswith(("-", "−")) else (1, text)
        try:
            by = sign * parse_length(text, closet.units, Rounding.NEAREST)
        except ValueError as error:
            st.error(plain(str(error)))
            return None
    return Change(item.wall, item.bay, number, action, by)


def _first_length(closet: Closet, sides: Sides, change: Change) -> int:
    """A length to begin with, one that can be built where there is one [ticks]."""
    from capacity.solver.trying import can_be_built

    step = PER_INCH if closet.units == "in" else 25 * PER_MM
    layout = sides.after.layout
    offered = [number * step for number in (2, 1, -1, -2)]
    if change.action is Action.ADD_SHELF:
        bay = layout.walls[change.wall].bays[change.bay]
        offered = [bay.openings[change.opening].height // 2 // step * step]
    may = (by for by in offered if can_be_built(sides.problem, layout, replace(change, by=by)))
    return next(may, offered[0])


def _said(closet: Closet, sides: Sides, inventory: Inventory, layout: Layout) -> None:
    """What has no place then that has one now, what has one then, and how many more or fewer sheets it takes."""
    now, then = sides.after.layout.stored(), layout.stored()
    lost, won = now - then, then - now

    def words(pieces: Counter[int]) -> str:
        return ", ".join(f"{count} × {inventory.pile(row).name}" for row, count in sorted(pieces.items()))

    sentence = f"{then.total()} of {inventory.pieces} pieces have a place then"
    sentence += f" ({then.total() - now.total():+d})." if then.total() != now.total() else ", as many as now."
    st.markdown(f"**{plain(sentence)}**")
    if lost:
        st.markdown(f"No place any more: {plain(words(lost))}.")
    if won:
        st.markdown(f"A place at last: {plain(words(won))}.")
    st.markdown(plain(_sheets(closet, sides, layout)))
    st.caption("Tried in a moment: other piles may move to make room, and a search may store more.")


def _sheets(closet: Closet, sides: Sides, layout: Layout) -> str:
    """How many sheets of board more or fewer; both cut in the first way that is found, so that it takes no time."""
    try:
        now, then = (sheets_at_once(closet, sides.problem, each) for each in (sides.after.layout, layout))
    except InputError as error:
        return f"It cannot be cut: {'; '.join(told(error))}."
    if now == then:
        return "It takes as many sheets of board as now."
    number = counted(abs(then - now), "sheet")
    price = closet.panel.price
    cost = f", about {closet.prices.currency}{abs(then - now) * price:.2f}" if price else ""
    return f"It takes about {number} of board {'more' if then > now else 'fewer'}{cost}."


def _wish(fitted: Household, sides: Sides, layout: Layout, change: Change) -> None:
    """Write the bays that were changed as bays that must be; Undo on the page Closet takes them back."""
    wall = layout.walls[change.wall]
    several = 2 if change.action is Action.MOVE_UPRIGHT else 1
    bays = [_to_keep(sides.problem, bay) for bay in wall.bays[change.bay : change.bay + several]]
    try:
        with one_writer(fitted.folder):
            change_closet(fitted.folder / CLOSET, lambda data: wished_bays(data, wall.name, bays, fitted.units))
    except InputError as error:
        st.session_state.try_fault = "Not made a wish: " + "; ".join(told(error))
        return
    _drop()
    st.toast("It is a wish now: find a new layout, and it is built around it. Undo on the page Closet takes it back.")


def _to_keep(problem: Problem, bay: Bay) -> BayToKeep:
    """A bay as a wish: what it is made for, where all of it below the top is for the same."""
    below = [opening for opening in bay.openings if opening.bottom < problem.top]
    left, width = Ticks(bay.left), Ticks(bay.width)
    kinds = {opening.kind for opening in below}
    if kinds == {OpeningKind.HANG}:
        return BayToKeep(left, width, rods=tuple(Ticks(rod_height(problem, opening)) for opening in below))
    return BayToKeep(left, width, OpeningKind.SHELF.value if kinds == {OpeningKind.SHELF} else None)


def _keep(fitted: Household, plan: Plan, sides: Sides, layout: Layout) -> None:
    """Write the plan with this layout, unless somebody has changed it meanwhile."""
    from capacity.solver.trying import plan_of
    from capacity.workshop.whole_sheets import sheets_to_buy

    if fitted.closet is None or fitted.inventory is None:
        return
    path = fitted.folder / FILE_NAME
    seen = revision(path)
    kept = plan_of(fitted.closet, fitted.inventory, sides.problem, plan, layout, sheets_to_buy)
    try:
        change_file(path, lambda _: format_plan(kept), seen)
    except ChangedOnDiskError:
        st.toast("The layout has changed meanwhile; nothing was kept.")
        return
    except InputError as error:
        st.toast(plain("; ".join(told(error))))
        return
    _drop()
    st.session_state.try_kept = seen, revision(path)
    st.toast("Kept. The checks were made again; the packet has to be made again.")


def _drop() -> None:
    st.session_state.try_action = None
