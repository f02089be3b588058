"""Choose bay widths, openings and rods of all walls together: the search and its proven bound.

A quick answer first: the rule of thumb's layout, bettered by building bays anew (`ruin_and_recreate`). Then the bound
(`value_bound`), and rounds from ever new starts: dives into the relaxation (`diving`), or the best layout with some of
its bays taken out. Each is bettered by building bays anew and by spacing the shelves of several bays anew together
(`spacing_anew`), refilled where it is the best so far, and kept when it stores more. On one small wall with few things
a branch and bound closes the proof (`branch_and_bound`); a small problem with a slope, a blocked part or a bay that
must be is given to CP-SAT last (`whole`). The goal has its share of work and ends with it; everything is counted,
nothing timed, so that the same problem and seed give the same layout.
"""

from __future__ import annotations

import random
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import cached_property

from capacity.layout.corners import corner_choices
from capacity.layout.fit_rules import violations
from capacity.layout.layout import Layout, WallLayout, is_within_budget, value_of, without_surplus
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.sketches import finish, finish_within_budget
from capacity.solver.effort import Effort
from capacity.solver.filling.best import refill
from capacity.solver.filling.exact import Filling, fill, placeable
from capacity.solver.filling.greedy import repack
from capacity.solver.filling.patterns import pattern_filling
from capacity.solver.proof.branch_and_bound import MORE_WORK, WORK, Prover, prover_of
from capacity.solver.proof.whole import is_worth_a_program, solve_whole
from capacity.solver.relaxation.master import Master
from capacity.solver.relaxation.structure import empty_structure, structure_of
from capacity.solver.relaxation.value_bound import CornerBound, bound_choices, design_master, priced_again
from capacity.solver.search.diving import dive
from capacity.solver.search.ruin_and_recreate import Recreator
from capacity.solver.search.rule_of_thumb import rule_of_thumb
from capacity.solver.search.spacing_anew import space_anew, with_slack_moved
from capacity.solver.search.wall_parts import Divided, divide

START_WORK, ROUND_WORK = 0.05, 0.05
"""Deterministic work to fill one of the rule of thumb's layouts where owners are apart, and to end a round."""

QUICK_PATIENCE, FIRST_PATIENCE, PATIENCE, LAST_PATIENCE = 60, 1500, 200, 1500
"""Steps without a better layout after which the quick answer, the first, a round, and the last round end."""

FIRST_SHARE = 0.4
"""Share of the work after which the first answer gives way to the bound and the rounds."""

PIECES, MOST_SHARE = 200, 3.0
"""Pieces up to which a search has the usual work, and most times that work where there are more."""

SEARCH_SHARE = 0.7
"""Share of the wall clock, where there is one, after which the search leaves the rest to filling and comparing."""

RULE_PATIENCE = 150
"""Steps without better contents in filling each of the rule of thumb's layouts."""

TODAY_WORK = 0.2
"""Deterministic work to fill today's closet and the rule of thumb's layout, for each kind of opening."""

AGAIN_BEFORE, AGAIN_AFTER = 0.05, 0.2
"""Shares of the work in which the bound is priced on its own grid, before the rounds and after all of them."""

ROUNDS = 6
"""Rounds without a better layout after which the search ends."""

SPACED, NODES = (3, 4, 5), 60
"""Bays that are spaced anew together, and branching nodes for it."""

SPACINGS, LAST_SPACINGS, BETWEEN = 4, 6, 60
"""Spacings in a row without a better layout after which a round, and the last round, goes on to something else; steps
of building bays anew between two of them."""

NEAR = 0.985
"""A round's layout is spaced anew when it is worth at least this share of the best."""


Compared = tuple[Filling, Filling]
"""The rule of thumb's layout and today's closet."""


class BudgetTooSmallError(Exception):
    """The budget does not buy the boards of the bays that must be."""


@dataclass(frozen=True, slots=True)
class Design:
    """The layout found for the whole household, what it stores, and the proven bound over all layouts.

    `comparator` is the rule of thumb and `today` the layout that was given, both filled as well as possible. `able`
    says of each thing whether one piece of it could be stored at all. The goals after the value go on with `parts`,
    the problem with its walls in parts where bays must be, and with `in_parts`, the layout found as one of these.
    `choices` are the prices that prove the bound, for each choice of corners; none where nothing had to be bounded.
    """

    in_parts: Filling
    bound: int
    comparator: Filling
    today: Filling
    able: tuple[bool, ...]
    divided: Divided
    choices: tuple[CornerBound, ...] = ()

    @property
    def parts(self) -> Problem:
        """The problem with its walls in parts."""
        return self.divided.problem

    @property
    def filling(self) -> Filling:
        """The layout with what it holds, and the bound on what its openings can hold."""
        return self.whole(self.in_parts)

    @property
    def layout(self) -> Layout:
        """The layout with what it holds."""
        return self.filling.layout

    @property
    def value(self) -> int:
        """What the layout stores."""
        return self.in_parts.value

    def whole(self, filling: Filling) -> Filling:
        """A filling of the walls in parts as one of the whole walls."""
        return replace(filling, layout=self.divided.joined(filling.layout))


def design(
    problem: Problem,
    effort: Effort,
    today: Layout | None = None,
    start: Layout | None = None,
    compared: Compared | None = None,
    beside: Problem | None = None,
) -> Design:
    """Find a layout that stores as much value as possible, with a proven bound.

    Parameters
    ----------
    problem
        The facts.
    effort
        The budget; progress is reported to it.
    today
        What stands there now. Where it satisfies the fit rules, the result is never worth less.
    start
        A layout to go on from, perhaps of another count. What it holds is kept, less what is no longer owned, so
        that the result is never worth less; where that breaks a rule, it is filled anew, and where the layout by
        itself does, the search begins without it.
    compared
        What the design is compared with, where it has been filled as well as possible already.
    beside
        The problem as the rule of thumb solves it, where that is another.

    Raises
    ------
    BudgetTooSmallError
        When the budget does not buy the boards of the bays that must be.
    """
    divided = divide(problem)
    parts, effort.whole = divided.problem, divided.joined
    able = placeable(parts)
    bound = sum(thing.value * thing.count for thing, fits in zip(parts.things, able, strict=True) if fits)
    search = _Search(parts, effort, first_layout(parts), bound)
    if today is None:
        first = next(iter(corner_choices(problem)))
        today = Layout(tuple(WallLayout(run.name, ()) for run in problem.runs), first)
    # what the design is compared with does not depend on it, and is filled on the other core meanwhile
    aside = effort.aside()
    with ThreadPoolExecutor(1) as other_core:
        comparing = other_core.submit(lambda: compared or _compared(beside or problem, today, aside))
        try:
            with effort.within(SEARCH_SHARE):
                if start is not None:
                    search.go_on_from(divided.parted(start))
                search.run()
        except BaseException:
            aside.stop()
            raise
        effort.report("filling today's closet", search.value, search.bound, parts.value_of_all)
        comparator, before = comparing.result()
    effort.was_cut_short = effort.was_cut_short or aside.was_cut_short
    best = search.best
    for other in (comparator, before):
        parted = divided.parted(other.layout)
        if parted is None or violations(parts, parted):
            continue
        if value_of(parts, parted) > value_of(parts, best):
            best = parted
    filled = _finished(parts, best, effort)
    if filled.value > search.bound:
        msg = f"a layout of value {filled.value} refutes the bound of {search.bound}"
        raise AssertionError(msg)
    return Design(filled, search.bound, comparator, before, able, divided, tuple(search.choices))


def share_of_search(problem: Problem) -> float:
    """The share of the usual work that a search has: as many times as there are pieces more than usual."""
    return min(MOST_SHARE, max(1.0, sum(thing.count for thing in problem.things) / PIECES))


def first_layout(problem: Problem) -> Layout:
    """A layout to begin with: the rule of thumb, or as good as nothing where that is above the budget."""
    owners = next(iter(corner_choices(problem)))
    rule = rule_of_thumb(problem, owners)[0]
    if is_within_budget(problem, rule):
        return rule
    nothing = Layout(tuple(WallLayout(run.name, ()) for run in problem.runs), owners)
    empty = finish(problem, nothing, has_extra_shelves=False)
    if not is_within_budget(problem, empty):
        raise BudgetTooSmallError
    return empty


def _finished(problem: Problem, best: Layout, effort: Effort) -> Filling:
    """The layout with its boards finished and filled once more; without drawers that nobody needs beside given ones."""
    filled = refill(problem, finish_within_budget(problem, best), effort, ROUND_WORK)
    if any(run.prescribed for run in problem.runs) and not effort.is_over:
        fewer = finish_within_budget(problem, _without_other_drawers(problem, filled.layout))
        spared = refill(problem, fewer, effort, ROUND_WORK)
        filled = spared if spared.value == filled.value and not violations(problem, spared.layout) else filled
    if violations(problem, filled.layout) or filled.value < value_of(problem, best):
        msg = f"finishing spoiled the layout: {violations(problem, filled.layout)}"
        raise AssertionError(msg)
    return filled


def _without_other_drawers(problem: Problem, layout: Layout) -> Layout:
    """The layout with nothing in other drawers than those that must be, so that finishing leaves these out."""
    return layout.holding(
        {
            (w, b, o): opening.holds
            for w, b, o, _, opening in layout.openings()
            if opening.kind is not OpeningKind.DRAWER or o < len(problem.runs[w].prescribed)
        }
    )


def _compared(problem: Problem, today: Layout, effort: Effort) -> Compared:
    """The rule of thumb's layout and today's closet, both filled as well as possible."""
    return _comparator(problem, effort), refill(problem.as_given, today, effort, TODAY_WORK)


def _comparator(problem: Problem, effort: Effort) -> Filling:
    """The best of the rule of thumb's layouts, filled as well as possible."""
    best: Layout | None = None
    for owners in corner_choices(problem):
        for layout in rule_of_thumb(problem, owners):
            if best is not None and effort.is_over:
                break
            packed = repack(problem, layout, RULE_PATIENCE, effort)
            if problem.rules.owners_apart:
                packed = fill(problem, layout, effort, START_WORK).layout
            if best is None or value_of(problem, packed) > value_of(problem, best):
                best = packed
    if best is None:
        msg = "the rule of thumb gave no layout"
        raise AssertionError(msg)
    return refill(problem, best, effort, TODAY_WORK)


class _Search:
    """The best layout so far and the rounds that better it."""

    def __init__(self, problem: Problem, effort: Effort, start: Layout, bound: int) -> None:
        self.problem = problem
        self.effort = effort
        self.best = self._first = start
        self.value = value_of(problem, start)
        self.bound = bound
        self.random = random.Random(effort.seed)
        self.choices: list[CornerBound] = []
        self.recreator = Recreator(problem, self.random)

    @cached_property
    def master(self) -> Master:
        """Bays and openings on the grid of designs, made when first used."""
        return design_master(self.problem, self.effort)

    def go_on_from(self, layout: Layout | None) -> None:
        """Begin with a layout where it is built by the rules and stores more, and with what it holds where that is."""
        if layout is None:
            return
        kept = without_surplus(self.problem, layout)
        if violations(self.problem, kept):
            kept = layout.emptied()
        if not violations(self.problem, kept):
            self._accept(kept)
            self._accept(refill(self.problem, kept, self.effort, ROUND_WORK).layout)

    def run(self) -> None:
        """Search until the proof is complete, its share of work is done, or somebody asks to stop."""
        with self.effort.share(share_of_search(self.problem)):
            self._run()
        if self.choices and not self._is_done and not self.effort.is_over:
            self._price_again(AGAIN_AFTER)

    def _run(self) -> None:
        self._report()
        with self.effort.share(FIRST_SHARE):
            # not from a layout to go on from: bays that were good on rows of holes keep the search where it is
            quick = self.recreator.improve(self._first, QUICK_PATIENCE, self.effort, self.bound)
            self._accept(quick)
            self._better(quick, FIRST_PATIENCE, spacings=0)
        if self._is_done or self.effort.is_over:
            return
        self.choices = bound_choices(self.problem, self.master, self.effort, self.bound)
        self.bound = min(self.bound, self.choices[0].whole)
        self._report()
        if not self._is_done:
            self._price_again(AGAIN_BEFORE)
        choices = self.choices
        prover = None if self._is_done else prover_of(self.problem, self.bound, choices[0].prices)
        self._prove(prover, WORK)
        self._rounds(choices)
        self._prove(prover, MORE_WORK)
        if not self._is_done and not self.effort.is_over and is_worth_a_program(self.problem):
            whole = solve_whole(self.problem, self.best, self.bound, self.effort)
            self.bound = whole.bound
            self._accept_if_built(whole.layout)
            self._report()

    def _price_again(self, share: float) -> None:
        """Lower the bound by prices of its own grid, as far as a share of the work goes."""
        with self.effort.share(share):
            self.choices = priced_again(self.problem, self.master, self.choices, self.value, self.effort)
        self.bound = min(self.bound, max(self.value, self.choices[0].whole))
        self._report()

    def _rounds(self, choices: list[CornerBound]) -> None:
        """New starts, each bettered; every choice of corners once, then the best two."""
        stale, number = 0, 0
        scores = {choice.owners: 0 for choice in choices}
        open_choices = list(choices)
        while stale < max(1, round(ROUNDS * self.effort.factor)) and not self._is_done and not self.effort.is_over:
            if number >= len(choices):
                open_choices = sorted(choices, key=lambda choice: -scores[choice.owners])[:2]
            choice = open_choices[number % len(open_choices)]
            before = self.value
            if choice.whole > self.value:
                found = self._better(self._start(choice, number), PATIENCE)
                scores[choice.owners] = max(scores[choice.owners], found)
            stale = 0 if self.value > before else stale + 1
            number += 1
        if not self._is_done and not self.effort.is_over:
            self._accept(self._spaced(self.best, round(LAST_SPACINGS * self.effort.factor)))
            self._better(self.best, round(LAST_PATIENCE * self.effort.factor))

    def _prove(self, prover: Prover | None, work: int) -> None:
        """Go on with the proof on a small wall; it also finds layouts."""
        if prover is None or self._is_done or self.effort.is_over:
            return
        proof = prover.run(work, self.value, self.effort)
        self.bound = min(self.bound, proof.bound)
        self._accept_if_built(proof.layout)
        self._report()

    def _start(self, choice: CornerBound, number: int) -> Layout:
        """A layout to better: a dive from nothing, or the best layout with some of its bays taken out."""
        is_new = number % 2 == 0 or self.best.owners != choice.owners
        if is_new:
            structure = empty_structure(self.problem, choice.owners)
            chance = None if number == 0 else self.random
        else:
            places = [(w, b) for w, wall in enumerate(self.best.walls) for b in range(len(wall.bays))]
            out = self.random.sample(places, min(len(places), 1 + len(places) // 3))
            structure = structure_of(self.problem, self.best, frozenset(out))
            chance = self.random
        return pattern_filling(self.master, dive(self.master, structure, chance, self.effort), self.effort)

    def _better(self, layout: Layout, patience: int, spacings: int = SPACINGS) -> int:
        """Better a layout, keep it if it is the best; returns its value."""
        layout = self.recreator.improve(layout, max(1, patience), self.effort, self.bound)
        value = value_of(self.problem, layout) if is_within_budget(self.problem, layout) else 0
        if value < self.bound and value >= NEAR * self.value and not self.effort.is_over:
            self._accept(layout)
            layout = self._spaced(layout, spacings)
            value = value_of(self.problem, layout)
            if self._accept(layout) or value == self.value:
                filled = refill(self.problem, layout, self.effort, ROUND_WORK)
                layout, value = filled.layout, filled.value
        self._accept(layout)
        return value

    def _spaced(self, layout: Layout, patience: int) -> Layout:
        """Some bays spaced anew, some built anew, in turn, until `patience` times in a row nothing was gained."""
        value, stale = value_of(self.problem, layout), 0
        while stale < patience and value < self.bound and not self.effort.is_over:
            places = [(w, b) for w, wall in enumerate(layout.walls) for b in range(len(wall.bays))]
            number = min(len(places), self.random.choice(SPACED))
            some = self.random.sample(places, number)
            tried = with_slack_moved(self.problem, layout, some, self.random)
            tried = space_anew(self.master, tried, some, self.effort, NODES)
            tried = self.recreator.improve(tried, BETWEEN, self.effort, self.bound)
            found = value_of(self.problem, tried)
            stale = 0 if found > value else stale + 1
            if found >= value and is_within_budget(self.problem, tried):
                layout, value = tried, found
                self._accept(layout)
        return layout

    @property
    def _is_done(self) -> bool:
        return self.value >= self.bound

    def _accept(self, layout: Layout) -> bool:
        value = value_of(self.problem, layout)
        if value <= self.value or not is_within_budget(self.problem, layout):
            return False
        broken = violations(self.problem, layout)
        if broken:
            raise AssertionError("; ".join(map(str, broken)))
        self.best, self.value = layout, value
        self.effort.keep(layout, value)
        self._report()
        return True

    def _accept_if_built(self, layout: Layout | None) -> None:
        """Keep a layout of a proof, which does not know where drawers may end, where it is built by the rules."""
        if layout is not None and not violations(self.problem, layout):
            self._accept(layout)

    def _report(self) -> None:
        self.effort.report("designing", self.value, self.bound, self.problem.value_of_all)
