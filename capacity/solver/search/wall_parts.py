"""Walls in parts: a bay that must be is a run of its own, and so is the free wall on either side of it.

The search knows runs only. A fixed bay with its two uprights becomes a run that takes just that bay. The free wall
beside it has the upright between them too: its bays share it, or keep a panel's thickness away (`Run.shares_left`), so
that no gap is left that is narrower than a panel. This leaves no layout out: bounds are proven for the same parts.
Where today's bays are kept, they are the only runs.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from capacity.layout.corners import corner_choices, ends_of
from capacity.layout.layout import Layout, WallLayout
from capacity.layout.problem import BlockedPart, FixedBay, Problem, Run


@dataclass(frozen=True, slots=True)
class Divided:
    """A problem, and the same with its walls in parts; `origin` is the wall of each part."""

    whole: Problem
    problem: Problem
    origin: tuple[int, ...]

    def joined(self, layout: Layout) -> Layout:
        """A layout of the parts as one of the whole walls."""
        if self.problem is self.whole:
            return layout
        walls: list[list[WallLayout]] = [[] for _ in self.whole.runs]
        for part, (wall, run) in enumerate(zip(layout.walls, self.problem.runs, strict=True)):
            moved = tuple(replace(bay, left=bay.left + run.offset) for bay in wall.bays)
            walls[self.origin[part]].append(WallLayout(wall.name, moved))
        owners = layout.owners if self.problem.corners else (True,) * len(self.whole.corners)
        return Layout(
            tuple(
                WallLayout(run.name, tuple(bay for part in parts for bay in part.bays))
                for run, parts in zip(self.whole.runs, walls, strict=True)
            ),
            owners,
        )

    def parted(self, layout: Layout) -> Layout | None:
        """A layout of the whole walls as one of the parts; None where a bay of it lies in no part."""
        if self.problem is self.whole:
            return layout
        bays = {(wall, bay.left): bay for wall, row in enumerate(layout.walls) for bay in row.bays}
        walls = []
        for part, run in enumerate(self.problem.runs):
            inside = [
                key
                for key, bay in sorted(bays.items())
                if key[0] == self.origin[part]
                and run.offset + self._thick <= bay.left
                and bay.left + bay.width + self._thick <= run.offset + run.width
            ]
            mine = [bays.pop(key) for key in inside]
            walls.append(WallLayout(run.name, tuple(replace(bay, left=bay.left - run.offset) for bay in mine)))
        owners = layout.owners if self.problem.corners else ()
        if owners not in corner_choices(self.problem):
            return None
        return None if bays else Layout(tuple(walls), owners)

    @property
    def _thick(self) -> int:
        return self.whole.rules.panel


def divide(problem: Problem) -> Divided:
    """Part the walls of a problem at the bays that must be.

    Raises
    ------
    ValueError
        When every choice of corners takes away some of a bay that must be.
    """
    if not problem.fixed:
        return Divided(problem, problem, tuple(range(len(problem.runs))))
    runs: list[Run] = []
    origin: list[int] = []
    for index, run in enumerate(problem.runs):
        fixed = sorted((item for item in problem.fixed if item.run == index), key=lambda item: item.left)
        if problem.keeps_bays:
            made = [_fixed_run(problem, run, item) for item in fixed]
        else:
            made = _parts(problem, run, fixed) if fixed else [run]
        runs += made
        origin += [index] * len(made)
    corners = () if problem.keeps_bays else problem.corners
    parts = replace(problem, runs=tuple(runs), corners=corners, fixed=(), keeps_bays=False)
    if corners:
        parts = replace(parts, lost=_lost(problem, runs, origin))
    return Divided(problem, parts, tuple(origin))


def _fixed_run(problem: Problem, run: Run, item: FixedBay) -> Run:
    thick = problem.rules.panel
    part = _cut(run, item.left - thick, item.left + item.width + thick)
    blocked = part.blocked
    if problem.keeps_bays:  # it stands, so no blocked part is in the way of its uprights
        clipped = (replace(box, left=max(box.left, thick), right=min(box.right, thick + item.width)) for box in blocked)
        blocked = tuple(box for box in clipped if box.left < box.right)
    return replace(
        part,
        depth=item.depth,
        blocked=blocked,
        kept_left=0,
        kept_right=0,
        fixed=item.width,
        is_kept=problem.keeps_bays,
        prescribed=item.prescribed,
        kinds=item.kinds,
    )


def _parts(problem: Problem, run: Run, fixed: list[FixedBay]) -> list[Run]:
    """The free parts and fixed bays of a wall, left to right."""
    made: list[Run] = []
    start, thick = 0, problem.rules.panel
    for number, item in enumerate((*fixed, None)):
        end = run.width if item is None else item.left
        if end - start >= problem.rules.min_bay + 2 * thick:
            made.append(replace(_cut(run, start, end), shares_left=number > 0, shares_right=item is not None))
        if item is not None:
            is_next = number > 0 and item.left - start == thick
            made.append(replace(_fixed_run(problem, run, item), shares_left=is_next))
            start = item.left + item.width
    return made


def _cut(run: Run, start: int, end: int) -> Run:
    """The part of a wall from one place to another [ticks]."""
    boxes = (
        BlockedPart(box.left - start, box.right - start, box.bottom, box.top)
        for box in run.blocked
        if box.left < end and start < box.right
    )
    return replace(
        run,
        width=end - start,
        blocked=tuple(boxes),
        kept_left=max(0, run.kept_left - start),
        kept_right=max(0, run.kept_right - (run.width - end)),
        offset=start,
        whole=run.width,
    )


def _lost(
    problem: Problem, runs: list[Run], origin: list[int]
) -> tuple[tuple[tuple[bool, ...], tuple[tuple[int, int], ...]], ...]:
    """For each choice of corners that leaves the fixed bays whole, what each part loses at its two ends."""
    found = []
    for owners in corner_choices(problem):
        losses = []
        for run, wall in zip(runs, origin, strict=True):
            start, end = ends_of(problem, wall, owners)
            losses.append((max(0, start - run.offset), max(0, run.offset + run.width - end)))
        if all(loss == (0, 0) for loss, run in zip(losses, runs, strict=True) if run.fixed):
            found.append((owners, tuple(losses)))
    if not found:
        msg = "every choice of corners takes away some of a bay that must be"
        raise ValueError(msg)
    return tuple(found)
