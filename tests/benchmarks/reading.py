"""The layout that a solution of the naive program stands for, in ticks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import ceil, floor

from naive import DRAWER, NONE, SHELF, Bay, Naive, Slot
from program import ways_of

from capacity.layout.drawer_rule import DRAWER_SIDES
from capacity.layout.layout import Bay as LayoutBay
from capacity.layout.layout import Holding, Layout, Opening, WallLayout
from capacity.layout.problem import Run
from capacity.layout.sketches import BaySketch, OpeningSketch, build_bay, build_wall


class Reading:
    """Reads solutions of one program."""

    def __init__(self, naive: Naive) -> None:
        self.facts, self.naive = naive.facts, naive

    def layout(self, solution: Sequence[float]) -> Layout:
        """The layout of a solution: heights (and widths where only their sum counts) are what its contents need."""
        rounded = zip(solution, self.naive.program.is_whole, strict=True)
        value = [round(number) if whole else number for number, whole in rounded]
        owners = tuple(bool(value[first]) for first in self.naive.firsts)
        walls: list[WallLayout] = []
        for index, run in enumerate(self.facts.runs):
            mine = [bay for bay in self.naive.bays if bay.run == index and value[bay.used]]
            mine.sort(key=lambda bay: value[bay.left] if bay.left != NONE else 0)
            built: list[tuple[BaySketch, Bay]] = []
            for bay in mine:
                pieces = [self._piece(slot, value) for slot in bay.slots]
                if any(pieces) or bay.must_be:
                    built.append((self._sketch(bay, pieces, value, [sketch for sketch, _ in built]), bay))
            sketches = [sketch for sketch, _ in built]
            if run.is_plain:
                sketches = self._closed_up([bay for _, bay in built], sketches)
            wall = build_wall(self.facts, index, owners, sketches)
            if self.facts.keeps_bays:
                wall = WallLayout(run.name, tuple(self._kept(run, sketch) for sketch in sketches))
            bays = [
                replace(self._on_top(there, sketch), depth=bay.depth)
                for there, sketch, (_, bay) in zip(wall.bays, sketches, built, strict=True)
            ]
            walls.append(WallLayout(run.name, tuple(bays)))
        return Layout(tuple(walls), owners)

    def _kept(self, run: Run, sketch: BaySketch) -> LayoutBay:
        """A bay that stands today: only what lies between its uprights is in its way."""
        left = sketch.left or 0
        inside = tuple(box for box in run.blocked if left < box.right and box.left < left + sketch.width)
        return build_bay(self.facts, replace(run, blocked=inside), left, sketch)

    def _closed_up(self, bays: list[Bay], sketches: list[BaySketch]) -> list[BaySketch]:
        """On a plain wall a gap may only be beside a bay that must be: the others move up towards it."""
        if not any(bay.must_be for bay in bays) or self.facts.keeps_bays:
            return sketches
        thick, moved = self.facts.rules.panel, list(sketches)
        first = next(number for number, bay in enumerate(bays) if bay.must_be)
        for number in range(first - 2, -1, -1):
            following = moved[number + 1]
            moved[number] = replace(moved[number], left=(following.left or 0) - thick - moved[number].width)
        for number in range(first + 1, len(moved)):
            if not (bays[number].must_be or bays[number - 1].must_be):
                before = moved[number - 1]
                moved[number] = replace(moved[number], left=(before.left or 0) + before.width + thick)
        return moved

    def _piece(self, slot: Slot, value: Sequence[float]) -> OpeningSketch | None:
        """What one opening holds and the height that it needs."""
        holds: list[Holding] = []
        need = 0
        for index, pieces in slot.pieces.items():
            left = round(sum(value[piece] for piece, _ in pieces))
            row = self.facts.things[index].row
            way = slot.single.get(index)
            if left and way is not None:
                need = max(need, way.levels[0][1])
                holds.append(Holding(row, left, way.turned))
                continue
            room = {False: 0, True: 0}
            for pile, turned, each, needs, column in slot.columns:
                if pile == index and left and value[column] > 0:
                    room[turned] += each * round(value[column])
                    need = max(need, needs)
            for turned, most in room.items():
                if min(left, most) > 0:
                    holds.append(Holding(row, min(left, most), turned))
                    left -= min(left, most)
        kind = next((kind for kind, chosen in slot.on.items() if value[chosen]), SHELF)
        return OpeningSketch(kind, need, tuple(sorted(holds))) if holds else None

    def _sketch(
        self, bay: Bay, pieces: list[OpeningSketch | None], value: Sequence[float], others: list[BaySketch]
    ) -> BaySketch:
        """A bay of a solution; one that shared an upright with the bay before it still does."""
        thick = self.facts.rules.panel
        floor, *between, above = pieces
        width = max([self.facts.rules.min_bay, *(self._width_for(piece, bay) for piece in pieces if piece)])
        if bay.left == NONE:
            width += -width % max(1, self.facts.rules.mark)
        left = None
        if bay.left != NONE:
            left, right = (self._tick(bay, value[bay.left] + more) for more in (0, value[bay.width]))
            if others and others[-1].left is not None:
                shared = others[-1].left + others[-1].width + thick
                left = shared if abs(left - shared) < thick // 2 else left
            width = max(width, right - left)
            if bay.must_be:
                left, width = (round(value[variable] * self.naive.unit) for variable in (bay.left, bay.width))
        upper = tuple(piece for piece in between if piece)
        return BaySketch(width, floor, upper, above.holds if above else (), left)

    def _tick(self, bay: Bay, place: float) -> int:
        """A place in whole ticks, under a slope those towards the higher end."""
        run, exact = self.facts.runs[bay.run], place * float(self.naive.unit)
        if not run.is_sloped:
            return round(exact)
        return floor(exact + 0.01) if run.ceiling_left > run.ceiling_right else ceil(exact - 0.01)

    def _width_for(self, piece: OpeningSketch, bay: Bay) -> int:
        """Clear width of the bay that the contents of one opening need [ticks]."""
        taken = 0
        things = {thing.row: thing for thing in self.facts.things}
        for holding in piece.holds:
            ways = ways_of(things[holding.row], self.facts, bay.depth)
            way = next(way for way in ways if way.turned is holding.turned)
            each = way.rows * max(high for high, need in way.levels if need <= piece.height)
            taken += -(-holding.count // each) * way.width
        spare = self.facts.rules.spare
        room = -(-taken * spare.denominator // (spare.denominator - spare.numerator))
        return room + (DRAWER_SIDES if piece.kind is DRAWER else 0)

    def _on_top(self, built: LayoutBay, sketch: BaySketch) -> LayoutBay:
        """The bay with what lies on it, also where a blocked part begins higher over the top panel."""
        if not sketch.above or built.openings[-1].bottom >= self.facts.top:
            return built
        things = {thing.row: thing for thing in self.facts.things}
        need = 0
        for holding in sketch.above:
            ways = ways_of(things[holding.row], self.facts, built.depth)
            need = max(need, *(needs for way in ways for _, needs in way.levels))
        return replace(built, openings=(*built.openings, Opening(SHELF, self.facts.top, need, sketch.above)))
