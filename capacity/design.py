"""Choose bay widths, openings and rods of all walls together: the search and its proven bound.

Start from the best of the rule of thumb's variants and today's closet, filled as well as possible. Then, by
CP-SAT on the aggregated model (`cpsat`): the whole problem at once where it is small; else, again and again,
one or two bays taken out and designed anew while every other opening stays and all contents may move. Every
step is a count of deterministic work with one worker, so that the same problem and seed give the same layout.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from capacity.building import Piece, Sketch, build_wall, finish, sketch_of, without_long_tops
from capacity.cpsat import FreeBay, Linear, Model, Slot
from capacity.effort import Effort
from capacity.filling import Filling, fill, placeable
from capacity.layout import Bay, Holding, Layout, WallLayout, value_of
from capacity.problem import OpeningKind, Problem
from capacity.recreate import Recreator, is_free_of_blocked
from capacity.rule_of_thumb import rule_of_thumb, variants
from capacity.towers import candidate_heights, groups_of, towers_of
from capacity.verify import violations

START_WORK = 0.05
"""Deterministic work to fill one start."""

RECREATIONS = 400
"""Quick moves without a better layout after which the exact ones begin."""

STEP_WORK = 0.3
"""Deterministic work to design one or two bays anew."""

STEPS = 8
"""Steps without a better layout after which the search ends, per wall at most six bays."""

WHOLE_WORK = 6.0
"""Deterministic work on the whole problem at once, where it is small."""

SMALL = 9_000
"""Choices (binaries and columns) up to which the whole problem is given to CP-SAT at once."""


@dataclass(frozen=True, slots=True)
class Design:
    """The layout found, what it stores, the proven bound over all layouts, and the comparator's filling."""

    filling: Filling
    bound: int
    comparator: Filling

    @property
    def layout(self) -> Layout:
        """The layout with what it holds."""
        return self.filling.layout

    @property
    def value(self) -> int:
        """What the layout stores."""
        return self.filling.value


def design(problem: Problem, effort: Effort, today: Filling | None = None) -> Design:
    """Find a layout that stores as much value as possible, with a proven bound.

    Parameters
    ----------
    problem
        The facts.
    effort
        The budget; progress is reported to it.
    today
        A filled layout to start from as well, if it satisfies the fit rules; the result is never worth less.
    """
    able = placeable(problem)
    bound = sum(thing.value * thing.count for thing, fits in zip(problem.things, able, strict=True) if fits)
    effort.report("laying out by rule of thumb", 0, bound, problem.value_of_all)
    comparator, start = _starts(problem, effort, today)
    search = _Search(problem, effort, start, bound)
    search.run()
    finished = finish(problem, search.best)
    filled = fill(problem, finished, effort)
    if violations(problem, filled.layout) or filled.value < value_of(problem, search.best):
        msg = f"finishing spoiled the layout: {violations(problem, filled.layout)}"
        raise AssertionError(msg)
    if filled.value > search.bound:
        msg = f"a layout of value {filled.value} refutes the bound of {search.bound}"
        raise AssertionError(msg)
    return Design(filled, search.bound, comparator)


def _starts(problem: Problem, effort: Effort, today: Filling | None) -> tuple[Filling, Layout]:
    """The comparator, filled as well as possible, and the best layout to start from."""
    best: Filling | None = None
    comparator: Filling | None = None
    for owners in problem.corner_choices():
        rule = rule_of_thumb(problem, owners)
        others = [item for item in variants(problem, owners) if item not in rule]
        for layout in [*rule, *others]:
            if comparator is not None and effort.is_over:
                break
            filling = fill(problem, layout, effort, START_WORK)
            if layout in rule and (comparator is None or filling.value > comparator.value):
                comparator = filling
            if best is None or filling.value > best.value:
                best = filling
    if comparator is None or best is None:
        msg = "the rule of thumb gave no layout"
        raise AssertionError(msg)
    comparator = fill(problem, comparator.layout, effort)
    if comparator.value > best.value:
        best = comparator
    has_bays = today is not None and any(wall.bays for wall in today.layout.walls)
    if today is not None and has_bays and today.value >= best.value and not violations(problem, today.layout):
        best = today
    return comparator, without_long_tops(problem, best.layout)


class _Search:
    """The best layout so far and the moves that better it."""

    def __init__(self, problem: Problem, effort: Effort, start: Layout, bound: int) -> None:
        self.problem = problem
        self.effort = effort
        self.best = start
        self.value = value_of(problem, start)
        self.bound = bound
        self.random = random.Random(effort.seed)
        self._bound_from_room()

    def run(self) -> None:
        """Search until the proof is complete, the work is done, or somebody asks to stop."""
        self._report()
        if self._is_done:
            return
        self._recreate()
        if not self._is_done and self._choices() <= SMALL:
            self._whole()
        stale = 0
        while not self._is_done and stale < STEPS and not self.effort.is_over:
            stale = 0 if self._step() else stale + 1

    @property
    def _is_done(self) -> bool:
        return self.value >= self.bound

    def _report(self) -> None:
        self.effort.report("designing", self.value, self.bound, self.problem.value_of_all)

    def _choices(self) -> int:
        total = 0
        for run in self.problem.runs:
            towers = towers_of(self.problem, groups_of(self.problem), run.depth)
            heights = candidate_heights(towers, self.problem.top)
            total += (
                _most_bays(self.problem, run.width) * _most_slots(self.problem, heights) * (len(towers) + len(heights))
            )
        return total

    # ---- bound --------------------------------------------------------------------------------------

    def _bound_from_room(self) -> None:
        """No layout can hold things whose fronts, panels included, are larger than the walls."""
        problem, rules = self.problem, self.problem.rules
        model = cp_model.CpModel()
        groups = groups_of(problem)
        least: dict[int, int] = {}
        for run in problem.runs:
            for tower in towers_of(problem, groups, run.depth):
                # front per piece in square sixteenths of an inch, rounded down so that it stays a bound
                front = tower.width * (tower.need + rules.panel) // tower.pieces // _SQUARE
                least[tower.group] = min(front, least.get(tower.group, front))
        room = max(self._front(owners) for owners in problem.corner_choices())
        stored = [model.new_int_var(0, group.count if index in least else 0, "") for index, group in enumerate(groups)]
        model.add(sum(least[index] * stored[index] for index in sorted(least)) <= room)
        model.maximize(sum(group.value * number for group, number in zip(groups, stored, strict=True)))
        solver, status = self.effort.solve(model, 1.0)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            self.bound = min(self.bound, int(solver.best_objective_bound + 1e-6))

    def _front(self, owners: tuple[bool, ...]) -> int:
        """Front of all walls between the uprights and from the floor to the ceiling, rounded up."""
        rules, front = self.problem.rules, 0
        for index, run in enumerate(self.problem.runs):
            start, end = self.problem.ends_of(index, owners)
            bays = -(-(end - start - rules.panel) // (max(rules.max_shelf, rules.max_rod) + rules.panel))
            ceiling = max(run.ceiling_left, run.ceiling_right)
            height = max(ceiling, min(self.problem.top, ceiling)) + rules.panel
            front += max(0, end - start - (bays + 1) * rules.panel) * height
        return -(-front // _SQUARE)

    def _recreate(self) -> None:
        """Many quick moves: bays built anew by a greedy rule, kept when no worse."""
        recreator = Recreator(self.problem, self.random)
        current, value, stale = self.best, self.value, 0
        while stale < RECREATIONS * self.effort.factor and not self._is_done and not self.effort.is_over:
            stale += 1
            picked = {
                (w, b)
                for w, b in self._pick(current)
                if b < len(current.walls[w].bays) and is_free_of_blocked(self.problem, w, current.walls[w].bays[b])
            }
            if not picked:
                continue
            layout = recreator.rebuild(current, picked)
            new = value_of(self.problem, layout)
            if new >= value:
                current, value = layout, new
            if new > self.value and self._accept(layout):
                stale = 0

    # ---- moves --------------------------------------------------------------------------------------

    def _whole(self) -> None:
        """All bays of all walls at once, corners too."""
        problem = self.problem
        model = Model(problem)
        groups: list[list[FreeBay]] = []
        firsts = [model.model.new_bool_var(f"corner {index}") for index in range(len(problem.corners))]
        for index, run in enumerate(problem.runs):
            start: Linear = 0
            end: Linear = run.width
            for corner, first in zip(problem.corners, firsts, strict=True):
                if corner.starts == index:
                    start = start + (problem.runs[corner.ends].depth + problem.rules.corner_access) * first
                if corner.ends == index:
                    end = end - (problem.runs[corner.starts].depth + problem.rules.corner_access) * (1 - first)
            heights = candidate_heights(model.towers(run.depth), problem.top)
            slots = _most_slots(problem, heights)
            bays = [model.add_free_bay(index, start, end, slots) for _ in range(_most_bays(problem, run.width))]
            if run.is_plain:
                # a wall that loses all its width to a corner has no bay, but rules out no layout of the others
                room = model.model.new_int_var(problem.rules.panel, max(problem.rules.panel, run.width), "room")
                for bay in bays:
                    model.model.add(room <= end - start).only_enforce_if(bay.used)
                model.add_width_limit(index, room - problem.rules.panel)
            else:
                model.add_order(bays)
            groups.append(bays)
        model.close(self.bound)
        for index, bays in enumerate(groups):
            built = self.best.walls[index].bays
            for number, bay in enumerate(bays):
                model.hint_free_bay(bay, self._tight(index, built[number]) if number < len(built) else None)
        for first, owns in zip(firsts, self.best.owners, strict=True):
            model.model.add_hint(first, owns)
        solver, status = self.effort.solve(model.model, WHOLE_WORK)
        if status == cp_model.INFEASIBLE:
            msg = "no layout at all satisfies the model, not even an empty one"
            raise AssertionError(msg)
        if status != cp_model.UNKNOWN or solver.best_objective_bound > 0:  # 0 when it ended before it had any bound
            self.bound = min(self.bound, int(solver.best_objective_bound + 1e-6))
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            owners = tuple(bool(solver.value(first)) for first in firsts)
            self._accept(self._read(model, solver, dict(enumerate(groups)), {}, owners))
        self._report()

    def _step(self) -> bool:
        """Take one or two bays out and design them anew; True when the layout got better."""
        problem, best = self.problem, self.best
        picked = self._pick(best)
        model = Model(problem)
        kept: dict[tuple[int, int], None] = {}
        for w, wall in enumerate(best.walls):
            for b, bay in enumerate(wall.bays):
                if (w, b) not in picked:
                    model.add_fixed_bay((w, b), bay)
                    kept[(w, b)] = None
        free: dict[int, list[FreeBay]] = {}
        hints: list[tuple[FreeBay, tuple[int, int] | None]] = []
        for w in sorted({w for w, _ in picked}):
            out = sorted(b for wall, b in picked if wall == w)
            free[w] = self._free_bays(model, w, out)
            hints += [(bay, (w, out[i]) if i < len(out) else None) for i, bay in enumerate(free[w])]
        model.close(self.bound)
        for w, b in kept:
            model.hint_fixed_bay((w, b), best.walls[w].bays[b])
        for new, place in hints:
            model.hint_free_bay(new, self._tight(place[0], best.walls[place[0]].bays[place[1]]) if place else None)
        solver, status = self.effort.solve(model.model, STEP_WORK, least_seconds=0.1)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return False
        if int(solver.objective_value) <= self.value:
            return False
        return self._accept(self._read(model, solver, free, dict.fromkeys(free, picked), best.owners))

    def _pick(self, layout: Layout) -> set[tuple[int, int]]:
        """One or two bays, next to each other or anywhere."""
        places = [(w, b) for w, wall in enumerate(layout.walls) for b in range(len(wall.bays))]
        if not places:
            return {(self.random.randrange(len(layout.walls)), 0)}
        first = self.random.choice(places)
        near = [place for place in places if place[0] == first[0] and abs(place[1] - first[1]) == 1]
        far = [place for place in places if place != first]
        kind = self.random.random()
        if kind < 0.2 or not far:
            return {first}
        return {first, self.random.choice(near if near and kind < 0.6 else far)}

    def _free_bays(self, model: Model, w: int, out: Sequence[int]) -> list[FreeBay]:
        """Bays in the place of those taken out; one more than before where there is room for it."""
        problem, run, wall = self.problem, self.problem.runs[w], self.best.walls[w]
        thick = problem.rules.panel
        start, end = problem.ends_of(w, self.best.owners)
        slots = min(14, _most_slots(problem, candidate_heights(model.towers(run.depth), problem.top)))
        if run.is_plain:
            kept = sum(bay.width + thick for b, bay in enumerate(wall.bays) if b not in out)
            room = end - start - thick - kept
            number = min(len(out) + 1, max(1, room // (problem.rules.min_bay + thick)))
            bays = [model.add_free_bay(w, start, end, slots) for _ in range(number)]
            model.add_width_limit(w, room)
            return bays
        bays = []
        for group in _consecutive(out):
            low = start if group[0] == 0 else wall.bays[group[0] - 1].left + wall.bays[group[0] - 1].width
            high = end if group[-1] + 1 >= len(wall.bays) else wall.bays[group[-1] + 1].left
            number = min(len(group) + 1, max(1, (high - low - thick) // (problem.rules.min_bay + thick)))
            made = [model.add_free_bay(w, low, high, slots) for _ in range(number)]
            model.add_order(made)
            for bay in made:
                self._no_sliver(model, bay, low, high, is_wall=(group[0] == 0, group[-1] + 1 >= len(wall.bays)))
            bays += made
        return bays

    def _no_sliver(self, model: Model, bay: FreeBay, low: int, high: int, is_wall: tuple[bool, bool]) -> None:
        """Beside a kept bay its upright is shared, or the new bay brings its own: never part of one."""
        thick = self.problem.rules.panel
        if bay.left is None:
            return
        if not is_wall[0]:
            shared = model.model.new_bool_var("shares the left upright")
            model.model.add(bay.left == low + thick).only_enforce_if(shared)
            model.model.add(bay.left >= low + 2 * thick).only_enforce_if(~shared)
        if not is_wall[1]:
            shared = model.model.new_bool_var("shares the right upright")
            model.model.add(bay.left + bay.width == high - thick).only_enforce_if(shared)
            model.model.add(bay.left + bay.width <= high - 2 * thick).only_enforce_if(~shared)

    def _tight(self, w: int, bay: Bay) -> Bay:
        """A bay with its openings lowered to what they need, as a hint."""
        sketch = sketch_of(self.problem, w, bay)
        pieces = iter([*([sketch.floor] if sketch.floor else []), *sketch.pieces])
        openings = []
        for opening in bay.openings:
            if opening.bottom < self.problem.top and opening.holds:
                openings.append(replace(opening, height=next(pieces).height))
            elif opening.holds:
                openings.append(opening)
        return replace(bay, openings=tuple(openings))

    def _accept(self, layout: Layout) -> bool:
        value = value_of(self.problem, layout)
        if value <= self.value:
            return False
        broken = violations(self.problem, layout)
        if broken:
            raise AssertionError("; ".join(map(str, broken)))
        self.best, self.value = layout, value
        self._report()
        return True

    # ---- reading a solution -------------------------------------------------------------------------

    def _read(
        self,
        model: Model,
        solver: cp_model.CpSolver,
        free: dict[int, list[FreeBay]],
        picked: dict[int, set[tuple[int, int]]],
        owners: tuple[bool, ...],
    ) -> Layout:
        """The layout of a solution, verified by nobody yet."""
        slots: list[tuple[object, Slot]] = list(model.fixed.items())
        for w, bays in free.items():
            for n, bay in enumerate(bays):
                slots += [((w, n, i, "free"), slot) for i, slot in enumerate((bay.floor, *bay.slots, bay.above))]
        held = model.contents(solver, slots)
        walls: list[WallLayout] = []
        for w, wall in enumerate(self.best.walls):
            sketches: list[Sketch] = []
            if w in free:
                new = [
                    _sketch(solver, made, [held[(w, n, i, "free")] for i in range(len(made.slots) + 2)])
                    for n, made in enumerate(free[w])
                    if solver.value(made.used)
                ]
            else:
                new = []
            for b, old in enumerate(wall.bays):
                if w in free and ((w, b) in picked.get(w, set()) or not picked):
                    continue
                kept = replace(
                    old,
                    openings=tuple(
                        replace(opening, holds=held[((w, b), index)]) for index, opening in enumerate(old.openings)
                    ),
                )
                sketches.append(sketch_of(self.problem, w, kept))
            sketches += new
            if not self.problem.runs[w].is_plain:
                sketches.sort(key=lambda sketch: sketch.left or 0)
            sketches = [item for item in sketches if item.floor or item.pieces or item.above]
            walls.append(build_wall(self.problem, w, owners, sketches))
        return Layout(tuple(walls), owners)


_SQUARE = 508 * 508
"""A square sixteenth of an inch [square ticks]."""


def _most_bays(problem: Problem, width: int) -> int:
    return max(0, (width - problem.rules.panel) // (problem.rules.min_bay + problem.rules.panel))


def _most_slots(problem: Problem, heights: Iterable[tuple[OpeningKind, int]]) -> int:
    """Most openings one over the other in a bay."""
    lowest = min((height for _, height in heights), default=problem.top)
    return max(1, problem.top // (lowest + problem.rules.panel))


def _consecutive(numbers: Sequence[int]) -> list[list[int]]:
    """Split sorted numbers where one is left out."""
    groups: list[list[int]] = []
    for number in numbers:
        if groups and number == groups[-1][-1] + 1:
            groups[-1].append(number)
        else:
            groups.append([number])
    return groups


def _sketch(solver: cp_model.CpSolver, bay: FreeBay, held: Sequence[tuple[Holding, ...]]) -> Sketch:
    """A bay of a solution as floor opening, openings and what lies on top."""

    def piece(slot: Slot, holds: tuple[Holding, ...]) -> Piece | None:
        for (kind, height), chosen in slot.choice.items():
            if solver.value(chosen):
                return Piece(kind, height, holds)
        return None

    pieces = [piece(slot, holds) for slot, holds in zip(bay.slots, held[1:-1], strict=True)]
    return Sketch(
        width=solver.value(bay.width),
        floor=piece(bay.floor, held[0]),
        pieces=tuple(item for item in pieces if item is not None),
        above=held[-1],
        left=None if bay.left is None else solver.value(bay.left),
    )
