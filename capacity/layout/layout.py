"""A layout: bays and openings on each wall, and what each opening holds. Ticks, left to right, floor up."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

from capacity.layout.problem import OpeningKind, PrescribedOpening, Problem, Site


@dataclass(frozen=True, slots=True, order=True)
class Holding:
    """So many pieces of one row in one opening; `turned` when width and depth are swapped."""

    row: int
    count: int
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Opening:
    """A clear opening; `bottom` is the height of its lower face over the floor."""

    kind: OpeningKind
    bottom: int
    height: int
    holds: tuple[Holding, ...] = ()


@dataclass(frozen=True, slots=True)
class Bay:
    """The clear room between two uprights; `left` is its left face from the left end of the wall."""

    left: int
    width: int
    depth: int
    openings: tuple[Opening, ...]


@dataclass(frozen=True, slots=True)
class WallLayout:
    """The bays of one wall, left to right."""

    name: str
    bays: tuple[Bay, ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """All walls in the order of the problem's runs; `owners` says who owns each corner.

    `owners` has one entry a corner: True when the run that ends there owns it.
    """

    walls: tuple[WallLayout, ...]
    owners: tuple[bool, ...] = ()

    def openings(self) -> Iterator[tuple[int, int, int, Bay, Opening]]:
        """Every opening as (wall, bay, opening, the bay, the opening), in order."""
        for wall_index, wall in enumerate(self.walls):
            for bay_index, bay in enumerate(wall.bays):
                for opening_index, opening in enumerate(bay.openings):
                    yield wall_index, bay_index, opening_index, bay, opening

    def stored(self) -> Counter[int]:
        """Pieces stored by row."""
        pieces: Counter[int] = Counter()
        for *_, opening in self.openings():
            for holding in opening.holds:
                pieces[holding.row] += holding.count
        return pieces

    def holding(self, contents: dict[tuple[int, int, int], tuple[Holding, ...]]) -> Layout:
        """The same openings with other contents, keyed by (wall, bay, opening); absent means empty."""
        return replace(
            self,
            walls=tuple(
                replace(
                    wall,
                    bays=tuple(
                        replace(
                            bay,
                            openings=tuple(
                                replace(opening, holds=contents.get((wall_index, bay_index, index), ()))
                                for index, opening in enumerate(bay.openings)
                            ),
                        )
                        for bay_index, bay in enumerate(wall.bays)
                    ),
                )
                for wall_index, wall in enumerate(self.walls)
            ),
        )

    def emptied(self) -> Layout:
        """The same openings with nothing in them."""
        return self.holding({})


def site_of(problem: Problem, w: int, bay: Bay, opening: int) -> Site:
    """What decides which things an opening of a bay on a wall can hold."""
    return Site(bay.depth, problem.runs[w].barred, opening < len(prescribed_in(problem, w, bay)))


def prescribed_in(problem: Problem, w: int, bay: Bay) -> tuple[PrescribedOpening, ...]:
    """The openings that are prescribed for a bay, on a wall or on a part of one."""
    wished = (item.prescribed for item in problem.fixed if (item.run, item.left) == (w, bay.left))
    return problem.runs[w].prescribed or next(wished, ())


def value_of(problem: Problem, layout: Layout) -> int:
    """Total value of what a layout stores: daily 3, weekly 2, seasonal 1 a piece."""
    values = {thing.row: thing.value for thing in problem.things}
    return sum(values[row] * count for row, count in layout.stored().items())


def without_surplus(problem: Problem, layout: Layout) -> Layout:
    """The same openings with only the pieces that there are, lowest openings first."""
    left = {thing.row: thing.count for thing in problem.things}
    contents: dict[tuple[int, int, int], tuple[Holding, ...]] = {}
    for w, b, o, _, opening in layout.openings():
        holds = []
        for holding in opening.holds:
            taken = min(holding.count, left.get(holding.row, 0))
            if taken:
                left[holding.row] -= taken
                holds.append(replace(holding, count=taken))
        contents[(w, b, o)] = tuple(holds)
    return layout.holding(contents)


def panel_area(problem: Problem, layout: Layout) -> int:
    """Area of uprights, bottoms, shelves and tops [square ticks]; kick boards, backs and drawers not counted.

    An upright is as deep as its wall's bays and as high as the higher of the two bays beside it, which may be on two
    parts of a wall; where today's bays are kept, the uprights stand already and are not counted.
    """
    thick, area = problem.rules.panel, 0
    uprights: dict[tuple[str, int], int] = {}
    for run, wall in zip(problem.runs, layout.walls, strict=True):
        is_kept = problem.keeps_bays or run.is_kept
        for bay in wall.bays:
            top = problem.head_over(run, bay.left, bay.left + bay.width)
            for place in () if is_kept else (bay.left - thick, bay.left + bay.width):
                key = run.name, run.offset + place
                uprights[key] = max(uprights.get(key, 0), top * bay.depth)
            area += bay.width * bay.depth * len(panels_of(problem, bay))
    return area + sum(uprights.values())


def is_within_budget(problem: Problem, layout: Layout) -> bool:
    """Whether the panels of a layout are no more than the budget buys."""
    return not problem.most_panel or panel_area(problem, layout) <= problem.most_panel


def panels_of(problem: Problem, bay: Bay) -> tuple[int, ...]:
    """Lower faces of the horizontal panels of a bay, from the floor up [ticks].

    One under and one over every opening, shared where two openings meet; none under an opening that stands
    on the floor, none at the ceiling over the opening above the top panel.
    """
    thick = problem.rules.panel
    faces: set[int] = set()
    for index, opening in enumerate(bay.openings):
        if opening.bottom > 0:
            faces.add(opening.bottom - thick)
        is_above_top = index == len(bay.openings) - 1 and opening.bottom >= problem.top
        if not is_above_top:
            faces.add(opening.bottom + opening.height)
    return tuple(sorted(faces))
