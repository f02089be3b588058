"""One task of many, which `workers` hands out: two texts in, what a table says of its plan out.

Pure, so that it may run anywhere, once or twice. The table, and sheets cut together, are made by `results`.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from capacity.closet.closet import FILE_NAME as CLOSET
from capacity.disk.files import write_text
from capacity.errors import Fault, InputError
from capacity.makeover.folder import read_folder_at_once
from capacity.many.varied_closets import Task
from capacity.wardrobe.inventory import FILE_NAME as INVENTORY

if TYPE_CHECKING:
    from capacity.closet.closet import Closet
    from capacity.makeover.folder import FolderTexts
    from capacity.wardrobe.inventory import Inventory

Result = dict[str, Any]
"""What is kept of a task, as JSON: its `row` of the table, its `boards` as pieces to be cut, its `plan`.

A board is [label, length, width, may turn] in ticks; `stock` says of what and how these are cut.
"""


def read_task(task: Task) -> tuple[Closet, Inventory, FolderTexts]:
    """The two files of a task as a folder is read, every fault of both at once; `InputError` when they have any."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        write_text(folder / CLOSET, task.closet, lasts=False)
        write_text(folder / INVENTORY, task.inventory, lasts=False)
        return read_folder_at_once(folder)


def read_all(tasks: Sequence[Task]) -> None:
    """Read each closet once, so that whatever is wrong is said before any search; `InputError` with all of it."""
    faults: list[Fault] = []
    for task in {(task.closet, task.inventory): task for task in tasks}.values():
        try:
            read_task(task)
        except InputError as error:
            faults += [replace(fault, file=f"{task.name}, {fault.file}") for fault in error.faults]
    if faults:
        raise InputError(faults)


def solved(task: Task) -> Result:
    """Find the layout of a task and what it takes; a task that cannot be is told in its row, not raised."""
    from capacity.makeover.plan import format_plan
    from capacity.solver.effort import Effort
    from capacity.solver.planning import make_plan
    from capacity.workshop.job import prepare
    from capacity.workshop.parts.parts import StockKind
    from capacity.workshop.shopping import shopping_list
    from capacity.workshop.stock import pieces_of, saw_of
    from capacity.workshop.whole_sheets import sheets_to_buy

    row: dict[str, Any] = {}
    result: Result = {"row": row, "boards": [], "stock": "", "plan": None}
    try:
        closet, inventory, texts = read_task(task)
        effort = Effort(factor=task.effort, seed=task.seed)
        plan = make_plan(closet, inventory, effort, texts.digest, None, sheets_to_buy)
        row.update(
            pieces=plan.after.pieces, before=plan.before.stored, stored=plan.after.stored, value=plan.value.stored,
            bound=plan.value.bound, status=plan.value.status, value_of_all=plan.value.all,
            multiple=plan.after.capacity_multiple, short=sum(not check.passed for check in plan.checks),
        )  # fmt: skip
        result["plan"] = json.loads(format_plan(plan)) | {"seconds": 0.0}
        made = prepare(closet, inventory, plan, Effort(), task.closet)
        shopping = shopping_list(made)
        panel = made.sheets[StockKind.PANEL]
        low, high = shopping.likely
        row.update(
            sheets=sum(len(cut.plan.layouts) for cut in made.sheets.values()),
            cost_low=low / 100, cost_high=high / 100, currency=closet.prices.currency,
        )  # fmt: skip
        pieces = pieces_of(made.carcass.sheet_parts(StockKind.PANEL))
        result["boards"] = [[blank.label, blank.length, blank.width, blank.may_turn] for blank in pieces]
        saw = saw_of(closet)
        stocks = [[stock.name, stock.length, stock.width, stock.cost] for stock in panel.choice.stocks]
        thickness = closet.panel.thickness
        result["stock"] = json.dumps({"stocks": stocks, "kerf": saw.kerf, "trim": saw.trim, "thickness": thickness})
        row["panel_sheets"] = len(panel.plan.layouts)
    except InputError as error:
        row["fault"] = "; ".join(map(str, error.faults))
    return result
