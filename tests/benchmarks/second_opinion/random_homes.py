"""Random households, tiny enough to be solved exactly, that mix every rule and every wish."""

from __future__ import annotations

import random
from collections.abc import Container
from dataclasses import replace
from fractions import Fraction
from typing import Any

from second_opinion.household import (
    AUTO,
    INCH,
    WISHES,
    Box,
    Household,
    Keep,
    Must,
    Old,
    Pile,
    Today,
    Wall,
    Wishes,
    with_firsts,
)
from second_opinion.judge import given_openings, head_over

QUARTER = INCH // 4
KINDS = {
    "stand": ("handbag", "hat", "sneakers", "storage bin", "suitcase"),
    "stack": ("jeans", "sweater", "blanket", "sheet set"),
    "hang": ("shirt", "coat", "skirt"), "drawer": ("socks", "scarf"),
}  # fmt: skip
NAMES = ("left", "back", "right")


def random_home(seed: int, known: Container[str] = WISHES) -> Household:
    """The household of a seed; wishes that are not `known` are off."""
    chance = random.Random(f"adversary {seed}")
    top = chance.randint(18, 44)
    thick = chance.choice((2 * QUARTER, 3 * QUARTER, 23 * INCH // 32, 4 * QUARTER))
    wishes = Wishes(
        toe_kick=chance.choice((0, 2, 3)) * INCH, gap=chance.choice((0, 1, 1)) * INCH,
        hang_allowance=chance.choice((3, 4)) * INCH, min_bay=chance.choice((8, 10, 12)) * INCH,
        max_shelf=chance.choice((16, 24)) * INCH, max_rod=chance.choice((14, 20, 30)) * INCH,
        rows_deep=chance.choice((1, 1, 2, 3)), corner_access=chance.choice((0, 4, 8)) * INCH,
        owners_apart=chance.random() < 0.35, keep_bays=False,
        spare=chance.choice((Fraction(0), Fraction(0), Fraction(1, 4), Fraction(1, 5))), budget=0,
    )  # fmt: skip
    piles = tuple(_pile(chance, top) for _ in range(chance.choice((2, 3, 3, 4, 4, 5))))
    walls = _walls(chance, top, chance.choice((1, 1, 1, 2, 2, 3)))
    home = Household(
        "mm" if seed % 3 == 0 else "in",
        top * INCH,
        max(top * INCH, *(max(wall.ceilings) for wall in walls)),
        thick,
        chance.choice((40, 60)),
        piles,
        walls,
        (),
        wishes,
    )
    home = _knife_edge(chance, home)
    if chance.random() < 0.5:
        home = replace(home, today=_today(chance, home))
    home = _decided(chance, _plain_to_build(random.Random(f"plain {seed}"), home, known))
    home = _two_ways(random.Random(f"ways {seed}"), _whole_bays(random.Random(f"whole {seed}"), home))
    after = random.Random(f"built {seed}")
    home = replace(home, built=_today(after, home)) if after.random() < 0.25 else home
    home = replace(home, age=4) if random.Random(f"reach {seed}").random() < 0.3 else home
    return with_firsts(home, _firsts(random.Random(f"first {seed}"), home)) if "must" in known else home


def _two_ways(chance: random.Random, home: Household) -> Household:
    """In every other household some of what is folded may lie on shelves or in drawers, by the piece."""

    def drawn(pile: Pile) -> Pile:
        if pile.what not in KINDS["stack"] or chance.random() < 0.4:
            return pile
        return replace(pile, also="stack" if pile.store == "drawer" else "drawer")

    return replace(home, piles=tuple(map(drawn, home.piles))) if chance.random() < 0.5 else home


def _firsts(chance: random.Random, home: Household) -> tuple[tuple[str | None, str | None], ...]:
    """What must have a place, in one of five households: a pile's kind, its owner, or both."""
    if chance.random() > 0.2:
        return ()
    pile = min(chance.sample(home.piles, 2), key=lambda pile: pile.height + pile.drop)  # else most are refused
    return (
        chance.choice([(pile.what, None), (pile.what, pile.owner), (None if pile.owner else pile.what, pile.owner)]),
    )


def _plain_to_build(chance: random.Random, home: Household, known: Container[str]) -> Household:
    """The wishes that bind only what is built anew: in two of five households, half of them each."""
    drawn = {
        "play": chance.choice((QUARTER, QUARTER // 2)), "least_opening": chance.choice((2, 4, 6)) * INCH,
        "least_drawer": chance.choice((3, 4, 6)) * INCH, "highest_drawer": chance.randint(10, 30) * INCH,
        "round": chance.choice((INCH // 16, INCH // 8, 320)), "pitch": chance.choice((AUTO, AUTO, 5 * INCH // 4, INCH)),
    }  # fmt: skip
    has_some = chance.random() < 0.4
    wishes = home.wishes
    for name, length in drawn.items():
        if chance.random() < 0.5 and has_some and name in known:
            made: dict[str, Any] = {name: length}
            wishes = replace(wishes, **made)
    return replace(home, wishes=wishes)


def _pile(chance: random.Random, top: int) -> Pile:
    """One pile on quarters of an inch, now and then a tick more; lengths in quarters until the last lines."""
    store = chance.choice(("stand", "stand", "stack", "stack", "hang", "drawer", "drawer"))
    count = chance.randint(1, 4) + (chance.randint(0, 4) if store in ("stack", "drawer") else 0)
    what = chance.choice(KINDS[store])
    if store == "drawer" and chance.random() < 0.3:
        what = chance.choice(KINDS["stack"])
    use, owner = chance.choice(("daily", "weekly", "seasonal")), chance.choice(("Ada", "Ben", None))
    more = chance.choice((0, 0, 0, 1))
    if store == "hang":
        # every third garment is so long that it hangs from the floor or not at all
        longest = 4 * top - 20
        drop = longest - chance.randint(0, 16) if chance.random() < 0.33 else chance.randint(20, max(25, longest // 2))
        return Pile(what, count, use, store, owner, drop=drop * QUARTER + more, rod=chance.randint(6, 24) * QUARTER)
    height = chance.randint(12, 56) if store == "stand" else chance.randint(2, 14)
    width, depth = chance.randint(14, 46), chance.randint(16, 62)
    return Pile(what, count, use, store, owner, width * QUARTER, depth * QUARTER, height * QUARTER + more)


def _walls(chance: random.Random, top: int, number: int) -> tuple[Wall, ...]:
    walls = []
    for index in range(number):
        width, ceiling = chance.randint(16, 38 - 4 * (number - 1)), top + chance.choice((-4, 0, 0, 3, 8, 12))
        right = ceiling - chance.randint(4, 12) if chance.random() < 0.2 else ceiling
        ends = [ceiling, right]
        chance.shuffle(ends)
        boxes = []
        if chance.random() < 0.25:
            left, bottom = chance.randint(2, width - 8), chance.randint(0, top - 6)
            high = min(chance.randint(4, 12), min(ends) - bottom)
            boxes.append(Box(*(n * INCH for n in (left, chance.randint(3, 6), bottom, max(2, high)))))
        has_corner = index + 1 < number and chance.random() < 0.75
        walls.append(
            Wall(
                NAMES[index], width * INCH, chance.choice((8, 11, 13, 15, 15, 18)) * INCH,
                (ends[0] * INCH, ends[1] * INCH), NAMES[index + 1] if has_corner else None, tuple(boxes),
            )
        )  # fmt: skip
    return tuple(walls)


def _knife_edge(chance: random.Random, home: Household) -> Household:
    """Half of them: the top or a wall just takes what may stand there, or is a tick short of it."""
    off = chance.choice((0, 0, -1, 1))
    if chance.random() < 0.25:
        needs = [_need(chance, home, pile) for pile in chance.sample(home.piles, min(2, len(home.piles)))]
        top = home.wishes.toe_kick + home.thick + sum(need + home.thick for need in needs) + off
        if 16 * INCH <= top <= min(min(wall.ceilings) for wall in home.walls):
            home = replace(home, top=top)
    if chance.random() < 0.35:
        index = chance.randrange(len(home.walls))
        bays = [
            max(home.wishes.min_bay, sum(_side(chance, pile) * chance.choice((1, 1, 2)) for pile in some))
            for some in (chance.sample(home.piles, chance.choice((1, 2))) for _ in range(chance.choice((1, 2))))
        ]
        width = sum(bays) + (len(bays) + 1) * home.thick + off
        boxes = home.walls[index].boxes
        if 14 * INCH <= width <= 40 * INCH and all(box.left + box.width <= width for box in boxes):
            walls = list(home.walls)
            walls[index] = replace(walls[index], width=width)
            home = replace(home, walls=tuple(walls))
    return home


def _need(chance: random.Random, home: Household, pile: Pile) -> int:
    """Clear height that an opening for a pile may have."""
    if pile.store == "hang":
        return pile.drop + home.wishes.hang_allowance
    high = chance.randint(1, min(pile.count, max(1, pile.most)))
    return pile.height * high + (5 * QUARTER if pile.store == "drawer" else home.wishes.gap)


def _side(chance: random.Random, pile: Pile) -> int:
    return pile.rod if pile.store == "hang" else chance.choice((pile.width, pile.width, pile.depth))


def _today(chance: random.Random, home: Household) -> tuple[Today, ...]:
    bays: list[Today] = []
    for wall in home.walls:
        left = chance.randint(0, 3) * INCH
        for _ in range(chance.choice((0, 1, 1, 2))):
            width = chance.randint(24, 80) * QUARTER
            if left + width > wall.width:
                break
            openings, bottom = [], chance.choice((0, 0, 3)) * INCH
            ceiling = min(wall.ceilings)
            for _ in range(chance.randint(1, 4)):
                height = chance.randint(16, 100) * QUARTER + chance.choice((0, 0, 1))
                kind = chance.choice(("shelf", "shelf", "hang", "drawer"))
                if bottom + height > ceiling:
                    break
                openings.append(Old(kind, bottom, height))
                bottom += height + home.thick
            depth = chance.choice((wall.depth, wall.depth, 10 * INCH, 12 * INCH))
            bays.append(Today(wall.name, left, width, depth, tuple(openings)))
            left += width + home.thick
    return tuple(bay for bay in bays if bay.openings)


def _decided(chance: random.Random, home: Household) -> Household:
    """What the household may have decided: today's bays kept, or bays and banks that must be, things kept, a budget."""
    if home.today and chance.random() < 0.25:
        home = replace(home, wishes=replace(home.wishes, keep_bays=True))
    elif chance.random() < 0.6:
        home = replace(home, must=_must(chance, home))
    if len(home.walls) > 1 and chance.random() < 0.3:
        owner, what = chance.choice((("Ada", None), ("Ada", None), (None, home.piles[0].what)))
        if owner is None or any(pile.owner == owner for pile in home.piles):
            wall = chance.choice(home.walls).name
            home = replace(home, keeps=(Keep(wall, owner, what, chance.random() < 0.4),))
    if chance.random() < 0.25:
        home = replace(home, wishes=replace(home.wishes, budget=chance.randint(6, 60)))
    return home


def _must(chance: random.Random, home: Household) -> tuple[Must, ...]:
    """One or two bays that must be, most of them banks; a panel, two, or room for bays between them."""
    found: list[Must] = []
    wishes, thick = home.wishes, home.thick
    for wall in home.walls:
        if found and chance.random() < 0.6:
            continue
        start = thick + chance.choice((0, 0, 1, 4, 9, 12)) * INCH
        for _ in range(chance.choice((1, 1, 2))):
            is_bank = chance.random() < 0.7 and wall.depth >= 11 * INCH  # the shortest slide
            longest = wishes.max_shelf if is_bank else max(wishes.max_shelf, wishes.max_rod)
            most = min(wall.width - wishes.play - thick - start, longest)
            if most < wishes.min_bay:
                break
            width = wishes.min_bay + chance.randint(0, (most - wishes.min_bay) // QUARTER) * QUARTER
            bank = _bank(chance, home) if is_bank else (0, 0)
            if all(box.left + box.width < start - thick or start + width + thick < box.left for box in wall.boxes):
                found.append(Must(wall.name, start, width, *bank))
            start += width + chance.choice((thick, 2 * thick, wishes.min_bay + 2 * thick, wishes.min_bay + 4 * INCH))
    return tuple(sorted(found, key=lambda must: must.count > 0))


def _whole_bays(chance: random.Random, home: Household) -> Household:
    """Half of the bays that must be, banks aside, say what they are, or begin higher than on the floor."""
    made = []
    for must in home.must:
        wall, wishes, base = home.walls[home.wall(must.wall)], home.wishes, home.wishes.toe_kick + home.thick
        room = head_over(home, wall, must.left, must.left + must.width) - home.thick
        over, low = min(wishes.hang_allowance * 15 // 16, 4 * INCH), base + wishes.hang_allowance
        ways: list[dict[str, Any]] = [{}]
        if must.width <= wishes.max_shelf:
            ways.append({"kind": "shelf"})
            drawers = replace(must, kind="drawer")
            ways += [{"kind": "drawer"}] if wall.depth >= 11 * INCH and given_openings(home, drawers) else []
        if must.width <= wishes.max_rod and wall.depth >= 12 * INCH:
            ways.append({"kind": "hang"})
            ways += [{"rods": (room - over,)}] if room - over >= low else []
        way = chance.choice(ways) if not must.count else {}
        if not must.count and way.get("kind") != "drawer" and "rods" not in way and chance.random() < 0.5:
            bottom = wishes.toe_kick + chance.randint(0, 6) * INCH
            is_high = bottom + home.thick + max(INCH, wishes.least_opening) > room
            way = way if is_high or not bottom else {**way, "bottom": bottom}
        made.append(replace(must, **way))
    walls = tuple(
        replace(wall, boxes=(*wall.boxes, *(box for must in made if must.wall == wall.name for box in must.kept_free)))
        for wall in home.walls
    )
    return replace(home, must=tuple(made), walls=walls)


def _bank(chance: random.Random, home: Household) -> tuple[int, int]:
    """Drawers, and the clear height of each: what a pile needs, or a quarter less, or any."""
    inside = [pile for pile in home.piles if pile.store == "drawer"]
    height = chance.randint(12, 32) * QUARTER
    if inside and chance.random() < 0.7:
        pile = chance.choice(inside)
        need = pile.height * chance.randint(1, min(3, pile.count)) + 5 * QUARTER
        height = need + chance.choice((0, 0, 0, -1, QUARTER))
    height = max(height, 8 * QUARTER)
    room = home.top - home.wishes.toe_kick - 3 * home.thick
    return max(1, min(chance.choice((1, 1, 2, 3)), room // (height + home.thick))), height
