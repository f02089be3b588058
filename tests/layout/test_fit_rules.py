"""The checker: a right layout passes, and one spoiled by a tick is refused by the rule's name."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest
from support.cases import INCH, box, problem, run, thing

from capacity.layout.fit_rules import violations
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import Corner, FixedBay, OpeningKind, Problem

T, TOP = 3 * INCH // 4, 84 * INCH
BASE = 3 * INCH + T
SHELF, HANG, DRAWER = OpeningKind.SHELF, OpeningKind.HANG, OpeningKind.DRAWER


def _household(**changes: object) -> Problem:
    """One 40 in wall: shoes 10 x 12 x 5, jeans 10 x 14 x 1, shirts 38 long, socks."""
    things = [
        thing(1, "stand", 3, 10, 12, 5),
        thing(2, "stack", 8, 10, 14, 1, most=4),
        thing(3, "hang", 4, 38, 2.5, owner="A"),
        thing(4, "drawer", 6, 4, 4, 2, owner="B"),
    ]
    return problem(things, [run("back", 40)], **changes)  # type: ignore[arg-type]


def _layout(width: int = 30 * INCH) -> Layout:
    """Drawer, shelf with shoes, shelf with two full stacks of jeans, rod to the top, one more shelf above."""
    openings, bottom = [], BASE
    for kind, height, holds in (
        (DRAWER, 2 * INCH + 5 * INCH // 4, (Holding(4, 6),)),
        (SHELF, 6 * INCH, (Holding(1, 3),)),
        (SHELF, 5 * INCH, (Holding(2, 8),)),
    ):
        openings.append(Opening(kind, bottom, height, holds))
        bottom += height + T
    openings.append(Opening(HANG, bottom, TOP - T - bottom, (Holding(3, 4),)))
    openings.append(Opening(SHELF, TOP, 12 * INCH, ()))
    return Layout((WallLayout("back", (Bay(T, width, 15 * INCH, tuple(openings)),)),))


def _bay(layout: Layout, **changes: object) -> Layout:
    wall = layout.walls[0]
    return replace(layout, walls=(replace(wall, bays=(replace(wall.bays[0], **changes),)),))  # type: ignore[arg-type]


def _opening(layout: Layout, index: int, **changes: object) -> Layout:
    openings = list(layout.walls[0].bays[0].openings)
    openings[index] = replace(openings[index], **changes)  # type: ignore[arg-type]
    return _bay(layout, openings=tuple(openings))


def _names(facts: Problem, layout: Layout) -> set[str]:
    return {item.rule for item in violations(facts, layout)}


def test_a_right_layout_breaks_nothing() -> None:
    assert violations(_household(), _layout()) == ()


def _with(facts: Problem, row: int, **changes: object) -> Problem:
    return replace(
        facts,
        things=tuple(replace(item, **changes) if item.row == row else item for item in facts.things),  # type: ignore[arg-type]
    )


ROD_HEIGHT = _layout().walls[0].bays[0].openings[3].height

SPOILED: dict[str, Callable[[], tuple[Problem, Layout]]] = {
    "wall width": lambda: (replace(_household(), runs=(run("back", 31.5 - 1 / 8128),)), _layout()),
    "narrow bay": lambda: (_household(min_bay=30 * INCH + 1), _layout()),
    "long shelf": lambda: (_household(max_shelf=30 * INCH - 1), _layout()),
    "long rod": lambda: (_household(max_rod=30 * INCH - 1), _layout()),
    "bay depth": lambda: (_household(), _bay(_layout(), depth=15 * INCH - 1)),
    "bottom panel": lambda: (_household(toe_kick=3 * INCH + 1), _layout()),
    "panel between openings": lambda: (_household(), _opening(_layout(), 1, height=6 * INCH - 1)),
    "top panel": lambda: (_household(), _opening(_layout(), 3, height=ROD_HEIGHT + 1)),
    "top opening": lambda: (_household(), _opening(_layout(), 4, height=12 * INCH + 1)),
    "count": lambda: (_with(_household(), 1, count=2), _layout()),
    "kind of opening": lambda: (_household(), _opening(_layout(), 3, holds=(Holding(1, 1),))),
    "too high": lambda: (_with(_household(), 1, height=5 * INCH + 1), _layout()),
    "too deep": lambda: (_with(_household(), 1, depth=15 * INCH + 1), _layout()),
    "shelf full": lambda: (_with(_household(), 1, width=10 * INCH + 1), _layout()),
    "rod full": lambda: (_with(_household(), 3, rod=30 * INCH // 4 + 1), _layout()),
    "hem": lambda: (
        _with(_household(), 3, drop=ROD_HEIGHT - 4 * INCH + 1),
        _layout(),
    ),
    "drawer full": lambda: (_with(_household(), 4, count=66), _opening(_layout(), 0, holds=(Holding(4, 22),))),
    "owners apart": lambda: (_household(owners_apart=True), _layout()),
    "walls match": lambda: (replace(_household(), runs=(run("front", 40),)), _layout()),
    "blocked": lambda: (replace(_household(), runs=(run("back", 40, 15, 96, None, box(10, 5, 40, 5)),)), _layout()),
}  # fmt: skip


@pytest.mark.parametrize("rule", sorted(SPOILED))
def test_a_spoiled_layout_is_refused_by_name(rule: str) -> None:
    facts, layout = SPOILED[rule]()
    assert rule in _names(facts, layout)


@pytest.mark.parametrize(("kept", "passes"), [((0, 10), True), ((1, 0), False), ((0, 11), False)])
def test_what_is_kept_free_at_an_end_stays_free(kept: tuple[int, int], passes: bool) -> None:
    """31 1/2 in from the left end of a wall of that and 10 ticks."""
    wall = replace(run("back", 31.5), width=31 * INCH + INCH // 2 + 10, kept_left=kept[0], kept_right=kept[1])
    assert _names(replace(_household(), runs=(wall,)), _layout()) == (set() if passes else {"wall width"})


def test_a_stack_one_tick_too_thick_takes_one_more_column() -> None:
    """Eight jeans 1 in thick make two stacks of four in 5 in; a tick more and only three go in a stack."""
    thicker = _with(_household(), 2, height=INCH + 1, width=15 * INCH)
    assert _names(_with(_household(), 2, width=15 * INCH, depth=10 * INCH), _layout()) == set()
    assert _names(thicker, _layout()) == {"shelf full"}


@pytest.mark.parametrize(("short", "passes"), [(0, True), (1, False)])
def test_rods_need_uprights_twelve_inches_deep(short: int, passes: bool) -> None:
    facts = replace(_household(), runs=(run("back", 40, 12 - short / 8128),))
    layout = _bay(_layout(), depth=12 * INCH - short)
    assert ("rod depth" not in _names(facts, layout)) is passes


def test_spare_room_is_left_free() -> None:
    """Three shoes of 10 in fill 30 in; with a tenth to spare they do not fit."""
    assert "shelf full" in _names(_household(spare=Fraction(1, 10)), _layout())


def test_the_wall_that_does_not_own_the_corner_steps_back() -> None:
    facts = problem([thing(1, "stand", 1, 10, 12, 5)], [run("a", 40), run("b", 60)], (Corner(0, 1),))
    wall = _layout(20 * INCH).emptied().walls[0]
    start = (15 + 12) * INCH + T

    def layout(left: int) -> Layout:
        bay = replace(wall.bays[0], left=left)
        return Layout((WallLayout("a", ()), WallLayout("b", (bay,))), (True,))

    assert _names(facts, layout(start)) == set()
    assert _names(facts, layout(start - 1)) == {"corner"}


def test_an_upright_is_one_panel_thick() -> None:
    wall = _layout(15 * INCH).emptied().walls[0]
    first = wall.bays[0]

    def layout(between: int) -> Layout:
        second = replace(first, left=first.left + first.width + between)
        return Layout((WallLayout("back", (first, second)),))

    assert _names(_household(), layout(T)) == set()
    assert _names(_household(), layout(T + 1)) == {"upright thickness"}


MORE_SPOILED: dict[str, Callable[[], tuple[Problem, Layout]]] = {
    "an owner for a corner that is none": lambda: (_household(), replace(_layout(), owners=(True,))),
    "two openings above the top panel": lambda: (
        _household(),
        _bay(_layout(), openings=(*_layout().walls[0].bays[0].openings, Opening(SHELF, TOP, INCH))),
    ),
    "pieces of no pile": lambda: (_household(), _opening(_layout(), 4, holds=(Holding(9, 1),))),
    "no pieces at all": lambda: (_household(), _opening(_layout(), 4, holds=(Holding(1, 0),))),
    "an opening without height": lambda: (_household(), _opening(_layout(), 1, height=0)),
    "an opening above the top that is a rod": lambda: (_household(), _opening(_layout(), 4, kind=HANG)),
}
NAMES = {
    "an owner for a corner that is none": "corner",
    "two openings above the top panel": "top opening",
    "pieces of no pile": "count",
    "no pieces at all": "count",
    "an opening without height": "panel between openings",
    "an opening above the top that is a rod": "top opening",
}


@pytest.mark.parametrize("case", sorted(MORE_SPOILED))
def test_a_layout_that_makes_no_sense_is_refused_by_name(case: str) -> None:
    facts, layout = MORE_SPOILED[case]()
    assert NAMES[case] in _names(facts, layout)


def test_a_violation_reads_as_one_line() -> None:
    (found,) = violations(_household(), _bay(_layout(), depth=15 * INCH + 1))
    assert str(found) == f"bay depth at wall back, bay 1: {15 * INCH + 1} on a wall of {15 * INCH}"


def _spanning(low: int, high: int) -> tuple[Problem, Layout]:
    """A bay that spans a hatch from 40 to 50 in: one shelf opening up to `low`, one from `high` to the top."""
    facts = problem([], [run("back", 40, 15, 84, None, box(10, 5, 40, 10))])
    openings = (Opening(SHELF, BASE, low - BASE), Opening(SHELF, high, TOP - T - high))
    return facts, Layout((WallLayout("back", (Bay(T, 30 * INCH, 15 * INCH, openings),)),))


def test_a_bay_that_spans_a_blocked_part_leaves_it_open_to_the_tick() -> None:
    """The panel over the lower opening ends at the hatch and the one under the upper opening starts at it."""
    below, above = 40 * INCH - T, 50 * INCH + T
    assert _names(*_spanning(below, above)) == set()
    assert _names(*_spanning(below + 1, above)) == {"blocked"}
    assert _names(*_spanning(below, above - 1)) == {"blocked"}


def test_a_bay_has_an_opening_even_where_it_spans_a_blocked_part() -> None:
    facts, layout = _spanning(30 * INCH, 60 * INCH)
    assert _names(facts, _bay(layout, openings=())) == {"bay without an opening"}


def test_no_piece_is_stored_on_the_side_that_does_not_fit() -> None:
    """A shoe of 10 x 16 in is too deep for 15 in, but fits turned; then it takes 16 in of width."""
    facts = _with(_household(), 1, depth=16 * INCH, count=1)
    straight, turned = (_opening(_layout(), 1, holds=(Holding(1, 1, is_turned),)) for is_turned in (False, True))
    assert _names(facts, straight) == {"too deep"}
    assert _names(facts, turned) == set()


def test_an_empty_rod_on_the_floor_does_not_do_away_with_the_toe_kick() -> None:
    """As high as the toe kick it gains nothing and may stand there; a tick lower it would only save height."""

    def layout(height: int) -> Layout:
        shelf = Opening(SHELF, height + T, TOP - T - height - T)
        bay = Bay(T, 30 * INCH, 15 * INCH, (Opening(HANG, 0, height), shelf))
        return Layout((WallLayout("back", (bay,)),))

    assert _names(_household(), layout(3 * INCH)) == set()
    assert _names(_household(), layout(3 * INCH - 1)) == {"bottom panel"}


def test_what_stands_today_may_have_an_upright_in_a_blocked_part() -> None:
    """The part begins in the middle of the right upright: a new bay may not stand there, one that is kept may."""
    upright = 0.75 + 30  # in, its left face
    facts = replace(_household(), runs=(run("back", 60, 15, 96, None, box(upright + 0.25, 8, 40, 20)),))
    fixed = (FixedBay(0, T, 30 * INCH, 15 * INCH),)
    assert "blocked" in _names(replace(facts, fixed=fixed), _layout())
    assert _names(replace(facts, fixed=fixed, keeps_bays=True), _layout()) == set()
    inside = replace(facts, runs=(run("back", 60, 15, 96, None, box(upright - 0.25, 8, 40, 20)),))
    assert "blocked" in _names(replace(inside, fixed=fixed, keeps_bays=True), _layout())


AT_THE_LIMIT: dict[str, Callable[[], tuple[Problem, Layout]]] = {
    "long shelf": lambda: (_household(max_shelf=30 * INCH), _layout()),
    "long rod": lambda: (_household(max_rod=30 * INCH), _layout()),
    "narrow bay": lambda: (_household(min_bay=30 * INCH), _layout()),
    "hem": lambda: (_with(_household(), 3, drop=ROD_HEIGHT - 4 * INCH), _layout()),
    "too deep": lambda: (_with(_household(), 1, depth=15 * INCH), _layout()),
    "rod full": lambda: (_with(_household(), 3, rod=30 * INCH // 4), _layout()),
    "wall width": lambda: (replace(_household(), runs=(run("back", 31.5),)), _layout()),
    "one piece": lambda: (_with(_household(), 1, count=1), _opening(_layout(), 1, holds=(Holding(1, 1),))),
    "budget": lambda: (replace(_household(), most_panel=(5 * 30 + 2 * 84) * 15 * INCH**2), _layout()),
}


@pytest.mark.parametrize("rule", sorted(AT_THE_LIMIT))
def test_a_layout_at_the_limit_is_right(rule: str) -> None:
    facts, layout = AT_THE_LIMIT[rule]()
    assert _names(facts, layout) == set()


def test_the_budget_counts_every_panel_by_hand() -> None:
    """Five shelves of 30 x 15 in and two uprights of 84 x 15 in, and not a square tick less."""
    facts = replace(_household(), most_panel=(5 * 30 + 2 * 84) * 15 * INCH**2 - 1)
    assert _names(facts, _layout()) == {"budget"}


@pytest.mark.parametrize(("between", "passes"), [(T, True), (2 * T - 1, False), (2 * T, True), (T + 1, False)])
def test_beside_a_blocked_part_bays_share_an_upright_or_have_one_each(between: int, passes: bool) -> None:
    facts = replace(_household(), runs=(run("back", 90, 15, 96, None, box(80, 5, 40, 5)),))
    bay = _layout().emptied().walls[0].bays[0]
    layout = Layout((WallLayout("back", (bay, replace(bay, left=bay.left + bay.width + between))),))
    assert _names(facts, layout) == (set() if passes else {"upright thickness"})


@pytest.mark.parametrize(("count", "passes"), [(6 * 7, True), (6 * 7 + 1, False)])
def test_a_drawer_holds_stacks_of_at_most_twelve_inches(count: int, passes: bool) -> None:
    """14 in high inside; pieces 2 in thick and 4 in wide: six high, not seven, seven side by side in 28 in, one row."""
    facts = _with(_household(), 4, count=99, depth=13 * INCH)
    openings = _layout().walls[0].bays[0].openings
    high = 14 * INCH + 5 * INCH // 4
    drawer = replace(openings[0], height=high, holds=(Holding(4, count),))
    top = Opening(SHELF, BASE + high + T, TOP - T - (BASE + high + T), ())
    layout = _bay(_layout(), openings=(drawer, top, openings[-1]))
    assert _names(facts, layout) == (set() if passes else {"drawer full"})


@pytest.mark.parametrize(
    ("bay", "deep", "count", "broken"),
    [
        (15, 13 * INCH, 14, set()),
        (15, 13 * INCH + 1, 14, {"too deep"}),
        (17 - 1 / 8128, 13 * INCH + 1, 14, {"too deep"}),
        (17, 15 * INCH, 14, set()),
        (17, 15 * INCH + 1, 14, {"too deep"}),
        (15, 13 * INCH // 2, 28, set()),
        (15, 13 * INCH // 2, 29, {"drawer full"}),
        (15, 13 * INCH // 2 + 1, 15, {"drawer full"}),
    ],
)
def test_a_drawer_is_as_deep_as_its_slide_and_filled_to_its_back(
    bay: float, deep: int, count: int, broken: set[str]
) -> None:
    """Slides come in steps of 2 in and end an inch before the back; 14 in of slide have 13 in inside, 16 in 15 in.

    Pieces 4 in wide and 2 in thick in a drawer 4 in high and 28 in wide inside: two high, seven side by side.
    """
    facts = _with(replace(_household(), runs=(run("back", 40, bay),)), 4, count=99, depth=deep)
    high = 4 * INCH + 5 * INCH // 4
    drawer = Opening(DRAWER, BASE, high, (Holding(4, count),))
    rest = Opening(SHELF, BASE + high + T, TOP - T - (BASE + high + T))
    assert _names(facts, _bay(_layout(), depth=round(bay * INCH), openings=(drawer, rest))) == broken


@pytest.mark.parametrize(
    ("bay", "deep", "broken"),
    [
        (11, 9, set()),
        (11 - 1 / INCH, 1, {"too deep"}),
        (29, 27, set()),
        (40, 27, set()),
        (40, 27 + 1 / INCH, {"too deep"}),
    ],
)
def test_a_drawer_takes_a_slide_that_is_sold(bay: float, deep: float, broken: set[str]) -> None:
    """Slides of 10 to 28 in; a bay takes one that is an inch shorter than itself, and the drawer is an inch less."""
    facts = _with(replace(_household(), runs=(run("back", 40, bay),)), 4, count=1, width=INCH, depth=round(deep * INCH))
    facts = replace(facts, things=facts.things[3:])
    drawer = Opening(DRAWER, BASE, 4 * INCH, (Holding(4, 1),))
    rest = Opening(SHELF, BASE + 4 * INCH + T, TOP - T - (BASE + 4 * INCH + T))
    assert _names(facts, _bay(_layout(), depth=round(bay * INCH), openings=(drawer, rest))) == broken


@pytest.mark.parametrize(("rows", "count", "broken"), [(1, 3, set()), (1, 4, {"shelf full"}), (2, 6, set()),
                         (2, 7, {"shelf full"}), (9, 9, set()), (9, 10, {"shelf full"})])  # fmt: skip
def test_as_many_rows_stand_behind_each_other_as_wished_and_as_there_is_depth(
    rows: int, count: int, broken: set[str]
) -> None:
    """Shoes 10 in wide and 5 in deep on a shelf of 30 x 15 in: three side by side, at most three behind each other."""
    facts = _with(_household(rows_deep=rows), 1, count=99, depth=5 * INCH)
    assert _names(facts, _opening(_layout(), 1, holds=(Holding(1, count),))) == broken


@pytest.mark.parametrize(("wide", "passes"), [(9 * INCH, True), (9 * INCH + 1, False)])
def test_spare_room_is_reckoned_to_the_tick(wide: int, passes: bool) -> None:
    """A tenth of 30 in stays free: three pieces may take 27 in."""
    facts = _with(_with(_household(spare=Fraction(1, 10)), 1, width=wide), 2, width=13 * INCH)
    assert ("shelf full" in _names(facts, _layout())) is not passes


@pytest.mark.parametrize(("holds", "broken"), [((), set()), ((Holding(1, 1),), {"long shelf"})])
def test_over_a_long_rod_an_empty_top_is_no_shelf(holds: tuple[Holding, ...], broken: set[str]) -> None:
    facts = replace(_household(), runs=(run("back", 60),))
    rod = Opening(HANG, 0, TOP - T, (Holding(3, 4),))
    layout = _bay(_layout(), width=40 * INCH, openings=(rod, Opening(SHELF, TOP, 12 * INCH, holds)))
    assert _names(facts, layout) == broken


@pytest.mark.parametrize(("left", "stands"), [(29, True), (30.75, True), (0, True), (31.5, False), (10, False)])
def test_no_upright_stands_in_a_blocked_part(left: float, stands: bool) -> None:
    """The uprights are at 0 and at 30 3/4 in, 3/4 in thick; a part between them may be spanned."""
    facts = replace(_household(), runs=(run("back", 60, 15, 96, None, box(left, 5, 40, 5)),))
    details = [item.detail for item in violations(facts, _layout())]
    assert ("an upright stands in a blocked part" in details) is stands
