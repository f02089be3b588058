"""Attack the bound on tiny closets that mix all the rules: it must never be below what HiGHS proves, or finds.

    python tests/benchmarks/tiny.py --cases 300 --seconds 20

A case draws one or two walls (with a corner or without), slopes, blocked parts, shallow walls, owners apart, two rows,
room to spare, things above the top panel, rods that only just hang from the floor, drawers, stacks, turned pieces. The
second opinion is `naive`, by count, with as many bays and openings as could be used at all.
"""

from __future__ import annotations

import argparse
import json
import random
import time
from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from naive import Naive
from program import ways_of
from reading import Reading
from solvers import Outcome, with_highs

from capacity.layout.fit_rules import stored_value, violations
from capacity.layout.layout import Layout
from capacity.layout.problem import BlockedPart, Corner, FixedBay, Problem, Rules, Run, Thing
from capacity.solver.effort import Effort
from capacity.solver.relaxation.master import Master
from capacity.solver.relaxation.structure import open_state
from capacity.solver.relaxation.value_bound import DESIGN_GRID, FINE, bound_choices, design_master
from capacity.solver.search.design import design
from capacity.solver.search.wall_parts import divide
from capacity.wardrobe.kinds import Store

INCH = 8128
QUARTER = INCH // 4
RANDOM_PRICES = 4
"""Price vectors drawn at random for each case: any prices at all must give a bound."""


def _thing(chance: random.Random, row: int, owner: str | None, top: int) -> Thing:
    """One pile on quarters of an inch; lengths in inches until the last line."""
    store = chance.choice((Store.STAND, Store.STAND, Store.STACK, Store.HANG, Store.DRAWER))
    value, count, most = chance.randint(1, 3), chance.randint(1, 4), 1
    width = depth = height = drop = rod = 0
    if store is Store.HANG:
        # every third garment is so long that it hangs from the floor or not at all
        longest = 4 * top - 4 * 4 - 4
        drop = longest - chance.randint(0, 16) if chance.random() < 0.33 else chance.randint(24, max(25, longest // 2))
        rod = chance.randint(6, 24)
    else:
        width, depth = chance.randint(14, 46), chance.randint(20, 62)
        height = chance.randint(12, 56) if store is Store.STAND else chance.randint(2, 10)
    if store is Store.STACK:
        most = chance.randint(2, 5)
    if store in (Store.STACK, Store.DRAWER):
        count += chance.randint(0, 4)
    width, depth, height, drop, rod = (length * QUARTER for length in (width, depth, height, drop, rod))
    return Thing(row, f"pile {row}", count, value, owner, store, width, depth, height, drop, rod, most)


def _wall(chance: random.Random, number: int, top: int) -> Run:
    width = chance.randint(16, 38)
    depth = chance.choice((8, 11, 13, 15, 15, 15, 18))
    ceiling = top + chance.choice((-4, 0, 0, 3, 8, 12))
    right = ceiling - chance.randint(4, 14) if chance.random() < 0.25 else ceiling
    ends = [ceiling, right]
    chance.shuffle(ends)
    blocked: tuple[BlockedPart, ...] = ()
    if chance.random() < 0.3:
        left, bottom = chance.randint(2, width - 8), chance.randint(0, top)
        box = (left, left + chance.randint(3, 12), bottom, bottom + chance.randint(4, 12))
        blocked = (BlockedPart(*(length * INCH for length in box)),)
    return Run(f"wall {number}", width * INCH, depth * INCH, ends[0] * INCH, ends[1] * INCH, blocked)


WISHES = 10_000
"""Cases from this number on have wishes too: bays that must be, today's bays kept, things that keep to a wall."""


SIZES = 20_000
"""Cases from this number on have wishes for sizes: play under a ceiling, least heights, low drawers, marks, rows."""


def tiny(seed: int) -> Problem:
    """A closet small enough to be proven, from all the rules."""
    facts = _without_wishes(seed)
    if seed >= SIZES:
        return _sized(facts, random.Random(f"sizes {seed}"))
    return facts if seed < WISHES else _wished(facts, random.Random(f"wishes {seed}"))


def _sized(facts: Problem, chance: random.Random) -> Problem:
    """With wishes for sizes; drawers may end anywhere where a slope or a blocked part decides what is over them."""
    is_plain = all(run.is_plain for run in facts.runs)
    rules = replace(
        facts.rules, under_ceiling=chance.choice((0, 2)) * QUARTER, least_opening=chance.choice((0, 4, 6)) * INCH,
        least_drawer=chance.choice((0, 4, 5)) * INCH, highest_drawer=is_plain * chance.choice((0, 12, 16)) * INCH,
        mark=chance.choice((0, 1, 2)) * QUARTER, pitch=chance.choice((0, 0, 5)) * QUARTER,
    )  # fmt: skip
    return replace(facts, rules=replace(rules, usual_pitch=(not rules.pitch) * chance.choice((0, 5)) * QUARTER))


def _wished(facts: Problem, chance: random.Random) -> Problem:
    """Some rows barred from a wall, ends kept free, and a bay or two of known place: that must be, or that stand."""
    rules, keeps = facts.rules, chance.random() < 0.4
    runs, fixed = [], []
    for index, run in enumerate(facts.runs):
        barred = tuple(thing.row for thing in facts.things if chance.random() < 0.25)
        kept = [chance.choice((0, 0, 1, 2)) * INCH for _ in range(2)]
        must = keeps or (index == 0 and chance.random() < 0.7)
        blocked = () if must and not keeps else run.blocked
        runs.append(replace(run, barred=barred, kept_left=kept[0], kept_right=kept[1], blocked=blocked))
        if must:
            fixed += _fixed(chance, index, run.width - kept[1] - rules.panel, kept[0] + rules.panel, facts, keeps)
    return replace(facts, runs=tuple(runs), fixed=tuple(fixed), keeps_bays=keeps and bool(fixed))


def _fixed(chance: random.Random, index: int, end: int, start: int, facts: Problem, keeps: bool) -> list[FixedBay]:
    """One or two bays between two places, at least a panel's thickness apart."""
    found: list[FixedBay] = []
    rules, depth = facts.rules, facts.runs[index].depth
    for _ in range(chance.choice((1, 1, 2))):
        least = 6 * INCH if keeps else rules.min_bay
        most = min(end - start, 40 * INCH if keeps else rules.max_shelf)
        if most < least:
            break
        width = least + chance.randint(0, (most - least) // QUARTER) * QUARTER
        left = start + chance.randint(0, (end - start - width) // QUARTER) * QUARTER
        found.append(FixedBay(index, left, width, depth - chance.choice((0, 2)) * INCH if keeps else depth))
        between = chance.choice((rules.panel, 2 * rules.panel, rules.min_bay + 2 * rules.panel, 14 * INCH))
        start = left + width + between
    return found


def _without_wishes(seed: int) -> Problem:
    chance = random.Random(f"tiny {seed}")
    top, walls = chance.randint(18, 44), chance.choice((1, 1, 2))
    rules = Rules(
        panel=chance.choice((2, 3, 4)) * QUARTER, toe_kick=chance.choice((0, 2, 3)) * INCH,
        gap=chance.choice((0, 1, 1)) * INCH, hang_allowance=4 * INCH,
        min_bay=chance.choice((8, 10, 12)) * INCH, max_shelf=chance.choice((16, 24)) * INCH,
        max_rod=chance.choice((20, 30)) * INCH, rows_deep=chance.choice((1, 1, 2)),
        corner_access=chance.choice((0, 4, 8)) * INCH, owners_apart=chance.random() < 0.33,
        spare=chance.choice((Fraction(0), Fraction(0), Fraction(1, 3), Fraction(1, 5))),
    )  # fmt: skip
    things = [_thing(chance, row, chance.choice(("A", "B", None)), top) for row in range(1, chance.randint(3, 4) + 1)]
    runs = tuple(_wall(chance, number, top) for number in range(walls))
    corners = (Corner(*chance.choice(((0, 1), (1, 0)))),) if walls == 2 and chance.random() < 0.7 else ()
    return Problem(tuple(things), runs, corners, rules, top * INCH)


SIZE_WISHES = (
    "under_ceiling", "least_opening", "least_drawer", "highest_drawer", "mark", "pitch", "usual_pitch",
)  # fmt: skip


def traits(facts: Problem) -> list[str]:
    """Which rules a case uses."""
    rules, found = facts.rules, [store.value for store in sorted({thing.store for thing in facts.things})]
    found += ["two walls"] * (len(facts.runs) > 1) + ["corner"] * bool(facts.corners)
    found += ["owners apart"] * (rules.owners_apart and len(facts.owners) > 1)
    found += ["two rows"] * (rules.rows_deep > 1) + ["spare"] * (rules.spare > 0)
    found += ["slope"] * any(run.is_sloped for run in facts.runs)
    found += ["blocked"] * any(run.blocked for run in facts.runs)
    found += [name for name in SIZE_WISHES if getattr(rules, name)]
    found += ["kept bays"] * facts.keeps_bays + ["bays that must be"] * (bool(facts.fixed) and not facts.keeps_bays)
    found += ["barred"] * any(run.barred for run in facts.runs)
    found += ["ends kept free"] * any(run.kept_left or run.kept_right for run in facts.runs)
    found += ["above the top"] * any(max(run.ceiling_left, run.ceiling_right) > facts.top for run in facts.runs)
    ways = [ways_of(thing, facts, run.depth) for thing in facts.things for run in facts.runs]
    found += ["turned"] * any(way.turned for each in ways for way in each)
    return found + ["two turnings"] * any(len(each) > 1 for each in ways)


@dataclass(frozen=True, slots=True)
class Opinion:
    """What HiGHS made of a case: a layout that keeps every rule, its value, and whether nothing is worth more."""

    layout: Layout
    value: int
    is_proven: bool
    seconds: float


def second_opinion(facts: Problem, seconds: float) -> Opinion:
    """The best layout of one closet by the other program.

    Raises
    ------
    AssertionError
        When the checker refuses what HiGHS found.
    """
    rules = facts.rules
    bays = [
        0 if facts.keeps_bays else max(0, (run.width - rules.panel) // (rules.min_bay + rules.panel))
        for run in facts.runs
    ]
    needs = [
        need for thing in facts.things for run in facts.runs for way in ways_of(thing, facts, run.depth)
        for _, need in way.levels
    ]  # fmt: skip
    slots = max(1, facts.top // (min(needs, default=facts.top) + rules.panel))
    # no pile can use more openings than it has pieces
    naive = Naive(facts, bays, min(slots, sum(thing.count for thing in facts.things)), by_count=True)
    found: Outcome = with_highs(naive.program, seconds)
    if found.solution is None:
        empty = Reading(naive).layout([0.0] * len(naive.program.lower))
        return Opinion(empty, 0, found.is_proven, found.seconds)
    layout = Reading(naive).layout(found.solution)
    broken = violations(facts, layout)
    assert not broken, broken[0]
    value = stored_value(facts, layout)
    assert value == found.trace[-1][1], (value, found.trace[-1])
    return Opinion(layout, value, found.is_proven, found.seconds)


def bounds(facts: Problem, opinion: Opinion, seed: int) -> dict[str, float]:
    """Every bound that there is for the corner choice of a layout: each has to be at least its value."""
    chance = np.random.default_rng(seed)
    facts = divide(facts).problem
    owners = opinion.layout.owners if facts.corners else ()
    choices = bound_choices(facts, design_master(facts), Effort(), facts.value_of_all)
    mine = next(choice for choice in choices if choice.owners == owners)
    found = {"the bound": float(choices[0].whole), "the bound of its corners": mine.bound + 1.0e-6}
    fine, coarse = Master(facts, FINE), Master(facts, DESIGN_GRID)
    for master in (fine, coarse):
        master.set_state(open_state(facts, owners))
    found["after one step"] = fine.price(coarse.generate(1).at) + 1.0e-6
    for number in range(RANDOM_PRICES):
        prices = fine.worth * chance.random(len(fine.worth)) * chance.choice((0.5, 1.0))
        found[f"at random prices {number}"] = fine.price(prices) + 1.0e-6
    return found


def attack(seed: int, seconds: float) -> dict[str, object]:
    """One case: what is wrong with any bound or with the design, and what was proven."""
    facts = tiny(seed)
    opinion = second_opinion(facts, seconds)
    wrong = [f"{name} is {bound}" for name, bound in bounds(facts, opinion, seed).items() if bound < opinion.value]
    found = design(facts, Effort())
    layout = found.layout
    broken = violations(facts, layout)
    if broken:
        wrong.append(f"the design breaks a rule: {broken[0]}")
    if found.bound < opinion.value:
        wrong.append(f"the design's bound is {found.bound}")
    if opinion.is_proven and found.value > opinion.value:
        wrong.append(f"the design is worth {found.value}")
    return {
        "seed": seed, "wrong": wrong, "best": opinion.value, "is proven": opinion.is_proven, "all": facts.value_of_all,
        "design": found.value, "bound": found.bound, "seconds": round(opinion.seconds, 2), "traits": traits(facts),
    }  # fmt: skip


def main() -> None:
    """Attack so many cases and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cases", type=int, default=200)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--seconds", type=float, default=20.0, help="processor seconds for HiGHS on each")
    parser.add_argument("--all", action="store_true", help="print every case, not only what deserves a look")
    options = parser.parse_args()
    counted: Counter[str] = Counter()
    used: Counter[str] = Counter()
    started = time.monotonic()
    for seed in range(options.first, options.first + options.cases):
        row = attack(seed, options.seconds)
        counted["cases"] += 1
        counted["proven by HiGHS"] += bool(row["is proven"])
        if row["is proven"]:
            counted["design is the optimum"] += row["design"] == row["best"]
            counted["bound is the optimum"] += row["bound"] == row["best"]
            counted["bound above"] += row["bound"] > row["best"]  # type: ignore[operator]
        counted["not everything fits"] += row["best"] != row["all"]
        counted["wrong"] += bool(row["wrong"])
        used.update(row["traits"])  # type: ignore[call-overload]
        if options.all or row["wrong"] or (row["is proven"] and row["design"] != row["best"]):
            print(json.dumps(row), flush=True)
    print(dict(counted), f"{time.monotonic() - started:.0f} s")
    print(dict(used.most_common()))


if __name__ == "__main__":
    main()
