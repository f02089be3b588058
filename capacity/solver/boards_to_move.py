"""Which boards of what stands to move to other holes, fewest first, and how much more then has a place.

One bay is changed at a time: an opening is made as high as something needs that has no place, and its neighbours give
the rows (`rows_of_holes.fewest_moves`), so that what lies there still fits. A quick repacking picks the change that
stores most for each board moved; the openings are then filled anew, and the next change is looked for.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from capacity.closet.closet import Closet
from capacity.closet.wishes import ROWS
from capacity.layout.fixed_boards import freedom
from capacity.layout.layout import Bay, Layout, site_of, value_of
from capacity.layout.needs import needed_height
from capacity.layout.problem import Problem
from capacity.layout.rows_of_holes import fewest_moves
from capacity.layout.towers import Tower, each_alone, room_of, towers_of
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.plan import layout_of
from capacity.makeover.refilled import Refilled
from capacity.solver.effort import Effort
from capacity.solver.filling.best import refill
from capacity.solver.filling.greedy import repack
from capacity.wardrobe.inventory import Inventory

STEPS, PATIENCE, TRIED = 4, 60, 3
"""Changes in a row at most, steps of the quick repacking for each, and changes of a step that are filled well."""

OpeningIndex = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Reshelved:
    """What stands with some boards moved, and its filling with the pieces stored and their value.

    `moves` has the rows up, from where it stands, of each board by wall, bay and the opening under it.
    """

    moves: dict[OpeningIndex, int]
    layout: Layout
    stored: int
    value: int


def shelf_moves(
    closet: Closet, inventory: Inventory, refilled: Refilled, effort: Effort, planned: Layout | None = None
) -> tuple[Reshelved, ...]:
    """Changes of what stands, each with more boards moved and more stored than the one before; none where none helps.

    Parameters
    ----------
    closet, inventory
        The household's files.
    refilled
        What stands now, filled for them.
    effort
        The budget.
    planned
        What it was built by, if known: its rows of holes are there whatever came out differently.
    """
    sized = size_problem(closet, inventory)
    problem, pitch = sized.as_given, pitch_of(closet, sized)
    found: list[Reshelved] = []
    layout, moved = layout_of(refilled.walls, refilled.units), dict[OpeningIndex, int]()
    value = value_of(problem, layout)
    for _ in range(STEPS if pitch else 0):
        may = freedoms(closet, sized, layout_of(refilled.walls, refilled.units), planned)
        tried = sorted(_changes(sized, layout, may, moved, pitch, effort), key=lambda change: -change.worth)
        best: tuple[float, Layout, dict[OpeningIndex, int]] | None = None
        for change in tried[:TRIED]:
            filled = refill(problem, change.layout, effort)
            gain = (filled.value - value) / len(change.rows)
            if gain > 0 and (best is None or gain > best[0]):
                best = gain, filled.layout, change.rows
        if best is None:
            break
        _, layout, rows = best
        value = value_of(problem, layout)
        moved = {key: up for key in {*moved, *rows} if (up := moved.get(key, 0) + rows.get(key, 0))}
        found.append(Reshelved(dict(sorted(moved.items())), layout, sum(layout.stored().values()), value))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Change:
    """A bay with some boards moved: what its quick filling stores more for each board."""

    worth: float
    layout: Layout
    rows: dict[OpeningIndex, int]


def pitch_of(closet: Closet, sized: Problem) -> int:
    """The distance of the holes of loose shelves [ticks]; 0 where they lie on cleats."""
    if closet.construction.supports != "pins":
        return 0
    return sized.rules.pitch or sized.rules.usual_pitch or ROWS[closet.units]


def freedoms(
    closet: Closet, sized: Problem, built: Layout, planned: Layout | None
) -> dict[tuple[int, int], tuple[int, ...]]:
    """For each bay by how many holes each of its boards may move (`fixed_boards.freedom`)."""
    bays = {(w, b): bay for w, wall in enumerate(planned.walls if planned else ()) for b, bay in enumerate(wall.bays)}
    pitch, every = pitch_of(closet, sized), closet.construction.fixed_every
    return {
        (w, b): freedom(sized, bay, pitch, every, bays.get((w, b)))
        for w, wall in enumerate(built.walls)
        for b, bay in enumerate(wall.bays)
        if pitch and bay.openings
    }


def _changes(
    sized: Problem,
    layout: Layout,
    may: dict[tuple[int, int], tuple[int, ...]],
    moved: dict[OpeningIndex, int],
    pitch: int,
    effort: Effort,
) -> Iterator[_Change]:
    """Every change that makes room for something without a place, and stores more by the quick repacking."""
    problem = sized.as_given
    stored, value = layout.stored(), value_of(problem, layout)
    out = {index for index, thing in enumerate(problem.things) if stored[thing.row] < thing.count}
    groups, seen = each_alone(problem), set[tuple[int, int, tuple[int, ...]]]()
    for w, wall in enumerate(layout.walls):
        for b, bay in enumerate(wall.bays):
            left = tuple(
                0 if not most else max(0, most - abs(moved.get((w, b, o), 0)))
                for o, most in enumerate(may.get((w, b), ()))
            )
            if not any(left):
                continue
            towers = towers_of(problem, groups, site_of(problem, w, bay, 0))
            for rows in _spacings(sized, bay, towers, out, left, pitch):
                if (w, b, rows) in seen:
                    continue
                seen.add((w, b, rows))
                changed = moved_bay(bay, rows, pitch)
                bays = (*wall.bays[:b], changed, *wall.bays[b + 1 :])
                walls = (*layout.walls[:w], replace(wall, bays=bays), *layout.walls[w + 1 :])
                packed = repack(problem, replace(layout, walls=walls), PATIENCE, effort)
                gain = value_of(problem, packed) - value
                if gain > 0:
                    named = {(w, b, o): up for o, up in enumerate(rows) if up}
                    yield _Change(gain / len(named), packed, named)


def _spacings(
    sized: Problem, bay: Bay, towers: tuple[Tower, ...], out: set[int], may: tuple[int, ...], pitch: int
) -> Iterator[tuple[int, ...]]:
    """The fewest boards to move so that one opening of a bay takes something that is out, or more of it in a column."""
    below = [opening for opening in bay.openings if opening.bottom < sized.top]
    needs = [needed_height(sized.as_given, towers, opening) if opening.holds else 0 for opening in below]
    least = [max(need, sized.rules.least_of(opening.kind)) for need, opening in zip(needs, below, strict=True)]
    spare = [(opening.height - high) // pitch for high, opening in zip(least, below, strict=True)]
    for o, opening in enumerate(below):
        room = room_of(sized.rules, opening.kind, bay.width)
        wanted = {
            tower.need for tower in towers
            if tower.group in out and tower.kind is opening.kind and tower.width <= room and tower.need > opening.height
        }  # fmt: skip
        for need in sorted(wanted):
            more = -((need - opening.height) // -pitch)
            rows = fewest_moves([*spare[:o], -more, *spare[o + 1 :]], may)
            if rows is not None and any(rows):
                yield rows


def moved_bay(bay: Bay, rows: tuple[int, ...], pitch: int) -> Bay:
    """The bay with the board over each opening so many rows further up; what lies in it stays."""
    openings = list(bay.openings)
    for o, up in enumerate(rows):
        low, high = openings[o], openings[o + 1]
        openings[o] = replace(low, height=low.height + up * pitch)
        openings[o + 1] = replace(high, bottom=high.bottom + up * pitch, height=high.height - up * pitch)
    return replace(bay, openings=tuple(openings))
