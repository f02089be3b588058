"""Bays rebuilt around whole piles: the value is kept, then places are few, then things are at hand."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace

import pytest
from support.cases import INCH, problem, run, thing
from support.reach_closets import CLOSETS, PEOPLE, _household

from capacity.layout.fit_rules import violations
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout, panel_area, value_of
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.reach_zones import inconvenience
from capacity.layout.sketches import BaySketch, OpeningSketch, build_wall, finish, is_free_of_blocked
from capacity.makeover.plan import PLACE, SIZE
from capacity.solver.effort import Effort
from capacity.solver.goals import pile_search
from capacity.solver.goals.few_places import places_of
from capacity.solver.goals.few_sizes import in_few_sizes, shelf_heights, sizes_of
from capacity.solver.goals.held_bays import HeldBay, HeldBays, clear_heights
from capacity.solver.goals.later_goals import pursue
from capacity.solver.goals.pile_search import PileSearch
from capacity.solver.goals.reach_order import ease
from capacity.solver.search.design import design

LITTLE = Effort(factor=0.1)


def _cost(facts: Problem, layout: Layout) -> int:
    return PLACE * places_of(layout) + inconvenience(facts, layout, PEOPLE) + SIZE * sizes_of(facts, layout)


def test_every_rule_and_the_value_are_kept_and_places_are_fewer() -> None:
    """Never worse at the prices of the exchange on any closet, and on half of them or more fewer places."""
    fewer = 0
    for name, closet in CLOSETS.items():
        facts: Problem = closet(1)
        found = design(facts, LITTLE)
        better = pursue(found, PEOPLE, LITTLE).design
        filling = better.filling
        assert violations(found.parts, better.in_parts.layout) == (), name
        assert violations(facts, filling.layout) == (), name
        assert found.value <= filling.value == value_of(facts, filling.layout) <= found.bound, name
        if found.value < facts.value_of_all:  # else room to spare was made first, perhaps at the cost of places
            assert _cost(facts, filling.layout) <= _cost(facts, found.layout), name
        fewer += places_of(filling.layout) < places_of(found.layout)
    assert 2 * fewer >= len(CLOSETS)


def test_shelves_at_common_heights_count_as_high_as_they_are_built() -> None:
    """Needs of 7, 8 and 10 in (by hand): at 8 and 12 in two heights, and the bay is as much too low as these add."""
    things = [thing(row, "stand", 1, 10, 12, height) for row, height in ((1, 6), (2, 7), (3, 9))]
    facts = problem(things, [run("a", 40, 15, 40)], top=40 * INCH)
    openings = tuple(
        OpeningSketch(OpeningKind.SHELF, thing.height + INCH, (Holding(thing.row, 1),)) for thing in things
    )
    layout = Layout((build_wall(facts, 0, (), [BaySketch(20 * INCH, None, openings)]),))
    held = HeldBays(facts, layout, PEOPLE)
    (room,), (bay,) = held.rooms, held.start
    as_needed = held.figures_of(room, bay, held.width_of(room, bay))
    assert (as_needed.heights, as_needed.over) == ([7 * INCH, 8 * INCH, 10 * INCH], 0)
    held.common = (8 * INCH, 12 * INCH)
    assert held.figures_of(room, bay, held.width_of(room, bay)).heights[:2] == [8 * INCH, 8 * INCH]
    held.common = (8 * INCH, 20 * INCH)
    raised = held.figures_of(room, bay, held.width_of(room, bay))
    left = room.upper - facts.rules.base - 3 * facts.rules.panel
    assert (raised.heights, raised.over) == ([8 * INCH, 8 * INCH, 20 * INCH], 36 * INCH - left)


def test_what_is_left_over_lifts_the_rod_and_what_stands_over_it() -> None:
    """A rod that needs 50 in and a shelf of 7 in in 66 in: counted as the bay that is built with 7 1/2 in more rod."""
    things = [thing(1, "hang", 2, 46, 4), thing(2, "stand", 1, 10, 12, 6)]
    facts = problem(things, [run("a", 40, 15, 66)], top=66 * INCH)
    high, thick = OpeningSketch(OpeningKind.SHELF, 7 * INCH, (Holding(2, 1),)), facts.rules.panel
    layouts = []
    for height in (50 * INCH, 66 * INCH - 7 * INCH - 2 * thick):
        rod = OpeningSketch(OpeningKind.HANG, height, (Holding(1, 2),))
        layouts.append(Layout((build_wall(facts, 0, (), [BaySketch(20 * INCH, rod, (high,))]),)))
        assert violations(facts, layouts[-1]) == ()
    held = HeldBays(facts, layouts[0], PEOPLE)
    (room,), (bay,) = held.rooms, held.start
    rest = held.figures_of(room, bay, held.width_of(room, bay)).rest
    assert rest == 66 * INCH - 50 * INCH - 7 * INCH - 2 * thick
    low, lifted = (inconvenience(facts, layout, PEOPLE) for layout in layouts)
    assert (held.trouble_of(room, bay, 0), held.trouble_of(room, bay, rest)) == (low, lifted)
    assert low < lifted
    assert held.trouble_of(room, bay, 2 * rest) == low  # so much is another shelf's


def test_heights_of_bays_that_stay_cost_the_others_no_size() -> None:
    facts: Problem = CLOSETS["blocked"](3, 12)
    layout = design(facts, LITTLE).layout
    staying = [bay for bay in layout.walls[0].bays if not is_free_of_blocked(facts, 0, bay)]
    heights = Counter(height for bay in staying for height in clear_heights(facts, bay))
    held = HeldBays(facts, layout, PEOPLE)
    assert held.heights_elsewhere == heights
    search = PileSearch(facts, layout, PEOPLE, random.Random(0))
    search._begin()
    assert heights
    assert all(search._heights[height] >= number for height, number in heights.items())


def test_a_search_at_common_heights_makes_fewer_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """On all closets together and two seeds, with heights given out by the same program; at much the same price."""
    heights, costs = {True: 0, False: 0}, {True: 0, False: 0}
    for closet in CLOSETS.values():
        facts: Problem = closet(1, 12)
        layout = design(facts, LITTLE).layout
        for has_common in heights:
            monkeypatch.setattr(pile_search, "COMMON_STEPS", 3200 if has_common else 0)
            for seed in (0, 1):
                search = PileSearch(facts, layout, PEOPLE, random.Random(seed))
                found = search.best(Effort())
                found = in_few_sizes(facts, found, PEOPLE, Effort(), common=search.common)
                heights[has_common] += len(shelf_heights(facts, found))
                costs[has_common] += _cost(facts, found)
    assert heights[True] < heights[False]
    assert costs[True] < 1.02 * costs[False]


@pytest.mark.parametrize("name", CLOSETS)
def test_what_is_counted_step_by_step_is_what_the_bays_cost(name: str) -> None:
    facts: Problem = CLOSETS[name](1, 12)
    search = PileSearch(facts, design(facts, LITTLE).layout, PEOPLE, random.Random(0))

    def counted() -> tuple[float, list[int], Counter[int], Counter[int], Counter[int]]:
        return search._now, [search._over, search._area], +search._moves.lying, +search._heights, +search._taken

    search._search(600, 40.0, 6.0, Effort())
    before = counted()
    search._begin()
    assert before[0] == pytest.approx(search._now, abs=1e-6)
    assert before[1:] == counted()[1:]


def test_where_a_bay_fewer_is_not_enough_the_last_search_begins_with_all(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four openings of 31 in are two bays of 84 in and never one; in few steps the search does not build the other."""
    things = [thing(row, "stand", 2, 9, 12, 30) for row in (1, 2, 3, 4)]
    facts = problem(things, [run("a", 42, 15, 84)])
    bays = [
        BaySketch(
            18 * INCH, None, tuple(OpeningSketch(OpeningKind.SHELF, 31 * INCH, (Holding(row, 2),)) for row in rows)
        )
        for rows in ((1, 2), (3, 4))
    ]
    layout = Layout((build_wall(facts, 0, (), bays),))
    assert violations(facts, layout) == ()
    begun: list[tuple[int, bool]] = []
    searched = PileSearch._search

    def noted(self: PileSearch, steps: int, hot: float, cold: float, effort: Effort) -> tuple[float, list[HeldBay]]:
        self._begin()
        begun.append((steps, self._is_whole()))
        return searched(self, steps, hot, cold, effort)

    monkeypatch.setattr(PileSearch, "_search", noted)
    PileSearch(facts, layout, PEOPLE, random.Random(0)).best(Effort(factor=0.003))
    as_it_is, first, fewer, again, last, _ = begun
    assert (as_it_is[0], first[1], fewer[1]) == (0, True, False)
    assert again == (fewer[0], True)
    assert last[1]


def test_a_search_that_may_do_little_ends_as_cold_as_any(monkeypatch: pytest.MonkeyPatch) -> None:
    """The last search, at common heights, is not cut off while it still takes what is much worse."""
    heats: list[float] = []
    changes = PileSearch._changes_bays

    def noted(self: PileSearch, heat: float, inch: float) -> bool:
        heats.append(heat)
        return changes(self, heat, inch)

    monkeypatch.setattr(PileSearch, "_changes_bays", noted)
    facts, effort = CLOSETS["corner"](1), Effort(factor=0.5)
    layout = design(facts, LITTLE).layout
    with effort.share(len(facts.things) / 40):
        PileSearch(facts, layout, PEOPLE, random.Random(0)).best(effort)
    assert heats[-1] < 1.5 * pile_search.COMMON_COLD


def test_a_budget_is_kept() -> None:
    facts = problem(_household(3), [run("a", 90)])
    most = panel_area(facts, design(facts, LITTLE).layout) * 2 // 3
    facts = replace(facts, most_panel=most)
    found = design(facts, LITTLE)
    filling = pursue(found, PEOPLE, LITTLE).design.filling
    assert panel_area(facts, filling.layout) <= most
    assert filling.value >= found.value


def test_the_same_seed_gives_the_same_layout() -> None:
    facts = CLOSETS["corner"](1)
    found = design(facts, LITTLE)
    once, again = (pursue(found, PEOPLE, Effort(factor=0.1)).design.layout for _ in range(2))
    assert once == again


def _shelf_bay(facts: Problem, left: int, width: int, shelf: int, held: tuple[Holding, Holding]) -> Bay:
    """Two shelf openings, parted by a board whose upper face is at `shelf`."""
    thick, base = facts.rules.panel, facts.rules.base
    first = Opening(OpeningKind.SHELF, base, shelf - thick - base, (held[0],) if held[0].count else ())
    second = Opening(OpeningKind.SHELF, shelf, facts.top - thick - shelf, (held[1],) if held[1].count else ())
    return Bay(left, width, 15 * INCH, (first, second))


def test_parts_of_a_pile_move_together_where_no_opening_has_room_as_it_stands() -> None:
    """Two piles of two each lie half and half in two narrow bays that are as wide as one of each."""
    facts = problem([thing(1, "stand", 2, 8, 12, 6), thing(2, "stand", 2, 8, 12, 9)], [run("a", 40, 15, 84)])
    thick, none = facts.rules.panel, Holding(1, 0)
    empty = Layout(
        (
            WallLayout(
                "a",
                tuple(
                    _shelf_bay(facts, left, 18 * INCH, 34 * INCH, (none, none))
                    for left in (thick, 2 * thick + 18 * INCH)
                ),
            ),
        )
    )
    layout = empty.holding({(0, b, 0): (Holding(1, 1), Holding(2, 1)) for b in (0, 1)})
    assert violations(facts, layout) == ()
    assert places_of(layout) == 2
    made = PileSearch(facts, layout, PEOPLE, random.Random(0)).best(Effort(factor=0.1))
    assert violations(facts, made) == ()
    assert made.stored() == layout.stored()
    assert places_of(made) == 0


def test_things_of_two_bays_change_places_whatever_their_widths() -> None:
    """Daily shirts lie high in one bay, weekly ones at hand in the other, and the bays differ in width."""
    daily, weekly = thing(1, "stand", 4, 8, 12, 6, value=3, owner="A"), thing(2, "stand", 3, 10, 12, 8, owner="A")
    facts = problem([daily, weekly], [run("a", 72, 15, 84)])
    thick, none = facts.rules.panel, Holding(1, 0)
    bays = (
        _shelf_bay(facts, thick, 32 * INCH, 74 * INCH, (none, Holding(1, 4))),
        _shelf_bay(facts, 2 * thick + 32 * INCH, 30 * INCH, 34 * INCH, (none, Holding(2, 3))),
    )
    layout = Layout((WallLayout("a", bays),))
    assert violations(facts, layout) == ()
    assert inconvenience(facts, layout, PEOPLE) == 4 * 3 * 4
    made = PileSearch(facts, layout, PEOPLE, random.Random(0)).best(Effort(factor=0.1))
    made = ease(facts, finish(facts, made), PEOPLE, Effort()).layout  # an empty opening goes under what lies too low
    assert violations(facts, made) == ()
    assert inconvenience(facts, made, PEOPLE) == 0


def test_a_layout_with_a_bay_fewer_keeps_a_large_pile_whole() -> None:
    """A pile of three lies in three bays that are too narrow for it; in two wider bays it lies in one opening."""
    things = [thing(1, "stand", 3, 11, 12, 6), *(thing(row, "stand", 1, 10, 12, 30) for row in (2, 3, 4))]
    facts = problem(things, [run("a", 40, 15, 84)])
    thick = facts.rules.panel
    bays = tuple(
        _shelf_bay(facts, thick + number * (12 * INCH + thick), 12 * INCH, 34 * INCH, (Holding(row, 1), Holding(1, 1)))
        for number, row in enumerate((2, 3, 4))
    )
    layout = Layout((WallLayout("a", bays),))
    made = PileSearch(facts, layout, PEOPLE, random.Random(0)).best(Effort(factor=0.2))
    assert violations(facts, made) == ()
    assert made.stored() == layout.stored()
    assert places_of(layout) == 2
    assert places_of(made) == 0
    assert len(made.walls[0].bays) < 3


def test_where_no_opening_may_change_the_layout_stays() -> None:
    facts = problem([thing(1, "stand", 2, 8, 10, 6)], [run("a", 30)])
    empty = Layout((WallLayout("a", ()),))
    assert PileSearch(facts, empty, PEOPLE, random.Random(0)).best(Effort(factor=0.1)) == empty
