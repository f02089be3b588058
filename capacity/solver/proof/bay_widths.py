"""The clear widths of a bay that matter: those at which some opening may begin to hold more.

What an opening holds is a sum of widths of columns, so a bay may be narrowed to the next such sum and keep all it
holds (normal patterns; Herz 1972, IBM Journal of Research and Development 16, 462-469). Where these sums are too many
a size stands for several of them: it needs the least width and has room for the most.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from capacity.layout.needs import width_for
from capacity.layout.problem import OpeningKind, Rules
from capacity.layout.towers import Group, Tower
from capacity.solver.relaxation.opening_knapsack import Grid, Ints, OpeningTables


@dataclass(frozen=True, slots=True)
class Sizes:
    """Widths of bays, ascending, shape (sizes,): the least a size needs and the most it stands for [ticks].

    `is_exact`: no two widths of one size hold different things, and no need was rounded.
    """

    needs: Ints
    tops: Ints
    is_exact: bool


def limit_of(rules: Rules, kind: OpeningKind) -> int:
    """Longest opening of a kind [ticks]."""
    return rules.max_rod if kind is OpeningKind.HANG else rules.max_shelf


def sizes_of(
    rules: Rules,
    groups: Sequence[Group],
    parts: Iterable[tuple[Sequence[Tower], Mapping[OpeningKind, OpeningTables]]],
    grid: Grid,
    widest: int,
    most: int,
) -> Sizes:
    """The sizes of bays up to `widest` [ticks], at most `most` of them.

    Parameters
    ----------
    rules, groups
        The rules and the piles.
    parts
        For each owner of a bay the towers in bays of this depth, and the tables in whose units columns are counted.
    grid
        How widths were rounded for the tables.
    widest
        No bay is wider [ticks].
    most
        Most sizes; above it sizes are joined.
    """
    starts = {rules.min_bay}
    is_exact = True
    for towers, tables in parts:
        for kind, table in tables.items():
            mine = [tower for tower in towers if tower.kind is kind]
            is_exact = is_exact and all(tower.width % table.unit == 0 for tower in mine)
            for column in _sums(groups, mine, grid, table.unit, table.room):
                starts.add(width_for(rules, kind, column * table.unit))
    last = min(widest, max(rules.max_shelf, rules.max_rod))
    needs = sorted(width for width in starts if rules.min_bay <= width <= last)
    if len(needs) > most:
        is_exact = False
        step = -(-(last - rules.min_bay) // most)
        kept: dict[int, int] = {}
        for width in needs:
            kept.setdefault((width - rules.min_bay) // step, width)
        needs = sorted(kept.values())
    tops = [*(width - 1 for width in needs[1:]), last]
    return Sizes(np.array(needs, dtype=np.int64), np.array(tops[: len(needs)], dtype=np.int64), is_exact)


def marked(rules: Rules, sizes: Sizes) -> Sizes:
    """The sizes whose widths are whole multiples of the mark; those without such a width are left out."""
    needs = np.array([rules.width_up(int(width)) for width in sizes.needs], dtype=np.int64)
    tops = np.array([rules.width_down(int(width)) for width in sizes.tops], dtype=np.int64)
    return Sizes(needs[needs <= tops], tops[needs <= tops], sizes.is_exact)


def _sums(groups: Sequence[Group], towers: Sequence[Tower], grid: Grid, unit: int, room: int) -> list[int]:
    """Sums of column widths that contents of one opening can have, in units, without 0."""
    lines: dict[tuple[int, bool], list[Tower]] = {}
    for tower in towers:
        lines.setdefault((tower.group, tower.turned), []).append(tower)
    reached, mask = 1, (1 << (room + 1)) - 1
    for (group, _), line in sorted(lines.items()):
        width = max(1, grid.need(line[0].width, unit))
        columns = -(-groups[group].count // min(tower.pieces for tower in line))
        for _ in range(min(columns, room // width)):
            reached |= reached << width & mask
    return [column for column in range(1, room + 1) if reached >> column & 1]
