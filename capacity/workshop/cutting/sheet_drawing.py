"""A sheet as it lies on the saw: parts with label and size, cuts with numbers, grain, offcuts, sizes on two edges."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from capacity.drawings.carcass_drawing import View
from capacity.drawings.drawing import Dimension, Drawing, Extent, Line, Rectangle, Shape, Style, Text, hatch, text_size
from capacity.drawings.labels import Lengths, length_words, sawn_words
from capacity.drawings.text_places import first_free, in_box, led_out
from capacity.workshop.cutting.cutting_plan import PlacedBlank, Saw, SheetLayout
from capacity.workshop.cutting.saw_steps import Cut, Offcut, cuts_of, offcuts_of

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
    texts: list[Text] = []
    outside: list[tuple[Extent, str]] = []
    for piece in layout.placed:
        shapes.append(Rectangle(piece.x, piece.y, piece.across, piece.along, Style.PANEL, opening=piece.label))
        text = _named(piece, letter, units)
        if text is None:
            outside.append((_box(piece), piece.label))
        else:
            texts.append(text)
    for offcut in offcuts_of(layout, saw, number):
        shapes.append(Rectangle(offcut.x, offcut.y, offcut.across, offcut.along, Style.OPENING))
        shapes += hatch(_box(offcut), round(letter * 1.6))
        texts += _offcut_name(offcut, letter, units)
    taken = [text.extent for text in texts]
    for cut in cuts_of(layout, saw):
        ends = (cut.start, cut.at, cut.end, cut.at) if cut.is_level else (cut.at, cut.start, cut.at, cut.end)
        shapes.append(Line(*ends, Style.DETAIL))
        text = _cut_number(cut, letter, taken, Extent(-margin, -margin, wide + margin, long + margin))
        if text is None:
            outside.append((Extent(*ends), f"cut {cut.number}"))
        else:
            texts.append(text)
            box, apart = text.extent, letter // 3
            taken.append(Extent(box.left - apart, box.bottom, box.right + apart, box.top))
    leaders = tuple(led_out(outside, (wide, wide + margin), (0, long), letter, taken))
    shapes += [*leaders, *texts]
    margin += max((text_size(words, letter)[0] for _, words in outside), default=0)
    if has_grain:
        shapes += _grain(wide, long, letter, [line.y1 for line in leaders if isinstance(line, Line)])
    shapes.append(Dimension("x", 0, wide, -round(1.6 * letter), length_words(wide, units), letter))
    shapes.append(Dimension("y", 0, long, -round(0.9 * letter), length_words(long, units), letter))
    drawing = Drawing(wide + margin, long + round(MARGIN * letter), 0, tuple(shapes))
    return drawing.moved(round(MARGIN * letter), round(MARGIN * letter))


def _box(board: PlacedBlank | Offcut) -> Extent:
    return Extent(board.x, board.y, board.x + board.across, board.y + board.along)


def _offcut_name(offcut: Offcut, letter: int, units: Lengths) -> Iterator[Text]:
    """The name of an offcut that is large enough to have one, with its size where there is room."""
    if not offcut.name:
        return
    size = f"{sawn_words(offcut.across, units, False)} × {sawn_words(offcut.along, units, False)}"
    wordings = (f"{offcut.name}\n{size}", f"{offcut.name} {size}", offcut.name)
    named = in_box(_box(offcut), wordings, letter, letter // 6)
    if named is not None:
        yield replace(named, plate=True)


def _named(piece: PlacedBlank, letter: int, units: Lengths) -> Text | None:
    """The label and the size of a part, or the label alone; None where neither fits into it."""
    size = f"{sawn_words(piece.across, units, False)} × {sawn_words(piece.along, units, False)}"
    return in_box(_box(piece), (f"{piece.label}\n{size}", f"{piece.label}  {size}", piece.label), letter, letter // 8)


def _cut_number(cut: Cut, letter: int, taken: list[Extent], sheet: Extent) -> Text | None:
    """The number of a cut at its end or on it, nearest to its middle; None where there is no room."""
    places = [cut.end + letter * 3 // 4] if not cut.what.startswith("trim") and cut.start <= letter else []
    places += [
        cut.start + (cut.end - cut.start) * step // 24 for step in sorted(range(1, 24), key=lambda n: abs(n - 12))
    ]
    points = [(place, cut.at) if cut.is_level else (cut.at, place) for place in places]
    words = str(cut.number)
    return first_free((Text(*point, words, letter, plate=True, bold=True) for point in points), taken, sheet)


def _grain(wide: int, long: int, letter: int, leaders: Sequence[int]) -> Iterator[Shape]:
    """An arrow right of the sheet, with the word, clear of the heights at which leaders come out where it can be."""
    x, half = wide + round(1.2 * letter), 5 * letter
    places = sorted(range(half, long - half + 1, letter), key=lambda place: abs(place - long // 2))
    middle = next((at for at in places if all(abs(y - at) > half + letter for y in leaders)), long // 2)
    yield Line(x, middle - half, x, middle + half, Style.DETAIL)
    for end, way in ((middle - half, 1), (middle + half, -1)):
        for side in (-1, 1):
            yield Line(x, end, x + side * letter // 3, end + way * letter * 2 // 3, Style.DETAIL)
    yield Text(x + letter, middle, "grain", letter, turned=True, plate=True)
