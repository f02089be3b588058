"""Lists of parts to be cut from sheets: recorded plans, seeded bays, and published cases whose pieces are all cut.

- `plan ...`: the panels of the plans that `capacity fit` finds for the four samples, recorded in `cut_lists.csv`;
  `python tests/benchmarks/sheets.py --record DIR ...` records them again from folders that were built.
- `bays ...`: invented built-ins, seeded: a few bays of odd widths with uprights, shelves, cleats and kick boards,
  out of full sheets. Odd seeds have no grain, so that every part may be turned.
- the rest: published cutting problems (sources in `tests/support/published_packing.py`), no kerf, no trim, nothing
  turned, every copy cut.
"""

from __future__ import annotations

import csv
import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from capacity.workshop.cutting.cutting_plan import Blank, Saw, Stock

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.published_packing import PUBLISHED

INCH = 8128
RECORDED = Path(__file__).with_name("cut_lists.csv")
FULL = Stock("full sheet", 96 * INCH, 48 * INCH, 1)
SAW = Saw(INCH // 8, INCH // 8)
SEEDS = range(12)
ALL_COPIES = tuple(f"NGCUT{number}" for number in range(1, 13))


@dataclass(frozen=True)
class CutList:
    """One list: what is to be cut, from which sheet, with which saw."""

    name: str
    pieces: tuple[Blank, ...]
    stock: Stock
    saw: Saw


def lists() -> Iterator[CutList]:
    """All lists of the benchmark, always the same."""
    yield from recorded()
    for seed in SEEDS:
        yield CutList(f"bays {seed}", tuple(bays(seed)), FULL, SAW)
    for name in ("CGCUT1", *ALL_COPIES):
        yield published(name)


def recorded() -> Iterator[CutList]:
    """The panels of the four samples' plans."""
    with RECORDED.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for name in dict.fromkeys(row["list"] for row in rows):
        pieces = [
            Blank(f"{number}-{copy}", int(row["length"]), int(row["width"]), row["grain"] == "no")
            for number, row in enumerate(rows)
            if row["list"] == name
            for copy in range(int(row["count"]))
        ]
        yield CutList(f"plan {name}", tuple(pieces), FULL, SAW)


def bays(seed: int) -> Iterator[Blank]:
    """The panels of three to nine invented bays on one to three walls; sizes on 1/16 in."""
    chance = random.Random(f"bays {seed}")

    def inches(low: float, high: float) -> int:
        return round(16 * chance.uniform(low, high)) * INCH // 16

    may_turn = seed % 2 == 1
    number = 0
    for _ in range(chance.randint(1, 3)):
        high, depth = inches(80, 92), chance.choice((inches(11.5, 12.5), inches(14, 16), inches(18, 24)))
        walls = chance.randint(2, 3)
        sizes = [(high, depth)] * (walls + 1)
        for _ in range(walls):
            wide = inches(14, 36)
            sizes += [(wide, depth)] * chance.randint(3, 8)
            sizes += [(wide, 3 * INCH)] * 3
            if chance.random() < 0.4:
                front = inches(5, 9)
                sizes += [(wide - INCH // 4, front)] * chance.randint(2, 4)
        for length, width in sizes:
            number += 1
            yield Blank(f"p{number}", length, width, may_turn)


def published(name: str) -> CutList:
    """Every copy of a published problem."""
    sheet = PUBLISHED[name]
    pieces = tuple(
        Blank(f"{number}-{copy}", high, across, may_turn=False)
        for number, (across, high, _, copies) in enumerate(sheet.rows)
        for copy in range(copies)
    )
    return CutList(name, pieces, Stock("sheet", sheet.height, sheet.width, 1), Saw(0, 0))
