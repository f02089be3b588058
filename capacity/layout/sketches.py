"""From widths and openings to a built layout: places on the wall, heights over the floor, room shared out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from capacity.layout.corners import ends_of
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout, is_within_budget
from capacity.layout.needs import needed_height
from capacity.layout.problem import BlockedPart, OpeningKind, Problem, Run, Site
from capacity.layout.towers import groups_of, towers_of
from capacity.units import PER_INCH, PER_MM

MARKS = (PER_INCH // 16, PER_MM)
"""What is shared out is shared in steps that a rule can mark [ticks]: 1/16 in, or 1 mm (see `mark_of`)."""

NEW_SHELF = 7 * PER_INCH
"""Least room left over in which one more shelf is put in: low shoes fit (common practice, 7 in) [ticks]."""

USUAL_SHELF = 12 * PER_INCH
"""Usual spacing of shelves for folded things (common practice, no published source) [ticks]."""


@dataclass(frozen=True, slots=True)
class OpeningSketch:
    """An opening before it has a place: kind, least clear height [ticks] and contents."""

    kind: OpeningKind
    height: int
    holds: tuple[Holding, ...] = ()


@dataclass(frozen=True, slots=True)
class BaySketch:
    """A bay before it is built; `floor` is a rod opening that stands on the floor.

    `left` is None where the bay may stand anywhere on its wall; `above` is what lies above the top panel. Where its run
    prescribes openings (`Run.prescribed`) these are the first of its `pieces`, full or empty.
    """

    width: int
    floor: OpeningSketch | None
    pieces: tuple[OpeningSketch, ...]
    above: tuple[Holding, ...] = ()
    left: int | None = None


def build_wall(problem: Problem, run_index: int, owners: tuple[bool, ...], sketches: Sequence[BaySketch]) -> WallLayout:
    """Set up the bays of one wall side by side (or where they say) from its left end, or at an upright to share."""
    run, thick = problem.runs[run_index], problem.rules.panel
    sketches = or_empty(problem, run_index, sketches)
    start, end = ends_of(problem, run_index, owners)
    place = start + thick
    if problem.has_marked_widths(run):  # what they hold was counted with just such widths
        sketches = [replace(sketch, width=problem.rules.width_down(sketch.width)) for sketch in sketches]
    if run.is_plain and run.shares_right and not run.shares_left:
        place = end - sum(sketch.width + thick for sketch in sketches)
    bays: list[Bay] = []
    for sketch in sketches:
        left = place if sketch.left is None else sketch.left
        bays.append(build_bay(problem, run, left, sketch))
        place = left + sketch.width + thick
    return WallLayout(run.name, tuple(bays))


def or_empty(problem: Problem, run_index: int, sketches: Sequence[BaySketch]) -> Sequence[BaySketch]:
    """The bays of a run; where one must be and there is none, that one with nothing in it.

    Under a budget it is a rod from the floor up where it may be: that takes no bottom panel.
    """
    run = problem.runs[run_index]
    if sketches or not run.fixed:
        return sketches
    left = None if run.is_plain else problem.rules.panel
    is_rod = OpeningKind.HANG in run.kinds and run.fixed <= problem.longest(run_index, OpeningKind.HANG)
    if problem.most_panel and is_rod and not run.prescribed:
        return [BaySketch(run.fixed, OpeningSketch(OpeningKind.HANG, max(1, problem.rules.toe_kick)), (), (), left)]
    return [
        BaySketch(run.fixed, None, tuple(OpeningSketch(item.kind, item.height) for item in run.prescribed), (), left)
    ]


def uprights_besides(problem: Problem, run_index: int, sketches: Sequence[BaySketch]) -> int:
    """Area of the uprights of a wall besides one for each bay [square ticks], below 0 where both ends are shared.

    Under a slope no upright is counted as shared: the bay beside it may be the higher one.
    """
    run, thick = problem.runs[run_index], problem.rules.panel
    if run.is_kept or not sketches:
        return 0
    number = 1
    if not run.is_sloped:
        number -= run.shares_left + run.shares_right
        left_over = run.width - thick - sum(sketch.width + thick for sketch in sketches)
        number += run.shares_left and run.shares_right and left_over > 0
    return number * run.depth * problem.head_under(run, run.ceiling_left)


def closed(problem: Problem, run_index: int, sketches: Sequence[BaySketch]) -> list[BaySketch] | None:
    """The bays of a wall, wider where a gap narrower than a panel would be left between bays that must be.

    On a plain part between two of them nothing is left over, so that both uprights are shared, or a panel's thickness
    at least. None where the bays may not be so much wider. Bays of other walls stay as they are.
    """
    run, thick = problem.runs[run_index], problem.rules.panel
    made = list(sketches)
    left_over = run.width - thick - sum(sketch.width + thick for sketch in made)
    if not run.is_between or not made or not 0 < left_over < thick:
        return made
    for index in reversed(range(len(made))):
        more = min(left_over, widest(problem, run_index, made[index]) - made[index].width)
        made[index] = replace(made[index], width=made[index].width + more)
        left_over -= more
    return made if left_over == 0 else None


def build_bay(problem: Problem, run: Run, left: int, sketch: BaySketch) -> Bay:
    """Stack the openings of one bay from the floor up; the last one under each stop is stretched to it."""
    rules, thick = problem.rules, problem.rules.panel
    ceiling = run.ceiling_over(left, left + sketch.width)
    upper, least = problem.head_under(run, ceiling), max(1, rules.least_opening)
    boxes = sorted(
        (box for box in run.blocked if left - thick < box.right and box.left < left + sketch.width + thick),
        key=lambda box: box.bottom,
    )
    openings: list[Opening] = []
    bottom = 0 if sketch.floor else rules.base
    # a bay with nothing but what lies on its top, or with nothing but what is prescribed, has one opening more
    may_have_shelf = sketch.width <= max(rules.max_shelf, run.fixed if run.is_kept else 0)
    is_shelf = may_have_shelf and OpeningKind.SHELF in run.kinds
    empty = OpeningSketch(OpeningKind.SHELF if is_shelf else OpeningKind.HANG, least)
    pieces = (
        *([sketch.floor] if sketch.floor else []),
        *(sketch.pieces if boxes or run.prescribed else _drawers_low(problem, sketch, upper)),
    )
    if len(pieces) == len(run.prescribed):
        pieces = (*pieces, empty)
    for piece in pieces:
        bottom = _clear_of(boxes, bottom, piece.height, thick)
        if piece is empty and bottom + piece.height + thick > upper:
            break  # a blocked part takes all that is below the top, or over what is prescribed
        openings.append(Opening(piece.kind, bottom, piece.height, piece.holds))
        bottom += piece.height + thick
    stretched: list[Opening] = []
    for index, opening in enumerate(openings):
        if index < len(run.prescribed):
            stretched.append(opening)
            continue
        following = openings[index + 1].bottom - thick if index + 1 < len(openings) else upper - thick
        stops = [box.bottom - thick for box in boxes if box.bottom >= opening.bottom + opening.height + thick]
        stretched += _stretched(problem, opening, min([following, *stops]))
    has_top_panel = not any(box.top > problem.top - thick and box.bottom < ceiling for box in boxes)
    # over a rod longer than the longest shelf nothing may lie: without the opening no filling puts anything there
    above = problem.above_under(run, ceiling)
    if above and has_top_panel and (sketch.above or may_have_shelf):
        stretched.append(Opening(OpeningKind.SHELF, problem.top, above, sketch.above))
    return Bay(left, sketch.width, run.depth, tuple(stretched))


def drawer_room(problem: Problem, start: int, end: int, is_bound: bool = False) -> int:
    """What drawers, each with the panel over it, may take of a stretch of a bay, so that none ends too high [ticks].

    Parameters
    ----------
    start, end
        Upper faces of the panel under the stretch and of the one over it.
    is_bound
        The stretch stands for others that may end lower. Else some opening that is no drawer lies over the drawers
        where the stretch goes on above them.
    """
    rules = problem.rules
    if not rules.highest_drawer or end - rules.panel <= rules.highest_drawer:
        return end - start
    room = rules.highest_drawer + rules.panel - start
    if not is_bound:
        room = min(room, end - start - max(1, rules.least_opening) - rules.panel)
    return max(0, room)


def _drawers_low(problem: Problem, sketch: BaySketch, upper: int) -> tuple[OpeningSketch, ...]:
    """The openings of a bay from the floor up, its drawers first where one of them would end too high."""
    rules = problem.rules
    if not rules.highest_drawer or upper - rules.panel <= rules.highest_drawer:
        return sketch.pieces
    place = sketch.floor.height + rules.panel if sketch.floor else rules.base
    highest = 0
    for number, piece in enumerate(sketch.pieces, start=1):
        place += piece.height + rules.panel
        if piece.kind is OpeningKind.DRAWER:  # the last opening of all reaches to the top panel
            highest = place - rules.panel if number < len(sketch.pieces) else upper - rules.panel
    if highest <= rules.highest_drawer:
        return sketch.pieces
    return tuple(sorted(sketch.pieces, key=lambda piece: piece.kind is not OpeningKind.DRAWER))


def _stretched(problem: Problem, opening: Opening, limit: int) -> tuple[Opening, ...]:
    """An opening as high as the panel at `limit` lets it be; over a drawer that would end too high a shelf."""
    rules = problem.rules
    rest = limit - opening.bottom - opening.height - rules.panel
    is_high = opening.kind is OpeningKind.DRAWER and 0 < rules.highest_drawer < limit
    if is_high and rest >= max(1, rules.least_opening):
        shelf = Opening(OpeningKind.SHELF, opening.bottom + opening.height + rules.panel, rest)
        return opening, shelf
    return (replace(opening, height=limit - opening.bottom),)


def _clear_of(boxes: Sequence[BlockedPart], bottom: int, height: int, thick: int) -> int:
    """Lowest place at or above `bottom` where an opening and its panels miss every blocked part."""
    for box in boxes:
        foot = thick if bottom > 0 else 0
        if bottom - foot < box.top and box.bottom < bottom + height + thick:
            bottom = box.top + thick
    return bottom


def is_free_of_blocked(problem: Problem, w: int, bay: Bay) -> bool:
    """Whether a bay and its uprights touch no blocked part, so that its whole height can be used."""
    thick = problem.rules.panel
    return not any(
        bay.left - thick < box.right and box.left < bay.left + bay.width + thick for box in problem.runs[w].blocked
    )


def sketch_of(problem: Problem, run_index: int, bay: Bay) -> BaySketch:
    """A bay taken apart again, each opening as low as its contents allow, empty ones left out.

    What is prescribed stays as it is.
    """
    run = problem.runs[run_index]
    towers = towers_of(problem, groups_of(problem), Site(bay.depth))
    floor: OpeningSketch | None = None
    pieces: list[OpeningSketch] = []
    above: tuple[Holding, ...] = ()
    for number, opening in enumerate(bay.openings):
        if number < len(run.prescribed):
            pieces.append(OpeningSketch(opening.kind, opening.height, opening.holds))
            continue
        if opening.bottom >= problem.top:
            above = opening.holds
            continue
        piece = OpeningSketch(opening.kind, needed_height(problem, towers, opening), opening.holds)
        if opening.bottom == 0 and opening.holds:
            floor = piece
        elif opening.holds:
            pieces.append(piece)
    return BaySketch(bay.width, floor, tuple(pieces), above, None if run.is_plain else bay.left)


def mark_of(problem: Problem) -> int:
    """The step that lengths are rounded to: what is wished for, else what a rule can mark [ticks].

    Else it is 1 mm where the panels are whole millimetres thick, 1/16 in where not: it depends on the closet alone, not
    on the unit in which its lengths are written.
    """
    sixteenth, millimetre = MARKS
    if problem.rules.mark:
        return problem.rules.mark
    return millimetre if problem.rules.panel % millimetre == 0 else sixteenth


def finish(problem: Problem, layout: Layout, has_extra_shelves: bool = True) -> Layout:
    """Share out what is left over: widths along plain walls, heights within bays; one more shelf where it fits.

    Nothing that was stored loses its place: no bay gets narrower and no opening lower.
    """
    walls: list[WallLayout] = []
    for index, wall in enumerate(layout.walls):
        bays = [sketch_of(problem, index, bay) for bay in wall.bays]
        bays = [sketch for sketch in bays if sketch.floor or sketch.pieces or sketch.above or problem.runs[index].fixed]
        bays = list(or_empty(problem, index, bays))
        if problem.runs[index].is_plain:
            bays = _widened(problem, index, layout.owners, bays)
        bays = [_in_order(problem, index, sketch) for sketch in bays]
        built = build_wall(problem, index, layout.owners, bays)
        higher = [
            heightened(problem, index, bay, sketch, has_extra_shelves)
            for bay, sketch in zip(built.bays, bays, strict=True)
        ]
        walls.append(build_wall(problem, index, layout.owners, higher))
    return replace(layout, walls=tuple(walls))


def as_it_stands(problem: Problem, bay: Bay, left: int | None) -> BaySketch:
    """A bay taken apart again with every opening as high as it is, empty ones too."""
    below = [opening for opening in bay.openings if opening.bottom < problem.top]
    pieces = [OpeningSketch(opening.kind, opening.height, opening.holds) for opening in below]
    floor = pieces.pop(0) if below and below[0].bottom == 0 else None
    above = next((opening.holds for opening in bay.openings if opening.bottom >= problem.top), ())
    return BaySketch(bay.width, floor, tuple(pieces), above, left)


def finish_within_budget(problem: Problem, layout: Layout, has_extra_shelves: bool = True) -> Layout:
    """As `finish`, but with no more panel than the budget buys: first no extra shelves, then no wider bays."""
    for extra in (has_extra_shelves, False):
        finished = finish(problem, layout, extra)
        if is_within_budget(problem, finished):
            return finished
    return layout


def _widened(problem: Problem, run_index: int, owners: tuple[bool, ...], bays: list[BaySketch]) -> list[BaySketch]:
    """Spread the width left over; between two bays that must be so that no gap is narrower than a panel."""
    thick = problem.rules.panel
    start, end = ends_of(problem, run_index, owners)
    left_over = end - start - thick - sum(sketch.width + thick for sketch in bays)
    for kept in (0, thick):
        made = closed(problem, run_index, _spread(problem, run_index, bays, left_over - kept))
        if made is not None:
            return made
    return bays


def _spread(problem: Problem, run_index: int, bays: Sequence[BaySketch], left_over: int) -> list[BaySketch]:
    """Give a width to bays evenly, up to the longest shelf or rod of each."""
    limits = [widest(problem, run_index, sketch) for sketch in bays]
    widths = [sketch.width for sketch in bays]
    for index, width in enumerate(widths):  # first up to the next mark of the rule
        more = -width % mark_of(problem)
        if more <= left_over and width + more <= limits[index]:
            widths[index] += more
            left_over -= more
    growing = [index for index in range(len(bays)) if widths[index] < limits[index]]
    while growing and left_over > 0:
        share = max(1, left_over // len(growing))
        for index in growing:
            more = min(share, limits[index] - widths[index], left_over)
            widths[index] += more
            left_over -= more
        growing = [index for index in growing if widths[index] < limits[index]]
    # down to a mark of the rule, unless the bay would lose what it needs
    mark = mark_of(problem)
    rounded = [max(sketch.width, width // mark * mark) for sketch, width in zip(bays, widths, strict=True)]
    return [replace(sketch, width=width) for sketch, width in zip(bays, rounded, strict=True)]


def widest(problem: Problem, run: int, sketch: BaySketch) -> int:
    """The most clear width that a bay with these openings may have [ticks]."""
    if problem.runs[run].fixed:
        return sketch.width
    kinds = {piece.kind for piece in (*([sketch.floor] if sketch.floor else []), *sketch.pieces)}
    limits = [problem.longest(run, OpeningKind.HANG)] if OpeningKind.HANG in kinds else []
    if kinds - {OpeningKind.HANG} or sketch.above or not kinds:
        limits.append(problem.longest(run, OpeningKind.SHELF))
    return max(sketch.width, min(limits))


def _in_order(problem: Problem, run_index: int, sketch: BaySketch) -> BaySketch:
    """Drawers low, then what stands, rods and stacks, seldom used things high; order never changes what fits."""
    if problem.runs[run_index].blocked:
        return sketch
    values = {thing.row: thing.by_use for thing in problem.things}
    stands = {thing.row: thing.most == 1 for thing in problem.things}

    def rank(piece: OpeningSketch) -> tuple[int, int, int]:
        pieces = sum(item.count for item in piece.holds)
        worth = sum(values[item.row] * item.count for item in piece.holds)
        is_seldom = pieces > 0 and worth * 2 < 3 * pieces
        standing = sum(item.count for item in piece.holds if stands[item.row]) * 2 > pieces
        kind = {OpeningKind.DRAWER: 0, OpeningKind.HANG: 2}.get(piece.kind, 1 if standing else 3)
        return (int(is_seldom and piece.kind is not OpeningKind.DRAWER), kind, -piece.height)

    kept = len(problem.runs[run_index].prescribed)
    return replace(sketch, pieces=(*sketch.pieces[:kept], *sorted(sketch.pieces[kept:], key=rank)))


def _marked(problem: Problem, sketch: BaySketch, kept: int, rest: int) -> tuple[BaySketch, int]:
    """Openings a little higher, up to the next mark of the rule, as long as there is room left over.

    The lowest `kept` pieces stay as they are.
    """
    mark = mark_of(problem)
    floor, pieces = sketch.floor, list(sketch.pieces)
    if problem.rules.pitch:  # they stand on rows of holes already
        return sketch, rest
    if floor is not None and -floor.height % mark <= rest:
        rest -= -floor.height % mark
        floor = replace(floor, height=floor.height + -floor.height % mark)
    for index in range(kept, len(pieces) - 1):  # the last one is stretched to the top anyway
        piece = pieces[index]
        more = -piece.height % mark
        if more <= rest:
            rest -= more
            pieces[index] = replace(piece, height=piece.height + more)
    return replace(sketch, floor=floor, pieces=tuple(pieces)), rest


def heightened(problem: Problem, run_index: int, bay: Bay, sketch: BaySketch, has_extra_shelves: bool) -> BaySketch:
    """Put one more shelf into a large rest, or give the rest to the shelf openings in equal shares."""
    run, thick = problem.runs[run_index], problem.rules.panel
    if run.blocked:
        return sketch
    below = [opening for opening in bay.openings if opening.bottom < problem.top]
    pieces = (*([sketch.floor] if sketch.floor else []), *sketch.pieces)
    if not below:
        return sketch
    kept = len(run.prescribed)
    rest = below[-1].bottom + below[-1].height - below[0].bottom - sum(piece.height + thick for piece in pieces)
    rest += thick if len(pieces) > kept else 0
    sketch, rest = _marked(problem, sketch, kept, rest)
    step = problem.rules.pitch or mark_of(problem)
    may_have_shelf = has_extra_shelves and OpeningKind.SHELF in run.kinds
    may_have_shelf = may_have_shelf and sketch.width <= problem.longest(run_index, OpeningKind.SHELF)
    if rest >= max(NEW_SHELF, problem.rules.least_opening) + thick and may_have_shelf:
        number = max(1, rest // (max(USUAL_SHELF, problem.rules.least_opening) + thick))
        height = (rest // number - thick) // step * step
        if problem.rules.pitch:
            height = problem.rules.counted(rest // number - thick)
        if height >= max(1, problem.rules.least_opening):
            new = OpeningSketch(OpeningKind.SHELF, height)
            return replace(sketch, pieces=(*sketch.pieces, *[new] * number))
    shelves = [index for index, piece in enumerate(sketch.pieces) if piece.kind is OpeningKind.SHELF and index >= kept]
    if not shelves:
        return sketch
    share = rest // len(shelves) // step * step
    return replace(
        sketch,
        pieces=tuple(
            replace(piece, height=piece.height + share) if index in shelves else piece
            for index, piece in enumerate(sketch.pieces)
        ),
    )
