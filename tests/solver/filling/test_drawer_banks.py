"""Banks of drawers that are wished for: they stand as wished, are filled first, and are refused where impossible."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

import pytest
from support.cases import INCH, box, problem, random_things, run, thing

from capacity.closet.closet import parse_closet
from capacity.layout.fit_rules import stored_value, violations
from capacity.layout.layout import Layout
from capacity.layout.problem import Corner, FixedBay, OpeningKind, Problem
from capacity.makeover.decisions import bay_faults
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.folder import bank_faults
from capacity.solver.effort import Effort
from capacity.solver.filling.drawer_banks import fill_banks
from capacity.solver.filling.exact import fill
from capacity.solver.search.design import Design, design
from capacity.wardrobe.inventory import parse_inventory
from capacity.workshop.parts.carpentry import make_parts
from capacity.workshop.parts.drawer_boxes import drawer_box
from capacity.workshop.parts.parts import Role
from capacity.workshop.parts.reassembly import differences

THICK = 3 * INCH // 4
HIGH = 29 * INCH // 4  # 7 1/4 in


def _with_bank(facts: Problem, left: float = 20, width: float = 20, count: int = 3, wall: int = 0) -> Problem:
    item = FixedBay(wall, round(left * INCH), round(width * INCH), facts.runs[wall].depth, count, HIGH)
    return replace(facts, fixed=(item,))


def _checked(facts: Problem, factor: float = 0.2) -> tuple[Design, Layout]:
    """A design with its bank, accepted by the checker, within its bound, with exactly the drawers wished for there."""
    found = design(facts, Effort(factor=factor))
    layout = found.whole(found.filling).layout
    assert violations(facts, layout) == ()
    value = stored_value(facts, layout)
    assert value == found.value + found.divided.banked <= found.bound + found.divided.banked
    assert all(count <= facts.thing(row).count for row, count in layout.stored().items())
    (item,) = facts.fixed
    (bay,) = (bay for bay in layout.walls[item.run].bays if bay.left == item.left)
    drawers = [opening for opening in bay.openings if opening.kind is OpeningKind.DRAWER]
    assert [(opening.bottom, opening.height) for opening in drawers] == [
        (facts.rules.base + number * (HIGH + facts.rules.panel), HIGH) for number in range(item.drawers)
    ]
    return found, layout


@pytest.mark.parametrize("seed", range(6))
def test_the_bank_stands_as_wished_and_the_rest_is_designed_around_it(seed: int) -> None:
    """A plain wall, a blocked part, a slope, a corner, owners apart, room to spare."""
    chance = random.Random(seed)
    things = random_things(chance, 8, 9, owners=(None, "A", "B") if seed == 4 else (None,))
    things.append(thing(20, "drawer", 30, 5, 8, 1, owner="A" if seed == 4 else None))
    blocked = (box(60, 10, 30, 20),) if seed == 1 else ()
    walls = [run("back", 80, 15, 96, 70 if seed == 2 else None, *blocked)]
    corners: tuple[Corner, ...] = ()
    if seed == 3:
        walls.append(run("side", 60))
        corners = (Corner(0, 1),)
    changes: dict[str, object] = {"owners_apart": seed == 4}
    if seed == 5:
        changes["spare"] = Fraction(1, 10)
    facts = _with_bank(problem(things, walls, corners, **changes))
    found, _ = _checked(facts)
    assert found.value + found.divided.banked >= 0.9 * (found.bound + found.divided.banked)


def test_the_bank_is_filled_first_with_what_is_worth_most() -> None:
    """By hand: inside 18 in wide, 6 in high and 13 in deep; 60 of 6 x 13 x 1 stack 6 high, three stacks a drawer."""
    things = [thing(1, "drawer", 60, 6, 13, 1, value=3), thing(2, "drawer", 60, 6, 13, 1, value=1)]
    facts = _with_bank(problem(things, [run("back", 80)]), count=3)
    (bank,) = fill_banks(facts, Effort())
    assert bank.pieces == {1: 54}
    found, layout = _checked(facts)
    assert found.divided.banked == 3 * 54
    assert layout.stored()[1] == 60  # what finds no place in the bank goes into other drawers
    free = fill(facts, layout, Effort())
    assert free.value == stored_value(facts, layout)


def test_no_drawer_things_leave_an_empty_bank() -> None:
    facts = _with_bank(problem([thing(1, "stand", 5, 8, 10, 6)], [run("back", 60)]))
    found, layout = _checked(facts)
    assert found.value == found.bound == layout.stored()[1] * 2 == 10


def test_the_checker_wants_exactly_the_bank() -> None:
    facts = _with_bank(problem([thing(1, "drawer", 9, 6, 10, 1)], [run("back", 60)]))
    _, layout = _checked(facts)
    (item,) = facts.fixed
    for other in (
        replace(item, drawers=2),
        replace(item, drawers=4),
        replace(item, drawer_height=HIGH + 1),
        replace(item, left=item.left + 1),
    ):
        assert violations(replace(facts, fixed=(other,)), layout) != ()


TOML = """
ceiling = 96
top = 84
[[wall]]
name = "back"
width = 80
depth = 16
ceiling = [96, {right}]
[[wall.blocked]]
left = 60
width = 8
bottom = 20
height = 12
[wishes]
{more}
[[wishes.drawers]]
wall = "{wall}"
left = {left}
width = {width}
count = {count}
{height}
"""
WISHED = {"right": 96, "more": "", "wall": "back", "left": 10, "width": 24, "count": 4, "height": ""}
INVENTORY = "what,count\nsocks,20\njeans,8\nshirt,12\n"


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"wall": "bakc"}, "is not a wall"),
        ({"left": 0}, "leaves no room for its upright"),
        ({"left": 70}, "beyond the wall's"),
        ({"width": 8}, "less than min_bay"),
        ({"width": 40, "more": "max_shelf = 30"}, "more than a shelf may be long"),
        ({"left": 40}, "blocked part"),
        ({"count": 11}, "at most 9"),
        ({"height": "height = 1"}, "leaves nothing inside"),
        ({"right": 30, "left": 40, "width": 18, "count": 6}, "reach up to"),
        ({"more": "keep_bays = true"}, "keep_bays"),
    ],
)
def test_a_bank_that_cannot_be_built_is_refused_in_one_line(changes: dict[str, object], said: str) -> None:
    closet = parse_closet(TOML.format(**{**WISHED, **changes}))
    inventory = parse_inventory(INVENTORY, "in")
    faults = [f"{place}: {words}" for place, words in bay_faults(closet)]
    if not faults:
        faults = [str(fault) for fault in bank_faults(closet, inventory)]
    assert any(said in fault for fault in faults), faults
    assert all("\n" not in fault for fault in faults)


def test_what_is_accepted_has_no_fault_and_is_built_with_true_inside_sizes() -> None:
    """24 in bay, 7 1/4 in openings: box 23 x 6 1/2 in outside, 22 in wide and 6 in high inside, slides of 14 in."""
    closet = parse_closet(TOML.format(**WISHED))
    inventory = parse_inventory(INVENTORY, "in")
    assert [*bay_faults(closet), *bank_faults(closet, inventory)] == []
    facts = size_problem(closet, inventory)
    found = design(facts, Effort(factor=0.05))
    layout = found.whole(found.filling).layout
    assert violations(facts, layout) == ()
    parts = make_parts(closet, facts, layout).parts
    assert list(differences(facts, layout, parts, closet)) == []
    fronts = [part for part in parts if part.role is Role.FRONT]
    assert len(fronts) == 4
    bay = next(bay for bay in layout.walls[0].bays if bay.left == 10 * INCH)
    made = drawer_box(bay, bay.openings[0], closet.construction.drawer_side)
    inside = (made.width, made.height, made.inside_width, made.inside_height, made.slide)
    assert inside == tuple(round(size * INCH) for size in (23, 6.5, 22, 6, 14))
