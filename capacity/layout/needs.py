"""What an opening needs at least for what it holds: clear height, and clear width of its bay."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from capacity.layout.drawer_rule import DRAWER_SIDES
from capacity.layout.layout import Opening
from capacity.layout.problem import OpeningKind, Problem, Rules
from capacity.layout.towers import Tower, best_towers, columns_needed, groups_of

Turning = tuple[int, bool]
"""Group, and whether it is turned."""


def needed_height(problem: Problem, towers: Sequence[Tower], opening: Opening) -> int:
    """Least clear height in which an opening's contents take no more columns than they do now [ticks]."""
    pieces, need = _pieces(problem, opening), 0
    mine: dict[Turning, list[Tower]] = {turning: [] for turning in pieces}
    for tower in towers:
        if tower.kind is opening.kind and (tower.group, tower.turned) in mine:
            mine[tower.group, tower.turned].append(tower)
    for turning, count in pieces.items():
        best = max((tower.pieces for tower in mine[turning] if tower.need <= opening.height), default=0)
        if not best:  # a turning that the towers leave out as never better
            return problem.rules.counted(opening.height)
        columns = columns_needed(count, best, 1)
        need = max(need, min(t.need for t in mine[turning] if columns_needed(count, t.pieces, 1) <= columns))
    return need


def least_height(problem: Problem, towers: Sequence[Tower], opening: Opening, width: int) -> int:
    """Least clear height in which an opening's contents fit a bay so wide, in more columns than now perhaps [ticks]."""
    heights = sorted({tower.need for tower in towers if tower.kind is opening.kind and tower.need < opening.height})
    lower = (replace(opening, height=height) for height in heights)
    fitting = (item.height for item in lower if needed_width(problem, towers, item) <= width)
    return next(fitting, needed_height(problem, towers, opening))


def needed_width(problem: Problem, towers: Sequence[Tower], opening: Opening) -> int:
    """Least clear width of a bay in which an opening of this height holds what it does now [ticks]."""
    best, taken = _best(towers, opening), 0
    for turning, count in _pieces(problem, opening).items():
        if turning not in best:  # a turning that the towers leave out as never better
            return max(problem.rules.max_shelf, problem.rules.max_rod)
        taken += columns_needed(count, best[turning].pieces, 1) * best[turning].width
    return width_for(problem.rules, opening.kind, taken)


def width_for(rules: Rules, kind: OpeningKind, taken: int) -> int:
    """Least clear width of a bay in which columns of so much width fit [ticks]: rules 6, 7, 8 and 12."""
    inside = -(-taken * rules.spare.denominator // (rules.spare.denominator - rules.spare.numerator))
    return inside + (DRAWER_SIDES if kind is OpeningKind.DRAWER else 0)


def _best(towers: Sequence[Tower], opening: Opening) -> dict[Turning, Tower]:
    return {(tower.group, tower.turned): tower for tower in best_towers(towers, opening.kind, opening.height)}


def _pieces(problem: Problem, opening: Opening) -> dict[Turning, int]:
    group_of = {
        problem.things[index].row: number for number, group in enumerate(groups_of(problem)) for index in group.members
    }
    pieces: dict[Turning, int] = {}
    for holding in opening.holds:
        turning = (group_of[holding.row], holding.turned)
        pieces[turning] = pieces.get(turning, 0) + holding.count
    return pieces
