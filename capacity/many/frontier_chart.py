"""Pieces that have a place against money: a point for each answer, a step line through those that nothing beats."""

from __future__ import annotations

from collections.abc import Sequence

from capacity.drawings.drawing import Drawing, Line, Rectangle, Shape, Style, Text, text_size
from capacity.units import PER_MM

LETTER = 4 * PER_MM
WIDE, HIGH = 150 * PER_MM, 90 * PER_MM
"""The field between the axes [ticks of paper]."""

POINT = 3 * PER_MM
MOST_NAMED = 40


def frontier_drawing(points: Sequence[tuple[float, int, str, bool]], currency: str) -> Drawing:
    """The chart, each point numbered and named under it.

    Parameters
    ----------
    points
        Cost, pieces, words and whether nothing as cheap stores more; the cheapest first.
    currency
        The sign before an amount.
    """
    shown = points[:MOST_NAMED]
    costs, stored = [cost for cost, *_ in shown], [number for _, number, *_ in shown]
    left, right = _ends(min(costs), max(costs))
    low, top = _ends(min(stored), max(stored))

    def at(cost: float, number: float) -> tuple[int, int]:
        return round(WIDE * (cost - left) / (right - left)), round(HIGH * (number - low) / (top - low))

    shapes: list[Shape] = [Line(0, 0, WIDE, 0, Style.WALL), Line(0, 0, 0, HIGH, Style.WALL)]
    for amount in _marks(left, right):
        x, _ = at(amount, low)
        shapes += [Text(x, -LETTER, f"{currency}{amount:,}", LETTER), Line(x, 0, x, -LETTER // 3, Style.WALL)]
    for number in _marks(low, top):
        _, y = at(left, number)
        shapes += [Text(-LETTER // 2, y, str(number), LETTER, "right"), Line(0, y, WIDE, y, Style.OPENING)]
    shapes.append(Text(0, HIGH + round(1.5 * LETTER), "pieces that have a place", LETTER, "left"))
    shapes.append(Text(WIDE, -round(2.4 * LETTER), "likely cost", LETTER, "right"))
    last: tuple[int, int] | None = None
    for cost, number, _, is_best in shown:
        if is_best:
            x, y = at(cost, number)
            if last is not None:
                shapes += [Line(last[0], last[1], x, last[1], Style.ROD), Line(x, last[1], x, y, Style.ROD)]
            last = (x, y)
    below = -round(4.2 * LETTER)
    longest = 0
    for index, (cost, number, words, is_best) in enumerate(shown, start=1):
        x, y = at(cost, number)
        style = Style.ROD if is_best else Style.OPENING
        shapes.append(Rectangle(x - POINT // 2, y - POINT // 2, POINT, POINT, style))
        if (cost, number) not in [item[:2] for item in shown[: index - 1]]:
            same = [str(other) for other, (c, n, *_) in enumerate(shown, start=1) if (c, n) == (cost, number)]
            shapes.append(Text(x + POINT, y + LETTER * 3 // 4, ", ".join(same), LETTER, "left", plate=True))
        line = f"{index}  {words}" + ("" if is_best else " (something as cheap stores as much)")
        shapes.append(Text(0, below, line, LETTER, "left"))
        longest = max(longest, text_size(line, LETTER)[0])
        below -= round(1.5 * LETTER)
    if len(points) > len(shown):
        shapes.append(Text(0, below, f"and {len(points) - len(shown)} more", LETTER, "left"))
        below -= round(1.5 * LETTER)
    drawing = Drawing(max(WIDE, longest) + 3 * LETTER, HIGH + 3 * LETTER, 0, tuple(shapes))
    return drawing.moved(6 * LETTER, -below)


def _ends(low: float, high: float) -> tuple[float, float]:
    """Ends of an axis a little beyond the values."""
    more = max((high - low) * 0.08, 1.0)
    return max(0.0, low - more), high + more


def _marks(low: float, high: float) -> range:
    """Some four to nine round numbers between two ends."""
    step = next(each * 10**power for power in range(9) for each in (1, 2, 5) if (high - low) / (each * 10**power) < 9)
    return range(-(-int(low) // step) * step, int(high) + 1, step)
