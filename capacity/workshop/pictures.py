"""All drawings of a building job, by file name, each with its height of letters and what it shows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from capacity.drawings.drawing import Drawing
from capacity.drawings.elevation import View, before_and_after
from capacity.drawings.gain_chart import LETTER, gain_drawing
from capacity.drawings.labels import Lengths
from capacity.drawings.plan_drawing import plan_drawing
from capacity.drawings.to_svg import format_svg
from capacity.makeover.comparison import gains
from capacity.workshop.build_record import sheet_name
from capacity.workshop.cutting.sheet_drawing import letter_of, sheet_drawing
from capacity.workshop.job import Job
from capacity.workshop.pages.drawer_section import section_drawings
from capacity.workshop.pages.heights import height_sheets
from capacity.workshop.parts_drawing import parts_drawing
from capacity.workshop.stock import saw_of
from capacity.workshop.story_stick import StoryStick, sticks_drawing, story_sticks

UPRIGHT, ON_ITS_SIDE, HALF = (58, 66), (80, 54), (58, 34)
"""Letters of 8.5 points across and up a page, a page lying on its side, and half a page (letter or A4)."""


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
    by_kind = gains(job.plan, job.inventory, "kind")
    yield Picture("gain", gain_drawing(by_kind), LETTER, "pieces stored before and after, by kind")
    units = job.closet.lengths
    view = View(max(run.width for run in job.problem.runs) * 2 // HALF[0], units)
    yield Picture("plan", plan_drawing(job.problem, job.layout, view), view.letter, "the walls from above")
    widest = max(
        (number for number, wall in enumerate(job.layout.walls) if wall.bays),
        key=lambda number: job.problem.runs[number].width,
    )
    run = job.problem.runs[widest]
    cover = View(max(2 * run.width // 50, max(run.ceiling_left, run.ceiling_right) // 24), units, names="none")
    drawing = before_and_after(job.problem, job.inventory, job.before, job.after, widest, cover)
    yield Picture("before-after", drawing, cover.letter, f"{run.name}, before and after")
    for wall, run in enumerate(job.problem.runs, 1):
        high = max(run.ceiling_left, run.ceiling_right)
        both = _view(2 * run.width, high, ON_ITS_SIDE, units)
        drawing = before_and_after(job.problem, job.inventory, job.before, job.after, wall - 1, both)
        yield Picture(f"wall-{wall}-before-after", drawing, both.letter, f"{run.name}, before and after, to one scale")
        if not job.layout.walls[wall - 1].bays:
            continue
        for number, (drawing, heights) in enumerate(height_sheets(job, wall), 1):
            title = f"{run.name}, heights and clear openings"
            yield Picture(_numbered(f"wall-{wall}-heights", number), drawing, heights.letter, title)
        one = _view(run.width, high, UPRIGHT, units)
        parts = job.carcass.parts
        drawing = parts_drawing(job.problem, parts, wall, one)
        yield Picture(f"wall-{wall}-parts", drawing, one.letter, f"{run.name}, every part with its label")
        tall = View(high // UPRIGHT[1], units)
        for number, drawing in enumerate(stick_sheets(story_sticks(parts, wall), tall), 1):
            yield Picture(
                _numbered(f"wall-{wall}-story-sticks", number), drawing, tall.letter, f"{run.name}, story sticks"
            )
    for number, (bays, drawing, letter) in enumerate(section_drawings(job), 1):
        yield Picture(_numbered("drawer-section", number), drawing, letter, f"drawers of {bays}, cut open")
    for material, cut_list in job.sheets.items():
        has_grain = any(part.has_grain for part in job.carcass.sheet_parts(material))
        for number, layout in enumerate(cut_list.plan.layouts, 1):
            drawing = sheet_drawing(layout, saw_of(job.closet), number, has_grain, units)
            name = sheet_name(material.value, number)
            yield Picture(name, drawing, letter_of(layout), f"{material.value}, sheet {number}, as it is cut")


def _numbered(name: str, number: int) -> str:
    return name if number == 1 else f"{name}-{number}"


def _view(width: int, height: int, letters: tuple[int, int], units: Lengths) -> View:
    """Letters as large as on a page, for a drawing of this size with its margins."""
    return View(max(width // (letters[0] - 8), height // (letters[1] - 10)), units)


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
