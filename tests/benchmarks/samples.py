"""Measure `capacity fit` on the samples; write the record, the README's figures and the picture from one run.

    python tests/benchmarks/samples.py                    all four, some ten minutes of one core
    python tests/benchmarks/samples.py --only six-foot-reach-in
    python tests/benchmarks/samples.py --readme           measure nothing, write the README from the record

Each sample is started and fitted by the commands of the README, in a process of its own. `samples.json` keeps what
came of it with the commit; `tests/test_readme.py` holds README, record and picture together.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import platform
import re
import resource
import subprocess
import sys
import tempfile
from datetime import date
from importlib.metadata import version
from pathlib import Path
from typing import Any

import capacity
from capacity.makeover.comparison import multiple_of
from capacity.makeover.plan import PlanSide
from capacity.makeover.samples import DEFAULT, SAMPLES
from capacity.page.picture import framed_svg, sides_of

ROOT = Path(__file__).parents[2]
RECORD = Path(__file__).with_name("samples.json")
README = ROOT / "README.md"
PICTURE = ROOT / "inventory_samples" / DEFAULT / "before-and-after.svg"
PRINTED_LINES = 8
"""So many lines of what `fit` prints are shown in the README at most, its blank lines left out."""

LIBRARIES = ("ortools", "highspy", "numpy", "pandas")


def main() -> None:
    """Measure what is asked for, then write record, picture and README."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--only", choices=SAMPLES, action="append", metavar="NAME", help="only this sample")
    parser.add_argument("--readme", action="store_true", help="measure nothing, write the README from the record")
    options = parser.parse_args()
    if not options.readme:
        known = json.loads(RECORD.read_text(encoding="utf-8")) if RECORD.exists() else {}
        for name in options.only or SAMPLES:
            known[name] = measured(name)
            print(f"{name}: {known[name]['stored']} of {known[name]['all']}, {known[name]['seconds']} s", flush=True)
            ordered = {sample: known[sample] for sample in SAMPLES if sample in known}
            RECORD.write_text(json.dumps(ordered, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    record = json.loads(RECORD.read_text(encoding="utf-8"))
    README.write_text(with_figures(README.read_text(encoding="utf-8"), record), encoding="utf-8")


def measured(name: str) -> dict[str, Any]:
    """Start and fit one sample by the commands; for the default sample the picture is drawn and the text kept too."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "first-closet"
        command = [sys.executable, "-m", "capacity"]
        subprocess.run([*command, "start", str(folder), "--sample", name], check=True, capture_output=True, cwd=ROOT)
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        done = subprocess.run([*command, "fit", str(folder)], capture_output=True, text=True, cwd=ROOT, check=False)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        makeover = capacity.read(folder)
        found = _figures(makeover, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
        if name == DEFAULT:
            assert makeover.plan is not None
            sides = sides_of(makeover.closet, makeover.inventory, makeover.plan)
            svg = framed_svg(sides, 0, makeover.closet.name, date.today().isoformat())
            PICTURE.write_text(svg, encoding="utf-8")
            found["printed"] = _first_lines(done.stdout)
            found["picture"] = digest_of(PICTURE)
    return found


def _figures(makeover: capacity.Makeover, seconds: float) -> dict[str, Any]:
    plan = makeover.plan
    assert plan is not None
    goals = {goal.name: (goal.value, goal.bound) for goal in plan.goals}
    return {
        "stored": plan.value.stored, "bound": plan.value.bound, "all": plan.value.all,
        "rule_of_thumb": plan.rule_of_thumb, "rule_of_thumb_bound": plan.rule_of_thumb_bound,
        "pieces": plan.after.pieces, "before": _pieces(plan.before), "after": plan.after.stored,
        "multiple_before": multiple_of(plan.before), "multiple_after": multiple_of(plan.after),
        "goals": goals, "seed": plan.seed, "seconds": round(seconds),
        "commit": _commit(), "date": date.today().isoformat(),
        "machine": f"{platform.machine()}, Python {platform.python_version()}",
        "libraries": {library: version(library) for library in LIBRARIES},
    }  # fmt: skip


def _first_lines(text: str) -> list[str]:
    return [line.rstrip() for line in text.splitlines() if line.strip()][:PRINTED_LINES]


def _pieces(side: PlanSide) -> str:
    return f"{side.stored}" if side.value == side.value_bound else f"at least {side.stored}"


def _commit() -> str:
    """The commit that was measured; a tree with other changes than what this command writes says so."""
    head = subprocess.run(["git", "rev-parse", "--short", "HEAD"], cwd=ROOT, capture_output=True, text=True, check=True)
    changed = subprocess.run(["git", "status", "--porcelain", "capacity"], cwd=ROOT, capture_output=True, text=True)
    return head.stdout.strip() + (" with changes" if changed.stdout.strip() else "")


def digest_of(path: Path) -> str:
    """The first letters of a file's digest."""
    return hashlib.sha256(path.read_bytes()).hexdigest()[:16]


def with_figures(text: str, record: dict[str, Any]) -> str:
    """The README with the table and the printed example of a record."""
    for name, block in (("table", table_of(record)), ("printed", printed_of(record))):
        begin, end = f"<!-- {name}: tests/benchmarks/samples.py -->\n", f"<!-- end of {name} -->"
        assert begin in text, f"README.md has no {begin.strip()}"
        text = re.sub(
            f"{re.escape(begin)}.*?{re.escape(end)}", lambda _, new=begin + block + end: new, text, flags=re.S
        )
    return text


def table_of(record: dict[str, Any]) -> str:
    """What was stored, by sample."""
    lines = [
        "| sample | pieces before | pieces after | value | could hold at most | rule of thumb | processor seconds |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    for name, item in record.items():
        proven = ", proven best" if item["stored"] == item["bound"] else ""
        low, high = item["rule_of_thumb"], item["rule_of_thumb_bound"]
        rule = f"{low}" if low == high else f"{low} to {high}"
        lines.append(
            f"| {name} | {item['before']} of {item['pieces']} | {item['after']} of {item['pieces']} "
            f"| {item['stored']} of {item['all']} "
            f"| {item['bound']}{proven} | {rule} | {item['seconds']} |"
        )
    return "\n".join([*lines, "", _measured_on(record), ""])


def _measured_on(record: dict[str, Any]) -> str:
    """When, on what and of what; each sample by itself where they differ."""
    words: dict[str, list[str]] = {}
    for name, item in record.items():
        libraries = f"OR-Tools {item['libraries']['ortools']}"
        words.setdefault(f"{item['date']}, commit {item['commit']}, {item['machine']}, {libraries}", []).append(name)
    if len(words) == 1:
        return f"Measured {next(iter(words))}."
    return "Measured " + "; ".join(f"{', '.join(names)}: {when}" for when, names in words.items()) + "."


def printed_of(record: dict[str, Any]) -> str:
    """The first lines that `fit` printed for the worked example."""
    return "```\n" + "\n".join([*record[DEFAULT]["printed"], "..."]) + "\n```\n"


if __name__ == "__main__":
    main()
