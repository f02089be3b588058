"""A sheet as it lies on the saw: parts with label and size, cuts with numbers, grain, offcuts, sizes on two edges."""

from __future__ import annotations

from collections.abc import Iterator

from capacity.drawings.drawing import Dimension, Drawing, Extent, Line, Rectangle, Shape, Style, Text, hatch, text_size
from capacity.drawings.labels import Lengths, length_words, sawn_words
from capacity.drawings.text_places import first_free, in_box
from capacity.workshop.cutting.cutting_plan import PlacedBlank, Saw, SheetLayout
from capacity.workshop.cutting.saw_steps import Cut, cuts_of, offcuts_of

MARGIN = 3.2
"""Room for dimensions and cut numbers around a sheet, in heights of a letter."""


def letter_of(layout: SheetLayout) -> int:
    """Height of a letter on a sheet: 66 of them along a full length, 8.5 points on the page [ticks]."""
    return max(layout.stock.length, layout.stock.width) // 66


def sheet_drawing(layout: SheetLayout, saw: Saw, number: int, has_grain: bool, units: Lengths) -> Drawing:
    """Draw one sheet.

    Parameters
    ----------
    layout, saw
        What is cut from it, and with what.
    number
        Which sheet it is, from 1: offcuts are named by it.
    has_grain
        Whether a grain arrow is drawn, along the length.
    units
        In which lengths are printed.
    """
    letter = letter_of(layout)
    margin = round(MARGIN * letter)
    wide, long = layout.stock.width, layout.stock.length
    shapes: list[Shape] = [Rectangle(0, 0, wide, long, Style.WALL)]
    taken: list[Extent] = []
    for piece in layout.placed:
        shapes.append(Rectangle(piece.x, piece.y, piece.across, piece.along, Style.PANEL, opening=piece.label))
        text = _named(piece, letter, units)
        shapes.append(text)
        taken.append(text.extent)
    for offcut in offcuts_of(layout, saw, number):
        box = Extent(offcut.x, offcut.y, offcut.x + offcut.across, offcut.y + offcut.along)
        shapes.append(Rectangle(offcut.x, offcut.y, offcut.across, offcut.along, Style.OPENING))
        shapes += hatch(box, round(letter * 1.6))
        size = f"{sawn_words(offcut.across, units, False)} × {sawn_words(offcut.along, units, False)}"
        if offcut.name:
            named = in_box(box, (f"{offcut.name}\n{size}", f"{offcut.name} {size}", offcut.name), letter, letter // 6)
            if named is not None:
                plated = Text(named.x, named.y, named.words, named.height, turned=named.turned, plate=True)
                shapes.append(plated)
                taken.append(plated.extent)
    for cut in cuts_of(layout, saw):
        shapes += _cut(cut, letter, taken, Extent(-margin, -margin, wide + margin, long + margin))
    if has_grain:
        shapes += _grain(wide, long, letter)
    words = [length_words(length, units) for length in (wide, long)]
    shapes.append(Dimension("x", 0, wide, -round(1.6 * letter), words[0], letter))
    shapes.append(Dimension("y", 0, long, -round(0.9 * letter), words[1], letter))
    drawing = Drawing(wide + margin, long + margin, 0, tuple(shapes))
    return drawing.moved(margin, margin)


def _named(piece: PlacedBlank, letter: int, units: Lengths) -> Text:
    """The label and the size of a part, as large as fits; at worst the label alone, shrunk into its part."""
    box = Extent(piece.x, piece.y, piece.x + piece.across, piece.y + piece.along)
    size = f"{sawn_words(piece.across, units, False)} × {sawn_words(piece.along, units, False)}"
    text = in_box(box, (f"{piece.label}\n{size}", f"{piece.label}  {size}", piece.label), letter, letter // 8)
    if text is not None:
        return text
    is_turned = piece.along > piece.across
    long, short = max(piece.across, piece.along), min(piece.across, piece.along)
    wide, high = text_size(piece.label, 1000)
    height = max(1, min(1000 * long // wide, 1000 * short // high) - 2)
    return Text((box.left + box.right) // 2, (box.bottom + box.top) // 2, piece.label, height, turned=is_turned)


def _cut(cut: Cut, letter: int, taken: list[Extent], sheet: Extent) -> Iterator[Shape]:
    """The line of a cut, and its number where there is room on it or at its end."""
    if cut.is_level:
        yield Line(cut.start, cut.at, cut.end, cut.at, Style.DETAIL)
    else:
        yield Line(cut.at, cut.start, cut.at, cut.end, Style.DETAIL)
    height = round(letter * 0.8)
    places = [cut.end + letter * 3 // 4] if not cut.what.startswith("trim") and cut.start <= letter else []
    places += [cut.start + (cut.end - cut.start) * step // 24 for step in range(1, 24)]
    points = [(place, cut.at) if cut.is_level else (cut.at, place) for place in places]
    words = str(cut.number)
    candidates = (
        Text(*point, words, size, plate=True, bold=True) for size in (height, height * 3 // 4) for point in points
    )
    text = first_free(candidates, taken, sheet)
    if text is not None:
        taken.append(text.extent)
        yield text


def _grain(wide: int, long: int, letter: int) -> Iterator[Shape]:
    """An arrow right of the sheet, with the word."""
    x, half = wide + round(1.2 * letter), 5 * letter
    middle = long // 2
    yield Line(x, middle - half, x, middle + half, Style.DETAIL)
    for end, way in ((middle - half, 1), (middle + half, -1)):
        for side in (-1, 1):
            yield Line(x, end, x + side * letter // 3, end + way * letter * 2 // 3, Style.DETAIL)
    yield Text(x + letter, middle, "grain", letter, turned=True)
