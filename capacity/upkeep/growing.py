"""Growing: which openings will be too low in some years, and whether the rows of holes allow the cure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from capacity.checks.check import down_to_mark, up_to_mark
from capacity.closet.closet import Closet
from capacity.closet.people import Person
from capacity.drawings.labels import LetteredOpening, lettered
from capacity.layout.layout import Holding, Layout, Opening, site_of
from capacity.layout.problem import Problem
from capacity.layout.reach_zones import zone_of
from capacity.layout.rows_of_holes import fewest_moves
from capacity.layout.towers import Tower, best_towers, columns_needed, each_alone, room_of, towers_of
from capacity.makeover.files_to_problem import grown_inventory, size_problem
from capacity.solver.boards_to_move import freedoms, pitch_of
from capacity.units import PER_MM, counted
from capacity.upkeep.board_moves_in_words import BoardMove, board_moves, move_in_words
from capacity.wardrobe.growth import CHARTS, GROWN_UP, GROWTH_SOURCE, SHARE_RULE, growth, median_stature_cm
from capacity.wardrobe.inventory import Inventory


@dataclass(frozen=True, slots=True)
class TooSmall:
    """An opening whose contents will not fit: how much too low and too narrow, 0 where they will [ticks].

    `rows` are the data rows of the piles that need more height. `moves` are the boards to move, None where none helps.
    """

    item: LetteredOpening
    rows: tuple[int, ...]
    low: int
    narrow: int
    moves: tuple[BoardMove, ...] | None


def too_small_then(
    closet: Closet, inventory: Inventory, layout: Layout, years: int, planned: Layout | None = None
) -> tuple[TooSmall, ...]:
    """The openings of a layout that will be too low or too narrow for what they hold now."""
    problem = size_problem(closet, inventory)
    then = size_problem(closet, grown_inventory(closet, inventory, years)).as_given
    now = problem.as_given
    found: list[TooSmall] = []
    items = iter(lettered(layout))
    may = freedoms(closet, problem, layout, planned)
    for w, wall in enumerate(layout.walls):
        for b, bay in enumerate(wall.bays):
            mine = [next(items) for _ in bay.openings]
            site = site_of(now, w, bay, 0)
            both = [towers_of(each, each_alone(each), site) for each in (now, then)]
            needs = [_needs(now, opening, *both) for opening in bay.openings]
            moves = _moves(problem, mine, needs, may.get((w, b), ()), pitch_of(closet, problem))
            for item, need in zip(mine, needs, strict=True):
                low = max(0, max(need.values(), default=0) - item.opening.height)
                narrow = max(0, _width(now, item.opening, *both) - room_of(now.rules, item.opening.kind, bay.width))
                if low or narrow:
                    rows = tuple(row for row, high in need.items() if high > item.opening.height)
                    found.append(TooSmall(item, rows, low, narrow, moves if low else ()))
    return tuple(found)


def _needs(now: Problem, opening: Opening, towers: tuple[Tower, ...], later: tuple[Tower, ...]) -> dict[int, int]:
    """What each pile of an opening will need in height, in as many columns as now, by its data row [ticks]."""
    found = {}
    for holding in opening.holds:
        columns = _columns(now, opening, holding, towers)
        enough = [t.need for t in _of(now, holding, later) if columns_needed(holding.count, t.pieces, 1) <= columns]
        found[holding.row] = min(enough, default=0)
    return found


def _width(now: Problem, opening: Opening, towers: tuple[Tower, ...], later: tuple[Tower, ...]) -> int:
    """What all of it will take of the width in as many columns as now [ticks]."""
    return sum(
        _columns(now, opening, holding, towers) * min(tower.width for tower in _of(now, holding, later))
        for holding in opening.holds
    )


def _columns(now: Problem, opening: Opening, holding: Holding, towers: tuple[Tower, ...]) -> int:
    best = best_towers(_of(now, holding, towers), opening.kind, opening.height)
    return min((columns_needed(holding.count, tower.pieces, 1) for tower in best), default=holding.count)


def _of(problem: Problem, holding: Holding, towers: tuple[Tower, ...]) -> list[Tower]:
    index = next(number for number, thing in enumerate(problem.things) if thing.row == holding.row)
    mine = [tower for tower in towers if tower.group == index]
    return [tower for tower in mine if tower.turned == holding.turned] or mine


def _moves(
    problem: Problem, mine: list[LetteredOpening], needs: list[dict[int, int]], may: tuple[int, ...], pitch: int
) -> tuple[BoardMove, ...] | None:
    """The boards of a bay to move so that everything in it fits in height; None where the holes do not allow it."""
    high = [max(need.values(), default=0) for need in needs]
    if not pitch or any(
        need > item.opening.height
        for item, need in zip(mine, high, strict=True)
        if item.opening.bottom >= problem.top  # under the ceiling nothing can be moved
    ):
        return None
    below = [item for item in mine if item.opening.bottom < problem.top]
    least = [max(need, problem.rules.least_of(item.opening.kind)) for item, need in zip(below, high, strict=False)]
    spare = [(item.opening.height - need) // pitch for item, need in zip(below, least, strict=True)]
    rows = fewest_moves(spare, may)
    return None if rows is None else board_moves(below, rows, pitch)


def growing_in_words(
    closet: Closet, inventory: Inventory, layout: Layout, years: int, planned: Layout | None = None
) -> Iterator[str]:
    """Who grows, the sizes then, and each opening that will be too small with its cure."""
    people = [person for person in closet.person if person.age is not None and person.age < GROWN_UP]
    if not people:
        yield 'Nobody who grows is described: write [[person]] with name and age, and chart = "boys" or "girls".'
        return
    later = grown_inventory(closet, inventory, years)
    for person in people:
        age = person.age or 0
        charts = (person.chart,) if person.chart else CHARTS
        factor = growth(age, years, charts)
        now, then = (max(median_stature_cm(at, chart) for chart in charts) for at in (age, age + years))
        if person.height is not None:
            now, then = (Fraction(person.height * share, 10 * PER_MM) for share in (Fraction(1), factor))
        how = "by the median" if person.height is None else "measured"
        taller = f"{float(100 * (factor - 1)):.0f} % taller in {counted(years, 'year')}"
        yield f"{person.name}, {age}: {taller} ({how} {float(now):.0f} cm now, then {float(then):.0f} cm)."
        yield f"  {_reach_in_words(closet, person, years, round(then * 10 * PER_MM), factor)}"
        pairs = zip(inventory.piles, later.piles, strict=True)
        sizes = [
            f"{old.kind} {old.size} to {new.size}"
            for old, new in pairs
            if (old.owner or "").casefold() == person.name.casefold() and old.size != new.size
        ]
        if sizes:
            yield f"  sizes then: {', '.join(dict.fromkeys(sizes))}"
    found = too_small_then(closet, inventory, layout, years, planned)
    if not found:
        yield f"Everything that has a place now will fit there in {counted(years, 'year')}."
    for one in found:
        yield from _too_small_in_words(one, closet, inventory)
    yield f"Source: {GROWTH_SOURCE}. {SHARE_RULE}"


def _reach_in_words(closet: Closet, person: Person, years: int, stature: int, factor: Fraction) -> str:
    """How high a child reaches now and then, by its stature then [ticks]; what was measured grows as it does."""
    reach = None if person.reach is None else round(person.reach * factor)
    update = {"age": (person.age or 0) + years, "height": stature, "reach": reach}
    now, then = zone_of(person), zone_of(person.model_copy(update=update))
    sources = "; ".join(dict.fromkeys((now.source, then.source)))
    high, later = (closet.show(down_to_mark(zone.high, closet.units)) for zone in (now, then))
    return f"reaches {high} now, then {later} ({sources})"


def _too_small_in_words(one: TooSmall, closet: Closet, inventory: Inventory) -> Iterator[str]:
    place = f"Opening {one.item.letter} of wall {closet.wall[one.item.wall].name}"
    if one.low:
        names = ", ".join(dict.fromkeys(inventory.pile(row).name for row in one.rows))
        yield f"{place} will be {closet.show(up_to_mark(one.low, closet.units))} too low for {names}."
        if one.moves:
            yield f"  the holes allow it: move {'; '.join(move_in_words(move, closet) for move in one.moves)}"
        else:
            yield "  the holes do not allow it with what the bay holds: it needs another place, or new holes, then"
    if one.narrow:
        yield f"{place} will be {closet.show(up_to_mark(one.narrow, closet.units))} too narrow for all that is in it."
