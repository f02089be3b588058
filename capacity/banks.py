"""Banks of drawers that are wished for: drawers of one height in a bay that must be, from its bottom panel up.

The rule. A bank is filled first, as well as possible: of the things kept in drawers it takes what is worth most
together; what finds no place there goes into other drawers. Over the bank the bay is open to whatever the
search makes of it, except further drawers. To the search the bank is a part of the wall where nothing may be built,
and its things are stored already; `dividing` puts both together again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from capacity.closet import FILE_NAME, Closet
from capacity.drawer_boxes import slide_length
from capacity.effort import Effort
from capacity.errors import Fault
from capacity.inventory import Inventory
from capacity.layout import Bay, Layout, Opening, WallLayout, without_surplus
from capacity.locks import fixed_bays
from capacity.problem import DRAWER_ENDS, DRAWER_HEIGHT, FixedBay, OpeningKind, Problem
from capacity.sizing import size_problem
from capacity.units import Ticks, format_length
from capacity.verify import filling_violations

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
    from capacity.filling import fill  # takes a second: whoever only reads a folder does without

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
    filled = fill(drawers, held, effort).layout
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


def bank_faults(closet: Closet, inventory: Inventory) -> Iterator[Fault]:
    """Banks that cannot be built: too wide for their panels, too low or too shallow a drawer, too high for the wall."""
    problem = size_problem(closet, inventory)
    thick = problem.rules.panel

    def show(length: int) -> str:
        return format_length(Ticks(length), closet.units)

    def fault(number: int, name: str, words: str) -> Fault:
        return Fault(FILE_NAME, f"[[wishes.drawers]] {number}, {name}", words)

    for number, item in enumerate((item for item in fixed_bays(closet) if item.drawers), start=1):
        run = problem.runs[item.run]
        if item.width > problem.rules.max_shelf:
            longest = show(problem.rules.max_shelf)
            yield fault(number, "width", f"{show(item.width)} is more than a shelf may be long, {longest}")
        if item.drawer_height <= DRAWER_HEIGHT:
            words = f"{show(item.drawer_height)} leaves nothing inside; a drawer takes {show(DRAWER_HEIGHT)} for itself"
            yield fault(number, "height", words)
        if slide_length(item.depth) <= DRAWER_ENDS:
            yield fault(number, "wall", f"{show(item.depth)} is too shallow for the slides of a drawer")
            continue
        head = problem.rules.base + item.drawers * (item.drawer_height + thick)
        room = min(problem.top, run.ceiling_over(item.left, item.left + item.width)) - thick
        if head >= room:
            most = max(0, (room - problem.rules.base - 1) // (item.drawer_height + thick))
            words = f"{item.drawers} drawers reach up to {show(head)}, and an opening must be left below {show(room)}"
            yield fault(number, "count", f"{words}: at most {most}")
        for box in run.blocked:
            if item.left - thick < box.right and box.left < item.left + item.width + thick and box.bottom < head:
                yield fault(number, "left", f"the drawers would stand in the blocked part at {show(box.left)}")
