"""The page without a browser: each step opens on full, empty, broken and stale folders, and says the right thing."""

from __future__ import annotations

import csv
import json
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import streamlit as st
from opened_pages import APP, Open, fitted, said, turn_to
from streamlit.testing.v1 import AppTest

from capacity.comparing import headline
from capacity.effort import Effort
from capacity.inventory import read_inventory, with_cells
from capacity.page import search, serving
from capacity.page.household import change_inventory, plain
from capacity.plan import Plan, read_plan, write_plan
from capacity.progress import ask_to_stop, is_running, progress_in, read_progress
from capacity.samples import SAMPLES, start_folder
from capacity.solving import fingerprint, make_plan, read_folder

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
    assert page.header[0].value == headline(plans[sample])
    assert len(page.get("plotly_chart")) == 4  # wide, two narrow, and the gain by kind
    assert not page.error
    assert not page.warning


@pytest.mark.parametrize("step", STEPS)
def test_no_folder_an_empty_folder_and_a_missing_one(opened: Open, tmp_path: Path, step: str) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    for folder, words in ((None, "No folder is open yet"), (empty, ""), (tmp_path / "nowhere", "There is no folder")):
        page = opened(folder, step)
        assert not page.exception
        assert words in said(page)
        assert page.header


@pytest.mark.parametrize("step", STEPS)
def test_a_broken_file_shows_its_faults_in_words(opened: Open, small: Path, step: str) -> None:
    (small / "inventory.csv").write_text("what,count\nsneekers,4\nshirt,-1\n")
    page = opened(small, step)
    assert not page.exception
    assert 'inventory.csv, row 2, column what: "sneekers" is not a kind that is known' in said(page)
    assert 'inventory.csv, row 3, column count: "-1" is not a whole number' in said(page)


@pytest.mark.parametrize("step", STEPS)
def test_a_broken_closet_or_plan_shows_its_fault(opened: Open, small: Path, step: str) -> None:
    (small / "closet.toml").write_text("ceiling = 96\ntop = 97\n")
    (small / "plan.json").write_text("{}")
    page = opened(small, step)
    assert not page.exception
    assert "closet.toml, [wall]: is missing" in said(page) or "closet.toml, wall: is missing" in said(page)
    assert "plan.json" in said(page)


def say(page: AppTest, row: int, presses: int, /, **more: object) -> None:
    """Have a tile send what its script in the browser sends: its running total of presses, and a number typed."""
    (tile,) = [element for element in page.get("bidi_component") if element.key == f"tile_{row}"]
    states = page._tree.get_widget_states()
    state = states.widgets.add()
    state.id = tile.proto.id
    sent = sent_to(page, row)
    said = {"token": "phone", "presses": presses, "seen": 0, "base": sent["count"], "page": sent["page"], "typed": None}
    state.json_value = json.dumps({"said": {**said, **more}})
    page._run(states)
    assert not page.exception


def sent_to(page: AppTest, row: int) -> dict[str, Any]:
    """What the page has sent to a tile."""
    (tile,) = [element for element in page.get("bidi_component") if element.key == f"tile_{row}"]
    data: dict[str, Any] = json.loads(tile.proto.json)
    return data


def test_presses_and_the_number_write_the_file_and_keep_every_other_cell(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    say(page, 1, 2)
    say(page, 1, 1)  # one less
    assert (small / "inventory.csv").read_text() == (
        "what,count,size,owner,note\nsneakers,5,US M 9,Ann,kept\nshirt,5,M,,\n"
    )
    assert "10 pieces counted" in page.header[0].value
    assert sent_to(page, 1)["count"] == 5
    say(page, 1, 1, typed={"serial": 1, "text": "11", "shown": 5})
    assert "sneakers,11," in (small / "inventory.csv").read_text()
    assert "16 pieces counted" in page.header[0].value
    assert "Last saved" in said(page)
    assert {path.name for path in small.iterdir()} == {"closet.toml", "inventory.csv", ".capacity"}  # nothing half


def test_a_message_that_comes_twice_or_instead_of_earlier_ones_counts_each_press_once(
    opened: Open, small: Path
) -> None:
    page = opened(small, "count")
    say(page, 1, 1)
    say(page, 1, 7, seen=1, base=5, typed={"serial": 1, "text": "20", "shown": 11})
    say(page, 1, 8, seen=1, base=5, typed={"serial": 1, "text": "20", "shown": 11})
    say(page, 1, 8, seen=8, base=21, sent=9)
    assert read_inventory(small / "inventory.csv", "in").pile(1).count == 21


@pytest.mark.parametrize("written", [0, 1, 3])
def test_a_page_started_anew_adds_only_the_presses_that_the_old_one_had_not_written(
    opened: Open, small: Path, written: int
) -> None:
    """The old page had answered 4 with 2 presses seen, was sent 5, and wrote some of the three more before it died."""
    page = opened(small, "count")
    change_inventory(small, "in", lambda inventory: with_cells(inventory, {(1, "count"): f"{4 + written}"}, "in"))
    say(page, 1, 5, seen=2, base=4, page="the old one")
    assert read_inventory(small / "inventory.csv", "in").pile(1).count == 7


@pytest.mark.parametrize("nonsense", [{"token": 3}, {"typed": "x"}, {"typed": {"text": "4"}}, {"seen": None}])
def test_a_message_of_another_shape_is_passed_over(opened: Open, small: Path, nonsense: dict[str, object]) -> None:
    page = opened(small, "count")
    say(page, 1, 3, **nonsense)
    assert read_inventory(small / "inventory.csv", "in").pile(1).count == 4


@pytest.mark.parametrize("text", ["", "-3", "4.5", "10000", "many", "٣"])
def test_a_number_that_is_none_is_refused_in_words(opened: Open, small: Path, text: str) -> None:
    page = opened(small, "count")
    say(page, 1, 0, typed={"serial": 1, "text": text, "shown": 4})
    assert f'Not saved: "{text}" is not a whole number from 0 to 9999.' in said(page)
    assert read_inventory(small / "inventory.csv", "in").pile(1).count == 4


@pytest.mark.parametrize(("choice", "count"), [("mine_1", 11), ("theirs_1", 8)])
def test_a_number_typed_over_one_that_has_changed_is_asked_about(
    opened: Open, small: Path, choice: str, count: int
) -> None:
    page = opened(small, "count")
    change_inventory(small, "in", lambda inventory: with_cells(inventory, {(1, "count"): "8"}, "in"))
    say(page, 1, 0, typed={"serial": 1, "text": "11", "shown": 4})
    assert "Changed on disk since you opened this: it says 8 now, you typed 11." in said(page)
    assert read_inventory(small / "inventory.csv", "in").pile(1).count == 8
    page.button(key=choice).click().run()
    assert read_inventory(small / "inventory.csv", "in").pile(1).count == count
    assert "Changed on disk" not in said(page)


def test_a_tap_never_reaches_another_pile_that_took_the_row(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    (small / "inventory.csv").write_text("what,count\njeans,2\nshirt,5\n")
    say(page, 1, 1)
    assert "Not saved: this pile has changed on disk" in said(page)
    assert read_inventory(small / "inventory.csv", "in").pile(1).count == 2


def test_taps_in_a_row_on_one_pile_are_undone_together(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    for presses in (1, 2, 3):
        say(page, 1, presses)
    page.radio(key="count_owner").set_value(1).run()
    say(page, 2, 1)
    page.button(key="undo_the_count").click().run()
    assert [pile.count for pile in read_inventory(small / "inventory.csv", "in").piles] == [7, 5]
    page.button(key="undo_the_count").click().run()
    assert [pile.count for pile in read_inventory(small / "inventory.csv", "in").piles] == [4, 5]


def test_undo_and_redo_bring_the_count_back(opened: Open, small: Path) -> None:
    text = (small / "inventory.csv").read_text()
    page = opened(small, "count")
    page.button(key="undo_the_count").click().run()
    assert "There is nothing to undo." in said(page)
    say(page, 1, 1)
    page.button(key="undo_the_count").click().run()
    assert not page.exception
    assert (small / "inventory.csv").read_text() == text
    assert "9 pieces counted" in page.header[0].value
    assert "Brought back the count as it was before the last change." in said(page)
    page.button(key="redo_the_count").click().run()
    assert "10 pieces counted" in page.header[0].value


def test_a_tap_adds_to_what_is_on_disk_now(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    text = (small / "inventory.csv").read_text()
    (small / "inventory.csv").write_text(text.replace("sneakers,4", "sneakers,8"))
    say(page, 1, 1)
    assert "sneakers,9," in (small / "inventory.csv").read_text()


def test_a_count_that_would_leave_nothing_is_refused_in_words(opened: Open, small: Path) -> None:
    (small / "inventory.csv").write_text("what,count\nsneakers,1\n")
    page = opened(small, "count")
    say(page, 1, -1)
    assert "Not saved: inventory.csv: every count would be 0" in said(page)
    assert (small / "inventory.csv").read_text() == "what,count\nsneakers,1\n"


def test_things_are_shown_by_owner(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    assert page.radio(key="count_owner").options == ["Ann", "shared"]
    assert [tile.key for tile in page.get("bidi_component")] == ["tile_1"]
    page.radio(key="count_owner").set_value(1).run()
    assert [tile.key for tile in page.get("bidi_component")] == ["tile_2"]


def test_a_pile_is_added_or_refused_in_words(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    page.selectbox(key="add_kind").set_value("jeans").run()
    page.number_input(key="add_count").set_value(40).run()
    page.text_input(key="add_size").set_value("US M 9")
    page.button(key="add_pile").click().run()
    assert "Not added: inventory.csv, row 4, column size" in said(page)
    page.text_input(key="add_size").set_value("32x32")
    page.radio(key="add_use").set_value("daily")
    page.button(key="add_pile").click().run()
    assert (small / "inventory.csv").read_text().splitlines()[3] == "jeans,40,32x32,,,daily"
    assert page.selectbox(key="add_kind").value is None
    page.button(key="undo_the_count").click().run()
    assert "9 pieces counted" in page.header[0].value


def test_a_size_is_asked_for_only_where_it_changes_what_fits(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    page.selectbox(key="add_kind").set_value("jeans").run()
    assert "any usual one fits alike, so 32x32 is reckoned with" in said(page)
    page.number_input(key="add_count").set_value(40).run()
    assert page.text_input(key="add_size").label == "Size: it changes what fits. Empty is 32x32."
    page.selectbox(key="add_kind").set_value("hat").run()
    assert "hat has no sizes" in said(page)


def test_a_csv_file_is_looked_at_before_it_replaces_the_count(opened: Open, small: Path) -> None:
    text = (small / "inventory.csv").read_text()
    page = opened(small, "count")
    page.file_uploader(key="csv_in_0").set_value(("mine.csv", b"what;count\nsneekers;4\nshirt;x\n", "text/csv")).run()
    assert "the file has 2 faults" in said(page)
    assert 'mine.csv, row 2, column what: "sneekers" is not a kind' in said(page)
    assert (small / "inventory.csv").read_text() == text
    data = '\ufeffwhat;count;label\njeans;3;"a;b"\n'.encode()
    page.file_uploader(key="csv_in_0").set_value(("mine.csv", data, "text/csv")).run()
    assert "mine.csv has 1 pile, 3 pieces; the count has 2 piles, 9 pieces now." in said(page)
    assert (small / "inventory.csv").read_text() == text
    page.button(key="csv_replace").click().run()
    assert not page.exception
    assert (small / "inventory.csv").read_text() == 'what,count,label\njeans,3,"a;b"\n'
    assert "3 pieces counted" in page.header[0].value
    page.button(key="undo_the_count").click().run()
    assert (small / "inventory.csv").read_text() == text


def test_a_csv_file_does_not_replace_a_count_that_changed_meanwhile(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    page.file_uploader(key="csv_in_0").set_value(("mine.csv", b"what,count\njeans,3\n", "text/csv")).run()
    text = (small / "inventory.csv").read_text().replace("shirt,5", "shirt,9")
    (small / "inventory.csv").write_text(text)
    page.button(key="csv_replace").click().run()
    assert "Not replaced: the count has changed on disk" in said(page)
    assert (small / "inventory.csv").read_text() == text
    page.button(key="csv_replace").click().run()
    assert "3 pieces counted" in page.header[0].value


@pytest.mark.parametrize("data", [b"", b"\xff\xfe\x00", b"what,count\n", b"\x00", b'what,count\n"jeans'])
def test_a_file_that_is_no_count_is_refused_in_words(opened: Open, small: Path, data: bytes) -> None:
    page = opened(small, "count")
    page.file_uploader(key="csv_in_0").set_value(("x.csv", data, "text/csv")).run()
    assert not page.exception
    assert "Nothing has been replaced: the file has 1 fault." in said(page)
    assert "x.csv" in said(page)


def test_the_table_is_checked_before_it_is_written(opened: Open, small: Path) -> None:
    before = (small / "inventory.csv").read_text()
    page = opened(small, "count")
    edits = {"edited_rows": {0: {"count": "-5"}}, "added_rows": [], "deleted_rows": []}
    _edit_table(page, edits)
    page.button(key="table_save").click().run()
    assert 'Not saved: inventory.csv, row 2, column count: "-5" is not a whole number' in said(page)
    assert (small / "inventory.csv").read_text() == before


def test_the_table_writes_rows_and_keeps_unknown_columns(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    edits = {
        "edited_rows": {0: {"count": "6", "use": "daily"}},
        "added_rows": [{"what": "jeans", "count": "2"}],
        "deleted_rows": [1],
    }
    _edit_table(page, edits)
    page.button(key="table_save").click().run()
    with (small / "inventory.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(row["what"], row["count"], row["use"], row["note"]) for row in rows] == [
        ("sneakers", "6", "daily", "kept"),
        ("jeans", "2", "", ""),
    ]
    assert list(rows[0]) == ["what", "count", "size", "owner", "note", "use"]


def test_the_table_does_not_overwrite_a_change_made_elsewhere(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    _edit_table(page, {"edited_rows": {0: {"count": "6"}}, "added_rows": [], "deleted_rows": []})
    text = (small / "inventory.csv").read_text().replace("shirt,5", "shirt,9")
    (small / "inventory.csv").write_text(text)
    page.button(key="table_save").click().run()
    assert "Not saved: the file has changed since this table was opened" in said(page)
    assert (small / "inventory.csv").read_text() == text


def _edit_table(page: AppTest, edits: dict[str, object]) -> None:
    page.session_state[f"table_{page.session_state.table_revision}"] = edits
    page.run()


def test_compare_says_when_the_layout_is_stale_and_draws_it_as_it_was(opened: Open, small: Path) -> None:
    plan = fitted(small)
    copy = search.fitted_folder(small)
    copy.mkdir(parents=True)
    for name in ("closet.toml", "inventory.csv"):
        (copy / name).write_bytes((small / name).read_bytes())
    (small / "inventory.csv").write_text("what,count\njeans,3\n")
    page = opened(small, "compare")
    assert page.header[0].value == headline(plan)
    assert "The count or the closet has changed since this layout was found." in said(page)
    assert page.button(key="compare_fit").label == "Find a new layout"
    assert len(page.get("plotly_chart")) == 4
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
    assert "plan.json: does not keep to the rules (count at row" in said(page)
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


def test_a_folder_is_made_opened_and_found_again_after_a_reload(opened: Open, tmp_path: Path) -> None:
    page = opened(None)
    page.text_input(key="start_name").set_value("ours")
    page.button(key="FormSubmitter:make_form-Make it").click().run()
    assert "62 pieces counted, no layout for it yet" in said(page)
    assert (tmp_path / "ours" / "closet.toml").exists()
    assert "62 pieces counted" in said(opened(None))  # another window of the same page
    page.text_input(key="start_name").set_value("ours")
    page.button(key="FormSubmitter:make_form-Make it").click().run()
    assert "nothing is overwritten" in said(page)
    for path in ("not there", "~nobody-of-that-name/x", "x" * 5000):
        page.text_input(key="start_path").set_value(path)
        page.button(key="FormSubmitter:open_form-Open folder").click().run()
        assert not page.exception
        assert "There is no folder" in said(page)
    for name in ("x" * 300, "../x", ""):
        page.text_input(key="start_name").set_value(name)
        page.button(key="FormSubmitter:make_form-Make it").click().run()
        assert not page.exception
        assert "name of the folder: " in said(page)
    assert [path.name for path in tmp_path.iterdir()] == ["ours"]


def test_an_empty_folder_says_what_is_missing_and_takes_its_first_pile(opened: Open, tmp_path: Path) -> None:
    page = opened(None)
    page.selectbox(key="start_sample").set_value("nothing yet")
    page.text_input(key="start_name").set_value("ours")
    page.button(key="FormSubmitter:make_form-Make it").click().run()
    words = said(page)
    assert "ours: nothing counted yet, no layout for it yet." in words
    for line in ("**Counted:** not yet", "**Measured:** not yet", "**Fitted:** not yet", "**Built:** not yet"):
        assert line in words
    turn_to(page, "count")
    assert page.header[0].value == "Nothing is counted yet: add the first pile."
    page.selectbox(key="add_kind").set_value("jeans").run()
    page.number_input(key="add_count").set_value(3)
    page.button(key="add_pile").click().run()
    assert not page.exception
    assert (tmp_path / "ours" / "inventory.csv").read_text() == "what,count,size,owner,use,label\njeans,3,,,,\n"
    assert "3 pieces counted" in page.header[0].value


def test_a_variant_is_copied_and_opened_and_leaves_the_first_as_it_was(opened: Open, small: Path) -> None:
    fitted(small)
    before = {path.name: path.read_bytes() for path in small.iterdir() if path.is_file()}
    page = opened(small)
    page.text_input(key="start_copy").set_value("../elsewhere")
    page.button(key="FormSubmitter:copy_form-Copy it").click().run()
    assert "name of the folder: has /" in said(page)
    page.text_input(key="start_copy").set_value("with drawers")
    page.button(key="FormSubmitter:copy_form-Copy it").click().run()
    assert not page.exception
    made = small.parent / "with drawers"
    assert str(made) in said(page)
    assert "9 pieces counted, a layout found" in said(page)
    assert {path.name: path.read_bytes() for path in made.iterdir() if path.is_file()} == before
    say(turn_to(page, "count"), 1, 1)
    assert {path.name: path.read_bytes() for path in small.iterdir() if path.is_file()} == before


def test_a_shared_page_opens_only_folders_beside_its_own(
    opened: Open, small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = small.parent / "other"
    start_folder(other)
    monkeypatch.chdir("/")
    monkeypatch.setattr(sys, "argv", ["app.py", str(small), "--lan"])
    page = AppTest.from_file(str(APP), default_timeout=60).run()
    assert not page.exception
    assert [field.key for field in page.text_input] == ["start_name", "start_copy"]
    assert "only folders beside the one it was started with" in said(page)
    assert page.selectbox(key="start_choice").options == ["other", "small"]


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
    (small / "closet.bak").rename(small / "closet.toml")
    _wait(lambda: not search.runs(small))
    page.run()
    assert "This cannot be started in" in said(page)


def test_fit_finds_a_layout_in_a_process_of_its_own(opened: Open, small: Path) -> None:
    page = opened(small, "fit")
    assert "No layout yet: 9 pieces wait for a place." in said(page)
    page.button(key="fit_start").click().run()
    assert not page.exception
    _wait(lambda: not search.runs(small))
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
    _wait(lambda: (record := read_progress(progress)) is not None and record.all > 0)
    first = read_progress(progress)
    assert first is not None
    assert is_running(progress)
    search.start(folder, 0)  # a second press
    other = opened(folder, "fit")  # a reload
    assert other.button(key="fit_start").disabled
    assert other.header[0].value == "A layout is being looked for."
    other.button(key="fit_stop").click().run()
    assert not other.exception
    _wait(lambda: not search.runs(folder))
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
        _wait(lambda: effort.is_over)


def test_the_page_is_served_on_loopback_and_the_folder_is_no_address() -> None:
    command = serving.command(Path("/some/folder"), 8600)
    assert command[-2:] == ["--", "/some/folder"]
    assert {"--server.address=127.0.0.1", "--browser.gatherUsageStats=false", "--server.port=8600"} <= set(command)
    assert Path(command[command.index("run") + 1]).is_file()
    text = (APP.parent / ".streamlit" / "config.toml").read_text()
    for name in ("gatherUsageStats = false", 'address = "127.0.0.1"', 'serverAddress = "127.0.0.1"'):
        assert name in text


def test_a_page_for_the_network_listens_there_and_answers_to_its_own_names_only() -> None:
    command = serving.command(Path("/some/folder"), 8600, "192.0.2.7")
    assert command[-3:] == ["--", "/some/folder", "--lan"]
    wanted = {
        "--server.address=0.0.0.0", "--browser.serverAddress=192.0.2.7", "--server.allowedHosts=192.0.2.7",
        "--server.enableCORS=true", "--server.enableXsrfProtection=true", "--browser.gatherUsageStats=false",
        "--server.maxUploadSize=2",
    }  # fmt: skip
    assert wanted <= set(command)
    alone = serving.command(Path("/some/folder"), 8600)
    assert {option for option in alone if "allowedHosts" in option or "ddress" in option} == {
        "--server.address=127.0.0.1", "--browser.serverAddress=127.0.0.1",
        "--server.allowedHosts=127.0.0.1", "--server.allowedHosts=localhost",
    }  # fmt: skip


def test_a_page_for_the_network_says_who_can_see_it(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], small: Path
) -> None:
    monkeypatch.setattr(serving, "network_address", lambda: "192.0.2.7")
    monkeypatch.setattr(serving, "command", lambda *given: [sys.executable, "-c", f"print({given[2]!r})"])
    with socket.socket() as trial:
        trial.bind((serving.HOST, 0))
        port = trial.getsockname()[1]
    assert serving.serve(small, port, opens_browser=False, lan=True) == 0
    said = capfd.readouterr().out
    assert f"\n    http://192.0.2.7:{port}\n" in said
    assert "Anyone on this network can see and change the folder" in said


def test_no_network_or_no_folder_to_share_is_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], small: Path
) -> None:
    from capacity.__main__ import main

    assert main(["page", "--lan"]) == 2
    monkeypatch.setattr(serving, "BEYOND", ("127.0.0.1", 9))
    assert main(["page", str(small), "--lan"]) == 2
    assert capsys.readouterr().err.splitlines() == [
        "--lan: name the folder to be shared: capacity page my-closet --lan",
        "--lan: this machine has no address in a network; connect it, or leave --lan away",
    ]


def test_the_command_serves_the_page_and_takes_it_along_when_it_ends(small: Path) -> None:
    with socket.socket() as trial:
        trial.bind((serving.HOST, 0))
        port = trial.getsockname()[1]
    command = [sys.executable, "-m", "capacity", "page", str(small), "--port", str(port), "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as process:
        _wait(lambda: _answers(port))
        process.send_signal(signal.SIGTERM)
        said, _ = process.communicate()
    assert process.returncode == 130
    assert said == f"The page is at http://127.0.0.1:{port} on this machine only; Ctrl-C ends it.\n"
    _wait(lambda: not _answers(port))


def _answers(port: int) -> bool:
    with socket.socket() as trial:
        return trial.connect_ex((serving.HOST, port)) == 0


def test_a_port_that_is_taken_is_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    from capacity.__main__ import main

    assert main(["page", "--port", "99999", "--no-browser"]) == 2
    assert capsys.readouterr().err.splitlines() == [
        "--port: port 99999 cannot be listened on; choose another with --port N"
    ]


def test_the_inventory_that_the_page_wrote_reads_back(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    say(page, 1, 1)
    assert read_inventory(small / "inventory.csv", "in").pieces == 10


def _wait(is_so: Callable[[], bool]) -> None:
    """Wait for something that surely comes; only a hang fails."""
    for _ in range(2400):
        if is_so():
            return
        time.sleep(0.05)
    pytest.fail("waited for two minutes")
