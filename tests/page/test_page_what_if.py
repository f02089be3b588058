"""The step Compare, What would it buy: what may vary, what is refused, and the answers."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest
from support.opened_pages import Open, fitted

from capacity.makeover.folder import read_folder
from capacity.page.compare.what_if import SWEEP, questions


@pytest.fixture
def page(opened: Open, small: Path) -> AppTest:
    fitted(small)
    return opened(small, "compare")


def test_what_may_vary_is_asked_with_values_around_those_of_the_closet(small: Path) -> None:
    closet, _ = read_folder(small)
    known = {question.key: question.values for question in questions(closet)}
    assert known["counts"] == ("1", "1.2", "1.5")
    assert "wishes.budget" not in known  # there is none
    assert len(known["wall.1.depth"]) == 3
    assert known["another_wall"] == ("0", "24", "36")


def test_too_many_and_wrong_values_are_said_and_nothing_starts(page: AppTest) -> None:
    page.multiselect(key="if_what").set_value(["More to store"]).run()
    assert not page.button(key="if_start").disabled
    page.text_input(key="if_counts").set_value("some").run()
    assert "is no factor above 0" in page.error[-1].value
    assert page.button(key="if_start").disabled
    page.text_input(key="if_counts").set_value(", ".join(str(1 + number / 10) for number in range(13))).run()
    assert "13 layouts; at most 12 at once" in page.error[-1].value


def test_each_answer_stands_in_the_table_with_a_picture(page: AppTest, small: Path) -> None:
    before = {path.name: path.read_bytes() for path in small.iterdir() if path.is_file()}
    page.multiselect(key="if_what").set_value(["More to store"]).run()
    page.text_input(key="if_counts").set_value("1, 2").run()
    page.button(key="if_start").click().run()
    assert not page.exception
    for _ in range(2400):
        if not SWEEP.runs(small):
            break
        time.sleep(0.05)
    page.run()
    assert not page.exception
    assert not page.error
    found = next(table.value for table in page.table if "likely cost" in table.value.columns)
    assert list(found["what"]) == ["More to store 1", "More to store 2"]
    assert all(" of " in cell for cell in found["pieces"])
    (picture,) = page.get("image")
    assert "More to store 2: " in str(picture.proto)  # in the words of the page, not those of the file
    assert "counts=" not in str(picture.proto)
    assert {path.name: path.read_bytes() for path in small.iterdir() if path.is_file()} == before
