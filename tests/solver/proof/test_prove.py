"""The proof that a plan carries: confirmed by a file that shares nothing with the search, refused if spoiled."""

from __future__ import annotations

import ast
import copy
import json
import random
import shutil
import subprocess
import sys
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


def test_a_plan_without_a_proof_is_said_in_a_line(
    proven: tuple[Path, Plan], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = _spoiled(proven, lambda plan: plan.update(proof=None), tmp_path)
    assert main(["prove", str(folder)]) == 2
    assert capsys.readouterr().err == "plan.json, proof: carries none; run fit again\n"
    assert checker.main([str(folder)]) == 2
    assert checker.main([str(tmp_path / "nowhere")]) == 2
