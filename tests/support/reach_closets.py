"""Seeded closets with people whose reach counts."""

from __future__ import annotations

import random
from dataclasses import replace

from support.cases import INCH, box, problem, random_things, run

from capacity.closet.people import Person
from capacity.layout.problem import Corner, FixedBay
from capacity.layout.reach_zones import Zone, zones_of


def _people() -> dict[str, Zone]:
    people = ({"name": "A", "height": 1600}, {"name": "B", "height": 1850}, {"name": "C", "age": 7})
    return zones_of([Person.model_validate(one, context={"units": "mm"}, strict=False) for one in people])


PEOPLE = _people()


def _household(seed: int, most: int = 6) -> list:  # type: ignore[type-arg]
    return random_things(random.Random(seed), 7, most, ("A", "B", "C", None))


CLOSETS = {
    "corner": lambda seed, most=6: problem(_household(seed, most), [run("a", 72), run("b", 60)], (Corner(0, 1),)),
    "owners apart": lambda seed, most=6: problem(_household(seed, most), [run("a", 96)], owners_apart=True),
    "slope": lambda seed, most=6: problem(_household(seed, most), [run("a", 80, 15, 96, 60)]),
    "blocked": lambda seed, most=6: problem(_household(seed, most), [run("a", 90, 15, 96, None, box(30, 20, 40, 20))]),
    "a bay that must be": lambda seed, most=6: replace(
        problem(_household(seed, most), [run("a", 80)]), fixed=(FixedBay(0, 30 * INCH, 22 * INCH, 15 * INCH),)
    ),
    "over-full": lambda seed, most=12: problem(_household(seed, most), [run("a", 42)]),
}
