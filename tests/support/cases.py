"""Small and seeded random problems, and the smallest closet file, for the tests; all sizes invented."""

from __future__ import annotations

import random
from fractions import Fraction

from capacity.layout.problem import (
    BlockedPart,
    Corner,
    FixedBay,
    OpeningKind,
    PrescribedOpening,
    Problem,
    Rules,
    Run,
    Thing,
)
from capacity.wardrobe.kinds import Store

INCH = 8128


def one_wall(width: float = 40, depth: float = 15, name: str = "back", ceiling: float = 96) -> str:
    """The closet file of one wall, 84 in high, from inches; more may follow it."""
    return f'ceiling = {ceiling}\ntop = 84\n[[wall]]\nname = "{name}"\nwidth = {width}\ndepth = {depth}\n'


def built_bay(openings: str, width: float = 30) -> str:
    """What stands on the wall of `one_wall`: a bay 15 in deep with these openings, as they are written."""
    return f'[[built]]\nwall = "back"\nleft = 0.75\nwidth = {width}\ndepth = 15\nopenings = [{openings}]\n'


def rules(**changes: object) -> Rules:
    """The default rules, with 3/4 in panels."""
    values: dict[str, object] = {
        "panel": 3 * INCH // 4, "toe_kick": 3 * INCH, "gap": INCH, "hang_allowance": 4 * INCH,
        "min_bay": 12 * INCH, "max_shelf": 36 * INCH, "max_rod": 48 * INCH, "rows_deep": 1,
        "corner_access": 12 * INCH, "owners_apart": False, "spare": Fraction(0),
    }  # fmt: skip
    return Rules(**{**values, **changes})  # type: ignore[arg-type]


def thing(
    row: int, store: str, count: int, *sizes: float, value: int = 2, most: int = 1, owner: str | None = None
) -> Thing:
    """A thing from inches: width, depth, height; for hanging: drop, rod."""
    ticks = [round(size * INCH) for size in sizes]
    width, depth, height, drop, rod = (0, 0, 0, *ticks) if store == "hang" else (*ticks, 0, 0)
    return Thing(row, f"pile {row}", count, value, owner, Store(store), width, depth, height, drop, rod, most)


def run(
    name: str, width: float, depth: float = 15, ceiling: float = 96, right: float | None = None, *blocked: BlockedPart
) -> Run:
    """A wall from inches."""
    return Run(
        name,
        round(width * INCH),
        round(depth * INCH),
        round(ceiling * INCH),
        round((right or ceiling) * INCH),
        blocked,
    )


def bank(facts: Problem, left: float, width: float, count: int, height: float, wall: int = 0) -> FixedBay:
    """A bay that must be with a bank of drawers, from inches; its bay has no drawers besides."""
    high, thick = round(height * INCH), facts.rules.panel
    drawers = tuple(
        PrescribedOpening(OpeningKind.DRAWER, facts.rules.base + number * (high + thick), high)
        for number in range(count)
    )
    others = (OpeningKind.SHELF, OpeningKind.HANG)
    return FixedBay(wall, round(left * INCH), round(width * INCH), facts.runs[wall].depth, drawers, others)


def box(left: float, width: float, bottom: float, height: float) -> BlockedPart:
    """A blocked part from inches."""
    return BlockedPart(*(round(number * INCH) for number in (left, left + width, bottom, bottom + height)))


def problem(
    things: list[Thing], runs: list[Run], corners: tuple[Corner, ...] = (), top: float = 84, **changes: object
) -> Problem:
    """A problem from inches."""
    return Problem(tuple(things), tuple(runs), corners, rules(**changes), round(top * INCH))


def random_things(
    chance: random.Random, classes: int, most_count: int, owners: tuple[str | None, ...] = (None,)
) -> list[Thing]:
    """Piles of a household: about half stand, the rest is stacked, hung and laid in drawers."""

    def between(low: float, high: float, step: float = 0.25) -> float:
        return round(low / step + chance.random() * (high - low) / step) * step

    things = []
    for row in range(1, classes + 1):
        pick, count = chance.random(), chance.randint(1, most_count)
        common = {"value": chance.choice((1, 2, 2, 3)), "owner": chance.choice(owners)}
        if pick < 0.45:
            sizes = (between(6, 11), between(8, 13), chance.choice((between(3, 7), between(7, 19))))
            things.append(thing(row, "stand", count, *sizes, **common))
        elif pick < 0.6:
            sizes = (between(9, 13), between(10, 14), between(0.5, 3))
            things.append(thing(row, "stack", count, *sizes, most=chance.randint(4, 8), **common))
        elif pick < 0.88:
            things.append(thing(row, "hang", count, between(28, 60), between(1, 3, 0.125), **common))
        else:
            things.append(thing(row, "drawer", count, between(4, 9), between(4, 12), between(0.5, 2), **common))
    return things
