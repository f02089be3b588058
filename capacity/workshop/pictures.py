"""All drawings of a building job, by file name, each with its height of letters and what it shows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from capacity.drawings.drawing import Drawing
from capacity.drawings.elevation import View, before_and_after
from capacity.drawings.gain_chart import LETTER, gain_drawing
from capacity.drawings.plan_drawing import plan_drawing
from capacity.drawings.to_svg import format_svg
from capacity.makeover.comparison import gains
from capacity.workshop.build_record import sheet_name
from capacity.workshop.cutting.sheet_drawing import letter_of, sheet_drawing
from capacity.workshop.job import Job
from capacity.workshop.parts_drawing import parts_drawing
from capacity.workshop.stock import saw_of
from capacity.workshop.story_stick import sticks_drawing, story_sticks

ACROSS = 90
"""Letters in the longer side of a drawing, so that they are about 2.5 mm high on a printed page."""


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
    units = job.closet.units
    widest = max(run.width for run in job.problem.runs)
    view = View(widest * 2 // ACROSS, units)
    yield Picture("plan", plan_drawing(job.problem, job.layout, view), view.letter, "the walls from above")
    for wall, run in enumerate(job.problem.runs, 1):
        high = max(run.ceiling_left, run.ceiling_right)
        both = View(max(2 * run.width, high) // ACROSS, units)
        drawing = before_and_after(job.problem, job.inventory, job.before, job.after, wall - 1, both)
        yield Picture(f"wall-{wall}-before-after", drawing, both.letter, f"{run.name}, before and after, to one scale")
        if not job.layout.walls[wall - 1].bays:
            continue
        one = View(max(run.width, high) // ACROSS, units)
        parts = job.carcass.parts
        drawing = parts_drawing(job.problem, parts, wall, one)
        yield Picture(f"wall-{wall}-parts", drawing, one.letter, f"{run.name}, every part with its label")
        drawing = sticks_drawing(story_sticks(parts, wall), one)
        yield Picture(f"wall-{wall}-story-sticks", drawing, one.letter, f"{run.name}, story sticks")
    for material, cut_list in job.sheets.items():
        has_grain = any(part.has_grain for part in job.carcass.sheet_parts(material))
        for number, layout in enumerate(cut_list.plan.layouts, 1):
            drawing = sheet_drawing(layout, saw_of(job.closet), number, has_grain, units)
            name = sheet_name(material.value, number)
            yield Picture(name, drawing, letter_of(layout), f"{material.value}, sheet {number}, as it is cut")
