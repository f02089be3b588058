"""The proof on small walls: beside the best of all layouts, listed; and every stack beside all stacks.

The prover starts from nothing here: no layout, no prices, no bound but that of everything, so that what it proves and
what it finds are its own.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from support.brute_force import best_value
from support.cases import INCH, box, problem, random_things, run, thing
from support.scenes import (
    SMALL,
    above_the_top,
    drawers,
    owners_apart,
    rods_on_the_floor,
    room_to_spare,
    stacks,
    turning,
    two_rows,
)

from capacity.closet.closet import parse_closet
from capacity.layout.fit_rules import stored_value, violations
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.towers import candidate_heights, groups_of, towers_of
from capacity.makeover.files_to_problem import size_problem
from capacity.solver.effort import Effort
from capacity.solver.proof.bay_list import wall_rows
from capacity.solver.proof.branch_and_bound import PIECES, PILES, Prover, prover_of
from capacity.solver.proof.node_relaxation import SURE, ColumnLevel, Node, NodeBay
from capacity.solver.proof.stack_list import StackSpace, most_openings, useful_towers
from capacity.solver.relaxation.bay_pricing import BayValues, Headroom
from capacity.solver.relaxation.opening_knapsack import Grid
from capacity.solver.relaxation.wall_pricing import plain_room
from capacity.wardrobe.inventory import parse_inventory

SCENES = (
    rods_on_the_floor,
    above_the_top,
    drawers,
    room_to_spare,
    two_rows,
    turning,
    owners_apart,
    stacks,
)


def _prover(facts: Problem) -> Prover:
    found = prover_of(facts, facts.value_of_all + 1, np.zeros(len(groups_of(facts))))
    assert found is not None
    return found


@pytest.mark.parametrize("seed", [0, 1, 2])
@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.__name__)
def test_what_is_proven_is_the_best_of_all_layouts(scene: Callable[[random.Random], Problem], seed: int) -> None:
    facts = scene(random.Random(seed))
    best = best_value(facts)
    proof = _prover(facts).run(10**11, 0, Effort())
    assert proof.bound == best
    if best:
        assert proof.layout is not None
        assert violations(facts, proof.layout) == ()
        assert stored_value(facts, proof.layout) == best


@pytest.mark.parametrize("seed", [0, 4, 5, 7])
def test_a_proof_cut_short_is_a_bound_and_goes_on_to_the_same_end(seed: int) -> None:
    chance = random.Random(500 + seed)
    facts = problem(random_things(chance, 6, 9), [run("back", 28)])
    whole = _prover(facts).run(10**11, 0, Effort())
    prover = _prover(facts)
    bounds = [prover.run(1, prover.value, Effort()).bound for _ in range(400)]
    assert bounds == sorted(bounds, reverse=True)
    assert bounds[0] > bounds[-1] == whole.bound
    assert whole.layout is not None
    assert stored_value(facts, whole.layout) == whole.bound


def _cells(bay: NodeBay) -> set[tuple[int, int]]:
    """Each (row, size) that a bay of a box may have; -1 for rows that are not listed."""
    rows = [-1] if bay.rows is None else bay.rows.tolist()
    return set(product(rows, range(bay.low, bay.high + 1)))


@pytest.mark.parametrize("seed", [0, 2])
def test_a_box_is_parted_into_boxes_that_hold_all_of_it_once(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """However it is parted: by what the linear program mixes, and where that uses one bay each."""
    facts = problem(random_things(random.Random(500 + seed), 6, 9), [run("back", 28 + 6 * seed)])
    parted: Counter[str] = Counter()
    split = Prover._split

    def looked_at(self: Prover, number: int, box: Node, chosen: tuple[tuple[ColumnLevel, ...], ...]) -> list[Node]:
        ways = {"mixed": list(split(self, number, box, chosen)), "each": list(self._cut_off(box, chosen))}
        for way, parts in ways.items():
            if not parts:  # its bound is kept instead
                assert int(box.bound + SURE) in self.unclosed
                continue
            parted[way] += 1
            cells = [[_cells(bay) for bay in each.bays] for each in (box, *parts)]
            (index,) = {i for each in cells[1:] for i, mine in enumerate(each) if mine != cells[0][i]}
            assert sorted(cell for each in cells[1:] for cell in each[index]) == sorted(cells[0][index])
            assert all(each[index] for each in cells[1:])
        return ways["mixed"]

    monkeypatch.setattr(Prover, "_split", looked_at)
    _prover(facts).run(2 * 10**9, 0, Effort())
    assert min(parted["mixed"], parted["each"]) >= 3


def _listed(prover: Prover) -> np.ndarray:
    """All stacks of the widest bay of a wall at prices of nothing."""
    wall, last = prover.wall, len(prover.wall.sizes.needs) - 1
    wall.price(np.zeros(len(wall.groups)))
    rows = wall.listed(last, last, np.full(1, -1.0))
    assert rows is not None
    return rows


def test_a_bay_is_parted_by_what_one_of_its_stacks_has_and_each_part_is_smaller() -> None:
    prover = _prover(problem(random_things(random.Random(500), 6, 9), [run("back", 28)]))
    rows = _listed(prover)
    assert len(rows) > 10
    bay = NodeBay(rows, 0, 3)
    for row in rows.tolist():
        first, *others = prover._parted(bay, row)
        assert row in first.rows
        assert others
        assert sorted(each for part in (first, *others) for each in part.rows) == rows.tolist()


def test_a_bay_whose_stacks_are_not_listed_is_parted_by_its_size_alone() -> None:
    """However different the stacks are that the linear program mixes: it may have any other too."""
    prover = _prover(problem(random_things(random.Random(500), 6, 9), [run("back", 28)]))
    prover.run(0, 0, Effort())
    rows = _listed(prover)
    mixed = (ColumnLevel(int(rows[0]), 2, 0.5), ColumnLevel(int(rows[-1]), 2, 0.5))
    box = Node((NodeBay(None, 0, 5),), 99.0, np.zeros(len(prover.wall.groups)))
    parts = [bay for node in prover._split(1, box, (mixed,)) for bay in node.bays]
    assert [(bay.rows, bay.low, bay.high) for bay in parts] == [(None, 2, 2), (None, 0, 1), (None, 3, 5)]


def test_what_is_kept_free_at_the_ends_of_a_wall_is_no_room_for_bays() -> None:
    """By hand: two boxes 6 in wide want a bay of 12 in and two uprights of 1 in, one shelf over 4 in of base."""
    things = [thing(1, "stand", 2, 6, 8, 6, value=3)]
    for free, best in ((13.75, 3), (14, 6)):
        wall = replace(run("back", free + 5, 15, 12), kept_left=2 * INCH, kept_right=3 * INCH)
        facts = problem(things, [wall], top=12, **SMALL)
        assert _prover(facts).run(10**11, 0, Effort()).bound == best


@pytest.mark.parametrize("seed", range(6))
def test_odd_sizes_that_must_be_rounded_give_a_bound_that_no_layout_beats(seed: int) -> None:
    """Widths without a common measure are rounded down in the tables; the layouts found keep every rule."""
    chance = random.Random(600 + seed)
    things = [
        thing(
            row, "stand", chance.randint(1, 4), *(chance.uniform(5, 11) for _ in range(3)), value=chance.randint(1, 3)
        )
        for row in range(1, 5)
    ]
    facts = problem(things, [run("back", chance.uniform(20, 34), 15, 40)], top=40)
    wall = wall_rows(facts, 0, facts.runs[0].width)
    assert wall is not None
    assert not wall.sizes.is_exact
    proof = _prover(facts).run(10**11, 0, Effort())
    assert proof.layout is not None
    assert violations(facts, proof.layout) == ()
    assert stored_value(facts, proof.layout) <= proof.bound <= facts.value_of_all


def test_it_steps_aside_from_slopes_blocked_parts_second_walls_and_large_households() -> None:
    things = random_things(random.Random(1), 5, 4)
    aside = [
        problem(things, [run("a", 40, 15, 96, 80)]),
        problem(things, [run("a", 40, 15, 96, None, box(10, 10, 10, 10))]),
        problem(things, [run("a", 40), run("b", 40)]),
        problem(things, [replace(run("a", 40), fixed=round(38.5 * INCH))]),
        problem([thing(row, "stand", 9, 5, 5, 3 + row / 4, value=1) for row in range(1, 100)], [run("a", 40)]),
    ]
    for facts in aside:
        assert prover_of(facts, facts.value_of_all, np.zeros(len(groups_of(facts)))) is None


@pytest.mark.parametrize("seed", range(6))
def test_every_stack_that_is_needed_is_beaten_by_a_listed_one_and_no_listed_one_by_another(seed: int) -> None:
    """All numbers of openings that fit and that the pieces owned can need, tried one by one."""
    chance = random.Random(700 + seed)
    facts = problem(random_things(chance, 4, 3), [run("back", 40, 15, 50)], top=50)
    groups, room, thick = groups_of(facts), plain_room(facts, facts.runs[0]), facts.rules.panel
    towers = useful_towers(groups, towers_of(facts, groups, facts.runs[0].spot))
    candidates = candidate_heights(towers, room.standing - thick)
    space = StackSpace(groups, towers, room, thick)
    assert space.candidates == candidates
    listed, _ = space.listed(np.zeros((len(candidates), 1)), np.zeros(1))
    assert listed is not None
    limits = [most_openings(groups, towers, *item) for item in candidates]
    same = [[i for i, (kind, height) in enumerate(candidates) if kind is k and height >= h] for k, h in candidates]

    def cumulative(counts: tuple[int, ...]) -> np.ndarray:
        return np.array([sum(counts[i] for i in each) for each in same])

    listed_sums = np.array([cumulative(tuple(row)) for row in listed.tolist()])
    tried = 0
    for counts in product(*(range((room.standing // (height + thick)) + 1) for _, height in candidates)):
        has_rod = any(n and kind is OpeningKind.HANG for n, (kind, _) in zip(counts, candidates, strict=True))
        used = sum(n * (height + thick) for n, (_, height) in zip(counts, candidates, strict=True))
        sums = cumulative(counts)
        if used <= (room.standing if has_rod else room.kicked) and (sums <= limits).all():
            tried += 1
            assert (listed_sums >= sums).all(axis=1).any()
    assert tried >= len(listed) > 0
    for index, sums in enumerate(listed_sums):
        beats = (listed_sums >= sums).all(axis=1)
        assert beats.sum() == 1, listed[index]


@pytest.mark.parametrize("seed", range(3))
def test_a_listing_for_what_is_worth_enough_leaves_out_nothing_that_is(seed: int) -> None:
    chance = random.Random(900 + seed)
    facts = problem(random_things(chance, 5, 5), [run("back", 50, 15, 60)], top=56)
    groups = groups_of(facts)
    towers = useful_towers(groups, towers_of(facts, groups, facts.runs[0].spot))
    space = StackSpace(groups, towers, plain_room(facts, facts.runs[0]), facts.rules.panel)
    worth = np.array([[chance.random() * height for _ in range(3)] for _, height in space.candidates])
    every, _ = space.listed(worth, np.zeros(3))
    assert every is not None
    totals = every @ worth
    needed = np.array([np.quantile(totals[:, size], 0.9) for size in range(3)])
    expected = {tuple(row) for row, total in zip(every.tolist(), totals, strict=True) if (total >= needed).any()}
    found, _ = space.listed(worth, needed - 1e-6)
    assert found is not None
    assert expected <= {tuple(row) for row in found.tolist()}
    assert len(found) < len(every)


@pytest.mark.parametrize("seed", range(3))
def test_listed_bays_are_worth_what_the_recursion_over_heights_says(seed: int) -> None:
    """With so many pieces that no count limits the stacks, at prices at which a bay takes all it can."""
    chance = random.Random(800 + seed)
    things = [replace(item, count=60) for item in random_things(chance, 4, 2)]
    facts = problem(things, [run("back", 60, 15, 60)], top=44)
    groups = groups_of(facts)
    prices = np.array([chance.random() * group.value for group in groups])
    wall = wall_rows(facts, 0, facts.runs[0].width)
    assert wall is not None
    wall.price(prices)
    last = len(wall.sizes.needs) - 1
    rows = wall.listed(0, last, np.full(last + 1, -1.0))
    assert rows is not None
    each = wall.worth(rows, 0, last)
    worth = np.maximum.accumulate(each.max(axis=0))  # a bay for rods only may be worth less than a narrower one
    values = BayValues(facts, groups, facts.runs[0].form, None, Grid(False, INCH // 4, 10_000, 10_000))
    values.price(prices)
    plain = plain_room(facts, facts.runs[0])
    found = np.maximum.accumulate(values.of(Headroom(plain.kicked, plain.standing, (), plain.above)))
    equal = 0
    for index, size in enumerate(values.sizes):
        width = int(size) * (INCH // 4) - facts.rules.panel
        at = int(np.searchsorted(wall.sizes.needs, width, side="right")) - 1
        assert worth[at] <= found[index] + 1e-9
        equal += bool(worth[at] >= found[index] - 1e-9)
        for row in (int(rows[each[:, at].argmax()]), wall.best_row(at)):
            held = sum(prices[group] * pieces for group, pieces in wall.contents(row, at).items())
            assert held == pytest.approx(each[:, at].max())
    assert equal == len(values.sizes)


def test_a_proof_is_begun_for_one_plain_wall_and_so_few_things_as_it_has_ever_succeeded_with() -> None:
    def made(*counts: int, runs: int = 1, **more: int) -> Prover | None:
        things = [thing(row, "stand", count, 6, 8, 6) for row, count in enumerate(counts, 1)]
        facts = replace(problem(things, [run(f"wall {n}", 28) for n in range(runs)]), **more)
        return prover_of(facts, facts.value_of_all, np.zeros(len(groups_of(facts))))

    assert made(PIECES) is not None
    assert made(PIECES + 1) is None
    assert made(*[1] * PILES) is not None
    assert made(*[1] * (PILES + 1)) is None
    assert made(1, runs=2) is None
    assert made(1, most_panel=10**12) is None


def test_a_worse_row_of_bays_takes_nothing_from_what_is_known() -> None:
    facts = problem(random_things(random.Random(500), 6, 9), [run("back", 28)])
    prover = _prover(facts)
    best = prover.run(10**11, 0, Effort()).bound
    rows = list(prover.filled)
    assert min(filling.value for filling in prover.filled.values()) < best
    prover.filled.clear()
    prover.layout = None
    for row in rows:
        assert prover._fill(row).value <= best
        assert (prover.value, prover.layout) == (best, None)


@pytest.mark.parametrize("seed", range(6))
def test_a_box_is_narrowed_to_what_the_wall_has_room_for_and_loses_no_row_of_bays(seed: int) -> None:
    """Beside all pairs of bays of the box that fit: the larger first, and of one size that of the lower row."""
    chance = random.Random(seed)
    things = random_things(random.Random(500), 6, 9)
    wide = _prover(problem(things, [run("back", 52)]))
    size = int(chance.choice(wide.wall.sizes.needs[10:30]))  # two bays just so wide fill the wall
    prover = _prover(problem(things, [run("back", (2 * size + 52 * INCH - wide.free(2)) / INCH)]))
    needs = prover.wall.sizes.needs
    assert prover.free(2) == 2 * size
    last, looked_at, alike = len(needs) - 1, 0, 0
    for _ in range(60):
        low, high = ([chance.randint(0, last), chance.randint(0, last)] for _ in range(2))
        if chance.random() < 0.5:  # of that size, which leaves no room to widen either
            low[0] = low[1] = high[0] = high[1] = needs.tolist().index(size)
        ends = [(min(pair), max(pair)) for pair in zip(low, high, strict=True)]
        rows = [np.array(sorted(chance.sample(range(8), chance.randint(2, 5)))) for _ in ends]
        bays = tuple(NodeBay(each, *pair) for each, pair in zip(rows, ends, strict=True))
        narrowed = prover._narrowed(2, Node(bays, 99.0, np.zeros(len(prover.wall.groups))))
        if narrowed is None:  # nothing is left, or every one could be widened, and the wider is in another box
            continue
        looked_at, alike = looked_at + 1, alike + (low == high)
        one, two = narrowed.bays
        assert one.high >= two.high
        assert one.low >= two.low
        for bay, pair in zip((one, two), ends, strict=True):
            assert pair[0] <= bay.low <= bay.high <= pair[1]
        for first, second in product(range(ends[0][0], ends[0][1] + 1), range(ends[1][0], ends[1][1] + 1)):
            if first < second or int(needs[first] + needs[second]) > prover.free(2):
                continue
            assert one.low <= first <= one.high
            assert two.low <= second <= two.high
            for row, other in product(rows[0].tolist(), rows[1].tolist()):
                if first > second or row <= other:
                    assert row in one.rows
                    assert other in two.rows
    assert alike > 2 < looked_at - alike


@pytest.mark.parametrize(("max_shelf", "max_rod"), [(14, 18), (18, 14), (14, 30), (30, 14)])
@pytest.mark.parametrize("width", [17, 19, 34])
def test_no_bay_is_widened_beyond_what_its_shelves_or_rods_may_be(max_shelf: int, max_rod: int, width: int) -> None:
    """The best of all layouts, listed: two boxes or garments in bays that may be wider for the other kind alone."""
    things = [thing(1, "stand", 3, 7, 8, 6, value=3), thing(2, "hang", 4, 20, 8, value=2)]
    limits = {"max_shelf": max_shelf * INCH, "max_rod": max_rod * INCH}
    facts = problem(things, [run("back", width)], top=30, **limits)
    assert _prover(facts).run(10**11, 0, Effort()).bound == best_value(facts) > 0


@pytest.mark.parametrize("limits", [{"max_rod": 20}, {"max_shelf": 20}, {}])
def test_a_box_is_left_out_only_where_each_of_its_rows_has_a_bay_that_can_be_widened(limits: dict[str, int]) -> None:
    """A bay just so wide as a rod may be cannot, though wider ones of the same box can."""
    chance = random.Random(4)
    in_ticks = {name: limit * INCH for name, limit in limits.items()}
    prover = _prover(problem(random_things(random.Random(500), 6, 9), [run("back", 52)], **in_ticks))
    needs, rules = prover.wall.sizes.needs, prover.wall.problem.rules
    narrow, left_out = min(rules.max_shelf, rules.max_rod), 0
    for _ in range(200):
        ends = [sorted(chance.choices(range(len(needs)), k=2)) for _ in range(2)]
        bays = tuple(NodeBay(None, low, high) for low, high in ends)
        if prover._narrowed(2, Node(bays, 99.0, np.zeros(len(prover.wall.groups)))) is not None:
            continue
        for row in product(*(range(low, high + 1) for low, high in ends)):
            spare = prover.free(2) - sum(int(needs[size]) for size in row)
            if row[0] < row[1] or spare < 0:
                continue
            left_out += 1
            assert any(
                size + 1 < len(needs)
                and needs[size + 1] - needs[size] <= spare
                and not needs[size] <= narrow < needs[size + 1]
                for size in row
            )
    assert left_out > 500


def test_a_bay_of_which_heights_to_the_tick_leave_no_stack_is_done_with() -> None:
    """Heights on odd ticks: units of height, rounded down, promise one shelf more than there is room."""
    closet = parse_closet(
        """units = "in"
ceiling = 22
top = "55.2456250 cm"
panel = { thickness = "1/2 in", sheet = [48, 96] }
wall = [{ name = "left", width = 16, depth = 18 }]
[wishes]
toe_kick = 2
min_bay = 12
max_shelf = 24
max_rod = 14
spare = 0.2
play = 0
least_opening = 0
least_drawer = 0
highest_drawer = 0
round = 0
pitch = 0
"""
    )
    inventory = parse_inventory(
        """what,count,owner,use,width,depth,height
sheet set,7,Ada,daily,10 1/4,14 3/4,8.2552125 cm
handbag,1,Ben,daily,8.5,13,24.7649000 cm
suitcase,3,Ada,seasonal,11.5,7 3/4,9
""",
        "in",
    )
    facts = size_problem(closet, inventory)
    assert _prover(facts).run(10**11, 0, Effort()).bound == 12
    assert _prover(facts).run(10**11, 12, Effort()).bound == 12
