"""What is said of money and of the order of work: sums beside a budget, bounds, steps for each way of building."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from support.built_samples import INVENTORY, closet, hand_made_plan

from capacity.solver.effort import Effort
from capacity.wardrobe.inventory import parse_inventory
from capacity.workshop.cutting.cutting_plan import CuttingPlan
from capacity.workshop.job import CutList, Job, prepare
from capacity.workshop.pages.cut_list import group_rows
from capacity.workshop.pages.drilling import notes
from capacity.workshop.parts.parts import StockKind
from capacity.workshop.shopping import NAMES, ShoppingLine, ShoppingList, bound_words, shopping_list
from capacity.workshop.work_order import order_of_work

BUSY = '[construction]\njoint = "dado"\nnosing = { thickness = 0.5, height = 1.5 }\nband = "1/50"\n'


@pytest.fixture(scope="module")
def usual() -> Job:
    return _job("")


def _job(more: str) -> Job:
    house, effort = closet(more), Effort()
    effort.stop()
    return prepare(house, parse_inventory(INVENTORY, "in"), hand_made_plan(house), effort)


@pytest.mark.parametrize(
    ("budget", "said", "room"),
    [
        (0, "$120.00 to $150.00. No budget is set.", ""),
        (11000, "That is $10.00 or more above the budget of $110.00.", "takes up to $50 of it; `budget = 60` in"),
        (13000, "That is perhaps above the budget of $130.00.", "takes up to $50 of it; `budget = 80` in"),
        (15000, "That is within the budget of $150.00.", ""),
        (4000, "That is $80.00 or more above the budget of $40.00.", "takes up to $50 of it."),
    ],
)
def test_a_range_of_prices_stands_beside_a_budget(budget: int, said: str, room: str) -> None:
    """Boards of 100.00 as priced, screws guessed at 10.00 to 25.00 a box, two boxes."""
    lines = (
        ShoppingLine(NAMES["panel"], "", "", 1, "sheet", 10000),
        ShoppingLine("screws", "", "", 2, "box", None, (1000, 2500)),
    )
    made = ShoppingList(lines, "$", Fraction(0), Fraction(0), budget)
    assert said.replace("$120.00 to $150.00", f"{made.range_words()}") in made.budget_words()
    assert made.range_words().startswith("likely between $120 and $150")
    assert room in made.room_words()
    assert bool(room) == bool(made.room_words())


def test_what_is_proven_of_a_cutting_is_said_for_one_stock_and_for_several(usual: Job) -> None:
    cut = usual.sheets[StockKind.PANEL]
    (stock,) = cut.choice.stocks
    two = replace(cut.choice, stocks=(stock, replace(stock, cost=2 * stock.cost)))

    def said(choice: object, cost: int, bound: int) -> str:
        return bound_words(usual, CutList(choice, CuttingPlan((), cost, bound)))  # type: ignore[arg-type]

    assert said(cut.choice, 0, 0) == "all of it from what is owned"
    assert said(two, 400, 400) == "nothing cheaper can be cut (proven)"
    assert said(cut.choice, 3 * stock.cost, stock.cost + 1) == "at least 2 to buy (proven)"
    assert said(two, 400, 300) == "at least $3.00 (proven)"
    bare = replace(two, prices=dict.fromkeys(two.prices))
    assert said(bare, 400, 300) == "at least 75 % of that is needed (proven)"


def test_each_way_of_building_has_its_steps_and_its_remarks(usual: Job) -> None:
    busy = _job(BUSY)
    based = replace(usual, closet=usual.closet.model_copy(update={"assembly": "on a base"}))
    steps = [{step.title for step in order_of_work(job)} for job in (usual, busy)]
    assert steps[1] - steps[0] == {"Dadoes", "Strips", "Band"}
    assert any('take 3" off every height' in line for line in notes(based))
    assert not any("off every height" in line for line in notes(usual))
    assert any("edge" in line.item and "more at each end" in line.how for line in shopping_list(busy).lines)
    parts = busy.carcass.sheet_parts(StockKind.PANEL)
    rows = group_rows(busy, parts, dict.fromkeys((part.label for part in parts), "1"), {})
    assert any(row[-1].startswith("band 1 long") for row in rows)
    kept = replace(usual, problem=replace(usual.problem, keeps_bays=True))
    assert any(step.words.startswith("Today's uprights stay") for step in order_of_work(kept))
