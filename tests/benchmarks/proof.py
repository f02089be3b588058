"""How many small one-wall closets are proven best, and how soon.

    python tests/benchmarks/proof.py --seeds 0 1 2 3 --seconds 10

Small: at most 7 piles and 30 pieces. The household is seeded; the wall is as wide as makes it 75, 95 or 125 per cent
full by the Lagrangian bound. The seed also decides which rules are used beyond the usual ones: 0 none, 1 owners
apart, 2 room to spare, 3 two rows deep, 4 a low closet with an opening above its top.
"""

from __future__ import annotations

import argparse
import json
import platform
import random
import sys
import time
from collections import defaultdict
from dataclasses import replace
from fractions import Fraction
from importlib.metadata import version

from families import FULLNESS, INCH, Case, bound_of, household

from capacity.layout.fit_rules import violations
from capacity.layout.problem import Problem, Rules, Run
from capacity.solver.effort import Effort
from capacity.solver.search.design import design
from capacity.wardrobe.kinds import Store

NARROWEST, WIDEST = 16, 96
"""Widths of the walls [in]."""


def small_household(seed: int) -> Problem:
    """A household of 4 to 7 piles and 16 to 30 pieces before a wide wall."""
    chance = random.Random(f"small {seed}")
    kind = seed % 5
    owners: tuple[str | None, ...] = (None, "Ada", "Ben") if kind == 1 else (None,)
    things = household(chance, chance.randint(4, 7), owners, seed)
    pieces = chance.randint(16, 30)
    scale = pieces / sum(thing.count for thing in things)
    bulk = 1 + seed % 2  # half of the households are bulky, so that their walls have several bays
    things = [
        replace(
            thing,
            count=max(1, int(thing.count * scale)),
            width=min(thing.width * bulk, 14 * INCH) if thing.store is not Store.DRAWER else thing.width,
            rod=thing.rod * bulk,
        )
        for thing in things
    ]
    top, ceiling = (60, 72) if kind == 4 else (84, 96)
    rules = Rules(
        panel=23 * INCH // 32, toe_kick=3 * INCH, gap=INCH, hang_allowance=4 * INCH, min_bay=12 * INCH,
        max_shelf=36 * INCH, max_rod=48 * INCH, rows_deep=2 if kind == 3 else 1, corner_access=12 * INCH,
        owners_apart=kind == 1, spare=Fraction(1, 10) if kind == 2 else Fraction(0),
    )  # fmt: skip
    wall = Run("wall", WIDEST * INCH, 15 * INCH, ceiling * INCH, ceiling * INCH)
    return Problem(tuple(things), (wall,), (), rules, top * INCH)


def with_width(problem: Problem, width: float) -> Problem:
    """The same household before a wall of this width [in], to a quarter inch."""
    ticks = round(max(NARROWEST, width) * 4) * INCH // 4
    return replace(problem, runs=(replace(problem.runs[0], width=ticks),))


def full_width(problem: Problem) -> float:
    """The narrowest wall on which the bound says that as much fits as on the widest, to a quarter inch [in]."""
    most = bound_of(with_width(problem, WIDEST))
    low, high = NARROWEST * 4, WIDEST * 4
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if bound_of(with_width(problem, middle / 4)) >= most else (middle + 1, high)
    return low / 4


def cases(seeds: list[int], fullness: list[str]) -> list[Case]:
    """The instances asked for."""
    found = []
    for seed in seeds:
        problem = small_household(seed)
        width = full_width(problem)
        found += [Case("small", name, seed, with_width(problem, width / FULLNESS[name])) for name in fullness]
    return found


def main() -> None:
    """Print a line for each instance, and the share proven for each fullness."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--fullness", nargs="*", default=list(FULLNESS))
    parser.add_argument("--seeds", nargs="*", type=int, default=list(range(20)))
    parser.add_argument("--seconds", type=float, default=10.0)
    options = parser.parse_args()
    print(f"# {time.strftime('%Y-%m-%d')} {platform.machine()} {platform.python_version()}", end=" ")
    print(", ".join(f"{name} {version(name)}" for name in ("ortools", "numpy")), f"{options.seconds} s each")
    rows: dict[str, list[tuple[bool, float]]] = defaultdict(list)
    for case in cases(options.seeds, options.fullness):
        reached: list[tuple[float, int, int]] = []
        effort = Effort(
            options.seconds, on_progress=lambda item, to=reached: to.append((item.seconds, item.stored, item.bound))
        )
        found = design(case.problem, effort)
        assert not violations(case.problem, found.layout)
        proven = next((seconds for seconds, stored, bound in reached if stored >= bound), effort.seconds)
        is_best = found.value == found.bound
        rows[case.fullness].append((is_best, proven))
        line = {
            "case": f"{case.fullness} {case.seed}", "width": case.problem.runs[0].width / INCH,
            "piles": len(case.problem.things), "pieces": sum(thing.count for thing in case.problem.things),
            "all": case.problem.value_of_all, "value": found.value, "bound": found.bound,
            "proven": is_best, "seconds": round(proven, 2),
        }  # fmt: skip
        print(json.dumps(line), flush=True)
    print("| small one-wall closets | proven | of | median s | slowest proof s |")
    print("| --- | --- | --- | --- | --- |")
    for name, each in rows.items():
        times = sorted(seconds for is_best, seconds in each if is_best) or [float("nan")]
        print(f"| {name} | {len([1 for is_best, _ in each if is_best])} | {len(each)} |", end=" ")
        print(f"{times[len(times) // 2]:.2f} | {times[-1]:.2f} |")


if __name__ == "__main__":
    sys.exit(main())
