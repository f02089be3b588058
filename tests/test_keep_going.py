"""A search that goes on from the layout of an earlier plan."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from cases import problem, run, thing

from capacity.__main__ import main
from capacity.design import design
from capacity.effort import Effort
from capacity.plan import read_plan
from capacity.verify import violations

FOLDER = {
    "closet.toml": 'ceiling = 96\ntop = 84\n[[wall]]\nname = "back"\nwidth = 60\ndepth = 15\n',
    "inventory.csv": "what,count\nsneakers,9\nshirt,12\njeans,8\n",
}


def test_what_was_found_is_where_it_begins() -> None:
    """With no work at all left, a search that goes on still stores what the earlier one stored; one anew does not."""
    things = [thing(1, "stand", 40, 8, 12, 5), thing(2, "hang", 30, 36, 2), thing(3, "stack", 30, 10, 12, 1.5, most=6)]
    facts = problem(things, [run("back", 72, 15, 96)])
    found = design(facts, Effort(factor=0.2))
    stopped = Effort()
    stopped.stop()
    anew = design(facts, stopped)
    stopped = Effort()
    stopped.stop()
    on = design(facts, stopped, start=found.divided.joined(found.layout))
    assert anew.value < found.value <= on.value
    assert violations(facts, on.layout) == ()


def test_a_start_for_another_count_is_filled_anew() -> None:
    things = [thing(1, "stand", 40, 8, 12, 5), thing(2, "hang", 30, 36, 2)]
    facts = problem(things, [run("back", 60, 15, 96)])
    found = design(facts, Effort(factor=0.1))
    fewer = replace(facts, things=(replace(things[0], count=3), things[1]))
    again = design(fewer, Effort(factor=0.1), start=found.layout)
    assert violations(fewer, again.layout) == ()
    assert again.layout.stored()[1] <= 3


def test_a_start_that_no_longer_fits_the_wall_is_not_used() -> None:
    facts = problem([thing(1, "stand", 40, 8, 12, 5)], [run("back", 60, 15, 96)])
    found = design(facts, Effort(factor=0.1))
    narrower = replace(facts, runs=(replace(facts.runs[0], width=facts.runs[0].width // 2),))
    again = design(narrower, Effort(factor=0.1), start=found.layout)
    assert violations(narrower, again.layout) == ()


def test_the_command_goes_on_from_the_plan(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name, text in FOLDER.items():
        (tmp_path / name).write_text(text)
    assert main(["fit", str(tmp_path), "--keep-going"]) == 2
    assert "plan.json" in capsys.readouterr().err
    assert main(["fit", str(tmp_path)]) == 0
    first = read_plan(tmp_path / "plan.json")
    with (tmp_path / "inventory.csv").open("a") as file:
        file.write("sweater,4\n")
    assert main(["fit", str(tmp_path), "--keep-going"]) == 0
    second = read_plan(tmp_path / "plan.json")
    assert second.after.stored == first.after.stored + 4
    assert second.inputs != first.inputs
