"""The turn of a season: what is in use and what rests, and what moves where, each pile once.

Everything has its place all year where there is room. In its season a pile counts as used weekly at least, and what
rests as used seasonally, so that what is in use comes first and to the better places. When a season turns only piles
whose use changes are put away anew; all others stay, and so does what would gain nothing by moving. `swap_calendar`
writes it as a calendar.
"""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from pathlib import Path

from capacity.closet.closet import Closet
from capacity.drawings.labels import lettered
from capacity.errors import Fault, InputError
from capacity.layout.fit_rules import filling_violations
from capacity.layout.layout import Holding, Layout, value_of
from capacity.layout.problem import Problem, Thing
from capacity.layout.reach_zones import SEASONAL, Zone, inconvenience, zones_or_assumed
from capacity.makeover.files_to_problem import size_problem, standing_layout
from capacity.makeover.refilled import Refilled, refill_digest
from capacity.solver.effort import Effort
from capacity.solver.filling.exact import Filling
from capacity.solver.refilling import put_beside, refilled_of
from capacity.units import shorten
from capacity.wardrobe.inventory import FILE_NAME, Inventory
from capacity.wardrobe.piles import Pile, Use

USUAL_STARTS = {"spring": "03-01", "summer": "06-01", "autumn": "09-01", "fall": "09-01", "winter": "12-01"}
"""When a season begins that has no [[season]]: the meteorological seasons of the northern half (common practice of
weather services, no source looked up)."""

OpeningIndex = tuple[int, int, int]
Place = tuple[int, str]
"""Index of the wall and letter of an opening."""


@dataclass(frozen=True, slots=True)
class SeasonPlan:
    """One season: the day on which it begins (MM-DD, None: not known), and where everything is in it."""

    name: str
    starts: str | None
    layout: Layout


@dataclass(frozen=True, slots=True)
class Move:
    """Pieces of a pile on their way: how many leave each place and how many come to each; None is another place."""

    pile: Pile
    away: tuple[tuple[Place | None, int], ...]
    to: tuple[tuple[Place | None, int], ...]


@dataclass(frozen=True, slots=True)
class Turn:
    """What moves when one season ends and another begins."""

    ends: SeasonPlan
    begins: SeasonPlan
    moves: tuple[Move, ...]


def season_names(closet: Closet, inventory: Inventory) -> tuple[tuple[str, str | None], ...]:
    """Every season that a pile names, with the day it begins; in the order of the year, those without a day last."""
    starts = {season.name: season.starts for season in closet.season} or USUAL_STARTS
    named = dict.fromkeys(name for pile in inventory.piles for name in pile.seasons)
    found = [(name, starts.get(name)) for name in named]
    return tuple(sorted(found, key=lambda item: (item[1] is None, item[1] or "")))


def is_in_use(pile: Pile, season: str) -> bool:
    """Whether a pile is used in a season."""
    return not pile.seasons or season in pile.seasons


def plan_seasons(closet: Closet, inventory: Inventory, effort: Effort) -> tuple[SeasonPlan, ...]:
    """Where everything is in each season, in what stands now; empty where no pile names a season."""
    names = season_names(closet, inventory)
    zones, layout = zones_or_assumed(closet.person), standing_layout(closet)
    problem = size_problem(closet, inventory).as_given
    found: list[SeasonPlan] = []
    moving = {thing.row for thing in problem.things}
    for number, (name, starts) in enumerate(names):
        if number:
            before = names[number - 1][0]
            changed = [pile for pile in inventory.piles if is_in_use(pile, before) != is_in_use(pile, name)]
            moving = {pile.row for pile in changed}
        now = _in_season(problem, inventory, name)
        new = put_beside(now, layout, moving, zones, effort)
        layout = _without_idle_moves(now, layout, new, zones) if number else new
        found.append(SeasonPlan(name, starts, layout))
    return tuple(found)


def refilled_in(folder: Path, closet: Closet, inventory: Inventory, name: str) -> Refilled:
    """Where everything is in a season, as the record of a refill; its bound is that all has a place.

    Raises
    ------
    InputError
        When no pile names that season.
    """
    seasons = {season.name: season for season in plan_seasons(closet, inventory, Effort())}
    if name.casefold() not in seasons:
        problem = f'"{shorten(name)}" is no season of the count; it has {", ".join(seasons) or "none"}'
        raise InputError([Fault(FILE_NAME, "column season", problem)])
    sized, layout = size_problem(closet, inventory).as_given, seasons[name.casefold()].layout
    filling = Filling(layout, value_of(sized, layout), sized.value_of_all)
    return refilled_of(closet, sized, filling, refill_digest(folder, closet))


def _in_season(problem: Problem, inventory: Inventory, name: str) -> Problem:
    def value(thing: Thing) -> int:
        pile = inventory.pile(thing.row)
        if not is_in_use(pile, name):
            return SEASONAL
        return max(thing.value, Use.WEEKLY.value_per_piece) if pile.seasons else thing.value

    return replace(problem, things=tuple(replace(thing, value=value(thing)) for thing in problem.things))


def _without_idle_moves(problem: Problem, old: Layout, new: Layout, zones: Mapping[str, Zone]) -> Layout:
    """The new layout with every pile, and every two that share an opening, left in place where that costs nothing.

    The old one where the new one, found pile by pile or owner by owner, stores less.
    """
    if value_of(problem, new) < value_of(problem, old):
        return old
    lying, best = _holdings(old), new
    trouble, value = inconvenience(problem, new, zones), value_of(problem, new)
    rows = sorted(row for row, holds in lying.items() if holds != _holdings(new).get(row))
    touched = {row: {*lying[row], *_holdings(new).get(row, {})} for row in rows}
    pairs = [pair for pair in combinations(rows, 2) if touched[pair[0]] & touched[pair[1]]]
    for some in (*((row,) for row in rows), *pairs):
        now = _holdings(best)
        if all(lying[row] == now.get(row) for row in some):
            continue
        now.update({row: lying[row] for row in some})
        contents: dict[OpeningIndex, list[Holding]] = {}
        for holds in now.values():
            for place, items in holds.items():
                contents.setdefault(place, []).extend(items)
        tried = best.holding({place: tuple(sorted(items)) for place, items in contents.items()})
        if value_of(problem, tried) < value or filling_violations(problem, tried):
            continue
        if inconvenience(problem, tried, zones) <= trouble:
            best, trouble = tried, inconvenience(problem, tried, zones)
    return best


def _holdings(layout: Layout) -> dict[int, dict[OpeningIndex, list[Holding]]]:
    """What lies where, by data row."""
    found: dict[int, dict[OpeningIndex, list[Holding]]] = {}
    for w, b, o, _, opening in layout.openings():
        for item in opening.holds:
            found.setdefault(item.row, {}).setdefault((w, b, o), []).append(item)
    return found


def turns(seasons: Sequence[SeasonPlan], inventory: Inventory) -> tuple[Turn, ...]:
    """The turn from each season to the next, and from the last to the first."""
    if len(seasons) < 2:
        return ()
    following = [*seasons[1:], seasons[0]]
    return tuple(
        Turn(ends, begins, tuple(_moves(ends.layout, begins.layout, inventory)))
        for ends, begins in zip(seasons, following, strict=True)
    )


def _moves(old: Layout, new: Layout, inventory: Inventory) -> Iterator[Move]:
    before, after = _places(old), _places(new)
    for pile in inventory.piles:
        here, there = before.get(pile.row, Counter()), after.get(pile.row, Counter())
        here[None], there[None] = pile.count - here.total(), pile.count - there.total()
        if away := +(here - there):
            yield Move(pile, tuple(away.items()), tuple((+(there - here)).items()))


def _places(layout: Layout) -> dict[int, Counter[Place | None]]:
    found: dict[int, Counter[Place | None]] = {}
    for item in lettered(layout):
        for holding in item.opening.holds:
            found.setdefault(holding.row, Counter())[item.wall, item.letter] += holding.count
    return found


def seasons_in_words(seasons: Sequence[SeasonPlan], closet: Closet, inventory: Inventory) -> Iterator[str]:
    """For each season what is in use, whether it has its place, and what rests in another place."""
    for season in seasons:
        stored = season.layout.stored()
        used = [pile for pile in inventory.piles if is_in_use(pile, season.name)]
        rests = [pile for pile in inventory.piles if not is_in_use(pile, season.name)]
        begins = f", from {day_in_words(season.starts)}" if season.starts else ""
        pieces = sum(pile.count for pile in used)
        placed = sum(stored[pile.row] for pile in used)
        yield f"{season.name.capitalize()}{begins}: {placed} of {pieces} pieces in use have a place."
        resting = sum(pile.count for pile in rests)
        if resting:
            yield f"  resting: {sum(stored[pile.row] for pile in rests)} of {resting} pieces keep a place here"
        out = [(pile, pile.count - stored[pile.row]) for pile in inventory.piles if pile.count > stored[pile.row]]
        if out:
            yield f"  to another place: {', '.join(f'{missing} x {pile.name}' for pile, missing in out)}"


def turn_in_words(turn: Turn, closet: Closet) -> Iterator[str]:
    """The swap list: one line a pile, what goes away first."""
    for move in sorted(turn.moves, key=lambda move: is_in_use(move.pile, turn.begins.name)):
        away, to = (_from_to(side, closet) for side in (move.away, move.to))
        yield f"{move.pile.name}: {away} to {to}"


def _from_to(side: Sequence[tuple[Place | None, int]], closet: Closet) -> str:
    def words(place: Place | None) -> str:
        return "another place" if place is None else f"{closet.wall[place[0]].name} {place[1]}"

    return ", ".join(f"{number} {words(place)}" for place, number in side)


def day_in_words(day: str) -> str:
    """A day of the year as a person reads it.

    Examples
    --------
    >>> day_in_words("10-15")
    '15 October'
    """
    date = datetime.date.fromisoformat(f"2001-{day}")
    return f"{date.day} {date:%B}"
