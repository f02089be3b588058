"""A drawing as SVG: one scale, hatches as lines, every text escaped; reads in black and white.

Units of the picture are millimetres of the real thing, so that a printed scale bar can be checked with a rule.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from html import escape

from capacity.drawings.drawing import Dimension, Drawing, Extent, Line, Marker, Rectangle, Style, Text, hatch
from capacity.units import PER_MM

FONT = "Liberation Sans, Arial, Helvetica, DejaVu Sans, sans-serif"

_FILLS = {
    Style.FOOTWEAR: "#cfe8f7", Style.BOOTS: "#a9c9e4", Style.BAGS: "#dddddd", Style.FOLDED: "#f7dfae",
    Style.HUNG_SHORT: "#b5dfd3", Style.HUNG_LONG: "#ecd0df", Style.SMALL: "#f7f2b8", Style.PANEL: "#ead7b7",
    Style.ROD: "#111111",
}  # fmt: skip
"""Tints of M. Okabe and K. Ito's set, light enough that the hatch and dark text on them read in grey."""

_ANGLES = {
    Style.FOOTWEAR: "/", Style.BOOTS: "x", Style.BAGS: "+", Style.FOLDED: "-", Style.HUNG_SHORT: "|",
    Style.HUNG_LONG: ":", Style.SMALL: "\\",
}  # fmt: skip
"""The hatch of each family, so that colour is never the only sign."""

_ORDER = (
    Style.CORNER, Style.BLOCKED, Style.OPENING, Style.PANEL, Style.FOOTWEAR, Style.BOOTS, Style.BAGS, Style.FOLDED,
    Style.HUNG_SHORT, Style.HUNG_LONG, Style.SMALL, Style.DRAWER, Style.ROD, Style.DETAIL, Style.SPLIT, Style.HATCH,
    Style.WALL, Style.DIMENSION,
)  # fmt: skip

_FAINT = (Style.OPENING, Style.HATCH, Style.SPLIT, Style.CORNER)
_DASHED = (Style.SPLIT, Style.CORNER, Style.BLOCKED)


@dataclass(frozen=True, slots=True)
class Inks:
    """Colours of a sheet: ground, ink, faint ink and wood; those of the families are meant for paper."""

    ground: str
    ink: str
    faint: str
    wood: str


ON_PAPER = Inks("#ffffff", "#111111", "#777777", _FILLS[Style.PANEL])
ON_SLATE = Inks("#171614", "#e8e8e8", "#97928a", "#9c7a48")
"""For a dark page; only for drawings without piles."""


def format_svg(drawing: Drawing, title: str, letter: int, inks: Inks = ON_PAPER) -> str:
    """The text of an SVG file.

    Parameters
    ----------
    drawing
        What to draw [ticks].
    title
        What the picture shows, for those who cannot see it.
    letter
        Height of a letter [ticks], from which line widths and hatches follow.
    inks
        Colours of the sheet.
    """
    wide, high = _mm(drawing.width), _mm(drawing.height)
    pen = letter / PER_MM / 14
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" width="{wide}" height="{high}" '
        f'role="img" font-family="{FONT}" fill="{inks.ink}">',
        f"<title>{_escaped(title)}</title>",
        f'<rect width="{wide}" height="{high}" fill="{inks.ground}"/>',
    ]
    by_style: dict[Style, list[Rectangle | Line]] = {style: [] for style in _ORDER}
    for shape in drawing.shapes:
        if isinstance(shape, Rectangle | Line):
            by_style[shape.style].append(shape)
        elif isinstance(shape, Dimension):
            by_style[Style.DIMENSION] += shape.lines
    for style in _ORDER:
        parts += _styled(by_style[style], style, drawing.height, (pen, letter), inks)
    for shape in drawing.shapes:
        if isinstance(shape, Marker):
            parts += _marker(shape, drawing.height, pen, inks)
    for text in drawing.texts():
        parts += _text(text, drawing.height, inks)
    return "\n".join([*parts, "</svg>"]) + "\n"


def _mm(length: float) -> str:
    return f"{length / PER_MM:.3f}".rstrip("0").rstrip(".")


def _escaped(words: str) -> str:
    """Text for XML: markup as text, and no character that XML forbids."""
    allowed = "".join(c if c in "\t\n" or (ord(c) >= 32 and not 0xD800 <= ord(c) <= 0xDFFF) else " " for c in words)
    return escape(allowed.replace("\ufffe", " ").replace("\uffff", " "), quote=True)


def _styled(
    shapes: Iterable[Rectangle | Line], style: Style, height: int, sizes: tuple[float, int], inks: Inks
) -> Iterator[str]:
    pen, letter = sizes
    rectangles = [shape for shape in shapes if isinstance(shape, Rectangle)]
    lines = [shape for shape in shapes if isinstance(shape, Line)]
    if not rectangles and not lines:
        return
    ink = inks.faint if style in _FAINT else inks.ink
    fill = {Style.PANEL: inks.wood, Style.ROD: inks.ink}.get(style, _FILLS.get(style, "none"))
    width = {Style.WALL: 3.0, Style.HATCH: 0.5, Style.DIMENSION: 0.7, Style.DRAWER: 1.4}.get(style, 1.0) * pen
    dash = f' stroke-dasharray="{4 * pen:.3f} {3 * pen:.3f}"' if style in _DASHED else ""
    yield f'<g stroke="{ink}" stroke-width="{width:.3f}" fill="{fill}"{dash}>'
    for box in rectangles:
        y = height - box.bottom - box.height
        yield f'<rect x="{_mm(box.left)}" y="{_mm(y)}" width="{_mm(box.width)}" height="{_mm(box.height)}"/>'
    if lines:
        yield f'<path fill="none" d="{_path(lines, height)}"/>'
    yield "</g>"
    hatching = [line for box in rectangles if style in _ANGLES for line in _hatched(box.extent, style, letter)]
    if hatching:
        yield f'<path fill="none" stroke="#444444" stroke-width="{0.45 * pen:.3f}" d="{_path(hatching, height)}"/>'


def _path(lines: Iterable[Line], height: int) -> str:
    return "".join(f"M{_mm(line.x1)} {_mm(height - line.y1)}L{_mm(line.x2)} {_mm(height - line.y2)}" for line in lines)


def _hatched(box: Extent, style: Style, letter: int) -> Iterator[Line]:
    """The lines of a family's hatch over one piece."""
    kind, gap = _ANGLES[style], max(1, letter * 3 // 4)
    if kind in "/x":
        yield from hatch(box, gap)
    if kind in "\\x":
        yield from (
            Line(line.x1, box.bottom + box.top - line.y1, line.x2, box.bottom + box.top - line.y2, line.style)
            for line in hatch(box, gap)
        )
    if kind in "-+":
        for y in range(box.bottom + gap // 2, box.top, gap):
            yield Line(box.left, y, box.right, y, Style.HATCH)
    if kind in "|+":
        for x in range(box.left + gap // 2, box.right, gap):
            yield Line(x, box.bottom, x, box.top, Style.HATCH)
    if kind == ":":
        for x in range(box.left + gap // 2, box.right, gap):
            for y in range(box.bottom, box.top - gap // 2, gap):
                yield Line(x, y, x, y + gap // 2, Style.HATCH)


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
