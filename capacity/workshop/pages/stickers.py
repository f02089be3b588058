"""A page of labels to stick on the parts: cells of a sheet by numbers of columns and rows, one part a cell."""

from __future__ import annotations

from collections.abc import Iterator

from capacity.drawings.labels import sawn_words
from capacity.workshop.job import Job
from capacity.workshop.parts.parts import SHEETS


def stickers(job: Job) -> Iterator[list[str]]:
    """For every part of board: its label; what it is and its size; where it goes."""
    names = [run.name for run in job.problem.runs]
    for material in SHEETS:
        for part in job.carcass.sheet_parts(material):
            size = " × ".join(sawn_words(side, job.closet.lengths, False) for side in (part.length, part.width))
            bay = f", bay {part.bay}" if part.bay else ""
            yield [part.label, f"{part.role.value}, {size}", f"wall {names[part.wall - 1]}{bay}"]
