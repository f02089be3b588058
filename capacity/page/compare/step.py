"""Compare: the room gained in one sentence, both closets to one scale, every opening in words, by kind and owner."""

from __future__ import annotations

from datetime import date
from functools import partial
from pathlib import Path

import pandas as pd
import streamlit as st

from capacity.drawings.solid import solid_closet
from capacity.drawings.to_glb import format_glb
from capacity.drawings.to_plotly import CONFIG, DARK, LIGHT, Paper, draw_solid, solid_colours
from capacity.errors import InputError
from capacity.makeover.comparison import (
    MULTIPLE_IN_WORDS,
    By,
    gain_in_words,
    gains,
    headline,
    multiple_in_words,
    proof,
    rows_of,
    rows_with_shares,
    rule_of_thumb_in_words,
)
from capacity.makeover.plan import Plan
from capacity.makeover.saved_plan import fitted_folder
from capacity.page import openings, picture
from capacity.page.compare import photo, variant_table, what_if
from capacity.page.errand import SEARCH, look_for_layout
from capacity.page.household import STALE, Household, escaped, fingerprint, plain, read_household, show_faults
from capacity.page.picture import Sides
from capacity.page.start import planned
from capacity.page.window import is_wide
from capacity.page.words import told
from capacity.wardrobe.inventory import Inventory

KEY = "compare_opening"
ROOM_HIGH, PHOTO_WIDE = 520, 480
"""Height of the picture in the room, and width of a photo beside the drawing [pixels]."""

SHOWN, AS = "Before as", ("a drawing", "the photo")


def show(folder: Path | None) -> None:
    """Draw the step."""
    found = planned(folder, "compare")
    if found is None or folder is None:
        return
    household, plan = found
    first = st.empty()
    first.header(headline(plan))
    show_faults(household)
    proven = st.empty()
    proven.write(plain(_proof(plan)))
    steps = st.container()
    variant_table.offer_respacing(household)
    fitted = household
    if household.is_stale:
        with st.container(key="stale"):
            st.warning(STALE)
            if household.closet and household.inventory:
                if SEARCH.runs(folder):
                    st.write("A new one is being looked for; the page Fit shows how far it is.")
                else:
                    st.button("Find a new layout", key="compare_fit", on_click=look_for_layout, args=(folder, 0.0))
                    for line in SEARCH.failure(folder).splitlines():
                        st.error(plain(line))
        copy = fitted_folder(folder, plan.inputs)
        if plan.inputs != fingerprint(copy):
            st.write("What it was found for is not known any more, so it is not drawn.")
            return
        fitted = read_household(copy)
        st.write("Drawn as it was found, with the count and the measurements of that time.")
    if fitted.closet is None or fitted.inventory is None:
        return
    _contents(fitted, plan, folder)
    what_if.show(household)
    gained = variant_table.show(household, fitted, plan, steps)
    if gained:  # what a family asks first, at the head of the page in place of the sentence of the search
        first.header(plain(gained))
        proven.write(f"{plain(headline(plan))} {plain(_proof(plan))}")


def _proof(plan: Plan) -> str:
    words = f"{proof(plan)} {rule_of_thumb_in_words(plan)}"
    return words + (" Stopped early: this is the best of that search." if plan.stopped_early else "")


def _contents(fitted: Household, plan: Plan, folder: Path) -> None:
    if fitted.closet is None or fitted.inventory is None:
        return
    inventory = fitted.inventory
    try:
        sides = picture.sides_of(fitted.closet, inventory, plan)
    except InputError as error:
        st.error(plain("; ".join(told(error))))
        return
    is_dark = st.context.theme.type == "dark"
    paper = DARK if is_dark else LIGHT
    wall = openings.choose_wall(plan, "compare_wall")
    _drawings(sides, folder, fitted.name, wall, paper)
    openings.pick(sides, (sides.after, sides.before), wall, KEY)
    _in_the_room(sides, paper)
    _left_out(sides)
    st.subheader("Room for more")
    for line in multiple_in_words(plan, inventory):
        st.write(plain(line))
    st.caption(plain(MULTIPLE_IN_WORDS))
    _gains(plan, inventory, "kind", paper, is_dark)
    _gains(plan, inventory, "owner", paper, is_dark)


def _gains(plan: Plan, inventory: Inventory, by: By, paper: Paper, is_dark: bool) -> None:
    """What each kind or owner gained: a chart, and the same as a table with the share that is stored."""
    st.subheader(f"By {by}")
    gained = gains(plan, inventory, by)
    st.plotly_chart(
        picture.gain_chart(gained, paper, is_dark),
        theme=None,
        width="stretch",
        config=CONFIG,
        key="gain_chart" if by == "kind" else f"gain_chart_{by}",
        alt=gain_in_words(gained, by),
    )
    rows = rows_with_shares(gained, by) if by == "owner" else rows_of(gained, by)
    st.table(escaped(pd.DataFrame(rows)), hide_index=True, border="horizontal")


def _drawings(sides: Sides, folder: Path, name: str, wall: int, paper: Paper) -> None:
    """Side by side where the window is wide, else one under the other; with a photo this in place of before."""
    words = picture.alternative_text(sides, wall)
    chosen = st.session_state.get(KEY) or ""
    wide, taken = is_wide(), photo.read_photo(folder)
    if st.session_state.pop("photo_is_new", False):
        st.session_state.compare_as = AS[1]
    shows_photo = taken is not None and st.radio(SHOWN, AS, horizontal=True, key="compare_as") == AS[1]
    with st.container(key="drawing", horizontal=wide or not shows_photo):
        if taken is not None and shows_photo:
            st.image(taken, width=PHOTO_WIDE if wide else "stretch", alt="The old closet before, 1 photo")
            figure = picture.after_figure(sides, wall, paper, wide, chosen)
            openings.chart(figure, f"photo_{wide}_{wall}", words, KEY)
        elif wide:
            openings.chart(picture.wide_figure(sides, wall, paper, chosen), f"wide_{wall}", words, KEY)
        else:
            both = picture.narrow_figures(sides, wall, paper, chosen)
            for side, figure in zip(("before", "after"), both, strict=True):
                openings.chart(figure, f"narrow_{side}_{wall}", words, KEY)
    openings.take_along(partial(picture.framed_svg, sides, wall, name, date.today().isoformat()))
    photo.ask(folder)


def _in_the_room(sides: Sides, paper: Paper) -> None:
    """The layout as solid blocks to be turned, and as a file for a phone that shows a model in the room."""
    with st.expander("See it in the room", key="in_the_room", on_change="rerun"):
        if not st.session_state.get("in_the_room"):
            return
        blocks = solid_closet(sides.problem, sides.inventory, sides.after)
        walls = len(sides.after.layout.walls)
        words = f"The layout from the front and above: {walls} {'wall' if walls == 1 else 'walls'}, to scale."
        st.plotly_chart(draw_solid(blocks, ROOM_HIGH, paper), theme=None, key="solid", config=CONFIG, alt=words)
        st.download_button(
            "Take it along for a phone (glTF, true to scale)",
            data=lambda: format_glb(blocks, solid_colours(LIGHT)),
            file_name="closet.glb",
            mime="model/gltf-binary",
            on_click="ignore",
            key="take_glb",
        )


def _left_out(sides: Sides) -> None:
    if not sides.plan.left_out:
        return
    st.subheader("Left out")
    for item in sides.plan.left_out:
        pile = sides.inventory.pile(item.row)
        st.markdown(f"- {item.count} × {plain(pile.name)}: {item.reason}")
