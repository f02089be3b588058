"""The least inconvenience of all layouts of a tiny problem that store so much, by listing every stack of every bay.

Written from the wording of the fit rules and of the prices (`reach.piece_price`); nothing of the search or of its bound
is used. Plain walls without corners. All lengths must be whole inches, and so must be the heights at which a price
begins: then heights in whole inches lose nothing, because openings may be lowered to them all at once.
"""

from __future__ import annotations

from collections.abc import Mapping

from support.brute_force import Contents, _is_allowed, _longest, _openings, _sum
from support.cases import INCH

from capacity.layout.problem import OpeningKind, Problem, Run
from capacity.layout.reach_zones import Zone, piece_price

Ways = list[tuple[int, int]]
"""(width, inconvenience) of which none is beaten by another in both."""

KINDS = {OpeningKind.SHELF: ("stand", "stack"), OpeningKind.DRAWER: ("drawer",), OpeningKind.HANG: ("hang",)}


def least_by_value(facts: Problem, zones: Mapping[str, Zone]) -> dict[int, int]:
    """For every value that some layout stores: the least inconvenience of a layout that stores at least so much."""
    assert not facts.corners
    assert not facts.fixed
    values = [thing.value for thing in facts.things]
    held: dict[Contents, int] = {tuple(0 for _ in facts.things): 0}
    for run in facts.runs:
        row = _row(facts, _bays(facts, zones, run), run.width)
        both: dict[Contents, int] = {}
        for one, cost in held.items():
            for other, ways in row.items():
                total = _sum(facts, one, other)
                if total is not None:
                    more = cost + min(way[1] for way in ways)
                    both[total] = min(both.get(total, more), more)
        held = both
    costs = [(sum(map(int.__mul__, values, contents)), cost) for contents, cost in held.items()]
    return {value: min(cost for more, cost in costs if more >= value) for value, _ in costs}


def _price(facts: Problem, zones: Mapping[str, Zone], contents: Contents, *at: object) -> int:
    return sum(
        number * piece_price(facts, zones, thing.row, *at)  # type: ignore[arg-type]
        for thing, number in zip(facts.things, contents, strict=True)
        if number
    )


def _bays(facts: Problem, zones: Mapping[str, Zone], run: Run) -> dict[tuple[Contents, bool, bool], Ways]:
    """All contents of a bay, whether it has a shelf or drawer and whether a rod: openings fill it from foot to top."""
    panel, limit, nothing = facts.rules.panel, min(facts.top, run.ceiling_left), tuple(0 for _ in facts.things)
    choices = [
        (kind, height, contents, width)
        for kind, stores in KINDS.items()
        for height, contents, width in _openings(facts, stores, run.depth, limit)
    ]
    choices += [(kind, INCH, nothing, 0) for kind in (OpeningKind.SHELF, OpeningKind.HANG)]
    # (place reached, contents, shelf, rod)
    reached: dict[tuple[int, Contents, bool, bool], Ways] = {}
    base = facts.rules.toe_kick + panel
    _keep(reached.setdefault((base, nothing, False, False), []), (0, 0))

    def add(place: int, held: Contents, has_shelf: bool, has_rod: bool, ways: Ways, only_rods: bool) -> None:
        for kind, least, contents, wide in choices:
            total = _sum(facts, held, contents)
            if total is None or (only_rods and kind is not OpeningKind.HANG):
                continue
            for height in range(-(-least // INCH) * INCH, limit - panel - place + 1, INCH):
                more = _price(facts, zones, contents, kind, place, height, run.depth)
                key = (
                    place + height + panel,
                    total,
                    has_shelf or kind is not OpeningKind.HANG,
                    has_rod or kind is OpeningKind.HANG,
                )
                for width, cost in ways:
                    _keep(reached.setdefault(key, []), (max(width, wide), cost + more))

    add(0, nothing, False, False, [(0, 0)], only_rods=True)
    for place in range(base, limit, INCH):
        for key in [key for key in reached if key[0] == place]:
            add(*key, reached[key], only_rods=False)
    bays: dict[tuple[Contents, bool, bool], Ways] = {}
    above = run.ceiling_left - facts.top
    on_top = [(nothing, 0)] + [
        (contents, width)
        for height, contents, width in _openings(facts, KINDS[OpeningKind.SHELF], run.depth, max(above, 0))
        if height <= above
    ]
    for (place, held, has_shelf, has_rod), ways in reached.items():
        for contents, wide in on_top if place == limit else []:
            total = _sum(facts, held, contents)
            if total is not None and _is_allowed(facts, run, total):
                more = _price(facts, zones, contents, OpeningKind.SHELF, facts.top, above, run.depth)
                for width, cost in ways:
                    way = max(width, wide, facts.rules.min_bay), cost + more
                    _keep(bays.setdefault((total, has_shelf or any(contents), has_rod), []), way)
    return bays


def _row(facts: Problem, bays: dict[tuple[Contents, bool, bool], Ways], room: int) -> dict[Contents, Ways]:
    """Bays side by side, by contents: the width with all uprights, and the inconvenience."""
    panel = facts.rules.panel
    usable = [
        (contents, width, cost)
        for (contents, has_shelf, has_rod), ways in bays.items()
        for width, cost in ways
        if width <= _longest(facts, has_shelf, has_rod)
    ]
    rows: dict[Contents, Ways] = {tuple(0 for _ in facts.things): [(panel, 0)]}
    for size in range(sum(thing.count for thing in facts.things)):
        for held in [held for held in rows if sum(held) == size]:
            for contents, width, cost in usable:
                total = _sum(facts, held, contents)
                for used, before in list(rows[held]) if total is not None else []:
                    if used + width + panel <= room:
                        _keep(rows.setdefault(total, []), (used + width + panel, before + cost))  # type: ignore[arg-type]
    return {contents: ways for contents, ways in rows.items() if ways}


def _keep(ways: Ways, new: tuple[int, int]) -> None:
    if not any(width <= new[0] and cost <= new[1] for width, cost in ways):
        ways[:] = [way for way in ways if not (new[0] <= way[0] and new[1] <= way[1])]
        ways.append(new)
