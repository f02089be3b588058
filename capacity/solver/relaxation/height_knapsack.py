"""The most that openings one over the other hold in so many units of height, for all widths of a bay at once.

Each opening of clear height h with its panel costs h + t, so U(r) = max(U(r - 1), max over openings o of
value(o) + U(r - h_o - t)): an unbounded knapsack. Since no opening costs less than some B, the B entries after any r
depend only on earlier ones and are computed together.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence

import numpy as np

from capacity.solver.relaxation.opening_knapsack import Floats


def useful(kinds: Sequence[Hashable], values: Floats) -> list[int]:
    """Openings that hold more than the next lower useful one of their kind does, at some width.

    Parameters
    ----------
    kinds
        Kind of each opening; those of one kind from the lowest up.
    values
        What each holds, shape (openings, widths).
    """
    used: list[int] = []
    last: dict[Hashable, Floats] = {}
    for index, kind in enumerate(kinds):
        before = last.get(kind)
        if (values[index] > (0.0 if before is None else before)).any():
            used.append(index)
            last[kind] = values[index]
    return used


def filled(costs: Mapping[int, int], values: Floats, units: int) -> Floats:
    """The most in each number of units up to `units`, shape (units + 1, widths).

    Parameters
    ----------
    costs
        Units of each opening that may be used, at least 1, by its number.
    values
        What each opening holds, shape (openings, widths).
    """
    best: Floats = np.zeros((units + 1, values.shape[1]))
    if not costs:
        return best
    block = min(costs.values())
    sums = np.empty((block, values.shape[1]))
    for low in range(block, units + 1, block):
        high = min(low + block, units + 1)
        part = best[low:high]
        part[:] = best[low - 1]
        for index, cost in costs.items():
            if cost < high:
                start = max(low, cost)
                some = sums[: high - start]
                np.add(best[start - cost : high - cost], values[index], out=some)
                np.maximum(part[start - low :], some, out=part[start - low :])
        np.maximum.accumulate(part, axis=0, out=part)
    return best


def traced(column: Floats, costs: Mapping[int, int], values: Floats, units: int) -> list[int]:
    """The openings of an optimal stack of one width in so many units.

    Parameters
    ----------
    column
        The most in each number of units, as `filled` has it for that width.
    costs, values
        Units of each opening that may be used, and what each holds at that width.
    """
    found: list[int] = []
    while column[units] > 0.0:
        units = int(np.searchsorted(column, column[units], side="left"))
        for index, cost in costs.items():
            if cost <= units and values[index] + column[units - cost] == column[units]:
                found.append(index)
                units -= cost
                break
        else:
            msg = "a stack has no origin"
            raise AssertionError(msg)
    return found
