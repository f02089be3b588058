"""Shelves on rows of holes, bay by bay, where what they hold leaves room for it.

A bay stands on rows when each of its openings but the last is, with the panel over it, a whole number of rows high.
Contents, widths and the order of the openings stay as they are, so nothing that is stored loses its place.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from capacity.layout.fit_rules import violations
from capacity.layout.layout import Bay, Layout, Opening
from capacity.layout.needs import needed_height
from capacity.layout.problem import OpeningKind, Problem, Site
from capacity.layout.sketches import is_free_of_blocked
from capacity.layout.towers import Tower, groups_of, towers_of


def on_rows(problem: Problem, layout: Layout, cost: Callable[[Layout], float] = lambda _: 0.0) -> Layout:
    """The layout with every bay on rows of holes that can be without a higher cost, where the wish is for such rows."""
    if not problem.rules.usual_pitch:
        return layout
    least = cost(layout)
    for w, wall in enumerate(layout.walls):
        for b, bay in enumerate(wall.bays):
            if problem.runs[w].prescribed or not is_free_of_blocked(problem, w, bay):
                continue  # what is prescribed stays where it is
            tried = _with_bay(layout, w, b, _on_rows(problem, bay))
            if tried != layout and (found := cost(tried)) <= least and not violations(problem, tried):
                layout, least = tried, found
    return layout


def _with_bay(layout: Layout, w: int, b: int, bay: Bay) -> Layout:
    """The layout with another bay."""
    wall = layout.walls[w]
    wall = replace(wall, bays=(*wall.bays[:b], bay, *wall.bays[b + 1 :]))
    return replace(layout, walls=(*layout.walls[:w], wall, *layout.walls[w + 1 :]))


def is_on_rows(problem: Problem, bay: Bay, pitch: int) -> bool:
    """Whether all openings of a bay but the last are, each with its panel, a whole number of rows high."""
    below = [opening for opening in bay.openings if opening.bottom < problem.top]
    return all((opening.height + problem.rules.panel) % pitch == 0 for opening in below[:-1])


def _on_rows(problem: Problem, bay: Bay) -> Bay:
    pitch, thick = problem.rules.usual_pitch, problem.rules.panel
    below = [opening for opening in bay.openings if opening.bottom < problem.top]
    if len(below) < 2 or is_on_rows(problem, bay, pitch):
        return bay
    towers = towers_of(problem, groups_of(problem), Site(bay.depth))
    least = [_rows(_least(problem, towers, opening) + thick, pitch) for opening in below[:-1]]
    rows = [max(few, (opening.height + thick) // pitch) for few, opening in zip(least, below, strict=False)]
    end = below[-1].bottom + below[-1].height
    room = end - below[0].bottom - _least(problem, towers, below[-1])
    for index in sorted(range(len(rows)), key=lambda index: least[index] - rows[index]):
        while sum(rows) * pitch > room and rows[index] > least[index]:
            rows[index] -= 1
    if sum(rows) * pitch > room:
        return bay
    moved, bottom = [], below[0].bottom
    for number, opening in zip(rows, below, strict=False):
        moved.append(replace(opening, bottom=bottom, height=number * pitch - thick))
        bottom += number * pitch
    moved.append(replace(below[-1], bottom=bottom, height=end - bottom))
    return replace(bay, openings=(*moved, *bay.openings[len(below) :]))


def _least(problem: Problem, towers: Sequence[Tower], opening: Opening) -> int:
    """Least clear height of an opening for what it holds [ticks]."""
    least = max(1, problem.rules.least_of(opening.kind))
    if opening.kind is OpeningKind.HANG and opening.bottom == 0:
        least = max(least, problem.rules.toe_kick)
    return max(least, needed_height(problem, towers, opening))


def _rows(height: int, pitch: int) -> int:
    return -(-height // pitch)


def fewest_moves(spare: Sequence[int], may: Sequence[int]) -> tuple[int, ...] | None:
    """Which boards of a bay to move by how many rows of holes so that every opening has what it needs.

    Parameters
    ----------
    spare
        For each opening, from the floor up, how many rows it can give; below 0 how many it needs.
    may
        For each board between two of them, by how many rows it may be moved at most.

    Returns
    -------
    For each board how many rows up, below 0 down; as few boards as can be, then as few rows; None where nothing helps.

    Examples
    --------
    >>> fewest_moves((-2, 1, 3), (9, 9))
    (2, 1)
    >>> fewest_moves((-2, 3, 0), (9, 9)), fewest_moves((-2, 3, 0), (1, 9))
    ((2, 0), None)
    """
    most = sum(max(0, rows) for rows in spare)
    best: dict[int, tuple[int, int, tuple[int, ...]]] = {0: (0, 0, ())}
    for number, rows in enumerate(spare):
        is_last = number == len(spare) - 1
        far_as = 0 if is_last else min(most, may[number])
        ahead = range(-far_as, far_as + 1)
        found: dict[int, tuple[int, int, tuple[int, ...]]] = {}
        for before, (moved, far, path) in best.items():
            for up in ahead:
                if up - before + rows >= 0:
                    one = (moved + (up != 0), far + abs(up), path if is_last else (*path, up))
                    if up not in found or one < found[up]:
                        found[up] = one
        best = found
    return best[0][2] if 0 in best else None
