"""A plan.json that a hand edit made untrue: every command refuses it in words, and none says what is not so."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from support.built_samples import INVENTORY, folder_to_build

from capacity.__main__ import main

Edit = Callable[[dict[str, Any]], object]


def _bay(plan: dict[str, Any]) -> dict[str, Any]:
    bay: dict[str, Any] = plan["walls"][0]["bays"][0]
    return bay


EDITS: dict[str, tuple[Edit, str]] = {
    "a bay a little wider": (
        lambda plan: _bay(plan).update(width=31),
        'plan.json, wall left & first, after bay 1: the layout breaks the rule "upright thickness" there',
    ),
    "a shelf moved up": (
        lambda plan: _bay(plan)["openings"][2].update(bottom=40),
        'plan.json, wall left & first, bay 1, opening 3: the layout breaks the rule "panel between openings" there',
    ),
    "more than there is": (
        lambda plan: _bay(plan)["openings"][2]["holds"][0].update(count=60),
        'the layout breaks the rule "count" there',
    ),
    "a piece taken out": (
        lambda plan: _bay(plan)["openings"][2]["holds"].clear(),
        "plan.json, value, stored: it says",
    ),
    "more than it stores": (
        lambda plan: plan["value"].update(stored=99, bound=99, all=99),
        "plan.json, value, stored: it says 99",
    ),
    "a proof that there is not": (lambda plan: plan["value"].update(status="feasible"), "are not feasible"),
    "nothing left out": (
        lambda plan: plan.update(left_out=[{"row": 1, "count": 2, "reason": "no room"}]),
        "left_out: ",
    ),
    "other walls after": (lambda plan: plan["after"]["walls"][0]["bays"].pop(), "they are not the walls of the plan"),
    "more today": (lambda plan: plan["before"].update(stored=7), "plan.json, before, stored: it says 7, and it is 0"),
    "a row that is none": (
        lambda plan: plan["after"].update(multiples={"shelf": {"low": 1, "high": 1, "limited_by_row": 77}}),
        "row 77 is no row of the inventory",
    ),
    "a wall that is none": (lambda plan: plan["walls"][0].update(name="x"), 'the layout breaks the rule "walls match"'),
    "no number": (
        lambda plan: _bay(plan).update(width=float("nan")),
        "plan.json, walls, 0, bays, 0, width: is not a plan",
    ),
    "a mile": (lambda plan: _bay(plan).update(width=63360), "63360 is no length of a closet"),
    "below nothing": (lambda plan: _bay(plan).update(left=-1), "-1 is no length of a closet"),
}


@pytest.mark.parametrize("command", ["compare", "check", "build"])
@pytest.mark.parametrize("what", EDITS)
def test_what_is_not_so_is_refused_in_words(
    what: str, command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edit, said = EDITS[what]
    path = folder_to_build(tmp_path) / "plan.json"
    plan = json.loads(path.read_text())
    edit(plan)
    path.write_text(json.dumps(plan))
    assert main([command, str(tmp_path)]) == 2
    out, errors = capsys.readouterr()
    assert out == ""
    assert said in errors
    assert all(line.startswith("plan.json") and "run `capacity fit` again" in line for line in errors.splitlines())
    numbers = {int(word) for word in errors.split() if word.isdigit()} - {63360}
    assert max(numbers, default=0) < 5000  # no ticks
    assert not (tmp_path / "build").exists()


def test_the_same_plan_without_an_edit_is_taken(tmp_path: Path) -> None:
    folder_to_build(tmp_path)
    assert main(["compare", str(tmp_path)]) in (0, 1)
    assert main(["check", str(tmp_path)]) in (0, 1)


@pytest.mark.parametrize("command", ["compare", "check", "build"])
def test_a_stale_plan_is_refused_by_all_and_json_is_one_document(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`build` went ahead, and printed "proven best" for a closet that is no more."""
    folder_to_build(tmp_path)
    (tmp_path / "inventory.csv").write_text(INVENTORY.replace("sneakers,6", "sneakers,5"))
    assert main([command, str(tmp_path), "--json"]) == 1
    out, errors = capsys.readouterr()
    answer = json.loads(out)
    assert answer["schema"] == "capacity.stale/1"
    assert answer["found_for"] != answer["inputs"]
    assert "has changed since this layout was found" in errors
    assert main([command, str(tmp_path)]) == 1
    assert capsys.readouterr().out == ""
    assert not (tmp_path / "build").exists()
