"""What is said of files and settings in the words of the page."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest
from support.opened_pages import Open, said, turn_to

from capacity.closet.closet import parse_closet
from capacity.closet.fields import Table
from capacity.errors import Fault, InputError
from capacity.makeover.samples import DEFAULT, SAMPLES, start_folder
from capacity.page.words import SETTINGS, fault_in_words, in_page_words


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (Fault("closet.toml", "[[wall]] 1, name", "is missing"), "the measurements, wall 1, name: is missing"),
        (Fault("closet.toml", "[wishes] toe_kick", "is less"), "the measurements, wishes: toe kick: is less"),
        (Fault("closet.toml", "top", "is above"), "the measurements, top of the built-ins: is above"),
        (Fault("inventory.csv", "row 3, size", '"a_b [x]" is none'), 'the count, row 3, size: "a_b [x]" is none'),
        (Fault("plan.json", "", "breaks; run `capacity fit` again"), "the layout: breaks; find a layout again"),
        (Fault("mine.csv", "", "is empty"), "mine.csv: is empty"),
    ],
)  # fmt: skip
def test_a_fault_is_said_without_brackets_ticks_commands_or_names_of_files(fault: Fault, words: str) -> None:
    assert fault_in_words(fault) == words


def _tables(at: type[Table]) -> Iterator[type[Table]]:
    for table in at.__subclasses__():
        yield table
        yield from _tables(table)


def test_every_wish_and_size_has_words_of_its_own() -> None:
    spaced = {name for table in _tables(Table) for name in table.model_fields if "_" in name}
    assert len(spaced) > 30
    for name in spaced:
        assert "_" not in in_page_words(f"write {name} here")
    for name in SETTINGS:
        assert in_page_words(f"`{name}`") == SETTINGS[name]


WRONG = """ceiling = 96
top = 84
[[wall]]
name = "a"
width = "x"
depth = 15
corner = "b"
[[before]]
wall = "c"
left = 0
[wishes]
toe_kick = -1
keep_bays = 3
[[wishes.bay]]
wall = "z"
[door]
faces = 3
[[person]]
height = "tall"
[[lamp]]
kind = "torch"
"""


def test_no_fault_of_a_closet_shows_how_its_file_is_written() -> None:
    with pytest.raises(InputError) as caught:
        parse_closet(WRONG)
    assert len(caught.value.faults) > 6
    for fault in caught.value.faults:
        said = re.sub('"[^"]*"', "", fault_in_words(fault))
        assert not re.search(r"[`_]|\[\[|\]\]|\.toml", said), said


FILE_SYNTAX = re.compile(
    r"\[\[|\]\]|`|\.toml|\.csv|\.json|\s--[a-z]|capacity (fit|check|build|refill|start|count)|[a-z]_[a-z]"
)
"""What no sentence of the page may hold: brackets, ticks, files, options, commands and names of settings."""


def _shown(page: AppTest, folder: Path) -> Iterator[str]:
    """Every line on a step as it is read; the whole file as text is a field, and none of it."""
    for text in [said(page), *(str(cell) for table in page.table for cell in table.value.to_numpy().flatten())]:
        for line in text.replace(str(folder), "").splitlines():
            yield re.sub('"[^"]*"', "", line)
    for parts in (page.expander, page.button, page.checkbox, page.text_input, page.selectbox, page.radio, page.metric):
        for part in parts:
            yield f"{part.label} {getattr(part, 'help', '') or ''}"


@pytest.mark.parametrize("sample", ["empty", "begun", *SAMPLES])
def test_no_step_shows_how_a_file_is_written(
    opened: Open, tmp_path: Path, made: Callable[..., Path], sample: str
) -> None:
    folder = tmp_path / "ours"
    if sample == DEFAULT:
        folder = made(budget=100)
    elif sample in SAMPLES:
        start_folder(folder, sample)
    else:
        folder.mkdir()
        (folder / "closet.toml").write_text("" if sample == "empty" else WRONG)
        (folder / "inventory.csv").write_text("" if sample == "empty" else "what,count,size\njeans,x,\nshoe,1,\n")
    page = opened(folder)
    for step in ("", "count", "closet", "fit", "compare", "build", "live"):
        turn_to(page, step)
        for folded in (part for part in page.expander if part.proto.id and part.label != "Guide"):
            page.session_state[folded.proto.id.rsplit("-", 1)[-1]] = True
        page.run()
        assert not page.exception
        found = [line for line in _shown(page, tmp_path) if FILE_SYNTAX.search(line)]
        assert not found, step
