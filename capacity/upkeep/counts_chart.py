"""The history of counts as a chart over time: pieces owned and stored above, the room used below."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

from capacity.drawings.drawing import Drawing, Line, Rectangle, Shape, Style, Text, text_size
from capacity.units import PER_MM
from capacity.upkeep.counts import DayCount

LETTER = 4 * PER_MM
WIDE, HIGH = 130 * PER_MM, 42 * PER_MM
"""Room for the lines of one part [ticks of paper]."""

DOT = 2 * PER_MM
ROOMS: tuple[tuple[str, Callable[[DayCount], int]], ...] = (
    ("shelves", lambda day: day.shelf_used),
    ("rods", lambda day: day.rod_used),
    ("drawers", lambda day: day.drawer_used),
)


def counts_drawing(days: Sequence[DayCount]) -> Drawing:
    """Both parts over one axis of days; at least one day."""
    left = text_size("100 %", LETTER)[0] + LETTER
    most = max(max(day.pieces for day in days), 1)
    lower, upper = 2 * LETTER, HIGH + 6 * LETTER
    shapes: list[Shape] = [*_part(days, left, upper, most, "Pieces", "")]
    owned = [("owned", lambda day: day.pieces), ("have a place", lambda day: day.stored)]
    shapes += _lines(days, left, upper, most, owned)
    shapes += _part(days, left, lower, 100, "Room used", " %")
    shapes += _lines(days, left, lower, 100, ROOMS)
    shapes += _dates(days, left, 0)
    wide = left + WIDE + text_size("have a place 00000", LETTER)[0] + LETTER
    return Drawing(wide, upper + HIGH + 2 * LETTER, 0, tuple(shapes))


def _part(days: Sequence[DayCount], left: int, low: int, most: int, title: str, unit: str) -> Iterator[Shape]:
    """Title, axis from 0 and its two ends."""
    yield Text(left, low + HIGH + LETTER, title, LETTER, "left", bold=True)
    yield Line(left, low, left + WIDE, low, Style.WALL)
    yield Line(left, low, left, low + HIGH, Style.WALL)
    for share in (0, 1):
        yield Text(left - LETTER // 2, low + share * HIGH, f"{share * most}{unit}", LETTER, "right")


def _lines(
    days: Sequence[DayCount], left: int, low: int, most: int, what: Sequence[tuple[str, Callable[[DayCount], int]]]
) -> Iterator[Shape]:
    """A line for each thing that is counted, told apart by the shape of its dots and its name at its end."""
    ends: list[int] = []
    for number, (name, of) in enumerate(what):
        points = [(_x(days, day, left), low + HIGH * of(day) // most) for day in days if of(day) >= 0]
        if not points:
            continue
        for (x1, y1), (x2, y2) in pairwise(points):
            yield Line(x1, y1, x2, y2, Style.SPLIT if number == 1 else Style.WALL)
        for x, y in points:
            high = DOT * (1 + number) // 2 + DOT // 2
            yield Rectangle(x - DOT // 2, y - high // 2, DOT, high, (Style.ROD, Style.OPENING, Style.FOLDED)[number])
        last = next(of(day) for day in reversed(days) if of(day) >= 0)
        at = points[-1][1]
        while any(abs(at - other) < 5 * LETTER // 4 for other in ends):
            at -= LETTER // 4
        ends.append(at)
        yield Text(left + WIDE + LETTER, at, f"{name} {last}", LETTER, "left")


def _dates(days: Sequence[DayCount], left: int, at: int) -> Iterator[Shape]:
    """The first day and the last, and those between that do not touch them."""
    room, taken = text_size("0000-00-00", LETTER)[0] + LETTER, list[int]()
    for day in (days[0], days[-1], *days[1:-1]):
        x = _x(days, day, left)
        if all(abs(x - other) >= room for other in taken):
            taken.append(x)
            yield Text(x, at + 3 * LETTER // 4, day.date, LETTER)


def _x(days: Sequence[DayCount], day: DayCount, left: int) -> int:
    """Where a day is on the axis: by its date, the only one in the middle."""
    first, last, here = (datetime.date.fromisoformat(item.date).toordinal() for item in (days[0], days[-1], day))
    margin = 3 * LETTER
    return left + (WIDE // 2 if first == last else margin + (WIDE - 2 * margin) * (here - first) // (last - first))


def counts_in_words(days: Sequence[DayCount]) -> str:
    """What the chart shows."""
    first, last = days[0], days[-1]
    words = f"{last.date}: {last.stored} of {last.pieces} pieces have a place"
    return words if len(days) == 1 else f"{first.date}: {first.stored} of {first.pieces}; {words}."
