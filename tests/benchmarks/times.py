"""Processor seconds that `capacity fit` takes on the samples: first whole layout, 99 % of the final value, the end.

    python tests/benchmarks/times.py --seeds 0
    python tests/benchmarks/times.py --curve --samples couple-walk-in
    python tests/benchmarks/times.py --samples --families three-wall large --fullness just over

Seconds are those of the whole process, imports and both threads included, whatever else the machine does. A layout is
whole when it is worth nine tenths of what is stored in the end. With `--curve` each report is printed: what each
second bought. `--tree` runs another checkout of the project, for a comparison in one run. Families (`families.py`, with
the usual size wishes) have no folder: what `fit` does but read, write and check is done with them, so that a family has
no panel area.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
from itertools import product
from pathlib import Path
from statistics import median
from typing import Any

SAMPLES = ("six-foot-reach-in", "published-count", "couple-walk-in", "family-walk-in")
WHOLE, NEARLY = 0.9, 0.99
"""Shares of the final value: a whole layout, and nearly all of it."""

FIT = """
import json, sys, time
from capacity.__main__ import main
from capacity.solver.effort import Effort
report, seen = Effort.report, []
def heard(self, doing, stored, bound, everything):
    seen.append((round(time.process_time(), 2), doing, stored, bound))
    report(self, doing, stored, bound, everything)
Effort.report = heard
imported = time.process_time()
main(["fit", *sys.argv[1:]])
print(json.dumps({"imports": imported, "reports": seen, "end": time.process_time()}), file=sys.stderr)
"""

FAMILY = """
import json, sys, time
sys.path.insert(0, sys.argv[1])
from families import base, case, full_scale
from capacity.layout.reach_zones import zones_or_assumed
from capacity.solver.effort import Effort
from capacity.solver.filling.capacity_multiple import multiples
from capacity.solver.goals.later_goals import pursue
from capacity.solver.goals.roomier_layout import aim
from capacity.solver.goals.what_it_takes import what_would_it_take
from capacity.solver.search.design_on_rows import design_on_rows
imported = time.process_time()
facts = case(sys.argv[2], sys.argv[3], int(sys.argv[4]), full_scale(base(sys.argv[2], int(sys.argv[4]))), True).problem
started, seen = time.process_time() - imported, []
report = Effort.report
def heard(self, doing, stored, bound, everything):
    seen.append((round(time.process_time() - started, 2), doing, stored, bound))
    report(self, doing, stored, bound, everything)
Effort.report = heard
effort = Effort()
found = design_on_rows(facts, effort)
pursued = pursue(found, zones_or_assumed(()), effort, False, facts.rules)
least = min((item.low for item in multiples(facts.as_given, pursued.design.layout, effort).values()), default=0)
aim(pursued.design, least, effort)
what_would_it_take(pursued.design, effort, facts.rules)
end = time.process_time() - started
best = pursued.design
goals = {"value": {"stored": best.value, "bound": best.bound}, "goals": []}
print(json.dumps({"imports": imported, "reports": seen, "end": end, "plan": goals}), file=sys.stderr)
"""


def family_measured(tree: Path, family: str, fullness: str, seed: int) -> dict[str, Any]:
    """One family, searched as `fit` searches, in a process of its own."""
    ran = subprocess.run(
        [sys.executable, "-c", FAMILY, str(tree / "tests" / "benchmarks"), family, fullness, str(seed)],
        check=True, capture_output=True, text=True, env={**os.environ, "PYTHONPATH": str(tree)}, cwd=tree,
    )  # fmt: skip
    found: dict[str, Any] = json.loads(ran.stderr.strip().splitlines()[-1])
    return _with_marks(found, found["plan"])


def measured(tree: Path, sample: str, seed: int, more: list[str]) -> dict[str, Any]:
    """One `fit` of a sample in a process of its own."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / sample
        settings = {**os.environ, "PYTHONPATH": str(tree)}
        subprocess.run(
            [sys.executable, "-m", "capacity", "start", str(folder), "--sample", sample],
            check=True, capture_output=True, env=settings, cwd=tree,
        )  # fmt: skip
        ran = subprocess.run(
            [sys.executable, "-c", FIT, str(folder), "--seed", str(seed), *more],
            check=False, capture_output=True, text=True, env=settings, cwd=tree,
        )  # fmt: skip
        found: dict[str, Any] = json.loads(ran.stderr.strip().splitlines()[-1])
        plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    return _with_marks(found, plan)


def _with_marks(found: dict[str, Any], plan: dict[str, Any]) -> dict[str, Any]:
    """What was measured, with when a whole layout and nearly all of the value stood, and what came out."""
    final = plan["value"]["stored"]
    final = plan["value"]["stored"]
    found["first"] = next(at for at, _, stored, _ in found["reports"] if stored >= WHOLE * final)
    found["nearly"] = next(at for at, _, stored, _ in found["reports"] if stored >= NEARLY * final)
    found["value"], found["bound"] = final, plan["value"]["bound"]
    found["goals"] = {goal["name"]: (goal["value"], goal["bound"]) for goal in plan["goals"]}
    return found


def main() -> None:
    """Run the samples and print one line each."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--samples", nargs="*", default=list(SAMPLES))
    parser.add_argument("--families", nargs="*", default=[], help="families beside the samples")
    parser.add_argument("--fullness", nargs="*", default=["just", "over"], help="how full the families are")
    parser.add_argument("--seeds", nargs="*", type=int, default=[0, 1, 2, 3, 4])
    parser.add_argument("--curve", action="store_true", help="print each report")
    parser.add_argument("--tree", type=Path, default=Path(__file__).parents[2], help="the checkout to run")
    parser.add_argument("--more", nargs=argparse.REMAINDER, default=[], help="further options of `capacity fit`")
    options = parser.parse_args()
    print("| sample | seeds | first whole layout | 99 % of final | end | stored, bound | other goals |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    tree = options.tree.resolve()
    for sample in [*options.samples, *product(options.families, options.fullness)]:
        if isinstance(sample, str):
            rows = [measured(tree, sample, seed, options.more) for seed in options.seeds]
        else:
            rows = [family_measured(tree, *sample, seed) for seed in options.seeds]
        if options.curve:
            for at, doing, stored, bound in rows[0]["reports"]:
                print(f"{at:8.2f} {stored} of {bound}  {doing}")
        times = " | ".join(f"{median(row[key] for row in rows):.1f}" for key in ("first", "nearly", "end"))
        values = ", ".join(f"{row['value']} of {row['bound']}" for row in rows)
        later = "; ".join(
            f"{name} {', '.join(str(row['goals'][name][0]) for row in rows)}" for name in list(rows[0]["goals"])[1:]
        )
        name = sample if isinstance(sample, str) else " ".join(sample)
        print(f"| {name} | {len(rows)} | {times} | {values} | {later} |", flush=True)


if __name__ == "__main__":
    main()
