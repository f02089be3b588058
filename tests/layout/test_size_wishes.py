"""The checker and the wishes about sizes: a layout that just keeps each is right, and one tick over it is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support.cases import INCH, box, problem, run, thing

from capacity.layout.fit_rules import filling_violations, violations
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import FixedBay, OpeningKind, Problem, Run
from capacity.layout.reach_zones import PriceList
from capacity.layout.sketches import BaySketch, OpeningSketch, build_bay, finish
from capacity.solver.goals.reach_order import best_order

T, TOP = 3 * INCH // 4, 84 * INCH
BASE = 3 * INCH + T
SHELF, HANG, DRAWER = OpeningKind.SHELF, OpeningKind.HANG, OpeningKind.DRAWER
WIDTH = 30 * INCH
ROWS = 5 * INCH // 4


def _facts(*runs: Run, **changes: object) -> Problem:
    """Boxes of 8 x 12 x 5 in, each with an opening of 6 in, and socks, beside one wall of 60 in."""
    things = [thing(1, "stand", 40, 8, 12, 5), thing(2, "drawer", 20, 4, 4, 2)]
    return problem(things, [*(runs or (run("back", 60),))], **changes)  # type: ignore[arg-type]


def _layout(*sizes: tuple[OpeningKind, int], width: int = WIDTH, top: int = TOP, above: int = 12 * INCH) -> Layout:
    """One bay with openings from the toe kick up, the last stretched to the top, and what is above it."""
    openings, bottom = [], BASE
    for kind, height in sizes:
        openings.append(Opening(kind, bottom, height))
        bottom += height + T
    openings.append(Opening(SHELF, bottom, top - T - bottom))
    if above:
        openings.append(Opening(SHELF, TOP, above))
    return Layout((WallLayout("back", (Bay(T, width, 15 * INCH, tuple(openings)),)),))


def _names(facts: Problem, layout: Layout) -> set[str]:
    return {item.rule for item in violations(facts, layout)}


@pytest.mark.parametrize("tick", [0, 1])
@pytest.mark.parametrize(("kind", "rule"), [(SHELF, "low opening"), (DRAWER, "low drawer")])
def test_an_opening_has_its_least_height(kind: OpeningKind, rule: str, tick: int) -> None:
    facts = _facts(least_opening=4 * INCH, least_drawer=4 * INCH)
    assert _names(facts, _layout((kind, 4 * INCH - tick))) == ({rule} if tick else set())


@pytest.mark.parametrize("tick", [0, 1])
def test_under_a_low_ceiling_there_is_no_opening_over_the_top(tick: int) -> None:
    facts = _facts(run("back", 60, 15, 88), least_opening=4 * INCH)
    lower = replace(
        facts, runs=(replace(facts.runs[0], ceiling_left=88 * INCH - tick, ceiling_right=88 * INCH - tick),)
    )
    assert _names(lower, _layout(above=4 * INCH - tick)) == ({"low opening"} if tick else set())
    built = build_bay(lower, lower.runs[0], T, BaySketch(WIDTH, None, ()))
    assert [opening.bottom for opening in built.openings] == [BASE] + [TOP] * (1 - tick)


@pytest.mark.parametrize("tick", [0, 1])
def test_no_drawer_ends_above_the_highest(tick: int) -> None:
    facts = _facts(highest_drawer=48 * INCH)
    below = 48 * INCH - BASE - T - 6 * INCH + tick
    assert _names(facts, _layout((SHELF, below), (DRAWER, 6 * INCH))) == ({"high drawer"} if tick else set())


@pytest.mark.parametrize("tick", [0, 1])
def test_built_ins_stay_below_the_ceiling_and_what_lies_on_them_does_not(tick: int) -> None:
    """A ceiling of 84 in over a top of 84: the built-ins end at 83 1/2. Under one of 96 in nothing changes."""
    facts = _facts(run("back", 60, 15, 84), under_ceiling=INCH // 2)
    low = _layout(top=TOP - INCH // 2 + tick, above=0)
    assert _names(facts, low) == ({"top panel"} if tick else set())
    assert _names(_facts(under_ceiling=INCH // 2), _layout()) == set()
    kept = replace(facts, fixed=(FixedBay(0, T, WIDTH, 15 * INCH),), keeps_bays=True)
    assert _names(kept, _layout(above=0)) == set()


@pytest.mark.parametrize("tick", [0, 1])
def test_clear_widths_and_heights_are_whole_multiples_of_the_mark_but_for_the_last_one(tick: int) -> None:
    facts = _facts(mark=INCH // 16)
    assert _names(facts, _layout((SHELF, 6 * INCH + tick))) == ({"height not on the mark"} if tick else set())
    assert _names(facts, _layout(width=WIDTH + tick)) == ({"width not on the mark"} if tick else set())
    fixed = replace(facts, fixed=(FixedBay(0, T, WIDTH + tick, 15 * INCH),))
    assert _names(fixed, _layout(width=WIDTH + tick)) == set()


@pytest.mark.parametrize("tick", [0, 1])
def test_shelves_stand_on_rows_of_holes_but_for_the_top_panel_and_what_ends_at_a_blocked_part(tick: int) -> None:
    """Rows of 1 1/4 in from the bottom panel: 8 of them are an opening of 9 1/4 in and its panel."""
    facts = _facts(pitch=ROWS)
    height = 8 * ROWS - T + tick
    assert _names(facts, _layout((SHELF, height))) == ({"shelf not on a row of holes"} if tick else set())
    part = box(10, 10, (BASE + height + T) / INCH, 20)
    over = replace(facts, runs=(run("back", 60, 15, 96, None, part),))
    second = part.top + T
    openings = (Opening(SHELF, BASE, height), Opening(SHELF, second, TOP - T - second), Opening(SHELF, TOP, 12 * INCH))
    layout = Layout((WallLayout("back", (Bay(T, WIDTH, 15 * INCH, openings),)),))
    assert _names(over, layout) == set()


@pytest.mark.parametrize("tick", [0, 1])
def test_the_last_opening_counts_down_to_a_row_of_holes(tick: int) -> None:
    """A box of 5 in and its gap stand in 6 in; with a panel of 3/4 in that is 6 rows, an opening of 6 3/4 in."""
    facts, rest = _facts(pitch=ROWS), 6 * ROWS - T - tick
    run_of_it = replace(facts, top=BASE + rest + T)
    bay = Bay(T, WIDTH, 15 * INCH, (Opening(SHELF, BASE, rest, (Holding(1, 1),)),))
    layout = Layout((WallLayout("back", (bay,)),))
    lower = replace(run_of_it, runs=(run("back", 60, 15, run_of_it.top / INCH),))
    assert _names(lower, layout) == ({"too high"} if tick else set())
    assert filling_violations(lower, layout) == ()


@pytest.mark.parametrize("mark", [0, INCH // 16])
@pytest.mark.parametrize("pitch", [0, ROWS])
def test_what_is_left_over_is_shared_out_on_marks_and_rows(mark: int, pitch: int) -> None:
    facts = _facts(mark=mark, pitch=pitch, least_opening=4 * INCH, highest_drawer=48 * INCH, under_ceiling=INCH // 2)
    kinds = (SHELF, DRAWER, SHELF, DRAWER)
    needs = {SHELF: 6 * INCH, DRAWER: 5 * INCH}
    pieces = tuple(
        OpeningSketch(kind, facts.rules.built(kind, needs[kind]), (Holding(1 if kind is SHELF else 2, 1),))
        for kind in kinds
    )
    bay = build_bay(facts, facts.runs[0], T, BaySketch(WIDTH, None, pieces))
    layout = Layout((WallLayout("back", (bay,)),))
    assert _names(facts, layout) == set()
    done = finish(facts, layout)
    assert _names(facts, done) == set()
    assert sum(opening.kind is SHELF for opening in done.walls[0].bays[0].openings) > 3  # more shelves than before
    ordered = best_order(facts, done.walls[0].bays[0], PriceList(facts, {}))
    assert _names(facts, replace(done, walls=(replace(done.walls[0], bays=(ordered,)),))) == set()


def test_drawers_alone_in_a_bay_get_a_shelf_over_them() -> None:
    facts = _facts(highest_drawer=48 * INCH, least_opening=4 * INCH)
    pieces = (OpeningSketch(DRAWER, 6 * INCH, (Holding(2, 1),)),)
    bay = build_bay(facts, facts.runs[0], T, BaySketch(WIDTH, None, pieces))
    assert [opening.kind for opening in bay.openings] == [DRAWER, SHELF, SHELF]
    assert _names(facts, Layout((WallLayout("back", (bay,)),))) == set()


def test_what_stands_is_as_it_is() -> None:
    facts = _facts(mark=7, pitch=ROWS, least_opening=4 * INCH, least_drawer=INCH, highest_drawer=INCH, under_ceiling=3)
    assert facts.as_given == _facts()
