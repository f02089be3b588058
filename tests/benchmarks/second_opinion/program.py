"""A mixed integer program of named sums, and HiGHS to solve it."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, field

import highspy
import numpy as np

Terms = list[tuple[int, float]]
"""A sum of (variable, factor)."""

PATIENCE = 6.0
"""By the wall clock a solution is given up after so many times its processor seconds."""


@dataclass(frozen=True, slots=True)
class Solved:
    """The best found and its value, None where nothing was; nothing is worth more than `bound`."""

    value: int | None
    bound: int
    solution: list[float]

    @property
    def is_proven(self) -> bool:
        """Whether nothing is worth more than what was found."""
        return self.value == self.bound


@dataclass(slots=True)
class Program:
    """Variables with limits, and rows `low <= terms <= high`."""

    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    is_whole: list[bool] = field(default_factory=list)
    worth: dict[int, float] = field(default_factory=dict)
    rows: list[tuple[Terms, float, float]] = field(default_factory=list)

    def number(self, most: float, is_whole: bool = True, least: float = 0) -> int:
        """A new variable."""
        self.lower.append(least)
        self.upper.append(most)
        self.is_whole.append(is_whole)
        return len(self.lower) - 1

    def choice(self) -> int:
        """A new variable that is 0 or 1."""
        return self.number(1)

    def at_most(self, terms: Terms, limit: float) -> None:
        """`terms <= limit`."""
        self.rows.append((terms, -highspy.kHighsInf, limit))

    def only_if(self, condition: int, terms: Terms, limit: float) -> None:
        """`terms <= limit` where `condition` is 1, with the least factor that frees it where it is 0."""
        most = sum(factor * (self.upper[v] if factor > 0 else self.lower[v]) for v, factor in terms)
        if most > limit:
            self.at_most([*terms, (condition, most - limit)], most)

    def solve(self, seconds: float, least: int = 0) -> Solved:
        """Make the worth most, which is whole, and at least `least`."""
        highs = highspy.Highs()  # type: ignore[no-untyped-call]
        for name, value in {
            "output_flag": False, "threads": 1, "time_limit": PATIENCE * seconds,
            "mip_rel_gap": 0.0, "mip_abs_gap": 0.99,
            "mip_feasibility_tolerance": 1e-9, "primal_feasibility_tolerance": 1e-9,
        }.items():  # fmt: skip
            highs.setOptionValue(name, value)
        self.rows.append((list(self.worth.items()), least - 0.5, highspy.kHighsInf))
        assert highs.passModel(self._matrix()) != highspy.HighsStatus.kError
        self.rows.pop()
        began = time.process_time()

        def watch(event: highspy.HighsCallbackEvent) -> None:
            if time.process_time() - began >= seconds:
                event.interrupt()

        highs.cbMipInterrupt += watch
        highs.cbSimplexInterrupt += watch
        highs.run()
        status, info, kinds = highs.getModelStatus(), highs.getInfo(), highspy.HighsModelStatus
        everything = round(
            sum(factor * (self.upper if factor > 0 else self.lower)[v] for v, factor in self.worth.items())
        )
        if status == kinds.kInfeasible:
            return Solved(None, least - 1, [])
        bound = everything
        if status in (kinds.kOptimal, kinds.kTimeLimit, kinds.kInterrupt) and abs(info.mip_dual_bound) < 1e9:
            bound = min(everything, int(info.mip_dual_bound + 1e-6))
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return Solved(None, bound, [])
        value = round(info.objective_function_value)
        return Solved(value, value if status == kinds.kOptimal else bound, list(highs.getSolution().col_value))

    def _matrix(self) -> highspy.HighsLp:
        lp, size = highspy.HighsLp(), len(self.lower)
        lp.num_col_, lp.num_row_, lp.sense_ = size, len(self.rows), highspy.ObjSense.kMaximize
        cost = np.zeros(size)
        for variable, worth in self.worth.items():
            cost[variable] = worth
        lp.col_cost_, lp.col_lower_, lp.col_upper_ = cost, np.array(self.lower, float), np.array(self.upper, float)
        whole, free = highspy.HighsVarType.kInteger, highspy.HighsVarType.kContinuous
        lp.integrality_ = [whole if is_whole else free for is_whole in self.is_whole]
        starts, indices, factors = [0], [], []
        for terms, _, _ in self.rows:
            for variable, factor in _summed(terms).items():
                indices.append(variable)
                factors.append(float(factor))
            starts.append(len(indices))
        lp.row_lower_ = np.array([low for _, low, _ in self.rows], float)
        lp.row_upper_ = np.array([high for _, _, high in self.rows], float)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_, lp.a_matrix_.index_ = np.array(starts), np.array(indices)
        lp.a_matrix_.value_ = np.array(factors)
        return lp


def _summed(terms: Sequence[tuple[int, float]]) -> dict[int, float]:
    """Each variable once."""
    found: dict[int, float] = {}
    for variable, factor in terms:
        found[variable] = found.get(variable, 0) + factor
    return found
