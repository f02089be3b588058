"""From the parts back to the openings: what stands when the cut list is put together, to the tick.

Reads sizes, heights and the construction's allowances, and nothing of the plan: the plan's openings are what the
result is held against, on every build and in the tests.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from capacity.checks.wall_gaps import baseboard_behind
from capacity.closet.closet import Closet
from capacity.closet.construction import Construction
from capacity.closet.edging import front_edge
from capacity.layout.layout import Layout
from capacity.layout.problem import OpeningKind, Problem
from capacity.workshop.parts.parts import SHELVES, Part, Role, fixed_length


@dataclass(frozen=True, slots=True)
class Rebuilt:
    """A bay as its parts make it: place, clear width, depth, and the gaps between its panels from the floor up.

    A gap is (bottom, height); what is above the top panel has no end of its own and is not a gap. `rods` and
    `drawers` are the gaps (counted from 0) that have a rod or a drawer in them; `top` is the top's upper face.
    """

    left: int
    width: int
    depth: int
    gaps: tuple[tuple[int, int], ...]
    rods: tuple[int, ...]
    drawers: tuple[int, ...]
    top: int


class PartsError(ValueError):
    """Parts that contradict each other."""


def rebuilt(parts: Iterable[Part], closet: Closet) -> dict[tuple[int, int], Rebuilt]:
    """Put the parts together again, by (wall, bay), from left to right as one builds.

    A bay's clear width follows from the length of its fixed shelves, where it stands from the first upright of its
    group and the widths and thicknesses on the way.

    Raises
    ------
    PartsError
        When two parts of one bay make it differently wide or deep, an upright is not where the widths put it, or the
        pieces of one do not stand on each other.
    """
    built = closet.construction
    everything = tuple(parts)
    bays: dict[tuple[int, int], Rebuilt] = {}
    if closet.wishes.keep_bays:  # the uprights stand already: each bay is where its top is
        for wall, bay in sorted({(part.wall, part.bay) for part in everything if part.bay}):
            inside = [part for part in everything if (part.wall, part.bay) == (wall, bay)]
            width = _clear_width(inside, built)
            top = max((part for part in inside if part.role in SHELVES), key=lambda part: part.bottom)
            depth = top.width + front_edge(closet) + baseboard_behind(closet, top.bottom)
            bays[wall, bay] = _bay(inside, top.left + (top.length - width) // 2, width, depth, closet)
        return bays
    for wall in sorted({part.wall for part in everything if part.bay}):
        own = [part for part in everything if part.wall == wall]
        uprights = _lowest_pieces(own)
        places = {part.left: part for part in uprights}
        standing, place = 0, uprights[0].left
        for bay in sorted({part.bay for part in own if part.bay}):
            inside = [part for part in own if part.bay == bay]
            width = _clear_width(inside, built)
            if place + uprights[standing].thickness + width not in places:  # a new group: its own upright counts
                standing += 1
                place = uprights[standing].left
            upright = uprights[standing]
            left, depth = place + upright.thickness, upright.width + built.band
            if left + width not in places:
                msg = f"wall {wall}, bay {bay}: no upright stands at {left + width}"
                raise PartsError(msg)
            bays[wall, bay] = _bay(inside, left, width, depth, closet)
            place = left + width
            standing = uprights.index(places[place])
    return bays


def _lowest_pieces(own: Sequence[Part]) -> list[Part]:
    """The lowest piece of each upright, left to right."""
    pieces = sorted((part for part in own if part.role is Role.UPRIGHT), key=lambda part: (part.left, part.bottom))
    lowest = {piece.left: piece for piece in reversed(pieces)}
    for lower, upper in pairwise(pieces):
        if lower.left == upper.left and (lower.bottom + lower.length, lower.width) != (upper.bottom, upper.width):
            msg = f"wall {lower.wall}: {upper.label} does not stand on {lower.label}"
            raise PartsError(msg)
    return sorted(lowest.values(), key=lambda part: part.left)


def _clear_width(inside: Sequence[Part], built: Construction) -> int:
    """The clear width that every part of a bay agrees on."""
    more_than_clear = fixed_length(0, built)
    slack = {
        Role.BOTTOM: more_than_clear, Role.TOP: more_than_clear, Role.FIXED: more_than_clear,
        Role.LOOSE: -built.shelf_play, Role.KICK: 0, Role.CLEAT: 0, Role.ROD: -built.rod_play,
    }  # fmt: skip
    widths = {part.length - slack[part.role] for part in inside if part.role in slack}
    if len(widths) != 1:
        msg = f"wall {inside[0].wall}, bay {inside[0].bay}: its parts make it {sorted(widths)} wide"
        raise PartsError(msg)
    return widths.pop()


def _bay(inside: Sequence[Part], left: int, width: int, depth: int, closet: Closet) -> Rebuilt:
    shelves = sorted((part for part in inside if part.role in SHELVES), key=lambda part: part.bottom)
    edge = front_edge(closet)
    if any(part.width + edge + baseboard_behind(closet, part.bottom) != depth for part in shelves):
        msg = f"wall {inside[0].wall}, bay {inside[0].bay}: shelves and uprights are not equally deep"
        raise PartsError(msg)
    gaps: list[tuple[int, int]] = []
    reached: int | None = None if shelves and shelves[0].role is Role.BOTTOM else 0
    for shelf in shelves:
        if reached is not None:
            gaps.append((reached, shelf.bottom - reached))
        reached = shelf.bottom + shelf.thickness
    return Rebuilt(
        left,
        width,
        depth,
        tuple(gaps),
        _gaps_with(inside, Role.ROD, gaps),
        _gaps_with(inside, Role.FRONT, gaps),
        reached or 0,
    )


def _gaps_with(inside: Sequence[Part], role: Role, gaps: Sequence[tuple[int, int]]) -> tuple[int, ...]:
    return tuple(
        number
        for number, (bottom, height) in enumerate(gaps)
        if any(part.role is role and bottom <= part.bottom < bottom + height for part in inside)
    )


def differences(problem: Problem, layout: Layout, parts: Iterable[Part], closet: Closet) -> Iterator[tuple[str, str]]:
    """Where the parts, put together, are not the plan; nothing when they are, to the tick.

    Yields
    ------
    The place and what differs.
    """
    bays = rebuilt(parts, closet)
    wanted = {(w, b) for w, wall in enumerate(layout.walls, 1) for b, _ in enumerate(wall.bays, 1)}
    if set(bays) != wanted:
        yield "the closet", f"the parts make the bays {sorted(bays)}"
        return
    for w, wall in enumerate(layout.walls, 1):
        for b, bay in enumerate(wall.bays, 1):
            made, place = bays[w, b], f"wall {wall.name}, bay {b}"
            if (made.left, made.width, made.depth) != (bay.left, bay.width, bay.depth):
                yield place, f"{made.left}, {made.width}, {made.depth} for {bay.left}, {bay.width}, {bay.depth}"
            upper = problem.head_over(problem.runs[w - 1], bay.left, bay.left + bay.width)
            below = [opening for opening in bay.openings if opening.bottom < upper]
            for opening in below:
                here = (opening.bottom, opening.height)
                if here not in made.gaps:
                    yield place, f"no gap of {here} in {made.gaps}"
                    continue
                number = made.gaps.index(here)
                kind = OpeningKind.HANG if number in made.rods else OpeningKind.SHELF
                kind = OpeningKind.DRAWER if number in made.drawers else kind
                if kind is not opening.kind:
                    yield place, f"the opening at {opening.bottom} is made for {kind}, not {opening.kind}"
            if not problem.runs[w - 1].blocked and len(made.gaps) != len(below):
                yield place, f"{len(made.gaps)} gaps for {len(below)} openings"
            for opening in bay.openings:
                if opening.bottom >= upper and opening.bottom != made.top:
                    yield place, f"the top is at {made.top}, not at {opening.bottom}"
