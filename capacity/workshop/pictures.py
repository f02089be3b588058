"""All drawings of a building job, by file name, each with its height of letters and what it shows."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from capacity.drawings.carcass_drawing import View
from capacity.drawings.drawing import Drawing
from capacity.drawings.elevation import before_and_after
from capacity.drawings.gain_chart import gain_drawing
from capacity.drawings.labels import Lengths
from capacity.drawings.plan_drawing import plan_drawing
from capacity.drawings.to_svg import format_svg
from capacity.makeover.comparison import gains
from capacity.units import PER_INCH, PER_MM
from capacity.workshop.build_record import sheet_name
from capacity.workshop.cutting.sheet_drawing import sheet_drawing
from capacity.workshop.job import Job
from capacity.workshop.pages.drawer_section import section_drawings
from capacity.workshop.pages.heights import height_sheets
from capacity.workshop.parts_drawing import parts_drawing
from capacity.workshop.stock import saw_of
from capacity.workshop.story_stick import StoryStick, sticks_drawing, story_sticks

TEXT = 9.0
"""Height of the letters on paper [points]: what a drawing prints smaller, to 0.9 of it, is no less than 8."""

CHART, PLAN, ON_ITS_SIDE, PARTS = (178, 104), (178, 82), (247, 155), (178, 212)
SHEET, DRAWER = (111, 205), (178, 65)
"""Room for each drawing on a page of letter or A4, width and height, as `packet.typ` has it [mm of paper]."""

ROUNDS = 15
"""Most tries; more would not help where the margins, which are of so many letters, take the whole page."""

UPRIGHT = (58, 66)
"""Letters across and up a page of story sticks."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing with its file name (without ending), its letters' height [ticks] and a sentence on what it shows."""

    name: str
    drawing: Drawing
    letter: int
    title: str

    @property
    def svg(self) -> str:
        """The text of the SVG file."""
        return format_svg(self.drawing, self.title, self.letter)


def pictures(job: Job) -> Iterator[Picture]:
    """Chart, plan, and for each wall: before and after, parts, story sticks; then every sheet."""
    units, runs = job.closet.lengths, job.problem.runs

    def fitted(name: str, title: str, room: tuple[int, int], draw: Callable[[View], Drawing]) -> Picture:
        drawing, view = _fitted(draw, room, units)
        return Picture(name, drawing, view.letter, title)

    by_kind = gains(job.plan, job.inventory, "kind")
    title = "pieces stored before and after, by kind"
    yield fitted("gain", title, CHART, lambda view: gain_drawing(by_kind, view.letter))
    yield fitted("plan", "the walls from above", PLAN, partial(plan_drawing, job.problem, job.layout))
    both = partial(before_and_after, job.problem, job.inventory, job.before, job.after)
    built = [number for number, wall in enumerate(job.layout.walls) if wall.bays]
    widest = max(built, key=lambda number: runs[number].width)
    cover = View(runs[widest].width // 24, units, names="none", is_bare=True)
    yield Picture("before-after", both(widest, cover), cover.letter, f"{runs[widest].name}, before and after")
    for number, run in enumerate(runs):
        wall = f"wall-{number + 1}"
        title = f"{run.name}, before and after, to one scale"
        yield fitted(f"{wall}-before-after", title, ON_ITS_SIDE, partial(both, number))
        if number not in built:
            continue
        for sheet, (drawing, heights) in enumerate(height_sheets(job, number + 1), 1):
            title = f"{run.name}, heights and clear openings"
            yield Picture(_numbered(f"{wall}-heights", sheet), drawing, heights.letter, title)
        parts = job.carcass.parts
        title = f"{run.name}, every part with its label"
        yield fitted(f"{wall}-parts", title, PARTS, partial(parts_drawing, job.problem, parts, number + 1))
        tall = View(max(run.ceiling_left, run.ceiling_right) // UPRIGHT[1], units)
        for sheet, drawing in enumerate(stick_sheets(story_sticks(parts, number + 1), tall), 1):
            name = _numbered(f"{wall}-story-sticks", sheet)
            yield Picture(name, drawing, tall.letter, f"{run.name}, story sticks")
    for sheet, (fronts, draw) in enumerate(section_drawings(job), 1):
        yield fitted(_numbered("drawer-section", sheet), f"drawers with the fronts {fronts}, cut open", DRAWER, draw)
    for material, cut_list in job.sheets.items():
        has_grain = any(part.has_grain for part in job.carcass.sheet_parts(material))
        for number, layout in enumerate(cut_list.plan.layouts, 1):
            cut = partial(sheet_drawing, layout, saw_of(job.closet), number, has_grain)
            title = f"{material.value}, sheet {number}, as it is cut"
            yield fitted(sheet_name(material.value, number), title, SHEET, cut)


def _numbered(name: str, number: int) -> str:
    return name if number == 1 else f"{name}-{number}"


def _fitted(draw: Callable[[View], Drawing], room: tuple[int, int], units: Lengths) -> tuple[Drawing, View]:
    """A drawing with letters of `TEXT` points when it is as large as its room on the page [mm] allows."""
    view = View(3 * PER_MM, units, names="only inside")
    for _ in range(ROUNDS):
        drawing = draw(view)
        scale = max(drawing.width / room[0], drawing.height / room[1])  # ticks of the real thing in a mm of paper
        needed = math.ceil(scale * TEXT * (PER_INCH / PER_MM) / 72)
        if needed <= view.letter:
            break
        view = replace(view, letter=math.ceil(needed * 1.01))
    return drawing, view


def stick_sheets(sticks: Sequence[StoryStick], view: View) -> Iterator[Drawing]:
    """The sticks at the full height of a page, on as many sheets as they are wide."""
    rest = list(sticks)
    while rest:
        number = len(rest)
        drawing = sticks_drawing(rest, view)
        while number > 1 and drawing.width * UPRIGHT[1] > drawing.height * UPRIGHT[0]:
            number -= 1
            drawing = sticks_drawing(rest[:number], view)
        yield drawing
        rest = rest[number:]
