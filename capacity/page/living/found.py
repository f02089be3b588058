"""Where is it: a field to search in, the openings marked in the picture, and the list and labels to print."""

from __future__ import annotations

import datetime
from functools import partial
from pathlib import Path

import streamlit as st

from capacity.closet.closet import Closet
from capacity.drawings.carcass_drawing import View
from capacity.drawings.drawing import Drawing, Rectangle, Shape, Style
from capacity.drawings.elevation import LEFT_MARGIN, RIGHT_MARGIN, Side, elevation
from capacity.drawings.labels import LetteredOpening
from capacity.drawings.to_svg import ON_PAPER, format_svg
from capacity.errors import InputError
from capacity.layout.layout import Layout
from capacity.makeover.files_to_problem import size_problem
from capacity.page.household import plain
from capacity.upkeep.put_away import FILE_NAME, format_put_away
from capacity.upkeep.where import find, found_in_words, put_away
from capacity.wardrobe.inventory import Inventory
from capacity.workshop.packet import Paper

WIDE, LETTER = 560, 11
"""Width of a wall's picture, and of its letters [pixels]."""


def show(folder: Path, closet: Closet, inventory: Inventory) -> None:
    """Draw the part."""
    st.subheader("Where is it")
    try:
        layout = put_away(folder, closet, inventory)
    except InputError:
        st.write("Put everything away anew, and it can be asked here.")
        return
    words = st.text_input("What do you look for?", key="living_where", placeholder="wool hat", persist_state="session")
    if words:
        found = find(words, inventory, layout)
        if not found:
            st.write(plain(f"Nothing in the count answers to: {words}"))
        for line in found_in_words(found, closet):
            st.markdown(f"**{plain(line)}**")
        marked = [item for one in found for item, _ in one.places]
        for wall in sorted({item.wall for item in marked}):
            _picture(closet, inventory, layout, [item for item in marked if item.wall == wall])
    paper: Paper = "a4" if closet.units == "mm" else "letter"
    st.download_button(
        "List for the door and labels for the shelves (PDF)",
        data=partial(format_put_away, closet, inventory, layout, paper, datetime.date.today().isoformat()),
        file_name=f"{folder.name}-{FILE_NAME}",
        mime="application/pdf",
        on_click="ignore",
        key="living_print",
    )


def _picture(closet: Closet, inventory: Inventory, layout: Layout, marked: list[LetteredOpening]) -> None:
    """One wall with a heavy frame around each opening that was found."""
    problem, wall = size_problem(closet, inventory).as_given, marked[0].wall
    run = problem.runs[wall]
    letter = round(run.width / (WIDE / LETTER - LEFT_MARGIN - RIGHT_MARGIN))
    view = View(letter, closet.units, names="none")
    side = Side(closet.wall[wall].name, layout, is_built=False)
    drawing = with_frames(elevation(problem, inventory, side, wall, view), marked, view)
    letters = ", ".join(item.letter for item in marked)
    words = f"Front of the wall {closet.wall[wall].name}; marked: {letters}"
    with st.container(key=f"room_drawing_found_{wall}"):
        st.image(format_svg(drawing, words, letter, ON_PAPER), width=WIDE, alt=words)


def with_frames(drawing: Drawing, marked: list[LetteredOpening], view: View) -> Drawing:
    """The drawing of a wall with a heavy frame inside each of some openings; the floor and left margin are its own."""
    thick, left, floor = view.ems(0.4), view.ems(LEFT_MARGIN), drawing.floor
    frames: list[Shape] = []
    for item in marked:
        x, y = left + item.in_bay.left, floor + item.opening.bottom
        wide, high = item.in_bay.width, item.opening.height
        frames += [
            Rectangle(x, y, wide, thick, Style.ROD),
            Rectangle(x, y + high - thick, wide, thick, Style.ROD),
            Rectangle(x, y, thick, high, Style.ROD),
            Rectangle(x + wide - thick, y, thick, high, Style.ROD),
        ]
    return Drawing(drawing.width, drawing.height, drawing.floor, (*drawing.shapes, *frames))
