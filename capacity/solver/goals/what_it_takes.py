"""What would it take: how much more a little more room would store, searched and bounded anew, never guessed."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace

from capacity.layout.corners import corner_choices
from capacity.layout.fit_rules import violations
from capacity.layout.layout import value_of
from capacity.layout.problem import Problem, Rules, Run
from capacity.makeover.what_must_be import prescribes_the_same
from capacity.solver.effort import Effort
from capacity.solver.filling.exact import placeable
from capacity.solver.relaxation.value_bound import bound_choices, design_master
from capacity.solver.search.design import Design
from capacity.solver.search.ruin_and_recreate import Recreator
from capacity.solver.search.wall_parts import divide
from capacity.units import PER_INCH

PATIENCE = 200
"""Steps without a better layout in the search for each change."""

SHARE = 0.05
"""Of the work for the first goal, for each change."""

MORE = 2 * PER_INCH
"""How much wider, higher or deeper is tried [ticks]."""


@dataclass(frozen=True, slots=True)
class WishChange:
    """One change to the closet: what a quick search stores then, and the most that any layout could."""

    words: str
    stored: int
    bound: int


def what_would_it_take(found: Design, effort: Effort, rules: Rules | None = None) -> tuple[WishChange, ...]:
    """Changes that store more than the design does, best first; empty when everything has a place.

    Each is searched from the design at hand for a counted number of steps, so `stored` is certain to be possible,
    and bounded over all layouts, so that more than `bound` is certain not to be. `rules` are those of the folder, where
    the design is held to stricter ones (rows of holes); None: its own.
    """
    if rules is not None:
        whole, parts = found.divided.whole, found.divided.problem
        divided = replace(found.divided, whole=replace(whole, rules=rules), problem=replace(parts, rules=rules))
        found = replace(found, divided=divided)
    problem = found.parts
    if found.value >= problem.value_of_all:
        return ()
    changes: list[WishChange] = []
    for words, changed in _changes(found):
        if effort.is_over:
            break
        effort.report("trying more room", found.value, found.bound, problem.value_of_all)
        with effort.share(SHARE):
            stored = _stored_in(changed, found, effort)
        if stored > found.value:
            changes.append(WishChange(words, stored, _most_in(changed, found.bound, effort)))
    return tuple(sorted(changes, key=lambda change: (-change.stored, change.words)))


def _stored_in(changed: Problem, found: Design, effort: Effort) -> int:
    """What a quick search from the design at hand stores in the changed closet; 0 where that breaks a rule.

    A wall that is deeper takes more of the next one's corner, and a bay there may be too near.
    """
    search = Recreator(changed, random.Random(effort.seed))
    steps = max(1, round(PATIENCE * effort.factor))
    better = search.improve(found.in_parts.layout, steps, effort, _worth_of_all(changed))
    return 0 if violations(changed, better) else value_of(changed, better)


def _most_in(changed: Problem, before: int, effort: Effort) -> int:
    """The bound on what any layout of the changed closet could store; `before` is that of the closet as it is.

    Where nothing kept everything from being stored before, nothing will now, and the bound is not worked out.
    """
    most = _worth_of_all(changed)
    return most if before >= most else bound_choices(changed, design_master(changed, effort), effort, most)[0].whole


def _worth_of_all(problem: Problem) -> int:
    """What everything is worth that an opening could hold at all."""
    return sum(t.value * t.count for t, able in zip(problem.things, placeable(problem), strict=True) if able)


def _changes(found: Design) -> Iterator[tuple[str, Problem]]:
    """Each change in words, and the problem with its walls in parts after it."""
    problem = found.parts
    rules, runs = problem.rules, problem.runs
    for index, run in enumerate(runs):
        # of a wall in parts only the last may grow, and a bay that must be stays as it is
        is_last = index + 1 == len(runs) or runs[index + 1].name != run.name
        if run.fixed or not is_last:
            continue
        wider = replace(run, width=run.width + MORE, whole=run.whole and run.whole + MORE)
        yield f'2 in (51 mm) more width on wall "{run.name}"', replace(problem, runs=_with(runs, index, wider))
    highest = max(max(run.ceiling_left, run.ceiling_right) for run in runs)
    if problem.top + MORE <= highest and prescribes_the_same(found.divided.whole, problem.top + MORE):
        yield "built-ins 2 in (51 mm) higher", replace(problem, top=problem.top + MORE)
    if not any(run.is_kept for run in runs) and (deeper := _deeper(found)) is not None:
        yield "shelves 2 in (51 mm) deeper on every wall", deeper
    if problem.most_panel:
        more = replace(problem, most_panel=problem.most_panel * 11 // 10)
        yield "a budget that buys a tenth more board", more
    if rules.rows_deep == 1:
        yield "two rows deep on the shelves", replace(problem, rules=replace(rules, rows_deep=2))
    if rules.spare:
        yield "no room left spare", replace(problem, rules=replace(rules, spare=rules.spare * 0))
    if rules.owners_apart:
        yield "owners' things in one bay", replace(problem, rules=replace(rules, owners_apart=False))


def _deeper(found: Design) -> Problem | None:
    """Every wall deeper, in parts; None where its corners can no longer be owned as they are."""
    whole = found.divided.whole
    runs = tuple(replace(run, depth=run.depth + MORE) for run in whole.runs)
    fixed = tuple(replace(item, depth=item.depth + MORE) for item in whole.fixed)
    try:
        parts = divide(replace(whole, runs=runs, fixed=fixed)).problem
    except ValueError:
        return None
    return parts if found.in_parts.layout.owners in corner_choices(parts) else None


def _with(items: tuple[Run, ...], index: int, item: Run) -> tuple[Run, ...]:
    return (*items[:index], item, *items[index + 1 :])
