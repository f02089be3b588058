"""Before and after as a chart, kind by kind: an open bar, a filled bar, and a mark for what is owned."""

from __future__ import annotations

from collections.abc import Sequence

from capacity.drawings.drawing import Drawing, Line, Rectangle, Shape, Style, Text, text_size
from capacity.makeover.comparison import Gain
from capacity.units import PER_MM

LETTER = 4 * PER_MM
WIDE = 110 * PER_MM
"""Room for the longest bar [ticks of paper]."""

MOST_KINDS = 14
"""So many rows fit beside the rest of a page."""


def gain_drawing(gains: Sequence[Gain]) -> Drawing:
    """Bars for each kind, the largest gain on top; the axis starts at 0."""
    everything = sorted(gains, key=lambda gain: (-gain.gained, gain.name))
    order, rest = everything[:MOST_KINDS], everything[MOST_KINDS:]
    names = max((text_size(gain.name, LETTER)[0] for gain in order), default=0) + LETTER
    most = max((gain.owned for gain in order), default=1) or 1
    row, bar = round(LETTER * 2.6), LETTER
    high = row * len(order)
    shapes: list[Shape] = []
    for index, gain in enumerate(order):
        low = high - row * (index + 1) + LETTER // 4
        middle = low + bar
        shapes.append(Text(names - LETTER // 2, middle, gain.name, LETTER, "right"))
        for lift, number, style in ((bar, gain.before, Style.OPENING), (0, gain.after, Style.ROD)):
            long = WIDE * number // most
            shapes.append(Rectangle(names, low + lift, long, bar, style))
            after_it = names + WIDE * gain.owned // most + LETTER // 2
            shapes.append(Text(after_it, low + lift + bar // 2, str(number), round(LETTER * 0.75), "left"))
        owned = names + WIDE * gain.owned // most
        shapes.append(Line(owned, low - LETTER // 8, owned, low + 2 * bar + LETTER // 8, Style.WALL))
    shapes.append(Line(names, 0, names, high, Style.DETAIL))
    if rest:
        before, after, owned = (sum(getattr(gain, side) for gain in rest) for side in ("before", "after", "owned"))
        words = f"{len(rest)} other kinds: {before} of {owned} pieces before, {after} after"
        shapes.append(Text(names, -LETTER, words, LETTER, "left"))
    key = high + round(LETTER * 1.4)
    place = names
    for words, style in (("before", Style.OPENING), ("after", Style.ROD)):
        shapes.append(Rectangle(place, key - LETTER // 2, 2 * LETTER, LETTER, style))
        shapes.append(Text(place + round(2.5 * LETTER), key, words, LETTER, "left"))
        place += round(3.5 * LETTER) + text_size(words, LETTER)[0]
    shapes.append(Line(place, key - LETTER // 2, place, key + LETTER // 2, Style.WALL))
    shapes.append(Text(place + LETTER // 2, key, "owned", LETTER, "left"))
    drawing = Drawing(names + WIDE + 4 * LETTER, key + LETTER, 0, tuple(shapes))
    return drawing.moved(0, 2 * LETTER)
