"""Bays that must be, today's bays kept, things that keep to a wall: from the file to a plan that honours them."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import Any

import pytest
from support.cases import INCH, box, problem, random_things, run
from support.quick import changed, closet_of, inventory_of, sample

from capacity.layout.fit_rules import violations
from capacity.layout.layout import Bay, Holding, Layout, WallLayout
from capacity.layout.problem import BlockedPart, Corner, FixedBay, OpeningKind, Problem
from capacity.layout.sketches import BaySketch, OpeningSketch, build_bay, build_wall, closed, finish
from capacity.makeover.files_to_problem import size_problem, todays_layout
from capacity.makeover.what_must_be import bay_faults, lock_faults
from capacity.solver.effort import Effort
from capacity.solver.filling.patterns import pattern_filling
from capacity.solver.relaxation.structure import empty_structure, open_state
from capacity.solver.relaxation.value_bound import design_master
from capacity.solver.search.design import design, first_layout
from capacity.solver.search.diving import dive
from capacity.solver.search.ruin_and_recreate import Recreator
from capacity.solver.search.rule_of_thumb import rule_of_thumb
from capacity.solver.search.wall_parts import divide

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
    whole = found.layout
    assert violations(facts, whole) == ()
    for item in facts.fixed:
        assert (item.left, item.width) in {(bay.left, bay.width) for bay in whole.walls[item.run].bays}
    again = divide(facts).parted(whole)
    assert again is not None
    assert divide(facts).joined(again) == whole


def _between(width: float, *blocked: BlockedPart, low: float = 96, **limits: float) -> Problem:
    """A wall with two bays that must be, 14 in wide, and so much wall between their faces; panels of 3/4 in."""
    things = random_things(random.Random(4), 12, 12)
    wall = run("back", 2 * 14 + 2 * 0.75 + width, 15, 96, low, *blocked)
    fixed = (
        FixedBay(0, 3 * INCH // 4, 14 * INCH, 15 * INCH),
        FixedBay(0, round((14.75 + width) * INCH), 14 * INCH, 15 * INCH),
    )
    ticks: dict[str, object] = {name: round(limit * INCH) for name, limit in limits.items()}
    return replace(problem(things, [wall], **ticks), fixed=fixed)  # type: ignore[arg-type]


def _widths(facts: Problem, *widths: float, store: str = "stand") -> list[float] | None:
    """The widths [in] of shelf bays, or bays of rods, of the free wall in `facts` after its gap is closed."""
    kind = OpeningKind.SHELF if store == "stand" else OpeningKind.HANG
    sketches = [BaySketch(round(width * INCH), None, (OpeningSketch(kind, 20 * INCH),)) for width in widths]
    made = closed(divide(facts).problem, 1, sketches)
    return None if made is None else [sketch.width / INCH for sketch in made]


def test_what_is_left_between_two_bays_that_must_be_is_nothing_or_a_panel_at_least() -> None:
    """By hand: of 40 in the bays have 38 1/2 between two shared uprights if they are one, 37 3/4 if they are two."""
    wall = _between(40)
    assert _widths(wall, 20, 17.75) == [20, 17.75]
    assert _widths(wall, 20, 17) == [20, 17]  # an upright beside an upright
    assert _widths(wall, 20, 17.5) == [20, 17.75]
    assert _widths(wall, 20, 17.25, store="hang") == [20, 17.75]
    assert _widths(wall, 12, 12) == [12, 12]
    assert _widths(wall) == []
    assert _widths(wall, 38, store="hang") == [38.5]
    assert _widths(_between(38.25), 36) == [36]  # 3/4 in is left beside the longest shelf
    assert _widths(_between(38.2), 36) is None
    assert _widths(_between(37.6), 36) is None
    assert _widths(_between(37.5), 35.9) == [36]
    assert _widths(_between(50, max_shelf=24), 24, 23.25) == [24, 23.75]
    assert _widths(_between(50, max_shelf=24), 23.5, 24) == [23.75, 24]
    assert _widths(_between(50.5, max_shelf=24), 24, 23.75) is None


def test_what_is_left_over_between_two_bays_that_must_be_widens_the_bays_up_to_an_upright() -> None:
    """By hand: of 37 in a shelf has 35 1/2 between two shared uprights; of 38 in it would be too long, so 35 3/4."""
    for wall, wide in ((37, 35.5), (38, 35.75), (39, 36)):
        parts = divide(_between(wall)).problem
        sketch = BaySketch(30 * INCH, None, (OpeningSketch(OpeningKind.SHELF, 20 * INCH, (Holding(1, 1),)),))
        walls = [build_wall(parts, index, (), [sketch] if index == 1 else []) for index in range(3)]
        (bay,) = finish(parts, Layout(tuple(walls), ())).walls[1].bays
        assert bay.width / INCH == wide


def _keeps_the_rules(parts: Problem, layout: Layout) -> None:
    assert violations(parts, layout) == ()
    assert layout.walls[1].bays


@pytest.mark.parametrize("off", [0, 1, 2, 3])
def test_the_rule_of_thumb_leaves_no_tick_beside_a_bay_that_must_be(off: int) -> None:
    """Equal bays leave up to a tick each of the wall before the first bay that must be, and of that between two."""
    facts = problem(random_things(random.Random(4), 12, 12), [run("back", 150, 15, 96)])
    places = (50 * INCH + off, 115 * INCH)
    facts = replace(facts, fixed=tuple(FixedBay(0, place, 14 * INCH, 15 * INCH) for place in places))
    parts = divide(facts).problem
    for layout in rule_of_thumb(parts, ()):
        assert len(layout.walls[0].bays) >= 2
        _keeps_the_rules(parts, layout)
        assert violations(facts, divide(facts).joined(layout)) == ()


@pytest.mark.parametrize("width", [14, 26.8, 37.6, 40.3, 74.4])
def test_no_step_of_the_search_leaves_a_gap_narrower_than_a_panel(width: float) -> None:
    """Of 37.6 in a shelf takes 36, and beside it 1/10 in would be left; of 74.4 in two take 72."""
    parts = divide(_between(width)).problem
    effort, chance = Effort(), random.Random(1)
    for layout in rule_of_thumb(parts, ()):
        _keeps_the_rules(parts, layout)
    master = design_master(parts)
    master.set_state(open_state(parts, ()))
    master.generate(10)
    dived = pattern_filling(master, dive(master, empty_structure(parts, ()), None, effort), effort)
    _keeps_the_rules(parts, dived)
    search = Recreator(parts, chance)
    for start in (dived, first_layout(parts)):
        for _ in range(5):
            start = search.improve(start, 20, effort, parts.value_of_all)
            _keeps_the_rules(parts, start)
            _keeps_the_rules(parts, finish(parts, start))


@pytest.mark.parametrize("width", [14, 14.1, 26.3, 40.3])
@pytest.mark.parametrize("sort", ["falling", "rising", "blocked"])
def test_a_dive_meets_the_second_upright_where_places_count(width: float, sort: str) -> None:
    """The one bay of 14.1 in, and the last bay of a row, is a little wider than the grid has it; by the rules."""
    blocked = [box(17, 6, 60, 10)] if sort == "blocked" else []
    facts = _between(width, *blocked, low=88 if sort == "falling" else 96)
    if sort == "rising":
        facts = replace(facts, runs=(replace(facts.runs[0], ceiling_left=88 * INCH),))
    parts = divide(facts).problem
    assert (parts.runs[1].shares_left, parts.runs[1].shares_right, parts.runs[1].is_plain) == (True, True, False)
    master, effort = design_master(parts), Effort()
    master.set_state(open_state(parts, ()))
    master.generate(10)
    layout = pattern_filling(master, dive(master, empty_structure(parts, ()), None, effort), effort)
    _keeps_the_rules(parts, layout)
    last = layout.walls[1].bays[-1]
    if width < 20:  # there is no other bay
        assert last.left + last.width + parts.rules.panel == parts.runs[1].width
    assert all(stack.bottom + stack.height <= parts.top for stack in last.openings if stack.bottom < parts.top)


def test_the_checker_wants_a_shared_upright_or_a_panel_between_two() -> None:
    """A part of a wall that ends in the uprights of bays that must be, with one bay put a tick off them."""
    parts = divide(_between(40, low=88)).problem
    thick, width = parts.rules.panel, parts.runs[1].width
    bay = build_bay(parts, parts.runs[1], thick, BaySketch(12 * INCH, None, ()))
    fixed = [build_bay(parts, parts.runs[0], thick, BaySketch(14 * INCH, None, (), (), thick))] * 2
    names = [wall.name for wall in parts.runs]
    for left in (thick, 2 * thick, width - 12 * INCH - thick, width - 12 * INCH - 2 * thick):
        for off in (-1, 0, 1):
            walls = [(fixed[0],), (replace(bay, left=left + off),), (fixed[1],)]
            layout = Layout(tuple(map(WallLayout, names, walls)), ())
            wrong = off in (
                (-1, 1) if left in (thick, width - 12 * INCH - thick) else (-1,) if left < width // 2 else (1,)
            )
            assert ("upright thickness" in _rules(parts, layout)) == wrong, (left, off)


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
    whole = found.layout
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
    whole = found.layout
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
    two: list[dict[str, Any]] = [
        {"wall": "back", "left": 25, "width": 20}, {"wall": "back", "left": 40, "width": 20},
    ]  # fmt: skip
    assert [place for place, _ in bay_faults(closet_of(changed(sample("couple-walk-in"), {"wishes.bay": two})))] == [
        "[[wishes.bay]] 2, left"
    ]
    for left, is_fault in (("45 23/32", False), ("45 3/4", True), ("46 27/64", True), ("46 7/16", False)):
        two[1]["left"] = left  # panels of 23/32 in
        faults = list(bay_faults(closet_of(changed(sample("couple-walk-in"), {"wishes.bay": two}))))
        assert len(faults) == is_fault, left
        two[0], two[1] = two[1], two[0]
        assert len(list(bay_faults(closet_of(changed(sample("couple-walk-in"), {"wishes.bay": two}))))) == is_fault
        two[0], two[1] = two[1], two[0]
        if is_fault:
            assert faults[0][0] == "[[wishes.bay]] 2, left"
            assert '23/32", for one upright, or 1 7/16" at least, for two' in faults[0][1]
    corner = [{"wall": "left", "left": 50, "width": 14}, {"wall": "back", "left": 2, "width": 14}]
    faults = list(bay_faults(closet_of(changed(sample("couple-walk-in"), {"wishes.bay": corner}))))
    assert len(faults) == 1
    assert "corner" in faults[0][1]


def test_bays_to_keep_must_be_there() -> None:
    data = changed(sample("couple-walk-in"), {"wishes.keep_bays": True})
    closet = closet_of(data)
    assert list(bay_faults(closet)) == []
    assert "no bays to keep" in next(iter(bay_faults(closet.model_copy(update={"before": ()}))))[1]
