"""Words led out of a drawing: their lines cross no other words, and each leads from what it is about."""

from __future__ import annotations

from capacity.drawings.drawing import Extent, Line, Text
from capacity.drawings.text_places import led_out


def test_a_leader_leaves_its_box_where_it_crosses_no_text_and_no_other_leader() -> None:
    """Two strips 100 high side by side; right of them is a text at half their height."""
    strips = [(Extent(0, 0, 10, 100), "inner"), (Extent(10, 0, 20, 100), "outer")]
    taken = [Extent(30, 40, 80, 60)]
    drawn = list(led_out(strips, (100, 130), (0, 100), 8, taken))
    level = [line for line in drawn if isinstance(line, Line) and line.y1 == line.y2 and line.x1 < 100]
    assert sorted(line.x1 for line in level) == [5, 15]
    heights = [line.y1 for line in level]
    assert all(0 < y < 100 and not 40 <= y <= 60 for y in heights)
    assert abs(heights[0] - heights[1]) >= 4
    words = [text for text in drawn if isinstance(text, Text)]
    assert {text.x for text in words} == {130}
    assert [text.words for text in sorted(words, key=lambda text: text.y)] == [
        name
        for _, name in sorted(zip(heights, (("inner" if line.x1 == 5 else "outer") for line in level), strict=True))
    ]


def test_left_of_a_drawing_lines_lead_to_the_left() -> None:
    drawn = list(led_out([(Extent(0, 0, 0, 50), "left")], (0, -30), (0, 50), 8))
    (text,) = [shape for shape in drawn if isinstance(shape, Text)]
    assert (text.x, text.anchor) == (-30, "right")
    assert max(line.x2 for line in drawn if isinstance(line, Line)) <= 0
