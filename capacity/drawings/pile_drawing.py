"""Where each piece of a pile stands in its opening, seen from the front, by the fit rules and to scale.

Columns stand side by side from the left, in the order in which the plan names them, so that the room to spare
is seen at the right. What stands one behind the other is one rectangle that counts for several pieces.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from capacity.drawings.drawing import Rectangle, Style
from capacity.layout.drawer_rule import DRAWER_HEIGHT, DRAWER_SIDES, DRAWER_STACK, drawer_depth
from capacity.layout.layout import Bay, Holding, Opening
from capacity.layout.problem import Problem, Rules, Thing
from capacity.layout.rods import rod_height
from capacity.units import PER_INCH
from capacity.wardrobe.kinds import Store

DRAWER_LIFT = PER_INCH
"""Room under what lies in a drawer: 1/2 in below the box and its 1/2 in bottom [ticks]."""


@dataclass(frozen=True, slots=True)
class Inside:
    """The room within an opening that its contents may use; `deep` is its depth [ticks]."""

    left: int
    bottom: int
    width: int
    high: int
    deep: int


def arranged(
    problem: Problem, bay: Bay, opening: Opening, letter: str, styles: dict[int, Style]
) -> tuple[Rectangle, ...]:
    """All pieces of one opening as rectangles, in the wall's lengths.

    Parameters
    ----------
    problem
        The things and rules.
    bay, opening
        Where they are; the opening's `holds` says what is in it.
    letter
        The letter of the opening, noted on each rectangle.
    styles
        The style of each row.
    """
    inside = _inside(problem.rules, bay, opening)
    place = inside.left
    pieces: list[Rectangle] = []
    for holding in opening.holds:
        thing = problem.thing(holding.row)
        style = styles[holding.row]
        if thing.store is Store.HANG:
            pieces += _hung(problem.rules, opening, thing, holding, place, style, letter)
            place += thing.rod * holding.count
            continue
        width = thing.depth if holding.turned else thing.width
        for column in _columns(problem.rules, inside, thing, holding):
            for level, count in enumerate(column):
                bottom = inside.bottom + level * thing.height
                pieces.append(Rectangle(place, bottom, width, thing.height, style, thing.row, count, letter))
            place += width
    return tuple(pieces)


def _inside(rules: Rules, bay: Bay, opening: Opening) -> Inside:
    if opening.kind.value == "drawer":
        return Inside(
            bay.left + DRAWER_SIDES // 2,
            opening.bottom + DRAWER_LIFT,
            bay.width - DRAWER_SIDES,
            opening.height - DRAWER_HEIGHT,
            drawer_depth(bay.depth),
        )
    return Inside(bay.left, opening.bottom, bay.width, opening.height - rules.gap, bay.depth)


def _hung(
    rules: Rules, opening: Opening, thing: Thing, holding: Holding, place: int, style: Style, letter: str
) -> Iterator[Rectangle]:
    rod = rod_height(rules, opening)
    for number in range(holding.count):
        left = place + number * thing.rod
        yield Rectangle(left, rod - thing.drop, thing.rod, thing.drop, style, thing.row, 1, letter)


def _columns(rules: Rules, inside: Inside, thing: Thing, holding: Holding) -> Iterator[tuple[int, ...]]:
    """Pieces of each level of each column, from the floor of the opening up; rules 4, 5 and 8."""
    deep = thing.width if holding.turned else thing.depth
    rows = inside.deep // deep
    most = max(1, DRAWER_STACK // thing.height) if thing.store is Store.DRAWER else thing.most
    if thing.store is not Store.DRAWER:
        rows = min(rules.rows_deep, rows)
    high = min(most, inside.high // thing.height)
    if rows < 1 or high < 1:
        msg = f"row {thing.row} does not fit into its opening"
        raise ValueError(msg)
    left = holding.count
    while left > 0:
        here = min(left, high * rows)
        stacks = [min(high, here - high * row) for row in range(rows) if here > high * row]
        yield tuple(sum(1 for stack in stacks if stack > level) for level in range(stacks[0]))
        left -= here
