"""How to cut everything from sheets or sticks at the least cost, then with the fewest cuts, with a proven bound.

Patterns come from a full list where there are few, and from pricing where there are many; `pattern_choice` says how
many of each; the choice is laid out and sawn again by the checker of `cutting` before anybody sees it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from capacity.solver.effort import Effort
from capacity.workshop.cutting.cutting_plan import Blank, CuttingPlan, FirstCut, Saw, Stock, cost_of, cutting_faults
from capacity.workshop.cutting.first_fit import ChosenSheet, cuts_used, first_fit, lay_out
from capacity.workshop.cutting.lower_bound import attainable, generate
from capacity.workshop.cutting.pattern_choice import Pool, choose
from capacity.workshop.cutting.patterns import (
    BlankType,
    SheetFrame,
    SheetPattern,
    StripPattern,
    all_sheets,
    all_strips,
    frames_of,
    types_of,
)

BOTH = (FirstCut.RIP, FirstCut.CROSSCUT)

MOST_STRIPS, MOST_SHEETS = 6000, 3000
"""Longer lists than these, in one frame, are left to pricing."""

MOST_STICKS = 20_000
"""The same for sticks, of which those that waste too much are sorted out before the model is built."""

COST_NODES, CUTS_NODES = 5000, 200
"""Nodes of the integer program for the cost and for the number of cuts."""


class DoesNotFitError(ValueError):
    """A piece that fits on no sheet; `label` is its label."""

    def __init__(self, label: str) -> None:
        super().__init__(f"{label} fits on no sheet")
        self.label = label


def cut(
    pieces: Sequence[Blank],
    stocks: Sequence[Stock],
    saw: Saw,
    effort: Effort,
    directions: Sequence[FirstCut] = BOTH,
    with_few_cuts: bool = True,
) -> CuttingPlan:
    """Cut all pieces from as cheap a set of sheets as can be found.

    Parameters
    ----------
    pieces
        What is needed, each label once.
    stocks
        Sizes that can be bought, any number of each, and what is owned; sticks have width 1 and their pieces too.
    saw
        Kerf and trim.
    effort
        Work allowed; the same effort gives the same plan.
    directions
        First cuts allowed.
    with_few_cuts
        Whether the fewest cuts at that cost are looked for; without it only the cost is.

    Raises
    ------
    DoesNotFitError
        When a piece is larger than every trimmed sheet that is sold.
    AssertionError
        When the checker refuses the layout, which is a defect of this program.
    """
    if not pieces:
        return CuttingPlan((), 0, 0)
    types = types_of(pieces)
    frames = _frames(types, stocks, saw, directions)
    generated = generate(frames, types)
    plans = [first_fit(frames, types, only) for only in (None, *range(len(frames)))]
    chosen = min((plan for plan in plans if plan is not None), key=lambda plan: _rank(frames, plan))
    owned = sum(stock.owned * stock.cost for stock in {frame.stock for frame in frames})
    bound = max(0, generated.bound - owned)
    if with_few_cuts or _cost(frames, chosen) > bound:
        pool = _pool(frames, types, generated.strips, generated.sheets)
        chosen, bound = _cheapest(frames, types, pool, chosen, bound, effort)
        if with_few_cuts:
            chosen = _with_few_cuts(frames, types, pool, chosen, effort)
    layouts = lay_out(frames, types, chosen, saw)
    faults = list(cutting_faults(pieces, layouts, saw))
    if faults:
        msg = "the checker refuses the cutting: " + "; ".join(faults)
        raise AssertionError(msg)
    cost = cost_of(layout.stock for layout in layouts)
    return CuttingPlan(layouts, cost, min(bound, cost))


def cut_at_once(pieces: Sequence[Blank], stocks: Sequence[Stock], saw: Saw) -> CuttingPlan:
    """Cut all pieces in the first way that is found, without a search; the bound is that of their area.

    For orders of hundreds of pieces. Parameters and errors as for `cut`.
    """
    types = types_of(pieces)
    frames = frames_of(types, stocks, saw, BOTH)
    plans = [first_fit(frames, types, only) for only in (None, *range(len(frames)))]
    found = [plan for plan in plans if plan is not None]
    if not found:
        raise DoesNotFitError(types[0].labels[0])
    layouts = lay_out(frames, types, min(found, key=lambda plan: _rank(frames, plan)), saw)
    faults = list(cutting_faults(pieces, layouts, saw))
    if faults:
        msg = "the checker refuses the cutting: " + "; ".join(faults)
        raise AssertionError(msg)
    area = sum(piece.length * piece.width for piece in pieces)
    cheapest = min(Fraction(stock.cost, stock.length * stock.width) for stock in stocks)
    return CuttingPlan(layouts, cost_of(layout.stock for layout in layouts), math.ceil(area * cheapest))


def _cost(frames: Sequence[SheetFrame], chosen: Sequence[ChosenSheet]) -> int:
    return cost_of(frames[sheet.frame].stock for sheet in chosen)


def _rank(frames: Sequence[SheetFrame], chosen: Sequence[ChosenSheet]) -> tuple[int, int]:
    return _cost(frames, chosen), cuts_used(frames, chosen)


def _pool(
    frames: Sequence[SheetFrame],
    types: Sequence[BlankType],
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


def least_cost(pieces: Sequence[Blank], stocks: Sequence[Stock], saw: Saw) -> int:
    """What no cutting of all pieces can cost less than, by pricing alone. Parameters and errors as for `cut`."""
    types = types_of(pieces)
    bound = generate(_frames(types, stocks, saw, BOTH), types).bound
    return max(0, bound - sum(stock.owned * stock.cost for stock in stocks))


def _frames(
    types: Sequence[BlankType], stocks: Sequence[Stock], saw: Saw, directions: Sequence[FirstCut]
) -> tuple[SheetFrame, ...]:
    """Every stock with every first cut; refused where a piece fits on none that is sold."""
    frames = frames_of(types, stocks, saw, directions)
    for number, kind in enumerate(types):
        if not any(option.type == number for frame in frames if frame.stock.is_sold for option in frame.options):
            raise DoesNotFitError(kind.labels[0])
    return frames


def _cheapest(
    frames: Sequence[SheetFrame],
    types: Sequence[BlankType],
    pool: Pool,
    start: tuple[ChosenSheet, ...],
    bound: int,
    effort: Effort,
) -> tuple[tuple[ChosenSheet, ...], int]:
    """The least cost that is found, and the bound, raised where the model proves more."""
    best = start
    sparing = _sparing(frames, types, pool, bound)
    if _cost(frames, best) > bound and sparing is not None:
        found = choose(frames, types, sparing, effort, COST_NODES)
        if found.sheets is not None and _cost(frames, found.sheets) < _cost(frames, best):
            best = found.sheets
    if _cost(frames, best) > bound:
        found = choose(frames, types, pool.with_plan(best), effort, COST_NODES)
        if found.sheets is not None and _rank(frames, found.sheets) < _rank(frames, best):
            best = found.sheets
        if pool.is_complete:
            bound = max(bound, attainable(found.least, {frame.stock.cost for frame in frames}))
    return best, bound


def _with_few_cuts(
    frames: Sequence[SheetFrame], types: Sequence[BlankType], pool: Pool, best: tuple[ChosenSheet, ...], effort: Effort
) -> tuple[ChosenSheet, ...]:
    """The fewest cuts at the cost of a cutting; a stick is one strip, with nothing to choose."""
    if all(frame.stock.width == 1 for frame in frames):
        return best
    fewer = choose(frames, types, pool.with_plan(best), effort, CUTS_NODES, _cost(frames, best))
    is_better = fewer.sheets is not None and _rank(frames, fewer.sheets) < _rank(frames, best)
    return fewer.sheets if fewer.sheets is not None and is_better else best


def _sparing(frames: Sequence[SheetFrame], types: Sequence[BlankType], pool: Pool, bound: int) -> Pool | None:
    """The sticks that waste no more than all together may, if the bound is to be reached; one stock only."""
    if len(frames) != 1 or frames[0].stock.width != 1 or frames[0].stock.owned or bound % frames[0].stock.cost:
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
