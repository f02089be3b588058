"""The record of shapes and its writers."""

from __future__ import annotations

from fractions import Fraction

from support.cases import INCH, one_wall

from capacity.closet.closet import parse_closet
from capacity.drawings.carcass_drawing import View
from capacity.drawings.drawing import (
    Drawing,
    Extent,
    Line,
    Marker,
    Rectangle,
    Style,
    Text,
    beside,
    hatch,
)
from capacity.drawings.elevation import with_key
from capacity.drawings.to_plotly import LIGHT, draw_plotly
from capacity.drawings.to_svg import format_png, format_svg
from capacity.layout.problem import Problem
from capacity.makeover.files_to_problem import size_problem
from capacity.wardrobe.inventory import parse_inventory

LETTER = 2 * INCH
VIEW = View(LETTER, "in")


def test_a_picture_is_written_as_png_of_the_width_that_was_asked_for() -> None:
    svg = format_svg(Drawing(2000, 1000, 0, (Text(1000, 500, "<&", 100),)), "title", 100)
    data = format_png(svg, 300)
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    assert [int.from_bytes(data[at : at + 4], "big") for at in (16, 20)] == [300, 150]


def test_hatch_is_clipped_to_its_box() -> None:
    box = Extent(10, 20, 110, 60)
    lines = list(hatch(box, 15))
    assert len(lines) == 9  # (100 + 40) / 15 lines begin within the box or below its left edge
    for line in lines:
        assert box.holds(Extent(line.x1, line.y1, line.x2, line.y2))
        assert line.x2 - line.x1 == line.y2 - line.y1


def test_two_drawings_beside_each_other_keep_their_shapes() -> None:
    one = Drawing(100, 50, 10, (Text(5, 5, "one", 4),))
    other = Drawing(80, 70, 20, (Line(0, 20, 80, 20, Style.WALL),))
    both = beside(one, other, 7)
    assert (both.width, both.floor) == (187, 20)
    assert both.height >= 70
    assert both.shapes == (Text(5, 15, "one", 4), Line(107, 20, 187, 20, Style.WALL))


def test_the_figure_escapes_what_people_typed() -> None:
    drawing = Drawing(
        100,
        50,
        0,
        (Marker(10, 10, 4, "A", "After A", "<script>&'s"), Text(50, 20, "<b>", 4), Rectangle(0, 0, 9, 9, Style.BAGS)),
    )
    figure = draw_plotly(with_key(_empty_problem(), drawing, View(4, "in")), Fraction(1, 2).__float__(), LIGHT)
    assert figure.data[-1].hovertext == ("&lt;script&gt;&amp;'s",)
    assert figure.layout.annotations[0].text == "&lt;b&gt;"


def _empty_problem() -> Problem:
    closet = parse_closet(one_wall(60))
    return size_problem(closet, parse_inventory("what,count\nsneakers,1\n", "in"))
