"""Design and filling beside published packing problems, mapped onto one wall of shelves without stacks.

How a two-staged cutting problem maps. A sheet of W x H is cut from edge to edge into strips along W, then each
strip across into pieces; a piece may be lower than its strip; what a cut piece is worth adds up. Here

- the sheet is a bay of clear width W, the only one: `min_bay`, `max_shelf` and `max_rod` are all W;
- a strip is a shelf opening, and pieces side by side in it stand side by side on the shelf (rule 6);
- the panel is the kerf of an edge-to-edge cut: strips of H lose nothing to cuts, so each piece is made lower by
  one panel and the hand room, and each opening plus the panel over it takes exactly the height of its strip;
  the top of the built-ins is toe kick + panel + H, the ceiling lies there too, and no opening is left above;
- a piece is a thing that stands, as deep as the bay: turned, it would take the whole width and more, so that
  the orientation is fixed as it is in the source; at most `q` copies are its count and its value is per piece;
- levels along H are the same sheet with width and height exchanged (the direction of the first cut);
- several sheets are several bays of a longer wall, one upright more than sheets.

Left out, because they do not map: pieces that may be turned in the plane of the sheet (our turning swaps width
and depth), cuts of more than two stages (these optima are bounds here), and, of the one-dimensional cases,
Chvatal's with 453 stocks, which a filling does not decide in reasonable work. Unlimited copies (gcut) would
map with a count for what fits, but their sheets of 250 tell nothing more.

How the figures are known. `any_stage` is published: the optimum with any number of stages and fixed orientation
as tabulated in Wang, Baldacci, Liu and Wei, European Journal of Operational Research, 2025 (CGCUT1: Christofides
and Whitlock 1977, recomputed). Where a direction reaches it, it is also the published optimum in two stages.
The other two-staged optima and the figures for all pieces are computed by an integer program of the level
model (Lodi and Monaci, Mathematical Programming 94, 2003), to proven optimality; from memory, they agree with the
tables of Hifi and Roucairol, Journal of Combinatorial Optimization 5, 2001, for CGCUT2, OF1, OF2, CHL5 and 2s.
Volumes of journals are from memory. Tried once: with any figure of `PROVEN`, of a strip or of a number of sheets
one larger or smaller, the test fails; in `BETWEEN` one beyond what is stored and proven, or a tenth off, fails.
"""

from __future__ import annotations

from dataclasses import replace

import highspy
import pytest
from support.cases import INCH, rules
from support.published_packing import PUBLISHED, STICKS, Sheet

from capacity.layout.fit_rules import stored_value, violations
from capacity.layout.layout import Bay, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind, Problem, Run, Thing
from capacity.solver.effort import Effort
from capacity.solver.filling.exact import fits
from capacity.solver.search.design import Design, design
from capacity.wardrobe.kinds import Store

UNIT = 4 * INCH  # one unit of the source; higher than panel and hand room together


PROVEN = (
    "CGCUT1 w", "CGCUT1 h", "NGCUT1 w", "NGCUT1 h", "NGCUT2 w", "NGCUT2 h", "NGCUT3 h", "NGCUT4 w", "NGCUT4 h",
    "NGCUT5 w", "NGCUT5 h", "NGCUT6 h", "NGCUT7 w", "NGCUT7 h", "NGCUT8 h", "NGCUT10 h", "NGCUT11 h",
    "HCCUT3 w", "HCCUT3 h", "HCCUT8 w", "CGCUT2 h", "2s h", "CHL2 h",
)  # fmt: skip
"""Instance and direction of the levels, where the whole problem is proven in little work."""

BETWEEN = ("NGCUT8 w", "NGCUT9 w", "NGCUT11 w", "NGCUT12 h", "CGCUT2 w", "OF1 h", "OF2 w", "CHL5 w")
"""Where it is not: the figure must lie between what is stored and what is proven."""


def _facts(sheet: Sheet, sheets: int = 1, shorter: int = 0, height: int | None = None) -> Problem:
    """The problem of a sheet (or several) as one wall; `shorter` takes that many ticks off its height."""
    width = sheet.width * UNIT
    limits = rules(min_bay=width, max_shelf=width, max_rod=width)
    top = limits.base + (sheet.height if height is None else height) * UNIT - shorter
    things = tuple(
        Thing(
            row, f"piece {row}", copies, value, None, Store.STAND,
            across * UNIT, width, high * UNIT - limits.panel - limits.gap, 0, 0, 1,
        )
        for row, (across, high, value, copies) in enumerate(sheet.rows, start=1)
    )  # fmt: skip
    wall = Run("sheet", sheets * width + (sheets + 1) * limits.panel, width, top, top)
    return Problem(things, (wall,), (), limits, top)


def _all_pieces(sheet: Sheet) -> Sheet:
    """The same pieces, each worth 1, so that the value is how many are cut."""
    return replace(sheet, pieces=" ".join(f"{a}x{h}:1*{copies}" for a, h, _, copies in sheet.rows))


def _solved(facts: Problem, factor: float = 1.0) -> Design:
    found = design(facts, Effort(factor=factor))
    assert violations(facts, found.layout) == ()
    assert stored_value(facts, found.layout) == found.value
    return found


def _case(name: str) -> tuple[Sheet, int]:
    """The sheet of a case, its levels along the width, and its optimum in two stages."""
    instance, _, direction = name.partition(" ")
    sheet = PUBLISHED[instance] if direction == "w" else PUBLISHED[instance].turned
    return sheet, sheet.along[0]


@pytest.mark.parametrize("name", PROVEN)
def test_the_proven_optimum_is_the_published_one(name: str) -> None:
    sheet, optimum = _case(name)
    found = _solved(_facts(sheet))
    assert (found.value, found.bound) == (optimum, optimum)
    assert optimum <= sheet.any_stage


@pytest.mark.parametrize("name", BETWEEN)
def test_what_is_not_proven_encloses_the_published_optimum(name: str) -> None:
    sheet, optimum = _case(name)
    found = _solved(_facts(sheet), factor=0.05)
    assert found.value <= optimum <= min(found.bound, sheet.any_stage)
    assert found.value >= 0.9 * optimum


@pytest.mark.parametrize("name", ["CGCUT1", "NGCUT1", "NGCUT4", "NGCUT5", "NGCUT7", "NGCUT8", "NGCUT10", "NGCUT11"])
def test_all_pieces_need_exactly_the_strip_and_the_sheets_of_the_level_model(name: str) -> None:
    """All are stored in the strip height and the number of sheets computed for them, and never in one less."""
    sheet = _all_pieces(PUBLISHED[name])
    pieces = sum(copies for *_, copies in sheet.rows)
    assert _solved(_facts(sheet, height=sheet.strip_height)).value == pieces
    assert _solved(_facts(sheet, sheets=sheet.sheets)).value == pieces
    assert _solved(_facts(sheet, height=sheet.strip_height - 1), factor=0.02).value < pieces
    if sheet.sheets > 1:
        assert _solved(_facts(sheet, sheets=sheet.sheets - 1), factor=0.02).value < pieces


def _level_optimum(sheet: Sheet, height: int) -> int:
    """The level model in HiGHS: levels in falling height, each with its height, pieces side by side in it."""
    highs = highspy.Highs()
    highs.setOptionValue("threads", 1)  # as every program of a process: HiGHS keeps one pool of threads
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("mip_rel_gap", 0.0)
    whole = highspy.HighsVarType.kInteger
    heights = sorted({high for _, high, _, _ in sheet.rows})
    is_high: list[dict[int, object]] = []
    cut: list[list[object]] = []
    for _ in range(height // min(heights)):
        level = {high: highs.addVariable(0, 1, 0, type=whole) for high in heights}
        pieces = [highs.addVariable(0, copies, value, type=whole) for _, _, value, copies in sheet.rows]
        highs.addConstr(sum(level.values()) <= 1)
        highs.addConstr(sum(across * n for (across, *_), n in zip(sheet.rows, pieces, strict=True)) <= sheet.width)
        for (_, high, _, copies), n in zip(sheet.rows, pieces, strict=True):
            highs.addConstr(n <= copies * sum(y for level_high, y in level.items() if level_high >= high))
        if is_high:
            lower, upper = (sum(high * y for high, y in one.items()) for one in (level, is_high[-1]))
            highs.addConstr(lower <= upper)
        is_high.append(level)
        cut.append(pieces)
    highs.addConstr(sum(high * y for level in is_high for high, y in level.items()) <= height)
    for index, (*_, copies) in enumerate(sheet.rows):
        highs.addConstr(sum(pieces[index] for pieces in cut) <= copies)
    highs.setMaximize()
    highs.run()
    assert highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return round(highs.getObjectiveValue())


@pytest.mark.parametrize("name", ["CGCUT1 w", "NGCUT1 h", "NGCUT2 h", "NGCUT4 w", "NGCUT4 h", "CGCUT2 h"])
def test_a_sheet_one_tick_lower_is_a_whole_unit_lower(name: str) -> None:
    """All sizes are whole units, so the last tick of the height decides; the level model says what is left."""
    sheet, optimum = _case(name)
    lower = _level_optimum(sheet, sheet.height - 1)
    assert _level_optimum(sheet, sheet.height) == optimum > lower
    found = _solved(_facts(sheet, shorter=1))
    assert found.value == found.bound == lower


def _sticks_fit(stocks: int) -> bool | None:
    limits = rules()
    things = tuple(
        Thing(row, f"stick {row}", number, 1, None, Store.STAND, length * INCH, 100 * INCH, 10 * INCH, 0, 0, 1)
        for row, (length, number) in enumerate(STICKS, start=1)
    )
    wall = Run("wall", 120 * INCH, 100 * INCH, 9999 * INCH, 9999 * INCH)
    shelves = tuple(Opening(OpeningKind.SHELF, (4 + 12 * n) * INCH, 11 * INCH) for n in range(stocks))
    layout = Layout((WallLayout("wall", (Bay(INCH, 110 * INCH, 100 * INCH, shelves),)),))
    facts = Problem(things, (wall,), (), limits, 9998 * INCH)
    return fits(facts, layout, [number for _, number in STICKS], [OpeningKind.SHELF], Effort(), 2.0)


def test_sticks_fit_the_published_number_of_stocks_and_no_fewer() -> None:
    assert _sticks_fit(47) is True
    assert _sticks_fit(46) is not True
    assert _sticks_fit(45) is False  # below the linear bound
