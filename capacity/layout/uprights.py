"""The uprights of one wall: where each stands, how high it is, and how it is made for the chosen way of building.

Two bays side by side share one. In two pieces an upright is cut on the upper face of a shelf of a bay beside it, the
one nearest half its height, so that the shelf ties both pieces; on a base it stands on the base where both its
bays have a toe kick. The parts list and the way-in check read the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from capacity.layout.layout import Bay, panels_of
from capacity.layout.problem import Problem


@dataclass(frozen=True, slots=True)
class Upright:
    """One upright [ticks]: its left face along the wall, its foot and its head, and where it is cut (None: whole)."""

    left: int
    foot: int
    head: int
    cut: int | None

    @property
    def pieces(self) -> tuple[tuple[int, int], ...]:
        """Foot and length of each piece, from the floor up."""
        if self.cut is None:
            return ((self.foot, self.head - self.foot),)
        return ((self.foot, self.cut - self.foot), (self.cut, self.head - self.cut))


def top_over(problem: Problem, run: int, bay: Bay) -> int:
    """Height of a bay's built-ins: the top, or as far as they may go under a lower ceiling [ticks]."""
    return problem.head_over(problem.runs[run], bay.left, bay.left + bay.width)


def has_kick(problem: Problem, bay: Bay) -> bool:
    """Whether a bay stands on a toe kick: not where its lowest rod stands on the floor, nor over what is kept free."""
    return bay.openings[0].bottom == problem.rules.base


def uprights_of(problem: Problem, run: int, bays: Sequence[Bay], assembly: str) -> tuple[Upright, ...]:
    """The uprights of a wall's bays, left to right, as high as the higher bay beside each, under the ceiling."""
    thick, kick = problem.rules.panel, problem.rules.toe_kick
    beside: dict[int, list[Bay]] = {}
    for bay in bays:
        for left in (bay.left - thick, bay.left + bay.width):
            beside.setdefault(left, []).append(bay)
    made = []
    for left, both in sorted(beside.items()):
        highest = problem.head_over(problem.runs[run], left, left + thick)
        head = max(min(top_over(problem, run, bay), highest) for bay in both)
        foot = kick if assembly == "on a base" and all(has_kick(problem, bay) for bay in both) else 0
        cut = _cut(problem, both, head) if assembly == "two pieces" else None
        made.append(Upright(left, foot, head, cut))
    return tuple(made)


def beside_bay(uprights: Sequence[Upright], problem: Problem, bay: Bay) -> Iterator[Upright]:
    """The two uprights of one bay."""
    for upright in uprights:
        if upright.left in (bay.left - problem.rules.panel, bay.left + bay.width):
            yield upright


def _cut(problem: Problem, bays: Sequence[Bay], head: int) -> int:
    """On the upper face of the panel nearest half the height, else at the half."""
    thick = problem.rules.panel
    faces = [face + thick for bay in bays for face in panels_of(problem, bay)]
    usable = [face for face in faces if head // 4 <= face <= head * 3 // 4]
    return min(usable, key=lambda face: (abs(2 * face - head), face), default=-(-head // 2))
