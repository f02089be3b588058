"""A wall from the front with every height and every clear opening, as many sheets as its letters need.

Left in a bay stands the height of a shelf's underside (and of a rod's middle) over the floor, as on the story stick;
right, in bold, the clear height of an opening.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from capacity.drawings.carcass_drawing import View, blocked_parts
from capacity.drawings.drawing import Dimension, Drawing, Line, Rectangle, Shape, Style, Text, text_size
from capacity.drawings.labels import sawn_words
from capacity.layout.layout import Bay
from capacity.layout.problem import BlockedPart
from capacity.units import PER_MM
from capacity.workshop.job import Job
from capacity.workshop.parts.parts import SHELVES, Part, Role

PAPER = (178 * PER_MM, 212 * PER_MM)
"""Room for a drawing on a page of letter or A4 [ticks of paper]."""

LETTER = 29 * PER_MM // 10
"""Height of the letters on paper: 8.2 points [ticks]."""

WIDEST = {"in": "00 15/16+", "ft": "0' 00 15/16\"+", "mm": "0000+"}
"""The longest text in a bay, by the unit that is printed; two stand side by side."""

MARGIN = 7.0
"""Letters around a drawing for its dimensions."""


def height_sheets(job: Job, wall: int) -> Iterator[tuple[Drawing, View]]:
    """The drawings of one wall (from 1), left to right, each with the size of its letters."""
    for group in _groups(job, wall):
        view = _view(job, wall, group)
        yield _sheet(job, wall, group, view), view


def _groups(job: Job, wall: int) -> Iterator[list[tuple[int, Bay]]]:
    """Bays side by side that go on one sheet: as many as leave each wide enough for its two texts."""
    group: list[tuple[int, Bay]] = []
    widest = WIDEST[job.closet.lengths.unit]
    for item in enumerate(job.layout.walls[wall - 1].bays, 1):
        letter = _view(job, wall, [*group, item]).letter
        if group and any(bay.width < _room(bay, letter, widest) for _, bay in [*group, item]):
            yield group
            group = []
        group.append(item)
    if group:
        yield group


def _room(bay: Bay, letter: int, widest: str) -> int:
    """Width that a bay's texts need: one over the other where every opening is high enough, else side by side."""
    is_low = min(opening.height for opening in bay.openings) < 7 * letter // 2
    return (2 if is_low else 1) * text_size(widest, letter)[0] + letter


def _view(job: Job, wall: int, group: Sequence[tuple[int, Bay]]) -> View:
    """Letters that are so high on paper when the sheet fills its page."""
    run, thick = job.problem.runs[wall - 1], job.problem.rules.panel
    wide = group[-1][1].left + group[-1][1].width + 2 * thick - group[0][1].left
    high = max(run.ceiling_left, run.ceiling_right)
    # (size + margins of so many letters) / paper = letter / LETTER
    letter = max(wide / (PAPER[0] / LETTER - 2 * MARGIN), high / (PAPER[1] / LETTER - MARGIN - 2))
    return View(round(letter), job.closet.lengths)


def _sheet(job: Job, wall: int, group: Sequence[tuple[int, Bay]], view: View) -> Drawing:
    run, thick = job.problem.runs[wall - 1], job.problem.rules.panel
    start = group[0][1].left - thick
    end = group[-1][1].left + group[-1][1].width + thick
    ceiling = [run.ceiling_over(place, place) for place in (max(0, start), min(run.width, end))]
    shapes: list[Shape] = [
        Line(start - thick, 0, end + thick, 0, Style.WALL),
        Line(start - thick, ceiling[0], end + thick, ceiling[1], Style.WALL),
    ]
    shapes += blocked_parts(run, view, start, end)
    numbers = [number for number, _ in group]
    own = [part for part in job.carcass.parts if part.wall == wall]
    for part in own:
        is_here = part.bay in numbers and part.role in (*SHELVES, Role.FRONT, Role.ROD)
        if is_here or (part.role is Role.UPRIGHT and start <= part.left < end):
            box = part.seen
            style = Style.DRAWER if part.role in (Role.FRONT, Role.ROD) else Style.PANEL
            shapes.append(Rectangle(box.left, box.bottom, box.right - box.left, box.top - box.bottom, style))
    for number, bay in group:
        shapes += _bay(job, wall, number, bay, own, view)
    at = -view.ems(3.4)
    shapes.append(
        Dimension("x", start, end, at - view.ems(2.2), sawn_words(end - start, view.units, False), view.letter)
    )
    first, last = (_top_at(job, own, place) for place in (start, end - thick))
    shapes.append(Dimension("y", 0, last, end + view.ems(2.6), sawn_words(last, view.units, False), view.letter))
    if first != last:  # under a slope
        shapes.append(
            Dimension("y", 0, first, start - view.ems(1.6), sawn_words(first, view.units, False), view.letter)
        )
    high = max(run.ceiling_left, run.ceiling_right)
    drawing = Drawing(end + view.ems(MARGIN), high + view.ems(2), 0, tuple(shapes))
    return drawing.moved(view.ems(3 if first == last else 4) - start, view.ems(MARGIN))


def _top_at(job: Job, own: Sequence[Part], left: int) -> int:
    """How high the upright there reaches; without one, as high as the built-ins are."""
    tops = [part.seen.top for part in own if part.role is Role.UPRIGHT and part.left == left]
    return max(tops, default=job.problem.top)


def _bay(job: Job, wall: int, number: int, bay: Bay, own: Sequence[Part], view: View) -> Iterator[Shape]:
    """One bay's heights on its left, clear openings on its right, its number and its width below."""
    letter, pad, boxes = view.letter, view.letter // 3, job.problem.runs[wall - 1].blocked
    for part in own:
        if part.bay == number and part.role in SHELVES:
            words = sawn_words(part.bottom, view.units, False)
            yield Text(
                bay.left + pad,
                part.bottom - round(0.62 * letter),
                words,
                letter,
                "left",
                plate=_is_over(boxes, bay, part),
            )
        if part.bay == number and part.role is Role.ROD:
            words = f"rod {sawn_words(part.bottom + part.thickness // 2, view.units, False)}"
            yield Text(bay.left + pad, part.bottom - round(0.62 * letter), words, letter, "left")
    for opening in bay.openings:
        words = sawn_words(opening.height, view.units, False)
        middle = opening.bottom + opening.height // 2
        yield Text(bay.left + bay.width - pad, middle, words, letter, "right", bold=True)
    at = -view.ems(3.4)
    yield Text(bay.left + bay.width // 2, -view.ems(0.9), f"bay {wall}-{number}", letter)
    words = sawn_words(bay.width, view.units, False)
    yield Dimension("x", bay.left, bay.left + bay.width, at, words, letter)


def _is_over(boxes: Sequence[BlockedPart], bay: Bay, shelf: Part) -> bool:
    """Whether a blocked part lies right under a shelf of a bay, so that its text needs a plate."""
    return any(
        box.left < bay.left + bay.width and bay.left < box.right and box.bottom < shelf.bottom <= box.top
        for box in boxes
    )
