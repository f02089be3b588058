"""What was built: written from the plan, read like today's closet, and no reason to look for a layout again."""

from __future__ import annotations

from pathlib import Path

import pytest
from support.folders import CLOSET, INVENTORY

from capacity.__main__ import main
from capacity.closet.closet import read_closet
from capacity.closet.unit_switch import switch_units
from capacity.layout.problem import OpeningKind
from capacity.makeover.adoption import adopt_plan
from capacity.makeover.folder import fingerprint
from capacity.makeover.plan import layout_of, read_plan
from capacity.units import Units


@pytest.fixture
def fitted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """A small folder with a plan and a remark in its closet file."""
    (tmp_path / "closet.toml").write_text("# measured in spring\n" + CLOSET)
    (tmp_path / "inventory.csv").write_text(INVENTORY)
    assert main(["fit", str(tmp_path)]) == 0
    capsys.readouterr()
    return tmp_path


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_planned_bays_are_written_to_the_tick(fitted: Path, units: Units) -> None:
    plan = read_plan(fitted / "plan.json")
    switch_units(fitted, units)
    adopt_plan(fitted, plan)
    assert "# measured in spring" in (fitted / "closet.toml").read_text()
    built = read_closet(fitted / "closet.toml").built
    planned = [(wall.name, bay) for wall in layout_of(plan.walls, plan.units).walls for bay in wall.bays]
    assert [(bay.wall, bay.left, bay.width, bay.depth) for bay in built] == [
        (name, bay.left, bay.width, bay.depth) for name, bay in planned
    ]
    for bay, (_, other) in zip(built, planned, strict=True):
        assert [(OpeningKind(item.kind), item.bottom, item.height) for item in bay.openings] == [
            (item.kind, item.bottom, item.height) for item in other.openings
        ]


def test_what_was_built_makes_no_plan_stale(fitted: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = fingerprint(fitted)
    assert main(["adopt", str(fitted)]) == 0
    assert fingerprint(fitted) == before
    assert main(["compare", str(fitted)]) == 0
    assert "everything fits" in capsys.readouterr().out.lower()


@pytest.mark.parametrize(
    ("old", "new", "is_stale"),
    [
        ("# measured in spring", "# measured in autumn", False),
        ("# measured in spring", 'name = "Upstairs"', False),
        ("[[before]]", "[prices]\ntax = 3\n[[before]]", False),
        ("ceiling = 96", "ceiling = 97", True),
    ],
)
def test_only_what_the_search_reads_makes_a_plan_stale(fitted: Path, old: str, new: str, is_stale: bool) -> None:
    before = fingerprint(fitted)
    path = fitted / "closet.toml"
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new))
    assert (fingerprint(fitted) != before) == is_stale


def test_a_correction_is_never_written_over(fitted: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["adopt", str(fitted)]) == 0
    text = (fitted / "closet.toml").read_text()
    assert main(["adopt", str(fitted)]) == 2
    assert "[[built]]: is written already" in capsys.readouterr().err
    assert (fitted / "closet.toml").read_text() == text


def test_a_bay_that_was_built_outside_its_wall_is_one_line(fitted: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with (fitted / "closet.toml").open("a") as file:
        file.write('\n[[built]]\nwall = "back"\nleft = 0\nwidth = 400\ndepth = 12\nopenings = []\n')
    assert main(["count", str(fitted)]) == 2
    assert "[[built]] 1, width: the bay ends at" in capsys.readouterr().err
