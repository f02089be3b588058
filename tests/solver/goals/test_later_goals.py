"""The goals after the value: each keeps what was reached before, and its bound is never beaten."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import permutations

import pytest
from support.cases import INCH, problem, random_things, run, thing

from capacity.closet.people import Person
from capacity.layout.fit_rules import stored_value, violations
from capacity.layout.layout import Holding, Layout, panel_area
from capacity.layout.problem import Corner, FixedBay, OpeningKind
from capacity.layout.reach_zones import inconvenience, zones_of
from capacity.layout.sketches import BaySketch, OpeningSketch, build_wall, finish
from capacity.solver.effort import Effort
from capacity.solver.filling.capacity_multiple import multiples
from capacity.solver.goals.later_goals import enlarged, pursue
from capacity.solver.goals.reach_order import ease
from capacity.solver.goals.what_it_takes import what_would_it_take
from capacity.solver.search.design import design

PEOPLE = zones_of([Person.model_validate({"name": "A", "height": 1600}, context={"units": "mm"}, strict=False)])


def _multiple(facts, layout) -> int:  # type: ignore[no-untyped-def]
    return min(item.low for item in multiples(facts, layout, Effort()).values())


@pytest.mark.parametrize("seed", range(3))
def test_room_to_spare_keeps_everything_and_never_passes_its_bound(seed: int) -> None:
    things = [replace(item, count=4) for item in random_things(random.Random(seed), 4, 4)]
    facts = problem(things, [run("a", 70), run("b", 60)])
    found = design(facts, Effort())
    assert found.value == facts.value_of_all
    pursued = pursue(found, PEOPLE, Effort())
    assert violations(facts, pursued.design.layout) == ()
    assert stored_value(facts, pursued.design.layout) == found.value
    reached = _multiple(facts, pursued.design.layout)
    assert reached >= 1000
    assert pursued.multiple_bound is None or reached <= pursued.multiple_bound


def test_plywood_first_uses_less_panel_than_room_first() -> None:
    """Never more, and on some of the households less."""
    pairs = []
    for seed in range(4, 8):
        things = [replace(item, count=3) for item in random_things(random.Random(seed), 4, 4)]
        facts = problem(things, [run("a", 72)])
        found = design(facts, Effort())
        assert found.value == facts.value_of_all
        room, panel = (
            pursue(found, PEOPLE, Effort()),
            pursue(found, PEOPLE, Effort(), prefers_plywood=True),
        )
        assert stored_value(facts, panel.design.layout) == found.value
        pairs.append((panel_area(facts, panel.design.layout), panel_area(facts, room.design.layout)))
    assert all(thrifty <= roomy for thrifty, roomy in pairs)
    assert any(thrifty < roomy for thrifty, roomy in pairs)


def test_scaling_takes_whole_pieces_and_never_fewer_than_there_are() -> None:
    facts = problem([thing(1, "stand", 3, 8, 12, 5), thing(2, "stand", 1, 8, 12, 5)], [run("a", 40)])
    assert [item.count for item in enlarged(facts, 1500).things] == [4, 1]
    assert [item.count for item in enlarged(facts, 400).things] == [3, 1]


def test_the_order_in_a_bay_is_the_best_of_all_orders() -> None:
    """Five openings of a bay, daily and seasonal things: against trying all 120 orders."""
    things = [thing(row, "stand", 2, 8, 12, 4 + 2 * row, value=1 + row % 3, owner="A") for row in range(1, 6)]
    facts = problem(things, [run("a", 30)])
    width = 26 * INCH

    def laid(order: tuple[int, ...]) -> Layout:
        pieces = [
            OpeningSketch(OpeningKind.SHELF, things[i].height + INCH, (Holding(things[i].row, 2),)) for i in order
        ] + [OpeningSketch(OpeningKind.SHELF, 20 * INCH)]
        return Layout((build_wall(facts, 0, (), [BaySketch(width, None, tuple(pieces))]),))

    best = min(inconvenience(facts, laid(order), PEOPLE) for order in permutations(range(5)))
    worst = max(permutations(range(5)), key=lambda order: inconvenience(facts, laid(order), PEOPLE))
    assert inconvenience(facts, laid(worst), PEOPLE) > best
    eased = ease(facts, laid(worst), PEOPLE, Effort())
    assert violations(facts, eased.layout) == ()
    assert eased.inconvenience <= best
    assert eased.layout.stored() == laid(worst).stored()


@pytest.mark.parametrize("seed", range(4))
def test_easing_keeps_the_fit_rules_and_what_is_stored(seed: int) -> None:
    facts = problem(random_things(random.Random(seed), 7, 8, ("A", None)), [run("a", 72), run("b", 60)])
    layout = design(facts, Effort(factor=0.3)).layout
    before = inconvenience(facts, layout, PEOPLE)
    eased = ease(facts, layout, PEOPLE, Effort())
    assert violations(facts, eased.layout) == ()
    assert eased.layout.stored() == layout.stored()
    assert eased.inconvenience == inconvenience(facts, eased.layout, PEOPLE) <= before


def test_more_room_is_offered_only_where_it_stores_more() -> None:
    """Three things 18 in wide on a wall that takes two side by side: two more inches take none, a second row does."""
    facts = problem([thing(1, "stand", 3, 18, 7, 60)], [run("a", 40, 15, 84)])
    found = design(facts, Effort())
    assert found.value == 4
    changes = what_would_it_take(found, Effort())
    assert [change.words for change in changes] == ["two rows deep on the shelves"]
    assert changes[0].stored == changes[0].bound == 6
    everything = problem([thing(1, "stand", 2, 18, 7, 60)], [run("a", 40, 15, 84)])
    assert what_would_it_take(design(everything, Effort()), Effort()) == ()


def test_deeper_shelves_take_more_of_the_wall_round_a_corner() -> None:
    """The bay that must be owns the corner; 2 in more of its depth leave the other wall too narrow for the chest."""
    chest = thing(1, "stand", 1, 20, 17, 40)
    offered = []
    for width in (49, 51):
        facts = problem([chest], [run("a", 13.5), run("b", width)], (Corner(0, 1),))
        facts = replace(facts, fixed=(FixedBay(0, 3 * INCH // 4, 12 * INCH, 15 * INCH),))
        offered.append([change.words for change in what_would_it_take(design(facts, Effort()), Effort())])
    assert offered == [[], ["shelves 2 in (51 mm) deeper on every wall"]]


def test_finishing_leaves_lengths_that_a_rule_can_mark() -> None:
    facts = problem(random_things(random.Random(2), 5, 4), [run("a", 70)], panel=18 * 320)
    layout = finish(facts, design(facts, Effort()).layout)
    assert {bay.width % 320 for wall in layout.walls for bay in wall.bays} == {0}
