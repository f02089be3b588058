"""The order of work of a building packet, from what the job holds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from capacity.checks.way_in import carcasses, passes
from capacity.drawings.labels import sawn_words
from capacity.workshop.job import Job
from capacity.workshop.parts.parts import Role, StockKind


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step: a heading and what to do."""

    title: str
    words: str


def order_of_work(job: Job) -> tuple[WorkStep, ...]:
    """Numbered steps from the full closet to the full closet."""
    return tuple(_steps(job))


def _steps(job: Job) -> Iterator[WorkStep]:
    built, units, carcass = job.closet.construction, job.closet.units, job.carcass
    yield WorkStep("Clear out", "Take everything out; keep it sorted by the piles of the last list of this packet.")
    yield WorkStep(
        "Make good",
        "Take out old rods, shelves and baseboard where the uprights stand; fill, prime and paint the walls now. Mark "
        "the studs and every cable and pipe with tape.",
    )
    yield WorkStep(
        "Measure again",
        "Hold the widths of the plan against the room before the first cut: at the floor, half way up and at the "
        "top. Measure the board: its thickness must be the one on the shopping list, or every height shifts.",
    )
    sheets = sum(len(cut_list.plan.layouts) for cut_list in job.sheets.values())
    trim = f"Trim {sawn_words(built.trim, units)} off each factory edge. " if built.trim else ""
    yield WorkStep(
        "Cut",
        f"{sheets} sheets, one diagram each. {trim}Make the cuts in the order of their numbers; the kerf of "
        f"{sawn_words(built.kerf, units)} is reckoned in. Write the label on every part as it comes off the saw. "
        "Where a length says about, cut to the mark named and fit it in place.",
    )
    if built.joint == "dado":
        yield WorkStep(
            "Dadoes",
            f"{sawn_words(built.dado, units)} deep, as wide as the board measures, at the heights of the story sticks "
            "for every fixed shelf, top and bottom.",
        )
    yield WorkStep(
        "Story sticks",
        "Make one stick an upright, mark every height once, and carry the marks to the uprights from the stick, never "
        "from a tape. The mark is the underside of a shelf, the lower edge of a cleat, the middle of a rod.",
    )
    if built.band:
        yield WorkStep(
            "Band", "Iron on the edge band where the cut list says so; trim flush. Bands are left off the sizes."
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
        yield WorkStep("Paint", "Sand, prime and paint all parts lying flat, before assembly; two coats.")
    yield from _assembly(job)
    yield WorkStep(
        "Fix to studs",
        "Level with shims from the high spot of the floor. Screw each wall cleat into every stud it meets, two screws "
        "a stud; hollow-wall anchors only besides. Then scribe strips and fillers, then caulk.",
    )
    rods = carcass.of(Role.ROD)
    loose = len(carcass.of(Role.LOOSE))
    yield WorkStep(
        "Shelves and rods", f"Put in {loose} loose shelves and {len(rods)} rods; load each once and look again."
    )
    yield WorkStep("Put away", "Pile by pile, as the last pages say; what has no place is named there too.")


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
        "Assemble", f"{words}Fixed shelves first, square the bay, then the wall cleats between the uprights."
    )
    if job.closet.construction.back is not None and job.sheets.get(StockKind.BACK):
        yield WorkStep("Backs", "Screw the backs behind the uprights before the bays go to the wall.")
