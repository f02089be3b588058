"""What was planned in some openings, put into those that were built in their places, as far as it still fits."""

from __future__ import annotations

from capacity.layout.layout import Bay, Holding, Layout, Opening, site_of
from capacity.layout.problem import Problem
from capacity.layout.towers import best_towers, columns_needed, each_alone, room_of, towers_of

OpeningIndex = tuple[int, int, int]


def taken_over(
    problem: Problem, planned: Layout, built: Layout
) -> tuple[Layout, dict[OpeningIndex, tuple[Holding, ...]]]:
    """Fill what was built as was planned; an opening that is too small keeps what still fits, in the order of the plan.

    Parameters
    ----------
    problem
        The facts of openings that stand (`Problem.as_given`).
    planned, built
        Openings are told apart by wall, bay and their order in it; contents of `built` are not looked at.

    Returns
    -------
    What was built with contents, and for each planned opening the holdings that it no longer has.
    """
    counts = {thing.row: thing.count for thing in problem.things}
    there = {(w, b, o): (bay, opening) for w, b, o, bay, opening in built.openings()}
    staying: dict[OpeningIndex, tuple[Holding, ...]] = {}
    lost: dict[OpeningIndex, tuple[Holding, ...]] = {}
    for w, b, o, _, opening in planned.openings():
        stays: tuple[Holding, ...] = ()
        bay, now = there.get((w, b, o), (None, None))
        for holding in opening.holds:
            fits = bay is not None and now is not None and takes(problem, w, bay, now, (*stays, holding))
            if fits and holding.count <= counts.get(holding.row, 0):
                stays = (*stays, holding)
                counts[holding.row] -= holding.count
            else:
                lost[w, b, o] = (*lost.get((w, b, o), ()), holding)
        if stays:
            staying[w, b, o] = stays
    return built.holding(staying), lost


def takes(
    problem: Problem, w: int, bay: Bay, opening: Opening, holds: tuple[Holding, ...], any_way: bool = False
) -> bool:
    """Whether an opening of a bay has the height and the width for some holdings, turned as they are or any way."""
    towers = best_towers(
        towers_of(problem, each_alone(problem), site_of(problem, w, bay, 0)), opening.kind, opening.height
    )
    index, taken = {thing.row: number for number, thing in enumerate(problem.things)}, 0
    for holding in holds:
        fitting = [
            columns_needed(holding.count, tower.pieces, 1) * tower.width
            for tower in towers
            if tower.group == index.get(holding.row) and (any_way or tower.turned == holding.turned)
        ]
        if not fitting:
            return False
        taken += min(fitting)
    return taken <= room_of(problem.rules, opening.kind, bay.width)
