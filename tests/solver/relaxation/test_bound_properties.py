"""What the bound must do when a closet changes: the Lagrangian function at fixed prices, and bounds beside designs.

At the same prices the function is the same for any order of rows and of equal walls, and never less where there is more
room, one piece more, or a rule that asks less. All lengths are whole quarters of an inch, so that no rounding of the
grid hides a difference. A bound also holds for every layout of the same closet before it grew.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import cache

import numpy as np
import pytest
from support.cases import INCH, box, problem, random_things, run

from capacity.closet.closet import parse_closet
from capacity.layout.corners import corner_choices
from capacity.layout.fit_rules import violations
from capacity.layout.problem import Corner, Problem, Rules
from capacity.layout.towers import groups_of
from capacity.makeover.files_to_problem import size_problem
from capacity.solver.effort import Effort
from capacity.solver.relaxation.master import Master
from capacity.solver.relaxation.structure import open_state
from capacity.solver.relaxation.value_bound import FINE, bound_choices, design_master
from capacity.solver.search.design import Design, design
from capacity.wardrobe.inventory import parse_inventory

QUARTER = INCH // 4
SEEDS = range(6)


def _closet(seed: int) -> Problem:
    """Two walls alike in size, with a corner or a slope and a blocked part, and every way of storing."""
    chance = random.Random(f"properties {seed}")
    things = random_things(chance, 6, 9, ("A", "B", None))
    things = [replace(item, rod=-(-item.rod // QUARTER) * QUARTER) for item in things]
    right = 72 if seed % 3 == 1 else 96
    blocked = [box(12, 10, 30, 20)] if seed % 3 == 2 else []
    walls = [run("a", 48, 15, 96, right, *blocked), run("b", 48, 15, 96)]
    corners = (Corner(0, 1),) if seed % 2 else ()
    return problem(
        things, walls, corners, owners_apart=seed % 3 == 0, rows_deep=1 + seed % 2,
        spare=Fraction(1, 4) if seed > 3 else Fraction(0),
    )  # fmt: skip


def _prices(facts: Problem, seed: int) -> dict[int, float]:
    """A price a piece for each row, some of them nothing and some all that a piece is worth."""
    chance = random.Random(f"prices {seed}")
    return {item.row: item.value * chance.choice((0.0, chance.random(), chance.random(), 1.0)) for item in facts.things}


def _bound(facts: Problem, prices: dict[int, float]) -> float:
    """The Lagrangian function at these prices, the largest over the choices of corners."""
    master, most = Master(facts, FINE), 0.0
    at = np.array([prices[facts.things[group.members[0]].row] for group in groups_of(facts)])
    for owners in corner_choices(facts):
        master.set_state(open_state(facts, owners))
        most = max(most, master.price(at))
    return most


@pytest.mark.parametrize("seed", SEEDS)
def test_the_order_of_the_rows_changes_nothing(seed: int) -> None:
    facts = _closet(seed)
    things = list(facts.things)
    random.Random(seed).shuffle(things)
    assert things != list(facts.things)
    prices = _prices(facts, seed)
    assert _bound(replace(facts, things=tuple(things)), prices) == pytest.approx(_bound(facts, prices), abs=1e-9)


@pytest.mark.parametrize("seed", [seed for seed in SEEDS if seed % 2 == 0])
def test_the_order_of_the_walls_changes_nothing(seed: int) -> None:
    facts = _closet(seed)
    prices = _prices(facts, seed)
    assert _bound(replace(facts, runs=facts.runs[::-1]), prices) == pytest.approx(_bound(facts, prices), abs=1e-9)


def _rules(facts: Problem, **changes: object) -> Problem:
    return replace(facts, rules=replace(facts.rules, **changes))  # type: ignore[arg-type]


def _walls(facts: Problem, **more: int) -> Problem:
    """Every wall with some of its lengths longer."""
    runs = [replace(wall, **{name: getattr(wall, name) + more[name] for name in more}) for wall in facts.runs]  # type: ignore[arg-type]
    return replace(facts, runs=tuple(runs))


def _thinner_panel(facts: Problem) -> Problem:
    return _rules(facts, panel=facts.rules.panel - QUARTER)


def _wider_walls(facts: Problem) -> Problem:
    wider = _walls(facts, width=6 * INCH)
    if any(wall.is_sloped for wall in facts.runs):  # the slope goes on as it was
        runs = [
            replace(wall, ceiling_right=wall.ceiling_right + (wall.ceiling_right - wall.ceiling_left) // 8)
            for wall in wider.runs
        ]
        wider = replace(wider, runs=tuple(runs))
    return wider


def _higher_closet(facts: Problem) -> Problem:
    return replace(_walls(facts, ceiling_left=3 * INCH, ceiling_right=3 * INCH), top=facts.top + 3 * INCH)


def _higher_ceiling(facts: Problem) -> Problem:
    return _walls(facts, ceiling_left=2 * INCH, ceiling_right=2 * INCH)


def _deeper_walls(facts: Problem) -> Problem:
    return _walls(replace(facts, corners=()), depth=4 * INCH)


def _nothing_blocked(facts: Problem) -> Problem:
    return replace(facts, runs=tuple(replace(wall, blocked=()) for wall in facts.runs))


def _one_piece_more(facts: Problem) -> Problem:
    return replace(facts, things=tuple(replace(item, count=item.count + 1) for item in facts.things))


def _less_asked(name: str, value: Callable[[Rules], object]) -> Callable[[Problem], Problem]:
    def grown(facts: Problem) -> Problem:
        return _rules(facts, **{name: value(facts.rules)})

    return grown


GROWN: dict[str, Callable[[Problem], Problem]] = {
    "thinner panel": _thinner_panel, "wider walls": _wider_walls, "higher closet": _higher_closet,
    "higher ceiling": _higher_ceiling, "deeper walls": _deeper_walls, "nothing blocked": _nothing_blocked,
    "one piece more": _one_piece_more,
    "lower toe kick": _less_asked("toe_kick", lambda rules: rules.toe_kick - INCH),
    "less hand room": _less_asked("gap", lambda rules: rules.gap - QUARTER),
    "less over and under garments": _less_asked("hang_allowance", lambda rules: rules.hang_allowance - INCH),
    "narrower bays": _less_asked("min_bay", lambda rules: rules.min_bay - INCH),
    "longer shelves": _less_asked("max_shelf", lambda rules: rules.max_shelf + 4 * INCH),
    "longer rods": _less_asked("max_rod", lambda rules: rules.max_rod + 4 * INCH),
    "one more row": _less_asked("rows_deep", lambda rules: rules.rows_deep + 1),
    "less access to corners": _less_asked("corner_access", lambda rules: rules.corner_access - 4 * INCH),
    "owners together": _less_asked("owners_apart", lambda rules: False),
    "nothing spare": _less_asked("spare", lambda rules: Fraction(0)),
}  # fmt: skip


@pytest.mark.parametrize(
    ("grown", "seed"),
    [(grown, seed) for number, grown in enumerate(GROWN) for seed in SEEDS if (number + seed) % 2],
)
def test_more_room_or_fewer_rules_never_lower_the_bound_at_the_same_prices(grown: str, seed: int) -> None:
    facts = _closet(seed)
    less = replace(facts, corners=()) if grown == "deeper walls" else facts  # a deeper owner takes more of a corner
    prices = _prices(facts, seed)
    assert _bound(GROWN[grown](facts), prices) >= _bound(less, prices) - 1e-9


@cache
def _designed(facts: Problem) -> Design:
    found = design(facts, Effort(factor=0.05))
    assert violations(facts, found.layout) == ()
    return found


@pytest.mark.parametrize("grown", GROWN)
def test_a_bound_holds_for_what_was_designed_before_the_closet_grew(grown: str) -> None:
    for seed in (0, 3, 5):
        facts = _closet(seed)
        if grown == "deeper walls":
            facts = replace(facts, corners=())
        found = _designed(facts)
        more = GROWN[grown](facts)
        (most, *_) = bound_choices(more, design_master(more), Effort(), more.value_of_all)
        assert most.whole >= found.value


def _folder(length: Callable[[float], str], units: str) -> Problem:
    closet = parse_closet(f"""
        name = "the same in other units"
        units = "{units}"
        ceiling = {length(96)}
        top = {length(84)}
        [[wall]]
        name = "back"
        width = {length(70.25)}
        depth = {length(15)}
        corner = "side"
        [[wall.blocked]]
        left = {length(20)}
        width = {length(10)}
        bottom = {length(40)}
        height = {length(12)}
        [[wall]]
        name = "side"
        width = {length(60)}
        depth = {length(14)}
        [panel]
        thickness = {length(0.75)}
        [wishes]
        toe_kick = {length(3)}
        gap = {length(1)}
        hang_allowance = {length(4)}
        min_bay = {length(12)}
        max_shelf = {length(36)}
        max_rod = {length(48)}
        corner_access = {length(12)}
        play = 0
        pitch = 0
        round = "1/16 in"
        least_opening = {length(4)}
        least_drawer = {length(4)}
        highest_drawer = {length(48)}
    """)
    sizes = [
        ("sneakers", 20, 8, 12, 5.5, "", ""), ("jeans", 30, 10, 13, 1.25, "", ""),
        ("tall boots", 6, 9.5, 12, 19, "", ""), ("shirt", 40, "", "", "", 38, 1.5), ("socks", 20, 3, 5, 2, "", ""),
    ]  # fmt: skip
    lines = [
        ",".join([what, str(count), *("" if size == "" else length(float(size)) for size in each)])
        for what, count, *each in sizes
    ]
    text = "\n".join(["what,count,width,depth,height,drop,rod", *lines])
    return size_problem(closet, parse_inventory(text, closet.units))


def test_the_unit_of_the_folder_changes_neither_bound_nor_design() -> None:
    """An inch is 25.4 mm, both whole numbers of ticks, so the two folders are one closet to the tick."""
    inches = _folder(lambda length: f"{length:g}", "in")
    millimetres = _folder(lambda length: f"{length * 25.4:g}", "mm")
    assert [wall.width for wall in inches.runs] == [wall.width for wall in millimetres.runs]
    one, other = (design(facts, Effort(factor=0.05)) for facts in (inches, millimetres))
    assert (one.value, one.bound, one.layout) == (other.value, other.bound, other.layout)
    assert one.value > 0
