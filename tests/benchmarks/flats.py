"""Two hundred flats at once: what a second worker brings, and a worker killed half way.

    python tests/benchmarks/flats.py --flats 200 --timed 24

Random tiny closets (`second_opinion.random_homes`) as folders. First `--timed` of them by one worker and by two, as a
ratio of seconds on the wall (idle machine); then all by two workers, one of which is killed when half is done: the
table must be complete, every task in it, none done twice, and the same by byte as that of one worker where both did it.
Exit 1 if it is not.
"""

from __future__ import annotations

import argparse
import multiprocessing
import shutil
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from adversary import KNOWN
from second_opinion.folder_writing import write_household
from second_opinion.random_homes import random_home

from capacity.errors import InputError
from capacity.many.journal import Journal
from capacity.many.results import cut_together, results_table
from capacity.many.solving import read_all
from capacity.many.varied_closets import Task, tasks_of
from capacity.many.workers import on_this_machine

WORK = 0.05


def flats(place: Path, number: int) -> tuple[Task, ...]:
    """So many tasks; households that no closet can be for are passed over."""
    folders: list[Path] = []
    seed = 0
    while len(folders) < number:
        folder = place / f"flat-{seed:04}"
        write_household(random_home(seed, KNOWN), folder, seed, KNOWN)
        try:
            read_all(tasks_of([folder], (), WORK))
            folders.append(folder)
        except InputError:
            shutil.rmtree(folder)
        seed += 1
    return tasks_of(folders, (), WORK)


def swept(tasks: Sequence[Task], into: Path, workers: int, kill_at: int = 0) -> tuple[Journal, float]:
    """Do all tasks; a worker is killed when so many are done. The journal and the seconds."""
    journal, begin, times = Journal(into), time.monotonic(), 0
    for number, (task, result) in enumerate(on_this_machine(tasks, workers), start=1):
        times += task.digest in journal.done
        journal.keep(task.digest, result)
        if number == kill_at:
            multiprocessing.active_children()[0].kill()
    if times:
        print(f"{times} tasks were done twice")
    return journal, time.monotonic() - begin


def main() -> int:
    """Run the command."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--flats", type=int, default=200)
    parser.add_argument("--timed", type=int, default=24)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as place:
        tasks = flats(Path(place) / "flats", options.flats)
        some = tasks[: options.timed]
        one, alone = swept(some, Path(place) / "one", 1)
        _, both = swept(some, Path(place) / "two", 2)
        print(f"{len(some)} flats: {alone:.1f} s by one worker, {both:.1f} s by two: {alone / both:.2f} times as many")
        all_done, seconds = swept(tasks, Path(place) / "all", 2, len(tasks) // 2)
        table = results_table(tasks, all_done.done)
        same = results_table(some, one.done).to_csv() == results_table(some, all_done.done).to_csv()
        lost = int(table["fault"].notna().sum())
        print(f"{len(tasks)} flats, a worker killed half way: {len(table)} rows, {lost} with a fault, {seconds:.0f} s")
        print(f"the same by one worker and by two: {same}")
        for item in cut_together(tasks, all_done.done):
            if item.closets > 4:
                print(item.words)
        for fault in table["fault"].dropna():
            print(f"  {fault}")
    is_whole = len(all_done.done) == len({task.digest for task in tasks})
    return 0 if same and is_whole and not any("worker" in fault for fault in table["fault"].dropna()) else 1


if __name__ == "__main__":
    sys.exit(main())
