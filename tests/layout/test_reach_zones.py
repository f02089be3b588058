"""Reach against the accessibility standards and the public body data; inconvenience counted again piece by piece."""

from __future__ import annotations

import doctest
import math
import random
from dataclasses import replace

import pytest
from support.cases import INCH, problem, random_things, run, thing
from support.published import Published
from support.quick import closet_of, inventory_of, quick_layout, sample

from capacity.closet.people import Person
from capacity.layout import reach_zones
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind
from capacity.layout.reach_zones import (
    ARM,
    CHILD_RANGES,
    FINGERTIP,
    KNUCKLE,
    NO_PLACE,
    OUT_OF_REACH,
    OVER_EYE,
    OVER_SHOULDER,
    SHOULDER,
    STATURE,
    STRETCHED,
    hand_depth,
    hand_height,
    inconvenience,
    level_for,
    piece_cost,
    price_breaks,
    zone_of,
    zones_of,
    zones_or_assumed,
)
from capacity.makeover.files_to_problem import size_problem
from capacity.units import PER_MM, inches, millimetres, to_mm


def person(name: str = "A", **settings: object) -> Person:
    return Person.model_validate({"name": name, **settings}, context={"units": "in"}, strict=False)


def test_examples_in_the_docstrings() -> None:
    assert doctest.testmod(reach_zones).failed == 0


# ---- published ----------------------------------------------------------------------------------------

ADA = "2010 ADA Standards"


@pytest.mark.parametrize(
    ("settings", "into", "low", "high", "where"),
    [
        ({"posture": "seated"}, 15, 15, 48, "308.2.1 forward, unobstructed: 15 to 48 in"),
        ({"posture": "seated"}, 20, 15, 48, "308.2.2 over an obstruction of at most 20 in: 48 in"),
        ({"posture": "seated"}, 20.5, 15, 44, "308.2.2 over 20 to 25 in: 44 in"),
        ({"posture": "seated"}, 25, 15, 44, "308.2.2 over 20 to 25 in: 44 in"),
        ({"age": 3, "posture": "seated"}, 0, 20, 36, "advisory 308.1, age 3-4"),
        ({"age": 4, "posture": "seated"}, 0, 20, 36, "advisory 308.1, age 3-4"),
        ({"age": 5, "posture": "seated"}, 0, 18, 40, "advisory 308.1, age 5-8"),
        ({"age": 8, "posture": "seated"}, 0, 18, 40, "advisory 308.1, age 5-8"),
        ({"age": 9, "posture": "seated"}, 0, 16, 44, "advisory 308.1, age 9-12"),
        ({"age": 12, "posture": "seated"}, 0, 16, 44, "advisory 308.1, age 9-12"),
    ],
)
def test_reach_ranges_of_the_accessibility_standards(
    settings: dict[str, object], into: float, low: int, high: int, where: str
) -> None:
    zone = zone_of(person(**settings))
    assert (zone.low, zone.highest(inches(into))) == (inches(low), inches(high)), f"{ADA}, {where}"
    assert zone.level(inches(high), inches(into)) != OUT_OF_REACH
    assert zone.level(inches(high) + 1, inches(into)) == OUT_OF_REACH
    assert zone.level(inches(low) - 1, inches(into)) == OUT_OF_REACH


def test_a_seated_person_reaches_nothing_over_25_inches_in() -> None:
    assert zone_of(person(posture="seated")).highest(inches(25) + 1) == 0


@pytest.mark.parametrize(
    ("inch", "mm"),
    [("15", "380"), ("48", "1220"), ("44", "1120"), ("20", "510"), ("36", "915"), ("18", "455"), ("16", "405")],
)
def test_inches_of_the_standard_as_it_prints_them_in_millimetres(inch: str, mm: str) -> None:
    """The standard rounds millimetres to 5."""
    assert abs(to_mm(inches(float(inch))) - float(mm)) <= 2.5, ADA
    heights = {height for limits in CHILD_RANGES.values() for height in limits}
    assert inches(float(inch)) in heights | {reach_zones.SEATED_LOW, reach_zones.SEATED_HIGH, reach_zones.SEATED_FAR}


def test_body_ratios_of_the_public_data() -> None:
    """ANSUR II, women's medians [mm], computed from the public files: stature 1626, fingertip 2078, shoulder 1332."""
    source = "ANSUR II (NATICK/TR-15/007), computed"
    assert Published("1.278", source).agrees(FINGERTIP / STATURE)
    zone = zone_of(person(height="1626 mm"))
    assert Published("2003", source).agrees(zone.high / PER_MM)  # 2078 - 75
    assert (zone.comfort_low / PER_MM, zone.comfort_high / PER_MM) == (KNUCKLE, SHOULDER)
    small = zone_of(person(height="1525 mm"))
    assert small.high / PER_MM + 75 == pytest.approx(1926, abs=25)  # 5th percentile, same files


def test_reaching_over_a_shelf_by_hand() -> None:
    """R - sqrt(r^2 - x^2): r = 742 mm, x = 300 mm gives 63 mm."""
    zone = zone_of(person(height=f"{STATURE} mm"))
    assert zone.arm == ARM * PER_MM
    lost = (zone.highest(0) - zone.highest(300 * PER_MM)) / PER_MM
    assert Published("63", "geometry, by hand").agrees(lost)
    assert lost == pytest.approx(742 - math.sqrt(742**2 - 300**2), abs=0.01)
    assert zone.highest(zone.arm) == 0


# ---- zones --------------------------------------------------------------------------------------------


def test_a_child_that_stands_bends_to_the_floor() -> None:
    zone = zone_of(person(age=6))
    assert zone.level(0, 0) == STRETCHED
    assert zone.level(inches(30), 0) == 0
    assert zone.level(inches(41), 0) == OUT_OF_REACH


def test_a_measured_reach_wins() -> None:
    assert zone_of(person(height=66, reach=70)).high == inches(70)
    assert zone_of(person(posture="seated", reach=52)).high == inches(52)
    assert zone_of(person(age=6, reach=42)).high == inches(42)


def test_shared_things_are_judged_by_the_adult_who_has_most_trouble() -> None:
    zones = zones_of(
        [
            person(height=72),
            person("B", height=60),
            person("C", age=5),
        ]
    )
    hand = zones["b"].high + 1
    assert level_for("A", hand, 0, zones) == STRETCHED
    assert level_for(None, hand, 0, zones) == OUT_OF_REACH
    assert level_for(None, zones["b"].high, 0, zones) == STRETCHED
    assert level_for("nobody", 10**9, 0, zones) == 0
    assert level_for(None, 10**9, 0, {}) == 0


# ---- inconvenience ------------------------------------------------------------------------------------


def test_inconvenience_by_hand() -> None:
    """Daily (3) boxes too high: 2 x 3 x 4; weekly shirts within comfort: 0; weekly (2) hats low down: 5 x 2 x 1."""
    facts = problem(
        [
            thing(1, "stand", 2, 10, 12, 5, value=3, owner="A"),
            thing(2, "hang", 4, 38, 2.5, value=2, owner="A"),
            thing(3, "stand", 5, 8, 12, 5, value=2, owner="A"),
        ],
        [run("back", 60)],
    )
    zones = zones_of([person(height=64)])
    openings = (
        Opening(OpeningKind.SHELF, 4 * INCH, 8 * INCH, (Holding(3, 5),)),
        Opening(OpeningKind.HANG, 13 * INCH, 40 * INCH, (Holding(2, 4),)),  # rod at 51 in
        Opening(OpeningKind.SHELF, 84 * INCH, 12 * INCH, (Holding(1, 2),)),
    )
    layout = Layout((WallLayout("back", (Bay(INCH, 50 * INCH, 15 * INCH, openings),)),))
    assert inconvenience(facts, layout, zones) == 2 * 3 * 4 + 0 + 5 * 2 * 1
    assert inconvenience(facts, layout, {}) == 0


@pytest.mark.parametrize(
    ("height", "usual", "low", "seasonal"),
    [
        (4, 2 * STRETCHED, 0, 0),  # at the floor: low things belong there
        (36, 0, 0, 0),  # between knuckle and shoulder
        (59, 2 * STRETCHED, OVER_SHOULDER + 2 * STRETCHED, 0),  # over the shoulder of somebody of 5 ft 4 in: not well
        (60, 2 * STRETCHED, OVER_SHOULDER + OVER_EYE + 2 * STRETCHED, 0),  # over the eye, 1517 mm: nothing low
        (84, 2 * OUT_OF_REACH, OVER_SHOULDER + OVER_EYE + 2 * OUT_OF_REACH, STRETCHED),  # only what is seasonal
    ],
)
def test_where_things_belong(height: int, usual: int, low: int, seasonal: int) -> None:
    zones = zones_or_assumed([])
    weekly, once = thing(1, "stand", 1, 8, 12, 6, value=2, owner="A"), thing(2, "stand", 1, 8, 12, 6, value=1)
    shoes = replace(weekly, belongs_low=True)
    costs = [piece_cost(item, height * INCH, 12 * INCH, zones) for item in (weekly, shoes, once)]
    assert costs == [usual, low, seasonal]
    seldom = piece_cost(replace(once, belongs_low=True), height * INCH, 12 * INCH, zones)
    assert (low, seldom) == (0, 0) or OVER_SHOULDER < seldom < low


def test_what_somebody_seated_cannot_get_at_is_no_place() -> None:
    zones = zones_of([person(posture="seated"), person("B", height=64)])
    mine = thing(1, "stand", 1, 8, 12, 6, value=1, owner="A")
    assert piece_cost(mine, 50 * INCH, 12 * INCH, zones) == NO_PLACE
    assert piece_cost(mine, 47 * INCH, 12 * INCH, zones) == 0
    assert piece_cost(replace(mine, owner="B"), 50 * INCH, 12 * INCH, zones) == 0
    assert piece_cost(replace(mine, owner=None), 50 * INCH, 12 * INCH, zones) == NO_PLACE


def test_one_adult_is_assumed_where_nobody_is_known() -> None:
    (zone,) = zones_or_assumed([]).values()
    assert zone.high == millimetres(2078 - 75)
    assert zones_or_assumed([person(height=72)]) == zones_of([person(height=72)])


@pytest.mark.parametrize("seed", range(4))
def test_prices_change_only_at_the_breaks(seed: int) -> None:
    """For every pile: the price at any height is the price at the last break below it."""
    chance = random.Random(seed)
    zones = zones_of(
        [
            person(height=chance.randint(58, 76)),
            person("B", age=6),
            person("C", posture="seated"),
        ]
    )
    facts = problem(random_things(chance, 8, 4, ("A", "B", "C", None)), [run("back", 60)])
    for pile in facts.things:
        kind, depth = pile.opening_kind, chance.randint(12, 26) * INCH
        breaks = price_breaks(zones.values(), kind, depth)
        for _ in range(200):
            hand = chance.randint(0, 100 * INCH)
            last = max(mark for mark in breaks if mark <= hand)
            into = hand_depth(kind, depth)
            assert piece_cost(pile, hand, into, zones) == piece_cost(pile, last, into, zones)


def test_footwear_and_heavy_things_belong_low() -> None:
    closet = closet_of(sample("family-walk-in"))
    inventory = inventory_of("family-walk-in", closet)
    low = {inventory.pile(item.row).kind for item in size_problem(closet, inventory).things if item.belongs_low}
    assert {"sneakers", "storage bin"} <= low
    assert not low & {"shirt", "jeans", "handbag"}


@pytest.mark.parametrize("folder", ["family-walk-in", "couple-walk-in"])
def test_inconvenience_is_the_sum_of_the_prices_of_the_pieces(folder: str) -> None:
    closet = closet_of(sample(folder))
    inventory = inventory_of(folder, closet)
    facts, layout, zones = size_problem(closet, inventory), quick_layout(closet, inventory), zones_of(closet.person)
    again = 0
    for *_, bay, opening in layout.openings():
        for item in opening.holds:
            hand = hand_height(opening.kind, opening.bottom, opening.height, facts.rules.hang_allowance)
            cost = piece_cost(facts.thing(item.row), hand, hand_depth(opening.kind, bay.depth), zones)
            again += item.count * cost
    assert inconvenience(facts, layout, zones) == again > 0
