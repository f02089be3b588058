"""The proof that a plan carries: confirmed by a file that shares nothing with the search, refused if spoiled."""

from __future__ import annotations

import ast
import copy
import json
import random
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from adversary import KNOWN, fitted
from second_opinion.random_homes import random_home

from capacity.__main__ import main
from capacity.solver.proof import prove as checker
from capacity.solver.proof.prove import prove

CONFIRMED = (1, 3, 4, 5, 10, 9, 14, 27, 32, 39, 56, 59)
SPOILED = 32
"""A closet with a corner that leaves something out."""

Plan = dict[str, Any]


@pytest.mark.parametrize("seed", CONFIRMED)
def test_the_proof_of_a_closet_of_any_rules_is_confirmed(seed: int, tmp_path: Path) -> None:
    plan = fitted(random_home(seed, KNOWN), tmp_path, seed)
    faults, bound, _ = prove(tmp_path)
    assert faults == []
    assert plan["value"]["stored"] <= bound <= plan["value"]["bound"]


# ---- boxes of branching ------------------------------------------------------------------------------

BRANCHED = (26, 31, 127)
"""Closets proven by branch and bound whose prices alone prove less: the third none at all of its one point."""


@pytest.fixture(scope="module", params=BRANCHED)
def branched(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Plan]:
    """A folder whose proof needs boxes."""
    folder = tmp_path_factory.mktemp("branched")
    plan = fitted(random_home(request.param, KNOWN), folder, request.param)
    assert plan["value"]["status"] == "optimal"
    assert any("parts" in choice for choice in plan["proof"]["choices"])
    return folder, plan


def _leaves(box: Plan) -> list[Plan]:
    return [leaf for part in box["parts"] for leaf in _leaves(part)] if "parts" in box else [box]


def _inner(box: Plan) -> list[Plan]:
    return [box, *(inner for part in box["parts"] for inner in _inner(part))] if "parts" in box else []


def test_boxes_confirm_what_no_prices_alone_do(branched: tuple[Path, Plan], tmp_path: Path) -> None:
    folder, plan = branched
    assert prove(folder)[:2] == ([], plan["value"]["bound"])
    assert len(json.dumps(plan["proof"]["choices"])) < 4000
    for leaf in _leaves(plan["proof"]["choices"][0]):
        choice = {"owners": [], "prices": leaf["prices"], "panel": 0}
        alone = _spoiled(branched, lambda spoiled, c=choice: spoiled["proof"].update(choices=[c]), tmp_path)  # type: ignore[misc]
        assert prove(alone)[1] > plan["value"]["bound"]


@pytest.mark.parametrize("seed", range(6))
def test_no_boxes_at_all_prove_less_than_is_stored(seed: int, branched: tuple[Path, Plan], tmp_path: Path) -> None:
    chance = random.Random(seed)

    def drawn(plan: Plan) -> None:
        (choice,) = plan["proof"]["choices"]
        for box in _inner(choice):
            if chance.random() < 0.5:
                box["number"] = chance.randrange(-1, 4)
            if chance.random() < 0.5:
                kind = chance.choice(["shelf", "hang", "drawer", "bay"])
                box["counted"] = [kind, 0 if kind == "bay" else chance.randrange(150_000), chance.randrange(250), ""]
            if chance.random() < 0.2:
                box["counted"] = ["pieces", [chance.randrange(1, 5)], 0, ""]
            if chance.random() < 0.3:
                box["parts"].reverse()
        for leaf in _leaves(choice):
            leaf["prices"] = [[row, round(price * chance.uniform(0.5, 1.5))] for row, price in leaf["prices"]]
            leaf["charges"] = [round(each * chance.uniform(-0.2, 2)) for each in leaf.get("charges", [])]

    faults, bound, plan = prove(_spoiled(branched, drawn, tmp_path))
    assert not faults
    assert bound >= plan.value.stored


def test_boxes_that_are_not_two_are_no_proof(branched: tuple[Path, Plan], tmp_path: Path) -> None:
    folder = _spoiled(branched, lambda plan: plan["proof"]["choices"][0]["parts"].pop(), tmp_path)
    assert checker.main([str(folder)]) == 2


# ---- what is spoiled ---------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def proven(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Plan]:
    """A folder whose plan leaves something out and whose proof is confirmed."""
    folder = tmp_path_factory.mktemp("proven")
    plan = fitted(random_home(SPOILED, KNOWN), folder, SPOILED)
    assert plan["left_out"]
    assert len(plan["proof"]["choices"]) > 1
    assert plan["value"]["bound"] < plan["value"]["all"]
    assert main(["prove", str(folder)]) == 0
    return folder, plan


def _holdings(plan: Plan) -> list[Plan]:
    return [i for wall in plan["walls"] for bay in wall["bays"] for o in bay["openings"] for i in o["holds"]]


def _bay(plan: Plan) -> Plan:
    bay: Plan = next(bay for wall in plan["walls"] for bay in wall["bays"] if any(o["holds"] for o in bay["openings"]))
    return bay


def _without_prices(plan: Plan) -> None:
    for choice in plan["proof"]["choices"]:
        choice["prices"] = []


def _with_prices_below_zero(plan: Plan) -> None:
    for choice in plan["proof"]["choices"]:
        choice["prices"] = [[row, -price] for row, price in choice["prices"]]


def _without_a_corner(plan: Plan) -> None:
    dearest = max(plan["proof"]["choices"], key=lambda choice: sum(price for _, price in choice["prices"]))
    plan["proof"]["choices"].remove(dearest)


def _promising_less(plan: Plan) -> None:
    plan["value"]["bound"] -= 1


def _storing_one_more(plan: Plan) -> None:
    plan["value"]["stored"] += 1


def _with_a_piece_more(plan: Plan) -> None:
    _holdings(plan)[0]["count"] += 1


def _with_a_wider_bay(plan: Plan) -> None:
    _bay(plan)["width"] *= 3


def _with_a_lower_opening(plan: Plan) -> None:
    next(opening for opening in _bay(plan)["openings"] if opening["holds"])["height"] /= 8


def _of_another_depth(plan: Plan) -> None:
    _bay(plan)["depth"] *= 2


def _of_a_pile_that_is_not_owned(plan: Plan) -> None:
    plan["proof"]["facts"]["things"][0]["count"] += 1


def _of_another_value(plan: Plan) -> None:
    plan["proof"]["facts"]["things"][0]["value"] += 1


def _with_an_opening_of_another_kind(plan: Plan) -> None:
    opening = next(opening for opening in _bay(plan)["openings"] if opening["holds"])
    opening["kind"] = "drawer" if opening["kind"] != "drawer" else "hang"


WEAKER = (_without_prices, _with_prices_below_zero, _without_a_corner, _promising_less)
WRONG = (
    _storing_one_more, _with_a_piece_more, _with_a_wider_bay, _with_a_lower_opening, _of_another_depth,
    _of_a_pile_that_is_not_owned, _of_another_value, _with_an_opening_of_another_kind,
)  # fmt: skip


def _spoiled(proven: tuple[Path, Plan], spoil: Callable[[Plan], None], place: Path) -> Path:
    folder, plan = proven
    shutil.copytree(folder, place, dirs_exist_ok=True)
    spoiled = copy.deepcopy(plan)
    spoil(spoiled)
    (place / "plan.json").write_text(json.dumps(spoiled), encoding="utf-8")
    return place


@pytest.mark.parametrize("spoil", WEAKER)
def test_a_proof_that_lacks_something_proves_less(
    spoil: Callable[[Plan], None], proven: tuple[Path, Plan], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["prove", str(_spoiled(proven, spoil, tmp_path))]) == 1
    assert "valid but weaker" in capsys.readouterr().out


@pytest.mark.parametrize("spoil", WRONG)
def test_a_plan_that_says_what_is_not_so_is_refused(
    spoil: Callable[[Plan], None], proven: tuple[Path, Plan], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["prove", str(_spoiled(proven, spoil, tmp_path))]) == 1
    assert "wrong: " in capsys.readouterr().out


def test_every_rule_that_a_layout_breaks_is_named(proven: tuple[Path, Plan], tmp_path: Path) -> None:
    """Facts under which the same layout breaks five rules more: each is said, whatever else is wrong."""

    def spoil(plan: Plan) -> None:
        facts, number = plan["proof"]["facts"], next(n for n, wall in enumerate(plan["walls"]) if wall["bays"])
        wall, bay = facts["walls"][number], plan["walls"][number]["bays"][0]
        edge = round(bay["left"] * (checker.INCH if plan["units"] == "in" else 320))
        wall["blocked"] = [[edge - 1, edge + 1, 0, facts["top"]]]
        wall["fixed"] = [{"left": 1, "width": 2, "depth": 3, "prescribed": [], "kinds": ["shelf"]}]
        facts["rules"]["owners_apart"], facts["most_panel"] = True, 1
        for index, thing in enumerate(facts["things"]):
            thing["owner"] = "AB"[index % 2]
        plan["proof"]["choices"] = []

    faults, _, _ = prove(_spoiled(proven, spoil, tmp_path))
    for said in (
        "a bay that must be is not there", "more panel than the budget buys", "an upright in a blocked part",
        "may not be there", "things of two owners",
    ):  # fmt: skip
        assert any(said in fault for fault in faults), said


def test_panel_has_no_price_where_no_budget_limits_it(proven: tuple[Path, Plan], tmp_path: Path) -> None:
    assert proven[1]["proof"]["facts"]["most_panel"] == 0

    def priced(plan: Plan) -> None:
        for choice in plan["proof"]["choices"]:
            choice["panel"] = 10**9

    before = prove(proven[0])[1]
    assert prove(_spoiled(proven, priced, tmp_path))[1] == before


@pytest.mark.parametrize("seed", range(4))
def test_any_prices_at_all_prove_something_true(seed: int, proven: tuple[Path, Plan], tmp_path: Path) -> None:
    chance = random.Random(seed)

    def drawn(plan: Plan) -> None:
        for choice in plan["proof"]["choices"]:
            choice["prices"] = [[row, chance.randrange(3_000_000)] for row, _ in choice["prices"]]

    faults, bound, plan = prove(_spoiled(proven, drawn, tmp_path))
    assert not faults
    assert bound >= plan.value.stored


# ---- the file to carry away, and the command ---------------------------------------------------------


def test_it_can_be_carried_away(proven: tuple[Path, Plan], tmp_path: Path) -> None:
    source = Path(checker.__file__).read_text(encoding="utf-8")
    assert len(source.splitlines()) <= 350
    for node in ast.walk(ast.parse(source)):
        names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        assert {name.split(".")[0] for name in names} <= sys.stdlib_module_names
        assert not isinstance(node, ast.Constant) or not isinstance(node.value, float)
        assert not isinstance(node, ast.Div)
    carried = tmp_path / "prove.py"
    carried.write_text(source, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-I", str(carried), str(proven[0])], capture_output=True, text=True, timeout=60, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "no layout stores more than" in done.stdout


def test_the_command_says_it_in_json(proven: tuple[Path, Plan], capsys: pytest.CaptureFixture[str]) -> None:
    folder, plan = proven
    assert main(["prove", str(folder), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert (answer["faults"], answer["bound"]) == ([], plan["value"]["bound"])


@pytest.mark.parametrize(
    "spoil",
    [
        lambda facts: facts["walls"][0].update(width=10**12),
        lambda facts: facts["walls"][0].update(kept=[-(10**12), 0]),
        lambda facts: facts["rules"].update(max_shelf=10**12),
        lambda facts: facts["rules"].update(min_bay=-(10**12)),
        lambda facts: facts["things"][0].update(most=10**12),
        lambda facts: facts.update(top=10**12),
        lambda facts: facts.update(corners=[[0, 1]] * 60),
    ],
)
def test_what_no_closet_has_is_refused_at_once(
    spoil: Callable[[Plan], None], proven: tuple[Path, Plan], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = _spoiled(proven, lambda plan: spoil(plan["proof"]["facts"]), tmp_path)
    begin = time.process_time()
    assert main(["prove", str(folder)]) == 2
    assert time.process_time() - begin < 2.0
    (line,) = capsys.readouterr().err.splitlines()
    assert "mm (at most 100000)" in line
    assert main(["prove", str(folder), "--json"]) == 2
    assert "mm (at most 100000)" in capsys.readouterr().err


def test_a_step_of_a_tick_is_taken_coarser(proven: tuple[Path, Plan], tmp_path: Path) -> None:
    folder = _spoiled(proven, lambda plan: plan["proof"].update(step=0), tmp_path)
    faults, bound, plan = prove(folder)
    assert not faults
    assert plan.value.stored <= bound


def test_a_plan_without_a_proof_is_said_in_a_line(
    proven: tuple[Path, Plan], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = _spoiled(proven, lambda plan: plan.update(proof=None), tmp_path)
    assert main(["prove", str(folder)]) == 2
    assert capsys.readouterr().err == "plan.json, proof: carries none; run fit again\n"
    assert checker.main([str(folder)]) == 2
    assert checker.main([str(tmp_path / "nowhere")]) == 2
