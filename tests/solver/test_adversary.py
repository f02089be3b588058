"""Thirty tiny closets of every rule and every wish against a second opinion, and that it sees what is wrong."""

from __future__ import annotations

import copy
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from adversary import fitted, refilled, stored_faults, tried
from lived_with import KNOWN, respaced, turned
from second_opinion.exact_model import ExactModel
from second_opinion.folder_writing import write_household
from second_opinion.household import INCH, Household, Must, Pile, Wall, Wishes, read_household
from second_opinion.judge import building_faults, filling_faults, read_layout, value_of
from second_opinion.left_out import change_faults, reason_faults
from second_opinion.living import a_year_later, drawn_seasons, respace_faults, season_faults
from second_opinion.model_layout import model_layout
from second_opinion.plan_faults import plan_faults
from second_opinion.random_homes import random_home
from second_opinion.reach import cost_at, reach_faults
from second_opinion.refill_faults import refill_faults

SEEDS = (
    0, 2, 3, 5, 6, 7, 9, 10, 11, 12, 13, 14, 17, 20, 21, 23, 24, 26, 27, 28, 29, 36, 38, 42, 48, 53, 54, 205, 463, 722,
    824, 1397, 1482, 1619, 1708, 5017, 5505, 7006, 7018, 7235, 8361, 8398, 8649, 22186, 24104,
    25244, 28238,
)  # fmt: skip
SECONDS = 10.0
SPOILED, BUILT = 10, 26
"""Households that leave something out, with a plan that is proven; in the second something was built."""


@pytest.mark.parametrize("seed", SEEDS)
def test_nothing_is_wrong_with_a_plan_nor_with_that_of_the_same_household_told_otherwise(seed: int) -> None:
    assert tried(seed, SECONDS, 1, None).faults == []


# ---- the second opinion itself -----------------------------------------------------------------------


@pytest.fixture(scope="module")
def judged(tmp_path_factory: pytest.TempPathFactory) -> tuple[Household, dict[str, Any]]:
    """A household that leaves something out, with a right plan that is proven."""
    home = replace(random_home(SPOILED, KNOWN), units="mm")
    plan = fitted(home, tmp_path_factory.mktemp("judged"), SPOILED)
    assert list(plan_faults(home, plan, 1)) == []
    assert plan["left_out"]
    assert plan["value"]["status"] == "optimal"
    return home, plan


def _first_hold(plan: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    """A bay, an opening and a holding of it."""
    return next(
        (bay, opening, hold)
        for wall in plan["walls"] for bay in wall["bays"] for opening in bay["openings"] for hold in opening["holds"]
    )  # fmt: skip


TICK = 1 / 320
"""One tick [mm]."""


def _moved(plan: dict[str, Any]) -> None:
    _first_hold(plan)[0]["left"] -= TICK


def _narrowed(plan: dict[str, Any]) -> None:
    _first_hold(plan)[0]["width"] = 12.7


def _lowered(plan: dict[str, Any]) -> None:
    _first_hold(plan)[1]["height"] -= TICK


def _one_more(plan: dict[str, Any]) -> None:
    _first_hold(plan)[2]["count"] += 1


def _other_kind(plan: dict[str, Any]) -> None:
    opening = _first_hold(plan)[1]
    opening["kind"] = "shelf" if opening["kind"] != "shelf" else "drawer"


def _nothing_left_out(plan: dict[str, Any]) -> None:
    plan["left_out"] = []


def _less_possible(plan: dict[str, Any]) -> None:
    plan["value"]["bound"] -= 1


def _not_proven(plan: dict[str, Any]) -> None:
    plan["value"]["status"] = "feasible"


def _better_today(plan: dict[str, Any]) -> None:
    plan["before"]["value"] += 1


def _larger_goal(plan: dict[str, Any]) -> None:
    plan["goals"][0]["value"] += 1


def _one_size_less(plan: dict[str, Any]) -> None:
    next(goal for goal in plan["goals"] if goal["name"] == "sizes")["value"] -= 1


@pytest.mark.parametrize(
    "spoil",
    [_moved, _narrowed, _lowered, _one_more, _other_kind, _nothing_left_out, _less_possible, _not_proven,
     _better_today, _larger_goal, _one_size_less],
)  # fmt: skip
def test_the_judge_sees_a_spoiled_plan(
    judged: tuple[Household, dict[str, Any]], spoil: Callable[[dict[str, Any]], None]
) -> None:
    home, plan = judged
    spoiled = copy.deepcopy(plan)
    spoil(spoiled)
    assert list(plan_faults(home, spoiled, 1))


def test_a_bay_that_must_be_costs_its_boards_even_when_it_is_empty() -> None:
    """Closet 537: over a chest, too wide for a shelf; the model once bought its two uprights and nothing between."""
    home = random_home(537, KNOWN)
    assert ExactModel(home).program.solve(SECONDS).value is None
    richer = replace(home, wishes=replace(home.wishes, budget=12))
    layout = model_layout(model := ExactModel(richer), model.program.solve(SECONDS).solution)
    assert building_faults(richer, layout) == []
    emptied = [[replace(bay, openings=()) for bay in bays] for bays in layout]
    assert [fault[-17:] for fault in building_faults(richer, emptied)] == ["no opening at all"]


def test_the_judge_sees_a_wrong_exit_code(judged: tuple[Household, dict[str, Any]]) -> None:
    home, plan = judged
    assert list(plan_faults(home, plan, 0)) == ["exit code 0"]


def test_the_model_sees_a_false_proof(judged: tuple[Household, dict[str, Any]]) -> None:
    home, plan = judged
    less = copy.deepcopy(plan)
    less["value"] |= {"stored": plan["value"]["stored"] - 1, "bound": plan["value"]["stored"] - 1}
    assert [fault[:11] for fault in stored_faults(home, less, SECONDS, Counter())] == ["FALSE PROOF"]


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Household, dict[str, Any], dict[str, Any]]:
    """A household that leaves something out, its plan, and a refill of what was built."""
    home, folder = replace(random_home(BUILT, KNOWN), units="mm"), tmp_path_factory.mktemp("built")
    return home, fitted(home, folder, BUILT), refilled(folder)


Built = tuple[Household, dict[str, Any], dict[str, Any]]


def test_the_model_sees_a_wrong_reason(built: Built) -> None:
    home, plan, _ = built
    assert {item["reason"] for item in plan["left_out"]} == {"no room", "larger than any opening"}
    assert list(reason_faults(home, plan, SECONDS, Counter())) == []
    for words in ("larger than any opening", "no room within the budget"):
        spoiled = copy.deepcopy(plan)
        for item in spoiled["left_out"]:
            item["reason"] = words
        assert list(reason_faults(home, spoiled, SECONDS, Counter()))


def test_the_model_sees_a_change_that_stores_less_or_more(built: Built) -> None:
    home, plan, _ = built
    change = plan["would_take"][0]
    for changes in ([change], [change | {"stored": change["bound"] + 1}], [change | {"bound": change["stored"] - 1}]):
        found = list(change_faults(home, plan | {"would_take": changes}, SECONDS, 0))
        assert bool(found) is (changes != [change])


@pytest.mark.parametrize("spoil", [_moved, _one_more, _nothing_left_out, _less_possible, _not_proven])
def test_the_judge_sees_a_spoiled_refill(built: Built, spoil: Callable[[dict[str, Any]], None]) -> None:
    home, _, right = built
    assert list(refill_faults(home, right, SECONDS)) == []
    spoiled = copy.deepcopy(right)
    spoil(spoiled)
    assert list(refill_faults(home, spoiled, SECONDS))


def test_the_model_fills_a_bank_together_with_the_wall(tmp_path: Path) -> None:
    """By hand: the scarf needs the drawer that is wished for, so the four socks take one beside it."""
    wishes = Wishes(
        toe_kick=3 * INCH, gap=INCH, hang_allowance=4 * INCH, min_bay=12 * INCH, max_shelf=36 * INCH,
        max_rod=48 * INCH, rows_deep=1, corner_access=12 * INCH, owners_apart=False, keep_bays=False,
        spare=Fraction(0), budget=0,
    )  # fmt: skip
    thick = 23 * INCH // 32
    home = Household(
        units="in", top=84 * INCH, ceiling=96 * INCH, thick=thick, price=60,
        piles=(
            Pile("socks", 4, "daily", "drawer", None, 8 * INCH, 6 * INCH, 3 * INCH),
            Pile("scarf", 1, "daily", "drawer", None, 16 * INCH, 13 * INCH, 6 * INCH),
        ),
        walls=(Wall("back", 35 * INCH, 15 * INCH, (96 * INCH, 96 * INCH)),), today=(), wishes=wishes,
        must=(Must("back", thick, 20 * INCH, 1, 29 * INCH // 4),),
    )  # fmt: skip
    write_household(home, tmp_path / "bank", 0)
    assert read_household(tmp_path / "bank") == home
    model = ExactModel(home)
    found = model.program.solve(SECONDS)
    layout = model_layout(model, found.solution)
    assert (found.value, found.bound, value_of(home, layout)) == (15, 15, 15)
    assert [*building_faults(home, layout), *filling_faults(home, layout)] == []


# ---- reach, boards that move, seasons -------------------------------------------------------------------


def test_the_judge_sees_an_inconvenience_that_is_not_so(judged: tuple[Household, dict[str, Any]]) -> None:
    home, plan = judged
    assert list(reach_faults(home, plan, SECONDS)) == []
    for name in ("value", "bound"):
        spoiled = copy.deepcopy(plan)
        goal = next(goal for goal in spoiled["goals"] if goal["name"] == "inconvenience")
        goal[name] = (goal["value"] or 0) + 1
        assert list(reach_faults(home, spoiled, SECONDS)), name


def test_what_a_piece_costs_by_the_height_of_the_hand() -> None:
    """By hand, of a woman of 1626 mm: knuckle 27.0, shoulder 52.4, eye 59.7, grip 78.9 in, 15 in deep 4.6 in lower."""
    home = random_home(SPOILED, KNOWN)
    home = replace(home, age=0, is_described=False)
    sweater = Pile("sweater", 1, "daily", "stack", None, INCH, INCH, INCH)
    shoes = replace(sweater, what="sneakers", store="stand")
    deep = 15 * INCH
    heights = (26, 28, 52, 53, 73, 75)
    assert [cost_at(home, sweater, high * INCH, deep) for high in heights] == [3, 0, 0, 3, 3, 12]
    assert [cost_at(home, replace(sweater, use="seasonal"), high * INCH, deep) for high in heights] == [
        0,
        0,
        0,
        0,
        0,
        1,
    ]
    assert [cost_at(home, shoes, high * INCH, deep) for high in (0, 52, 53, 59, 60, 75)] == [
        0,
        0,
        15,
        15,
        63,
        72,
    ]
    child = replace(home, age=4)
    assert [cost_at(child, sweater, high * INCH, deep) for high in (19, 20, 34, 36)] == [3, 0, 0, 12]


def test_the_judge_sees_boards_that_move_wrongly(tmp_path: Path) -> None:
    planned = random_home(BUILT, KNOWN)
    plan = fitted(planned, tmp_path / "now", BUILT)
    home = a_year_later(planned, read_layout(plan["walls"], plan["units"]), BUILT)
    write_household(home, tmp_path / "later", BUILT, KNOWN)
    steps = respaced(tmp_path / "later")
    assert steps
    assert list(respace_faults(home, steps)) == []
    moves, walls, stored, value = steps[0]
    place, rows = next(iter(moves.items()))
    for spoiled in (
        ({**moves, place: rows + 1}, walls, stored, value),
        ({}, walls, stored, value),
        (moves, walls, stored + 1, value),
        (moves, walls, stored, value + 1),
    ):
        assert list(respace_faults(home, [spoiled]))
    assert list(respace_faults(home, [steps[0], steps[0]]))


def test_the_judge_sees_a_season_that_turns_wrongly(tmp_path: Path) -> None:
    planned = random_home(BUILT, KNOWN)
    plan = fitted(planned, tmp_path / "now", BUILT)
    home = a_year_later(planned, read_layout(plan["walls"], plan["units"]), BUILT)
    write_household(home, tmp_path / "later", BUILT, KNOWN)
    names = drawn_seasons(home, BUILT)
    found, moved = turned(tmp_path / "later", names)
    assert {name for name, _ in found} == {"winter", "summer"}
    assert list(season_faults(home, names, found, moved, SECONDS, Counter())) == []
    others = tuple({"winter": "summer", "summer": "winter"}.get(name, "") for name in names)
    spoiled = copy.deepcopy(found)
    holds = next(o["holds"] for wall in spoiled[0][1] for bay in wall["bays"] for o in bay["openings"] if o["holds"])
    holds.clear()
    assert list(season_faults(home, names, spoiled, moved, SECONDS, Counter()))
    assert list(season_faults(home, names, found, [{1: (Counter(), Counter())}, *moved[1:]], SECONDS, Counter()))
    if found[0][1] != found[1][1]:
        assert list(season_faults(home, others, found, moved, SECONDS, Counter()))
