"""The layout found: four figures, its picture with every opening lettered, what it leaves out and what would help."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from capacity.checks.check import Check
from capacity.drawings.to_plotly import CONFIG, DARK, LIGHT
from capacity.errors import InputError
from capacity.makeover.comparison import goals_in_words, multiple_of, proof, wanting_in_words
from capacity.makeover.gain_for_money import Cost
from capacity.makeover.left_out import kinds_left_out, least_in_any_layout, letting_go_in_words, rest_has_its_place
from capacity.makeover.plan import Plan
from capacity.page import openings, picture
from capacity.page.fit import trying
from capacity.page.household import Household, plain
from capacity.page.money import cost_of
from capacity.page.picture import Sides
from capacity.page.words import in_page_words, told
from capacity.units import counted
from capacity.wardrobe.inventory import Inventory

KEY = "fit_opening"
SHEETS, MONEY = "Sheets of board", "To buy, likely"


def show(fitted: Household, plan: Plan, wide: bool, is_current: bool) -> None:
    """Draw the answer for the count and the closet that it was found for: the picture left, words right of it.

    With `is_current` it is for what stands in the folder now, so that changes of it can be tried and kept.
    """
    if fitted.closet is None or fitted.inventory is None:
        return
    try:
        sides = picture.sides_of(fitted.closet, fitted.inventory, plan)
    except InputError as error:
        st.error(plain("; ".join(told(error))))
        return
    costs = _figures(plan, plan.checks if fitted.report is None else fitted.report.checks)
    left, right = st.columns([57, 43]) if wide else (st.container(), st.container())
    with left:
        wall = openings.choose_wall(plan, "fit_wall")
        picture_here = st.container()
        openings.pick(sides, (sides.after,), wall, KEY)
    with right:
        layout = None
        if is_current:
            with st.expander("Try a change", key="try_a_change", on_change="rerun"):
                if st.session_state.get("try_a_change"):
                    letter = (st.session_state.get(KEY) or "").removeprefix("After ")
                    layout = trying.show(fitted, plan, sides, wall, letter)
        st.write(proof(plan))
        early = "; stopped early, this is the best of that search" if plan.stopped_early else ""
        st.caption(f"Found in {plan.seconds:.0f} s{early}.")
        _left_out(sides, plan, fitted.inventory)
        with st.expander("What the layout was made good at, one after the other"):
            st.markdown("\n".join(f"- {plain(line)}" for line in goals_in_words(plan)))

    with picture_here:
        if layout is not None:
            sides = replace(sides, after=replace(sides.after, title="Tried", layout=layout))
        _drawing(sides, wall, wide, layout is not None)
    cost = cost_of(fitted.folder, fitted.closet, fitted.inventory, plan)
    for place, (label, words) in zip(costs, _cost_in_words(cost), strict=True):
        place.metric(label, words, border=True)


def _figures(plan: Plan, checks: tuple[Check, ...]) -> tuple[DeltaGenerator, DeltaGenerator]:
    """Pieces, room and checks, each beside what it was or should be; returns the places of sheets and money."""
    before, after = plan.before, plan.after
    gained = after.stored - before.stored
    is_new = any(wall.bays for wall in before.walls)
    short = sum(not check.passed for check in checks)
    with st.container(horizontal=True, key="figures"):
        st.metric(
            "Pieces with a place",
            f"{after.stored} of {after.pieces}",
            (f"{gained:+d} against today" if gained else "as many as today") if is_new else None,
            delta_color="normal" if gained else "off",
            delta_arrow="auto" if gained else "off",
            border=True,
        )
        st.metric(
            "Room for what you own",
            f"{multiple_of(after)} times",
            f"{multiple_of(before)} today" if is_new else None,
            delta_color="off",
            delta_arrow="off",
            border=True,
        )
        sheets, money = st.empty(), st.empty()
        for place, label in ((sheets, SHEETS), (money, MONEY)):
            place.metric(label, "…", border=True)  # reckoned when all else is drawn
        if checks:
            words = f"{short} of {len(checks)} fall short" if short else f"all {len(checks)} passed"
            st.metric("Checks", words, border=True)
    return sheets, money


def _cost_in_words(cost: Cost | None) -> tuple[tuple[str, str], tuple[str, str]]:
    return (SHEETS, "none" if cost is None else f"{cost.sheets}"), (MONEY, "not known" if cost is None else str(cost))


def _drawing(sides: Sides, wall: int, wide: bool, is_tried: bool) -> None:
    run = sides.problem.runs[wall]
    bays = sides.after.layout.walls[wall].bays
    count = sum(item.count for bay in bays for opening in bay.openings for item in opening.holds)
    holds = f"{counted(len(bays), 'bay')} with {counted(count, 'piece')}"
    words = f"Front of the wall {run.name}: {holds}; the openings stand in words below."
    paper = DARK if st.context.theme.type == "dark" else LIGHT
    if is_tried:
        figure = picture.after_figure(sides, wall, paper, wide)
        st.plotly_chart(figure, theme=None, width="content", config=CONFIG, key="fit_tried", alt=f"Tried: {words}")
        return
    figure = picture.after_figure(sides, wall, paper, wide, st.session_state.get(KEY) or "")
    with st.container(key="drawing"):
        openings.chart(figure, f"fit_drawing_{wall}", words, KEY)


def _left_out(sides: Sides, plan: Plan, inventory: Inventory) -> None:
    """What has no place; which pieces to let go so that all the rest has one; and what else would make it fit."""
    if not plan.left_out:
        return
    st.subheader("Left out")
    lines = []
    for item in plan.left_out:
        pile = inventory.pile(item.row)
        lines.append(f"- {item.count} of {pile.count} {plain(pile.name)}: {item.reason}")
    lines += [f"- {plain(in_page_words(line))}" for line in kinds_left_out(plan, inventory)]
    st.markdown("\n".join(lines))
    wanted = [plain(in_page_words(line)) for line in wanting_in_words(plan)]
    if wanted:
        st.markdown("**What would make more of it fit**")
        st.markdown("\n".join(f"- {line}" for line in wanted))
    elif plan.stopped_early:
        st.write("The search was stopped before it tried what more room would do; one that runs to its end tries it.")
    st.markdown("**What to let go so that all the rest has a place in this layout**")
    st.markdown("\n".join(f"- {plain(in_page_words(line))}" for line in letting_go_in_words(plan, inventory)))
    checked = rest_has_its_place(sides.problem, sides.after.layout, plan)
    proof_of_rest = "Checked: without these pieces everything else has its place." if checked else ""
    st.caption(f"{proof_of_rest} {least_in_any_layout(plan)} Value: daily 3, weekly 2, seasonal 1 a piece.".strip())
