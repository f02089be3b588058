"""What was built: the bays of a plan written into `closet.toml` as `[[built]]`, to be corrected on site."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from capacity.closet.closet import FILE_NAME
from capacity.closet.saving import change_closet
from capacity.closet.text_edits import Edit
from capacity.errors import Fault, InputError
from capacity.makeover.plan import Plan, PlanBay
from capacity.units import Units, from_number, length_to_write


def adopt_plan(folder: Path, plan: Plan) -> int:
    """Write the bays of a plan into the closet file as `[[built]]`; remarks and order of the file stay.

    Parameters
    ----------
    folder
        The makeover folder.
    plan
        What was built by.

    Returns
    -------
    The number of bays written.

    Raises
    ------
    InputError
        When `[[built]]` is there already, perhaps corrected, or the file cannot be changed. Nothing is written then.
    """
    bays = [(wall.name, bay) for wall in plan.walls for bay in wall.bays]

    def edits(data: dict[str, Any]) -> list[Edit]:
        if data.get("built"):
            problem = "is written already; correct it there, or take its tables out and run `capacity adopt` again"
            raise InputError([Fault(FILE_NAME, "[[built]]", problem)])
        written: Units = "mm" if data.get("units") == "mm" else "in"
        tables = [_table(wall, bay, plan.units, written) for wall, bay in bays]
        return [Edit(("built", number), table) for number, table in enumerate(tables)]

    change_closet(folder / FILE_NAME, edits)
    return len(bays)


def _table(wall: str, bay: PlanBay, units: Units, written: Units) -> dict[str, Any]:
    """A bay as a table of `[[built]]`; its lengths as a person would write them."""

    def length(number: float) -> str | int | float:
        return length_to_write(from_number(number, units), written)

    return {
        "wall": wall,
        "left": length(bay.left),
        "width": length(bay.width),
        "depth": length(bay.depth),
        "openings": [
            {"kind": opening.kind, "bottom": length(opening.bottom), "height": length(opening.height)}
            for opening in bay.openings
        ],
    }
