"""What must have a place goes before everything else: proven, kept by all later goals, refused where it cannot be."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from support.brute_force import best_value
from support.cases import one_wall, problem, random_things, run

from capacity.closet.closet import Closet, parse_closet
from capacity.errors import InputError
from capacity.layout.fit_rules import violations
from capacity.layout.problem import Problem
from capacity.makeover.comparison import goals_in_words
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.plan import MUST_GOAL, Plan, require_sound, stored_by_row, write_plan
from capacity.makeover.what_must_be import lock_faults
from capacity.solver.effort import Effort, Progress
from capacity.solver.planning import make_plan
from capacity.solver.proof.prove import prove
from capacity.solver.search.design import design
from capacity.wardrobe.inventory import parse_inventory

COUNT = "what,count,owner,use\nlong coat,6,Robin,seasonal\nshirt,60,Robin,daily\nsneakers,12,Alex,weekly\n"
TODAY = (
    '[[before]]\nwall = "back"\nleft = 0\nwidth = 40\ndepth = 15\n'
    'openings = [{ kind = "hang", bottom = 0, height = 66 }]\n'
)


def _closet(must: str = "") -> Closet:
    return parse_closet(f"{one_wall()}{TODAY}[wishes]\n{must}")


def _planned(must: str, told: list[Progress] | None = None) -> Plan:
    """A plan whose figures are those of its layout, and whose proof is confirmed by code that shares nothing."""
    closet, inventory = _closet(must), parse_inventory(COUNT, "in")
    plan = make_plan(closet, inventory, Effort(factor=0.1, on_progress=None if told is None else told.append))
    require_sound(closet, inventory, plan)
    with TemporaryDirectory() as name:
        folder = Path(name)
        write_plan(plan, folder / "plan.json")
        (folder / "inventory.csv").write_text(COUNT)
        faults, bound, _ = prove(folder)
    assert faults == []
    assert plan.value.stored <= bound <= plan.value.bound
    return plan


def _with_musts(facts: Problem, rows: set[int]) -> Problem:
    more = 1 + facts.value_of_all
    things = (replace(t, value=t.value + more, first=more) if t.row in rows else t for t in facts.things)
    return replace(facts, things=tuple(things))


@pytest.mark.parametrize("seed", range(6))
def test_the_most_of_what_must_have_a_place_has_one_and_then_the_most_of_all_else(seed: int) -> None:
    """Against all layouts of tiny walls, of which none holds everything."""
    chance = random.Random(seed)
    things = [replace(item, count=min(item.count, 2)) for item in random_things(chance, 4, 2)]
    facts = problem(things, [run("back", 20 + chance.randint(0, 6), ceiling=40)], top=40)
    facts = _with_musts(facts, set(chance.sample(range(1, 5), 2)))
    found = design(facts, Effort(factor=0.1))
    assert violations(facts, found.layout) == ()
    assert found.value == best_value(facts) <= found.bound
    musts = sum(
        facts.thing(row).count and count for row, count in found.layout.stored().items() if facts.thing(row).first
    )
    assert facts.told(found.value)[0] == musts


def test_a_coat_that_must_have_a_place_has_one_where_by_value_none_would() -> None:
    """Six long coats, seasonal, take the rod of many shirts, daily: by value they stay out, by the wish they go in."""
    free, told = _planned(""), list[Progress]()
    kept = _planned('[[wishes.must]]\nwhat = "long coat"\n', told)
    assert stored_by_row(free.walls)[1] < 6
    assert stored_by_row(kept.walls)[1] == 6
    assert kept.value.stored < free.value.stored
    assert kept.value.stored <= kept.value.bound <= kept.value.all == free.value.all == 6 + 3 * 60 + 2 * 12
    (goal,) = (goal for goal in kept.goals if goal.name == MUST_GOAL)
    assert (goal.value, goal.bound, goal.status, goal.note) == (6, 6, "optimal", "of 6 pieces")
    assert kept.goals[1].name == "stored value"
    assert next(goals_in_words(kept)).startswith(
        "What must have a place: 6 of 6 pieces have one; no layout gives one to more."
    )
    assert MUST_GOAL not in [goal.name for goal in free.goals]
    assert all(step.stored <= step.bound <= step.all == kept.value.all for step in told)


def test_today_is_scored_by_its_use_alone() -> None:
    assert _planned("").before == _planned('[[wishes.must]]\nowner = "alex"\n').before


def test_what_must_and_cannot_all_have_a_place_is_said() -> None:
    """Sixty shirts of 1 1/2 in or more take 90 in of rod; the wall has 38 in twice."""
    plan = _planned('[[wishes.must]]\nwhat = "shirts"\nowner = "Robin"\n')
    goal = plan.goals[0]
    assert goal.name == MUST_GOAL
    assert goal.bound is not None
    assert stored_by_row(plan.walls)[2] == goal.value < 60
    assert goal.value <= goal.bound
    assert plan.value.stored <= plan.value.bound <= plan.value.all


def test_what_is_larger_than_any_opening_is_refused_before_a_search() -> None:
    inventory = parse_inventory("what,count,width,depth,height\nstorage bin,1,60,20,20\n", "in")
    with pytest.raises(
        InputError, match=r"\[\[wishes.must\]\]: row 1 of the inventory, storage bin, is larger than any"
    ):
        make_plan(_closet('[[wishes.must]]\nwhat = "storage bin"\n'), inventory, Effort(factor=0.01))


@pytest.mark.parametrize(
    ("must", "said"),
    [
        (
            'owner = "Sam"',
            '[[wishes.must]] 1, owner "Sam" owns nothing in the inventory; the owners are: "Robin", "Alex"',
        ),
        ('what = "cote"', '[[wishes.must]] 1, what "cote" is not a kind of the catalogue'),
        ('what = "jeans"', '[[wishes.must]] 1 the inventory has none of "jeans"'),
        ('what = "shirt"\nowner = "Alex"', '[[wishes.must]] 1 Alex has none of "shirt"'),
    ],
)
def test_a_must_that_names_nothing_is_one_line(must: str, said: str) -> None:
    (fault,) = lock_faults(_closet(f"[[wishes.must]]\n{must}\n"), parse_inventory(COUNT, "in"))
    assert said in f"{fault.place} {fault.problem}"


def test_a_must_without_a_name_is_refused() -> None:
    with pytest.raises(InputError, match="says neither whose things nor which kind"):
        _closet("[[wishes.must]]\n")


def test_without_a_must_pieces_count_by_their_use() -> None:
    facts = size_problem(_closet(), parse_inventory(COUNT, "in"))
    assert facts.first == 0
    assert facts.told(17) == (0, 17)
