"""Try a change: one shelf, rod or upright of the layout found, and at once what has no place then; kept or dropped."""

from __future__ import annotations

from collections import Counter

import streamlit as st

from capacity.closet.closet import Closet
from capacity.drawings.labels import LetteredOpening, length_words, lettered
from capacity.errors import InputError
from capacity.layout.changes import Action, Change, ChangeError
from capacity.layout.layout import Layout, panel_area
from capacity.makeover.plan import FILE_NAME, Plan, format_plan
from capacity.page import undoing
from capacity.page.household import ChangedOnDiskError, Household, change_file, plain, revision
from capacity.page.picture import Sides
from capacity.units import PER_INCH, PER_MM, Rounding, parse_length
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
    _said(sides, inventory, layout)
    with st.container(horizontal=True):
        st.button(
            "Keep it as the layout", type="primary", key="try_keep", on_click=_keep, args=(fitted, plan, sides, layout)
        )
        st.button("Drop it", key="try_drop", on_click=_drop)
    return layout


def _asked(closet: Closet, sides: Sides, item: LetteredOpening, action: Action) -> Change | None:
    """The change that is asked for; None while a length is missing."""
    number = sum(1 for each in item.in_bay.openings if each.bottom < item.opening.bottom)
    by = 0
    if action in LENGTH:
        step = PER_INCH if closet.units == "in" else 50 * PER_MM
        usual = item.opening.height // 2 // step * step if action is Action.ADD_SHELF else 2 * step
        text = st.text_input(LENGTH[action], length_words(usual, closet.units), key=f"try_by_{action.name.casefold()}")
        sign, text = (-1, text.strip()[1:]) if text.strip().startswith(("-", "−")) else (1, text)
        try:
            by = sign * parse_length(text, closet.units, Rounding.NEAREST)
        except ValueError as error:
            st.error(plain(str(error)))
            return None
    return Change(item.wall, item.bay, number, action, by)


def _said(sides: Sides, inventory: Inventory, layout: Layout) -> None:
    """What has no place then that has one now, what has one then, and how much more or less panel it takes."""
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
    area = [panel_area(sides.problem, each) for each in (sides.after.layout, layout)]
    more = 100 * (area[1] - area[0]) / max(1, area[0])
    st.caption(
        f"It takes {abs(more):.1f} % {'more' if more > 0 else 'less'} panel." if abs(more) > 0.05 else "As much panel."
    )
    st.caption("Tried in a moment: other piles may move to make room, and a search may store more.")


def _keep(fitted: Household, plan: Plan, sides: Sides, layout: Layout) -> None:
    """Write the plan with this layout, unless somebody has changed it meanwhile."""
    from capacity.solver.trying import plan_of

    if fitted.closet is None or fitted.inventory is None:
        return
    path = fitted.folder / FILE_NAME
    seen = revision(path)
    kept = plan_of(fitted.closet, fitted.inventory, sides.problem, plan, layout)
    try:
        change_file(path, lambda _: format_plan(kept), seen)
    except ChangedOnDiskError:
        st.toast("The layout has changed meanwhile; nothing was kept.")
        return
    except InputError as error:
        st.toast(plain(str(error)))
        return
    _drop()
    st.session_state.try_kept = seen, revision(path)
    st.toast("Kept. The checks were made again; the packet has to be made again.")


def _drop() -> None:
    st.session_state.try_action = None
