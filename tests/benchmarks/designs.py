"""Our design beside its rivals on the twelve families, all in one run: value, bound, gap, time.

    python tests/benchmarks/designs.py --families reach-in two-wall --seeds 0 1 2 --seconds 10

Rivals, each given the same seconds on the same machine one after the other: the aggregated integer program of the
whole problem in CP-SAT with two workers, hinted with the rule of thumb's layout; and the rule of thumb itself,
filled as well as possible. Ours uses one core.
"""

from __future__ import annotations

import argparse
import json
import platform
import statistics
import sys
import time
from collections import defaultdict
from importlib.metadata import version

from families import CLOSETS, FULLNESS, Case, cases
from ortools.sat.python import cp_model

from capacity.bounding import bound_choices, design_master
from capacity.design import design
from capacity.effort import Effort
from capacity.layout import value_of
from capacity.refilling import refill
from capacity.rule_of_thumb import rule_of_thumb
from capacity.verify import violations
from capacity.whole import solve_whole


class _TwoWorkers(Effort):
    """An effort whose integer programs may use both cores and all of the time."""

    def solve(
        self, model: cp_model.CpModel, work: float, least_seconds: float = 0.2
    ) -> tuple[cp_model.CpSolver, cp_model.CpSolverStatus]:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 2
        solver.parameters.max_time_in_seconds = self.limit
        return solver, solver.solve(model)

    limit = 10.0


def measure(case: Case, seconds: float) -> dict[str, float | str]:
    """One instance, every method."""
    problem, row = case.problem, {}
    row["pieces"], row["all"] = sum(thing.count for thing in problem.things), problem.value_of_all
    started = time.monotonic()
    choices = bound_choices(problem, design_master(problem), Effort(), problem.value_of_all)
    row["bound"], row["bound seconds"] = choices[0].whole, time.monotonic() - started
    reached: list[tuple[float, int]] = []
    effort = Effort(seconds, on_progress=lambda item: reached.append((item.seconds, item.stored)))
    found = design(problem, effort)
    assert not violations(problem, found.layout)
    row["value"], row["bound"] = found.value, min(found.bound, row["bound"])
    row["first"], row["first seconds"] = next((v, s) for s, v in reached if v > 0)
    row["rule"] = found.comparator.value
    row["left out"] = row["pieces"] - sum(found.layout.stored().values())
    row["rule left out"] = row["pieces"] - sum(found.comparator.layout.stored().values())
    rival = _TwoWorkers()
    rival.limit = seconds
    start = refill(problem, rule_of_thumb(problem, next(iter(problem.corner_choices())))[0], Effort(), 0.1).layout
    whole = solve_whole(problem, start, problem.value_of_all, rival)
    row["whole"] = value_of(problem, whole.layout) if whole.layout is not None else 0
    row["whole bound"] = whole.bound
    row["gap"] = 100 * (row["bound"] - row["value"]) / row["bound"]
    return row


def main() -> None:
    """Print a line for each instance and the medians of each family."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--families", nargs="*", default=list(CLOSETS))
    parser.add_argument("--fullness", nargs="*", default=list(FULLNESS))
    parser.add_argument("--seeds", nargs="*", type=int, default=list(range(5)))
    parser.add_argument("--seconds", type=float, default=10.0)
    options = parser.parse_args()
    print(f"# {time.strftime('%Y-%m-%d')} {platform.machine()} {platform.python_version()}", end=" ")
    print(", ".join(f"{name} {version(name)}" for name in ("ortools", "numpy")), f"{options.seconds} s each")
    rows: dict[tuple[str, str], list[dict[str, float | str]]] = defaultdict(list)
    for family in options.families:
        for case in cases([family], options.fullness, options.seeds):
            row = measure(case, options.seconds)
            rows[(family, case.fullness)].append(row)
            print(json.dumps({"case": f"{family} {case.fullness} {case.seed}", **row}), flush=True)
    print("| family | all | ours | bound | gap % | bound s | CP-SAT whole | rule of thumb | left out: ours, rule |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    for (family, fullness), each in rows.items():

        def median(key: str, each: list[dict[str, float | str]] = each) -> float:
            return statistics.median(float(row[key]) for row in each)

        cells = [
            f"{family} {fullness}", *(f"{median(key):.0f}" for key in ("all", "value", "bound")),
            f"{median('gap'):.1f}", f"{median('bound seconds'):.2f}",
            *(f"{median(key):.0f}" for key in ("whole", "rule")),
            f"{median('left out'):.0f}, {median('rule left out'):.0f}",
        ]  # fmt: skip
        print("| " + " | ".join(cells) + " |")


if __name__ == "__main__":
    sys.exit(main())
