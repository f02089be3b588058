"""What was built, bay by bay with the letters of the drawing: what was measured, and at once what no longer fits."""

from __future__ import annotations

import streamlit as st

from capacity.closet.closet import FILE_NAME
from capacity.drawings.labels import letter_of
from capacity.errors import InputError
from capacity.layout.layout import Layout
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.plan import planned_layout
from capacity.page import undoing
from capacity.page.closet.entry import Form, forget, length, open_form
from capacity.page.household import Household, plain
from capacity.page.words import told
from capacity.upkeep.measured import displaced, displaced_in_words

KINDS = {"shelf": "shelf", "hang": "rod", "drawer": "drawer"}


def show(household: Household) -> None:
    """Draw the part."""
    st.subheader("What was built")
    _no_longer_fits(household)
    with st.expander("What was measured, bay by bay", key="living_measured"):
        _bays(household)


def _bays(household: Household) -> None:
    try:
        form = open_form(household.folder)
    except InputError as error:
        st.error(plain("; ".join(told(error))))
        return
    st.caption("Each field holds what was planned; change what came out otherwise. It is saved at once.")
    undoing.show(household.folder / FILE_NAME, "the measurements", forget)
    for words in form.faults:
        st.error(plain(words))
    bays = [(at, bay) for at, bay in enumerate(form.at("built") or ()) if isinstance(bay, dict)]
    names = [f"Wall {bay.get('wall', '')}, bay {number}" for number, (_, bay) in _numbered(bays)]
    chosen = st.selectbox(
        "Bay", range(len(bays)), format_func=lambda at: plain(names[at]), key="living_bay", persist_state="session"
    )
    if chosen is not None:
        _bay(form, bays[chosen][0], _first_letter(bays, chosen))


def _numbered(bays: list[tuple[int, dict[str, object]]]) -> list[tuple[int, tuple[int, dict[str, object]]]]:
    """The bays with their number on their wall, in the order of the file, which is that of the walls."""
    counted: dict[object, int] = {}
    found = []
    for entry in bays:
        wall = entry[1].get("wall")
        counted[wall] = counted.get(wall, 0) + 1
        found.append((counted[wall], entry))
    return found


def _first_letter(bays: list[tuple[int, dict[str, object]]], chosen: int) -> int:
    """How many openings of the same wall come before those of a bay: the letters of a wall begin with A."""
    wall = bays[chosen][1].get("wall")
    before = [bay.get("openings") for _, bay in bays[:chosen] if bay.get("wall") == wall]
    return sum(len(openings) for openings in before if isinstance(openings, list))


def _bay(form: Form, at: int, first: int) -> None:
    with st.container(horizontal=True, key=f"living_bay_fields_{at}"):
        length(form, ("built", at, "width"), "Clear width of the bay")
    for number, opening in enumerate(form.at("built", at, "openings") or ()):
        kind = KINDS.get(str(opening.get("kind")), "opening") if isinstance(opening, dict) else "opening"
        with st.container(horizontal=True, vertical_alignment="center", key=f"living_opening_{at}_{number}"):
            st.markdown(f"**{letter_of(first + number)}** {kind}", width=90)
            length(form, ("built", at, "openings", number, "bottom"), "From the floor")
            length(form, ("built", at, "openings", number, "height"), "Clear height")


def _no_longer_fits(household: Household) -> None:
    """The piles that the plan has where they do not fit any more, and the nearest openings that take them."""
    planned = _planned(household)
    if planned is None or household.closet is None or household.inventory is None:
        return
    found = displaced(household.closet, household.inventory, planned)
    if not found:
        st.write("Everything fits where it was planned.")
    for line in displaced_in_words(found, household.closet):
        st.warning(plain(line))


def _planned(household: Household) -> Layout | None:
    """What the plan has where, while it is for this count and closet."""
    if household.plan is None or household.is_stale or household.closet is None or household.inventory is None:
        return None
    return planned_layout(household.plan, size_problem(household.closet, household.inventory))
