"""A sheet as it lies on the saw: parts with label and size, cuts with numbers, grain, offcuts, sizes on two edges."""

from __future__ import annotations

from collections.abc import Iterator

from capacity.drawings.drawing import Dimension, Drawing, Extent, Line, Rectangle, Shape, Style, Text, hatch, text_size
from capacity.drawings.labels import Lengths, length_words, sawn_words
from capacity.drawings.text_places import first_free, in_box, led_out
from capacity.drawings.wall_drawing import View
from capacity.workshop.cutting.cutting_plan import PlacedBlank, Saw, SheetLayout
from capacity.workshop.cutting.saw_steps import Cut, cuts_of, offcuts_of

MARGIN = 3.2
"""Room for dimensions and cut numbers around a sheet, in heights of a letter."""


def sheet_drawing(layout: SheetLayout, saw: Saw, number: int, has_grain: bool, view: View) -> Drawing:
    """Draw one sheet.

    Parameters
    ----------
    layout, saw
        What is cut from it, and with what.
    number
        Which sheet it is, from 1: offcuts are named by it.
    has_grain
        Whether a grain arrow is drawn, along the length.
    view
        Size of the letters and units.
    """
    letter, units = view.letter, view.units
    margin = round(MARGIN * letter)
    wide, long = layout.stock.width, layout.stock.length
    shapes: list[Shape] = [Rectangle(0, 0, wide, long, Style.WALL)]
    taken: list[Extent] = []
    outside: list[tuple[int, int, str]] = []
    for piece in layout.placed:
        shapes.append(Rectangle(piece.x, piece.y, piece.across, piece.along, Style.PANEL, opening=piece.label))
        text = _named(piece, letter, units)
        if text is None:
            outside.append((piece.x + piece.across // 2, piece.y + piece.along // 2, piece.label))
        else:
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
        ends = (cut.start, cut.at, cut.end, cut.at) if cut.is_level else (cut.at, cut.start, cut.at, cut.end)
        shapes.append(Line(*ends, Style.DETAIL))
        text = _cut_number(cut, letter, taken, Extent(-margin, -margin, wide + margin, long + margin))
        if text is None:
            middle = ((ends[0] + ends[2]) // 2, (ends[1] + ends[3]) // 2)
            outside.append((*middle, f"cut {cut.number}"))
        else:
            shapes.append(text)
            box, apart = text.extent, letter // 3
            taken.append(Extent(box.left - apart, box.bottom, box.right + apart, box.top))
    column = wide + margin
    if outside:
        shapes += led_out(outside, column, 1, (0, long), letter)
        margin += max(text_size(words, letter)[0] for *_, words in outside)
    if has_grain:
        shapes += _grain(wide, long, letter)
    words = [length_words(length, units) for length in (wide, long)]
    shapes.append(Dimension("x", 0, wide, -round(1.6 * letter), words[0], letter))
    shapes.append(Dimension("y", 0, long, -round(0.9 * letter), words[1], letter))
    drawing = Drawing(wide + margin, long + round(MARGIN * letter), 0, tuple(shapes))
    return drawing.moved(round(MARGIN * letter), round(MARGIN * letter))


def _named(piece: PlacedBlank, letter: int, units: Lengths) -> Text | None:
    """The label and the size of a part, or the label alone; None where neither fits into it."""
    box = Extent(piece.x, piece.y, piece.x + piece.across, piece.y + piece.along)
    size = f"{sawn_words(piece.across, units, False)} × {sawn_words(piece.along, units, False)}"
    return in_box(box, (f"{piece.label}\n{size}", f"{piece.label}  {size}", piece.label), letter, letter // 8)


def _cut_number(cut: Cut, letter: int, taken: list[Extent], sheet: Extent) -> Text | None:
    """The number of a cut at its end or on it, nearest to its middle; None where there is no room."""
    places = [cut.end + letter * 3 // 4] if not cut.what.startswith("trim") and cut.start <= letter else []
    places += [
        cut.start + (cut.end - cut.start) * step // 24 for step in sorted(range(1, 24), key=lambda n: abs(n - 12))
    ]
    points = [(place, cut.at) if cut.is_level else (cut.at, place) for place in places]
    words = str(cut.number)
    return first_free((Text(*point, words, letter, plate=True, bold=True) for point in points), taken, sheet)


def _grain(wide: int, long: int, letter: int) -> Iterator[Shape]:
    """An arrow right of the sheet, with the word."""
    x, half = wide + round(1.2 * letter), 5 * letter
    middle = long // 2
    yield Line(x, middle - half, x, middle + half, Style.DETAIL)
    for end, way in ((middle - half, 1), (middle + half, -1)):
        for side in (-1, 1):
            yield Line(x, end, x + side * letter // 3, end + way * letter * 2 // 3, Style.DETAIL)
    yield Text(x + letter, middle, "grain", letter, turned=True, plate=True)
