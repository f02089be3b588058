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
    wanted: Sequence[tuple[int, int, str]], edge: int, way: int, span: tuple[int, int], letter: int
) -> Iterator[Shape]:
    """Texts in a column beside a drawing, each with a line to the place that it is about.

    Parameters
    ----------
    wanted
        Places with their words.
    edge, way
        Where the column begins, and on which side of that it lies: 1 right, -1 left.
    span
        From where to where up the column the words are to stand.
    letter
        Height of the letters.
    """
    order = sorted(wanted, key=lambda item: (item[1], -way * item[0]))
    gap = max((text_size(words, letter)[1] for *_, words in order), default=0) + letter // 3
    heights = spread([y for _, y, _ in order], gap, *span)
    for (x, y, words), height in zip(order, heights, strict=True):
        yield Line(x, y, edge - way * letter // 4, height, Style.DETAIL)
        yield Text(edge, height, words, letter, "left" if way > 0 else "right")


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
