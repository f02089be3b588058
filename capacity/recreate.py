"""Take a few bays out and build them anew by a greedy rule with a grain of chance; quick, and never a proof.

Each opening of a new bay is the one that holds the most value for its height among what has no place yet, its
pieces taken in the order of value for width. The exact filling and CP-SAT come after; this gives them a start.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace

from capacity.building import Piece, Sketch, build_wall, sketch_of
from capacity.layout import Bay, Holding, Layout, WallLayout
from capacity.problem import OpeningKind, Problem
from capacity.towers import Group, Tower, best_towers, candidate_heights, columns_needed, room_of, towers_of


@dataclass(frozen=True, slots=True)
class _Option:
    """An opening that could be built: kind, least clear height, and its towers."""

    kind: OpeningKind
    height: int
    towers: tuple[Tower, ...]


class Recreator:
    """Builds bays anew for one problem; all chance comes from one seeded source."""

    def __init__(self, problem: Problem, chance: random.Random) -> None:
        self._problem = problem
        self._chance = chance
        self._groups = tuple(
            Group((index,), thing.count, thing.value, thing.owner, thing.opening_kind)
            for index, thing in enumerate(problem.things)
        )
        self._towers = {run.depth: towers_of(problem, self._groups, run.depth) for run in problem.runs}
        self._options = {
            depth: tuple(
                _Option(kind, height, best_towers(towers, kind, height))
                for kind, height in candidate_heights(towers, problem.top)
            )
            for depth, towers in self._towers.items()
        }

    def rebuild(self, layout: Layout, picked: set[tuple[int, int]]) -> Layout:
        """The layout with the picked bays (wall, bay) built anew."""
        supply = {index: thing.count for index, thing in enumerate(self._problem.things)}
        index_of = {thing.row: index for index, thing in enumerate(self._problem.things)}
        for w, wall in enumerate(layout.walls):
            for b, bay in enumerate(wall.bays):
                if (w, b) not in picked:
                    for opening in bay.openings:
                        for holding in opening.holds:
                            supply[index_of[holding.row]] -= holding.count
        noise = [0.7 + 0.6 * self._chance.random() for _ in supply]
        walls = [
            self._wall(layout, w, {b for wall, b in picked if wall == w}, supply, noise)
            for w in range(len(layout.walls))
        ]
        return Layout(tuple(walls), layout.owners)

    def _wall(
        self, layout: Layout, w: int, out: set[int], supply: dict[int, int], noise: Sequence[float]
    ) -> WallLayout:
        wall, run = layout.walls[w], self._problem.runs[w]
        if not out:
            return wall
        kept = [sketch_of(self._problem, w, bay) for b, bay in enumerate(wall.bays) if b not in out]
        if run.is_plain:
            start, end = self._problem.ends_of(w, layout.owners)
            thick = self._problem.rules.panel
            room = end - start - thick - sum(sketch.width + thick for sketch in kept)
            ceiling = run.ceiling_left
            made = [self._bay(w, width, ceiling, None, supply, noise) for width in self._widths(room)]
            return build_wall(self._problem, w, layout.owners, [*kept, *made])
        made = []
        for b in sorted(out):
            bay = wall.bays[b]
            ceiling = run.ceiling_over(bay.left, bay.left + bay.width)
            made.append(self._bay(w, bay.width, ceiling, bay.left, supply, noise))
        return build_wall(self._problem, w, layout.owners, sorted([*kept, *made], key=lambda item: item.left or 0))

    def _widths(self, room: int) -> list[int]:
        """Widths that share out some room, uprights included, by chance."""
        rules = self._problem.rules
        thick, widest = rules.panel, max(rules.max_shelf, rules.max_rod)
        most = room // (rules.min_bay + thick)
        if most < 1:
            return []
        least = min(most, -(-room // (widest + thick)))
        number = self._chance.randint(least, min(most, least + 2))
        left = room - number * (rules.min_bay + thick)
        shares = [self._chance.random() + 0.3 for _ in range(number)]
        extra = [int(left * share / sum(shares)) for share in shares]
        limit = rules.max_shelf if self._chance.random() < 0.8 else widest
        return [max(rules.min_bay, min(rules.min_bay + more, limit)) for more in extra]

    def _bay(
        self, w: int, width: int, ceiling: int, left: int | None, supply: dict[int, int], noise: Sequence[float]
    ) -> Sketch:
        """The better of a bay on a toe kick and one whose lowest rod stands on the floor."""
        owners: Sequence[str | None] = self._problem.owners if self._problem.rules.owners_apart else (None,)
        best: tuple[int, Sketch, dict[int, int]] | None = None
        for owner in owners or (None,):
            for on_floor in (False, True):
                trial = dict(supply)
                sketch, value = self._stack(w, width, ceiling, owner, on_floor, trial, noise)
                if best is None or value > best[0]:
                    best = value, replace(sketch, left=left), trial
        if best is None:
            return Sketch(width, None, (), (), left)
        supply.update(best[2])
        return best[1]

    def _stack(
        self,
        w: int,
        width: int,
        ceiling: int,
        owner: str | None,
        on_floor: bool,
        supply: dict[int, int],
        noise: Sequence[float],
    ) -> tuple[Sketch, int]:
        problem, run = self._problem, self._problem.runs[w]
        rules, upper = problem.rules, min(problem.top, ceiling)
        is_wide = width > rules.max_shelf
        options = [
            option
            for option in self._options[run.depth]
            if (option.kind is OpeningKind.HANG or not is_wide)
            and (option.kind is not OpeningKind.HANG or width <= rules.max_rod)
        ]
        room, total = upper - (0 if on_floor else rules.base), 0
        floor: Piece | None = None
        pieces: list[Piece] = []
        while True:
            rods_only = on_floor and floor is None
            best: tuple[float, int, _Option, tuple[Holding, ...], dict[int, int]] | None = None
            for option in options:
                if option.height + rules.panel > room or (rods_only and option.kind is not OpeningKind.HANG):
                    continue
                space = room_of(rules, option.kind, width)
                holds, value, taken = self._content(option, space, owner, supply, noise)
                score = value / (option.height + rules.panel) * (0.9 + 0.2 * self._chance.random())
                if value and (best is None or score > best[0]):
                    best = score, value, option, holds, taken
            if best is None:
                break
            _, value, option, holds, taken = best
            for index, number in taken.items():
                supply[index] -= number
            total += value
            room -= option.height + rules.panel
            piece = Piece(option.kind, option.height, holds)
            if rods_only:
                floor = piece
            else:
                pieces.append(piece)
        above: tuple[Holding, ...] = ()
        high = ceiling - problem.top
        if high > 0 and not is_wide and not run.blocked:
            top = _Option(OpeningKind.SHELF, high, best_towers(self._towers[run.depth], OpeningKind.SHELF, high))
            above, value, taken = self._content(top, room_of(rules, top.kind, width), owner, supply, noise)
            total += value
            for index, number in taken.items():
                supply[index] -= number
        return Sketch(width, floor, tuple(pieces), above), total

    def _content(
        self, option: _Option, room: int, owner: str | None, supply: dict[int, int], noise: Sequence[float]
    ) -> tuple[tuple[Holding, ...], int, dict[int, int]]:
        """What to put into an opening: value for width first."""
        things, apart = self._problem.things, self._problem.rules.owners_apart
        order = sorted(
            (
                (
                    -things[tower.group].value
                    * min(tower.pieces, supply[tower.group])
                    / tower.width
                    * noise[tower.group],
                    n,
                )
                for n, tower in enumerate(option.towers)
                if supply[tower.group] > 0
            )
        )
        holds: list[Holding] = []
        taken: dict[int, int] = {}
        value = 0
        for _, n in order:
            tower = option.towers[n]
            thing = things[tower.group]
            have = supply[tower.group] - taken.get(tower.group, 0)
            if have <= 0 or tower.width > room or (apart and thing.owner not in (None, owner)):
                continue
            columns = min(room // tower.width, columns_needed(have, tower.pieces, 1))
            number = min(have, columns * tower.pieces)
            holds.append(Holding(thing.row, number, tower.turned))
            taken[tower.group] = taken.get(tower.group, 0) + number
            value += thing.value * number
            room -= columns * tower.width
        return tuple(sorted(holds)), value, taken


def is_free_of_blocked(problem: Problem, w: int, bay: Bay) -> bool:
    """Whether a bay and its uprights touch no blocked part, so that its whole height can be used."""
    thick = problem.rules.panel
    return not any(
        bay.left - thick < box.right and box.left < bay.left + bay.width + thick for box in problem.runs[w].blocked
    )
