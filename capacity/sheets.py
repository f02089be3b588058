"""How to cut everything from sheets or sticks at the least cost, then with the fewest cuts, with a proven bound.

Patterns come from a full list where there are few, and from pricing where there are many; CP-SAT chooses how many of
each; the choice is laid out and sawn again by the checker of `cutting` before anybody sees it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from capacity.cutting import CuttingPlan, FirstCut, Piece, Saw, Stock, cutting_faults
from capacity.cutting_bound import attainable, generate
from capacity.cutting_heuristic import Chosen, cuts_in, cuts_used, first_fit, lay_out
from capacity.cutting_patterns import (
    Frame,
    PieceType,
    SheetPattern,
    StripPattern,
    all_sheets,
    all_strips,
    frames_of,
    types_of,
)
from capacity.effort import Effort

BOTH = (FirstCut.RIP, FirstCut.CROSSCUT)

MOST_STRIPS, MOST_SHEETS = 6000, 3000
"""Longer lists than these, in one frame, are left to pricing."""

MOST_STICKS = 20_000
"""The same for sticks, of which those that waste too much are sorted out before the model is built."""

COST_WORK, CUTS_WORK = 6.0, 3.0
"""Deterministic work for the cost and for the number of cuts."""


@dataclass(frozen=True, slots=True)
class Pool:
    """Patterns to choose from; `is_complete` when no other pattern could do better."""

    strips: tuple[StripPattern, ...]
    sheets: tuple[SheetPattern, ...]
    is_complete: bool


class DoesNotFitError(ValueError):
    """A piece that fits on no sheet; `label` is its label."""

    def __init__(self, label: str) -> None:
        super().__init__(f"{label} fits on no sheet")
        self.label = label


def cut(
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    saw: Saw,
    effort: Effort,
    directions: Sequence[FirstCut] = BOTH,
) -> CuttingPlan:
    """Cut all pieces from as cheap a set of sheets as can be found.

    Parameters
    ----------
    pieces
        What is needed, each label once.
    stocks
        Sizes that can be bought, any number of each; sticks have width 1 and their pieces too.
    saw
        Kerf and trim.
    effort
        Work allowed; the same effort gives the same plan.
    directions
        First cuts allowed.

    Raises
    ------
    DoesNotFitError
        When a piece is larger than every trimmed sheet.
    AssertionError
        When the checker refuses the layout, which is a defect of this program.
    """
    if not pieces:
        return CuttingPlan((), 0, 0)
    types = types_of(pieces)
    frames = frames_of(types, stocks, saw, directions)
    for number, kind in enumerate(types):
        if not any(option.type == number for frame in frames for option in frame.options):
            raise DoesNotFitError(kind.labels[0])
    generated = generate(frames, types)
    pool = _pool(frames, types, generated.strips, generated.sheets)
    plans = [first_fit(frames, types, only) for only in (None, *range(len(frames)))]
    best = min((plan for plan in plans if plan is not None), key=lambda plan: _rank(frames, plan))
    chosen, bound = _choose(frames, types, pool, best, generated.bound, effort)
    layouts = lay_out(frames, types, chosen, saw)
    faults = list(cutting_faults(pieces, layouts, saw))
    if faults:
        msg = "the checker refuses the cutting: " + "; ".join(faults)
        raise AssertionError(msg)
    cost = sum(layout.stock.cost for layout in layouts)
    return CuttingPlan(layouts, cost, min(bound, cost))


def _cost(frames: Sequence[Frame], chosen: Sequence[Chosen]) -> int:
    return sum(frames[sheet.frame].stock.cost for sheet in chosen)


def _rank(frames: Sequence[Frame], chosen: Sequence[Chosen]) -> tuple[int, int]:
    return _cost(frames, chosen), cuts_used(frames, chosen)


def _pool(
    frames: Sequence[Frame],
    types: Sequence[PieceType],
    strips: Sequence[StripPattern],
    sheets: Sequence[SheetPattern],
) -> Pool:
    all_of_strips: list[StripPattern] = []
    all_of_sheets: list[SheetPattern] = []
    is_complete = True
    for number, frame in enumerate(frames):
        every = all_strips(frame, number, types, MOST_STICKS if frame.stock.width == 1 else MOST_STRIPS)
        is_complete = is_complete and every is not None
        all_of_strips += every if every is not None else [strip for strip in strips if strip.frame == number]
        sizes = all_sheets(frame, number, MOST_SHEETS)
        is_complete = is_complete and sizes is not None
        all_of_sheets += sizes if sizes is not None else [sheet for sheet in sheets if sheet.frame == number]
    return Pool(tuple(all_of_strips), tuple(all_of_sheets), is_complete)


def _choose(
    frames: Sequence[Frame],
    types: Sequence[PieceType],
    pool: Pool,
    start: tuple[Chosen, ...],
    bound: int,
    effort: Effort,
) -> tuple[tuple[Chosen, ...], int]:
    """The least cost, then the fewest cuts at that cost; and the bound, raised where the model proves more."""
    pool = _with(pool, start)
    best = start
    sparing = _sparing(frames, types, pool, bound)
    if _cost(frames, best) > bound and sparing is not None:
        found, _ = _solve(frames, types, _with(sparing, ()), best, None, effort, COST_WORK)
        if found is not None and _cost(frames, found) < _cost(frames, best):
            best = found
            pool = _with(pool, best)
    if _cost(frames, best) > bound:
        found, proven = _solve(frames, types, pool, best, None, effort, COST_WORK)
        if found is not None and _cost(frames, found) <= _cost(frames, best):
            best = found
        if pool.is_complete:
            bound = max(bound, attainable(proven, {frame.stock.cost for frame in frames}))
    if all(frame.stock.width == 1 for frame in frames):
        return best, bound  # a stick is one strip: nothing to choose
    fewer, _ = _solve(frames, types, pool, best, _cost(frames, best), effort, CUTS_WORK)
    if fewer is not None and _rank(frames, fewer) < _rank(frames, best):
        best = fewer
    return best, bound


def _sparing(frames: Sequence[Frame], types: Sequence[PieceType], pool: Pool, bound: int) -> Pool | None:
    """The sticks that waste no more than all together may, if the bound is to be reached; one stock only."""
    if len(frames) != 1 or frames[0].stock.width != 1 or bound % frames[0].stock.cost:
        return None
    frame = frames[0]
    use = {option.type: option.use for option in frame.options}
    total = sum(use[number] * kind.count for number, kind in enumerate(types))
    waste = bound // frame.stock.cost * frame.capacity - total
    kept = tuple(
        strip
        for strip in pool.strips
        if frame.capacity - sum(frame.options[option].use * count for option, count in strip.content) <= waste
    )
    return Pool(kept, pool.sheets, False) if kept else None


def _with(pool: Pool, start: Sequence[Chosen]) -> Pool:
    """The pool and the patterns of a plan that is known."""
    strips = {strip for sheet in start for strip in sheet.strips}
    sheets = {SheetPattern(sheet.frame, sheet.sizes) for sheet in start}
    return Pool(tuple(sorted({*pool.strips, *strips})), tuple(sorted({*pool.sheets, *sheets})), pool.is_complete)


def _solve(
    frames: Sequence[Frame],
    types: Sequence[PieceType],
    pool: Pool,
    start: Sequence[Chosen],
    cost_limit: int | None,
    effort: Effort,
    work: float,
) -> tuple[tuple[Chosen, ...] | None, int]:
    """Choose how many of each pattern: the least cost, or with a limit on it the fewest cuts."""
    model = cp_model.CpModel()
    need = sum(kind.count for kind in types)
    number_of = [model.new_int_var(0, need, f"strip {n}") for n in range(len(pool.strips))]
    sheets_of = [model.new_int_var(0, need, f"sheet {n}") for n in range(len(pool.sheets))]
    for number, kind in enumerate(types):
        terms = []
        for strip, n in zip(pool.strips, number_of, strict=True):
            options = frames[strip.frame].options
            each = sum(count for option, count in strip.content if options[option].type == number)
            if each:
                terms.append(each * n)
        model.add(sum(terms) >= kind.count)
    for index, frame in enumerate(frames):
        for size in frame.sizes:  # a strip may lie where a wider one would
            wanted = [
                n
                for strip, n in zip(pool.strips, number_of, strict=True)
                if strip.frame == index and strip.size >= size
            ]
            room = [
                sum(count for wide, count in sheet.strips if wide >= size) * n
                for sheet, n in zip(pool.sheets, sheets_of, strict=True)
                if sheet.frame == index
            ]
            if wanted:
                model.add(sum(wanted) <= sum(room))
    cost = sum(frames[sheet.frame].stock.cost * n for sheet, n in zip(pool.sheets, sheets_of, strict=True))
    if cost_limit is None:
        model.minimize(cost)
    else:
        model.add(cost <= cost_limit)
        cuts = [cuts_in(frames, strip) for strip in pool.strips]
        model.minimize(sum(each * n for each, n in zip(cuts, number_of, strict=True)))
    _hint(model, pool, start, number_of, sheets_of)
    solver, status = effort.solve(model, work)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None, 0
    strips = [strip for strip, n in zip(pool.strips, number_of, strict=True) for _ in range(solver.value(n))]
    sheets = [sheet for sheet, n in zip(pool.sheets, sheets_of, strict=True) for _ in range(solver.value(n))]
    return _put_together(types, frames, strips, sheets), round(solver.best_objective_bound)


def _hint(
    model: cp_model.CpModel,
    pool: Pool,
    start: Sequence[Chosen],
    number_of: Sequence[cp_model.IntVar],
    sheets_of: Sequence[cp_model.IntVar],
) -> None:
    strips = [strip for sheet in start for strip in sheet.strips]
    sheets = [SheetPattern(sheet.frame, sheet.sizes) for sheet in start]
    for strip, n in zip(pool.strips, number_of, strict=True):
        model.add_hint(n, strips.count(strip))
    for sheet, n in zip(pool.sheets, sheets_of, strict=True):
        model.add_hint(n, sheets.count(sheet))


def _put_together(
    types: Sequence[PieceType],
    frames: Sequence[Frame],
    strips: Sequence[StripPattern],
    sheets: Sequence[SheetPattern],
) -> tuple[Chosen, ...]:
    """Strips into the places of the sheets, widest first; what nobody needs is left out."""
    left = [kind.count for kind in types]
    trimmed: list[StripPattern] = []
    for strip in sorted(strips, key=lambda strip: (-strip.size, strip.frame, strip.content)):
        options = frames[strip.frame].options
        content = []
        for option, count in strip.content:
            taken = min(count, left[options[option].type])
            left[options[option].type] -= taken
            if taken:
                content.append((option, taken))
        if content:
            size = max(options[option].size for option, _ in content)
            trimmed.append(StripPattern(strip.frame, size, tuple(content)))
    places = [
        (size, number)
        for number, sheet in enumerate(sheets)
        for size, count in sheet.strips
        for _ in range(count)
    ]  # fmt: skip
    inside: dict[int, list[StripPattern]] = {}
    for strip in sorted(trimmed, key=lambda strip: (-strip.size, strip.frame, strip.content)):
        able = [place for place in places if place[0] >= strip.size and sheets[place[1]].frame == strip.frame]
        place = min(able)  # the narrowest that is wide enough
        places.remove(place)
        inside.setdefault(place[1], []).append(strip)
    return tuple(
        Chosen(sheets[number].frame, tuple(sorted(held, key=lambda strip: (-strip.size, strip.content))))
        for number, held in sorted(inside.items())
    )
