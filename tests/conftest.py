"""One fixed profile for every property test, the same everywhere and without a clock; fixtures of the page's tests."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from collections.abc import Iterator

    from browsing import Windows
    from opened_pages import Open
    from streamlit.testing.v1 import AppTest

settings.register_profile("fixed", derandomize=True, deadline=None, database=None, print_blob=False)
settings.load_profile("fixed")


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Open:
    """Open one step of the page on a folder, as `capacity page DIR` does."""
    # imported here: most tests need no page, and it takes a second
    import streamlit as st
    from opened_pages import APP, turn_to
    from streamlit.testing.v1 import AppTest

    monkeypatch.chdir(tmp_path)
    st.cache_resource.clear()

    def go(folder: Path | None, step: str = "") -> AppTest:
        monkeypatch.setattr(sys, "argv", ["app.py", *([str(folder)] if folder else [])])
        page = AppTest.from_file(str(APP), default_timeout=60).run()
        return turn_to(page, step) if step else page

    return go


@pytest.fixture
def small(tmp_path: Path) -> Path:
    folder = tmp_path / "small"
    folder.mkdir()
    (folder / "closet.toml").write_text(
        'ceiling = 96\ntop = 84\n[[wall]]\nname = "back"\nwidth = 40\ndepth = 15\n'
        '[[before]]\nwall = "back"\nleft = 0\nwidth = 38\ndepth = 15\n'
        'openings = [{ kind = "shelf", bottom = 0, height = 12 }, { kind = "hang", bottom = 12, height = 50 }]\n'
    )
    (folder / "inventory.csv").write_text("what,count,size,owner,note\nsneakers,4,US M 9,Ann,kept\nshirt,5,M,,\n")
    return folder


@pytest.fixture(scope="session")
def chromium() -> str:
    """The browser of this machine; without one a test is skipped, and fails where CI=true."""
    from browsing import NAMES, find_chromium

    found = find_chromium()
    if found is None:
        reason = f"no Chromium on PATH (looked for {', '.join(NAMES)})"
        if os.environ.get("CI") == "true":
            pytest.fail(f"{reason}, and CI=true says that there must be one")
        pytest.skip(reason)
    return found


@pytest.fixture
def windows(chromium: str, tmp_path: Path) -> Iterator[Windows]:
    """Real windows on the page; after the test nothing may have left this machine or complained."""
    from browsing import Windows

    opened = Windows(chromium, tmp_path)
    try:
        yield opened
        opened.keep_pictures()
        assert opened.hosts <= {"127.0.0.1"}
        assert opened.errors == []
    finally:
        opened.close()
