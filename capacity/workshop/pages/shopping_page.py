"""The shopping list of a packet as a page of its own, to be taken to the shop."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from capacity.workshop.build_record import BuildRecord, BuiltLine, BuiltShopping
from capacity.workshop.packet import PAPERS, Paper, breakable
from capacity.workshop.printable import FONTS, typeset

FILE_NAME = "shopping-list.pdf"


def format_shopping_page(record: BuildRecord, paper: Paper, date: str) -> bytes:
    """Typeset the list of a packet as PDF; the same packet and date give the same bytes on one machine.

    Raises
    ------
    InputError
        When typst fails.
    """
    template = Path(__file__).with_name("shopping_page.typ").read_bytes()
    return typeset(template, shopping_data(record, paper, date), FILE_NAME)


def shopping_data(record: BuildRecord, paper: Paper, date: str) -> dict[str, Any]:
    """Everything that is printed, as plain texts; what is owned already is no line."""
    shopping = record.shopping
    lines = [line for line in shopping.lines if line.packs]
    return {
        "paper": PAPERS[paper],
        "fonts": FONTS,
        "title": f"{breakable(record.name)}: to buy",
        "note": shopping.in_words,
        "rows": [
            [f"{line.packs} × {line.packed_as}", breakable(line.article), line.needed, cost_of(shopping, line)]
            for line in lines
        ],
        "footer": f"Revision {record.revision}, printed {date}",
    }


def cost_of(shopping: BuiltShopping, line: BuiltLine) -> str:
    """What a line costs: as written, else the range of the guess, else nothing that is known."""
    if line.total is not None:
        return shopping.money(line.total)
    if line.guess is None:
        return "no price yet"
    low, high = (end * line.packs for end in line.guess)
    return f"{low:.0f}–{high:.0f} ?"
