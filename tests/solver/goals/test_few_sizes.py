"""Few sizes to set a stop for: against listing every choice of sizes, and nothing lost of what comes before."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import product

import pytest
from support.cases import INCH, problem, random_things, run, thing
from support.reach_closets import PEOPLE

from capacity.layout.fit_rules import violations
from capacity.layout.layout import Holding, Layout, Opening
from capacity.layout.needs import least_height, needed_height
from capacity.layout.problem import OpeningKind, Site
from capacity.layout.reach_zones import inconvenience
from capacity.layout.sketches import BaySketch, OpeningSketch, build_wall
from capacity.layout.towers import groups_of, towers_of
from capacity.solver.effort import Effort
from capacity.solver.goals import few_sizes
from capacity.solver.goals.assortment import Need, assorted
from capacity.solver.goals.few_places import places_of
from capacity.solver.goals.few_sizes import in_few_sizes, shelf_heights, sizes_of
from capacity.solver.search.design import design


@pytest.mark.parametrize("seed", range(8))
def test_so_few_sizes_as_any_choice_has(seed: int) -> None:
    chance = random.Random(seed)
    needs = [Need(index % 2, least * INCH, 20 * INCH) for index, least in enumerate(chance.choices(range(5, 12), k=6))]
    free = {0: chance.randint(0, 6) * INCH, 1: chance.randint(0, 6) * INCH}
    found = assorted(needs, free, (), Effort())
    least = len(needs)
    for choice in product(sorted({need.least for need in needs}), repeat=len(needs)):
        over = {0: 0, 1: 0}
        for need, size in zip(needs, choice, strict=True):
            over[need.group] += size - need.least
        is_enough = all(size >= need.least for need, size in zip(needs, choice, strict=True))
        if is_enough and all(over[group] <= free[group] for group in free):
            least = min(least, len(set(choice)))
    assert len(set(found)) == least
    assert all(need.least <= size <= need.most for need, size in zip(needs, found, strict=True))
    for group, left in free.items():
        pairs = [(need, size) for need, size in zip(needs, found, strict=True) if need.group == group]
        assert sum(size - need.least for need, size in pairs) <= left


def test_two_bays_of_the_same_things_get_the_same_heights_and_level_shelves() -> None:
    """Six heights that a search spread out as six: three are enough, and each shelf runs through."""
    things = [thing(row, "stand", 2, 9, 12, 6 + row % 3 * 2) for row in range(1, 7)]
    facts = problem(things, [run("a", 62)])
    bays = [
        BaySketch(
            28 * INCH,
            None,
            tuple(
                OpeningSketch(OpeningKind.SHELF, things[row - 1].height + INCH + row * INCH // 8, (Holding(row, 2),))
                for row in rows
            ),
        )
        for rows in ((1, 2, 3), (6, 5, 4))
    ]
    layout = Layout((build_wall(facts, 0, (), bays),))
    assert violations(facts, layout) == ()
    made = in_few_sizes(facts, layout, PEOPLE, Effort(), has_extra_shelves=False)
    assert violations(facts, made) == ()
    assert made.stored() == layout.stored()
    assert sizes_of(facts, made) < sizes_of(facts, layout)
    assert len(shelf_heights(facts, made)) <= 3
    first, second = ({opening.bottom for opening in bay.openings} for bay in made.walls[0].bays)
    assert first == second


@pytest.mark.parametrize("seed", range(3))
def test_nothing_of_the_goals_before_is_lost_beyond_the_exchange(seed: int) -> None:
    facts = problem(random_things(random.Random(seed), 7, 8, ("A", None)), [run("a", 72), run("b", 60)])
    layout = design(facts, Effort(factor=0.1)).layout
    made = in_few_sizes(facts, layout, PEOPLE, Effort())
    assert violations(facts, made) == ()
    assert made.stored() == layout.stored()
    assert places_of(made) == places_of(layout)
    assert sizes_of(facts, made) <= sizes_of(facts, layout)
    before, after = (inconvenience(facts, item, PEOPLE) for item in (layout, made))
    saved = sizes_of(facts, layout) - sizes_of(facts, made)
    assert after <= before or (after <= before + before // 5 and saved >= sizes_of(facts, layout) // 4)


def test_heights_that_a_search_found_are_given_out_again() -> None:
    """Needs of 7, 8 and 10 in (by hand): twice 8 and once 20 in just fill the bay."""
    things = [thing(row, "stand", 1, 10, 12, height) for row, height in ((1, 6), (2, 7), (3, 9))]
    facts = problem(things, [run("a", 40, 15)])
    facts = replace(facts, top=facts.rules.base + 36 * INCH + 3 * facts.rules.panel)
    openings = tuple(
        OpeningSketch(OpeningKind.SHELF, thing.height + INCH, (Holding(thing.row, 1),)) for thing in things
    )
    layout = Layout((build_wall(facts, 0, (), [BaySketch(20 * INCH, None, openings)]),))
    common = (8 * INCH, 20 * INCH)
    made = few_sizes._Heights(facts, layout, PEOPLE, has_extra_shelves=False, common=common).laid_out(Effort())
    assert violations(facts, made) == ()
    assert shelf_heights(facts, made) == {8 * INCH: 2, 20 * INCH: 1}


def test_a_rod_under_a_drawer_takes_no_more_than_leaves_the_drawer_low() -> None:
    """Drawers end at 48 in or lower: what a bay leaves over goes to a shelf then, and not to the rod on the floor."""
    things = [
        thing(1, "hang", 4, 34, 4),
        thing(2, "drawer", 1, 10, 12, 4),
        thing(3, "stand", 2, 9, 12, 6),
        thing(4, "stand", 2, 9, 12, 8),
    ]
    facts = problem(things, [run("a", 30)])
    facts = replace(facts, rules=replace(facts.rules, highest_drawer=48 * INCH))
    rod = OpeningSketch(OpeningKind.HANG, 38 * INCH, (Holding(1, 4),))
    over = (
        OpeningSketch(OpeningKind.DRAWER, 6 * INCH, (Holding(2, 1),)),
        OpeningSketch(OpeningKind.SHELF, 7 * INCH + INCH // 8, (Holding(3, 2),)),
        OpeningSketch(OpeningKind.SHELF, 9 * INCH, (Holding(4, 2),)),
    )
    layout = Layout((build_wall(facts, 0, (), [BaySketch(28 * INCH, rod, over)]),))
    assert violations(facts, layout) == ()
    made = few_sizes._Heights(facts, layout, PEOPLE, has_extra_shelves=False, common=()).laid_out(Effort())
    assert violations(facts, made) == ()
    assert made != layout


def test_what_is_left_over_goes_where_a_height_goes_with_it() -> None:
    """Openings of 7 and 12 in beside three of 7 in that fill their bay (by hand): that of 12 in takes the rest."""
    things = [thing(row, "stand", 2, 9, 12, height) for row, height in ((1, 6), (2, 11), (3, 6), (4, 6), (5, 6))]
    facts = problem(things, [run("a", 60)])
    facts = replace(facts, top=facts.rules.base + 21 * INCH + 3 * facts.rules.panel)
    bays = [
        BaySketch(
            20 * INCH,
            None,
            tuple(OpeningSketch(OpeningKind.SHELF, things[row - 1].height + INCH, (Holding(row, 2),)) for row in rows),
        )
        for rows in ((1, 2), (3, 4, 5))
    ]
    layout = Layout((build_wall(facts, 0, (), bays),))
    made = few_sizes._Heights(facts, layout, PEOPLE, has_extra_shelves=False, common=()).laid_out(Effort())
    assert violations(facts, made) == ()
    assert shelf_heights(facts, made) == {7 * INCH: 4, 14 * INCH + facts.rules.panel: 1}


def test_an_opening_that_was_stretched_is_as_low_again_as_its_contents_need_in_the_width() -> None:
    """Six of 1 in: a column of six needs 7 in, two columns of three 4 in and a bay 18 in wide (by hand)."""
    facts = problem([thing(1, "stack", 6, 9, 12, 1, most=6)], [run("a", 40)])
    towers = towers_of(facts, groups_of(facts), Site(15 * INCH))
    opening = Opening(OpeningKind.SHELF, 0, 8 * INCH, (Holding(1, 6),))
    assert needed_height(facts, towers, opening) == 7 * INCH
    assert least_height(facts, towers, opening, 18 * INCH) == 4 * INCH
    assert least_height(facts, towers, opening, 18 * INCH - 1) == 7 * INCH
