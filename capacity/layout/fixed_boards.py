"""Which boards of a bay are fixed, and how far the others may go: to which holes, where they stand on pins."""

from __future__ import annotations

from capacity.layout.layout import Bay, panels_of
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.rows_of_holes import is_on_rows

ONE_MORE, ANY = 1, 999
"""A loose shelf has a hole more over and under it; in a row of holes it may go anywhere."""


def fixed_faces(bay: Bay, faces: tuple[int, ...], every: int, stands_on_floor: bool, thick: int) -> set[int]:
    """Which panels are fixed: the ends, those above and below a drawer, and enough between to tie the uprights."""
    fixed = {faces[-1]} | (set() if stands_on_floor else {faces[0]})
    for opening in bay.openings:
        if opening.kind is OpeningKind.DRAWER:
            fixed |= {opening.bottom - thick, opening.bottom + opening.height} & set(faces)
    reached = 0 if stands_on_floor else faces[0]
    for index, face in enumerate(faces):
        following = faces[index + 1] if index + 1 < len(faces) else None
        if following is not None and following - reached > every and face > reached:
            fixed.add(face)
        if face in fixed:
            reached = face
    return fixed


def freedom(problem: Problem, bay: Bay, pitch: int, every: int, planned: Bay | None = None) -> tuple[int, ...]:
    """For each board between two openings under the top panel, by how many holes it may move: 0 where it is fixed.

    Where a blocked part lies between the two, neither board beside it moves.

    Parameters
    ----------
    problem, bay
        The facts, and a bay as it was built.
    pitch, every
        Distance of the holes, and the longest that uprights go without a fixed board [ticks].
    planned
        The bay as it was planned, where that is known: rows of holes are bored by the plan.
    """
    below = [opening for opening in bay.openings if opening.bottom < problem.top]
    fixed = fixed_faces(bay, panels_of(problem, bay), every, bay.openings[0].bottom == 0, problem.rules.panel)
    in_rows = any(is_on_rows(problem, one, pitch) for one in (bay, planned) if one is not None)
    most, apart = ANY if in_rows else ONE_MORE, 2 * problem.rules.panel
    ends = [opening.bottom + opening.height for opening in below]
    return tuple(
        0 if end in fixed or following.bottom - end >= apart else most
        for end, following in zip(ends, below[1:], strict=False)
    )
