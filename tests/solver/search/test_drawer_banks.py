"""Banks of drawers that are wished for: stand as wished, are filled with all else, refused where impossible."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

import pytest
from support.brute_force import best_value
from support.cases import INCH, bank, box, one_wall, problem, random_things, run, thing

from capacity.closet.closet import parse_closet
from capacity.layout.fit_rules import stored_value, violations
from capacity.layout.problem import Corner, OpeningKind, PrescribedOpening, Problem
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.what_must_be import bay_faults, opening_faults
from capacity.solver.effort import Effort
from capacity.solver.filling.exact import fill
from capacity.solver.planning import make_plan
from capacity.solver.search.design import Design, design
from capacity.wardrobe.inventory import parse_inventory
from capacity.workshop.parts.carpentry import make_parts
from capacity.workshop.parts.drawer_boxes import drawer_box
from capacity.workshop.parts.parts import Role
from capacity.workshop.parts.reassembly import differences

HIGH = 7.25


def _with_bank(facts: Problem, left: float = 20, width: float = 20, count: int = 3) -> Problem:
    return replace(facts, fixed=(bank(facts, left, width, count, HIGH),))


def _checked(facts: Problem, factor: float = 0.2) -> Design:
    """A design with its bank, accepted by the checker, within its bound, with exactly the drawers wished for there."""
    found = design(facts, Effort(factor=factor))
    layout = found.layout
    assert violations(facts, layout) == ()
    assert stored_value(facts, layout) == found.value <= found.bound
    assert all(count <= facts.thing(row).count for row, count in layout.stored().items())
    (item,) = facts.fixed
    (bay,) = (bay for bay in layout.walls[item.run].bays if bay.left == item.left)
    drawers = [opening for opening in bay.openings if opening.kind is OpeningKind.DRAWER]
    assert [(opening.kind, opening.bottom, opening.height) for opening in drawers] == [
        (wanted.kind, wanted.bottom, wanted.height) for wanted in item.prescribed
    ]
    return found


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
    found = _checked(_with_bank(problem(things, walls, corners, **changes)))
    assert found.value >= 0.9 * found.bound


def test_what_lies_in_the_bank_is_chosen_with_all_else_in_view() -> None:
    """By hand: the scarf, 13 in deep and 16 wide, fits the bank's one drawer only; the socks fit a drawer beside it.

    A bank that is filled first takes the four socks, worth more, and leaves the scarf no place: 12 of 15.
    """
    things = [thing(1, "drawer", 4, 8, 6, 3, value=3), thing(2, "drawer", 1, 16, 13, 6, value=3)]
    found = _checked(_with_bank(problem(things, [run("back", 35)]), left=0.75, count=1))
    assert (found.value, found.bound) == (15, 15)
    assert found.able == (True, True)


def test_the_owner_of_a_bank_is_chosen_with_all_else_in_view() -> None:
    """By hand: a wall for the bank's bay alone, and owners apart: the scarf in its drawer would keep B's shoes out."""
    things = [
        thing(1, "drawer", 1, 10, 10, 3, value=3, owner="A"),
        thing(2, "stand", 8, 8, 12, 5, value=3, owner="B"),
    ]
    facts = _with_bank(problem(things, [run("back", 22)], owners_apart=True), left=0.75, count=1)
    found = _checked(facts)
    assert found.value == found.bound == best_value(facts) == 24


@pytest.mark.parametrize("seed", range(8))
def test_nothing_stores_more_than_the_bound_beside_a_bank(seed: int) -> None:
    """Against all layouts of tiny walls, owners apart in half of them; what is called proven is the best of all."""
    chance = random.Random(seed)
    owners = (None, "A", "B") if seed % 2 else (None,)
    things = [replace(item, count=min(item.count, 2)) for item in random_things(chance, 3, 2, owners)]
    things += [
        thing(10, "drawer", chance.randint(1, 3), 6, 8, 3, value=3, owner=owners[-1]),
        thing(11, "drawer", 1, 14, 12, 5, value=chance.randint(1, 3), owner=owners[0]),
    ]
    facts = problem(things, [run("back", 31 + chance.randint(0, 8), ceiling=60)], owners_apart=bool(seed % 2))
    facts = replace(facts, top=50 * INCH, fixed=(bank(facts, 0.75, 16, 1 + seed % 3, HIGH),))
    found, best = _checked(facts), best_value(facts)
    assert found.value <= best <= found.bound
    assert found.value == best


def test_what_finds_no_place_in_the_bank_goes_into_other_drawers() -> None:
    """By hand: inside 18 in wide, 6 in high and 13 in deep; 60 of 6 x 13 x 1 stack 6 high, three stacks a drawer."""
    things = [thing(1, "drawer", 60, 6, 13, 1, value=3), thing(2, "drawer", 60, 6, 13, 1, value=1)]
    facts = _with_bank(problem(things, [run("back", 80)]), count=3)
    found = _checked(facts)
    assert found.layout.stored() == {1: 60, 2: 60}


def test_what_a_bank_alone_could_hold_is_not_larger_than_any_opening() -> None:
    """An 18 in scarf fits a drawer of the 20 in bank; the free wall beside it is too narrow for any bay."""
    facts = _with_bank(problem([thing(1, "drawer", 1, 18, 13, 2)], [run("back", 24)]), left=0.75, count=1)
    found = _checked(facts)
    assert found.able == (True,)
    assert found.value == found.bound == 2


@pytest.mark.parametrize("kind", ["bank", "bay"])
@pytest.mark.parametrize("wall", [60, 23])
def test_a_bay_that_must_be_stands_empty_where_nothing_finds_a_place_in_it(kind: str, wall: float) -> None:
    facts = problem([thing(1, "stand", 5, 30, 30, 6), thing(2, "drawer", 1, 30, 30, 3)], [run("back", wall)])
    facts = _with_bank(facts, left=0.75, count=3 if kind == "bank" else 0)
    found = _checked(facts)
    assert found.value == found.bound == 0
    assert not found.layout.stored()


FOLDED = "what,count,use,store\njeans,{count},weekly,{way}\nt-shirt,{count},weekly,{way}\nsocks,6,daily,\n"


@pytest.mark.parametrize("wish", ["[[wishes.drawers]]\ncount = 4", '[[wishes.bay]]\nkind = "drawer"'])
def test_no_drawer_stands_empty_while_folded_things_are_left_out(wish: str) -> None:
    """A wall for the bank's bay alone: jeans and t-shirts lie in its drawers by themselves, unless a way is written."""
    wall = one_wall(26, 16)
    closet = parse_closet(f'{wall}{wish}\nwall = "back"\nleft = 0.75\nwidth = 24\n')
    stored = []
    for way in ("", "stack"):
        inventory = parse_inventory(FOLDED.format(count=150, way=way), "in")
        plan = make_plan(closet, inventory, Effort(factor=0.05))
        held = [bool(o.holds) for bay in plan.walls[0].bays for o in bay.openings if o.kind == "drawer"]
        assert plan.left_out
        assert all(held) is (way == "")
        stored.append(plan.after.stored)
    assert stored[0] > stored[1]
    free = size_problem(parse_closet(wall), parse_inventory(FOLDED.format(count=150, way=""), "in"))
    assert all(not item.also for item in free.things)  # no drawers are built for what lies on shelves as well


def test_no_drawer_things_leave_an_empty_bank() -> None:
    found = _checked(_with_bank(problem([thing(1, "stand", 5, 8, 10, 6)], [run("back", 60)])))
    assert found.value == found.bound == found.layout.stored()[1] * 2 == 10


def test_a_bank_is_filled_as_well_as_its_openings_can_be() -> None:
    things = [thing(1, "drawer", 70, 6, 13, 1, value=3), thing(2, "stand", 40, 8, 13, 5)]
    facts = _with_bank(problem(things, [run("back", 22)]), left=0.75, count=3)
    found = _checked(facts)
    assert found.layout.stored()[1] == 54
    assert fill(facts, found.layout, Effort()).value == found.value


def test_the_checker_wants_exactly_the_bank() -> None:
    facts = _with_bank(problem([thing(1, "drawer", 9, 6, 10, 1)], [run("back", 60)]))
    layout = _checked(facts).layout
    (item,) = facts.fixed
    second = item.prescribed[1]
    for other in (
        bank(facts, 20, 20, 4, HIGH),
        bank(facts, 20, 20, 3, HIGH + 1),
        replace(item, prescribed=item.prescribed[:2]),  # a drawer besides
        replace(item, prescribed=(item.prescribed[0], replace(second, height=second.height + 1))),
        replace(item, prescribed=(PrescribedOpening(OpeningKind.SHELF, item.prescribed[0].bottom, 1),)),
        replace(item, kinds=()),
        replace(item, left=item.left + 1),
    ):
        assert violations(replace(facts, fixed=(other,)), layout) != ()


BUDGETED = """
ceiling = 96
top = 84
[panel]
price = 62
[[wall]]
name = "back"
width = 72
depth = 15
[wishes]
budget = {budget}
[[wishes.{kind}]]
wall = "back"
left = 20
width = 20
{more}
"""


@pytest.mark.parametrize(
    ("kind", "budget"),
    [("bay", 110), ("bay", 120), ("drawers", 80), ("drawers", 130), ("drawers", 150)],
)
def test_a_budget_beside_a_bay_that_must_be_still_gives_a_plan(kind: str, budget: int) -> None:
    """Five of the budgets at which the search left the bay out, or made room in more board than it could buy."""
    more = "count = 3\nheight = 7" if kind == "drawers" else ""
    closet = parse_closet(BUDGETED.format(kind=kind, budget=budget, more=more))
    plan = make_plan(closet, parse_inventory("what,count\nsneakers,20\njeans,10\n", "in"), Effort(factor=0.03))
    assert plan.boards is not None
    assert plan.boards.estimate <= budget
    assert plan.value.stored <= plan.value.bound
    assert any(bay.left == 20 for bay in plan.walls[0].bays)


def test_every_goal_has_its_bound_beside_a_bank() -> None:
    """All is stored at the least trouble: the bounds on reach and on the multiple are not given up for the bank."""
    person = '[[person]]\nname = "A"\nheight = 64\n'
    closet = parse_closet(TOML.format(**{**WISHED, "more": "pitch = 0"}) + person)
    plan = make_plan(closet, parse_inventory("what,count,owner\nsocks,60,A\nshirt,24,A\n", "in"), Effort(factor=0.05))
    goals = {goal.name: goal for goal in plan.goals}
    assert goals["stored value"].status == "optimal"
    trouble, room = goals["inconvenience"], goals["capacity multiple"]
    assert trouble.bound is not None
    assert trouble.bound <= trouble.value
    assert room.bound is not None
    assert room.value <= room.bound


TOML = (
    one_wall(80, 16)
    + """ceiling = [96, {right}]
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
)
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
        ({"count": 9, "more": "least_opening = 8"}, "at most 8"),
        ({"height": "height = 1"}, "leaves nothing inside"),
        ({"more": "highest_drawer = 30"}, "count: the highest ends at 2' 10 7/8\", over highest_drawer, 2' 6\""),
        ({"more": "least_drawer = 8"}, 'height: 7 1/4" is less than least_drawer, 8"'),
        ({"right": 30, "left": 40, "width": 18, "count": 6}, "reach up to"),
        ({"more": "keep_bays = true"}, "keep_bays"),
    ],
)
def test_a_bank_that_cannot_be_built_is_refused_in_one_line(changes: dict[str, object], said: str) -> None:
    closet = parse_closet(TOML.format(**{**WISHED, **changes}))
    inventory = parse_inventory(INVENTORY, "in")
    faults = [f"{place}: {words}" for place, words in bay_faults(closet)]
    if not faults:
        faults = [str(fault) for fault in opening_faults(closet, size_problem(closet, inventory))]
    assert any(said in fault for fault in faults), faults
    assert all("\n" not in fault for fault in faults)


def test_a_bank_may_end_at_the_top_panel_itself_and_else_leaves_an_opening_under_it() -> None:
    """On a 3 in toe kick and a 23/32 in panel two drawers with a panel over each reach 84 in; or 83 3/4 in."""
    each, inventory = (84 - 3 - 23 / 32) / 2 - 23 / 32, parse_inventory(INVENTORY, "in")
    for less in (0, 0.125):
        closet = parse_closet(TOML.format(**{**WISHED, "count": 2, "height": f"height = {each - less}"}))
        facts = size_problem(closet, inventory)
        said = [str(fault) for fault in opening_faults(closet, facts)]
        assert ["an opening must be left below" in fault for fault in said] == [True] * (less > 0)
        if not less:
            found = _checked(replace(facts, rules=replace(facts.rules, highest_drawer=0)))
            openings = found.layout.walls[0].bays[0].openings
            assert [opening.kind for opening in openings if opening.bottom < facts.top] == [OpeningKind.DRAWER] * 2


def test_what_is_accepted_has_no_fault_and_is_built_with_true_inside_sizes() -> None:
    """24 in bay, 7 1/4 in openings: box 23 x 6 1/2 in outside, 22 in wide inside, slides of 14 in."""
    closet = parse_closet(TOML.format(**WISHED))
    inventory = parse_inventory(INVENTORY, "in")
    assert [*bay_faults(closet), *opening_faults(closet, size_problem(closet, inventory))] == []
    facts = size_problem(closet, inventory)
    found = design(facts, Effort(factor=0.05))
    layout = found.layout
    assert violations(facts, layout) == ()
    parts = make_parts(closet, facts, layout).parts
    assert list(differences(facts, layout, parts, closet)) == []
    fronts = [part for part in parts if part.role is Role.FRONT and part.bay == 1]
    assert len(fronts) == 4
    bay = next(bay for bay in layout.walls[0].bays if bay.left == 10 * INCH)
    made = drawer_box(bay, bay.openings[0], closet.construction.drawer_side)
    inside = (made.width, made.height, made.inside_width, made.slide)
    assert inside == tuple(round(size * INCH) for size in (23, 6.5, 22, 14))
