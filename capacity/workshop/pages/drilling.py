"""Where every hole goes: pins, pocket screws, rod sockets, slides, each from the floor and from the front edge.

Distances are common practice with no published source, but for the rod's distance from the wall.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from capacity.drawings.labels import sawn_words, thickness_words
from capacity.layout.layout import Bay
from capacity.layout.problem import OpeningKind
from capacity.layout.reach_zones import ROD_FROM_WALL
from capacity.units import PER_INCH, PER_MM
from capacity.workshop.job import Job
from capacity.workshop.parts.drawer_boxes import BELOW, GROOVE
from capacity.workshop.parts.parts import FIXED_SHELVES, Part, Role
from capacity.workshop.quantities import SCREW_EDGE, WIDE_DRAWER, screws_in

PIN_EDGE = {"in": 3 * PER_INCH // 2, "mm": 37 * PER_MM}
"""Pin holes from the front edge and from the back edge: 37 mm in the 32 mm system [ticks]."""

PIN_DEPTH = {"in": 5 * PER_INCH // 16, "mm": 8 * PER_MM}
"""Depth of a pin hole: two in one upright, from both sides, do not meet [ticks]."""

PIN_BELOW = {"in": PER_INCH // 8, "mm": 5 * PER_MM // 2}
"""Middle of a pin of 5 mm under the shelf that lies on it [ticks]."""

PITCH = {"in": 5 * PER_INCH // 4, "mm": 32 * PER_MM}
"""Distance of pin holes, over one another [ticks]."""

STAGGER = {"in": PER_INCH, "mm": 25 * PER_MM}
"""Pocket screws of every other bay are so much further back, so that they do not meet in one upright [ticks]."""

SLIDE_MIDDLE = 7 * PER_INCH // 8
"""Middle of a side-mounted slide over the lower edge of its box [ticks]."""

FROM_WALL = {"in": ROD_FROM_WALL, "mm": 305 * PER_MM}
"""Middle of a rod from the wall, on a mark of the folder's rule [ticks]."""

SOCKET_EDGE = 3 * PER_INCH // 2
"""A rod socket is at least so far from the front edge of its upright [ticks]."""


class HoleKind(StrEnum):
    """What a hole is for."""

    PIN = "pin"
    POCKET = "pocket screw"
    ROD = "rod socket"
    SLIDE = "slide"


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole, or the middle of a socket or slide, alike on both sides of its bay.

    `height` is from the floor, `from_front` from the front edge of the upright [ticks]; `label` is the part that it
    carries. Wall and bay count from 1.
    """

    kind: HoleKind
    wall: int
    bay: int
    label: str
    height: int
    from_front: int


def holes(job: Job) -> tuple[Hole, ...]:
    """Every hole of the job, wall by wall and bay by bay, from the floor up."""
    found: list[Hole] = []
    for part in job.carcass.parts:
        if part.bay:
            bay = job.layout.walls[part.wall - 1].bays[part.bay - 1]
            found += _holes_for(job, part, bay)
    return tuple(sorted(found, key=lambda hole: (hole.wall, hole.bay, hole.kind, hole.height, hole.from_front)))


def _holes_for(job: Job, part: Part, bay: Bay) -> Iterator[Hole]:
    built, units = job.closet.construction, job.closet.units

    def hole(kind: HoleKind, height: int, from_front: int) -> Hole:
        return Hole(kind, part.wall, part.bay, part.label, height, from_front)

    if part.role is Role.LOOSE and built.supports == "pins":
        for from_front in (PIN_EDGE[units], bay.depth - PIN_EDGE[units]):
            yield hole(HoleKind.PIN, part.bottom - PIN_BELOW[units], from_front)
    elif part.role in FIXED_SHELVES and built.joint == "pocket screws":
        for from_front in pocket_places(bay.depth, part.bay, units == "mm"):
            yield hole(HoleKind.POCKET, part.bottom, from_front)
    elif part.role is Role.ROD:
        from_front = max(SOCKET_EDGE, bay.depth - FROM_WALL[units])
        yield hole(HoleKind.ROD, part.bottom + part.thickness // 2, from_front)
    elif part.role is Role.FRONT:
        opening = next(
            item
            for item in bay.openings
            if item.kind is OpeningKind.DRAWER and item.bottom <= part.bottom < item.bottom + item.height
        )
        yield hole(HoleKind.SLIDE, opening.bottom + BELOW + SLIDE_MIDDLE, job.closet.panel.thickness)


def pocket_places(depth: int, bay: int, is_metric: bool) -> tuple[int, ...]:
    """Places of pocket screws from the front edge: evenly between 2 in from both, every other bay 1 in further back.

    Examples
    --------
    >>> [place // 8128 for place in pocket_places(16 * 8128, 1, False)]
    [2, 7, 13]
    >>> [place // 8128 for place in pocket_places(16 * 8128, 2, False)]
    [3, 8, 14]
    """
    number, mark = screws_in(depth), PER_MM if is_metric else PER_INCH // 16
    stagger = STAGGER["mm" if is_metric else "in"]
    shift = stagger if bay % 2 == 0 else 0
    last = depth - SCREW_EDGE - stagger
    return tuple((SCREW_EDGE + (last - SCREW_EDGE) * at // (number - 1) + shift) // mark * mark for at in range(number))


# ---- the page -----------------------------------------------------------------------------------------


def bay_rows(job: Job) -> Iterator[list[str]]:
    """One line a bay and kind of hole: what is marked on both its uprights."""
    lengths = job.closet.lengths
    found = holes(job)
    for wall, number in dict.fromkeys((hole.wall, hole.bay) for hole in found):
        own = [hole for hole in found if (hole.wall, hole.bay) == (wall, number)]
        for kind in HoleKind:
            here = [hole for hole in own if hole.kind is kind]
            if not here:
                continue
            places = sorted({hole.from_front for hole in here})
            fronts = ", ".join(sawn_words(place, lengths, False) for place in places)
            if kind is HoleKind.SLIDE:  # behind the front, which is as thick as the board
                fronts = ", ".join(thickness_words(place, lengths) for place in places)
            heights = _heights(job, kind, here)
            yield [f"{wall}-{number}", kind.value, heights, fronts]


def _heights(job: Job, kind: HoleKind, here: list[Hole]) -> str:
    """Heights with the parts that they are for; pins also by their number in the row of holes, where there is one."""
    lengths, units = job.closet.lengths, job.closet.units
    labels: dict[int, list[str]] = {}
    for hole in here:
        labels.setdefault(hole.height, [])
        if hole.label not in labels[hole.height]:
            labels[hole.height].append(hole.label)
    first = min(labels)
    in_row = kind is HoleKind.PIN and all((height - first) % PITCH[units] == 0 for height in labels)
    words = []
    for height, names in sorted(labels.items()):
        which = f" = hole {(height - first) // PITCH[units] + 1}" if in_row else ""
        words.append(f"{', '.join(names)}: {sawn_words(height, lengths, False)}{which}")
    pitch = f" (first hole {sawn_words(first, lengths, False)}, then every {sawn_words(PITCH[units], lengths)})"
    return "; ".join(words) + (pitch if in_row and len(labels) > 1 else "")


def notes(job: Job) -> Iterator[str]:
    """What holds for all bays: depths, stagger, kick board, slides, cleats."""
    lengths, units, built = job.closet.lengths, job.closet.units, job.closet.construction

    def words(length: int) -> str:
        return sawn_words(length, lengths)

    yield (
        "Heights are from the finished floor, at the foot of an upright that stands on it; the second number is from "
        "the front edge of the upright. Mark both uprights of a bay from one story stick."
    )
    if job.closet.assembly == "on a base":
        kick = job.problem.rules.toe_kick
        yield f"Uprights stand on a base: take {words(kick)} off every height when you measure from their feet."
    kinds = {hole.kind for hole in holes(job)}
    if HoleKind.PIN in kinds:
        yield (
            f"Pins of 5 mm: holes {thickness_words(PIN_DEPTH[units], lengths)} deep (stop on the drill), in two rows. "
            f"One hole more over and under each, {words(PITCH[units])} away, lets a shelf move later. The template "
            "prints at true scale."
        )
    if HoleKind.POCKET in kinds:
        yield (
            "Pocket holes: on the underside of the shelf at both ends. The places are staggered: in bays of even "
            f"number {words(STAGGER[units])} further back, so that screws from two sides do not meet in one upright."
        )
    if HoleKind.ROD in kinds:
        far = words(FROM_WALL[units])
        yield f"Rod sockets: their middle {far} from the wall where the upright is deep enough (planning textbook)."
    if HoleKind.SLIDE in kinds:
        yield (
            "Slides: middle of the cabinet member, its front end behind the inset front by the thickness of the board. "
            f"Fronts have {words(built.reveal)} of air all round."
        )
        yield (
            f"Drawer boxes: a groove {words(GROOVE)} deep and {words(GROOVE)} over the lower edge inside all four "
            f"sides, {thickness_words(built.drawer_bottom, lengths)} wide, for the bottom. The box stands "
            f"{words(BELOW)} over the board below."
        )
        drawers = (bay for *_, bay, opening in job.layout.openings() if opening.kind is OpeningKind.DRAWER)
        wide = any(bay.width > WIDE_DRAWER for bay in drawers)
        two = "; two on a wide one, a quarter of its width from each end" if wide else ""
        yield f"Drawer pulls: half way up the front and in its middle{two} (common practice)."
    if job.carcass.of(Role.KICK):
        yield f"Kick boards stand {words(built.kick_setback)} behind the front edge."
