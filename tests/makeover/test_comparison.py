"""What is said about a plan: room rounded down, and never a figure as certain that is not proven."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support.cases import INCH, one_wall, problem, run, thing

from capacity.closet.closet import parse_closet
from capacity.layout.corners import corner_choices, ends_of
from capacity.layout.fit_rules import violations
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import Corner, OpeningKind
from capacity.makeover.comparison import (
    alternative_in_words,
    headline,
    left_out_in_words,
    multiple_in_words,
    multiple_of,
    rule_of_thumb_in_words,
)
from capacity.makeover.plan import Plan, PlanAlternative
from capacity.solver.effort import Effort
from capacity.solver.filling import capacity_multiple
from capacity.solver.filling.capacity_multiple import multiples
from capacity.solver.planning import make_plan
from capacity.solver.search.rule_of_thumb import rule_of_thumb
from capacity.wardrobe.inventory import parse_inventory

BEFORE = """
[[before]]
wall = "back"
left = 0
width = 38
depth = 15
openings = [{ kind = "shelf", bottom = 0, height = 12 }]
"""


def _plan(before: str, rows: str) -> tuple[Plan, object]:
    closet = parse_closet(one_wall() + before, "closet.toml")
    inventory = parse_inventory("what,count,size\n" + rows, "in", "inventory.csv")
    return make_plan(closet, inventory, Effort(factor=0.2)), inventory


def test_the_multiple_is_rounded_down_in_the_headline() -> None:
    plan, _ = _plan(BEFORE, "sneakers,8,US M 9\n")
    side = plan.before.model_copy(update={"capacity_multiple": 0.499, "capacity_multiple_at_most": 0.499})
    assert "Capacity multiple 0.49 before" in headline(plan.model_copy(update={"before": side}))
    side = side.model_copy(update={"capacity_multiple_at_most": 0.751})
    assert "Capacity multiple 0.49 to 0.75 before" in headline(plan.model_copy(update={"before": side}))


def test_a_figure_that_is_not_proven_says_at_least() -> None:
    plan, _ = _plan(BEFORE, "sneakers,8,US M 9\n")
    assert "at least" not in headline(plan) + rule_of_thumb_in_words(plan)
    side = plan.before.model_copy(update={"value_bound": plan.before.value + 1})
    open_plan = plan.model_copy(update={"before": side, "rule_of_thumb_bound": plan.rule_of_thumb + 1})
    assert f"holds at least {side.stored}" in headline(open_plan)
    assert f"more than the at least {plan.rule_of_thumb} of the rule of thumb" in rule_of_thumb_in_words(open_plan)


def test_where_all_is_stored_the_layout_is_the_witness_of_one_whole_multiple(monkeypatch: pytest.MonkeyPatch) -> None:
    """Found so: "everything fits ... capacity multiple 0.99 to 1.12" after a search of few seconds."""
    facts = problem([thing(1, "stand", 7, 8, 10, 6), thing(2, "hang", 1, 40, 2)], [run("back", 40)])
    openings = (
        Opening(OpeningKind.SHELF, facts.rules.base, 8 * INCH, (Holding(1, 4),)),
        Opening(OpeningKind.SHELF, facts.rules.base + 9 * INCH, 8 * INCH, (Holding(1, 3),)),
    )
    layout = Layout((WallLayout("back", (Bay(INCH, 35 * INCH, 15 * INCH, openings),)),), ())
    monkeypatch.setattr(capacity_multiple._Test, "fits", lambda self, counts: None)  # nothing is decided in time
    found = multiples(facts, layout, Effort())
    assert found[OpeningKind.SHELF].low >= 1000
    assert found[OpeningKind.HANG].low < 1000


def test_no_room_is_said_and_what_is_worse_than_today_too() -> None:
    """Found so: a multiple of 0.99 for a closet that is not there, and a worse layout without a word."""
    plan, _ = _plan("", "suitcase,1\n")
    assert headline(plan).endswith(f"no closet of today is described. Capacity multiple {multiple_of(plan.after)}.")
    plan, _ = _plan(BEFORE, "sneakers,8,US M 9\n")
    assert "worse" not in headline(plan)
    worse = plan.model_copy(update={"before": plan.before.model_copy(update={"value": plan.after.value + 5})})
    assert headline(worse).endswith(" That is worse than what you have, which stores 5 more in value.")


def test_nothing_is_called_more_than_nothing() -> None:
    """A rule of thumb that holds nothing is no yardstick: said so, and apart from one that was not filled in time."""
    plan, _ = _plan(BEFORE, "sneakers,8,US M 9\n")
    none = plan.model_copy(update={"rule_of_thumb": 0, "rule_of_thumb_bound": 0})
    assert "nothing to compare it with" in rule_of_thumb_in_words(none)
    late = plan.model_copy(update={"rule_of_thumb": 0, "rule_of_thumb_bound": 12})
    assert "it is at most 12" in rule_of_thumb_in_words(late)
    assert "more than" not in rule_of_thumb_in_words(none) + rule_of_thumb_in_words(late)


@pytest.mark.parametrize("width", [13.5, 15, 16, 20, 27, 28])
def test_the_rule_of_thumb_builds_wherever_a_bay_may_stand(width: float) -> None:
    """Two narrow walls in a ring, bays from 12 to 14 in: 20 in is too wide for one share and too narrow for two."""
    facts = problem(
        [thing(1, "stand", 9, 5, 8, 5)], [run("a", 2 * width), run("b", width + 27 - 1)],
        (Corner(0, 1), Corner(1, 0)), max_shelf=14 * INCH, max_rod=14 * INCH,
    )  # fmt: skip
    for owners in corner_choices(facts):
        for layout in rule_of_thumb(facts, owners):
            assert violations(facts, layout) == ()
            for index, wall in enumerate(layout.walls):
                start, end = ends_of(facts, index, owners)
                assert bool(wall.bays) is (end - start >= 12 * INCH + 2 * facts.rules.panel)


def test_where_nothing_fits_no_share_is_claimed() -> None:
    plan, inventory = _plan("", "socks,11,\n")
    lines = list(multiple_in_words(plan, inventory))  # type: ignore[arg-type]
    assert lines[0].startswith("Before: no room for a piece of every drawer pile at once;")
    assert "no closet of today is described" in headline(plan)


def test_an_undecided_test_is_closed_in_from_above(monkeypatch: pytest.MonkeyPatch) -> None:
    """One thing is too high for the only shelf: two pieces of it certainly do not fit, though one is undecided."""
    facts = problem([thing(1, "stand", 2, 8, 12, 30), thing(2, "stand", 4, 8, 12, 5)], [run("back", 40)])
    opening = Opening(OpeningKind.SHELF, 0, 12 * INCH)
    layout = Layout((WallLayout("back", (Bay(0, 40 * INCH, 15 * INCH, (opening,)),)),))
    import capacity.solver.filling.capacity_multiple as module

    real = module.refill

    def half_blind(facts, layout, *how):  # type: ignore[no-untyped-def]
        good = real(facts, layout, *how)
        return replace(good, bound=facts.value_of_all) if facts.things[0].count == 1 else good

    monkeypatch.setattr(module._Test, "_is_plainly_too_much", lambda self, counts: False)
    monkeypatch.setattr(module, "refill", half_blind)
    found = multiples(facts, layout, Effort())[OpeningKind.SHELF]
    assert found.low < 500 <= found.high < 1000
    monkeypatch.setattr(module, "refill", real)
    assert multiples(facts, layout, Effort())[OpeningKind.SHELF].high < 500


def test_what_must_go_is_never_said_to_be_more_than_was_proven() -> None:
    plan, _ = _plan("", "sneakers,2,\n")

    def words(stored: int, bound: int) -> str | None:
        value = plan.value.model_copy(update={"stored": stored, "bound": bound, "all": 20})
        return left_out_in_words(plan.model_copy(update={"value": value}))

    assert words(20, 20) is None
    assert (words(18, 18) or "").endswith("worth 2, and all the rest has a place; no layout leaves out less.")
    assert "any layout leaves out 1 at least" in (words(17, 19) or "")
    assert "whether some layout stores that too is open" in (words(17, 20) or "")


def test_another_layout_says_what_it_gives_up_and_what_it_has_room_for() -> None:
    plan, _ = _plan(BEFORE, "sneakers,8,US M 9\n")
    assert alternative_in_words(plan) is None
    multiple, value = plan.after.capacity_multiple, plan.value.stored
    for less, said in ((0, "stores as much, its piles in more places,"), (2, "stores 2 less in value")):
        other = PlanAlternative(
            value=value - less, stored=8, capacity_multiple=multiple + 0.5, left_out=(), walls=plan.walls
        )
        words = alternative_in_words(plan.model_copy(update={"alternative": other}))
        assert words is not None
        assert said in words
        assert (
            f"room for {int(100 * multiple + 50)} % of every pile at once instead of {int(100 * multiple)} %" in words
        )
