"""Everything that can go wrong at every system call of every write, and what it did to the folder.

    python tests/benchmarks/faults.py [--only WORDS]

Prints for each write how many faults of each kind were injected, and every one after which the folder did not open or
held neither the old nor the new; exit 1 if there was any. Linux only.
"""

from __future__ import annotations

import argparse
import logging
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from support.broken_writes import faults_of
from support.writes import WRITES


def main() -> int:
    """Run all of them; returns the exit code."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--only", default="", metavar="WORDS", help="only the writes whose name has these words")
    only = parser.parse_args().only
    logging.disable(logging.WARNING)  # Streamlit's, which says that no page is being served
    began, total, wrong = time.monotonic(), Counter[str](), []
    for write in WRITES:
        if only in write.name:
            tally = faults_of(write)
            total += Counter(tally.cases)
            wrong += tally.wrong
            print(f"{write.name}: {sum(tally.cases.values())} faults, {len(tally.wrong)} of them did harm", flush=True)
    print(", ".join(f"{kind} {number}" for kind, number in total.items()))
    print(f"{total.total()} faults in {time.monotonic() - began:.0f} s; {len(wrong)} did harm")
    for line in wrong:
        print(f"  {line}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
