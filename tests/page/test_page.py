"""The page without a browser: each step opens on full, empty, broken and stale folders, and says the right thing."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
import streamlit as st
from support.opened_pages import APP, Open, fitted, said, turn_to
from support.page_actions import wait

from capacity.makeover.comparison import headline
from capacity.makeover.folder import fingerprint, read_folder
from capacity.makeover.plan import Plan, read_plan, write_plan
from capacity.makeover.samples import SAMPLES, start_folder
from capacity.makeover.saved_plan import fitted_folder
from capacity.page.errand import SEARCH, look_for_layout
from capacity.page.household import plain
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan
from capacity.solver.progress import ask_to_stop, is_running, progress_in, read_progress

STEPS = ("", "count", "fit", "compare")


@pytest.fixture(autouse=True)
def _forget() -> None:
    st.cache_resource.clear()


@pytest.fixture(scope="module")
def plans() -> dict[str, Plan]:
    """A quick layout of each sample: the first that is found, by a search told to stop before it begins."""
    found: dict[str, Plan] = {}
    for sample in SAMPLES:
        folder = APP.parent / "inventory_samples" / sample
        closet, inventory = read_folder(folder)
        effort = Effort(factor=0.001)
        effort.stop()
        found[sample] = make_plan(closet, inventory, effort, fingerprint(folder))
    return found


@pytest.mark.parametrize("sample", SAMPLES)
def test_every_step_opens_on_every_sample(opened: Open, plans: dict[str, Plan], sample: str, tmp_path: Path) -> None:
    folder = tmp_path / sample
    start_folder(folder, sample)
    write_plan(plans[sample], folder / "plan.json")
    page = opened(folder)
    pieces = plans[sample].after.pieces
    assert f"{pieces} pieces counted, a layout found" in said(page)
    assert f"{pieces} pieces counted; they need" in said(turn_to(page, "count"))
    assert headline(plans[sample]) in said(turn_to(page, "fit"))
    turn_to(page, "compare")
    assert page.header[0].value.startswith("Against today")  # what a family asks first
    assert headline(plans[sample]) in said(page)
    assert len(page.get("plotly_chart")) == 3  # the picture for this width, and the gain by kind and by owner
    assert not page.error
    assert not page.warning


@pytest.mark.parametrize("step", STEPS)
def test_no_folder_an_empty_folder_and_a_missing_one(opened: Open, tmp_path: Path, step: str) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    for folder, words in ((None, "No closet is open yet"), (empty, ""), (tmp_path / "nowhere", "There is no folder")):
        page = opened(folder, step)
        assert not page.exception
        assert words in said(page)
        assert page.header


@pytest.mark.parametrize("step", STEPS)
def test_a_broken_file_shows_its_faults_in_words(opened: Open, small: Path, step: str) -> None:
    (small / "inventory.csv").write_text("what,count\nsneekers,4\nshirt,-1\n")
    page = opened(small, step)
    assert not page.exception
    assert 'The count, row 2, column what: "sneekers" is not a kind that is known' in said(page)
    assert 'The count, row 3, column count: "-1" is not a whole number' in said(page)


@pytest.mark.parametrize("step", STEPS)
def test_a_broken_closet_or_plan_shows_its_fault(opened: Open, small: Path, step: str) -> None:
    (small / "closet.toml").write_text("ceiling = 96\ntop = 97\n")
    (small / "plan.json").write_text("{}")
    page = opened(small, step)
    assert not page.exception
    assert "The measurements, top of the built-ins: 8' 1\" is above the ceiling" in said(page)
    assert "The layout, units: is not a plan of this version" in said(page)


def test_compare_says_when_the_layout_is_stale_and_draws_it_as_it_was(opened: Open, small: Path) -> None:
    plan = fitted(small)
    copy = fitted_folder(small, plan.inputs)
    copy.mkdir(parents=True)
    for name in ("closet.toml", "inventory.csv"):
        (copy / name).write_bytes((small / name).read_bytes())
    (small / "inventory.csv").write_text("what,count\njeans,3\n")
    page = opened(small, "compare")
    assert headline(plan) in said(page)
    assert "The count or the closet has changed since this layout was found." in said(page)
    assert page.button(key="compare_fit").label == "Find a new layout"
    assert len(page.get("plotly_chart")) == 3
    (copy / "inventory.csv").write_text("what,count\njeans,3\n")
    page.run()
    assert "it is not drawn" in said(page)
    assert not page.get("plotly_chart")


def test_a_plan_that_somebody_changed_is_not_drawn(opened: Open, small: Path) -> None:
    fitted(small)
    plan = json.loads((small / "plan.json").read_text())
    held = [item for bay in plan["after"]["walls"][0]["bays"] for room in bay["openings"] for item in room["holds"]]
    held[0]["count"] += 5
    (small / "plan.json").write_text(json.dumps(plan))
    page = opened(small, "compare")
    assert not page.exception
    assert "The layout, after, walls: they are not the walls of the plan" in said(page)
    assert not page.get("plotly_chart")


def test_an_opening_is_picked_from_the_list(opened: Open, small: Path) -> None:
    fitted(small)
    page = opened(small, "compare")
    chosen = next(option for option in page.selectbox(key="compare_opening").options if "sneakers" in option)
    page.selectbox(key="compare_opening").select(chosen).run()
    assert not page.exception
    assert "sneakers" in str(page.table[0].value)


def test_text_that_people_typed_is_never_read_as_markup(opened: Open, small: Path) -> None:
    hostile = "<script>alert(1)</script> **x** [a](http://b) :red[c] $y$"
    (small / "inventory.csv").write_text(f'what,count,owner,label\nsneakers,4,"{hostile}","{hostile}"\nshirt,2,,\n')
    plan = fitted(small)
    for step in STEPS:
        page = opened(small, step)
        texts = [element.value for part in (page.markdown, page.header, page.caption) for element in part]
        assert not any(hostile in str(text) for text in texts)
    assert plan.after.stored == 6
    assert plain("a*b") == "a\\*b"


def test_a_search_that_cannot_start_or_fails_says_so(opened: Open, small: Path) -> None:
    (small / ".capacity").write_text("a file where the subfolder should be")
    page = opened(small, "fit")
    page.button(key="fit_start").click().run()
    assert not page.exception
    assert "This cannot be started in" in said(page)
    (small / ".capacity").unlink()
    page.button(key="fit_start").click()
    (small / "closet.toml").rename(small / "closet.bak")  # taken away between the press and the reading
    page.run()
    assert not page.exception
    wait(lambda: not SEARCH.runs(small))
    (small / "closet.bak").rename(small / "closet.toml")
    page.run()
    assert "the measurements: there is no such file" in said(page)


def test_fit_finds_a_layout_in_a_process_of_its_own(opened: Open, small: Path) -> None:
    page = opened(small, "fit")
    assert "No layout yet: 9 pieces to be given a place." in said(page)
    page.button(key="fit_start").click().run()
    assert not page.exception
    wait(lambda: not SEARCH.runs(small))
    page.run()
    assert read_plan(small / "plan.json").after.stored == 9
    assert "Everything fits: all 9 pieces have a place" in page.header[0].value
    record = read_progress(small / ".capacity" / "progress.json")
    assert record is not None
    assert record.state == "done"
    assert not page.error


def test_one_search_a_folder_that_can_be_stopped_and_keeps_its_best(opened: Open, tmp_path: Path) -> None:
    folder = tmp_path / "couple"
    start_folder(folder, "couple-walk-in")
    page = opened(folder, "fit")
    page.button(key="fit_start").click().run()
    progress = folder / ".capacity" / "progress.json"
    wait(lambda: (record := read_progress(progress)) is not None and record.all > 0)
    first = read_progress(progress)
    assert first is not None
    assert is_running(progress)
    look_for_layout(folder, 0)  # a second press
    other = opened(folder, "fit")  # a reload
    assert other.button(key="fit_start").disabled
    assert other.header[0].value == "A layout is being looked for."
    other.button(key="fit_stop").click().run()
    assert not other.exception
    wait(lambda: not SEARCH.runs(folder))
    last = read_progress(progress)
    assert last is not None
    assert last.process == first.process
    plan = read_plan(folder / "plan.json")
    assert plan.stopped_early
    assert plan.value.status == "feasible"
    assert 0 < plan.value.stored <= plan.value.bound
    other.run()
    assert headline(plan) in said(other)


def test_a_second_search_from_elsewhere_is_refused_in_words(small: Path) -> None:
    progress = small / ".capacity" / "progress.json"
    with progress_in(progress, Effort()):
        command = [sys.executable, "-m", "capacity", "fit", str(small), "--progress", str(progress)]
        result = subprocess.run(command, capture_output=True, text=True, check=False)
        assert result.returncode == 2
        assert result.stderr.count("\n") == 1
        assert "a layout is being looked for in this folder already" in result.stderr
        ask_to_stop(progress)
    assert not is_running(progress)
    record = json.loads(progress.read_text())
    assert (record["schema"], record["state"]) == ("capacity.progress/1", "done")


def test_an_effort_is_stopped_by_the_stop_file(small: Path) -> None:
    effort = Effort()
    with progress_in(small / ".capacity" / "progress.json", effort):
        assert not effort.is_over
        ask_to_stop(small / ".capacity" / "progress.json")
        wait(lambda: effort.is_over)
