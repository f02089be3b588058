"""Undo over the last ten versions of a file: nothing that stood on disk is lost by a change or by an undo."""

from __future__ import annotations

import errno
import os
import shutil
from pathlib import Path

import pytest

from capacity.disk.versions import MOST_VERSIONS, redo, undo, would_bring, write_version
from capacity.errors import InputError


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "inventory.csv"


def test_ten_changes_are_undone_and_redone_in_order(path: Path) -> None:
    for number in range(15):
        write_version(path, f"{number}")
    back = []
    while undo(path):
        back.append(path.read_text())
    assert back == [f"{number}" for number in range(13, 13 - MOST_VERSIONS, -1)]
    forth = []
    while redo(path):
        forth.append(path.read_text())
    assert forth == [f"{number}" for number in range(5, 15)]
    assert len(list((path.parent / ".capacity" / "versions" / path.name).iterdir())) == MOST_VERSIONS


def test_a_change_after_undo_can_be_undone_and_ends_redo(path: Path) -> None:
    for text in "abc":
        write_version(path, text)
    undo(path)
    write_version(path, "d")
    assert not redo(path)
    assert undo(path)
    assert path.read_text() == "b"


def test_what_another_program_wrote_comes_back_by_redo_and_by_undo(path: Path) -> None:
    write_version(path, "a")
    write_version(path, "b")
    path.write_text("by hand, in place")
    undo(path)
    assert path.read_text() == "a"
    redo(path)
    assert path.read_text() == "by hand, in place"
    write_version(path, "c")
    undo(path)
    assert path.read_text() == "by hand, in place"


def test_a_program_that_writes_in_place_does_not_reach_a_version(path: Path) -> None:
    write_version(path, "a")
    write_version(path, "b")
    path.write_text("x")
    assert would_bring(path, "undo") == b"a"


def test_changes_that_belong_together_are_undone_together(path: Path) -> None:
    write_version(path, "a")
    write_version(path, "b", joins_last=True)  # nothing before it to belong to: kept all the same
    write_version(path, "c", joins_last=True)
    write_version(path, "d", joins_last=True)
    undo(path)
    assert path.read_text() == "a"


def test_files_of_one_folder_have_versions_of_their_own(path: Path) -> None:
    other = path.with_name("closet.toml")
    for text in "ab":
        write_version(path, text)
        write_version(other, text)
    undo(path)
    assert (path.read_text(), other.read_text()) == ("a", "b")


def test_a_write_that_fails_leaves_the_file_and_what_can_be_undone(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_version(path, "a")
    write_version(path, "b")

    def refuse(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", refuse)
        for _ in range(MOST_VERSIONS + 1):
            with pytest.raises(InputError, match="No space left"):
                write_version(path, "c")
    assert path.read_text() == "b"
    assert would_bring(path, "undo") == b"a"
    assert undo(path)
    assert path.read_text() == "a"
    assert redo(path)
    assert path.read_text() == "b"


def test_where_a_system_has_no_links_a_copy_does(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", refuse)
    write_version(path, "a")
    write_version(path, "b")
    path.write_text("c")
    undo(path)
    assert path.read_text() == "a"


def test_a_hidden_folder_that_is_a_file_refuses_the_change_in_one_line(path: Path) -> None:
    path.write_text("a")
    (path.parent / ".capacity").write_text("")
    with pytest.raises(InputError, match=r"^inventory.csv: its old version cannot be kept in .*make that a folder"):
        write_version(path, "b")
    assert path.read_text() == "a"


def test_strange_files_among_the_versions_are_left_alone(path: Path) -> None:
    write_version(path, "a")
    write_version(path, "b")
    folder = path.parent / ".capacity" / "versions" / path.name
    for name in ("past-x", "note.txt", "past-00000002.new"):
        (folder / name).write_text("?")
    undo(path)
    assert path.read_text() == "a"
    assert not undo(path)
    assert (folder / "note.txt").exists()
    shutil.rmtree(folder)
    assert not undo(path)
    assert not redo(path)


@pytest.mark.parametrize("is_other_disk", [False, True])
def test_a_file_behind_a_link_is_brought_back_behind_it(
    path: Path, monkeypatch: pytest.MonkeyPatch, is_other_disk: bool
) -> None:
    elsewhere = path.parent / "elsewhere"
    elsewhere.mkdir()
    path.symlink_to(elsewhere / "real.csv")
    really = os.replace

    def replace(source: Path | str, target: Path | str) -> None:
        if is_other_disk and Path(source).parent != Path(target).parent:
            raise OSError(errno.EXDEV, os.strerror(errno.EXDEV))
        really(source, target)

    monkeypatch.setattr(os, "replace", replace)
    write_version(path, "a")
    write_version(path, "b")
    assert undo(path)
    assert path.is_symlink()
    assert (elsewhere / "real.csv").read_text() == "a"
    assert redo(path)
    assert (elsewhere / "real.csv").read_text() == "b"
    assert [one.name for one in elsewhere.iterdir()] == ["real.csv"]
