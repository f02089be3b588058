"""Cutting from sheets and sticks: published optima, brute force, the checker that saws again, bounds that hold.

`PUBLISHED` of `test_published_packing` are one sheet filled with the most valuable pieces; `LEVELS` are the sheets
that all copies of the same pieces need. How both are known is said there: any-stage optima as tabulated in Wang,
Baldacci, Liu and Wei, European Journal of Operational Research, 2025; two-staged optima and numbers of sheets
computed by an integer program of the level model (Lodi and Monaci, Mathematical Programming 94, 2003).
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from itertools import permutations

import pytest
from cut_lists import lists
from ortools.linear_solver import pywraplp
from sheets import GUILLOTINE, fewest
from support.published_packing import PUBLISHED, STICKS, Sheet

from capacity.solver.effort import Effort
from capacity.workshop.cutting.cutting_plan import Blank, FirstCut, Saw, SheetLayout, Stock, Strip, cutting_faults
from capacity.workshop.cutting.least_cost import BOTH, DoesNotFitError, cut
from capacity.workshop.cutting.lower_bound import attainable, generate
from capacity.workshop.cutting.patterns import all_sheets, all_strips, frames_of, types_of

RIP, CROSSCUT = FirstCut.RIP, FirstCut.CROSSCUT
CLEAN = Saw(0, 0)


def _pieces(sheet: Sheet) -> list[Blank]:
    return [
        Blank(f"{number}-{copy}", high, across, may_turn=False)
        for number, (across, high, _, copies) in enumerate(sheet.rows)
        for copy in range(copies)
    ]


def _stock(sheet: Sheet) -> Stock:
    return Stock("sheet", sheet.height, sheet.width, 1)


# ---- published two-staged problems ------------------------------------------------------------------------


def _most_valuable(sheet: Sheet, direction: FirstCut) -> int:
    """The most value on one sheet out of the very lists of strips and sheets from which `cut` chooses."""
    types = types_of(_pieces(sheet))
    (frame,) = frames_of(types, [_stock(sheet)], CLEAN, [direction])
    strips, sheets = all_strips(frame, 0, types, 10**6), all_sheets(frame, 0, 10**6)
    assert strips is not None
    assert sheets is not None
    solver = pywraplp.Solver.CreateSolver("SCIP")
    used = [solver.IntVar(0, 40, "") for _ in strips]
    chosen = [solver.BoolVar("") for _ in sheets]
    worth = []
    for number, kind in enumerate(types):
        each = [sum(n for option, n in strip.content if frame.options[option].type == number) for strip in strips]
        there = solver.Sum([n * y for n, y in zip(each, used, strict=True) if n])
        rows = [row for row in sheet.rows if (row[1], row[0]) == (kind.length, kind.width)]
        taken = [solver.IntVar(0, copies, "") for *_, copies in rows]
        solver.Add(solver.Sum(taken) <= there)
        worth += [value * n for (_, _, value, _), n in zip(rows, taken, strict=True)]
    solver.Add(solver.Sum(chosen) == 1)
    for size in frame.sizes:
        room = [sum(n for wide, n in one.strips if wide >= size) * z for one, z in zip(sheets, chosen, strict=True)]
        wide = [y for strip, y in zip(strips, used, strict=True) if strip.size >= size]
        solver.Add(solver.Sum(wide) <= solver.Sum(room))
    solver.Maximize(solver.Sum(worth))
    assert solver.Solve() == pywraplp.Solver.OPTIMAL
    return round(solver.Objective().Value())


MORE = {
    # Christofides and Whitlock, Operations Research 25, 1977
    "CGCUT3": Sheet(
        40, 70, 1860, (1720, 1740),
        "9x17:140 19x11:160*4 21x12:180*3 23x14:220*4 15x24:240*2 15x24:240 16x25:260*4 17x27:280*2 29x18:300*3 "
        "31x21:320*3 22x32:340*3 33x23:360*4 24x34:380*4 25x35:400*3 26x36:410*4 27x37:420*3 28x38:440*4 "
        "29x39:460*4 30x41:480*2 31x43:500*4",
    ),
    # Wang, Operations Research 31, 1983
    "WANG20": Sheet(
        70, 40, 2721, (2623, 2599),
        "43x31:1333 41x30:1230 39x29:1131 38x28:1064 37x27:999 36x26:936 35x25:875*2 34x24:816*2 23x33:759*3 "
        "32x22:704*2 21x31:651*3 18x29:522*3 27x17:459*2 25x16:400*4 24x15:360*3 14x23:322*4 12x21:252*3 "
        "11x19:209*4 17x9:153",
    ),
    # Cung, Hifi and Le Cun, International Transactions in Operational Research 7, 2000
    "CHL2s": Sheet(
        62, 55, 3279, (3162, 3198),
        "28x31:868 31x19:589*2 15x29:435*3 19x21:399 29x13:377*2 31x12:372*2 23x16:368 27x9:243*3 13x17:221*2 "
        "11x15:165*2",
    ),
}  # fmt: skip
"""Further problems of one sheet, with their optima as in `PUBLISHED`."""


@pytest.mark.parametrize("name", [*PUBLISHED, *MORE])
def test_the_strips_and_sheets_hold_the_published_two_staged_optima(name: str) -> None:
    """Both directions of the first cut: levels along the width are crosscuts, along the height rips."""
    sheet = (PUBLISHED | MORE)[name]
    for direction, optimum in zip((CROSSCUT, RIP), sheet.along, strict=True):
        assert _most_valuable(sheet, direction) == optimum


LEVELS = {
    "CGCUT1": (3, 2), "NGCUT1": (3, 3), "NGCUT2": (4, 4), "NGCUT3": (4, 4), "NGCUT4": (2, 2), "NGCUT5": (4, 3),
    "NGCUT6": (3, 3), "NGCUT7": (1, 2), "NGCUT8": (2, 2), "NGCUT9": (4, 4), "NGCUT10": (3, 3), "NGCUT11": (3, 3),
    "NGCUT12": (4, 4),
}  # fmt: skip
"""Sheets that all pieces need, with levels along the width and along the height (computed, see above)."""


@pytest.mark.parametrize("name", LEVELS)
def test_all_pieces_need_the_published_number_of_sheets(name: str) -> None:
    sheet = PUBLISHED[name]
    for direction, wanted in zip((CROSSCUT, RIP), LEVELS[name], strict=True):
        plan = cut(_pieces(sheet), [_stock(sheet)], CLEAN, Effort(factor=0.5), [direction])
        assert (plan.cost, plan.bound) == (wanted, wanted)
    both = cut(_pieces(sheet), [_stock(sheet)], CLEAN, Effort(factor=0.2))
    assert both.bound == both.cost <= min(LEVELS[name])


# ---- published one-dimensional problems -------------------------------------------------------------------

TRIPLETS = (
    "36.6 26.8 36.6 43.0 26.3 30.7 41.4 28.7 29.9 49.5 25.1 25.4 47.4 25.2 27.4 37.0 26.9 36.1 47.3 25.2 "
    "27.5 47.2 25.9 26.9 44.4 25.8 29.8 43.9 27.3 28.8 44.5 27.2 28.3 41.9 26.1 32.0 36.3 27.1 36.6 35.5 "
    "27.3 37.2 46.6 26.2 27.2 35.7 29.2 35.1 39.5 25.5 35.0 35.0 30.3 34.7 45.0 25.2 29.8 41.0 27.5 31.5"
)
"""t60_00, Falkenauer, Journal of Heuristics 2, 1996 (volume from memory): 60 lengths out of stock of 100."""


@pytest.mark.parametrize(
    ("stock", "lengths", "optimum"),
    [
        # Chvatal, Linear Programming, 1983, chapter 13: bound of the linear program 452.25
        (100, [(45, 97), (36, 610), (31, 395), (14, 211)], 453),
        # Fourer, Gay and Kernighan, AMPL, 2nd edition 2003, the cutting example: bound 46.25
        (110, list(STICKS), 47),
        (1000, [(round(float(word) * 10), 1) for word in TRIPLETS.split()], 20),
    ],
    ids=["Chvatal", "Fourer", "Falkenauer t60_00"],
)
def test_sticks_need_the_published_number_of_stocks(stock: int, lengths: list[tuple[int, int]], optimum: int) -> None:
    pieces = [
        Blank(f"{number}-{copy}", long, 1, may_turn=False)
        for number, (long, copies) in enumerate(lengths)
        for copy in range(copies)
    ]
    plan = cut(pieces, [Stock("stick", stock, 1, 1)], CLEAN, Effort(factor=3))
    assert (plan.cost, plan.bound) == (optimum, optimum)


# ---- brute force ------------------------------------------------------------------------------------------


def _least_sheets(pieces: Sequence[Blank], wide: int, long: int, kerf: int) -> int:
    """Every order of the pieces, each into the open strip, a new strip or a new sheet, with either first cut."""
    best = len(pieces)
    for order in set(permutations(pieces)):
        best = min(best, _sheets_in_order(order, wide, long, kerf, best))
    return best


def _sheets_in_order(order: Sequence[Blank], wide: int, long: int, kerf: int, limit: int) -> int:
    """Fewest sheets for pieces in this order: cuts between sheets and strips, and directions, by recursion."""

    def strips(pieces: Sequence[Blank], capacity: int, height: int, is_rip: bool) -> bool:
        if not pieces:
            return True
        for size in range(1, len(pieces) + 1):
            group = pieces[:size]
            sizes = [(p.width, p.length) if is_rip else (p.length, p.width) for p in group]
            use = sum(along for _, along in sizes) + kerf * (size - 1)
            tall = max(across for across, _ in sizes)
            rest = height - tall - kerf
            if use <= capacity and tall <= height and (strips(pieces[size:], capacity, rest, is_rip)):
                return True
        return False

    def sheets(at: int, number: int) -> int:
        if at == len(order):
            return number
        if number + 1 >= limit:
            return limit
        best = limit
        for end in range(len(order), at, -1):
            if strips(order[at:end], long, wide, True) or strips(order[at:end], wide, long, False):
                best = min(best, sheets(end, number + 1))
        return best

    return sheets(0, 0)


@pytest.mark.parametrize("seed", range(12))
def test_six_pieces_need_as_few_sheets_as_trying_everything_says(seed: int) -> None:
    chance = random.Random(seed)
    wide, long, kerf = chance.randint(8, 14), chance.randint(10, 20), chance.choice((0, 1))
    pieces = [
        Blank(str(n), chance.randint(2, long * 2 // 3), chance.randint(2, wide * 2 // 3), may_turn=False)
        for n in range(6)
    ]
    plan = cut(pieces, [Stock("sheet", long, wide, 1)], Saw(kerf, 0), Effort())
    assert plan.cost == plan.bound == _least_sheets(pieces, wide, long, kerf)


# ---- kerf, trim, grain, several sizes ---------------------------------------------------------------------


def test_four_strips_of_a_quarter_do_not_come_out_of_a_sheet_because_of_the_kerf() -> None:
    """48 in cannot give four of 12; with 1/8 in kerfs each is (48 - 3/8) / 4 = 11.906 in (worked arithmetic)."""
    sheet = Stock("full", 96 * 64, 48 * 64, 1)
    for width, wanted in ((12 * 64, 2), (762, 1), (763, 2)):  # 11.906 in is 762 of 1/64 in
        pieces = [Blank(str(n), 96 * 64, width, may_turn=False) for n in range(4)]
        assert cut(pieces, [sheet], Saw(8, 0), Effort()).cost == wanted


def test_trim_is_taken_off_every_edge() -> None:
    sheet = Stock("full", 100, 50, 1)
    assert cut([Blank("a", 96, 46, may_turn=False)], [sheet], Saw(1, 2), Effort()).cost == 1
    for length, width in ((97, 46), (96, 47)):
        with pytest.raises(DoesNotFitError, match="a fits on no sheet"):
            cut([Blank("a", length, width, may_turn=False)], [sheet], Saw(1, 2), Effort())


def test_grain_forbids_what_turning_would_allow() -> None:
    sheet = Stock("full", 100, 50, 1)
    for may_turn in (True, False):
        piece = Blank("a", 40, 60, may_turn)
        if may_turn:
            (layout,) = cut([piece], [sheet], CLEAN, Effort()).layouts
            assert layout.placed[0].is_turned
        else:
            with pytest.raises(DoesNotFitError):
                cut([piece], [sheet], CLEAN, Effort())


def test_the_cheapest_mix_of_sizes_is_bought() -> None:
    """Full 62, half 34, quarter 19: one full and one quarter (81) for five quarters' worth of pieces."""
    stocks = [Stock("full", 96, 48, 6200), Stock("half", 48, 48, 3400), Stock("quarter", 48, 24, 1900)]
    pieces = [Blank(str(n), 48, 24, may_turn=False) for n in range(5)]
    plan = cut(pieces, stocks, CLEAN, Effort())
    assert (plan.cost, plan.bound, dict(plan.counts())) == (8100, 8100, {"full": 1, "quarter": 1})


def test_nothing_to_cut_needs_nothing() -> None:
    assert cut([], [Stock("full", 96, 48, 1)], CLEAN, Effort()).layouts == ()


def test_the_same_effort_gives_the_same_plan() -> None:
    chance = random.Random(5)
    pieces = [Blank(str(n), chance.randint(10, 60), chance.randint(5, 20), n % 3 == 0) for n in range(12)]
    first, second = (cut(pieces, [Stock("full", 96, 48, 1)], Saw(1, 1), Effort(factor=0.2)) for _ in range(2))
    assert first == second


@pytest.mark.parametrize("seed", range(6))
def test_the_bound_by_pricing_is_never_above_the_least_of_the_whole_list(seed: int) -> None:
    """Sizes in ticks without a common divisor, so that pricing has to round; the full list proves the least."""
    chance = random.Random(seed)
    scale = chance.choice((1, 8128, 97))
    pieces = [
        Blank(str(n), chance.randint(8, 50) * scale, chance.randint(6, 30) * scale, chance.random() < 0.4)
        for n in range(9)
    ]
    stocks = [Stock("full", 96 * scale, 48 * scale, 50), Stock("half", 48 * scale, 48 * scale, 30)]
    plan = cut(pieces, stocks, Saw(scale // 8, 0), Effort())
    types = types_of(pieces)
    frames = frames_of(types, stocks, Saw(scale // 8, 0), BOTH)
    bound = generate(frames, types).bound
    area = sum(piece.length * piece.width for piece in pieces)
    assert bound * 96 * 48 * scale**2 >= area * 50  # the plain area bound
    assert bound <= plan.bound <= plan.cost


def test_attainable_sums() -> None:
    assert attainable(0, {5}) == 0
    assert attainable(1, {5}) == 5
    assert attainable(11, {5, 7}) == 12
    assert attainable(13, {5, 7}) == 14


# ---- the checker rejects ----------------------------------------------------------------------------------


def _good() -> tuple[list[Blank], list[SheetLayout], Saw]:
    pieces = [Blank("a", 40, 20, False), Blank("b", 30, 20, False), Blank("c", 30, 10, True), Blank("d", 60, 15, False)]
    saw = Saw(1, 2)
    plan = cut(pieces, [Stock("full", 96, 48, 1)], saw, Effort())
    assert list(cutting_faults(pieces, plan.layouts, saw)) == []
    return pieces, list(plan.layouts), saw


def _moved(layouts: list[SheetLayout], label: str, **changes: int | bool) -> list[SheetLayout]:
    return [
        replace(
            layout,
            strips=tuple(
                Strip(strip.at, strip.size, tuple(
                    replace(piece, **changes) if piece.label == label else piece for piece in strip.placed  # type: ignore[arg-type]
                ))
                for strip in layout.strips
            ),
        )
        for layout in layouts
    ]  # fmt: skip


def test_the_checker_finds_a_missing_a_double_and_a_strange_piece() -> None:
    pieces, layouts, saw = _good()
    assert any("0 times" in fault for fault in cutting_faults([*pieces, Blank("e", 1, 1, False)], layouts, saw))
    assert any("2 times" in fault for fault in cutting_faults(pieces, layouts * 2, saw))
    assert any("1 times" in fault for fault in cutting_faults(pieces[1:], layouts, saw))


def test_the_checker_finds_one_unit_too_much() -> None:
    pieces, layouts, saw = _good()
    placed = {piece.label: piece for layout in layouts for piece in layout.placed}
    for label, piece in placed.items():
        for changes in ({"across": piece.across + 1}, {"along": piece.along - 1}):
            assert any(
                "not its size" in fault for fault in cutting_faults(pieces, _moved(layouts, label, **changes), saw)
            )
        outside = _moved(layouts, label, x=1)
        assert any("beyond the long edge" in fault for fault in cutting_faults(pieces, outside, saw))
        outside = _moved(layouts, label, y=96 - 2 - piece.along + 1)
        assert any("beyond the short edge" in fault for fault in cutting_faults(pieces, outside, saw))
    turned = _moved(layouts, "a", is_turned=True, across=40, along=20)
    assert any("against the grain" in fault for fault in cutting_faults(pieces, turned, saw))


def test_the_checker_wants_a_whole_kerf_between_two_pieces() -> None:
    pieces, layouts, saw = _good()
    wider = Saw(saw.kerf + 1, saw.trim)
    assert any("do not part" in fault for fault in cutting_faults(pieces, layouts, wider))


def test_the_checker_refuses_a_pinwheel() -> None:
    """Four pieces around a middle: no cut from edge to edge frees one."""
    pieces = [Blank("a", 2, 4, False), Blank("b", 4, 2, False), Blank("c", 2, 4, False), Blank("d", 4, 2, False)]
    from capacity.workshop.cutting.cutting_plan import PlacedBlank

    wheel = (
        PlacedBlank("a", 0, 0, 4, 2, False), PlacedBlank("b", 4, 0, 2, 4, False),
        PlacedBlank("c", 2, 4, 4, 2, False), PlacedBlank("d", 0, 2, 2, 4, False),
    )  # fmt: skip
    layout = SheetLayout(Stock("s", 6, 6, 1), RIP, (Strip(0, 6, wheel),))
    assert any("do not part" in fault for fault in cutting_faults(pieces, [layout], CLEAN))


# ---- beside a general library ------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["plan six-foot-reach-in", "bays 2", "bays 4", "bays 7", "NGCUT5"])
def test_never_more_sheets_than_the_library_with_guillotine_cuts(name: str) -> None:
    """A few lists of `python tests/benchmarks/sheets.py`: every variant of the library, and the proven bound."""
    one = next(one for one in lists() if one.name == name)
    plan = cut(one.pieces, [one.stock], one.saw, Effort())
    assert plan.bound <= plan.cost <= fewest(one, GUILLOTINE)
    assert plan.is_proven
    area = sum(piece.length * piece.width for piece in one.pieces)
    assert area <= plan.cost * one.stock.length * one.stock.width


@pytest.mark.parametrize(
    ("owned", "offcuts", "counts", "cost"),
    [
        (0, 0, {"full": 2}, 12400),
        (1, 0, {"full": 2}, 6200),
        (1, 1, {"full": 1, "offcut": 1}, 0),
        (0, 2, {"full": 1, "offcut": 1}, 6200),
        (0, 3, {"offcut": 3}, 0),
    ],
)
def test_what_is_owned_costs_nothing_and_there_is_no_more_of_an_offcut(
    owned: int, offcuts: int, counts: dict[str, int], cost: int
) -> None:
    pieces = [Blank(f"p{number}", 40, 20, False) for number in range(6)]
    stocks = [Stock("full", 96, 48, 6200, owned), Stock("offcut", 40, 40, 1500, offcuts, False)]
    plan = cut(pieces, stocks, CLEAN, Effort())
    assert (dict(plan.counts()), plan.cost) == (counts, cost)
    assert plan.bound <= cost
