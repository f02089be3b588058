"""The proofs that plans carry, checked by the file that shares nothing with the search.

    python tests/benchmarks/certificates.py --closets 200 [--samples NAME ...]

Random tiny closets of every rule and every wish (`second_opinion.random_homes`), or samples, are fitted; then
`prove.py` checks each plan. Says how many are confirmed, and how many proven bounds it confirms only a weaker one of
(branch and bound, or the whole as one program, closed the gap), and how far off these are; exit 1 if it finds a fault.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from adversary import KNOWN, fitted
from second_opinion.random_homes import random_home

from capacity.errors import InputError
from capacity.makeover.folder import read_folder_at_once
from capacity.makeover.plan import format_plan
from capacity.makeover.samples import start_folder
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan
from capacity.solver.proof.prove import prove


def judged(name: str, folder: Path, counted: Counter[str]) -> None:
    """Check the plan of a folder, and count what came of it."""
    begin = time.process_time()
    faults, bound, plan = prove(folder)
    seconds = time.process_time() - begin
    counted["seconds"] += round(1000 * seconds)
    for fault in faults:
        print(f"{name}: {fault}")
    counted["faults"] += bool(faults)
    counted["everything stored"] += plan.value.stored == plan.value.all
    is_confirmed = bound <= plan.value.bound
    counted["confirmed" if is_confirmed else "weaker"] += 1
    if not is_confirmed or name.startswith("sample"):
        print(f"{name}: stored {plan.value.stored}, bound {plan.value.bound}, by the proof {bound}, {seconds:.1f} s")


def main() -> int:
    """Run the command."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--closets", type=int, default=200)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--samples", nargs="*", default=[])
    options = parser.parse_args()
    counted: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as place:
        for name in options.samples:
            folder = Path(place) / name
            start_folder(folder, name)
            closet, inventory, texts = read_folder_at_once(folder)
            text = format_plan(make_plan(closet, inventory, Effort(), texts.digest))
            (folder / "plan.json").write_text(text, encoding="utf-8")
            judged(f"sample {name}", folder, counted)
        for seed in range(options.first, options.first + options.closets):
            folder = Path(place) / str(seed)
            try:
                fitted(random_home(seed, KNOWN), folder, seed)
            except InputError:
                counted["refused"] += 1
                continue
            judged(f"closet {seed}", folder, counted)
    print(", ".join(f"{what}: {number}" for what, number in sorted(counted.items())))
    return 1 if counted["faults"] else 0


if __name__ == "__main__":
    sys.exit(main())
