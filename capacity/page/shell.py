"""The frame of the page: navigation in the order of the work, look, and the link to the next step."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import NamedTuple

import streamlit as st

from capacity.makeover.guide import TOPICS, guide_text, title_of
from capacity.page import start, window
from capacity.page.building import step as build_step
from capacity.page.closet import step as closet_step
from capacity.page.compare import step as compare_step
from capacity.page.count import step as count_step
from capacity.page.fit import step as fit_step
from capacity.page.household import name_of, plain
from capacity.page.living import step as living_step


class PageStep(NamedTuple):
    """One step of the work: its title, its place in the address and what draws it."""

    title: str
    url_path: str
    show: Callable[[Path | None], None]
    help: str


STEPS = (
    PageStep("Start", "", start.show, "Open or make a folder"),
    PageStep("Count", "count", count_step.show, "What came out of the closet"),
    PageStep("Closet", "closet", closet_step.show, "Walls, today's openings, door and wishes"),
    PageStep("Fit", "fit", fit_step.show, "Find a layout"),
    PageStep("Compare", "compare", compare_step.show, "Before and after"),
    PageStep("Build", "build", build_step.show, "Checks, parts, sheets, shopping list and packet"),
    PageStep("Live with it", "live", living_step.show, "Where everything is, counts, seasons and what the years bring"),
)

STYLE = """<style>
.st-key-tally {max-width: 640px;}
@media (min-width: 1100px) {
  .st-key-tally {max-width: none; display: grid; grid-template-columns: 1fr 1fr; column-gap: 16px;}
}
.stRadio label {min-height: 44px; align-items: center;}
[data-testid="stCaptionContainer"], [data-testid="stCaptionContainer"] p {
  color: light-dark(#5f5e5b, #b4b2ad); opacity: 1;
}
.stMainBlockContainer {padding-top: 4.5rem; max-width: 1240px;}
@media (min-width: 1240px) {.stMainBlockContainer {padding-left: 2rem; padding-right: 2rem;}}
[data-testid="stTab"][aria-selected="true"], [data-testid="stTab"]:hover {color: inherit;}
[data-testid="stTab"][aria-selected="true"] p {font-weight: 600;}
[data-testid="stTab"] .react-aria-SelectionIndicator {background-color: currentColor;}
[data-testid="stCode"] pre, [data-testid="stCode"] code {
  white-space: pre-wrap !important; overflow-wrap: anywhere; overflow: visible;
}
[data-testid="stTab"]:focus-visible,
a:focus-visible, button:focus-visible, summary:focus-visible, input:focus-visible, textarea:focus-visible,
label:has(input:focus-visible), [data-testid="stSelectbox"] [data-baseweb="select"]:focus-within {
  outline: 2px solid currentColor !important; outline-offset: 2px;
}
.stMainBlockContainer h1 {font-size: 1.7rem; padding-bottom: 0;}
.stMainBlockContainer h2 {font-size: 1.3rem;}
.stMainBlockContainer h3 {font-size: 1.15rem;}
/* a part opens and closes at once: what moves away under a press would lose it */
[data-testid="stExpander"] details {height: auto !important; overflow: visible !important;}
[data-testid="stExpanderDetails"][inert] {display: none;}
[class*="st-key-room_drawing"] img {max-width: 100%; height: auto;}
.st-key-drawing {overflow-x: auto;}
[data-testid="stToast"] {max-width: calc(100vw - 2rem);}
@media (min-width: 1200px) {
  [data-testid="stColumn"]:has(.st-key-room_drawing) {position: sticky; top: 4rem; align-self: flex-start;}
}
@media (max-width: 340px) { /* a table that is wider than the narrowest phone could be moved by no key */
  [data-testid="stTable"] :is(td, th) { padding-inline: 0.1rem !important; }
  [data-testid="stTable"] :is(td, th, td *, th *) {
    font-size: 0.7rem; white-space: normal !important; overflow-wrap: anywhere !important; min-width: 0 !important;
  }
}
</style>"""


def draw() -> None:
    """Draw the frame and the chosen step in it."""
    st.set_page_config(page_title="capacity", page_icon=str(Path(__file__).with_name("icon.png")), layout="wide")
    st.html(STYLE)
    folder = start.open_folder(_folder_of_command_line())
    pages = [
        st.Page(
            partial(_run, step, folder), title=step.title, url_path=step.url_path, help=step.help, default=not index
        )
        for index, step in enumerate(STEPS)
    ]
    st.session_state[start.PAGES] = {page.title: page for page in pages}
    chosen = st.navigation(pages, position="top")
    chosen.run()
    window.listen()
    following = [page for page in pages if page.url_path == chosen.url_path]
    place = pages.index(following[0]) if following else 0
    st.divider()
    with st.container(horizontal=True, key="foot"):
        if place > 0:
            st.page_link(pages[place - 1], label=f"Back: {STEPS[place - 1].title}")
        if place + 1 < len(pages):
            st.page_link(pages[place + 1], label=f"Next: {STEPS[place + 1].title}")
    _guide()


def _guide() -> None:
    """The guide under every step, one topic at a time."""
    with st.expander("Guide", key="guide", on_change="rerun"):
        if st.session_state.get("guide"):
            topic = st.selectbox("About", TOPICS, format_func=title_of, key="guide_topic", persist_state="session")
            st.markdown(guide_text(topic).partition("\n")[2])


def _run(step: PageStep, folder: Path | None) -> None:
    if folder is not None:
        st.caption(plain(name_of(folder)))
    st.title(step.title)
    step.show(folder)


def _folder_of_command_line() -> Path | None:
    return Path(sys.argv[1]) if len(sys.argv) > 1 else None
