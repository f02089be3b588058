"""Bending, stretching and steps, from the wording alone: what a layout costs, and the least that its openings allow.

Of a child of four where one is described, which reaches up to 36 in and well between 20 in and that (advisory to the
accessibility standards). Else of one adult, 62 in tall where Ada is described, else 1626 mm: knuckle, shoulder, eye,
fingertip and arm are in proportion to a median woman of 1626 mm (686, 1332, 1517, 2078 and 742 mm); the grip is 75 mm
lower than the fingertip. The hand goes to the board of a shelf and to its back; to the upper edge of a drawer; to the
rod, half the hang allowance under what is above it, 12 in from the wall. So deep in, one reaches lower by the arm less
its height over the far end.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import isqrt
from typing import Any

from second_opinion.exact_model import FillingModel
from second_opinion.household import INCH, MM, Household, Pile
from second_opinion.judge import Bay, Layout, Opening, counted, read_layout, stored_in
from second_opinion.later_goals import bays_of

LOW = ("sneakers", "storage bin")
"""Footwear, and what weighs 5 kg or more (`kinds.csv`): they belong at shoulder height or lower, else under the eye."""


def cost_at(home: Household, pile: Pile, hand: int, into: int) -> int:
    """What one piece costs: its value by a use, four times on a step; for low things 12 over shoulder, 60 over eye."""
    tall = 62 * INCH if home.is_described else 1626 * MM
    knuckle, shoulder = -(-tall * 686 // 1626), tall * 1332 // 1626
    eye, high, arm = tall * 1517 // 1626, tall * 2078 // 1626 - 75 * MM, tall * 742 // 1626
    if home.age:
        knuckle, shoulder, eye, high, arm = 20 * INCH, 36 * INCH, 36 * INCH, 36 * INCH, 100 * INCH
    highest = high - (arm - isqrt(arm**2 - into**2)) if into < arm else 0
    belongs_low, rests = pile.what in LOW, pile.use == "seasonal"
    if belongs_low and hand > shoulder:
        return (60 if hand > eye else 12) + pile.value * (4 if hand > highest else 1)
    if hand > highest:
        return 1 if rests and not belongs_low else 4 * pile.value
    return 0 if belongs_low or rests or knuckle <= hand <= shoulder else pile.value


def piece_cost(home: Household, pile: Pile, depth: int, opening: Opening) -> int:
    """What one piece in an opening costs."""
    top = opening.bottom + opening.height
    hand, into = {
        "shelf": (opening.bottom, depth),
        "drawer": (top, 0),
        "hang": (top - home.wishes.hang_allowance // 2, max(0, depth - 12 * INCH)),
    }[opening.kind]
    return cost_at(home, pile, hand, into)


def inconvenience_of(home: Household, layout: Layout) -> int:
    """The whole layout's."""
    return sum(
        count * piece_cost(home, home.piles[row - 1], bay.depth, opening)
        for bays in layout
        for bay in bays
        for opening in bay.openings
        for row, count, _ in opening.holds
    )


def reach_faults(home: Household, plan: dict[str, Any], seconds: float) -> Iterator[str]:
    """What a plan says of its inconvenience, and the least of these openings and pieces beside its bound."""
    goal = next((goal for goal in plan["goals"] if goal["name"] == "inconvenience"), None)
    if goal is None:
        return
    layout = read_layout(plan["walls"], plan["units"])
    cost = inconvenience_of(home, layout)
    if goal["value"] != cost:
        yield f"inconvenience {cost}, the plan says {goal['value']}"
    if goal["bound"] is not None:
        least = least_inconvenience(home, layout, seconds)
        if least is not None and not goal["bound"] <= least <= cost:
            yield f"inconvenience at least {goal['bound']} says the plan, {least} of {cost} is enough"


def least_inconvenience(home: Household, layout: Layout, seconds: float) -> int | None:
    """The least of all ways to put what a layout holds into its openings; None where HiGHS does not decide it.

    What fits goes by the heights that count, what it costs by those that are built.
    """
    model = FillingModel(replace(home, today=bays_of(home, counted(home, layout))))
    program, held = model.program, stored_in(layout)
    for index, terms in enumerate(model.pieces):
        program.rows.append((terms, held[index + 1], held[index + 1]))
    stands: list[Bay] = [bay for bays in layout for bay in bays]
    program.worth = {}
    for bay, modelled in zip(stands, model.bays, strict=True):
        for opening, slot in zip(bay.openings, modelled.slots, strict=True):
            for index, _, _, _, pieces in slot.holds:
                cost = piece_cost(home, home.piles[index], bay.depth, opening)
                program.worth[pieces] = program.worth.get(pieces, 0) - cost
    most = sum(72 * pile.count for pile in home.piles)
    found = program.solve(seconds, -most)
    return -found.value if found.value is not None and found.is_proven else None
