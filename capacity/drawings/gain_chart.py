"""Before and after as a chart, kind by kind: an open bar, a filled bar, and a mark for what is owned."""

from __future__ import annotations

from collections.abc import Sequence

from capacity.drawings.drawing import Drawing, Line, Rectangle, Shape, Style, Text, text_size
from capacity.makeover.comparison import Gain
from capacity.units import PER_MM

WIDE = 110 * PER_MM
"""Room for the longest bar [ticks of paper]."""

MOST_KINDS = 10
"""So many rows fit beside the rest of a page."""


def gain_drawing(gains: Sequence[Gain], letter: int) -> Drawing:
    """Bars for each kind, the largest gain on top, with letters so high [ticks of paper]; the axis starts at 0."""
    everything = sorted(gains, key=lambda gain: (-gain.gained, gain.name))
    order, rest = everything[:MOST_KINDS], everything[MOST_KINDS:]
    names = max((text_size(gain.name, letter)[0] for gain in order), default=0) + letter
    most = max((gain.owned for gain in order), default=1) or 1
    row, bar = round(letter * 2.9), round(letter * 1.26)
    high = row * len(order)
    shapes: list[Shape] = []
    for index, gain in enumerate(order):
        low = high - row * (index + 1) + letter // 4
        middle = low + bar
        shapes.append(Text(names - letter // 2, middle, gain.name, letter, "right"))
        for lift, number, style in ((bar, gain.before, Style.OPENING), (0, gain.after, Style.ROD)):
            long = WIDE * number // most
            shapes.append(Rectangle(names, low + lift, long, bar, style))
            after_it = names + WIDE * gain.owned // most + letter // 2
            shapes.append(Text(after_it, low + lift + bar // 2, str(number), letter, "left"))
        owned = names + WIDE * gain.owned // most
        shapes.append(Line(owned, low - letter // 8, owned, low + 2 * bar + letter // 8, Style.WALL))
    shapes.append(Line(names, 0, names, high, Style.DETAIL))
    if rest:
        before, after, owned = (sum(getattr(gain, side) for gain in rest) for side in ("before", "after", "owned"))
        words = f"{len(rest)} other kinds: {before} of {owned} pieces before, {after} after"
        shapes.append(Text(names, -letter, words, letter, "left"))
    key = high + round(letter * 1.4)
    place = names
    for words, style in (("before", Style.OPENING), ("after", Style.ROD)):
        shapes.append(Rectangle(place, key - letter // 2, 2 * letter, letter, style))
        shapes.append(Text(place + round(2.5 * letter), key, words, letter, "left"))
        place += round(3.5 * letter) + text_size(words, letter)[0]
    shapes.append(Line(place, key - letter // 2, place, key + letter // 2, Style.WALL))
    shapes.append(Text(place + letter // 2, key, "owned", letter, "left"))
    drawing = Drawing(names + WIDE + 4 * letter, key + letter, 0, tuple(shapes))
    return drawing.moved(0, 2 * letter)
