"""The frozen facts refuse what makes no sense, and say where a wall ends."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support.cases import INCH, problem, run, thing

from capacity.layout.corners import corner_choices, ends_of, reaches_walls
from capacity.layout.problem import Corner


@pytest.mark.parametrize("changes", [{"width": 0}, {"height": -1}, {"count": -1}, {"value": 0}, {"most": 0}])
def test_a_thing_that_takes_no_room_or_is_worth_nothing_is_refused(changes: dict[str, int]) -> None:
    with pytest.raises(ValueError, match=r"^row 7: sizes, value"):
        replace(thing(7, "stand", 1, 5, 5, 5), **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize("changes", [{"drop": 0}, {"rod": 0}])
def test_a_garment_without_drop_or_rod_is_refused(changes: dict[str, int]) -> None:
    with pytest.raises(ValueError, match=r"^row 7: sizes"):
        replace(thing(7, "hang", 1, 40, 2), **changes)  # type: ignore[arg-type]


def test_a_row_stands_once_and_an_unknown_one_is_an_error() -> None:
    with pytest.raises(ValueError, match="two things have the same row"):
        problem([thing(1, "stand", 1, 5, 5, 5)] * 2, [run("a", 40)])
    with pytest.raises(KeyError):
        problem([thing(1, "stand", 1, 5, 5, 5)], [run("a", 40)]).thing(2)


def test_a_corner_takes_the_owners_depth_and_the_access_off_the_other_wall() -> None:
    facts = problem([], [run("a", 60, 15), run("b", 50, 20)], (Corner(0, 1),))
    assert list(corner_choices(facts)) == [(True,), (False,)]
    assert [ends_of(facts, wall, (True,)) for wall in (0, 1)] == [(0, 60 * INCH), (27 * INCH, 50 * INCH)]
    assert [ends_of(facts, wall, (False,)) for wall in (0, 1)] == [(0, 28 * INCH), (0, 50 * INCH)]


def test_ends_that_are_kept_free_are_lost_to_a_corner_only_once() -> None:
    walls = [replace(run("a", 60, 15), kept_left=3, kept_right=5), replace(run("b", 50, 20), kept_left=7, kept_right=2)]
    facts = problem([], walls, (Corner(0, 1),))
    assert [ends_of(facts, wall, (True,)) for wall in (0, 1)] == [(3, 60 * INCH - 5), (27 * INCH, 50 * INCH - 2)]
    assert [ends_of(facts, wall, (False,)) for wall in (0, 1)] == [(3, 28 * INCH), (7, 50 * INCH - 2)]
    assert [reaches_walls(facts, wall, (True,)) for wall in (0, 1)] == [(True, True), (False, True)]
    assert [reaches_walls(facts, wall, (False,)) for wall in (0, 1)] == [(True, False), (True, True)]


def test_a_wall_that_a_corner_takes_whole_has_no_room_but_not_less() -> None:
    facts = problem([], [run("a", 20, 15), run("b", 50, 20)], (Corner(0, 1),))
    assert ends_of(facts, 0, (False,)) == (0, 0)


def test_the_ceiling_over_a_bay_is_the_lower_of_its_ends_rounded_down() -> None:
    """From 96 to 60 in over 72 in: half an inch lower an inch; a third of a tick is dropped."""
    wall = run("a", 72, 15, 96, 60)
    assert wall.ceiling_over(0, 24 * INCH) == 84 * INCH
    assert wall.ceiling_over(1, 24 * INCH + 1) == 84 * INCH - 1
    assert replace(wall, width=3, ceiling_left=10, ceiling_right=9).ceiling_over(0, 1) == 9
