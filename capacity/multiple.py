"""The capacity multiple of given openings: how much of every pile they hold at once."""

from __future__ import annotations

from dataclasses import dataclass

from capacity.effort import Effort
from capacity.filling import fits
from capacity.layout import Layout
from capacity.problem import OpeningKind, Problem

TEST_WORK = 0.5
"""Deterministic work for one test of a multiple."""

MOST = 20_000
"""Largest q looked at: room for twenty times the household is room enough."""


@dataclass(frozen=True, slots=True)
class Multiple:
    """Largest q for which floor(q * count / 1000) of every pile fits: between `low` and `high` thousandths.

    `high` is `MOST` when no larger q was shown not to fit. `limit` is the row of a pile that one more step would
    leave without a place; None when nothing limits it.
    """

    low: int
    high: int
    limit: int | None


def multiples(problem: Problem, layout: Layout, effort: Effort) -> dict[OpeningKind, Multiple]:
    """The multiple of each kind of opening for which the household has things; the least is the closet's."""
    kinds = [kind for kind in OpeningKind if any(thing.opening_kind is kind for thing in problem.things)]
    if problem.rules.owners_apart:  # bays tie the kinds together, so one test asks for all
        joint = _multiple(problem, layout, tuple(OpeningKind), effort)
        return dict.fromkeys(kinds, joint)
    return {kind: _multiple(problem, layout, (kind,), effort) for kind in kinds}


def scaled(problem: Problem, q: int) -> list[int]:
    """floor(q * count / 1000) pieces of each thing."""
    return [q * thing.count // 1000 for thing in problem.things]


def _multiple(problem: Problem, layout: Layout, kinds: tuple[OpeningKind, ...], effort: Effort) -> Multiple:
    counts = sorted({thing.count for thing in problem.things if thing.opening_kind in kinds and thing.count})
    # only where some floor steps up does anything change
    steps = sorted({-(-1000 * j // n) for n in counts for j in range(1, MOST * n // 1000 + 1)})
    # indices: steps[fitting] fits; steps[failing] was not shown to fit; steps[refused] certainly does not
    fitting, failing, refused = -1, len(steps), len(steps)
    while failing - fitting > 1:
        middle = (fitting + failing) // 2
        answer = fits(problem, layout, scaled(problem, steps[middle]), kinds, effort, TEST_WORK)
        if answer is True:
            fitting = middle
            continue
        failing = middle
        if answer is False:
            refused = middle
    low, high = (steps[index] - 1 if index < len(steps) else MOST for index in (failing, refused))
    return Multiple(low, high, _limit(problem, layout, kinds, steps[failing], effort) if failing < len(steps) else None)


def _limit(problem: Problem, layout: Layout, kinds: tuple[OpeningKind, ...], q: int, effort: Effort) -> int:
    """The row of the pile that q leaves without a place: piles that ask for one more are added one by one."""
    counts, asked = scaled(problem, q - 1), scaled(problem, q)
    stepping = [
        index
        for index, thing in enumerate(problem.things)
        if thing.opening_kind in kinds and asked[index] > counts[index]
    ]
    stepping.sort(key=lambda index: max(problem.things[index].width, problem.things[index].rod))
    for index in stepping:
        counts[index] = asked[index]
        if fits(problem, layout, counts, kinds, effort, TEST_WORK) is not True:
            return problem.things[index].row
    return problem.things[stepping[-1]].row
