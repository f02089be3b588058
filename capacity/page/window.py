"""What only the browser knows of this window: whether it is wide, and that the system has turned light or dark.

Each is guessed at first, and heard whenever it is otherwise; the page is then drawn anew.
"""

from __future__ import annotations

from typing import Any

import streamlit as st

FROM = 1240
"""A window of this width has room for two drawings beside each other [pixels]."""

_KEY = "window"

_SCRIPT = """const wide = window.matchMedia("(min-width: %dpx)");
const dark = window.matchMedia("(prefers-color-scheme: dark)");
export default function ({ data, setStateValue }) {
  const say = () => { if (wide.matches !== data.wide) setStateValue("wide", wide.matches); };
  wide.onchange = say;
  // after the page itself has turned, so that what is drawn anew is drawn for it
  dark.onchange = () => setTimeout(() => setStateValue("dark", dark.matches), 200);
  say();
}"""


def listen() -> None:
    """Hear what the browser says; once in every run, whatever step is drawn."""
    _component()(key=_KEY, data={"wide": is_wide()}, on_wide_change=_heard, on_dark_change=_heard)


def is_wide() -> bool:
    """Whether this window is."""
    said = st.session_state.get(_KEY, {}).get("wide")
    is_phone = "Mobi" in (st.context.headers.get("User-Agent") or "")
    return said if isinstance(said, bool) else not is_phone


def _heard() -> None:
    """The page is drawn anew by being told."""


@st.cache_resource
def _component() -> Any:
    return st.components.v2.component("capacity_window", html="<span></span>", js=_SCRIPT % FROM)
