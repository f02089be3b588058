"""Whether the window is wide, which only the browser knows: guessed at first, and heard whenever it is otherwise."""

from __future__ import annotations

from typing import Any

import streamlit as st

FROM = 1240
"""A window of this width has room for two drawings beside each other [pixels]."""

_KEY = "window"

_SCRIPT = """const query = window.matchMedia("(min-width: %dpx)");
export default function ({ data, setStateValue }) {
  const say = () => { if (query.matches !== data.wide) setStateValue("wide", query.matches); };
  query.onchange = say;
  say();
}"""


def is_wide() -> bool:
    """Whether this window is; draws the page anew when that turns out to be otherwise."""
    said = st.session_state.get(_KEY, {}).get("wide")
    is_phone = "Mobi" in (st.context.headers.get("User-Agent") or "")
    wide = said if isinstance(said, bool) else not is_phone
    _component()(key=_KEY, data={"wide": wide}, on_wide_change=_heard)
    return wide


def _heard() -> None:
    """The page is drawn anew by being told."""


@st.cache_resource
def _component() -> Any:
    return st.components.v2.component("capacity_window", html="<span></span>", js=_SCRIPT % FROM)
