"""Children grow: the openings named are those that the fit rules refuse then, and the boards named cure them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from support.cases import built_bay, one_wall

from capacity.__main__ import main
from capacity.closet.closet import Closet, parse_closet
from capacity.layout.fit_rules import filling_violations
from capacity.layout.layout import Bay, Layout
from capacity.makeover.files_to_problem import grown_inventory, size_problem
from capacity.makeover.plan import layout_of
from capacity.solver.boards_to_move import moved_bay, pitch_of
from capacity.solver.effort import Effort
from capacity.solver.refilling import refill_standing
from capacity.upkeep.growing import TooSmall, growing_in_words, too_small_then
from capacity.wardrobe.inventory import Inventory, parse_inventory

CLOSET = (
    one_wall(ceiling=84)
    + """[[person]]
name = "Juno"
age = 6
chart = "girls"
"""
    + built_bay(
        """
  { kind = "hang", bottom = "3 23/32", height = "31 25/32" },
  { kind = "shelf", bottom = "36 7/32", height = "16 25/32" },
  { kind = "hang", bottom = "53 23/32", height = "29 9/16" },
""",
        24,
    )
    + """[construction]
fixed_every = 90
"""
)
COUNT = """what,count,size,owner,drop,rod
kids dress,4,116 cm,Juno,27.7,1
kids top,6,116 cm,Juno,25.5,1
hat,1,,,,
"""
Read = tuple[Closet, Inventory, Layout]


@pytest.fixture
def family() -> Read:
    closet, inventory = parse_closet(CLOSET), parse_inventory(COUNT, "in")
    refilled = refill_standing(closet, inventory, Effort())
    assert refilled.stored == 11
    return closet, inventory, layout_of(refilled.walls, refilled.units)


def _refused(read: Read, layout: Layout, years: int) -> set[str]:
    closet, inventory, _ = read
    then = size_problem(closet, grown_inventory(closet, inventory, years)).as_given
    return {item.place.split(", row")[0] for item in filling_violations(then, layout) if "opening" in item.place}


@pytest.mark.parametrize("years", [1, 3, 6])
def test_the_openings_named_are_those_that_the_rules_refuse_then(family: Read, years: int) -> None:
    closet, inventory, layout = family
    found = too_small_then(closet, inventory, layout, years)
    assert found
    named = {f"wall back, bay 1, opening {'ABC'.index(one.item.letter) + 1}" for one in found}
    assert named == _refused(family, layout, years)


def test_the_boards_named_cure_it_where_the_holes_allow(family: Read) -> None:
    closet, inventory, layout = family
    first: TooSmall = too_small_then(closet, inventory, layout, 1)[0]
    assert first.moves
    rows = {move.over.letter: move.rows for move in first.moves}
    bay: Bay = moved_bay(
        layout.walls[0].bays[0],
        tuple(rows.get(letter, 0) for letter in "AB"),
        pitch_of(closet, size_problem(closet, inventory)),
    )
    moved = replace(layout, walls=(replace(layout.walls[0], bays=(bay,)),))
    assert _refused(family, moved, 1) == set()
    words = list(growing_in_words(closet, inventory, layout, 1))
    assert any("the holes allow it: move the board over A with its rod" in line for line in words)
    assert any("CDC 2000" in line for line in words)


def test_a_board_at_a_drawer_is_not_moved(family: Read) -> None:
    _, inventory, _ = family
    closet = parse_closet(CLOSET.replace('"shelf", bottom', '"drawer", bottom'))
    refilled = refill_standing(closet, inventory, Effort())
    found = too_small_then(closet, inventory, layout_of(refilled.walls, refilled.units), 3)
    assert [one.moves for one in found if one.low] == [None]
    words = list(growing_in_words(closet, inventory, layout_of(refilled.walls, refilled.units), 3))
    assert any("the holes do not allow it" in line for line in words)


def test_what_a_child_has_outgrown_in_no_way_is_said_of_a_measured_one_too(family: Read) -> None:
    _, inventory, layout = family
    closet = parse_closet(CLOSET.replace("age = 6", "age = 17\nheight = 64"))
    words = list(growing_in_words(closet, inventory, layout, 1))
    assert "taller in 1 year (measured 163 cm now, then 163 cm)" in words[0]
    assert "reaches 6' 6 13/16\" now, then 6' 6 15/16\" (ANSUR II" in words[1]  # on marks of a rule
    assert "Everything that has a place now will fit there in 1 year." in words


def test_a_layout_for_both_counts_takes_the_larger_of_both_sizes() -> None:
    inventory = parse_inventory(COUNT, "in")
    now, both = (size_problem(parse_closet(CLOSET + more), inventory) for more in ("", "[wishes]\nyears = 3\n"))
    drops = [(one.drop, other.drop) for one, other in zip(now.things, both.things, strict=True)]
    assert all(later > 1.1 * early for early, later in drops[:2])
    assert now.things[2] == both.things[2]  # a hat of nobody's does not grow
    assert [thing.name for thing in now.things] == [thing.name for thing in both.things]


def test_check_says_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "closet.toml").write_text(CLOSET)
    (tmp_path / "inventory.csv").write_text(COUNT)
    main(["refill", str(tmp_path)])
    capsys.readouterr()
    main(["check", str(tmp_path), "--years", "3"])
    said = capsys.readouterr().out
    assert "Juno, 6: 16 % taller in 3 years (by the median 115 cm now, then 133 cm)." in said
    assert "reaches 3' 4\" now, then 3' 8\" (2010 ADA Standards" in said  # 5 to 8, and 9 to 12 years
    assert "kids top 116 cm to 134 cm" in said
    assert "too low for Juno's kids dress" in said
