"""What to print when all is put away: the list for the inside of the door, and labels for the edges of the shelves."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from capacity.closet.closet import Closet
from capacity.disk.files import write_text
from capacity.drawings.labels import contents, lettered, sawn_words
from capacity.layout.layout import Layout
from capacity.units import to_mm
from capacity.upkeep.where import OPENINGS, height_of
from capacity.wardrobe.inventory import Inventory
from capacity.workshop.packet import PAPERS, Paper, breakable
from capacity.workshop.printable import FONTS, typeset

FILE_NAME = "put-away.pdf"


def format_put_away(
    closet: Closet, inventory: Inventory, layout: Layout, paper: Paper, date: str, has_labels: bool = True
) -> bytes:
    """Typeset the list and the labels; the same layout and date give the same bytes on one machine.

    Without labels it is one page, as long as all of it can be read on one.

    Raises
    ------
    InputError
        When typst fails.
    """
    template = Path(__file__).with_name("put_away.typ").read_bytes()
    data = put_away_data(closet, inventory, layout, paper, date)
    return typeset(template, data if has_labels else {**data, "labels": []}, FILE_NAME)


def write_put_away(folder: Path, pdf: bytes) -> None:
    """Put it into the folder, whole or not at all."""
    write_text(folder / FILE_NAME, pdf)


def put_away_data(closet: Closet, inventory: Inventory, layout: Layout, paper: Paper, date: str) -> dict[str, Any]:
    """Everything that is printed, as plain lists and texts."""
    units, stored = closet.lengths, layout.stored()
    walls: list[dict[str, Any]] = []
    labels = []
    where: dict[int, list[str]] = {}
    several = len([wall for wall in layout.walls if wall.bays]) > 1
    for number, wall in enumerate(closet.wall):
        rows = []
        for item in lettered(layout):
            if item.wall != number:
                continue
            holds = ", ".join(contents(item.opening, inventory, with_owners=True)) or "room to spare"
            height = sawn_words(height_of(item, closet), units)
            rows.append([item.letter, OPENINGS[item.opening.kind], height, breakable(holds)])
            labels.append([item.letter, breakable(wall.name) if several else "", breakable(holds)])
            for holding in item.opening.holds:
                where.setdefault(holding.row, []).append(f"{wall.name} {item.letter}" if several else item.letter)
        if rows:
            walls.append({"name": breakable(wall.name), "rows": rows})
    out = [(pile, pile.count - stored[pile.row]) for pile in inventory.piles if pile.count > stored[pile.row]]
    return {
        "paper": PAPERS[paper],
        "fonts": FONTS,
        "title": f"{breakable(closet.name)}: where each pile goes",
        "footer": f"As of {date}",
        "walls": walls,
        "elsewhere": [breakable(f"{missing} × {pile.name}") for pile, missing in out],
        "index": sorted(_index(inventory, where), key=lambda row: row[0].casefold()),
        "labels": labels,
        "label_columns": closet.print.label_columns,
        "label_rows": closet.print.label_rows,
        "label_margin": float(to_mm(closet.print.label_margin)),
    }


def _index(inventory: Inventory, where: dict[int, list[str]]) -> Iterator[list[str]]:
    """A line a pile, the kind first."""
    for pile in inventory.piles:
        if pile.row in where:
            size = f" {pile.size}" if pile.size else ""
            label = f" ({pile.label})" if pile.label else ""
            owner = f", {pile.owner}" if pile.owner else ""
            yield [breakable(f"{pile.kind}{size}{label}{owner}"), breakable(", ".join(where[pile.row]))]
