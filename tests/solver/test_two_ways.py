"""A pile that may be stored in two ways: the search takes the better for every piece, and all else knows it."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from support.brute_force import best_value
from support.cases import INCH, one_wall, problem, random_things, run, thing

from capacity.checks.all_checks import check_layout
from capacity.closet.closet import parse_closet
from capacity.drawings.pile_drawing import arranged, dressed
from capacity.errors import InputError
from capacity.layout.fit_rules import stored_value, violations
from capacity.layout.problem import OpeningKind, Problem, Thing
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.plan import planned_layout, require_sound, write_plan
from capacity.solver.effort import Effort
from capacity.solver.filling.exact import fill
from capacity.solver.planning import make_plan
from capacity.solver.proof.prove import prove
from capacity.solver.search.design import design
from capacity.wardrobe.inventory import parse_inventory
from capacity.wardrobe.kinds import Store


def _two_ways(chance: random.Random, things: list[Thing]) -> list[Thing]:
    """Some of the things may hang or lie in drawers as well."""

    def other(item: Thing) -> Thing:
        if item.store is Store.HANG:
            sizes = (chance.randint(7, 12), chance.randint(8, 13), chance.randint(1, 3))
            return thing(item.row, "stack", item.count, *sizes, value=item.value, most=4, owner=item.owner)
        sizes = (chance.randint(16, 40), chance.randint(1, 3))
        return thing(item.row, "hang", item.count, *sizes, value=item.value, owner=item.owner)

    return [replace(item, also=(other(item),)) if chance.random() < 0.7 else item for item in things]


@pytest.mark.parametrize("seed", range(10))
def test_the_best_of_all_layouts_is_found_and_never_refuted(seed: int) -> None:
    """Against all layouts of tiny walls, owners apart in a third of them, a bay that must be in others."""
    chance = random.Random(seed)
    owners = (None, "A", "B") if seed % 3 == 0 else (None,)
    things = [replace(item, count=min(item.count, 2)) for item in random_things(chance, 4, 2, owners)]
    facts = problem(
        _two_ways(chance, things), [run("back", 20 + chance.randint(0, 8), ceiling=40)], top=36,
        owners_apart=seed % 3 == 0, least_opening=(seed % 2) * 4 * INCH,
    )  # fmt: skip
    found = design(facts, Effort(factor=0.1))
    assert violations(facts, found.layout) == ()
    assert stored_value(facts, found.layout) == found.value <= found.bound
    assert found.value == best_value(facts)
    filled = fill(facts, found.layout, Effort())
    assert found.value <= filled.value <= filled.bound


def test_pieces_of_one_pile_hang_and_stand_at_once() -> None:
    """By hand: one bay 20 in wide takes eight on a rod, six on three shelves, or eight on a rod and two over it."""
    both = replace(
        thing(1, "hang", 12, 30, 2.5, value=3), also=(thing(1, "stack", 12, 9, 12, 12, value=3, most=1),)
    )  # fmt: skip
    facts = problem([both], [run("back", 21.5, ceiling=50)], top=50)
    found = design(facts, Effort(factor=0.2))
    assert found.value == found.bound == 30
    held = Counter[OpeningKind]()
    for *_, opening in found.layout.openings():
        held[opening.kind] += sum(item.count for item in opening.holds)
    assert held == {OpeningKind.HANG: 8, OpeningKind.SHELF: 2}


COUNT = "what,count,store,use\nshirt,30,hang or stack,daily\njeans,12,Stack or Drawer,weekly\nsneakers,6,,daily\n"


def _facts() -> Problem:
    return size_problem(parse_closet(one_wall()), parse_inventory(COUNT, "in"))


def test_the_plan_is_checked_drawn_and_proven_with_both_ways(tmp_path: Path) -> None:
    closet, inventory = parse_closet(one_wall()), parse_inventory(COUNT, "in")
    plan = make_plan(closet, inventory, Effort(factor=0.1))
    require_sound(closet, inventory, plan)
    facts = _facts()
    layout = planned_layout(plan, facts)
    assert violations(facts, layout) == ()
    assert check_layout(closet, inventory, facts, layout).checks
    for *_, bay, opening in layout.openings():
        for piece in arranged(facts, bay, opening):
            assert (dressed(piece, facts, inventory).figure is not None) or piece.row
            way = facts.thing(piece.row).stored_in(opening.kind)
            assert way is not None
            assert piece.height == (way.drop if opening.kind is OpeningKind.HANG else way.height)
    write_plan(plan, tmp_path / "plan.json")
    (tmp_path / "inventory.csv").write_text(COUNT)
    faults, bound, _ = prove(tmp_path)
    assert faults == []
    assert plan.value.stored <= bound <= plan.value.bound
    places, trouble = (goal for goal in plan.goals if goal.name in ("places", "inconvenience"))
    assert all(goal.value == goal.bound or goal.bound_of != "these openings and pieces" or goal.bound == 0
               for goal in (places, trouble))  # fmt: skip


def test_the_count_reads_two_ways_in_openings_of_different_kinds() -> None:
    inventory = parse_inventory(COUNT, "in")
    assert [[store.value for store, _ in pile.ways] for pile in inventory.piles] == [
        ["hang", "stack"], ["stack", "drawer"], ["stand"],
    ]  # fmt: skip
    assert list(inventory.to_frame()["store"]) == ["hang or stack", "stack or drawer", "stand"]


@pytest.mark.parametrize(
    ("store", "said"),
    [
        ("hang or fly", '"hang or fly" is not one of stand, stack, hang, drawer, or two of them: "hang or stack"'),
        ("hang or hang", '"hang or hang" says one way twice'),
        ("stand or stack", '"stand or stack" says one way twice, or two ways on a shelf'),
        ("or", '"or" is not one of'),
        ("stack or stand", "two ways on a shelf"),
    ],
)
def test_two_ways_that_are_none_are_one_line(store: str, said: str) -> None:
    with pytest.raises(InputError) as error:
        parse_inventory(f"what,count,store\nshirt,3,{store}\n", "in")
    (fault,) = error.value.faults
    assert said in str(fault)
    assert "row 2, column store" in str(fault)
