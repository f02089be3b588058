"""How the bound and the search grow with the problem, and how fast an answer follows a changed count.

    python tests/benchmarks/scale.py convergence classes pieces change

Times are processor seconds of one core, so that other work on the machine does not count. Each line is measured in a
process of its own, so that its peak memory is its own too.

convergence: from nothing to a bound within 0.5 per cent of the final one, all choices of corners together.
classes: the same for 200 classes on three walls.
pieces: 5,000 pieces beside 200 (all of which fit) and 400 (more than fit) with the same classes in the same closet.
change: one more or one fewer of a pile, in a closet that was designed before: filled again as `capacity refill` does,
and bounded again.
"""

from __future__ import annotations

import argparse
import multiprocessing
import random
import resource
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from unittest.mock import patch

from families import CLOSETS, base, case, full_scale, household, scaled
from methods import ours_for

from capacity.layout.corners import corner_choices
from capacity.layout.fit_rules import filling_violations
from capacity.layout.layout import without_surplus
from capacity.layout.problem import Problem
from capacity.solver.effort import Effort
from capacity.solver.refilling import QUICK, filled_as_it_stands
from capacity.solver.relaxation.master import Master
from capacity.solver.relaxation.opening_knapsack import Floats
from capacity.solver.relaxation.structure import open_state
from capacity.solver.relaxation.value_bound import DESIGN_GRID, MANY, SMOOTH, SMOOTHER, bound_choices, design_master
from capacity.solver.search.design import design

NEAR = 1.005
"""A bound this many times the final one, or less, has converged."""

Line = tuple[str, str, float, float | None]
"""What was measured, its unit, the figure, and the most that it should be (None: no target)."""


class _Noted(Master):
    """A master that notes when each bound was known."""

    def __init__(self, facts: Problem) -> None:
        self.noted: list[tuple[float, float]] = []
        self.started = time.process_time()
        super().__init__(facts, DESIGN_GRID)

    def price(self, prices: Floats) -> float:
        bound = super().price(prices)
        self.noted.append((time.process_time() - self.started, bound))
        return bound


def converged(facts: Problem, steps: int = 400) -> tuple[float, float, float]:
    """Seconds to within 0.5 per cent of the final bound and to the end, over all choices of corners; and that bound."""
    near = total = most = 0.0
    for number, owners in enumerate(corner_choices(facts)):
        if number == 0:
            master = _Noted(facts)
        else:
            master.noted, master.started = [], time.process_time()
        master.set_state(open_state(facts, owners))
        smooth = SMOOTHER if len(master.groups) > MANY else SMOOTH
        final = min(master.generate(steps, smooth=smooth).bound, float(facts.value_of_all))
        near += next(seconds for seconds, bound in master.noted if min(bound, facts.value_of_all) <= NEAR * final)
        total += time.process_time() - master.started
        most = max(most, final)
    return near, total, most


def family_converges(family: str, fullness: str, seed: int) -> Iterator[Line]:
    """One family."""
    facts = case(family, fullness, seed, full_scale(base(family, seed))).problem
    near, total, most = converged(facts)
    target = 0.1 if family in ("reach-in", "two-wall") else 0.5
    name = f"{family} {fullness} {seed}"
    yield f"{name}: bound within 0.5 % of {most:.1f}", "s", near, target
    yield f"{name}: until it stops", "s", total, None


def _with_classes(classes: int, pieces: int) -> Problem:
    """So many classes and about so many pieces on three walls with corners."""
    facts = base("three-wall", 0)
    things = household(random.Random(f"classes {classes}"), classes, (None,), 0)
    return scaled(replace(facts, things=tuple(things)), pieces / sum(thing.count for thing in things))


def many_classes(classes: int) -> Iterator[Line]:
    """Two hundred classes."""
    facts = _with_classes(classes, 3 * classes)
    first = replace(facts, corners=())
    near, total, most = converged(first)
    yield f"{classes} classes, corners decided: bound within 0.5 % of {most:.1f}", "s", near, 3.0
    yield f"{classes} classes, corners decided: until it stops", "s", total, None
    near, total, most = converged(facts)
    yield f"{classes} classes, four choices of corners: bound within 0.5 % of {most:.1f}", "s", near, 3.0
    found = ours_for(facts, 20.0)
    yield f"{classes} classes: open after 20 s", "%", 100.0 * (found.bound - found.value) / found.bound, None


def many_pieces(pieces: int) -> Iterator[Line]:
    """Twenty-four classes, few pieces or many."""
    facts = _with_classes(24, pieces)
    owned = sum(thing.count for thing in facts.things)
    started = time.process_time()
    bound_choices(facts, design_master(facts), Effort(), facts.value_of_all)
    yield f"{owned} pieces: bound", "s", time.process_time() - started, None
    started = time.process_time()
    design(facts, Effort(factor=0.1))
    yield f"{owned} pieces: a short search", "s", time.process_time() - started, None


def changed_count(family: str, seed: int) -> Iterator[Line]:
    """One more, then one fewer, of the pile in the middle."""
    facts = case(family, "just", seed, full_scale(base(family, seed))).problem
    with patch("capacity.solver.effort.time.monotonic", time.process_time):
        layout = design(facts, Effort(10.0)).layout
    for more in (1, -1):
        things = list(facts.things)
        middle = max(range(len(things)), key=lambda index: (things[index].count, index))
        things[middle] = replace(things[middle], count=things[middle].count + more)
        new = replace(facts, things=tuple(things))
        kept = without_surplus(new, layout)
        started = time.process_time()
        filled = filled_as_it_stands(new, kept, Effort(factor=QUICK))
        name = f"{family} {seed}, {more:+d}"
        yield f"{name}: filled again (value {filled.value} of {filled.bound})", "s", time.process_time() - started, 0.3
        assert not filling_violations(new, filled.layout)
        started = time.process_time()
        bound_choices(new, design_master(new), Effort(), new.value_of_all)
        yield f"{name}: bounded again", "s", time.process_time() - started, 0.5


def _jobs(what: list[str], seeds: list[int]) -> Iterator[tuple[Callable[..., Iterator[Line]], tuple[object, ...]]]:
    for seed in seeds:
        for family in CLOSETS:
            if "convergence" in what:
                yield from ((family_converges, (family, fullness, seed)) for fullness in ("just", "over"))
            if "change" in what:
                yield changed_count, (family, seed)
    if "classes" in what:
        yield many_classes, (200,)
    if "pieces" in what:
        yield from ((many_pieces, (pieces,)) for pieces in (200, 400, 5000))


def _measure(job: tuple[Callable[..., Iterator[Line]], tuple[object, ...]]) -> tuple[list[Line], int]:
    lines = list(job[0](*job[1]))
    return lines, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def main() -> None:
    """Measure what is asked for and print a table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("what", nargs="*", default=["convergence", "classes", "pieces", "change"])
    parser.add_argument("--seeds", nargs="*", type=int, default=[0])
    options = parser.parse_args()
    print("| measured | figure | target | |", "| --- | --- | --- | --- |", sep="\n", flush=True)
    context = multiprocessing.get_context("spawn")
    with context.Pool(1, maxtasksperchild=1) as pool:
        for lines, memory in pool.imap(_measure, _jobs(options.what, options.seeds), chunksize=1):
            for name, unit, figure, most in [*lines, ("peak memory of the above", "MB", float(memory), 500.0)]:
                word = "" if most is None else "met" if figure <= most else "**missed**"
                target = "" if most is None else f"{most:g} {unit}"
                print(f"| {name} | {figure:.2f} {unit} | {target} | {word} |", flush=True)


if __name__ == "__main__":
    main()
