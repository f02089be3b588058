"""Bays described by what lies in them: openings as low and bays as wide as their contents need, and what that costs.

What `pile_search` changes. A layout is read into such bays and built from them again; their widths, areas, heights and
the inconvenience of what they hold are kept at hand. Bays at a blocked part of a wall, and those of which openings are
prescribed, are not among them.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from capacity.layout.corners import ends_of
from capacity.layout.layout import Bay, Holding, Layout
from capacity.layout.needs import width_for
from capacity.layout.problem import OpeningKind, Problem, Run, Site
from capacity.layout.reach_zones import PriceList, Zone, hand_height
from capacity.layout.sketches import (
    NEW_SHELF,
    BaySketch,
    OpeningSketch,
    build_wall,
    is_free_of_blocked,
    mark_of,
    sketch_of,
    uprights_besides,
)
from capacity.layout.towers import each_alone, towers_of
from capacity.units import PER_INCH

NEVER = 10**12
"""Stands for what no bay may be: too wide, of two owners, too dear."""

DRAWER_MORE = 2 * PER_INCH
"""Drawers are so much higher at most than what lies in them needs, where that spares a height [ticks]."""

Pieces = tuple[tuple[int, int], ...]
"""Pieces by thing, as (index, number), rising."""


@dataclass(eq=False, slots=True)
class HeldOpening:
    """An opening as low as its contents allow, and the clear width that it asks of its bay [ticks].

    One is made for each site and contents, so that the same object is what makes two of them alike. `things` are those
    of `pieces`.
    """

    kind: OpeningKind
    height: int
    pieces: Pieces
    width: int
    things: tuple[int, ...]


class HeldBay(NamedTuple):
    """The openings of a bay from the floor up, none of them empty, and what lies over its top panel."""

    openings: tuple[HeldOpening, ...]
    above: HeldOpening


EMPTY = HeldOpening(OpeningKind.SHELF, 0, (), 0, ())
"""No opening, or one that holds nothing."""


class BayRoom(NamedTuple):
    """What is given of a bay: run, place and width where it has one, upper face of the top, room over it [ticks].

    `upright` is the height of its uprights, `depth` that of its run, `widest` and `widest_rod` the most width of a bay
    with a shelf or drawer, and with a rod; `is_marked`: its width is a multiple of the mark.
    """

    run: int
    left: int | None
    fixed: int
    upper: int
    above: int
    site: int
    upright: int
    depth: int
    widest: int
    widest_rod: int
    is_marked: bool


class Figures(NamedTuple):
    """A bay's width with an upright, how much it is too high, is left over, its area, heights, and what lies in it."""

    width: int
    over: int
    rest: int
    area: int
    heights: list[int]
    lying: list[int]


NO_BAY = Figures(0, 0, 0, 0, [], [])
"""What is known of a bay that is not built."""

Way = tuple[int, bool, list[tuple[int, int]]]
"""A tower: width of a column, turned or not, and how many pieces stand in it from which height on."""


class HeldBays:
    """The bays of a layout as a search over whole piles sees them.

    `rooms` and `start` are the bays that may be changed, what is given of each and what it holds; `elsewhere` counts by
    thing the places in the others, `heights_elsewhere` their shelf openings by height; `ways` are the towers by site,
    as (width, turned, [(need, pieces)]).
    `common` are heights, rising, at which shelf openings are built, each at the least that is enough for it; none: each
    as high as it needs.
    """

    def __init__(self, problem: Problem, layout: Layout, zones: Mapping[str, Zone]) -> None:
        self.problem, self._layout = problem, layout
        self._prices = PriceList(problem, zones)
        self._sites: dict[Site, int] = {}
        self.ways: list[dict[tuple[int, OpeningKind], list[Way]]] = []
        self.rooms: list[BayRoom] = []
        self.start: list[HeldBay] = []
        self.elsewhere: Counter[int] = Counter()
        self.heights_elsewhere: Counter[int] = Counter()
        self._fits: dict[tuple[int, OpeningKind, int, int, int], tuple[int, int, bool]] = {}
        self._made: dict[tuple[int, OpeningKind, Pieces, int], HeldOpening | None] = {}
        self._alike: dict[tuple[int, OpeningKind, Pieces, int], HeldOpening] = {}
        self._steps: dict[HeldOpening, tuple[list[int], tuple[int, ...]]] = {}
        self._piece_costs: dict[tuple[int, OpeningKind, int], tuple[tuple[int, ...], tuple[int, ...]]] = {}
        self.common: tuple[int, ...] = ()
        self._read()
        self.room = {
            w: end - start - problem.rules.panel
            for w in range(len(problem.runs))
            for start, end in [ends_of(problem, w, layout.owners)]
        }

    def _read(self) -> None:
        problem, index_of = self.problem, {thing.row: at for at, thing in enumerate(self.problem.things)}
        for w, wall in enumerate(self._layout.walls):
            run = problem.runs[w]
            for bay in wall.bays:
                held = [Counter[int]() for _ in bay.openings]
                for opening, pieces in zip(bay.openings, held, strict=True):
                    for item in opening.holds:
                        pieces[index_of[item.row]] += item.count
                if run.prescribed or not is_free_of_blocked(problem, w, bay):
                    self.elsewhere.update(thing for pieces in held for thing in pieces)
                    self.heights_elsewhere.update(clear_heights(problem, bay))
                    continue
                room = self._room_of(w, run, bay)
                openings, above = [], EMPTY
                for opening, pieces in zip(bay.openings, held, strict=True):
                    made = self.opening(room.site, opening.kind, tuple(sorted(pieces.items())), opening.height)
                    if made is None:
                        continue
                    if opening.bottom >= problem.top:
                        above = made
                    elif made.pieces:
                        openings.append(made)
                self.rooms.append(room)
                self.start.append(HeldBay(tuple(openings), above))

    def _room_of(self, w: int, run: Run, bay: Bay) -> BayRoom:
        """What is given of a bay."""
        if run.spot not in self._sites:
            self._sites[run.spot] = len(self.ways)
            self.ways.append(self._ways_at(run.spot))
        ceiling = run.ceiling_over(bay.left, bay.left + bay.width)
        has_above = not run.blocked or bay.openings[-1].bottom >= self.problem.top
        is_fixed = run.fixed or run.is_between or not run.is_plain
        return BayRoom(
            w,
            None if run.is_plain else bay.left,
            bay.width if is_fixed else 0,
            self.problem.head_under(run, ceiling),
            self.problem.above_under(run, ceiling) if has_above else 0,
            self._sites[run.spot],
            0 if run.is_kept else self.problem.head_under(run, max(run.ceiling_left, run.ceiling_right)),
            run.depth,
            self.problem.longest(w, OpeningKind.SHELF),
            self.problem.longest(w, OpeningKind.HANG),
            self.problem.has_marked_widths(run),
        )

    def _ways_at(self, spot: Site) -> dict[tuple[int, OpeningKind], list[Way]]:
        ways: dict[tuple[int, OpeningKind], dict[tuple[int, bool], list[tuple[int, int]]]] = defaultdict(dict)
        for tower in towers_of(self.problem, each_alone(self.problem), spot):
            steps = ways[tower.group, tower.kind].setdefault((tower.width, tower.turned), [])
            steps.append((tower.need, tower.pieces))
        return {way: [(*key, sorted(steps)) for key, steps in mine.items()] for way, mine in ways.items()}

    def built(self, bays: list[HeldBay]) -> Layout:
        """The layout with the bays that may be changed as they are now."""
        problem, walls, number = self.problem, [], 0
        for w, wall in enumerate(self._layout.walls):
            sketches = []
            for bay in wall.bays:
                if problem.runs[w].prescribed or not is_free_of_blocked(problem, w, bay):
                    sketches.append(sketch_of(problem, w, bay))
                    continue
                room, held = self.rooms[number], bays[number]
                number += 1
                if held.openings or held.above.pieces or room.fixed:
                    sketches.append(self._sketch(room, held))
            walls.append(build_wall(problem, w, self._layout.owners, sketches))
        return Layout(tuple(walls), self._layout.owners)

    def _sketch(self, room: BayRoom, bay: HeldBay) -> BaySketch:
        width = room.fixed or self.width_of(room, bay) - self.problem.rules.panel
        pieces = [OpeningSketch(item.kind, item.height, self._holds(room, item)) for item in bay.openings]
        floor = pieces.pop(0) if pieces and pieces[0].kind is OpeningKind.HANG else None
        return BaySketch(width, floor, tuple(pieces), self._holds(room, bay.above), room.left)

    def _holds(self, room: BayRoom, opening: HeldOpening) -> tuple[Holding, ...]:
        rows = self.problem.things
        return tuple(
            sorted(
                Holding(rows[thing].row, count, self._fit(room.site, opening.kind, thing, count, opening.height)[2])
                for thing, count in opening.pieces
            )
        )

    # ---- figures ---------------------------------------------------------------------------------------

    def _fit(self, site: int, kind: OpeningKind, thing: int, count: int, height: int) -> tuple[int, int, bool]:
        """Width and least clear height that pieces take in an opening so high, and whether they are turned."""
        key = (site, kind, thing, count, height)
        if key not in self._fits:
            found = []
            for width, turned, steps in self.ways[site][thing, kind]:
                most = max((pieces for need, pieces in steps if need <= height), default=0)
                if most:
                    columns = -(-count // most)
                    need = next(least for least, pieces in steps if -(-count // pieces) <= columns)
                    found.append((columns * width, need, turned))
            self._fits[key] = min(found)
        return self._fits[key]

    def opening(self, site: int, kind: OpeningKind, pieces: Pieces, height: int) -> HeldOpening | None:
        """An opening about so high with some pieces; None where they may not lie there."""
        key = (site, kind, pieces, height)
        if key not in self._made:
            self._made[key] = self._computed_opening(site, kind, pieces, height)
        return self._made[key]

    def _computed_opening(self, site: int, kind: OpeningKind, pieces: Pieces, height: int) -> HeldOpening | None:
        ways = self.ways[site]
        if not pieces:
            return EMPTY if kind is EMPTY.kind else HeldOpening(kind, 0, (), 0, ())
        if any((thing, kind) not in ways for thing, _ in pieces):
            return None
        height = max(height, *(min(steps[0][0] for _, _, steps in ways[thing, kind]) for thing, _ in pieces))
        found = [self._fit(site, kind, thing, count, height) for thing, count in pieces]
        key = (site, kind, pieces, max(need for _, need, _ in found))
        if key not in self._alike:
            width = width_for(self.problem.rules, kind, sum(taken for taken, _, _ in found))
            self._alike[key] = HeldOpening(kind, key[3], pieces, width, tuple(thing for thing, _ in pieces))
        return self._alike[key]

    def width_of(self, room: BayRoom, bay: HeldBay) -> int:
        """The width of a bay with an upright; 0 where it is not built."""
        if not bay.openings and not bay.above.pieces:
            return 0
        rules = self.problem.rules
        if room.fixed:
            return room.fixed + rules.panel
        width = max(rules.min_bay, bay.above.width)
        for item in bay.openings:
            if item.width > width:
                width = item.width
        return (rules.width_up(width) if room.is_marked else width) + rules.panel

    def figures_of(self, room: BayRoom, bay: HeldBay, taken: int) -> Figures:
        """What is known of a bay in its room, that takes so much width with an upright (`width_of`)."""
        if not bay.openings and not bay.above.pieces:
            return NO_BAY
        rules, common, is_on_floor = self.problem.rules, self.common, _stands_on_floor(bay)
        place, over, thick = 0 if is_on_floor else rules.base, 0, rules.panel
        heights: list[int] = []
        lying: list[int] = []
        has_board, has_rod = not bay.openings or bool(bay.above.pieces), False
        for item in bay.openings:
            kind, high = item.kind, item.height
            if kind is OpeningKind.SHELF:
                has_board, high = True, raised_to(common, high) if common else high
                heights.append(high)
            elif kind is OpeningKind.HANG:
                has_rod = True
            else:
                has_board = True
                if 0 < rules.highest_drawer < place + high:
                    over += place + high - rules.highest_drawer
            lying += item.things
            place += high + thick
        rest = room.upper - place
        if rest < 0:
            over -= rest
            rest = 0
        elif rest and heights and common:
            self._share_out(heights, rest, bay)
        if bay.above.pieces:
            over += max(0, bay.above.height - room.above)
            lying += bay.above.things
        if rules.owners_apart and len({self.problem.things[thing].owner for thing in lying} - {None}) > 1:
            over += NEVER
        width = taken - thick
        if room.fixed:
            over += NEVER if any(item.width > width for item in (*bay.openings, bay.above)) else 0
        elif (has_board and width > room.widest) or (has_rod and width > room.widest_rod):
            over += NEVER
        area = (width * (max(1, len(bay.openings)) + (not is_on_floor)) + room.upright) * room.depth
        return Figures(taken, over, rest, area, heights, lying)

    def _share_out(self, heights: list[int], rest: int, bay: HeldBay) -> None:
        """Give what a bay leaves over to one of its shelf openings, to one that gets a common height by it if any."""
        rest -= rest % mark_of(self.problem)
        kinds = {item.kind for item in bay.openings}
        if OpeningKind.HANG in kinds or rest >= NEW_SHELF or (OpeningKind.DRAWER in kinds and rest <= DRAWER_MORE):
            return
        if rest:
            at = next((at for at, height in enumerate(heights) if height + rest in self.common), -1)
            heights[at] += rest

    def built_height(self, opening: HeldOpening) -> int:
        """Clear height with which an opening is built."""
        is_raised = self.common and opening.kind is OpeningKind.SHELF
        return raised_to(self.common, opening.height) if is_raised else opening.height

    def cost_of_piece(self, thing: int, kind: OpeningKind, depth: int, bottom: int, height: int) -> int:
        """The inconvenience of one piece in an opening."""
        key = thing, kind, depth
        if key not in self._piece_costs:
            holds = (Holding(self.problem.things[thing].row, 1),)
            self._piece_costs[key] = self._prices.steps(kind, depth, holds)
        breaks, costs = self._piece_costs[key]
        hand = bottom
        if kind is not OpeningKind.SHELF:
            hand = hand_height(kind, bottom, height, self.problem.rules.hang_allowance)
        return costs[max(0, bisect_right(breaks, hand) - 1)]

    def trouble_of(self, room: BayRoom, bay: HeldBay, rest: int) -> int:
        """The inconvenience of what a bay holds; its highest rod takes what is left over, unless a shelf more does."""
        rules, common = self.problem.rules, self.common
        place, total, thick = 0 if _stands_on_floor(bay) else rules.base, 0, rules.panel
        rods = [at for at, item in enumerate(bay.openings) if item.kind is OpeningKind.HANG]
        raised = rods[-1] if rods and rest < NEW_SHELF + thick else len(bay.openings)
        for at, item in enumerate(bay.openings):
            if at == raised:
                place += rest
            total += self.trouble_in(room, item, place)
            high = item.height
            place += thick + (raised_to(common, high) if common and item.kind is OpeningKind.SHELF else high)
        if bay.above.pieces:
            total += self.trouble_in(room, bay.above, self.problem.top)
        return total

    def trouble_in(self, room: BayRoom, opening: HeldOpening, bottom: int) -> int:
        """The inconvenience of what an opening holds."""
        breaks, costs = self._steps.get(opening) or self._priced(opening, room.depth)
        return costs[max(0, bisect_right(breaks, bottom) - 1)]

    def _priced(self, opening: HeldOpening, depth: int) -> tuple[list[int], tuple[int, ...]]:
        """The bottoms at which the inconvenience of an opening changes, and what it is from each on."""
        holds = tuple(Holding(self.problem.things[thing].row, count) for thing, count in opening.pieces)
        hand = hand_height(opening.kind, 0, opening.height, self.problem.rules.hang_allowance)
        breaks, costs = self._prices.steps(opening.kind, depth, holds)
        self._steps[opening] = found = [at - hand for at in breaks], costs
        return found

    def spare_panel(self) -> int:
        """What the budget leaves for the bays of the search [square ticks]."""
        problem = self.problem
        if not problem.most_panel:
            return NEVER**2
        besides = 0
        for w, wall in enumerate(self._layout.walls):
            sketches = [sketch_of(problem, w, bay) for bay in wall.bays]
            besides += uprights_besides(problem, w, sketches)
        return problem.most_panel - besides


def raised_to(common: Sequence[int], height: int) -> int:
    """The least of some heights, rising, that is enough; the height itself where none is [ticks]."""
    at = bisect_left(common, height)
    return common[at] if at < len(common) else height


def clear_heights(problem: Problem, bay: Bay) -> list[int]:
    """Clear heights of a bay's shelf openings under the top panel, from the floor up.

    They count down to the mark: what marks leave over goes to the last opening, of which nobody marks the height.
    """
    return [
        problem.rules.counted(opening.height)
        for opening in bay.openings
        if opening.kind is OpeningKind.SHELF and opening.bottom < problem.top
    ]


def _stands_on_floor(bay: HeldBay) -> bool:
    """Whether the lowest opening has a rod and stands on the floor."""
    return bool(bay.openings) and bay.openings[0].kind is OpeningKind.HANG
