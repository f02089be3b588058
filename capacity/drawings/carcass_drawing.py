"""A wall as it stands empty: the room, what is in the way, the panels built in it, and its dimensions.

All of it in the wall's own lengths; what is in the openings is drawn by `elevation`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from capacity.drawings.drawing import Dimension, Extent, Line, Rectangle, Shape, Style, Text, hatch, text_size
from capacity.drawings.labels import Lengths, length_words, sawn_words
from capacity.drawings.silhouettes import padlock
from capacity.drawings.text_places import in_box
from capacity.layout.corners import ends_of, reaches_walls
from capacity.layout.layout import Bay, Layout, panels_of
from capacity.layout.problem import Problem, Run
from capacity.units import PER_INCH, Tape

LONGEST_UPRIGHT_GAP = 2 * PER_INCH
"""Bays of today's closet this near to each other are parted by a panel; further apart, by nothing (our proposal)
[ticks]."""


@dataclass(frozen=True, slots=True)
class Standing:
    """Somebody with stature (0: not known, so not drawn) and the highest place within reach [ticks]."""

    name: str
    stature: int
    reach: int


@dataclass(frozen=True, slots=True)
class View:
    """How a wall is shown: height of the letters [ticks], units of lengths, and what is shown besides.

    `names` says where contents are named: within the openings that have room and in a list below for the others, only
    within, all in that list, or nowhere. `people` have their reach drawn. With `has_floor` what has no place lies in
    front. `chosen` is the name of the opening that is marked. One that `is_bare` has no text at all.
    """

    letter: int
    units: Lengths
    names: Literal["inside", "only inside", "list", "none"] = "inside"
    people: tuple[Standing, ...] = ()
    has_floor: bool = False
    chosen: str = ""
    is_bare: bool = False

    def ems(self, number: float) -> int:
        """So many heights of a letter [ticks]."""
        return round(number * self.letter)

    def length(self, ticks: int) -> str:
        """A length of the drawing in words: for the workshop down to a mark, for reading to the nearest one."""
        as_printed = sawn_words if isinstance(self.units, Tape) else length_words
        return as_printed(ticks, self.units, False)


# ---- the room and what is built in it -------------------------------------------------------------------


def outline(run: Run) -> Iterator[Shape]:
    """Floor, ceiling and both ends of a wall."""
    yield Line(0, 0, run.width, 0, Style.WALL)
    yield Line(0, 0, 0, run.ceiling_left, Style.WALL)
    yield Line(run.width, 0, run.width, run.ceiling_right, Style.WALL)
    yield Line(0, run.ceiling_left, run.width, run.ceiling_right, Style.WALL)


def blocked_parts(run: Run, view: View, start: int = 0, end: int | None = None) -> Iterator[Shape]:
    """What stands in the way on a wall, or on the part of it between two places, hatched and named."""
    for box in run.blocked:
        extent = Extent(max(start, box.left), box.bottom, min(box.right, run.width if end is None else end), box.top)
        if extent.right <= extent.left:
            continue
        yield Rectangle(extent.left, extent.bottom, extent.right - extent.left, box.top - box.bottom, Style.BLOCKED)
        yield from hatch(extent, view.ems(0.6))
        if box.name and not view.is_bare:
            text = in_box(extent, [box.name, box.name.replace(" ", "\n")], view.letter, view.letter // 8)
            if text is not None:
                yield replace(text, plate=True)


def lost_to_corners(problem: Problem, layout: Layout, wall: int, view: View) -> Iterator[Shape]:
    """What this wall gives up so that the neighbour's end can be reached: hatched, and said in words."""
    run = problem.runs[wall]
    start, end = ends_of(problem, wall, layout.owners)
    at_left, at_right = reaches_walls(problem, wall, layout.owners)
    for left, right, is_kept in ((0, start, not at_left), (end, run.width, not at_right)):
        if not is_kept or right <= left:
            continue
        high = problem.head_over(run, left, right)
        extent = Extent(left, 0, right, high)
        yield Rectangle(left, 0, right - left, high, Style.CORNER)
        yield from hatch(extent, view.ems(1.6))
        middle = (left + right) // 2, high // 2
        words = "kept free: corner of the next wall"
        text = in_box(extent, [words, words.replace(": ", ":\n"), "kept free"], view.letter, 0)
        yield replace(text or Text(*middle, words, view.letter, turned=True), plate=True)


def carcass(problem: Problem, run: Run, bays: tuple[Bay, ...]) -> Iterator[Shape]:
    """Uprights as high as the higher bay beside them, and every bottom, shelf and top."""
    thick = problem.rules.panel
    uprights: dict[int, int] = {}
    for bay in bays:
        top = problem.head_over(run, bay.left, bay.left + bay.width)
        for left in (bay.left - thick, bay.left + bay.width):
            uprights[left] = max(uprights.get(left, 0), min(top, problem.head_over(run, left, left + thick)))
    for left, top in sorted(uprights.items()):
        yield Rectangle(left, 0, thick, top, Style.PANEL)
    for bay in bays:
        for face in panels_of(problem, bay):
            yield Rectangle(bay.left, face, bay.width, thick, Style.PANEL)


def old_carcass(bays: tuple[Bay, ...]) -> Iterator[Shape]:
    """Today's closet: only clear rooms are known, so what parts them is drawn, or a broken line where nothing does."""
    for bay in bays:
        right = bay.left + bay.width
        for lower, upper in pairwise(bay.openings):
            face = lower.bottom + lower.height
            if upper.bottom > face:
                yield Rectangle(bay.left, face, bay.width, upper.bottom - face, Style.PANEL)
            else:
                yield Line(bay.left, face, right, face, Style.SPLIT)
    for bay, following in pairwise(bays):
        right = bay.left + bay.width
        tops = [item.openings[-1].bottom + item.openings[-1].height for item in (bay, following) if item.openings]
        if tops and 0 < following.left - right <= LONGEST_UPRIGHT_GAP:
            yield Rectangle(right, 0, following.left - right, min(tops), Style.PANEL)
        elif tops and following.left == right:
            yield Line(right, 0, right, min(tops), Style.SPLIT)


# ---- dimensions -----------------------------------------------------------------------------------------


def widths(
    problem: Problem, run: Run, bays: tuple[Bay, ...], is_built: bool, view: View
) -> tuple[int, tuple[Dimension, ...]]:
    """The chain of clear widths, panels and free wall that adds up to the wall, and the wall under it.

    Returns the room that both take under the floor, and the dimensions.
    """
    thick = problem.rules.panel if is_built else 0
    marks = {0, run.width}
    for bay in bays:
        marks |= {bay.left - thick, bay.left, bay.left + bay.width, bay.left + bay.width + thick}
    places = sorted(mark for mark in marks if 0 <= mark <= run.width)
    clear = {(bay.left, bay.left + bay.width) for bay in bays}
    tall = text_size("0", view.letter)[1]
    printed: list[tuple[int, int, str, bool]] = []
    for start, end in pairwise(places):
        words, is_turned = _fitted(view.length(end - start), end - start, view)
        is_named = (start, end) in clear or (not is_turned and end - start > 2 * problem.rules.panel)
        printed.append((start, end, words if is_named else "", is_turned))
        if is_named:
            tall = max(tall, text_size(words, view.letter)[0 if is_turned else 1])
    chain = -tall - view.ems(0.7)
    whole = chain - view.ems(2.1)
    dimensions = [
        Dimension("x", start, end, chain, words, view.letter, turned) for start, end, words, turned in printed
    ]
    words = view.length(run.width)
    dimensions.append(Dimension("x", 0, run.width, whole, words, view.letter))
    return -whole + view.ems(0.8), tuple(dimensions)


def locks(
    problem: Problem, wall: int, bays: tuple[Bay, ...], dimensions: Sequence[Dimension], view: View
) -> Iterator[Rectangle]:
    """A padlock under every bay that must be where it is, beside whatever is printed there."""
    kept = {(bay.left, bay.width) for bay in problem.fixed if bay.run == wall}
    size, chain = view.ems(1.1), dimensions[0].at
    taken = [text.extent for dimension in dimensions if (text := dimension.text) is not None]
    for bay in bays:
        if (bay.left, bay.width) not in kept:
            continue
        bottom = chain - view.ems(0.5) - size
        places = range(bay.left + view.ems(0.2), max(bay.left + bay.width - size, bay.left + 1), max(1, size // 2))
        boxes = [Rectangle(left, bottom, size, size, Style.LOCK, figure=padlock(size)) for left in places]
        free = (box for box in boxes if not any(box.extent.overlaps(other) for other in taken))
        found = next(free, None)
        if found is not None:
            yield found


def _fitted(words: str, room: int, view: View) -> tuple[str, bool]:
    """The words of a length as they fit over a line: on one line, with `about` over it, or turned upright."""
    for text in (words, words.replace("about ", "about\n")):
        if text_size(text, view.letter)[0] <= room:
            return text, False
    return words, True


def heights(problem: Problem, run: Run, is_built: bool, view: View) -> Iterator[Dimension]:
    """Ceiling height right of the wall, both ends where it slopes, and the height of the built-ins."""
    words = view.length

    first, second = run.width + view.ems(1.9), run.width + view.ems(3.9)
    top = problem.head_under(run, max(run.ceiling_left, run.ceiling_right))
    if is_built and top < run.ceiling_right:
        yield Dimension("y", 0, top, first, words(top), view.letter)
    yield Dimension("y", 0, run.ceiling_right, second, words(run.ceiling_right), view.letter)
    if run.is_sloped:
        yield Dimension("y", 0, run.ceiling_left, -view.ems(0.7), words(run.ceiling_left), view.letter)
