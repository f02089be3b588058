"""What an inventory adds up to: pieces by owner, and the rod and shelf that all of it needs."""

from __future__ import annotations

from dataclasses import dataclass, replace

from capacity.errors import Fault, InputError
from capacity.units import Units, feet_or_metres
from capacity.wardrobe.inventory import FILE_NAME, Inventory
from capacity.wardrobe.kinds import Store
from capacity.wardrobe.piles import MOST_PIECES


@dataclass(frozen=True, slots=True)
class RoomNeeded:
    """Length of rod, and run of shelf with nothing one behind the other [ticks]."""

    rod: int
    shelf: int


def room_needed(inventory: Inventory) -> RoomNeeded:
    """Rod for everything that hangs; shelf for what stands, and for stacks as high as their kind allows."""
    rod = sum(pile.shape.rod * pile.count for pile in inventory.piles if pile.store is Store.HANG)
    shelf = sum(pile.shape.width * pile.count for pile in inventory.piles if pile.store is Store.STAND)
    stacked = (pile for pile in inventory.piles if pile.store is Store.STACK)
    shelf += sum(pile.shape.width * -(-pile.count // pile.shape.most) for pile in stacked)
    return RoomNeeded(rod, shelf)


def with_count(inventory: Inventory, row: int, count: int) -> Inventory:
    """The inventory with another count in one data row, and nothing else looked at again: a tap must be quick.

    Parameters
    ----------
    inventory
        What stands now; not altered.
    row
        The 1-based data row of a pile.
    count
        Its new count; below 0 is taken as 0, above the most that a pile may have as the most.

    Raises
    ------
    KeyError
        When that row holds no pile.
    InputError
        When nothing at all would be left to store.
    """
    old = inventory.pile(row)
    new = replace(old, count=max(0, min(MOST_PIECES, count)))
    column = [" ".join(name.split()).casefold() for name in inventory.header].index("count")
    cells = list(inventory.cells)
    cells[row - 1] = (*cells[row - 1][:column], str(new.count), *cells[row - 1][column + 1 :])
    piles = tuple(new if pile is old else pile for pile in inventory.piles)
    if not any(pile.count for pile in piles):
        raise InputError([Fault(FILE_NAME, "", "every count would be 0: there would be nothing to store")])
    return replace(inventory, cells=tuple(cells), piles=piles)


def tally_sentence(inventory: Inventory, units: Units) -> str:
    """Pieces, rod length and shelf run in one sentence."""
    room = room_needed(inventory)
    rod, shelf = feet_or_metres(room.rod, units), feet_or_metres(room.shelf, units)
    return f"{inventory.pieces} pieces counted; they need {rod} of rod and {shelf} of shelf."
