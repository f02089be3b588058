"""The room as it is today, drawn while it is being measured: each wall from the front, all walls from above."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

from capacity.closet.closet import Closet
from capacity.drawings.carcass_drawing import View
from capacity.drawings.drawing import Drawing
from capacity.drawings.elevation import Side, elevation
from capacity.drawings.plan_drawing import PlanMark, plan_drawing
from capacity.layout.layout import Layout, WallLayout
from capacity.makeover.files_to_problem import size_problem, todays_layout
from capacity.units import PER_INCH
from capacity.wardrobe.inventory import Inventory

LETTER = 11.0
"""Height of a letter where a drawing has the width it is made for [pixels]."""

DOOR_THICK = 3 * PER_INCH // 2
"""How thick a door is drawn (our proposal: a little thicker than it is, to be seen) [ticks]."""

_NOTHING = Inventory((), (), ())


@dataclass(frozen=True, slots=True)
class Sheet:
    """A drawing, the height of its letters [ticks], and the width at which these are `LETTER` high [pixels]."""

    drawing: Drawing
    letter: int
    width: int


def draw_wall(closet: Closet, wall: int, most_wide: int, most_high: int) -> Sheet:
    """One wall from the front: its width, ceiling or slope, blocked parts and today's openings, to scale.

    Parameters
    ----------
    closet
        The closet as measured so far.
    wall
        Index of the wall.
    most_wide, most_high
        What the drawing must fit into [pixels].
    """
    problem = size_problem(closet, _NOTHING)
    layout = todays_layout(closet)

    def drawing(layout: Layout, letter: int) -> Drawing:
        return elevation(problem, _NOTHING, Side("Today", layout, False), wall, View(letter, closet.units))

    bare = _without_openings(layout)
    return _fitted(partial(drawing, bare), partial(drawing, layout), most_wide, most_high)


def draw_from_above(closet: Closet, most_wide: int, most_high: int) -> Sheet:
    """All walls from above with today's bays, the door where it is placed, and the lamps; see `draw_wall`."""
    problem = size_problem(closet, _NOTHING)
    layout = todays_layout(closet)
    marks = tuple(_marks(closet))

    def drawing(letter: int) -> Drawing:
        return plan_drawing(problem, layout, View(letter, closet.units), marks, is_built=False)

    return _fitted(drawing, drawing, most_wide, most_high)


def wall_in_words(closet: Closet, wall: int) -> str:
    """What the drawing of a wall shows, for those who do not see it."""
    layout: WallLayout = todays_layout(closet).walls[wall]
    openings = sum(len(bay.openings) for bay in layout.bays)
    blocked = len(closet.wall[wall].blocked)
    return (
        f"Front of the wall {closet.wall[wall].name} today: {len(layout.bays)} bays with {openings} openings, "
        f"{blocked} blocked parts. The same measurements stand in the fields beside it."
    )


def _fitted(bare: Callable[[int], Drawing], full: Callable[[int], Drawing], most_wide: int, most_high: int) -> Sheet:
    """Choose the letters so that the sheet fits; its margins grow with them, so this takes a few bare drawings."""
    letter = PER_INCH
    for _ in range(8):
        drawing = bare(letter)
        letter = max(1, round(LETTER * max(drawing.width / most_wide, drawing.height / most_high)))
    drawing = full(letter)
    return Sheet(drawing, letter, round(drawing.width * LETTER / letter))


def _without_openings(layout: Layout) -> Layout:
    """The same bays with nothing in them, which are drawn at once."""
    walls = (replace(wall, bays=tuple(replace(bay, openings=()) for bay in wall.bays)) for wall in layout.walls)
    return replace(layout, walls=tuple(walls))


def _marks(closet: Closet) -> Iterator[PlanMark]:
    numbers = {wall.name: number for number, wall in enumerate(closet.wall)}
    door = closet.door
    if door is not None and door.faces is not None and door.left is not None and door.distance is not None:
        left, right = door.left, door.left + door.width
        yield PlanMark(numbers[door.faces], left, right, door.distance, door.distance + DOOR_THICK, "door")
    for lamp in closet.lamp:
        wide, deep = max(lamp.width, DOOR_THICK), max(lamp.depth, DOOR_THICK)
        yield PlanMark(numbers[lamp.wall], lamp.left, lamp.left + wide, lamp.out, lamp.out + deep, "lamp")
