"""How long the packet of a sample takes beside its solve, in one run: processor seconds and their ratio.

python tests/benchmarks/packet.py --sample family-walk-in
"""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path

from capacity.makeover.folder import read_folder
from capacity.makeover.samples import SAMPLES, start_folder
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan
from capacity.workshop.build_files import build
from capacity.workshop.job import prepare


def main() -> None:
    """Solve, then build, and print both."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sample", default="family-walk-in", choices=SAMPLES)
    sample = parser.parse_args().sample
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "makeover"
        start_folder(folder, sample)
        closet, inventory = read_folder(folder)
        started = time.process_time()
        plan = make_plan(closet, inventory, Effort())
        solved = time.process_time()
        job = prepare(closet, inventory, plan, Effort())
        cut = time.process_time()
        build(folder, job, "letter")
        built = time.process_time()
    solve, packet = solved - started, built - solved
    print(f"{sample}: solve {solve:.1f} s, packet {packet:.1f} s (parts and cutting {cut - solved:.1f} s)")
    print(f"the packet takes {packet / solve:.2f} solves")


if __name__ == "__main__":
    main()
