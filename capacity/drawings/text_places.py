"""Texts that find their place: the first of several wordings and places that is free, and spreading along a line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from capacity.drawings.drawing import Extent, Text


def first_free(candidates: Iterable[Text], taken: Sequence[Extent], within: Extent | None = None) -> Text | None:
    """The first text that overlaps nothing taken and lies within a box, if one is given."""
    for text in candidates:
        box = text.extent
        if (within is None or within.holds(box)) and not any(box.overlaps(other) for other in taken):
            return text
    return None


def in_box(box: Extent, wordings: Sequence[str], height: int, pad: int) -> Text | None:
    """The first wording that fits the middle of a box, level or turned, at falling sizes down to a third."""
    x, y = (box.left + box.right) // 2, (box.bottom + box.top) // 2
    inner = Extent(box.left + pad, box.bottom + pad, box.right - pad, box.top - pad)
    for share in (1.0, 0.8, 0.62, 0.48, 0.36):
        for words in wordings:
            for turned in (False, True):
                text = Text(x, y, words, round(height * share), turned=turned)
                if inner.holds(text.extent):
                    return text
    return None


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
