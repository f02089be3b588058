"""Filling: the same optimum as an independent model in HiGHS, and the multiple's plain properties."""

from __future__ import annotations

import random

import highspy
import pytest
from support.cases import INCH, problem, random_things, run, thing

from capacity.layout.fit_rules import filling_violations, stored_value
from capacity.layout.layout import Bay, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind, Problem
from capacity.solver.effort import Effort
from capacity.solver.filling.capacity_multiple import multiples
from capacity.solver.filling.exact import fill, fits

DRAWER_INSIDE = 15 - 1 - 1  # slide of 14 in, box ends 1 in
GAP, ALLOWANCE = 1, 4


def _closet(chance: random.Random) -> Layout:
    """Two bays with three openings each, sizes on whole inches."""
    bays, left = [], 1
    for _ in range(2):
        width, openings, bottom = chance.randint(14, 36), [], 4
        for _ in range(3):
            kind = chance.choice(list(OpeningKind))
            height = chance.randint(5, 16) if kind is not OpeningKind.HANG else chance.randint(36, 60)
            openings.append(Opening(kind, bottom * INCH, height * INCH))
            bottom += height + 1
        bays.append(Bay(left * INCH, width * INCH, 15 * INCH, tuple(openings)))
        left += width + 1
    return Layout((WallLayout("back", tuple(bays)),))


def _highs_optimum(facts: Problem, layout: Layout) -> int:
    """Rules 4-8 as one integer program in inches, written from their wording and sharing no code."""
    highs = highspy.Highs()
    highs.setOptionValue("threads", 1)  # as every program of a process: HiGHS keeps one pool of threads
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("mip_rel_gap", 0.0)
    infinity = highspy.kHighsInf
    stored = [highs.addVariable(0, item.count, item.value, type=highspy.HighsVarType.kInteger) for item in facts.things]
    supply: list[list[tuple[int, object]]] = [[] for _ in facts.things]
    for bay in layout.walls[0].bays:
        for opening in bay.openings:
            width, depth, height = bay.width / INCH, bay.depth / INCH, opening.height / INCH
            taken = []
            for index, item in enumerate(facts.things):
                if item.opening_kind is not opening.kind:
                    continue
                if item.store == "hang":
                    ways = [(item.rod / INCH, 1)] if height >= item.drop / INCH + ALLOWANCE else []
                else:
                    ways = []
                    for across, deep in ((item.width, item.depth), (item.depth, item.width)):
                        if item.store == "drawer":
                            rows = DRAWER_INSIDE * INCH // deep
                            high = min(
                                (opening.height - 5 * INCH // 4) // item.height, max(1, 12 * INCH // item.height)
                            )
                        else:
                            rows = min(1, int(depth * INCH) // deep)
                            most = item.most
                            high = min(most, (opening.height - GAP * INCH) // item.height)
                        if rows >= 1 and high >= 1:
                            ways.append((across / INCH, rows * high))
                for across, pieces in ways:
                    column = highs.addVariable(0, infinity, 0, type=highspy.HighsVarType.kInteger)
                    taken.append(across * column)
                    supply[index].append((pieces, column))
            room = width - 2 if opening.kind is OpeningKind.DRAWER else width
            if taken:
                highs.addConstr(sum(taken) <= room)
    for index, ways in enumerate(supply):
        highs.addConstr(sum((pieces * column for pieces, column in ways), start=0 * stored[index]) >= stored[index])
    highs.setMaximize()
    highs.run()
    assert highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return round(highs.getObjectiveValue())


@pytest.mark.parametrize("seed", range(20))
def test_filling_reaches_the_optimum_that_highs_proves(seed: int) -> None:
    chance = random.Random(seed)
    facts = problem(random_things(chance, 7, 8), [run("back", 80)])
    layout = _closet(chance)
    filling = fill(facts, layout, Effort())
    assert filling.is_proven
    assert filling.value == stored_value(facts, filling.layout) == _highs_optimum(facts, layout)
    assert filling_violations(facts, filling.layout) == ()


def _one_shelf(width: int) -> Layout:
    opening = Opening(OpeningKind.SHELF, 4 * INCH, 8 * INCH)
    return Layout((WallLayout("back", (Bay(INCH, width * INCH, 15 * INCH, (opening,)),)),))


def test_the_multiple_is_one_exactly_when_everything_fits() -> None:
    """Four pairs of 10 in on 39 and on 40 in; by hand: three of four, so q < 1000."""
    facts = problem([thing(1, "stand", 4, 10, 12, 5)], [run("back", 60)])
    short = multiples(facts, _one_shelf(39), Effort())[OpeningKind.SHELF]
    right = multiples(facts, _one_shelf(40), Effort())[OpeningKind.SHELF]
    assert (short.low, short.high, short.limit) == (999, 999, 1)
    assert (right.low, right.high) == (1249, 1249)


def test_removing_a_piece_keeps_the_rest_fitting() -> None:
    facts = problem([thing(1, "stand", 4, 10, 12, 5), thing(2, "stand", 2, 7, 9, 4)], [run("back", 80)])
    layout = _one_shelf(54)
    assert fits(facts, layout, [4, 2], [OpeningKind.SHELF], Effort(), 1.0) is True
    assert fits(facts, layout, [4, 1], [OpeningKind.SHELF], Effort(), 1.0) is True
    assert fits(facts, layout, [5, 1], [OpeningKind.SHELF], Effort(), 1.0) is False
