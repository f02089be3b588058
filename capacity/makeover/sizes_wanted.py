"""When a pile's size is worth asking for: only where it could change the plan.

The rule, the simplest that is honest: take the smallest, the middle and the largest usual size of the kind. The size
matters when they do not all fit the same openings, or when the whole pile in the largest size takes at least one
middle piece more width than in the smallest, so that some size puts a piece more or less somewhere. Where no layout
has been found yet the openings are still free; then it matters when they need heights that differ by more than the
hand room over things, or not all go into the depth of the walls. Where nothing is measured, every size that changes
a piece's room is asked for.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from capacity.closet.closet import Closet
from capacity.layout.drawer_rule import DRAWER_HEIGHT
from capacity.layout.layout import Layout
from capacity.layout.problem import OPENING_FOR, OpeningKind
from capacity.wardrobe.kinds import Kind, Store, parse_kind_size
from capacity.wardrobe.piece_dimensions import Shape, shape_of

USUAL_SIZES = {
    ("shoe", "men"): ("US M 7", "US M 13"),
    ("shoe", "women"): ("US W 5", "US W 11"),
    ("shoe", "child"): ("US C 6", "US C 13"),
    ("letter", ""): ("XS", "XXL"),
    ("waist", ""): ("28x30", "42x34"),
    ("suit", ""): ("S", "XXL"),
    ("child", ""): ("3", "12"),
    ("towel", ""): ("hand", "bath sheet"),
    ("bed", ""): ("twin", "king"),
}
"""Smallest and largest usual size by system, and wearer for shoes: common practice, no published source."""


@dataclass(frozen=True, slots=True)
class OpeningSize:
    """One opening of a layout [ticks]."""

    kind: OpeningKind
    height: int
    depth: int


@dataclass(frozen=True, slots=True)
class KnownRoom:
    """What is known of the closet: depth of its deepest wall, hand room, and room for hangers and hems [ticks].

    `places` are the openings of the layout found for it; None while they are free.
    """

    depth: int
    gap: int
    hang_allowance: int
    places: tuple[OpeningSize, ...] | None


def room_in(closet: Closet, layout: Layout | None) -> KnownRoom:
    """The room of a closet, with the openings of a layout that was found for it."""
    places = None
    if layout is not None:
        places = tuple(OpeningSize(opening.kind, opening.height, bay.depth) for *_, bay, opening in layout.openings())
    depth = max(wall.depth for wall in closet.wall)
    return KnownRoom(depth, closet.wishes.gap, closet.wishes.hang_allowance, places)


def size_matters(kind: Kind, store: Store, count: int, room: KnownRoom | None) -> bool:
    """Whether the size of a pile could change the plan, by the rule at the head of this module.

    Parameters
    ----------
    kind, store, count
        The pile.
    room
        What is known of the closet; None where nothing is.
    """
    ends = usual_sizes(kind)
    if ends is None or store not in kind.stores:
        return False
    shapes = [shape_of(kind, parse_kind_size(kind, text), store) for text in (ends[0], "", ends[1])]
    if room is None:
        return any(one != other for one, other in pairwise(shapes))
    needs = [_need(shape, store, room) for shape in shapes]
    depths = [min(shape.width, shape.depth) for shape in shapes]
    if room.places is None:
        if max(needs) - min(needs) > room.gap or len({depth <= room.depth for depth in depths}) > 1:
            return True
    else:
        for place in room.places:
            fits = {need <= place.height and deep <= place.depth for need, deep in zip(needs, depths, strict=True)}
            if place.kind == OPENING_FOR[store] and len(fits) > 1:
                return True
    runs = [_run(shape, store, count) for shape in shapes]
    return max(runs) - min(runs) >= _run(shapes[1], store, 1)


def usual_sizes(kind: Kind) -> tuple[str, str] | None:
    """The smallest and the largest usual size of a kind; None for one that has no sizes."""
    if kind.size_system == "shoe":
        return USUAL_SIZES["shoe", kind.wearer or "men"]
    return USUAL_SIZES.get((kind.size_system, ""))


def _need(shape: Shape, store: Store, room: KnownRoom) -> int:
    """Clear height of the lowest opening for one piece [ticks]."""
    if store is Store.HANG:
        return shape.drop + room.hang_allowance
    return shape.height + (DRAWER_HEIGHT if store is Store.DRAWER else room.gap)


def _run(shape: Shape, store: Store, count: int) -> int:
    """Width of shelf or drawer, or length of rod, that so many pieces take one beside the other [ticks]."""
    return shape.rod * count if store is Store.HANG else shape.width * -(-count // shape.most)
