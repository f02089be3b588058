"""Samples as data, layouts in a blink (no search), and cures put into force."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import capacity
from capacity.checks.all_checks import Report, check_layout
from capacity.checks.check import Check, Cure
from capacity.checks.out_of_reach import swap_contents, swap_openings, swap_piles
from capacity.closet.closet import Closet, parse_closet
from capacity.layout.fit_rules import violations
from capacity.layout.layout import Bay, Holding, Layout, Opening
from capacity.layout.problem import Problem, Site
from capacity.layout.towers import groups_of, room_of, towers_of
from capacity.makeover.files_to_problem import size_problem
from capacity.solver.search.rule_of_thumb import rule_of_thumb
from capacity.wardrobe.inventory import Inventory, read_inventory

SAMPLES = Path(capacity.__file__).parent.parent / "inventory_samples"
Data = dict[str, Any]


def sample(name: str) -> Data:
    """The closet file of a sample as a dictionary."""
    return tomllib.loads((SAMPLES / name / "closet.toml").read_text(encoding="utf-8"))


def changed(data: Data, settings: dict[str, Any]) -> Data:
    """The data with dotted places set (tables of a list counted from 1); None takes a setting out."""
    data = copy.deepcopy(data)
    for key, value in settings.items():
        at: Any = data
        *path, last = key.split(".")
        for index, part in enumerate(path):
            if part.isdigit():
                at = at[int(part) - 1]
            else:
                following = (*path, last)[index + 1]
                at = at.setdefault(part, [] if following.isdigit() else {})
        if value is None:
            at.pop(last, None)
        else:
            at[last] = value
    return data


def closet_of(data: Data) -> Closet:
    """The closet of the data, read as the file would be."""
    return parse_closet(_toml(data))


def _toml(data: Data) -> str:
    """Just enough TOML: tables inline, so that one line holds each."""

    def value(item: Any) -> str:
        if isinstance(item, bool):
            return str(item).lower()
        if isinstance(item, dict):
            return "{ " + ", ".join(f"{key} = {value(entry)}" for key, entry in item.items()) + " }"
        if isinstance(item, list):
            return "[" + ", ".join(value(entry) for entry in item) + "]"
        if isinstance(item, str):
            return '"' + item.replace("\\", "\\\\").replace('"', '\\"') + '"'
        return repr(item)

    return "\n".join(f"{key} = {value(item)}" for key, item in data.items()) + "\n"


def inventory_of(name: str, closet: Closet) -> Inventory:
    """The inventory of a sample."""
    return read_inventory(SAMPLES / name / "inventory.csv", closet.units)


def quick_layout(closet: Closet, inventory: Inventory) -> Layout:
    """The rule of thumb's first layout, filled first come, first served: no search, so no search can change it."""
    problem = size_problem(closet, inventory)
    layout = rule_of_thumb(problem, (True,) * len(problem.corners))[0]
    left = {thing.row: thing.count for thing in problem.things}
    contents = {}
    for wall, number, index, bay, opening in layout.openings():
        contents[(wall, number, index)] = tuple(_first_fit(problem, bay, opening, left))
    layout = layout.holding(contents)
    assert violations(problem, layout) == ()
    return layout


def _first_fit(problem: Problem, bay: Bay, opening: Opening, left: dict[int, int]) -> Iterator[Holding]:
    """Piles in order of value, as many columns of each as go in; `left` is counted down."""
    rules = problem.rules
    room = room_of(rules, opening.kind, bay.width)
    if opening.bottom >= problem.top and bay.width > rules.max_shelf:
        return
    towers = towers_of(problem, groups_of(problem), Site(bay.depth))
    members = [group.members for group in groups_of(problem)]
    fitting = [tower for tower in towers if tower.kind is opening.kind and tower.need <= opening.height]
    for tower in sorted(fitting, key=lambda tower: (-problem.things[members[tower.group][0]].value, tower.need)):
        for thing in (problem.things[member] for member in members[tower.group]):
            columns = min(room // tower.width, -(-left[thing.row] // tower.pieces))
            count = min(left[thing.row], columns * tower.pieces)
            if count:
                left[thing.row] -= count
                room -= columns * tower.width
                yield Holding(thing.row, count, tower.turned)


def report_on(name: str, data: Data, layout: Layout | None = None) -> tuple[Report, Layout]:
    """All checks of a sample with changed data, on a given layout or on a new one."""
    closet = closet_of(data)
    inventory = inventory_of(name, closet)
    if layout is None:
        layout = quick_layout(closet, inventory)
    return check_layout(closet, inventory, size_problem(closet, inventory), layout), layout


def cured(name: str, data: Data, layout: Layout, cure: Cure) -> tuple[Report, Layout]:
    """The checks again with a cure in force; a new layout where the cure asks for one."""
    settings = {key: value for key, value in cure.settings.items() if not key.startswith("layout.")}
    data = changed(data, settings)
    if "capacity fit" in cure.sentence:
        return report_on(name, data)
    problem = size_problem(closet_of(data), inventory_of(name, closet_of(data)))
    for change in cure.settings.get("layout.change", []):  # type: ignore[union-attr]
        kind, wall, bay, opening, other_wall, other_bay, other, row, back = change  # type: ignore[misc]
        names = [item.name for item in layout.walls]
        first = names.index(wall), bay - 1, opening - 1
        second = names.index(other_wall), other_bay - 1, other - 1
        if kind == "contents":
            layout = swap_contents(layout, first, second)
        elif kind == "piles":
            layout = swap_piles(layout, first, second, row, back)
        else:
            swapped = swap_openings(problem, layout, first, other - 1)
            assert swapped is not None
            layout = swapped
    without: Any = cure.settings.get("layout.without_rows")
    if without:
        wall, bay, rows = without
        contents = {
            (w, b, o): tuple(
                item for item in opening.holds if (layout.walls[w].name, b + 1) != (wall, bay) or item.row not in rows
            )
            for w, b, o, _, opening in layout.openings()
        }
        layout = layout.holding(contents)
    assert violations(problem, layout) == () or settings  # a change of the layout alone keeps every rule
    return report_on(name, data, layout)


def named(report: Report, name: str) -> list[Check]:
    """The checks of a name."""
    return [check for check in report.checks if check.name.startswith(name)]
