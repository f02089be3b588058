"""The text of a size: made plain, its number read, and refused in one line that says what would be right."""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction
from typing import Literal

from capacity.units import shorten

Wearer = Literal["men", "women", "child"]

MOST_CHARACTERS = 40
"""Longer texts are no size."""

_PLAIN_SIGNS = {"\u2019": "'", "\u00d7": "x", "½": " 1/2", "⅓": " 1/3", "⅔": " 2/3", "¼": " 1/4", "¾": " 3/4"}
EXAMPLES = {
    "shoe": "US M 10.5, US W 8, US C 13, UK 7, EU 42 or 270 mm",
    "letter": "M, XL, LT or 2XL, women's US 8 or EU 38, or a child's 4T or 116 cm",
    "waist": "waist x inseam such as 34x32, a letter such as M, women's US 8, or a child's 4T or 116 cm",
    "suit": "chest and cut such as 40R or 42L, or a letter such as M",
    "child": "an age such as 6 or 4T, a stature such as 116 cm, or a letter such as M",
    "towel": "hand, bath or bath sheet",
    "bed": "twin, full, queen or king",
}
"""What each system of sizes takes, for a message."""


class SizeError(ValueError):
    """A text that is not a size of the wanted system; says what is wrong and what would be right."""


def plain_text(text: str, system: str) -> str:
    """The text with one space between words and plain signs, safe to print in a message."""
    text = text[: MOST_CHARACTERS + 1]
    for sign, spelled in _PLAIN_SIGNS.items():
        text = text.replace(sign, spelled)
    text = unicodedata.normalize("NFKC", text)
    plain = " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
    if not plain:
        msg = f"the size is empty; this takes {EXAMPLES[system]}"
        raise SizeError(msg)
    if len(plain) > MOST_CHARACTERS or any(not sign.isprintable() and not sign.isspace() for sign in text):
        raise unreadable(plain, system)
    return plain


def unreadable(text: str, system: str) -> SizeError:
    """The fault of a text that is no size at all, to be raised by the caller."""
    what = "a shoe size" if system == "shoe" else "a size"
    return SizeError(f'"{shorten(text)}" is not {what} that can be read; this takes {EXAMPLES[system]}')


def refuse_outside(text: str, label: str, number: Fraction, least: Fraction, most: Fraction) -> None:
    """Raise `SizeError` when a number lies outside the sizes that are sold under `label`."""
    if not least <= number <= most:
        msg = f'"{text}" is out of range; {label} sizes run from {near_text(least)} to {near_text(most)}'
        raise SizeError(msg)


def read_number(text: str) -> Fraction:
    """A number such as 10, 10.5, 10,5 or 42 2/3."""
    return sum((Fraction(part) for part in re.split("[ -]", text.replace(",", "."))), Fraction(0))


def near_text(number: Fraction) -> str:
    """A number of whole or half steps as people write it: ``10``, ``10.5``."""
    return str(number) if number.denominator == 1 else f"{float(number):.4g}"
