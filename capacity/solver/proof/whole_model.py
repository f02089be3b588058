"""The integer model of a layout: which openings to build, beside what stands in them (`filling.program`).

Openings that are still to be built add to that model: for each slot of a bay one binary y[c] per candidate (kind,
height) c, at most one of them; k[o,T] <= K sum_{c high enough for T} y[c]; the heights and panels of a bay add up to
at most its height; bay widths are variables. There are no ordering rows between slots or bays: they were measured to
hurt.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from capacity.layout.drawer_rule import DRAWER_SIDES
from capacity.layout.layout import Bay
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.sketches import drawer_room
from capacity.layout.towers import candidate_heights, room_of
from capacity.solver.filling.program import FillingModel, Linear, ModelOpening, Var


@dataclass(slots=True)
class ModelBay:
    """A bay whose width and openings are still to be chosen."""

    run: int
    used: Var
    width: Var
    left: Var | None
    floor: ModelOpening
    slots: list[ModelOpening]
    above: ModelOpening
    prescribed: list[ModelOpening]
    owner: dict[str, Var]
    bare: dict[OpeningKind, Var]


class LayoutModel:
    """One integer program over openings that are still to be chosen, built up bay by bay and then solved once."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.filling = FillingModel(problem)
        self.program = self.filling.program
        self.free_bays: list[ModelBay] = []

    def add_free_bay(self, run_index: int, start: Linear, end: Linear, slots: int) -> ModelBay:
        """Add a bay whose outer faces lie between two places along its wall, or that is left out.

        On a plain wall only the sum of widths matters (`add_width_limit`) and the bay has no place.
        """
        rules, run = self.problem.rules, self.problem.runs[run_index]
        number = len(self.free_bays)
        used, width, left = self._place(run_index, start, end)
        towers = self.filling.towers(run.spot)
        top_panel = self.problem.head_under(run, max(run.ceiling_left, run.ceiling_right)) - rules.panel
        candidates = candidate_heights(towers, top_panel - min(0, rules.base))
        rods = tuple(item for item in candidates if item[0] is OpeningKind.HANG and not run.prescribed)
        base = rules.base_over(run.prescribed)
        inside = tuple(item for item in candidates if item[0] in run.kinds and item[1] <= top_panel - base)
        bay = ModelBay(
            run=run_index,
            used=used,
            width=width,
            left=left,
            floor=self._free_slot(f"floor {number}", rods, width, used, run_index),
            slots=[self._free_slot(f"slot {number}.{index}", inside, width, used, run_index) for index in range(slots)],
            above=self._above_slot(number, run_index, width, left, used),
            prescribed=[
                self.filling.standing(run.prescribed_spot, item.kind, item.height, run.fixed) for item in run.prescribed
            ],
            owner=self.filling.owner_choice(f"free {number}"),
            bare={
                kind: self.program.new_bool_var(f"bare {number} {kind}")
                for kind in (OpeningKind.SHELF, OpeningKind.HANG)
            },
        )
        for slot in (bay.floor, *bay.slots, bay.above, *bay.prescribed):
            self.filling.keep_owners_apart(slot, bay.owner)
        self._spans(bay)
        self._heights(bay)
        self.free_bays.append(bay)
        return bay

    def _place(self, run_index: int, start: Linear, end: Linear) -> tuple[Var, Var, Var | None]:
        """Whether there is a bay, how wide it is, and where its left clear edge lies; None on a plain wall."""
        model, rules, run = self.program, self.problem.rules, self.problem.runs[run_index]
        number = len(self.free_bays)
        thick = rules.panel
        widest = max(self.problem.longest(run_index, kind) for kind in OpeningKind)
        used = model.new_bool_var(f"used {number}")
        width = model.new_int_var(0, min(widest, max(0, run.width - 2 * thick)), f"width {number}")
        if self.problem.has_marked_widths(run):
            marks = model.new_int_var(0, widest // rules.mark, f"marks {number}")
            model.add(width == rules.mark * marks)
        if run.fixed:
            model.add(width == run.fixed).only_enforce_if(used)
        else:
            model.add(width >= rules.min_bay).only_enforce_if(used)
        model.add(width == 0).only_enforce_if(~used)
        left = None
        if not run.is_plain:
            left = model.new_int_var(0, run.width, f"left {number}")
            # a corner may leave a wall no room at all; then only a bay that is not used satisfies this
            model.add(left >= start + thick).only_enforce_if(used)
            model.add(left + width + thick <= end).only_enforce_if(used)
            if run.shares_left:
                self._shares_or_keeps_away(left - thick - start, used)
            if run.shares_right:
                self._shares_or_keeps_away(end - thick - left - width, used)
        if run.prescribed:
            model.add(used == 1)
        return used, width, left

    def add_width_limit(self, run_index: int, room: Linear) -> None:
        """The free bays of a plain wall and an upright each take at most `room` [ticks]."""
        thick = self.problem.rules.panel
        bays = [bay for bay in self.free_bays if bay.run == run_index]
        taken = sum(bay.width + thick * bay.used for bay in bays)
        self.program.add(taken <= room)
        if self.problem.runs[run_index].is_between:
            self._shares_or_keeps_away(room - taken)

    def _shares_or_keeps_away(self, gap: Linear, *condition: Var) -> None:
        """Beside a bay that must be: its upright is shared, or there is a panel's thickness between two uprights."""
        shared = self.program.new_bool_var("shared upright")
        self.program.add(gap == 0).only_enforce_if(shared, *condition)
        self.program.add(gap >= self.problem.rules.panel).only_enforce_if(~shared, *condition)

    def add_order(self, bays: Sequence[ModelBay]) -> None:
        """Bays of a wall where places differ stand left to right, with one upright or two between them."""
        thick = self.problem.rules.panel
        for bay, following in pairwise(bays):
            if bay.left is None or following.left is None:
                msg = "only bays with a place can be put in order"
                raise AssertionError(msg)
            self.program.add_implication(following.used, bay.used)
            shared = self.program.new_bool_var("shared upright")
            self.program.add(following.left == bay.left + bay.width + thick).only_enforce_if(shared, following.used)
            apart = (~shared, following.used)
            self.program.add(following.left >= bay.left + bay.width + 2 * thick).only_enforce_if(*apart)

    def hint_free_bay(self, bay: ModelBay, built: Bay | None) -> None:
        """Start from a bay as it stands, or from none."""
        hint, top = self.program.add_hint, self.problem.top
        hint(bay.used, int(built is not None))
        hint(bay.width, built.width if built else 0)
        if bay.left is not None and built is not None:
            hint(bay.left, built.left)
        openings = [] if built is None else list(built.openings)
        for slot in bay.prescribed:
            if openings:
                spot = self.problem.runs[bay.run].prescribed_spot
                self.filling.hint_columns(slot, self.filling.columns_of(openings.pop(0), spot))
        floor = next((item for item in openings if item.bottom == 0), None)
        above = next((item for item in openings if item.bottom >= top), None)
        between = [item for item in openings if item is not floor and item is not above and item.holds]
        between += [None] * (len(bay.slots) - len(between))  # type: ignore[list-item]
        pairs = [(bay.floor, floor), (bay.above, above), *zip(bay.slots, between, strict=False)]
        for slot, opening in pairs:
            columns = self.filling.columns_of(opening, self.problem.runs[bay.run].spot) if opening else {}
            need = max((tower.need for tower in columns), default=0)
            for choice, chosen in slot.choice.items():
                is_it = opening is not None and bool(columns) and choice == (opening.kind, need)
                hint(chosen, int(is_it))
            self.filling.hint_columns(slot, columns)
            if slot.elevation is not None and opening is not None:
                hint(slot.elevation, opening.bottom)

    def _free_slot(
        self, name: str, candidates: Sequence[tuple[OpeningKind, int]], width: Var, used: Var, run: int
    ) -> ModelOpening:
        model, rules = self.program, self.problem.rules
        widest = {kind: self.problem.longest(run, kind) for kind in OpeningKind}
        choice = {item: model.new_bool_var(f"{name} {item[0]} {item[1]}") for item in candidates}
        model.add(sum(choice.values()) <= used)
        slot = ModelOpening([], choice)
        for tower in self.filling.towers(self.problem.runs[run].spot):
            enough = [
                chosen for (kind, height), chosen in choice.items() if kind is tower.kind and height >= tower.need
            ]
            most = self.filling.most(tower, room_of(rules, tower.kind, widest[tower.kind]))
            if enough and most > 0:
                tower, number = self.filling.column(tower, room_of(rules, tower.kind, widest[tower.kind]))
                model.add(number <= most * sum(enough))
                slot.columns.append((tower, number))
        drawer = sum(chosen for (kind, _), chosen in choice.items() if kind is OpeningKind.DRAWER)
        self._fits(slot, width - DRAWER_SIDES * drawer)
        return slot

    def _above_slot(self, number: int, run_index: int, width: Var, left: Var | None, used: Var) -> ModelOpening:
        """The opening above the top panel; which things it takes depends on the ceiling there."""
        run, top = self.problem.runs[run_index], self.problem.top
        highest = self.problem.above_under(run, max(run.ceiling_left, run.ceiling_right))
        needs = [
            item for item in candidate_heights(self.filling.towers(run.spot), highest) if item[0] is OpeningKind.SHELF
        ]
        slot = self._free_slot(f"above {number}", needs, width, used, run_index)
        if run.is_sloped and left is not None:
            under = top - self.problem.head_under(run, top)
            for (_, height), chosen in slot.choice.items():
                self._ceiling_at_least(run_index, left, width, top + max(height, under), chosen)
        return slot

    def _ceiling_at_least(self, run_index: int, left: Var, width: Var, height: Linear, condition: Var) -> None:
        """Where the condition holds, the ceiling over the whole bay is at least so high."""
        run = self.problem.runs[run_index]
        lowest_at = left + width if run.ceiling_left > run.ceiling_right else left
        whole = run.whole or run.width
        at_place = run.ceiling_left * whole + (run.ceiling_right - run.ceiling_left) * (lowest_at + run.offset)
        self.program.add(height * whole <= at_place).only_enforce_if(condition)

    def _fits(self, slot: ModelOpening, room: Linear) -> None:
        spare = self.problem.rules.spare
        taken = sum(tower.width * number for tower, number in slot.columns)
        if slot.columns:
            self.program.add(spare.denominator * taken <= (spare.denominator - spare.numerator) * room)

    def _spans(self, bay: ModelBay) -> None:
        """Rule 1: longest shelf where the bay has one, else longest rod."""
        model = self.program
        limits = {kind: self.problem.longest(bay.run, kind) for kind in (OpeningKind.SHELF, OpeningKind.HANG)}
        for is_rod, limit in ((kind is OpeningKind.HANG, limit) for kind, limit in limits.items()):
            if limit < max(limits.values()):
                has_one = model.new_bool_var("has a rod" if is_rod else "has a shelf")
                for slot in (bay.floor, *bay.slots, bay.above):
                    for (kind, _), chosen in slot.choice.items():
                        if (kind is OpeningKind.HANG) is is_rod:
                            model.add_implication(chosen, has_one)
                model.add_implication(bay.bare[OpeningKind.HANG if is_rod else OpeningKind.SHELF], has_one)
                model.add(bay.width <= limit).only_enforce_if(has_one)

    def _heights(self, bay: ModelBay) -> None:
        """Rule 3: bottom panel or rod on the floor, openings and panels, top panel."""
        model, rules, run = self.program, self.problem.rules, self.problem.runs[bay.run]
        thick = rules.panel
        highest = self.problem.head_under(run, max(run.ceiling_left, run.ceiling_right))
        upper: Linear = highest
        if run.is_sloped and bay.left is not None:
            upper = model.new_int_var(0, highest, "upper face of the top panel")
            under = self.problem.top - self.problem.head_under(run, self.problem.top)
            self._ceiling_at_least(bay.run, bay.left, bay.width, upper + under, bay.used)
        on_floor = sum(bay.floor.choice.values())
        stacked = sum(
            (height + thick) * chosen for slot in (bay.floor, *bay.slots) for (_, height), chosen in slot.choice.items()
        )
        model.add(rules.base_over(run.prescribed) * (1 - on_floor) + stacked <= upper).only_enforce_if(bay.used)
        self._bare(bay, upper)
        if rules.highest_drawer:
            lowest = sum((height + thick) * chosen for (_, height), chosen in bay.floor.choice.items())
            self._drawers_low(bay, rules.base_over(run.prescribed) * (1 - on_floor) + lowest, highest)
        if run.blocked:
            self._avoid_blocked(bay, upper)

    def _bare(self, bay: ModelBay, upper: Linear) -> None:
        """A bay that holds nothing below its top panel has one opening there, lower than any thing needs, perhaps.

        Whether a blocked part leaves room for that opening is not asked: a bound may be too high, never too low.
        """
        model, rules, run = self.program, self.problem.rules, self.problem.runs[bay.run]
        if bay.prescribed:
            return
        model.add(
            sum(chosen for slot in (bay.floor, *bay.slots) for chosen in slot.choice.values()) + sum(bay.bare.values())
            >= bay.used
        )
        for kind, chosen in bay.bare.items():
            if kind not in run.kinds:
                model.add(chosen == 0)
            model.add(rules.base + max(1, rules.least_of(kind)) + rules.panel <= upper).only_enforce_if(chosen)

    def _drawers_low(self, bay: ModelBay, start: Linear, highest: int) -> None:
        """No drawer of a bay ends too high when the drawers stand on one another from `start` on."""
        most = drawer_room(self.problem, 0, highest, self.problem.runs[bay.run].is_sloped)
        drawers = [
            (height + self.problem.rules.panel, chosen)
            for slot in bay.slots
            for (kind, height), chosen in slot.choice.items()
            if kind is OpeningKind.DRAWER
        ]
        for _, chosen in drawers:
            self.program.add(start + sum(cost * item for cost, item in drawers) <= most).only_enforce_if(chosen)

    def _avoid_blocked(self, bay: ModelBay, upper: Linear) -> None:
        """A bay lies beside a blocked part, or spans it and leaves it open from panel to panel."""
        model, thick, run = self.program, self.problem.rules.panel, self.problem.runs[bay.run]
        left = bay.left
        if left is None:
            msg = "a wall with a blocked part gives its bays a place"
            raise AssertionError(msg)
        order = [bay.floor, *bay.slots]
        tallest = self.problem.top
        for slot in order:
            slot.elevation = model.new_int_var(0, tallest, "bottom")
        heights = [sum(height * chosen for (_, height), chosen in slot.choice.items()) for slot in order]
        is_used = [sum(slot.choice.values()) for slot in order]
        model.add(bay.floor.elevation == 0)
        on_floor = is_used[0]
        model.add(bay.slots[0].elevation >= self.problem.rules.base_over(run.prescribed) * (1 - on_floor))
        for index in range(1, len(order)):
            lower, upper_slot = order[index - 1], order[index]
            model.add(upper_slot.elevation >= lower.elevation + heights[index - 1] + thick * is_used[index - 1])
            if index >= 2:
                model.add(is_used[index] <= is_used[index - 1])
        model.add(order[-1].elevation + heights[-1] + thick * is_used[-1] <= upper).only_enforce_if(bay.used)
        for box in run.blocked:
            before, behind, spanning = (model.new_bool_var(word) for word in ("before", "behind", "spanning"))
            model.add(before + behind + spanning == 1)
            model.add(left + bay.width + thick <= box.left).only_enforce_if(before, bay.used)
            model.add(left - thick >= box.right).only_enforce_if(behind, bay.used)
            model.add(left <= box.left).only_enforce_if(spanning, bay.used)
            model.add(left + bay.width >= box.right).only_enforce_if(spanning, bay.used)
            for index, slot in enumerate(order):
                below = model.new_bool_var("below")
                foot = 0 if index == 0 else thick
                for chosen in slot.choice.values():
                    model.add(slot.elevation + heights[index] + thick <= box.bottom).only_enforce_if(
                        below, spanning, chosen
                    )
                    model.add(slot.elevation - foot >= box.top).only_enforce_if(~below, spanning, chosen)
            if box.top > self.problem.top - thick:
                for chosen in bay.above.choice.values():
                    model.add_implication(chosen, ~spanning)
