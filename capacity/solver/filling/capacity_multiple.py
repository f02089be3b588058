"""The capacity multiple of given openings: how much of every pile they hold at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from capacity.layout.layout import Layout, site_of, value_of
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.towers import best_towers, each_alone, room_of, towers_of
from capacity.solver.effort import Effort
from capacity.solver.filling.best import refill
from capacity.solver.filling.exact import fits
from capacity.solver.filling.greedy import repack, slots_of

TEST_WORK, APART_WORK = 0.05, 0.5
"""Deterministic work for one test of a multiple, and where bays belong to owners."""

SHARE = 0.2
"""Of the work for the first goal, for the multiples of one layout; then only the quick filling is asked."""

QUICK, PATIENCE = 200, 300
"""Steps without better contents of a quick filling, and of one with bound and patterns, which is asked after it."""

MOST = 20_000
"""Largest q looked at: room for twenty times the household is room enough."""


@dataclass(frozen=True, slots=True)
class Multiple:
    """Largest q for which floor(q * count / 1000) of every pile fits: between `low` and `high` thousandths.

    `high` is `MOST` when no larger q was shown not to fit. `limit` is the row of a pile that one more step would
    leave without a place; None when nothing limits it, or there was no time to ask which.
    """

    low: int
    high: int
    limit: int | None


def multiples(problem: Problem, layout: Layout, effort: Effort) -> dict[OpeningKind, Multiple]:
    """The multiple of each kind of opening for which the household has things; the least is the closet's."""
    with effort.share(SHARE):
        return _multiples(problem, layout, effort)


def _multiples(problem: Problem, layout: Layout, effort: Effort) -> dict[OpeningKind, Multiple]:
    kinds = [kind for kind in OpeningKind if any(thing.stored_in(kind) for thing in problem.things)]
    if problem.rules.owners_apart or problem.has_choices:  # the kinds are tied together, so one test asks for all
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
    test = _Test(problem, layout.emptied(), kinds, effort)
    answers: dict[int, bool | None] = {}  # by index of the step; None: not decided
    held, surely = layout.stored(), -1
    if all(held[thing.row] == thing.count for thing in problem.things if thing.opening_kind in kinds):
        surely = sum(step <= 1000 for step in steps) - 1  # what it holds is the witness
        answers[surely] = True

    def ask(index: int) -> bool | None:
        answers[index] = test.fits(scaled(problem, steps[index]))
        return answers[index]

    def refused_from() -> int:
        return min((index for index, answer in answers.items() if answer is False), default=len(steps))

    unsure = _first(surely, len(steps), lambda index: ask(index) is not True)
    _first(unsure, refused_from(), lambda index: ask(index) is False)  # where undecided, close in from above as well
    # steps[failing] was not shown to fit, and all below it fit; steps[refused] certainly does not
    failing = max((index + 1 for index, answer in answers.items() if answer is True), default=0)
    refused = refused_from()
    if failing == refused == len(steps):
        return Multiple(MOST, MOST, None)
    low, high = (steps[index] - 1 if index < len(steps) else MOST for index in (failing, refused))
    if effort.is_stopping:
        return Multiple(low, high, None)
    return Multiple(low, high, _limit(problem, test, kinds, steps[min(failing, len(steps) - 1)]))


def _first(below: int, above: int, is_there: Callable[[int], bool]) -> int:
    """The first index above `below` at which it is so, by halving; `above`, where it is taken to be so, if none is."""
    while above - below > 1:
        middle = (below + above) // 2
        below, above = (below, middle) if is_there(middle) else (middle, above)
    return above


class _Test:
    """Whether so many pieces of every pile fit into the openings: a quick filling first, a good one where that fails.

    The bound of the good one refutes what it cannot store; where bays belong to owners CP-SAT is asked instead.
    """

    def __init__(self, problem: Problem, empty: Layout, kinds: tuple[OpeningKind, ...], effort: Effort) -> None:
        self._problem, self._empty, self._kinds, self._effort = problem, empty, kinds, effort
        self._room, self._narrowest = _rooms_and_needs(problem, empty)
        self._slots = slots_of(problem, empty)

    def _is_plainly_too_much(self, counts: Sequence[int]) -> bool:
        """A piece that no opening takes, or piles that need more width than all openings of their kind have."""
        needs: dict[OpeningKind, Fraction] = dict.fromkeys(OpeningKind, Fraction(0))
        for thing, count, narrowest in zip(self._problem.things, counts, self._narrowest, strict=True):
            if count and thing.opening_kind in self._kinds:
                if narrowest is None:
                    return True
                needs[thing.opening_kind] += 0 if thing.also else count * narrowest
        return any(need > self._room[kind] for kind, need in needs.items())

    def fits(self, counts: Sequence[int]) -> bool | None:
        """None when undecided; after the clock has run out nothing but the quick filling is tried."""
        problem = self._problem
        things = tuple(
            replace(thing, count=count if thing.opening_kind in self._kinds else 0)
            for thing, count in zip(problem.things, counts, strict=True)
        )
        asked = replace(problem, things=things)
        if self._is_plainly_too_much(counts):
            return False
        is_over = self._effort.is_over
        quick = repack(
            asked, self._empty, QUICK // 5 if is_over else QUICK, Effort(seed=self._effort.seed), self._slots
        )
        if value_of(asked, quick) == asked.value_of_all:
            return True
        if is_over:
            return None
        if problem.rules.owners_apart:
            return fits(problem, self._empty, counts, self._kinds, self._effort, APART_WORK)
        good = refill(asked, self._empty, self._effort, TEST_WORK, PATIENCE)
        if good.value == asked.value_of_all:
            return True
        return False if good.bound < asked.value_of_all else None


def _rooms_and_needs(problem: Problem, layout: Layout) -> tuple[dict[OpeningKind, int], list[Fraction | None]]:
    """Width of all openings by kind, and the least width for a piece of each thing in any of them (None: fits none)."""
    groups = each_alone(problem)
    room: dict[OpeningKind, int] = dict.fromkeys(OpeningKind, 0)
    least: list[Fraction | None] = [None] * len(groups)
    spots = {(w, b, o): site_of(problem, w, bay, o) for w, b, o, bay, _ in layout.openings()}
    towers = {spot: towers_of(problem, groups, spot) for spot in set(spots.values())}
    for w, b, o, bay, opening in layout.openings():
        width = room_of(problem.rules, opening.kind, bay.width)
        room[opening.kind] += width
        for tower in best_towers(towers[spots[w, b, o]], opening.kind, opening.height):
            if tower.width <= width:
                each, known = Fraction(tower.width, tower.pieces), least[tower.group]
                least[tower.group] = each if known is None else min(known, each)
    return room, least


def _limit(problem: Problem, test: _Test, kinds: tuple[OpeningKind, ...], q: int) -> int:
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
        if test.fits(counts) is not True:
            return problem.things[index].row
    return problem.things[stepping[-1]].row
