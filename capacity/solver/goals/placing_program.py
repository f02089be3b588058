"""The integer program of what lies where in openings that stand, each pile in few places.

For every opening o, pile g and tower T of g there is a whole number k[o,T] of columns and n[o,T] of pieces, and y[o,g]
says whether g lies in o at all:

    minimise    sum_o,g (places * y[o,g]) + sum_o,T (price of a piece of T in o * n[o,T])
    subject to  n[o,T] <= pieces of T * k[o,T],    sum_T n[o,T] <= most of g in o * y[o,g],
                sum_T width of T * k[o,T] <= room of o,    sum_o,T n[o,T] = what is stored of g.

It is solved whole for its bound, and for a few openings at a time to better a layout (large neighbourhoods; Shaw 1998,
Principles and Practice of Constraint Programming, 417-431).
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import highspy
import numpy as np

from capacity.layout.layout import Holding, Layout, site_of
from capacity.layout.problem import OpeningKind, Problem, Site
from capacity.layout.reach_zones import PriceList, Zone
from capacity.layout.towers import Tower, best_towers, each_alone, room_of, towers_of
from capacity.makeover.plan import PLACE
from capacity.solver.effort import Effort
from capacity.solver.relaxation.highs import new_program, solve_in_time, solve_whole_numbers

TINY = 1e-6
"""What a linear program's value may be off."""

OpeningIndex = tuple[int, int, int]
Held = dict[OpeningIndex, Counter[tuple[int, bool]]]
"""Pieces in each opening by (index of the thing, turned)."""


@dataclass(frozen=True, slots=True)
class Slot:
    """An opening as the program sees it: the room for columns [ticks], and each tower with a piece's inconvenience."""

    room: int
    towers: tuple[tuple[Tower, int], ...]


@dataclass(slots=True)
class _Rows:
    """The columns and rows of a program before it is handed to the solver."""

    costs: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    start: list[float] = field(default_factory=list)
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)

    def column(self, cost: float, most: int, start: int) -> int:
        self.costs.append(cost)
        self.most.append(most)
        self.start.append(start)
        return len(self.costs) - 1

    def tower(self, tower: Tower, price: int, most: int, now: int) -> tuple[int, int]:
        """The columns of the program for the pieces of a tower in an opening, and for how often it stands there."""
        n = self.column(price, most, now)
        if tower.pieces == 1:
            return n, n
        k = self.column(0, -(-most // tower.pieces), -(-now // tower.pieces))
        self.rows.append(({n: 1, k: -tower.pieces}, -highspy.kHighsInf, 0))
        return n, k

    def cost_of(self, numbers: Sequence[float]) -> float:
        """What the columns cost when there are so many of each."""
        return sum(cost * number for cost, number in zip(self.costs, numbers, strict=True))


class PlacingProgram:
    """The openings of one kind with what lies in them, bettered a few openings at a time.

    Where bays belong to owners each bay keeps its own, unless it is made for a bound (`keeps_owners`).
    """

    def __init__(
        self,
        problem: Problem,
        layout: Layout,
        kind: OpeningKind,
        zones: Mapping[str, Zone],
        keeps_owners: bool = True,
    ) -> None:
        self.slots: dict[OpeningIndex, Slot] = {}
        self.held: Held = {}
        self._rows_of = [thing.row for thing in problem.things]
        index_of = {row: index for index, row in enumerate(self._rows_of)}
        groups = each_alone(problem)
        prices, owners = PriceList(problem, zones), _owners_of(problem, layout) if keeps_owners else {}
        towers: dict[Site, tuple[Tower, ...]] = {}
        for w, b, o, bay, opening in layout.openings():
            if opening.kind is not kind:
                continue
            spot = site_of(problem, w, bay, o)
            if spot not in towers:
                towers[spot] = towers_of(problem, groups, spot)
            room = room_of(problem.rules, kind, bay.width)
            fitting = []
            for tower in best_towers(towers[spot], kind, opening.height):
                owner = problem.things[tower.group].owner
                if tower.width <= room and (owner is None or owners.get((w, b), owner) == owner):
                    one = (Holding(self._rows_of[tower.group], 1),)
                    fitting.append((tower, prices.contents(kind, opening.bottom, opening.height, bay.depth, one)))
            self.slots[w, b, o] = Slot(room, tuple(fitting))
            self.held[w, b, o] = Counter()
            for item in opening.holds:
                self.held[w, b, o][index_of[item.row], item.turned] += item.count

    @property
    def places(self) -> int:
        """The sum over piles of the openings that hold some of it, less one each."""
        lying = Counter(thing for held in self.held.values() for thing in {thing for thing, _ in held})
        return sum(lying.values()) - len(lying)

    @property
    def trouble(self) -> int:
        """The inconvenience of what lies here."""
        return sum(self.trouble_in(place) for place in self.slots)

    def trouble_in(self, place: OpeningIndex) -> int:
        """The inconvenience of what lies in one opening."""
        prices = {tower.group: price for tower, price in self.slots[place].towers}
        return sum(prices.get(thing, 0) * count for (thing, _), count in self.held[place].items())

    def in_several(self) -> dict[int, list[OpeningIndex]]:
        """The piles that lie in several openings, and in which."""
        lying: dict[int, list[OpeningIndex]] = defaultdict(list)
        for place, held in self.held.items():
            for thing in sorted({thing for thing, _ in held}):
                lying[thing].append(place)
        return {thing: places for thing, places in lying.items() if len(places) > 1}

    def contents(self) -> dict[OpeningIndex, tuple[Holding, ...]]:
        """What each opening holds."""
        return {
            place: tuple(sorted(Holding(self._rows_of[thing], n, turned) for (thing, turned), n in held.items()))
            for place, held in self.held.items()
        }

    def better(self, some: Iterable[OpeningIndex], effort: Effort, nodes: int) -> bool:
        """Fill some openings anew in few places with little inconvenience, `PLACE` a place; whether it is better."""
        chosen = sorted(set(some))
        rows, columns = self._program(chosen, PLACE, has_prices=True)
        if not rows.costs:
            return False
        found = solve_whole_numbers(_solver(rows), rows.start, effort, nodes, presolves=True)
        if not found or rows.cost_of(found) > rows.cost_of(rows.start) - 0.5:
            return False
        for place in chosen:
            self.held[place] = Counter()
        for (place, tower), column in columns.items():
            if round(found[column]):
                self.held[place][tower.group, tower.turned] = round(found[column])
        return True

    def least_places(self, effort: Effort) -> int:
        """Places that any contents of these openings have at least that store the same pieces; linear, rounded up."""
        piles = len({thing for held in self.held.values() for thing, _ in held})
        return max(0, self._least(1, has_prices=False, effort=effort) - piles)

    def least_trouble(self, effort: Effort) -> int:
        """Inconvenience that any contents of these openings have at least that store the same pieces."""
        return self._least(0, has_prices=True, effort=effort)

    def _least(self, place_price: int, has_prices: bool, effort: Effort) -> int:
        """The value of the linear program over all openings, rounded up; 0 where the clock runs out before it."""
        if effort.is_stopping:
            return 0
        rows, _ = self._program(sorted(self.slots), place_price, has_prices)
        if not rows.costs:
            return 0
        value = solve_in_time(_solver(rows), effort)
        return 0 if value is None else max(0, math.ceil(value - TINY))

    def _program(
        self, chosen: Sequence[OpeningIndex], place_price: int, has_prices: bool
    ) -> tuple[_Rows, dict[tuple[OpeningIndex, Tower], int]]:
        """The program of some openings, what the others hold taken as it is; and the columns that count pieces."""
        stored: Counter[int] = Counter()
        for place in chosen:
            for (thing, _), count in self.held[place].items():
                stored[thing] += count
        made, columns = _Rows(), {}
        lying: dict[int, list[tuple[int, int]]] = defaultdict(list)
        pieces: dict[int, dict[int, float]] = {}
        for place in chosen:
            slot = self.slots[place]
            taken: dict[int, float] = {}
            mine: dict[int, list[tuple[Tower, int]]] = {}
            for tower, price in slot.towers:
                if stored[tower.group]:
                    mine.setdefault(tower.group, []).append((tower, price if has_prices else 0))
            for thing, towers in mine.items():
                here: dict[int, float] = {}
                most = 0
                for tower, price in towers:
                    number, now = slot.room // tower.width, self.held[place][thing, tower.turned]
                    columns[place, tower] = n, k = made.tower(
                        tower, price, min(stored[thing], number * tower.pieces), now
                    )
                    taken[k], here[n] = tower.width, 1
                    most = min(stored[thing], most + number * tower.pieces)
                pieces.setdefault(thing, {}).update(here)
                y = made.column(place_price, 1, int(any(made.start[n] for n in here)))
                made.rows.append(({**here, y: -float(most)}, -highspy.kHighsInf, 0))
                lying[thing].append((y, most))
            made.rows.append((taken, -highspy.kHighsInf, slot.room))
        for thing, here in pieces.items():
            made.rows.append((here, stored[thing], stored[thing]))
            least = _cover([most for _, most in lying[thing]], stored[thing])
            made.rows.append(({y: 1.0 for y, _ in lying[thing]}, least, highspy.kHighsInf))
        return made, {key: n for key, (n, _) in columns.items()}


def _cover(openings: list[int], count: int) -> int:
    """How many openings a pile needs at least, by the most that each holds of it."""
    number = 0
    for most in sorted(openings, reverse=True):
        if count <= 0:
            break
        count -= most
        number += 1
    return number


def _solver(rows: _Rows) -> Any:
    solver, number = new_program(), len(rows.costs)
    solver.addVars(number, np.zeros(number), np.array(rows.most, dtype=np.float64))
    solver.changeColsCost(number, np.arange(number, dtype=np.int32), np.array(rows.costs, dtype=np.float64))
    starts = np.cumsum([0, *(len(row) for row, _, _ in rows.rows)])
    names = np.array([name for row, _, _ in rows.rows for name in row], dtype=np.int32)
    factors = np.array([factor for row, _, _ in rows.rows for factor in row.values()], dtype=np.float64)
    limits = [np.array([row[at] for row in rows.rows], dtype=np.float64) for at in (1, 2)]
    solver.addRows(len(rows.rows), *limits, len(names), starts[:-1].astype(np.int32), names, factors)
    return solver


def _owners_of(problem: Problem, layout: Layout) -> dict[tuple[int, int], str | None]:
    """Whose each bay is, where bays belong to owners."""
    if not problem.rules.owners_apart:
        return {}
    owner_of = {thing.row: thing.owner for thing in problem.things}
    owners: dict[tuple[int, int], str | None] = {}
    for w, b, _, _, opening in layout.openings():
        found = {owner_of[item.row] for item in opening.holds} - {None}
        owners[w, b] = next(iter(found), owners.get((w, b)))
    return owners
