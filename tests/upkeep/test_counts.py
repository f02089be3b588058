"""The history of counts: a line a day, read back as written, refused in one line, drawn over time."""

from __future__ import annotations

import datetime
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest
from support.folders import CLOSET, INVENTORY

from capacity.__main__ import main
from capacity.closet.closet import parse_closet
from capacity.disk.files import HIDDEN
from capacity.drawings.drawing import Text
from capacity.errors import InputError
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind
from capacity.makeover.files_to_problem import size_problem
from capacity.units import Ticks, inches
from capacity.upkeep.counts import DayCount, format_counts, note_count, parse_counts, read_counts, room_used
from capacity.upkeep.counts_chart import counts_drawing
from capacity.wardrobe.inventory import parse_inventory

DAY = DayCount("2026-03-01", "built", 180, 170, 416, 400, 84, 94, -1)


def test_a_day_is_read_back_and_the_last_count_of_a_day_wins(tmp_path: Path) -> None:
    later = replace(DAY, date="2026-10-02", pieces=190)
    for day in (later, DAY, replace(DAY, stored=171)):
        note_count(tmp_path, day)
    assert read_counts(tmp_path) == (replace(DAY, stored=171), later)
    assert parse_counts(format_counts((DAY, later))) == (DAY, later)


@pytest.mark.parametrize("line", ["2026-13-01,built,1,1,1,1,1,1,1", "2026-03-01,built,x,1,1,1,1,1,1", "a,b", '"'])
def test_a_line_that_is_no_count_is_refused_in_one_line(line: str) -> None:
    with pytest.raises(InputError) as raised:
        parse_counts(format_counts((DAY,)) + line + "\n")
    assert len(raised.value.faults) == 1
    assert str(raised.value.faults[0]).startswith("history.csv")


def test_the_room_used_is_the_share_of_the_widths_that_is_taken() -> None:
    closet = parse_closet(CLOSET)
    problem = size_problem(closet, parse_inventory("what,count,width,depth,height\nhat,2,10,12,6\n", "in"))
    full = Opening(OpeningKind.SHELF, 0, inches(8), (Holding(1, 2),))
    bay = Bay(0, inches(40), inches(15), (full, Opening(OpeningKind.SHELF, inches(9), inches(8))))
    names = [run.name for run in problem.runs]
    layout = Layout((WallLayout(names[0], (bay,)), *(WallLayout(name, ()) for name in names[1:])))
    assert room_used(problem.as_given, layout) == {OpeningKind.SHELF: 25}  # 20 in of twice 40


def test_a_refill_notes_its_day_and_history_prints_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "closet.toml").write_text(CLOSET)
    (tmp_path / "inventory.csv").write_text(INVENTORY)
    main(["refill", str(tmp_path)])
    (day,) = read_counts(tmp_path)
    assert day.date == datetime.date.today().isoformat()
    assert day.stands == "before"
    capsys.readouterr()
    assert main(["history", str(tmp_path)]) == 0
    assert f"{day.stored} of {day.pieces}" in capsys.readouterr().out
    (tmp_path / HIDDEN / "history.csv").write_text("nonsense\n")
    main(["refill", str(tmp_path), "--json"])  # what was found is printed all the same
    told = capsys.readouterr()
    assert told.out.startswith("{")
    assert "history.csv" in told.err


def test_no_two_texts_of_the_chart_touch() -> None:
    days = [
        replace(DAY, date=f"20{year}-05-01", pieces=200, stored=150 + year, shelf_used=80 + year % 9)
        for year in range(26, 34)
    ]
    drawing = counts_drawing(days)
    texts = [shape.extent for shape in drawing.shapes if isinstance(shape, Text)]
    assert not [pair for pair in combinations(texts, 2) if pair[0].overlaps(pair[1])]
    assert all(text.left >= 0 and text.right <= drawing.width for text in texts)
    assert all(text.bottom >= 0 and text.top <= Ticks(drawing.height) for text in texts)
