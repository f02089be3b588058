"""How plain plans are to build and to live in, before and after: piles in several places, sizes, shelf lines, shoes.

    python tests/benchmarks/plain.py BEFORE AFTER

BEFORE and AFTER are folders that hold makeover folders of the same names with their `plan.json`, as two versions of
this program, or two sets of wishes, wrote them; with one of them its figures alone are printed. Every figure is counted
from the plan's walls; a plan that was found for another catalogue of kinds is counted by the rows that it holds.
"""

from __future__ import annotations

import argparse
from collections import Counter
from contextlib import suppress
from dataclasses import astuple, dataclass, fields
from pathlib import Path
from statistics import median

from capacity.errors import InputError
from capacity.layout.layout import Bay, Layout
from capacity.layout.problem import OpeningKind, Problem
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.folder import read_folder
from capacity.makeover.plan import layouts_of, read_plan
from capacity.solver.effort import Effort
from capacity.solver.goals.few_places import forced_places, piles_in_several, places_of
from capacity.solver.goals.few_sizes import shelf_heights
from capacity.units import PER_INCH, PER_MM
from capacity.wardrobe.inventory import Inventory
from capacity.workshop.job import prepare
from capacity.workshop.parts.parts import StockKind

HIGH, HAND = 60 * PER_INCH, 100 * PER_MM
"""Above this no shoe while something seasonal lies lower; and the least clear height that takes a hand, 4 in or in a
metric folder 100 mm, which is a little less [ticks]."""


@dataclass(frozen=True, slots=True)
class Plainness:
    """One plan in figures; `level` of `lines` shelf lines go on in the bay to the right."""

    piles: int
    several: int
    places: int
    forced: int
    shelf_openings: int
    heights: int
    low: int
    widths: int
    bays: int
    level: int
    lines: int
    high_shoes: int
    sheets: str
    stored: int


def plainness(folder: Path, counts_sheets: bool) -> Plainness:
    """Count one makeover folder."""
    closet, inventory = read_folder(folder)
    plan = read_plan(folder / "plan.json")
    problem = size_problem(closet, inventory)
    layout = layouts_of(plan, problem)[1]
    heights, level, lines = shelf_heights(problem, layout), 0, 0
    for wall in layout.walls:
        for bay, beside in zip(wall.bays, wall.bays[1:], strict=False):
            mine, theirs = _shelves(problem, bay), _shelves(problem, beside)
            level, lines = level + len(mine & theirs), lines + min(len(mine), len(theirs))
    sheets = "-"
    if counts_sheets:
        with suppress(InputError):  # a plan made by other rules cannot be built any more
            job = prepare(closet, inventory, plan, Effort(factor=0.1))
            sheets = str(len(job.sheets[StockKind.PANEL].plan.layouts))
    return Plainness(
        piles=len(layout.stored()),
        several=piles_in_several(layout),
        places=places_of(layout),
        forced=forced_places(problem, layout.stored()),
        shelf_openings=sum(heights.values()),
        heights=len(heights),
        low=sum(number for height, number in heights.items() if height < HAND),
        widths=len({bay.width for wall in layout.walls for bay in wall.bays}),
        bays=sum(len(wall.bays) for wall in layout.walls),
        level=level,
        lines=lines,
        high_shoes=_high_shoes(inventory, layout),
        sheets=sheets,
        stored=plan.value.stored,
    )


def _shelves(problem: Problem, bay: Bay) -> set[int]:
    """Upper faces of the shelves of a bay, its bottom and top left out."""
    return {item.bottom for item in bay.openings if problem.rules.base < item.bottom < problem.top}


def _high_shoes(inventory: Inventory, layout: Layout) -> int:
    """Pairs over 60 in while something seasonal lies lower on a shelf."""
    shoes, lowest = Counter[int](), None
    for *_, opening in layout.openings():
        if opening.kind is not OpeningKind.SHELF:
            continue
        for item in opening.holds:
            pile = inventory.pile(item.row)
            if pile.family in ("footwear", "boots"):
                shoes[opening.bottom] += item.count
            elif pile.use.value == "seasonal":
                lowest = opening.bottom if lowest is None else min(lowest, opening.bottom)
    return sum(count for bottom, count in shoes.items() if bottom > HIGH and lowest is not None and lowest < bottom)


def main() -> None:
    """Print a row for each plan, and the targets."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("folders", type=Path, nargs="+", metavar="FOLDER", help="holds makeover folders with plans")
    options.add_argument(
        "--sheets", action="store_true", help="lay the parts out on sheets and count these too; takes longer"
    )
    given = options.parse_args()
    names = [item.name.replace("_", " ") for item in fields(Plainness)]
    print("| plan |", " | ".join(names), "|")
    print("| --- " * (len(names) + 1) + "|")
    last: list[Plainness] = []
    for base in given.folders:
        last = []
        for folder in sorted(path.parent for path in base.glob("*/plan.json")):
            last.append(plainness(folder, given.sheets))
            print(f"| {base.name}, {folder.name} |", " | ".join(map(str, astuple(last[-1]))), "|", flush=True)
    print()
    print("Targets, medians over the plans of the last folder:")
    over = median(item.places - item.forced for item in last)
    print(f"- places more than pile sizes force: {over:g} (at most 1)")
    share = median(item.heights / max(1, item.shelf_openings) for item in last)
    print(f"- clear heights by shelf opening: {share:.2f} (at most 0.33)")
    print(f"- openings under 4 in: {sum(item.low for item in last)} (none)")
    high = [item.high_shoes for item in last]
    print(f"- shoes over 60 in while something seasonal lies lower: {median(high):g}, of all plans {sum(high)} (none)")


if __name__ == "__main__":
    main()
