"""The whole way from two texts to a plan: same answer in both unit systems, and no flattery."""

from __future__ import annotations

import pytest

from capacity.closet.closet import parse_closet
from capacity.makeover.plan import Plan, PlanBay
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan
from capacity.units import from_number
from capacity.wardrobe.inventory import parse_inventory

INCHES = """
ceiling = 96
top = 84
[[wall]]
name = "back"
width = ["40 1/4", 40]
depth = 15
"""
MILLIMETRES = """
units = "mm"
ceiling = 2438.4
top = 2133.6
[[wall]]
name = "back"
width = ["102.235 cm", 1016]
depth = 381
"""
SIZES = """
[wishes]
play = "6 mm"
least_opening = "100 mm"
least_drawer = "100 mm"
highest_drawer = "1220 mm"
round = "1 mm"
pitch = "32 mm"
"""
"""What has a usual value of its own in either system."""
PILES = "what,count,size\nsneakers,6,US M 9\nshirt,9,M\njeans,7,32x32\nsocks,9,\nhat,3,\n"


def _plan(closet: str, piles: str = PILES) -> Plan:
    facts = parse_closet(closet)
    return make_plan(facts, parse_inventory(piles, facts.units), Effort(factor=0.3))


def _ticks(plan: Plan) -> list[tuple[int, ...]]:
    return [
        (from_number(bay.left, plan.units), from_number(bay.width, plan.units), from_number(o.height, plan.units))
        for wall in plan.walls
        for bay in wall.bays
        for o in bay.openings
    ]


def test_millimetres_and_inches_give_the_same_plan() -> None:
    inches, millimetres = _plan(INCHES + SIZES), _plan(MILLIMETRES + SIZES)
    assert _ticks(inches) == _ticks(millimetres)
    assert inches.value == millimetres.value


def _as_before(bay: PlanBay) -> str:
    openings = ", ".join(
        f'{{ kind = "{item.kind}", bottom = {item.bottom!r}, height = {item.height!r} }}' for item in bay.openings
    )
    place = f"left = {bay.left!r}\nwidth = {bay.width!r}\ndepth = {bay.depth!r}"
    return f'[[before]]\nwall = "back"\n{place}\nopenings = [{openings}]\n'


def test_todays_closet_equal_to_the_design_gains_exactly_nothing() -> None:
    """A design that is proven best, written down as today's closet, scores the same before and after."""
    first = _plan(INCHES)
    assert first.value.status == "optimal"
    today = INCHES + "".join(_as_before(bay) for bay in first.walls[0].bays)
    again = _plan(today)
    assert again.before.value == again.after.value == first.value.stored
    assert again.before.stored == again.after.stored


@pytest.mark.parametrize("wider", [0, 1, 6])
def test_more_room_never_stores_less(wider: int) -> None:
    plan = _plan(INCHES.replace('["40 1/4", 40]', str(34 + wider)))
    assert plan.value.stored >= _plan(INCHES.replace('["40 1/4", 40]', "34")).value.stored
