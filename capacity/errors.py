"""Faults in what a person typed: each one line, all of them at once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from capacity.letters import visible

LONGEST_PLACE = 300
"""So much of a place is said: names of tables and settings may be of any length."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with one place of a user's file.

    `place` is the place as the person sees it (`row 14, column depth`, or `[wishes] gap`), empty for the
    file as a whole; `problem` says what is wrong and what would be right.
    """

    file: str
    place: str
    problem: str

    def __str__(self) -> str:
        place = self.place if len(self.place) <= LONGEST_PLACE else f"{self.place[:LONGEST_PLACE]}…"
        where = f"{self.file}, {place}" if place else self.file
        return visible(" ".join(f"{where}: {self.problem}".split()))


class InputError(ValueError):
    """Everything wrong with the user's files, found in one pass; `faults` holds at least one fault."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))
