"""Whole files or none: an interrupted or refused write leaves the old file and nothing beside it."""

from __future__ import annotations

import errno
import os
import re
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

import capacity
from capacity.__main__ import main
from capacity.disk import files
from capacity.disk.files import TakenError, read_text, write_text
from capacity.errors import InputError


def test_what_is_written_is_read_back_byte_for_byte(tmp_path: Path) -> None:
    text = "a\r\nb\nc\u2028d\ufeffe\n"
    write_text(tmp_path / "x", text)
    assert (tmp_path / "x").read_bytes() == text.encode()
    assert read_text(tmp_path / "x", 100) == text


def test_a_byte_order_mark_is_taken_off(tmp_path: Path) -> None:
    (tmp_path / "x").write_bytes(b"\xef\xbb\xbfwhat")
    assert read_text(tmp_path / "x", 100) == "what"


def test_a_file_may_be_as_large_as_allowed_and_not_a_byte_larger(tmp_path: Path) -> None:
    (tmp_path / "x").write_bytes(b"a" * 100)
    assert len(read_text(tmp_path / "x", 100)) == 100
    with pytest.raises(InputError, match="larger than"):
        read_text(tmp_path / "x", 99)


@pytest.mark.skipif(sys.platform == "win32", reason="no such files there")
@pytest.mark.parametrize("sort", ["an endless device", "a pipe that nobody writes to", "a folder"])
def test_what_is_no_ordinary_file_is_neither_read_to_its_end_nor_waited_for(sort: str, tmp_path: Path) -> None:
    """Found so: a link to an endless device took 10.8 GB in half a minute."""
    path = tmp_path / "inventory.csv"
    if sort == "an endless device":
        path.symlink_to("/dev/zero")
    elif sort == "a folder":
        path.mkdir()
    else:
        os.mkfifo(path)
    with pytest.raises(InputError, match=r"^inventory\.csv: cannot be read: (it is no ordinary file|Is a directory)$"):
        read_text(path, 2_000_000)
    for name in ("closet.toml", "plan.json"):
        path.rename(tmp_path / name)
        path = tmp_path / name
        assert main(["compare", str(tmp_path)]) == 2


def test_a_file_that_grows_while_it_is_read_is_refused_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "x").write_bytes(b"a" * 200)
    monkeypatch.setattr(Path, "stat", lambda self, **_: SimpleNamespace(st_size=10, st_mode=0o100644))
    with pytest.raises(InputError, match=r"larger than 0\.0001 MB"):
        read_text(tmp_path / "x", 100)


def test_no_file_of_a_folder_is_read_in_another_way() -> None:
    """Each reader in the tree goes through `files`, with its limit; what is shipped with the package need not."""
    shipped = ("files(__name__)", "resources.files(", "Path(__file__)", 'f"tile.{end}"')
    found = [
        f"{path.name}:{number}"
        for path in PACKAGE.rglob("*.py")
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if path.name != "prove.py"  # it shares no code with the rest, and the command reads the plan first
        if re.search(r"\.read_(text|bytes)\(|\.load\(", line) and not any(words in line for words in shipped)
    ]
    assert found == []


def test_the_mode_of_the_old_file_is_kept_and_a_new_one_can_be_read_by_all(tmp_path: Path) -> None:
    write_text(tmp_path / "new", "x")
    assert (tmp_path / "new").stat().st_mode & 0o777 == 0o644
    (tmp_path / "old").write_text("x")
    (tmp_path / "old").chmod(0o600)
    write_text(tmp_path / "old", "y")
    assert (tmp_path / "old").stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("step", ["fsync", "chmod", "replace"])
def test_a_full_disk_keeps_the_old_file_and_leaves_nothing_beside_it(
    step: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "x").write_text("old")

    def refuse(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, step, refuse)
    with pytest.raises(InputError, match=r"^x: cannot be written: No space left"):
        write_text(tmp_path / "x", "new")
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {"x": "old"}


def test_a_file_that_another_program_holds_says_what_to_do(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On Windows a spreadsheet keeps a file that it has open from being replaced."""

    def refuse(*_: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(InputError, match="if a spreadsheet has it open, close it there"):
        write_text(tmp_path / "x", "new")
    assert not list(tmp_path.iterdir())


def test_ctrl_c_while_writing_keeps_the_old_file_and_goes_on_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "x").write_text("old")

    def interrupt(_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_text(tmp_path / "x", "new")
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {"x": "old"}


PACKAGE = Path(capacity.__file__).parent

WRITER = """
import os, signal, sys
from pathlib import Path
from capacity.disk import files
def ended(*_):
    print("half", flush=True)
    signal.pause()
os.fsync = ended
files.write_text(Path(sys.argv[1]), "new")
"""


def test_what_a_killed_writer_left_is_cleared_by_the_next_write_of_that_file_only(tmp_path: Path) -> None:
    """And what a writer that lives has half written stays, as does all that only looks like it."""
    strange = (
        ".x.abcd123.new", ".x.abcd1234.old", ".xy.abcd1234.new", "x.abcd1234.new", ".x.ABCD1234.new", ".x.abcd12345.new"
    )  # fmt: skip
    for name in strange:
        (tmp_path / name).write_text("mine")
    (tmp_path / ".x.abcd1234.new").symlink_to(tmp_path / strange[0])
    (tmp_path / ".x.efgh5678.new").mkdir()
    kept = {path.name for path in tmp_path.iterdir()}
    command = [sys.executable, "-c", WRITER, str(tmp_path / "x")]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as writer:
        try:
            assert writer.stdout is not None
            assert writer.stdout.readline() == "half\n"
            write_text(tmp_path / "x", "first")
            assert len({path.name for path in tmp_path.iterdir()} - kept) == 2  # x, and the half of the one that lives
        finally:
            writer.kill()
    write_text(tmp_path / "y", "another file")
    assert len({path.name for path in tmp_path.iterdir()} - kept) == 3
    write_text(tmp_path / "x", "second")
    assert {path.name for path in tmp_path.iterdir()} - kept == {"x", "y"}
    assert kept < {path.name for path in tmp_path.iterdir()}
    assert (tmp_path / "x").read_text() == "second"


def test_a_half_that_is_taken_away_before_it_is_marked_is_begun_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    really, made = files._half_of, []

    def taken_once(path: Path) -> Path:
        half = really(path)
        made.append(half)
        if len(made) == 1:
            half.unlink()
        return half

    monkeypatch.setattr(files, "_half_of", taken_once)
    write_text(tmp_path / "x", "new")
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {"x": "new"}
    monkeypatch.setattr(files, "_half_of", lambda path: tmp_path / "gone")
    with pytest.raises(InputError, match=r"^x: cannot be written: No such file"):
        write_text(tmp_path / "x", "newer")
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {"x": "new"}


@pytest.mark.parametrize("has_links", [True, False])
def test_a_file_that_must_be_new_is_never_written_over(
    has_links: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    if not has_links:
        monkeypatch.setattr(os, "link", refuse)
    write_text(tmp_path / "x", "first", is_new=True)
    with pytest.raises(TakenError, match=r"x: is already in .*nothing is overwritten"):
        write_text(tmp_path / "x", "second", is_new=True)
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {"x": "first"}


def test_a_system_that_cannot_flush_a_folder_still_writes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    really_open = os.open

    def refuse(path: str, flags: int, *more: int, **named: int) -> int:
        if Path(path).is_dir():
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        return really_open(path, flags, *more, **named)

    monkeypatch.setattr(os, "open", refuse)
    write_text(tmp_path / "x", "new")
    assert (tmp_path / "x").read_text() == "new"
