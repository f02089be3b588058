"""The walls from above: uprights, shelves, rods, how far garments reach, corners; walls that meet are drawn so."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from capacity.drawings.carcass_drawing import View
from capacity.drawings.drawing import Dimension, Drawing, Extent, Line, Rectangle, Shape, Style, Text, text_size
from capacity.drawings.labels import sawn_words
from capacity.layout.layout import Layout
from capacity.layout.problem import OpeningKind, Problem
from capacity.units import PER_INCH

ROD_OUT = 12 * PER_INCH
"""Rod from the wall (bath and bedroom planning textbook, clothes storage) [ticks]."""

REACH_OUT = 24 * PER_INCH
"""How far garments on a rod reach from the wall (same source) [ticks]."""

SPACE = 3.4
"""Room for words and dimensions behind a wall, in heights of a letter."""


@dataclass(frozen=True, slots=True)
class PlanFrame:
    """Where a wall stands on the plan: its left end, and the direction of its length; the room is on its right hand.

    As one faces a wall from inside, its length runs from left to right, and on paper with the back wall on top
    the room lies below it: along (1, 0) has the room at (0, -1).
    """

    x: int
    y: int
    along: tuple[int, int]

    def point(self, along: int, out: int) -> tuple[int, int]:
        """A place along the wall and out from it, on the paper."""
        (ax, ay), (ox, oy) = self.along, (self.along[1], -self.along[0])
        return self.x + ax * along + ox * out, self.y + ay * along + oy * out

    def box(self, left: int, right: int, near: int, far: int) -> Extent:
        """A rectangle along the wall and out from it, on the paper."""
        (x1, y1), (x2, y2) = self.point(left, near), self.point(right, far)
        return Extent(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))


@dataclass(frozen=True, slots=True)
class PlanMark:
    """Something that is not built in, such as a door or a lamp: a box along a wall and out from it [ticks]."""

    wall: int
    left: int
    right: int
    near: int
    far: int
    words: str


def plan_drawing(
    problem: Problem, layout: Layout, view: View, marks: tuple[PlanMark, ...] = (), is_built: bool = True
) -> Drawing:
    """Draw all walls from above.

    Parameters
    ----------
    problem, layout
        Walls and corners, and what is built [ticks].
    view
        Size of the letters and units.
    marks
        What else is to be seen, each with its words.
    is_built
        False for today's closet, whose uprights are not known.
    """
    groups = chains_of(problem)
    drawings = [_group(problem, layout, group, view, marks, is_built) for group in groups]
    shapes: list[Shape] = []
    place, high = 0, max(drawing.height for drawing in drawings)
    for drawing in drawings:
        shapes += drawing.moved(place, high - drawing.height).shapes
        place += drawing.width + view.ems(2)
    return Drawing(place - view.ems(2), high, 0, tuple(shapes))


def chains_of(problem: Problem) -> list[list[int]]:
    """Walls in chains that meet at corners, in order."""
    following = {corner.ends: corner.starts for corner in problem.corners}
    firsts = [index for index in range(len(problem.runs)) if index not in following.values()] or [0]
    groups: list[list[int]] = []
    for first in firsts:
        chain = [first]
        while following.get(chain[-1]) is not None and following[chain[-1]] not in chain:
            chain.append(following[chain[-1]])
        groups.append(chain)
    return groups


def _group(
    problem: Problem, layout: Layout, chain: list[int], view: View, marks: tuple[PlanMark, ...], is_built: bool
) -> Drawing:
    along = (0, 1) if len(chain) > 1 else (1, 0)
    x = y = 0
    shapes: list[Shape] = []
    for wall in chain:
        frame = PlanFrame(x, y, along)
        shapes += _wall(problem, layout, wall, frame, view, is_built)
        shapes += [shape for mark in marks if mark.wall == wall for shape in _mark(mark, frame, view)]
        x, y = frame.point(problem.runs[wall].width, 0)
        along = (along[1], -along[0])
    boxes = [_extent(shape) for shape in shapes]
    left, bottom = min(box.left for box in boxes), min(box.bottom for box in boxes)
    right, top = max(box.right for box in boxes), max(box.top for box in boxes)
    pad = view.ems(0.6)
    drawing = Drawing(right + pad, top + pad, 0, tuple(shapes))
    return drawing.moved(pad - left, pad - bottom)


def _extent(shape: Shape) -> Extent:
    if isinstance(shape, Line):
        return Extent(
            min(shape.x1, shape.x2), min(shape.y1, shape.y2), max(shape.x1, shape.x2), max(shape.y1, shape.y2)
        )
    if isinstance(shape, Dimension):
        boxes = [_extent(line) for line in shape.lines] + ([shape.text.extent] if shape.text is not None else [])
        return Extent(
            min(box.left for box in boxes), min(box.bottom for box in boxes),
            max(box.right for box in boxes), max(box.top for box in boxes),
        )  # fmt: skip
    return shape.extent


def _mark(mark: PlanMark, frame: PlanFrame, view: View) -> Iterator[Shape]:
    box = frame.box(mark.left, mark.right, mark.near, mark.far)
    yield Rectangle(box.left, box.bottom, box.right - box.left, box.top - box.bottom, Style.BLOCKED)
    is_narrow = text_size(mark.words, view.letter)[0] > box.right - box.left
    is_turned = is_narrow and box.top - box.bottom > box.right - box.left
    middle = (box.left + box.right) // 2, (box.bottom + box.top) // 2
    yield Text(*middle, mark.words, view.letter, turned=is_turned, plate=True)


def _wall(problem: Problem, layout: Layout, wall: int, frame: PlanFrame, view: View, is_built: bool) -> Iterator[Shape]:
    run, bays, thick = problem.runs[wall], layout.walls[wall].bays, problem.rules.panel
    yield _line(frame, (0, 0), (run.width, 0), Style.WALL)
    for bay in bays:
        yield _rectangle(frame.box(bay.left, bay.left + bay.width, 0, bay.depth), Style.OPENING)
        if any(opening.kind is OpeningKind.HANG for opening in bay.openings):
            yield _line(frame, (bay.left, ROD_OUT), (bay.left + bay.width, ROD_OUT), Style.DETAIL)
            yield _line(frame, (bay.left, REACH_OUT), (bay.left + bay.width, REACH_OUT), Style.SPLIT)
    uprights = {place for bay in bays for place in (bay.left - thick, bay.left + bay.width) if is_built}
    for left in sorted(uprights):
        yield _rectangle(frame.box(left, left + thick, 0, run.depth), Style.PANEL)
    for number, bay in enumerate(bays, 1):
        x, y = frame.point(bay.left + bay.width // 2, bay.depth // 2)
        yield Text(x, y, f"{wall + 1}-{number}" if is_built else f"bay {number}", view.letter)
    yield from _dimensions(run.width, [(bay.left, bay.left + bay.width) for bay in bays], frame, view)
    yield _name(run.name, run.width, frame, view)


def _rectangle(box: Extent, style: Style) -> Rectangle:
    return Rectangle(box.left, box.bottom, box.right - box.left, box.top - box.bottom, style)


def _line(frame: PlanFrame, start: tuple[int, int], end: tuple[int, int], style: Style) -> Line:
    return Line(*frame.point(*start), *frame.point(*end), style)


def _dimensions(width: int, bays: list[tuple[int, int]], frame: PlanFrame, view: View) -> Iterator[Dimension]:
    """The clear width of each bay, and the wall, behind the wall."""
    is_level = frame.along[1] == 0
    for distance, spans in ((1.2, bays), (3.2, [(0, width)])):
        for start, end in spans:
            words = sawn_words(end - start, view.units, False)
            if text_size(words, view.letter)[0] > end - start:
                words = words.replace("about ", "")
                words = "" if text_size(words, view.letter)[0] > end - start or words else words
            (x1, y1), (x2, y2) = frame.point(start, 0), frame.point(end, 0)
            _, out = frame.point(0, -view.ems(distance)), frame.point(0, -view.ems(distance))
            at = out[1] if is_level else out[0]
            if not is_level and frame.along[1] < 0:
                at += view.ems(1.3)  # the words of an upright dimension stand left of it, towards the wall
            low, high = (min(x1, x2), max(x1, x2)) if is_level else (min(y1, y2), max(y1, y2))
            yield Dimension("x" if is_level else "y", low, high, at, words, view.letter)


def _name(name: str, width: int, frame: PlanFrame, view: View) -> Text:
    """The wall's name behind it, cut to what fits along it."""
    most = max(4, int(width / (0.58 * view.letter)) - 7)
    words = f'wall "{name}"' if len(name) <= most else f'wall "{name[: most - 1]}…"'
    off = SPACE + 2.4
    if frame.along == (0, -1):
        off += 1.3
    x, y = frame.point(width // 2, -view.ems(off))
    return Text(x, y, words, view.letter, turned=frame.along[0] == 0, bold=True)
