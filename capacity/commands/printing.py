"""What the commands print: tables on standard output, progress on standard error.

Names that people typed are always printed as they are, never read as markup.
"""

from __future__ import annotations

import sys
from collections import Counter
from typing import TYPE_CHECKING, Any, Self

if TYPE_CHECKING:
    from collections.abc import Hashable, Mapping, Sequence
    from pathlib import Path
    from types import TracebackType

    import pandas as pd
    from rich.console import Console

    from capacity.checks.all_checks import Report
    from capacity.checks.check import Check
    from capacity.makeover.plan import Plan
    from capacity.makeover.refilled import Refilled
    from capacity.many.results import CutTogether
    from capacity.solver.effort import Progress
    from capacity.wardrobe.inventory import Inventory
    from capacity.workshop.job import Job
    from capacity.workshop.shopping import ShoppingList


def console(to_errors: bool = False) -> Console:
    """A terminal without markup in texts; no colour where there is no terminal or `NO_COLOR` is set."""
    from rich.console import Console

    return Console(stderr=to_errors, markup=False, emoji=False, highlight=False, soft_wrap=True)


def print_table(rows: Sequence[Mapping[str, object]]) -> None:
    """Print a table of at least one row, headed by the keys of the first; numbers stand to the right."""
    from rich import box
    from rich.table import Table

    shown = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for column in rows[0]:
        is_number = all(isinstance(row[column], int | float) for row in rows)
        shown.add_column(column, justify="right" if is_number else "left", no_wrap=is_number)
    for row in rows:
        shown.add_row(*(str(cell) for cell in row.values()))
    console().print(shown)


def print_plan(plan: Plan, inventory: Inventory, built: Counter[int] | None = None) -> None:
    """Print a plan: the room gained, what is proven, what is left out, before and after, and what was built."""
    from capacity.makeover.comparison import (
        alternative_in_words,
        boards_in_words,
        gains,
        goals_in_words,
        headline,
        left_out_in_words,
        multiple_in_words,
        proof,
        rows_of,
        rule_of_thumb_in_words,
        wanting_in_words,
    )
    from capacity.makeover.left_out import kinds_left_out

    out = console()
    out.print(headline(plan))
    out.print(proof(plan))
    out.print(rule_of_thumb_in_words(plan))
    if (words := boards_in_words(plan)) is not None:
        out.print(words)
    for line in multiple_in_words(plan, inventory):
        out.print(line)
    for line in goals_in_words(plan):
        out.print(line)
    if plan.stopped_early:
        out.print("Stopped early; this is the best plan so far.")
    joined: Counter[tuple[str, str]] = Counter()
    for item in plan.left_out:
        joined[(inventory.pile(item.row).name, item.reason)] += item.count
    for (name, reason), count in joined.items():
        out.print(f"left out: {count} x {name} ({reason})")
    for line in kinds_left_out(plan, inventory):
        out.print(line)
    for words in (left_out_in_words(plan), alternative_in_words(plan)):
        if words is not None:
            out.print(words)
    if plan.would_take:
        out.print("What would it take?")
        for line in wanting_in_words(plan):
            out.print(f"  {line}")
    short = sum(not check.passed for check in plan.checks)
    if short:
        out.print(f"{short} of {len(plan.checks)} checks fall short; `capacity check` says which, and the cure.")
    out.print()
    print_table(rows_of(gains(plan, inventory, "kind", built), "kind"))
    print_table(rows_of(gains(plan, inventory, "owner", built), "owner"))


def print_refilled(refilled: Refilled, inventory: Inventory, plan: Plan | None) -> None:
    """Print where everything goes in what stands now, what has no place and why, and what the plan said."""
    from capacity.drawings.labels import lettered, opening_words
    from capacity.makeover.plan import layout_of
    from capacity.makeover.refilled import differences

    out, value = console(), refilled.value
    stands = "was built" if refilled.stands == "built" else "stands today"
    proven = "proven best" if value.status == "optimal" else f"could hold at most {value.bound}"
    out.print(f"What {stands} holds {refilled.stored} of {refilled.pieces} pieces (value {value.stored}; {proven}).")
    layout = layout_of(refilled.walls, refilled.units)
    for number, wall in enumerate(layout.walls):
        out.print(f"{wall.name}, from left to right, each bay from the floor up:")
        for item in lettered(layout):
            if item.wall == number:
                out.print(f"  {opening_words(item, inventory, refilled.units)}")
    for left in refilled.left_out:
        out.print(f"no place: {left.count} x {inventory.pile(left.row).name} ({left.reason})")
    if plan is None or refilled.stands == "before":
        return
    changed = list(differences(plan, refilled, inventory))
    out.print("All that was planned has its place." if not changed else "Other than planned:")
    for line in changed:
        out.print(f"  {line}")


def print_report(report: Report) -> None:
    """Print the checks: those that fall short with their cure, then every kind of check, fillers and cautions."""
    from capacity.checks.check import shortfalls, tally_of

    out = console()
    out.print(f"{len(report.checks)} checks, {len(report.short) or 'none'} fall short.")
    lengths = f"{report.longest_shelf:g} {report.units}, longest rod {report.longest_rod:g} {report.units}"
    out.print(f"Longest shelf of a layout {lengths}: what you set, else what board, rod and things allow.")
    for group in shortfalls(report.checks):
        _print_shortfall(group)
    if report.checks:
        print_table(tally_of(report.checks))
    if report.fillers:
        names = ["name", "wall", "end", "width", "narrowest", "height", "thickness"]
        print_table([{name: getattr(part, name) for name in names} for part in report.fillers])
    for line in report.not_checked:
        out.print(f"not checked: {line}")
    out.print()
    for caution in report.cautions:
        out.print(f"caution, {caution.topic}: {caution.words}")


def _print_shortfall(group: Sequence[Check]) -> None:
    """Print what falls short with its cure and who says so."""
    from capacity.checks.check import told

    out, (what, found, cure) = console(), told(group)
    out.print()
    out.print(f"falls short: {what}")
    out.print(f"  {found}")
    out.print(f"  source: {group[0].source} ({group[0].how_known})")
    out.print(f"  cure: {cure}")


def print_build(job: Job, shopping: ShoppingList, folder: Path, files: int) -> None:
    """Print a build: parts, sheets, what is proven about them, what it costs, what needs a look, what falls short."""
    from capacity.checks.check import shortfalls
    from capacity.units import counted
    from capacity.workshop.shopping import NAMES, bound_words

    out = console()
    out.print(f"{counted(len(job.carcass.parts), 'part')}; put together they are the plan's openings exactly.")
    for material, cut_list in job.sheets.items():
        number = len(cut_list.plan.layouts)
        out.print(f"{NAMES[material.value]}: {counted(number, 'sheet')}; {bound_words(job, cut_list)}")
    for use, cut_list in job.sticks.items():
        number = len(cut_list.plan.layouts)
        out.print(f"{NAMES[use]}: {counted(number, 'length')}; {bound_words(job, cut_list)}")
    for line in (*shopping.hangs, shopping.budget_words()):
        out.print(line)
    for remark in job.carcass.remarks:
        out.print(f"look at: {remark}")
    for group in shortfalls(job.report.checks):
        _print_shortfall(group)
    for line in job.report.not_checked:
        out.print(f"not checked: {line}")
    out.print(f"wrote {folder} ({counted(files, 'file')}; print packet.pdf)")


class ProgressLine:
    """One line on standard error that says where the search stands; silent where that is no terminal."""

    def __init__(self) -> None:
        self._status = console(to_errors=True).status("reading") if sys.stderr.isatty() else None

    def __enter__(self) -> Self:
        """Show the line."""
        if self._status is not None:
            self._status.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, traceback: TracebackType | None
    ) -> None:
        """Take the line away."""
        if self._status is not None:
            self._status.stop()

    def say(self, words: str) -> None:
        """Print a line of its own, whatever stands on the line."""
        if self._status is None:
            print(words, file=sys.stderr, flush=True)
        else:
            self._status.console.print(words)

    def show(self, progress: Progress) -> None:
        """Say where the search stands."""
        if self._status is None:
            return
        line = f"{progress.doing}, {progress.seconds:.0f} s"
        if progress.stored:
            line += f": best so far {progress.stored}, could hold at most {progress.bound}"
        self._status.update(line)


def print_many(table: pd.DataFrame, together: Sequence[CutTogether], folder: Path) -> None:
    """Print a line a closet, who gains and who lacks room, what sheets cut together save, and where the rest stands."""
    from capacity.many.results import PICTURE, gains_in_words, with_short_names

    table = with_short_names(table)
    rows = table.astype(object).where(table.notna(), "").to_dict("records")
    print_table(
        [
            {
                "closet": row["closet"],
                "before": row["before"],
                "stored": "" if row["stored"] == "" else f"{row['stored']} of {row['pieces']}",
                "value": "" if row["stored"] == "" else _value_words(row),
                "sheets": row["sheets"],
                "likely cost": _cost_words(row),
                "short": row["short"],
            }
            for row in rows
        ]
    )
    out = console()
    for row in rows:
        if row["fault"]:
            out.print(f"{row['closet']}: {row['fault']}")
    for line in (*gains_in_words(table), *(item.words for item in together)):
        out.print(line)
    has_picture = (folder / PICTURE).exists()
    out.print(f"The table {'and the picture of pieces against cost stand' if has_picture else 'stands'} in {folder}.")


def _cost_words(row: Mapping[Hashable, Any]) -> str:
    return "" if row["cost_high"] == "" else f"{row['currency']}{row['cost_low']:,.0f} to {row['cost_high']:,.0f}"


def _value_words(row: Mapping[Hashable, Any]) -> str:
    proven = row["status"] == "optimal"
    return f"{row['value']}" if proven else f"{row['value']}, at most {row['bound']}"
