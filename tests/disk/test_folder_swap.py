"""The build folder is written whole or not at all, and nobody else's file in it is touched."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import Any

import pytest
from support.built_samples import built_files, folder_to_build

from capacity.__main__ import main
from capacity.disk import folder_swap
from capacity.errors import InputError

FILES = {"parts.json": b'{"schema": "capacity.build/1", "files": ["parts.json"]}'}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small folder with a plan."""
    return folder_to_build(tmp_path)


def test_a_full_disk_at_any_file_leaves_the_old_build_whole(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = {"parts.json": b'{"schema": "capacity.build/1", "files": ["parts.json", "a"]}', "a": b"old"}
    folder_swap.write_folder(folder, files)
    before = built_files(folder)
    real = folder_swap._write
    for failing in range(2):
        calls = 0

        def full(path: Path, data: bytes, failing: int = failing) -> None:
            nonlocal calls
            calls += 1
            if calls > failing:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            real(path, data)

        monkeypatch.setattr(folder_swap, "_write", full)
        with pytest.raises(InputError, match="No space left"):
            folder_swap.write_folder(folder, {**files, "a": b"new"})
        assert built_files(folder) == before
        assert not list(folder.glob(".build*"))


@pytest.mark.parametrize("failing", [0, 1])
def test_a_swap_that_fails_half_way_leaves_the_old_build(
    folder: Path, monkeypatch: pytest.MonkeyPatch, failing: int
) -> None:
    folder_swap.write_folder(folder, FILES)
    real, calls = os.replace, 0

    def denied(source: Any, target: Any) -> None:
        nonlocal calls
        calls += 1
        if calls == failing + 1:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        real(source, target)

    monkeypatch.setattr(os, "replace", denied)
    with pytest.raises(InputError, match="Permission denied"):
        folder_swap.write_folder(folder, {**FILES, "b": b"new"})
    assert built_files(folder) == FILES
    assert not list(folder.glob(".build*"))


def test_a_run_killed_between_the_two_renames_is_made_good(folder: Path) -> None:
    folder_swap.write_folder(folder, FILES)
    (folder / "build").rename(folder / ".build-old")
    (folder / ".build-new-x").mkdir()
    folder_swap.require_ours(folder)
    assert built_files(folder) == FILES
    assert not list(folder.glob(".build*"))


def test_a_build_folder_with_somebody_elses_file_is_not_touched(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["build", str(folder)]) == 0
    (folder / "build" / "my notes.txt").write_text("mine")
    before = built_files(folder)
    assert main(["build", str(folder)]) == 2
    assert "my notes.txt: was not written by this program" in capsys.readouterr().err
    assert built_files(folder) == before
    (folder / "build" / "parts.json").unlink()
    assert main(["build", str(folder)]) == 2


@pytest.mark.parametrize("where", ["the folder", "temporary files"])
def test_a_folder_without_permission_is_one_line(folder: Path, capsys: pytest.CaptureFixture[str], where: str) -> None:
    real = folder_swap.tempfile.mkdtemp

    def refuse(*given: Any, **named: Any) -> str:
        if (named.get("prefix") == ".build-new-") == (where == "the folder"):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        made: str = real(*given, **named)
        return made

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(folder_swap.tempfile, "mkdtemp", refuse)
        assert main(["build", str(folder)]) == 2
    assert "cannot be written" in capsys.readouterr().err
    assert not (folder / "build").exists()
