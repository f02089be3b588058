"""The layout found: drawn wall by wall with lettered openings, what it leaves out, and what would make that fit."""

from __future__ import annotations

import streamlit as st

from capacity.drawings.to_plotly import DARK, LIGHT, Paper
from capacity.errors import InputError
from capacity.makeover.comparison import goals_in_words, wanting_in_words
from capacity.makeover.letting_go import kinds_left_out, least_in_any_layout, letting_go_in_words, rest_has_its_place
from capacity.makeover.plan import Plan
from capacity.page import openings, picture
from capacity.page.household import Household, plain
from capacity.page.picture import Sides
from capacity.wardrobe.inventory import Inventory

KEY = "fit_opening"


def show(fitted: Household, plan: Plan) -> None:
    """Draw the answer for the count and the closet that it was found for."""
    if fitted.closet is None or fitted.inventory is None:
        return
    try:
        sides = picture.sides_of(fitted.closet, fitted.inventory, plan)
    except InputError as error:
        st.error(plain(str(error)))
        return
    _left_out(sides, plan, fitted.inventory)
    wall = openings.choose_wall(plan, "fit_wall")
    st.markdown("\n".join(f"- {plain(line)}" for line in goals_in_words(plan)))
    _drawing(sides, wall, DARK if st.context.theme.type == "dark" else LIGHT)
    openings.pick(sides, (sides.after,), wall, KEY)


def _drawing(sides: Sides, wall: int, paper: Paper) -> None:
    """One of two sizes, as wide as the window has room for; the style sheet shows one of them."""
    run = sides.problem.runs[wall]
    bays = sides.after.layout.walls[wall].bays
    count = sum(item.count for bay in bays for opening in bay.openings for item in opening.holds)
    words = f"Front of the wall {run.name}: {len(bays)} bays with {count} pieces; the openings stand in words below."
    for key, is_wide in (("drawing_wide", True), ("drawing_narrow", False)):
        with st.container(key=key):
            openings.chart(picture.after_figure(sides, wall, paper, is_wide), f"fit_{key}_{wall}", words, KEY)


def _left_out(sides: Sides, plan: Plan, inventory: Inventory) -> None:
    """What has no place; which pieces to let go so that all the rest has one; and what else would make it fit."""
    if not plan.left_out:
        return
    st.subheader("Left out")
    lines = []
    for item in plan.left_out:
        pile = inventory.pile(item.row)
        lines.append(f"- {item.count} of {pile.count} {plain(pile.name)}: {item.reason}")
    lines += [f"- {plain(line)}" for line in kinds_left_out(plan, inventory)]
    st.markdown("\n".join(lines))
    wanted = [plain(line) for line in wanting_in_words(plan)]
    if wanted:
        st.markdown("**What would make more of it fit**")
        st.markdown("\n".join(f"- {line}" for line in wanted))
    elif plan.stopped_early:
        st.write("The search was stopped before it tried what more room would do; one that runs to its end tries it.")
    st.markdown("**What to let go so that all the rest has a place in this layout**")
    st.markdown("\n".join(f"- {plain(line)}" for line in letting_go_in_words(plan, inventory)))
    checked = rest_has_its_place(sides.problem, sides.after.layout, plan)
    proof = "Checked: without these pieces everything else has its place." if checked else ""
    st.caption(f"{proof} {least_in_any_layout(plan)} Value: daily 3, weekly 2, seasonal 1 a piece.".strip())
