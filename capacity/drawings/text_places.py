"""Texts that find their place: the first of several wordings and places that is free, else out at the end of a line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from capacity.drawings.drawing import Extent, Line, Shape, Style, Text, text_size


def first_free(candidates: Iterable[Text], taken: Sequence[Extent], within: Extent | None = None) -> Text | None:
    """The first text that overlaps nothing taken and lies within a box, if one is given."""
    for text in candidates:
        box = text.extent
        if (within is None or within.holds(box)) and not any(box.overlaps(other) for other in taken):
            return text
    return None


def in_box(box: Extent, wordings: Sequence[str], height: int, pad: int) -> Text | None:
    """The first wording that fits the middle of a box, level or turned."""
    x, y = (box.left + box.right) // 2, (box.bottom + box.top) // 2
    inner = Extent(box.left + pad, box.bottom + pad, box.right - pad, box.top - pad)
    for words in wordings:
        for turned in (False, True):
            text = Text(x, y, words, height, turned=turned)
            if inner.holds(text.extent):
                return text
    return None


def led_out(
    wanted: Sequence[tuple[Extent, str]],
    edges: tuple[int, int],
    span: tuple[int, int],
    letter: int,
    taken: Sequence[Extent] = (),
) -> Iterator[Shape]:
    """Texts in a column beside a drawing, each with a line from what it is about.

    A line runs level from a tick in the middle of its box out of the drawing, at a height where it crosses no other
    text and no other line if there is one, and from there to its words.

    Parameters
    ----------
    wanted
        Boxes with their words.
    edges
        Where the drawing ends, and where the column begins: right of it or left of it.
    span
        From where to where up the column the words are to stand.
    letter
        Height of the letters.
    taken
        Texts of the drawing.
    """
    end, column = edges
    way = 1 if column > end else -1
    busy = list(taken)
    lines: list[tuple[int, int, str]] = []
    for box, words in sorted(wanted, key=lambda item: -way * item[0].left):  # what is further out first
        middle = (box.left + box.right) // 2
        y = _free_height(box, (min(middle, end), max(middle, end)), busy, letter)
        busy.append(Extent(min(middle, end), y - letter // 2, max(middle, end), y + letter // 2))
        lines.append((middle, y, words))
    lines.sort(key=lambda line: (line[1], -way * line[0]))
    gap = max((text_size(words, letter)[1] for *_, words in lines), default=0) + letter // 3
    heights = spread([y for _, y, _ in lines], gap, *span)
    tick = letter // 4
    for (x, y, words), height in zip(lines, heights, strict=True):
        yield Line(x, y - tick, x, y + tick, Style.DETAIL)
        yield Line(x, y, end + way * letter // 4, y, Style.DETAIL)
        yield Line(end + way * letter // 4, y, column - way * letter // 4, height, Style.DETAIL)
        yield Text(column, height, words, letter, "left" if way > 0 else "right")


def _free_height(box: Extent, along: tuple[int, int], taken: Sequence[Extent], letter: int) -> int:
    """The height in a box, nearest to its middle, where a level line from one place to another crosses nothing."""
    middle, room = (box.bottom + box.top) // 2, (box.top - box.bottom) // 2 - letter // 4
    for step in range(0, max(0, room) + 1, max(1, letter // 4)):
        for y in (middle + step, middle - step):
            line = Extent(along[0], y - letter // 8, along[1], y + letter // 8)
            if not any(line.overlaps(other) for other in taken):
                return y
    return middle


def spread(places: Sequence[int], gap: int, low: int, high: int) -> tuple[int, ...]:
    """Places as near as can be to those wanted, in their order, at least `gap` apart, from `low` to `high`.

    Where they cannot all lie between the two, they begin at `low` and reach beyond `high`.

    Examples
    --------
    >>> spread((10, 11, 30), 5, 0, 40)
    (8, 13, 30)
    """
    groups: list[tuple[int, int]] = []  # first place, number
    wanted: list[list[int]] = []
    for place in places:
        groups.append((place, 1))
        wanted.append([place])
        while len(groups) > 1 and groups[-2][0] + gap * groups[-2][1] > groups[-1][0]:
            merged = wanted[-2] + wanted[-1]
            middle = sum(value - gap * index for index, value in enumerate(merged)) // len(merged)
            groups[-2:] = [(middle, len(merged))]
            wanted[-2:] = [merged]
        first, number = groups[-1]
        groups[-1] = (max(low, min(first, high - gap * (number - 1))), number)
    found: list[int] = []
    reached = low - gap
    for first, number in groups:
        for index in range(number):
            reached = max(reached + gap, first + gap * index)
            found.append(reached)
    return tuple(found)
