"""Inconvenience before and after openings aim at it: order and exchange alone, then bays built for the zones of reach.

    python tests/benchmarks/zones.py six-foot-reach-in reach-in:slack:0 two-wall:over:3

prints for each sample, or seeded closet (family, fullness and seed as in `families`, three people made up): the value,
the inconvenience by order and exchange (`reach_order`), that of `goals.put_within_reach`, the proven bound, and the
processor seconds of the search for the value and of the rest.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator, Mapping
from pathlib import Path

from families import base, case, full_scale

import capacity
from capacity.closet.people import Person
from capacity.layout.problem import Problem
from capacity.layout.reach_zones import Zone, zones_of
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.folder import read_folder
from capacity.solver.effort import Effort
from capacity.solver.goals.later_goals import put_within_reach
from capacity.solver.goals.reach_order import ease
from capacity.solver.search.design import design

SAMPLES = Path(capacity.__file__).parent.parent / "inventory_samples"
PEOPLE = ({"name": "person 1", "height": 1650}, {"name": "person 2", "height": 1830}, {"name": "person 3", "age": 8})


def _cases(names: list[str]) -> Iterator[tuple[str, Problem, Mapping[str, Zone]]]:
    people = zones_of([Person.model_validate(one, context={"units": "mm"}, strict=False) for one in PEOPLE])
    for name in names:
        if ":" in name:
            family, fullness, number = name.split(":")
            seed = int(number)
            yield name, case(family, fullness, seed, full_scale(base(family, seed))).problem, people
        else:
            closet, inventory = read_folder(SAMPLES / name)
            yield name, size_problem(closet, inventory), zones_of(closet.person)


def main() -> None:
    """Print one line a closet."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0] if __doc__ else None)
    parser.add_argument("names", nargs="+", metavar="CLOSET")
    options = parser.parse_args()
    for name, problem, zones in _cases(options.names):
        began = time.process_time()
        found = design(problem, Effort())
        searched = time.process_time()
        parts = found.divided.problem
        before = ease(parts, found.layout, zones, Effort()).inconvenience
        eased = time.process_time()
        reached = put_within_reach(parts, found, zones, Effort())
        seconds = f"{searched - began:.0f} s + {time.process_time() - eased:.0f} s"
        value = f"value {found.value} -> {reached.design.value} of {problem.value_of_all}"
        print(
            f"{name}: {value}; inconvenience {before} -> {reached.inconvenience}, at least {reached.bound}; {seconds}"
        )


if __name__ == "__main__":
    main()
