"""Three awkward households: an old house, a child's room, somebody seated; planned by the rule of thumb, no search."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Literal

from support.built_samples import stand_for
from support.quick import quick_layout

from capacity.closet.closet import Closet, parse_closet
from capacity.layout.fit_rules import stored_value
from capacity.makeover.files_to_problem import size_problem, todays_layout
from capacity.makeover.plan import Plan, PlanSide, PlanValue, plan_walls
from capacity.solver.effort import Effort
from capacity.solver.search.design import design
from capacity.wardrobe.inventory import Inventory, parse_inventory

OLD_HOUSE = """
name = "Old house, under the roof"
ceiling = 94
top = 84
[[wall]]
name = "gable"
width = ["71 1/2", 72, "71 7/8"]
depth = 15
ceiling = [94, 52]
level = "1/2"
lean = "1/4"
corner = "knee wall"
[[wall]]
name = "knee wall"
width = 60
depth = 15
ceiling = [44, 44]
[[wall.blocked]]
left = 40
width = 16
bottom = 0
height = 26
what = "radiator"
[door]
kind = "hinged"
width = 28
height = 78
[baseboard]
thickness = "3/4"
height = 7
keep = true
[panel]
measured = ["0.703 in", "0.711 in"]
[construction]
back = "1/4"
"""
OLD_THINGS = """what,count,size,owner,use
coat,4,,Ann,weekly
sneakers,6,,Ann,daily
sweater,12,M,Ann,weekly
shirt,14,M,Ann,daily
storage bin,3,,,seasonal
jeans,9,34x32,Ann,daily
"""

CHILD = """
name = "Mia's room"
ceiling = 96
top = 84
[[wall]]
name = "niche"
width = 48
depth = 16
[door]
kind = "open"
width = 48
height = 80
[[person]]
name = "Mia"
age = 6
[construction]
joint = "dado"
[[wishes.unit]]
what = "toy chest"
wall = "niche"
left = 1
width = 18
depth = 14
height = "17 1/2"
[print]
lengths = "feet"
label_columns = 2
label_rows = 5
"""
CHILD_THINGS = """what,count,size,owner,use,store
kids shoes,5,,Mia,daily,
kids top,12,,Mia,daily,
kids dress,4,,Mia,weekly,
t-shirt,16,S,Mia,daily,
blanket,2,,,seasonal,
storage bin,4,,,weekly,
"""

SEATED = """
name = "Jo, seated"
units = "mm"
ceiling = 2400
top = 2100
[[wall]]
name = "left"
width = 2300
depth = 400
front = 1500
[[person]]
name = "Jo"
posture = "seated"
[door]
kind = "sliding"
width = 1800
height = 2050
[rod]
diameter = 32
[construction]
back = 6
[wishes]
budget = 250
toe_kick = 75
[panel]
thickness = 18
price = 58
sheet = [1220, 2440]
[[sheet]]
for = "back"
size = [800, 2150]
have = 1
[have]
shelf_pins = 500
"""
SEATED_THINGS = """what,count,size,owner,use
shirt,20,L,Jo,daily
trousers,8,,Jo,daily
coat,3,,Jo,weekly
sweater,10,L,Jo,weekly
sneakers,5,,Jo,daily
towel,8,,,weekly
"""

HOUSEHOLDS = {"old house": (OLD_HOUSE, OLD_THINGS), "child": (CHILD, CHILD_THINGS), "seated": (SEATED, SEATED_THINGS)}


def household(name: str, folder: Path) -> Path:
    """Fill a folder with one of them and the rule of thumb's plan for it, and return it."""
    return furnished(*HOUSEHOLDS[name], folder)


def furnished(toml: str, things: str, folder: Path) -> Path:
    """Fill a folder with a closet, a count and a quick plan for both, and return it."""
    closet = parse_closet(toml)
    inventory = parse_inventory(things, closet.units)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "closet.toml").write_text(toml)
    (folder / "inventory.csv").write_text(things)
    stand_for(folder, quick_plan(closet, inventory))
    return folder


def quick_plan(closet: Closet, inventory: Inventory) -> Plan:
    """The plan of the rule of thumb's layout, filled first come, first served; of a short search with own units."""
    problem = size_problem(closet, inventory)
    made = design(problem, Effort(factor=0.05)).layout if problem.fixed else quick_layout(closet, inventory)
    held = Counter(made.stored())
    pieces = sum(pile.count for pile in inventory.piles)
    left_out = tuple(
        {"row": pile.row, "count": pile.count - held[pile.row], "reason": "no room"}
        for pile in inventory.piles
        if held[pile.row] < pile.count
    )
    corners = tuple(
        problem.runs[corner.ends if owns else corner.starts].name
        for corner, owns in zip(problem.corners, made.owners, strict=True)
    )
    stored, whole = stored_value(problem, made), problem.value_of_all
    status: Literal["optimal", "feasible"] = "optimal" if stored == whole else "feasible"
    sides = {"value_bound": whole, "capacity_multiple": 1.0, "capacity_multiple_at_most": 1.0, "multiples": {},
             "pieces": pieces}  # fmt: skip
    return Plan(
        units=closet.units, name=closet.name, inputs="", corners=corners, walls=plan_walls(made, closet.units),
        left_out=left_out,  # type: ignore[arg-type]
        value=PlanValue(stored=stored, all=whole, bound=whole, status=status), goals=(),
        before=PlanSide(**sides, value=0, stored=0, walls=plan_walls(todays_layout(closet), closet.units)),
        after=PlanSide(**sides, value=stored, stored=sum(held.values()), walls=plan_walls(made, closet.units)),
        rule_of_thumb=0, rule_of_thumb_bound=0, seconds=0.0, seed=0, stopped_early=False,
    )  # fmt: skip
