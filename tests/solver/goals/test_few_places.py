"""Openings filled anew: the same pieces in fewer places, against listing every filling of tiny layouts."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from itertools import product

import pytest
from support.cases import INCH, problem, random_things, run, thing
from support.reach_closets import PEOPLE

from capacity.layout.fit_rules import filling_violations, violations
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.reach_zones import inconvenience
from capacity.solver.effort import Effort
from capacity.solver.filling.greedy import repack
from capacity.solver.goals import few_places, reach_order
from capacity.solver.goals.few_places import forced_places, gathered, piles_in_several, places_of
from capacity.solver.goals.few_sizes import in_few_sizes
from capacity.solver.goals.placing_program import PlacingProgram
from capacity.solver.goals.reach_order import ease
from capacity.solver.search.design import design, first_layout


def _shelves(facts: Problem, bottoms: tuple[int, ...]) -> Layout:
    """One bay 24 in wide with shelf openings 9 in high at these heights [in]; built or not does not matter here."""
    openings = tuple(Opening(OpeningKind.SHELF, bottom * INCH, 9 * INCH) for bottom in bottoms)
    return Layout((WallLayout("a", (Bay(INCH, 24 * INCH, 15 * INCH, openings),)),))


def _fillings(facts: Problem, empty: Layout) -> Iterator[Layout]:
    """Every way to put all pieces into the openings that keeps the rules of filling."""
    number = sum(1 for _ in empty.openings())
    shares = [
        [counts for counts in product(range(item.count + 1), repeat=number) if sum(counts) == item.count]
        for item in facts.things
    ]
    for choice in product(*shares):
        contents = {
            (0, 0, o): tuple(
                Holding(item.row, counts[o]) for item, counts in zip(facts.things, choice, strict=True) if counts[o]
            )
            for o in range(number)
        }
        layout = empty.holding(contents)
        if not filling_violations(facts, layout):
            yield layout


@pytest.mark.parametrize("seed", range(6))
def test_places_and_then_inconvenience_are_the_least_of_all_fillings(seed: int) -> None:
    chance = random.Random(seed)
    things = [
        thing(row, "stand", chance.randint(1, 4), chance.randint(5, 9), 12, 6, value=chance.randint(1, 3), owner="A")
        for row in range(1, 4)
    ]
    facts = problem(things, [run("a", 30)])
    every = list(_fillings(facts, _shelves(facts, (4, 34, 62, 78))))
    assert every
    first = max(every, key=places_of)
    found = gathered(facts, first, PEOPLE, Effort())
    assert filling_violations(facts, found.layout) == ()
    assert found.layout.stored() == first.stored()
    least = min((places_of(layout), inconvenience(facts, layout, PEOPLE)) for layout in every)
    assert (found.places, found.inconvenience) == least
    assert (places_of(found.layout), inconvenience(facts, found.layout, PEOPLE)) == least
    assert found.least_places <= least[0]
    assert found.least_inconvenience <= min(inconvenience(facts, layout, PEOPLE) for layout in every)


@pytest.mark.parametrize("seed", range(3))
def test_designs_keep_every_rule_and_piece(seed: int) -> None:
    facts = problem(random_things(random.Random(seed), 7, 8, ("A", None)), [run("a", 72), run("b", 60)])
    layout = design(facts, Effort(factor=0.1)).layout
    found = gathered(facts, layout, PEOPLE, Effort(factor=0.1))
    assert violations(facts, found.layout) == ()
    assert found.layout.stored() == layout.stored()
    assert found.least_places <= found.places <= places_of(layout)


def test_what_a_pile_is_forced_to() -> None:
    """Ten boxes 9 in wide: no shelf of at most 36 in takes more than four of them, so they lie in three places."""
    facts = problem([thing(1, "stand", 10, 9, 12, 6), thing(2, "stand", 4, 9, 12, 6)], [run("a", 60)])
    assert facts.rules.max_shelf == 36 * INCH
    assert forced_places(facts, {1: 10, 2: 4}) == 2
    assert forced_places(facts, {1: 5}) == 1


def test_some_of_a_pile_may_be_turned_beside_the_rest() -> None:
    """By hand: 4 3/4 wide and 11 1/4 deep; three turned, one behind the other, and one not are just 16 in wide."""
    facts = problem([thing(1, "stand", 5, 4.75, 11.25, 7.25)], [run("back", 60, 15)], rows_deep=3, max_shelf=16 * INCH)
    assert forced_places(facts, {1: 4}) == 0
    assert forced_places(facts, {1: 5}) == 1


def test_places_count_openings_less_one_and_piles_in_several_by_pile() -> None:
    facts = problem([thing(1, "stand", 4, 5, 12, 6), thing(2, "stand", 2, 5, 12, 6)], [run("a", 30)])
    layout = _shelves(facts, (4, 14, 24)).holding(
        {(0, 0, 0): (Holding(1, 2), Holding(2, 2)), (0, 0, 1): (Holding(1, 1),), (0, 0, 2): (Holding(1, 1),)}
    )
    assert places_of(layout) == 2
    assert piles_in_several(layout) == 1


def test_bounds_of_openings_held_to_rows_of_holes_are_those_of_the_rules_that_they_are_for() -> None:
    """Nine inches count for 7 1/4 on rows 4 in apart: six lie on each other there, and all eight at free heights."""
    free = problem([thing(1, "stack", 8, 20, 12, 1, most=8)], [run("a", 30)])
    held = replace(free, rules=replace(free.rules, pitch=4 * INCH))
    layout = _shelves(held, (4, 14)).holding({(0, 0, 0): (Holding(1, 6),), (0, 0, 1): (Holding(1, 2),)})
    assert filling_violations(free, layout) == ()
    assert gathered(held, layout, PEOPLE, Effort()).least_places == 1
    assert gathered(held, layout, PEOPLE, Effort(), free.rules).least_places == 0


def test_out_of_time_what_lies_where_stays_and_nothing_is_proven_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    facts = problem([thing(1, "stack", 8, 20, 12, 1, most=8)], [run("a", 30)])
    layout = _shelves(facts, (4, 14)).holding({(0, 0, 0): (Holding(1, 6),), (0, 0, 1): (Holding(1, 2),)})
    for room, name in ((few_places, "PlacingProgram"), (reach_order, "_exchanged")):
        monkeypatch.setattr(room, name, None)  # not called: with many piles each takes seconds
    effort = Effort(seconds=0.0)
    found = gathered(facts, layout, PEOPLE, effort)
    assert (found.layout, found.places, found.least_places, found.least_inconvenience) == (layout, 1, 0, 0)
    assert ease(facts, layout, PEOPLE, effort).layout is layout
    assert in_few_sizes(facts, layout, PEOPLE, effort) is layout
    assert (effort.work, effort.was_cut_short) == (0.0, True)


def test_a_linear_program_that_the_clock_cuts_proves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """The clock runs out between the look at it and the program."""
    facts = problem(random_things(random.Random(1), 40, 8, ("A", None)), [run("a", 120), run("b", 120)])
    layout = repack(facts, first_layout(facts), 100, Effort())
    program = PlacingProgram(facts, layout, OpeningKind.SHELF, PEOPLE)
    assert program.least_trouble(Effort()) > 0
    monkeypatch.setattr(Effort, "is_stopping", False)
    assert program.least_trouble(Effort(seconds=0.0)) == 0
