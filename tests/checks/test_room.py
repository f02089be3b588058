"""Straight built-ins in a crooked room: gaps by hand, fillers that close them, and what must not pass."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support.quick import changed, closet_of, inventory_of, quick_layout, report_on, sample

from capacity.checks.check import figures
from capacity.checks.floor_plan import built_ins
from capacity.checks.room import fillers, room_checks
from capacity.checks.wall_gaps import Gap, built_out, closers, gaps_of
from capacity.closet.closet import Closet
from capacity.layout.corners import reaches_walls
from capacity.layout.layout import Bay, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind, Problem
from capacity.makeover.files_to_problem import size_problem
from capacity.units import PER_INCH, inches
from capacity.workshop.parts.carpentry import make_parts
from capacity.workshop.parts.parts import Role

SIX, COUPLE, FAMILY = "six-foot-reach-in", "couple-walk-in", "family-walk-in"


def _room(**wall: Any) -> tuple[Closet, Problem]:
    data = {"ceiling": 96, "top": 84, "panel": {"thickness": "3/4"}, "wishes": {"play": 0}}
    closet = closet_of({**data, "wall": [{"name": "back", "width": 72, "depth": 15, **wall}]})
    return closet, size_problem(closet, inventory_of(SIX, closet))


def _built(width: float) -> Layout:
    """Two bays that with their three uprights of 3/4 in are so wide."""
    bay = inches((width - 2.25) / 2)
    opening = Opening(OpeningKind.SHELF, inches(3.75), inches(79.5))
    first = Bay(inches(0.75), bay, inches(15), (opening,))
    return Layout((WallLayout("back", (first, replace(first, left=inches(1.5) + bay))),))


def test_gaps_of_a_wall_measured_at_three_heights_by_hand() -> None:
    """70 1/4, 70 and 69 7/8 in, 69 in built from the left end: the rest is right, 3/8 in may be at either end."""
    closet, problem = _room(width=["70 1/4", 70, "69 7/8"])
    layout = _built(69)
    assert built_out(layout.walls[0], inches(0.75)) == inches(69)
    left, right = Gap("left", 0, 0, inches(3 / 8)), Gap("right", inches(69), inches(7 / 8), inches(5 / 4))
    assert gaps_of(closet, problem, layout, 0) == (left, right)


def test_lean_and_square_widen_the_gap_and_narrow_its_narrowest() -> None:
    closet, problem = _room(width=70, lean="1/4", out_of_square="1/8")
    (left, right) = gaps_of(closet, problem, _built(69), 0)
    assert (left.narrowest, left.widest) == (0, inches(0.375))
    assert (right.narrowest, right.widest) == (inches(1 - 0.375), inches(1 + 0.375))


def test_a_scribe_strip_covers_its_widest_gap_and_a_filler_comes_before_a_wide_one() -> None:
    closet, problem = _room(width=["72", "71 1/2"])
    narrow = list(fillers(closet, problem, _built(71)))
    assert [(part.name, part.end, part.width) for part in narrow] == [
        ("scribe strip", "left", 0.75),  # 1/2 in at the widest, and 1/4 in to scribe off
        ("scribe strip", "right", 1.25),  # 1 in at the widest
    ]
    wide = list(fillers(closet, problem, _built(68)))
    assert [(part.name, part.end) for part in wide] == [
        ("scribe strip", "left"),
        ("filler panel", "right"),
        ("scribe strip", "right"),
    ]
    panel, strip = wide[1:]
    assert panel.width + strip.width - 0.25 == pytest.approx(4.0)  # together the widest gap, 4 in
    assert strip.width - 0.25 <= 1.5
    assert strip.narrowest >= 0.4
    assert not [check for check in room_checks(closet, problem, _built(71)) if not check.passed]


@pytest.mark.parametrize("name", [SIX, COUPLE, FAMILY])
def test_every_part_stands_where_the_plan_has_it(name: str) -> None:
    """Crooked walls and a kept baseboard: checks, parts list, cut list and view from above speak of one place."""
    crooked = {"wall.1.lean": "1/4", "wall.1.out_of_square": "1/8"}
    board = {"baseboard": {"thickness": "1/2 in", "height": "3 1/2 in", "keep": True}}
    closet = closet_of(changed(sample(name), {**crooked, **board}))
    inventory = inventory_of(name, closet)
    layout, problem = quick_layout(closet, inventory), size_problem(closet, inventory)
    made = make_parts(closet, problem, layout)
    solids = built_ins(closet, inventory, layout, with_clothes=False)
    listed = [item for item in fillers(closet, problem, layout) if item.end in ("left", "right")]
    strips = made.of(Role.SCRIBE, Role.FILLER)
    assert strips
    assert [(part.role.value, closet.wall[part.wall - 1].name) for part in strips] == [
        (item.name, item.wall) for item in listed
    ]
    for index, wall in enumerate(layout.walls):
        bays, thick = wall.bays, problem.rules.panel
        at_left, at_right = reaches_walls(problem, index, layout.owners)
        if not bays:
            continue
        faces = bays[0].left - thick, bays[-1].left + bays[-1].width + thick
        uprights = [part.seen for part in made.of(Role.UPRIGHT) if part.wall == index + 1]
        assert (min(box.left for box in uprights), max(box.right for box in uprights)) == faces
        spans = [(s.rect.right - s.rect.left, s.rect.top - s.rect.bottom) for s in solids if s.wall == wall.name]
        assert {bay.width + 2 * thick for bay in bays} <= {side for span in spans for side in span}
        if at_left:
            assert faces[0] >= closet.baseboard.thickness  # type: ignore[union-attr]
        if at_right:
            kept = closet.kept_ends(closet.wall[index])[1]
            assert faces[1] <= closet.wall[index].clear_width - kept
        for gap in gaps_of(closet, problem, layout, index):
            assert gap.face in faces
            own = [item for item in closers(closet, problem, layout, index) if item.end == gap.end]
            for closer in own:
                assert closer.left >= 0
                assert closer.left + closer.width <= closet.wall[index].clear_width
            if own and own[0].name == Role.FILLER.value:  # it lies against its upright
                assert (own[0].left + own[0].width if gap.end == "left" else own[0].left) == gap.face


def test_the_scribe_rule_holds_to_the_tick() -> None:
    """AWS 2009, 1.2.20.1.4: at most 1 1/2 in (38.1 mm)."""
    closet, problem = _room(width=72)
    closet = closet.model_copy(update={"fillers": False})
    for built, passes in ((70.5, True), (70.5 - 2 / PER_INCH, False)):
        checks = [c for c in room_checks(closet, problem, _built(built)) if c.name.startswith("scribe")]
        assert [(c.place.thing, c.passed) for c in checks] == [("left end", True), ("right end", passes)]


@pytest.mark.parametrize(("more", "passes"), [(0, True), (1, False)])
def test_built_ins_a_tick_too_wide_do_not_fit(more: int, passes: bool) -> None:
    closet, problem = _room(width=["70 1/4", 70, "70 1/8"])
    first, second = _built(70).walls[0].bays
    layout = Layout((WallLayout("back", (first, replace(second, width=second.width + more))),))
    check = next(check for check in room_checks(closet, problem, layout) if check.name.startswith("built-ins"))
    assert check.passed is passes


def test_a_gap_beside_a_corner_is_at_the_one_wall_only() -> None:
    report, _ = report_on(COUPLE, sample(COUPLE))
    strips = [(part.wall, part.end) for part in report.fillers if part.name == "scribe strip"]
    assert ("back", "left") not in strips  # the left wall owns the corner
    closet = closet_of(sample(COUPLE))
    inventory = inventory_of(COUPLE, closet)
    layout = quick_layout(closet, inventory)
    (gap,) = gaps_of(closet, size_problem(closet, inventory), layout, 1)
    last = layout.walls[1].bays[-1]
    assert gap.end == "right"
    assert gap.face == last.left + last.width + size_problem(closet, inventory).rules.panel
    assert gap.narrowest == inches(84) - gap.face
    assert gap.widest == inches(84.25) - gap.face  # 84 1/4 over 84


def test_a_wide_gap_is_left_open() -> None:
    """The family's right wall ends short of its vent: half a metre is not filled."""
    report, _ = report_on(FAMILY, sample(FAMILY))
    assert all(part.width < 200 for part in report.fillers)


def test_a_floor_out_of_level_gets_higher_kick_boards_and_a_kept_baseboard_a_notch() -> None:
    settings = {"wall.1.level": "1/2", "baseboard": {"thickness": "1/2", "height": "3 1/2", "keep": True}}
    report, _ = report_on(SIX, changed(sample(SIX), settings))
    parts = {part.name: part for part in report.fillers}
    assert parts["kick board"].height == 3.5
    assert (parts["notch for the baseboard"].width, parts["notch for the baseboard"].height) == (0.5, 3.5)
    assert all(check.passed for check in report.checks if check.name.startswith(("top", "shims", "built")))


def test_measured_boards_are_counted_with_over_all_uprights() -> None:
    """By hand: 0.047 in a board on five uprights is nearly 1/4 in; it is said."""
    data = changed(sample(SIX), {"panel.thickness": "0.703 in", "panel.measured": "3/4"})
    report, layout = report_on(SIX, data)
    check = next(check for check in report.checks if check.name == "board as thick as counted")
    assert not check.passed
    assert f"over {len(layout.walls[0].bays) + 1} uprights" in check.note
    fits = next(check for check in report.checks if check.name == "built-ins fit between the walls")
    assert not fits.passed


def test_a_board_thicker_by_what_no_tape_shows_does_not_fall_short_and_inches_stay_inches() -> None:
    """By hand: 0.719 in is 0.00025 in over 23/32; five such boards, 1/800 in. 0.73 in makes 0.0562 in of five."""
    data = changed(sample(SIX), {"panel.measured": ["0.703 in", "0.719 in"]})
    near, layout = report_on(SIX, data)
    assert next(check for check in near.checks if check.name == "board as thick as counted").passed
    thick, _ = report_on(SIX, changed(sample(SIX), {"panel.measured": "0.73 in"}))
    check = next(check for check in thick.checks if check.name == "board as thick as counted")
    assert not check.passed
    boards = len(layout.walls[0].bays) + 1
    assert f"over {boards} uprights the difference is {0.01125 * boards:.3f}"[:-1] in check.note
    assert check.cure is not None
    assert "0.73 in" in check.cure.sentence
    assert "mm" not in check.cure.sentence + check.note


@pytest.mark.parametrize(
    ("computed", "limit", "sense", "unit", "words"),
    [
        (84.5, 79.5, "at most", "in", "84 1/2 in, at most 79 1/2"),
        (31.9, 34.9375, "at most", "in", "31 7/8+ in, at most 34 15/16"),
        (890.4, 914.4, "at least", "mm", "890+ mm, at least 914+"),
        (914.1, 914.4, "at least", "mm", "914.1 mm, at least 914.4"),  # on one mark, so decimals tell them apart
        (0.13, 0.11, "at most", "in", "0.13 in, at most 0.11"),  # of a sag
        (2, 0, "at most", "in", "2 in, at most 0"),
        (1, 0, "at most", "pieces", "1 piece"),
    ],
)
def test_figures_are_on_the_marks_of_a_rule(computed: float, limit: float, sense: str, unit: str, words: str) -> None:
    assert figures(computed, limit, sense, unit) == words
