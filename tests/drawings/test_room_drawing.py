"""The room as measured: what is in the file is in the drawing, to scale, and nothing stands out of the sheet."""

from __future__ import annotations

from pathlib import Path

import pytest

from capacity.closet.closet import Closet, parse_closet, read_closet
from capacity.drawings.drawing import Drawing, Extent, Line, Marker, Rectangle, Style
from capacity.drawings.room_drawing import LETTER, draw_from_above, draw_wall, wall_in_words
from capacity.drawings.to_svg import ON_PAPER, ON_SLATE, format_svg
from capacity.makeover.samples import SAMPLES
from capacity.units import PER_INCH

SHIPPED = Path(__file__).parents[2] / "inventory_samples"
WIDE, HIGH = 340, 460

ROOM = """
ceiling = 96
top = 84
[[wall]]
name = "a"
width = [60, "59 1/2"]
depth = 15
corner = "b"
ceiling = [96, 72]
[[wall.blocked]]
left = 10
width = 5
bottom = 40
height = 8
[[wall]]
name = "b"
width = 80
depth = 15
lean = 1
[[before]]
wall = "a"
left = 20
width = 30
depth = 12
openings = [{ kind = "shelf", bottom = 0, height = 10 }, { kind = "hang", bottom = 10, height = 50 }]
[door]
kind = "open"
width = 30
height = 80
faces = "b"
left = 25
distance = 50
[[lamp]]
kind = "surface led"
wall = "b"
left = 30
out = 24
width = 12
depth = 12
"""


def inside(drawing: Drawing) -> bool:
    sheet = Extent(0, 0, drawing.width, drawing.height)
    boxes = [
        shape.extent
        if isinstance(shape, Rectangle)
        else Extent(min(shape.x1, shape.x2), min(shape.y1, shape.y2), max(shape.x1, shape.x2), max(shape.y1, shape.y2))
        for shape in drawing.shapes
        if isinstance(shape, Rectangle | Line)
    ]
    return all(sheet.holds(box) for box in [*boxes, *(text.extent for text in drawing.texts())])


@pytest.fixture
def room() -> Closet:
    return parse_closet(ROOM)


def boxes(drawing: Drawing, style: Style) -> list[tuple[int, int]]:
    return [(s.width, s.height) for s in drawing.shapes if isinstance(s, Rectangle) and s.style is style]


@pytest.mark.parametrize("sample", SAMPLES)
def test_each_wall_and_the_plan_fit_the_sheet_and_keep_their_letters(sample: str) -> None:
    closet = read_closet(SHIPPED / sample / "closet.toml")
    sheets = [draw_wall(closet, wall, WIDE, HIGH) for wall in range(len(closet.wall))]
    for sheet in [*sheets, draw_from_above(closet, WIDE, HIGH)]:
        assert sheet.width <= WIDE + 3
        assert sheet.drawing.height * sheet.width <= (HIGH + 3) * sheet.drawing.width
        assert sheet.letter * sheet.width == pytest.approx(LETTER * sheet.drawing.width, rel=0.01)
        assert inside(sheet.drawing)
    for wall, sheet in zip(closet.wall, sheets, strict=True):
        letters = [shape.letter for shape in sheet.drawing.shapes if isinstance(shape, Marker)]
        assert len(letters) == sum(len(bay.openings) for bay in closet.before if bay.wall == wall.name)
        assert "bays with" in wall_in_words(closet, closet.wall.index(wall))


def test_the_wall_is_drawn_with_its_slope_blocked_part_and_bay_in_their_own_lengths(room: Closet) -> None:
    drawing = draw_wall(room, 0, WIDE, HIGH).drawing
    assert (5 * PER_INCH, 8 * PER_INCH) in boxes(drawing, Style.BLOCKED)
    assert (30 * PER_INCH, 50 * PER_INCH) in boxes(drawing, Style.OPENING)
    walls = [s for s in drawing.shapes if isinstance(s, Line) and s.style is Style.WALL]
    slope = next(line for line in walls if line.x1 != line.x2 and line.y1 != line.y2)
    assert (slope.x2 - slope.x1, slope.y1 - slope.y2) == (119 * PER_INCH // 2, 24 * PER_INCH)
    blocked = next(s for s in drawing.shapes if isinstance(s, Rectangle) and s.style is Style.BLOCKED)
    assert (blocked.left - slope.x1, blocked.bottom - drawing.floor) == (10 * PER_INCH, 40 * PER_INCH)


def test_from_above_the_walls_meet_and_door_and_lamp_lie_where_they_are_said_to(room: Closet) -> None:
    drawing = draw_from_above(room, WIDE, HIGH).drawing
    walls = [s for s in drawing.shapes if isinstance(s, Line) and s.style is Style.WALL]
    assert sorted({abs(s.x2 - s.x1) + abs(s.y2 - s.y1) for s in walls}) == [119 * PER_INCH // 2, 80 * PER_INCH]
    back = next(s for s in walls if s.y1 == s.y2)
    marks = {s.width: s for s in drawing.shapes if isinstance(s, Rectangle) and s.style is Style.BLOCKED}
    door, lamp = marks[30 * PER_INCH], marks[12 * PER_INCH]
    assert (door.left - back.x1, back.y1 - door.extent.top) == (25 * PER_INCH, 50 * PER_INCH)
    assert (lamp.left - back.x1, back.y1 - lamp.extent.top) == (30 * PER_INCH, 24 * PER_INCH)
    assert {"door", "lamp", "bay 1"} <= {text.words for text in drawing.texts()}
    assert not boxes(drawing, Style.PANEL)  # today's uprights are not known


def test_a_dark_sheet_has_no_light_ground_and_the_same_shapes(room: Closet) -> None:
    sheet = draw_wall(room, 0, WIDE, HIGH)
    light, dark = (format_svg(sheet.drawing, 'a "wall" <b>', sheet.letter, inks) for inks in (ON_PAPER, ON_SLATE))
    assert ON_PAPER.ground not in dark
    assert ON_PAPER.ink not in dark
    assert light.count("<rect") == dark.count("<rect")
    assert "<b>" not in light
