"""The tally against figures worked out by hand."""

from __future__ import annotations

import pytest

from capacity.errors import InputError
from capacity.wardrobe.inventory import parse_inventory, with_cells
from capacity.wardrobe.piles import MOST_PIECES
from capacity.wardrobe.tally import room_needed, tally_sentence, with_count

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


@pytest.mark.parametrize("count", [0, 1, 17, MOST_PIECES])
def test_a_quick_change_of_a_count_is_the_same_as_writing_the_cell(count: int) -> None:
    inventory = parse_inventory('note; COUNT;what\n"a;b";3;sneakers\n;;\n;4;jeans\n', "in")
    assert with_count(inventory, 1, count) == with_cells(inventory, {(1, "count"): str(count)}, "in")


def test_a_quick_change_keeps_to_what_a_pile_may_hold() -> None:
    inventory = parse_inventory("what,count\nsneakers,3\nsocks,0\n", "in")
    assert with_count(inventory, 1, MOST_PIECES + 1).pile(1).count == MOST_PIECES
    assert with_count(inventory, 2, -1).pile(2).count == 0
    with pytest.raises(InputError, match="every count would be 0"):
        with_count(inventory, 1, -5)
    with pytest.raises(KeyError):
        with_count(inventory, 3, 1)
