"""Letters, lengths and padlocks: exact, and clear of what they stand beside."""

from __future__ import annotations

import pytest
from support.cases import INCH, one_wall

from capacity.closet.closet import parse_closet
from capacity.drawings.carcass_drawing import View
from capacity.drawings.drawing import Extent, Rectangle, Style
from capacity.drawings.elevation import Side, elevation, with_key
from capacity.drawings.labels import free_place, length_words, lettered
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind
from capacity.makeover.files_to_problem import size_problem
from capacity.units import Tape
from capacity.wardrobe.inventory import parse_inventory

LETTER = 2 * INCH
VIEW = View(LETTER, "in")


def test_letters_go_on_after_z() -> None:
    openings = tuple(Opening(OpeningKind.SHELF, number, 1) for number in range(28))
    letters = [item.letter for item in lettered(Layout((WallLayout("back", (Bay(0, 1, 1, openings),)),)))]
    assert letters[:2] + letters[25:] == ["A", "B", "Z", "AA", "AB"]


def test_a_free_place_hides_nothing_when_there_is_one() -> None:
    inside = Extent(0, 0, 100, 50)
    pile = Rectangle(0, 0, 60, 40, Style.FOOTWEAR, 1, 1, "A")
    place = free_place(inside, (30, 20), [pile], (), inside, covers=3)
    assert place is not None
    assert place.covered == 0
    assert not place.extent.overlaps(pile.extent)
    assert free_place(inside, (90, 20), [pile], (), inside, covers=3) is None  # would hide what is 2 times as high


def test_lengths_are_exact_or_about() -> None:
    assert length_words(INCH * 65 // 2, "in") == '32 1/2"'
    assert length_words(INCH * 65 // 2, Tape("ft", INCH // 16)) == "2' 8 1/2\""
    assert length_words(INCH + 1, "in") == 'about 1"'
    assert length_words(464 * 320, "mm", with_unit=False) == "464"
    assert length_words(464 * 320 + 40, "mm") == "about 464 mm"


def test_a_bay_that_must_be_has_a_padlock_under_it_clear_of_every_text() -> None:
    text = one_wall(80, name="a")
    text += '[[wishes.bay]]\nwall = "a"\nleft = 40\nwidth = 20\n'
    closet, inventory = parse_closet(text), parse_inventory("what,count\njeans,3\n", "in")
    problem = size_problem(closet, inventory)
    openings = (Opening(OpeningKind.SHELF, problem.rules.base, 40 * INCH),)
    bays = tuple(Bay(left * INCH, 20 * INCH, 15 * INCH, openings) for left in (10, 40))
    for is_built in (True, False):
        side = Side("After", Layout((WallLayout("a", bays),)), is_built)
        drawing = with_key(problem, elevation(problem, inventory, side, 0, VIEW), VIEW)
        locks = [shape for shape in drawing.shapes if isinstance(shape, Rectangle) and shape.style is Style.LOCK]
        if not is_built:
            assert not locks
            continue
        under, in_key = locks
        left = round(2.4 * LETTER) + 40 * INCH
        assert left <= under.left <= under.left + under.width <= left + 20 * INCH
        assert under.extent.top < drawing.floor
        assert in_key.extent.top < under.extent.bottom
        assert not any(lock.extent.overlaps(text.extent) for lock in locks for text in drawing.texts())


@pytest.mark.parametrize(
    ("wish", "locked"),
    [
        ("", []),
        ('[[wishes.must]]\nwhat = "jeans"\n', [1]),
        ('[[wishes.keep_to]]\nwall = "a"\nowner = "Ida"\n', [2]),
        ('[[wishes.keep_to]]\nwall = "a"\nwhat = "jeans"\n[[wishes.must]]\nowner = "Ida"\n', [1, 2]),
    ],
)
def test_a_padlock_stands_at_each_pile_that_must_have_a_place_or_keeps_to_the_wall(
    wish: str, locked: list[int]
) -> None:
    text = "ceiling = 96\ntop = 84\n" + "".join(f'[[wall]]\nname = "{n}"\nwidth = 50\ndepth = 15\n' for n in "ab")
    closet = parse_closet(text + wish)
    inventory = parse_inventory("what,count,owner\njeans,3,\nsweater,2,Ida\nshirt,2,\n", "in")
    problem = size_problem(closet, inventory)
    shelves = tuple(
        Opening(OpeningKind.SHELF, problem.rules.base + number * 20 * INCH, 14 * INCH, (Holding(row, count),))
        for number, (row, count) in enumerate([(1, 3), (2, 2)])
    )
    bay = Bay(2 * INCH, 30 * INCH, 15 * INCH, shelves)
    layout = Layout((WallLayout("a", (bay,)), WallLayout("b", ())))
    for is_built in (True, False):
        drawing = elevation(problem, inventory, Side("After", layout, is_built), 0, VIEW)
        boxes = [shape for shape in drawing.shapes if isinstance(shape, Rectangle)]
        found = {shape.opening: shape.extent for shape in boxes if shape.style is Style.OPENING}
        locks = [shape for shape in boxes if shape.style is Style.LOCK]
        rows = [row for row in (1, 2) if any(found[f"After {'AB'[row - 1]}"].holds(lock.extent) for lock in locks)]
        assert (rows, len(locks)) == ((locked, len(locked)) if is_built else ([], 0))
        assert not any(lock.extent.overlaps(words.extent) for lock in locks for words in drawing.texts())
