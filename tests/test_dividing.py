"""Bays that must be, today's bays kept, things that keep to a wall: from the file to a plan that honours them."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import Any

import pytest
from cases import INCH, box, problem, random_things, run
from quick import changed, closet_of, inventory_of, sample

from capacity.design import design
from capacity.dividing import divide
from capacity.effort import Effort
from capacity.layout import Bay, Layout
from capacity.locks import bay_faults, lock_faults
from capacity.problem import Corner, FixedBay, Problem
from capacity.sizing import size_problem, todays_layout
from capacity.verify import violations

QUICK = Effort(factor=0.1)


def _walls(seed: int) -> Problem:
    """Three walls, one sloped and one with a blocked part, each with a bay that must be."""
    chance = random.Random(seed)
    things = random_things(chance, 8, 6)
    runs = [
        run("left", 90, 15, 90, 80),
        run("back", 100, 14, 96, None, box(52, 10, 30, 20)),
        run("right", 80, 15, 96),
    ]
    fixed = (
        FixedBay(0, 30 * INCH, 20 * INCH, 15 * INCH),
        FixedBay(1, 50 * INCH, 24 * INCH, 14 * INCH),
        FixedBay(2, 40 * INCH, 18 * INCH, 15 * INCH),
    )
    return replace(problem(things, runs, (Corner(0, 1), Corner(1, 2))), fixed=fixed)


@pytest.mark.parametrize("seed", range(3))
def test_walls_of_every_sort_get_their_bays(seed: int) -> None:
    """The joined layout keeps every fit rule of the whole walls, and comes apart into the same parts again."""
    facts = _walls(seed)
    found = design(facts, QUICK)
    whole = found.divided.joined(found.layout)
    assert violations(facts, whole) == ()
    for item in facts.fixed:
        assert (item.left, item.width) in {(bay.left, bay.width) for bay in whole.walls[item.run].bays}
    again = divide(facts).parted(whole)
    assert again is not None
    assert divide(facts).joined(again) == whole


def _rules(facts: Problem, layout: Layout) -> set[str]:
    return {item.rule for item in violations(facts, layout)}


def _with_bay(layout: Layout, wall: int, number: int, **new: Any) -> Layout:
    bays = list(layout.walls[wall].bays)
    bays[number] = replace(bays[number], **new)
    walls = list(layout.walls)
    walls[wall] = replace(walls[wall], bays=tuple(bays))
    return replace(layout, walls=tuple(walls))


def test_the_checker_wants_the_bay_to_the_tick() -> None:
    facts = _walls(0)
    found = design(facts, QUICK)
    whole = found.divided.joined(found.layout)
    number = [bay.left for bay in whole.walls[2].bays].index(40 * INCH)
    assert "bay that must be" in _rules(facts, _with_bay(whole, 2, number, left=40 * INCH + 1))
    assert "bay that must be" in _rules(facts, _with_bay(whole, 2, number, width=18 * INCH - 1))


def _kept() -> tuple[Problem, Layout]:
    data = changed(sample("couple-walk-in"), {"wishes.keep_bays": True})
    closet = closet_of(data)
    return size_problem(closet, inventory_of("couple-walk-in", closet)), todays_layout(closet)


def test_kept_bays_are_todays_bays_and_no_others() -> None:
    facts, today = _kept()
    found = design(facts, QUICK, today)
    whole = found.divided.joined(found.layout)
    assert violations(facts, whole) == ()

    def sizes(layout: Layout) -> list[tuple[int, int, int]]:
        return [(bay.left, bay.width, bay.depth) for wall in layout.walls for bay in wall.bays]

    assert sizes(whole) == sizes(today)
    first = whole.walls[0].bays[0]
    assert first.width > facts.rules.max_rod  # it stands, so it is not refused as too long
    assert "bay that must be" in _rules(facts, _with_bay(whole, 0, 0, width=first.width - 1))
    assert "bay depth" in _rules(facts, _with_bay(whole, 0, 0, depth=first.depth + 1))
    extra = Bay(first.left + first.width, 12 * INCH, first.depth, first.openings)
    walls = (replace(whole.walls[0], bays=(first, extra)), *whole.walls[1:])
    assert "bay that must be" in _rules(facts, replace(whole, walls=walls))


def test_what_keeps_to_a_wall_is_nowhere_else() -> None:
    wishes = [{"owner": "Theo", "wall": "back"}, {"what": "Dresses, short", "wall": "left"}]
    wishes[1]["what"] = "short dress"
    data = changed(sample("couple-walk-in"), {"wishes.keep_to": wishes})
    closet = closet_of(data)
    inventory = inventory_of("couple-walk-in", closet)
    assert list(lock_faults(closet, inventory)) == []
    facts = size_problem(closet, inventory)
    theirs = {pile.row for pile in inventory.piles if pile.owner == "Theo"}
    assert theirs
    assert theirs <= set(facts.runs[0].barred)
    found = design(facts, QUICK)
    held = {item.row for bay in found.layout.walls[0].bays for opening in bay.openings for item in opening.holds}
    assert held
    assert not held & theirs
    assert any(thing.row in found.layout.stored() for thing in facts.things if thing.row in theirs)
    moved = replace(found.layout, walls=found.layout.walls[::-1])
    swapped = tuple(replace(wall, name=run.name) for wall, run in zip(moved.walls, facts.runs, strict=True))
    assert "wrong wall" in _rules(facts, replace(moved, walls=swapped))


def test_an_owners_wall_takes_nothing_of_another_owner() -> None:
    data = changed(sample("couple-walk-in"), {"wishes.keep_to": [{"owner": "Noor", "wall": "left", "alone": True}]})
    closet = closet_of(data)
    inventory = inventory_of("couple-walk-in", closet)
    facts = size_problem(closet, inventory)
    barred = {inventory.pile(row).owner for row in facts.runs[0].barred}
    assert barred == {"Theo"}
    assert {inventory.pile(row).owner for row in facts.runs[1].barred} == {"Noor"}


@pytest.mark.parametrize(
    ("wishes", "place", "words"),
    [
        ({"keep_to": [{"owner": "Zoe", "wall": "left"}]}, "[[wishes.keep_to]] 1, owner", "owns nothing"),
        ({"keep_to": [{"owner": "Noor", "wall": "attic"}]}, "[[wishes.keep_to]] 1, wall", "is not a wall"),
        ({"keep_to": [{"what": "sneekers", "wall": "left"}]}, "[[wishes.keep_to]] 1, what", "is not a kind"),
        (
            {"keep_to": [{"owner": "Noor", "wall": "left"}, {"what": "jeans", "wall": "back"}]},
            "[[wishes.keep_to]]",
            "no wall",
        ),
    ],
)
def test_a_wish_that_cannot_be_is_one_line(wishes: dict[str, Any], place: str, words: str) -> None:
    closet = closet_of(changed(sample("couple-walk-in"), {f"wishes.{name}": value for name, value in wishes.items()}))
    faults = list(lock_faults(closet, inventory_of("couple-walk-in", closet)))
    assert any(fault.place == place and words in fault.problem for fault in faults)


@pytest.mark.parametrize(
    ("bay", "place", "words"),
    [
        ({"wall": "attic", "left": 10, "width": 20}, "wall", "is not a wall"),
        ({"wall": "back", "left": 0, "width": 20}, "left", "no room for its upright"),
        ({"wall": "back", "left": 70, "width": 20}, "width", "beyond the wall"),
        ({"wall": "back", "left": 10, "width": 8}, "width", "less than min_bay"),
        ({"wall": "back", "left": 10, "width": 60}, "width", "longest shelf or rod"),
    ],
)
def test_a_bay_that_cannot_be_is_one_line(bay: dict[str, Any], place: str, words: str) -> None:
    closet = closet_of(changed(sample("couple-walk-in"), {"wishes.bay": [bay]}))
    (fault,) = list(bay_faults(closet))
    assert fault[0] == f"[[wishes.bay]] 1, {place}"
    assert words in fault[1]


def test_two_bays_may_not_overlap_nor_share_a_corner() -> None:
    two = [{"wall": "back", "left": 30, "width": 20}, {"wall": "back", "left": 45, "width": 20}]
    assert [place for place, _ in bay_faults(closet_of(changed(sample("couple-walk-in"), {"wishes.bay": two})))] == [
        "[[wishes.bay]] 2, left"
    ]
    corner = [{"wall": "left", "left": 50, "width": 14}, {"wall": "back", "left": 2, "width": 14}]
    faults = list(bay_faults(closet_of(changed(sample("couple-walk-in"), {"wishes.bay": corner}))))
    assert len(faults) == 1
    assert "corner" in faults[0][1]


def test_bays_to_keep_must_be_there() -> None:
    data = changed(sample("couple-walk-in"), {"wishes.keep_bays": True})
    closet = closet_of(data)
    assert list(bay_faults(closet)) == []
    assert "no bays to keep" in next(iter(bay_faults(closet.model_copy(update={"before": ()}))))[1]
