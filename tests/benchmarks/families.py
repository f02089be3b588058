"""Twelve families of households and closets for the benchmarks: seeded, invented, and using the whole contract.

Four closets (reach-in, two walls, three walls, three long walls), each at three degrees of fullness: the counts are
scaled to 75, 95 and 125 per cent of the largest scale at which the Lagrangian bound still says that everything
fits. All have shelves, stacks, rods, drawers, and a corner where walls meet. Five seeds; the seed also decides which
rules are used beyond these, and repeats itself from the sixth on:

0 none; 1 owners apart; 2 a sloped ceiling, and a fifth of what stands fits only when turned; 3 a blocked part, and
the last of several walls too shallow for rods; 4 two rows deep (so that many piles have two turnings of which neither
is better) and a tenth of the room spare.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from fractions import Fraction

from capacity.layout.corners import corner_choices
from capacity.layout.problem import BlockedPart, Corner, Problem, Rules, Run, Thing
from capacity.solver.relaxation.master import Master
from capacity.solver.relaxation.opening_knapsack import Grid
from capacity.solver.relaxation.structure import open_state
from capacity.wardrobe.kinds import Store

INCH = 8128
CLOSETS = {
    "reach-in": ((72,), 12, 2),
    "two-wall": ((84, 69), 16, 2),
    "three-wall": ((96, 84, 93), 24, 3),
    "large": ((144, 132, 144), 30, 3),
}
FULLNESS = {"slack": 0.75, "just": 0.95, "over": 1.25}
SEEDS = range(5)


@dataclass(frozen=True)
class Case:
    """One instance: family, fullness, seed and problem."""

    family: str
    fullness: str
    seed: int
    problem: Problem


DEPTH, SHALLOW = 15, 11
"""Depth of a wall, and of one that is too shallow for rods [in]."""


def household(chance: random.Random, classes: int, owners: tuple[str | None, ...], seed: int) -> list[Thing]:
    """A mix of piles with sizes on quarters of an inch (rods on eighths), counts before scaling 2 to 12."""
    things: list[Thing] = []
    for row in range(1, classes + 1):
        pick = chance.random()
        count, value, owner = chance.randint(2, 12), chance.choice((1, 2, 2, 2, 3)), chance.choice(owners)

        def quarter(low: float, high: float, step: float = 0.25) -> int:
            return round(round((low + chance.random() * (high - low)) / step) * step * INCH)

        width = depth = height = drop = rod = 0
        most = 1
        if pick < 0.45:
            store = Store.STAND
            width, depth = quarter(4, 12), quarter(8, 14)
            height = quarter(4, 8) if chance.random() < 0.6 else quarter(8, 20)
            if seed % 5 == 2 and chance.random() < 0.2:
                depth = quarter(DEPTH + 0.25, DEPTH + 5)
        elif pick < 0.60:
            store, most = Store.STACK, chance.randint(3, 8)
            width, depth, height = quarter(8, 14), quarter(9, 14), quarter(0.5, 3)
        elif pick < 0.88:
            store, drop, rod = Store.HANG, quarter(26, 62), quarter(1, 3, 0.125)
        else:
            store = Store.DRAWER
            width, depth, height = quarter(4, 9), quarter(4, 12), quarter(0.5, 2)
        things.append(Thing(row, f"pile {row}", count, value, owner, store, width, depth, height, drop, rod, most))
    return things


def base(family: str, seed: int) -> Problem:
    """The closet and household of one family and seed before scaling."""
    widths, classes, people = CLOSETS[family]
    chance = random.Random(f"{family} {seed}")
    owners: tuple[str | None, ...] = (None, *(f"person {number}" for number in range(1, people + 1)))
    runs = []
    special = seed % 5
    for number, width in enumerate(widths):
        is_last = number == len(widths) - 1
        slope = 72 if special == 2 and is_last else 96
        depth = SHALLOW if special == 3 and is_last and number > 0 else DEPTH
        blocked = (BlockedPart(30 * INCH, 54 * INCH, 40 * INCH, 64 * INCH),) if special == 3 and number == 0 else ()
        runs.append(Run(f"wall {number}", width * INCH, depth * INCH, 96 * INCH, slope * INCH, blocked))
    rules = Rules(
        panel=23 * INCH // 32, toe_kick=3 * INCH, gap=INCH, hang_allowance=4 * INCH, min_bay=12 * INCH,
        max_shelf=36 * INCH, max_rod=48 * INCH, rows_deep=2 if special == 4 else 1, corner_access=12 * INCH,
        owners_apart=special == 1, spare=Fraction(1, 10) if special == 4 else Fraction(0),
    )  # fmt: skip
    corners = tuple(Corner(number, number + 1) for number in range(len(widths) - 1))
    return Problem(tuple(household(chance, classes, owners, seed)), tuple(runs), corners, rules, 84 * INCH)


def scaled(problem: Problem, scale: float) -> Problem:
    """The same household with its counts scaled, at least one piece of everything."""
    things = tuple(replace(thing, count=max(1, round(thing.count * scale))) for thing in problem.things)
    return replace(problem, things=things)


def bound_of(problem: Problem) -> int:
    """The Lagrangian bound on the design grid, largest over the corner choices."""
    master, most = Master(problem, Grid(False, INCH // 2)), 0
    for owners in corner_choices(problem):
        master.set_state(open_state(problem, owners))
        most = max(most, int(master.generate(60).bound + 1e-6))
    return most


def full_scale(problem: Problem) -> float:
    """The largest scale at which the bound still says that everything fits, to 2 per cent."""
    low, high = 0.05, 0.1
    while bound_of(scaled(problem, high)) >= scaled(problem, high).value_of_all:
        low, high = high, high * 1.6
    while high / low > 1.02:
        middle = (low * high) ** 0.5
        some = scaled(problem, middle)
        if bound_of(some) >= some.value_of_all:
            low = middle
        else:
            high = middle
    return low


def with_usual_wishes(facts: Problem) -> Problem:
    """The same closet with the sizes that a folder wishes for which says nothing of them: play to rows of holes."""
    rules = replace(
        facts.rules, under_ceiling=INCH // 2, least_opening=4 * INCH, least_drawer=4 * INCH, highest_drawer=48 * INCH,
        mark=INCH // 16, usual_pitch=5 * INCH // 4,
    )  # fmt: skip
    return replace(facts, rules=rules, runs=tuple(replace(run, kept_right=INCH // 4) for run in facts.runs))


def case(family: str, fullness: str, seed: int, scale: float, has_wishes: bool = False) -> Case:
    """One instance; `scale` is the closet's full scale without wishes."""
    facts = scaled(base(family, seed), scale * FULLNESS[fullness])
    return Case(family, fullness, seed, with_usual_wishes(facts) if has_wishes else facts)
