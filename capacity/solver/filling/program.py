"""The integer model of what stands in given openings.

For every opening o and every tower T that it may hold there is a whole number k[o,T] of columns. With n_g
pieces of group g, value v_g, and p_T pieces in a column of width w_T,

    maximise  sum_g v_g S_g     subject to   S_g <= n_g,   S_g <= sum_{o,T of g} p_T k[o,T],
              sum_T w_T k[o,T] <= room of o.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from ortools.sat.python import cp_model
from ortools.sat.python.cp_model import CpSolverStatus

from capacity.layout.layout import Bay, Holding, Opening, site_of
from capacity.layout.problem import OpeningKind, Problem, Site
from capacity.layout.towers import Group, Tower, best_towers, columns_needed, groups_of, room_of, towers_of

__all__ = ["CpSolverStatus", "FillingModel", "Linear", "ModelOpening", "Var"]

Var = cp_model.IntVar
Linear = Any
"""A linear expression of OR-Tools, whose own union type has no usable arithmetic."""


@dataclass(slots=True)
class ModelOpening:
    """One opening in the model: fixed when `choice` is empty, else to be chosen among (kind, height)."""

    columns: list[tuple[Tower, Var]]
    choice: dict[tuple[OpeningKind, int], Var] = field(default_factory=dict)
    elevation: Any = None


class FillingModel:
    """One integer program over openings that stand, built up bay by bay and then solved once.

    Parameters
    ----------
    problem
        The facts.
    counts
        Pieces of each thing instead of its own count, in the order of the things.
    must_store_all
        Ask whether everything fits instead of for the largest value.
    """

    def __init__(self, problem: Problem, counts: Sequence[int] | None = None, must_store_all: bool = False) -> None:
        self.problem = problem
        self.groups: tuple[Group, ...] = groups_of(problem, counts)
        self.program = cp_model.CpModel()
        self._towers: dict[Site, tuple[Tower, ...]] = {}
        self._supply: list[list[Linear]] = [[] for _ in self.groups]
        self._must_store_all = must_store_all
        self.stored: list[Var] = []
        self.fixed: dict[object, ModelOpening] = {}

    def towers(self, spot: Site) -> tuple[Tower, ...]:
        """The towers for the bays of one spot."""
        if spot not in self._towers:
            self._towers[spot] = towers_of(self.problem, self.groups, spot)
        return self._towers[spot]

    # ---- openings that stand ------------------------------------------------------------------------

    def add_fixed_bay(self, key: tuple[int, int], bay: Bay, kinds: Iterable[OpeningKind] = tuple(OpeningKind)) -> None:
        """Add the openings of a bay (run, number) as they are; slot i is found again under (key, i)."""
        wanted = tuple(kinds)
        owner = self.owner_choice(f"bay {key}")
        for index, opening in enumerate(bay.openings):
            if opening.kind in wanted:
                spot = site_of(self.problem, key[0], bay, index)
                slot = self.standing(spot, opening.kind, opening.height, bay.width)
                self.keep_owners_apart(slot, owner)
                self.fixed[(key, index)] = slot

    def standing(self, spot: Site, kind: OpeningKind, height: int, width: int) -> ModelOpening:
        """An opening whose clear sizes are given [ticks]."""
        room = room_of(self.problem.rules, kind, width)
        towers = best_towers(self.towers(spot), kind, height)
        slot = ModelOpening([self.column(tower, room) for tower in towers if self.most(tower, room) > 0])
        self.program.add(sum(tower.width * number for tower, number in slot.columns) <= room)
        return slot

    def hint_fixed_bay(self, key: tuple[int, int], bay: Bay) -> None:
        """Start from what the bay holds."""
        for index, opening in enumerate(bay.openings):
            slot = self.fixed.get((key, index))
            if slot is not None:
                self.hint_columns(slot, self.columns_of(opening, site_of(self.problem, key[0], bay, index)))

    # ---- solving ------------------------------------------------------------------------------------

    def close(self, known_bound: int | None = None) -> None:
        """Tie contents to what there is and set the goal; nothing may be added after this."""
        for index, group in enumerate(self.groups):
            supply = sum(self._supply[index])
            if self._must_store_all:
                self.program.add(supply >= group.count)
                continue
            stored = self.program.new_int_var(0, group.count, f"stored {index}")
            self.program.add(stored <= supply)
            self.stored.append(stored)
        if not self._must_store_all:
            value = sum(group.value * stored for group, stored in zip(self.groups, self.stored, strict=True))
            if known_bound is not None:
                self.program.add(value <= known_bound)
            self.program.maximize(value)

    def contents(
        self, solver: cp_model.CpSolver, slots: Iterable[tuple[object, ModelOpening]]
    ) -> dict[object, tuple[Holding, ...]]:
        """What each slot holds, piles handed out in the order of the slots."""
        left = {index: list(self._shares(group)) for index, group in enumerate(self.groups)}
        held: dict[object, tuple[Holding, ...]] = {}
        for key, slot in slots:
            room: dict[tuple[int, bool], int] = {}
            for tower, number in slot.columns:
                place = (tower.group, tower.turned)
                room[place] = room.get(place, 0) + tower.pieces * solver.value(number)
            holds: list[Holding] = []
            for (group, turned), pieces in sorted(room.items()):
                for share in left[group]:
                    taken = min(pieces, share[1])
                    if taken > 0:
                        holds.append(Holding(self.problem.things[share[0]].row, taken, turned))
                        share[1] -= taken
                        pieces -= taken
            held[key] = tuple(sorted(holds))
        return held

    # ---- parts --------------------------------------------------------------------------------------

    def _shares(self, group: Group) -> Iterable[list[int]]:
        left = group.count
        for index in group.members:
            # scaled counts are handed out in the order of the members; unscaled ones come out as they are
            share = left if index == group.members[-1] else min(left, self.problem.things[index].count)
            left -= share
            yield [index, share]

    def most(self, tower: Tower, room: int) -> int:
        """Most columns of a tower that can be of use in so much room [ticks]."""
        count = self.groups[tower.group].count
        return min(-(-count // tower.pieces), room // tower.width)

    def column(self, tower: Tower, room: int) -> tuple[Tower, Var]:
        """A tower, and how many columns of it stand in so much room [ticks]."""
        number = self.program.new_int_var(0, self.most(tower, room), "")
        self._supply[tower.group].append(tower.pieces * number)
        return tower, number

    def owner_choice(self, name: str) -> dict[str, Var]:
        """Rule 10: at most one owner a bay; empty where owners are not kept apart."""
        if not self.problem.rules.owners_apart:
            return {}
        owners = {owner: self.program.new_bool_var(f"{name} of {owner}") for owner in self.problem.owners}
        self.program.add(sum(owners.values()) <= 1)
        return owners

    def keep_owners_apart(self, slot: ModelOpening, owners: dict[str, Var]) -> None:
        """Nothing of an owner stands in an opening of a bay that is not that owner's."""
        if not self.problem.rules.owners_apart:
            return
        for tower, number in slot.columns:
            owner = self.groups[tower.group].owner
            if owner is not None:
                most = self.groups[tower.group].count
                self.program.add(number <= most * owners[owner])

    def columns_of(self, opening: Opening, spot: Site) -> dict[Tower, int]:
        """How many columns of which tower an opening's contents make."""
        group_of = {self.problem.things[i].row: index for index, group in enumerate(self.groups) for i in group.members}
        best = {
            (tower.group, tower.turned): tower for tower in best_towers(self.towers(spot), opening.kind, opening.height)
        }
        pieces: dict[tuple[int, bool], int] = {}
        for holding in opening.holds:
            place = (group_of[holding.row], holding.turned)
            pieces[place] = pieces.get(place, 0) + holding.count
        columns: dict[Tower, int] = {}
        for place, count in pieces.items():
            tower = best.get(place)
            if tower is None:  # stored in a turning that is never better than the other
                tower = best.get((place[0], not place[1]))
            if tower is not None:
                columns[tower] = columns.get(tower, 0) + columns_needed(count, tower.pieces, 1)
        return columns

    def hint_columns(self, slot: ModelOpening, columns: dict[Tower, int]) -> None:
        """Start from so many columns of each tower."""
        for tower, number in slot.columns:
            self.program.add_hint(number, columns.get(tower, 0))
