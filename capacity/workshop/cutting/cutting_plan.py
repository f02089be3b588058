"""Pieces, stock and cutting layouts as plain records; a checker that saws them again; `least_cost` makes them.

A sheet lies upright: x across its width, y along its length, from the lower left corner. Two stages, as it is cut at
home: the first cuts go from edge to edge and leave strips, the second cuts go across each strip; a piece narrower
than its strip is trimmed last. Sticks are sheets one tick wide. Lengths in ticks.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum


class FirstCut(StrEnum):
    """Which way the first cuts of a sheet go."""

    RIP = "rip"  # along the length: the strips are as long as the sheet
    CROSSCUT = "crosscut"  # across: the strips are as long as the sheet is wide


@dataclass(frozen=True, slots=True)
class Blank:
    """One piece to be cut; `length` lies along the sheet's length unless it `may_turn`."""

    label: str
    length: int
    width: int
    may_turn: bool


@dataclass(frozen=True, slots=True)
class Stock:
    """A size that can be bought; `cost` is a whole number, cents or an area, in which totals are compared.

    So many are `owned` and cost nothing; one that is not sold is only there as often as it is owned.
    """

    name: str
    length: int
    width: int
    cost: int
    owned: int = 0
    is_sold: bool = True


def cost_of(used: Iterable[Stock]) -> int:
    """What a set of sheets costs, those that are owned left out."""
    return sum(max(0, number - stock.owned) * stock.cost for stock, number in Counter(used).items())


@dataclass(frozen=True, slots=True)
class Saw:
    """What a cut takes away, and what is cut off each factory edge first."""

    kerf: int
    trim: int


@dataclass(frozen=True, slots=True)
class PlacedBlank:
    """A piece on a sheet; `across` and `along` are its sizes as it lies."""

    label: str
    x: int
    y: int
    across: int
    along: int
    is_turned: bool


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip between two first cuts: where it begins across the cuts, how wide it is, and its pieces in order."""

    at: int
    size: int
    placed: tuple[PlacedBlank, ...]


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """One sheet and how it is cut."""

    stock: Stock
    first: FirstCut
    strips: tuple[Strip, ...]

    @property
    def placed(self) -> tuple[PlacedBlank, ...]:
        """All pieces on it."""
        return tuple(piece for strip in self.strips for piece in strip.placed)


@dataclass(frozen=True, slots=True)
class CuttingPlan:
    """How everything is cut: the sheets, what they cost, and the least that any two-stage cutting can cost.

    `bound` is proven; the plan is the cheapest when `cost == bound`.
    """

    layouts: tuple[SheetLayout, ...]
    cost: int
    bound: int

    @property
    def is_proven(self) -> bool:
        """Whether nothing cheaper can be cut in two stages."""
        return self.cost == self.bound

    def counts(self) -> Counter[str]:
        """Sheets by name of the stock."""
        return Counter(layout.stock.name for layout in self.layouts)


def cutting_faults(pieces: Sequence[Blank], layouts: Sequence[SheetLayout], saw: Saw) -> Iterator[str]:
    """Everything wrong with a set of layouts, found by sawing them again with no part of the method that made them.

    Each piece must be there once, in its size, with its grain; within the trimmed sheet; and two rounds of cuts of
    one kerf each, from edge to edge, must free every piece.
    """
    wanted = {piece.label: piece for piece in pieces}
    found = Counter(placed.label for layout in layouts for placed in layout.placed)
    for label in sorted(set(wanted) | set(found)):
        if found[label] != 1 or label not in wanted:
            yield f"{label} is cut {found[label]} times"
    for number, layout in enumerate(layouts, 1):
        trim_x = saw.trim if layout.stock.width > 1 else 0
        for placed in layout.placed:
            piece = wanted.get(placed.label)
            size = (placed.along, placed.across)
            if piece is not None and size != (
                (piece.width, piece.length) if placed.is_turned else (piece.length, piece.width)
            ):
                yield f"sheet {number}, {placed.label}: {size} is not its size"
            if piece is not None and placed.is_turned and not piece.may_turn:
                yield f"sheet {number}, {placed.label}: turned against the grain"
            right, upper = placed.x + placed.across, placed.y + placed.along
            if placed.x < trim_x or right > layout.stock.width - trim_x:
                yield f"sheet {number}, {placed.label}: beyond the long edge"
            if placed.y < saw.trim or upper > layout.stock.length - saw.trim:
                yield f"sheet {number}, {placed.label}: beyond the short edge"
        is_rip = layout.first is FirstCut.RIP
        for block in _sawn(layout.placed, is_rip, saw.kerf):
            for rest in _sawn(block, not is_rip, saw.kerf):
                if len(rest) > 1:
                    names = ", ".join(sorted(placed.label for placed in rest))
                    yield f"sheet {number}: two rounds of cuts do not part {names}"


def _sawn(placed: Sequence[PlacedBlank], along_length: bool, kerf: int) -> list[list[PlacedBlank]]:
    """Pieces parted by every straight cut in one direction that has a whole kerf between its two sides."""

    def ends(piece: PlacedBlank) -> tuple[int, int]:
        return (piece.x, piece.x + piece.across) if along_length else (piece.y, piece.y + piece.along)

    blocks: list[list[PlacedBlank]] = []
    reached = 0
    for piece in sorted(placed, key=lambda item: ends(item)):
        low, high = ends(piece)
        if not blocks or low < reached + kerf:
            if not blocks:
                blocks.append([])
        else:
            blocks.append([])
        blocks[-1].append(piece)
        reached = max(reached, high)
    return blocks
