"""Rule 8, what a drawer opening holds: what box, slide and front take of it."""

from __future__ import annotations

from capacity.units import PER_INCH

# The project's drawer rule. Common practice, no published source: side-mounted slides take 1/2 in a side,
# slides are sold from 10 to 28 in in steps of 2 in and end 1 in before the back, box sides are 1/2 in; a box needs
# 1/4 in above, 1/2 in below and 1/2 in for its bottom; folded things lie in stacks up to 12 in high.
DRAWER_SIDES = 2 * PER_INCH


DRAWER_SLIDE_STEP = 2 * PER_INCH


DRAWER_SHORTEST, DRAWER_LONGEST = 10 * PER_INCH, 28 * PER_INCH


DRAWER_BEHIND = PER_INCH


DRAWER_ENDS = PER_INCH


DRAWER_HEIGHT = 5 * PER_INCH // 4


DRAWER_STACK = 12 * PER_INCH


DRAWER_RULE = (
    "A drawer opening holds one drawer. Inside it is 2 in narrower than the opening (slides 1/2 in and box side "
    "1/2 in on each side), 1 1/4 in lower (1/4 above, 1/2 below, 1/2 bottom), and as deep as the longest slide that is "
    "sold, 10 to 28 in in steps of 2 in, and ends 1 in before the back, less 1 in (front and back of the box). Where "
    "no slide is so short there is no drawer. Things lie folded in "
    "stacks, as many high as fit but at most 12 in, in as many rows as fit from front to back; a stack holds "
    "one pile and may be turned by 90 degrees; the widths of the stacks add up to at most the inside width."
)


def drawer_depth(depth: int) -> int:
    """Inside depth of a drawer in a bay of this depth, 0 where no slide is so short [ticks]."""
    return max(0, slide_length(depth) - DRAWER_ENDS)


def slide_length(depth: int) -> int:
    """The longest slide that is sold for a bay so deep, 0 where there is none [ticks]."""
    slide = min(DRAWER_LONGEST, (depth - DRAWER_BEHIND) // DRAWER_SLIDE_STEP * DRAWER_SLIDE_STEP)
    return slide if slide >= DRAWER_SHORTEST else 0
