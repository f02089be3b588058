"""What a plan says of itself: value, bound, status, what is left out, the closet of today, the goals."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from second_opinion.household import PER, Household
from second_opinion.judge import counted, panel_area, plan_rule_faults, read_layout, stored_in, value_of, weight_of
from second_opinion.refill_faults import standing_faults


def plan_faults(home: Household, plan: dict[str, Any], code: int) -> Iterator[str]:
    """Everything in which a plan, or the exit code of its `fit`, is wrong."""
    if [wall["name"] for wall in plan["walls"]] != [wall.name for wall in home.walls]:
        yield f"the walls are {[wall['name'] for wall in plan['walls']]}"
        return
    layout = read_layout(plan["walls"], plan["units"])
    yield from plan_rule_faults(home, layout)
    stored, value = stored_in(layout), plan["value"]
    left_out = {row: pile.count - stored[row] for row, pile in enumerate(home.piles, 1) if stored[row] < pile.count}
    if {item["row"]: item["count"] for item in plan["left_out"]} != left_out:
        yield f"left out are {left_out}, the plan says {plan['left_out']}"
    if code != (1 if left_out else 0):
        yield f"exit code {code}"
    if value["stored"] != value_of(home, layout) or value["all"] != home.all:
        yield f"worth {value_of(home, layout)} of {home.all}, the plan says {value}"
    if not value["stored"] <= value["bound"] <= value["all"]:
        yield f"no sense: {value}"
    if (value["status"] == "optimal") is not (value["stored"] == value["bound"]):
        yield f"the status of {value}"
    after = plan["after"]
    if (after["value"], after["stored"], after["pieces"]) != (
        value["stored"], sum(stored.values()), sum(pile.count for pile in home.piles)
    ):  # fmt: skip
        yield f"after: {after['value']}, {after['stored']} of {after['pieces']}"
    yield from _today_faults(home, plan)
    yield from _goal_faults(home, plan)
    other = plan.get("alternative")
    if other is not None:
        layout = read_layout(other["walls"], plan["units"])
        for fault in plan_rule_faults(home, layout):
            yield f"the alternative: {fault}"
        if value_of(home, layout) != other["value"]:
            yield f"the alternative is worth {value_of(home, layout)}, not {other['value']}"


def _today_faults(home: Household, plan: dict[str, Any]) -> Iterator[str]:
    """Today's closet, as it stands, filled by the same rules."""
    before = plan["before"]
    layout = read_layout(before["walls"], plan["units"])
    for fault in standing_faults(home, home.today, before["walls"], plan["units"]):
        yield f"before: {fault}"
    stored = sum(stored_in(layout).values())
    if (before["value"], before["stored"]) != (value_of(home, layout), stored):
        yield f"before: {before['value']} and {before['stored']}, not {value_of(home, layout)} and {stored}"
    if not before["value"] <= before.get("value_bound", before["value"]) <= home.all:
        yield f"before: {before['value']}, at most {before['value_bound']}"


def _goal_faults(home: Household, plan: dict[str, Any]) -> Iterator[str]:
    value, goals = plan["value"], {goal["name"]: goal for goal in plan["goals"]}
    first = plan["goals"][len(home.firsts) > 0]
    if (first["name"], first["value"], first["bound"], first["status"]) != (
        "stored value", value["stored"], value["bound"], value["status"]
    ):  # fmt: skip
        yield f"the first goal is {first}, the value {value}"
    for goal in plan["goals"]:
        if goal["status"] == "optimal" and goal["value"] != goal["bound"]:
            yield f"goal {goal}"
    if home.firsts:
        pieces = weight_of(home, read_layout(plan["walls"], plan["units"])) // (1 + home.all)
        if (plan["goals"][0]["name"], plan["goals"][0]["value"]) != ("what must have a place", pieces):
            yield f"{pieces} pieces that must have a place have one, the plan says {plan['goals'][0]}"
    area, layout = goals.get("panel area"), read_layout(plan["walls"], plan["units"])
    exact = panel_area(home, layout) / PER[plan["units"]] ** 2
    below = [o for bays in counted(home, layout) for b in bays for o in b.openings if o.bottom < home.top]
    heights = {o.height for o in below if o.kind == "shelf"}  # what marks leave over is at no mark
    sizes = len(heights) + len({bay.width for bays in layout for bay in bays})
    if goals["sizes"]["value"] != sizes:
        yield f"{sizes} sizes, the plan says {goals['sizes']['value']}"
    if area is not None and abs(area["value"] - exact) > 0.001:
        yield f"panel area {exact}, the plan says {area['value']}"
    room = goals.get("capacity multiple")
    if room is not None and room["value"] != plan["after"]["capacity_multiple"]:
        yield f"capacity multiple {room['value']} and {plan['after']['capacity_multiple']}"
