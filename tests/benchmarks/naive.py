"""The whole problem as one integer program, as a careful modeller would write it: a rival, and a second opinion.

Written from the wording of the fit rules; nothing of the search, of its tables or of its own integer model is used.
Every bay has openings whose heights are variables, and every piece a binary for each opening that it may stand in
(or, with `by_count`, every pile a number). The same program goes to HiGHS or to CP-SAT (`solvers`).

Lengths are whole units, the greatest common divisor of all lengths in the facts, divided further so that widths
remain whole where room is spare.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise
from math import ceil, floor, gcd

from program import Program, Terms, Way, lengths_of, ways_of

from capacity.building import Piece, Sketch, build_wall
from capacity.layout import Bay as LayoutBay
from capacity.layout import Holding, Layout, Opening, WallLayout
from capacity.problem import DRAWER_SIDES, OpeningKind, Problem

NONE = -1
"""No variable: the place of a bay or an opening where it does not count."""

SHELF, HANG, DRAWER = OpeningKind.SHELF, OpeningKind.HANG, OpeningKind.DRAWER


@dataclass(slots=True)
class Slot:
    """One opening: its kinds, height, place, and for each pile the number in it and the columns it stands in.

    `columns` are (pile, turned, pieces in one, clear height needed [ticks], variable); `single` is the way of a pile
    whose pieces simply stand side by side.
    """

    on: dict[OpeningKind, int]
    height: int
    bottom: int = NONE
    pieces: dict[int, Terms] = field(default_factory=dict)
    columns: list[tuple[int, bool, int, int, int]] = field(default_factory=list)
    single: dict[int, Way] = field(default_factory=dict)


@dataclass(slots=True)
class Bay:
    """One bay: whether it is built, its width, and its clear left face where places count."""

    run: int
    used: int
    width: int
    left: int
    owner: dict[str, int]
    slots: list[Slot] = field(default_factory=list)


class Naive:
    """The program of one problem, and the layout that a solution of it stands for.

    Parameters
    ----------
    facts
        The problem.
    bays, slots
        Most bays on a wall by its index, and most openings over the bottom panel of a bay.
    by_count
        Numbers of pieces instead of a binary for each piece.
    """

    def __init__(self, facts: Problem, bays: list[int], slots: int, by_count: bool = False) -> None:
        self.facts, self.by_count, self.program = facts, by_count, Program()
        rules = facts.rules
        self._free = rules.spare.denominator - rules.spare.numerator
        self._unit = Fraction(gcd(*lengths_of(facts)), self._free)
        self._all = self._in(max(facts.top, *(max(run.ceiling_left, run.ceiling_right) for run in facts.runs)))
        self.firsts = [self.program.choice() for _ in facts.corners]
        self.bays: list[Bay] = []
        self._placed: list[list[Terms]] = [[] for _ in facts.things]
        for index, number in enumerate(bays):
            mine = [self._bay(index, slots) for _ in range(number)]
            self._wall(index, mine)
            self.bays += mine
        for index, thing in enumerate(facts.things):
            total = [term for terms in self._placed[index] for term in terms]
            self.program.worth.update((variable, thing.value) for variable, _ in total)
            if by_count:
                self.program.at_most(total, thing.count)
            else:
                for piece in range(thing.count):
                    self.program.at_most([terms[piece] for terms in self._placed[index]], 1)

    def _in(self, length: int) -> int:
        """A length in units, exact."""
        units = length / self._unit
        assert units.denominator == 1
        return units.numerator

    # ---- bays and walls: rules 1, 2, 10 ---------------------------------------------------------------

    def _bay(self, index: int, slots: int) -> Bay:
        facts, program, rules = self.facts, self.program, self.facts.rules
        run = facts.runs[index]
        widest = self._in(min(max(rules.max_shelf, rules.max_rod), run.width))
        used, width = program.choice(), program.number(0, widest, False)
        program.at_most([(width, 1), (used, -widest)], 0)
        program.at_most([(width, -1), (used, self._in(rules.min_bay))], 0)
        left = NONE if run.is_plain else program.number(0, self._in(run.width), False)
        bay = Bay(index, used, width, left, {})
        if rules.owners_apart:
            bay.owner = {owner: program.choice() for owner in facts.owners}
            program.at_most([(choice, 1) for choice in bay.owner.values()], 1)
        kinds: list[tuple[OpeningKind, ...]] = [(HANG,), *[(SHELF, HANG, DRAWER)] * slots, (SHELF,)]
        for allowed in kinds:
            bay.slots.append(self._slot(bay, allowed))
        self._spans(bay)
        self._stack(bay)
        return bay

    def _spans(self, bay: Bay) -> None:
        """Longest shelf where there is a shelf or drawer, longest rod where there is a rod."""
        for is_rod, limit in ((False, self.facts.rules.max_shelf), (True, self.facts.rules.max_rod)):
            most = self.program.upper[bay.width]
            if self._in(limit) < most:
                has_one = self.program.choice()
                for slot in bay.slots:
                    for kind, chosen in slot.on.items():
                        if (kind is HANG) is is_rod:
                            self.program.at_most([(chosen, 1), (has_one, -1)], 0)
                self.program.only_if([(bay.width, 1)], self._in(limit), most, has_one)

    def _wall(self, index: int, bays: list[Bay]) -> None:
        facts, program, run = self.facts, self.program, self.facts.runs[index]
        thick, access = self._in(facts.rules.panel), facts.rules.corner_access
        lost_left: list[tuple[int, int]] = []  # (binary, loss where it is 1)
        lost_right: list[tuple[int, int]] = []  # (binary, loss where it is 0)
        for corner, first in zip(facts.corners, self.firsts, strict=True):
            if corner.starts == index:
                lost_left.append((first, self._in(facts.runs[corner.ends].depth + access)))
            if corner.ends == index:
                lost_right.append((first, self._in(facts.runs[corner.starts].depth + access)))
        right = self._in(run.width) - sum(loss for _, loss in lost_right)
        much = self._in(run.width) + sum(loss for _, loss in (*lost_left, *lost_right))
        if run.is_plain:
            taken = [term for bay in bays for term in ((bay.width, 1), (bay.used, thick))]
            taken += [*lost_left, *((first, -loss) for first, loss in lost_right)]
            built = program.choice()
            for bay in bays:
                program.at_most([(bay.used, 1), (built, -1)], 0)
            program.only_if(taken, right - thick, much, built)
            return
        for bay in bays:
            start = [(bay.left, -1), *lost_left]
            program.only_if(start, -thick, much, bay.used)
            ends = [(bay.left, 1), (bay.width, 1), *((first, -loss) for first, loss in lost_right)]
            program.only_if(ends, right - thick, much, bay.used)
        for bay, following in pairwise(bays):
            program.at_most([(following.used, 1), (bay.used, -1)], 0)
            between = [(following.left, 1), (bay.left, -1), (bay.width, -1)]
            shared = program.choice()
            program.only_if([(v, -c) for v, c in between], -thick, 2 * much, following.used)
            program.only_if(between, thick, 2 * much, following.used, shared)
            apart = [*((v, -c) for v, c in between), (shared, -thick)]
            program.only_if(apart, -2 * thick, 2 * much, following.used)

    # ---- the openings of a bay: rule 3 ----------------------------------------------------------------

    def _stack(self, bay: Bay) -> None:
        """Floor rod or bottom panel, openings and panels, top panel, and what is above it."""
        facts, program, run = self.facts, self.program, self.facts.runs[bay.run]
        thick, base = self._in(facts.rules.panel), self._in(facts.rules.base)
        highest = max(run.ceiling_left, run.ceiling_right)
        floor, *between, above = bay.slots
        on_floor = floor.on[HANG]
        # an empty rod on the floor would only do away with the toe kick
        program.at_most([(on_floor, 1), *((v, -1) for pieces in floor.pieces.values() for v, _ in pieces)], 0)
        stack: Terms = [(on_floor, -base)]
        for slot in (floor, *between):
            stack += [(slot.height, 1), *((chosen, thick) for chosen in slot.on.values())]
        upper = program.number(0, self._in(min(facts.top, highest)), False)
        program.only_if([*stack, (upper, -1)], -base, 2 * self._all, bay.used)
        if run.is_sloped:
            self._ceiling(bay, [(upper, 1)], 0, bay.used)
        if highest <= facts.top:
            program.upper[above.on[SHELF]] = 0
        elif run.is_sloped:
            self._ceiling(bay, [(above.height, 1)], facts.top, above.on[SHELF])
        else:
            program.at_most([(above.height, 1)], self._in(highest - facts.top))
        if run.blocked:
            self._blocked(bay, upper)

    def _ceiling(self, bay: Bay, height: Terms, over: int, condition: int) -> None:
        """Where the binary is 1: `height` over a place [ticks] ends below the ceiling at the bay's lower end."""
        run = self.facts.runs[bay.run]
        low, high, wide = (self._in(n) for n in (run.ceiling_left, run.ceiling_right, run.width))
        place = [(bay.left, 1), *([(bay.width, 1)] if low > high else [])]
        common = gcd(wide, low - high)
        terms = [(v, c * (wide // common)) for v, c in height]
        terms += [(v, c * ((low - high) // common)) for v, c in place]
        limit = (low - self._in(over)) * (wide // common)
        self.program.only_if(terms, limit, 3 * self._all * (wide // common), condition)

    def _blocked(self, bay: Bay, upper: int) -> None:
        """Beside each blocked part, or around it with every opening and its panels below or above."""
        facts, program, run = self.facts, self.program, self.facts.runs[bay.run]
        thick, base, tall = self._in(facts.rules.panel), self._in(facts.rules.base), self._all
        floor, *between, above = bay.slots
        for slot in (floor, *between):
            slot.bottom = program.number(0, 0 if slot is floor else tall, False)
        first = between[0]
        program.at_most([(first.bottom, -1), (floor.on[HANG], -base)], -base)
        for lower, higher in zip((floor, *between), between, strict=False):
            steps = [(lower.bottom, 1), (lower.height, 1), (higher.bottom, -1)]
            program.at_most([*steps, *((chosen, thick) for chosen in lower.on.values())], 0)
        last = between[-1]
        ends = [(last.bottom, 1), (last.height, 1), (upper, -1), *((chosen, thick) for chosen in last.on.values())]
        program.only_if(ends, 0, 2 * tall, bay.used)
        much = 2 * self._in(run.width)
        for box in run.blocked:
            before, behind, around = program.choice(), program.choice(), program.choice()
            program.at_most([(before, -1), (behind, -1), (around, -1), (bay.used, 1)], 0)
            left, right = self._in(box.left), self._in(box.right)
            program.only_if([(bay.left, 1), (bay.width, 1)], left - thick, much, before)
            program.only_if([(bay.left, -1)], -right - thick, much, behind)
            program.only_if([(bay.left, 1)], left, much, around)
            program.only_if([(bay.left, -1), (bay.width, -1)], -right, much, around)
            bottom, top = self._in(box.bottom), self._in(box.top)
            for slot in (floor, *between):
                below = program.choice()
                for chosen in slot.on.values():
                    low = [(slot.bottom, 1), (slot.height, 1)]
                    program.only_if(low, bottom - thick, 2 * tall, around, chosen, below)
                    program.only_if([(slot.bottom, -1), (below, -2 * tall)], -top - thick, 2 * tall, around, chosen)
            if box.top > facts.top - facts.rules.panel:
                room = max(-1, bottom - self._in(facts.top))
                program.only_if([(above.height, 1)], max(0, room), tall, around)
                if room < 0:
                    program.at_most([(above.on[SHELF], 1), (around, 1)], 1)

    # ---- what stands in an opening: rules 4 to 9, 12 --------------------------------------------------

    def _slot(self, bay: Bay, kinds: tuple[OpeningKind, ...]) -> Slot:
        facts, program = self.facts, self.program
        rules, run = facts.rules, facts.runs[bay.run]
        slot = Slot({kind: program.choice() for kind in kinds}, program.number(0, self._all, False))
        program.at_most([*((chosen, 1) for chosen in slot.on.values()), (bay.used, -1)], 0)
        program.at_most([(slot.height, 1), *((chosen, -self._all) for chosen in slot.on.values())], 0)
        taken: Terms = []
        for index, thing in enumerate(facts.things):
            ways = ways_of(thing, facts, run.depth) if thing.opening_kind in kinds and thing.count else []
            if ways:
                taken += self._pile(bay, slot, index, ways)
        room: Terms = [(bay.width, -self._free)]
        if DRAWER in slot.on:
            room.append((slot.on[DRAWER], self._free * self._in(DRAWER_SIDES)))
        if taken:
            full = [(variable, rules.spare.denominator * width) for variable, width in taken]
            program.at_most([*full, *room], 0)
        return slot

    def _pile(self, bay: Bay, slot: Slot, index: int, ways: list[Way]) -> Terms:
        """Some pieces of one pile in one opening; returns the widths that they take."""
        thing, program = self.facts.things[index], self.program
        chosen = slot.on[thing.opening_kind]
        number = 1 if self.by_count else thing.count
        pieces = [(program.number(0, thing.count if self.by_count else 1), 1) for _ in range(number)]
        slot.pieces[index] = pieces
        self._placed[index].append(pieces)
        for piece, _ in pieces:
            if thing.owner is not None and bay.owner:
                program.at_most([(piece, 1), (bay.owner[thing.owner], -program.upper[piece])], 0)
        is_single = len(ways) == 1 and ways[0].rows == 1 and len(ways[0].levels) == 1
        if is_single:
            slot.single[index] = ways[0]
            need = self._in(ways[0].levels[0][1])
            for piece, _ in pieces:
                some = piece
                if self.by_count:
                    some = program.choice()
                    program.at_most([(piece, 1), (some, -thing.count)], 0)
                program.at_most([(some, 1), (chosen, -1)], 0)
                program.at_most([(some, need), (slot.height, -1)], 0)
            return [(piece, self._in(ways[0].width)) for piece, _ in pieces]
        return self._columns(slot, index, ways, chosen)

    def _columns(self, slot: Slot, index: int, ways: list[Way], chosen: int) -> Terms:
        """Stacks and rows: a binary for each height of stack, and numbers of columns."""
        thing, program = self.facts.things[index], self.program
        taken: Terms = []
        held: Terms = []
        levels: Terms = []
        for level, (high, need) in enumerate(ways[0].levels):
            is_so_high = program.choice()
            levels.append((is_so_high, 1))
            program.at_most([(is_so_high, self._in(need)), (slot.height, -1)], 0)
            for way in ways:
                most = -(-thing.count // (way.levels[level][0] * way.rows))
                column = program.number(0, most)
                program.at_most([(column, 1), (is_so_high, -most)], 0)
                held.append((column, high * way.rows))
                taken.append((column, self._in(way.width)))
                slot.columns.append((index, way.turned, high * way.rows, need, column))
        program.at_most([*levels, (chosen, -1)], 0)
        program.at_most([*slot.pieces[index], *((column, -pieces) for column, pieces in held)], 0)
        return taken

    # ---- back to a layout -----------------------------------------------------------------------------

    def layout(self, solution: Sequence[float]) -> Layout:
        """The layout of a solution: heights (and widths where only their sum counts) are what its contents need."""
        rounded = zip(solution, self.program.is_whole, strict=True)
        value = [round(number) if whole else number for number, whole in rounded]
        owners = tuple(bool(value[first]) for first in self.firsts)
        walls: list[WallLayout] = []
        for index, run in enumerate(self.facts.runs):
            sketches: list[Sketch] = []
            for bay in self.bays:
                pieces = [self._piece(slot, value) for slot in bay.slots] if value[bay.used] else []
                if bay.run == index and any(pieces):
                    sketches.append(self._sketch(bay, pieces, value, sketches))
            wall = build_wall(self.facts, index, owners, sketches)
            bays = [self._on_top(built, sketch) for built, sketch in zip(wall.bays, sketches, strict=True)]
            walls.append(WallLayout(run.name, tuple(bays)))
        return Layout(tuple(walls), owners)

    def _piece(self, slot: Slot, value: Sequence[float]) -> Piece | None:
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
        return Piece(kind, need, tuple(sorted(holds))) if holds else None

    def _sketch(self, bay: Bay, pieces: list[Piece | None], value: Sequence[float], others: list[Sketch]) -> Sketch:
        """A bay of a solution; one that shared an upright with the bay before it still does."""
        thick = self.facts.rules.panel
        floor, *between, above = pieces
        width = max(self.facts.rules.min_bay, *(self._width_for(piece, bay) for piece in pieces if piece))
        left = None
        if bay.left != NONE:
            left, right = (self._tick(bay, value[bay.left] + more) for more in (0, value[bay.width]))
            if others and others[-1].left is not None:
                shared = others[-1].left + others[-1].width + thick
                left = shared if abs(left - shared) < thick // 2 else left
            width = max(width, right - left)
        upper = tuple(piece for piece in between if piece)
        return Sketch(width, floor, upper, above.holds if above else (), left)

    def _tick(self, bay: Bay, place: float) -> int:
        """A place in whole ticks, under a slope those towards the higher end."""
        run, exact = self.facts.runs[bay.run], place * float(self._unit)
        if not run.is_sloped:
            return round(exact)
        return floor(exact + 0.01) if run.ceiling_left > run.ceiling_right else ceil(exact - 0.01)

    def _width_for(self, piece: Piece, bay: Bay) -> int:
        """Clear width of the bay that the contents of one opening need [ticks]."""
        taken = 0
        things = {thing.row: thing for thing in self.facts.things}
        for holding in piece.holds:
            ways = ways_of(things[holding.row], self.facts, self.facts.runs[bay.run].depth)
            way = next(way for way in ways if way.turned is holding.turned)
            each = way.rows * max(high for high, need in way.levels if need <= piece.height)
            taken += -(-holding.count // each) * way.width
        spare = self.facts.rules.spare
        room = -(-taken * spare.denominator // (spare.denominator - spare.numerator))
        return room + (DRAWER_SIDES if piece.kind is DRAWER else 0)

    def _on_top(self, built: LayoutBay, sketch: Sketch) -> LayoutBay:
        """The bay with what lies on it, also where a blocked part begins higher over the top panel."""
        if not sketch.above or built.openings[-1].bottom >= self.facts.top:
            return built
        things = {thing.row: thing for thing in self.facts.things}
        need = 0
        for holding in sketch.above:
            ways = ways_of(things[holding.row], self.facts, built.depth)
            need = max(need, *(needs for way in ways for _, needs in way.levels))
        return replace(built, openings=(*built.openings, Opening(SHELF, self.facts.top, need, sketch.above)))
