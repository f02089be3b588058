"""Story sticks: one for each upright, a strip on which every height is marked once and carried to the wood.

Heights are from the floor: the underside of a shelf, the lower edge of a cleat, the middle of a rod. What is left of
an upright stands left on its stick. Lines lead from a mark to its words where marks are too close for letters.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from capacity.drawings.carcass_drawing import View
from capacity.drawings.drawing import Drawing, Line, Rectangle, Shape, Style, Text, text_size
from capacity.drawings.labels import sawn_words
from capacity.drawings.text_places import spread
from capacity.units import PER_INCH
from capacity.workshop.parts.parts import SHELVES, Part, Role

STICK = 2 * PER_INCH
"""Width of a stick as drawn [ticks]."""


@dataclass(frozen=True, slots=True)
class StickMark:
    """One mark on a stick: the height over the floor [ticks], and the parts it is for."""

    height: int
    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StoryStick:
    """The marks of one upright, by side, from the floor up."""

    upright: str
    length: int
    left: tuple[StickMark, ...]
    right: tuple[StickMark, ...]


def story_sticks(parts: Sequence[Part], wall: int) -> tuple[StoryStick, ...]:
    """The sticks of one wall (from 1), left to right."""
    own = [part for part in parts if part.wall == wall]
    pieces: dict[int, list[Part]] = {}
    for part in sorted((part for part in own if part.role is Role.UPRIGHT), key=lambda part: (part.left, part.bottom)):
        pieces.setdefault(part.left, []).append(part)
    sticks = []
    if not pieces:  # today's uprights stay: one stick for each bay
        for bay in sorted({part.bay for part in own if part.bay}):
            inside = [part for part in own if part.bay == bay and _reaches(part)]
            sticks.append(StoryStick(f"bay {bay}", max(part.seen.top for part in inside), (), _marks(inside)))
    for upright in pieces.values():
        box = upright[-1].seen
        left = [part for part in own if part.bay and _reaches(part) and _bay_edges(own, part.bay)[1] == box.left]
        right = [part for part in own if part.bay and _reaches(part) and _bay_edges(own, part.bay)[0] == box.right]
        labels = " ".join(piece.label for piece in upright)
        sticks.append(StoryStick(labels, box.top, _marks(left), _marks(right)))
    return tuple(sticks)


def _reaches(part: Part) -> bool:
    return part.role in (*SHELVES, Role.CLEAT, Role.ROD)


def _bay_edges(own: Sequence[Part], bay: int) -> tuple[int, int]:
    """Left and right face of a bay, from its cleats or kick board, which are as long as it is wide."""
    boxes = [part.seen for part in own if part.bay == bay and part.role in (Role.CLEAT, Role.KICK)]
    if boxes:
        return boxes[0].left, boxes[0].right
    shelves = [part.seen for part in own if part.bay == bay and part.role in SHELVES]
    middle = (shelves[0].left + shelves[0].right) // 2
    uprights = [part.seen for part in own if part.role is Role.UPRIGHT]
    left = max(box.right for box in uprights if box.right <= middle)
    return left, min(box.left for box in uprights if box.left >= middle)


def _marks(parts: Sequence[Part]) -> tuple[StickMark, ...]:
    heights: dict[int, list[str]] = {}
    for part in parts:
        height = part.bottom + (part.thickness // 2 if part.role is Role.ROD else 0)
        heights.setdefault(height, []).append(part.label)
    return tuple(StickMark(height, tuple(labels)) for height, labels in sorted(heights.items()))


def sticks_drawing(sticks: Sequence[StoryStick], view: View) -> Drawing:
    """All sticks of a wall side by side, to one scale, each with its upright's label on top."""
    shapes: list[Shape] = []
    place, high = 0, max(stick.length for stick in sticks)
    gap = view.ems(0.8)
    for stick in sticks:
        lefts, rights = ([_words(mark, view) for mark in side] for side in (stick.left, stick.right))
        left_room = max((text_size(words, view.letter)[0] for words in lefts), default=0) + view.ems(2.2)
        right_room = max((text_size(words, view.letter)[0] for words in rights), default=0) + view.ems(2.2)
        x = place + left_room
        shapes.append(Rectangle(x, 0, STICK, stick.length, Style.PANEL, opening=stick.upright))
        shapes.append(Text(x + STICK // 2, high + view.ems(2.2), stick.upright, round(view.letter * 1.1), bold=True))
        shapes += _side(stick.left, lefts, x, -1, high, view)
        shapes += _side(stick.right, rights, x + STICK, 1, high, view)
        place = x + STICK + right_room + gap
    shapes.append(Line(0, 0, place - gap, 0, Style.WALL))
    drawing = Drawing(place - gap, high + view.ems(3.4), 0, tuple(shapes))
    return drawing.moved(0, view.ems(1))


def _words(mark: StickMark, view: View) -> str:
    return f"{' '.join(mark.labels)}  {sawn_words(mark.height, view.units, False)}"


def _side(
    marks: Sequence[StickMark], words: Sequence[str], edge: int, way: int, high: int, view: View
) -> Iterator[Shape]:
    """Marks on one edge of a stick, each with a leader to its words."""
    apart = text_size("0", view.letter)[1]
    places = spread([mark.height for mark in marks], apart, apart // 2, high + view.ems(1))
    for mark, text, place in zip(marks, words, places, strict=True):
        near, far = edge + way * view.ems(0.5), edge + way * view.ems(1.7)
        yield Line(edge - way * view.ems(0.6), mark.height, near, mark.height, Style.DETAIL)
        yield Line(near, mark.height, far, place, Style.DETAIL)
        yield Text(far + way * view.ems(0.2), place, text, view.letter, "left" if way > 0 else "right")
