"""Pricing against plain recursions written from the fit rules, and the bound against known optima.

Nothing here shares code with the tables: openings are filled by trying every number of columns of every pile, bays
by trying every opening at every height, rows of bays by trying every place.
"""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from ortools.linear_solver import pywraplp
from support.cases import INCH, bank, box, problem, random_things, run, thing

from capacity.layout.fit_rules import violations
from capacity.layout.layout import value_of
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.towers import Tower, groups_of, room_of, towers_of
from capacity.solver.effort import Effort
from capacity.solver.filling.patterns import pattern_filling
from capacity.solver.relaxation.bay_pricing import BayValues, Counted, Headroom
from capacity.solver.relaxation.master import Master
from capacity.solver.relaxation.opening_knapsack import Grid
from capacity.solver.relaxation.structure import empty_structure, open_state
from capacity.solver.relaxation.value_bound import FINE, bound_choices, design_master, priced_again
from capacity.solver.relaxation.wall_pricing import Stretch, WallValues, plain_room
from capacity.solver.search.diving import dive
from capacity.solver.search.wall_parts import divide

EXACT = Grid(is_bound=False, step=INCH // 4, most=10_000, tall=10_000)


def _best_content(facts: Problem, towers: list[Tower], height: int, room: int, prices: list[float]) -> float:
    """The best contents of one opening by trying every number of columns of every pile and turning."""
    groups = groups_of(facts)
    lines: dict[int, list[tuple[int, int]]] = {}
    for group in range(len(groups)):
        for turned in (False, True):
            fitting = [t for t in towers if t.group == group and t.turned is turned and t.need <= height]
            if fitting:
                best = max(fitting, key=lambda tower: tower.pieces)
                lines.setdefault(group, []).append((best.width, best.pieces))
    order = sorted(lines)

    @cache
    def rest(index: int, left: int) -> float:
        if index == len(order):
            return 0.0
        group = order[index]
        options = [(0, 0)]
        for width, pieces in lines[group]:
            options = [
                (taken + k * width, number + k * pieces)
                for taken, number in options
                for k in range((left - taken) // width + 1)
            ]
        return max(
            prices[group] * min(number, groups[group].count) + rest(index + 1, left - taken)
            for taken, number in options
        )

    return rest(0, room)


def _width_taken(towers: list[Tower], height: int, holds: dict[tuple[int, bool], int]) -> int:
    """Width that pieces take, each pile in its highest columns, turned or not as is said [ticks]."""
    taken = 0
    for (group, turned), pieces in holds.items():
        fitting = [t for t in towers if (t.group, t.turned) == (group, turned) and t.need <= height]
        best = max(fitting, key=lambda tower: tower.pieces)
        taken += -(-pieces // best.pieces) * best.width
    return taken


@pytest.mark.parametrize("seed", range(8))
def test_openings_hold_what_trying_everything_finds(seed: int) -> None:
    chance = random.Random(seed)
    facts = problem(random_things(chance, 5, 6), [run("back", 60)], rows_deep=1 + seed % 2)
    groups = groups_of(facts)
    values = BayValues(facts, groups, facts.runs[0].form, None, EXACT)
    prices = [chance.choice((0.0, 0.5, 1.0, 1.7, 2.0, 3.0)) for _ in groups]
    values.price(np.array(prices))
    towers = towers_of(facts, groups, facts.runs[0].spot)
    compared = 0
    for kind in OpeningKind:
        mine = [tower for tower in towers if tower.kind is kind]
        for height in sorted({tower.need for tower in mine if tower.need < facts.top}):
            for width in (13 * INCH, 23 * INCH + INCH // 4, 36 * INCH):
                expected = _best_content(facts, mine, height, room_of(facts.rules, kind, width), prices)
                assert values.opening_value(kind, height, width) == pytest.approx(expected, abs=1e-9)
                holds = values.opening_contents(kind, height, width)
                assert sum(prices[group] * number for (group, _), number in holds.items()) == pytest.approx(expected)
                assert _width_taken(mine, height, holds) <= room_of(facts.rules, kind, width)
                compared += 1
    assert compared >= 6


@pytest.mark.parametrize("seed", range(10))
def test_bays_are_the_best_of_all_stacks(seed: int) -> None:
    """Every stack of openings on the toe kick or on a floor-standing rod, with what lies on top, for some widths.

    For odd seeds panel has a price: each opening costs the panel over it, a toe kick the bottom panel, a bay its
    upright and its share, by width, of the one more that the wall has. From seed 6 on branching charges bays from some
    width on, openings of a kind from some height or width on, and bays of somebody else, which these are not.
    """
    chance = random.Random(100 + seed)
    ceiling = chance.choice((84, 90, 96))
    walls = [run("back", 60, 15, ceiling), run("side", 40, 15, ceiling)]  # the share is by the widest
    facts = problem(random_things(chance, 4, 5), walls, top=84)
    groups, rules = groups_of(facts), facts.rules
    values = BayValues(facts, groups, facts.runs[0].form, None, EXACT)
    prices = np.array([chance.random() * group.value for group in groups])
    board = seed % 2 / (900 * INCH * INCH)
    towers = towers_of(facts, groups, facts.runs[0].spot)
    heights = sorted({(tower.kind, tower.need) for tower in towers})
    middle = int(values.sizes[len(values.sizes) // 2])
    if seed > 5:
        kind, height = chance.choice(heights)
        values.charges = {
            Counted("", 0, middle): 0.4, Counted("", 0, 0): 0.1, Counted(kind.value, height, 0): 0.3,
            Counted(kind.value, 0, middle): 0.2, Counted(kind.value, 0, 0, "somebody else"): 9.0,
        }  # fmt: skip

    def charged(kind: str, height: int, size: int) -> float:
        mine = [each for each in values.charges if each.kind == kind and not each.owner]
        return sum(values.charges[each] for each in mine if each.height <= height and each.size <= size)

    values.price(prices, panel=board)
    above = (ceiling - 84) * INCH
    found = values.of(Headroom(84 * INCH - rules.base, 84 * INCH, (), above))
    for index in (0, len(values.sizes) // 3, len(values.sizes) // 2, len(values.sizes) - 1):
        size = int(values.sizes[index])
        width = size * EXACT.step - rules.panel
        is_wide = width > rules.max_shelf
        worth = {
            item: values.opening_value(item[0], item[1], width)
            for item in heights
            if not (is_wide and item[0] is not OpeningKind.HANG)
        }

        @cache
        def stack(room: int, worth: tuple[tuple[int, float], ...]) -> float:
            best = 0.0
            for height, value in worth:
                if height + rules.panel <= room and value > 0:
                    best = max(best, value + stack(room - height - rules.panel, worth))
            return best

        panel = board * width * 15 * INCH
        net = {item: value - panel - charged(item[0].value, item[1], size) for item, value in worth.items()}
        every = tuple((height, value) for (_, height), value in net.items())
        expected = stack(84 * INCH - rules.base, every) - panel
        for (kind, height), value in net.items():
            if kind is OpeningKind.HANG and height + rules.panel <= 84 * INCH:
                expected = max(expected, value + stack(84 * INCH - height - rules.panel, every))
        top = [value for (kind, height), value in worth.items() if kind is OpeningKind.SHELF and height <= above]
        expected += max(top, default=0.0)
        uprights = board * 84 * 15 * INCH * INCH * (1 + (width + rules.panel) / facts.runs[0].width)
        expected -= uprights + charged("", 0, size)
        assert found[index] == pytest.approx(expected, abs=1e-9)
        stacked = values.stack(Headroom(84 * INCH - rules.base, 84 * INCH, (), above), index)
        panels = len(stacked.openings) + 1
        spent = panels * panel + uprights + charged("", 0, size)
        spent += sum(charged(kind.value, height, size) for kind, height in stacked.openings)
        spent += charged("hang", stacked.floor, size) if stacked.floor is not None else 0.0
        assert sum(prices[g] * n for g, n in stacked.contents().items()) - spent == pytest.approx(expected, abs=1e-9)


def test_bays_are_as_wide_as_the_marks_that_are_wished_for_in_a_design_and_in_a_bound() -> None:
    """Widths in steps of 1/4 in less a panel of 23/32 in lie on no mark of 1/8 in; they are cut back to one."""
    facts = problem([thing(1, "stand", 3, 7, 9, 6)], [run("back", 60)], panel=23 * INCH // 32, mark=INCH // 8)
    values = BayValues(facts, groups_of(facts), facts.runs[0].form, None, EXACT)
    free = [size * EXACT.step - facts.rules.panel for size in values.sizes.tolist()]
    assert any(width % (INCH // 8) for width in free)
    assert values.tops.tolist() == [width // (INCH // 8) * (INCH // 8) for width in free]
    bound = BayValues(facts, groups_of(facts), facts.runs[0].form, None, Grid(True, INCH // 4))
    widest = [(size + 1) * INCH // 4 - facts.rules.panel - 1 for size in bound.sizes.tolist()]
    assert any(width % (INCH // 8) for width in widest)
    assert bound.tops.tolist() == [width // (INCH // 8) * (INCH // 8) for width in widest]


@pytest.mark.parametrize("seed", range(4))
def test_drawers_stand_lowest_where_they_may_not_end_higher(seed: int) -> None:
    """Of 40 in over the bottom panel drawers may take so much; over a rod on the floor a design has none."""
    chance = random.Random(500 + seed)
    things = [
        thing(1, "drawer", 6, 7, 9, 1.5, value=3), thing(2, "drawer", 4, 9, 8, 3),
        thing(3, "stand", 4, 8, 10, 8, value=2), thing(4, "hang", 6, 25, 2, value=1 + seed % 2),
    ]  # fmt: skip
    facts = problem(things, [run("back", 60)], top=44, highest_drawer=16 * INCH)
    groups, panel = groups_of(facts), facts.rules.panel
    values = BayValues(facts, groups, facts.runs[0].form, None, EXACT)
    prices = np.array([chance.random() * group.value for group in groups]) / 20
    values.price(prices)
    heights = sorted({(tower.kind, tower.need) for tower in towers_of(facts, groups, facts.runs[0].spot)})
    room, limit = 40 * INCH, chance.choice((0, 7, 11, 16)) * INCH
    for index in (0, len(values.sizes) // 2):
        width = int(values.sizes[index]) * EXACT.step - panel
        worth = [(kind, height + panel, values.opening_value(kind, height, width)) for kind, height in heights]
        mine = tuple((cost, value) for kind, cost, value in worth if kind is OpeningKind.DRAWER)
        others = tuple((cost, value) for kind, cost, value in worth if kind is not OpeningKind.DRAWER)

        @cache
        def stack(left: int, kinds: tuple[tuple[int, float], ...]) -> float:
            return max([0.0, *(value + stack(left - cost, kinds) for cost, value in kinds if cost <= left)])

        expected = max(stack(low, mine) + stack(room - low, others) for low in range(0, limit + 1, INCH // 4))
        for standing in (-1, room):
            if standing > 0:
                rods = [(cost, value) for kind, cost, value in worth if kind is OpeningKind.HANG and cost <= standing]
                expected = max([expected, *(value + stack(standing - cost, others) for cost, value in rods)])
            headroom = Headroom(room, standing, (), 0, (limit,))
            assert values.of(headroom)[index] == pytest.approx(expected, abs=1e-9)
            stacked = values.stack(headroom, index)
            assert sum(prices[group] * n for group, n in stacked.contents().items()) == pytest.approx(expected)
            drawn = [height + panel for kind, height in stacked.openings if kind is OpeningKind.DRAWER]
            assert sum(drawn) <= limit
            assert [kind for kind, _ in stacked.openings[: len(drawn)]] == [OpeningKind.DRAWER] * len(drawn)


@pytest.mark.parametrize(("count", "owner"), [(1, None), (2, None), (1, "A"), (1, "B")])
def test_a_bank_adds_what_each_of_its_drawers_holds_to_what_stands_over_it(count: int, owner: str | None) -> None:
    """Where owners are apart, of what belongs to the one who has the bay, or to all."""
    things = [
        thing(1, "drawer", 4, 7, 9, 1.5, value=3, owner="A"), thing(2, "drawer", 3, 9, 8, 3, value=1, owner="B"),
        thing(3, "stand", 4, 8, 10, 8, value=2),
    ]  # fmt: skip
    facts = problem(things, [run("back", 60, 15, 40)], top=40, owners_apart=owner is not None)
    facts = replace(facts, fixed=(bank(facts, 2, 20, count, 7),))
    parts = divide(facts).problem
    (wall,) = [part for part in parts.runs if part.fixed]
    groups, panel, prices = groups_of(parts), facts.rules.panel, [3.0, 0.7, 1.9]
    values = BayValues(parts, groups, wall.form, owner, EXACT)
    values.price(np.array(prices))
    given = [tower for tower in towers_of(parts, groups, wall.prescribed_spot) if tower.kind is OpeningKind.DRAWER]
    given = [tower for tower in given if owner is None or groups[tower.group].owner == owner]
    drawer = _best_content(parts, given, 7 * INCH, room_of(facts.rules, OpeningKind.DRAWER, 20 * INCH), prices)
    shelf = values.opening_value(OpeningKind.SHELF, 9 * INCH, 20 * INCH)
    over = 40 * INCH - facts.rules.base - count * (7 * INCH + panel)
    number = over // (9 * INCH + panel)
    assert min(drawer, shelf) > 0
    assert number == 2
    room = plain_room(parts, wall)
    assert values.of(room).tolist() == pytest.approx([count * drawer + number * shelf])
    row = WallValues(parts, parts.runs.index(wall), [values])
    row.price()
    stretch = open_state(parts, ()).stretches[row.index]
    assert row.best(stretch) == (pytest.approx(count * drawer + number * shelf), [row.placed(0, 0)])
    assert row.placed(0, 0).more == 0
    stacked = values.stack(room, 0)
    assert stacked.openings[:count] == ((OpeningKind.DRAWER, 7 * INCH),) * count
    assert sum(prices[group] * pieces for group, pieces in stacked.contents().items()) == pytest.approx(
        count * drawer + number * shelf
    )


def test_an_opening_too_low_for_everything_is_worth_nothing() -> None:
    facts = problem([thing(1, "stand", 3, 8, 10, 8, value=3)], [run("back", 60)])
    values = BayValues(facts, groups_of(facts), facts.runs[0].form, None, EXACT)
    values.price(np.array([3.0]))
    worth = [values.opening_value(OpeningKind.SHELF, height * INCH, 20 * INCH) for height in (8, 9)]
    assert worth == [0.0, 6.0]
    assert values.opening_contents(OpeningKind.SHELF, 8 * INCH, 20 * INCH) == {}


@pytest.mark.parametrize("seed", range(6))
def test_a_row_of_bays_beside_a_blocked_part_is_the_best_of_all_places(seed: int) -> None:
    """From seed 4 on a part from floor to ceiling, so that the bays on its two sides share no upright."""
    chance = random.Random(200 + seed)
    slope, part = 96 if seed % 2 else 70, box(18, 10, 30, 20) if seed < 4 else box(18, seed - 1, 0, 96)
    facts = problem(random_things(chance, 4, 4), [run("a", 48, 15, 96, slope, part)], min_bay=14 * INCH)
    step = INCH if seed < 4 else INCH // 2
    groups, grid = groups_of(facts), Grid(is_bound=False, step=step, most=10_000, tall=10_000)
    values = BayValues(facts, groups, facts.runs[0].form, None, grid)
    values.price(np.array([float(group.value) for group in groups]))
    wall = WallValues(facts, 0, [values])
    wall.price()
    thick, sizes = facts.rules.panel, [int(size) for size in wall.sizes]

    @cache
    def rest(place: int, must_touch: bool) -> float:
        """Best from an upright at `place` [units]; `must_touch`: it stands there, a gap is a panel at least."""
        best = 0.0
        for start in range(place, wall.ids.shape[0]):
            if must_touch and 0 < (start - place) * grid.step < thick:
                continue
            for index, size in enumerate(sizes):
                end = start + size
                if end * grid.step + thick > facts.runs[0].width:
                    continue
                room = int(wall.ids[start, index])
                if room >= 0:
                    best = max(best, float(wall.worth()[room, index]) + rest(end, True))
        return best

    for shares in (False, True):  # in the second an upright stands at the start already
        value, row = wall.best(Stretch(0, 0, facts.runs[0].width, shares))
        assert value == pytest.approx(rest(0, shares), abs=1e-9)
        worth = [float(wall.worth()[wall.rooms.index(placed.room), placed.size]) for placed in row]
        assert sum(worth) == pytest.approx(value)
        assert not any(placed.more for placed in row)
    assert seed < 4 or len(row) == 2


def test_the_fine_grid_finds_prices_of_its_own_that_bound_lower() -> None:
    """396.05 at the prices of the grid of designs and 395.56 at its own: one unit of value less can be stored."""
    facts = problem(random_things(random.Random(1), 9, 40), [run("a", 70), run("b", 55)])
    master, fine = design_master(facts), Master(facts, FINE)
    for each in (master, fine):
        each.set_state(open_state(facts, ()))
    once = fine.price(master.generate(40).at)
    choices = bound_choices(facts, master, Effort(), facts.value_of_all)
    assert choices[0].whole == int(once)
    assert priced_again(facts, master, choices, 0, Effort())[0].whole < int(once)
    over = Effort(factor=0.0)
    with over.share(1.0):
        assert [item.bound for item in priced_again(facts, master, choices, 0, over)] == [choices[0].bound]


@pytest.mark.parametrize("seed", range(4))
def test_a_dive_gives_a_layout_that_keeps_every_rule_and_stays_below_the_bound(seed: int) -> None:
    chance = random.Random(300 + seed)
    walls = [run("a", 60), run("b", 70, 15, 96, 80 if seed == 2 else 96, *([box(20, 20, 40, 20)] if seed == 3 else []))]
    facts = problem(random_things(chance, 7, 8, ("A", "B", None)), walls, owners_apart=seed == 1)
    master, effort = design_master(facts), Effort()
    choices = bound_choices(facts, master, effort, facts.value_of_all)
    for how in (None, random.Random(1)):
        layout = pattern_filling(master, dive(master, empty_structure(facts, choices[0].owners), how, effort), effort)
        assert violations(facts, layout) == ()
        assert 0 < value_of(facts, layout) <= choices[0].whole


def test_the_bound_does_not_depend_on_how_early_the_prices_stop() -> None:
    """Any prices bound the value: after one step, after three, and at the end, each at least the last one."""
    facts = problem(random_things(random.Random(5), 6, 20), [run("a", 50)])
    bounds = []
    for steps in (1, 3, 40):
        master = Master(facts, FINE)
        master.set_state(open_state(facts, ()))
        bounds.append(master.generate(steps).bound)
    assert bounds[0] >= bounds[1] >= bounds[2] > 0


@pytest.mark.parametrize("seed", range(6))
def test_rounding_for_designs_never_exceeds_rounding_for_bounds(seed: int) -> None:
    """Odd sizes without a common grid: the same prices give a design grid no more than the bound grid."""
    chance = random.Random(400 + seed)
    things = random_things(chance, 6, 12)
    facts = problem(things, [run("a", 47.3)], panel=23 * INCH // 32 + chance.randrange(100))
    prices = np.array([chance.random() * group.value for group in groups_of(facts)])
    found = []
    for grid in (Grid(False, INCH // 2, 300, 300), Grid(False, INCH // 4), Grid(True, INCH // 16, 3000, 6000)):
        master = Master(facts, grid)
        master.set_state(open_state(facts, ()))
        found.append(master.price(prices))
    assert found[0] <= found[1] + 1e-9 <= found[2] + 2e-9


def test_a_wall_on_which_no_bay_can_stand_leaves_the_others_alone() -> None:
    """A hatch from floor to top takes the middle of a narrow wall: no bay goes beside or around it."""
    things = random_things(random.Random(7), 4, 5)
    alone = problem(things, [run("a", 40)])
    beside = problem(things, [run("a", 40), run("b", 20, 15, 96, None, box(6, 8, 0, 96))])
    taken = problem(things, [run("a", 40), run("b", 13, 15, 96, None, box(1, 12, 20, 40))])
    (expected,) = bound_choices(alone, design_master(alone), Effort(), alone.value_of_all)
    for facts in (beside, taken):
        (found,) = bound_choices(facts, design_master(facts), Effort(), facts.value_of_all)
        assert found.bound == pytest.approx(expected.bound, abs=1e-9)


class _Lost:
    """A linear solver that ends abnormally so often before it finds the end, as it did on one of 3,600 columns."""

    def __init__(self, solver: object, times: int) -> None:
        self._real, self._times, self._lost = solver, times, 0

    def __getattr__(self, name: str) -> object:
        return getattr(self._real, name)

    def Solve(self, *parameters: object) -> int:  # noqa: N802 (the solver's own name)
        self._lost += 1
        if self._lost <= self._times:
            return int(pywraplp.Solver.ABNORMAL)
        self._lost = 0
        return int(self._real.Solve(*parameters))  # type: ignore[attr-defined]


@pytest.mark.parametrize("times", [1, 2])
def test_a_linear_program_that_ends_abnormally_is_solved_again_another_way(times: int) -> None:
    facts = problem(random_things(random.Random(8), 6, 9), [run("a", 60)])
    one, other = design_master(facts), design_master(facts)
    other._solver = _Lost(other._solver, times)
    for master in (one, other):
        master.set_state(open_state(facts, ()))
    assert other.generate(40).bound == pytest.approx(one.generate(40).bound, abs=1.0)
    other._solver = _Lost(other._solver, 3)
    with pytest.raises(AssertionError, match="ended with status 4"):
        other.solve()
