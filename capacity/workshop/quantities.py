"""How many screws, pins, slides and quarts a job needs, each number with the arithmetic behind it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from capacity.closet.edging import rod_support_every, shelf_support_every
from capacity.drawings.labels import length_words
from capacity.layout.problem import OpeningKind
from capacity.units import PER_INCH, PER_MM, counted, to_mm
from capacity.workshop.job import Job
from capacity.workshop.parts.carpentry import Carcass
from capacity.workshop.parts.drawer_boxes import drawer_box
from capacity.workshop.parts.parts import FIXED_SHELVES, SHELVES, Part, Role, StockKind

# How many of what a joint, a cleat, a drawer or a board takes, here and in the functions below: common practice, no
# published source.

STUD = 16 * PER_INCH
"""Distance of studs on centre [ticks]."""

SCREW_EVERY, SCREW_EDGE = 8 * PER_INCH, 2 * PER_INCH
"""Screws along a joint at most so far apart, and so far from its ends [ticks]."""

BACK_EVERY = 6 * PER_INCH
"""Screws around a back at most so far apart [ticks]."""

WIDE_DRAWER = 24 * PER_INCH
"""A wider drawer has two pulls [ticks]."""

COATS = {"primer": 1, "paint": 2}
"""Coats on both sides of each board."""

SQUARE_FOOT = (12 * PER_INCH) ** 2
FOOT = 12 * PER_INCH


@dataclass(frozen=True, slots=True)
class Quantity:
    """What is needed of one article: its key in the price list, how many, of what, and how that was reckoned."""

    key: str
    number: int
    unit: str
    how: str
    note: str = ""


def quantities(job: Job) -> Iterator[Quantity]:
    """Everything that is counted, measured out or spread, in the order of the shopping list."""
    yield from _rods(job)
    yield from _shelf_hardware(job)
    yield from _joints(job)
    yield from halves(job.carcass)
    yield from _to_the_wall(job)
    yield from _drawers(job)
    yield from _back(job)
    yield from _finish(job)


def screws_in(length: int) -> int:
    """Screws along a joint: two at least.

    Examples
    --------
    >>> [screws_in(inches * 8128) for inches in (4, 12, 15, 24)]
    [2, 2, 3, 4]
    """
    return max(2, -(-(length - 2 * SCREW_EDGE) // SCREW_EVERY) + 1)


def _every(job: Job, length: int) -> str:
    """A distance of the trade in the folder's own units: whole inches, or the nearest 5 mm."""
    if job.closet.units == "in":
        return f"{length // PER_INCH} in"
    return f"{5 * round(length / PER_MM / 5)} mm"


def _rods(job: Job) -> Iterator[Quantity]:
    rods = job.carcass.of(Role.ROD)
    if rods:
        yield Quantity("rod_sockets", len(rods), "pairs", f"{counted(len(rods), 'rod')}, a pair each")
    every = rod_support_every(job.closet)
    if every is not None:
        number = sum((rod.length - 1) // every for rod in rods)
        if number:
            words = length_words(every, job.closet.units)
            yield Quantity(
                "rod_brackets", number, "pieces", f"{counted(len(rods), 'rod')}, a bracket at most every {words}"
            )


def _shelf_hardware(job: Job) -> Iterator[Quantity]:
    built, loose = job.closet.construction, job.carcass.of(Role.LOOSE)
    if built.supports == "pins" and loose:
        yield Quantity(
            "shelf_pins", 4 * len(loose), "pins", f"{counted(len(loose), 'loose shelf', 'loose shelves')} x 4"
        )
    every = shelf_support_every(job.closet)
    if every is not None:
        shelves = job.carcass.of(*SHELVES)
        number = sum((shelf.length - 1) // every for shelf in shelves)
        if number:
            words = length_words(every, job.closet.units)
            yield Quantity(
                "shelf_brackets",
                number,
                "pieces",
                f"{counted(len(shelves), 'shelf', 'shelves')}, one at most every {words}",
            )


def _joints(job: Job) -> Iterator[Quantity]:
    fixed = job.carcass.of(*FIXED_SHELVES)
    ends = Counter(screws_in(part.width) for part in fixed)
    number = 2 * sum(screws * count for screws, count in ends.items())
    strips = job.carcass.of(Role.KICK, Role.CLEAT)
    shelf_words = " + ".join(
        f"{counted(count, 'fixed shelf', 'fixed shelves')} x 2 ends x {screws}"
        for screws, count in sorted(ends.items())
    )
    strip_words = f"{counted(len(strips), 'kick board or cleat', 'kick boards and cleats')} x 2 ends x 2"
    is_pocket = job.closet.construction.joint == "pocket screws"
    if is_pocket:
        yield Quantity("pocket_screws", number + 4 * len(strips), "screws", f"{shelf_words} + {strip_words}")
        return
    yield Quantity("pocket_screws", 4 * len(strips), "screws", strip_words)
    yield Quantity("panel_screws", number, "screws", shelf_words)


def halves(carcass: Carcass) -> Iterator[Quantity]:
    """What joins the two pieces of an upright, and the frames of bases."""
    joints = sum(1 for part in carcass.of(Role.UPRIGHT) if part.note.startswith("upper piece"))
    if joints:
        yield Quantity("joining_plates", 2 * joints, "plates", f"{counted(joints, 'upright')} in two pieces x 2")
    frames = len(carcass.of(Role.BASE)) // 4
    if frames:
        yield Quantity("frame_screws", 8 * frames, "screws", f"{counted(frames, 'base')} x 4 corners x 2")


def _to_the_wall(job: Job) -> Iterator[Quantity]:
    cleats = job.carcass.of(Role.CLEAT)
    studs = sum(cleat.length // STUD + 1 for cleat in cleats)
    how = f"{counted(len(cleats), 'cleat')} on at most {counted(studs, 'stud')} {_every(job, STUD)} apart x 2"
    yield Quantity("wall_screws", 2 * studs, "screws", how)
    short = [cleat for cleat in cleats if cleat.length // STUD < 2]
    if short:
        how = f"{counted(len(short), 'cleat')} with perhaps fewer than two studs x 2"
        yield Quantity("wall_anchors", 2 * len(short), "anchors", how, "besides the screws, never instead")
    missing = job.carcass.without_cleat
    if missing:
        how = f"{counted(missing, 'place')} without room for a wall cleat x 2"
        yield Quantity("wall_brackets", 2 * missing, "brackets", how)
    strips = job.carcass.of(Role.SCRIBE, Role.FILLER)
    supports = job.carcass.of(Role.SUPPORT)
    fronts = job.carcass.of(Role.FRONT)
    under = job.carcass.of(Role.SHELF_CLEAT)
    number = sum(strip.length // STUD + 1 for strip in (*strips, *under)) + 3 * len(supports) + 4 * len(fronts)
    words = [f"{counted(len(fronts), 'drawer front')} x 4"] if fronts else []
    words += [f"{counted(len(supports), 'shelf support')} x 3"] if supports else []
    words += (
        [f"{counted(len(strips), 'scribe or filler', 'scribes and fillers')}, one every {_every(job, STUD)}"]
        if strips
        else []
    )
    words += [f"{counted(len(under), 'strip')} under shelves, one every {_every(job, STUD)}"] if under else []
    if number:
        yield Quantity("short_screws", number, "screws", " + ".join(words))


def _drawers(job: Job) -> Iterator[Quantity]:
    side = job.closet.construction.drawer_side
    slides: Counter[int] = Counter()
    pulls = 0
    for *_, bay, opening in job.layout.openings():
        if opening.kind is OpeningKind.DRAWER:
            slides[drawer_box(bay, opening, side).slide] += 1
            pulls += 2 if bay.width > WIDE_DRAWER else 1
    drawers = sum(slides.values())
    if not drawers:
        return
    for length, number in sorted(slides.items()):
        words = f"{length // PER_INCH} in" if job.closet.units == "in" else f"{50 * int(to_mm(length) // 50)} mm"
        yield Quantity("slides", number, "pairs", f"{counted(number, 'drawer')}, a pair each", f"{words} long")
    yield Quantity(
        "pulls", pulls, "pieces", f"{counted(drawers, 'drawer')}, two where wider than {_every(job, WIDE_DRAWER)}"
    )
    yield Quantity("box_screws", 12 * drawers, "screws", f"{counted(drawers, 'drawer')} x 4 corners x 3")


def _back(job: Job) -> Iterator[Quantity]:
    backs = job.carcass.of(Role.BACK)
    number = sum(2 * (-(-part.length // BACK_EVERY) + -(-part.width // BACK_EVERY)) for part in backs)
    if number:
        yield Quantity(
            "back_screws",
            number,
            "screws",
            f"{counted(len(backs), 'back')}, one every {_every(job, BACK_EVERY)} around each",
        )


def _finish(job: Job) -> Iterator[Quantity]:
    joints = 2 * len(job.carcass.of(*FIXED_SHELVES)) + 4 * len(job.carcass.of(Role.BOX_FRONT))
    yield Quantity("glue", joints, "joints", "ends of fixed shelves and corners of drawer boxes")
    uprights = job.carcass.of(Role.UPRIGHT)
    feet = len({(part.wall, part.left) for part in uprights})
    if feet:
        yield Quantity("shims", 2 * feet, "shims", f"{counted(feet, 'upright')} x 2")
    boards = len(job.sheets[StockKind.PANEL].plan.layouts)
    yield Quantity("sandpaper", 2 * boards, "sheets", f"{counted(boards, 'board')} x 2")
    walls = sorted({part.wall for part in uprights})
    run = sum(bay.width for wall in job.layout.walls for bay in wall.bays)
    length = sum(2 * max(part.seen.top for part in uprights if part.wall == wall) for wall in walls) + run
    yield Quantity("caulk", -(-length // FOOT), "ft", "up both ends of each wall and along its tops")
    if not job.closet.construction.paint:
        return
    area = sum(_painted(part) for part in job.carcass.parts if part.material in (StockKind.PANEL, StockKind.BACK))
    for name, coats in COATS.items():
        feet = -(-coats * area // SQUARE_FOOT)
        yield Quantity(name, feet, "sq ft", f"boards, both sides, x {counted(coats, 'coat')}")


def _painted(part: Part) -> int:
    return 2 * part.area
