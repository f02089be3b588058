"""What is done with what stands: boards that go to other holes, and what moves when a season turns."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from string import ascii_uppercase
from typing import Any

from second_opinion.exact_model import FillingModel
from second_opinion.household import INCH, MM, Household, Pile
from second_opinion.judge import Layout, filling_faults, read_layout, stored_in, value_of
from second_opinion.later_goals import bays_of
from second_opinion.refill_faults import standing_faults

Moves = Mapping[tuple[int, int, int], int]
"""Rows up of each board, by wall, bay and the opening under it, from 0."""


Step = tuple[Moves, list[dict[str, Any]], int, int]
"""Boards that move, the walls with them moved and filled, pieces and value."""

Places = Counter[tuple[int, str] | None]
"""Pieces by lettered opening (index of the wall and letter); None is another place."""

Turned = tuple[list[tuple[str, list[dict[str, Any]]]], list[dict[int, tuple[Places, Places]]]]
"""The walls of each season by its name, and for each turn, the last to the first season, what leaves and comes where
by data row."""


def a_year_later(home: Household, layout: Layout, seed: int) -> Household:
    """The household with the layout built, when some piles have grown, in number or size."""
    chance = random.Random(f"later {seed}")

    def grown(pile: Pile) -> Pile:
        more = chance.choice((0, 0, 1, 2, 4)) * INCH // 2
        length = {"drop": pile.drop + more} if pile.store == "hang" else {"height": pile.height + more}
        return replace(pile, count=pile.count + chance.choice((0, 0, 1, 2)), first=0, **length)

    piles = tuple(map(grown, home.piles))
    return replace(home, piles=piles, firsts=(), built=bays_of(home, layout))


def respace_faults(home: Household, steps: Sequence[Step]) -> Iterator[str]:
    """Everything in which boards that move are wrong: which, whereto, what then has a place, and what it is worth.

    Each step has more boards and more value than the one before it.
    """
    pitch = home.wishes.pitch if home.wishes.pitch > 0 else 5 * INCH // 4 if home.units == "in" else 32 * MM
    before = (0, -1, -1)
    for moves, walls, stored, value in steps:
        layout = read_layout(walls, home.units)
        yield from filling_faults(home, layout)
        yield from _board_faults(home, layout, moves, pitch)
        if (stored, value) != (sum(stored_in(layout).values()), value_of(home, layout)):
            yield f"{stored} pieces worth {value}, not {sum(stored_in(layout).values())} and {value_of(home, layout)}"
        if not (len(moves) >= before[0] and value > before[2]):
            yield f"{len(moves)} boards for {value}, {before[0]} for {before[2]}"
        before = (len(moves), stored, value)


def _board_faults(home: Household, layout: Layout, moves: Moves, pitch: int) -> Iterator[str]:
    """Whether every board is where it stood or so many holes off; beside drawers and blocked parts it is fixed."""
    if any(not rows for rows in moves.values()):
        yield f"a board that does not move: {dict(moves)}"
    for w, (wall, bays) in enumerate(zip(home.walls, layout, strict=True)):
        stood = sorted((bay for bay in home.standing if bay.wall == wall.name), key=lambda bay: bay.left)
        if [(bay.left, bay.width, bay.depth) for bay in bays] != [(bay.left, bay.width, bay.depth) for bay in stood]:
            yield f"other bays on wall {wall.name}"
            continue
        for b, (bay, old) in enumerate(zip(bays, stood, strict=True)):
            shifts = [0, *(moves.get((w, b, o), 0) * pitch for o in range(len(old.openings)))]
            wanted = [
                (one.kind, one.bottom + shifts[o], one.height + shifts[o + 1] - shifts[o])
                for o, one in enumerate(old.openings)
            ]
            if [(o.kind, o.bottom, o.height) for o in bay.openings] != wanted or shifts[-1]:
                yield f"wall {wall.name}, bay {b + 1}: {bay.openings}, not {wanted}"
            yield from (
                f"wall {wall.name}, bay {b + 1}: the board over {o} lies beside a drawer or a blocked part"
                for o, (one, other) in enumerate(pairwise(old.openings))
                if shifts[o + 1]
                and ("drawer" in (one.kind, other.kind) or other.bottom - one.bottom - one.height >= 2 * home.thick)
            )


# ---- seasons ------------------------------------------------------------------------------------------


def drawn_seasons(home: Household, seed: int) -> tuple[str, ...]:
    """A season for some of the piles, by chance; two at least."""
    chance = random.Random(f"seasons {seed}")
    drawn = [chance.choice(("winter", "summer", "", "")) for _ in home.piles]
    drawn[:2] = ["winter", "summer"]
    return tuple(drawn)


def in_season(home: Household, seasons: Sequence[str], name: str) -> Household:
    """The household with the use that its piles have in a season: what rests is seasonal, what is worn then weekly."""
    uses = (
        pile.use if not own else "seasonal" if own != name else "weekly" if pile.use == "seasonal" else pile.use
        for pile, own in zip(home.piles, seasons, strict=True)
    )
    piles = (replace(pile, use=use, first=0) for pile, use in zip(home.piles, uses, strict=True))
    return replace(home, piles=tuple(piles), firsts=())


def season_faults(
    home: Household,
    seasons: Sequence[str],
    found: Sequence[tuple[str, list[dict[str, Any]]]],
    moved: Sequence[Mapping[int, tuple[Places, Places]]],
    seconds: float,
    counted: Counter[str],
) -> Iterator[str]:
    """Everything in which the turn of seasons is wrong.

    `seasons` has the season of each pile, empty where it is used all year; `counted` takes how many seasons were looked
    at, and how many of them store the most that they could.
    """
    layouts = [(name, read_layout(walls, home.units)) for name, walls in found]
    for name, walls in found:
        mine = in_season(home, seasons, name)
        yield from (f"{name}: {fault}" for fault in standing_faults(mine, home.standing, walls, home.units))
    if layouts:
        mine = in_season(home, seasons, layouts[0][0])
        most = FillingModel(replace(mine, today=home.standing)).program.solve(seconds)
        counted["season"] += 1
        counted["season stores the most"] += most.is_proven and most.value == value_of(mine, layouts[0][1])
        if most.is_proven and most.value is not None and most.value < value_of(mine, layouts[0][1]):
            yield f"{layouts[0][0]}: more than the most, {most.value}"
    for number, ((ends, old), changes) in enumerate(zip(layouts, moved, strict=False)):
        begins, new = layouts[(number + 1) % len(layouts)]
        mine = in_season(home, seasons, begins)
        here, there = _places(home, old), _places(home, new)
        wanted = {
            row: (+(here[row] - there[row]), +(there[row] - here[row])) for row in here if here[row] != there[row]
        }
        if dict(changes) != wanted:
            yield f"{ends} to {begins}: {dict(changes)}, not {wanted}"
        for row in wanted if number + 1 < len(layouts) else ():
            own = seasons[row - 1]
            if not own or (own == ends) is (own == begins):
                yield f"{ends} to {begins}: row {row} moves and its use does not change"
        if number + 1 < len(layouts) and value_of(mine, new) < value_of(mine, old):
            yield f"{ends} to {begins}: worth {value_of(mine, new)}, {value_of(mine, old)} if nothing moved"


def _places(home: Household, layout: Layout) -> dict[int, Places]:
    """By data row how many pieces lie in which lettered opening."""
    found: dict[int, Places] = {row: Counter({None: pile.count}) for row, pile in enumerate(home.piles, 1)}
    for w, bays in enumerate(layout):
        letters = iter(ascii_uppercase)
        for bay in bays:
            for opening in bay.openings:
                letter = next(letters)
                for row, count, _ in opening.holds:
                    found[row][w, letter] += count
                    found[row][None] -= count
    return {row: +places for row, places in found.items()}
