"""What a sweep found: one table, the frontier of pieces against money, and what cutting all sheets together saves."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from capacity.disk.files import write_text
from capacity.many.solving import Result
from capacity.many.varied_closets import Task

if TYPE_CHECKING:
    import pandas as pd

TABLE, PICTURE = "results.csv", "frontier.svg"
COLUMNS = (
    "pieces", "before", "stored", "value", "bound", "value_of_all", "status", "multiple", "short", "sheets",
    "cost_low", "cost_high", "currency", "fault",
)  # fmt: skip
"""Pieces owned, stored today and in the layout; its value, bound and status; checks that fall short; what it takes."""


MOST_NAMED = 3
"""Closets named in a line."""

MOST_SEARCHED = 60
"""With more boards in an order it is cut in the first way that is found."""

WHOLE = ("pieces", "before", "stored", "value", "bound", "value_of_all", "short", "sheets")


@dataclass(frozen=True, slots=True)
class Outcome:
    """One closet of the frontier: its cost is the middle of what is likely, in its currency."""

    name: str
    stored: int
    pieces: int
    cost: float
    currency: str
    is_best: bool

    @property
    def words(self) -> str:
        """As it stands beside the picture."""
        return f"{self.name}: {self.stored} of {self.pieces}, about {self.currency}{self.cost:,.0f}"


def results_table(tasks: Sequence[Task], done: dict[str, Result]) -> pd.DataFrame:
    """One row a task, in their order: its name, what was varied, and `COLUMNS`; empty where a task is not done."""
    import pandas as pd

    keys = list(dict.fromkeys(key for task in tasks for key, _ in task.varied))
    rows = [
        {"closet": task.name, **dict(task.varied), **(done[task.digest]["row"] if task.digest in done else {})}
        for task in tasks
    ]
    table = pd.DataFrame(rows, columns=["closet", *keys, *COLUMNS])
    return table.astype(dict.fromkeys(WHOLE, "Int64"))  # whole numbers also where a task is not done


def with_short_names(table: pd.DataFrame) -> pd.DataFrame:
    """The table with closets named by what differs among them alone, settings by their last word where it is enough."""
    keys = list(table.columns[1 : list(table.columns).index("pieces")])
    last = [key.rpartition(".")[2] for key in keys]
    short = {key: word if last.count(word) == 1 else key for key, word in zip(keys, last, strict=True)}
    differs = [key for key in keys if table[key].nunique() > 1]
    named = []
    for row in table.to_dict("records"):
        folder = row["closet"].removesuffix(": " + ", ".join(f"{key} {row[key]}" for key in keys))
        words = ", ".join(f"{short[key]} {row[key]}" for key in differs)
        named.append(f"{folder}: {words}" if words else folder)
    return table.assign(closet=named)


def gains_in_words(table: pd.DataFrame) -> Iterator[str]:
    """Who gains pieces over today's closet and who still lacks room, the most first; no line where nobody does."""
    done = table[table["stored"].notna()]
    for words, pieces in (
        ("hold more than today", done["stored"] - done["before"]),
        ("still lack room", done["pieces"] - done["stored"]),
    ):
        some = [(int(number), name) for number, name in zip(pieces, done["closet"], strict=True) if number > 0]
        most = sorted(some, key=lambda item: -item[0])[:MOST_NAMED]
        if most:
            named = "; ".join(f"{name} (by {number})" for number, name in most)
            yield f"{len(some)} of {len(table)} {words}{', most' if len(some) > MOST_NAMED else ''}: {named}"


def outcomes(tasks: Sequence[Task], done: dict[str, Result]) -> tuple[Outcome, ...]:
    """The closets with a cost, the cheapest first; those are best that nothing as cheap stores more than."""
    found = []
    for task in tasks:
        row = done[task.digest]["row"] if task.digest in done else {}
        if row.get("cost_high"):
            cost = (row["cost_low"] + row["cost_high"]) / 2
            found.append((cost, -row["stored"], task.name, row))
    most, several = -1, []
    for cost, _, name, row in sorted(found, key=lambda item: item[:3]):
        several.append(Outcome(name, row["stored"], row["pieces"], cost, row["currency"], row["stored"] > most))
        most = max(most, row["stored"])
    return tuple(several)


@dataclass(frozen=True, slots=True)
class CutTogether:
    """Panel sheets of closets with the same sheets: bought closet by closet, and for all together."""

    closets: int
    alone: int
    together: int
    least: int

    @property
    def words(self) -> str:
        """As one says it."""
        saved = self.alone - self.together
        proof = "and no fewer" if self.together == self.least else f"at least {self.least}"
        return (
            f"Panel sheets of {self.closets} closets: {self.alone} bought closet by closet, {self.together} cut "
            f"together ({proof}), which saves {saved}."
        )


def cut_together(tasks: Sequence[Task], done: dict[str, Result]) -> Iterator[CutTogether]:
    """Cut the panels of all closets that buy the same sheets as one order."""
    from capacity.solver.effort import Effort
    from capacity.workshop.cutting.cutting_plan import Blank, Saw, Stock
    from capacity.workshop.cutting.least_cost import cut, cut_at_once

    alike: dict[str, list[tuple[int, Result]]] = {}
    for number, task in enumerate(tasks, start=1):
        result = done.get(task.digest)
        if result and result["boards"] and not task.varied:  # what-ifs about one closet are not all built
            alike.setdefault(result["stock"], []).append((number, result))
    for stock, several in alike.items():
        if len(several) < 2:
            continue
        how: dict[str, Any] = json.loads(stock)
        blanks = [Blank(f"{number} {board[0]}", *board[1:]) for number, result in several for board in result["boards"]]
        stocks, saw = [Stock(*item) for item in how["stocks"]], Saw(how["kerf"], how["trim"])
        is_large = len(blanks) > MOST_SEARCHED
        plan = cut_at_once(blanks, stocks, saw) if is_large else cut(blanks, stocks, saw, Effort())
        dearest = max(item[3] for item in how["stocks"])
        alone = sum(result["row"]["panel_sheets"] for _, result in several)
        yield CutTogether(len(several), alone, len(plan.layouts), -(-plan.bound // dearest))


def write_results(folder: Path, tasks: Sequence[Task], done: dict[str, Result]) -> None:
    """Write the table, and the picture where two closets or more have a cost."""
    from capacity.drawings.to_svg import format_svg
    from capacity.many.frontier_chart import LETTER, frontier_drawing

    write_text(folder / TABLE, results_table(tasks, done).to_csv(index=False, lineterminator="\n"))
    points = outcomes(tasks, done)
    if len(points) > 1:
        some = [(point.cost, point.stored, point.words, point.is_best) for point in points]
        drawing = frontier_drawing(some, points[0].currency)
        write_text(folder / PICTURE, format_svg(drawing, "Pieces that have a place, against cost", LETTER, times=3))
