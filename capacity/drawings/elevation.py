"""The front elevation of one wall: panels, rods, every pile to scale, lettered openings and dimensions.

All of it in the wall's own lengths, with margins that follow the size of the letters. What is before and what
is after are drawn by the same function, and `before_and_after` puts both on one sheet, to one scale.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from capacity.closet.closet import Closet
from capacity.drawings.drawing import (
    PILE_STYLES,
    Dimension,
    Drawing,
    Extent,
    Line,
    Marker,
    Rectangle,
    Shape,
    Style,
    Text,
    beside,
    hatch,
    text_size,
)
from capacity.drawings.labels import (
    Lengths,
    LetteredOpening,
    contents,
    free_place,
    length_words,
    lettered,
    opening_words,
    plate,
    sawn_words,
    tape_of,
    thickness_words,
)
from capacity.drawings.pile_drawing import arranged, dressed, heaped
from capacity.drawings.silhouettes import padlock, standing_person
from capacity.drawings.text_places import first_free, in_box
from capacity.layout.corners import ends_of, reaches_walls
from capacity.layout.layout import Bay, Layout, panels_of
from capacity.layout.problem import OpeningKind, Problem, Run
from capacity.layout.reach_zones import zones_of
from capacity.layout.rods import rod_height
from capacity.units import PER_INCH, PER_MM, Tape
from capacity.wardrobe.inventory import Inventory

LEFT_MARGIN, RIGHT_MARGIN = 2.4, 4.4
"""Room left and right of the wall, for upright dimensions, in heights of a letter."""

GAP = 1.0
"""Room between two walls on one sheet, in heights of a letter."""

MARKER = 1.6
"""Diameter of a lettered disc, in heights of a letter."""

LONGEST_UPRIGHT_GAP = 2 * PER_INCH
"""Bays of today's closet this near to each other are parted by a panel; further apart, by nothing (our proposal)
[ticks]."""


@dataclass(frozen=True, slots=True)
class Standing:
    """Somebody with stature (0: not known, so not drawn) and the highest place within reach [ticks]."""

    name: str
    stature: int
    reach: int


def people_of(closet: Closet) -> tuple[Standing, ...]:
    """Everybody who is described; who sits or whose stature is not written has no stature here."""
    zones = zones_of(closet.person)
    return tuple(
        Standing(person.name, (person.height or 0) if person.posture == "standing" else 0, zone.high)
        for person in closet.person
        for zone in [zones[person.name.casefold()]]
    )


@dataclass(frozen=True, slots=True)
class View:
    """How a wall is shown: height of the letters [ticks], units of lengths, and what is shown besides.

    `names` says where contents are named: within the openings that have room and in a list below for the others, only
    within, all in that list, or nowhere. `people` have their reach drawn. With `has_floor` what has no place lies in
    front. `chosen` is the name of the opening that is marked. One that `is_bare` has no text at all.
    """

    letter: int
    units: Lengths
    names: Literal["inside", "only inside", "list", "none"] = "inside"
    people: tuple[Standing, ...] = ()
    has_floor: bool = False
    chosen: str = ""
    is_bare: bool = False

    def ems(self, number: float) -> int:
        """So many heights of a letter [ticks]."""
        return round(number * self.letter)

    def length(self, ticks: int) -> str:
        """A length of the drawing in words: for the workshop down to a mark, for reading to the nearest one."""
        as_printed = sawn_words if isinstance(self.units, Tape) else length_words
        return as_printed(ticks, self.units, False)


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
    shapes: list[Shape] = [*_room(run), *blocked_parts(run, view)]
    if side.is_built:
        shapes += _lost_to_corners(problem, side.layout, wall, view)
    shapes += carcass(problem, run, bays) if side.is_built else old_carcass(bays)
    discs: list[Extent] = []
    listed: list[str] = []
    for item in lettered(side.layout):
        if item.wall == wall:
            drawn = tuple(_filled(problem, inventory, item, side.title, view, discs))
            shapes += drawn
            named = contents(item.opening, inventory)
            if named and view.names in ("inside", "list") and not any(isinstance(shape, Text) for shape in drawn):
                listed.append(f"{item.letter}: {', '.join(named)}")
    shapes += _reaches(run, highest, shapes, view)
    if view.is_bare:
        bare = (shape for shape in shapes if isinstance(shape, Rectangle | Line))
        return Drawing(run.width, highest, 0, tuple(bare)).moved(view.ems(1), view.ems(1))
    below, dimensions = _widths(problem, run, bays, side.is_built, view)
    if side.is_built:
        shapes += _locks(problem, wall, bays, dimensions, view)
    shapes += [*dimensions, *_heights(problem, run, side.is_built, view)]
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


# ---- the room and what is built in it -------------------------------------------------------------------


def _room(run: Run) -> Iterator[Shape]:
    yield Line(0, 0, run.width, 0, Style.WALL)
    yield Line(0, 0, 0, run.ceiling_left, Style.WALL)
    yield Line(run.width, 0, run.width, run.ceiling_right, Style.WALL)
    yield Line(0, run.ceiling_left, run.width, run.ceiling_right, Style.WALL)


def blocked_parts(run: Run, view: View, start: int = 0, end: int | None = None) -> Iterator[Shape]:
    """What stands in the way on a wall, or on the part of it between two places, hatched and named."""
    for box in run.blocked:
        extent = Extent(max(start, box.left), box.bottom, min(box.right, run.width if end is None else end), box.top)
        if extent.right <= extent.left:
            continue
        yield Rectangle(extent.left, extent.bottom, extent.right - extent.left, box.top - box.bottom, Style.BLOCKED)
        yield from hatch(extent, view.ems(0.6))
        if box.name and not view.is_bare:
            text = in_box(extent, [box.name, box.name.replace(" ", "\n")], view.letter, view.letter // 8)
            if text is not None:
                yield replace(text, plate=True)


def _lost_to_corners(problem: Problem, layout: Layout, wall: int, view: View) -> Iterator[Shape]:
    """What this wall gives up so that the neighbour's end can be reached: hatched, and said in words."""
    run = problem.runs[wall]
    start, end = ends_of(problem, wall, layout.owners)
    at_left, at_right = reaches_walls(problem, wall, layout.owners)
    for left, right, is_kept in ((0, start, not at_left), (end, run.width, not at_right)):
        if not is_kept or right <= left:
            continue
        high = problem.top
        extent = Extent(left, 0, right, high)
        yield Rectangle(left, 0, right - left, high, Style.CORNER)
        yield from hatch(extent, view.ems(1.6))
        middle = (left + right) // 2, high // 2
        words = "kept free: corner of the next wall"
        yield Text(*middle, words, view.letter, turned=True, plate=True)


def carcass(problem: Problem, run: Run, bays: tuple[Bay, ...]) -> Iterator[Shape]:
    """Uprights as high as the higher bay beside them, and every bottom, shelf and top."""
    thick = problem.rules.panel
    uprights: dict[int, int] = {}
    for bay in bays:
        top = problem.head_over(run, bay.left, bay.left + bay.width)
        for left in (bay.left - thick, bay.left + bay.width):
            uprights[left] = max(uprights.get(left, 0), min(top, problem.head_over(run, left, left + thick)))
    for left, top in sorted(uprights.items()):
        yield Rectangle(left, 0, thick, top, Style.PANEL)
    for bay in bays:
        for face in panels_of(problem, bay):
            yield Rectangle(bay.left, face, bay.width, thick, Style.PANEL)


def old_carcass(bays: tuple[Bay, ...]) -> Iterator[Shape]:
    """Today's closet: only clear rooms are known, so what parts them is drawn, or a broken line where nothing does."""
    for bay in bays:
        right = bay.left + bay.width
        for lower, upper in pairwise(bay.openings):
            face = lower.bottom + lower.height
            if upper.bottom > face:
                yield Rectangle(bay.left, face, bay.width, upper.bottom - face, Style.PANEL)
            else:
                yield Line(bay.left, face, right, face, Style.SPLIT)
    for bay, following in pairwise(bays):
        right = bay.left + bay.width
        tops = [item.openings[-1].bottom + item.openings[-1].height for item in (bay, following) if item.openings]
        if tops and 0 < following.left - right <= LONGEST_UPRIGHT_GAP:
            yield Rectangle(right, 0, following.left - right, min(tops), Style.PANEL)
        elif tops and following.left == right:
            yield Line(right, 0, right, min(tops), Style.SPLIT)


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


# ---- dimensions -----------------------------------------------------------------------------------------


def _widths(
    problem: Problem, run: Run, bays: tuple[Bay, ...], is_built: bool, view: View
) -> tuple[int, tuple[Dimension, ...]]:
    """The chain of clear widths, panels and free wall that adds up to the wall, and the wall under it.

    Returns the room that both take under the floor, and the dimensions.
    """
    thick = problem.rules.panel if is_built else 0
    marks = {0, run.width}
    for bay in bays:
        marks |= {bay.left - thick, bay.left, bay.left + bay.width, bay.left + bay.width + thick}
    places = sorted(mark for mark in marks if 0 <= mark <= run.width)
    clear = {(bay.left, bay.left + bay.width) for bay in bays}
    tall = text_size("0", view.letter)[1]
    printed: list[tuple[int, int, str, bool]] = []
    for start, end in pairwise(places):
        words, is_turned = _fitted(view.length(end - start), end - start, view)
        is_named = (start, end) in clear or (not is_turned and end - start > 2 * problem.rules.panel)
        printed.append((start, end, words if is_named else "", is_turned))
        if is_named:
            tall = max(tall, text_size(words, view.letter)[0 if is_turned else 1])
    chain = -tall - view.ems(0.7)
    whole = chain - view.ems(2.1)
    dimensions = [
        Dimension("x", start, end, chain, words, view.letter, turned) for start, end, words, turned in printed
    ]
    words = view.length(run.width)
    dimensions.append(Dimension("x", 0, run.width, whole, words, view.letter))
    return -whole + view.ems(0.8), tuple(dimensions)


def _locks(
    problem: Problem, wall: int, bays: tuple[Bay, ...], dimensions: Sequence[Dimension], view: View
) -> Iterator[Rectangle]:
    """A padlock under every bay that must be where it is, beside whatever is printed there."""
    kept = {(bay.left, bay.width) for bay in problem.fixed if bay.run == wall}
    size, chain = view.ems(1.1), dimensions[0].at
    taken = [text.extent for dimension in dimensions if (text := dimension.text) is not None]
    for bay in bays:
        if (bay.left, bay.width) not in kept:
            continue
        bottom = chain - view.ems(0.5) - size
        places = range(bay.left + view.ems(0.2), max(bay.left + bay.width - size, bay.left + 1), max(1, size // 2))
        boxes = [Rectangle(left, bottom, size, size, Style.LOCK, figure=padlock(size)) for left in places]
        free = (box for box in boxes if not any(box.extent.overlaps(other) for other in taken))
        found = next(free, None)
        if found is not None:
            yield found


def _fitted(words: str, room: int, view: View) -> tuple[str, bool]:
    """The words of a length as they fit over a line: on one line, with `about` over it, or turned upright."""
    for text in (words, words.replace("about ", "about\n")):
        if text_size(text, view.letter)[0] <= room:
            return text, False
    return words, True


def _heights(problem: Problem, run: Run, is_built: bool, view: View) -> Iterator[Dimension]:
    """Ceiling height right of the wall, both ends where it slopes, and the height of the built-ins."""
    words = view.length

    first, second = run.width + view.ems(1.9), run.width + view.ems(3.9)
    top = problem.head_under(run, max(run.ceiling_left, run.ceiling_right))
    if is_built and top < run.ceiling_right:
        yield Dimension("y", 0, top, first, words(top), view.letter)
    yield Dimension("y", 0, run.ceiling_right, second, words(run.ceiling_right), view.letter)
    if run.is_sloped:
        yield Dimension("y", 0, run.ceiling_left, -view.ems(0.7), words(run.ceiling_left), view.letter)
