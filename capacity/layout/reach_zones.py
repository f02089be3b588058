"""Who reaches how high: each person's zone of reach, and what a layout costs in bending, stretching and steps.

Whole ticks and whole numbers throughout, so that a search can count with them. The price of one piece depends only on
its use, its owner, and the height of the hand; `price_breaks` lists the heights at which it changes. Which things
belong low is a fact of the problem (`makeover/files_to_problem`).
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from capacity.closet.people import Person
from capacity.layout.layout import Holding, Layout, Opening
from capacity.layout.problem import OpeningKind, Problem, Thing
from capacity.units import inches, millimetres

Ints = npt.NDArray[np.int64]

# ANSUR II (Gordon et al. 2014, NATICK/TR-15/007), computed from the public data: women's medians [mm], the lower
# of both sexes. Standing reach and the height of the eye are sums of measured parts.
STATURE, FINGERTIP, EYE, SHOULDER, KNUCKLE, ARM = 1626, 2078, 1517, 1332, 686, 742
ANSUR_SOURCE = "ANSUR II (NATICK/TR-15/007), women's ratios to stature, less 75 mm from fingertip to grip"
GRIP_LOSS = millimetres(75)
"""From the fingertip to what the hand holds: 65 to 75 mm, hand geometry (our proposal)."""

CHILD_RANGES: Mapping[int, tuple[int, int]] = MappingProxyType(
    {4: (inches(20), inches(36)), 8: (inches(18), inches(40)), 12: (inches(16), inches(44))}
)
"""Low and high reach of children up to that age; the low one binds only a child that sits."""

CHILD_SOURCE = "2010 ADA Standards, advisory to 308.1: reach of children 3-4, 5-8 and 9-12"
SEATED_LOW, SEATED_HIGH, SEATED_FAR = inches(15), inches(48), inches(44)
SEATED_NEAR_DEPTH, SEATED_DEPTH = inches(20), inches(25)
SEATED_SOURCE = "2010 ADA Standards, 308.2.1 and 308.2.2: forward reach"
"""From 15 in up to 48 in as deep in as 20 in, up to 44 in as deep in as 25 in (published)."""

ROD_FROM_WALL = inches(12)
"""Bath and bedroom planning textbook, clothes storage (published)."""

ANY_DEPTH = inches(100)
"""Arm of a child whose stature is not written: no shelf is deeper than it reaches (our proposal)."""

COMFORTABLE, STRETCHED, OUT_OF_REACH, NO_PLACE = 0, 1, 4, 50
"""What one use costs: between knuckle and shoulder; bending or stretching; with a step or somebody's help; and where
somebody seated cannot get at it at all, which is no place. The golden zone is common practice; the prices are our
proposal."""

OVER_SHOULDER, OVER_EYE = 12, 48
"""What a piece costs besides, however seldom it is used, that belongs low and is higher than the shoulder, and where it
is higher than the eye too (our proposal)."""

BELONGS_RULE = (
    "Where things belong (common practice, no published source): footwear and what weighs 5 kg (11 lb) or more stands "
    "at shoulder height or lower and, where that cannot be, under the eye, daily and weekly things between knuckle and "
    "shoulder, and what lies higher than somebody reaches is seasonal."
)
"""What `piece_cost` prices, in words for whoever reads a plan."""

SEASONAL = 1
"""What a stored seasonal piece is worth (rule 11)."""

ASSUMED_WORDS = "one adult of 5 ft 4 in (1626 mm) is assumed, since nobody is described in [[person]]"
"""Who is thought of where nobody is known: the median woman of the survey above."""


@dataclass(frozen=True, slots=True)
class Zone:
    """Heights within which one person reaches [ticks]; `arm` is the reach forward, `is_seated` for the seated rule."""

    name: str
    low: int
    comfort_low: int
    comfort_high: int
    eye: int
    high: int
    arm: int
    is_adult: bool
    is_seated: bool
    source: str

    def highest(self, into: int) -> int:
        """Highest place from which a thing so deep in a shelf can be taken.

        Standing: less r - sqrt(r^2 - x^2) with arm r and depth x (geometry). Seated: 48 in to a depth of 20 in, 44 in
        to 25 in, nothing beyond.
        """
        if self.is_seated:
            if into <= SEATED_NEAR_DEPTH:
                return self.high
            return min(self.high, SEATED_FAR) if into <= SEATED_DEPTH else 0
        if into >= self.arm:
            return 0
        return self.high - (self.arm - math.isqrt(self.arm**2 - into**2))

    def level(self, hand: int, into: int) -> int:
        """What taking a thing at that height of the hand, so deep in, costs: 0, 1 or 4."""
        if not self.low <= hand <= self.highest(into):
            return OUT_OF_REACH
        return COMFORTABLE if self.comfort_low <= hand <= self.comfort_high else STRETCHED


def zone_of(person: Person) -> Zone:
    """A person's zone: seated and children from the accessibility standards, others from their stature.

    Examples
    --------
    >>> tall = Person.model_validate({"name": "A", "height": 1626}, context={"units": "mm"}, strict=False)
    >>> zone_of(tall).high / 320  # 2078 mm to the fingertip, less 75
    2003.0
    """
    stature, is_adult = person.height or 0, person.age is None or person.age > 12
    arm = stature * ARM // STATURE
    if person.posture == "seated" and is_adult:
        high: int = person.reach or SEATED_HIGH
        return Zone(person.name, SEATED_LOW, SEATED_LOW, high, high, high, arm, True, True, SEATED_SOURCE)
    if person.age is not None and not is_adult:
        low, high = next(limits for age, limits in CHILD_RANGES.items() if person.age <= age)
        high = person.reach or high
        if person.posture == "seated":
            return Zone(person.name, low, low, high, high, high, arm, False, True, CHILD_SOURCE)
        # a child that stands bends down to the floor: the range's low end only bounds what is comfortable
        return Zone(person.name, 0, low, high, high, high, arm or ANY_DEPTH, False, False, CHILD_SOURCE)
    high = person.reach or stature * FINGERTIP // STATURE - GRIP_LOSS
    knuckle, shoulder, eye = -(-stature * KNUCKLE // STATURE), stature * SHOULDER // STATURE, stature * EYE // STATURE
    return Zone(person.name, 0, knuckle, min(shoulder, high), min(eye, high), high, arm, True, False, ANSUR_SOURCE)


def zones_of(people: Iterable[Person]) -> dict[str, Zone]:
    """Zones by name, upper and lower case not told apart."""
    return {person.name.casefold(): zone_of(person) for person in people}


def zones_or_assumed(people: Iterable[Person]) -> dict[str, Zone]:
    """Zones by name as `zones_of`; of one assumed adult where nobody is known."""
    zones = zones_of(people)
    if not zones:
        adult = Person.model_validate({"name": "adult", "height": STATURE}, context={"units": "mm"}, strict=False)
        zones = {"": zone_of(adult)}
    return zones


def hand_height(kind: OpeningKind, bottom: int, height: int, hang_allowance: int) -> int:
    """Where the hand goes: onto the shelf board, over the drawer, or to the rod, half the hang allowance down."""
    if kind is OpeningKind.SHELF:
        return bottom
    return bottom + height - (hang_allowance // 2 if kind is OpeningKind.HANG else 0)


def hand_depth(kind: OpeningKind, depth: int) -> int:
    """How far in the hand goes: to the back of a shelf, to the rod 12 in from the wall, not at all for a drawer."""
    if kind is OpeningKind.SHELF:
        return depth
    return max(0, depth - ROD_FROM_WALL) if kind is OpeningKind.HANG else 0


def level_for(owner: str | None, hand: int, into: int, zones: Mapping[str, Zone]) -> int:
    """What one use costs its owner; shared things the adult who has most trouble; 0 when nobody is known."""
    if owner is not None:
        zone = zones.get(owner.casefold())
        return zone.level(hand, into) if zone is not None else 0
    able = [zone for zone in zones.values() if zone.is_adult] or list(zones.values())
    return max((zone.level(hand, into) for zone in able), default=0)


def piece_cost(thing: Thing, hand: int, into: int, zones: Mapping[str, Zone]) -> int:
    """What one piece costs its owner by where it belongs, with how often it is used; see `BELONGS_RULE`.

    What is shared, or belongs to somebody not described, costs what it costs the adult who has most trouble.
    What belongs low is taken without trouble from the floor up to the shoulder, and not well from higher. A seasonal
    thing gives no trouble wherever it is reached, and little on a step.
    """
    mine = zones.get(thing.owner.casefold()) if thing.owner is not None else None
    able = [zone for zone in zones.values() if zone.is_adult] or list(zones.values())
    return max((_cost_for(zone, thing, hand, into) for zone in ([mine] if mine else able)), default=0)


def _cost_for(zone: Zone, thing: Thing, hand: int, into: int) -> int:
    level, is_seasonal = zone.level(hand, into), thing.by_use == SEASONAL
    if level == OUT_OF_REACH and zone.is_seated:
        return thing.by_use * NO_PLACE
    if thing.belongs_low and hand > zone.comfort_high:
        return OVER_SHOULDER + (OVER_EYE if hand > zone.eye else 0) + thing.by_use * level
    if level == OUT_OF_REACH:
        return STRETCHED if is_seasonal and not thing.belongs_low else thing.by_use * OUT_OF_REACH
    return COMFORTABLE if thing.belongs_low or is_seasonal else thing.by_use * level


def piece_price(problem: Problem, zones: Mapping[str, Zone], row: int, opening: Opening, depth: int) -> int:
    """Inconvenience of one piece of a pile in an opening, by its value (daily 3, weekly 2, seasonal 1)."""
    thing = problem.thing(row)
    hand = hand_height(opening.kind, opening.bottom, opening.height, problem.rules.hang_allowance)
    return piece_cost(thing, hand, hand_depth(opening.kind, depth), zones)


def inconvenience(problem: Problem, layout: Layout, zones: Mapping[str, Zone]) -> int:
    """A layout's whole inconvenience: the sum of `piece_price` over all stored pieces; 0 is best.

    It is additive over pieces and depends on an opening only by kind, bottom, height and depth, so that a search can
    price `row` in an opening before anything is in it.
    """
    return sum(
        item.count * piece_price(problem, zones, item.row, opening, bay.depth)
        for *_, bay, opening in layout.openings()
        for item in opening.holds
    )


class PriceList:
    """The same prices looked up quickly: between two breaks (`price_breaks`) a price stays what it is."""

    def __init__(self, problem: Problem, zones: Mapping[str, Zone]) -> None:
        self._zones, self._allowance = zones, problem.rules.hang_allowance
        self._things = {thing.row: thing for thing in problem.things}
        self._contents: dict[tuple[OpeningKind, int, tuple[Holding, ...]], tuple[tuple[int, ...], tuple[int, ...]]] = {}

    def contents(self, kind: OpeningKind, bottom: int, height: int, depth: int, holds: tuple[Holding, ...]) -> int:
        """Inconvenience of all that an opening holds."""
        breaks, costs = self.steps(kind, depth, holds)
        return costs[max(0, bisect_right(breaks, hand_height(kind, bottom, height, self._allowance)) - 1)]

    def at_bottoms(self, opening: Opening, depth: int, bottoms: Ints) -> Ints:
        """Inconvenience of an opening with its contents, were it at each of these bottoms [ticks]; the same shape."""
        breaks, costs = self.steps(opening.kind, depth, opening.holds)
        more = hand_height(opening.kind, 0, opening.height, self._allowance)
        at = np.searchsorted(np.array(breaks), bottoms + more, side="right") - 1
        return np.array(costs, dtype=np.int64)[np.maximum(at, 0)]

    def steps(
        self, kind: OpeningKind, depth: int, holds: tuple[Holding, ...]
    ) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """Heights of the hand at which the inconvenience of some contents changes, and what it is from each on."""
        key = (kind, depth, holds)
        if key not in self._contents:
            breaks = price_breaks(self._zones.values(), kind, depth)
            into, things = hand_depth(kind, depth), [(item.count, self._things[item.row]) for item in holds]
            costs = (
                sum(count * piece_cost(thing, mark, into, self._zones) for count, thing in things) for mark in breaks
            )
            self._contents[key] = breaks, tuple(costs)
        return self._contents[key]


def price_breaks(zones: Iterable[Zone], kind: OpeningKind, depth: int) -> tuple[int, ...]:
    """Hand heights at which some price changes, ascending: prices are constant on [b, next b) from each break b."""
    into = hand_depth(kind, depth)
    marks = {0}
    for zone in zones:
        marks |= {zone.low, zone.comfort_low, zone.comfort_high + 1, zone.eye + 1, zone.highest(into) + 1}
    return tuple(sorted(mark for mark in marks if mark >= 0))
