"""The five parts of a drawer box and its front, from the clear size of the drawer opening.

Follows the drawer rule: slides take 1/2 in a side, 1/4 in stays free above the box and 1/2 in below it, the bottom
lies in a groove 1/4 in up, and slides come in steps of 2 in that end 1 in before the back (all common practice).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from capacity.closet.closet import Closet
from capacity.layout.drawer_rule import slide_length
from capacity.layout.layout import Bay, Opening
from capacity.units import PER_INCH
from capacity.workshop.parts.parts import Lie, Part, Role, StockKind

SLIDE = PER_INCH // 2
"""Thickness of a slide, on each side of the box, as the drawer rule of `problem` has it [ticks]."""

ABOVE, BELOW = PER_INCH // 4, PER_INCH // 2
"""Free height over and under the box, as the drawer rule of `problem` has it [ticks]."""

GROOVE = PER_INCH // 4
"""Depth of the groove for the bottom, and its height over the lower edge (common practice, no published source)
[ticks]."""

BOTTOM_PLAY = PER_INCH // 16
"""How much smaller the bottom is than the grooves are apart (common practice, no published source) [ticks]."""


@dataclass(frozen=True, slots=True)
class DrawerBox:
    """Outside and inside sizes of a drawer box [ticks]; `slide` is the length of its slides."""

    width: int
    height: int
    slide: int
    inside_width: int
    inside_depth: int


def drawer_box(bay: Bay, opening: Opening, side: int) -> DrawerBox:
    """The box that goes into a drawer opening, with sides so thick."""
    width = bay.width - 2 * SLIDE
    height = opening.height - ABOVE - BELOW
    slide = slide_length(bay.depth)
    return DrawerBox(width, height, slide, width - 2 * side, slide - 2 * side)


def clears_wall(bay: Bay, thick: int) -> bool:
    """Whether inset front and box leave room for a wall cleat behind them, both of board so thick."""
    return thick + slide_length(bay.depth) + thick <= bay.depth


def drawer_parts(closet: Closet, wall: int, number: int, bay: Bay, opening: Opening) -> Iterator[Part]:
    """Front, two sides, box front and back, and bottom of one drawer.

    Parameters
    ----------
    closet
        Stock and allowances.
    wall, number, bay, opening
        Where it is, wall and bay counted from 1.
    """
    built, side = closet.construction, closet.construction.drawer_side
    box = drawer_box(bay, opening, side)
    band = 1 if built.band else 0
    left, low = bay.left + SLIDE, opening.bottom + BELOW

    def part(
        role: Role, size: tuple[int, int, int], place: tuple[int, int], lie: Lie, note: str, bands: int = 0
    ) -> Part:
        made_of = {Role.FRONT: StockKind.PANEL, Role.BOX_BOTTOM: StockKind.DRAWER_BOTTOM}
        material = made_of.get(role, StockKind.DRAWER_BOX)
        grain = built.grained if material is StockKind.PANEL else False
        return Part("", role, material, *size, grain, bands, bands, wall, number, *place, lie, note)

    front = (
        bay.width - 2 * built.reveal - 2 * built.band,
        opening.height - 2 * built.reveal - 2 * built.band,
        closet.panel.thickness,
    )
    place = (bay.left + built.reveal + built.band, opening.bottom + built.reveal + built.band)
    words = "inset, all four edges banded" if band else "inset"
    yield part(Role.FRONT, front, place, Lie.FACING, words, 2 * band)
    for at in (left, left + box.width - side):
        size = (box.slide, box.height, side)
        yield part(Role.BOX_SIDE, size, (at, low), Lie.END_ON, "groove for the bottom")
    between = (box.inside_width, box.height, side)
    for role in (Role.BOX_FRONT, Role.BOX_BACK):
        place = (left + side, low)
        yield part(role, between, place, Lie.FACING, "between the sides")
    grooves = 2 * GROOVE - BOTTOM_PLAY
    bottom = (box.inside_width + grooves, box.inside_depth + grooves, built.drawer_bottom)
    place = (left + side - GROOVE + BOTTOM_PLAY // 2, low + GROOVE)
    yield part(Role.BOX_BOTTOM, bottom, place, Lie.FLAT, "in the grooves")
