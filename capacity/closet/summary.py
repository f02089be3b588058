"""What has been measured so far in a sentence, and what is still missing."""

from __future__ import annotations

from typing import Any

from capacity.closet.closet import Closet
from capacity.closet.saving import missing_settings
from capacity.units import Ticks, format_length

_MISSING_WORDS = {"ceiling": "the height of the ceiling", "top": "the height of the built-ins", "wall": "a wall"}

_OPTIONAL = (
    ("door", "the door of the closet"), ("way", "the way in"), ("person", "the people"), ("lamp", "the lamps"),
    ("room", "the room in front"), ("baseboard", "the baseboard"),
)  # fmt: skip


def measured_sentence(data: dict[str, Any], closet: Closet | None) -> str:
    """One or two sentences with numbers: walls, ceiling, today's openings, and what a layout still needs.

    Parameters
    ----------
    data
        The settings as they stand in the file.
    closet
        The closet that they describe; None while they have a fault or lack something.
    """
    missing = [_MISSING_WORDS[name] for name in missing_settings(data)]
    if missing:
        count = len(data.get("wall") or [])
        walls = f"{_so_many(count, 'wall')} so far. " if count else ""
        return f"{walls}Still missing: {_listed(missing)}."
    if closet is None:
        return "The measurements have a fault, see below; everything else can be changed meanwhile."
    along = Ticks(sum(wall.clear_width for wall in closet.wall))
    openings = sum(len(bay.openings) for bay in closet.before)
    today = (
        f"{_so_many(len(closet.before), 'bay')} with {_so_many(openings, 'opening')}" if closet.before else "nothing"
    )
    return (
        f"{_so_many(len(closet.wall), 'wall')}, {format_length(along, closet.units)} to build against, under a ceiling "
        f"of {format_length(closet.ceiling, closet.units)}; today {today}. Nothing is missing for a layout."
    )


def not_given(data: dict[str, Any]) -> str:
    """Which of the tables that only the checks read are not there yet, in a sentence; empty when all are."""
    absent = [words for name, words in _OPTIONAL if not data.get(name)]
    return f"Not described yet, so not checked: {_listed(absent)}. Each has its place below." if absent else ""


def _so_many(count: int, thing: str) -> str:
    return f"{count} {thing}{'' if count == 1 else 's'}"


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
