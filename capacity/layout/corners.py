"""Corners: who owns each, and what of the two walls that meet there may be built on (rule 2).

Where two walls meet only one of them may be filled up to the corner: it owns the corner, and the other begins as far
from it as the owner is deep, and the room to reach in. The checker states the same rule by itself (`fit_rules`).
"""

from __future__ import annotations

from collections.abc import Iterator

from capacity.layout.problem import Problem


def corner_choices(problem: Problem) -> Iterator[tuple[bool, ...]]:
    """Every way to give each corner an owner; True: the run that ends there owns it."""
    if problem.lost:
        yield from (owners for owners, _ in problem.lost)
        return
    for number in range(2 ** len(problem.corners)):
        yield tuple(not number >> index & 1 for index in range(len(problem.corners)))


def ends_of(problem: Problem, run: int, owners: tuple[bool, ...]) -> tuple[int, int]:
    """Left and right end of what a run may use, when the corners are owned so [ticks]."""
    whole = problem.runs[run]
    left, right = whole.kept_left, whole.width - whole.kept_right
    if problem.lost:
        at_left, at_right = dict(problem.lost)[owners][run]
        return min(at_left, whole.width), max(min(at_left, whole.width), whole.width - at_right)
    for corner, first_owns in zip(problem.corners, owners, strict=True):
        if corner.starts == run and first_owns:
            left = max(left, problem.runs[corner.ends].depth + problem.rules.corner_access)
        if corner.ends == run and not first_owns:
            right = min(right, whole.width - problem.runs[corner.starts].depth - problem.rules.corner_access)
    return left, max(left, right)


def reaches_walls(problem: Problem, run: int, owners: tuple[bool, ...]) -> tuple[bool, bool]:
    """Whether a run's left and right end are its own, at a wall, not given up to the owner of a corner."""
    taken = {
        (corner.starts, "left") if first_owns else (corner.ends, "right")
        for corner, first_owns in zip(problem.corners, owners, strict=True)
    }
    return (run, "left") not in taken, (run, "right") not in taken
