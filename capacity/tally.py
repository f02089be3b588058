"""What an inventory adds up to: pieces by owner, and the rod and shelf that all of it needs."""

from __future__ import annotations

from dataclasses import dataclass

from capacity.inventory import Inventory
from capacity.kinds import Store
from capacity.units import Units, feet_or_metres


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


def tally_sentence(inventory: Inventory, units: Units) -> str:
    """Pieces, rod length and shelf run in one sentence."""
    room = room_needed(inventory)
    rod, shelf = feet_or_metres(room.rod, units), feet_or_metres(room.shelf, units)
    return f"{inventory.pieces} pieces counted; they need {rod} of rod and {shelf} of shelf."
