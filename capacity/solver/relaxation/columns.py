"""The columns of the master: a bay, a row of bays or the contents of a fixed opening; and what is open and fixed."""

from __future__ import annotations

from dataclasses import dataclass

from capacity.layout.problem import OpeningKind, Problem, Site
from capacity.solver.relaxation.opening_knapsack import Taken
from capacity.solver.relaxation.wall_pricing import Stretch
from capacity.units import PER_INCH

AREA = float(PER_INCH) ** 2
"""The unit in which the relaxation counts panel area, one square inch [square ticks]."""


@dataclass(frozen=True, slots=True, order=True)
class OpeningType:
    """Fixed openings that are alike: spot and clear sizes [ticks], and the index of the owner of their bay."""

    spot: Site
    owner: int
    kind: OpeningKind
    height: int
    width: int


@dataclass(frozen=True, slots=True)
class BayColumn:
    """A bay without contents: width and clear left face [ticks], owner index, openings; `above` if its top holds."""

    width: int
    left: int | None
    owner: int
    floor: int | None
    openings: tuple[tuple[OpeningKind, int], ...]
    above: int


@dataclass(frozen=True, slots=True)
class State:
    """What is still open and what is fixed: stretches of walls, numbers of fixed openings by type, their panel area."""

    stretches: tuple[Stretch, ...]
    openings: tuple[tuple[OpeningType, int], ...] = ()
    panel: int = 0


@dataclass(frozen=True, slots=True)
class Column:
    """One variable of the master: bays of a stretch with their panel area [AREA], or the contents of one opening."""

    run: int
    stretch: Stretch | None
    opening: OpeningType | None
    bays: tuple[BayColumn, ...]
    sizes: int
    pieces: tuple[tuple[int, int], ...]
    holds: Taken | None = None
    panel: float = 0.0


def bay_area(problem: Problem, run: int, bay: BayColumn, upper: int) -> int:
    """Panels of a bay and its share of uprights, `upper` high, none where they stand already [square ticks].

    A wall has one upright more than bays: each bay has one and, by its width, a share of the one more.
    """
    panels = len(bay.openings) + 1  # one over each opening, and a bottom panel or that over a rod on the floor
    upright = 0 if problem.runs[run].is_kept else max(0, upper)
    longest = max(wall.whole or wall.width for wall in problem.runs)
    upright += upright * (bay.width + problem.rules.panel) // longest
    return (bay.width * panels + upright) * problem.runs[run].depth
