"""Variants beside each other: what each costs and stores, and what a step of money buys, reckoned by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from support.cases import one_wall
from support.opened_pages import fitted

from capacity.closet.closet import parse_closet
from capacity.makeover.budget import affordable_panel
from capacity.makeover.comparison import Gain, gain_in_words, rows_with_shares
from capacity.makeover.gain_for_money import (
    Cost,
    Variant,
    gain_for_money,
    steps_in_words,
    today_of,
    variant_of,
    variants_table,
)
from capacity.page.compare import respacing
from capacity.units import PER_INCH


def _variant(name: str, stored: int, value: int, cost: float | None) -> Variant:
    known = None if cost is None else Cost(cost, cost, "$")
    return Variant(name, stored, 50, value, value + (name == "open"), "0.50", known)


TODAY, CHEAP = _variant("today", 20, 40, 0.0), _variant("cheap", 32, 70, 30.0)


def test_a_step_of_money_says_what_it_buys() -> None:
    dear = _variant("dear", 40, 85, 130.0)
    assert list(steps_in_words([dear, TODAY, CHEAP])) == [
        "From today to cheap: $30.00 buys 12 more pieces (value +30), $2.50 a piece.",
        "From cheap to dear: $100.00 buys 8 more pieces (value +15), $12.50 a piece.",
    ]


def test_what_costs_more_and_stores_no_more_is_said_and_no_step() -> None:
    waste = _variant("waste", 31, 70, 90.0)
    assert list(steps_in_words([TODAY, CHEAP, waste])) == [
        "waste costs $60.00 more than cheap and stores no more.",
        "From today to cheap: $30.00 buys 12 more pieces (value +30), $2.50 a piece.",
    ]
    assert list(steps_in_words([TODAY, _variant("bare", 20, 40, None)])) == []


def test_the_table_is_in_the_order_of_the_cost_and_says_what_is_not_proven() -> None:
    table = variants_table([_variant("bare", 9, 9, None), _variant("open", 32, 70, 30.0), TODAY])
    assert list(table["closet"]) == ["today", "open", "bare"]
    assert list(table["to buy, likely"]) == ["$0.00", "$30.00", "not known"]
    assert list(table["value"]) == ["40", "70, at most 71", "9"]


def test_a_budget_buys_so_much_panel() -> None:
    """A sheet of 48 x 96 in for 62.00: 10 sheets, 7 of which become panels, for 620.00."""
    area = 7 * 48 * 96 * PER_INCH**2
    plain = parse_closet(one_wall() + "[panel]\nsheet = [48, 96]\nprice = 62\n[wishes]\nbudget = 620\n")
    assert affordable_panel(plain) == area
    taxed = "[panel]\nsheet = [48, 96]\nprice = 62\n[prices]\ntax = 0.1\nreserve = 0.5\n[wishes]\nbudget = 1023\n"
    assert affordable_panel(parse_closet(one_wall() + taxed)) == area
    assert affordable_panel(parse_closet(one_wall())) == 0


def test_what_a_family_asks_is_said_with_the_likely_cost() -> None:
    whole = replace(_variant("whole", 40, 85, 0), cost=Cost(100.4, 150.2, "$", sheets=3))
    one = _variant("one", 21, 42, 12.5)
    assert gain_for_money(TODAY, None, whole) == (
        "Against today's closet this layout brings 20 more pieces, for $100 to $151."
    )
    assert gain_for_money(TODAY, None, one) == "Against today's closet this layout brings 1 more piece, for $12.50."
    assert gain_for_money(TODAY, one, whole) == (
        "Against today's closet, re-spaced shelves alone bring 1 more, for $12.50; "
        "this layout 20 more, for $100 to $151."
    )
    fewer = replace(_variant("fewer", 18, 30, 0), cost=Cost(5.0, 5.0, "$", has_gaps=True))
    assert gain_for_money(TODAY, fewer, TODAY).endswith("bring 2 fewer; this layout no more, for $0.00.")
    assert str(fewer.cost) == "$5.00 and more"
    assert str(Cost(0.0, 0.0, "EUR ", has_gaps=True)) == "no price yet"
    assert list(steps_in_words([TODAY, whole])) == [
        "From today to whole: $100 to $151 buys 20 more pieces (value +45), $5 to $8 a piece."
    ]


def test_shares_and_gains_in_words() -> None:
    gained = [Gain("boots", 3, 1, 2), Gain("hats", 2, 2, 2), Gain("none", 0, 0, 0)]
    shares = rows_with_shares(gained, "kind")
    assert [row["kind"] for row in shares] == ["boots", "hats", "none"]
    assert [row["before"] for row in shares] == ["1 (33 %)", "2 (100 %)", "0 (100 %)"]
    assert [row["after"] for row in shares] == ["2 (66 %)", "2 (100 %)", "0 (100 %)"]
    assert gain_in_words(gained, "kind") == (
        "Pieces before and after by kind: of 3 kinds, 2 wholly stored before, 2 after; largest gains: boots 1 to 2."
    )
    assert gain_in_words(gained[1:], "kind").endswith("nothing is gained.")


def test_today_and_a_plan_as_variants(small: Path) -> None:
    plan = fitted(small)
    today, found = today_of(plan, "$"), variant_of("found", plan, None)
    assert (today.money, today.stored, today.value) == ("$0.00", plan.before.stored, plan.before.value)
    assert (found.stored, found.value, found.bound) == (plan.after.stored, plan.value.stored, plan.value.bound)
    assert found.money == "not known"


def test_the_respaced_variant_keeps_the_bays_and_drops_bays_that_must_be(small: Path) -> None:
    path = small / "closet.toml"
    path.write_text(
        f'# a remark\n{path.read_text()}[wishes]\ngap = 2\n[[wishes.bay]]\nwall = "back"\nleft = "23/32"\nwidth = 20\n'
    )
    text = respacing._closet_text(small)
    closet = parse_closet(text)
    assert closet.wishes.keep_bays
    assert closet.wishes.bay == ()
    assert closet.wishes.gap == 2 * PER_INCH
    assert text.startswith("# a remark\n")
    assert "keep_bays" not in path.read_text()
