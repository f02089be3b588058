"""Openings that aim at the zones of reach: the value first, then less bending, stretching and steps."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from support.cases import INCH, problem, random_things, run, thing
from support.reach_closets import CLOSETS, PEOPLE, _household

from capacity.layout.fit_rules import violations
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout, panel_area, value_of
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.reach_zones import inconvenience
from capacity.solver.effort import Effort
from capacity.solver.filling.capacity_multiple import multiples
from capacity.solver.goals.later_goals import pursue, put_within_reach
from capacity.solver.goals.reach_order import ease
from capacity.solver.goals.reach_search import Zoner, with_least_trouble
from capacity.solver.search.design import design


@pytest.mark.parametrize("name", CLOSETS)
def test_every_rule_and_the_value_are_kept(name: str) -> None:
    """Value first, then reach: never behind order and exchange alone, and ahead on one of two households at least."""
    pairs = []
    for seed in (1, 2):
        facts: Problem = CLOSETS[name](seed)
        found = design(facts, Effort(factor=0.1))
        parts = found.divided.problem
        eased = ease(parts, found.layout, PEOPLE, Effort())
        zoned = put_within_reach(parts, found, PEOPLE, Effort(factor=0.3)).design
        assert violations(parts, zoned.layout) == ()
        assert violations(facts, zoned.whole(zoned.filling).layout) == ()
        assert found.value <= zoned.value == value_of(parts, zoned.layout) <= found.bound
        mine = -zoned.value, inconvenience(parts, zoned.layout, PEOPLE)
        pairs.append((mine, (-found.value, eased.inconvenience)))
    assert all(mine <= before for mine, before in pairs)
    assert any(mine < before for mine, before in pairs)


def test_a_budget_is_kept() -> None:
    facts = problem(_household(3), [run("a", 90)])
    most = panel_area(facts, design(facts, Effort(factor=0.3)).layout) * 2 // 3
    facts = replace(facts, most_panel=most)
    found = design(facts, Effort(factor=0.3))
    zoned = put_within_reach(facts, found, PEOPLE, Effort(factor=0.3)).design
    assert panel_area(facts, zoned.layout) <= most
    assert zoned.value >= found.value


def test_the_same_seed_gives_the_same_layout() -> None:
    facts = CLOSETS["corner"](1)
    found = design(facts, Effort(factor=0.3))
    once, again = (put_within_reach(facts, found, PEOPLE, Effort(factor=0.3)).design.layout for _ in range(2))
    assert once == again


def test_what_comes_after_costs_no_more_reach() -> None:
    """Room to spare is made, and not at the cost of the goal before it."""
    things = [replace(item, count=4) for item in random_things(random.Random(1), 5, 4, ("A", "B"))]
    facts = problem(things, [run("a", 90), run("b", 60)])
    found = put_within_reach(facts, design(facts, Effort()), PEOPLE, Effort()).design
    assert found.value == facts.value_of_all
    pursued = pursue(facts, found, Effort(), zones=PEOPLE).filling
    assert violations(facts, pursued.layout) == ()
    assert pursued.value == value_of(facts, pursued.layout) == found.value
    assert inconvenience(facts, pursued.layout, PEOPLE) <= inconvenience(facts, found.layout, PEOPLE)
    assert min(item.low for item in multiples(facts, pursued.layout, Effort()).values()) > 1000


def test_things_of_two_bays_change_places_whatever_their_widths() -> None:
    """Daily shoes lie high in one bay, seasonal boxes at hand in the other, and the bays differ in width."""
    shoes, boxes = thing(1, "stand", 4, 8, 12, 6, value=3, owner="A"), thing(2, "stand", 3, 10, 12, 8, owner="A")
    facts = problem([shoes, replace(boxes, value=1)], [run("a", 72, 15, 84)])
    hand, high = 34 * INCH, 76 * INCH
    shelf = OpeningKind.SHELF
    thick = facts.rules.panel

    def bay(left: int, width: int, bottom: int, held: Holding) -> Bay:
        first = Opening(shelf, facts.rules.base, bottom - thick - facts.rules.base)
        second = Opening(shelf, bottom, facts.top - thick - bottom, (held,))
        return Bay(left, width, 15 * INCH, (first, second))

    bays = (
        bay(thick, 32 * INCH, high - 2 * INCH, Holding(1, 4)),
        bay(2 * thick + 32 * INCH, 30 * INCH, hand, Holding(2, 3)),
    )
    layout = Layout((WallLayout("a", bays),))
    assert violations(facts, layout) == ()
    assert inconvenience(facts, layout, PEOPLE) == 4 * 3 * 4
    made = Zoner(facts, random.Random(0), PEOPLE).ease(layout, 0, 300, Effort())
    assert violations(facts, made) == ()
    assert inconvenience(facts, made, PEOPLE) == 0


def test_of_a_surplus_the_pieces_nearest_at_hand_are_kept() -> None:
    facts = problem([thing(1, "stand", 2, 8, 12, 6, value=3, owner="A")], [run("a", 30)])
    openings = tuple(
        Opening(OpeningKind.SHELF, bottom * INCH, 8 * INCH, (Holding(1, count),))
        for bottom, count in ((4, 1), (34, 1), (76, 2))
    )
    layout = Layout((WallLayout("a", (Bay(INCH, 20 * INCH, 15 * INCH, openings),)),))
    kept = with_least_trouble(facts, layout, PEOPLE)
    assert [sum(item.count for item in opening.holds) for *_, opening in kept.openings()] == [1, 1, 0]
    assert inconvenience(facts, kept, PEOPLE) == 3
