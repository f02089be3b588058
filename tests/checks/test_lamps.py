"""Lamps: the published clearances to the sixteenth and to the tick, and the storage space by brute force."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from support.quick import changed, closet_of, inventory_of, quick_layout, sample

from capacity.checks.lamps import CLEARANCES, UPPER_OUT, clearance, is_clear, lamp_checks, storage_space
from capacity.layout.layout import Layout, WallLayout
from capacity.units import inches, to_mm

SIXTEENTH = inches(1 / 16)
CODE = "NEC 410.16(C) as quoted in a state amendment and by three others"


def _closet(**lamp: Any) -> Any:
    data = {"ceiling": 96, "top": 84, "wall": [{"name": "back", "width": 96, "depth": 15, "front": 60}]}
    return closet_of({**data, "lamp": [{"wall": "back", "left": 45, "width": 6, "depth": 6, **lamp}]})


EMPTY = Layout((WallLayout("back", ()),))


@pytest.mark.parametrize(
    ("kind", "least", "printed_mm"),
    [
        ("surface incandescent", 12, 300),
        ("surface led", 12, 300),
        ("surface fluorescent", 6, 150),
        ("recessed incandescent", 6, 150),
        ("recessed led", 6, 150),
        ("recessed fluorescent", 6, 150),
        ("closet rated", 0, 0),
    ],
)
def test_published_clearances_hold_to_the_tick(kind: str, least: int, printed_mm: int) -> None:
    """The upper storage space is as wide as the 15 in shelf: at the limit it passes, 1/16 in or a tick less fails."""
    assert CLEARANCES[kind] == inches(least), CODE
    assert abs(to_mm(CLEARANCES[kind]) - printed_mm) <= 5
    at = 15 + least
    closet = _closet(kind=kind, out=at, bottom=96)
    assert clearance(closet, EMPTY, closet.lamp[0]) == inches(least)
    assert is_clear(closet, EMPTY, closet.lamp[0])
    for less in (1, SIXTEENTH):
        nearer = closet.lamp[0].model_copy(update={"out": inches(at) - less})
        assert is_clear(closet, EMPTY, nearer) is (least == 0)


def test_a_lamp_over_the_top_shelf_fails() -> None:
    closet = _closet(kind="surface led", out=8, bottom=94)
    assert clearance(closet, EMPTY, closet.lamp[0]) == 0
    assert not is_clear(closet, EMPTY, closet.lamp[0])


@pytest.mark.parametrize("kind", ["open bulb", "pendant"])
def test_open_bulbs_and_pendants_are_not_allowed_however_far(kind: str) -> None:
    closet = _closet(kind=kind, out=50)
    assert not is_clear(closet, EMPTY, closet.lamp[0])
    (check,) = lamp_checks(closet, EMPTY)
    assert not check.passed
    assert "not allowed" in check.note


def test_a_wider_shelf_or_a_higher_rod_widens_the_storage_space() -> None:
    """NEC 410.2 as quoted by others: the upper zone follows the shelf's width, the lower one the highest rod."""
    closet = _closet(kind="recessed led", out=21)
    assert is_clear(closet, EMPTY, closet.lamp[0])
    wider = closet.model_copy(update={"wall": (closet.wall[0].model_copy(update={"depth": inches(16)}),)})
    assert not is_clear(wider, EMPTY, wider.lamp[0])
    narrow = closet.model_copy(update={"wall": (closet.wall[0].model_copy(update={"depth": inches(10)}),)})
    at_12 = narrow.lamp[0].model_copy(update={"out": inches(18)})
    assert is_clear(narrow, EMPTY, at_12)  # 12 in at least, though the shelf has 10
    assert not is_clear(narrow, EMPTY, at_12.model_copy(update={"out": inches(18) - 1}))
    data = sample("six-foot-reach-in")
    real = closet_of(data)
    layout = quick_layout(real, inventory_of("six-foot-reach-in", real))
    low = max(block.top for block in storage_space(real, EMPTY)[0][:1])
    assert low == inches(72)
    bays = [
        replace(bay, openings=tuple(replace(o, bottom=o.bottom + inches(40)) for o in bay.openings))
        for bay in layout.walls[0].bays
    ]
    raised = replace(layout, walls=(replace(layout.walls[0], bays=tuple(bays)),))
    assert storage_space(real, raised)[0][0].top > inches(72)


def _walk_in_width(shelf: int, kind: str, fixture: int) -> int:
    """Least width between two shelf walls for a lamp in the middle of the ceiling [ticks].

    2 x (shelf, at least 12 in) + 2 x clearance + the fixture; the upper part of the storage space only.
    """
    return 2 * max(UPPER_OUT, shelf) + 2 * CLEARANCES[kind] + fixture


@pytest.mark.parametrize(
    ("shelf", "kind", "printed"),
    [(16, "surface led", 56), (16, "recessed led", 44), (12, "recessed led", 36)],
)
def test_width_of_a_walk_in_with_a_lamp_in_the_middle_by_hand(shelf: int, kind: str, printed: int) -> None:
    """2 x shelf + 2 x clearance + the fixture: 56 in, 44 in and 36 in plus the fixture."""
    assert _walk_in_width(inches(shelf), kind, inches(4)) == inches(printed + 4)


def test_side_walls_of_the_wall_that_the_door_faces_count() -> None:
    near_side = {"wall": "back", "left": 13, "out": 40, "kind": "surface led", "bottom": 90}
    closet = closet_of(
        {"ceiling": 96, "top": 84, "wall": [{"name": "back", "width": 96, "depth": 15}], "lamp": [near_side]}
    )
    assert not is_clear(closet, EMPTY, closet.lamp[0])
    free = closet.lamp[0].model_copy(update={"left": inches(36)})
    assert is_clear(closet, EMPTY, free)


def test_the_distance_to_the_storage_space_by_brute_force() -> None:
    """Points of the storage space on a 1 in grid: none is nearer than what was computed, one is as near."""
    data = changed(sample("couple-walk-in"), {"lamp.1.bottom": 80})
    closet = closet_of(data)
    layout = Layout(tuple(WallLayout(wall.name, ()) for wall in closet.wall), (True,))
    (lamp,) = closet.lamp
    ours = clearance(closet, layout, lamp) / 8128
    # left wall along +x at y = 0, back wall from its right end down -y; 15 in shelves, rods none
    length, back = 66.125, 84.0
    x0, y1 = length - 36 - 12, -36.0  # lamp: 12 x 12 in, 36 in out from the back wall, 36 in along it
    points = [
        (x, -y, z)
        for x in range(67)
        for y in range(85)
        for z in range(96)
        if (y <= 24 and z <= 72) or y <= 15 or (length - x <= 24 and z <= 72) or length - x <= 15
        or (back - y <= 24 and z <= 72) or back - y <= 12
    ]  # fmt: skip
    nearest = min(
        math.dist((0, 0, 0), (max(0, x0 - x, x - x0 - 12), max(0, y1 - 12 - y, y - y1), max(0, 80 - z)))
        for x, y, z in points
    )
    assert ours <= nearest <= ours + 2
