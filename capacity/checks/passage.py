"""Will it go in: boxes through openings, round corners, tipped up under a ceiling. Pure geometry, whole ticks.

Every answer that can be exact is: whole numbers are compared, squared where there is a root. The corner needs
the roots of a quartic; its answer is rounded down to a tick.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise


def goes_through(length: int, width: int, opening_length: int, opening_width: int) -> bool:
    """Whether a rectangle p x q (p >= q) fits into a rectangle a x b (a >= b), turned as it may be.

    p <= a and q <= b, or p > a, q <= b and b >= (2 p q a + (p^2 - q^2) sqrt(p^2 + q^2 - a^2))/(p^2 + q^2).

    Parameters
    ----------
    length, width
        The rectangle, in either order; all of the same unit, whole numbers > 0.
    opening_length, opening_width
        The opening, in either order.

    References
    ----------
    Carver 1957; Wetzel 2000, "Rectangles in rectangles" (from memory). Compared exactly, without a root.

    Examples
    --------
    A rod 100 x 1 lies in a square of 72 corner to corner, one of 100 x 3 does not:

    >>> goes_through(100, 1, 72, 72), goes_through(100, 3, 72, 72)
    (True, False)
    """
    p, q = max(length, width), min(length, width)
    a, b = max(opening_length, opening_width), min(opening_length, opening_width)
    if q < 1 or b < 1:
        msg = f"a rectangle has two sides above 0, not {width} and {opening_width}"
        raise ValueError(msg)
    if q > b:
        return False
    if p <= a:
        return True
    rest = b * (p * p + q * q) - 2 * p * q * a
    return rest >= 0 and rest * rest >= (p * p - q * q) ** 2 * (p * p + q * q - a * a)


def width_needed(length: int, width: int, opening_height: int) -> int | None:
    """Least width of an opening of that height through which a rectangle goes; None when none is wide enough.

    Examples
    --------
    >>> width_needed(30, 12, 80)
    12
    """
    p = max(length, width)
    if min(length, width) > opening_height:
        return None
    low, high = 0, p
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if goes_through(length, width, opening_height, middle) else (middle, high)
    return high


def widest_turning(length: int, hall: int, hall_after: int) -> int:
    """Widest rectangle of a length that turns in a right-angled corner of two halls, rounded down.

    The least of a cos t + b sin t - L sin t cos t over t from 0 to 90 degrees. With x = tan(t/2) its level places
    are the roots of (b + L) x^4 + 2 a x^3 - 6 L x^2 + 2 a x + (L - b) = 0 between 0 and 1.

    Parameters
    ----------
    length
        Length L of the rectangle [ticks].
    hall, hall_after
        Widths a and b of the halls [ticks].

    Returns
    -------
    The width [ticks]; 0 when not even a line turns.

    Examples
    --------
    84 in round the corner of two 36 in halls: 8.91 in.

    >>> round(widest_turning(84 * 8128, 36 * 8128, 36 * 8128) / 8128, 2)
    8.91
    """
    a, b, far = float(hall), float(hall_after), float(length)

    def room(x: float) -> float:
        whole = 1 + x * x
        sine, cosine = 2 * x / whole, (1 - x * x) / whole
        return a * cosine + b * sine - far * sine * cosine

    places = roots_between((far - b, 2 * a, -6 * far, 2 * a, b + far), 0.0, 1.0)
    return max(0, math.floor(min(map(room, (0.0, 1.0, *places))) + 1e-6))


def roots_between(factors: Sequence[float], low: float, high: float) -> tuple[float, ...]:
    """Real roots of a polynomial between two places, ascending; `factors` from the constant term up.

    Between the roots of its slope a polynomial only rises or only falls, so that halving finds each root.
    """
    if len(factors) < 2:
        return ()
    slope = [power * factor for power, factor in enumerate(factors)][1:]

    def value(x: float) -> float:
        total = 0.0
        for factor in reversed(factors):
            total = total * x + factor
        return total

    marks = [low, *roots_between(slope, low, high), high]
    found: list[float] = []
    for left, right in pairwise(marks):
        at_left, at_right = value(left), value(right)
        if at_left == 0:
            found.append(left)
        if at_left * at_right < 0:
            for _ in range(200):
                middle = (left + right) / 2
                if not left < middle < right:
                    break
                left, right = (middle, right) if value(middle) * at_left > 0 else (left, middle)
            found.append((left + right) / 2)
    if value(high) == 0:
        found.append(high)
    return tuple(sorted(set(found)))


def turns_corner(length: int, width: int, hall: int, hall_after: int) -> bool:
    """Whether a level rectangle gets round a right-angled corner: slid round without turning, or turned.

    Slid round: its width fits the one hall and its length the other.
    """
    p, q = max(length, width), min(length, width)
    if (q <= hall and p <= hall_after) or (p <= hall and q <= hall_after):
        return True
    return q <= widest_turning(p, hall, hall_after)


def diagonal(height: int, depth: int) -> int:
    """Diagonal of the side of a box, sqrt(h^2 + d^2), rounded up [ticks]: what it needs to be stood up.

    Examples
    --------
    >>> diagonal(84 * 8128, 24 * 8128) / 8128 < 87.362
    True
    """
    square = height * height + depth * depth
    root = math.isqrt(square)
    return root if root * root == square else root + 1


def stair_clearance(headroom: int, rise: int, run: int) -> int:
    """Clear height square to a flight of stairs, from the plumb headroom, rounded down [ticks]."""
    return math.isqrt(headroom * headroom * run * run // (rise * rise + run * run))
