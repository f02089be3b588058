"""An integer program as plain numbers, and how a pile may stand in an opening: what `naive` is made of."""

from __future__ import annotations

from dataclasses import dataclass, field

from capacity.layout.drawer_rule import (
    DRAWER_BEHIND,
    DRAWER_ENDS,
    DRAWER_HEIGHT,
    DRAWER_LONGEST,
    DRAWER_SHORTEST,
    DRAWER_SIDES,
    DRAWER_SLIDE_STEP,
    DRAWER_STACK,
)
from capacity.layout.problem import HANG_DEPTH, Problem, Thing
from capacity.wardrobe.kinds import Store

Terms = list[tuple[int, int]]
"""A sum of (variable, coefficient)."""


@dataclass(slots=True)
class Program:
    """Variables with limits, rows `low <= terms <= high` (None: no limit), and what is to be made most."""

    lower: list[int] = field(default_factory=list)
    upper: list[int] = field(default_factory=list)
    is_whole: list[bool] = field(default_factory=list)
    worth: dict[int, int] = field(default_factory=dict)
    rows: list[tuple[Terms, int | None, int | None]] = field(default_factory=list)

    def number(self, low: int, high: int, is_whole: bool = True) -> int:
        """A new variable."""
        self.lower.append(low)
        self.upper.append(high)
        self.is_whole.append(is_whole)
        return len(self.lower) - 1

    def choice(self) -> int:
        """A new binary."""
        return self.number(0, 1)

    def at_most(self, terms: Terms, limit: int, *unless: tuple[int, int]) -> None:
        """`terms <= limit`, loosened by so much for each (variable, amount) that is 1."""
        self.rows.append(([*terms, *((variable, -amount) for variable, amount in unless)], None, limit))

    def only_if(self, terms: Terms, limit: int, much: int, *conditions: int) -> None:
        """`terms <= limit` where all the binaries are 1; `much` is more than the terms ever exceed it by."""
        held = [(condition, much) for condition in conditions]
        self.rows.append(([*terms, *held], None, limit + much * len(conditions)))


@dataclass(frozen=True, slots=True)
class Way:
    """One turning of a pile: width of a column, rows, and (pieces high, clear height needed) of each stack [ticks]."""

    turned: bool
    width: int
    rows: int
    levels: tuple[tuple[int, int], ...]


def built(facts: Problem, store: Store, need: int) -> int:
    """Clear height of an opening that is built for so much: the least of its kind, on a row of holes or on a mark."""
    rules = facts.rules
    least = {Store.HANG: 0, Store.DRAWER: rules.least_drawer}.get(store, rules.least_opening)
    need = max(need, least)
    if rules.pitch:
        return -(-(need + rules.panel) // rules.pitch) * rules.pitch - rules.panel
    if not rules.mark:
        return need
    on_mark = -(-need // rules.mark) * rules.mark
    if not rules.usual_pitch:
        return on_mark
    return min(on_mark, -(-(need + rules.panel) // rules.usual_pitch) * rules.usual_pitch - rules.panel)


def ways_of(thing: Thing, facts: Problem, depth: int) -> list[Way]:
    """How a pile may stand in an opening of a bay so deep: rules 4, 5, 7, 8, without turnings that are never better.

    Clear heights are those of openings that are built anew (`built`).
    """
    rules = facts.rules
    if thing.store is Store.HANG:
        level = (1, built(facts, thing.store, thing.drop + rules.hang_allowance))
        return [Way(False, thing.rod, 1, (level,))] if depth >= HANG_DEPTH else []
    inside, rows_deep, most, over = depth, rules.rows_deep, 1, rules.gap
    if thing.store is not Store.DRAWER:
        most = thing.most
    else:
        slides = range(DRAWER_SHORTEST, DRAWER_LONGEST + 1, DRAWER_SLIDE_STEP)
        inside = max((slide for slide in slides if slide + DRAWER_BEHIND <= depth), default=DRAWER_ENDS) - DRAWER_ENDS
        rows_deep, most, over = 10**6, max(1, DRAWER_STACK // thing.height), DRAWER_HEIGHT
    levels = tuple((high, built(facts, thing.store, high * thing.height + over)) for high in range(1, most + 1))
    ways = [
        Way(turned, across, min(rows_deep, inside // deep), levels)
        for turned, across, deep in ((False, thing.width, thing.depth), (True, thing.depth, thing.width))
        if deep <= inside
    ]
    if len(ways) == 2:
        one, other = ways
        if one.width <= other.width and one.rows >= other.rows:
            return [one]
        if other.width <= one.width and other.rows >= one.rows:
            return [other]
    return ways


def lengths_of(facts: Problem) -> list[int]:
    """Every length that the program speaks of [ticks]."""
    rules = facts.rules
    found = [
        rules.panel, rules.toe_kick, rules.gap, rules.hang_allowance, rules.min_bay, rules.max_shelf, rules.max_rod,
        rules.corner_access, facts.top, DRAWER_SIDES, DRAWER_HEIGHT, rules.under_ceiling, rules.least_opening,
        rules.least_drawer, rules.highest_drawer, rules.mark, rules.pitch, rules.usual_pitch,
    ]  # fmt: skip
    for run in facts.runs:
        found += [run.width, run.depth, run.ceiling_left, run.ceiling_right]
        found += [length for box in run.blocked for length in (box.left, box.right, box.bottom, box.top)]
    for thing in facts.things:
        found += [thing.width, thing.depth, thing.height, thing.drop, thing.rod]
    return found
