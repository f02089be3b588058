"""What each piece of the search is worth: one piece switched off at a time, on the twelve families and the samples.

    python tests/benchmarks/without.py --seconds 8 --seeds 0 1 --record without.jsonl
    python tests/benchmarks/without.py --summary --record without.jsonl

Each run has so many processor seconds of the searching thread, one after the other in one process; what a layout is
compared with is not filled. A line of the record is one closet with one piece off. The summary adds up the values and
counts where a piece gained or lost beside the search with all of them on.
"""

from __future__ import annotations

import argparse
import json
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any
from unittest.mock import patch

from families import CLOSETS, FULLNESS, base, case, full_scale

from capacity.layout.corners import corner_choices
from capacity.layout.layout import Layout, WallLayout
from capacity.layout.problem import Problem
from capacity.layout.sketches import finish
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.folder import read_folder
from capacity.makeover.samples import SAMPLES, start_folder
from capacity.solver.effort import Effort
from capacity.solver.filling import best
from capacity.solver.filling.exact import placeable
from capacity.solver.search import design
from capacity.solver.search.ruin_and_recreate import Recreator

Row = dict[str, Any]


def _nothing(problem: Problem) -> Layout:
    owners = next(iter(corner_choices(problem)))
    empty = Layout(tuple(WallLayout(run.name, ()) for run in problem.runs), owners)
    return finish(problem, empty, has_extra_shelves=False)


def _as_it_is(_self: object, layout: Layout, *_: object, **__: object) -> Layout:
    return layout


PIECES: dict[str, list[tuple[object, str, Any]]] = {
    "nothing (all on)": [],
    "rule of thumb start": [(design, "first_layout", _nothing)],
    "dives": [(design, "dive", lambda _master, structure, *_: structure)],
    "bays built anew": [(Recreator, "improve", _as_it_is)],
    "repacking": [(best, "repack", lambda _problem, layout, *_: layout)],
    "refilling": [(design, "refill", lambda _problem, layout, *_: design.Filling(layout, 0, 0))],
    "spacing anew": [(design._Search, "_spaced", lambda _self, layout, *_: layout)],
    "slack moved": [(design, "with_slack_moved", lambda _problem, layout, *_: layout)],
    "pattern filling": [(best, "choose_patterns", lambda *_: {})],
    "whole-problem program": [(design, "is_worth_a_program", lambda _: False)],
    "branch and bound": [(design, "prover_of", lambda *_: None)],
}
"""Each piece with what is put in its place: (owner, name, replacement)."""


def problems(seeds: list[int], families: list[str], samples: list[str]) -> Iterator[tuple[str, Problem]]:
    """The closets by name."""
    for family in families:
        for seed in seeds:
            scale = full_scale(base(family, seed))
            for fullness in FULLNESS:
                if fullness != "slack":
                    yield f"{family} {fullness} {seed}", case(family, fullness, seed, scale).problem
    for sample in samples:
        with tempfile.TemporaryDirectory() as place:
            start_folder(Path(place) / sample, sample)
            yield sample, size_problem(*read_folder(Path(place) / sample))


def searched(problem: Problem, piece: str, seconds: float) -> Row:
    """One search with a piece switched off."""
    able = placeable(problem)
    most = sum(thing.value * thing.count for thing, fits in zip(problem.things, able, strict=True) if fits)
    clock: Callable[[], float] = time.thread_time
    with ExitStack() as stack:
        for owner, name, replacement in PIECES[piece]:
            stack.enter_context(patch.object(owner, name, replacement))
        stack.enter_context(patch("capacity.solver.effort.time.monotonic", clock))
        began = clock()
        search = design._Search(problem, Effort(seconds), design.first_layout(problem), most)
        search.run()
        return {"value": search.value, "bound": search.bound, "seconds": round(clock() - began, 2)}


def summary(rows: list[Row]) -> None:
    """One line for each piece."""
    found = {(row["closet"], row["without"]): row for row in rows}
    closets = {row["closet"] for row in rows}
    print("| without | closets | sum of values | better, worse | most gained, lost | bounds | proven | seconds |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    for piece in PIECES:
        mine = [name for name in closets if (name, piece) in found and (name, "nothing (all on)") in found]
        each = [found[name, piece] for name in mine]
        gains = [row["value"] - found[row["closet"], "nothing (all on)"]["value"] for row in each]
        proven = sum(row["value"] == row["bound"] for row in each)
        print(
            f"| {piece} | {len(each)} | {sum(row['value'] for row in each)}"
            f" | {sum(gain > 0 for gain in gains)}, {sum(gain < 0 for gain in gains)}"
            f" | {max(gains, default=0)}, {min(gains, default=0)} | {sum(row['bound'] for row in each)}"
            f" | {proven} | {sum(row['seconds'] for row in each):.0f} |"
        )


def main() -> None:
    """Run what the record does not have, then print the summary."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--families", nargs="*", default=list(CLOSETS), choices=list(CLOSETS))
    parser.add_argument("--samples", nargs="*", default=list(SAMPLES))
    parser.add_argument("--seeds", nargs="*", type=int, default=[0, 1])
    parser.add_argument("--pieces", nargs="*", default=list(PIECES), choices=list(PIECES))
    parser.add_argument("--seconds", type=float, default=8.0, help="processor seconds for each search")
    parser.add_argument("--record", type=Path, default=Path("without.jsonl"))
    parser.add_argument("--summary", action="store_true", help="run nothing")
    options = parser.parse_args()
    lines = options.record.read_text(encoding="utf-8").splitlines() if options.record.exists() else []
    rows: list[Row] = [json.loads(line) for line in lines]
    known = {(row["closet"], row["without"]) for row in rows}
    if not options.summary:
        for name, problem in problems(options.seeds, options.families, options.samples):
            for piece in options.pieces:
                if (name, piece) not in known:
                    row = {"closet": name, "without": piece, **searched(problem, piece, options.seconds)}
                    rows.append(row)
                    with options.record.open("a", encoding="utf-8") as file:
                        file.write(json.dumps(row) + "\n")
                    print(row, flush=True)
    summary(rows)


if __name__ == "__main__":
    main()
