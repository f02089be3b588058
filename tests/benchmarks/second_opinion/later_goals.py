"""The goals after the value, of which the wording says enough: places, and the capacity multiple before and after."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from second_opinion.exact_model import ExactModel, FillingModel
from second_opinion.household import Household, Old, Today
from second_opinion.judge import Layout, counted, read_layout, stored_in, weight_of

OPENING = {"stand": "shelf", "stack": "shelf", "hang": "hang", "drawer": "drawer"}


def places_in(layout: Layout) -> int:
    """The sum over piles of the openings that a pile lies in, less one."""
    places: Counter[int] = Counter()
    for bays in layout:
        for bay in bays:
            for opening in bay.openings:
                places.update({row for row, _, _ in opening.holds})
    return sum(places.values()) - len(places)


def fewest_places(
    home: Household, stored: int, seconds: float, held: Counter[int], openings: tuple[Today, ...] | None = None
) -> int | None:
    """Fewest places of all layouts that store so much; None where HiGHS does not decide it.

    With `openings` of all ways to put the pieces `held`, by data row, into those.
    """
    model = ExactModel(home) if openings is None else FillingModel(replace(home, today=openings))
    program = model.program
    for index, terms in enumerate(model.pieces if openings is not None else ()):
        program.rows.append((terms, held[index + 1], held[index + 1]))
    program.rows.append((list(program.worth.items()), stored - 0.5, home.heaviest))
    program.worth = {}
    somewhere: list[list[tuple[int, float]]] = [[] for _ in home.piles]
    for bay in model.bays:
        for slot in bay.slots:
            for index in {index for index, *_ in slot.holds}:
                held = [(pieces, 1.0) for pile, _, _, _, pieces in slot.holds if pile == index]
                is_here = program.choice()
                program.at_most([*held, (is_here, -home.piles[index].count)], 0)
                somewhere[index].append((is_here, 1))
    for places in somewhere:
        has_place = program.choice()
        program.at_most([(has_place, 1), *((here, -1) for here, _ in places)], 0)
        program.worth |= {here: -1 for here, _ in places} | {has_place: 1}
    found = program.solve(seconds, -sum(map(len, somewhere)))
    return -found.value if found.value is not None and found.is_proven else None


def places_faults(home: Household, plan: dict[str, Any], seconds: float) -> Iterator[str]:
    """How often piles lie apart, and the fewest places that the plan says are proven."""
    goal = next((goal for goal in plan["goals"] if goal["name"] == "places"), None)
    if goal is None:
        return
    layout = read_layout(plan["walls"], plan["units"])
    places = places_in(layout)
    if goal["value"] != places:
        yield f"{places} places, the plan says {goal['value']}"
    openings = bays_of(home, counted(home, layout)) if goal["bound_of"] == "these openings and pieces" else None
    held, stored = stored_in(layout), weight_of(home, layout)
    fewest = fewest_places(home, stored, seconds, held, openings) if goal["bound"] else None
    if fewest is not None and not goal["bound"] <= fewest <= places:
        yield f"at least {goal['bound']} places says the plan, {fewest} are enough"


def bays_of(home: Household, layout: Layout) -> tuple[Today, ...]:
    """A layout as if it stood today, empty."""
    return tuple(
        Today(wall.name, bay.left, bay.width, bay.depth, tuple(Old(o.kind, o.bottom, o.height) for o in bay.openings))
        for wall, bays in zip(home.walls, layout, strict=True)
        for bay in bays
    )


def multiple_faults(home: Household, plan: dict[str, Any], seconds: float) -> Iterator[str]:
    """Whether so much of every pile fits at once as is said, and no more: in openings just as high as they stand."""
    for side in ("before", "after"):
        layout = read_layout(plan[side]["walls"], plan["units"])
        for kind, told in plan[side]["multiples"].items():
            low, high = round(1000 * told["low"]), round(1000 * told["high"])
            if fits(home, layout, kind, low, seconds) is False:
                yield f"{side}, {kind}: {told['low']} of every pile does not fit"
            is_limited = told["limited_by_row"] is not None  # else no more was looked at
            if is_limited and fits(home, layout, kind, high + 1, seconds) is True:
                yield f"{side}, {kind}: more than {told['high']} of every pile fits"


def fits(home: Household, layout: Layout, kind: str, share: int, seconds: float) -> bool | None:
    """Whether a share [thousandths] of every pile of one kind of opening fits at once; None where it is not decided."""
    # where bays have owners, or a pile has two ways, the kinds are tied together
    is_joint = home.wishes.owners_apart or any(pile.also for pile in home.piles)
    mine = [pile for pile in home.piles if is_joint or OPENING[pile.store] == kind]
    piles = [replace(pile, first=0, count=share * pile.count // 1000) for pile in mine if share * pile.count >= 1000]
    if not piles or max(pile.count for pile in piles) > MOST_PIECES:
        return True if not piles else None
    scaled = replace(home, piles=tuple(piles), today=bays_of(home, layout))
    found = FillingModel(scaled).program.solve(seconds, scaled.all)
    if found.value is None:
        return False if found.bound < scaled.all else None
    return found.value == scaled.all


MOST_PIECES = 60
"""With more of a pile the integer programs are no longer tiny."""
