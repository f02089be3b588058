"""Letting go: the list adds up by owner, an answer is kept, and what goes leaves the count once and can come back."""

from __future__ import annotations

from pathlib import Path

import pytest
from support.cases import built_bay, one_wall

from capacity.__main__ import main
from capacity.disk.versions import undo
from capacity.errors import InputError
from capacity.upkeep.letting_go import FILE_NAME, format_going, parse_going, read_going, take_out
from capacity.wardrobe.inventory import read_inventory

CLOSET = one_wall() + built_bay('{ kind = "shelf", bottom = 4, height = 7 }')
COUNT = """what,count,owner,use,width,depth,height,label
hat,3,Ann,daily,12,12,5,wool
hat,2,Ben,weekly,12,12,5,=straw
suitcase,1,,seasonal,20,14,30,
"""


@pytest.fixture
def folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    (tmp_path / "closet.toml").write_text(CLOSET)
    (tmp_path / "inventory.csv").write_text(COUNT)
    main(["refill", str(tmp_path)])
    assert main(["let-go", str(tmp_path)]) == 0
    assert "Ben (value 4): 2 of 2 hat." in capsys.readouterr().out
    return tmp_path


def _answer(folder: Path, what: str, goes: str) -> None:
    lines = (folder / FILE_NAME).read_text().splitlines()
    cells = [line.split(",") for line in lines]
    for row in cells[1:]:
        if row[1] == what:
            row[8] = goes
    (folder / FILE_NAME).write_text("".join(",".join(row) + "\n" for row in cells))


def test_the_list_adds_up_and_reads_back(folder: Path) -> None:
    lines = read_going(folder)
    assert sum(one.value for one in lines) == 3 * 1 + 2 * 2 + 1  # of five hats two stay, Ann's
    assert parse_going(format_going(lines)) == lines
    assert [one.owner for one in lines] == ["Ben", "Ann", ""]
    assert "'=straw" in (folder / FILE_NAME).read_text()  # no spreadsheet takes it for a formula


def test_what_goes_leaves_the_count_once_and_can_come_back(folder: Path) -> None:
    _answer(folder, "hat", "Sell")
    assert {one.owner: one.pieces for one in take_out(folder, "in")} == {"Ben": 2, "Ann": 1}
    counts = [pile.count for pile in read_inventory(folder / "inventory.csv", "in").piles]
    assert counts == [2, 0, 1]
    assert take_out(folder, "in") == ()
    assert [pile.count for pile in read_inventory(folder / "inventory.csv", "in").piles] == counts
    undo(folder / "inventory.csv")
    assert (folder / "inventory.csv").read_text() == COUNT


def test_an_answer_is_kept_when_the_list_is_written_anew(folder: Path) -> None:
    _answer(folder, "suitcase", "keep elsewhere")
    assert main(["let-go", str(folder)]) == 0
    assert [one.goes for one in read_going(folder) if one.what == "suitcase"] == ["keep elsewhere"]


def test_a_list_that_does_not_fit_the_count_takes_nothing(folder: Path) -> None:
    _answer(folder, "hat", "give")
    (folder / "inventory.csv").write_text(COUNT.replace("hat,2,Ben", "hat,9,Ben"))
    with pytest.raises(InputError, match="has 9 pieces now, not 2; write the list anew"):
        take_out(folder, "in")
    assert "hat,9,Ben" in (folder / "inventory.csv").read_text()
    assert "hat,3,Ann" in (folder / "inventory.csv").read_text()


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("weekly,2,2", "weekly,3,2", "3 pieces of 2 cannot go"),
        ("weekly,2,2", "weekly,x,2", "whole numbers"),
        (",4,,", ",4,burn,", '"burn" is not one of keep elsewhere, give, sell'),
        ("owner,", "", "the first row must be"),
    ],
)
def test_a_fault_is_one_line(folder: Path, old: str, new: str, said: str) -> None:
    text = (folder / FILE_NAME).read_text()
    assert old in text
    with pytest.raises(InputError, match=said) as raised:
        parse_going(text.replace(old, new, 1))
    assert len(raised.value.faults) == 1
