"""Chains of piles that go elsewhere in turn: nothing is lost on the way, and what gives trouble goes."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

import pytest
from support.cases import INCH, problem, run, thing
from support.reach_closets import CLOSETS, PEOPLE

from capacity.layout.fit_rules import violations
from capacity.layout.layout import Holding, Layout
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.reach_zones import OVER_EYE, OVER_SHOULDER, inconvenience
from capacity.layout.sketches import BaySketch, OpeningSketch, build_wall
from capacity.solver.effort import Effort
from capacity.solver.goals.ejection_chains import EjectionChains
from capacity.solver.goals.held_bays import HeldBay, HeldBays
from capacity.solver.goals.pile_moves import PileMoves
from capacity.solver.search.design import design

LITTLE = Effort(factor=0.1)


def _pieces(bays: Iterable[HeldBay]) -> Counter[int]:
    found: Counter[int] = Counter()
    for bay in bays:
        for item in (*bay.openings, bay.above):
            for index, count in item.pieces:
                found[index] += count
    return found


@pytest.mark.parametrize("name", sorted(CLOSETS))
def test_no_piece_is_lost_no_opening_is_empty_and_no_wall_is_too_narrow(name: str) -> None:
    facts: Problem = CLOSETS[name](1)
    layout = design(facts, LITTLE).layout
    held, chance = HeldBays(facts, layout, PEOPLE), random.Random(0)
    moves = PileMoves(held, chance)
    chains, before, ended = EjectionChains(held, moves, chance), _pieces(held.start), 0
    for _ in range(60):
        moves.follow()
        if not moves.slots:
            return
        taken: Counter[int] = Counter()
        heights: Counter[int] = Counter(held.heights_elsewhere)
        moves.lying = held.elsewhere.copy()
        for room, bay in zip(held.rooms, moves.bays, strict=True):
            figures = held.figures_of(room, bay, held.width_of(room, bay))
            taken[room.run] += figures.width
            heights.update(figures.heights)
            moves.lying.update(figures.lying)
        assert all(number <= held.room[w] for w, number in taken.items())
        for number, bay in (chains.one(heights, taken) or {}).items():
            moves.bays[number] = bay
            ended += 1
        assert _pieces(moves.bays) == before
        assert all(item.pieces for bay in moves.bays for item in bay.openings)
    assert ended > 0


def test_a_chain_brings_boots_down_for_a_hat_that_goes_up() -> None:
    """Two pairs of 9 in stand over a top at 72 in, over the eye; below is no room but that of two hats.

    By hand: openings of 7, 7, 39 and 10 in and four panels leave 2 1/4 in, and over the top are 12 in. What is seasonal
    gives no trouble there below reach, so that nothing is left of it.
    """
    boots = replace(thing(1, "stand", 2, 9, 12, 9, owner="A"), belongs_low=True)
    bag, case, trunk, hat = (
        thing(row, "stand", 2, 9, 12, high, value=1, owner="B") for row, high in ((2, 6), (3, 6), (4, 38), (5, 9))
    )
    facts = problem([boots, bag, case, trunk, hat], [run("a", 22, 15, 84)], top=72)
    openings = tuple(
        OpeningSketch(OpeningKind.SHELF, item.height + INCH, (Holding(item.row, 2),))
        for item in (bag, hat, case, trunk)
    )
    layout = Layout((build_wall(facts, 0, (), [BaySketch(20 * INCH, None, openings, (Holding(1, 2),))]),))
    assert violations(facts, layout) == ()
    assert inconvenience(facts, layout, PEOPLE) >= 2 * (OVER_SHOULDER + OVER_EYE)
    held, chance = HeldBays(facts, layout, PEOPLE), random.Random(0)
    moves = PileMoves(held, chance)
    (room,), (bay,) = held.rooms, held.start
    figures = held.figures_of(room, bay, held.width_of(room, bay))
    assert figures.over == 0
    assert figures.rest < 10 * INCH
    moves.follow()
    moves.lying.update(figures.lying)
    chains, least = EjectionChains(held, moves, chance), inconvenience(facts, layout, PEOPLE)
    for _ in range(40):
        made = chains.one(Counter(figures.heights), Counter({0: figures.width}))
        if made and not held.figures_of(room, made[0], held.width_of(room, made[0])).over:
            least = min(least, inconvenience(facts, held.built([made[0]]), PEOPLE))
    assert least == 0
