"""What stands now filled again: the plan's value comes back, a deviation drops just what it must, nothing is moved."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from support.cases import one_wall

from capacity.__main__ import main
from capacity.closet.closet import read_closet
from capacity.makeover.plan import layout_of, read_plan
from capacity.makeover.refilled import read_refilled
from capacity.solver.goals.few_places import places_of
from capacity.units import length_to_write
from capacity.wardrobe.inventory import read_inventory

CLOSET = (
    one_wall(60)
    + """[[before]]
wall = "back"
left = 0
width = 58
depth = 12
openings = [{ kind = "shelf", bottom = 0, height = 12 }, { kind = "hang", bottom = 12, height = 60 }]
"""
)
INVENTORY = """what,count,size,owner,use
sneakers,4,US M 9,Ann,daily
tall boots,2,,Ann,seasonal
jeans,6,32x32,Ann,
shirt,10,M,Ben,
storage bin,2,,,seasonal
"""


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a plan that was built."""
    folder = tmp_path_factory.mktemp("built")
    (folder / "closet.toml").write_text(CLOSET)
    (folder / "inventory.csv").write_text(INVENTORY)
    assert main(["fit", str(folder), "--effort", "quick", "--json"]) == 0
    assert main(["adopt", str(folder)]) == 0
    return folder


@pytest.fixture
def adopted(built: Path, tmp_path: Path) -> Path:
    return shutil.copytree(built, tmp_path / "closet")


def test_a_plan_that_was_built_to_the_tick_holds_what_was_planned(
    adopted: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["refill", str(adopted), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    plan = read_plan(adopted / "plan.json")
    assert answer["schema"] == "capacity.refill/1"
    assert answer["value"]["stored"] == plan.value.stored
    assert answer["value"]["status"] == "optimal"
    assert (answer["stored"], answer["pieces"]) == (plan.after.stored, plan.after.pieces)
    found = read_refilled(adopted, read_closet(adopted / "closet.toml"))
    assert found is not None
    planned, now = layout_of(plan.walls, "in"), layout_of(found.walls, "in")
    assert places_of(now) == next(goal.value for goal in plan.goals if goal.name == "places")
    assert now.emptied() == planned.emptied()  # no board is moved
    assert main(["refill", str(adopted)]) == 0
    said = capsys.readouterr().out
    assert "All that was planned has its place." in said
    assert "back, from left to right" in said


def test_an_opening_a_tick_too_low_drops_just_what_needs_it(adopted: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The boots stand in the highest shelf opening that has them, and nowhere else once it is lower than they are."""
    path = adopted / "closet.toml"
    closet, inventory = read_closet(path), read_inventory(adopted / "inventory.csv", "in")
    boots = next(pile for pile in inventory.piles if pile.kind == "tall boots")
    need = boots.shape.height + closet.wishes.gap
    text = path.read_text()
    for bay in closet.built:
        for opening in bay.openings:
            if opening.kind == "shelf" and opening.height >= need:
                old, new = length_to_write(opening.height, "in"), length_to_write(need - 1, "in")
                text = text.replace(f"height = {json.dumps(old)}", f"height = {json.dumps(new)}")
    path.write_text(text)
    assert main(["refill", str(adopted)]) == 1
    said = capsys.readouterr().out
    assert "no place: 2 x Ann's tall boots" in said
    assert "larger than any opening" in said
    assert f"{boots.name}: 0 of 2 have a place, planned were 2" in said
    assert main(["compare", str(adopted)]) == 0  # the plan stands; three columns beside each other
    table = capsys.readouterr().out
    assert "planned" in table
    assert "built" in table
    assert f"too low for {boots.name}." in table
    assert f"this has lost its place: 2 x {boots.name}." in table
    built = read_refilled(adopted, read_closet(path))
    assert built is not None
    assert built.pieces_of[boots.row] == 0


def test_as_many_times_the_count_as_the_multiple_promises_still_fit(adopted: Path) -> None:
    plan = read_plan(adopted / "plan.json")
    assert plan.after.capacity_multiple > 1
    rows = [line.split(",") for line in INVENTORY.splitlines()]
    for row in rows[1:]:
        row[1] = str(round(1000 * plan.after.capacity_multiple) * int(row[1]) // 1000)
    (adopted / "inventory.csv").write_text("".join(",".join(row) + "\n" for row in rows))
    assert main(["refill", str(adopted)]) == 0
    found = read_refilled(adopted, read_closet(adopted / "closet.toml"))
    assert found is not None
    assert found.stored == found.pieces > plan.after.pieces


def test_without_anything_built_todays_closet_is_filled(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "closet.toml").write_text(CLOSET)
    (tmp_path / "inventory.csv").write_text(INVENTORY)
    assert main(["refill", str(tmp_path)]) == 1
    said = capsys.readouterr().out
    assert "What stands today holds" in said
    found = read_refilled(tmp_path, read_closet(tmp_path / "closet.toml"))
    assert found is not None
    assert found.stands == "before"


def test_what_was_refilled_before_a_change_is_not_shown_beside_it(adopted: Path) -> None:
    assert main(["refill", str(adopted)]) == 0
    closet = read_closet(adopted / "closet.toml")
    assert read_refilled(adopted, closet) is not None
    with (adopted / "inventory.csv").open("a") as file:
        file.write("hat,1,,,\n")
    assert read_refilled(adopted, closet) is None


@pytest.mark.parametrize("old", ['"height": ', '"count": ', '"left": '])
def test_a_spoiled_record_of_the_last_refill_is_passed_over(adopted: Path, old: str) -> None:
    assert main(["refill", str(adopted)]) == 0
    path = adopted / ".capacity" / "refill.json"
    good = path.read_text()
    path.write_text(good.replace(old, f"{old}99999999"))
    assert main(["refill", str(adopted)]) == 0
    assert json.loads(path.read_text())["value"] == json.loads(good)["value"]
