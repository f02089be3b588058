"""What came out differently from the plan: the piles that no longer fit, and the nearest openings that take them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from capacity.closet.closet import Closet
from capacity.drawings.labels import LetteredOpening, lettered
from capacity.layout.layout import Holding, Layout, site_of
from capacity.layout.problem import Problem
from capacity.layout.towers import best_towers, columns_needed, each_alone, room_of, towers_of
from capacity.makeover.files_to_problem import size_problem, standing_layout
from capacity.upkeep.where import place_in_words
from capacity.wardrobe.inventory import Inventory
from capacity.wardrobe.piles import Pile


@dataclass(frozen=True, slots=True)
class Displaced:
    """Pieces of a pile that no longer fit where they were to be, and the nearest opening with room for them, if any."""

    pile: Pile
    count: int
    was: LetteredOpening
    nearest: LetteredOpening | None


def displaced(closet: Closet, inventory: Inventory, planned: Layout) -> tuple[Displaced, ...]:
    """What was to be in an opening that stands otherwise now; openings are told apart by their order in a bay.

    An opening that is too low loses what is too high for it, one that is too narrow what comes last in it. Nearest is
    an opening of the same wall, then by the way along the wall and up; what it is to hold itself stays in it.
    """
    problem = size_problem(closet, inventory).as_given
    built = standing_layout(closet)
    there = dict(zip(((w, b, o) for w, b, o, _, _ in built.openings()), lettered(built), strict=True))
    staying: dict[tuple[int, int, int], tuple[Holding, ...]] = {}
    lost: list[tuple[LetteredOpening, Holding]] = []
    for (w, b, o, _, _), item in zip(planned.openings(), lettered(planned), strict=True):
        now = there.get((w, b, o))
        stays, goes = _parted(problem, item, now)
        staying[w, b, o] = stays
        lost += [(item, holding) for holding in goes]
    filled = built.holding({place: holds for place, holds in staying.items() if place in there})
    found = []
    for item, holding in lost:
        nearest = _nearest(problem, filled, item, holding)
        found.append(Displaced(inventory.pile(holding.row), holding.count, item, nearest))
    return tuple(found)


def _parted(
    problem: Problem, item: LetteredOpening, now: LetteredOpening | None
) -> tuple[tuple[Holding, ...], tuple[Holding, ...]]:
    """What stays in an opening as it is now, in the order of the plan, and what does not."""
    if now is None or now.opening.kind is not item.opening.kind:
        return (), item.opening.holds
    stays: tuple[Holding, ...] = ()
    for holding in item.opening.holds:
        if _takes(problem, item.wall, now, (*stays, holding)):
            stays = (*stays, holding)
    return stays, tuple(holding for holding in item.opening.holds if holding not in stays)


def _takes(problem: Problem, wall: int, item: LetteredOpening, holds: tuple[Holding, ...]) -> bool:
    """Whether an opening has the height and the width for some holdings."""
    towers = towers_of(problem, each_alone(problem), site_of(problem, wall, item.in_bay, 0))
    room, taken = room_of(problem.rules, item.opening.kind, item.in_bay.width), 0
    rows = [thing.row for thing in problem.things]
    for holding in holds:
        fitting = [
            columns_needed(holding.count, tower.pieces, 1) * tower.width
            for tower in best_towers(towers, item.opening.kind, item.opening.height)
            if tower.group == rows.index(holding.row)
        ]
        if not fitting:
            return False
        taken += min(fitting)
    return taken <= room


def _nearest(problem: Problem, filled: Layout, was: LetteredOpening, holding: Holding) -> LetteredOpening | None:
    middle = was.in_bay.left + was.in_bay.width // 2

    def away(item: LetteredOpening) -> tuple[bool, int]:
        along = abs(item.in_bay.left + item.in_bay.width // 2 - middle)
        return item.wall != was.wall, along + abs(item.opening.bottom - was.opening.bottom)

    owner = problem.thing(holding.row).owner
    able = [
        item
        for item in lettered(filled)
        if item.opening.kind is was.opening.kind
        and holding.row not in problem.runs[item.wall].barred
        and (not problem.rules.owners_apart or _owners(problem, item) <= {owner, None})
        and _takes(problem, item.wall, item, (*item.opening.holds, holding))
    ]
    return min(able, key=away, default=None)


def _owners(problem: Problem, item: LetteredOpening) -> set[str | None]:
    """Whose things a bay holds."""
    return {problem.thing(holding.row).owner for opening in item.in_bay.openings for holding in opening.holds}


def displaced_in_words(found: tuple[Displaced, ...], closet: Closet) -> Iterator[str]:
    """One line for each pile and opening."""
    for one in found:
        where = "no other opening has room for them as they lie"
        if one.nearest is not None:
            where = f"the nearest that takes them is {place_in_words(one.nearest, closet)}"
        wall = closet.wall[one.was.wall].name
        yield f"{one.count} x {one.pile.name} no longer fit in {one.was.letter} of wall {wall}; {where}."
