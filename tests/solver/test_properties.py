"""Properties that hold for every closet: more room never stores less, fewer pieces always fit, order is nothing.

Filling and design are compared by their proven optima only. An example whose optimum is not proven says
nothing; were there too many of them, Hypothesis would fail the test.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from hypothesis import assume, given, settings
from hypothesis import strategies as st
from support.cases import INCH, problem, run, thing

from capacity.layout.fit_rules import filling_violations, stored_value, violations
from capacity.layout.layout import Bay, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind, Problem, Thing
from capacity.solver.effort import Effort
from capacity.solver.filling.exact import Filling, fill, fits
from capacity.solver.search.design import Design, design

STORES = ("stand", "stand", "stack", "hang", "drawer")


def _between(low: float, high: float) -> st.SearchStrategy[float]:
    """A length in quarter inches."""
    return st.integers(round(low * 4), round(high * 4)).map(lambda quarters: quarters / 4)


@st.composite
def _thing(draw: st.DrawFn, row: int) -> Thing:
    store = draw(st.sampled_from(STORES))
    count, value = draw(st.integers(1, 6)), draw(st.integers(1, 3))
    owner = draw(st.sampled_from((None, "A", "B")))
    if store == "hang":
        return thing(row, store, count, draw(_between(20, 50)), draw(_between(1, 4)), value=value, owner=owner)
    highest = {"stand": 16.0, "stack": 3.0, "drawer": 3.0}[store]
    sizes = (draw(_between(4, 14)), draw(_between(4, 14)), draw(_between(1, highest)))
    most = draw(st.integers(1, 5)) if store == "stack" else 1
    return thing(row, store, count, *sizes, value=value, most=most, owner=owner)


@st.composite
def _things(draw: st.DrawFn, most: int = 5) -> list[Thing]:
    return [draw(_thing(row)) for row in range(1, draw(st.integers(2, most)) + 1)]


@st.composite
def _rule_changes(draw: st.DrawFn) -> dict[str, object]:
    return {
        "rows_deep": draw(st.integers(1, 2)),
        "owners_apart": draw(st.booleans()),
        "spare": draw(st.sampled_from((Fraction(0), Fraction(1, 10), Fraction(1, 3)))),
    }


@st.composite
def _bay(draw: st.DrawFn, left: int) -> Bay:
    """One to three openings one over the other."""
    openings, bottom = [], 4 * INCH
    for _ in range(draw(st.integers(1, 3))):
        kind = draw(st.sampled_from(OpeningKind))
        low, high = (24, 56) if kind is OpeningKind.HANG else (3, 20)
        height = round(draw(_between(low, high)) * INCH)
        openings.append(Opening(kind, bottom, height))
        bottom += height + INCH
    return Bay(left, round(draw(_between(12, 40)) * INCH), 15 * INCH, tuple(openings))


@st.composite
def _closet(draw: st.DrawFn) -> Layout:
    first = draw(_bay(INCH))
    bays = [first, draw(_bay(first.left + first.width + INCH))] if draw(st.booleans()) else [first]
    return Layout((WallLayout("back", tuple(bays)),))


def _facts(things: Sequence[Thing], changes: dict[str, object]) -> Problem:
    return problem(list(things), [run("back", 120)], **changes)  # type: ignore[arg-type]


def _filled(facts: Problem, layout: Layout) -> Filling:
    filling = fill(facts, layout, Effort())
    assert filling_violations(facts, filling.layout) == ()
    assert stored_value(facts, filling.layout) == filling.value <= filling.bound <= facts.value_of_all
    assume(filling.is_proven)
    return filling


def _with_bay(layout: Layout, **changes: object) -> Layout:
    """The same closet with its last bay changed."""
    wall = layout.walls[0]
    return Layout((replace(wall, bays=(*wall.bays[:-1], replace(wall.bays[-1], **changes))),))  # type: ignore[arg-type]


@given(_things(), _rule_changes(), _closet(), st.integers(1, 12 * INCH))
@settings(max_examples=50)
def test_a_wider_bay_never_stores_less(
    things: list[Thing], changes: dict[str, object], closet: Layout, more: int
) -> None:
    facts = _facts(things, changes)
    wider = _with_bay(closet, width=closet.walls[0].bays[-1].width + more)
    assert _filled(facts, wider).value >= _filled(facts, closet).value


@given(_things(), _rule_changes(), _closet(), st.integers(1, 12 * INCH))
@settings(max_examples=50)
def test_a_higher_opening_never_stores_less(
    things: list[Thing], changes: dict[str, object], closet: Layout, more: int
) -> None:
    facts = _facts(things, changes)
    openings = closet.walls[0].bays[-1].openings
    higher = _with_bay(closet, openings=(*openings[:-1], replace(openings[-1], height=openings[-1].height + more)))
    assert _filled(facts, higher).value >= _filled(facts, closet).value


@given(_things(), _rule_changes(), _closet(), st.sampled_from(OpeningKind), _between(3, 40))
@settings(max_examples=50)
def test_one_more_opening_never_stores_less(
    things: list[Thing], changes: dict[str, object], closet: Layout, kind: OpeningKind, height: float
) -> None:
    facts = _facts(things, changes)
    openings = closet.walls[0].bays[-1].openings
    bottom = openings[-1].bottom + openings[-1].height + INCH
    more = _with_bay(closet, openings=(*openings, Opening(kind, bottom, round(height * INCH))))
    assert _filled(facts, more).value >= _filled(facts, closet).value


@given(_things(), _rule_changes(), _closet(), st.data())
@settings(max_examples=50)
def test_without_one_piece_the_rest_still_fits_and_loses_at_most_its_value(
    things: list[Thing], changes: dict[str, object], closet: Layout, data: st.DataObject
) -> None:
    facts = _facts(things, changes)
    gone = data.draw(st.integers(0, len(things) - 1))
    counts = [item.count - (index == gone) for index, item in enumerate(things)]
    fewer = _facts([replace(item, count=count) for item, count in zip(things, counts, strict=True)], changes)
    whole, rest = _filled(facts, closet), _filled(fewer, closet)
    assert whole.value - things[gone].value <= rest.value <= whole.value
    if whole.value == facts.value_of_all:
        assert rest.value == fewer.value_of_all
        assert fits(facts, closet, counts, tuple(OpeningKind), Effort(), 6.0) is True


@given(_things(), _rule_changes(), _closet(), st.randoms(use_true_random=False))
@settings(max_examples=50)
def test_the_order_of_the_rows_changes_neither_value_nor_bound(
    things: list[Thing], changes: dict[str, object], closet: Layout, chance: object
) -> None:
    facts = _facts(things, changes)
    shuffled = list(things)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    renamed = [replace(item, row=row) for row, item in enumerate(shuffled, start=1)]
    one, other = _filled(facts, closet), _filled(_facts(renamed, changes), closet)
    assert (one.value, one.bound) == (other.value, other.bound)


# ---- design: tiny walls, whose optimum is proven -----------------------------------------------------


def _wall(things: Sequence[Thing], width: int, top: int, above: int, changes: dict[str, object]) -> Problem:
    facts = problem(list(things), [run("back", 30)], **changes)  # type: ignore[arg-type]
    wall = replace(facts.runs[0], width=width, ceiling_left=top + above, ceiling_right=top + above)
    return replace(facts, runs=(wall,), top=top)


def _designed(facts: Problem) -> Design:
    found = design(facts, Effort(factor=0.5))
    assert violations(facts, found.layout) == ()
    assert stored_value(facts, found.layout) == found.value <= found.bound
    assume(found.value == found.bound)
    return found


_WIDTH = st.integers(14 * INCH, 34 * INCH)
_TOP = st.integers(16 * INCH, 44 * INCH)
_ABOVE = st.sampled_from((0, 12 * INCH))
_MORE = st.sampled_from((1, INCH, 6 * INCH, 12 * INCH))


@given(_things(3), _rule_changes(), _WIDTH, _TOP, _ABOVE, _MORE)
@settings(max_examples=15)
def test_a_wider_wall_never_gets_a_design_that_stores_less(
    things: list[Thing], changes: dict[str, object], width: int, top: int, above: int, more: int
) -> None:
    least = _designed(_wall(things, width, top, above, changes)).value
    assert _designed(_wall(things, width + more, top, above, changes)).value >= least


@given(_things(3), _rule_changes(), _WIDTH, _TOP, _ABOVE, _MORE)
@settings(max_examples=15)
def test_a_higher_wall_never_gets_a_design_that_stores_less(
    things: list[Thing], changes: dict[str, object], width: int, top: int, above: int, more: int
) -> None:
    """Top and ceiling rise together, so that what is over the top panel stays as it is."""
    least = _designed(_wall(things, width, top, above, changes)).value
    assert _designed(_wall(things, width, top + more, above, changes)).value >= least


@given(_things(3), _rule_changes(), _WIDTH, _TOP, _ABOVE, st.data())
@settings(max_examples=15)
def test_a_design_for_one_piece_fewer_loses_at_most_that_piece(
    things: list[Thing], changes: dict[str, object], width: int, top: int, above: int, data: st.DataObject
) -> None:
    gone = data.draw(st.integers(0, len(things) - 1))
    fewer = [replace(item, count=item.count - (index == gone)) for index, item in enumerate(things)]
    whole = _designed(_wall(things, width, top, above, changes)).value
    rest = _designed(_wall(fewer, width, top, above, changes)).value
    assert whole - things[gone].value <= rest <= whole


@given(_things(3), _rule_changes(), _WIDTH, _TOP, _ABOVE, st.randoms(use_true_random=False))
@settings(max_examples=15)
def test_the_order_of_the_rows_changes_no_design(
    things: list[Thing], changes: dict[str, object], width: int, top: int, above: int, chance: object
) -> None:
    shuffled = list(things)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    renamed = [replace(item, row=row) for row, item in enumerate(shuffled, start=1)]
    one, other = (_designed(_wall(rows, width, top, above, changes)) for rows in (things, renamed))
    assert (one.value, one.bound) == (other.value, other.bound)
