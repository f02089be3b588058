"""Sizes are asked for where the smallest and the largest would change the plan, worked out by hand."""

from __future__ import annotations

import pytest

from capacity.layout.problem import OpeningKind
from capacity.makeover.sizes_wanted import KnownRoom, OpeningSize, size_matters, usual_sizes
from capacity.units import PER_INCH
from capacity.wardrobe.kinds import Store, kinds, parse_kind_size
from capacity.wardrobe.piece_dimensions import shape_of

FREE = KnownRoom(15 * PER_INCH, PER_INCH, 4 * PER_INCH, None)


def test_every_kind_with_sizes_has_a_smallest_and_a_largest_that_can_be_read() -> None:
    for kind in kinds().values():
        ends = usual_sizes(kind)
        assert (ends is None) == (kind.size_system == "none")
        if ends is not None:
            for text in ends:
                parse_kind_size(kind, text)


def test_kinds_without_sizes_are_never_asked() -> None:
    assert not any(size_matters(kinds()[name], kinds()[name].store, 50, None) for name in ("hat", "suitcase", "belt"))


def test_where_nothing_is_measured_every_size_that_changes_the_room_is_asked_for() -> None:
    assert size_matters(kinds()["t-shirt"], Store.STACK, 1, None)


def test_free_openings_ask_where_heights_differ_by_more_than_the_hand_room() -> None:
    tall = kinds()["long dress"]
    assert size_matters(tall, Store.HANG, 1, FREE)
    drops = [shape_of(tall, parse_kind_size(tall, text), Store.HANG).drop for text in ("XS", "XXL")]
    assert drops[1] - drops[0] > PER_INCH
    same = KnownRoom(FREE.depth, drops[1] - drops[0], FREE.hang_allowance, None)
    assert not size_matters(tall, Store.HANG, 1, same)


def test_the_openings_of_a_layout_ask_only_where_one_of_them_tells_sizes_apart() -> None:
    kind = kinds()["long dress"]
    drops = [shape_of(kind, parse_kind_size(kind, text), Store.HANG).drop for text in ("XS", "M", "XXL")]
    for height, matters in (
        (drops[2] + FREE.hang_allowance, False),
        (drops[2] + FREE.hang_allowance - 1, True),
        (drops[0] + FREE.hang_allowance, True),
        (drops[0] + FREE.hang_allowance - 1, False),
    ):
        room = KnownRoom(
            FREE.depth, FREE.gap, FREE.hang_allowance, (OpeningSize(OpeningKind.HANG, height, FREE.depth),)
        )
        assert size_matters(kind, Store.HANG, 1, room) == matters
    elsewhere = OpeningSize(OpeningKind.SHELF, drops[1], FREE.depth)  # no place for what hangs
    assert not size_matters(kind, Store.HANG, 1, KnownRoom(FREE.depth, FREE.gap, FREE.hang_allowance, (elsewhere,)))


@pytest.mark.parametrize(("count", "matters"), [(1, False), (40, True)])
def test_many_pieces_ask_where_one_more_or_less_has_room(count: int, matters: bool) -> None:
    """Jeans are folded up to a dozen high: one stack hardly widens with the size, four do by more than a stack."""
    assert size_matters(kinds()["jeans"], Store.STACK, count, FREE) == matters
