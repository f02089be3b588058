"""A million hostile texts for the readers of lengths, sizes, inventories, closets, plans and progress.

    nice -n 10 python tests/benchmarks/fuzz.py [--cases 1000000] [--seed 0]

Prints for each reader how many texts it got, how many of them it could read, and everything that it did wrong: raised
what nobody expects, took more than five seconds, or said more than one clean line a fault; exit 1 if there was any.
"""

from __future__ import annotations

import argparse
import resource
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from support.readers import SHARES, fuzzed, good_plan, readers


def main() -> int:
    """Run all of them; returns the exit code."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--cases", type=int, default=1_000_000)
    parser.add_argument("--seed", type=int, default=0)
    options = parser.parse_args()
    harm = 0
    for reader in readers(good_plan()):
        cases, began = round(options.cases * SHARES[reader.name]), time.monotonic()
        wrong = list(fuzzed(reader, options.seed, cases))
        print(f"{reader.name}: {cases} texts in {time.monotonic() - began:.0f} s, {len(wrong)} did harm", flush=True)
        for text, what in wrong[:20]:
            print(f"  {what}: {text[:200]!r}", flush=True)
        harm += len(wrong)
    print(f"largest memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB")
    return 1 if harm else 0


if __name__ == "__main__":
    sys.exit(main())
