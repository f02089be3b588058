"""What the drawings say: letters of openings, contents in words, lengths as printed, and free places for them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from capacity.drawings.drawing import Extent, Rectangle, Text, text_size
from capacity.layout.layout import Bay, Layout, Opening
from capacity.layout.problem import OpeningKind
from capacity.units import INCHES, MILLIMETRES, PER_INCH, PER_MM, Tape, Units
from capacity.wardrobe.inventory import Inventory

LONG = 12
"""A label may cover what is so many times as high: the middle of long garments, and nothing else (our proposal)."""


@dataclass(frozen=True, slots=True)
class LetteredOpening:
    """One opening of a side with its letter; `wall` and `bay` count from 0."""

    letter: str
    wall: int
    bay: int
    in_bay: Bay
    opening: Opening


def lettered(layout: Layout) -> tuple[LetteredOpening, ...]:
    """Every opening with a letter: bay by bay, from the floor up; each wall begins with A, Z is followed by AA."""
    letters: dict[int, int] = {}
    found: list[LetteredOpening] = []
    for wall, bay_number, _, bay, opening in layout.openings():
        number = letters.get(wall, 0)
        letters[wall] = number + 1
        found.append(LetteredOpening(letter_of(number), wall, bay_number, bay, opening))
    return tuple(found)


def letter_of(number: int) -> str:
    """The letter of the opening with this number from 0: A to Z, then AA."""
    letters = ""
    number += 1
    while number:
        number, place = divmod(number - 1, 26)
        letters = chr(ord("A") + place) + letters
    return letters


def contents(opening: Opening, inventory: Inventory, with_owners: bool = False) -> tuple[str, ...]:
    """`sneakers x 4`, one text a kind (or a kind and owner), in the order in which they stand."""
    counts: dict[str, int] = {}
    for holding in opening.holds:
        pile = inventory.pile(holding.row)
        name = f"{pile.owner}'s {pile.kind}" if with_owners and pile.owner else pile.kind
        counts[name] = counts.get(name, 0) + holding.count
    return tuple(f"{name} × {count}" for name, count in counts.items())


def opening_words(item: LetteredOpening, inventory: Inventory, units: Lengths) -> str:
    """One line on an opening: letter, kind, clear size and contents with owners."""
    kind = {OpeningKind.SHELF: "shelf", OpeningKind.HANG: "rod", OpeningKind.DRAWER: "drawer"}[item.opening.kind]
    width, height = length_words(item.in_bay.width, units), length_words(item.opening.height, units)
    holds = ", ".join(contents(item.opening, inventory, with_owners=True)) or "room to spare"
    return f"{item.letter}: {kind}, {width} wide, {height} high: {holds}"


Lengths = Tape | Units
"""How lengths are printed; of units alone with their usual marks."""


def tape_of(lengths: Lengths) -> Tape:
    """The tape of a folder's packet, or the usual one of its units."""
    return lengths if isinstance(lengths, Tape) else INCHES if lengths == "in" else MILLIMETRES


def length_words(length: int, lengths: Lengths, with_unit: bool = True) -> str:
    """A length as a drawing prints it: exact on a mark, anything else to 1/8 in or 1 mm and marked `about`.

    Millimetres may leave their unit out, where the drawing says once that its lengths are in mm.
    """
    tape = tape_of(lengths)
    with_unit = with_unit or tape.unit != "mm"
    if length % tape.mark == 0:
        return tape.words(length, with_unit)
    step = max(tape.mark, PER_MM if tape.unit == "mm" else PER_INCH // 8)
    return f"about {tape.words(round(length / step) * step, with_unit)}"


def sawn_words(length: int, lengths: Lengths, with_unit: bool = True) -> str:
    """A length as it is set on a fence or marked on a stick: see `Tape.words`.

    Examples
    --------
    >>> sawn_words(14 * PER_INCH + 15 * PER_INCH // 16, "in"), sawn_words(14 * PER_INCH + 1, "in", False)
    ('14 15/16"', '14+')
    """
    return tape_of(lengths).words(length, with_unit)


def thickness_words(length: int, lengths: Lengths) -> str:
    """A thickness as a caliper shows it: a fraction of 64ths or whole millimetres, else decimals.

    Examples
    --------
    >>> thickness_words(23 * PER_INCH // 32, "in"), thickness_words(5714, "in"), thickness_words(5728, "mm")
    ('23/32"', '0.703"', '17.9 mm')
    """
    unit = tape_of(lengths).unit
    if length % (PER_MM if unit == "mm" else PER_INCH // 64) == 0:
        return Tape(unit, 1).words(length)
    return f"{length / PER_MM:.1f} mm" if unit == "mm" else f'{length / PER_INCH:.3f}"'


@dataclass(frozen=True, slots=True)
class FreePlace:
    """A place in an opening and how much of the piles it would cover [square ticks]."""

    extent: Extent
    covered: int


def free_place(
    inside: Extent,
    size: tuple[int, int],
    piles: Iterable[Rectangle],
    taken: Iterable[Extent],
    near: Extent,
    covers: int,
) -> FreePlace | None:
    """The best place in an opening for something of this size, or None where there is none.

    The place that covers least is best, and of these the one nearest to the middle of `near`. A pile may be
    covered only when its column is at least `covers` times as high as what covers it.

    Parameters
    ----------
    inside
        The opening.
    size
        Width and height of what wants a place [ticks].
    piles
        The pieces in the opening.
    taken
        Places that are no longer free.
    near
        Where it should be.
    covers
        How many times as high a column must be to be covered; 0 allows any.
    """
    width, height = size
    columns = tuple(_columns(piles))
    others = [other for other in taken if other.left < other.right and other.bottom < other.top]
    best: tuple[int, int] | None = None
    place: FreePlace | None = None
    lefts = tuple(_steps(inside.left, inside.right - width))
    for bottom in _steps(inside.bottom, inside.top - height):
        top = bottom + height
        beside = [(other.left, other.right) for other in others if other.bottom < top and bottom < other.top]
        level = [column for column in columns if column.bottom < top and bottom < column.top]
        for left in lefts:
            right = left + width
            if any(start < right and left < end for start, end in beside):
                continue
            hidden = [column for column in level if column.left < right and left < column.right]
            if any(column.top - column.bottom < covers * height for column in hidden):
                continue
            here = Extent(left, bottom, right, top)
            covered = sum(column.common_area(here) for column in hidden)
            away = abs(left + right - near.left - near.right) + abs(bottom + top - near.bottom - near.top)
            if best is None or (covered, away) < best:
                best, place = (covered, away), FreePlace(here, covered)
    return place


def plate(
    words: tuple[str, ...], height: int, inside: Extent, piles: Iterable[Rectangle], taken: tuple[Extent, ...]
) -> Text | None:
    """A label for an opening's contents on a plain ground, on as many lines as hide least; None where none fits."""
    pieces = tuple(piles)
    edges = [piece.extent for piece in pieces] or [inside]
    near = Extent(
        min(edge.left for edge in edges),
        min(edge.bottom for edge in edges),
        max(edge.right for edge in edges),
        max(edge.top for edge in edges),
    )
    best: tuple[int, Text] | None = None
    for lines in range(1, len(words) + 1):
        share = -(-len(words) // lines)
        text = "\n".join(", ".join(words[start : start + share]) for start in range(0, len(words), share))
        place = free_place(inside, text_size(text, height), pieces, taken, near, covers=LONG)
        if place is not None and (best is None or place.covered < best[0]):
            at = place.extent
            label = Text((at.left + at.right) // 2, (at.bottom + at.top) // 2, text, height, plate=True)
            best = (place.covered, label)
    return best[1] if best else None


def _steps(low: int, high: int, number: int = 24) -> Iterator[int]:
    if high < low:
        return
    yield from sorted({low + (high - low) * step // number for step in range(number + 1)})


def _columns(piles: Iterable[Rectangle]) -> Iterator[Extent]:
    """Pieces that stand one on the other, joined."""
    joined: dict[tuple[int, int], Extent] = {}
    for piece in piles:
        key, here = (piece.left, piece.width), piece.extent
        old = joined.get(key, here)
        joined[key] = Extent(here.left, min(old.bottom, here.bottom), here.right, max(old.top, here.top))
    yield from joined.values()
