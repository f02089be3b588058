"""A search that goes on from the layout of an earlier plan."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from support.cases import bank, one_wall, problem, run, thing

from capacity.__main__ import main
from capacity.layout.fit_rules import violations
from capacity.makeover.plan import read_plan
from capacity.solver.effort import Effort
from capacity.solver.search.design import design

FOLDER = {
    "closet.toml": one_wall(60),
    "inventory.csv": "what,count\nsneakers,9\nshirt,12\njeans,8\n",
}


def test_what_was_found_is_where_it_begins() -> None:
    """With no work at all left, a search that goes on still stores what the earlier one stored; one anew does not."""
    things = [thing(1, "stand", 40, 8, 12, 5), thing(2, "hang", 30, 36, 2), thing(3, "stack", 30, 10, 12, 1.5, most=6)]
    facts = problem(things, [run("back", 72, 15, 96)])
    found = design(facts, Effort(factor=0.2))
    anew = design(facts, _stopped())
    on = design(facts, _stopped(), start=found.layout)
    assert anew.value < found.value <= on.value
    assert violations(facts, on.layout) == ()


def _stopped() -> Effort:
    """No work at all, counted or timed."""
    effort = Effort(factor=1e-9)
    effort.stop()
    return effort


THINGS = [thing(1, "stand", 12, 8, 12, 5), thing(2, "hang", 8, 36, 2), thing(3, "stack", 12, 10, 12, 1.5, most=6),
          thing(4, "drawer", 30, 5, 8, 1), thing(5, "stand", 6, 9, 12, 9, value=3)]  # fmt: skip


@pytest.mark.parametrize("case", ["owners apart", "a bank of drawers", "a bay that must be"])
def test_what_the_layout_holds_is_kept_where_filling_it_anew_would_lose_some(case: str) -> None:
    """Found by random households: with owners apart a layout that was filled anew in no time stored less."""
    owned = [replace(item, owner="AB"[number % 2]) for number, item in enumerate(THINGS)]
    facts = problem(owned, [run("back", 40, 15, 96)], owners_apart=case == "owners apart")
    if case != "owners apart":
        fixed = bank(facts, 18, 16, 3 if case == "a bank of drawers" else 0, 7)
        facts = replace(facts, fixed=(fixed,))
    found = design(facts, Effort(factor=0.01))
    whole = found.filling
    again = design(facts, _stopped(), start=whole.layout)
    assert design(facts, _stopped()).value < found.value <= again.value
    assert whole.value <= again.filling.value
    assert violations(facts, again.layout) == ()


def test_of_what_the_layout_holds_only_what_is_still_owned_is_kept() -> None:
    """A pile is gone, of another there are fewer, and the layout holds more than that of both."""
    facts = problem(THINGS, [run("back", 40, 15, 96)])
    found = design(facts, Effort(factor=0.01))
    stored = found.layout.stored()
    fewer = replace(facts, things=(replace(THINGS[0], count=stored[1] - 1), *THINGS[1:4]))
    again = design(fewer, _stopped(), start=found.layout)
    assert min(stored[1], stored[5]) > 1
    assert again.value >= found.value - THINGS[4].value * stored[5] - THINGS[0].value
    assert violations(fewer, again.layout) == ()


def test_a_bank_of_drawers_of_another_height_is_no_start() -> None:
    """The rest of its bay would stand in the way of the drawers wished for now."""
    facts = problem(THINGS, [run("back", 40, 15, 96)])
    facts = replace(facts, fixed=(bank(facts, 18, 16, 3, 7),))
    found = design(facts, Effort(factor=0.01))
    higher = replace(facts, fixed=(bank(facts, 18, 16, 3, 8),))
    again = design(higher, _stopped(), start=found.layout)
    assert violations(higher, found.layout) != () == violations(higher, again.layout)


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
