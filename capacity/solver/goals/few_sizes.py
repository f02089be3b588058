"""The fourth goal: few sizes to set a stop for, with what lies where left as it is.

Bays get widths, and openings heights, of which few differ (`assortment`); what is then left over of a bay goes to a rod
opening, or to a shelf opening so that few heights come of it. Openings of a bay stand in the order that is reached
best, and between such orders in the one with most shelves level with the bay to the left.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

from capacity.layout.corners import ends_of
from capacity.layout.fit_rules import violations
from capacity.layout.layout import Bay, Layout, Opening, WallLayout
from capacity.layout.needs import least_height, needed_width
from capacity.layout.problem import OpeningKind, Problem, Site
from capacity.layout.reach_zones import PriceList, Zone, inconvenience
from capacity.layout.sketches import (
    NEW_SHELF,
    USUAL_SHELF,
    BaySketch,
    OpeningSketch,
    as_it_stands,
    build_bay,
    build_wall,
    is_free_of_blocked,
    mark_of,
    sketch_of,
    widest,
)
from capacity.layout.towers import Tower, groups_of, towers_of
from capacity.makeover.plan import SIZE
from capacity.solver.effort import Effort
from capacity.solver.goals.assortment import Need, assorted
from capacity.solver.goals.held_bays import DRAWER_MORE, clear_heights, raised_to
from capacity.solver.goals.reach_order import best_order

MOST_SUMS = 4000
"""Ways to share out what is left over of a bay that are looked at."""

PASSES = 2
"""Times that heights are given out, each time with what took the rests of bays before to choose from."""

BayIndex = tuple[int, int]
Choice = tuple[int, tuple[int, ...]]
"""The opening that takes what is left over, and the heights of all of a bay."""


def shelf_heights(problem: Problem, layout: Layout) -> Counter[int]:
    """Clear heights of the shelf openings under the top panel (`clear_heights`), and how many there are of each."""
    return Counter(height for wall in layout.walls for bay in wall.bays for height in clear_heights(problem, bay))


def sizes_of(problem: Problem, layout: Layout) -> int:
    """Distinct clear heights of shelf openings and distinct widths of bays, which shelves, bottoms and rods follow."""
    return len(shelf_heights(problem, layout)) + len({bay.width for wall in layout.walls for bay in wall.bays})


def in_few_sizes(
    problem: Problem,
    layout: Layout,
    zones: Mapping[str, Zone],
    effort: Effort,
    has_extra_shelves: bool = True,
    common: Sequence[int] = (),
) -> Layout:
    """The same contents in openings of few heights and bays of few widths; as it is where that gains nothing.

    Parameters
    ----------
    problem, layout
        The facts, and a layout that keeps every fit rule.
    zones
        Zones of reach by the owner's name in lower case. A size less may cost `SIZE` of inconvenience.
    effort
        The budget.
    has_extra_shelves
        Whether one more shelf is put into a large rest.
    common
        Heights, rising, that serve the openings well as far as is known [ticks]; tried besides.
    """

    def cost(item: Layout) -> int:
        return inconvenience(problem, item, zones) + SIZE * sizes_of(problem, item)

    tried = _plainer(problem, layout, zones, effort, has_extra_shelves, common)
    return min((layout, *(item for item in tried if not violations(problem, item))), key=cost)


def _plainer(
    problem: Problem,
    layout: Layout,
    zones: Mapping[str, Zone],
    effort: Effort,
    has_extra_shelves: bool,
    common: Sequence[int],
) -> Iterator[Layout]:
    """Layouts of few heights, with few widths first, some of which may break a rule; none once it is to stop."""
    if effort.is_stopping:
        return
    extras = (True, False) if has_extra_shelves else (False,)
    known = ((), common) if common else ((),)
    for plain, extra, sizes in product((_with_few_widths(problem, layout, effort), layout), extras, known):
        heights = _Heights(problem, plain, zones, extra, sizes)
        for _ in range(PASSES):
            if effort.is_stopping:
                return
            yield heights.laid_out(effort)


# ---- widths ---------------------------------------------------------------------------------------------


def _with_few_widths(problem: Problem, layout: Layout, effort: Effort) -> Layout:
    """Bays of few widths on the walls where bays may stand anywhere, each as wide as it needs at least."""
    mark, thick = mark_of(problem), problem.rules.panel
    where: list[BayIndex] = []
    needs: list[Need] = []
    free: dict[int, int] = {}
    sizes: set[int] = set()
    for w, wall in enumerate(layout.walls):
        run = problem.runs[w]
        if not run.is_plain or run.fixed or run.is_between or not wall.bays:
            continue
        start, end = ends_of(problem, w, layout.owners)
        free[w] = end - start - thick
        for b, bay in enumerate(wall.bays):
            least = -(-_least_width(problem, w, bay) // mark) * mark
            least = least if least <= bay.width else bay.width
            needs.append(Need(w, least, widest(problem, w, as_it_stands(problem, bay, None))))
            where.append((w, b))
            free[w] -= least + thick
        even = ((end - start - thick) // len(wall.bays) - thick) // mark * mark
        sizes |= {even, *(bay.width for bay in wall.bays)}
    if any(left < 0 for left in free.values()):
        return layout
    made = sorted({bay.width for w, wall in enumerate(layout.walls) if w not in free for bay in wall.bays})
    chosen = dict(zip(where, assorted(needs, free, sorted(sizes), effort, made), strict=True))
    chosen = _widened(problem, layout, chosen, {place: need.most for place, need in zip(where, needs, strict=True)})
    walls = []
    for w, wall in enumerate(layout.walls):
        if w in free:
            bays = [replace(as_it_stands(problem, bay, None), width=chosen[w, b]) for b, bay in enumerate(wall.bays)]
            wall = build_wall(problem, w, layout.owners, bays)
        walls.append(wall)
    return replace(layout, walls=tuple(walls))


def _widened(
    problem: Problem, layout: Layout, chosen: Mapping[BayIndex, int], most: Mapping[BayIndex, int]
) -> dict[BayIndex, int]:
    """Each width larger, wherever it stands, as far as the walls and the longest shelf and rod let it."""
    made, mark, thick = dict(chosen), mark_of(problem), problem.rules.panel
    counted = Counter(made.values())
    for width, _ in sorted(counted.items(), key=lambda item: (-item[1], -item[0])):
        mine = [place for place, size in made.items() if size == width]
        more = min(most[place] for place in mine) - width
        for w in {w for w, _ in mine}:
            start, end = ends_of(problem, w, layout.owners)
            left = end - start - thick - sum(size + thick for (other, _), size in made.items() if other == w)
            more = min(more, left // sum(place[0] == w for place in mine))
        for place in mine:
            made[place] += max(0, more) // mark * mark
    return made


def _least_width(problem: Problem, w: int, bay: Bay) -> int:
    towers = towers_of(problem, groups_of(problem), Site(bay.depth))
    return max([problem.rules.min_bay, *(needed_width(problem, towers, item) for item in bay.openings if item.holds)])


# ---- heights --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Stack:
    """A bay whose heights are free: its openings as low as they may be, and what is left over [ticks]."""

    sketch: BaySketch
    pieces: tuple[OpeningSketch, ...]
    rest: int


class _Heights:
    """Heights for the openings of all bays that nothing blocks and of which no opening is prescribed.

    Where a bay has room for it, each of its shelf openings is at least as high as the least of `common` that is enough.
    """

    def __init__(
        self,
        problem: Problem,
        layout: Layout,
        zones: Mapping[str, Zone],
        has_extra_shelves: bool,
        common: Sequence[int],
    ) -> None:
        self._problem, self._layout, self._prices = problem, layout, PriceList(problem, zones)
        self._common = common
        self._stacks: dict[BayIndex, _Stack] = {}
        self._rests: set[int] = set()
        for w, wall in enumerate(layout.walls):
            for b, bay in enumerate(wall.bays):
                if is_free_of_blocked(problem, w, bay) and not problem.runs[w].prescribed:
                    stack = self._stack(w, bay, has_extra_shelves)
                    if stack.pieces and stack.rest >= 0:
                        self._stacks[w, b] = stack

    def laid_out(self, effort: Effort) -> Layout:
        """The layout with few heights, its bays in the order that is reached best.

        What takes the rest of a bay has a height that others get too where it is called again.
        """
        needs, free, where = [], {}, []
        for number, (place, stack) in enumerate(self._stacks.items()):
            free[number] = stack.rest
            for index, piece in enumerate(stack.pieces):
                if piece.kind is OpeningKind.SHELF:
                    needs.append(Need(number, piece.height, piece.height + stack.rest))
                    where.append((place, index))
        sizes = assorted(needs, free, (), effort, sorted(self._rests))
        given = dict(zip(where, sizes, strict=True))
        ways = {
            place: self._ways(stack, [given.get((place, i), piece.height) for i, piece in enumerate(stack.pieces)],
                              sorted(set(sizes)))
            for place, stack in self._stacks.items()
        }  # fmt: skip
        heights = self._with_few_rests(ways, set(sizes))
        return self._built(heights)

    def _stack(self, w: int, bay: Bay, has_extra_shelves: bool) -> _Stack:
        problem, mark = self._problem, mark_of(self._problem)
        rules, run = problem.rules, problem.runs[w]
        sketch = sketch_of(problem, w, bay)
        upper = problem.head_over(run, bay.left, bay.left + bay.width)
        pieces = [*([sketch.floor] if sketch.floor else []), *sketch.pieces]
        room = upper - (0 if sketch.floor else rules.base)
        towers = towers_of(problem, groups_of(problem), Site(bay.depth))
        pieces = [replace(piece, height=self._least(towers, piece, bay.width)) for piece in pieces]
        low = [replace(piece, height=rules.built(piece.kind, piece.height)) for piece in pieces]
        if not rules.mark and not rules.pitch:
            low = [replace(piece, height=-(-piece.height // mark) * mark) for piece in low]
        if sum(piece.height + rules.panel for piece in low) > room:
            low = pieces
        raised = [self._raised(piece) for piece in low]
        if sum(piece.height + rules.panel for piece in raised) <= room:
            low = raised
        rest = room - sum(piece.height + rules.panel for piece in low)
        may_have = has_extra_shelves and bay.width <= problem.longest(w, OpeningKind.SHELF)
        new = rules.built(OpeningKind.SHELF, NEW_SHELF)
        if rest >= new + rules.panel and may_have:
            number = max(1, rest // (max(new, USUAL_SHELF) + rules.panel))
            low += [OpeningSketch(OpeningKind.SHELF, new)] * number
            rest -= number * (new + rules.panel)
        return _Stack(sketch, tuple(low), rest)

    def _least(self, towers: Sequence[Tower], piece: OpeningSketch, width: int) -> int:
        opening = Opening(piece.kind, 0, piece.height, piece.holds)
        return least_height(self._problem, towers, opening, width) if piece.holds else piece.height

    def _raised(self, piece: OpeningSketch) -> OpeningSketch:
        """A shelf opening at the least of the common heights that is enough for it; any other as it is."""
        is_shelf = piece.kind is OpeningKind.SHELF
        return replace(piece, height=raised_to(self._common, piece.height)) if is_shelf else piece

    def _ways(self, stack: _Stack, given: Sequence[int], sizes: Sequence[int]) -> dict[int, Choice]:
        """Ways to end at the top panel, by the height of the shelf opening that takes the rest; 0: no shelf does."""
        kinds = [piece.kind for piece in stack.pieces]
        total = sum(piece.height for piece in stack.pieces) + stack.rest
        for kind in (OpeningKind.HANG, OpeningKind.DRAWER):
            if kind in kinds and (kind is OpeningKind.HANG or OpeningKind.SHELF not in kinds):
                at = len(kinds) - 1 - kinds[::-1].index(kind)
                rest = total - sum(given)
                heights = tuple(height + rest * (index == at) for index, height in enumerate(given))
                if self._has_drawers_low(stack, heights) or OpeningKind.SHELF not in kinds:
                    return {0: (at, heights)}
        ways: dict[int, Choice] = {}
        for at in range(len(kinds)):
            left = total - sum(given)
            if kinds[at] is OpeningKind.DRAWER and 0 <= left <= DRAWER_MORE:
                heights = tuple(height + left * (index == at) for index, height in enumerate(given))
                if self._has_drawers_low(stack, heights):
                    ways[0] = (at, heights)
            if kinds[at] is not OpeningKind.SHELF:
                continue
            for heights in _sums(stack.pieces, at, sizes, stack.rest):
                rest = total - sum(heights)
                if rest >= stack.pieces[at].height:
                    ways.setdefault(rest, (at, (*heights[:at], rest, *heights[at:])))
        return ways

    def _has_drawers_low(self, stack: _Stack, heights: Sequence[int]) -> bool:
        """Whether the drawers of a bay end low enough, where they stand as low as they may."""
        rules = self._problem.rules
        drawers = [
            height + rules.panel
            for piece, height in zip(stack.pieces, heights, strict=True)
            if piece.kind is OpeningKind.DRAWER
        ]
        base = heights[0] + rules.panel if stack.sketch.floor else rules.base
        return not drawers or not rules.highest_drawer or base + sum(drawers) - rules.panel <= rules.highest_drawer

    def _with_few_rests(self, ways: Mapping[BayIndex, dict[int, Choice]], sizes: set[int]) -> dict[BayIndex, Choice]:
        """A way for each bay; heights that there are anyway first, then those that serve most bays."""
        made, chosen = {0, *sizes}, {}
        self._rests = set()
        open_bays = dict(ways)
        while open_bays:
            for place in list(open_bays):
                if known := sorted(made & open_bays[place].keys()):
                    chosen[place] = open_bays.pop(place)[known[0]]
            serving = Counter(rest for mine in open_bays.values() for rest in mine)
            if serving:
                self._rests.add(max(serving, key=lambda rest: (serving[rest], -rest)))
                made |= self._rests
        self._spare_heights(ways, chosen)
        return chosen

    def _spare_heights(self, ways: Mapping[BayIndex, dict[int, Choice]], chosen: dict[BayIndex, Choice]) -> None:
        """Other ways for one bay after the other, as long as fewer heights come of it."""
        counts = Counter(height for place, choice in chosen.items() for height in self._shelves(place, choice))
        is_fewer = True
        while is_fewer:
            is_fewer = False
            for place, mine in ways.items():
                counts.subtract(self._shelves(place, chosen[place]))
                new, best = min(
                    (
                        sum(counts[height] <= 0 for height in {*self._shelves(place, choice)}),
                        choice != chosen[place],
                        choice,
                    )
                    for choice in mine.values()
                )[::2]
                if new < sum(counts[height] <= 0 for height in {*self._shelves(place, chosen[place])}):
                    chosen[place], is_fewer = best, True
                    self._rests.add(best[1][best[0]])
                counts.update(self._shelves(place, chosen[place]))

    def _shelves(self, place: BayIndex, choice: Choice) -> list[int]:
        """Clear heights of a bay's shelf openings by a choice, as they are counted."""
        return [
            self._problem.rules.counted(height)
            for piece, height in zip(self._stacks[place].pieces, choice[1], strict=True)
            if piece.kind is OpeningKind.SHELF
        ]

    def _built(self, heights: Mapping[BayIndex, Choice]) -> Layout:
        problem, walls = self._problem, []
        for w, wall in enumerate(self._layout.walls):
            bays: list[Bay] = []
            lines: frozenset[int] = frozenset()
            for b, bay in enumerate(wall.bays):
                if (w, b) in heights:
                    made = self._bay(w, bay, self._stacks[w, b], heights[w, b], lines)
                    bay = made if _ends_low(problem, made) else bay
                bays.append(bay)
                lines = frozenset(opening.bottom for opening in bay.openings if opening.bottom > problem.rules.base)
            walls.append(WallLayout(wall.name, tuple(bays)))
        return replace(self._layout, walls=tuple(walls))

    def _bay(self, w: int, bay: Bay, stack: _Stack, choice: Choice, lines: frozenset[int]) -> Bay:
        _, heights = choice
        # what marks or rows of holes leave over goes to the last one
        counted = map(self._problem.rules.counted, heights)
        pieces = [replace(piece, height=height) for piece, height in zip(stack.pieces, counted, strict=True)]
        floor = pieces.pop(0) if stack.sketch.floor else None
        sketch = replace(stack.sketch, width=bay.width, floor=floor, pieces=tuple(pieces), left=bay.left)
        built = build_bay(self._problem, self._problem.runs[w], bay.left, sketch)
        return best_order(self._problem, built, self._prices, lines)


def _ends_low(problem: Problem, bay: Bay) -> bool:
    """Whether no drawer of a bay ends too high."""
    ends = (item.bottom + item.height for item in bay.openings if item.kind is OpeningKind.DRAWER)
    return not problem.rules.highest_drawer or all(end <= problem.rules.highest_drawer for end in ends)


def _sums(pieces: Sequence[OpeningSketch], without: int, sizes: Sequence[int], rest: int) -> Iterator[tuple[int, ...]]:
    """Heights for all openings of a bay but one, from the sizes, that exceed their needs by no more than the rest.

    One for every sum that there is, up to `MOST_SUMS`.
    """
    found: dict[int, tuple[int, ...]] = {0: ()}
    for index, piece in enumerate(pieces):
        if index == without:
            continue
        heights = [size for size in sizes if piece.height <= size <= piece.height + rest]
        if piece.kind is not OpeningKind.SHELF or not heights:
            heights = [piece.height]
        longer: dict[int, tuple[int, ...]] = {}
        for over, known in found.items():
            for height in heights:
                more = over + height - piece.height
                if more <= rest and len(longer) < MOST_SUMS:
                    longer.setdefault(more, (*known, height))
        found = longer
    yield from found.values()
