"""The order of work of a building packet, from what the job holds."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from capacity.checks.way_in import carcasses, passes
from capacity.drawings.labels import sawn_words, thickness_words
from capacity.units import counted
from capacity.workshop.cutting.saw_steps import cuts_of
from capacity.workshop.job import Job
from capacity.workshop.pages.drilling import HoleKind, holes
from capacity.workshop.parts.parts import FIXED_SHELVES, Role, StockKind
from capacity.workshop.quantities import COATS
from capacity.workshop.stock import saw_of


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step: a heading and what to do; `minutes` by the rates of `[minutes]` where something is counted for it."""

    title: str
    words: str
    minutes: int = 0


def order_of_work(job: Job) -> tuple[WorkStep, ...]:
    """Numbered steps from the full closet to the full closet."""
    return tuple(_steps(job))


def _steps(job: Job) -> Iterator[WorkStep]:
    yield from _make_ready(job)
    yield from _make_parts(job)
    yield from _finish_parts(job)
    yield from _assembly(job)
    yield from _put_in(job)


def _make_ready(job: Job) -> Iterator[WorkStep]:
    yield WorkStep("Clear out", "Take everything out; keep it sorted by the piles of the last list of this packet.")
    board = job.closet.baseboard
    keeps_board = board is not None and board.keep
    old = "old rods and shelves" if keeps_board else "old rods, shelves and baseboard where the uprights stand"
    kept = " The baseboard stays: the uprights are notched over it." if keeps_board else ""
    yield WorkStep(
        "Make good",
        f"Take out {old}; fill, prime and paint the walls now.{kept} Mark the studs, and every cable and pipe.",
    )
    yield WorkStep(
        "Measure again",
        "Hold the widths of the plan against the room before the first cut: at the floor, half way up and at the "
        "top. Measure the board: its thickness must be the one on the shopping list, or every height shifts.",
    )


def _make_parts(job: Job) -> Iterator[WorkStep]:
    rates, built, units = job.closet.minutes, job.closet.construction, job.closet.lengths
    cuts = sum(
        len(cuts_of(layout, saw_of(job.closet))) for cut_list in job.sheets.values() for layout in cut_list.plan.layouts
    )
    sheets = sum(len(cut_list.plan.layouts) for cut_list in job.sheets.values())
    trim = f"Trim {thickness_words(built.trim, units)} off each factory edge. " if built.trim else ""
    yield WorkStep(
        "Cut",
        f"{counted(sheets, 'sheet')}, one diagram each. {trim}Make the cuts in the order of their numbers; the kerf of "
        f"{thickness_words(built.kerf, units)} is reckoned in. Write the label on every part as it comes off the saw. "
        "Where a + stands behind a size, cut to the mark named and fit it in place.",
        _minutes(cuts, rates.cut),
    )
    yield WorkStep(
        "Story sticks",
        "Make one stick an upright, mark every height once, and carry the marks to the uprights from the stick, never "
        "from a tape. The mark is the underside of a shelf, the lower edge of a cleat, the middle of a rod.",
    )
    pins, bored = counted_holes(job)
    yield WorkStep(
        "Drill",
        f"{counted(bored, 'hole')}, {pins} of them for pins, as the drilling page has them, before anything is put "
        "together.",
        _minutes(bored, rates.hole),
    )
    if built.joint == "dado":
        yield WorkStep(
            "Dadoes",
            f"{sawn_words(built.dado, units)} deep, as wide as the board measures, at the heights of the story sticks "
            "for every fixed shelf, top and bottom.",
        )


def _finish_parts(job: Job) -> Iterator[WorkStep]:
    rates, built, carcass = job.closet.minutes, job.closet.construction, job.carcass
    if built.band:
        yield WorkStep(
            "Band",
            "Iron on the edge band where the cut list says so; trim flush. Bands are left off the sizes.",
            _minutes(sum(len(part.band_lengths) for part in carcass.parts), rates.edge),
        )
    if carcass.of(Role.NOSING, Role.SHELF_CLEAT):
        yield WorkStep(
            "Strips",
            "Glue the strips to their shelves: along the front edge flush with the top, under the back edge flush with "
            "the back, screwed from below. The checks count with glued ones.",
        )
    if carcass.of(Role.FRONT):
        yield WorkStep(
            "Drawers",
            "Glue and screw the boxes, the bottom in its groove before the last side. Slides on the sides, a slide's "
            "thickness each; fit the fronts last, with an even gap around.",
        )
    if built.paint:
        boards = [part for part in carcass.parts if part.material in (StockKind.PANEL, StockKind.BACK)]
        coats = sum(COATS.values())
        yield WorkStep(
            "Paint",
            "Mask what will be glued (ends of fixed shelves, upper edges under a nosing) and plug the pin holes. Sand, "
            f"prime and paint all parts lying flat, before assembly: {coats} coats with primer, each dries "
            f"{_days(rates.drying)} or what the tin says: {_days(coats * rates.drying)} in all.",
            _minutes(coats * len(boards), rates.coat),
        )


def _put_in(job: Job) -> Iterator[WorkStep]:
    yield WorkStep(
        "Fix to studs",
        "Level with shims from the high spot of the floor. Screw each wall cleat into every stud it meets, two screws "
        "a stud; hollow-wall anchors only besides. Then scribe strips and fillers, then caulk.",
    )
    rods = job.carcass.of(Role.ROD)
    loose = len(job.carcass.of(Role.LOOSE))
    yield WorkStep(
        "Shelves and rods",
        f"Put in {counted(loose, 'loose shelf', 'loose shelves')} and "
        f"{counted(len(rods), 'rod')}; load each once and look again.",
    )
    own = job.closet.wishes.unit if not job.problem.keeps_bays else ()
    if own:
        names = ", ".join(f"{unit.what} (wall {unit.wall})" for unit in own)
        yield WorkStep(
            "What you own",
            f"Stand it in its bay: {names}. Strap or screw it to a stud through its back, so that a child "
            "cannot pull it over.",
        )
    yield WorkStep("Put away", "Pile by pile, as the last pages say; what has no place is named there too.")


def counted_holes(job: Job) -> tuple[int, int]:
    """Pin holes, and all holes: each on both sides of its bay; a rod socket and a slide take three screws each."""
    each = {HoleKind.PIN: 1, HoleKind.POCKET: 1, HoleKind.ROD: 3, HoleKind.SLIDE: 3}
    found = holes(job)
    pins = 2 * sum(hole.kind is HoleKind.PIN for hole in found)
    return pins, 2 * sum(each[hole.kind] for hole in found)


def _minutes(number: float, rate: float) -> int:
    return math.ceil(number * rate)


def _days(number: float) -> str:
    return f"{number:g} {'day' if number == 1 else 'days'}"


def _assembly(job: Job) -> Iterator[WorkStep]:
    """In or outside the room: what the way-in check says of every carcass, for the chosen way of building."""
    assembly = job.closet.assembly
    if job.problem.keeps_bays:
        words = "Today's uprights stay: take out the old shelves and rods, then put in the fixed shelves from the "
        yield WorkStep("Assemble", f"{words}bottom up, level, and the wall cleats with them.")
        return
    boxes = [
        (job.layout.walls[wall].name, box)
        for wall, row in enumerate(job.layout.walls)
        for number in range(1, len(row.bays) + 1)
        for box in carcasses(job.problem, job.layout, wall, number, assembly)
    ]
    stuck = [f"{box.name} ({wall})" for wall, box in boxes if not passes(job.closet, box)]
    if assembly == "in place" or len(stuck) == len(boxes):
        words = "Carry in single parts and put them together standing, in place, upright by upright from the left. "
    else:
        words = "Put each bay together lying, where there is room, the first of a wall with both its uprights and "
        words += "every further one with its far upright; then carry it in, stand it up and join it to the last. "
        if stuck:
            words += f"In place, part by part, because they do not get in or up whole: {', '.join(stuck)}. "
    words += {
        "two pieces": "Lower pieces first; the upper ones stand on them, a joining plate on each side of the joint. ",
        "on a base": "Screw each base together, level it with shims and fix it first; lift the bays on. ",
    }.get(assembly, "")
    yield WorkStep(
        "Assemble",
        f"{words}Fixed shelves first, square the bay, then the wall cleats between the uprights.",
        _minutes(2 * len(job.carcass.of(*FIXED_SHELVES, Role.CLEAT, Role.KICK)), job.closet.minutes.joint),
    )
    if job.closet.construction.back is not None and job.sheets.get(StockKind.BACK):
        yield WorkStep("Backs", "Screw the backs behind the uprights before the bays go to the wall.")
