"""A wall seen from the front with every part in its place and its label: what goes where, with heights."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from capacity.drawings.drawing import Dimension, Drawing, Extent, Line, Rectangle, Shape, Style, Text
from capacity.drawings.elevation import View
from capacity.drawings.labels import sawn_words
from capacity.drawings.text_places import first_free, in_box
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
    for part in own:
        shapes += _outline(part)
    taken = [part.seen for part in own if part.role is Role.ROD]
    for text in _labels(own, view, taken):
        shapes.append(text)
    shapes += _widths(own, run.width, view)
    high = max(run.ceiling_left, run.ceiling_right)
    drawing = Drawing(run.width + view.ems(3), high + view.ems(1), 0, tuple(shapes))
    return drawing.moved(view.ems(3), view.ems(6.4))


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


def _labels(own: Sequence[Part], view: View, taken: list[Extent]) -> Iterator[Text]:
    """Uprights over their tops, cleats and kick boards inside, shelves on their upper faces, drawers in the middle."""
    for part in own:
        if part.role is Role.UPRIGHT:
            box = part.seen
            x, top = (
                (box.left + box.right) // 2,
                max(other.seen.top for other in own if other.role is Role.UPRIGHT and other.left == part.left),
            )
            candidates = [Text(x, top + view.ems(0.9 + 1.3 * row), part.label, view.letter) for row in range(6)]
            yield _placed(candidates, taken)
    for words, front in _drawers(own):
        yield _within(front.seen, (words, words.replace(" ", "\n")), view, taken)
    for part in own:
        if part.role in (Role.KICK, Role.BASE, Role.CLEAT, Role.SCRIBE, Role.FILLER):
            yield _within(part.seen, (part.label,), view, taken)
    for part in own:
        if part.role in (*SHELVES, Role.ROD):
            words = " ".join((part.label, *(other.label for other in _carried(own, part))))
            yield _placed(_along(part.seen, words, view, inside=False), taken)
    for part in own:
        if part.role is Role.BACK:
            yield _placed(_inside(part.seen, part.label, view), taken)


def _within(box: Extent, wordings: tuple[str, ...], view: View, taken: list[Extent]) -> Text:
    """The words in the middle of their part where that is free, else somewhere along it."""
    text = in_box(box, wordings, view.letter, view.letter // 8)
    candidates = [text] if text is not None else []
    return _placed([*candidates, *_along(box, wordings[0], view, inside=True)], taken)


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
    """Places along a part: from its left end on, just over it (or in its middle), smaller letters when it must be."""
    for share in (1.0, 0.8, 0.65, 0.5):
        size = round(view.letter * share)
        y = (box.bottom + box.top) // 2 if inside else box.top + round(size * 0.72)
        for step in range(16):
            x = box.left + size // 4 + (box.right - box.left) * step // 20
            text = Text(x, y, words, size, "left")
            if text.extent.right <= box.right or inside:
                yield text
    for share in (0.5, 0.4, 0.3):
        size = round(view.letter * share)
        for row in range(12):
            yield Text(box.left + size // 4, box.top + round(size * (0.72 + 1.3 * row)), words, size, "left")


def _inside(box: Extent, words: str, view: View) -> Iterator[Text]:
    for y in range(box.top - view.letter, box.bottom, -view.letter):
        for x in range(box.left + view.letter, box.right, 2 * view.letter):
            yield Text(x, y, words, view.letter, "left")


def _placed(candidates: Iterable[Text], taken: list[Extent]) -> Text:
    """The first candidate that is free; the last one where none is, so that no label is ever lost."""
    every = tuple(candidates)
    text = first_free(every, taken) or every[-1]
    taken.append(text.extent)
    return text


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
