"""The commands for the years after the build with `--json`: one document each, nothing else, and what the words say."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest
from support.cases import built_bay, one_wall

from capacity.__main__ import main

COUNT = """what,count,owner,use,width,depth,height,season
hat,3,Ann,daily,12,12,5,
hat,2,Ben,weekly,12,12,5,winter
suitcase,1,,seasonal,20,14,30,summer
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "closet.toml").write_text(one_wall() + built_bay('{ kind = "shelf", bottom = 4, height = 7 }'))
    (tmp_path / "inventory.csv").write_text(COUNT)
    return tmp_path


def test_every_command_for_the_years_prints_one_document(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    def told(code: int, command: str, *more: str) -> dict[str, Any]:
        assert main([command, str(folder), *more, "--json"]) == code
        document: dict[str, Any] = json.loads(capsys.readouterr().out)
        assert document["schema"] == f"capacity.{command}/1"
        return document

    assert main(["history", str(folder)]) == 0
    assert "nothing is noted yet" in capsys.readouterr().out
    assert told(0, "respace")["steps"] == []  # what stands is filled for it, and no board makes room for the suitcase
    assert main(["refill", str(folder)]) == 1
    capsys.readouterr()
    (day,) = told(0, "history")["counts"]
    assert (day["pieces"], day["stored"]) == (6, 2)
    ann, ben = told(0, "where", "hat")["found"]
    assert ann["places"] == [{"wall": "back", "opening": "A", "count": 2}]
    assert (ann["no_place"], ben["places"], ben["no_place"]) == (1, [], 2)
    assert told(1, "where", "xyzzy")["found"] == []
    turns = told(0, "seasons")["turns"]
    assert [(turn["from"], turn["to"]) for turn in turns] == [("summer", "winter"), ("winter", "summer")]
    lines = told(0, "let-go")["lines"]
    assert [(one["owner"], one["what"], one["pieces"]) for one in lines] == [
        ("Ben", "hat", 2), ("Ann", "hat", 1), ("", "suitcase", 1),
    ]  # fmt: skip


def test_what_goes_is_said_until_nothing_more_does(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["refill", str(folder)])
    assert main(["let-go", str(folder)]) == 0
    with (folder / "letting-go.csv").open(newline="") as file:
        header, *rows = csv.reader(file)
    rows = [["give" if name == "goes" else cell for name, cell in zip(header, row, strict=True)] for row in rows]
    with (folder / "letting-go.csv").open("w", newline="") as file:
        csv.writer(file).writerows([header, *rows])
    capsys.readouterr()
    assert main(["let-go", str(folder), "--done"]) == 0
    assert "4 pieces taken out of the count." in capsys.readouterr().out
    main(["refill", str(folder)])
    capsys.readouterr()
    assert main(["let-go", str(folder)]) == 0
    assert capsys.readouterr().out == "Everything has a place.\n"
