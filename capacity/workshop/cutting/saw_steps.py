"""A cutting layout as the cuts one makes, in order; and what is left over of a sheet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from capacity.units import PER_INCH
from capacity.workshop.cutting.cutting_plan import FirstCut, Saw, SheetLayout, Strip

LEAST_OFFCUT = (2 * PER_INCH, 12 * PER_INCH)
"""What is smaller than this, width and length, is waste and gets no name (our proposal) [ticks]."""


@dataclass(frozen=True, slots=True)
class Cut:
    """One cut: its number, what is set on the fence or the stop, and the line on the sheet it runs along.

    `level` cuts run across the sheet at height `at`, the others along it; from `start` to `end`. `makes` names
    what the cut frees: a strip, or a part.
    """

    number: int
    what: str
    setting: int
    makes: str
    is_level: bool
    at: int
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Offcut:
    """A rectangle that is left over; `name` is empty for waste."""

    name: str
    x: int
    y: int
    across: int
    along: int


def cuts_of(layout: SheetLayout, saw: Saw) -> tuple[Cut, ...]:
    """All cuts of one sheet, the trimming of the factory edges left out.

    First the strips, from the trimmed edge on; then, strip by strip, its pieces; then what is narrower than its strip.
    """
    is_rip = layout.first is FirstCut.RIP
    wide, long = layout.stock.width - saw.trim, layout.stock.length - saw.trim
    across, along = (wide, long) if is_rip else (long, wide)
    found: list[tuple[str, int, str, bool, int, int, int]] = []
    first, second = ("rip", "crosscut") if is_rip else ("crosscut", "rip")
    for index, strip in enumerate(layout.strips, 1):
        end = strip.at + strip.size
        if end < across:
            found.append((first, strip.size, f"strip {index}", not is_rip, end, saw.trim, along))
    for index, strip in enumerate(layout.strips, 1):
        for piece in strip.placed:
            end = piece.y + piece.along if is_rip else piece.x + piece.across
            size = piece.along if is_rip else piece.across
            if end < along:
                limits = (strip.at, strip.at + strip.size)
                found.append((second, size, f"{piece.label} from strip {index}", is_rip, end, *limits))
    for strip in layout.strips:
        for piece in strip.placed:
            size = piece.across if is_rip else piece.along
            if size < strip.size:
                low = piece.y if is_rip else piece.x
                high = low + (piece.along if is_rip else piece.across)
                found.append((f"trim, {first}", size, piece.label, not is_rip, strip.at + size, low, high))
    return tuple(Cut(number, *cut) for number, cut in enumerate(found, 1))


def offcuts_of(layout: SheetLayout, saw: Saw, sheet: int) -> tuple[Offcut, ...]:
    """What is left over of one sheet: beyond the last strip, at the ends of strips, beside narrower pieces."""
    found: list[Offcut] = []
    for x, y, across, along in _rests(layout, saw):
        is_useful = min(across, along) >= LEAST_OFFCUT[0] and max(across, along) >= LEAST_OFFCUT[1]
        named = sum(1 for offcut in found if offcut.name)
        name = f"O{sheet}{chr(ord('a') + named % 26)}" if is_useful else ""
        found.append(Offcut(name, x, y, across, along))
    return tuple(found)


def _rests(layout: SheetLayout, saw: Saw) -> Iterator[tuple[int, int, int, int]]:
    is_rip = layout.first is FirstCut.RIP
    wide, long = layout.stock.width - saw.trim, layout.stock.length - saw.trim
    across, along = (wide, long) if is_rip else (long, wide)
    last = layout.strips[-1].at + layout.strips[-1].size + saw.kerf
    if last < across:
        yield _turned(is_rip, last, saw.trim, across - last, along - saw.trim)
    for strip in layout.strips:
        reached = _end_of(strip, is_rip) + saw.kerf
        if reached < along:
            yield _turned(is_rip, strip.at, reached, strip.size, along - reached)
        for piece in strip.placed:
            size, start, long = (piece.across, piece.y, piece.along) if is_rip else (piece.along, piece.x, piece.across)
            if size + saw.kerf < strip.size:
                yield _turned(is_rip, strip.at + size + saw.kerf, start, strip.size - size - saw.kerf, long)


def _turned(is_rip: bool, at: int, start: int, size: int, long: int) -> tuple[int, int, int, int]:
    return (at, start, size, long) if is_rip else (start, at, long, size)


def _end_of(strip: Strip, is_rip: bool) -> int:
    piece = strip.placed[-1]
    return piece.y + piece.along if is_rip else piece.x + piece.across
