"""Whole sheets are counted as the packet buys them, and what one of them hangs on is so when it is built so."""

from __future__ import annotations

from pathlib import Path

import pytest
from support.awkward import quick_plan
from support.built_samples import folder_to_build

import capacity
from capacity.__main__ import main
from capacity.closet.closet import Closet, parse_closet
from capacity.layout.layout import Bay, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind, Problem
from capacity.makeover.comparison import goals_in_words
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.folder import read_folder
from capacity.makeover.plan import layouts_of
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan
from capacity.units import PER_INCH
from capacity.wardrobe.inventory import parse_inventory
from capacity.workshop.build_record import read_build
from capacity.workshop.job import prepare
from capacity.workshop.parts.carpentry import make_parts
from capacity.workshop.parts.parts import StockKind
from capacity.workshop.whole_sheets import hangs_on, sheets_to_buy

SAMPLE_FOLDER = Path(capacity.__file__).parent.parent / "inventory_samples"


def _walls(depth: float, more: str = "") -> tuple[Closet, Problem, Layout]:
    """Two bays of six shelves, 60 in in all, on a wall so deep."""
    closet = parse_closet(
        f'ceiling = 96\ntop = 84\n[[wall]]\nname = "back"\nwidth = 63\ndepth = {depth}\n'
        f"[panel]\nthickness = 0.75\nsheet = [48, 96]\n[wishes]\nplay = 0\nround = 0\n{more}"
    )
    problem = size_problem(closet, parse_inventory("what,count\njeans,3\n", closet.units))
    thick, base = problem.rules.panel, problem.rules.base
    bays = []
    for left in (thick, thick + 30 * PER_INCH + thick):
        openings, bottom = [], base
        for number in range(6):
            height = 12 * PER_INCH if number < 5 else closet.top - thick - bottom
            openings.append(Opening(OpeningKind.SHELF, bottom, height))
            bottom += height + thick
        openings.append(Opening(OpeningKind.SHELF, closet.top, closet.ceiling - closet.top))
        bays.append(Bay(left, 30 * PER_INCH, closet.wall[0].depth, tuple(openings)))
    return closet, problem, Layout((WallLayout("back", tuple(bays)),), ())


def _number(depth: float) -> int:
    closet, problem, layout = _walls(depth)
    bought = sheets_to_buy(closet, problem, layout)
    assert bought is not None
    return bought.number


def _said(depth: float, more: str = "") -> tuple[str, ...]:
    closet, problem, layout = _walls(depth, more)
    return hangs_on(closet, problem, layout, make_parts(closet, problem, layout).parts)


@pytest.mark.parametrize("sample", ["six-foot-reach-in", "couple-walk-in"])
def test_the_goal_of_a_plan_has_as_many_sheets_as_its_packet_buys(sample: str) -> None:
    closet, inventory = read_folder(SAMPLE_FOLDER / sample)
    plan = quick_plan(closet, inventory)
    problem = size_problem(closet, inventory)
    bought = sheets_to_buy(closet, problem, layouts_of(plan, problem)[1])
    assert bought is not None
    job = prepare(closet, inventory, plan, Effort())
    assert bought.number == len(job.sheets[StockKind.PANEL].plan.layouts)
    assert 0 < bought.least <= bought.number


def test_sheets_are_the_last_goal_or_go_before_room_where_that_is_the_wish() -> None:
    inventory = parse_inventory("what,count\njeans,30\nshirt,10\n", "in")
    names = []
    for wish in ("", 'prefer = "plywood"\n'):
        closet, _, _ = _walls(15, wish)
        plan = make_plan(closet, inventory, Effort(factor=0.01), sheets=sheets_to_buy)
        names.append([goal.name for goal in plan.goals[-3:]])
        goal = next(goal for goal in plan.goals if goal.name == "sheets")
        assert f"Whole sheets to buy: {goal.value:g} ({goal.note}); these parts cannot be cut from fewer." in (
            list(goals_in_words(plan))
        )
    assert names == [["capacity multiple", "sheets", "panel area"], ["sheets", "panel area", "capacity multiple"]]


def test_what_is_owned_is_not_bought() -> None:
    owned = '[[sheet]]\nuse = "panel"\nsize = [48, 96]\nhave = 1\nprice = 60\n'
    closet, problem, layout = _walls(15, owned)
    bought = sheets_to_buy(closet, problem, layout)
    assert bought is not None
    assert bought.number == _number(15) - 1


def test_a_part_that_fits_on_no_sheet_leaves_the_goal_out() -> None:
    closet, problem, layout = _walls(15)
    small = closet.model_copy(
        update={"panel": closet.panel.model_copy(update={"sheet": (20 * PER_INCH, 40 * PER_INCH)})}
    )
    assert sheets_to_buy(small, problem, layout) is None


def test_a_sheet_that_hangs_on_a_little_depth_is_said_and_is_so() -> None:
    """Of 48 in, trimmed, come three strips a kerf apart where a shelf is a little less than 16 in deep."""
    less = next(line for line in _said(16) if "would do" in line)
    assert less.startswith('One sheet of board hangs on 3/16": were the wall "back" 15 13/16" deep instead of 16", ')
    assert less.endswith(f"{_number(16) - 1} sheets would do instead of {_number(16)}.")
    assert _number(15.8125) == _number(16) - 1
    assert _number(15.875) == _number(16)
    assert not [line for line in _said(16.875) if "would do" in line]  # more than an inch too deep
    more = next(line for line in _said(15.5) if "needed" in line)
    assert more.startswith('One sheet of board hangs on 3/8": were the wall "back" 15 7/8" deep')


def test_a_roll_of_band_that_hangs_on_its_ends_is_said() -> None:
    banded = "[construction]\nband = 0.04\n"
    closet, problem, layout = _walls(15, banded)
    edges = [length for part in make_parts(closet, problem, layout).parts for length in part.band_lengths]
    roll = (sum(edges) + len(edges) * 4 * PER_INCH - len(edges) * PER_INCH // 2) / PER_INCH  # half an inch an edge less
    said = _said(15, f'{banded}[[stick]]\nuse = "edge band"\nlength = {roll:.4f}\n')
    assert [line for line in said if "edge band" in line] == [
        'One roll of edge band hangs on 1/4": with 1 3/4" more at each end of an edge instead of 2", '
        "1 roll would do instead of 2."
    ]


def test_packet_record_and_terminal_say_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = folder_to_build(tmp_path)
    assert main(["build", str(folder)]) == 0
    printed = capsys.readouterr().out
    record = read_build(folder)
    assert record is not None
    assert record.shopping.hangs
    for line in record.shopping.hangs:
        assert line in printed
