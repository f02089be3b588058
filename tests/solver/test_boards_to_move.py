"""Boards moved to other holes: the fewest that help, what lies elsewhere stays possible, and the rules are kept."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest
from support.cases import built_bay, one_wall

from capacity.__main__ import main
from capacity.closet.closet import parse_closet
from capacity.layout.fit_rules import filling_violations
from capacity.layout.layout import Layout
from capacity.layout.rows_of_holes import fewest_moves, is_on_rows
from capacity.makeover.files_to_problem import size_problem, standing_layout
from capacity.solver.boards_to_move import moved_bay, shelf_moves
from capacity.solver.effort import Effort
from capacity.solver.filling.best import refill
from capacity.solver.planning import make_plan
from capacity.solver.refilling import refill_standing
from capacity.units import inches
from capacity.upkeep.board_moves_in_words import reshelved_in_words
from capacity.wardrobe.inventory import parse_inventory

CLOSET = one_wall(ceiling=84) + built_bay("""
  { kind = "shelf", bottom = "3 23/32", height = "16 25/32" },
  { kind = "shelf", bottom = "21 7/32", height = "16 25/32" },
  { kind = "shelf", bottom = "38 23/32", height = "16 25/32" },
  { kind = "shelf", bottom = "56 7/32", height = "13 1/32" },
  { kind = "shelf", bottom = "69 31/32", height = "13 5/16" },
""")
COUNT = """what,count,width,depth,height
hat,4,14,12,5
tall boots,3,9,12,18
storage bin,2,15,12,15
sneakers,3,8,12,5
"""


def test_one_board_makes_room_for_the_boots_and_no_single_board_does_better() -> None:
    closet, inventory = parse_closet(CLOSET), parse_inventory(COUNT, "in")
    sized = size_problem(closet, inventory)
    problem, layout, pitch = sized.as_given, standing_layout(closet), sized.rules.usual_pitch
    (bay,) = layout.walls[0].bays
    assert is_on_rows(sized, bay, pitch)
    refilled = refill_standing(closet, inventory, Effort())
    assert refilled.stored == 9  # no boots
    first = shelf_moves(closet, inventory, refilled, Effort())[0]
    assert len(first.moves) == 1
    assert first.stored == 12
    assert not filling_violations(problem, first.layout)
    assert is_on_rows(sized, first.layout.walls[0].bays[0], pitch)

    def value(board: int, rows: int) -> int:
        moved = moved_bay(bay, tuple(rows if number == board else 0 for number in range(4)), pitch)
        if min(opening.height for opening in moved.openings) < inches(4):
            return 0
        walls = (replace(layout.walls[0], bays=(moved,)),)
        return refill(problem, Layout(walls, layout.owners), Effort(factor=0.2)).value

    assert first.value == max(value(board, rows) for board, rows in product(range(4), (-4, -2, 2, 3, 4, 7)))


def test_each_step_moves_more_boards_or_stores_more() -> None:
    closet = parse_closet(CLOSET)
    inventory = parse_inventory(COUNT + "mid-calf boots,3,9,12,17.5\n", "in")
    refilled = refill_standing(closet, inventory, Effort())
    values = [refilled.value.stored, *(step.value for step in shelf_moves(closet, inventory, refilled, Effort()))]
    assert len(values) > 1
    assert values == sorted(set(values))


def test_where_everything_has_a_place_or_shelves_lie_on_cleats_no_board_moves() -> None:
    few = parse_inventory("what,count,width,depth,height\nhat,4,14,12,5\n", "in")
    for text, inventory in (
        (CLOSET, few),
        (f'{CLOSET}[construction]\nsupports = "cleats"\n', parse_inventory(COUNT, "in")),
    ):
        closet = parse_closet(text)
        refilled, problem = refill_standing(closet, inventory, Effort()), size_problem(closet, inventory)
        assert shelf_moves(closet, inventory, refilled, Effort()) == ()
        said = " ".join(reshelved_in_words((), refilled, problem, closet))
        assert said.startswith("No board moved to another hole stores more")
        assert ("Its shelves lie on cleats" in said) == ("cleats" in text)


def test_a_fit_that_keeps_the_bays_starts_from_what_was_built() -> None:
    closet, inventory = parse_closet(f"{CLOSET}[wishes]\nkeep_bays = true\n"), parse_inventory(COUNT, "in")
    plan = make_plan(closet, inventory, Effort(factor=0.01))
    assert [(bay.left, bay.width) for wall in plan.walls for bay in wall.bays] == [(0.75, 30.0)]
    assert plan.value.stored >= refill_standing(closet, inventory, Effort()).value.stored


@pytest.mark.parametrize(
    ("spare", "may", "rows"),
    [
        ((0, 0, 0), (9, 9), (0, 0)),
        ((-1, 0, 2), (9, 9), (1, 1)),
        ((-1, 0, 2), (9, 0), None),
        ((3, -2, 3), (9, 9), (-2, 0)),
        ((2, -4, 2), (9, 9), (-2, 2)),
        ((-1,), (), None),
        ((-2, 3, 0), (1, 9), None),
    ],
)
def test_the_fewest_boards_give_each_opening_what_it_needs(
    spare: tuple[int, ...], may: tuple[int, ...], rows: tuple[int, ...] | None
) -> None:
    assert fewest_moves(spare, may) == rows


def test_the_command_says_from_which_height_to_which(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "closet.toml").write_text(CLOSET)
    (tmp_path / "inventory.csv").write_text(COUNT)
    assert main(["respace", str(tmp_path)]) == 0
    said = capsys.readouterr().out
    assert "What stands holds 9 of 12 pieces." in said
    assert "1 board moved: 3 more pieces (12 of 12, 6 more in value)." in said
    assert " 2 holes " in said
