"""Can they reach it: the daily things of each person that a layout puts out of reach, and where they could go."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from pydantic import JsonValue

from capacity.checks import Check, Cure, Place, up_to_mark
from capacity.closet import Closet
from capacity.inventory import Inventory, Use
from capacity.layout import Layout, Opening
from capacity.problem import Problem
from capacity.reach import OUT_OF_REACH, Zone, hand_depth, hand_height, level_for, zones_of
from capacity.units import Ticks, format_about, format_length, inches
from capacity.verify import filling_violations

MOST_STEP = inches(20)
"""Highest step that is proposed: two steps of a step stool (common practice, no published source)."""

Spot = tuple[int, int, int]
"""Wall, bay and opening, from 0."""


@dataclass(frozen=True, slots=True)
class Far:
    """Daily pieces out of somebody's reach in one opening; `hand` is where the hand has to go [ticks]."""

    spot: Spot
    row: int
    count: int
    hand: int
    into: int


def far_things(
    problem: Problem, inventory: Inventory, layout: Layout, owner: str | None, zones: Mapping[str, Zone]
) -> tuple[Far, ...]:
    """Daily things of one owner (None: shared) that this owner cannot reach."""
    found = []
    for wall, number, index, bay, opening in layout.openings():
        hand = hand_height(opening.kind, opening.bottom, opening.height, problem.rules.hang_allowance)
        into = hand_depth(opening.kind, bay.depth)
        for item in opening.holds:
            pile = inventory.pile(item.row)
            mine = (pile.owner or "").casefold() == (owner or "").casefold()
            if mine and pile.use is Use.DAILY and level_for(pile.owner, hand, into, zones) == OUT_OF_REACH:
                found.append(Far((wall, number, index), item.row, item.count, hand, into))
    return tuple(found)


def reach_checks(closet: Closet, problem: Problem, inventory: Inventory, layout: Layout) -> Iterator[Check]:
    """One check a person, and one for shared things: daily pieces out of reach, none allowed."""
    zones = zones_of(closet.person)
    if not zones:
        return
    for owner in (*[person.name for person in closet.person], None):
        far = far_things(problem, inventory, layout, owner, zones)
        zone = zones[owner.casefold()] if owner is not None else None
        names = ", ".join(f"{item.count} x {inventory.pile(item.row).name}" for item in far)
        count = sum(item.count for item in far)
        yield Check(
            name="daily things within reach",
            place=Place(thing=owner or "shared things"),
            computed=count,
            limit=0,
            sense="at most",
            unit="pieces",
            ratio=None,
            passed=count == 0,
            source=zone.source if zone is not None else "the adult who has most trouble",
            how_known="published" if zone is not None and (zone.is_seated or not zone.is_adult) else "computed",
            note=_note(closet, zone, names),
            cure=_cure(closet, problem, inventory, layout, owner) if far else None,
        )


def _note(closet: Closet, zone: Zone | None, names: str) -> str:
    words = f"out of reach: {names}" if names else ""
    if zone is not None:
        low, high = (format_about(height, closet.units) for height in (zone.low, zone.high))
        words = f"reaches {low} to {high}{'; ' if words else ''}{words}"
    return words


# ---- cures --------------------------------------------------------------------------------------------


def _cure(closet: Closet, problem: Problem, inventory: Inventory, layout: Layout, owner: str | None) -> Cure | None:
    """Change the contents of openings, or openings of one bay, as long as it helps; else a step; all re-checked."""
    swaps, current = [], layout
    zones = zones_of(closet.person)
    while far := far_things(problem, inventory, current, owner, zones):
        better = _best_change(closet, problem, inventory, current, far)
        if better is None:
            return _step(closet, problem, inventory, layout, owner)
        current, swap = better
        swaps.append(swap)
    moves: list[JsonValue] = [list(swap) for swap in swaps]
    words = "; ".join(_words(swap, inventory) for swap in swaps)
    return Cure(
        action="change places",
        sentence=words,
        settings={"layout.change": moves},
        computed=0,
        limit=0,
        passed=True,
    )


Change = tuple[str, str, int, int, str, int, int, int, int]
"""What is changed (contents, openings or piles), wall, bay, opening of both counted from 1, and the two rows of piles.

A row of 0 is nothing: the pile moves and no other comes back.
"""


def _words(change: Change, inventory: Inventory) -> str:
    kind, wall, bay, opening, other_wall, other_bay, other_opening, row, back_row = change
    first = f"wall {wall}, bay {bay}, opening {opening}"
    second = f"wall {other_wall}, bay {other_bay}, opening {other_opening}"
    if kind == "contents":
        return f"change what is in {first} and {second}"
    if kind == "openings":
        return f"change the places of {first} and opening {other_opening} over each other"
    back = f", and {inventory.pile(back_row).name} back" if back_row else ""
    return f"put {inventory.pile(row).name} from {first} into {second}{back}"


def _best_change(
    closet: Closet, problem: Problem, inventory: Inventory, layout: Layout, far: tuple[Far, ...]
) -> tuple[Layout, Change] | None:
    """The change that leaves the fewest daily pieces of anybody out of reach; None when none is better."""
    zones = zones_of(closet.person)
    owners = (*[person.name for person in closet.person], None)

    def total(changed: Layout) -> int:
        things = [far_things(problem, inventory, changed, owner, zones) for owner in owners]
        return sum(item.count for each in things for item in each)

    now = total(layout)
    best: tuple[int, Layout, Change] | None = None
    for item in far:
        for other, changed, kind, row in _changes(problem, layout, item):
            left = total(changed)
            if left < (best[0] if best else now) and not filling_violations(problem, changed):
                ends = [(layout.walls[w].name, b + 1, o + 1) for w, b, o in (item.spot, other)]
                best = (left, changed, (kind, *ends[0], *ends[1], item.row if kind == "piles" else 0, row))
    return (best[1], best[2]) if best is not None else None


def _changes(problem: Problem, layout: Layout, item: Far) -> Iterator[tuple[Spot, Layout, str, int]]:
    """Every change of one opening's contents, of one pile, or of two openings: other spot, layout, kind, row back."""
    spot = item.spot
    here = opening_at(layout, spot)
    for w, b, o, _, opening in layout.openings():
        other = (w, b, o)
        if other == spot:
            continue
        if opening.kind is here.kind:
            yield other, swap_contents(layout, spot, other), "contents", 0
            for row in (0, *dict.fromkeys(held.row for held in opening.holds if held.row != item.row)):
                yield other, swap_piles(layout, spot, other, item.row, row), "piles", row
        if (w, b) == spot[:2] and not problem.runs[w].blocked:
            changed = swap_openings(problem, layout, spot, o)
            if changed is not None:
                yield other, changed, "openings", 0


def swap_piles(layout: Layout, first: Spot, second: Spot, row: int, back: int) -> Layout:
    """The layout with one pile moved from the first opening to the second and another (0: none) moved back."""
    contents = {(w, b, o): opening.holds for w, b, o, _, opening in layout.openings()}
    gone = tuple(held for held in contents[first] if held.row == row)
    came = tuple(held for held in contents[second] if held.row == back)
    contents[first] = (*[held for held in contents[first] if held.row != row], *came)
    contents[second] = (*[held for held in contents[second] if held.row != back], *gone)
    return layout.holding(contents)


def opening_at(layout: Layout, spot: Spot) -> Opening:
    """The opening at a spot."""
    wall, bay, opening = spot
    return layout.walls[wall].bays[bay].openings[opening]


def swap_contents(layout: Layout, first: Spot, second: Spot) -> Layout:
    """The layout with what two openings hold exchanged."""
    contents = {(w, b, o): opening.holds for w, b, o, _, opening in layout.openings()}
    contents[first], contents[second] = contents[second], contents[first]
    return layout.holding(contents)


def swap_openings(problem: Problem, layout: Layout, spot: Spot, other: int) -> Layout | None:
    """The layout with two openings of one bay exchanged, those between them shifted; None where they must stay.

    An opening on the floor and the one above the top panel keep their places.
    """
    wall, number, index = spot
    bay = layout.walls[wall].bays[number]
    low, high = sorted((index, other))
    if bay.openings[low].bottom < problem.rules.base or bay.openings[high].bottom >= problem.top:
        return None
    openings = list(bay.openings)
    openings[low], openings[high] = openings[high], openings[low]
    bottom = bay.openings[low].bottom
    for at in range(low, high + 1):
        openings[at] = replace(openings[at], bottom=bottom)
        bottom += openings[at].height + problem.rules.panel
    changed = replace(bay, openings=tuple(openings))
    bays = layout.walls[wall].bays
    walls = list(layout.walls)
    walls[wall] = replace(walls[wall], bays=(*bays[:number], changed, *bays[number + 1 :]))
    return replace(layout, walls=tuple(walls))


def _step(closet: Closet, problem: Problem, inventory: Inventory, layout: Layout, owner: str | None) -> Cure | None:
    """A step stool for somebody who stands, as high as it takes, re-checked with the reach from it."""
    units, zones = closet.units, zones_of(closet.person)
    names = [person.name for person in closet.person]
    who = owner if owner is not None else min(zones.values(), key=lambda zone: (not zone.is_adult, zone.high)).name
    zone = zones[who.casefold()]
    if zone.is_seated:
        return None
    far = far_things(problem, inventory, layout, owner, zones)
    short = max(item.hand - zone.highest(item.into) for item in far)
    step = up_to_mark(max(0, short), units)
    number = names.index(who) + 1
    reach = Ticks(zone.high + step)
    people = tuple(
        person.model_copy(update={"reach": reach}) if person.name == who else person for person in closet.person
    )
    if step > MOST_STEP or far_things(problem, inventory, layout, owner, zones_of(people)):
        return None
    return Cure(
        action="step stool",
        sentence=f"{who} needs a step stool at least {format_about(step, units)} high for these",
        settings={f"person.{number}.reach": format_length(reach, units)},
        computed=0,
        limit=0,
        passed=True,
    )
