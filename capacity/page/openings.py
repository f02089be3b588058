"""Openings picked by a click on their letter or from a list, and all of them in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pandas as pd
import streamlit as st

from capacity.drawings.elevation import Side
from capacity.drawings.labels import LetteredOpening, lettered, opening_words
from capacity.drawings.to_plotly import CONFIG
from capacity.drawings.to_svg import format_png
from capacity.makeover.plan import Plan
from capacity.page.household import plain
from capacity.page.picture import Sides


def chart(figure: Any, key: str, words: str, picked_into: str) -> None:
    """Draw a figure whose letters can be clicked; the click chooses in the list with the key `picked_into`."""
    st.plotly_chart(
        figure,
        theme=None,
        width="content",
        config=CONFIG,
        key=key,
        on_select=lambda: _choose(key, picked_into),
        selection_mode="points",
        alt=words,
    )


def take_along(framed: Callable[[], str]) -> None:
    """Two buttons that save the picture: made only when one is pressed."""
    with st.container(horizontal=True, key="take_picture"):
        for label, ending, kind, data in (
            ("Save the picture (PNG)", "png", "image/png", lambda: format_png(framed())),
            ("Save the drawing (SVG)", "svg", "image/svg+xml", framed),
        ):
            st.download_button(
                label,
                data=data,
                file_name=f"before-and-after.{ending}",
                mime=kind,
                on_click="ignore",
                key=f"take_{ending}",
            )


def choose_wall(plan: Plan, key: str) -> int:
    """The number of the wall to be drawn; asked for where there are several."""
    if len(plan.walls) < 2:
        return 0
    return st.radio(
        "Wall",
        range(len(plan.walls)),
        format_func=lambda index: plain(plan.walls[index].name),
        horizontal=True,
        key=key,
        persist_state="session",
    )


def pick(sides: Sides, shown: tuple[Side, ...], wall: int, key: str) -> None:
    """Pick one opening by its letter, and all of them in words: the picture is never the only way.

    Parameters
    ----------
    sides
        The plan that is drawn.
    shown
        Its sides that are offered, in this order.
    wall
        Index of the wall.
    key
        Key of the list.
    """
    found: dict[str, LetteredOpening] = {}
    for side in shown:
        for item in lettered(side.layout):
            if item.wall == wall:
                found[f"{side.title} {item.letter}"] = item
    words = {name: opening_words(item, sides.inventory, sides.plan.units) for name, item in found.items()}
    if st.session_state.get(key) not in (None, *found):
        st.session_state[key] = None
    name = st.selectbox(
        "What is in an opening",
        list(found),
        format_func=lambda key: f"{key.split()[0]}, {words[key]}" if len(shown) > 1 else words[key],
        index=None,
        placeholder="Choose one, or click its letter",
        key=key,
    )
    if name is not None:
        holds = found[name].opening.holds
        st.markdown(f"**{plain(name)}** {plain(words[name].partition(': ')[2])}")
        if holds:
            piles = [(sides.inventory.pile(item.row), item.count) for item in holds]
            rows = [{"pile": plain(pile.name), "pieces": count, "use": pile.use.value} for pile, count in piles]
            st.table(pd.DataFrame(rows), hide_index=True, border="horizontal")
    with st.expander("All openings in words"):
        rows = [
            {"opening": name, "what it is and holds": plain(text.partition(": ")[2])} for name, text in words.items()
        ]
        st.table(pd.DataFrame(rows), hide_index=True, border="horizontal")


def _choose(key: str, picked_into: str) -> None:
    """Take the opening that was clicked into the list."""
    points = st.session_state[key].selection.points
    if points and isinstance(points[0].get("customdata"), str | list | tuple):
        chosen = points[0]["customdata"]
        st.session_state[picked_into] = chosen if isinstance(chosen, str) else chosen[0]
