"""A wall seen from the front with every part in its place and its label: what goes where, with heights."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from capacity.drawings.carcass_drawing import View, blocked_parts
from capacity.drawings.drawing import Dimension, Drawing, Extent, Line, Rectangle, Shape, Style, Text, text_size
from capacity.drawings.labels import sawn_words
from capacity.drawings.text_places import first_free, in_box, led_out
from capacity.layout.problem import Problem
from capacity.workshop.parts.parts import SHELVES, Part, Role

HIDDEN = (
    Role.KICK,
    Role.BASE,
    Role.CLEAT,
    Role.SHELF_CLEAT,
    Role.BOX_SIDE,
    Role.BOX_FRONT,
    Role.BOX_BACK,
    Role.BOX_BOTTOM,
    Role.BACK,
)
"""Parts behind others or set back: drawn with broken outlines."""


def parts_drawing(problem: Problem, parts: Sequence[Part], wall: int, view: View) -> Drawing:
    """Draw one wall's parts.

    Parameters
    ----------
    problem
        The walls, for the floor and the ceiling.
    parts
        All parts; those of other walls are left out.
    wall
        Which wall, from 1.
    view
        Size of the letters and units.

    Returns
    -------
    Every part of the wall as one outline and its label in exactly one text; a drawer's parts share one text.
    """
    run = problem.runs[wall - 1]
    own = [part for part in parts if part.wall == wall]
    shapes: list[Shape] = [
        Line(0, 0, run.width, 0, Style.WALL),
        Line(0, run.ceiling_left, run.width, run.ceiling_right, Style.WALL),
    ]
    shapes += blocked_parts(run, view)
    for part in own:
        shapes += _outline(part)
    taken = [part.seen for part in own if part.role is Role.ROD]
    outside: dict[int, list[tuple[Extent, str]]] = {-1: [], 1: []}
    for box, words, text in _labels(own, view, taken):
        if text is not None:
            apart = view.letter // 3
            free = text.extent
            taken.append(Extent(free.left - apart, free.bottom, free.right + apart, free.top))
            shapes.append(text)
            continue
        way = 1 if box.left + box.right >= run.width else -1
        edge = box.right if way > 0 else box.left  # so that the line crosses no label within
        outside[way].append((Extent(edge, box.bottom, edge, box.top), words))
    shapes += _widths(own, run.width, view)
    high = max(run.ceiling_left, run.ceiling_right)
    rooms = []
    for way, end in ((-1, 0), (1, run.width)):
        shapes += led_out(outside[way], (end, end + way * view.ems(3)), (0, high), view.letter, taken)
        rooms.append(view.ems(3) + max((text_size(words, view.letter)[0] for _, words in outside[way]), default=0))
    highest = max([high, *(shape.extent.top for shape in shapes if isinstance(shape, Text))])
    drawing = Drawing(run.width + rooms[1], highest + view.ems(1), 0, tuple(shapes))
    return drawing.moved(rooms[0], view.ems(6.4))


def _outline(part: Part) -> Iterator[Shape]:
    box = part.seen
    style = Style.PANEL
    if part.role in HIDDEN:
        style = Style.OPENING
    elif part.role in (Role.FRONT, Role.ROD):
        style = Style.DRAWER
    yield Rectangle(box.left, box.bottom, box.right - box.left, box.top - box.bottom, style, opening=part.label)
    if part.role in HIDDEN and part.role is not Role.BACK:
        for x1, y1, x2, y2 in (
            (box.left, box.bottom, box.right, box.bottom), (box.left, box.top, box.right, box.top),
        ):  # fmt: skip
            yield Line(x1, y1, x2, y2, Style.SPLIT)


def _labels(own: Sequence[Part], view: View, taken: list[Extent]) -> Iterator[tuple[Extent, str, Text | None]]:
    """Each label with its part and its place; None where no place is free.

    Uprights over their tops, cleats and kick boards inside, shelves on their upper faces, drawers in the middle.
    """

    def found(part: Part, words: str, candidates: Iterable[Text]) -> tuple[Extent, str, Text | None]:
        return part.seen, words, first_free(candidates, taken)

    for part in own:
        if part.role is Role.UPRIGHT:
            box = part.seen
            x, top = (
                (box.left + box.right) // 2,
                max(other.seen.top for other in own if other.role is Role.UPRIGHT and other.left == part.left),
            )
            rows = (Text(x, top + view.ems(0.9 + 1.3 * row), part.label, view.letter, plate=True) for row in range(6))
            yield found(part, part.label, rows)
    for words, front in _drawers(own):
        yield found(front, _wrapped(words, 2), _within(front.seen, [_wrapped(words, n) for n in range(6, 0, -1)], view))
    for part in own:
        if part.role in (Role.KICK, Role.BASE, Role.CLEAT, Role.SCRIBE, Role.FILLER):
            is_closer = part.role in (Role.SCRIBE, Role.FILLER)
            along = () if is_closer else _along(part.seen, part.label, view, inside=True)
            fits = tuple(_within(part.seen, [part.label], view))
            at_right = () if is_closer else [_at_right(part.seen, text) for text in fits]  # shelves' are at the left
            yield found(part, part.label, (*at_right, *fits, *along))
    for part in own:
        if part.role in (*SHELVES, Role.ROD):
            words = " ".join((part.label, *(other.label for other in _carried(own, part))))
            places = [
                place for n in range(6, 0, -1) for place in _along(part.seen, _wrapped(words, n), view, inside=False)
            ]
            yield found(part, _wrapped(words, 2), places)
    for part in own:
        if part.role is Role.BACK:
            yield found(part, part.label, _inside(part.seen, part.label, view))


def _wrapped(words: str, most: int) -> str:
    """At most so many words on a line."""
    every = words.split()
    return "\n".join(" ".join(every[start : start + most]) for start in range(0, len(every), most))


def _within(box: Extent, wordings: Sequence[str], view: View) -> Iterator[Text]:
    """The words in the middle of their part, where they fit."""
    text = in_box(box, wordings, view.letter, view.letter // 8)
    if text is not None:
        yield text


def _at_right(box: Extent, text: Text) -> Text:
    """The same text near the right end of its box."""
    return replace(text, x=box.right - (text.extent.right - text.extent.left) // 2 - text.height // 3)


def _drawers(own: Sequence[Part]) -> Iterator[tuple[str, Part]]:
    """Each drawer front with the labels of all parts of its drawer."""
    box_roles = (Role.BOX_SIDE, Role.BOX_FRONT, Role.BOX_BACK, Role.BOX_BOTTOM)
    for front in own:
        if front.role is Role.FRONT:
            inside = [
                part.label
                for part in own
                if part.role in box_roles and part.bay == front.bay and _is_within(part.seen, front.seen)
            ]
            yield " ".join((front.label, *inside)), front


def _is_within(box: Extent, front: Extent) -> bool:
    middle = (box.bottom + box.top) // 2
    return front.bottom <= middle < front.top


def _carried(own: Sequence[Part], shelf: Part) -> Iterator[Part]:
    """The nosing and the supports of a shelf."""
    if shelf.role is Role.ROD:
        return
    for part in own:
        is_near = part.bay == shelf.bay and abs(part.seen.top - shelf.bottom) <= shelf.thickness
        if part.bay == shelf.bay and part.role is Role.NOSING and part.seen.top == shelf.seen.top:
            yield part
        if part.role in (Role.SUPPORT, Role.SHELF_CLEAT) and is_near and part.seen.top == shelf.bottom:
            yield part


def _along(box: Extent, words: str, view: View, inside: bool) -> Iterator[Text]:
    """Places along a part from its left end on: in its middle, or just over it and then just under it."""
    off = text_size(words, view.letter)[1] // 2 + view.letter // 8
    for y in [(box.bottom + box.top) // 2] if inside else [box.top + off, box.bottom - off]:
        for step in range(16):
            x = box.left + view.letter // 4 + (box.right - box.left) * step // 20
            text = Text(x, y, words, view.letter, "left")
            if text.extent.right <= box.right or inside:
                yield text


def _inside(box: Extent, words: str, view: View) -> Iterator[Text]:
    for y in range(box.top - view.letter, box.bottom, -view.letter):
        for x in range(box.left + view.letter, box.right, 2 * view.letter):
            yield Text(x, y, words, view.letter, "left")


def _widths(own: Sequence[Part], width: int, view: View) -> Iterator[Dimension]:
    """Places of the uprights along the wall, as a chain that adds up to the wall."""
    uprights = sorted({(part.seen.left, part.seen.right) for part in own if part.role is Role.UPRIGHT})
    marks = [0]
    for left, right in uprights:
        marks += [left, right]
    marks.append(width)
    thick = max((right - left for left, right in uprights), default=0)
    at = -view.ems(3.4)
    for start, end in pairwise(marks):
        if end > start:
            words = sawn_words(end - start, view.units, False) if end - start > 3 * thick else ""
            yield Dimension("x", start, end, at, words.replace("about ", "about\n"), view.letter)
    yield Dimension("x", 0, width, at - view.ems(2.2), sawn_words(width, view.units, False), view.letter)
