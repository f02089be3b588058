"""What the boards get besides their own stock: a strip along the front edge of every shelf, supports in between.

`[panel.strip]`, with which the checks count, and `[construction] nosing`, which only the parts know, are the same
strip; so are the supports of `[panel]` and `[rod]` and those of `[construction]`. Either is built.
"""

from __future__ import annotations

from collections.abc import Iterator

from capacity.closet.closet import FILE_NAME, Closet
from capacity.closet.construction import Nosing
from capacity.errors import Fault


def nosing_of(closet: Closet) -> Nosing | None:
    """The strip along the front edge of every shelf, from either table."""
    if closet.construction.nosing is not None or closet.panel.strip is None:
        return closet.construction.nosing
    return Nosing.model_construct(thickness=closet.panel.strip.thickness, height=closet.panel.strip.height)


def front_edge(closet: Closet) -> int:
    """What stands before the front edge of a shelf's board: a strip, or the edge band [ticks]."""
    nosing = nosing_of(closet)
    return closet.construction.band if nosing is None else nosing.thickness


def shelf_support_every(closet: Closet) -> int | None:
    """Supports under every shelf at most so far apart, the closer of both tables [ticks]."""
    wanted = [closet.construction.shelf_support_every, closet.panel.support_every]
    return min((every for every in wanted if every is not None), default=None)


def rod_support_every(closet: Closet) -> int | None:
    """Brackets under every rod at most so far apart, the closer of both tables [ticks]."""
    wanted = [closet.construction.rod_support_every, closet.rod.support_every]
    return min((every for every in wanted if every is not None), default=None)


def edge_faults(closet: Closet) -> Iterator[Fault]:
    """Two tables that speak of one strip and do not agree, or a strip that leaves the board's edge bare."""
    strip, nosing = closet.panel.strip, closet.construction.nosing
    if strip is None:
        return
    if nosing is not None and (nosing.thickness, nosing.height) != (strip.thickness, strip.height):
        words = "is the strip of [construction] nosing, which has other sizes; write the same or take one out"
        yield Fault(FILE_NAME, "[panel.strip]", words)
    if strip.height < closet.panel.thickness:
        yield Fault(FILE_NAME, "[panel.strip] height", "is less than the panel's thickness, so its edge would show")
