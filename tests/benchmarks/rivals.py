"""Ours beside its rivals on the twelve families, in one run that can be interrupted and taken up again.

    python tests/benchmarks/rivals.py --families reach-in two-wall --seeds 0 1 2 --seconds 20 --record rivals.jsonl
    python tests/benchmarks/rivals.py --summary --record rivals.jsonl

With `--wishes` closets are built with the usual size wishes (play, marks, least heights, low drawers, rows of holes);
without, as the printed table has it, with none. Each method runs in a process of its own, one after the other. Every
result is a line of the record; what stands there already is not run again. The summary (`summary`) prints medians over
the seeds and which targets are met.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import os
import platform
import subprocess
import time
from collections.abc import Iterator
from dataclasses import asdict
from importlib.metadata import version
from pathlib import Path
from typing import Any

from families import CLOSETS, FULLNESS, Case, base, case, full_scale
from methods import METHODS, measured
from summary import print_summary

Row = dict[str, Any]

DEADLINE = 10.0
"""A process that has not answered after this many times its seconds is ended, and recorded as having found nothing."""


def _work(name: str, item: Case, seconds: float, answer: Any) -> None:
    try:
        answer.put(asdict(measured(name, item, seconds)))
    except BaseException as error:
        answer.put({"error": f"{type(error).__name__}: {error}"})
        raise


def run(name: str, item: Case, seconds: float) -> Row:
    """One method on one case, in a process of its own."""
    context = multiprocessing.get_context("spawn")
    answer = context.Queue()
    process = context.Process(target=_work, args=(name, item, seconds, answer))
    process.start()
    try:
        found: Row = answer.get(timeout=DEADLINE * seconds + 60.0)
    except Exception:
        found = {"error": "no answer in time"}
        process.kill()
    process.join()
    return found


def about() -> Row:
    """Machine, versions and commit."""
    commit = subprocess.run(
        ["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True, check=False, cwd=Path(__file__).parent
    ).stdout.strip()
    names = ("ortools", "highspy", "numpy")
    versions = {name: version(name) for name in names}
    cores = len(os.sched_getaffinity(0))
    day = time.strftime("%Y-%m-%d", time.gmtime())
    return {"date": day, "machine": platform.machine(), "cores": cores, "python": platform.python_version(),
            "commit": commit, **versions}  # fmt: skip


def read(record: Path, has_wishes: bool) -> list[Row]:
    """The lines of a record that are of closets with wishes, or without; none where there is no such file."""
    if not record.exists():
        return []
    rows = map(json.loads, record.read_text(encoding="utf-8").splitlines())
    return [row for row in rows if "method" not in row or row.get("wishes", False) is has_wishes]


def _key(row: Row) -> tuple[Any, ...]:
    return tuple(row[name] for name in ("family", "fullness", "seed", "method", "seconds"))


def _cases(options: argparse.Namespace, scales: dict[tuple[str, int], float], record: Path) -> Iterator[Case]:
    for seed in options.seeds:
        for family in options.families:
            if (family, seed) not in scales:
                scales[(family, seed)] = full_scale(base(family, seed))
                _append(record, {"family": family, "seed": seed, "scale": scales[(family, seed)]})
            for fullness in options.fullness:
                yield case(family, fullness, seed, scales[(family, seed)], options.wishes)


def _append(record: Path, row: Row) -> None:
    with record.open("a", encoding="utf-8") as file:
        file.write(json.dumps(row) + "\n")


def main() -> None:
    """Run what is missing, or print the summary."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--families", nargs="*", default=list(CLOSETS), choices=list(CLOSETS))
    parser.add_argument("--fullness", nargs="*", default=list(FULLNESS), choices=list(FULLNESS))
    parser.add_argument("--seeds", nargs="*", type=int, default=list(range(5)))
    parser.add_argument("--methods", nargs="*", default=list(METHODS), choices=list(METHODS))
    parser.add_argument("--seconds", type=float, default=20.0, help="processor seconds for each worker")
    parser.add_argument("--wishes", action="store_true", help="with the usual size wishes")
    parser.add_argument("--record", type=Path, default=Path("rivals.jsonl"))
    parser.add_argument("--summary", action="store_true", help="run nothing")
    options = parser.parse_args()
    rows = read(options.record, options.wishes)
    if not options.summary:
        known = {_key(row) for row in rows if "method" in row}
        scales = {(row["family"], row["seed"]): row["scale"] for row in rows if "scale" in row}
        for item in _cases(options, scales, options.record):
            for name in options.methods:
                row: Row = {"family": item.family, "fullness": item.fullness, "seed": item.seed, "method": name,
                            "seconds": options.seconds, "wishes": options.wishes}  # fmt: skip
                if _key(row) in known:
                    continue
                facts = item.problem
                row["all"], row["owned"] = facts.value_of_all, sum(thing.count for thing in facts.things)
                row["found"], row["about"] = run(name, item, options.seconds), about()
                _append(options.record, row)
                found = row["found"]
                print(
                    *_key(row),
                    *(f"{key} {found.get(key)}" for key in ("value", "bound", "proven", "error")),
                    flush=True,
                )
    print_summary(read(options.record, options.wishes))


if __name__ == "__main__":
    main()
