"""The checker where walls meet, where bays must be or stand already, and beside blocked parts: to the tick, by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support.cases import INCH, bank, box, problem, run, thing

from capacity.layout.fit_rules import stored_value, violations
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import BlockedPart, Corner, FixedBay, OpeningKind, Problem, Run

T, TOP, DEEP = 3 * INCH // 4, 84 * INCH, 15 * INCH
BASE = 3 * INCH + T
SHELF, HANG, DRAWER = OpeningKind.SHELF, OpeningKind.HANG, OpeningKind.DRAWER


def _filled(left: int, width: int, *heights: int, kind: OpeningKind = SHELF, top: int = TOP) -> Bay:
    """A bay of openings of these heights from the toe kick up; the last of them reaches to the top."""
    openings, bottom = [], BASE
    for height in heights:
        openings.append(Opening(kind, bottom, height))
        bottom += height + T
    return Bay(left, width, DEEP, (*openings, Opening(kind, bottom, top - T - bottom)))


def _layout(*walls: tuple[Bay, ...], owners: tuple[bool, ...] = ()) -> Layout:
    return Layout(tuple(WallLayout(name, bays) for name, bays in zip("abc", walls, strict=False)), owners)


def _names(facts: Problem, layout: Layout) -> set[str]:
    return {item.rule for item in violations(facts, layout)}


def _walls(*runs: Run, corners: tuple[Corner, ...] = (), **changes: object) -> Problem:
    """A household of one pair of shoes, 10 x 12 x 5 in, between these walls."""
    return problem([thing(1, "stand", 9, 10, 12, 5)], [*runs], corners, **changes)  # type: ignore[arg-type]


# ---- corners ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("tick", [0, 1])
def test_the_first_wall_steps_back_where_the_second_owns_the_corner(tick: int) -> None:
    """Wall a is 60 in, b 18 in deep, 12 in of access: uprights of a end 30 in from its right end."""
    facts = _walls(run("a", 60), run("b", 60, 18), corners=(Corner(0, 1),))
    left = 30 * INCH - T - 20 * INCH + tick
    assert _names(facts, _layout((_filled(left, 20 * INCH),), (), owners=(False,))) == ({"corner"} if tick else set())


@pytest.mark.parametrize("tick", [0, 1])
def test_the_wall_that_owns_the_corner_keeps_its_whole_width(tick: int) -> None:
    facts = _walls(run("a", 21.5), run("b", 60), run("c", 21.5), corners=(Corner(0, 1), Corner(1, 2)))
    bay = _filled(T, 20 * INCH + tick)
    # b loses 15 in and 12 in to each of its neighbours, which own both corners
    between = _filled(27 * INCH + T, 4 * INCH + INCH // 2)
    facts = replace(facts, rules=replace(facts.rules, min_bay=INCH))
    broken = _names(facts, _layout((bay,), (between,), (bay,), owners=(True, False)))
    assert broken == ({"wall width"} if tick else set())
    wider = replace(between, width=between.width + 1)
    assert "corner" in _names(facts, _layout((bay,), (wider,), (bay,), owners=(True, False)))


@pytest.mark.parametrize(("kept", "left", "passes"), [(26, 27, True), (28, 28, True), (28, 27, False), (26, 26, False)])
def test_of_what_is_kept_free_and_what_the_corner_takes_the_more_counts(kept: int, left: int, passes: bool) -> None:
    """At a corner 27 in are lost; so many more inches are to be kept free at that end anyway."""
    for at_left in (True, False):
        runs = [run("a", 60), run("b", 60)]
        side = int(at_left)
        runs[side] = replace(runs[side], **{"kept_left" if at_left else "kept_right": kept * INCH})
        facts = _walls(*runs, corners=(Corner(0, 1),))
        bay = _filled((left * INCH + T) if at_left else (60 - left - 20) * INCH - T, 20 * INCH)
        layout = _layout(*(((), (bay,)) if at_left else ((bay,), ())), owners=(at_left,))
        assert _names(facts, layout) == (set() if passes else {"corner"})


def test_what_a_part_of_a_wall_loses_is_read_for_that_choice_of_owners() -> None:
    facts = replace(
        _walls(run("a", 60), run("b", 60), corners=(Corner(0, 1),)),
        lost=(((True,), ((0, 0), (10 * INCH, 0))), ((False,), ((0, 0), (20 * INCH, 0)))),
    )
    bay = _filled(10 * INCH + T, 20 * INCH)
    assert _names(facts, _layout((), (bay,), owners=(True,))) == set()
    assert _names(facts, _layout((), (replace(bay, left=bay.left - 1),), owners=(True,))) == {"corner"}
    assert _names(facts, _layout((), (bay,), owners=(False,))) == {"corner"}


# ---- what the boards cost -----------------------------------------------------------------------------

SHELF_AREA, UPRIGHT_AREA = 20 * 15 * INCH**2, 84 * 15 * INCH**2


def _at_cost(facts: Problem, layout: Layout, area: int) -> None:
    """Exactly so much panel is in it."""
    assert _names(replace(facts, most_panel=area), layout) == set()
    assert _names(replace(facts, most_panel=area - 1), layout) == {"budget"}


def test_an_upright_between_two_bays_is_paid_for_once() -> None:
    """Two bays of 20 in with bottom, top and one shelf each; three uprights."""
    bays = (_filled(T, 20 * INCH, 30 * INCH), _filled(2 * T + 20 * INCH, 20 * INCH, 40 * INCH))
    _at_cost(_walls(run("a", 60)), _layout(bays), 6 * SHELF_AREA + 3 * UPRIGHT_AREA)


def test_an_upright_between_bays_of_two_heights_has_the_greater() -> None:
    """Ceiling from 90 in to 60 in over 60 in: over the bays at least 79.125 and 68.75 in; the higher is at the left."""
    facts = _walls(run("a", 60, 15, 90, 60))
    right_ends = (T + 20 * INCH, 2 * T + 40 * INCH)
    ceilings = [facts.runs[0].ceiling_over(0, right) for right in right_ends]
    assert ceilings == [round((90 - inches / 2) * INCH) for inches in (20.75, 41.5)]
    bays = tuple(
        _filled(right - 20 * INCH, 20 * INCH, top=high) for right, high in zip(right_ends, ceilings, strict=True)
    )
    _at_cost(facts, _layout(bays), 4 * SHELF_AREA + (2 * ceilings[0] + ceilings[1]) * DEEP)


def test_uprights_that_stand_today_cost_nothing() -> None:
    bay = _filled(T, 20 * INCH)
    fixed = (FixedBay(0, T, 20 * INCH, DEEP),)
    wall = run("a", 60)
    _at_cost(replace(_walls(wall), fixed=fixed, keeps_bays=True), _layout((bay,)), 2 * SHELF_AREA)
    _at_cost(_walls(replace(wall, is_kept=True)), _layout((bay,)), 2 * SHELF_AREA)
    _at_cost(_walls(wall), _layout((bay,)), 2 * SHELF_AREA + 2 * UPRIGHT_AREA)


def test_an_opening_on_the_floor_needs_no_bottom_and_none_over_the_top_a_second_panel() -> None:
    rod = Bay(T, 20 * INCH, DEEP, (Opening(HANG, 0, TOP - T), Opening(SHELF, TOP, 12 * INCH)))
    _at_cost(_walls(run("a", 60)), _layout((rod,)), SHELF_AREA + 2 * UPRIGHT_AREA)


# ---- bays that must be, and those that stand today ----------------------------------------------------


def test_a_bay_that_must_be_is_there_and_where_bays_are_kept_no_other() -> None:
    bay, other = _filled(T, 20 * INCH), _filled(30 * INCH, 20 * INCH)
    facts = replace(_walls(run("a", 60), run("b", 60)), fixed=(FixedBay(0, T, 20 * INCH, DEEP),))
    assert _names(facts, _layout((bay, other), (other,))) == set()  # one that must be may stand apart
    assert _names(facts, _layout((other,), (bay,))) == {"bay that must be"}
    assert _names(facts, _layout((replace(bay, width=bay.width - 1),), ())) == {"bay that must be"}
    kept = replace(facts, keeps_bays=True)
    assert _names(kept, _layout((bay,), ())) == set()
    assert _names(kept, _layout((bay, other), ())) == {"bay that must be"}


def test_bays_that_stand_today_may_be_of_any_width_and_anywhere() -> None:
    """Wider than shelf and rod may be, narrower than a new bay, past the end of the wall: they stand so."""
    wide, narrow = _filled(T, 50 * INCH, kind=HANG), _filled(2 * T + 50 * INCH, 5 * INCH)
    today = [(bay.left, bay.width) for bay in (wide, narrow)]
    facts = replace(_walls(run("a", 56)), fixed=tuple(FixedBay(0, left, width, DEEP) for left, width in today))
    layout = _layout((wide, narrow))
    assert _names(replace(facts, keeps_bays=True), layout) == set()
    assert _names(facts, layout) == {"wall width", "long rod", "narrow bay"}
    shelves = _layout((replace(wide, openings=_filled(0, 0).openings), narrow))
    assert _names(facts, shelves) == {"wall width", "long shelf", "narrow bay"}
    kept = replace(facts, fixed=(), runs=(replace(run("a", 60), is_kept=True),))
    assert _names(kept, layout) == set()


def test_the_depth_is_that_of_the_wall_or_of_the_bay_that_stands() -> None:
    bay = replace(_filled(T, 20 * INCH), depth=18 * INCH)
    facts = _walls(run("a", 60), run("b", 60))
    assert _names(facts, _layout((bay,), ())) == {"bay depth"}
    fixed = (FixedBay(1, T, 20 * INCH, 12 * INCH), FixedBay(0, T, 20 * INCH, 18 * INCH))
    other = replace(bay, depth=12 * INCH)
    assert _names(replace(facts, fixed=fixed), _layout((bay,), (other,))) == set()
    assert _names(replace(facts, fixed=fixed), _layout((other,), (bay,))) == {"bay depth"}


@pytest.mark.parametrize(("width", "broken"), [(20 * INCH, set()), (20 * INCH + 1, {"bay that must be"})])
def test_a_run_that_is_one_bay_has_it_in_its_width(width: int, broken: set[str]) -> None:
    facts = _walls(replace(run("a", 60), fixed=20 * INCH))
    assert _names(facts, _layout((_filled(T, width),))) == broken


def _bank(kinds: tuple[OpeningKind, ...], *, height: int = 6 * INCH, lift: int = 0) -> Bay:
    """Openings of one height from the toe kick up, then a shelf to the top."""
    bottoms = [BASE + lift + number * (height + T) for number in range(len(kinds) + 1)]
    low = [Opening(kind, bottom, height) for kind, bottom in zip(kinds, bottoms, strict=False)]
    return Bay(T, 20 * INCH, DEEP, (*low, Opening(SHELF, bottoms[-1], TOP - T - bottoms[-1])))


BANK = (DRAWER, DRAWER, DRAWER)


@pytest.mark.parametrize(
    ("bay", "passes"),
    [
        (_bank(BANK), True),
        (_bank(BANK[:2]), False),
        (_bank((*BANK, DRAWER)), False),
        (_bank((DRAWER, SHELF, DRAWER, DRAWER)), False),
        (_bank(BANK, height=6 * INCH + 1), False),
        (_bank((SHELF,) * 3), False),
    ],
)
def test_a_bank_of_drawers_is_built_as_wished(bay: Bay, passes: bool) -> None:
    """Three drawers of 6 in from the bottom panel up, and no other drawer in that bay."""
    walls = _walls(run("a", 60))
    fixed = (bank(walls, T / INCH, 20, 3, 6),)
    beside = replace(_bank((SHELF, DRAWER)), left=2 * T + 20 * INCH)  # another bay may have drawers as it likes
    facts = replace(walls, fixed=fixed)
    assert _names(facts, _layout((bay, beside))) == (set() if passes else {"opening that must be"})


@pytest.mark.parametrize("has_bay", [True, False])
def test_a_part_of_a_wall_that_is_a_bay_that_must_be_has_it(has_bay: bool) -> None:
    """The walls in parts that a search knows: nothing is saved by leaving out the bay of such a part."""
    facts = _walls(replace(run("a", 20 + 2 * T / INCH), fixed=20 * INCH))
    bays = (_bank(BANK[:1]),) if has_bay else ()
    assert _names(facts, _layout(bays)) == (set() if has_bay else {"bay that must be"})


def test_without_a_bank_a_bay_that_must_be_may_have_any_drawers() -> None:
    facts = replace(_walls(run("a", 60)), fixed=(FixedBay(0, T, 20 * INCH, DEEP),))
    assert _names(facts, _layout((_bank(BANK[:1]),))) == set()


# ---- what is in the way -------------------------------------------------------------------------------

HATCH = box(10, 5, 40, 10)


def _around(low: int, high: int, *blocked: BlockedPart, bottom: int = BASE) -> set[str]:
    """One shelf opening from the toe kick to `low`, one from `high` to the top, beside or behind `blocked`."""
    openings = (Opening(SHELF, bottom, low - bottom), Opening(SHELF, high, TOP - T - high))
    return _names(_walls(run("a", 40, 15, 84, None, *blocked)), _layout((Bay(T, 30 * INCH, DEEP, openings),)))


def test_only_behind_a_blocked_part_openings_may_be_two_panels_apart() -> None:
    low, thin = 40 * INCH - T, box(10, 5, 40, 0)
    assert _around(low, low + 2 * T, thin) == set()
    assert _around(low, low + 2 * T - 1, box(10, 5, 10, 0)) == {"panel between openings", "blocked"}
    assert _around(low, low + 2 * T + 1, thin) == set()
    assert _around(low, low + 2 * T, box(32, 5, 40, 0)) == {"panel between openings"}
    assert _around(low, low + 2 * T) == {"panel between openings"}


def test_only_over_a_blocked_part_a_bay_may_begin_higher() -> None:
    low, high = 40 * INCH, 40 * INCH + T
    kick = box(10, 5, 0, 10)
    raised = 10 * INCH + T
    assert _around(low, high, kick, bottom=raised) == set()
    assert _around(low, high, kick, bottom=raised - 1) == {"blocked"}
    assert _around(low, high, bottom=BASE + 1) == {"bottom panel"}
    assert _around(low, high, bottom=BASE - 1) == {"bottom panel"}
    assert _around(low, high, box(10, 5, 0, 1), bottom=BASE - 1) == {"bottom panel"}  # the toe kick stays


def test_only_under_a_blocked_part_a_bay_may_end_lower() -> None:
    """A duct under the ceiling from 70 in: the top panel may lie under it, but nowhere else."""

    def names(high: int, *blocked: BlockedPart) -> set[str]:
        facts = _walls(run("a", 40, 15, 84, None, *blocked))
        return _names(facts, _layout((Bay(T, 30 * INCH, DEEP, (Opening(SHELF, BASE, high - T - BASE),)),)))

    duct = box(10, 5, 70, 14)
    assert names(70 * INCH, duct) == set()
    assert names(70 * INCH + 1, duct) == {"blocked"}
    assert names(70 * INCH, box(32, 5, 70, 14)) == {"top panel"}
    assert names(TOP - 1) == {"top panel"}
    assert names(TOP) == set()


@pytest.mark.parametrize(("part", "hit"), [((31.5, 5), False), ((31.5 - 1 / 8128, 5), True), ((0, 0.75), True)])
def test_a_blocked_part_beside_the_outer_faces_is_out_of_the_way(part: tuple[float, float], hit: bool) -> None:
    """The uprights of the bay are 0 to 3/4 in and 30 3/4 to 31 1/2 in from the left end."""
    assert ("blocked" in _around(40 * INCH, 40 * INCH + T, box(*part, 5, 40))) is hit


def test_over_the_top_a_blocked_part_is_out_of_the_way_up_to_what_stands_there() -> None:
    """Over the top panel there is no panel above the opening: it may reach to the blocked part itself."""

    def names(high: int) -> set[str]:
        facts = _walls(run("a", 40, 15, 96, None, box(10, 5, 90, 6)))
        bay = _filled(T, 30 * INCH)
        over = Opening(SHELF, TOP, high)
        return _names(facts, _layout((replace(bay, openings=(*bay.openings, over)),)))

    assert names(6 * INCH) == set()
    assert names(6 * INCH + 1) == {"blocked"}


@pytest.mark.parametrize(
    ("changes", "broken"),
    [
        ({}, set()),
        ({"height": 0}, {"top opening"}),
        ({"height": 1}, set()),
        ({"bottom": TOP + 1}, {"top opening"}),
        ({"kind": DRAWER}, {"top opening"}),
    ],
)
def test_over_the_top_is_one_shelf_on_the_top_panel(changes: dict[str, int], broken: set[str]) -> None:
    bay = _filled(T, 30 * INCH)
    over = replace(Opening(SHELF, TOP, 11 * INCH), **changes)  # type: ignore[arg-type]
    assert _names(_walls(run("a", 40)), _layout((replace(bay, openings=(*bay.openings, over)),))) == broken


def test_under_a_ceiling_that_is_lower_there_is_nothing_over_the_top() -> None:
    """A ceiling of 80 in under a top of 84: the top panel lies at the ceiling."""
    bay = _filled(T, 30 * INCH, top=80 * INCH)
    facts = _walls(run("a", 40, 15, 80))
    assert _names(facts, _layout((bay,))) == set()
    assert _names(facts, _layout((_filled(T, 30 * INCH, top=80 * INCH + 1),))) == {"top panel"}
    over = replace(bay, openings=(*bay.openings, Opening(SHELF, 80 * INCH, INCH)))
    assert _names(facts, _layout((over,))) == {"top opening"}


# ---- what is said, and what stands side by side -------------------------------------------------------


@pytest.mark.parametrize(("most", "fits"), [(1, 2), (2, 4), (3, 6)])
def test_boxes_with_lids_stand_one_on_the_other_and_shoes_do_not(most: int, fits: int) -> None:
    """Two side by side in 20 in, in an opening high enough for sixteen; lidded: so many times two, and not one more."""
    facts, bay = _walls(run("a", 60)), _filled(T, 20 * INCH)
    facts = replace(facts, things=tuple(replace(thing, most=most) for thing in facts.things))
    for count, broken in ((fits, set()), (fits + 1, {"shelf full"})):
        filled = replace(bay, openings=(replace(bay.openings[0], holds=(Holding(1, count),)),))
        assert _names(facts, _layout((filled,))) == broken


def test_lidded_boxes_need_their_heights_and_the_gap_once() -> None:
    """Three boxes of 5 in and the gap of 1 in: 16 in hold a stack of three, a tick less two."""
    facts, bay = _walls(run("a", 60)), _filled(T, 12 * INCH)
    facts = replace(facts, things=tuple(replace(thing, most=3) for thing in facts.things))
    for height, broken in ((16 * INCH, set()), (16 * INCH - 1, {"shelf full"})):
        lower = Opening(SHELF, bay.openings[0].bottom, height, (Holding(1, 3),))
        above = lower.bottom + height + T
        rest = Opening(SHELF, above, 84 * INCH - T - above)
        assert _names(facts, _layout((replace(bay, openings=(lower, rest, *bay.openings[1:])),))) == broken


def test_a_violation_names_wall_bay_and_opening_as_a_person_counts_them() -> None:
    first, second = _filled(T, 20 * INCH), _filled(2 * T + 20 * INCH, 20 * INCH, 20 * INCH)
    upper = replace(second.openings[1], holds=(Holding(1, 3),))
    layout = _layout((first, replace(second, openings=(second.openings[0], upper))))
    wall = run("a", 60)
    assert [item.place for item in violations(_walls(wall), layout)] == ["wall a, bay 2, opening 2"]
    barred = violations(_walls(replace(wall, barred=(1,)), rows_deep=2), layout)
    assert [(item.rule, item.place) for item in barred] == [
        ("shelf full", "wall a, bay 2, opening 2"),
        ("wrong wall", "wall a, bay 2"),
    ]
    apart = replace(_walls(wall, owners_apart=True), things=(thing(1, "stand", 4, 5, 12, 5, owner="A"),
                    thing(2, "stand", 3, 5, 12, 5, owner="B"), thing(3, "stand", 3, 5, 12, 5)))  # fmt: skip
    mixed = replace(second, openings=(replace(second.openings[0], holds=(Holding(1, 1), Holding(3, 1))), upper))
    assert violations(apart, _layout((first, mixed))) == ()
    mixed = replace(second, openings=(replace(second.openings[0], holds=(Holding(2, 1),)), upper))
    assert [str(item) for item in violations(apart, _layout((first, mixed)))] == [
        "owners apart at wall a, bay 2: A and B"
    ]


@pytest.mark.parametrize(("left", "width", "spans"), [(1, 9, True), (0, 1, False), (31, 5, False), (22, 9, True)])
def test_a_bay_spans_what_lies_between_its_uprights_faces_included(left: int, width: int, spans: bool) -> None:
    """A bay from 1 to 31 in with a panel of no thickness, which is as if the uprights were not there."""
    facts = _walls(run("a", 40, 15, 84, None, box(left, width, 40, 10)))
    facts = replace(facts, rules=replace(facts.rules, panel=0))
    low, high = 40 * INCH, 50 * INCH
    openings = (Opening(SHELF, 3 * INCH, low - 3 * INCH), Opening(SHELF, high, TOP - high))
    names = _names(facts, _layout((Bay(INCH, 30 * INCH, DEEP, openings),)))
    assert names == (set() if spans else {"panel between openings"})


@pytest.mark.parametrize(("left", "stands"), [(0.75, True), (0.75 - 1 / 8128, False)])
def test_an_upright_stands_right_beside_a_blocked_part(left: float, stands: bool) -> None:
    facts = _walls(run("a", 40, 15, 84, None, box(left, 8, 40, 10)))
    openings = (Opening(SHELF, BASE, 40 * INCH - T - BASE), Opening(SHELF, 50 * INCH + T, TOP - 2 * T - 50 * INCH))
    assert (_names(facts, _layout((Bay(T, 30 * INCH, DEEP, openings),))) == set()) is stands


def test_what_is_blocked_is_said_of_its_opening() -> None:
    facts = _walls(run("a", 40, 15, 84, None, box(10, 5, 40, 10)))
    found = violations(facts, _layout((_filled(T, 20 * INCH, 20 * INCH),)))
    assert [item.place for item in found] == ["wall a, bay 1, opening 2"]


@pytest.mark.parametrize(("right", "hit"), [(30.75, False), (30.75 - 1 / 8128, True)])
def test_a_blocked_part_right_behind_the_upright_of_a_bay_that_stands(right: float, hit: bool) -> None:
    """Its clear room ends 30 3/4 in from the left; the upright there may stand in the blocked part, nothing else."""
    facts = replace(_walls(run("a", 60, 15, 84, None, box(right, 5, 40, 10))), keeps_bays=True)
    facts = replace(facts, fixed=(FixedBay(0, T, 30 * INCH, DEEP),))
    assert _names(facts, _layout((_filled(T, 30 * INCH),))) == ({"blocked"} if hit else set())


def test_a_layout_with_a_wall_too_few_or_too_many_is_told_so_whatever_else_is_wished() -> None:
    bay = _filled(T, 20 * INCH)
    facts = replace(_walls(replace(run("a", 60), barred=(1,)), run("b", 60)), most_panel=100 * UPRIGHT_AREA)
    assert _names(facts, _layout((bay,))) == {"walls match"}
    assert _names(facts, _layout((bay,), (), (bay,))) == {"walls match"}


def test_only_a_bay_that_must_be_may_stand_apart_from_its_neighbours() -> None:
    """Five inches apart, on a wall where every place is as good as any other."""
    bays = (_filled(T, 20 * INCH), _filled(25 * INCH + T, 20 * INCH))
    facts = _walls(run("a", 60))
    (found,) = violations(facts, _layout(bays))
    assert (found.rule, found.place) == ("upright thickness", "wall a, after bay 1")
    for bay in bays:
        assert violations(replace(facts, fixed=(FixedBay(0, bay.left, bay.width, DEEP),)), _layout(bays)) == ()
    assert violations(replace(facts, runs=(run("a", 60, 15, 96, 95),)), _layout(bays)) == ()


@pytest.mark.parametrize(("height", "broken"), [(0, {"panel between openings"}), (1, set())])
def test_an_opening_has_a_height(height: int, broken: set[str]) -> None:
    assert _names(_walls(run("a", 60)), _layout((_filled(T, 20 * INCH, height),))) == broken


def test_in_a_drawer_what_is_thicker_than_a_stack_may_be_lies_alone() -> None:
    """13 in thick, 18 in wide, in a drawer 26 in high and 18 in wide inside: one fits, a second one not over it."""
    facts = problem([thing(1, "drawer", 9, 18, 10, 13)], [run("a", 60)])
    high = 26 * INCH + 5 * INCH // 4
    for count, broken in ((1, set()), (2, {"drawer full"})):
        drawer = Opening(DRAWER, BASE, high, (Holding(1, count),))
        rest = Opening(SHELF, BASE + high + T, TOP - 2 * T - BASE - high)
        assert _names(facts, _layout((Bay(T, 20 * INCH, DEEP, (drawer, rest)),))) == broken


def test_the_value_is_counted_piece_by_piece() -> None:
    """Three at 3, two and one at 2, four at 1: 9 + 6 + 4."""
    facts = problem([thing(row, "stand", 9, 1, 1, 1, value=value) for row, value in ((1, 3), (2, 2), (5, 1))], [])
    first, second = (
        Bay(0, INCH, INCH, (Opening(SHELF, 0, INCH, holds), Opening(SHELF, 0, INCH)))
        for holds in ((Holding(1, 3), Holding(2, 2)), (Holding(5, 4), Holding(2, 1)))
    )
    assert stored_value(facts, _layout((first,), (second,))) == 19


@pytest.mark.parametrize(("free", "passes"), [(T, True), (T + 1, False), (2 * T - 1, False), (2 * T, True)])
def test_beside_a_bay_that_must_be_a_part_of_a_wall_shares_the_upright_or_keeps_clear(free: int, passes: bool) -> None:
    """The part ends with the other bay's upright: its own bay begins there, or has room for its own upright."""
    for side in ("shares_left", "shares_right"):
        facts = _walls(replace(run("a", 60), **{side: True}))
        left = free if side == "shares_left" else 60 * INCH - free - 20 * INCH
        found = violations(facts, _layout((_filled(left, 20 * INCH),)))
        assert [item.place for item in found] == ([] if passes else ["wall a, beside a bay that must be"])
        assert {item.rule for item in found} <= {"upright thickness"}
