"""What falls short of a check, numbered as page 1 of the packet has it, and the parts that each concerns."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from capacity.checks.check import Check, shortfalls, told
from capacity.checks.way_in import CarriedItem, part_name
from capacity.layout.layout import Opening
from capacity.workshop.job import Job
from capacity.workshop.parts.parts import SHELVES, Part, Role

CARRIED = ("goes ", "stands up", "floor to lie on", "turns inside")
"""How the checks begin that concern what is carried in."""


@dataclass(frozen=True, slots=True)
class Shortfall:
    """One line of page 1: its number, what falls short and where, figures, cure, and labels of the parts concerned."""

    number: int
    what: str
    figures: str
    cure: str
    labels: tuple[str, ...]


def shortfalls_of(job: Job) -> tuple[Shortfall, ...]:
    """Everything that falls short, numbered from 1."""
    found = []
    for number, group in enumerate(shortfalls(job.report.checks), 1):
        labels = dict.fromkeys(part.label for check in group for part in _concerned(job, check))
        found.append(Shortfall(number, *told(group), tuple(labels)))
    return tuple(found)


def marks(found: tuple[Shortfall, ...]) -> dict[str, str]:
    """By label of a part, the numbers of what falls short of it."""
    numbers: dict[str, list[str]] = {}
    for item in found:
        for label in item.labels:
            numbers.setdefault(label, []).append(str(item.number))
    return {label: f"falls short: see {', '.join(of_it)} on page 1" for label, of_it in numbers.items()}


def _concerned(job: Job, check: Check) -> Iterator[Part]:
    """The parts that would be other ones if the check passed."""
    place = check.place
    names = [run.name for run in job.problem.runs]
    wall = names.index(place.wall) + 1 if place.wall in names else 0
    own = [part for part in job.carcass.parts if wall in (0, part.wall)]
    in_bay = [part for part in own if place.bay in (None, part.bay)]
    if check.name.startswith("shelf "):
        opening = _opening(job, check)
        tops = [part for part in in_bay if part.role in SHELVES]
        yield from (part for part in tops if _carries(part, opening))
    elif check.name.startswith("rod ") or check.name.endswith("clothes pole"):
        opening = _opening(job, check)
        for part in in_bay:
            if part.role is Role.ROD and opening and 0 <= part.bottom - opening.bottom < opening.height:
                yield part
    elif check.name.startswith("scribe "):
        yield from (part for part in own if part.role in (Role.SCRIBE, Role.FILLER))
    elif check.name.startswith("shims "):
        yield from (part for part in own if part.role in (Role.KICK, Role.BASE))
    elif check.name.startswith("drawer "):
        yield from (part for part in in_bay if part.role is Role.FRONT)
    elif check.name.startswith(CARRIED):
        yield from _carried(job, check, own)
    elif check.name.startswith(("built-ins ", "board ", "top ")):
        yield from (part for part in own if part.role is Role.UPRIGHT)


def _opening(job: Job, check: Check) -> Opening | None:
    """The opening that a check is about; None for the empty top of a bay."""
    place = check.place
    for wall, bay, index, _, opening in job.layout.openings():
        if (job.problem.runs[wall].name, bay + 1, index + 1) == (place.wall, place.bay, place.opening):
            return opening
    return None


def _carries(shelf: Part, opening: Opening | None) -> bool:
    return shelf.role is Role.TOP if opening is None else shelf.bottom + shelf.thickness == opening.bottom


def _carried(job: Job, check: Check, own: list[Part]) -> Iterator[Part]:
    """Both uprights of a bay that is carried whole, or every single part of the size that does not get in."""
    place = check.place
    if place.bay is not None:
        wall = next(number for number, run in enumerate(job.problem.runs) if run.name == place.wall)
        bay, thick = job.layout.walls[wall].bays[place.bay - 1], job.problem.rules.panel
        ends = (bay.left - thick, bay.left + bay.width)
        yield from (part for part in own if part.role is Role.UPRIGHT and part.left in ends)
        return
    depths = [run.depth for run in job.problem.runs]
    for part in own:
        box = None
        if part.role is Role.UPRIGHT:
            box = CarriedItem("upright", part.thickness, depths[part.wall - 1], part.length)
        elif part.role in SHELVES:
            bay = job.layout.walls[part.wall - 1].bays[part.bay - 1]
            box = CarriedItem("shelf", bay.width, bay.depth, part.thickness)
        elif part.role is Role.KICK:
            box = CarriedItem("toe kick", part.length, part.thickness, part.width)
        if box is not None and part_name(box, job.closet.units) == place.thing:
            yield part
