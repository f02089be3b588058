"""The closet from above: walls laid out from their corners, built-ins, hanging clothes and drawers as rectangles.

Walls run left to right as one faces them, so each corner turns to the right. Whole ticks.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from capacity.closet.closet import Closet
from capacity.closet.walls import Wall
from capacity.layout.drawer_rule import slide_length
from capacity.layout.layout import Bay, Layout
from capacity.layout.problem import HANG_DEPTH, OpeningKind
from capacity.units import Ticks, Units, format_length, inches
from capacity.wardrobe.inventory import Inventory
from capacity.wardrobe.kinds import Store
from capacity.wardrobe.piles import Pile

MOST_NAMED = 5
"""So many piles are named in a sentence."""

HANGER_DEPTH = inches(24)
SUIT_DEPTH, COAT_DEPTH = inches(26), inches(30)
HANGER_SOURCE = (
    "bath and bedroom planning textbook, clothes storage: 24 in usual, 26-28 suits and jackets, 30 winter coats"
)
"""How far hanging clothes reach out from the wall: published; the rod is 12 in from the wall."""

_SUITS, _COATS = ("suit", "jacket"), ("coat", "long coat")
WIDE_KINDS = frozenset((*_SUITS, *_COATS))
"""Kinds that reach out further than other clothes."""


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle along the axes [ticks]."""

    left: int
    bottom: int
    right: int
    top: int

    def overlap(self, other: Rect) -> int:
        """How deep two rectangles run into each other in the direction in which they do so least; 0 when apart."""
        wide = min(self.right, other.right) - max(self.left, other.left)
        high = min(self.top, other.top) - max(self.bottom, other.bottom)
        return max(0, min(wide, high))

    def clipped(self, other: Rect) -> Rect:
        """What two rectangles have in common, where they overlap."""
        return Rect(
            max(self.left, other.left),
            max(self.bottom, other.bottom),
            min(self.right, other.right),
            min(self.top, other.top),
        )

    def gaps(self, other: Rect) -> tuple[int, int]:
        """Distance between two rectangles along each axis, 0 where they overlap."""
        return (
            max(0, self.left - other.right, other.left - self.right),
            max(0, self.bottom - other.top, other.bottom - self.top),
        )


@dataclass(frozen=True, slots=True)
class RoomFrame:
    """Where a wall lies: its left end, the direction along it, the direction into the closet, its length.

    Walls of one `group` are joined by corners; the places of different groups do not compare.
    """

    group: int
    x: int
    y: int
    along: tuple[int, int]
    into: tuple[int, int]
    length: int

    def rect(self, left: int, right: int, near: int, far: int) -> Rect:
        """What lies between two places along the wall and two distances from it."""
        xs = [self.x + self.along[0] * a + self.into[0] * b for a, b in ((left, near), (right, far))]
        ys = [self.y + self.along[1] * a + self.into[1] * b for a, b in ((left, near), (right, far))]
        return Rect(min(xs), min(ys), max(xs), max(ys))

    def point(self, place: int, out: int) -> tuple[int, int]:
        """One place."""
        rect = self.rect(place, place, out, out)
        return rect.left, rect.bottom


def frames(closet: Closet) -> dict[str, RoomFrame]:
    """Every wall laid out, by name; each group starts with the wall that follows no other."""
    by_name = {wall.name: wall for wall in closet.wall}
    follows = {wall.corner for wall in closet.wall if wall.corner is not None}
    starts = [wall for wall in closet.wall if wall.name not in follows]
    found: dict[str, RoomFrame] = {}
    for group, first in enumerate([*starts, *closet.wall]):
        wall: Wall | None = first
        x, y, along = 0, 0, (1, 0)
        while wall is not None and wall.name not in found:
            into = (along[1], -along[0])  # to the right of the way along: towards whoever faces the wall
            found[wall.name] = RoomFrame(group, x, y, along, into, wall.clear_width)
            x, y = x + along[0] * wall.clear_width, y + along[1] * wall.clear_width
            along = into
            wall = by_name[wall.corner] if wall.corner is not None else None
    return found


def hang_reach(bay: Bay, inventory: Inventory) -> int:
    """How far from the wall the clothes of a bay reach [ticks]; 0 when it has no rod."""
    rods = [opening for opening in bay.openings if opening.kind is OpeningKind.HANG]
    if not rods:
        return 0
    kinds = {inventory.pile(item.row).kind for opening in rods for item in opening.holds}
    return max([HANGER_DEPTH, *map(hang_depth_of, kinds)])


def hang_depth_of(kind: str) -> Ticks:
    """How far garments of a kind reach out from the wall [ticks]."""
    if kind in _COATS:
        return COAT_DEPTH
    return SUIT_DEPTH if kind in _SUITS else HANGER_DEPTH


def depth_in_words(depth: Ticks, front: Ticks | None, piles: Sequence[Pile], units: Units) -> Iterator[str]:
    """What a depth of shelves means for what is counted: hung clothes, what lies or stands, the floor in front.

    Parameters
    ----------
    depth
        Of the new uprights and shelves [ticks].
    front
        From the wall to what faces it [ticks]; None where it is not measured.
    piles
        What is counted.
    units
        How lengths are written.
    """
    hung = {pile.kind for pile in piles if pile.count and any(way is Store.HANG for way, _ in pile.ways)}
    over = max([HANGER_DEPTH, *map(hang_depth_of, hung)]) - depth
    if depth < HANG_DEPTH:
        yield f"Nothing can hang: a rod needs {format_length(Ticks(HANG_DEPTH), units)}."
    elif over > 0:
        yield f"Clothes on a rod come out up to {format_length(Ticks(over), units)} over the front edge."
    else:
        yield "Clothes on a rod stay behind the front edge."
    deeper = [pile.name for pile in piles if pile.count and _is_deeper(pile, depth)]
    if deeper:
        more = f" and {len(deeper) - MOST_NAMED} more" if len(deeper) > MOST_NAMED else ""
        yield f"Too deep for it, however turned: {', '.join(deeper[:MOST_NAMED])}{more}."
    if front is not None:
        left = front - depth
        yield f"In front stay {format_length(Ticks(left), units)}." if left > 0 else "Nothing stays free in front."


def _is_deeper(pile: Pile, depth: int) -> bool:
    """Whether a pile lies or stands deeper than that, whichever way it is turned."""
    return all(way is not Store.HANG and min(shape.width, shape.depth) > depth for way, shape in pile.ways)


def drawer_run(bay: Bay) -> int:
    """How far the drawers of a bay come out, the length of their slides [ticks]; 0 when it has none."""
    if not any(opening.kind is OpeningKind.DRAWER for opening in bay.openings):
        return 0
    return slide_length(bay.depth)


def step_off(closet: Closet) -> int:
    """How far their backs hold the built-ins off the wall; uprights are notched over a kept baseboard [ticks]."""
    back = closet.construction.back
    return back if back is not None and not closet.wishes.keep_bays else 0


@dataclass(frozen=True, slots=True)
class Solid:
    """Something in the plan view: its wall, bay (from 0), and rectangle from the wall to how far it reaches."""

    wall: str
    bay: int
    rect: Rect
    reach: int


def built_ins(closet: Closet, inventory: Inventory, layout: Layout, with_clothes: bool = True) -> tuple[Solid, ...]:
    """Every bay with its uprights, out to its front edge or to the front of what hangs there."""
    places, off, thick = frames(closet), step_off(closet), closet.panel.thickness
    found = []
    for wall in layout.walls:
        for number, bay in enumerate(wall.bays):
            reach = off + max(bay.depth, hang_reach(bay, inventory) if with_clothes else 0)
            rect = places[wall.name].rect(bay.left - thick, bay.left + bay.width + thick, 0, reach)
            found.append(Solid(wall.name, number, rect, reach))
    return tuple(found)
