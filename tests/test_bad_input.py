"""Bad input through the command line: one line a fault that says where, what and what would be right; exit 2.

Every case of the list "Bad input" of the first job stands here or in `test_cli.py`. Whatever is wrong, the
folder afterwards holds exactly the bytes that it held before.
"""

from __future__ import annotations

import errno
import os
import re
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest
from support.folders import CLOSET, INVENTORY

from capacity.__main__ import main
from capacity.disk.files import HIDDEN, require_writable
from capacity.makeover.plan import read_plan
from capacity.solver import planning

WALL_ONLY = CLOSET[: CLOSET.index("[[before]]")]
BEFORE = CLOSET[CLOSET.index("[[before]]") :]
HEADER = "what,count,size,width,depth,height,drop,rod,use,store\n"


def _made(folder: Path, inventory: str | bytes | None = INVENTORY, closet: str | bytes | None = CLOSET) -> Path:
    for name, content in (("inventory.csv", inventory), ("closet.toml", closet)):
        if content is not None:
            (folder / name).write_bytes(content.encode() if isinstance(content, str) else content)
    return folder


def _content(folder: Path) -> dict[str, bytes | None]:
    return {str(path.relative_to(folder)): path.read_bytes() if path.is_file() else None for path in folder.rglob("*")}


def _refusals(
    folder: Path, capsys: pytest.CaptureFixture[str], command: str = "fit", has_begun: bool = False
) -> list[str]:
    """The lines on standard error; nothing on standard output, exit 2, and the folder as it was.

    `has_begun`: a search that has begun may have left its progress and the like in the hidden subfolder.
    """
    before = _content(folder)
    assert main([command, str(folder)]) == 2
    after = _content(folder)
    assert {place: data for place, data in after.items() if not has_begun or not place.startswith(HIDDEN)} == before
    out, error = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in error
    return error.splitlines()


ROWS = {
    "a shoe size of clothes": ("shirt,1,US M 9", 'size: "US M 9" is a shoe size; this takes M, XL'),
    "a clothing size of shoes": ("sneakers,1,M", 'size: "M" is a clothing size; shoes take a number with its system'),
    "a waist and inseam of shoes": ("sneakers,1,34x32", 'size: "34x32" is a clothing size; shoes take'),
    "a waist and inseam of a sweater": ("sweater,1,34x32", 'size: "34x32" is a waist and inseam; this takes'),
    "a bed size of a towel": ("towel,1,queen", 'size: "queen" is not a size that can be read; this takes hand, bath'),
    "a size of what has none": ("handbag,1,US M 9", "size: handbag has no sizes; measure it instead (width, depth"),
    "a shoe size that is nobody's": ("sandals,1,US 60", "size: "),
    "a width that is a word": ("hat,1,,wide", 'width: "wide" is not a length; expected a length such as 14 1/2'),
    "a depth in an unknown unit": ("hat,1,,,3 ells", 'depth: "3 ells" has the unknown unit "ells"; expected'),
    "a height of nothing": ("hat,1,,,,0", 'height: "0" is nothing; expected a length above 0'),
    "a negative drop": ("shirt,1,,,,,-3", 'drop: "-3" is negative; expected a length'),
    "a rod of a thousand": ('shirt,1,,,,,,"1,000"', "rod: "),
    "a use that is none": ("hat,1,,,,,,,often", 'use: "often" is not one of daily, weekly, seasonal'),
    "a way of storing that is none": ("hat,1,,,,,,,,fold", 'store: "fold" is not one of stand, stack, hang, drawer'),
    "a way of storing without figures": ("hat,1,,,,,,,,hang", "store: no sizes are known for hat"),
    "no count": ("hat,", "count: is empty; expected a whole number, 0 or more"),
    "a count in words": ("hat,two", 'count: "two" is not a whole number of 0 or more'),
    "a count with an exponent": ("hat,1e3", 'count: "1e3" is not a whole number of 0 or more'),
    "a count beyond all closets": ("hat,10000", "count: 10000 pieces in one pile; at most 9999 can be read"),
    "no kind": (",3", "what: is empty; name a kind, such as sneakers"),
    "a kind that nobody knows": ("zzz,3", 'what: "zzz" is not a kind that is known; nearest: "'),
}


@pytest.mark.parametrize("case", ROWS)
def test_a_row_that_is_wrong_is_one_line_with_row_and_column(
    case: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    row, said = ROWS[case]
    (line,) = _refusals(_made(tmp_path, f"{HEADER}sneakers,1\n{row}\n"), capsys)
    assert line.startswith("inventory.csv, row 3, column ")
    assert said in line


WHOLE_FILES = {
    "empty": (b"", "inventory.csv: the file is empty; the first row must name the columns what, count"),
    "blank": (b" \n\n,,\n", "inventory.csv: the file is empty"),
    "a header alone": (b"what,count\n", "inventory.csv: holds no pile; write one pile a row"),
    "0 of everything": (b"what,count\nhat,0\nshirt,0\n", "inventory.csv: every count is 0: there is nothing to store"),
    "10 MB": (b"what,count\n" + b"hat,1\n" * 1_700_000, "inventory.csv: the file is larger than 2 MB"),
    "Latin-1": ("what,count,label\nhat,1,\n,,café\n".encode("latin-1"), "line 3 is not UTF-8 text; save the file"),
    "UTF-16": ("what,count\nhat,1\n".encode("utf-16"), "inventory.csv: line 1 is not UTF-8 text"),
    "a NUL": (b"what,count\nhat,1\0\n", "inventory.csv: line 2 has a NUL character"),
    "a quote left open": (b'what,count,label\nhat,1,"open\n', "row 2: cannot be read as CSV"),
    "two counts": (b"what,count,Count\nhat,1,2\n", 'row 1: the header names the column "count" more than once'),
    "too many cells": (b"what,count\nhat,1,2\n", "row 2: has 3 cells, but there are 2 columns"),
    "too many piles": (b"what,count\n" + b"hat,1\n" * 2001, "has 2001 piles, at most 500 can be planned for"),
}


@pytest.mark.parametrize("case", WHOLE_FILES)
def test_an_inventory_that_is_wrong_as_a_whole_is_one_line(
    case: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    content, said = WHOLE_FILES[case]
    (line,) = _refusals(_made(tmp_path, content), capsys)
    assert line.startswith("inventory.csv")
    assert said in line


CLOSETS: dict[str, tuple[str | bytes, str]] = {
    "a wall narrower than a bay": (
        WALL_ONLY.replace("width = 40", "width = 13"),
        "width: 1' 3/4\" is narrower than the smallest bay with its two uprights, 1' 1 7/16\"",
    ),
    "openings that overlap": (CLOSET.replace("bottom = 12", "bottom = 11"), "opening 2: overlaps opening 1"),
    "an opening through the ceiling": (CLOSET.replace("height = 50", "height = 84.25"), "opening 2: ends at 8' 1/4\""),
    "a bay that leaves the wall": (CLOSET.replace("width = 38", "width = 41"), "outside the wall's 3' 4\""),
    "a bay that starts outside": (CLOSET.replace("left = 0", "left = 45"), "outside the wall's 3' 4\""),
    "bays that overlap": (CLOSET + BEFORE, "[[before]] 2, left: the bay overlaps [[before]] 1"),
    "a bay on no wall": (CLOSET.replace('wall = "back"', 'wall = "side"'), 'wall: "side" is not a wall; the walls are'),
    "an opening of no height": (CLOSET.replace("height = 50", "height = 0"), "expected a length above 0"),
    "an opening below the floor": (CLOSET.replace("bottom = 12", "bottom = -1"), '"-1" is negative'),
    "an opening of no kind": (CLOSET.replace('kind = "hang"', 'kind = "rail"'), "expected 'shelf', 'hang' or 'drawer'"),
    "a length in words": (CLOSET.replace("width = 40", 'width = "wide"'), '"wide" is not a length; expected a length'),
    "a length that is a list": (CLOSET.replace("ceiling = 96", "ceiling = [96]"), "ceiling: "),
    "broken TOML": (CLOSET.replace("[[wall]]", "[[wall"), "closet.toml: is not valid TOML"),
    "not UTF-8": (CLOSET.encode() + b"# \xff\n", "closet.toml: line 13 is not UTF-8 text"),
    "a NUL": (CLOSET.encode() + b"\0", "closet.toml: line 13 has a NUL character"),
    "10 MB": (b"#" * 10_000_000, "closet.toml: the file is larger than 1 MB"),
    "no wall": ("ceiling = 96\ntop = 84\n", "wall: is missing; write it"),
    "rows that are no number": (CLOSET + '[wishes]\nrows_deep = "two"\n', "rows_deep"),
    "a share above 1": (CLOSET + "[wishes]\nspare = 1.5\n", "spare"),
    "units that are none": ('units = "ft"\n' + CLOSET, 'units: "ft" is not known; write "in" or "mm"'),
    "bays to keep": (WALL_ONLY + "[wishes]\nkeep_bays = true\n", "[wishes] keep_bays: there are no bays to keep"),
    "a table of later": (CLOSET + "[light]\nbay = 1\n", "[light]: is not honoured by this version; take it out"),
}


@pytest.mark.parametrize("case", CLOSETS)
def test_a_closet_that_is_wrong_is_one_line(case: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    closet, said = CLOSETS[case]
    (line,) = _refusals(_made(tmp_path, closet=closet), capsys)
    assert line.startswith("closet.toml")
    assert said in line


def test_an_opening_that_just_touches_the_next_and_the_ceiling_is_right(tmp_path: Path) -> None:
    """The other side of the cases above: 12 + 84 in is exactly the ceiling of 96 in."""
    closet = CLOSET.replace("height = 50", "height = 84").replace("width = 38", "width = 40")
    assert main(["count", str(_made(tmp_path, closet=closet))]) == 0


def test_all_faults_of_both_files_are_said_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    closet = CLOSET.replace("bottom = 12", "bottom = 11").replace("width = 38", "width = 41")
    lines = _refusals(_made(tmp_path, "what,count\nsneekers,-1\n,x\n", closet), capsys)
    assert [line.partition(": ")[0] for line in lines] == [
        "closet.toml, [[before]] 1, width",
        "closet.toml, [[before]] 1, opening 2",
        "inventory.csv, row 2, column what",
        "inventory.csv, row 2, column count",
        "inventory.csv, row 3, column what",
        "inventory.csv, row 3, column count",
    ]


@pytest.mark.parametrize("missing", ["inventory.csv", "closet.toml"])
@pytest.mark.parametrize("command", ["fit", "count", "compare"])
def test_a_missing_file_is_named(
    missing: str, command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (_made(tmp_path) / missing).unlink()
    (line,) = _refusals(tmp_path, capsys, command)
    assert line.startswith(f"{missing}: there is no such file in ")


def test_a_folder_that_is_a_file_is_one_line_for_each_file_wanted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "closet").write_text("x")
    assert main(["fit", str(tmp_path / "closet")]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert [line.partition(": ")[0] for line in lines] == ["closet.toml", "inventory.csv"]


@pytest.mark.parametrize("is_empty", [True, False])
def test_a_plan_that_cannot_be_written_is_printed_and_kept_beside(
    is_empty: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`plan.json` is a folder: nobody, root neither, can put a file in its place."""
    (_made(tmp_path) / "plan.json").mkdir()
    if not is_empty:
        (tmp_path / "plan.json" / "kept").write_text("kept")
    before = _content(tmp_path)
    assert main(["fit", str(tmp_path)]) == 2
    out, error = capsys.readouterr()
    assert out.startswith("Everything fits: all 9 pieces have a place")
    (line,) = error.splitlines()
    assert line.startswith("plan.json: cannot be written: Is a directory")
    assert "this layout is kept in plan-2.json" in line
    assert read_plan(tmp_path / "plan-2.json").after.pieces == 9
    after = _content(tmp_path)
    del after["plan-2.json"]
    assert {place: data for place, data in after.items() if not place.startswith(HIDDEN)} == before


def _read_only(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    """Let the system refuse to make a file in a folder, as it does on a read-only disk, also to root."""
    really_open = os.open

    def refuse(path: str | bytes | int, flags: int, *more: int, **named: int) -> int:
        makes = flags & (os.O_CREAT | os.O_WRONLY | os.O_RDWR)
        if makes and Path(os.fsdecode(path)).resolve().is_relative_to(folder.resolve()):  # type: ignore[arg-type]
            raise OSError(errno.EROFS, os.strerror(errno.EROFS), path)
        return really_open(path, flags, *more, **named)

    monkeypatch.setattr(os, "open", refuse)
    assert tempfile.tempdir is None or not Path(tempfile.tempdir).is_relative_to(folder)


def test_a_folder_without_write_permission_is_refused_before_any_work(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def search(*_: object) -> None:
        msg = "the search must not begin"
        raise AssertionError(msg)

    _made(tmp_path)
    monkeypatch.setattr(planning, "make_plan", search)
    _read_only(monkeypatch, tmp_path)
    (line,) = _refusals(tmp_path, capsys)
    assert line == f"{tmp_path}: cannot be written: {os.strerror(errno.EROFS)}"


def test_a_folder_that_turns_read_only_during_the_search_keeps_its_old_plan(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (_made(tmp_path) / "plan.json").write_text("the old plan")
    really_make: Callable[..., object] = planning.make_plan

    def make(*facts: object) -> object:
        plan = really_make(*facts)
        _read_only(monkeypatch, tmp_path)
        return plan

    monkeypatch.setattr(planning, "make_plan", make)
    assert main(["fit", str(tmp_path)]) == 2
    out, error = capsys.readouterr()
    assert out.startswith("Everything fits: all 9 pieces have a place")
    (line,) = error.splitlines()
    assert line.startswith("plan.json: cannot be written in ")
    kept = re.search(r"this layout is kept in (\S+capacity-plan-\S+\.json)", line)
    assert kept is not None
    assert read_plan(Path(kept[1])).after.pieces == 9
    Path(kept[1]).unlink()
    assert (tmp_path / "plan.json").read_text() == "the old plan"


def test_a_real_folder_without_write_permission_is_refused(tmp_path: Path) -> None:
    """By mode bits, for everybody but root, whom they do not bind."""
    tmp_path.chmod(0o555)
    try:
        if os.access(tmp_path, os.W_OK):
            require_writable(tmp_path)  # root: the mode says nothing, and indeed a file can be made
        else:
            with pytest.raises(ValueError, match="cannot be written"):
                require_writable(tmp_path)
    finally:
        tmp_path.chmod(0o755)


def test_start_in_a_read_only_folder_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    _read_only(monkeypatch, tmp_path)
    assert _refusals(tmp_path, capsys, "start")[0].startswith("inventory.csv: cannot be written in ")


def test_a_piece_larger_than_any_opening_is_no_fault_but_left_out_and_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Too high, too wide and too deep, too long for any rod, and one that just fits: 84 - 2 panels - 4 in is 78.56."""
    inventory = (
        HEADER + "suitcase,1,,20,14,90\nstorage bin,2,,41,41,10\nlong dress,1,,,,,90,2\nlong dress,1,,,,,78.5,2\n"
    )
    assert main(["fit", str(_made(tmp_path, inventory, WALL_ONLY))]) == 1
    out, error = capsys.readouterr()
    left_out = [line for line in out.splitlines() if line.startswith("left out: ")]
    assert left_out == [
        "left out: 1 x suitcase (larger than any opening)",
        "left out: 2 x storage bin (larger than any opening)",
        "left out: 1 x long dress (larger than any opening)",
    ]
    assert error == ""
    assert (tmp_path / "plan.json").exists()
