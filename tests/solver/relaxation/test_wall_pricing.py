"""Where bays may stand on a wall with a slope and blocked parts, place by place, by the wording of the rules."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from support.cases import INCH, box, problem, random_things, run

from capacity.layout.problem import BlockedPart, FixedBay, Problem
from capacity.layout.towers import groups_of
from capacity.solver.relaxation.bay_pricing import BayValues
from capacity.solver.relaxation.opening_knapsack import Grid
from capacity.solver.relaxation.structure import open_state
from capacity.solver.relaxation.wall_pricing import Stretch, WallValues, room_between
from capacity.solver.search.wall_parts import divide


def _wall(seed: int, grid: Grid) -> tuple[Problem, WallValues]:
    """A wall of 48 in with a slope, a part blocked in the middle and one from the floor at the right."""
    chance = random.Random(700 + seed)
    parts = box(chance.randint(12, 20), chance.randint(3, 8), 30, 20), box(38, 6, 0, chance.randint(10, 40))
    wall = run("a", 48, 15, chance.choice((96, 88)), chance.choice((70, 96, 88)), *parts)
    facts = problem(random_things(chance, 4, 4), [wall], min_bay=10 * INCH, max_shelf=24 * INCH, max_rod=30 * INCH)
    values = BayValues(facts, groups_of(facts), wall.form, None, grid)
    values.price(np.array([float(group.value) for group in groups_of(facts)]))
    found = WallValues(facts, 0, [values])
    found.price()
    return facts, found


def _spanned(facts: Problem, left: int, right: int) -> list[BlockedPart] | None:
    """The blocked parts that a bay with its clear space from `left` to `right` spans; None where it may not stand."""
    wall, thick, spanned = facts.runs[0], facts.rules.panel, []
    if left < thick or right + thick > wall.width:
        return None
    for part in wall.blocked:
        if right + thick <= part.left or part.right <= left - thick:
            continue
        if not (left <= part.left and part.right <= right):
            return None
        spanned.append(part)
    return spanned


@pytest.mark.parametrize("seed", range(4))
def test_in_a_design_every_place_is_what_the_bay_there_may_be(seed: int) -> None:
    grid = Grid(is_bound=False, step=INCH // 4)
    facts, wall = _wall(seed, grid)
    seen: set[int] = set()
    for place in range(wall.ids.shape[0]):
        for index, size in enumerate(wall.sizes.tolist()):
            left = place * grid.step + facts.rules.panel
            right = left + size * grid.step - facts.rules.panel
            spanned, room = _spanned(facts, left, right), int(wall.ids[place, index])
            assert (room >= 0) is (spanned is not None), (left, right)
            if spanned is not None:
                ceiling = facts.runs[0].ceiling_over(left, right)
                assert wall.rooms[room] == room_between(facts, facts.runs[0], ceiling, spanned, is_bound=False)
                seen.add(len(spanned))
    assert seen >= {0, 1}


@pytest.mark.parametrize("seed", range(4))
def test_in_a_bound_no_place_is_worth_less_than_a_bay_that_it_stands_for(seed: int) -> None:
    """Bays at places and of widths to the tick, by chance; also just beside blocked parts and the end of the wall."""
    chance, grid = random.Random(800 + seed), Grid(is_bound=True, step=INCH)
    facts, wall = _wall(seed, grid)
    (values,), thick, tried = wall.values, facts.rules.panel, 0
    edges = [edge for part in facts.runs[0].blocked for edge in (part.left, part.right)] + [facts.runs[0].width]
    for _ in range(600):
        index = chance.randrange(len(wall.sizes))
        width = chance.randint(int(values.lows[index]), int(values.tops[index]))
        left = chance.randint(thick, facts.runs[0].width - thick)
        if chance.random() < 0.5:  # as near to an edge as may be
            edge = chance.choice(edges)
            left = chance.choice((edge, edge + thick, edge - width, edge - thick - width))
        spanned = _spanned(facts, left, left + width)
        if spanned is None:
            continue
        ceiling = facts.runs[0].ceiling_over(left, left + width)
        exact = values.of(room_between(facts, facts.runs[0], ceiling, spanned, is_bound=True))[index]
        room = int(wall.ids[(left - thick) // grid.step, index])
        assert room >= 0, (left, width)
        assert wall.worth()[room, index] >= exact - 1e-9
        tried += bool(spanned)
    assert tried > 20


def test_a_bound_has_room_for_two_bays_that_stand_to_the_tick_on_both_sides_of_a_thin_part() -> None:
    """Uprights a panel and 1/20 in apart begin at places one apart; a part from the floor up keeps 1 in free."""
    thick, width, thin = 3 * INCH / 4, 14.25 * INCH, INCH / 20
    parts = box(0, 1, 0, 96), box(16.75, 0.05, 0, 96)
    wall = run("a", 1 + (4 * thick + 2 * width + thin) / INCH, 15, 96, None, *parts)
    facts = problem(random_things(random.Random(9), 4, 4), [wall], min_bay=round(width), panel=round(thick))
    values = BayValues(facts, groups_of(facts), wall.form, None, Grid(is_bound=True, step=INCH // 2))
    values.price(np.array([float(group.value) for group in groups_of(facts)]))
    row = WallValues(facts, 0, [values])
    row.price()
    room = room_between(facts, wall, 96 * INCH, (), is_bound=True)
    assert row.best(open_state(facts, ()).stretches[0])[0] >= 2 * float(values.of(room)[0]) > 0


@pytest.mark.parametrize("shares", [True, False])
def test_a_bay_shares_the_upright_that_stands_at_the_start_or_keeps_a_panel_away(shares: bool) -> None:
    """A part keeps the first 1/2 in free; the one bay that there is room for begins there, less than a panel off."""
    wall = run("a", 0.5 + 14 + 2 * 0.75, 15, 96, None, box(0, 0.5, 0, 96))
    facts = problem(random_things(random.Random(9), 4, 4), [wall], min_bay=14 * INCH, panel=3 * INCH // 4)
    values = BayValues(facts, groups_of(facts), wall.form, None, Grid(is_bound=False, step=INCH // 4))
    values.price(np.array([float(group.value) for group in groups_of(facts)]))
    row = WallValues(facts, 0, [values])
    row.price()
    assert (row.best(Stretch(0, 0, wall.width, shares))[0] > 0) is not shares


def test_over_and_under_a_blocked_part_there_is_room_over_a_panel_of_its_own() -> None:
    """By hand: base 4 in, top 84 in, panels of 1 in; parts from 30 to 50 in and from 60 in to the ceiling."""
    facts = problem([], [run("a", 48, 15, 96, None, box(10, 5, 30, 20), box(20, 5, 60, 36))], panel=INCH)
    one, both = (room_between(facts, facts.runs[0], 96 * INCH, facts.runs[0].blocked[:n], False) for n in (1, 2))
    base = facts.rules.base // INCH
    assert (base, facts.rules.panel) == (4, INCH)
    found = [(room.kicked, room.standing, room.more, room.above) for room in (one, both)]
    inches = [(30 - base, 30, (84 - 51,), 12), (30 - base, 30, (60 - 51,), 0)]
    assert found == [(a * INCH, b * INCH, tuple(c * INCH for c in more), d * INCH) for a, b, more, d in inches]


@pytest.mark.parametrize("is_bound", [True, False])
def test_a_row_reaches_to_the_upright_of_a_bay_that_must_be(is_bound: bool) -> None:
    """The one bay that fills what is left of a sloped wall, to the tick, ends between two places of the grid."""
    thick, width = INCH, 20 * INCH + INCH // 8
    facts = problem(random_things(random.Random(9), 4, 4), [run("a", 60, 15, 96, 70)], min_bay=20 * INCH, panel=INCH)
    parts = divide(replace(facts, fixed=(FixedBay(0, 2 * thick + width, 20 * INCH, 15 * INCH),))).problem
    part, grid = parts.runs[0], Grid(is_bound, step=INCH // 2)
    assert part.shares_right
    values = BayValues(parts, groups_of(parts), part.form, None, grid)
    values.price(np.array([float(group.value) for group in groups_of(parts)]))
    wall = WallValues(parts, 0, [values])
    wall.price()
    value, row = wall.best(open_state(parts, ()).stretches[0])
    room = room_between(parts, part, part.ceiling_over(thick, thick + width), (), is_bound)
    index = next(i for i, low in enumerate(values.lows) if low <= width < low + grid.step)
    exact = float(values.of(room)[index])
    assert value >= exact > 0
    if not is_bound:
        (bay,) = row
        assert value == exact
        assert (bay.left, int(wall.sizes[bay.size]) * grid.step - thick + bay.more) == (thick, width)


def test_beside_a_bay_that_must_be_a_sloped_wall_goes_on_where_it_is() -> None:
    facts = problem(random_things(random.Random(9), 4, 4), [run("a", 80, 15, 96, 70)], min_bay=10 * INCH)
    parts = divide(replace(facts, fixed=(FixedBay(0, 20 * INCH, 20 * INCH, 15 * INCH),))).problem
    part, grid = parts.runs[-1], Grid(is_bound=False, step=INCH)
    assert part.offset > 30 * INCH
    wall = WallValues(parts, len(parts.runs) - 1, [BayValues(parts, groups_of(parts), part.form, None, grid)])
    for place in (0, 5, 10):
        left = place * INCH + parts.rules.panel
        right = left + int(wall.sizes[0]) * INCH - parts.rules.panel
        high = facts.runs[0].ceiling_over(left + part.offset, right + part.offset)
        assert wall.rooms[int(wall.ids[place, 0])] == room_between(facts, facts.runs[0], high, (), is_bound=False)


def test_over_a_part_blocked_to_the_ceiling_a_bound_lets_lie_what_ends_below_it_and_a_design_nothing() -> None:
    """The top ends at 84 in; a part from 90 in up leaves 6 in over it, one from 80 in up none at all."""
    for bottom, above in ((90, 6), (80, 0)):
        facts = problem([], [run("a", 48, 15, 96, None, box(10, 5, bottom, 96 - bottom))])
        parts, over = facts.runs[0].blocked, 96 * INCH
        rooms = [room_between(facts, facts.runs[0], over, parts, is_bound) for is_bound in (True, False)]
        assert [room.above for room in rooms] == [above * INCH, 0]


@pytest.mark.parametrize(("slope", "blocked"), [(70, ()), (96, (box(30, 6, 30, 20),)), (96, (box(22.25, 6, 0, 20),))])
def test_a_bay_of_a_design_may_meet_the_upright_of_a_bay_that_must_be(
    slope: float, blocked: tuple[BlockedPart, ...]
) -> None:
    """Its clear space begins at a place of the grid and ends at that upright, between two of them."""
    facts = problem(random_things(random.Random(9), 4, 4), [run("a", 80, 15, 96, slope, *blocked)], min_bay=10 * INCH)
    bay = FixedBay(0, 50 * INCH + INCH // 8, 20 * INCH, 15 * INCH)
    parts = divide(replace(facts, fixed=(bay,))).problem
    part, rules, grid = parts.runs[0], parts.rules, Grid(is_bound=False, step=INCH // 2)
    assert part.shares_right
    wall = WallValues(parts, 0, [BayValues(parts, groups_of(parts), part.form, None, grid)])
    right, seen = part.width - rules.panel, set()
    for index, size in enumerate(wall.sizes.tolist()):
        left = (right // grid.step - size) * grid.step + rules.panel
        spanned = _spanned(parts, left, right)
        lengths = [size * grid.step - rules.panel, right - left]  # the least that it stands for, and what it is
        is_longer = any(lengths[0] <= limit < lengths[1] for limit in (rules.max_shelf, rules.max_rod))
        room = int(wall.meeting[index])
        assert (room >= 0) is (spanned is not None and not is_longer)
        if spanned is not None and not is_longer:
            assert wall.rooms[room] == room_between(parts, part, part.ceiling_over(left, right), spanned, False)
        seen.add((room >= 0, bool(spanned)))
    assert (True, bool(blocked)) in seen
