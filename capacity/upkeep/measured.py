"""What came out differently from the plan: the piles that no longer fit, and the nearest openings that take them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from capacity.closet.closet import Closet
from capacity.drawings.labels import LetteredOpening, lettered
from capacity.layout.layout import Holding, Layout
from capacity.layout.problem import Problem
from capacity.layout.taking_over import taken_over, takes
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
    filled, lost = taken_over(problem, planned, standing_layout(closet))
    was = dict(zip(((w, b, o) for w, b, o, _, _ in planned.openings()), lettered(planned), strict=True))
    return tuple(
        Displaced(
            inventory.pile(holding.row), holding.count, was[place], _nearest(problem, filled, was[place], holding)
        )
        for place, holds in lost.items()
        for holding in holds
    )


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
        and takes(problem, item.wall, item.in_bay, item.opening, (*item.opening.holds, holding), any_way=True)
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
