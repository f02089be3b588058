"""Faults in what a person typed: each one line, all of them at once."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

DONE, FELL_SHORT, BAD_INPUT, INTERRUPTED = 0, 1, 2, 130
"""How a command ends: a plan found and all well, any other outcome, bad input, ended early by whoever asked."""

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


TURNING = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Signs that change the direction of what follows; letters of right-to-left scripts are not among them."""


def is_letter(sign: str) -> bool:
    """Whether a sign is shown, and does not do something to what is shown."""
    return sign not in TURNING and unicodedata.category(sign) not in ("Cc", "Cs", "Zl", "Zp")


def visible(text: str) -> str:
    r"""Give a text with every sign that would be obeyed written out.

    Examples
    --------
    >>> visible("a\x1b[31m")
    'a\\x1b[31m'
    """
    if text.isprintable():
        return text
    return "".join(sign if is_letter(sign) else repr(sign)[1:-1] for sign in text)


def without_codes(text: str) -> str:
    r"""Give a text without the signs that would be obeyed; blanks, also tabs and ends of lines, stay.

    Examples
    --------
    >>> without_codes("a\x1b[31m\tb")
    'a[31m\tb'
    """
    if text.isprintable():
        return text
    return "".join(sign for sign in text if sign.isspace() or is_letter(sign))
