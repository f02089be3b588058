"""The bound beside a second program in another solver, on tiny closets that mix all the rules: never below its optimum.

The closets and the program are those of `benchmarks/tiny.py`, which attacks hundreds of them; these were taken because
HiGHS proves them in less than a second each and most do not hold everything.
"""

from __future__ import annotations

import pytest
from tiny import bounds, second_opinion, tiny, traits

SEEDS = (
    2,
    5,
    7,
    9,
    10,
    11,
    12,
    17,
    18,
    20,
    21,
    27,
    28,
    29,
    33,
    36,
    90,
    91,
    115,
    120,
    154,
    164,
    211,
    224,
    225,
    263,
    270,
    291,
    293,
    319,
    341,
    347,
    379,
)
RULES = {
    "blocked", "slope", "corner", "two walls", "owners apart", "two rows", "spare", "above the top", "turned",
    "two turnings", "stand", "stack", "hang", "drawer",
}  # fmt: skip
"""Every rule is met by three of the closets at least."""


@pytest.mark.parametrize("seed", SEEDS)
def test_no_bound_is_below_the_optimum_that_highs_proves(seed: int) -> None:
    facts = tiny(seed)
    opinion = second_opinion(facts, 60.0)
    assert opinion.is_proven
    for name, bound in bounds(facts, opinion, seed).items():
        assert bound >= opinion.value, name


def test_the_closets_meet_every_rule() -> None:
    found = [traits(tiny(seed)) for seed in SEEDS]
    assert {rule for rule in RULES if sum(rule in each for each in found) >= 3} == RULES
