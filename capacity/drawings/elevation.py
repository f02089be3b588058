"""The front elevation of one wall: panels, rods, every pile to scale, lettered openings and dimensions.

Drawn over the carcass of `carcass_drawing`, with margins that follow the size of the letters. What is before and what
is after are drawn by the same function, and `before_and_after` puts both on one sheet, to one scale.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from capacity.closet.closet import Closet
from capacity.drawings.carcass_drawing import (
    Standing,
    View,
    blocked_parts,
    carcass,
    heights,
    locks,
    lost_to_corners,
    old_carcass,
    outline,
    widths,
)
from capacity.drawings.drawing import (
    PILE_STYLES,
    Drawing,
    Extent,
    Line,
    Marker,
    Rectangle,
    Shape,
    Style,
    Text,
    beside,
    text_size,
)
from capacity.drawings.labels import (
    LetteredOpening,
    contents,
    free_place,
    length_words,
    lettered,
    opening_words,
    plate,
    tape_of,
    thickness_words,
)
from capacity.drawings.pile_drawing import arranged, dressed, heaped
from capacity.drawings.silhouettes import padlock, standing_person
from capacity.drawings.text_places import first_free
from capacity.layout.layout import Bay, Layout
from capacity.layout.problem import OpeningKind, Problem, Run
from capacity.layout.reach_zones import zones_of
from capacity.layout.rod_height import rod_height
from capacity.units import PER_INCH, PER_MM
from capacity.wardrobe.inventory import Inventory

LEFT_MARGIN, RIGHT_MARGIN = 2.4, 4.4
"""Room left and right of the wall, for upright dimensions, in heights of a letter."""

GAP = 1.0
"""Room between two walls on one sheet, in heights of a letter."""

MARKER = 1.6
"""Diameter of a lettered disc, in heights of a letter."""


def people_of(closet: Closet) -> tuple[Standing, ...]:
    """Everybody who is described; who sits or whose stature is not written has no stature here."""
    zones = zones_of(closet.person)
    return tuple(
        Standing(person.name, (person.height or 0) if person.posture == "standing" else 0, zone.high)
        for person in closet.person
        for zone in [zones[person.name.casefold()]]
    )


@dataclass(frozen=True, slots=True)
class Side:
    """Before or after: its title, its layout, and whether it is built by the fit rules (today's need not be)."""

    title: str
    layout: Layout
    is_built: bool


def elevation(problem: Problem, inventory: Inventory, side: Side, wall: int, view: View) -> Drawing:
    """Draw one wall of one side.

    Parameters
    ----------
    problem
        Walls, things and rules [ticks].
    inventory
        The inventory that the side was filled from, for names and families.
    side
        What to draw.
    wall
        Index of the wall.
    view
        Size of the letters and units.

    Returns
    -------
    The wall with its margins; `floor` of the drawing is the floor line.
    """
    run = problem.runs[wall]
    bays = side.layout.walls[wall].bays
    highest = max(run.ceiling_left, run.ceiling_right)
    shapes: list[Shape] = [*outline(run), *blocked_parts(run, view)]
    if side.is_built:
        shapes += lost_to_corners(problem, side.layout, wall, view)
    shapes += carcass(problem, run, bays) if side.is_built else old_carcass(bays)
    discs: list[Extent] = []
    listed: list[str] = []
    for item in lettered(side.layout):
        if item.wall == wall:
            drawn = tuple(_filled(problem, inventory, item, side.title, view, discs))
            shapes += drawn
            if side.is_built and not view.is_bare:
                shapes += _bound(problem, item, drawn, view)
            named = contents(item.opening, inventory)
            if named and view.names in ("inside", "list") and not any(isinstance(shape, Text) for shape in drawn):
                listed.append(f"{item.letter}: {', '.join(named)}")
    shapes += _reaches(run, highest, shapes, view)
    if view.is_bare:
        bare = (shape for shape in shapes if isinstance(shape, Rectangle | Line))
        return Drawing(run.width, highest, 0, tuple(bare)).moved(view.ems(1), view.ems(1))
    below, dimensions = widths(problem, run, bays, side.is_built, view)
    if side.is_built:
        shapes += locks(problem, wall, bays, dimensions, view)
    shapes += [*dimensions, *heights(problem, run, side.is_built, view)]
    title = _title(inventory, side, wall)
    shapes.append(Text(run.width // 2, highest + view.ems(1.4), title, view.ems(1.15), bold=True))
    if view.has_floor:
        heap, below = _on_the_floor(problem, inventory, side.layout, run.width, below, view)
        shapes += heap
    names, below = _listed(listed, run.width, below, view)
    left = view.ems(LEFT_MARGIN)
    drawing = Drawing(run.width + view.ems(RIGHT_MARGIN), highest + view.ems(2.6), 0, (*shapes, *names))
    return drawing.moved(left, below)


def _title(inventory: Inventory, side: Side, wall: int) -> str:
    """Before or after, with how much has a place, in all or on this wall where there are several."""
    if not inventory.pieces:
        return side.title
    if len(side.layout.walls) == 1:
        return f"{side.title}: {side.layout.stored().total()} of {inventory.pieces} pieces"
    here = Layout((side.layout.walls[wall],)).stored().total()
    return f"{side.title}: {here} pieces on this wall"


def before_and_after(
    problem: Problem, inventory: Inventory, before: Side, after: Side, wall: int, view: View
) -> Drawing:
    """Both sides of one wall on one sheet, to one scale, people between them, a key and a scale bar under them."""
    left, right = (elevation(problem, inventory, side, wall, view) for side in (before, after))
    if any(person.stature for person in view.people):
        left = beside(left, people_drawing(view), 0)
    both = beside(left, right, view.ems(GAP))
    return both if view.is_bare else with_key(problem, both, view)


def people_drawing(view: View) -> Drawing:
    """Everybody whose stature is known, side by side at their true height, one hand as high as they reach."""
    shapes: list[Shape] = []
    left = high = 0
    for person in view.people:
        if not person.stature:
            continue
        wide, figure = standing_person(person.stature, person.reach)
        tall = max(person.stature, person.reach)
        name = text_size(person.name, view.letter)[0]
        room = max(wide, name) + view.ems(0.6)
        shapes.append(Rectangle(left + (room - wide) // 2, 0, wide, tall, Style.PERSON, figure=figure))
        shapes.append(Text(left + room // 2, -view.ems(1), person.name, view.letter))
        left, high = left + room, max(high, tall)
    return Drawing(left, high, 0, tuple(shapes)).moved(0, view.ems(1.8))


def titled(drawing: Drawing, lines: tuple[str, ...], view: View) -> Drawing:
    """The drawing under a title, its first line large, each line broken to the drawing's width."""
    texts: list[Text] = []
    place = drawing.height + view.ems(0.6)
    for number, line in reversed(tuple(enumerate(lines))):
        size = view.ems(1.5 if number == 0 else 1)
        words = _broken(line.split(" "), " ", drawing.width - view.ems(1), size)
        high = text_size(words, size)[1]
        texts.append(Text(view.ems(0.5), place + high // 2, words, size, "left", bold=number == 0))
        place += high + view.ems(0.5)
    return Drawing(drawing.width, place + view.ems(0.3), drawing.floor, (*drawing.shapes, *texts))


def with_key(problem: Problem, drawing: Drawing, view: View) -> Drawing:
    """The drawing with a scale bar and a key of the families in it below."""
    row = view.ems(2)
    present = [style for style in PILE_STYLES if any(piece.style is style for piece in drawing.pieces())]
    if any(isinstance(shape, Rectangle) and shape.style is Style.LOCK for shape in drawing.shapes):
        present.append(Style.LOCK)
    rows: list[list[tuple[Style, int]]] = [[]]
    place = view.ems(0.5)
    for style in present:
        wide = view.ems(2.2) + text_size(style.value, view.letter)[0] + view.ems(1)
        if place + wide > drawing.width and rows[-1]:
            rows.append([])
            place = view.ems(0.5)
        rows[-1].append((style, place))
        place += wide
    shapes: list[Shape] = []
    for number, entries in enumerate(reversed(rows)):
        middle = number * row + row // 2
        for style, left in entries:
            wide = view.ems(1.6 if style is not Style.LOCK else 1)
            figure = padlock(wide) if style is Style.LOCK else None
            shapes.append(Rectangle(left, middle - view.ems(0.5), wide, view.ems(1), style, figure=figure))
            shapes.append(Text(left + view.ems(2), middle, style.value, view.letter, "left"))
    high = len(rows) * row
    shapes += _scale_bar(problem, drawing.width, high + row // 2, view)
    moved = drawing.moved(0, high + row)
    return Drawing(moved.width, moved.height, moved.floor, (*moved.shapes, *shapes))


def _scale_bar(problem: Problem, width: int, middle: int, view: View) -> Iterator[Shape]:
    is_metric = tape_of(view.units).unit == "mm"
    long, words = (12 * PER_INCH, "1 ft") if not is_metric else (500 * PER_MM, "500 mm")
    left = view.ems(0.5)
    half = long // 2
    yield Rectangle(left, middle - view.ems(0.2), half, view.ems(0.4), Style.ROD)
    yield Rectangle(left + half, middle - view.ems(0.2), long - half, view.ems(0.4), Style.OPENING)
    start = left + long + view.ems(0.6)
    thick = thickness_words(problem.rules.panel, view.units)
    note = f"uprights and shelves {thick} thick"
    note = note if not is_metric else f"lengths in mm; {note}"
    for full in (f"{words}   {note}", words):
        if start + text_size(full, view.letter)[0] <= width:
            yield Text(start, middle, full, view.letter, "left")
            return


# ---- openings and what is in them -----------------------------------------------------------------------


def _filled(
    problem: Problem, inventory: Inventory, item: LetteredOpening, title: str, view: View, discs: list[Extent]
) -> Iterator[Shape]:
    """One opening with its pieces, rod or drawer front, lettered disc and label; notes the disc in `discs`."""
    bay, opening = item.in_bay, item.opening
    name = f"{title} {item.letter}"
    yield Rectangle(bay.left, opening.bottom, bay.width, opening.height, Style.OPENING, opening=name)
    if name == view.chosen:
        yield Rectangle(bay.left, opening.bottom, bay.width, opening.height, Style.CHOSEN)
    pieces = tuple(dressed(piece, problem, inventory) for piece in arranged(problem, bay, opening, name))
    yield from pieces
    for piece in pieces:
        yield from _behind(piece)
    rods: tuple[Extent, ...] = ()
    if opening.kind is OpeningKind.HANG:
        rod = rod_height(problem, opening)
        bar = Rectangle(bay.left, rod - PER_INCH // 2, bay.width, PER_INCH, Style.ROD)
        rods = (bar.extent,)
        yield bar
    if opening.kind is OpeningKind.DRAWER:
        yield from _drawer_front(bay, opening.bottom, opening.height)
    inside = Extent(bay.left, opening.bottom, bay.left + bay.width, opening.bottom + opening.height)
    disc = _disc_place(inside, pieces, discs, view)
    words = f"{title}, {opening_words(item, inventory, view.units)}"
    middle = (disc.left + disc.right) // 2, (disc.bottom + disc.top) // 2
    yield Marker(*middle, disc.right - disc.left, item.letter, name, words)
    named = contents(opening, inventory)
    if view.names in ("inside", "only inside") and named:
        pad = min(view.ems(0.25), bay.width // 8, opening.height // 8)
        padded = Extent(inside.left + pad, inside.bottom + pad, inside.right - pad, inside.top - pad)
        label = plate(named, round(view.letter * 0.9), padded, pieces, (disc, *discs, *rods))
        if label is not None:
            yield label
    discs.append(disc)


def _disc_place(inside: Extent, pieces: tuple[Rectangle, ...], discs: list[Extent], view: View) -> Extent:
    """Upper right, clear of piles where it can be; over the edges of an opening that is lower than the disc."""
    size = view.ems(MARKER)
    corner = Extent(inside.right, inside.top, inside.right, inside.top)
    bottom = min(inside.bottom, (inside.bottom + inside.top - size) // 2)
    around = Extent(inside.left, bottom, inside.right, max(inside.top, bottom + size))
    place = free_place(around, (size, size), pieces, discs, corner, covers=0)
    if place is not None:
        return place.extent
    left, bottom = (inside.left + inside.right - size) // 2, (inside.bottom + inside.top - size) // 2
    return Extent(left, bottom, left + size, bottom + size)


def _bound(problem: Problem, item: LetteredOpening, drawn: Sequence[Shape], view: View) -> Iterator[Rectangle]:
    """A padlock at each pile that must have a place, or that keeps to this wall, where one is free or hides least."""
    pieces = [shape for shape in drawn if isinstance(shape, Rectangle) and shape.pieces]
    taken = [shape.extent for shape in drawn if isinstance(shape, Text | Marker)]
    bay, opening, size = item.in_bay, item.opening, view.ems(1.1)
    inside = Extent(bay.left, opening.bottom, bay.left + bay.width, opening.bottom + opening.height)
    for row in dict.fromkeys(holding.row for holding in opening.holds):
        if not _is_bound(problem, item.wall, row):
            continue
        near = next((piece.extent for piece in pieces if piece.row == row), inside)
        place = free_place(inside, (size, size), pieces, taken, near, covers=0)
        if place is not None:
            lock = Rectangle(place.extent.left, place.extent.bottom, size, size, Style.LOCK, figure=padlock(size))
            taken.append(lock.extent)
            yield lock


def _is_bound(problem: Problem, wall: int, row: int) -> bool:
    """Whether a pile must have a place, or may not be on some other wall."""
    thing = next(thing for thing in problem.things if thing.row == row)
    others = (run.barred for number, run in enumerate(problem.runs) if number != wall)
    return thing.first > 0 or any(row in barred for barred in others)


def _behind(piece: Rectangle) -> Iterator[Shape]:
    """One line under the upper edge for each further piece behind."""
    for number in range(1, piece.pieces):
        y = piece.bottom + piece.height - piece.height * number // (3 * piece.pieces)
        yield Line(piece.left, y, piece.left + piece.width, y, Style.DETAIL)


def _drawer_front(bay: Bay, bottom: int, height: int) -> Iterator[Shape]:
    yield Rectangle(bay.left, bottom, bay.width, height, Style.DRAWER)
    middle, half, pull = bay.left + bay.width // 2, bay.width // 10, bottom + height - height // 6
    yield Line(middle - half, pull, middle + half, pull, Style.DETAIL)


# ---- what stands around it ------------------------------------------------------------------------------


def _reaches(run: Run, highest: int, shapes: Sequence[Shape], view: View) -> Iterator[Shape]:
    """How high each person reaches: a broken line over the wall, with a name where one is free."""
    taken = [shape.extent for shape in shapes if isinstance(shape, Text | Marker)]
    pieces = [shape.extent for shape in shapes if isinstance(shape, Rectangle) and shape.pieces]
    for person in view.people:
        if person.reach >= highest:
            continue
        yield Line(0, person.reach, run.width, person.reach, Style.REACH)
        step = 10 * PER_MM if tape_of(view.units).unit == "mm" else PER_INCH
        words = f"{person.name} reaches {length_words(round(person.reach / step) * step, view.units)}"
        size = round(view.letter * 0.9)
        wide, high = text_size(words, size)
        places = [
            Text(left + wide // 2, person.reach + side * (high // 2 + view.ems(0.1)), words, size, plate=True)
            for side in (1, -1)
            for left in range(view.ems(0.3), max(0, run.width - wide), max(1, run.width // 24))
        ]
        text = first_free(places, [*taken, *pieces]) or first_free(places, taken)
        if text is not None:
            taken.append(text.extent)
            yield text


def _on_the_floor(
    problem: Problem, inventory: Inventory, layout: Layout, width: int, below: int, view: View
) -> tuple[list[Shape], int]:
    """What has no place, in rows under what has been drawn so far down; returns how far down it is then."""
    stored = layout.stored()
    left = {thing.row: thing.count - stored[thing.row] for thing in problem.things}
    number = sum(left.values())
    below += view.ems(0.6)
    words = f"{number} without a place, on the floor" if number else "everything has its place"
    high = text_size(words, view.letter)[1]
    shapes: list[Shape] = [Text(width // 2, -below - high // 2, words, view.letter, bold=True)]
    below += high + view.ems(0.3)
    for row in heaped(problem, left, width):
        below += max(piece.bottom + piece.height for piece in row)
        shapes += [dressed(piece.moved(0, -below), problem, inventory) for piece in row]
        shapes.append(Line(0, -below, width, -below, Style.HATCH))
        below += view.ems(0.5)
    return shapes, below


def _listed(lines: Sequence[str], width: int, below: int, view: View) -> tuple[list[Text], int]:
    """Openings and what they hold in as many columns as there is room for; returns how far down it is then."""
    if not lines:
        return [], below
    size = round(view.letter * 0.9)
    room = width + view.ems(LEFT_MARGIN + RIGHT_MARGIN - 1)
    columns = max(1, room // (max(text_size(line, size)[0] for line in lines) + view.ems(1)))
    share = -(-len(lines) // columns)
    texts: list[Text] = []
    below += view.ems(0.6)
    deepest = below
    for column in range(columns):
        place = below
        for line in lines[column * share : (column + 1) * share]:
            words = _broken(line.split(", "), ", ", room // columns, size)
            high = text_size(words, size)[1]
            left = column * (room // columns) - view.ems(LEFT_MARGIN - 0.5)
            texts.append(Text(left, -place - high // 2, words, size, "left"))
            place += high + 2  # rounding of the middle must not make two lines touch
        deepest = max(deepest, place)
    return texts, deepest + view.ems(0.3)


def _broken(words: Sequence[str], joint: str, width: int, size: int) -> str:
    """Words on as many lines as they need."""
    lines = [words[0]]
    for word in words[1:]:
        longer = f"{lines[-1]}{joint}{word}"
        if text_size(longer, size)[0] <= width:
            lines[-1] = longer
        else:
            lines[-1] += joint.rstrip()
            lines.append(word)
    return "\n".join(lines)
