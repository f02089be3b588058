"""The tally against figures worked out by hand."""

from __future__ import annotations

from capacity.inventory import parse_inventory
from capacity.tally import room_needed, tally_sentence

INCH = 8128


def test_rod_and_shelf_add_up() -> None:
    text = (
        "what,count,store,width,depth,height,drop,rod\n"
        "storage bin,3,stand,10,12,8,,\n"
        "blanket,5,stack,14,15,5,,\n"
        "shirt,4,hang,,,,36,1 1/2\n"
        "socks,9,,,,,,\n"
    )
    inventory = parse_inventory(text, "in")
    most = inventory.pile(2).shape.most
    room = room_needed(inventory)
    # by hand: 4 x 1 1/2 in of rod; 3 x 10 in of bins, and ceil(5 / most) stacks of 14 in; drawers take neither
    assert room.rod == 6 * INCH
    assert room.shelf == (30 + 14 * -(-5 // most)) * INCH
    assert tally_sentence(inventory, "in").startswith("21 pieces counted; they need 0.5 ft of rod and ")
