"""How long a tap of the tally keeps the page busy: the change, its old version kept, and the file on disk.

    python tests/benchmarks/taps.py

makes each sample in a temporary folder, and one of 2,000 piles, and taps 50 times.
"""

from __future__ import annotations

import statistics
import tempfile
import time
from pathlib import Path

from capacity.makeover.samples import SAMPLES, start_folder
from capacity.page.household import change_inventory
from capacity.wardrobe.inventory import FILE_NAME, read_inventory
from capacity.wardrobe.tally import with_count

TAPS = 50
MANY = "2,000 piles"


def tapped(folder: Path) -> list[float]:
    """Milliseconds of each tap on the first pile."""
    count = read_inventory(folder / FILE_NAME, "in").piles[0].count
    took = []
    for number in range(count + 1, count + 1 + TAPS):
        start = time.perf_counter()
        change_inventory(folder, "in", lambda inventory, number=number: with_count(inventory, 1, number))
        took.append(1000 * (time.perf_counter() - start))
    return took


def main() -> None:
    """Print a line a sample."""
    with tempfile.TemporaryDirectory() as place:
        for sample in (*SAMPLES, MANY):
            folder = Path(place, sample)
            start_folder(folder, sample if sample in SAMPLES else SAMPLES[0])
            path = folder / FILE_NAME
            if sample == MANY:
                header, *rows = path.read_text(encoding="utf-8").splitlines()
                path.write_text("\n".join([header, *(rows * 2000)[:2000]]) + "\n", encoding="utf-8")
            piles = len(read_inventory(path, "in").piles)
            took = tapped(folder)
            print(f"{sample}: {piles} piles, median {statistics.median(took):.0f} ms, slowest {max(took):.0f} ms")


if __name__ == "__main__":
    main()
