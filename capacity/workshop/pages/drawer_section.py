"""A drawer cut open from front to back and across: front, box, slides, boards and cleat, each as the parts list has it.

Whoever looks sees that none of them meets another: what is left free is written where it is least.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from capacity.drawings.carcass_drawing import View
from capacity.drawings.drawing import Dimension, Drawing, Extent, Rectangle, Shape, Style, Text
from capacity.drawings.labels import sawn_words
from capacity.layout.layout import Bay, Layout, Opening
from capacity.layout.problem import OpeningKind
from capacity.units import PER_INCH
from capacity.workshop.job import Job
from capacity.workshop.pages.drilling import SLIDE_MIDDLE
from capacity.workshop.parts.drawer_boxes import SLIDE
from capacity.workshop.parts.parts import Part, Role

SLIDE_HEIGHT = 7 * PER_INCH // 4
"""Height of a side-mounted slide (45 mm, common practice, no published source) [ticks]."""

Pieces = tuple[tuple[str, Extent], ...]
"""Name and place of whatever is cut; names repeat."""


@dataclass(frozen=True, slots=True)
class DrawerSection:
    """One drawer [ticks]: from front to back, from the front edge of the uprights; and across, from the left one.

    `label` is that of its front. Both are from the upper face of the board under it up. `slides` lie beside the box,
    one behind the other as seen from the side.
    """

    wall: int
    bay: int
    label: str
    depth: int
    width: int
    height: int
    side: Pieces
    slide: Extent
    across: Pieces


def drawer_sections(thick: int, layout: Layout, parts: Sequence[Part]) -> Iterator[DrawerSection]:
    """Every drawer of a layout made of boards so thick, wall by wall and bay by bay, from the floor up."""
    for wall, row in enumerate(layout.walls, 1):
        for number, bay in enumerate(row.bays, 1):
            own = [part for part in parts if (part.wall, part.bay) == (wall, number)]
            for opening in bay.openings:
                if opening.kind is OpeningKind.DRAWER:
                    yield _section(thick, wall, number, bay, opening, own)


def _section(thick: int, wall: int, number: int, bay: Bay, opening: Opening, own: list[Part]) -> DrawerSection:
    low, high = opening.bottom, opening.height
    here = [part for part in own if low <= part.bottom < low + high]
    front = next(part for part in here if part.role is Role.FRONT)
    sides = [part for part in here if part.role is Role.BOX_SIDE]
    behind = front.thickness
    boards: Pieces = (("board", Extent(0, -thick, bay.depth, 0)), ("board", Extent(0, high, bay.depth, high + thick)))
    box = sides[0]
    side: list[tuple[str, Extent]] = [
        *boards,
        ("front", Extent(0, front.bottom - low, behind, front.bottom - low + front.width)),
        ("box", Extent(behind, box.bottom - low, behind + box.length, box.bottom - low + box.width)),
    ]
    for cleat in own:
        if cleat.role is Role.CLEAT and cleat.bottom < low + high and low < cleat.bottom + cleat.width:
            at = cleat.bottom - low
            side.append(("cleat", Extent(bay.depth - cleat.thickness, at, bay.depth, at + cleat.width)))
    middle = box.bottom - low + SLIDE_MIDDLE
    rail = (middle - SLIDE_HEIGHT // 2, middle + SLIDE_HEIGHT // 2)
    across: list[tuple[str, Extent]] = [
        ("upright", Extent(-thick, -thick, 0, high + thick)),
        ("upright", Extent(bay.width, -thick, bay.width + thick, high + thick)),
        ("board", Extent(0, -thick, bay.width, 0)),
        ("board", Extent(0, high, bay.width, high + thick)),
        ("slide", Extent(0, rail[0], SLIDE, rail[1])),
        ("slide", Extent(bay.width - SLIDE, rail[0], bay.width, rail[1])),
    ]
    for part in sides:
        left = part.left - bay.left
        across.append(("box", Extent(left, part.bottom - low, left + part.thickness, part.bottom - low + part.width)))
    slide = Extent(behind, rail[0], behind + box.length, rail[1])
    return DrawerSection(wall, number, front.label, bay.depth, bay.width, high, tuple(side), slide, tuple(across))


# ---- the page -----------------------------------------------------------------------------------------


def section_drawings(job: Job) -> Iterator[tuple[str, Callable[[View], Drawing]]]:
    """One drawing for all drawers that are alike: the labels of their fronts, and how it is drawn."""
    alike: dict[tuple[object, ...], list[DrawerSection]] = {}
    for item in drawer_sections(job.problem.rules.panel, job.layout, job.carcass.parts):
        alike.setdefault((item.side, item.across), []).append(item)
    for same in alike.values():
        yield ", ".join(item.label for item in same), partial(_drawing, job, same[0])


def _drawing(job: Job, item: DrawerSection, view: View) -> Drawing:
    """From front to back on the left, across on the right, to one scale."""
    letter, lengths, gap = view.letter, view.units, 5 * view.letter
    shapes = [*_pieces(item.side, letter), Rectangle(*_box(item.slide), Style.HATCH)]
    box = next(place for name, place in item.side if name == "box")
    behind = min((place.left for name, place in item.side if name == "cleat"), default=item.depth)
    thick = job.problem.rules.panel
    at = -thick - 2 * letter
    shapes += [
        Dimension("x", box.left, box.right, at, sawn_words(box.right - box.left, lengths), letter),
        Dimension("x", 0, item.depth, at - 3 * letter, sawn_words(item.depth, lengths), letter),
        Text((box.right + behind) // 2, item.height + thick + letter, sawn_words(behind - box.right, lengths), letter),
    ]
    beside = Drawing(0, 0, 0, tuple(_pieces(item.across, letter))).moved(item.depth + gap, 0).shapes
    outer = [place for name, place in item.across if name == "box"]
    start = item.depth + gap
    shapes += [
        *beside,
        Dimension(
            "x", start + outer[0].left, start + outer[-1].right, at,
            sawn_words(outer[-1].right - outer[0].left, lengths), letter,
        ),
        Dimension("x", start, start + item.width, at - 3 * letter, sawn_words(item.width, lengths), letter),
    ]  # fmt: skip
    wide, high = start + item.width + 2 * letter, item.height + thick + 2 * letter
    return Drawing(wide, high, 0, tuple(shapes)).moved(2 * letter, 8 * letter)


def _pieces(pieces: Pieces, letter: int) -> Iterator[Shape]:
    for name, place in pieces:
        style = Style.DRAWER if name in ("front", "box") else Style.DETAIL if name == "slide" else Style.PANEL
        yield Rectangle(*_box(place), style)
        if name in ("front", "box") and place.right - place.left > 4 * letter:
            yield Text((place.left + place.right) // 2, (place.bottom + place.top) // 2, name, letter, plate=True)


def _box(place: Extent) -> tuple[int, int, int, int]:
    return place.left, place.bottom, place.right - place.left, place.top - place.bottom
