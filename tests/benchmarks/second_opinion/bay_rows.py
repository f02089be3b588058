"""One bay as rows of an integer program: its openings, what they hold, and the limits of rules 3 to 10 and 12.

An opening is worth building only as high as some pile in it needs, so a bay has a choice for each such height. Lengths
are in inches; a tick is far above the tolerances that HiGHS is given.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations, pairwise

from second_opinion.household import INCH, Box, Household, Must, Pile, Wall
from second_opinion.judge import DRAWER_LOW, DRAWER_NARROW, ceiling_over, given_openings, head_over, ways_of
from second_opinion.program import Program, Terms


@dataclass(slots=True)
class Slot:
    """A choice of one opening in a bay: its segment (-1 on the floor, None above the top), kind and height [ticks]."""

    segment: int | None
    kind: str
    height: int
    on: int
    holds: list[tuple[int, bool, int, int, int]] = field(default_factory=list)
    """(pile, turned, pieces in a column, columns, pieces), the last two variables."""


@dataclass(slots=True)
class BayModel:
    """One bay: wall, depth [ticks], variables for whether it is there, its width and its place (-1: none)."""

    wall: int
    depth: int
    used: int
    width: int
    left: int = -1
    must: Must | None = None
    slots: list[Slot] = field(default_factory=list)
    around: dict[tuple[Box, ...], int] = field(default_factory=dict)
    upper: int = -1
    panels: list[int] = field(default_factory=list)
    filled: dict[tuple[tuple[Box, ...], int], tuple[int, bool]] = field(default_factory=dict)
    """By blocked parts and segment: whether something is in it, and whether it ends at the top."""


def segments_of(home: Household, boxes: tuple[Box, ...], upper: int) -> list[tuple[int, int]]:
    """Where openings with their panels may be in a bay around these blocked parts: (begin, end) from the floor up."""
    found, low = [], home.wishes.toe_kick
    for box in sorted(boxes, key=lambda box: box.bottom):
        found.append((low, min(box.bottom, upper)))
        low = max(low, box.bottom + box.height)
    return [*found, (low, upper)]


def needs_of(home: Household, pile: Pile) -> list[tuple[int, int]]:
    """(clear height, pieces) of each stack of a pile that is worth its height [ticks]."""
    if pile.store == "hang":
        return [(pile.drop + home.wishes.hang_allowance, 1)]
    most = max(1, 12 * INCH // pile.height) if pile.store == "drawer" else pile.most
    over = DRAWER_LOW if pile.store == "drawer" else home.wishes.gap
    return [(high * pile.height + over, high) for high in range(1, min(most, pile.count) + 1)]


class BayRows:
    """The program of one household while `bays` are put into it; `area` is that of all panels [square inches]."""

    def __init__(self, home: Household) -> None:
        self.home, self.program = home, Program()
        self.area: Terms = []
        self.bays: list[BayModel] = []
        self.pieces: list[Terms] = [[] for _ in home.piles]

    def _count(self) -> None:
        """Rules 9 and 11: nothing is stored twice, and what is stored counts."""
        for index, pile in enumerate(self.home.piles):
            self.program.at_most(self.pieces[index], pile.count)
            self.program.worth |= {variable: pile.value + pile.first for variable, _ in self.pieces[index]}

    def _one(self) -> int:
        return self.program.number(1, least=1)

    def _product(self, choice: int, terms: Terms, most: float) -> int:
        """A variable of at least `terms` where the binary is 1."""
        found = self.program.number(most, False)
        self.program.at_most([*terms, (found, -1), (choice, most)], most)
        return found

    # ---- bays: rules 1, 3, 10 ------------------------------------------------------------------------

    def _bay(self, number: int, depth: int, must: Must | None) -> BayModel:
        home, program, wishes = self.home, self.program, self.home.wishes
        wall = home.walls[number]
        if must is not None:
            bay = BayModel(number, depth, self._one(), program.number(must.width / INCH, False, must.width / INCH))
            bay.left, bay.must = program.number(must.left / INCH, False, must.left / INCH), must
        else:
            widest = min(max(wishes.max_shelf, wishes.max_rod), wall.width) / INCH
            bay = BayModel(number, depth, program.choice(), program.number(widest, False))
            program.at_most([(bay.width, 1), (bay.used, -widest)], 0)
            program.at_most([(bay.used, wishes.min_bay / INCH), (bay.width, -1)], 0)
            if wall.boxes or wall.ceilings[0] != wall.ceilings[1]:
                bay.left = program.number(wall.width / INCH, False)
        self._height(bay, wall)
        self._boxes(bay, wall)
        self._openings(bay, wall)
        self._contents(bay)
        self._owners(bay)
        if not home.wishes.keep_bays:
            self._spans(bay)
        if home.most_panel is not None:
            for panel in bay.panels:
                widest = self.program.upper[bay.width]
                self.area.append((self._product(panel, [(bay.width, 1)], widest), depth / INCH))
        return bay

    def _height(self, bay: BayModel, wall: Wall) -> None:
        """`upper` is where the top panel ends: exactly, for a lower upright would cost less than it does."""
        home, program = self.home, self.program
        under = home.under_ceiling
        most = min(home.top, max(wall.ceilings) - under) / INCH
        if bay.must is not None or wall.ceilings[0] == wall.ceilings[1]:
            if bay.must is not None:
                most = head_over(home, wall, bay.must.left, bay.must.left + bay.must.width) / INCH
            else:
                most = min(home.top, wall.ceilings[0] - under) / INCH
            bay.upper = program.number(most, False, most)
            return
        bay.upper = program.number(most, False)
        low, high = (ceiling / INCH for ceiling in wall.ceilings)
        slope = (high - low) * INCH / wall.width
        place = [(bay.left, slope), *([(bay.width, slope)] if slope < 0 else [])]
        low -= under / INCH
        program.only_if(bay.used, [(bay.upper, 1), *((v, -c) for v, c in place)], low)
        if home.most_panel is not None:
            is_top, is_ceiling = program.choice(), program.choice()
            program.at_most([(is_top, -1), (is_ceiling, -1)], -1)
            program.only_if(is_top, [(bay.upper, -1)], -home.top / INCH)
            program.only_if(is_ceiling, [*place, (bay.upper, -1)], -low)

    def _boxes(self, bay: BayModel, wall: Wall) -> None:
        """Which blocked parts a bay is around; it is beside all others."""
        program, thick = self.program, 0 if self.home.wishes.keep_bays else self.home.thick
        if bay.must is not None:
            left, right = bay.must.left, bay.must.left + bay.must.width
            inside = tuple(box for box in wall.boxes if left < box.left + box.width and box.left < right)
            bay.around = {inside: self._one()}
            return
        sets = [some for size in range(len(wall.boxes) + 1) for some in combinations(wall.boxes, size)]
        bay.around = {some: program.choice() for some in sets}
        program.rows.append(([*((v, 1) for v in bay.around.values()), (bay.used, -1)], 0, 0))
        for box in wall.boxes:
            before, behind = program.choice(), program.choice()
            for some, chosen in bay.around.items():
                if box in some:
                    program.only_if(chosen, [(bay.left, 1)], box.left / INCH)
                    ends: Terms = [(bay.left, -1), (bay.width, -1)]
                    program.only_if(chosen, ends, -(box.left + box.width) / INCH)
                else:
                    program.at_most([(chosen, 1), (before, -1), (behind, -1)], 0)
            program.only_if(before, [(bay.left, 1), (bay.width, 1)], (box.left - thick) / INCH)
            program.only_if(behind, [(bay.left, -1)], -(box.left + box.width + thick) / INCH)

    def _openings(self, bay: BayModel, wall: Wall) -> None:
        """The choices of openings from the floor up, and how much of each segment they take with their panels."""
        home, program = self.home, self.program
        thick, base = home.thick / INCH, (home.wishes.toe_kick + home.thick) / INCH
        upper = min(home.top, max(wall.ceilings) - home.under_ceiling)
        if bay.must is not None:
            upper = head_over(home, wall, bay.must.left, bay.must.left + bay.must.width)
        segments = 1 + max(map(len, bay.around))
        given = given_openings(home, bay.must) if bay.must is not None else []
        lowest = 1 if bay.must is not None and bay.must.bottom else 0
        taken: list[Terms] = [[] for _ in range(segments)]
        for kind, _, height in given:
            slot = Slot(lowest, kind, height, self._one())
            bay.slots.append(slot)
            taken[lowest].append((slot.on, height / INCH + thick))
            bay.panels.append(slot.on)
        for segment in range(-1 if not given else 0, segments):
            slots = [slot for kind, height, copies in self._heights(bay, upper, segment)
                     for slot in self._copies(bay, segment, kind, height, copies)]  # fmt: skip
            at = max(0, segment)
            taken[at] += [(slot.on, slot.height / INCH + thick - (base if segment < 0 else 0)) for slot in slots]
            bay.panels += [slot.on for slot in slots]
            if segment < 0:
                program.at_most([(slot.on, 1) for slot in slots], 1)
        self._segments(bay, upper, taken)
        self._high_drawers(bay, upper, len(given))
        self._above(bay, wall)
        self._other_panels(bay)

    def _copies(self, bay: BayModel, segment: int | None, kind: str, height: int, copies: int) -> list[Slot]:
        slots = [Slot(segment, kind, height, self.program.choice()) for _ in range(copies)]
        for slot, following in pairwise(slots):
            self.program.at_most([(following.on, 1), (slot.on, -1)], 0)
        for slot in slots:
            self.program.at_most([(slot.on, 1), (bay.used, -1)], 0)
        bay.slots += slots
        return slots

    def _heights(self, bay: BayModel, most: int, segment: int | None) -> list[tuple[str, int, int]]:
        """(kind, height, copies) worth building: as high as a stack of some pile that is there."""
        kinds = bay.must.kinds if bay.must is not None and segment is not None else ("shelf", "hang", "drawer")
        if segment is None:
            kinds = ("shelf",)
        elif segment < 0:
            kinds = ("hang",) if "hang" in kinds else ()
        found: dict[tuple[str, int], int] = {}
        ways = ((kind, pile.stored_in(kind)) for pile in self.home.piles for kind in kinds)
        for kind, pile in ways:
            if pile is None or not self.home.may_be(pile, self.home.walls[bay.wall].name):
                continue
            mine: dict[int, int] = {}
            for need, pieces in needs_of(self.home, pile):
                height = self.home.built_height(kind, need)
                if height <= most and any(ways_of(self.home, pile, bay.depth, height)):
                    mine.setdefault(height, pile.count // pieces)
            for height, copies in mine.items():
                found[kind, height] = found.get((kind, height), 0) + copies
        if self.home.wishes.highest_drawer and "shelf" in kinds and segment is not None:  # an empty one over drawers
            found.setdefault(("shelf", self.home.built_height("shelf", 1)), 1)
        if kinds == ("hang",) and self.home.most_panel is not None:  # an empty rod that spares a bottom panel
            found.setdefault(("hang", max(1, self.home.wishes.toe_kick)), 1)
        highest = {height: 1 if segment == -1 else most // (height + self.home.thick) + 1 for _, height in found}
        return [(kind, height, min(copies, highest[height])) for (kind, height), copies in sorted(found.items())]

    def _segments(self, bay: BayModel, upper: int, taken: list[Terms]) -> None:
        """Openings and panels stay within the segments left by what is blocked, and below the top."""
        program, thick = self.program, self.home.thick / INCH
        for some, chosen in bay.around.items():
            limits = segments_of(self.home, some, upper)
            for number, terms in enumerate(taken):
                if number >= len(limits):
                    program.only_if(chosen, terms, 0)
                    continue
                begin, end = limits[number]
                filled = program.choice()
                for variable, _ in terms:
                    program.at_most([(variable, 1), (chosen, 1), (filled, -1)], 1)
                # the panel under the lowest opening, then each opening with the panel over it
                program.only_if(filled, terms, (end - begin) / INCH - thick)
                program.only_if(filled, [*terms, (bay.upper, -1)], -begin / INCH - thick)
                bay.filled[some, number] = filled, end == upper

    def _high_drawers(self, bay: BayModel, upper: int, bank: int) -> None:
        """Drawers, lowest in their segment, end below the highest there may be; over them is something else."""
        home, program, thick = self.home, self.program, self.home.thick / INCH
        highest = home.wishes.highest_drawer
        if not highest or bank:
            return
        for some, chosen in bay.around.items():
            for number, (begin, end) in enumerate(segments_of(home, some, upper)):
                if end - home.thick <= highest:
                    continue
                drawers = [slot for slot in bay.slots if slot.kind == "drawer" and slot.segment == number]
                floor = [slot for slot in bay.slots if slot.segment == -1 and number == 0]
                others = [slot for slot in bay.slots if slot.kind != "drawer" and slot.segment == number]
                has_one = program.choice()
                for slot in drawers:
                    program.at_most([(slot.on, 1), (chosen, 1), (has_one, -1)], 1)
                base = home.wishes.toe_kick / INCH + thick
                low: Terms = [(slot.on, slot.height / INCH + thick - base) for slot in floor]
                low += [(slot.on, slot.height / INCH + thick) for slot in drawers]
                program.only_if(has_one, low, (highest - begin) / INCH)
                program.at_most([(has_one, 1), *((slot.on, -1) for slot in others)], 0)

    def _other_panels(self, bay: BayModel) -> None:
        """Beside the panel over each opening one under the lowest of each segment, and what an empty bay needs."""
        if self.home.most_panel is None:
            return
        program = self.program
        floor: Terms = [(slot.on, -1) for slot in bay.slots if slot.segment == -1]
        above: Terms = [(slot.on, 1) for slot in bay.slots if slot.segment is None]
        within: Terms = [(slot.on, -1) for slot in bay.slots if slot.segment is not None and not program.lower[slot.on]]
        for some, chosen in bay.around.items():
            bottoms = [(program.choice(), filled, number) for (boxes, number), (filled, _) in bay.filled.items()
                       if boxes == some]  # fmt: skip
            for bottom, filled, number in bottoms:
                program.at_most([(filled, 1), (bottom, -1), *(floor if number == 0 else [])], 0)
            if not some or bay.must is not None:  # an empty one has a bottom too
                program.at_most([(chosen, 1), *floor, *((bottom, -1) for bottom, _, _ in bottoms)], 0)
            bay.panels += [bottom for bottom, _, _ in bottoms]
            if self._is_full(bay):
                continue
            bare = program.choice()
            bay.panels.append(bare)
            if not some or bay.must is not None:  # an empty opening with a top panel, also above a bank
                program.at_most([(chosen, 1), (bare, -1), *within], 0)
            else:  # a panel for what lies above the top
                ends = [(f, -1.0) for (boxes, _), (f, is_last) in bay.filled.items() if boxes == some and is_last]
                program.at_most([*above, (chosen, 1), (bare, -1), *ends], 1)

    def _is_full(self, bay: BayModel) -> bool:
        """Whether the openings that a bay must have reach its top panel."""
        given = given_openings(self.home, bay.must) if bay.must is not None else []
        return bool(given) and sum(given[-1][1:]) + self.home.thick >= round(self.program.upper[bay.upper] * INCH)

    def _above(self, bay: BayModel, wall: Wall) -> None:
        """One shelf opening above the top panel where the ceiling leaves room."""
        home, program = self.home, self.program
        room, under = max(wall.ceilings) - home.top, home.under_ceiling
        if bay.must is not None:
            room = ceiling_over(wall, bay.must.left, bay.must.left + bay.must.width) - home.top
        if room <= 0 or room < under:
            return
        slots = [slot for kind, height, _ in self._heights(bay, room, None)
                 for slot in self._copies(bay, None, kind, height, 1)]  # fmt: skip
        program.at_most([(slot.on, 1) for slot in slots], 1)
        low, high = (ceiling / INCH for ceiling in wall.ceilings)
        slope = (high - low) * INCH / wall.width
        for slot in slots:
            if bay.must is None and slope:
                place = [(bay.left, -slope), *([(bay.width, -slope)] if slope < 0 else [])]
                program.only_if(slot.on, place, low - (home.top + max(under, slot.height)) / INCH)
            for some, chosen in bay.around.items():
                for box in some:
                    over = box.bottom - home.top
                    if box.bottom + box.height > home.top - home.thick and over < slot.height:
                        program.at_most([(slot.on, 1), (chosen, 1)], 1)

    # ---- contents: rules 4 to 9, 12 ------------------------------------------------------------------

    def _contents(self, bay: BayModel) -> None:
        for slot in bay.slots:
            for index, pile in enumerate(self.home.piles):
                way = pile.stored_in(slot.kind)
                if way is not None and self.home.may_be(pile, self.home.walls[bay.wall].name):
                    self._pile(bay, slot, index, way)
            taken = [(columns, self._across(slot, index, turned) / INCH) for index, turned, _, columns, _ in slot.holds]
            free = float(1 - self.home.wishes.spare)
            narrow = DRAWER_NARROW / INCH if slot.kind == "drawer" else 0
            widest = self.program.upper[bay.width]
            if taken:
                self.program.at_most([*taken, (bay.width, -free)], -free * narrow if narrow <= 0 else 0)
                if narrow:
                    self.program.only_if(slot.on, [*taken, (bay.width, -free)], -free * narrow)
                self.program.at_most([*taken, (slot.on, -free * max(0, widest - narrow))], 0)

    def _across(self, slot: Slot, index: int, turned: bool) -> int:
        pile = self.home.piles[index]
        return pile.rod if slot.kind == "hang" else (pile.depth if turned else pile.width)

    def _pile(self, bay: BayModel, slot: Slot, index: int, pile: Pile) -> None:
        ways = list(ways_of(self.home, pile, bay.depth, slot.height))
        kept = [way for way in ways if not any(
            other is not way and other[1] <= way[1] and other[2] >= way[2] and (other[1:] != way[1:] or not other[0])
            for other in ways
        )]  # fmt: skip
        for turned, _, each in kept:
            most = -(-pile.count // each)
            columns, pieces = self.program.number(most), self.program.number(pile.count)
            self.program.at_most([(pieces, 1), (columns, -each)], 0)
            self.program.at_most([(columns, 1), (slot.on, -most)], 0)
            slot.holds.append((index, turned, each, columns, pieces))
            self.pieces[index].append((pieces, 1))

    def _owners(self, bay: BayModel) -> None:
        owners = sorted({pile.owner for pile in self.home.piles if pile.owner is not None})
        if not self.home.wishes.owners_apart or len(owners) < 2:
            return
        mine = {owner: self.program.choice() for owner in owners}
        self.program.at_most([(choice, 1) for choice in mine.values()], 1)
        for slot in bay.slots:
            for index, _, _, columns, _ in slot.holds:
                owner = self.home.piles[index].owner
                if owner is not None:
                    self.program.at_most([(columns, 1), (mine[owner], -self.program.upper[columns])], 0)

    def _spans(self, bay: BayModel) -> None:
        """Longest shelf where there is a shelf or a drawer, longest rod where there is a rod."""
        for is_rod, limit in ((False, self.home.wishes.max_shelf), (True, self.home.wishes.max_rod)):
            if limit / INCH < self.program.upper[bay.width]:
                has_one = self.program.choice()
                for slot in bay.slots:
                    if (slot.kind == "hang") is is_rod:
                        self.program.at_most([(slot.on, 1), (has_one, -1)], 0)
                self.program.only_if(has_one, [(bay.width, 1)], limit / INCH)
