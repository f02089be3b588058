"""Bays spaced anew at the widths that they have, beside the best of all layouts and an example by hand."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

import pytest
from support import scenes
from support.brute_force import best_value
from support.cases import INCH, problem, run, thing

from capacity.layout.fit_rules import violations
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout, is_within_budget, panel_area, value_of
from capacity.layout.problem import OpeningKind, Problem
from capacity.solver.effort import Effort
from capacity.solver.relaxation.value_bound import design_master
from capacity.solver.search.design import first_layout
from capacity.solver.search.spacing_anew import Spacing, space_anew, with_slack_moved
from capacity.solver.search.wall_parts import divide

NODES = 2000

SCENES = (
    scenes.rods_on_the_floor,
    scenes.above_the_top,
    scenes.drawers,
    scenes.room_to_spare,
    scenes.two_rows,
    scenes.turning,
    scenes.a_corner,
    scenes.a_blocked_part,
    scenes.owners_apart,
    scenes.stacks,
    scenes.a_slope,
    scenes.things_that_keep_to_a_wall,
)


def _places(layout: Layout) -> list[tuple[int, int]]:
    return [(w, b) for w, wall in enumerate(layout.walls) for b in range(len(wall.bays))]


def test_of_bays_that_stand_the_relaxation_is_a_bound_and_mostly_the_best_spacing_is_found() -> None:
    found = []
    for seed in range(20):
        facts = scenes.todays_bays_kept(random.Random(seed))
        parts, most = divide(facts).problem, best_value(facts)
        layout = first_layout(parts).emptied()
        assert Spacing(design_master(parts), layout, _places(layout)).relax(Effort()) >= most - 1e-6
        better = space_anew(design_master(parts), layout, _places(layout), Effort(), NODES)
        assert not violations(parts, better)
        assert value_of(parts, better) <= most
        found.append(value_of(parts, better) == most)
    assert sum(found) >= 18


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.__name__)
def test_whatever_the_rules_a_bay_spaced_anew_keeps_them_and_the_others_stay(
    scene: Callable[[random.Random], Problem], seed: int
) -> None:
    facts = scene(random.Random(seed))
    layout = first_layout(facts).emptied()
    places = _places(layout)[:2]
    better = space_anew(design_master(facts), layout, places, Effort(), NODES)
    assert not violations(facts, better)
    assert value_of(facts, better) >= value_of(facts, layout)
    for w, wall in enumerate(layout.walls):
        for b, bay in enumerate(wall.bays):
            mine = better.walls[w].bays[b]
            assert (mine.left, mine.width) == (bay.left, bay.width)
            assert (w, b) in places or mine == bay


def test_under_every_rule_some_bay_spaced_anew_holds_something() -> None:
    for scene in SCENES:
        values = []
        for seed in range(3):
            facts = scene(random.Random(seed))
            layout = first_layout(facts).emptied()
            better = space_anew(design_master(facts), layout, _places(layout), Effort(), NODES)
            values.append(value_of(facts, better))
        assert max(values) > 0, scene.__name__


def _shoes_and_boots() -> tuple[Problem, Layout]:
    """One bay, 24 in wide: openings of 20 and 19 in where four shoes of 9 in by 5 in and two boots of 18 in go."""
    things = [thing(1, "stand", 6, 9, 12, 5), thing(2, "stand", 2, 9, 12, 18, value=3)]
    facts = problem(things, [run("back", 25.5, 15, 46)], top=46)
    openings = (
        Opening(OpeningKind.SHELF, 15 * INCH // 4, 20 * INCH, (Holding(1, 2),)),
        Opening(
            OpeningKind.SHELF, 15 * INCH // 4 + 83 * INCH // 4, 46 * INCH - 25 * INCH - INCH // 4, (Holding(2, 2),)
        ),
    )
    bay = Bay(3 * INCH // 4, 24 * INCH, 15 * INCH, openings)
    return facts, Layout((WallLayout("back", (bay,)),), ())


def test_the_best_spacing_of_one_bay_counted_by_hand() -> None:
    # 42.25 in over the bottom panel: boots take 19.75 in with their panel, shoes 6.75 in: 19.75 + 3 * 6.75 = 40
    facts, layout = _shoes_and_boots()
    assert value_of(facts, layout) == 2 * 2 + 2 * 3
    better = space_anew(design_master(facts), layout, [(0, 0)], Effort(), NODES)
    assert value_of(facts, better) == 6 * 2 + 2 * 3
    assert len([opening for opening in better.walls[0].bays[0].openings if opening.holds]) == 4


def test_a_budget_buys_fewer_shelves() -> None:
    facts, layout = _shoes_and_boots()
    one_more = replace(facts, most_panel=panel_area(facts, layout) + 24 * 15 * INCH**2)
    better = space_anew(design_master(one_more), layout, [(0, 0)], Effort(), NODES)
    assert value_of(facts, better) == 4 * 2 + 2 * 3
    assert is_within_budget(one_more, better)
    no_more = replace(facts, most_panel=panel_area(facts, layout))
    assert space_anew(design_master(no_more), layout, [(0, 0)], Effort(), NODES) == layout


def test_the_same_layout_is_spaced_the_same_again() -> None:
    facts = scenes.everything_together(random.Random(1))
    layout = first_layout(facts)
    one, other = (space_anew(design_master(facts), layout, _places(layout), Effort(), NODES) for _ in range(2))
    assert one == other


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.__name__)
def test_width_that_nobody_needs_goes_to_another_bay_and_nothing_loses_its_place(
    scene: Callable[[random.Random], Problem], seed: int
) -> None:
    facts = scene(random.Random(seed))
    layout = first_layout(facts)
    moved = with_slack_moved(facts, layout, _places(layout), random.Random(seed))
    assert moved.stored() == layout.stored()
    assert not violations(facts, moved)


def test_what_lies_in_another_bay_is_not_stored_twice() -> None:
    things = [thing(1, "stand", 2, 9, 12, 5)]
    facts = problem(things, [run("back", 50, 15, 20)], top=20)
    thick, base = 3 * INCH // 4, 15 * INCH // 4
    opening = Opening(OpeningKind.SHELF, base, 20 * INCH - base - thick)
    bays = tuple(
        Bay(thick + b * (24 * INCH + thick), 24 * INCH, 15 * INCH, (replace(opening, holds=(Holding(1, 1),) * b),))
        for b in range(2)
    )
    layout = Layout((WallLayout("back", bays),), ())
    better = space_anew(design_master(facts), layout, [(0, 0)], Effort(), NODES)
    assert [bay.openings[0].holds for bay in better.walls[0].bays] == [(Holding(1, 1),), (Holding(1, 1),)]


def test_a_bay_gets_the_width_that_its_neighbour_does_not_need() -> None:
    things = [thing(1, "stand", 1, 9, 12, 5), thing(2, "stand", 1, 9, 12, 5)]
    facts = problem(things, [run("back", 50, 15, 20)], top=20)
    thick, base = 3 * INCH // 4, 15 * INCH // 4
    opening = Opening(OpeningKind.SHELF, base, 20 * INCH - base - thick)
    bays = tuple(
        Bay(thick + b * (24 * INCH + thick), 24 * INCH, 15 * INCH, (replace(opening, holds=(Holding(b + 1, 1),)),))
        for b in range(2)
    )
    moved = with_slack_moved(facts, Layout((WallLayout("back", bays),), ()), [(0, 0), (0, 1)], random.Random(0))
    widths = sorted(bay.width for bay in moved.walls[0].bays)
    assert widths == [12 * INCH, 50 * INCH - 12 * INCH - 3 * thick]
