"""Sheets that our two-stage cutting needs, the proven bound, and a general packing library, side by side in one run.

    python tests/benchmarks/sheets.py

The library is rectpack, given every list with kerfs added to pieces and sheet, as ours reckons: the best of all its
guillotine variants (18 rules of choice and splitting, 3 ways to open sheets), with any number of stages, which is more
freedom than the two stages of ours; and for information the best of its general ones, which no saw can cut.
Sticks follow, beside published optima.
"""

from __future__ import annotations

import argparse
import csv
import json
import platform
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from importlib.metadata import version
from itertools import product
from pathlib import Path
from typing import Any

import rectpack
from cut_lists import RECORDED, CutList, lists

from capacity.solver.effort import Effort
from capacity.units import from_number
from capacity.workshop.cutting.cutting_plan import FirstCut
from capacity.workshop.cutting.least_cost import cut

GUILLOTINE = tuple(getattr(rectpack, name) for name in sorted(dir(rectpack)) if name.startswith("Guillotine"))
GENERAL = tuple(
    getattr(rectpack, name) for name in sorted(dir(rectpack)) if name.startswith(("MaxRects", "Skyline"))
)  # fmt: skip
OPENING = (rectpack.PackingBin.BNF, rectpack.PackingBin.BFF, rectpack.PackingBin.BBF)


def fewest(one: CutList, rules: Sequence[Any]) -> int:
    """The fewest sheets of any of the library's variants."""
    saw, stock = one.saw, one.stock
    wide, long = (side - 2 * saw.trim + saw.kerf for side in (stock.width, stock.length))
    may_turn = {piece.may_turn for piece in one.pieces} == {True}
    best = len(one.pieces)
    for rule, opening in product(rules, OPENING):
        packer = rectpack.newPacker(
            mode=rectpack.PackingMode.Offline, bin_algo=opening, pack_algo=rule,
            sort_algo=rectpack.SORT_AREA, rotation=may_turn,
        )  # fmt: skip
        for piece in one.pieces:
            packer.add_rect(piece.width + saw.kerf, piece.length + saw.kerf)
        packer.add_bin(wide, long, count=best)
        packer.pack()
        if len(packer.rect_list()) == len(one.pieces):
            best = min(best, len(packer))
    return best


def measure(one: CutList) -> dict[str, Any]:
    """One list, every method."""
    started = time.process_time()
    plan = cut(one.pieces, [one.stock], one.saw, Effort())
    seconds = time.process_time() - started
    one_way = [cut(one.pieces, [one.stock], one.saw, Effort(), [way]).cost for way in FirstCut]
    return {
        "list": one.name, "pieces": len(one.pieces),
        "sizes": len({(piece.length, piece.width) for piece in one.pieces}),
        "ours": len(plan.layouts), "bound": plan.bound // one.stock.cost, "strips": plan.strips,
        "rips first": one_way[0] // one.stock.cost, "crosscuts first": one_way[1] // one.stock.cost,
        "guillotine": fewest(one, GUILLOTINE), "general": fewest(one, GENERAL), "CPU s": round(seconds, 2),
    }  # fmt: skip


def record(folders: Sequence[Path]) -> None:
    """Write the panels of built folders into `cut_lists.csv`."""
    with RECORDED.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["list", "count", "length", "width", "grain"])
        for folder in folders:
            built = json.loads((folder / "build" / "parts.json").read_text(encoding="utf-8"))
            sizes = Counter(_sizes(built))
            for (length, width, grain), count in sorted(sizes.items(), reverse=True):
                writer.writerow([folder.name, count, length, width, grain])


def _sizes(built: dict[str, Any]) -> Iterator[tuple[int, int, str]]:
    for part in built["parts"]:
        if part["material"] == "panel":
            length, width = (from_number(part[side], built["units"]) for side in ("length", "width"))
            yield length, width, "yes" if part["grain"] else "no"


def main() -> None:
    """Print a row for each list and the sums."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--record", nargs="+", type=Path, metavar="DIR", help="record the panels of built folders")
    parser.add_argument("--only", default="", help="only lists whose name begins so")
    options = parser.parse_args()
    if options.record:
        record(options.record)
        return
    print(f"{time.strftime('%Y-%m-%d')} {platform.machine()}, Python {platform.python_version()},", end=" ")
    print(", ".join(f"{name} {version(name)}" for name in ("ortools", "rectpack")), end="\n\n")
    rows = []
    for one in lists():
        if one.name.startswith(options.only):
            row = measure(one)
            if not rows:
                print("| " + " | ".join(row) + " |\n|" + " --- |" * len(row))
            print("| " + " | ".join(str(value) for value in row.values()) + " |", flush=True)
            rows.append(row)
    keys = ("ours", "bound", "rips first", "crosscuts first", "guillotine", "general")
    print(f"\n{len(rows)} lists: " + ", ".join(f"{key} {sum(row[key] for row in rows)}" for key in keys))
    proven = sum(row["ours"] == row["bound"] for row in rows)
    print(f"proven least: {proven} of {len(rows)}; slowest {max(row['CPU s'] for row in rows)} s of CPU")


if __name__ == "__main__":
    main()
