"""Folders made by name: whole or not at all, never over another, never elsewhere."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from capacity.disk.file_lock import marked
from capacity.errors import InputError
from capacity.makeover.new_folder import copy_variant, folder_name, make_empty


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "home" / "first"
    made.mkdir(parents=True)
    for name in ("inventory.csv", "closet.toml", "plan.json", "photo.jpg"):
        (made / name).write_text(f"{name} as it is, \u00e9")
    (made / ".capacity").mkdir()
    (made / "build").mkdir()
    return made


@pytest.mark.parametrize(
    "text",
    ["", "   ", "../x", "a/b", "a\\b", "/x", ".", "..", ".hidden", "-rf", "~", "x.", "a:b", "a\nb", "a\0b",
     "a\u202eb",
     "nul", "COM1.txt", "x" * 201, "\u00e9" * 101, "\ud800", 'say "x"', "a\tb"],
)  # fmt: skip
def test_what_is_no_name_is_refused_in_one_line_and_nothing_is_made(text: str, folder: Path) -> None:
    for make in (lambda: copy_variant(folder, text), lambda: make_empty(folder.parent, text)):
        with pytest.raises(InputError) as refused:
            make()
        assert "\n" not in str(refused.value)
        assert str(refused.value).startswith("name of the folder: ")
    assert [path.name for path in folder.parent.iterdir()] == ["first"]


@pytest.mark.parametrize(
    "text", ["with drawers", " b ", "\u00e9t\u00e9 2", "\u8863\u6a71", "v2.1", "\U0001f45f", "it's [new] &"]
)
def test_other_names_are_taken(text: str, folder: Path) -> None:
    made = copy_variant(folder, text)
    assert made == folder.parent / folder_name(text)
    assert made.is_dir()


def test_a_variant_has_the_three_files_byte_for_byte_and_nothing_else(folder: Path) -> None:
    made = copy_variant(folder, "second")
    assert sorted(path.name for path in made.iterdir()) == ["closet.toml", "inventory.csv", "plan.json"]
    for path in made.iterdir():
        assert path.read_bytes() == (folder / path.name).read_bytes()
    (made / "inventory.csv").write_text("changed")
    assert "as it is" in (folder / "inventory.csv").read_text()


@pytest.mark.parametrize("kind", ["folder", "file", "broken link"])
def test_nothing_is_ever_overwritten(kind: str, folder: Path) -> None:
    there = folder.parent / "second"
    {
        "folder": there.mkdir,
        "file": there.touch,
        "broken link": lambda: there.symlink_to("nowhere"),
    }[kind]()
    with pytest.raises(InputError, match="second: is already in"):
        copy_variant(folder, "second")
    with pytest.raises(InputError, match="second: is already in"):
        make_empty(folder.parent, "second")
    assert sorted(path.name for path in folder.parent.iterdir()) == ["first", "second"]


@pytest.mark.parametrize("step", ["fsync", "rename"])
def test_a_copy_that_fails_leaves_nothing(step: str, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, step, refuse)
    with pytest.raises(InputError, match=r"second: cannot be made in .*No space left"):
        copy_variant(folder, "second")
    assert [path.name for path in folder.parent.iterdir()] == ["first"]


def test_what_a_killed_program_left_half_made_is_cleared_by_the_next_and_what_lives_is_not(folder: Path) -> None:
    dead, alive, other = (folder.parent / f".{name}.new" for name in ("second.abcd1234", "second.efgh5678", "third.x"))
    for half in (dead, alive, other):
        half.mkdir()
        (half / "inventory.csv").write_text("half")
    with marked(alive):
        copy_variant(folder, "second")
    assert sorted(path.name for path in folder.parent.iterdir()) == [alive.name, other.name, "first", "second"]


def test_nothing_to_copy_is_said(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"has neither inventory\.csv nor closet.toml"):
        copy_variant(tmp_path, "second")


def test_an_empty_folder_has_columns_and_no_pile(tmp_path: Path) -> None:
    made = make_empty(tmp_path, "ours")
    assert [path.name for path in made.iterdir()] == ["inventory.csv"]
    assert (made / "inventory.csv").read_text() == "what,count,size,owner,use,label\n"
