"""The same household told otherwise: what `fit` says of it must follow."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, replace

from second_opinion.household import AUTO, INCH, Box, Household, Today


@dataclass(frozen=True, slots=True)
class Variant:
    """A household told otherwise; `is_same` where as much can be stored, else at least as much, or at most."""

    name: str
    home: Household
    relation: str


def variants_of(home: Household, seed: int) -> list[Variant]:
    """Every variant there is of a household, of which some are drawn anew by the seed."""
    chance = random.Random(f"variant {seed}")
    rows = list(home.piles)
    chance.shuffle(rows)
    found = [
        Variant("rows permuted", replace(home, piles=tuple(rows)), "same"),
        Variant("owners renamed", _renamed(home), "same"),
    ]
    found.append(Variant("people described", replace(home, is_described=True), "same"))
    if not home.wishes.play:  # it is kept at the right end, and under a ceiling in round figures of each system
        found.append(Variant("mirrored", mirrored(home), "same"))
    if not home.wishes.play and home.wishes.pitch != AUTO:
        found.append(Variant("other units", replace(home, units={"in": "mm", "mm": "in"}[home.units]), "same"))
    for name, make in (("a pile in two rows", _split), ("an inch wider", _wider)):
        made: tuple[Household, str] | None = make(home, chance)
        if made is not None:
            found.append(Variant(name, made[0], made[1]))
    return found


def _renamed(home: Household) -> Household:
    names = {"Ada": "Zoë", "Ben": "Abe", None: None}
    return replace(
        home,
        piles=tuple(replace(pile, owner=names[pile.owner]) for pile in home.piles),
        keeps=tuple(replace(keep, owner=names[keep.owner]) for keep in home.keeps),
        firsts=tuple((what, names[owner]) for what, owner in home.firsts),
    )


def mirrored(home: Household) -> Household:
    """Left and right exchanged: the order of the walls, what is measured from the left, slopes, corners."""
    width = {wall.name: wall.width for wall in home.walls}
    starts = {wall.corner: wall.name for wall in home.walls if wall.corner is not None}

    def flipped(box: Box, wall: str) -> Box:
        return replace(box, left=width[wall] - box.left - box.width)

    def stands(bays: tuple[Today, ...]) -> tuple[Today, ...]:
        return tuple(replace(bay, left=width[bay.wall] - bay.left - bay.width) for bay in bays)

    return replace(
        home,
        walls=tuple(
            replace(
                wall, ceilings=wall.ceilings[::-1], corner=starts.get(wall.name),
                boxes=tuple(flipped(box, wall.name) for box in wall.boxes),
            )
            for wall in reversed(home.walls)
        ),
        today=stands(home.today),
        built=stands(home.built),
        must=tuple(replace(bay, left=width[bay.wall] - bay.left - bay.width) for bay in home.must),
    )  # fmt: skip


def _split(home: Household, chance: random.Random) -> tuple[Household, str] | None:
    """A pile in two rows; a stack or a row from front to back holds one pile, so such may take more room."""
    able = [index for index, pile in enumerate(home.piles) if pile.count > 1]
    if not able:
        return None
    index = chance.choice(able)
    pile = home.piles[index]
    first = chance.randint(1, pile.count - 1)
    parts = (replace(pile, count=first), replace(pile, count=pile.count - first))
    is_single = pile.store == "hang" or (pile.store == "stand" and pile.most == home.wishes.rows_deep == 1)
    piles = (*home.piles[:index], *parts, *home.piles[index + 1 :])
    return replace(home, piles=piles), "same" if is_single else "at most"


def _wider(home: Household, chance: random.Random) -> tuple[Household, str] | None:
    """An inch more at the right end of a wall; under a slope it would change every height."""
    able = [index for index, wall in enumerate(home.walls) if wall.ceilings[0] == wall.ceilings[1]]
    if not able:
        return None
    walls, index = list(home.walls), chance.choice(able)
    walls[index] = replace(walls[index], width=walls[index].width + INCH)
    return replace(home, walls=tuple(walls)), "at least"


Interval = tuple[int, int]
"""What is stored, and the most that could be."""


def contradiction(relation: str, one: Interval, other: Interval) -> bool:
    """Whether the interval of a variant cannot be true beside that of the household."""
    tests: dict[str, Callable[[], bool]] = {
        "same": lambda: other[0] > one[1] or one[0] > other[1],
        "at least": lambda: one[0] > other[1],
        "at most": lambda: other[0] > one[1],
    }
    return tests[relation]()
