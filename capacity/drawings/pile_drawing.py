"""Where each piece of a pile stands in its opening, seen from the front, by the fit rules and to scale.

Columns stand side by side from the left, in the order in which the plan names them, so that the room to spare
is seen at the right. What stands one behind the other is one rectangle that counts for several pieces.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial

from capacity.drawings.drawing import Rectangle, Style
from capacity.drawings.silhouettes import lying, silhouette
from capacity.layout.drawer_rule import DRAWER_HEIGHT, DRAWER_SIDES, DRAWER_STACK, drawer_depth
from capacity.layout.layout import Bay, Holding, Opening
from capacity.layout.problem import Problem, Rules, Thing
from capacity.layout.rod_height import rod_height
from capacity.units import PER_INCH
from capacity.wardrobe.inventory import Inventory
from capacity.wardrobe.kinds import Store

HEAP = 18 * PER_INCH
"""What has no place is heaped up to this height (our proposal) [ticks]."""

HUNG = (Style.HUNG_SHORT, Style.HUNG_LONG)

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


def arranged(problem: Problem, bay: Bay, opening: Opening, name: str = "") -> tuple[Rectangle, ...]:
    """All pieces of one opening as rectangles, in the wall's lengths.

    Parameters
    ----------
    problem
        The things and rules.
    bay, opening
        Where they are; the opening's `holds` says what is in it.
    name
        The name of the opening, noted on each rectangle.

    Returns
    -------
    Plain boxes; `dressed` gives each its family's style and its figure.
    """
    inside = _inside(problem.rules, bay, opening)
    place = inside.left
    pieces: list[Rectangle] = []
    for holding in opening.holds:
        whole = problem.thing(holding.row)
        thing = whole.stored_in(opening.kind) or whole
        if thing.store is Store.HANG:
            pieces += _hung(problem, opening, thing, holding, place, name)
            place += thing.rod * holding.count
            continue
        width = thing.depth if holding.turned else thing.width
        for column in _columns(problem.rules, inside, thing, holding):
            for level, count in enumerate(column):
                bottom = inside.bottom + level * thing.height
                pieces.append(Rectangle(place, bottom, width, thing.height, Style.DETAIL, thing.row, count, name))
            place += width
    return tuple(pieces)


def dressed(piece: Rectangle, problem: Problem, inventory: Inventory) -> Rectangle:
    """A piece in its family's style, as its kind looks, with a line that says what it is and whose."""
    pile, thing = inventory.pile(piece.row), _drawn(piece, problem.thing(piece.row))
    style = Style(pile.family)
    if thing.store is Store.HANG:
        style = style if style in HUNG else Style.HUNG_SHORT
        is_lying = (piece.width, piece.height) == (thing.drop, thing.rod)
        draw = lying if is_lying else partial(silhouette, is_turned=False)
    else:
        style = style if style not in HUNG else Style.FOLDED
        is_turned = piece.width == thing.depth != thing.width
        draw = partial(silhouette, is_turned=is_turned)
    figure = draw(pile.kind, style, piece.width, piece.height)
    words = f"{pile.name}: {pile.count} in all, {pile.use.value}"
    return replace(piece, style=Style(pile.family), words=words, figure=figure)


def _drawn(piece: Rectangle, thing: Thing) -> Thing:
    """The way of storing that a piece is drawn in: hanging or lying where it is as large as what hangs."""
    sizes = {piece.width, piece.height}
    hung = (way for way in thing.ways if way.store is Store.HANG and sizes == {way.rod, way.drop})
    return next(hung, next((way for way in thing.ways if way.store is not Store.HANG), thing))


def heaped(problem: Problem, left: Mapping[int, int], width: int) -> tuple[tuple[Rectangle, ...], ...]:
    """Pieces without a place as rows of heaps on the floor, what hangs lying; the highest heaps first.

    Parameters
    ----------
    problem
        The things.
    left
        How many pieces of each row have no place.
    width
        Room for a row [ticks]; only what is wider by itself reaches beyond.

    Returns
    -------
    For each row its pieces as boxes, over a floor at 0.
    """
    heaps: list[tuple[int, int, list[Rectangle]]] = []
    for thing in problem.things:
        wide, high = (thing.drop, thing.rod) if thing.store is Store.HANG else (thing.width, thing.height)
        if wide > width:
            wide, high = high, wide
        most = max(1, HEAP // high) if thing.store is Store.HANG else max(1, min(thing.most, HEAP // high))
        for first in range(0, left[thing.row], most):
            number = min(most, left[thing.row] - first)
            boxes = [Rectangle(0, level * high, wide, high, Style.DETAIL, thing.row, 1) for level in range(number)]
            heaps.append((number * high, wide, boxes))
    rows: list[list[Rectangle]] = []
    places: list[int] = []
    for _, wide, boxes in sorted(heaps, key=lambda heap: -heap[0]):
        found = next((number for number, place in enumerate(places) if place + wide <= width), len(rows))
        if found == len(rows):
            rows.append([])
            places.append(0)
        rows[found] += [box.moved(places[found], 0) for box in boxes]
        places[found] += wide + PER_INCH
    return tuple(map(tuple, rows))


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
    problem: Problem, opening: Opening, thing: Thing, holding: Holding, place: int, name: str
) -> Iterator[Rectangle]:
    rod = rod_height(problem, opening)
    for number in range(holding.count):
        left = place + number * thing.rod
        yield Rectangle(left, rod - thing.drop, thing.rod, thing.drop, Style.DETAIL, thing.row, 1, name)


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
