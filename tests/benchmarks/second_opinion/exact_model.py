"""The most that any layout of a household stores, as one integer program in HiGHS, from the wording of the rules.

Bays have widths and, where a ceiling slopes or a part is blocked, places (`bay_rows` says what is in them). Banks of
drawers are openings like others, filled together with all the rest.
"""

from __future__ import annotations

from itertools import pairwise

from second_opinion.bay_rows import BayModel, BayRows, Slot
from second_opinion.household import INCH, Household, Must, Wall
from second_opinion.judge import is_placed
from second_opinion.program import Terms


class ExactModel(BayRows):
    """The program of one household; `bays` are there to make a layout of its solution (`model_layout`)."""

    def __init__(self, home: Household) -> None:
        super().__init__(home)
        self.corners = [self.program.choice() for _ in home.corners]
        for number, wall in enumerate(home.walls):
            self._wall(number, wall)
        self._count()
        if home.most_panel is not None:
            self.program.at_most(self.area, home.most_panel / INCH**2)

    # ---- walls: rules 1 and 2 ------------------------------------------------------------------------

    def _ends(self, number: int) -> tuple[Terms, Terms, float]:
        """Start and end of what a wall may use as sums, and the constant of the end [in]."""
        home = self.home
        start: Terms = []
        end: Terms = []
        play = home.wishes.play
        room = (home.walls[number].width - play) / INCH
        for corner, (ends, starts) in zip(self.corners, home.corners, strict=True):
            if starts == number:  # 1: the wall that ends there owns the corner
                start.append((corner, (home.walls[ends].depth + home.wishes.corner_access) / INCH))
            if ends == number:
                lost = max(0, home.walls[starts].depth + home.wishes.corner_access - play) / INCH
                end.append((corner, lost))
                room -= lost
        return start, end, room

    def _wall(self, number: int, wall: Wall) -> None:
        home = self.home
        if home.wishes.keep_bays:
            for old in home.standing:
                if old.wall == wall.name:
                    self.bays.append(self._bay(number, old.depth, Must(wall.name, old.left, old.width)))
            return
        start, end, room = self._ends(number)
        must = sorted((must for must in home.must if must.wall == wall.name), key=lambda must: must.left)
        fixed = [self._bay(number, wall.depth, item) for item in must]
        for item in must:
            self.program.at_most(start, (item.left - home.thick) / INCH)
            self.program.at_most([(v, -c) for v, c in end], room - (item.left + item.width + home.thick) / INCH)
        for before, behind in pairwise([None, *fixed, None]):
            begin = 0 if before is None or before.must is None else before.must.left + before.must.width
            limit = wall.width if behind is None or behind.must is None else behind.must.left
            most = (limit - begin - home.thick) // (home.wishes.min_bay + home.thick)
            bays = [self._bay(number, wall.depth, None) for _ in range(max(0, most))]
            for bay, following in pairwise(bays):
                self.program.at_most([(following.used, 1), (bay.used, -1)], 0)
            self.bays += bays
            if is_placed(home, wall):
                self._placed(bays, before, behind, start, (end, room))
            else:
                self._side_by_side(bays, before, behind, start, (end, room))
            self.bays += [behind] if behind is not None else []
        heights = [self.program.lower[bay.upper] * wall.depth / INCH for bay in fixed]
        self.area.append((self._one(), 2 * sum(heights)))
        for (item, high), (other, higher) in pairwise(zip(must, heights, strict=True)):
            if other.left - item.left - item.width == home.thick:
                self.area.append((self._one(), -min(high, higher)))

    def _upright(self, wall: Wall) -> float:
        """Area of an upright under a level ceiling [square inches]."""
        return min(self.home.top, min(wall.ceilings) - self.home.under_ceiling) * wall.depth / INCH**2

    def _side_by_side(
        self, bays: list[BayModel], before: BayModel | None, behind: BayModel | None, start: Terms,
        ends: tuple[Terms, float],
    ) -> None:  # fmt: skip
        """A plain stretch: only the sum of widths counts; between two bays that must be nothing may be left over."""
        if not bays:
            return
        if self.home.wishes.round and (before is None or behind is None):
            for bay in bays:  # as wide as a whole number of marks
                marks = self.program.number(self.program.upper[bay.width] * INCH // self.home.wishes.round)
                mark = self.home.wishes.round / INCH
                self.program.rows.append(([(bay.width, 1), (marks, -mark)], 0, 0))
        home, program, thick = self.home, self.program, self.home.thick / INCH
        upright = self._upright(home.walls[bays[0].wall])
        for bay, following in pairwise(bays):  # any order is as good
            program.at_most([(following.width, 1), (bay.width, -1)], 0)
        taken = [term for bay in bays for term in ((bay.width, 1), (bay.used, thick))]
        first = bays[0].used
        self.area += [(bay.used, upright) for bay in bays]
        left, right = (None if bay is None or bay.must is None else bay.must for bay in (before, behind))
        if left is not None and right is not None:
            room = (right.left - left.left - left.width) / INCH
            shared = program.choice()  # every upright, also those at both ends
            program.at_most([*taken, (first, thick), (shared, -thick)], room - thick)
            program.only_if(shared, [(v, -c) for v, c in taken], thick - room)
            program.at_most([(shared, 1), (first, -1)], 0)
            self.area.append((shared, -upright))
            return
        begin, (end, room) = start, ends
        if left is not None:
            begin = []
            room -= (left.left + left.width) / INCH + thick  # less its own upright
        if right is not None:
            end, room = [], right.left / INCH - thick
        if left is None and right is None:
            taken.append((first, thick))
            self.area.append((first, upright))
        program.only_if(first, [*taken, *begin, *((v, -c) for v, c in end)], room)

    def _placed(
        self, bays: list[BayModel], before: BayModel | None, behind: BayModel | None, start: Terms,
        ends: tuple[Terms, float],
    ) -> None:  # fmt: skip
        """A stretch where it counts where a bay is."""
        home, program, thick = self.home, self.program, self.home.thick / INCH
        end, room = ends
        for bay in bays:
            program.only_if(bay.used, [*start, (bay.left, -1)], -thick)
            program.only_if(bay.used, [(bay.left, 1), (bay.width, 1), *((v, -c) for v, c in end)], room - thick)
        for bay, following in pairwise(bays):
            self._beside(bay, following, following.used)
        if before is not None and bays:
            self._beside(before, bays[0], bays[0].used)
        for number, bay in enumerate(bays if behind is not None else ()):
            assert behind is not None
            last = bay.used
            if number + 1 < len(bays):
                last = program.choice()  # this is the last bay of the stretch
                program.at_most([(bay.used, 1), (bays[number + 1].used, -1), (last, -1)], 0)
            self._beside(bay, behind, last)
        if home.most_panel is not None:
            for bay in bays:
                depth = home.walls[bay.wall].depth / INCH
                high = home.top / INCH
                self.area.append((self._product(bay.used, [(bay.upper, 1)], high), 2 * depth))

    def _beside(self, bay: BayModel, following: BayModel, condition: int) -> None:
        """Where the binary is 1 `following` shares the upright of `bay` or stands two panels off."""
        program, thick = self.program, self.home.thick / INCH
        between: Terms = [(following.left, 1), (bay.left, -1), (bay.width, -1)]
        shared, apart = program.choice(), program.choice()
        program.at_most([(condition, 1), (shared, -1), (apart, -1)], 0)
        program.only_if(shared, between, thick)
        program.only_if(condition, [(v, -c) for v, c in between], -thick)
        program.only_if(apart, [(v, -c) for v, c in between], -2 * thick)
        if self.home.most_panel is not None:  # the lower of the two is spared
            depth, high = self.home.walls[bay.wall].depth / INCH, self.home.top / INCH
            both = program.choice()
            program.at_most([(both, 1), (shared, -1)], 0)
            program.at_most([(both, 1), (condition, -1)], 0)
            spared = program.number(high, False)
            program.at_most([(spared, 1), (both, -high)], 0)
            for one in (bay, following):
                program.at_most([(spared, 1), (one.upper, -1)], 0)
            self.area.append((spared, -depth))


class FillingModel(BayRows):
    """The most that the openings of today's closet hold, as they stand."""

    def __init__(self, home: Household) -> None:
        super().__init__(home)
        for today in home.today:
            bay = BayModel(home.wall(today.wall), today.depth, self._one(),
                           self.program.number(today.width / INCH, False, today.width / INCH))  # fmt: skip
            bay.slots = [Slot(0, old.kind, old.height, self._one()) for old in today.openings]
            self._contents(bay)
            self._owners(bay)
            self.bays.append(bay)
        self._count()
