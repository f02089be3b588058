"""A household a year after its plan was built: boards moved to other holes and seasons that turn, and their judge."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from second_opinion.folder_writing import write_household
from second_opinion.household import Household
from second_opinion.judge import read_layout
from second_opinion.living import Step, Turned, a_year_later, drawn_seasons, respace_faults, season_faults

from capacity.closet.closet import Closet
from capacity.closet.wishes import Wishes
from capacity.layout.layout import Layout
from capacity.makeover.folder import read_folder_at_once
from capacity.makeover.plan import plan_walls
from capacity.solver.boards_to_move import shelf_moves
from capacity.solver.effort import Effort
from capacity.solver.refilling import refill_standing
from capacity.upkeep.seasons import plan_seasons, turns
from capacity.wardrobe.inventory import parse_inventory

KNOWN = tuple(Wishes.model_fields)
"""The wishes that `closet.toml` may have; one that is not known yet is off."""

WORK = 0.05
"""Share of the usual work of a search, so that the same closet has the same plan every time."""


def respaced(folder: Path) -> list[Step]:
    """The changes that `respace` proposes for a folder."""
    closet, inventory, texts = read_folder_at_once(folder)
    standing = refill_standing(closet, inventory, Effort(factor=WORK), texts.digest)
    steps = shelf_moves(closet, inventory, standing, Effort(factor=WORK))
    return [(step.moves, _walls(step.layout, closet), step.stored, step.value) for step in steps]


def turned(folder: Path, names: tuple[str, ...]) -> Turned:
    """What `seasons` says of a folder where each pile has the season of that name."""
    closet, _, _ = read_folder_at_once(folder)
    head, *rows = (folder / "inventory.csv").read_text(encoding="utf-8").splitlines()
    mark = max(",;\t", key=head.count)
    told = "\n".join([f"{head}{mark}season", *(f"{row}{mark}{name}" for row, name in zip(rows, names, strict=True))])
    inventory = parse_inventory(told, closet.units)
    seasons = plan_seasons(closet, inventory, Effort(factor=WORK))
    moved = [
        {move.pile.row: (Counter(dict(move.away)), Counter(dict(move.to))) for move in turn.moves}
        for turn in turns(seasons, inventory)
    ]
    return [(season.name, _walls(season.layout, closet)) for season in seasons], moved


def _walls(layout: Layout, closet: Closet) -> list[dict[str, Any]]:
    """The walls of a layout as they would be written."""
    return [wall.model_dump(mode="json") for wall in plan_walls(layout, closet.units)]


def lived_with_faults(
    planned: Household, plan: dict[str, Any], folder: Path, seconds: float, seed: int, counted: Counter[str]
) -> Iterator[str]:
    """Everything in which boards that move and seasons that turn are wrong a year after a plan was built.

    The folder is written; what was looked at is counted.
    """
    home = a_year_later(planned, read_layout(plan["walls"], plan["units"]), seed)
    write_household(home, folder, seed, KNOWN)
    steps = respaced(folder)
    counted["respaced"] += bool(steps)
    for fault in respace_faults(home, steps):
        yield f"respace: {fault}"
    names = drawn_seasons(home, seed)
    for fault in season_faults(home, names, *turned(folder, names), seconds, counted):
        yield f"seasons: {fault}"
