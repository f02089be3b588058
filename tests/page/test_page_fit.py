"""Fit without a browser: the answer drawn, what it leaves out, and one search a folder however many pages ask."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest
from support.opened_pages import Open, fitted, said
from support.page_actions import wait

from capacity.disk.file_lock import hold
from capacity.makeover.plan import read_plan
from capacity.page.errand import SEARCH, look_for_layout
from capacity.solver.progress import is_running

FULL = """what,count,size,owner,use,width,depth,height
storage bin,9,,Ann,seasonal,17,12,12
storage bin,5,,Bo,daily,17,12,12
"""

STARTER = """
import sys, time
from pathlib import Path
from capacity.page import errand
from capacity.page.errand import SEARCH, look_for_layout
folder = Path(sys.argv[1])
(folder.parent / sys.argv[2]).touch()
while not (folder.parent / "go").exists():
    time.sleep(0.01)
look_for_layout(folder, 0)
print([process.pid for process in errand._processes().values()])
while SEARCH.runs(folder):
    time.sleep(0.05)
"""


@pytest.fixture(autouse=True)
def _forget() -> None:
    st.cache_resource.clear()


@pytest.fixture
def overfull(small: Path) -> Path:
    (small / "inventory.csv").write_text(FULL)
    return small


def test_the_answer_is_drawn_and_an_opening_is_picked_from_a_list(opened: Open, small: Path) -> None:
    fitted(small)
    page = opened(small, "fit")
    assert len(page.get("plotly_chart")) == 1
    labels = [metric.label for metric in page.metric]
    assert labels == ["Pieces with a place", "Room for what you own", "Sheets of board", "To buy, likely", "Checks"]
    options = page.selectbox(key="fit_opening").options
    assert options[0].startswith("A: ")
    chosen = next(option for option in options if "sneakers" in option)
    page.selectbox(key="fit_opening").select(chosen).run()
    assert not page.exception
    assert "sneakers" in str(page.table[0].value)
    assert "Left out" not in said(page)


def test_what_is_left_out_is_said_with_what_to_let_go_owner_by_owner(opened: Open, overfull: Path) -> None:
    plan = fitted(overfull)
    assert plan.left_out
    words = said(opened(overfull, "fit"))
    assert "Left out" in words
    assert "Ann (value " in words
    assert "Checked: without these pieces everything else has its place." in words
    for change in plan.would_take:
        assert change.change in words


def test_a_layout_older_than_the_count_says_so_and_is_drawn_as_it_was(opened: Open, small: Path) -> None:
    plan = fitted(small)
    (small / "inventory.csv").write_text("what,count\njeans,3\n")
    page = opened(small, "fit")
    assert "The count or the closet has changed since this layout was found." in said(page)
    assert page.button(key="fit_start").label == "Find a new layout"
    assert "it is not drawn" in said(page)
    assert not page.get("plotly_chart")
    assert plan.after.stored == 9


def test_a_search_keeps_a_copy_by_which_its_layout_is_drawn_later(opened: Open, small: Path) -> None:
    page = opened(small, "fit")
    page.button(key="fit_start").click().run()
    wait(lambda: not SEARCH.runs(small))
    page.run()
    (small / "inventory.csv").write_text("what,count\njeans,3\n")
    page.run()
    assert "What follows is the old one." in said(page)
    assert len(page.get("plotly_chart")) == 1


def test_two_pages_that_start_at_once_start_one_search(small: Path) -> None:
    pages = [
        subprocess.Popen(
            [sys.executable, "-c", STARTER, str(small), name], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        )
        for name in ("one", "two", "three")
    ]
    wait(lambda: all((small.parent / name).exists() for name in ("one", "two", "three")))
    (small.parent / "go").touch()
    started = [page.communicate()[0].decode().strip() for page in pages]
    assert sorted(text != "[]" for text in started) == [False, False, True]
    wait(lambda: not SEARCH.runs(small))
    assert read_plan(small / "plan.json").after.stored == 9
    assert SEARCH.failure(small) == ""


def test_a_search_that_another_page_is_just_starting_counts_as_running(opened: Open, small: Path) -> None:
    (small / ".capacity").mkdir()
    with hold(small / ".capacity" / "progress.starting", 0):
        assert SEARCH.runs(small)
        assert opened(small, "fit").button(key="fit_start").disabled
    assert not SEARCH.runs(small)


def test_a_search_that_does_not_stop_can_be_ended_and_the_layout_before_it_stays(opened: Open, tmp_path: Path) -> None:
    from capacity.makeover.samples import start_folder

    folder = tmp_path / "family"
    start_folder(folder, "family-walk-in")
    (folder / "plan.json").write_text("{}")
    look_for_layout(folder, 0)
    wait(lambda: is_running(folder / ".capacity" / "progress.json") and SEARCH.progress(folder) is not None)
    st.cache_resource.clear()  # another page, that has not started it
    SEARCH.end(folder)
    wait(lambda: not SEARCH.runs(folder))
    assert (folder / "plan.json").read_text() == "{}"
    assert "ended without" in SEARCH.failure(folder)


def test_a_search_may_not_take_all_memory(small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from capacity.page import errand

    monkeypatch.setattr(errand, "MOST_MEMORY", 30_000_000)
    look_for_layout(small, 0)
    wait(lambda: not SEARCH.runs(small))
    assert not (small / "plan.json").exists()
    assert "emory" in SEARCH.failure(small)


def _watching() -> None:
    """A page with a watcher, as a script of its own."""
    import streamlit as st

    from capacity.page.errand import has_ended

    st.session_state.drawn = st.session_state.get("drawn", 0) + 1
    st.session_state.ended = has_ended("was_running", st.session_state.runs)


def test_a_watcher_draws_the_page_anew_once_when_it_has_ended() -> None:
    page = AppTest.from_function(_watching)
    for runs, was_running, drawn in ((True, True, 1), (False, True, 3), (False, False, 4)):
        page.session_state.runs, page.session_state.was_running = runs, was_running
        page.run()
        assert not page.exception
        assert (page.session_state.ended, page.session_state.drawn) == (not runs, drawn)
