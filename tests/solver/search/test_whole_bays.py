"""Bays that must be and say what they are: a whole bay of one kind, rods at given heights, a bay that begins higher."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from support.brute_force import best_value
from support.cases import INCH, one_wall, random_things

from capacity.checks.all_checks import check_layout
from capacity.closet.closet import Closet, parse_closet
from capacity.layout.fit_rules import violations
from capacity.layout.layout import Bay
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.rod_height import rod_height
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.what_must_be import bay_faults, opening_faults, unopened_faults
from capacity.solver.effort import Effort
from capacity.solver.search.design import Design, design
from capacity.wardrobe.inventory import parse_inventory
from capacity.workshop.parts.carpentry import make_parts
from capacity.workshop.parts.parts import Role
from capacity.workshop.parts.reassembly import differences

BAY = '[[wishes.bay]]\nwall = "back"\nleft = 1\nwidth = 20\n'
FEW = parse_inventory("what,count\nshirt,4\njeans,4\nsocks,6\n", "in")


def _closet(bay: str, more: str = "", width: int = 40, top: int = 84) -> Closet:
    return parse_closet(_text(bay, more, width, top))


def _text(bay: str, more: str = "", width: int = 40, top: int = 84) -> str:
    walls = one_wall(width).replace("top = 84", f"top = {top}")
    sizes = 'round = "1/4"\npitch = 0\nplay = 0\n'
    sizes = "".join(line for line in sizes.splitlines(True) if line.split()[0] not in more)
    return f'{walls}[panel]\nthickness = "3/4"\n[wishes]\n{sizes}{more}\n{BAY}{bay}\n'


def _checked(facts: Problem, factor: float = 0.1) -> tuple[Design, Bay]:
    found = design(facts, Effort(factor=factor))
    assert violations(facts, found.layout) == ()
    (bay,) = (bay for bay in found.layout.walls[0].bays if bay.left == INCH)
    return found, bay


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize(
    "bay",
    [
        'kind = "shelf"', 'kind = "hang"', 'kind = "drawer"', "rod = [24, 36]", "rod = 30", "bottom = 20",
        'kind = "hang"\nbottom = 14', "rod = 44\nbottom = 5", 'kind = "drawer"\nbottom = 18',
        'kind = "shelf"\nbottom = 5',
    ],
)  # fmt: skip
def test_the_best_of_all_layouts_is_found_and_never_refuted(bay: str, seed: int) -> None:
    """Against all layouts of a tiny wall with such a bay on it."""
    chance = random.Random(seed)
    things = [replace(item, count=min(item.count, 2)) for item in random_things(chance, 4, 2)]
    closet = _closet(bay, "highest_drawer = 40", 23 + seed % 2 * 13, 48).model_copy(update={"ceiling": 60 * INCH})
    facts = size_problem(closet, FEW)
    assert [*bay_faults(closet), *opening_faults(closet, facts)] == []
    facts = replace(facts, things=tuple(things))
    found, _ = _checked(facts)
    assert found.value == best_value(facts) <= found.bound


@pytest.mark.parametrize("kind", ["shelf", "hang", "drawer"])
def test_a_whole_bay_is_of_its_kind_even_where_nothing_wants_it(kind: str) -> None:
    """Over drawers, which end at 48 in, come shelves; the shelf over the top panel is everybody's."""
    closet = _closet(f'kind = "{kind}"', width=23)
    other = "suitcase" if kind == "hang" else "shirt"
    facts = size_problem(closet, parse_inventory(f"what,count\n{other},2\n", "in"))
    _, bay = _checked(facts)
    below = [opening for opening in bay.openings if opening.bottom < facts.top]
    kinds = [opening.kind.value for opening in below]
    if kind == "drawer":
        assert kinds == ["drawer"] * 5 + ["shelf"] * (len(below) - 5)
        assert below[4].bottom + below[4].height <= 48 * INCH
    assert set(kinds[:1]) == {kind}
    assert set(kinds) <= {kind, "shelf" if kind == "drawer" else kind}


def test_rods_hang_at_their_heights_in_the_layout_and_among_the_parts() -> None:
    """80 in leaves 3 1/4 in under the top panel of 84, half an inch less than usual: hangers lift off with 2 5/8."""
    closet = _closet("rod = [40, 80]", "gap = 1")
    facts = size_problem(closet, FEW)
    _, bay = _checked(facts)
    rods = [rod_height(facts, opening) for opening in bay.openings if opening.kind is OpeningKind.HANG]
    assert rods == [40 * INCH, 80 * INCH]
    layout = design(facts, Effort(factor=0.05)).layout
    parts = make_parts(closet, facts, layout).parts
    assert list(differences(facts, layout, parts, closet)) == []
    made = [part.note for part in parts if part.role is Role.ROD and part.bay == 1]
    assert [note.split(" over ")[0] for note in made] == ['middle at 40"', 'middle at 80"']
    short = [
        check for check in check_layout(closet, FEW, facts, layout).checks if check.name == "hangers lift off the rod"
    ]
    assert [check.passed for check in short if check.place.bay == 1] == [True, False]


def test_a_bay_begins_over_what_is_kept_free() -> None:
    """A radiator of 18 in: the bottom panel lies on 20 in, nothing is under it, and no rod stands on the floor."""
    closet = _closet("bottom = 20")
    facts = size_problem(closet, FEW)
    found, bay = _checked(facts)
    assert bay.openings[0].bottom == 20.75 * INCH
    parts = make_parts(closet, facts, found.layout).parts
    assert list(differences(facts, found.layout, parts, closet)) == []
    assert [part.role for part in parts if part.bay == 1 and part.bottom < 20 * INCH] == []


@pytest.mark.parametrize(
    ("bay", "more", "said"),
    [
        ('kind = "shelf"\nrod = 40', "", '[[wishes.bay]] 1, rod: goes with a bay of kind "hang"'),
        ("rod = [40, 42]", "", "[[wishes.bay]] 1, rod: 3' 6\" is too near to the rod below it: 4' 1/2\" at least"),
        ("rod = 5", "", '[[wishes.bay]] 1, rod: 5" is too near to the bottom panel: 7 3/4" at least'),
        ("rod = 82", "", "[[wishes.bay]] 1, rod: 6' 10\" is too near to the top panel: 6' 9 1/4\" at most"),
        ("rod = 78", "", "make it 6' 7 1/2\", so that none is there, or 6' 2 3/4\" at most"),
        ("bottom = 2", "", '[[wishes.bay]] 1, bottom: 2" is lower than the toe kick'),
        (
            "bottom = 80",
            "",
            "[[wishes.bay]] 1, bottom: 6' 8\" leaves no opening under the top panel; 6' 6 1/2\" at most",
        ),
        (
            'kind = "shelf"',
            "max_shelf = 18",
            "[[wishes.bay]] 1, width: 1' 8\" is more than a shelf may be long, 1' 6\"",
        ),
        ("rod = 60", "max_shelf = 18", "[[wishes.bay]] 1, width: 1' 8\" is too much"),
        ('kind = "drawer"\nbottom = 44', "", '[[wishes.bay]] 1, kind: no drawer opening of 7 1/4" ends low enough'),
    ],
)
def test_what_cannot_be_is_refused_in_one_line_before_any_search(bay: str, more: str, said: str) -> None:
    closet = _closet(bay, more)
    (fault,) = opening_faults(closet, size_problem(closet, FEW))
    assert said in f"{fault.place}: {fault.problem}"
    assert "\n" not in str(fault)


BLOCKED = "[[wall.blocked]]\nleft = 10\nwidth = 3\nbottom = {}\nheight = {}\n[panel]"
TODAY = '[[before]]\nwall = "back"\nleft = 1\nwidth = 20\ndepth = 15\nopenings = []\n'


@pytest.mark.parametrize(
    ("bottom", "height", "least", "said"),
    [
        (8, 76, 6, True),  # 3 1/2 in from the bottom panel to the one under it, and it reaches up to the top
        (8, 76, 3, False),
        (11, 73, 6, False),  # 6 1/2 in under it
    ],
)
@pytest.mark.parametrize("is_kept", [False, True])
def test_a_bay_in_which_a_blocked_part_leaves_no_opening_is_named(
    bottom: int, height: int, least: int, said: bool, is_kept: bool
) -> None:
    text = _text("", f"least_opening = {least}\n" + "keep_bays = true\n" * is_kept)
    text = text.replace("[panel]", BLOCKED.format(bottom, height))
    closet = parse_closet(text.replace(BAY, TODAY if is_kept else BAY))
    facts = size_problem(closet, FEW)
    assert [*bay_faults(closet), *opening_faults(closet, facts)] == []
    faults = [f"{fault.place}: {fault.problem}" for fault in unopened_faults(closet, facts)]
    if said:
        place, cure = ("[[before]] 1", "take keep_bays out") if is_kept else ("[[wishes.bay]] 1", "move the bay")
        words = 'what is blocked at 10" leaves it no opening as high as least_opening'
        assert faults == [f'{place}: {words}, 6"; {cure}, or make least_opening less']
    else:
        assert faults == []
        assert design(facts, Effort(factor=0.1)).layout.walls[0].bays


@pytest.mark.parametrize(
    ("bay", "said"),
    [
        ("rod = 60", '[[wishes.bay]] 1, rod: its wall is 11" deep, and a rod needs 1\' 0"'),
        ('kind = "hang"', '[[wishes.bay]] 1, kind: its wall is 11" deep, and a rod needs 1\' 0"'),
        ('kind = "drawer"', '[[wishes.bay]] 1, kind: its wall is 4" deep, too shallow for the slides of a drawer'),
    ],
)
def test_a_wall_too_shallow_for_what_is_wished_is_named(bay: str, said: str) -> None:
    deep = 4 if "drawer" in bay else 11
    closet = parse_closet(_text(bay).replace("depth = 15", f"depth = {deep}"))
    (fault,) = opening_faults(closet, size_problem(closet, FEW))
    assert said in f"{fault.place}: {fault.problem}"


CHEST = (
    '[[wishes.unit]]\nwhat = "chest of drawers"\nwall = "back"\nleft = 1\nwidth = "19 5/8"\ndepth = 15\nheight = 30\n'
)


def _with_chest(chest: str = CHEST, more: str = "") -> Closet:
    return parse_closet(_text("", more).replace(BAY, chest))


def test_a_bay_is_made_for_a_chest_that_is_owned_and_everything_goes_over_it() -> None:
    """A chest of 19 5/8 x 30 in with 1/4 in of play and an inch of hand room: 20 in wide, begun at 31 in."""
    closet = _with_chest(more='play = "1/4"\n')
    facts = size_problem(closet, FEW)
    assert [*bay_faults(closet), *opening_faults(closet, facts)] == []
    found, bay = _checked(facts)
    assert (bay.width, bay.openings[0].bottom) == (20 * INCH, 31.75 * INCH)
    parts = make_parts(closet, facts, found.layout).parts
    assert list(differences(facts, found.layout, parts, closet)) == []
    assert [part.role for part in parts if part.bay == 1 and part.bottom < 31 * INCH] == []
    assert [box.name for box in facts.runs[0].blocked] == ["chest of drawers"]


@pytest.mark.parametrize("seed", range(3))
def test_beside_a_chest_the_best_of_all_layouts_is_found_and_never_refuted(seed: int) -> None:
    chance = random.Random(seed)
    things = [replace(item, count=min(item.count, 2)) for item in random_things(chance, 4, 2)]
    chest = CHEST.replace("height = 30", f"height = {12 + 5 * seed}")
    closet = parse_closet(_text("", "highest_drawer = 40", 23 + seed % 2 * 13, 48).replace(BAY, chest))
    closet = closet.model_copy(update={"ceiling": 60 * INCH})
    facts = replace(size_problem(closet, FEW), things=tuple(things))
    found, _ = _checked(facts)
    assert found.value == best_value(facts) <= found.bound


@pytest.mark.parametrize(
    ("now", "then", "said"),
    [
        ("depth = 15", "depth = 16", "1, depth: it is 1' 4\" deep, and its wall 1' 3\"; deepen the wall"),
        ("height = 30", "height = 80", "1, height: 6' 9\", with hand room over it, leaves no opening"),
        ('wall = "back"', 'wall = "bak"', '1, wall: "bak" is not a wall'),
        ("left = 1", "left = 30", "1, width: the bay and its upright end at"),
        ("left = 1", 'left = "1/2"', '1, left: 1/2" leaves no room for its upright'),
        ('width = "19 5/8"', "width = 50", "1, width:"),
    ],
)
def test_a_chest_that_cannot_stand_there_is_one_line(now: str, then: str, said: str) -> None:
    closet = _with_chest(CHEST.replace(now, then))
    faults = [f"{place}: {words}" for place, words in bay_faults(closet)]
    faults = faults or [str(fault) for fault in opening_faults(closet, size_problem(closet, FEW))]
    assert any(f"[[wishes.unit]] {said}" in line for line in faults), faults


def test_a_chest_may_not_stand_in_a_blocked_part_nor_while_bays_are_kept() -> None:
    blocked = "[[wall.blocked]]\nleft = 12\nwidth = 2\nbottom = 20\nheight = 5\n"
    closet = parse_closet(_text("").replace(BAY, CHEST).replace("[panel]", blocked + "[panel]"))
    assert [place for place, _ in bay_faults(closet)] == ["[[wishes.unit]] 1, left"]
    ((place, words),) = [fault for fault in bay_faults(_with_chest(more="keep_bays = true\n")) if "wished" in fault[1]]
    assert place == "[[wishes.unit]]"
    assert "keep_bays" in words
