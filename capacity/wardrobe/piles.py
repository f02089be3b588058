"""A pile: so many equal things of the inventory, and how often they are used."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from capacity.wardrobe.kinds import Store
from capacity.wardrobe.piece_dimensions import Shape

MOST_PIECES = 9_999
"""Pieces in one pile."""


class Use(StrEnum):
    """How often a pile is used; sets what one of its pieces counts."""

    DAILY = "daily"
    WEEKLY = "weekly"
    SEASONAL = "seasonal"

    @property
    def value_per_piece(self) -> int:
        """What one stored piece counts: daily 3, weekly 2, seasonal 1."""
        return {Use.DAILY: 3, Use.WEEKLY: 2, Use.SEASONAL: 1}[self]


@dataclass(frozen=True, slots=True)
class Pile:
    """One row of the inventory: so many pieces of one kind, size and owner.

    `row` is the 1-based data row of the file, the header not counted. `shape` is one piece as it is stored
    in the way `store`, with the measured values put in where there are any. `seasons` are those in which it is used, in
    lower case; none for the whole year. `others` are further ways in which each piece may be stored as well, with its
    shape then.
    """

    row: int
    kind: str
    family: str
    count: int
    size: str
    owner: str | None
    use: Use
    store: Store
    shape: Shape
    label: str
    seasons: tuple[str, ...] = ()
    others: tuple[tuple[Store, Shape], ...] = ()
    in_drawers_too: bool = False
    """Whether it may lie in drawers as well where there must be any: its kind usually does, and no way was written."""

    @property
    def ways(self) -> tuple[tuple[Store, Shape], ...]:
        """Every way in which a piece may be stored, with its shape, the first one first."""
        return ((self.store, self.shape), *self.others)

    @property
    def name(self) -> str:
        """What a person calls the pile: `Ann's jeans 34x32`, and its label if it has one."""
        words = f"{self.owner}'s {self.kind}" if self.owner else self.kind
        words = f"{words} {self.size}" if self.size else words
        return f"{words} ({self.label})" if self.label else words
