"""What to let go: named owner by owner, and everything else then has its place by rules recomputed."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import pytest
from support.cases import one_wall

from capacity.closet.closet import Closet, parse_closet
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.left_out import (
    kinds_left_out,
    least_in_any_layout,
    letting_go_in_words,
    rest_has_its_place,
    to_let_go,
)
from capacity.makeover.plan import LeftOut, Plan, layout_of
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan
from capacity.wardrobe.inventory import Inventory, parse_inventory, with_cells

COUNT = """what,count,size,owner,use,width,depth,height
storage bin,9,,Ann,seasonal,17,12,12
storage bin,5,,Bo,daily,17,12,12
storage bin,1,,,daily,300,12,12
"""


@pytest.fixture(scope="module")
def found() -> tuple[Closet, Inventory, Plan]:
    closet = parse_closet(one_wall())
    inventory = parse_inventory(COUNT, "in")
    return closet, inventory, make_plan(closet, inventory, Effort(factor=0.05))


def test_each_owner_gives_up_what_is_theirs(found: tuple[Closet, Inventory, Plan]) -> None:
    _, inventory, plan = found
    lines = to_let_go(plan, inventory)
    assert {one.owner: sum(count for _, count in one.pieces) for one in lines} == {
        inventory.pile(item.row).owner: item.count for item in plan.left_out
    }
    assert sum(one.value for one in lines) == plan.value.all - plan.value.stored
    assert [one.value for one in lines] == sorted((one.value for one in lines), reverse=True)
    words = list(letting_go_in_words(plan, inventory))
    assert "Shared (value 3): 1 of 1 storage bin, daily." in words


def test_without_them_everything_has_its_place_also_when_it_is_found_anew(
    found: tuple[Closet, Inventory, Plan],
) -> None:
    closet, inventory, plan = found
    assert plan.left_out
    problem = size_problem(closet, inventory)
    layout = layout_of(plan.after.walls, plan.units, ())
    assert rest_has_its_place(problem, layout, plan)
    gone = {(item.row, "count"): str(inventory.pile(item.row).count - item.count) for item in plan.left_out}
    again = make_plan(closet, with_cells(inventory, gone, "in"), Effort(factor=0.05))
    assert not again.left_out


def test_one_piece_fewer_let_go_is_not_enough(found: tuple[Closet, Inventory, Plan]) -> None:
    closet, inventory, plan = found
    problem, layout = size_problem(closet, inventory), layout_of(plan.after.walls, plan.units, ())
    first = plan.left_out[0]
    for left_out in (
        (replace_count(first, first.count - 1), *plan.left_out[1:]),
        (replace_count(first, first.count + 1), *plan.left_out[1:]),
        plan.left_out[1:],
    ):
        assert not rest_has_its_place(problem, layout, plan.model_copy(update={"left_out": left_out}))
    overfull = replace(problem, rules=replace(problem.rules, gap=problem.rules.gap + problem.top))
    assert not rest_has_its_place(overfull, layout, plan)


def replace_count(item: LeftOut, count: int) -> LeftOut:
    return item.model_copy(update={"count": count})


def test_how_much_must_go_in_any_layout_is_said_as_far_as_it_is_proven(found: tuple[Closet, Inventory, Plan]) -> None:
    plan = found[2]
    for stored, bound, words in (
        (8, 8, "No layout of this closet can do with less: value 2 has to go in any."),
        (7, 8, "Value 3 goes here; in any layout of this closet at least 2 has to."),
        (7, 10, "Value 3 goes here; whether a layout can do with less is not proven."),
    ):
        value = plan.value.model_copy(update={"stored": stored, "bound": bound, "all": 10})
        assert least_in_any_layout(plan.model_copy(update={"value": value})) == words


def test_drawers_that_stand_empty_while_folded_things_are_left_out_are_named() -> None:
    """One bay, and all of it is a bank wished for: five drawers for nothing, and the jeans fill the shelves over it."""
    wish = '[[wishes.bay]]\nwall = "back"\nleft = 1\nwidth = 18\nkind = "drawer"\n'
    closet = parse_closet(one_wall(20) + wish)
    count = "what,count,store\njeans,{}\n"
    empty = parse_inventory(count.format("90,stack"), "in")
    plan = make_plan(closet, empty, Effort(factor=0.05))
    (line,) = kinds_left_out(plan, empty)
    assert line == '5 of 5 drawers are empty: write "stack or drawer" as the store of jeans, which have no place.'
    taken = parse_inventory(count.format("90,stack or drawer"), "in")
    better = make_plan(closet, taken, Effort(factor=0.05))
    assert list(kinds_left_out(better, taken)) == []
    assert better.value.stored > plan.value.stored
    by_itself = parse_inventory(count.format("90,"), "in")
    assert make_plan(closet, by_itself, Effort(factor=0.05)).value == better.value


@pytest.mark.parametrize(("reason", "is_offered"), [("no room", True), ("larger than any opening", False)])
def test_the_wish_is_offered_only_for_what_some_opening_would_take(
    found: tuple[Closet, Inventory, Plan], reason: Literal["no room", "larger than any opening"], is_offered: bool
) -> None:
    _, inventory, plan = found
    out = tuple(LeftOut(row=pile.row, count=pile.count, reason=reason) for pile in inventory.piles)
    (line,) = kinds_left_out(plan.model_copy(update={"left_out": out}), inventory)
    assert line.startswith("No storage bin has a place: all 15 are left out")
    assert ('write [[wishes.must]] what = "storage bin"' in line) is is_offered
