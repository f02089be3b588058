"""Everything that `capacity build` writes: packet, cut list, shopping list, drawings and `parts.json`."""

from __future__ import annotations

import csv
import datetime
import io
import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from capacity.disk.folder_swap import MANIFEST, SCHEMA, require_ours, write_folder
from capacity.drawings.labels import sawn_words
from capacity.drawings.to_dxf import format_dxf, is_available
from capacity.units import Ticks, Units, format_length, to_number
from capacity.workshop.job import CutList, Job
from capacity.workshop.packet import Paper, write_packet
from capacity.workshop.pages.drilling import Hole, holes
from capacity.workshop.parts.parts import Part
from capacity.workshop.parts_concerned import marks, shortfalls_of
from capacity.workshop.pictures import Picture, pictures
from capacity.workshop.shopping import ShoppingLine, ShoppingList, shopping_list
from capacity.workshop.story_stick import story_sticks
from capacity.workshop.whole_sheets import hangs_on

PACKET, CUT_LIST, SHOPPING = "packet.pdf", "cut-list.csv", "shopping-list.csv"


def build(folder: Path, job: Job, paper: Paper) -> tuple[ShoppingList, tuple[str, ...]]:
    """Write `folder/build`, whole or not at all.

    Returns
    -------
    The shopping list, and the names of the files written.

    Raises
    ------
    InputError
        When `build` holds something that this program has not written, or cannot be written.
    """
    require_ours(folder)
    hangs = hangs_on(job.closet, job.problem, job.layout, job.carcass.parts)
    shopping = replace(shopping_list(job), hangs=hangs)
    drawn = tuple(pictures(job))
    files = {f"{picture.name}.svg": picture.svg.encode("utf-8") for picture in drawn}
    if is_available():
        files |= {f"{picture.name}.dxf": format_dxf(picture.drawing) for picture in drawn if _is_for_cad(picture)}
    files[PACKET] = write_packet(job, shopping, drawn, paper, datetime.date.today().isoformat())
    files[CUT_LIST] = _csv(_cut_rows(job)).encode("utf-8")
    files[SHOPPING] = _csv(_shopping_rows(shopping)).encode("utf-8")
    names = tuple(sorted([*files, MANIFEST]))
    files[MANIFEST] = (
        json.dumps(parts_record(job, shopping, names, drawn), indent=1, ensure_ascii=False) + "\n"
    ).encode()
    write_folder(folder, files)
    return shopping, names


def _is_for_cad(picture: Picture) -> bool:
    return picture.name.endswith("-parts") or picture.name.startswith("sheet-") or picture.name == "plan"


def _csv(rows: Sequence[Sequence[str]]) -> str:
    """Rows as CSV that a spreadsheet opens as text and numbers, never as formulas."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    for row in rows:
        writer.writerow([_guarded(cell) for cell in row])
    return stream.getvalue()


def _guarded(cell: str) -> str:
    """An apostrophe before what a spreadsheet would reckon with; plain numbers stay as they are."""
    text = cell.replace("\0", " ")
    is_number = re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", text) is not None
    return f"'{text}" if not is_number and re.match(r"['=+\-@\t\r]", text) else text


def _cut_rows(job: Job) -> list[list[str]]:
    units = job.closet.units
    rows = [
        ["label", "part", "material", f"length ({units})", f"width ({units})", f"thickness ({units})",
         "length to cut", "width to cut", "exact length", "exact width", "grain", "banded long edges",
         "banded short edges", "wall", "bay", "sheet", f"from the left ({units})", f"from the floor ({units})", "note",
         "falls short"]
    ]  # fmt: skip
    sheet_of = {**_sheets_of(job.sheets), **_sheets_of(job.sticks)}
    walls, marked = [run.name for run in job.problem.runs], marks(shortfalls_of(job))
    for part in job.carcass.parts:
        sizes = (part.length, part.width, part.thickness)
        rows.append(
            [
                part.label, part.role.value, part.material.value, *(_number(size, job) for size in sizes),
                sawn_words(part.length, units), sawn_words(part.width, units),
                format_length(Ticks(part.length), units), format_length(Ticks(part.width), units),
                "along the length" if part.has_grain else "any", str(part.long_bands), str(part.short_bands),
                walls[part.wall - 1], str(part.bay) if part.bay else "", sheet_of[part.label],
                _number(part.left, job), _number(part.bottom, job), part.note, marked.get(part.label, ""),
            ]
        )  # fmt: skip
    return rows


def _sheets_of(cut_lists: Any) -> dict[str, str]:
    found: dict[str, str] = {}
    for material, cut_list in cut_lists.items():
        for number, layout in enumerate(cut_list.plan.layouts, 1):
            for placed in layout.placed:
                found[placed.label] = f"{material!s} {number}"
    return found


def _number(length: int, job: Job) -> str:
    return repr(to_number(Ticks(length), job.closet.units))


def _shopping_rows(shopping: ShoppingList) -> list[list[str]]:
    def money(cents: int | None) -> str:
        return "" if cents is None else f"{cents // 100}.{cents % 100:02d}"

    rows = [
        [
            "buy",
            "packed as",
            "article",
            "needed",
            "how it was reckoned",
            "price each",
            "total",
            "guess low",
            "guess high",
        ]
    ]
    rows += [
        [
            str(line.packs),
            line.pack,
            line.item,
            line.need,
            "; ".join(filter(None, (line.how, line.owned))),
            money(line.cents),
            money(line.total),
            *(map(money, line.guess) if line.cents is None and line.guess else ("", "")),
        ]
        for line in shopping.lines
    ]
    for name, cents in (
        ("sum", shopping.subtotal), ("tax", shopping.tax), ("reserve", shopping.reserve), ("total", shopping.total),
    ):  # fmt: skip
        words = "partial: some prices are missing" if name == "total" and shopping.is_partial else ""
        ends = [money(end) for end in shopping.likely] if name == "total" else ["", ""]
        rows.append(["", "", name, "", words, "", money(cents), *ends])
    return rows


def parts_record(
    job: Job, shopping: ShoppingList, files: Sequence[str], drawn: Sequence[Picture] = ()
) -> dict[str, Any]:
    """The build as data: parts, sheets, sticks, shopping list; lengths are numbers in the folder's units."""
    return {
        "schema": SCHEMA,
        "units": job.closet.units,
        "name": job.plan.name,
        "revision": job.revision,
        "files": list(files),
        "drawings": [{"name": picture.name, "shows": picture.title} for picture in drawn],
        "parts": [_part_record(part, job.closet.units) for part in job.carcass.parts],
        "holes": [_hole_record(hole, job.closet.units) for hole in holes(job)],
        "marks": list(_mark_records(job)),
        "remarks": list(job.carcass.remarks),
        "falls_short": [
            {"what": item.what, "figures": item.figures, "cure": item.cure, "parts": list(item.labels)}
            for item in shortfalls_of(job)
        ],
        "not_checked": list(job.report.not_checked),
        "sheets": {material.value: _cut_record(job, cut_list) for material, cut_list in job.sheets.items()},
        "sticks": {use: _cut_record(job, cut_list) for use, cut_list in job.sticks.items()},
        "shopping": _shopping_record(shopping),
    }


def _part_record(part: Part, units: Units) -> dict[str, Any]:
    size, place = (
        {name: to_number(Ticks(getattr(part, name)), units) for name in names}
        for names in (("length", "width", "thickness"), ("left", "bottom"))
    )
    return {
        "label": part.label, "part": part.role.value, "material": part.material.value, **size,
        "grain": part.has_grain, "banded_long": part.long_bands, "banded_short": part.short_bands,
        "wall": part.wall, "bay": part.bay or None, **place, "lies": part.lie.value, "note": part.note,
    }  # fmt: skip


def _hole_record(hole: Hole, units: Units) -> dict[str, Any]:
    return {
        "for": hole.kind.value, "wall": hole.wall, "bay": hole.bay, "part": hole.label,
        "height": to_number(Ticks(hole.height), units), "from_front": to_number(Ticks(hole.from_front), units),
    }  # fmt: skip


def _mark_records(job: Job) -> Iterator[dict[str, Any]]:
    """Every mark of every story stick."""
    for wall in range(1, len(job.problem.runs) + 1):
        for stick in story_sticks(job.carcass.parts, wall):
            for side, there in (("left", stick.left), ("right", stick.right)):
                for mark in there:
                    height = to_number(Ticks(mark.height), job.closet.units)
                    where = {"wall": wall, "upright": stick.upright, "side": side}
                    yield {**where, "height": height, "parts": mark.labels}


def _shopping_record(shopping: ShoppingList) -> dict[str, Any]:
    return {
        "currency": shopping.currency,
        "lines": [_line_record(line) for line in shopping.lines],
        "sum": shopping.subtotal / 100, "tax": shopping.tax / 100, "reserve": shopping.reserve / 100,
        "total": shopping.total / 100, "likely": [cents / 100 for cents in shopping.likely],
        "is_partial": shopping.is_partial,
        "in_words": shopping.budget_words(), "hangs": list(shopping.hangs),
        "budget": shopping.budget / 100, "is_over_budget": shopping.is_over_budget,
    }  # fmt: skip


def _line_record(line: ShoppingLine) -> dict[str, Any]:
    return {
        "article": line.item, "needed": line.need, "how": line.how, "packs": line.packs, "packed_as": line.pack,
        "price": None if line.cents is None else line.cents / 100,
        "total": None if line.total is None else line.total / 100,
        "guess": None if line.cents is not None or line.guess is None else [cents / 100 for cents in line.guess],
    }  # fmt: skip


def _cut_record(job: Job, cut_list: CutList) -> dict[str, Any]:
    def number(length: int) -> float:
        return to_number(Ticks(length), job.closet.units)

    plan = cut_list.plan
    return {
        "compared_by": "price in cents" if cut_list.choice.is_priced else "size",
        "cost": plan.cost, "bound": plan.bound, "is_proven": plan.is_proven,
        "layouts": [
            {
                "stock": layout.stock.name, "first_cut": layout.first.value,
                "placed": [
                    {
                        "label": placed.label, "x": number(placed.x), "y": number(placed.y),
                        "across": number(placed.across) if layout.stock.width > 1 else None,
                        "along": number(placed.along), "turned": placed.is_turned,
                    }
                    for placed in layout.placed
                ],
            }
            for layout in plan.layouts
        ],
    }  # fmt: skip
