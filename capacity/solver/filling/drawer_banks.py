"""Banks of drawers that are wished for: drawers of one height in a bay that must be, from its bottom panel up.

The rule. A bank is filled first, as well as possible: of the things kept in drawers it takes what is worth most
together; what finds no place there goes into other drawers. Over the bank the bay is open to whatever the
search makes of it, except further drawers. To the search the bank is a part of the wall where nothing may be built,
and its things are stored already; `wall_parts` puts both together again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from capacity.layout.fit_rules import filling_violations
from capacity.layout.layout import Bay, Layout, Opening, WallLayout, without_surplus
from capacity.layout.problem import FixedBay, OpeningKind, Problem
from capacity.solver.effort import Effort

BANK_RULE = (
    "A bank of drawers that is wished for is filled first, as well as possible; what finds no place in it goes into "
    "other drawers. Its bay has no drawers besides."
)


@dataclass(frozen=True, slots=True)
class Bank:
    """The drawers of one bay that must be, from the lowest up, with what they hold."""

    bay: FixedBay
    drawers: tuple[Opening, ...]

    @property
    def pieces(self) -> dict[int, int]:
        """Pieces of each row that it holds."""
        found: dict[int, int] = {}
        for opening in self.drawers:
            for item in opening.holds:
                found[item.row] = found.get(item.row, 0) + item.count
        return found


def fill_banks(problem: Problem, effort: Effort, start: Layout | None = None) -> tuple[Bank, ...]:
    """Every bank that is wished for, filled by the rule; what its drawers hold in `start` is the first answer."""
    from capacity.solver.filling.exact import fill  # takes a second: whoever only reads a folder does without

    wished = [item for item in problem.fixed if item.drawers]
    if not wished:
        return ()
    walls = tuple(
        WallLayout(
            run.name,
            tuple(
                Bay(item.left, item.width, item.depth, drawers_of(problem, item))
                for item in wished
                if item.run == index
            ),
        )
        for index, run in enumerate(problem.runs)
    )
    only = tuple(
        replace(thing, count=thing.count if thing.opening_kind is OpeningKind.DRAWER else 0) for thing in problem.things
    )
    drawers, empty = replace(problem, things=only), Layout(walls, (True,) * len(problem.corners))
    held = empty if start is None else _held_again(drawers, empty, start)
    filled = fill(drawers.as_given, held, effort).layout  # they have the height that is wished for
    return tuple(
        Bank(item, next(bay.openings for bay in filled.walls[item.run].bays if bay.left == item.left))
        for item in wished
    )


def _held_again(problem: Problem, banks: Layout, start: Layout) -> Layout:
    """Banks with what the same drawers hold in another layout and is still owned; empty where that is wrong."""
    held = {
        (w, bay.left, opening.bottom, opening.height): opening.holds
        for w, _, _, bay, opening in start.openings()
        if opening.kind is OpeningKind.DRAWER
    }
    contents = {
        (w, b, o): held.get((w, bay.left, opening.bottom, opening.height), ())
        for w, b, o, bay, opening in banks.openings()
    }
    again = without_surplus(problem, banks.holding(contents))
    return banks if filling_violations(problem, again) else again


def drawers_of(problem: Problem, item: FixedBay) -> tuple[Opening, ...]:
    """The empty drawer openings of a bank, from the bottom panel up."""
    each = item.drawer_height + problem.rules.panel
    return tuple(
        Opening(OpeningKind.DRAWER, problem.rules.base + number * each, item.drawer_height)
        for number in range(item.drawers)
    )
