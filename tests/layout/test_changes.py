"""A change of one shelf, rod or upright: what stands above it follows, and the rules still hold."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support.cases import one_wall

from capacity.closet.closet import parse_closet
from capacity.layout.changes import Action, Change, ChangeError, changed
from capacity.layout.fit_rules import violations
from capacity.layout.layout import Bay, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind, Problem
from capacity.makeover.files_to_problem import size_problem
from capacity.wardrobe.inventory import parse_inventory

INCH = 8128
CLOSET = (
    one_wall(46.25)
    + """[panel]
thickness = "3/4"
[wishes]
play = 0
pitch = 0
"""
)


@pytest.fixture
def problem() -> Problem:
    return size_problem(parse_closet(CLOSET), parse_inventory("what,count\nsneakers,1\n", "in"))


def _layout(problem: Problem) -> Layout:
    """Two bays of 22 in: shelves of 20, 30 and what is left below the top, then what is over it."""
    thick, base = problem.rules.panel, problem.rules.base
    first, second = base + 20 * INCH + thick, base + 50 * INCH + 2 * thick
    openings = (
        Opening(OpeningKind.SHELF, base, 20 * INCH),
        Opening(OpeningKind.SHELF, first, 30 * INCH),
        Opening(OpeningKind.HANG, second, problem.top - thick - second),
        Opening(OpeningKind.SHELF, problem.top, 12 * INCH),
    )
    bays = (Bay(thick, 22 * INCH, 15 * INCH, openings), Bay(2 * thick + 22 * INCH, 22 * INCH, 15 * INCH, openings))
    return Layout((WallLayout("back", bays),))


def _heights(layout: Layout, bay: int = 0) -> list[float]:
    return [item.height / INCH for item in layout.walls[0].bays[bay].openings]


@pytest.mark.parametrize(
    ("opening", "action", "by", "heights"),
    [
        (0, Action.MOVE_SHELF, 4 * INCH, [24, 26, 28, 12]),
        (1, Action.MOVE_SHELF, -4 * INCH, [20, 26, 32, 12]),
        (0, Action.TAKE_OUT, 0, [50.75, 28, 12]),
        (1, Action.ADD_SHELF, 9 * INCH, [20, 9, 20.25, 28, 12]),
        (2, Action.TO_SHELF, 0, [20, 30, 28, 12]),
    ],
)
def test_what_is_over_a_change_follows(
    problem: Problem, opening: int, action: Action, by: int, heights: list[float]
) -> None:
    layout = _layout(problem)
    assert violations(problem, layout) == ()
    new = changed(problem, layout, Change(0, 0, opening, action, by))
    assert violations(problem, new) == ()
    assert _heights(new) == heights
    assert _heights(new, 1) == _heights(layout, 1)


def test_bays_that_stand_apart_and_openings_with_a_gap_are_left_as_they_are(problem: Problem) -> None:
    layout = _layout(problem)
    first, second = layout.walls[0].bays
    gap = replace(first, openings=(first.openings[0], *first.openings[2:]))  # as over a blocked part
    apart = replace(second, left=second.left + INCH)
    for bays, change, words in (
        ((first, apart), Change(0, 0, 0, Action.MOVE_UPRIGHT, INCH), "do not share an upright"),
        ((first, second), Change(0, 0, 0, Action.MOVE_UPRIGHT, 22 * INCH), "no room for that"),
        ((gap, second), Change(0, 0, 0, Action.TAKE_OUT), "something is in the way"),
    ):
        with pytest.raises(ChangeError, match=words):
            changed(problem, Layout((WallLayout("back", bays),)), change)


def test_an_upright_moves_both_its_bays(problem: Problem) -> None:
    new = changed(problem, _layout(problem), Change(0, 0, 0, Action.MOVE_UPRIGHT, 3 * INCH))
    assert violations(problem, new) == ()
    assert [(bay.left / INCH, bay.width / INCH) for bay in new.walls[0].bays] == [(0.75, 25), (26.5, 19)]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (Change(0, 0, 2, Action.MOVE_SHELF, INCH), "over it is the top"),
        (Change(0, 0, 3, Action.TO_ROD), "only the ceiling"),
        (Change(0, 1, 0, Action.MOVE_UPRIGHT, INCH), "the end of the wall"),
        (Change(0, 0, 1, Action.MOVE_SHELF, 40 * INCH), "no room"),
    ],
)
def test_what_cannot_be_done_says_why(problem: Problem, change: Change, words: str) -> None:
    with pytest.raises(ChangeError, match=words):
        changed(problem, _layout(problem), change)
