"""Whatever goes wrong while something is written, the folder opens and holds the old or the new, whole.

A fixed part of all faults; the whole is a command, `python tests/benchmarks/faults.py`.
"""

from __future__ import annotations

import errno
import os
import sys
from pathlib import Path

import pytest

if not sys.platform.startswith("linux"):
    pytest.skip("paths of open files are read from /proc", allow_module_level=True)

from support.broken_writes import faults_of, run
from support.in_the_tree import functions_that, watching, writes
from support.power_cut import read_tree
from support.system_calls import Fault
from support.writes import WRITES, Write

from capacity.disk.files import write_text
from capacity.errors import InputError
from capacity.makeover.samples import FILES, start_folder


@pytest.mark.parametrize("write", WRITES, ids=lambda write: write.name.replace(" ", "-"))
def test_what_goes_wrong_leaves_the_old_or_the_new(write: Write) -> None:
    tally = faults_of(write, ("killed", "full", "denied", "broken"), points=3)
    assert tally.wrong == []
    assert sum(tally.cases.values()) >= 12


ELSEWHERE = {
    "disk/files.py:require_writable": "makes nothing that stays",
    "drawings/to_svg.py:format_png": "into a folder of temporary files",
    "many/journal.py:Journal.__init__": "a line at the end for each result; half a one is passed over (`many/`)",
    "many/results.py:write_results": "by `write_text`, into a folder of their own",
    "many/solving.py:read_task": "into a folder of temporary files",
    "page/compare/photo.py:_keep": "by `write_text`, with the page around it",
    "page/compare/photo.py:_take_out": "takes one file away, which is not of those that a search reads",
    "page/compare/what_if.py:_start": "takes away a table that is made again",
    "disk/folder_swap.py:require_ours": "before a packet; puts back what a kill between two names took away",
    "page/count/table.py:_save": "by `write_version`, with the page around it",
    "workshop/build_files.py:build": "by `write_folder`, which is tried with a packet of its names",
    "workshop/packet.py:write_packet": "into a folder of temporary files",
}
"""Functions in which a call looks like a write, and that need not be among the writes, each with its reason."""


def test_no_write_of_the_tree_is_missing_from_the_list(tmp_path: Path) -> None:
    """A function that writes and is run by none of `WRITES` fails this test: add a line there, or a reason here."""
    with watching() as ran:
        for number, write in enumerate(WRITES):
            folder = tmp_path / str(number) / "folder"
            folder.parent.mkdir()
            write.before(folder)
            write.act(folder)
    found = functions_that(writes)
    assert len(found) > 25
    missing = {name for name, place in found.items() if place not in ran}
    assert sorted(missing - ELSEWHERE.keys()) == []
    assert sorted(ELSEWHERE.keys() - missing) == []  # a reason that is needed no more goes


def test_the_faults_are_real(tmp_path: Path) -> None:
    """A careless writer is caught by each kind: else the other tests could not fail."""

    def careless(folder: Path) -> None:
        with open(folder / "inventory.csv", "w", encoding="utf-8") as file:
            file.write("what,count,width,depth,height\nsneakers,9,10,12,5\n")

    def before(folder: Path) -> None:
        folder.mkdir()
        (folder / "inventory.csv").write_text("what,count,width,depth,height\nsneakers,1,10,12,5\n", encoding="utf-8")

    wrong = faults_of(Write("careless", before, careless)).wrong
    for kind in ("killed", "half", "full", "broken", "power cut"):
        assert any(f"careless, {kind}" in line for line in wrong), kind
    ran = run(Write("nothing", before, lambda folder: (folder / "new").mkdir()), _made(tmp_path, before), None)
    assert (ran.ended, ran.calls) == ("done", 1)


def _made(place: Path, before: object) -> Path:
    folder = place / "made"
    before(folder)  # type: ignore[operator]
    return folder


def test_a_killed_process_ends_at_its_call(tmp_path: Path) -> None:
    write = next(write for write in WRITES if write.name == "type a closet")
    write.before(tmp_path / "folder")
    old = read_tree(tmp_path)
    assert run(write, tmp_path / "folder", Fault("killed", 1)).ended == "killed"
    assert read_tree(tmp_path) == old


def test_a_start_that_was_broken_off_is_ended_by_the_next_and_nothing_else_is_touched(tmp_path: Path) -> None:
    """Found by killing it between its two files: what was there could be neither opened nor made anew."""
    start_folder(tmp_path / "whole")
    for name in FILES:
        folder = tmp_path / f"without {name}"
        start_folder(folder)
        (folder / name).unlink()
        start_folder(folder)
        assert read_tree(folder) == read_tree(tmp_path / "whole")
        (folder / name).unlink()
        other = next(one for one in FILES if one != name)
        (folder / other).write_text("mine", encoding="utf-8")
        with pytest.raises(InputError, match="nothing is overwritten"):
            start_folder(folder)
        assert not (folder / name).exists()
    with pytest.raises(InputError, match="nothing is overwritten"):
        start_folder(tmp_path / "whole")


@pytest.mark.parametrize(("number", "is_told"), [(errno.EIO, True), (errno.ENOSPC, True), (errno.EINVAL, False)])
def test_a_disk_that_does_not_confirm_is_told_and_a_system_that_cannot_is_not(
    number: int, is_told: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Found by letting the flush of the folder fail: it went up as a traceback."""
    really = os.fsync

    def refuse(descriptor: int) -> None:
        if Path(f"/proc/self/fd/{descriptor}").is_dir():
            raise OSError(number, os.strerror(number))
        really(descriptor)

    monkeypatch.setattr(os, "fsync", refuse)
    if is_told:
        with pytest.raises(InputError, match=r"^x: was written, but the disk does not confirm it"):
            write_text(tmp_path / "x", "new")
    else:
        write_text(tmp_path / "x", "new")
    assert (tmp_path / "x").read_text() == "new"


def test_what_cannot_even_be_cleared_away_is_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Found by taking the permission away half way: clearing the half file raised, and hid the fault."""

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(os, "replace", refuse)
    monkeypatch.setattr(os, "unlink", refuse)
    with pytest.raises(InputError, match=r"^x: cannot be written: Permission denied"):
        write_text(tmp_path / "x", "new")


def test_a_link_to_a_file_stays_one(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "count.csv").write_text("old")
    (tmp_path / "inventory.csv").symlink_to("elsewhere/count.csv")
    write_text(tmp_path / "inventory.csv", "new")
    assert (tmp_path / "inventory.csv").is_symlink()
    assert (tmp_path / "elsewhere" / "count.csv").read_text() == "new"
