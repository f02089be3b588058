"""The way in: printed answers, answers by hand, and an independent collision sweep with a geometry library."""

from __future__ import annotations

import doctest
import math

import pytest
from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon, box
from support.published import Published

from capacity.checks import passage
from capacity.checks.passage import (
    diagonal,
    goes_through,
    roots_between,
    stair_clearance,
    turns_corner,
    widest_turning,
    width_needed,
)

INCH = 8128


def test_examples_in_the_docstrings() -> None:
    assert doctest.testmod(passage).failed == 0


# ---- published ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("halls", "printed", "source"),
    [
        ((3, 4), "9.87", "worked answer page to a calculus text: ladder round a corner of 3 ft and 4 ft"),
        ((2, 3.747), "8.00", "worked answer page: ladder of 8 m, one hall 2 m; the other, printed 3.75, is 3.747"),
        ((36, 36), "101.82", "by hand: 2 sqrt(2) a"),
        ((8, 8), "22.627", "by hand"),
        ((27, 64), "125", "by hand: (9 + 16)^(3/2)"),
        ((5, 3), "11.194", "by hand"),
    ],
)
def test_a_ladder_round_a_corner(halls: tuple[float, float], printed: str, source: str) -> None:
    assert Published(printed, source).agrees(_longest_line(*halls))


def _longest_line(hall: float, hall_after: float) -> float:
    """The longest line that turns, in the unit of the halls."""
    unit = 10_000
    low, high = 0, 3 * unit * math.ceil(hall + hall_after)
    while high - low > 1:
        middle = (low + high) // 2
        turns = turns_corner(middle, 1, round(hall * unit), round(hall_after * unit))
        low, high = (middle, high) if turns else (low, middle)
    return low / unit


def test_the_hall_that_an_eight_metre_ladder_needs() -> None:
    """Printed answer 3.75 m: solved here for the second hall."""
    other = (8 ** (2 / 3) - 2 ** (2 / 3)) ** 1.5
    assert Published("3.75", "worked answer page").agrees(other)
    assert _longest_line(2, other) == pytest.approx(8, abs=0.01)


@pytest.mark.parametrize(
    ("height", "depth", "printed"),
    [
        (84, 24, "87.361"),
        (80, 24, "83.522"),
        (90, 14, "91.082"),
        (94, 16, "95.352"),
        (93, 24, "96.047"),
        (95.25, 12, "96.003"),
    ],
)
def test_tip_up_diagonals_by_hand(height: float, depth: float, printed: str) -> None:
    up = diagonal(round(height * INCH), round(depth * INCH))
    assert Published(printed, "sqrt(h^2 + d^2) by hand").agrees(math.hypot(height, depth))
    assert (up - 1) ** 2 < (round(height * INCH)) ** 2 + (depth * INCH) ** 2 <= up**2


@pytest.mark.parametrize(
    ("ceiling", "depth", "printed"),
    [(96, 12, "95.247"), (96, 14, "94.974"), (96, 16, "94.657"), (96, 24, "92.952"), (90, 24, "86.741")],
)
def test_tallest_box_to_stand_up_by_hand(ceiling: int, depth: int, printed: str) -> None:
    tall = math.isqrt((ceiling * INCH) ** 2 - (depth * INCH) ** 2)
    assert Published(printed, "sqrt(C^2 - d^2) by hand").agrees(tall / INCH)
    assert diagonal(tall, depth * INCH) <= ceiling * INCH < diagonal(tall + 1, depth * INCH)


@pytest.mark.parametrize(
    ("length", "halls", "printed"),
    [
        (60, (36, 36), "20.91"),
        (72, (36, 36), "14.91"),
        (84, (36, 36), "8.91"),
        (96, (36, 36), "2.91"),
        (84, (36, 42), "13.07"),
    ],
)
def test_widest_box_round_a_corner_by_hand(length: int, halls: tuple[int, int], printed: str) -> None:
    wide = widest_turning(length * INCH, halls[0] * INCH, halls[1] * INCH)
    assert Published(printed, "sqrt(2) a - L/2, and the minimum over the angle, by hand").agrees(wide / INCH)


def test_largest_rectangle_of_a_unit_hall() -> None:
    """Literature on the sofa problem: L = sqrt 2 gives w = 0.7071 and area 1."""
    unit = 10**8
    wide = widest_turning(round(math.sqrt(2) * unit), unit, unit)
    assert Published("0.7071", "sofa problem literature").agrees(wide / unit)
    assert wide * math.sqrt(2) / unit == pytest.approx(1, abs=1e-6)


@pytest.mark.parametrize(
    ("halls", "passes", "printed"),
    [((300, 500), True, "249.73"), ((837, 500), True, "200"), ((350, 350), False, "194.97")],
)
def test_piano_movers_of_a_programming_contest(halls: tuple[int, int], passes: bool, printed: str) -> None:
    """1989 regional contest, "FlatLand piano movers": a box of 600 x 200; sample answers from memory."""
    assert turns_corner(600, 200, *halls) is passes
    wide = widest_turning(600 * 1000, halls[0] * 1000, halls[1] * 1000) / 1000
    assert wide >= 200 if printed == "200" else Published(printed, "the minimum over the angle, by hand").agrees(wide)


# ---- through an opening, by brute force ---------------------------------------------------------------


def _fits_turned(p: float, q: float, a: float, b: float) -> bool:
    """By trying 20000 angles: the bounding box of the turned rectangle fits."""
    return any(
        p * math.cos(t) + q * math.sin(t) <= a + 1e-9 and p * math.sin(t) + q * math.cos(t) <= b + 1e-9
        for t in (math.pi / 2 * step / 20000 for step in range(20001))
    )


@pytest.mark.parametrize(("a", "b"), [(80, 30), (60, 60), (47, 46)])
def test_a_rectangle_goes_through_an_opening_as_a_sweep_says(a: int, b: int) -> None:
    seen = set()
    for p in range(30, 90, 3):
        for q in range(1, p, 4):
            ours = goes_through(p, q, a, b)
            seen.add((ours, p > a))
            if ours is not _fits_turned(p, q, a, b):  # only where it touches within the sweep's step
                assert goes_through(p * 1000 - 20, max(1, q * 1000 - 20), a * 1000, b * 1000)
                assert not goes_through(p * 1000 + 20, q * 1000 + 20, a * 1000, b * 1000)
    assert {(True, False), (False, True), (True, True)} <= seen


def test_the_least_width_of_an_opening_is_a_tick_exact() -> None:
    need = width_needed(30 * INCH, 24 * INCH, 80 * INCH)
    assert need == 24 * INCH
    tilted = width_needed(82 * INCH, 3 * INCH, 80 * INCH)
    assert tilted is not None
    assert 3 * INCH < tilted < 30 * INCH
    assert goes_through(82 * INCH, 3 * INCH, 80 * INCH, tilted)
    assert not goes_through(82 * INCH, 3 * INCH, 80 * INCH, tilted - 1)
    assert width_needed(90, 81, 80) is None


# ---- round the corner, by an independent collision sweep ----------------------------------------------

FAR = 40.0


def _free_places(length: float, width: float, hall: float, after: float, angle: float) -> list[Polygon]:
    """Where the middle of the turned box may be: the halls less every wall grown by the box (Minkowski sum).

    The first hall lies along x at 0 <= y <= hall, the second along y at 0 <= x <= after; the inner corner is at
    (after, hall). Walls are boxes; the box is convex, so the sum of two is the hull of their corner sums.
    """
    piece = affinity.rotate(box(-length / 2, -width / 2, length / 2, width / 2), angle, origin=(0, 0))
    walls = [box(-9, -9, FAR, 0), box(-9, -9, 0, FAR), box(after, hall, FAR, FAR)]
    free = box(-1, -1, FAR - 8, FAR - 8)
    for wall in walls:
        corners = [(x + u, y + v) for x, y in wall.exterior.coords[:-1] for u, v in piece.exterior.coords[:-1]]
        free = free.difference(MultiPolygon([Polygon(corners[:3])]).convex_hull.union(_hull(corners)))
    parts = free.geoms if hasattr(free, "geoms") else [free]
    return [part for part in parts if part.area > 1e-9]


def _hull(points: list[tuple[float, float]]) -> Polygon:
    from shapely.geometry import MultiPoint

    return MultiPoint(points).convex_hull


def _sweep_passes(length: float, width: float, hall: float, after: float, steps: int = 360) -> bool:
    """Search the free places over all angles: two places hold together when they overlap at neighbouring angles."""
    layers = [_free_places(length, width, hall, after, 180 * step / steps) for step in range(steps)]
    start = {(k, i) for k, layer in enumerate(layers) for i, part in enumerate(layer) if part.bounds[2] > FAR - 9}
    goal = {(k, i) for k, layer in enumerate(layers) for i, part in enumerate(layer) if part.bounds[3] > FAR - 9}
    seen, todo = set(start), list(start)
    while todo:
        k, i = todo.pop()
        for near in ((k + 1) % steps, (k - 1) % steps):
            for j, part in enumerate(layers[near]):
                if (near, j) not in seen and layers[k][i].intersects(part):
                    seen.add((near, j))
                    todo.append((near, j))
    return bool(seen & goal)


@pytest.mark.parametrize(
    ("length", "hall", "after"),
    [
        (7.0, 3.0, 3.0),
        (6.0, 3.0, 3.5),
        (5.0, 3.0, 2.0),
        (8.0, 3.0, 4.0),
        (3.2, 3.0, 2.0),
        (6.0, 8.37, 5.0),
        (2.8, 3.0, 2.0),
    ],
)
def test_a_box_turns_the_corner_as_a_collision_sweep_says(length: float, hall: float, after: float) -> None:
    """The widest box, 5 % narrower, passes; 2 % wider it does not (half-degree steps cannot see a tighter fit)."""
    low, high = 1, round(min(hall, after, length) * INCH)
    while high - low > 1:
        middle = (low + high) // 2
        passes = turns_corner(round(length * INCH), middle, round(hall * INCH), round(after * INCH))
        low, high = (middle, high) if passes else (low, middle)
    widest = low / INCH
    assert _sweep_passes(length, 0.95 * widest, hall, after)
    assert not _sweep_passes(length, 1.02 * widest, hall, after)


def test_a_short_wide_box_slides_round_without_turning() -> None:
    assert turns_corner(36, 36, 36, 36)
    assert turns_corner(50, 36, 36, 50)
    assert not turns_corner(50, 37, 36, 50)
    assert widest_turning(50, 36, 50) < 36


def test_roots_of_a_polynomial() -> None:
    # (x - 0.25)(x - 0.5)(x - 0.9)
    found = roots_between((-0.1125, 0.8, -1.65, 1.0), 0, 1)
    assert found == pytest.approx((0.25, 0.5, 0.9))
    assert roots_between((1.0, 0.0, 1.0), 0, 1) == ()
    assert roots_between((0.0, -1.0, 1.0), 0, 1) == pytest.approx((0.0, 1.0))


def test_stairs_lose_headroom_square_to_the_flight() -> None:
    assert stair_clearance(80 * INCH, 3 * INCH, 4 * INCH) == 64 * INCH


def test_a_rectangle_without_a_side_is_refused() -> None:
    with pytest.raises(ValueError, match="two sides above 0"):
        goes_through(3, 0, 3, 3)
