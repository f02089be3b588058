"""Count without a browser: each tap and each entry is on disk at once, and no fault loses anything."""

from __future__ import annotations

import csv
import os
import threading
from pathlib import Path
from typing import Any

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest
from support.opened_pages import Open, said, turn_to
from support.page_actions import say, sent_to

from capacity.page.count import tiles
from capacity.page.count.ready_kinds import ADULT, CHILD, SHARED, ready_kinds
from capacity.page.household import change_inventory, current_inventory
from capacity.wardrobe.inventory import parse_inventory, read_inventory, with_cells
from capacity.wardrobe.kinds import kinds


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


class Session(dict[str, Any]):
    """What a session remembers, without a page."""

    last_tap: object


def test_a_second_session_of_a_window_waits_until_what_the_first_heard_is_written(
    small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A connection breaks and is made again: both sessions get one message, and neither draws the count before it."""
    said = {"token": "two sessions", "presses": 2, "seen": 0, "base": 4, "page": "the old one", "typed": None}
    monkeypatch.setattr(st, "session_state", Session(tile_1={"said": said}))
    pile = tiles.TilePile(1, read_inventory(small / "inventory.csv", "in").pile(1).name)
    begun, goes_on, drawn = threading.Event(), threading.Event(), threading.Event()
    write = tiles.change_inventory

    def slowly(*given: Any, **more: Any) -> Any:
        begun.set()
        goes_on.wait()
        return write(*given, **more)

    def second() -> None:
        tiles._heard(small, "in", pile)
        drawn.set()

    monkeypatch.setattr(tiles, "change_inventory", slowly)
    first = threading.Thread(target=tiles._heard, args=(small, "in", pile))
    first.start()
    begun.wait()
    other = threading.Thread(target=second)
    other.start()
    is_early = drawn.wait(0.3)
    goes_on.set()
    first.join()
    other.join()
    assert not is_early
    assert read_inventory(small / "inventory.csv", "in").pile(1).count == 6


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


@pytest.mark.parametrize(("choice", "count"), [("mine_tile_1", 11), ("theirs_tile_1", 8)])
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
    assert page.button(key="undo_the_count").disabled  # there is nothing to undo
    say(page, 1, 1)
    page.run()
    page.button(key="undo_the_count").click().run()
    assert not page.exception
    assert (small / "inventory.csv").read_text() == text
    assert "9 pieces counted" in page.header[0].value
    assert "Undone: Ann's sneakers US M 9: 5 to 4." in said(page)
    assert page.button(key="undo_the_count").disabled
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
    assert "Not saved: the count: every count would be 0" in said(page)
    assert (small / "inventory.csv").read_text() == "what,count\nsneakers,1\n"


def test_things_are_shown_by_owner(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    assert page.radio(key="count_owner").options == ["Ann", "shared"]
    assert [tile.key for tile in page.get("bidi_component") if tile.key.startswith("tile")] == ["tile_1"]
    page.radio(key="count_owner").set_value(1).run()
    assert [tile.key for tile in page.get("bidi_component") if tile.key.startswith("tile")] == ["tile_2"]


def test_whose_things_are_counted_does_not_change_when_others_come(opened: Open, small: Path) -> None:
    """Found so: the choice was kept as a place in the list, and somebody new in another window took that place."""
    page = opened(small, "count")
    page.radio(key="count_owner").set_value(1).run()
    with (small / "inventory.csv").open("a") as file:
        file.write("jeans,2,,Ben,,\n")
    page.run()
    assert page.radio(key="count_owner").options == ["Ann", "Ben", "shared"]
    assert page.radio(key="count_owner").value == 2
    assert [tile.key for tile in page.get("bidi_component") if tile.key.startswith("tile")] == ["tile_2"]
    turn_to(page, "closet")
    turn_to(page, "count")
    assert page.radio(key="count_owner").value == 2


def test_the_commonest_kinds_stand_ready_and_stay_where_they_are(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    page.radio(key="count_owner").set_value(1).run()
    keys = [tile.key for tile in page.get("bidi_component")]
    assert keys[:3] == ["tile_2", "ready_shared_towel", "ready_shared_sheet-set"]
    say(page, "ready_shared_sheet-set", 2)
    assert "sheet set,2,,,\n" in (small / "inventory.csv").read_text()
    say(page, "ready_shared_sheet-set", 5)
    assert "sheet set,5,,,\n" in (small / "inventory.csv").read_text()
    assert [tile.key for tile in page.get("bidi_component")] == keys
    assert "14 pieces counted" in page.header[0].value
    say(page, "ready_shared_towel", 0, typed={"serial": 1, "text": "12", "shown": 0})
    assert "towel,12,,,\n" in (small / "inventory.csv").read_text()


def test_somebody_is_added_and_counted_with_one_tap(opened: Open, tmp_path: Path) -> None:
    (tmp_path / "inventory.csv").write_text("what,count,size,owner,use,label\n")
    page = opened(tmp_path, "count")
    assert page.radio(key="count_owner").options == ["shared"]
    page.text_input(key="count_person").set_value(" Ida  May ").run()
    assert page.radio(key="count_owner").options == ["Ida May", "shared"]
    tile = next(tile.key for tile in page.get("bidi_component") if tile.key.endswith("_jeans"))
    say(page, tile, 1)
    assert (tmp_path / "inventory.csv").read_text() == "what,count,size,owner,use,label\njeans,1,,Ida May,,\n"


def test_a_child_has_other_ready_kinds_than_an_adult() -> None:
    assert "kids shoes" in ready_kinds("Bo", parse_inventory("what,count,owner\nkids top,2,Bo\n", "in"), None)
    assert "kids shoes" not in ready_kinds("Bo", parse_inventory("what,count,owner\njeans,2,Bo\n", "in"), None)
    for named in (ADULT, CHILD, SHARED):
        assert set(named) <= set(kinds())
    assert len(ADULT) == len(CHILD) == 16


def test_who_lives_alone_need_give_no_name(opened: Open, tmp_path: Path) -> None:
    page = opened(tmp_path, "count")
    say(page, "ready_shared_jeans", 3)
    assert (tmp_path / "inventory.csv").read_text().splitlines()[1].startswith("jeans,3")
    page.text_input(key="count_person").set_value("Ida").run()
    page.radio(key="count_owner").set_value(1).run()
    assert [tile.key for tile in page.get("bidi_component")][:2] == ["tile_1", "ready_shared_towel"]


def test_what_is_added_is_of_whose_things_are_counted_until_another_is_chosen(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    page.selectbox(key="add_kind").set_value("hat").run()
    assert page.selectbox(key="add_owner").value == "Ann"
    page.selectbox(key="add_owner").set_value(None).run()
    page.button(key="add_pile").click().run()
    page.radio(key="count_owner").set_value(0).run()
    page.selectbox(key="add_kind").set_value("scarf").run()
    page.button(key="add_pile").click().run()
    assert (small / "inventory.csv").read_text().endswith("\nhat,1,,,\nscarf,1,,Ann,\n")


@pytest.mark.parametrize(("word", "kind"), [("trainers", "sneakers"), ("sneakers", "sneakers"), ("tee", "t-shirt")])
def test_a_kind_is_found_by_any_everyday_word(opened: Open, small: Path, word: str, kind: str) -> None:
    page = opened(small, "count")
    page.selectbox(key="add_kind").set_value(word).run()
    page.number_input(key="add_count").set_value(7)
    page.button(key="add_pile").click().run()
    assert f"{kind},7," in (small / "inventory.csv").read_text()


def test_what_was_added_is_on_the_screen_and_how_often_does_not_stick(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    page.selectbox(key="add_kind").set_value("hat").run()
    page.text_input(key="count_person").set_value("Ben").run()
    page.selectbox(key="add_owner").set_value("Ben").run()
    page.radio(key="add_use").set_value("seasonal").run()
    page.button(key="add_pile").click().run()
    assert page.toast[0].value.replace("\\", "") == "Added: 1 hat, Ben"
    assert page.radio(key="count_owner").options == ["Ann", "Ben", "shared"]
    assert page.radio(key="count_owner").value == 1
    assert sent_to(page, 3)["note"] == "seasonal"
    assert page.radio(key="add_use").value == "weekly"


def test_a_pile_is_added_or_refused_in_words(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    page.selectbox(key="add_kind").set_value("jeans").run()
    page.number_input(key="add_count").set_value(40).run()
    page.text_input(key="add_size").set_value("US M 9")
    page.button(key="add_pile").click().run()
    assert "Not added: the count, row 4, column size" in said(page)
    assert page.text_input(key="add_size").value == "US M 9"  # what was typed stays until it is right
    assert next(part for part in page.expander if part.label == "Add something else").proto.expanded
    page.text_input(key="add_size").set_value("32x32")
    page.radio(key="add_use").set_value("daily")
    page.button(key="add_pile").click().run()
    assert (small / "inventory.csv").read_text().splitlines()[3] == "jeans,40,32x32,Ann,,daily"
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


def test_rows_pasted_from_a_spreadsheet_without_a_header_are_added_to_the_count(opened: Open, small: Path) -> None:
    text = (small / "inventory.csv").read_text()
    page = opened(small, "count")
    page.text_area(key="csv_paste_0").set_value("hat\t4\nbelt\t2\n").run()
    assert "What was pasted has 2 piles, 6 pieces; the count has 2 piles, 9 pieces now." in said(page)
    assert (small / "inventory.csv").read_text() == text
    page.button(key="csv_add").click().run()
    assert not page.exception
    assert (small / "inventory.csv").read_text().startswith(text)
    assert "15 pieces counted" in page.header[0].value
    page.text_area(key="csv_paste_1").set_value("hat;four").run()
    assert "the file has 1 fault" in said(page)


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
    assert 'Not saved: the count, row 2, column count: "-5" is not a whole number' in said(page)
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


@pytest.mark.parametrize("choice", ["table_mine", "table_theirs"])
def test_the_table_does_not_overwrite_a_change_made_elsewhere_unasked(opened: Open, small: Path, choice: str) -> None:
    page = opened(small, "count")
    _edit_table(page, {"edited_rows": {0: {"count": "6"}}, "added_rows": [], "deleted_rows": []})
    text = (small / "inventory.csv").read_text().replace("shirt,5", "shirt,9")
    (small / "inventory.csv").write_text(text)
    page.button(key="table_save").click().run()
    assert "Not saved. The file has changed on disk since you opened this table." in said(page)
    assert (small / "inventory.csv").read_text() == text
    if choice == "table_mine":
        page.button(key=choice).click().run()
        assert [pile.count for pile in read_inventory(small / "inventory.csv", "in").piles] == [6, 5]
        page.button(key="undo_the_count").click().run()
        assert (small / "inventory.csv").read_text() == text
    else:
        page.button(key=choice).click().run()
        assert (small / "inventory.csv").read_text() == text
    assert "Not saved" not in said(page)


def _edit_table(page: AppTest, edits: dict[str, object]) -> None:
    page.session_state[f"table_{page.session_state.table_revision}"] = edits
    page.run()


def test_the_inventory_that_the_page_wrote_reads_back(opened: Open, small: Path) -> None:
    page = opened(small, "count")
    say(page, 1, 1)
    assert read_inventory(small / "inventory.csv", "in").pieces == 10


def test_a_missing_size_that_could_change_the_plan_is_named(opened: Open, small: Path) -> None:
    assert "A size that could change" not in said(opened(small, "count"))
    rows = "long dress,2,,Ann,,,\njeans,2,,Ann,,,\nlong dress,3,,,30,1,measured\nhat,9,,,,,\n"
    (small / "inventory.csv").write_text("what,count,size,owner,drop,rod,label\n" + rows)
    assert "A size that could change the plan is missing: Ann's long dress." in said(opened(small, "count"))


def test_two_writes_in_one_tick_of_the_clock_are_both_seen(small: Path) -> None:
    """Another page's tap must not be taken back because the file is as long and as old as it was."""
    path = small / "inventory.csv"
    change_inventory(small, "in", lambda inventory: with_cells(inventory, {(1, "count"): "5"}, "in"))
    moment = path.stat().st_mtime_ns
    other = small / "other"
    other.write_text(path.read_text().replace("sneakers,5", "sneakers,6"))
    os.replace(other, path)
    os.utime(path, ns=(moment, moment))
    assert current_inventory(small, "in").pile(1).count == 6


def test_more_piles_than_a_page_can_draw_stand_in_the_table(opened: Open, small: Path) -> None:
    (small / "inventory.csv").write_text("what,count\n" + "socks,1\n" * 203)
    page = opened(small, "count")
    assert len([tile for tile in page.get("bidi_component") if tile.key.startswith("tile")]) == 200
    assert "3 more piles stand in the table below only." in said(page)


def test_a_pile_is_changed_and_taken_out_in_its_dialog(opened: Open, small: Path) -> None:
    page = opened(small, "count")

    def done(button: str, **typed: str) -> str:
        """Open the pile, type, press a button of the dialog; what the file says then."""
        if not any(item.label == button for item in page.button):
            page.button(key="open_tile_1").click().run()
        for field in page.text_input:
            if field.label in typed:
                field.set_value(typed[field.label])
        page.button(key="open_tile_1").click()  # the dialog stays open while its button is pressed
        next(item for item in page.button if item.label == button).click()
        page.run()
        assert not page.exception
        return (small / "inventory.csv").read_text()

    assert "sneakers,4,US M 9,Ann,kept,12" in done("Save", Height="12")
    before = done("Save", Height="tall")
    assert "sneakers,4,US M 9,Ann,kept,12" in before
    assert 'Not saved: "tall" is not a length' in said(page)
    assert done("Take this pile out").splitlines()[1:] == ["shirt,5,M,,,"]
