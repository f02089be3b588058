"""A drawing as SVG: one scale, every text escaped; reads in black and white.

Units of the picture are millimetres of the real thing, so that a printed scale bar can be checked with a rule.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from html import escape
from pathlib import Path as FilePath

from capacity.drawings.drawing import LAYERS, PERSON, Dimension, Drawing, Line, Marker, Path, Rectangle, Style, Text
from capacity.units import PER_MM

FONT = "Liberation Sans, Arial, Helvetica, DejaVu Sans, sans-serif"

_FILLS = {
    Style.FOOTWEAR: "#b9def5", Style.BOOTS: "#8fb8d9", Style.BAGS: "#d5d5d5", Style.FOLDED: "#f5d694",
    Style.HUNG_SHORT: "#a3d8c8", Style.HUNG_LONG: "#e5bfd3", Style.SMALL: "#f5efa5", Style.PANEL: "#ead7b7",
    Style.ROD: "#111111", Style.PERSON: PERSON,
}  # fmt: skip
"""Tints of M. Okabe and K. Ito's set, light enough that strokes and dark text on them read in grey."""

_FAINT = (Style.OPENING, Style.HATCH, Style.SPLIT, Style.CORNER)
_DASHED = (Style.SPLIT, Style.CORNER, Style.BLOCKED, Style.REACH)


@dataclass(frozen=True, slots=True)
class Inks:
    """Colours of a sheet: ground, ink, faint ink and wood; those of the families are meant for paper."""

    ground: str
    ink: str
    faint: str
    wood: str


PNG_WIDE = 2400
"""Width of a picture in dots: sharp on a sheet of paper [pixels]."""

ON_PAPER = Inks("#ffffff", "#111111", "#777777", _FILLS[Style.PANEL])
ON_SLATE = Inks("#171614", "#e8e8e8", "#97928a", "#9c7a48")
"""For a dark page; only for drawings without piles."""


def format_svg(drawing: Drawing, title: str, letter: int, inks: Inks = ON_PAPER, times: int = 1) -> str:
    """The text of an SVG file.

    Parameters
    ----------
    drawing
        What to draw [ticks].
    title
        What the picture shows, for those who cannot see it.
    letter
        Height of a letter [ticks], from which line widths follow.
    inks
        Colours of the sheet.
    times
        How many times its size in millimetres it is shown, in pixels, where nobody says how wide.
    """
    wide, high = _mm(drawing.width), _mm(drawing.height)
    size = f'width="{_mm(times * drawing.width)}" height="{_mm(times * drawing.height)}"'
    pen = letter / PER_MM / 14
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" {size} '
        f'role="img" font-family="{FONT}" fill="{inks.ink}">',
        f"<title>{_escaped(title)}</title>",
        f'<rect width="{wide}" height="{high}" fill="{inks.ground}"/>',
    ]
    by_style: dict[Style, list[Rectangle | Line]] = {style: [] for style in LAYERS}
    for shape in drawing.shapes:
        if isinstance(shape, Rectangle | Line):
            by_style[shape.style].append(shape)
        elif isinstance(shape, Dimension):
            by_style[Style.DIMENSION] += shape.lines
    for style in LAYERS:
        parts += _styled(by_style[style], style, drawing.height, pen, inks)
    for shape in drawing.shapes:
        if isinstance(shape, Marker):
            parts += _marker(shape, drawing.height, pen, inks)
    for text in drawing.texts():
        parts += _text(text, drawing.height, inks)
    return "\n".join([*parts, "</svg>"]) + "\n"


def format_png(svg: str, wide: int = PNG_WIDE) -> bytes:
    """The picture of an SVG text as PNG, so wide [pixels]."""
    import typst

    with tempfile.TemporaryDirectory() as place:
        page = FilePath(place) / "page.typ"
        page.with_name("picture.svg").write_text(svg, encoding="utf-8")
        page.write_text(f'#set page(width: auto, height: auto, margin: 0pt)\n#image("picture.svg", width: {wide}pt)')
        made = typst.compile(page, format="png", ppi=72)
    assert isinstance(made, bytes)
    return made


def _mm(length: float) -> str:
    return f"{length / PER_MM:.3f}".rstrip("0").rstrip(".")


def _escaped(words: str) -> str:
    """Text for XML: markup as text, and no character that XML forbids."""
    allowed = "".join(c if c in "\t\n" or (ord(c) >= 32 and not 0xD800 <= ord(c) <= 0xDFFF) else " " for c in words)
    return escape(allowed.replace("\ufffe", " ").replace("\uffff", " "), quote=True)


def _styled(shapes: Iterable[Rectangle | Line], style: Style, height: int, pen: float, inks: Inks) -> Iterator[str]:
    rectangles = [shape for shape in shapes if isinstance(shape, Rectangle)]
    lines = [shape for shape in shapes if isinstance(shape, Line)]
    if not rectangles and not lines:
        return
    ink = PERSON if style is Style.PERSON else inks.faint if style in _FAINT else inks.ink
    fill = {Style.PANEL: inks.wood, Style.ROD: inks.ink, Style.LOCK: inks.ink}.get(style, _FILLS.get(style, "none"))
    width = {Style.WALL: 3.0, Style.HATCH: 0.5, Style.DIMENSION: 0.7, Style.DRAWER: 1.4, Style.CHOSEN: 4.0}.get(
        style, 1.0
    ) * pen
    dash = f' stroke-dasharray="{4 * pen:.3f} {3 * pen:.3f}"' if style in _DASHED else ""
    yield f'<g stroke="{ink}" stroke-width="{width:.3f}" fill="{fill}"{dash}>'
    for box in rectangles:
        if box.figure is not None:
            yield f'<path d="{"".join(_path(path, height) + "Z" for path in box.outlines)}"/>'
            continue
        y = height - box.bottom - box.height
        yield f'<rect x="{_mm(box.left)}" y="{_mm(y)}" width="{_mm(box.width)}" height="{_mm(box.height)}"/>'
    if lines:
        ends = (((line.x1, line.y1), (line.x2, line.y2)) for line in lines)
        yield f'<path fill="none" d="{"".join(_path(path, height) for path in ends)}"/>'
    yield "</g>"
    strokes = "".join(_path(path, height) for box in rectangles for path in box.strokes)
    if strokes:
        yield f'<path fill="none" stroke="{ink}" stroke-width="{0.6 * pen:.3f}" d="{strokes}"/>'


def _path(points: Path, height: int) -> str:
    return "M" + "L".join(f"{_mm(x)} {_mm(height - y)}" for x, y in points)


def _marker(marker: Marker, height: int, pen: float, inks: Inks) -> Iterator[str]:
    x, y, radius = marker.x, height - marker.y, marker.diameter / 2
    size = marker.diameter * 0.58
    yield (
        f'<circle cx="{_mm(x)}" cy="{_mm(y)}" r="{_mm(radius)}" fill="{inks.ground}" stroke="{inks.ink}" '
        f'stroke-width="{1.2 * pen:.3f}"/>'
    )
    yield (
        f'<text x="{_mm(x)}" y="{_mm(y + size * 0.36)}" font-size="{_mm(size)}" text-anchor="middle">'
        f"{_escaped(marker.letter)}</text>"
    )


def _text(text: Text, height: int, inks: Inks) -> Iterator[str]:
    box = text.extent
    if text.plate:
        y = height - box.top
        yield (
            f'<rect x="{_mm(box.left)}" y="{_mm(y)}" width="{_mm(box.right - box.left)}" '
            f'height="{_mm(box.top - box.bottom)}" fill="{inks.ground}" fill-opacity="0.9"/>'
        )
    anchor = {"left": "start", "middle": "middle", "right": "end"}["middle" if text.turned else text.anchor]
    weight = ' font-weight="bold"' if text.bold else ""
    x, y = text.x, height - text.y
    turn = f' transform="rotate(-90 {_mm(x)} {_mm(y)})"' if text.turned else ""
    lines = text.words.split("\n")
    for number, words in enumerate(lines):
        down = (number - (len(lines) - 1) / 2) * 1.25 * text.height + 0.36 * text.height
        yield (
            f'<text x="{_mm(x)}" y="{_mm(y + down)}" font-size="{_mm(text.height)}" text-anchor="{anchor}"'
            f"{weight}{turn}>{_escaped(words)}</text>"
        )
