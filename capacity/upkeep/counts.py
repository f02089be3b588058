"""The dated history of counts: a line a day, the last of it, in a plain CSV file in the hidden subfolder."""

from __future__ import annotations

import csv
import datetime
import io
from dataclasses import astuple, dataclass, fields
from pathlib import Path

from capacity.closet.closet import Closet
from capacity.disk.files import HIDDEN, make_hidden, read_text, write_text
from capacity.errors import Fault, InputError
from capacity.layout.layout import Layout, site_of
from capacity.layout.needs import needed_width
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.towers import each_alone, towers_of
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.plan import layout_of
from capacity.makeover.refilled import Refilled
from capacity.units import shorten
from capacity.wardrobe.inventory import Inventory

FILE_NAME = "history.csv"
MOST_BYTES, MOST_DAYS, MOST_NUMBER = 1_000_000, 5_000, 10_000_000


@dataclass(frozen=True, slots=True)
class DayCount:
    """One day's count: pieces owned and stored, their value, and the share of the room used by kind of opening [%].

    `stands` says what was filled, `built` or `before`; a share is -1 where there is no such opening.
    """

    date: str
    stands: str
    pieces: int
    stored: int
    value: int
    value_stored: int
    shelf_used: int
    rod_used: int
    drawer_used: int


COLUMNS = tuple(field.name for field in fields(DayCount))


def day_count(closet: Closet, inventory: Inventory, refilled: Refilled, date: datetime.date) -> DayCount:
    """The line of a day: what stands, filled with what is counted then."""
    problem = size_problem(closet, inventory).as_given
    used = room_used(problem, layout_of(refilled.walls, refilled.units))
    shares = (used.get(kind, -1) for kind in (OpeningKind.SHELF, OpeningKind.HANG, OpeningKind.DRAWER))
    return DayCount(
        date.isoformat(), refilled.stands, refilled.pieces, refilled.stored, refilled.value.all, refilled.value.stored,
        *shares,
    )  # fmt: skip


def room_used(problem: Problem, layout: Layout) -> dict[OpeningKind, int]:
    """The share of the clear widths that is taken, by kind of opening, rounded down [%]."""
    groups = each_alone(problem)
    taken: dict[OpeningKind, list[int]] = {}
    for w, _, o, bay, opening in layout.openings():
        need = 0
        if opening.holds:
            need = needed_width(problem, towers_of(problem, groups, site_of(problem, w, bay, o)), opening)
        sums = taken.setdefault(opening.kind, [0, 0])
        sums[0] += min(need, bay.width)
        sums[1] += bay.width
    return {kind: 100 * used // room for kind, (used, room) in taken.items() if room}


def read_counts(folder: Path) -> tuple[DayCount, ...]:
    """The history of a folder, oldest day first; empty where nothing was counted yet.

    Raises
    ------
    InputError
        When a line is not one that `note_count` writes.
    """
    path = folder / HIDDEN / FILE_NAME
    return parse_counts(read_text(path, MOST_BYTES)) if path.exists() else ()


def parse_counts(text: str) -> tuple[DayCount, ...]:
    """The text of a history; see `read_counts`."""
    found: dict[str, DayCount] = {}
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    except csv.Error as error:
        raise InputError([Fault(FILE_NAME, "", f"cannot be read as CSV: {error}")]) from None
    if not rows or tuple(rows[0]) != COLUMNS or len(rows) > MOST_DAYS:
        problem = f"is no history of counts: the first row must be {','.join(COLUMNS)}, then at most {MOST_DAYS} days"
        raise InputError([Fault(FILE_NAME, "", problem)])
    for number, row in enumerate(rows[1:], start=2):
        if row:
            day = _day(row, number)
            found[day.date] = day
    return tuple(found[date] for date in sorted(found))


def _day(row: list[str], number: int) -> DayCount:
    place = f"row {number}"
    if len(row) != len(COLUMNS) or row[1] not in ("built", "before"):
        raise InputError([Fault(FILE_NAME, place, f"is not a day's count: {shorten(','.join(row))}")])
    try:
        date = datetime.date.fromisoformat(row[0]).isoformat()
        numbers = [int(cell) for cell in row[2:] if len(cell) <= len(str(MOST_NUMBER))]
    except ValueError:
        numbers = []
    if len(numbers) != len(COLUMNS) - 2 or not all(-1 <= item <= MOST_NUMBER for item in numbers):
        raise InputError([Fault(FILE_NAME, place, "needs a date such as 2026-03-01, then whole numbers")])
    return DayCount(date, row[1], *numbers)


def format_counts(days: tuple[DayCount, ...]) -> str:
    """The text of the file."""
    return "".join(",".join(map(str, row)) + "\n" for row in (COLUMNS, *map(astuple, days)))


def note_count(folder: Path, day: DayCount) -> None:
    """Add a day to the history, in the place of an earlier count of that day; whole or not at all.

    Raises
    ------
    InputError
        When the history there cannot be read, or it cannot be written.
    """
    days = tuple(other for other in read_counts(folder) if other.date != day.date)
    try:
        make_hidden(folder)
    except OSError as error:
        raise InputError([Fault(FILE_NAME, "", f"cannot be written: {error.strerror}")]) from None
    write_text(folder / HIDDEN / FILE_NAME, format_counts(tuple(sorted((*days, day), key=lambda item: item.date))))


def rows_of(days: tuple[DayCount, ...]) -> list[dict[str, str]]:
    """The history as rows of a table: what has a place, and the share of the room that is used."""

    def share(used: int) -> str:
        return "" if used < 0 else f"{used} %"

    return [
        {
            "day": day.date,
            "in": "built" if day.stands == "built" else "old",
            "pieces": f"{day.stored} of {day.pieces}",
            "value": f"{day.value_stored} of {day.value}",
            "shelves": share(day.shelf_used),
            "rods": share(day.rod_used),
            "drawers": share(day.drawer_used),
        }
        for day in days
    ]
