"""The whole problem as one integer program, as a careful modeller would write it: a rival, and a second opinion.

Written from the wording of the fit rules; nothing of the search, of its tables or of its own integer model is used.
Every bay has openings whose heights are variables, and every piece a binary for each opening that it may stand in
(or, with `by_count`, every pile a number). The same program goes to HiGHS or to CP-SAT (`solvers`).
Bays that must be and today's bays that are kept are bays of known place and width.

Lengths are whole units, the greatest common divisor of all lengths in the facts, divided further so that widths
remain whole where room is spare.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from math import gcd

from program import Program, Terms, Way, lengths_of, ways_of

from capacity.layout.drawer_rule import DRAWER_SIDES
from capacity.layout.problem import FixedBay, OpeningKind, Problem

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
    """One bay: index of its wall, depth [ticks], whether it is built, width, clear left face where places count."""

    run: int
    depth: int
    used: int
    width: int
    left: int
    owner: dict[str, int]
    must_be: bool
    slots: list[Slot] = field(default_factory=list)


class Naive:
    """The program of one problem; `reading` makes a layout of a solution.

    Parameters
    ----------
    facts
        The problem.
    bays, slots
        Most bays on a wall by its index besides those that must be, and most openings over the bottom panel of a bay.
    by_count
        Numbers of pieces instead of a binary for each piece.
    """

    def __init__(self, facts: Problem, bays: list[int], slots: int, by_count: bool = False) -> None:
        self.facts, self.by_count, self.program = facts, by_count, Program()
        rules = facts.rules
        self._free = rules.spare.denominator - rules.spare.numerator
        self.unit = Fraction(gcd(*lengths_of(facts)), self._free)
        self._all = self._in(max(facts.top, *(max(run.ceiling_left, run.ceiling_right) for run in facts.runs)))
        self.firsts = [self.program.choice() for _ in facts.corners]
        self.bays: list[Bay] = []
        self._placed: list[list[Terms]] = [[] for _ in facts.things]
        for index, number in enumerate(bays):
            fixed = [item for item in facts.fixed if item.run == index]
            mine = [self._bay(index, slots, bool(fixed)) for _ in range(number)]
            must = [self._bay(index, slots, True, item) for item in fixed]
            if not facts.keeps_bays:
                self._wall(index, mine, must)
            self.bays += [*mine, *must]
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
        units = length / self.unit
        assert units.denominator == 1
        return units.numerator

    # ---- bays and walls: rules 1, 2, 10 ---------------------------------------------------------------

    def _bay(self, index: int, slots: int, has_place: bool, must: FixedBay | None = None) -> Bay:
        facts, program, rules = self.facts, self.program, self.facts.rules
        run = facts.runs[index]
        widest = self._in(min(max(rules.max_shelf, rules.max_rod), run.width))
        used, width, left = program.choice(), program.number(0, widest, False), NONE
        if has_place or not run.is_plain:
            left = program.number(0, self._in(run.width), False)
        if must is None:
            program.at_most([(width, 1), (used, -widest)], 0)
            program.at_most([(width, -1), (used, self._in(rules.min_bay))], 0)
        else:
            for variable, exact in ((used, 1), (width, self._in(must.width)), (left, self._in(must.left))):
                program.lower[variable] = program.upper[variable] = exact
        if must is None and rules.mark and not has_place and run.is_plain:
            marks, step = program.number(0, widest // self._in(rules.mark)), self._in(rules.mark)
            for sign in (1, -1):
                program.at_most([(width, sign), (marks, -sign * step)], 0)
        bay = Bay(index, run.depth if must is None else must.depth, used, width, left, {}, must is not None)
        if rules.owners_apart:
            bay.owner = {owner: program.choice() for owner in facts.owners}
            program.at_most([(choice, 1) for choice in bay.owner.values()], 1)
        kinds: list[tuple[OpeningKind, ...]] = [(HANG,), *[(SHELF, HANG, DRAWER)] * slots, (SHELF,)]
        for allowed in kinds:
            bay.slots.append(self._slot(bay, allowed))
        if not facts.keeps_bays:
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

    def _wall(self, index: int, bays: list[Bay], must: list[Bay]) -> None:
        facts, program, run = self.facts, self.program, self.facts.runs[index]
        thick, access = self._in(facts.rules.panel), facts.rules.corner_access
        lost_left: list[tuple[int, int]] = []  # (binary, loss where it is 1)
        lost_right: list[tuple[int, int]] = []  # (binary, loss where it is 0)
        for corner, first in zip(facts.corners, self.firsts, strict=True):
            if corner.starts == index:
                lost = facts.runs[corner.ends].depth + access - run.kept_left
                lost_left.append((first, self._in(max(0, lost))))
            if corner.ends == index:
                lost = facts.runs[corner.starts].depth + access - run.kept_right
                lost_right.append((first, self._in(max(0, lost))))
        begin, right = self._in(run.kept_left), self._in(run.width - run.kept_right)
        right -= sum(loss for _, loss in lost_right)
        much = 2 * self._in(run.width) + sum(loss for _, loss in (*lost_left, *lost_right))
        if run.is_plain and not must:
            taken = [term for bay in bays for term in ((bay.width, 1), (bay.used, thick))]
            taken += [*lost_left, *((first, -loss) for first, loss in lost_right)]
            built = program.choice()
            for bay in bays:
                program.at_most([(bay.used, 1), (built, -1)], 0)
            program.only_if(taken, right - begin - thick, much, built)
            return
        for bay in (*bays, *must):
            start = [(bay.left, -1), *lost_left]
            program.only_if(start, -thick - begin, much, bay.used)
            ends = [(bay.left, 1), (bay.width, 1), *((first, -loss) for first, loss in lost_right)]
            program.only_if(ends, right - thick, much, bay.used)
        for bay, following in pairwise(bays):
            program.at_most([(following.used, 1), (bay.used, -1)], 0)
            self._beside(bay, following, much, following.used)
        for bay in bays:
            for fixed in must:
                is_before = program.choice()
                is_behind = program.choice()
                program.at_most([(is_before, -1), (is_behind, -1), (bay.used, 1)], 0)
                self._beside(bay, fixed, much, bay.used, is_before)
                self._beside(fixed, bay, much, bay.used, is_behind)

    def _beside(self, bay: Bay, following: Bay, much: int, *conditions: int) -> None:
        """Where the binaries are 1: `following` is right of `bay`, with one upright or at least two between them."""
        program, thick = self.program, self._in(self.facts.rules.panel)
        between = [(following.left, 1), (bay.left, -1), (bay.width, -1)]
        back = [(variable, -amount) for variable, amount in between]
        shared = program.choice()
        program.only_if(back, -thick, 2 * much, *conditions)
        program.only_if(between, thick, 2 * much, *conditions, shared)
        program.only_if([*back, (shared, -thick)], -2 * thick, 2 * much, *conditions)

    # ---- the openings of a bay: rule 3 ----------------------------------------------------------------

    def _stack(self, bay: Bay) -> None:
        """Floor rod or bottom panel, openings and panels, top panel, and what is above it."""
        facts, program, run = self.facts, self.program, self.facts.runs[bay.run]
        thick, base = self._in(facts.rules.panel), self._in(facts.rules.base)
        highest, rules = max(run.ceiling_left, run.ceiling_right), facts.rules
        under = 0 if facts.keeps_bays else rules.under_ceiling
        floor, *between, above = bay.slots
        on_floor = floor.on[HANG]
        # an empty rod on the floor would only do away with the toe kick
        program.at_most([(on_floor, 1), *((v, -1) for pieces in floor.pieces.values() for v, _ in pieces)], 0)
        stack: Terms = [(on_floor, -base)]
        for slot in (floor, *between):
            stack += [(slot.height, 1), *((chosen, thick) for chosen in slot.on.values())]
        upper = program.number(0, self._in(min(facts.top, highest - under)), False)
        program.only_if([*stack, (upper, -1)], -base, 2 * self._all, bay.used)
        if run.is_sloped:
            self._ceiling(bay, [(upper, 1)], under, bay.used)
        if highest <= facts.top or highest - under < facts.top:
            program.upper[above.on[SHELF]] = 0
        elif run.is_sloped:
            self._ceiling(bay, [(above.height, 1)], facts.top, above.on[SHELF])
            self._ceiling(bay, [], facts.top + under, above.on[SHELF])
        else:
            program.at_most([(above.height, 1)], self._in(highest - facts.top))
        if rules.highest_drawer:
            self._drawers_low(bay, stack, upper)
        if run.blocked:
            self._blocked(bay, upper)

    def _drawers_low(self, bay: Bay, stack: Terms, upper: int) -> None:
        """Drawers stand lowest and end low enough; where all openings are drawers, an empty shelf opening is on top.

        Stricter than the rule under a slope so low that a drawer may reach up to the top panel.
        """
        program, rules = self.program, self.facts.rules
        thick, base, most = self._in(rules.panel), self._in(rules.base), self._in(rules.highest_drawer)
        floor, *between, _ = bay.slots
        has_drawers = program.choice()
        ends: Terms = [(floor.on[HANG], thick - base), (floor.height, 1)]
        for slot in between:
            high = program.number(0, self._all, False)
            program.only_if([(slot.height, 1), (high, -1)], 0, self._all, slot.on[DRAWER])
            program.at_most([(slot.on[DRAWER], 1), (has_drawers, -1)], 0)
            ends += [(high, 1), (slot.on[DRAWER], thick)]
        program.only_if(ends, most + thick - base, 3 * self._all, has_drawers)
        if most < program.upper[upper] - thick:
            needs_shelf = program.choice()
            others = [(slot.on[kind], -1) for slot in between for kind in (SHELF, HANG)]
            program.at_most([(has_drawers, 1), *others, (needs_shelf, -1)], 0)
            least = self._in(rules.least_opening)
            program.at_most([*stack, (needs_shelf, least + thick), (upper, -1)], -base)

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
            if facts.rules.highest_drawer and DRAWER in slot.on:
                low = [(slot.bottom, 1), (slot.height, 1)]
                program.only_if(low, self._in(facts.rules.highest_drawer), 2 * tall, slot.on[DRAWER])
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
            beside = 0 if facts.keeps_bays else thick
            program.only_if([(bay.left, 1), (bay.width, 1)], left - beside, much, before)
            program.only_if([(bay.left, -1)], -right - beside, much, behind)
            if not facts.keeps_bays:  # what stands today may have its uprights in a blocked part
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
            may_be = thing.opening_kind in kinds and thing.count and thing.row not in run.barred
            ways = ways_of(thing, facts, bay.depth) if may_be else []
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
