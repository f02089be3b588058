"""Ways to fill one strip and one sheet: exact enumeration where there are few, best ones by price where not.

A frame is one stock with one direction of the first cuts. Every size in it has had one kerf added, and so have the
strip's length and the sheet's height, so that kerfs need no further thought: exact for straight cuts from edge to
edge.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from capacity.workshop.cutting.cutting_plan import Blank, FirstCut, Saw, Stock

RESOLUTION = 4000
"""Steps into which a longer capacity is divided for pricing; needs are rounded up to find, down to prove."""


@dataclass(frozen=True, slots=True)
class BlankType:
    """Pieces of one size: labels of all, size, and whether they may turn."""

    labels: tuple[str, ...]
    length: int
    width: int
    may_turn: bool

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.labels)


def types_of(pieces: Sequence[Blank]) -> tuple[BlankType, ...]:
    """Pieces of equal size joined, larger ones first."""
    joined: dict[tuple[int, int, bool], list[str]] = {}
    for piece in pieces:
        may_turn = piece.may_turn and piece.length != piece.width
        joined.setdefault((piece.length, piece.width, may_turn), []).append(piece.label)
    order = sorted(joined, key=lambda key: (-key[0] * key[1], key))
    return tuple(BlankType(tuple(joined[key]), *key) for key in order)


@dataclass(frozen=True, slots=True)
class Option:
    """A piece type as it lies in the strips of a frame: how wide a strip it needs and how much of its length."""

    type: int
    size: int
    use: int
    is_turned: bool


@dataclass(frozen=True, slots=True)
class SheetFrame:
    """One stock with one first cut: strips of length `capacity`, sizes of strips add up to at most `height`."""

    stock: Stock
    first: FirstCut
    capacity: int
    height: int
    options: tuple[Option, ...]

    @property
    def sizes(self) -> tuple[int, ...]:
        """Every size that a strip may have, falling."""
        return tuple(sorted({option.size for option in self.options}, reverse=True))


@dataclass(frozen=True, slots=True, order=True)
class StripPattern:
    """So many of each option in one strip of a frame: (option, count) in order of the options."""

    frame: int
    size: int
    content: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True, order=True)
class SheetPattern:
    """Strip sizes that share a sheet of a frame: (size, count), falling."""

    frame: int
    strips: tuple[tuple[int, int], ...]


def frames_of(
    types: Sequence[BlankType], stocks: Sequence[Stock], saw: Saw, directions: Sequence[FirstCut]
) -> tuple[SheetFrame, ...]:
    """Every frame in which at least one piece fits."""
    frames: list[SheetFrame] = []
    for stock in stocks:
        long = stock.length - 2 * saw.trim + saw.kerf
        is_stick = stock.width == 1
        wide = 1 if is_stick else stock.width - 2 * saw.trim + saw.kerf
        for first in directions if not is_stick else (FirstCut.RIP,):
            capacity, height = (long, wide) if first is FirstCut.RIP else (wide, long)
            options = tuple(_options(types, first, capacity, height, saw.kerf, is_stick))
            if options:
                frames.append(SheetFrame(stock, first, capacity, height, options))
    return tuple(frames)


def _options(
    types: Sequence[BlankType], first: FirstCut, capacity: int, height: int, kerf: int, is_stick: bool
) -> Iterator[Option]:
    for number, kind in enumerate(types):
        for is_turned in (False, True) if kind.may_turn else (False,):
            long, wide = (kind.width, kind.length) if is_turned else (kind.length, kind.width)
            size, use = (wide, long) if first is FirstCut.RIP else (long, wide)
            size, use = (1 if is_stick else size + kerf), use + kerf
            if size <= height and use <= capacity:
                yield Option(number, size, use, is_turned)


# ---- all of them ------------------------------------------------------------------------------------------


def all_strips(
    frame: SheetFrame, number: int, types: Sequence[BlankType], most: int
) -> tuple[StripPattern, ...] | None:
    """Every strip to which nothing can be added, or None when there are more than `most`.

    A strip is as wide as its widest piece. Nothing is lost by leaving out the others, since a strip may hold more
    than is needed and may lie where a wider one would.
    """
    found: set[StripPattern] = set()
    for size in frame.sizes:
        more = _strips_of(frame, number, types, size, most - len(found))
        if more is None:
            return None
        found |= more
    return tuple(sorted(found))


def _strips_of(
    frame: SheetFrame, number: int, types: Sequence[BlankType], size: int, most: int
) -> set[StripPattern] | None:
    """All maximal strips of one size, or None when there are more than `most`."""
    usable = [n for n, option in enumerate(frame.options) if option.size <= size]
    usable.sort(key=lambda n: (-frame.options[n].use, n))
    found: set[StripPattern] = set()
    counts = [0] * len(usable)
    left = [kind.count for kind in types]

    def go(at: int, room: int) -> bool:
        if at == len(usable):
            for n in usable:
                if frame.options[n].use <= room and left[frame.options[n].type] > 0:
                    return True  # one more fits: not maximal
            content = tuple(sorted((n, count) for n, count in zip(usable, counts, strict=True) if count))
            if max(frame.options[n].size for n, _ in content) == size:
                found.add(StripPattern(number, size, content))
            return len(found) <= most
        option = frame.options[usable[at]]
        for count in range(min(room // option.use, left[option.type]), -1, -1):
            counts[at] = count
            left[option.type] -= count
            is_few = go(at + 1, room - count * option.use)
            left[option.type] += count
            if not is_few:
                return False
        counts[at] = 0
        return True

    return found if go(0, frame.capacity) else None


def all_sheets(frame: SheetFrame, number: int, most: int) -> tuple[SheetPattern, ...] | None:
    """Every set of strip sizes to which no strip can be added, or None when there are more than `most`."""
    sizes = frame.sizes
    found: list[SheetPattern] = []
    counts = [0] * len(sizes)

    def go(at: int, room: int) -> bool:
        if at == len(sizes):
            if room < sizes[-1]:
                strips = tuple((size, count) for size, count in zip(sizes, counts, strict=True) if count)
                found.append(SheetPattern(number, strips))
            return len(found) <= most
        is_last = at == len(sizes) - 1
        for count in (room // sizes[at],) if is_last else range(room // sizes[at], -1, -1):
            counts[at] = count
            if not go(at + 1, room - count * sizes[at]):
                return False
        counts[at] = 0
        return True

    return tuple(found) if go(0, frame.height) else None


# ---- the best by price ------------------------------------------------------------------------------------


@dataclass(slots=True)
class Priced:
    """The strips of best value in one frame by size, the sheet made of them, and the value no sheet can exceed."""

    strips: tuple[StripPattern, ...]
    sheet: SheetPattern
    content: dict[int, int]
    value: int
    most: int


@dataclass(slots=True)
class _Table:
    """A knapsack filled item by item; remembers which bundle was taken at each room, to read a filling back."""

    room: int
    best: np.ndarray = field(init=False)
    taken: list[np.ndarray] = field(default_factory=list)
    bundles: list[tuple[int, int, int]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.best = np.zeros(self.room + 1, dtype=np.int64)

    def add(self, key: int, need: int, value: int, count: int) -> None:
        """Allow up to `count` of an item, in bundles of 1, 2, 4 and so on."""
        bundle = 1
        while count > 0:
            number = min(bundle, count)
            count -= number
            bundle *= 2
            wide = number * need
            if wide > self.room or value <= 0:
                continue
            trial = self.best.copy()
            if wide == 0:
                trial += number * value
            else:
                trial[wide:] = np.maximum(trial[wide:], self.best[:-wide] + number * value)
            self.taken.append(trial > self.best)
            self.bundles.append((key, number, wide))
            self.best = trial

    def read(self, upto: int) -> dict[int, int]:
        """The filling of the whole room by the first `upto` bundles."""
        room, content = self.room, dict[int, int]()
        for index in range(upto - 1, -1, -1):
            if self.taken[index][room]:
                key, number, wide = self.bundles[index]
                content[key] = content.get(key, 0) + number
                room -= wide
        return content


def priced(frame: SheetFrame, number: int, types: Sequence[BlankType], prices: Sequence[int]) -> Priced:
    """The most valuable strips and sheet of a frame when a piece of type i is worth `prices[i]`.

    A strip never holds more of a type than is needed, a sheet of several strips may: that only weakens the bound.
    `most` is an upper bound on the value of any sheet: exact where capacities are at most `RESOLUTION`, else with
    needs rounded down. `value` is that of the sheet returned, which is one that can be cut.
    """
    strips, values, most_by_size = _best_strips(frame, number, types, prices)
    steps = min(frame.height, RESOLUTION)
    exact = _Table(steps)
    bound = _Table(steps)
    for size in frame.sizes:
        up, down = -(-size * steps // frame.height), size * steps // frame.height
        exact.add(size, up, values.get(size, 0), frame.height // size)
        bound.add(size, down, most_by_size[size], frame.height // size)
    chosen = exact.read(len(exact.bundles))
    content: dict[int, int] = {}
    for size, count in chosen.items():
        for option, pieces in strips[size].content:
            kind = frame.options[option].type
            content[kind] = content.get(kind, 0) + count * pieces
    sheet = SheetPattern(number, tuple(sorted(((strips[s].size, n) for s, n in chosen.items()), reverse=True)))
    value = sum(prices[kind] * count for kind, count in content.items())
    return Priced(tuple(strips.values()), sheet, content, value, int(bound.best[-1]))


def _best_strips(
    frame: SheetFrame, number: int, types: Sequence[BlankType], prices: Sequence[int]
) -> tuple[dict[int, StripPattern], dict[int, int], dict[int, int]]:
    """Best strip of each size, its value, and a bound on the value of any strip of that size or narrower."""
    steps = min(frame.capacity, RESOLUTION)
    exact, bound = _Table(steps), _Table(steps)
    ends: dict[int, int] = {}
    most: dict[int, int] = {}
    values: dict[int, int] = {}
    order = sorted(range(len(frame.options)), key=lambda n: (frame.options[n].size, n))
    for n in order:
        option = frame.options[n]
        count = types[option.type].count
        up, down = -(-option.use * steps // frame.capacity), option.use * steps // frame.capacity
        exact.add(n, up, prices[option.type], count)
        bound.add(n, down, prices[option.type], count)
        ends[option.size], most[option.size] = len(exact.bundles), int(bound.best[-1])
    strips: dict[int, StripPattern] = {}
    for size in frame.sizes:
        content = tuple(sorted(exact.read(ends[size]).items()))
        if content:
            widest = max(frame.options[n].size for n, _ in content)
            strips[size] = StripPattern(number, widest, content)
            values[size] = sum(prices[frame.options[n].type] * count for n, count in content)
    return strips, values, most
