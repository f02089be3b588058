"""The plan view: walls laid out from their corners, and door swings against a geometry library."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest
from shapely.geometry import Polygon, box
from support.built_samples import INVENTORY, closet, facts, layout
from support.published import Published
from support.quick import changed, closet_of, inventory_of, quick_layout, sample

from capacity.checks.all_checks import check_layout
from capacity.checks.floor_plan import (
    COAT_DEPTH,
    HANGER_DEPTH,
    HANGER_SOURCE,
    SUIT_DEPTH,
    Rect,
    built_ins,
    depth_in_words,
    frames,
    hang_reach,
)
from capacity.checks.plan_view import plan_checks
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind
from capacity.makeover.files_to_problem import size_problem
from capacity.units import inches, to_mm
from capacity.wardrobe.inventory import parse_inventory

FAMILY, COUPLE = "family-walk-in", "couple-walk-in"


@pytest.mark.parametrize(
    ("depth", "inch", "mm"), [(HANGER_DEPTH, 24, "610"), (SUIT_DEPTH, 26, "660"), (COAT_DEPTH, 30, "762")]
)
def test_published_depths_for_hanging(depth: int, inch: int, mm: str) -> None:
    """Planning textbook, clothes storage: 24 in (610 mm), suits and jackets from 26 (660), winter coats 30 (762)."""
    assert depth == inches(inch)
    assert Published(mm, HANGER_SOURCE).agrees(to_mm(depth))


@pytest.mark.parametrize(
    ("what", "reach"),
    [("shirt", 24), ("suit", 26), ("jacket", 26), ("coat", 30), ("long coat", 30), ("long dress", 24)],
)
def test_what_hangs_says_how_far_a_bay_reaches(what: str, reach: int) -> None:
    inventory = parse_inventory(f"what,count\n{what},1\nshirt,2\n", "in")
    rod = Opening(OpeningKind.HANG, 0, inches(60), (Holding(1, 1), Holding(2, 2)))
    assert hang_reach(Bay(0, inches(30), inches(15), (rod,)), inventory) == inches(reach)
    assert hang_reach(Bay(0, inches(30), inches(15), (replace(rod, kind=OpeningKind.SHELF),)), inventory) == 0


def test_three_walls_make_a_horseshoe() -> None:
    """Left, back and right as one faces them: the ends of the side walls are as far apart as the back wall is wide."""
    closet = closet_of(sample(FAMILY))
    left, back, right = (frames(closet)[name] for name in ("left", "back", "right"))
    assert left.point(left.length, 0) == back.point(0, 0)
    assert back.point(back.length, 0) == right.point(0, 0)
    (x0, y0), (x1, y1) = left.point(0, 0), right.point(right.length, 0)
    assert abs(y0 - y1) == back.length
    assert abs(x0 - x1) == abs(left.length - right.length)
    assert left.into == (-right.into[0], -right.into[1])
    # a place in front of the back wall lies between the side walls
    x, y = back.point(back.length // 2, inches(30))
    assert left.rect(0, left.length, 0, back.length) == Rect(x0, -back.length, left.length, 0)
    assert -back.length < y < 0
    assert x < left.length


def test_walls_without_a_corner_do_not_compare() -> None:
    data = sample(COUPLE)
    del data["wall"][0]["corner"]
    groups = {frame.group for frame in frames(closet_of(data)).values()}
    assert len(groups) == 2


def test_the_aisle_of_a_horseshoe_by_hand() -> None:
    """2398 mm less what hangs on both side walls."""
    closet = closet_of(sample(FAMILY))
    inventory = inventory_of(FAMILY, closet)
    layout = quick_layout(closet, inventory)
    solids = built_ins(closet, inventory, layout)
    reach = {wall: max(solid.reach for solid in solids if solid.wall == wall) for wall in ("left", "right")}
    facts = size_problem(closet, inventory)
    (aisle,) = (check for check in plan_checks(closet, facts, inventory, layout) if check.name == "aisle")
    assert aisle.computed == pytest.approx(2398 - to_mm(reach["left"]) - to_mm(reach["right"]), abs=0.001)


@pytest.mark.parametrize("hinge", ["left", "right"])
@pytest.mark.parametrize("seed", range(3))
def test_a_door_swings_free_exactly_where_a_quarter_circle_does(hinge: str, seed: int) -> None:
    """50 random doors each: ours against a polygon of the quarter circle and of the built-ins."""
    chance = random.Random(seed)
    base = sample(COUPLE)
    closet = closet_of(base)
    inventory = inventory_of(COUPLE, closet)
    layout = quick_layout(closet, inventory)
    seen = set()
    for _ in range(50):
        left, leaf, distance = chance.randint(0, 54), chance.randint(18, 30), chance.randint(36, 66)
        settings = {"door.kind": "hinged", "door.swings": "in", "door.width": leaf, "door.left": left}
        spoiled = closet_of(changed(base, {**settings, "door.distance": distance, "door.hinge": hinge}))
        facts = size_problem(spoiled, inventory)
        (check,) = (c for c in plan_checks(spoiled, facts, inventory, layout) if c.name == "door swings free")
        frame = frames(spoiled)["back"]
        middle = frame.point(inches(left if hinge == "left" else left + leaf), inches(distance))
        way = 1 if hinge == "left" else -1
        arc = [middle]
        for step in range(401):
            angle = math.pi / 2 * step / 400
            along, into = way * leaf * math.cos(angle), leaf * math.sin(angle)
            arc.append(
                (
                    middle[0] + 8128 * (frame.along[0] * along - frame.into[0] * into),
                    middle[1] + 8128 * (frame.along[1] * along - frame.into[1] * into),
                )
            )
        swept = Polygon(arc)
        met = max(
            swept.intersection(box(r.left, r.bottom, r.right, r.top)).area
            for r in (solid.rect for solid in built_ins(spoiled, inventory, layout))
        )
        if met == 0 or met > 8128**2 / 10:  # nearer than a tenth of a square inch a polygon cannot tell
            assert check.passed is (met == 0)
            seen.add(check.passed)
    assert seen == {True, False}


def test_clothes_at_a_corner_collide_by_as_much_as_the_access_is_short() -> None:
    """Coats reach 30 in out of the owner's wall; the other begins at 15 + 12 = 27 in: 3 in too near."""
    closet = closet_of(changed(sample(COUPLE), {"wall.2.width": 84}))
    inventory = parse_inventory("what,count\ncoat,2\nsneakers,2\n", "in")
    facts = size_problem(closet, inventory)
    rod = Opening(OpeningKind.HANG, 0, inches(80), (Holding(1, 2),))
    shelf = Opening(OpeningKind.SHELF, facts.rules.base, inches(70))
    thick = facts.rules.panel
    first = Bay(closet.wall[0].clear_width - inches(20) - thick, inches(20), inches(15), (rod,))
    second = Bay(inches(27) + thick, inches(20), inches(15), (shelf,))
    layout = Layout((WallLayout("left", (first,)), WallLayout("back", (second,))), (True,))
    (check,) = (c for c in plan_checks(closet, facts, inventory, layout) if c.name.startswith("clothes clear"))
    assert check.computed == 3
    assert check.cure is not None
    assert check.cure.settings == {"wishes.corner_access": "1' 3\""}
    moved = replace(layout, walls=(layout.walls[0], WallLayout("back", (replace(second, left=inches(30) + thick),))))
    (check,) = (c for c in plan_checks(closet, facts, inventory, moved) if c.name.startswith("clothes clear"))
    assert check.passed


@pytest.mark.parametrize(("high", "passes"), [(2.5, True), (2.4375, False)])
def test_a_drawer_side_covers_its_slide_to_the_sixteenth(high: float, passes: bool) -> None:
    """By hand: a slide of 1 3/4 in (45 mm) and 3/4 in of air over and under the box ask for 2 1/2 in."""
    house = closet()
    made = layout(house)
    bay = made.walls[0].bays[0]
    low = (replace(bay.openings[0], height=inches(high)), *bay.openings[1:])
    first = replace(made.walls[0], bays=(replace(bay, openings=low), *made.walls[0].bays[1:]))
    things = parse_inventory(INVENTORY, "in")
    report = check_layout(house, things, facts(house), replace(made, walls=(first, *made.walls[1:])))
    sides = [check for check in report.checks if check.name == "drawer side covers its slide"]
    assert [check.passed for check in sides] == [passes, True]
    assert passes or (sides[0].cure and sides[0].cure.settings == {"wishes.least_drawer": '2 1/2"'})


@pytest.mark.parametrize(
    ("depth", "front", "words"),
    [
        (11, None, ["Nothing can hang: a rod needs 1' 0\".", "Too deep for it, however turned: storage bin."]),
        (15, 31, ["Clothes on a rod come out up to 1' 3\" over the front edge.", "In front stay 1' 4\"."]),
        (30, 30, ["Clothes on a rod stay behind the front edge.", "Nothing stays free in front."]),
    ],
)
def test_a_depth_says_what_it_means(depth: int, front: int | None, words: list[str]) -> None:
    """A coat reaches out 30 in; the bin is 12 by 17 in, so it goes into 12 in one way."""
    counted = parse_inventory(
        "what,count,width,depth,height\nlong coat,1,,,\nstorage bin,2,17,12,12\nhandbag,0,40,40,9\n", "in"
    )
    inside = None if front is None else inches(front)
    assert list(depth_in_words(inches(depth), inside, counted.piles, "in")) == words
