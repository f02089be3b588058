"""The layout that a solution of the exact model stands for, in whole ticks."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from second_opinion.bay_rows import BayModel, Slot, segments_of
from second_opinion.exact_model import ExactModel
from second_opinion.household import INCH, Household, Must
from second_opinion.judge import (
    DRAWER_NARROW,
    Bay,
    Layout,
    Opening,
    given_openings,
    head_over,
    is_placed,
    limits_of,
)


def model_layout(model: ExactModel, solution: Sequence[float]) -> Layout:
    """Bays as wide as their contents need, packed against the higher end of their stretch of wall."""
    home = model.home
    owners = tuple(round(solution[corner]) == 1 for corner in model.corners)
    walls: list[tuple[Bay, ...]] = []
    for number in range(len(home.walls)):
        bays = [
            bay for bay in model.bays
            if bay.wall == number and (bay.must or any(_holds(slot, solution) for slot in bay.slots))
        ]  # fmt: skip
        places = _places(home, number, owners, bays, solution)
        built = (_built(home, bay, *place, solution) for bay, place in zip(bays, places, strict=True))
        walls.append(tuple(sorted(built, key=lambda bay: bay.left)))
    return tuple(walls)


def _holds(slot: Slot, solution: Sequence[float]) -> tuple[tuple[int, int, bool], ...]:
    return tuple((index + 1, round(solution[pieces]), turned) for index, turned, _, _, pieces in slot.holds
                 if round(solution[pieces]))  # fmt: skip


def _needed(home: Household, bay: BayModel, solution: Sequence[float]) -> int:
    """Least clear width for what a bay holds."""
    least = home.wishes.min_bay
    for slot in bay.slots:
        taken = 0
        for index, turned, each, _, pieces in slot.holds:
            pile = home.piles[index]
            across = pile.rod if slot.kind == "hang" else (pile.depth if turned else pile.width)
            taken += -(-round(solution[pieces]) // each) * across
        narrow = DRAWER_NARROW if slot.kind == "drawer" else 0
        least = max(least, ceil(taken / (1 - home.wishes.spare)) + narrow) if taken else least
    wall, mark = home.walls[bay.wall], home.wishes.round
    return -(-least // mark) * mark if mark and not is_placed(home, wall) else least


def _longest(home: Household, bay: BayModel, solution: Sequence[float]) -> int:
    kinds = {slot.kind == "hang" for slot in bay.slots if _holds(slot, solution)}
    limits = {True: home.wishes.max_rod, False: home.wishes.max_shelf}
    return min([limits[is_rod] for is_rod in kinds], default=home.wishes.max_shelf)


def _places(
    home: Household, number: int, owners: tuple[bool, ...], bays: list[BayModel], solution: Sequence[float]
) -> list[tuple[int, int]]:
    """(left, width) of each bay."""
    wall, thick = home.walls[number], home.thick
    start, _ = limits_of(home, number, owners)
    if is_placed(home, wall):
        return _placed(home, number, bays, solution)
    places: list[tuple[int, int]] = []
    for index, bay in enumerate(bays):
        if bay.must is not None:
            places.append((bay.must.left, bay.must.width))
            continue
        width, left = _needed(home, bay, solution), places[-1][0] + places[-1][1] + thick if places else start + thick
        rest = bays[index:]
        behind = next((other.must for other in rest if other.must is not None), None)
        if behind is not None:
            free = rest[: next(n for n, other in enumerate(rest) if other.must is not None)]
            least = sum(_needed(home, other, solution) + thick for other in free)
            over = behind.left - left - least
            is_after = any(other.must is not None for other in bays[:index])
            if not is_after and index == 0:
                left += over  # towards the bay that must be
            elif is_after and 0 < over < thick:  # no gap is left: the bays are wider
                width = min(width + over, _longest(home, bay, solution))
        places.append((left, width))
    return places


def _placed(home: Household, number: int, bays: list[BayModel], solution: Sequence[float]) -> list[tuple[int, int]]:
    """Where a place counts: that of the solution to a tick, uprights shared where they nearly are."""
    wall, places = home.walls[number], []
    rises = wall.ceilings[0] < wall.ceilings[1]
    for bay in bays:
        if bay.must is not None:
            places.append((bay.must.left, bay.must.width))
            continue
        exact = solution[bay.left] * INCH
        left = ceil(exact - 0.01) if rises else int(exact + 0.01)
        if places:
            shared = places[-1][0] + places[-1][1] + home.thick
            left = shared if abs(left - shared) < home.thick // 2 else left
        right = round((solution[bay.left] + solution[bay.width]) * INCH)
        places.append((left, max(_needed(home, bay, solution), right - left)))
    for index in range(len(places) - 2, -1, -1):  # what was pushed into a bay that must be
        over = places[index][0] + places[index][1] + home.thick - places[index + 1][0]
        if 0 < over < home.thick // 2 and bays[index].must is None:
            places[index] = (places[index][0] - over, places[index][1])
    return places


def _built(home: Household, bay: BayModel, left: int, width: int, solution: Sequence[float]) -> Bay:
    """One bay with its openings from the floor up."""
    wall, thick = home.walls[bay.wall], home.thick
    upper = head_over(home, wall, left, left + width)
    some = next(boxes for boxes, chosen in bay.around.items() if round(solution[chosen]))
    is_kept = home.wishes.keep_bays
    openings: list[Opening] = []
    is_idle = not any(slot.segment is not None and _holds(slot, solution) for slot in bay.slots)
    for number, (begin, end) in enumerate(segments_of(home, some, upper)):
        slots = [s for s in bay.slots if s.segment in ((-1, 0) if number == 0 else (number,)) and round(solution[s.on])]
        if home.wishes.highest_drawer:
            slots.sort(key=lambda slot: (slot.segment != -1, slot.kind != "drawer"))
        must: Must | None = bay.must
        is_lowest = must is not None and number == (1 if must.bottom else 0)
        bank = len(given_openings(home, must)) if must is not None and is_lowest else 0
        low, built = begin + thick, []
        for index, slot in enumerate(slots):
            holds = _holds(slot, solution)
            if not holds and index >= bank and slot.segment != -1:
                continue
            if slot.segment == -1:
                if not holds and home.most_panel is None:
                    continue
                low = 0
            built.append(Opening(slot.kind, low, slot.height, holds))
            low += slot.height + thick
        least = home.built_height("shelf", 1) if some else 1
        is_needed = bank or not some or (must is not None and is_idle and not openings)
        if len(built) <= bank and is_needed and low + least + thick <= end:
            is_long = width > home.wishes.max_shelf and not is_kept
            is_hung = is_long or (must is not None and "shelf" not in must.kinds)
            built.append(Opening("hang" if is_hung else "shelf", low, least))
        if built and end == upper:
            last = built[-1]
            if last.kind == "drawer" and 0 < home.wishes.highest_drawer < upper - thick:
                last = Opening("shelf", low, 1)
                built.append(last)
            built[-1] = Opening(last.kind, last.bottom, upper - thick - last.bottom, last.holds)
        openings += built
    for slot in bay.slots:
        if slot.segment is None and round(solution[slot.on]) and _holds(slot, solution):
            openings.append(Opening("shelf", home.top, slot.height, _holds(slot, solution)))
    return Bay(left, width, bay.depth, tuple(openings))
