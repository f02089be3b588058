"""What a layout costs, one figure for all pages: that of its packet, else of its parts as a packet would cut them."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from capacity.closet.closet import FILE_NAME as CLOSET_NAME
from capacity.closet.closet import Closet
from capacity.disk.files import read_text
from capacity.errors import Fault, InputError
from capacity.layout.layout import Layout
from capacity.layout.problem import Problem
from capacity.makeover.gain_for_money import Cost
from capacity.makeover.plan import Plan
from capacity.wardrobe.inventory import MOST_BYTES, Inventory
from capacity.workshop.build_record import BuildRecord, read_build, revision_of

MOST_KEPT = 100
"""So many figures are kept; the oldest are forgotten first."""


def cost_of(folder: Path, closet: Closet, inventory: Inventory, plan: Plan) -> Cost | None:
    """Sheets and money for a layout of a folder; None where nothing is built, or it cannot be cut.

    The first time it takes a second or a few where there is no packet of it, so draw everything else before.
    """
    try:
        text = read_text(folder / CLOSET_NAME, MOST_BYTES)
    except InputError:
        return None
    revision = revision_of(plan, text)
    known = _kept()
    if revision not in known:
        known[revision] = _of_packet(folder, revision) or _of_parts(closet, inventory, plan)
        while len(known) > MOST_KEPT:
            known.pop(next(iter(known)))
    return known[revision]


def _of_packet(folder: Path, revision: str) -> Cost | None:
    try:
        record = read_build(folder)
    except InputError:
        return None
    return cost_of_packet(record) if record is not None and record.revision == revision else None


def cost_of_packet(record: BuildRecord) -> Cost:
    """What a packet says."""
    shopping = record.shopping
    gaps = any(line.packs and line.price is None and line.guess is None for line in shopping.lines)
    return Cost(*shopping.likely, shopping.currency, gaps, record.sheet_count)


def _of_parts(closet: Closet, inventory: Inventory, plan: Plan) -> Cost | None:
    from capacity.solver.effort import Effort
    from capacity.workshop.job import prepare
    from capacity.workshop.shopping import shopping_list

    try:
        job = prepare(closet, inventory, plan, Effort())
    except InputError:
        return None
    shopping = shopping_list(job)
    low, high = shopping.likely
    gaps = any(line.packs and line.cents is None and line.guess is None for line in shopping.lines)
    sheets = sum(len(cuts.plan.layouts) for cuts in job.sheets.values())
    return Cost(low / 100, high / 100, shopping.currency, gaps, sheets)


def sheets_at_once(closet: Closet, problem: Problem, layout: Layout) -> int:
    """Sheets for a layout, cut in the first way that is found, in a moment; a packet may need fewer.

    Raises
    ------
    InputError
        When a part fits on no sheet.
    """
    from capacity.workshop.cutting.least_cost import DoesNotFitError, cut_at_once
    from capacity.workshop.parts.carpentry import make_parts
    from capacity.workshop.parts.parts import SHEETS
    from capacity.workshop.stock import pieces_of, saw_of, sheet_choice

    carcass, saw = make_parts(closet, problem, layout), saw_of(closet)
    number = 0
    for material in SHEETS:
        parts = pieces_of(carcass.sheet_parts(material))
        if not parts:
            continue
        try:
            number += len(cut_at_once(parts, sheet_choice(closet, material).stocks, saw).layouts)
        except DoesNotFitError as error:
            raise InputError([Fault(CLOSET_NAME, "", str(error))]) from None
    return number


@st.cache_resource
def _kept() -> dict[str, Cost | None]:
    return {}
