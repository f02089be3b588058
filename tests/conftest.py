"""One fixed profile for every property test, the same everywhere and without a clock; fixtures of the page's tests."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

if TYPE_CHECKING:
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
