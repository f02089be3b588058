"""What stands now, filled as well as possible: whether `refill` keeps the rules, says true sums, and finds the most."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from second_opinion.exact_model import FillingModel
from second_opinion.household import Household, Today
from second_opinion.judge import DRAWER_NARROW, filling_faults, read_layout, stored_in, value_of, ways_of, weight_of

KIND = {"hang": "hang", "drawer": "drawer"}
"""The kind of opening for a way of storing; a shelf for the others."""


def refill_faults(home: Household, refilled: dict[str, Any], seconds: float) -> Iterator[str]:
    """Everything in which a refill is wrong: openings, contents, sums, what is left out and why, value and bound."""
    layout, value = read_layout(refilled["walls"], refilled["units"]), refilled["value"]
    yield from standing_faults(home, home.standing, refilled["walls"], refilled["units"])
    stored = stored_in(layout)
    left_out = {row: pile.count - stored[row] for row, pile in enumerate(home.piles, 1) if stored[row] < pile.count}
    if {item["row"]: item["count"] for item in refilled["left_out"]} != left_out:
        yield f"left out are {left_out}, it says {refilled['left_out']}"
    for item in refilled["left_out"]:
        if item["reason"].startswith("no room") is not _is_taken(home, item["row"]):
            yield f"row {item['row']}: {item['reason']}"
    if refilled["stands"] != ("built" if home.built else "before"):
        yield f"{refilled['stands']} stands"
    if (value["stored"], value["all"]) != (value_of(home, layout), home.all):
        yield f"worth {value_of(home, layout)} of {home.all}, it says {value}"
    if (refilled["stored"], refilled["pieces"]) != (sum(stored.values()), sum(pile.count for pile in home.piles)):
        yield f"{refilled['stored']} of {refilled['pieces']} pieces"
    if (value["status"] == "optimal") is not (value["stored"] == value["bound"]):
        yield f"the status of {value}"
    # where more that must have a place could have one, the bound is that of all by their use
    now = weight_of(home, layout) - value["stored"]
    yield from filled_faults(home, home.standing, weight_of(home, layout), now + value["bound"], seconds, now)


def filled_faults(
    home: Household, openings: tuple[Today, ...], stored: int, bound: int, seconds: float, first: int = 0
) -> Iterator[str]:
    """Whether the most that openings hold lies between what is stored and the most that is said.

    What must have a place counts `first` in what is stored; with more of it nothing is said but by use.
    """
    found = FillingModel(replace(home, today=openings)).program.solve(seconds)
    if not found.is_proven or found.value is None:
        return
    is_open = found.value > first + home.all and bound - first == home.all
    if not stored <= found.value <= bound and not is_open:
        yield f"{stored}, at most {bound}, but {found.value} is the most"


def standing_faults(
    home: Household, openings: tuple[Today, ...], walls: list[dict[str, Any]], units: str
) -> Iterator[str]:
    """Whether walls of a plan are these openings, and what they hold fits."""
    layout = read_layout(walls, units)
    yield from filling_faults(home, layout)
    for wall, bays in zip(home.walls, layout, strict=True):
        found = sorted((bay.left, bay.width, bay.depth, o.kind, o.bottom, o.height) for bay in bays
                       for o in bay.openings)  # fmt: skip
        there = sorted((bay.left, bay.width, bay.depth, o.kind, o.bottom, o.height) for bay in openings
                       if bay.wall == wall.name for o in bay.openings)  # fmt: skip
        if found != there:
            yield f"other openings on wall {wall.name}"


def _is_taken(home: Household, row: int) -> bool:
    """Whether some opening that stands would take one piece of a row."""
    pile = home.piles[row - 1]
    for bay in home.standing:
        for opening in bay.openings if home.may_be(pile, bay.wall) else ():
            inside = bay.width - (DRAWER_NARROW if opening.kind == "drawer" else 0)
            way = pile.stored_in(opening.kind)
            if way is not None and any(
                across <= (1 - home.wishes.spare) * inside
                for _, across, _ in ways_of(home, way, bay.depth, opening.height)
            ):
                return True
    return False
