"""A drawing as plain shapes in real lengths, for any writer: nothing here knows of pixels, paper or files.

Lengths are whole ticks, 1 tick = 1/320 mm. The origin is the lower left corner of the drawing, x to the right
and y up. A writer chooses one scale for the whole drawing, so that whatever stands in one drawing is to one
scale. Text has a height in the same lengths; a writer that draws at s pixels a tick sets its letters
`height * s` pixels high.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Literal

CHARACTER_WIDTH = 0.58
"""Width of a middling letter or figure of a sans-serif face as a share of its type size (from memory: 0.5-0.56)."""

LINE_HEIGHT = 1.25
"""Room from line to line as a share of the type size (common practice, no published source)."""


class Style(StrEnum):
    """What a shape stands for; a writer gives each its colour, line and pattern."""

    WALL = "wall"
    BLOCKED = "blocked"
    CORNER = "corner"
    OPENING = "opening"
    PANEL = "panel"
    ROD = "rod"
    DRAWER = "drawer"
    FOOTWEAR = "footwear"
    BOOTS = "boots"
    BAGS = "bags and boxes"
    FOLDED = "folded"
    HUNG_SHORT = "short hanging"
    HUNG_LONG = "long hanging"
    SMALL = "small things"
    HATCH = "hatch"
    DETAIL = "detail"
    SPLIT = "split"
    DIMENSION = "dimension"
    PERSON = "person"
    REACH = "reach"
    CHOSEN = "chosen"
    LOCK = "here by wish"


LAYERS = (
    Style.CORNER, Style.BLOCKED, Style.OPENING, Style.PANEL, Style.FOOTWEAR, Style.BOOTS, Style.BAGS, Style.FOLDED,
    Style.HUNG_SHORT, Style.HUNG_LONG, Style.SMALL, Style.PERSON, Style.DRAWER, Style.ROD, Style.DETAIL, Style.SPLIT,
    Style.HATCH, Style.WALL, Style.REACH, Style.CHOSEN, Style.LOCK, Style.DIMENSION,
)  # fmt: skip
"""In which order a writer draws, what comes later over what comes before."""

PILE_STYLES = (
    Style.FOOTWEAR, Style.BOOTS, Style.BAGS, Style.FOLDED, Style.HUNG_SHORT, Style.HUNG_LONG, Style.SMALL,
)  # fmt: skip
"""The families of things, in the order of the key."""


PERSON = "#b3b1ad"
"""The grey of somebody who is drawn, on light and on dark paper."""


@dataclass(frozen=True, slots=True)
class Extent:
    """A box with sides along the axes [ticks]."""

    left: int
    bottom: int
    right: int
    top: int

    def overlaps(self, other: Extent) -> bool:
        """Whether the two share more than an edge."""
        return self.common_area(other) > 0

    def common_area(self, other: Extent) -> int:
        """The area that the two share [square ticks]."""
        width = min(self.right, other.right) - max(self.left, other.left)
        height = min(self.top, other.top) - max(self.bottom, other.bottom)
        return max(0, width) * max(0, height)

    def holds(self, other: Extent) -> bool:
        """Whether the other lies wholly within this one."""
        return (
            self.left <= other.left
            and self.bottom <= other.bottom
            and other.right <= self.right
            and other.top <= self.top
        )


Path = tuple[tuple[int, int], ...]
"""Points one after the other [ticks]."""


@dataclass(frozen=True, slots=True)
class Figure:
    """What is drawn in place of a rectangle: closed outlines, filled, and open strokes over them.

    Points are measured from the rectangle's lower left corner.
    """

    outlines: tuple[Path, ...]
    strokes: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A filled or empty rectangle; one that is a piece of a pile says of which row and how many it stands for.

    `pieces` counts those hidden one behind the other; `opening` is the name of the opening it belongs to, `words` what
    it is. A `figure` is drawn in its place.
    """

    left: int
    bottom: int
    width: int
    height: int
    style: Style
    row: int = 0
    pieces: int = 0
    opening: str = ""
    words: str = ""
    figure: Figure | None = None

    @property
    def extent(self) -> Extent:
        """The box that it covers."""
        return Extent(self.left, self.bottom, self.left + self.width, self.bottom + self.height)

    @property
    def outlines(self) -> tuple[Path, ...]:
        """The closed outlines that are drawn, where they stand: of its figure, or its four sides."""
        if self.figure is not None:
            return tuple(self._placed(path) for path in self.figure.outlines)
        box = self.extent
        return (((box.left, box.bottom), (box.right, box.bottom), (box.right, box.top), (box.left, box.top)),)

    @property
    def strokes(self) -> tuple[Path, ...]:
        """The open lines over its figure, where they stand."""
        return () if self.figure is None else tuple(self._placed(path) for path in self.figure.strokes)

    def _placed(self, path: Path) -> Path:
        return tuple((self.left + x, self.bottom + y) for x, y in path)

    def moved(self, x: int, y: int) -> Rectangle:
        """The same, shifted."""
        return replace(self, left=self.left + x, bottom=self.bottom + y)


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    x1: int
    y1: int
    x2: int
    y2: int
    style: Style

    @property
    def ends(self) -> Path:
        """Its two ends."""
        return (self.x1, self.y1), (self.x2, self.y2)

    def moved(self, x: int, y: int) -> Line:
        """The same, shifted."""
        return replace(self, x1=self.x1 + x, y1=self.y1 + y, x2=self.x2 + x, y2=self.y2 + y)


@dataclass(frozen=True, slots=True)
class Text:
    """One or more lines of text; `x` is its left edge, middle or right edge, `y` its middle height.

    `turned` text reads from the bottom up and is always centred on (x, y). `plate` text has a plain ground.
    """

    x: int
    y: int
    words: str
    height: int
    anchor: Literal["left", "middle", "right"] = "middle"
    turned: bool = False
    plate: bool = False
    bold: bool = False

    @property
    def extent(self) -> Extent:
        """The box that it takes, by the width of a middling letter."""
        width, height = text_size(self.words, self.height)
        if self.turned:
            width, height = height, width
        left = self.x - {"left": 0, "middle": width // 2, "right": width}[self.anchor if not self.turned else "middle"]
        bottom = self.y - height // 2
        return Extent(left, bottom, left + width, bottom + height)

    def moved(self, x: int, y: int) -> Text:
        """The same, shifted."""
        return replace(self, x=self.x + x, y=self.y + y)


@dataclass(frozen=True, slots=True)
class Dimension:
    """A dimension line with end ticks from `start` to `end` along one axis, at `at` on the other.

    `words` is the printed length, empty where there is no room to print it; the text stands over the line, or
    left of an upright one. `turned` words stand upright over a level line.
    """

    axis: Literal["x", "y"]
    start: int
    end: int
    at: int
    words: str
    height: int
    turned: bool = False

    @property
    def length(self) -> int:
        """What is measured [ticks]."""
        return self.end - self.start

    @property
    def lines(self) -> tuple[Line, ...]:
        """The line and its two end ticks."""
        tick = self.height // 3
        if self.axis == "x":
            return (
                Line(self.start, self.at, self.end, self.at, Style.DIMENSION),
                *(Line(x, self.at - tick, x, self.at + tick, Style.DIMENSION) for x in (self.start, self.end)),
            )
        return (
            Line(self.at, self.start, self.at, self.end, Style.DIMENSION),
            *(Line(self.at - tick, y, self.at + tick, y, Style.DIMENSION) for y in (self.start, self.end)),
        )

    @property
    def text(self) -> Text | None:
        """The printed length, in its place."""
        if not self.words:
            return None
        middle, off = (self.start + self.end) // 2, round(self.height * 0.8)
        if self.axis == "y":
            return Text(self.at - off, middle, self.words, self.height, turned=True)
        if self.turned:
            long = text_size(self.words, self.height)[0]
            return Text(middle, self.at + self.height // 3 + long // 2, self.words, self.height, turned=True)
        high = text_size(self.words, self.height)[1]
        return Text(middle, self.at + self.height // 5 + high // 2, self.words, self.height)

    def moved(self, x: int, y: int) -> Dimension:
        """The same, shifted."""
        along, across = (x, y) if self.axis == "x" else (y, x)
        return replace(self, start=self.start + along, end=self.end + along, at=self.at + across)


@dataclass(frozen=True, slots=True)
class Marker:
    """A lettered disc in an opening; `name` tells it from all others, `words` says what the opening is and holds."""

    x: int
    y: int
    diameter: int
    letter: str
    name: str
    words: str

    @property
    def extent(self) -> Extent:
        """The box around the disc."""
        half = self.diameter // 2
        return Extent(self.x - half, self.y - half, self.x + half, self.y + half)

    def moved(self, x: int, y: int) -> Marker:
        """The same, shifted."""
        return replace(self, x=self.x + x, y=self.y + y)


Shape = Rectangle | Line | Text | Dimension | Marker


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes on a sheet of `width` by `height`; `floor` is the height of the floor line on it."""

    width: int
    height: int
    floor: int
    shapes: tuple[Shape, ...]

    def texts(self) -> tuple[Text, ...]:
        """Every text, those of the dimensions too."""
        own = [shape for shape in self.shapes if isinstance(shape, Text)]
        printed = [shape.text for shape in self.shapes if isinstance(shape, Dimension)]
        return (*own, *(text for text in printed if text is not None))

    def pieces(self) -> tuple[Rectangle, ...]:
        """The rectangles that stand for pieces of a pile."""
        return tuple(shape for shape in self.shapes if isinstance(shape, Rectangle) and shape.pieces)

    def moved(self, x: int, y: int) -> Drawing:
        """The same on a sheet with that much more at its left and its lower edge."""
        shapes = tuple(shape.moved(x, y) for shape in self.shapes)
        return Drawing(self.width + x, self.height + y, self.floor + y, shapes)


def text_size(words: str, height: int) -> tuple[int, int]:
    """Room that a level text of this type size takes, as (width, height) [ticks], rounded up."""
    lines = words.split("\n")
    width = max(len(line) for line in lines) * CHARACTER_WIDTH * height
    return int(width) + 1, int(len(lines) * LINE_HEIGHT * height) + 1


def beside(left: Drawing, right: Drawing, gap: int) -> Drawing:
    """Two drawings as one, on one floor line, with a gap between them; to one scale, since it is one drawing."""
    floor = max(left.floor, right.floor)
    first = left.moved(0, floor - left.floor)
    second = right.moved(left.width + gap, floor - right.floor)
    return Drawing(second.width, max(first.height, second.height), floor, (*first.shapes, *second.shapes))


def hatch(extent: Extent, spacing: int, style: Style = Style.HATCH) -> Iterator[Line]:
    """Lines at 45 degrees over a box, clipped to it, `spacing` apart along its lower edge."""
    width, height = extent.right - extent.left, extent.top - extent.bottom
    for offset in range(-height + spacing // 2, width, spacing):
        begin, end = max(0, -offset), min(height, width - offset)
        if end > begin:
            yield Line(
                extent.left + offset + begin,
                extent.bottom + begin,
                extent.left + offset + end,
                extent.bottom + end,
                style,
            )
