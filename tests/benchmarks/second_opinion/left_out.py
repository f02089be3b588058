"""What a plan leaves out: why, and what it says that changes of the closet would store."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from typing import Any

from second_opinion.exact_model import ExactModel
from second_opinion.household import INCH, Household
from second_opinion.judge import plan_rule_faults, value_of
from second_opinion.model_layout import model_layout

MORE = 2 * INCH


def reason_faults(home: Household, plan: dict[str, Any], seconds: float, counted: Counter[str]) -> Iterator[str]:
    """Whether what is larger than any opening is so, and what has no room is told the wish that binds it."""
    free = replace(home, wishes=replace(home.wishes, budget=0))
    for item in plan["left_out"]:
        pile = home.piles[item["row"] - 1]
        is_large = item["reason"].startswith("larger than any opening")
        most = most_of(replace(free, piles=(replace(pile, count=1),)), seconds)
        if is_large and most is not None and most[0]:
            yield f"row {item['row']} is {item['reason']}, but there is a layout with it"
        counted["no room, though larger than any opening"] += not is_large and most == (0, 0)
        bound_by = {
            "within the budget": home.wishes.budget, "in the bays that are kept": home.wishes.keep_bays,
            "with owners apart": home.wishes.owners_apart,
        }  # fmt: skip
        told = item["reason"].removeprefix("no room").strip()
        if not is_large and (told not in bound_by if any(bound_by.values()) else told):
            yield f"row {item['row']}: {item['reason']}"


def change_faults(home: Household, plan: dict[str, Any], seconds: float, turn: int) -> Iterator[str]:
    """One of the changes that would store more, by turns: whether it can, and its bound."""
    if not plan["would_take"] or home.firsts:
        return
    change = plan["would_take"][turn % len(plan["would_take"])]
    other = changed(home, change["change"])
    most = most_of(other, seconds)
    if most is not None and change["stored"] > most[1]:  # HiGHS may stop short for its tolerances: asked for so much
        most = most_of(other, seconds, change["stored"]) or most
    if most is not None and (change["stored"] > most[1] or change["bound"] < most[0]):
        yield f"{change}, but {most} is the most"


def changed(home: Household, words: str) -> Household:
    """The household after a change that a plan tells of."""
    wishes, walls = home.wishes, home.walls
    if name := re.fullmatch(r'2 in \(51 mm\) more width on wall "(.*)"', words):
        wider = (replace(wall, width=wall.width + MORE * (wall.name == name[1])) for wall in walls)
        return replace(home, walls=tuple(wider))
    if words == "built-ins 2 in (51 mm) higher":
        return replace(home, top=home.top + MORE)
    if words == "shelves 2 in (51 mm) deeper on every wall":
        return replace(home, walls=tuple(replace(wall, depth=wall.depth + MORE) for wall in walls))
    if words == "a budget that buys a tenth more board":
        return replace(home, wishes=replace(wishes, budget=wishes.budget * Fraction(11, 10)))
    if words == "two rows deep on the shelves":
        return replace(home, wishes=replace(wishes, rows_deep=2))
    if words == "no room left spare":
        return replace(home, wishes=replace(wishes, spare=Fraction(0)))
    assert words == "owners' things in one bay", words
    return replace(home, wishes=replace(wishes, owners_apart=False))


def most_of(home: Household, seconds: float, least: int = 0) -> tuple[int, int] | None:
    """What a layout that keeps every rule stores, and the most by the model; None where it has none of `least`."""
    model = ExactModel(home)
    found = model.program.solve(seconds, least)
    if found.value is None:
        return None
    layout = model_layout(model, found.solution)
    return (0 if plan_rule_faults(home, layout) else value_of(home, layout)), found.bound
