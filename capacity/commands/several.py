"""The command for several closets, or what-ifs about one: many."""

from __future__ import annotations

import argparse
import json
import os
import sys

from capacity.errors import DONE, FELL_SHORT


def run_many(options: argparse.Namespace) -> int:
    """Do the tasks that are not done yet and print what all of them gave. Returns the exit code."""
    from capacity.many.journal import Journal
    from capacity.many.results import cut_together, results_table, write_results
    from capacity.many.solving import read_all
    from capacity.many.varied_closets import parse_variation, tasks_of
    from capacity.many.workers import on_a_cluster, on_this_machine
    from capacity.solver.effort import EFFORTS, Effort
    from capacity.solver.progress import progress_in

    variations = [parse_variation(text) for text in options.vary]
    tasks = tasks_of(options.folders, variations, EFFORTS[options.effort], options.seed)
    read_all(tasks)
    journal = Journal(options.into)
    left = list({task.digest: task for task in tasks if task.digest not in journal.done}.values())
    workers = min(options.workers or os.cpu_count() or 1, max(1, len(left)))
    found = on_a_cluster(left, options.on) if options.on and left else on_this_machine(left, workers)
    begun, is_shown = len(tasks) - len(left), sys.stderr.isatty() and not options.json
    effort = Effort()
    try:
        with progress_in(options.progress, effort, "many closets are being looked at"):
            effort.report("finding layouts", begun, len(tasks), len(tasks))
            for number, (task, result) in enumerate(found, start=begun + 1):
                journal.keep(task.digest, result)
                effort.report("finding layouts", number, len(tasks), len(tasks))
                if is_shown:
                    words = f"{number} of {len(tasks)} done: {task.name[:60]}"
                    print(f"\r\033[K{words}", end="", file=sys.stderr, flush=True)
                if effort.is_over:
                    break
    finally:
        found.close()
        if is_shown:
            print("\r\033[K", end="", file=sys.stderr)
        write_results(options.into, tasks, journal.done)
    table, together = results_table(tasks, journal.done), list(cut_together(tasks, journal.done))
    if options.json:
        rows = json.loads(table.to_json(orient="records"))
        sheets = [{"closets": item.closets, "alone": item.alone, "together": item.together} for item in together]
        print(json.dumps({"schema": "capacity.many/1", "closets": rows, "sheets": sheets}))
    else:
        from capacity.commands.printing import print_many

        print_many(table, together, options.into)
    return DONE if (table["stored"] == table["pieces"]).fillna(value=False).all() else FELL_SHORT
