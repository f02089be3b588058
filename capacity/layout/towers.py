"""Towers: the ways in which one pile can stand in an opening, and the heights worth building.

In an opening of one kind and depth every pile is a stock of equal columns side by side. A tower says how wide
one column is, how high the opening must be for it, and how many pieces it holds. Standing things, stacks,
garments on a rod and drawer stacks differ only in how their towers are made, so that filling and design treat
all of them alike. A pile has one tower for each number of pieces in a stack, and one for each turning that is
not worse in every respect.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from capacity.layout.drawer_rule import DRAWER_HEIGHT, DRAWER_SIDES, DRAWER_STACK, drawer_depth
from capacity.layout.problem import HANG_DEPTH, OpeningKind, Problem, Rules, Site, Thing
from capacity.wardrobe.kinds import Store


@dataclass(frozen=True, slots=True)
class Tower:
    """One column of one class of things; lengths in ticks.

    `group` is the index of the things that it stands for; `need` is the least clear height of
    an opening that takes it, as it is built (`Rules.built`); `pieces` the most that one column holds.
    """

    group: int
    kind: OpeningKind
    turned: bool
    width: int
    need: int
    pieces: int


@dataclass(frozen=True, slots=True)
class Group:
    """Things that are alike in everything but their row (and their owner, where owners do not matter)."""

    members: tuple[int, ...]
    count: int
    value: int
    owner: str | None


def groups_of(problem: Problem, counts: Iterable[int] | None = None) -> tuple[Group, ...]:
    """Join equal things; `counts` replaces the things' own counts, in their order.

    Joining changes neither what fits nor its value; it spares every search the choice between equals.
    """
    return _groups(problem, tuple(thing.count for thing in problem.things) if counts is None else tuple(counts))


@lru_cache(maxsize=64)
def _groups(problem: Problem, numbers: tuple[int, ...]) -> tuple[Group, ...]:
    alike: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for index, thing in enumerate(problem.things):
        owner = thing.owner if problem.rules.owners_apart else None
        if thing.store is Store.HANG:
            sizes: tuple[int, ...] = (thing.drop, thing.rod)
        else:
            sizes = (thing.width, thing.depth, thing.height, thing.most)
        # a stack or a row holds one pile, so only piles that stand or hang one beside the other are joined
        is_alone = thing.store is Store.STAND and thing.most == problem.rules.rows_deep == 1
        single = (thing.store is Store.HANG or is_alone) and not thing.also
        barred = tuple(thing.row in run.barred for run in problem.runs)
        alike[(thing.store, sizes, thing.value, owner, barred, None if single else index)].append(index)
    return tuple(
        Group(
            members=tuple(members),
            count=sum(numbers[index] for index in members),
            value=problem.things[members[0]].value,
            owner=problem.things[members[0]].owner if problem.rules.owners_apart else None,
        )
        for members in alike.values()
    )


def each_alone(problem: Problem) -> tuple[Group, ...]:
    """Every thing as a group of its own, in their order: none is joined, and each keeps its owner."""
    return tuple(Group((index,), thing.count, thing.value, thing.owner) for index, thing in enumerate(problem.things))


@lru_cache(maxsize=64)
def towers_of(problem: Problem, groups: tuple[Group, ...], spot: Site) -> tuple[Tower, ...]:
    """All towers worth having in the openings of one spot, by group."""
    rules = (problem.as_given if spot.is_prescribed else problem).rules
    return tuple(
        tower
        for index, group in enumerate(groups)
        if problem.things[group.members[0]].row not in spot.barred
        for way in problem.things[group.members[0]].ways
        for tower in _towers(index, way, rules, spot.depth)
    )


def room_of(rules: Rules, kind: OpeningKind, width: int) -> int:
    """What the widths of the columns in an opening may add up to [ticks]: rules 6, 7, 8 and 12."""
    inside = width - DRAWER_SIDES if kind is OpeningKind.DRAWER else width
    spare = rules.spare
    return max(0, inside) * (spare.denominator - spare.numerator) // spare.denominator


def columns_needed(count: int, pieces_high: int, rows: int) -> int:
    """Columns that a pile takes: ceil(ceil(count / high) / rows), rules 4 and 5."""
    stacks = -(-count // pieces_high)
    return -(-stacks // rows)


def _towers(group: int, thing: Thing, rules: Rules, depth: int) -> list[Tower]:
    kind = thing.opening_kind
    if thing.store is Store.HANG:
        need = rules.built(kind, thing.drop + rules.hang_allowance)
        return [Tower(group, kind, False, thing.rod, need, 1)] if depth >= HANG_DEPTH else []
    is_drawer = thing.store is Store.DRAWER
    inside = drawer_depth(depth) if is_drawer else depth
    turnings: list[tuple[int, int, bool]] = []  # (width, rows, turned)
    for width, deep, turned in ((thing.width, thing.depth, False), (thing.depth, thing.width, True)):
        fitting = inside // deep
        rows = fitting if is_drawer else min(rules.rows_deep, fitting)
        if rows >= 1 and not any(width >= other and rows <= more for other, more, _ in turnings):
            turnings = [turn for turn in turnings if turn[0] < width or turn[1] > rows]
            turnings.append((width, rows, turned))
    if not is_drawer:
        heights = [(high, high * thing.height + rules.gap) for high in range(1, thing.most + 1)]
    else:
        most = max(1, DRAWER_STACK // thing.height)
        heights = [(high, high * thing.height + DRAWER_HEIGHT) for high in range(1, most + 1)]
    built = {rules.built(kind, need): high for high, need in heights}  # of those of one height the highest stack
    return [
        Tower(group, kind, turned, width, need, high * rows)
        for width, rows, turned in turnings
        for need, high in built.items()
    ]


def best_towers(towers: Iterable[Tower], kind: OpeningKind, height: int) -> tuple[Tower, ...]:
    """The towers that an opening of this kind and clear height takes, the tallest of each turning only."""
    best: dict[tuple[int, bool], Tower] = {}
    for tower in towers:
        if tower.kind is kind and tower.need <= height:
            key = (tower.group, tower.turned)
            if key not in best or tower.pieces > best[key].pieces:
                best[key] = tower
    return tuple(best.values())


def candidate_heights(towers: Iterable[Tower], most: int) -> tuple[tuple[OpeningKind, int], ...]:
    """Every (kind, clear height) worth building, at most `most` high [ticks], sorted.

    Lowering an opening to the next height in this list keeps all that stands in it, so no other is needed.
    """
    return tuple(sorted({(tower.kind, tower.need) for tower in towers if tower.need <= most}))
