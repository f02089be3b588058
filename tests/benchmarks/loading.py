"""Processor seconds that the commands take which only read, or fill what stands.

    python tests/benchmarks/loading.py [SAMPLE ...]

Each command runs five times in a process of its own; the median is printed. The aim: 0.5 s at most.
"""

from __future__ import annotations

import argparse
import resource
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

import capacity
from capacity.makeover.samples import SAMPLES, start_folder

COMMANDS = (("count",), ("compare",), ("check",), ("refill",), ("--help",))
RUNS = 5


def main() -> None:
    """Print a row for each command and sample."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("samples", nargs="*", default=SAMPLES, metavar="SAMPLE")
    print("sample, command: processor seconds, median of", RUNS)
    for name in parser.parse_args().samples:
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place) / name
            start_folder(folder, name)
            capacity.fit(capacity.read(folder), capacity.Effort(factor=0.01), save=True)
            for command in COMMANDS:
                arguments = command if command == ("--help",) else (*command, str(folder))
                seconds = statistics.median(_seconds(arguments) for _ in range(RUNS))
                print(f"{name}, {' '.join(command)}: {seconds:.2f}")


def _seconds(arguments: tuple[str, ...]) -> float:
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-m", "capacity", *arguments], capture_output=True, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


if __name__ == "__main__":
    main()
