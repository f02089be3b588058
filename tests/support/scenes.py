"""Tiny closets made by chance, one for each rule, small enough to list every layout."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

from support.cases import INCH, box, problem, run, thing

from capacity.layout.problem import Corner, FixedBay, Problem, Thing


def _stand(chance: random.Random, row: int, **more: object) -> Thing:
    sizes = (chance.randint(5, 11), chance.randint(8, 14), chance.randint(4, 14))
    return thing(row, "stand", chance.randint(1, 3), *sizes, value=chance.randint(1, 3), **more)  # type: ignore[arg-type]


def _stack(chance: random.Random, row: int) -> Thing:
    sizes = (chance.randint(8, 12), chance.randint(9, 14), chance.randint(2, 8) / 4)
    return thing(row, "stack", chance.randint(2, 5), *sizes, value=chance.randint(1, 3), most=chance.randint(2, 4))


def _hang(chance: random.Random, row: int, low: int = 14, high: int = 30, **more: object) -> Thing:
    sizes = (chance.randint(low, high), chance.randint(8, 24) / 4)
    return thing(row, "hang", chance.randint(1, 4), *sizes, value=chance.randint(1, 3), **more)  # type: ignore[arg-type]


def _drawer(chance: random.Random, row: int) -> Thing:
    sizes = (chance.randint(3, 7), chance.randint(3, 9), chance.randint(2, 8) / 4)
    return thing(row, "drawer", chance.randint(2, 5), *sizes, value=chance.randint(1, 3))


def rods_on_the_floor(chance: random.Random) -> Problem:
    """The top lets the longest garment hang only from the floor."""
    things = [_hang(chance, 1), _hang(chance, 2), _stand(chance, 3)]
    top = max(item.drop for item in things) // INCH + 4 + 1 + chance.choice((0, 1, 3, 4, 8))
    return problem(things, [run("back", chance.randint(14, 40), 15, top)], top=top, **SMALL)


def above_the_top(chance: random.Random) -> Problem:
    things = [_stand(chance, 1), _stand(chance, 2), _stack(chance, 3)]
    return problem(things, [run("back", chance.randint(14, 36), 15, 34 + chance.randint(4, 14))], top=34, **SMALL)


def drawers(chance: random.Random) -> Problem:
    things = [_drawer(chance, 1), _drawer(chance, 2), _stand(chance, 3)]
    return problem(
        things, [run("back", chance.randint(13, 22), chance.randint(12, 20), 18)], top=chance.randint(12, 18), **SMALL
    )


def room_to_spare(chance: random.Random) -> Problem:
    things = [_stand(chance, 1), _hang(chance, 2), _stack(chance, 3)]
    spare = chance.choice((Fraction(1, 10), Fraction(1, 4), Fraction(1, 3)))
    return problem(things, [run("back", chance.randint(20, 40), 15, 40)], top=40, spare=spare, **SMALL)


def two_rows(chance: random.Random) -> Problem:
    things = [
        thing(
            row,
            "stand",
            chance.randint(2, 4),
            chance.randint(4, 9),
            chance.randint(5, 11),
            chance.randint(4, 9),
            value=row,
        )
        for row in (1, 2)
    ]
    depth = chance.randint(14, 22)
    return problem(
        [*things, _stack(chance, 3)],
        [run("back", chance.randint(13, 24), depth, 24)],
        top=chance.randint(16, 24),
        rows_deep=2,
        **SMALL,
    )


def turning(chance: random.Random) -> Problem:
    """Pieces deeper than the bay, which fit only when turned, and pieces that are narrower so."""
    depth = chance.randint(10, 13)
    things = [
        thing(1, "stand", 2, chance.randint(6, 9), depth + chance.randint(0, 2), chance.randint(5, 9), value=2),
        thing(2, "stand", 3, chance.randint(8, 13), chance.randint(5, 8), chance.randint(5, 9), value=1),
        thing(3, "stack", 4, chance.randint(9, 13), chance.randint(6, 9), 1.5, value=3, most=3),
    ]
    return problem(things, [run("back", chance.randint(16, 34), depth, 30)], top=30, **SMALL)


def a_corner(chance: random.Random) -> Problem:
    things = [_stand(chance, 1), _stand(chance, 2), _hang(chance, 3)]
    walls = [run("a", chance.randint(14, 34), chance.randint(8, 15), 32), run("b", chance.randint(14, 34), 13, 32)]
    return problem(things, walls, (Corner(0, 1),), top=32, corner_access=chance.randint(0, 8) * INCH, **SMALL)


def ends_kept_free(chance: random.Random) -> Problem:
    """A board at every end of the walls of a corner, wider or narrower than what the corner takes."""
    facts = a_corner(chance)
    ends = [chance.randint(0, 16) * INCH // 4 for _ in range(4)]
    walls = [replace(wall, kept_left=ends[n], kept_right=ends[n + 2]) for n, wall in enumerate(facts.runs)]
    return replace(facts, runs=tuple(walls))


def a_blocked_part(chance: random.Random) -> Problem:
    things = [_stand(chance, 1), _stand(chance, 2), _hang(chance, 3, 8, 14)]
    part = box(chance.randint(4, 14), chance.randint(4, 10), chance.randint(6, 14), chance.randint(4, 8))
    return problem(things, [run("back", chance.randint(22, 32), 15, 28, None, part)], top=28, **SMALL)


def blocked_to_the_ceiling(chance: random.Random) -> Problem:
    """Beside the part things lie on the top panel; a bay that spans it has none."""
    things = [_stand(chance, 1), _stand(chance, 2), _hang(chance, 3, 8, 14)]
    low = chance.randint(8, 20)
    part = box(chance.randint(4, 14), chance.randint(4, 10), low, 36 - low)
    return problem(things, [run("back", chance.randint(22, 32), 15, 36, None, part)], top=26, **SMALL)


def owners_apart(chance: random.Random) -> Problem:
    owners = ["A", "B", chance.choice(("A", "B", None))]
    things = [_stand(chance, row, owner=owner) for row, owner in enumerate(owners, start=1)]
    return problem(things, [run("back", chance.randint(20, 40), 15, 30)], top=30, owners_apart=True, **SMALL)


def stacks(chance: random.Random) -> Problem:
    """Higher openings take higher stacks, so height is traded for width."""
    things = [_stack(chance, 1), _stack(chance, 2)]
    return problem(things, [run("back", chance.randint(13, 20), 15, 20)], top=chance.randint(10, 20), **SMALL)


def a_slope(chance: random.Random) -> Problem:
    things = [_stand(chance, 1), _stand(chance, 2)]
    ends = [chance.randint(20, 28), chance.randint(30, 44)]
    chance.shuffle(ends)
    return problem(things, [run("back", chance.randint(14, 21), 15, *ends)], top=chance.randint(24, 36), **SMALL)


def a_bay_that_must_be(chance: random.Random) -> Problem:
    """One or two of them, the free wall beside and between them, and sometimes a corner that may take one away."""
    left = chance.randint(2, 14)
    fixed = [FixedBay(0, left * INCH, chance.randint(10, 13) * INCH, 15 * INCH)]
    if chance.random() < 0.5:
        fixed.append(FixedBay(0, (left + 14 + chance.randint(0, 14)) * INCH, 10 * INCH, 15 * INCH))
    runs = [
        run("back", (fixed[-1].left + fixed[-1].width) // INCH + chance.randint(1, 14), 15, 20),
        run("side", 40, 15, 20),
    ]
    corners = (Corner(0, 1),) if chance.random() < 0.5 else ()
    things = [_stand(chance, 1), _stand(chance, 2), _hang(chance, 3, 8, 16)]
    facts = problem(things, runs[: 1 + len(corners)], top=20, corners=corners, **SMALL)  # type: ignore[arg-type]
    return replace(facts, fixed=tuple(fixed))


def between_two_bays_that_must_be(chance: random.Random) -> Problem:
    """Wall for a bay or two between them: shelves and rods may end less than a panel before the second upright."""
    panel, number = chance.randint(2, 4) * INCH // 4, chance.choice((1, 1, 2))
    room = number * chance.randint(40, 54) * INCH // 4 + (number + 1) * panel
    fixed = [FixedBay(0, panel + chance.choice((0, 2, 11)) * INCH, chance.randint(40, 44) * INCH // 4, 15 * INCH)]
    fixed.append(FixedBay(0, fixed[0].left + fixed[0].width + room, 10 * INCH, 15 * INCH))
    width = (fixed[1].left + 10 * INCH + panel + chance.choice((0, 1, 12)) * INCH) / INCH
    longest = {"max_shelf": chance.choice((11, 12, 14)) * INCH, "max_rod": chance.choice((12, 16, 30)) * INCH}
    sizes: dict[str, object] = {**SMALL, "panel": panel, **longest}
    things = [_stand(chance, 1), _stand(chance, 2), _hang(chance, 3, 8, 14)]
    facts = problem(things, [run("back", width, 15, chance.choice((20, 24)))], top=20, **sizes)  # type: ignore[arg-type]
    return replace(facts, fixed=tuple(fixed))


def todays_bays_kept(chance: random.Random) -> Problem:
    """Wider than the longest shelf, narrower than the narrowest bay, and of a depth of their own."""
    widths = [chance.randint(6, 40) for _ in range(2)]
    fixed = [
        FixedBay(0, 0, widths[0] * INCH, chance.randint(10, 16) * INCH),
        FixedBay(0, (widths[0] + 1) * INCH, widths[1] * INCH, 12 * INCH),
    ]
    facts = problem(
        [_stand(chance, 1), _stand(chance, 2), _hang(chance, 3)], [run("back", 90, 15, 28)], top=24, **SMALL
    )
    return replace(facts, fixed=tuple(fixed), keeps_bays=True)


def things_that_keep_to_a_wall(chance: random.Random) -> Problem:
    things = [_stand(chance, 1), _stand(chance, 2), _stack(chance, 3)]
    walls = [run("back", chance.randint(14, 30), 15, 20), run("side", chance.randint(14, 30), 15, 20)]
    barred = [tuple(row for row in (1, 2, 3) if chance.random() < 0.4) for _ in walls]
    facts = problem(things, walls, top=20, **SMALL)
    return replace(facts, runs=tuple(replace(wall, barred=rows) for wall, rows in zip(walls, barred, strict=True)))


def everything_together(chance: random.Random) -> Problem:
    things = [_stand(chance, 1, owner="A"), _hang(chance, 2, owner="B"), _drawer(chance, 3)]
    walls = [run("a", chance.randint(20, 34), 15, 44), run("b", chance.randint(20, 34), 13, 36)]
    return problem(
        things, walls, (Corner(1, 0),), top=36, owners_apart=True, rows_deep=2, spare=Fraction(1, 10),
        corner_access=4 * INCH, **SMALL,
    )  # fmt: skip


SMALL: dict[str, object] = {"panel": INCH, "min_bay": 10 * INCH, "max_shelf": 24 * INCH, "max_rod": 30 * INCH}
