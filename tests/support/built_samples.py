"""Layouts and a folder to build from in the tests: made by hand, each checked by `fit_rules`."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

from support.cases import INCH, box, problem, run, thing

from capacity.closet.closet import Closet, parse_closet
from capacity.layout.fit_rules import stored_value, violations
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind, Problem
from capacity.makeover.files_to_problem import size_problem, todays_layout
from capacity.makeover.folder import fingerprint
from capacity.makeover.plan import Plan, PlanSide, PlanValue, plan_walls, write_plan
from capacity.wardrobe.inventory import parse_inventory

TOML = """
name = "Test <b>row</b> \\\\ \\"quoted\\""
ceiling = 96
top = 84
[[wall]]
name = "left & first"
width = [70, "69 7/8"]
depth = 16
corner = "back"
[[wall]]
name = "back"
width = 80
depth = 16
[panel]
thickness = "23/32"
sheet = [48, 96]
price = 62
[wishes]
play = 0
round = 0
"""
THICK = 23 * INCH // 32


def closet(more: str = "", units: str = "in") -> Closet:
    """A closet of two walls that meet in a corner; `more` is added at the end of the file."""
    return parse_closet(f'units = "{units}"\n{TOML}{more}')


def facts(house: Closet) -> Problem:
    """The problem of the closet with a handful of things."""
    return size_problem(house, parse_inventory(INVENTORY, "in"))


INVENTORY = """what,count,size,owner,store,width,depth,height,drop,rod,label
sneakers,6,,,,10,12,5,,,
suitcase,1,,,,20,16,12,,,
jeans,8,,,,10,14,1,,,
socks,12,,,drawer,4,4,2,,,
shirt,5,,,,,,,38,1,"<b>Ann's</b> \\\\ ""best"" \U0001f455"
"""


def layout(house: Closet) -> Layout:
    """Two bays on the first wall (drawers; a rod on the floor), one on the second; verified."""
    rules = facts(house).rules
    thick, top, ceiling = rules.panel, house.top, facts(house).runs[0].ceiling_left

    def stack(kinds: str, heights: list[float], holds: dict[int, tuple[Holding, ...]]) -> tuple[Opening, ...]:
        bottom = 0 if kinds[0] == "h" else rules.base
        openings = []
        names = {"s": OpeningKind.SHELF, "h": OpeningKind.HANG, "d": OpeningKind.DRAWER}
        for index, (letter, high) in enumerate(zip(kinds, heights, strict=True)):
            height = round(high * INCH) if index + 1 < len(kinds) else top - thick - bottom
            openings.append(Opening(names[letter], bottom, height, holds.get(index, ())))
            bottom += height + thick
        openings.append(Opening(OpeningKind.SHELF, top, ceiling - top, ()))
        return tuple(openings)

    first = Bay(
        thick,
        30 * INCH + 17,
        16 * INCH,
        stack("ddsss", [6, 6.5, 12, 20, 0], {0: (Holding(4, 12),), 2: (Holding(1, 3),), 3: (Holding(2, 1),)}),
    )
    left = first.left + first.width + thick
    second = Bay(left, 24 * INCH, 16 * INCH, stack("hs", [50, 0], {0: (Holding(5, 5),)}))
    shelves = stack("ssssss", [7, 9, 11, 13, 8, 0], {0: (Holding(1, 3),), 3: (Holding(3, 8),)})
    third = Bay(28 * INCH + thick, 34 * INCH, 16 * INCH, shelves)
    made = Layout((WallLayout("left & first", (first, second)), WallLayout("back", (third,))), (True,))
    assert violations(facts(house), made) == ()
    return made


def odd_problem() -> tuple[Problem, Layout]:
    """A wall with a slope and a window: bays apart from each other, of different heights."""
    wall = run("odd", 100, 14, 96, 70, box(40, 8, 30, 20))
    odd = problem([thing(1, "stand", 3, 8, 10, 6)], [wall])
    thick = odd.rules.panel
    bays = []
    for left, width in ((0.75, 20.0), (60.0, 24.0)):
        place, wide = round(left * INCH), round(width * INCH)
        upper = min(odd.top, wall.ceiling_over(place, place + wide))
        low = Opening(OpeningKind.SHELF, odd.rules.base, 10 * INCH, (Holding(1, 1),))
        second = low.bottom + low.height + thick
        openings = [low, Opening(OpeningKind.SHELF, second, upper - thick - second)]
        ceiling = wall.ceiling_over(place, place + wide)
        if ceiling > odd.top:
            openings.append(Opening(OpeningKind.SHELF, odd.top, ceiling - odd.top))
        bays.append(Bay(place, wide, wall.depth, tuple(openings)))
    made = Layout((WallLayout("odd", tuple(bays)),), ())
    assert violations(odd, made) == ()
    return replace(odd, corners=()), made


def hand_made_plan(house: Closet) -> Plan:
    """The plan of `layout`, as `fit` would write it."""
    made = layout(house)
    held = Counter(made.stored())
    inventory = parse_inventory(INVENTORY, "in")
    before = plan_walls(todays_layout(house), house.units)
    worth, all_of_it = stored_value(facts(house), made), facts(house).value_of_all
    sides = {"capacity_multiple": 1.0, "capacity_multiple_at_most": 1.0, "multiples": {},
             "pieces": sum(pile.count for pile in inventory.piles)}  # fmt: skip
    return Plan(
        units=house.units, name=house.name, inputs="", corners=("left & first",),
        walls=plan_walls(made, house.units),
        left_out=tuple(
            {"row": pile.row, "count": pile.count - held[pile.row], "reason": "no room"}  # type: ignore[misc]
            for pile in inventory.piles if held[pile.row] < pile.count
        ),
        value=PlanValue(stored=worth, all=all_of_it, bound=all_of_it,
                        status="optimal" if worth == all_of_it else "feasible"), goals=(),
        before=PlanSide(**sides, value=0, value_bound=0, stored=0, walls=before),
        after=PlanSide(**sides, value=worth, value_bound=worth, stored=sum(held.values()),
                       walls=plan_walls(made, house.units)),
        rule_of_thumb=0, rule_of_thumb_bound=0, seconds=0.0, seed=0, stopped_early=False,
    )  # fmt: skip


def folder_to_build(folder: Path) -> Path:
    """Fill a folder with the closet, the inventory and a plan, and return it."""
    (folder / "closet.toml").write_text(f'units = "in"\n{TOML}')
    (folder / "inventory.csv").write_text(INVENTORY)
    stand_for(folder, hand_made_plan(closet()))
    return folder


def stand_for(folder: Path, plan: Plan) -> None:
    """Write a plan as one that was found for the files as they stand in its folder."""
    write_plan(plan.model_copy(update={"inputs": fingerprint(folder)}), folder / "plan.json")


def built_files(folder: Path) -> dict[str, bytes]:
    """What `build` has written, by name."""
    return {path.name: path.read_bytes() for path in sorted((folder / "build").iterdir())}
