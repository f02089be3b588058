"""The gaps between straight built-ins and the walls at their ends, and the boards that close them.

The built-ins stand where the plan has them: places along a wall count from its left end, where that end comes furthest
in, and what a design leaves over of a wall's width lies at its right end. The checks, the parts list, the cut list
and the drawings all read these gaps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from capacity.closet.closet import Closet
from capacity.layout.corners import reaches_walls
from capacity.layout.layout import Layout, WallLayout
from capacity.layout.problem import Problem
from capacity.units import Ticks, inches

MOST_SCRIBE = inches(1.5)
SCRIBE_SOURCE = "Architectural Woodwork Standards 1st ed. 2009, 1.2.20.1.4: casework scribes at wall-to-wall"
CAULK = inches(1 / 8)
"""A gap up to this is closed with caulk (common practice, no published source)."""
SCRIBE_SPARE = inches(1 / 4)
"""What a strip is wider than its widest gap, to be scribed off (common practice: 1/4 to 3/8 in)."""
LEAST_STRIP = inches(1 / 2)
"""Least width of a strip beside a filler panel (common practice, no published source)."""
MARK = inches(1 / 16)
FILLER, SCRIBE = "filler panel", "scribe strip"
CLOSER_NOTES = {
    FILLER: "from board; screwed to the outer upright",
    SCRIBE: "cut for the widest gap; scribed to the wall on site",
}


@dataclass(frozen=True, slots=True)
class Gap:
    """The gap at one end of a wall's built-ins: narrowest and widest over height and depth [ticks].

    `face` is where the outer upright's outer face stands, from the left end of the wall.
    """

    end: str
    face: int
    narrowest: int
    widest: int


@dataclass(frozen=True, slots=True)
class Closer:
    """A board that closes a gap or a part of it [ticks].

    `name` is `FILLER` or `SCRIBE`, as in the cut list; `width` is as cut and `narrowest` as left by the scribing at
    the narrowest place. `left` is where its left edge stands, from the left end of the wall: a strip lies against
    the wall where that comes furthest in, and what is wider than the gap there lies before the edge of the board
    beside it.
    """

    name: str
    end: str
    left: int
    width: int
    narrowest: int
    height: int


def baseboard_behind(closet: Closet, height: int) -> Ticks:
    """What a kept baseboard takes of the depth at a height over the floor [ticks]."""
    board = closet.baseboard
    return board.thickness if board is not None and board.keep and height < board.height else Ticks(0)


def built_out(wall: WallLayout, thick: int) -> int:
    """Width of a wall's built-ins over both outer uprights [ticks]."""
    return wall.bays[-1].left + wall.bays[-1].width - wall.bays[0].left + 2 * thick


def gaps_of(closet: Closet, problem: Problem, layout: Layout, index: int) -> tuple[Gap, ...]:
    """The gaps at those ends of a wall's built-ins where there is a wall; none at an end that is lost to a corner.

    Widths measured at several heights differ by what an end recedes somewhere, and nothing says which end: each gap
    may be that much wider. A lean or being out of square comes on top, and narrows the gap at the right end.
    """
    wall, run, thick = closet.wall[index], problem.runs[index], problem.rules.panel
    bays = layout.walls[index].bays
    at_left, at_right = reaches_walls(problem, index, layout.owners)
    crooked = wall.lean + wall.out_of_square
    more = max(wall.width) - min(wall.width) + crooked
    first, last = bays[0].left - thick, bays[-1].left + bays[-1].width + thick
    gaps = []
    if at_left:
        gaps.append(Gap("left", first, first, first + more))
    if at_right:
        room = run.width - last
        gaps.append(Gap("right", last, max(0, room - crooked), room + more))
    return tuple(gaps)


def filler_width(closet: Closet, gap: Gap) -> Ticks:
    """Width of the filler panel beside a gap's scribe strip; 0 when the strip alone is enough [ticks]."""
    most = min(MOST_SCRIBE, closet.construction.scribe)
    if gap.widest <= most:
        return Ticks(0)
    least = -(-(gap.widest - most) // MARK) * MARK
    return Ticks(max(least, (gap.narrowest - LEAST_STRIP) // MARK * MARK))


def is_open(closet: Closet, gap: Gap) -> bool:
    """Whether a gap is too wide to be filled and stays open."""
    return gap.widest > closet.construction.filler


def closers(closet: Closet, problem: Problem, layout: Layout, index: int) -> Iterator[Closer]:
    """The boards at the ends of a wall's built-ins, as high as the end they close; what is narrow is caulked."""
    run, bays = problem.runs[index], layout.walls[index].bays
    for gap in gaps_of(closet, problem, layout, index):
        if is_open(closet, gap):
            continue
        bay = bays[0] if gap.end == "left" else bays[-1]
        way = -1 if gap.end == "left" else 1
        over = sorted(max(0, min(place, run.width)) for place in (gap.face, gap.face + way * gap.widest))
        height = min(problem.head_over(run, bay.left, bay.left + bay.width), problem.head_over(run, *over))
        panel = filler_width(closet, gap) if closet.fillers else Ticks(0)
        if panel:
            yield Closer(FILLER, gap.end, min(gap.face, gap.face + way * panel), panel, panel, height)
        if gap.widest - panel > CAULK:
            width = gap.widest - panel + SCRIBE_SPARE
            narrowest = max(0, gap.narrowest - panel)
            left = max(0, gap.face - panel - width) if way < 0 else min(gap.face + panel, run.width - width)
            yield Closer(SCRIBE, gap.end, left, width, narrowest, height)
