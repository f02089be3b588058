"""A first cutting by first fit, largest first; and from patterns to places on the sheets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from capacity.workshop.cutting.cutting_plan import FirstCut, PlacedBlank, Saw, SheetLayout, Strip
from capacity.workshop.cutting.patterns import BlankType, SheetFrame, StripPattern


@dataclass(frozen=True, slots=True)
class ChosenSheet:
    """One sheet: its frame and its strips, widest first."""

    frame: int
    strips: tuple[StripPattern, ...]

    @property
    def sizes(self) -> tuple[tuple[int, int], ...]:
        """Sizes of its strips with their numbers, falling."""
        sizes = [strip.size for strip in self.strips]
        return tuple((size, sizes.count(size)) for size in sorted(set(sizes), reverse=True))


def cuts_in(frames: Sequence[SheetFrame], strip: StripPattern) -> int:
    """Cuts of one strip that depend on how it is filled: its own, and one for each piece narrower than it."""
    options = frames[strip.frame].options
    return 1 + sum(count for option, count in strip.content if options[option].size < strip.size)


def cuts_used(frames: Sequence[SheetFrame], chosen: Sequence[ChosenSheet]) -> int:
    """The same for all sheets."""
    return sum(cuts_in(frames, strip) for sheet in chosen for strip in sheet.strips)


@dataclass(slots=True)
class _Open:
    """A strip that is being filled."""

    sheet: int
    size: int
    room: int
    content: dict[int, int]


def first_fit(
    frames: Sequence[SheetFrame], types: Sequence[BlankType], only: int | None
) -> tuple[ChosenSheet, ...] | None:
    """Strips by falling size, each piece into the first strip with room, each strip onto the first sheet with room.

    Parameters
    ----------
    frames, types
        What may be used and what is to be cut.
    only
        The one frame to use, or None to give each piece the first frame (of the cheapest stock) that holds it.

    Returns
    -------
    The sheets, or None when a piece does not fit into the frame.
    """
    order = sorted(range(len(frames)), key=lambda n: (frames[n].stock.cost, n)) if only is None else [only]
    order = [number for number in order if frames[number].stock.is_sold]
    by_frame: dict[int, list[int]] = {}
    for kind in range(len(types)):
        for frame in order:
            options = [n for n, option in enumerate(frames[frame].options) if option.type == kind]
            if options:
                best = min(options, key=lambda n, f=frame: (frames[f].options[n].size, n))  # type: ignore[misc]
                by_frame.setdefault(frame, []).extend([best] * types[kind].count)
                break
        else:
            return None
    chosen: list[ChosenSheet] = []
    for frame, pieces in sorted(by_frame.items()):
        chosen += _fill_frame(frames[frame], frame, pieces)
    return tuple(chosen)


def _fill_frame(frame: SheetFrame, number: int, pieces: Sequence[int]) -> list[ChosenSheet]:
    options = frame.options
    open_strips: list[_Open] = []
    rooms: list[int] = []
    for n in sorted(pieces, key=lambda n: (-options[n].size, -options[n].use, n)):
        for strip in open_strips:
            if options[n].size <= strip.size and options[n].use <= strip.room:
                break
        else:
            sheet = next((index for index, room in enumerate(rooms) if room >= options[n].size), len(rooms))
            if sheet == len(rooms):
                rooms.append(frame.height)
            rooms[sheet] -= options[n].size
            strip = _Open(sheet, options[n].size, frame.capacity, {})
            open_strips.append(strip)
        strip.content[n] = strip.content.get(n, 0) + 1
        strip.room -= options[n].use
    return [
        ChosenSheet(
            number,
            tuple(
                StripPattern(number, strip.size, tuple(sorted(strip.content.items())))
                for strip in open_strips
                if strip.sheet == sheet
            ),
        )
        for sheet in range(len(rooms))
    ]


def lay_out(
    frames: Sequence[SheetFrame], types: Sequence[BlankType], chosen: Sequence[ChosenSheet], saw: Saw
) -> tuple[SheetLayout, ...]:
    """Places on the sheets: strips from the lower left corner, widest first, pieces longest first, a kerf between."""
    labels = [list(kind.labels) for kind in types]
    layouts: list[SheetLayout] = []
    for sheet in sorted(chosen, key=lambda sheet: (-frames[sheet.frame].stock.cost, sheet.frame)):
        frame = frames[sheet.frame]
        is_rip = frame.first is FirstCut.RIP
        is_stick = frame.stock.width == 1
        at = 0 if is_stick else saw.trim
        strips: list[Strip] = []
        for strip in sheet.strips:
            along = saw.trim
            placed: list[PlacedBlank] = []
            content = sorted(strip.content, key=lambda item: (-frame.options[item[0]].use, item[0]))
            for option, count in content:
                kind, turned = types[frame.options[option].type], frame.options[option].is_turned
                long, wide = (kind.width, kind.length) if turned else (kind.length, kind.width)
                for _ in range(count):
                    x, y = (at, along) if is_rip else (along, at)
                    label = labels[frame.options[option].type].pop(0)
                    placed.append(PlacedBlank(label, x, y, wide, long, turned))
                    along += frame.options[option].use
            size = strip.size if is_stick else strip.size - saw.kerf
            strips.append(Strip(at, size, tuple(placed)))
            at += strip.size
        layouts.append(SheetLayout(frame.stock, frame.first, tuple(strips)))
    return tuple(layouts)
