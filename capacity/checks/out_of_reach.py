"""What a layout puts out of the reach of each person (`layout/reach_zones`), and where it could go.

Daily things for everybody; all of them for somebody who is seated or small, who has no other way to what is high.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from pydantic import JsonValue

from capacity.checks.check import Check, Cure, Place, up_to_mark
from capacity.closet.closet import Closet
from capacity.closet.people import Person
from capacity.layout.fit_rules import filling_violations
from capacity.layout.layout import Bay, Holding, Layout, Opening
from capacity.layout.problem import Problem
from capacity.layout.reach_zones import OUT_OF_REACH, Zone, hand_depth, hand_height, level_for, zone_of, zones_of
from capacity.units import Ticks, format_about, format_length, inches, millimetres
from capacity.wardrobe.inventory import Inventory
from capacity.wardrobe.piles import Use

MOST_STEP = inches(20)
"""Highest step that is proposed: two steps of a step stool (common practice, no published source)."""

LEAST_STEP = {"in": inches(8), "mm": millimetres(200)}
"""The lowest step stools that are sold (common practice, no published source) [ticks]."""

SMALL = millimetres(1525)
"""Somebody smaller counts as small: the 5th percentile of women, ANSUR II (computed) [ticks]."""

MOST_CHANGES = 3
"""More changes of places than these are no cure; then the closet is filled anew (our proposal)."""

REFILL = "fill the closet anew: `capacity refill`, or let somebody who reaches higher hand it down"

OpeningIndex = tuple[int, int, int]
"""Wall, bay and opening, from 0."""


@dataclass(frozen=True, slots=True)
class Far:
    """Pieces out of somebody's reach in one opening; `hand` is where the hand has to go [ticks]."""

    spot: OpeningIndex
    row: int
    count: int
    hand: int
    into: int


def far_things(
    problem: Problem, inventory: Inventory, layout: Layout, owner: str | None, zones: Mapping[str, Zone]
) -> tuple[Far, ...]:
    """Things of one owner (None: shared) that this owner cannot reach: daily ones, or all where `reaches_all`."""
    found = []
    every = reaches_all(owner, zones)
    for wall, number, index, bay, opening in layout.openings():
        hand = hand_height(opening.kind, opening.bottom, opening.height, problem.rules.hang_allowance)
        into = hand_depth(opening.kind, bay.depth)
        for item in opening.holds:
            pile = inventory.pile(item.row)
            mine = (pile.owner or "").casefold() == (owner or "").casefold()
            if mine and (every or pile.use is Use.DAILY) and level_for(pile.owner, hand, into, zones) == OUT_OF_REACH:
                found.append(Far((wall, number, index), item.row, item.count, hand, into))
    return tuple(found)


def reaches_all(owner: str | None, zones: Mapping[str, Zone]) -> bool:
    """Whether somebody is seated or small, so that a stool or a stretch is no way to what is seldom used either."""
    zone = zones.get(owner.casefold()) if owner is not None else None
    return zone is not None and (zone.is_seated or not zone.is_adult or zone.high <= _highest_of_small())


def _highest_of_small() -> int:
    return zone_of(Person.model_construct(name="small", height=SMALL)).high


def reach_checks(closet: Closet, problem: Problem, inventory: Inventory, layout: Layout) -> Iterator[Check]:
    """One check a person, and one for shared things: pieces out of reach, none allowed."""
    zones = zones_of(closet.person)
    if not zones:
        return
    for owner in (*[person.name for person in closet.person], None):
        far = far_things(problem, inventory, layout, owner, zones)
        zone = zones[owner.casefold()] if owner is not None else None
        rows: Counter[int] = Counter()
        for item in far:
            rows[item.row] += item.count
        names = ", ".join(f"{number} x {inventory.pile(row).name}" for row, number in rows.items())
        count = rows.total()
        cure = _cure(closet, problem, inventory, layout, owner) if far else None
        yield Check(
            name="things within reach" if reaches_all(owner, zones) else "daily things within reach",
            place=Place(thing=owner or "shared things"),
            computed=count,
            limit=0,
            sense="at most",
            unit="pieces",
            ratio=None,
            passed=count == 0,
            source=zone.source if zone is not None else "the adult who has most trouble",
            how_known="published" if zone is not None and (zone.is_seated or not zone.is_adult) else "computed",
            note=_note(closet, zone, names, cure is None),
            cure=cure,
            advice=REFILL if far and cure is None else "",
        )


def _note(closet: Closet, zone: Zone | None, names: str, is_stuck: bool) -> str:
    words = f"out of reach: {names}" if names else ""
    if names and is_stuck:
        words += f"; {MOST_CHANGES} changes of places are not enough"
    if zone is not None:
        low, high = (format_about(height, closet.units) for height in (zone.low, zone.high))
        words = f"reaches {low} to {high}{'; ' if words else ''}{words}"
    return words


# ---- cures --------------------------------------------------------------------------------------------


def _cure(closet: Closet, problem: Problem, inventory: Inventory, layout: Layout, owner: str | None) -> Cure | None:
    """A few changes of places, then a step for what is left; all re-checked. A chain of changes is no cure."""
    zones = zones_of(closet.person)
    bench = _Bench(problem, inventory, zones)
    swaps: list[Change] = []
    current = layout
    while (far := far_things(problem, inventory, current, owner, zones)) and len(swaps) < MOST_CHANGES:
        better = bench.best_change(current, far)
        if better is None:
            break
        current, swap = better
        swaps.append(swap)
    words = [_words(swap, inventory) for swap in swaps]
    moves: list[JsonValue] = [list(swap) for swap in swaps]
    settings: dict[str, JsonValue] = {"layout.change": moves} if moves else {}
    if far:
        step = _step(closet, problem, inventory, current, owner)
        if step is None:
            return None
        words.append(step[0])
        settings[step[1]] = step[2]
    return Cure(
        action="change places" if swaps else "step stool",
        sentence="; ".join(words),
        settings=settings,
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


class _Bench:
    """Tries changes of a layout and keeps count of the pieces of anybody that are out of reach."""

    def __init__(self, problem: Problem, inventory: Inventory, zones: Mapping[str, Zone]) -> None:
        self._problem = problem
        self._counted = {
            pile.row: pile.owner for pile in inventory.piles if pile.use is Use.DAILY or reaches_all(pile.owner, zones)
        }
        self._zones = zones

    def _far(self, bay: Bay, opening: Opening) -> tuple[int, int]:
        """Pieces of anybody out of reach in an opening, and how far the hand is over the floor for them."""
        hand = hand_height(opening.kind, opening.bottom, opening.height, self._problem.rules.hang_allowance)
        into = hand_depth(opening.kind, bay.depth)
        pieces = sum(
            item.count
            for item in opening.holds
            if item.row in self._counted and level_for(self._counted[item.row], hand, into, self._zones) == OUT_OF_REACH
        )
        return pieces, pieces * hand

    def best_change(self, layout: Layout, far: tuple[Far, ...]) -> tuple[Layout, Change] | None:
        """The change after which fewest pieces are out of reach, or the same number lower down; None when none helps.

        Only the openings that change are counted again; the fit rules are held against every change that helps.
        """
        best: tuple[tuple[int, int], Layout, Change] | None = None
        for item in far:
            for change in self._changes(layout, item):
                gain = change.gain
                if gain < (best[0] if best else (0, 0)):
                    changed = change.apply(layout)
                    if not filling_violations(self._problem, changed):
                        ends = [(layout.walls[w].name, b + 1, o + 1) for w, b, o in (item.spot, change.other)]
                        row = item.row if change.kind == "piles" else 0
                        best = (gain, changed, (change.kind, *ends[0], *ends[1], row, change.back))
        return (best[1], best[2]) if best is not None else None

    def _changes(self, layout: Layout, item: Far) -> Iterator[_Trial]:
        """Every change of one opening's contents, of one pile, or of two openings of a bay, with what it gains."""
        spot = item.spot
        here, my_bay = opening_at(layout, spot), layout.walls[spot[0]].bays[spot[1]]
        for w, b, o, bay, there in layout.openings():
            other = (w, b, o)
            if other == spot:
                continue
            old = _sum(self._far(my_bay, here), self._far(bay, there))
            if there.kind is here.kind:
                rows = (0, *dict.fromkeys(held.row for held in there.holds if held.row != item.row))
                trials = [("contents", 0, there.holds, here.holds)]
                trials += [("piles", row, *exchanged(here.holds, there.holds, item.row, row)) for row in rows]
                for kind, back, mine, theirs in trials:
                    new = _sum(
                        self._far(my_bay, replace(here, holds=mine)), self._far(bay, replace(there, holds=theirs))
                    )
                    yield _Trial(kind, spot, other, back, _less(new, old), {spot: mine, other: theirs})
            if (w, b) == spot[:2] and not self._problem.runs[w].blocked:
                changed = swap_openings(self._problem, layout, spot, o)
                if changed is not None:
                    after = changed.walls[w].bays[b]
                    gain = _less(self._far_in_bay(after), self._far_in_bay(bay))
                    yield _Trial("openings", spot, other, 0, gain, {}, changed)

    def _far_in_bay(self, bay: Bay) -> tuple[int, int]:
        return _sum(*[self._far(bay, opening) for opening in bay.openings])


def _sum(*pairs: tuple[int, int]) -> tuple[int, int]:
    return sum(pair[0] for pair in pairs), sum(pair[1] for pair in pairs)


def _less(new: tuple[int, int], old: tuple[int, int]) -> tuple[int, int]:
    return new[0] - old[0], new[1] - old[1]


@dataclass(frozen=True, slots=True)
class _Trial:
    """A change that could be made; `gain` is how many fewer pieces are out of reach, and how much lower (negative)."""

    kind: str
    spot: OpeningIndex
    other: OpeningIndex
    back: int
    gain: tuple[int, int]
    contents: dict[OpeningIndex, tuple[Holding, ...]]
    layout: Layout | None = None

    def apply(self, layout: Layout) -> Layout:
        """The layout after the change."""
        if self.layout is not None:
            return self.layout
        held = {(w, b, o): opening.holds for w, b, o, _, opening in layout.openings()}
        return layout.holding({**held, **self.contents})


def exchanged(
    mine: tuple[Holding, ...], theirs: tuple[Holding, ...], row: int, back: int
) -> tuple[tuple[Holding, ...], tuple[Holding, ...]]:
    """What two openings hold after one pile went from the first to the second and another (0: none) came back."""
    gone = tuple(held for held in mine if held.row == row)
    came = tuple(held for held in theirs if held.row == back)
    return (
        (*[held for held in mine if held.row != row], *came),
        (*[held for held in theirs if held.row != back], *gone),
    )


def swap_piles(layout: Layout, first: OpeningIndex, second: OpeningIndex, row: int, back: int) -> Layout:
    """The layout with one pile moved from the first opening to the second and another (0: none) moved back."""
    contents = {(w, b, o): opening.holds for w, b, o, _, opening in layout.openings()}
    contents[first], contents[second] = exchanged(contents[first], contents[second], row, back)
    return layout.holding(contents)


def opening_at(layout: Layout, spot: OpeningIndex) -> Opening:
    """The opening at a spot."""
    wall, bay, opening = spot
    return layout.walls[wall].bays[bay].openings[opening]


def swap_contents(layout: Layout, first: OpeningIndex, second: OpeningIndex) -> Layout:
    """The layout with what two openings hold exchanged."""
    contents = {(w, b, o): opening.holds for w, b, o, _, opening in layout.openings()}
    contents[first], contents[second] = contents[second], contents[first]
    return layout.holding(contents)


def swap_openings(problem: Problem, layout: Layout, spot: OpeningIndex, other: int) -> Layout | None:
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


def _step(
    closet: Closet, problem: Problem, inventory: Inventory, layout: Layout, owner: str | None
) -> tuple[str, str, str] | None:
    """A step stool for an adult who stands, as high as it takes: words, setting and its value; None when too high."""
    units, zones = closet.units, zones_of(closet.person)
    names = [person.name for person in closet.person]
    who = owner if owner is not None else min(zones.values(), key=lambda zone: (not zone.is_adult, zone.high)).name
    zone = zones[who.casefold()]
    if zone.is_seated or not zone.is_adult:  # no child is sent up a stool
        return None
    far = far_things(problem, inventory, layout, owner, zones)
    step = up_to_mark(max(LEAST_STEP[units], *(item.hand - zone.highest(item.into) for item in far)), units)
    reach = Ticks(zone.high + step)
    people = tuple(
        person.model_copy(update={"reach": reach}) if person.name == who else person for person in closet.person
    )
    if step > MOST_STEP or far_things(problem, inventory, layout, owner, zones_of(people)):
        return None
    words = f"{who} needs a step stool of {format_length(step, units)} or more for the rest"
    return words, f"person.{names.index(who) + 1}.reach", format_length(reach, units)
