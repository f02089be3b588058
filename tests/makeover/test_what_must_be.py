"""What bays that must be are prescribed, and whether it stays the same under another top."""

from __future__ import annotations

import pytest
from support.cases import INCH, one_wall

from capacity.closet.closet import parse_closet
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.what_must_be import prescribes_the_same
from capacity.wardrobe.inventory import parse_inventory

INVENTORY = parse_inventory("what,count\nsocks,2\n", "in")
BAY = '[[wishes.bay]]\nwall = "back"\nleft = 1\nwidth = 24\n'


@pytest.mark.parametrize(
    ("wish", "higher", "is_same"),
    [
        (BAY + 'kind = "drawer"\n', 2, True),  # two of 7 1/4 with an opening over them, as under 30 in
        (BAY + 'kind = "drawer"\n', 6, False),
        (BAY + "rod = [20]\n", 2, True),  # over a rod at 20 in no more is needed than is there
        (BAY + "rod = [28]\n", 2, False),  # over one at 28 in the top panel is in the way
        (BAY + 'kind = "shelf"\n', 6, True),
        ('[[wishes.drawers]]\nwall = "back"\nleft = 1\nwidth = 24\ncount = 3\n', 6, True),
    ],
)
def test_a_higher_top_may_prescribe_more_drawers_or_longer_openings(wish: str, higher: int, is_same: bool) -> None:
    """Counted by hand: drawers take 7 31/32 in each with the panel over them, from 3 23/32 in up."""
    texts = (one_wall(60, 16).replace("top = 84", f"top = {top}") + wish for top in (30, 30 + higher))
    one, other = (size_problem(parse_closet(text), INVENTORY) for text in texts)
    assert prescribes_the_same(one, one.top + higher * INCH) is is_same
    assert ([item.prescribed for item in one.fixed] == [item.prescribed for item in other.fixed]) is is_same
