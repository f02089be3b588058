"""Lengths as whole ticks, 1 tick = 1/320 mm; the only module that converts.

One millimetre is 320 ticks and 1/64 inch is 127 ticks, so both systems are exact. A length that is not
a whole number of ticks is rounded in a direction that the caller must name: what takes room is rounded
up, what gives room is rounded down.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from typing import Literal, NewType

Ticks = NewType("Ticks", int)
"""A length in whole ticks of 1/320 mm."""

Units = Literal["in", "mm"]
"""What a bare number means in one folder."""

PER_MM = 320
PER_INCH = 8128  # 25.4 mm, exactly
INCH_MM = Fraction(PER_INCH, PER_MM)
"""One inch [mm], exact."""

MM_PER_INCH = float(INCH_MM)
INCHES_PER_FOOT = 12

# Structure runs in N, mm and MPa; what a source prints in other units is converted once, by these.
NEWTONS_PER_POUND = 4.4482216152605  # pound-force, exactly
NEWTONS_PER_KG = 9.80665  # standard gravity
KG_PER_POUND = 0.45359237
MPA_PER_PSI = NEWTONS_PER_POUND / MM_PER_INCH**2
MPA_PER_PSF = MPA_PER_PSI / INCHES_PER_FOOT**2
KG_PER_M3_PER_LB_PER_FT3 = KG_PER_POUND / (INCHES_PER_FOOT * MM_PER_INCH / 1000) ** 3
LONGEST = Ticks(100_000 * PER_MM)  # 100 m: no closet is longer, so a longer length is a slip of the pen


class Rounding(Enum):
    """Which way a length goes that is not a whole number of ticks."""

    UP = "up"  # what takes room: a need
    DOWN = "down"  # what gives room: a wall, an opening
    NEAREST = "nearest"  # only for reading back a number that this program has written


class LengthError(ValueError):
    """A text that is not a length; `text` is what was given, `reason` says what is wrong with it."""

    def __init__(self, text: str, reason: str) -> None:
        super().__init__(f"{reason}; expected a length such as 14 1/2, 3' 2 1/2\", 368 mm or 36.8 cm")
        self.text = text
        self.reason = reason


_TICKS_PER = {"ft": 12 * PER_INCH, "in": PER_INCH, "mm": PER_MM, "cm": 10 * PER_MM, "m": 1000 * PER_MM}
_UNIT_WORDS = {
    "'": "ft", "ft": "ft", "foot": "ft", "feet": "ft",
    '"': "in", "''": "in", "in": "in", "inch": "in", "inches": "in",
    "mm": "mm", "cm": "cm", "m": "m",
}  # fmt: skip
_LOOKALIKES = str.maketrans(
    {
        "′": "'",  # prime
        "’": "'",  # right single quotation mark
        "‘": "'",  # left single quotation mark
        "″": '"',  # double prime
        "”": '"',  # right double quotation mark
        "“": '"',  # left double quotation mark
        "⁄": "/",  # fraction slash
        "–": "-",  # en dash
        "\u00a0": " ",  # no-break space
        "\u202f": " ",  # narrow no-break space
    }
)
_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4",
    "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_NUMBER = r"""
    (?: (?P<whole>[0-9]+) (?:[ ]|[ ]?-[ ]?) (?P<top>[0-9]+)[ ]?/[ ]?(?P<under>[0-9]+)   # 14 1/2, 14-1/2
      | (?P<top_only>[0-9]+)[ ]?/[ ]?(?P<under_only>[0-9]+)                            # 23/32
      | (?P<decimal>[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)                                  # 14, 14.5, 36,8
    )
"""
_PART = re.compile(_NUMBER + r"[ ]*(?P<unit>''|'|\"|[a-z]+)?\.?[ ]*-?[ ]*", re.VERBOSE)
_MOST_CHARACTERS = 60


def parse_length(value: str | int | float, units: Units, rounding: Rounding) -> Ticks:
    """Read one length in any spelling of the trade and round it to whole ticks.

    Parameters
    ----------
    value
        `14`, `14.5`, `14 1/2`, `14-1/2"`, `3' 2 1/2"`, `3 ft 2.5 in`, `368 mm`, `36.8 cm`, or a number.
    units
        What a bare number means: ``"in"`` or ``"mm"``.
    rounding
        Which way a part of a tick goes.

    Returns
    -------
    The length, at least 0 [1/320 mm].

    Raises
    ------
    LengthError
        When the value cannot be read, is negative, not finite, or longer than 100 m.

    Examples
    --------
    >>> parse_length("3' 2 1/2\\"", "in", Rounding.DOWN) == parse_length("38.5", "in", Rounding.DOWN)
    True
    >>> parse_length("368 mm", "in", Rounding.DOWN)
    117760
    """
    return round_to_tick(_exact_ticks(value, units), rounding)


def round_to_tick(exact: Fraction, rounding: Rounding) -> Ticks:
    """Round an exact number of ticks in the stated direction."""
    if rounding is Rounding.UP:
        return Ticks(-(-exact.numerator // exact.denominator))
    if rounding is Rounding.DOWN:
        return Ticks(exact.numerator // exact.denominator)
    return Ticks(round(exact))


def _exact_ticks(value: str | int | float, units: Units) -> Fraction:
    text = str(value).strip()
    if isinstance(value, bool):
        raise LengthError(text, f"{text.lower()} is not a length")
    if isinstance(value, float) and not abs(value) < float("inf"):
        raise LengthError(text, f"{text} is not a finite number")
    if isinstance(value, int | float):
        # repr of a float is its shortest decimal, which is what the person typed
        exact = Fraction(text) * _TICKS_PER[units]
        if isinstance(value, float) and abs(value) < LONGEST and round(exact) / _TICKS_PER[units] == value:
            exact = Fraction(round(exact))  # the nearest float to a whole tick, as `to_number` writes it
    else:
        exact = _from_words(text, units)
    if exact < 0:
        raise LengthError(text, f'"{text}" is negative')
    if exact > LONGEST:
        raise LengthError(shorten(text), f'"{shorten(text)}" is longer than 100 m')
    return exact


def shorten(text: str) -> str:
    """The text, cut to what fits in one line of a message."""
    return text if len(text) <= _MOST_CHARACTERS else text[: _MOST_CHARACTERS - 1] + "…"


def _from_words(text: str, units: Units) -> Fraction:
    if not text:
        raise LengthError(text, "the length is empty")
    if len(text) > _MOST_CHARACTERS:
        raise LengthError(shorten(text), f'"{shorten(text)}" is not a length')
    plain = text.translate(_LOOKALIKES).lower()
    for sign, spelled in _VULGAR.items():
        plain = plain.replace(sign, f" {spelled}")
    plain = " ".join(plain.split())
    if plain.startswith("-"):
        raise LengthError(text, f'"{text}" is negative')
    total = Fraction(0)
    seen: list[str] = []
    position = 0
    while position < len(plain):
        match = _PART.match(plain, position)
        if match is None or not match.group(0):
            raise LengthError(text, f'"{text}" is not a length')
        word = match.group("unit")
        if word is not None and word not in _UNIT_WORDS:
            raise LengthError(text, f'"{text}" has the unknown unit "{word}"')
        unit = _UNIT_WORDS[word] if word else ("in" if seen == ["ft"] else units)
        total += _number(match, text) * _TICKS_PER[unit]
        seen.append(unit)
        position = match.end()
    if plain.endswith("-") or seen not in (["ft"], ["in"], ["mm"], ["cm"], ["m"], ["ft", "in"]):
        raise LengthError(text, f'"{text}" is not one length')
    return total


def _number(match: re.Match[str], text: str) -> Fraction:
    if match["decimal"] is not None:
        if re.fullmatch(r"[0-9]+,[0-9]{3}", match["decimal"]):
            reason = f'"{text}" has a comma that may be a thousands mark: write a decimal point or no comma'
            raise LengthError(text, reason)
        return Fraction(match["decimal"].replace(",", "."))
    top, under = match["top"] or match["top_only"], match["under"] or match["under_only"]
    if int(under) == 0:
        raise LengthError(text, f'"{text}" divides by zero')
    return Fraction(int(match["whole"] or 0)) + Fraction(int(top), int(under))


def format_length(length: Ticks, units: Units) -> str:
    """Print a length exactly, so that `parse_length` of the text gives the same ticks back.

    In inches a whole number of 1/64 in is printed as feet, inches and a fraction in lowest terms
    (``3' 2 1/2"``); any other length cannot be written so without loss and is printed in millimetres.

    Examples
    --------
    >>> format_length(parse_length("38.5", "in", Rounding.DOWN), "in")
    '3\\' 2 1/2"'
    >>> format_length(parse_length("18 mm", "in", Rounding.DOWN), "in")
    '18 mm'
    """
    if length < 0:
        return "-" + format_length(Ticks(-length), units)
    if units == "in" and length % 127 == 0:
        inches = Fraction(length, PER_INCH)
        feet, rest = divmod(inches, 12)
        return f"{feet}' {_mixed(rest)}\"" if feet else f'{_mixed(rest)}"'
    return f"{_decimal(Fraction(length, PER_MM))} mm"


def with_unit(value: str | int | float, units: Units) -> str | int | float:
    """A length as it is written, its unit added where a bare number stands: the same length in either system.

    Parameters
    ----------
    value
        A length that `parse_length` reads.
    units
        What a bare number means now.

    Examples
    --------
    >>> with_unit("70 1/4", "in"), with_unit(18, "mm"), with_unit("3' 2", "in")
    ('70 1/4 in', '18 mm', "3' 2")
    """
    exact = _exact_ticks(value, units)
    if not _is_bare(value):
        return value
    text = value.strip() if isinstance(value, str) else format(Decimal(str(value)), "f")
    written = f"{text} {units}"
    # a number that stands for the nearest tick (`_exact_ticks`) has no finite text of its own
    return (
        written
        if _exact_ticks(written, units) == exact
        else format_length(round_to_tick(exact, Rounding.NEAREST), units)
    )


def without_unit(value: str | int | float, units: Units) -> str | int | float:
    """A length as it is written, a unit at its end left out that a bare number has anyway; a number where it is one.

    Examples
    --------
    >>> without_unit("70 1/4 in", "in"), without_unit("18 mm", "mm"), without_unit("18 mm", "in")
    ('70 1/4', 18, '18 mm')
    """
    if not isinstance(value, str):
        return value
    text = value.strip()
    bare = text.removesuffix(f" {units}").strip()
    exact = _exact_ticks(text, units)
    if bare != text and not _is_bare(bare):
        return text
    if re.fullmatch(r"[0-9]{1,9}(\.[0-9]{1,9})?", bare) and (bare == "0" or not bare.startswith("0") or "." in bare):
        number = float(bare) if "." in bare else int(bare)
        if _exact_ticks(number, units) == exact:
            return number
    return bare


def _is_bare(value: str | int | float) -> bool:
    """Whether it depends on the folder's units how long this is."""
    if not isinstance(value, str):
        return value != 0
    return _from_words(value.strip(), "in") != _from_words(value.strip(), "mm")


def length_to_write(length: Ticks, units: Units) -> str | int | float:
    """A length as a person would write it into a file with these units; `parse_length` gives the same ticks back.

    Examples
    --------
    >>> length_to_write(parse_length("70.25", "in", Rounding.DOWN), "in")
    '70 1/4'
    """
    if units == "in" and length % 127 == 0:
        return without_unit(_mixed(Fraction(length, PER_INCH)), units)
    return without_unit(f"{_decimal(Fraction(length, PER_MM))} mm", units)


def counted(number: int, thing: str, several: str = "") -> str:
    """A number with its noun.

    Examples
    --------
    >>> counted(1, "part"), counted(2, "part"), counted(0, "box", "boxes")
    ('1 part', '2 parts', '0 boxes')
    """
    return f"{number} {thing if number == 1 else several or thing + 's'}"


@dataclass(frozen=True, slots=True)
class Tape:
    """How lengths are printed: in inches alone, feet and inches or millimetres, and the finest mark [ticks]."""

    unit: Literal["in", "ft", "mm"]
    mark: int

    def words(self, length: int, with_unit: bool = True) -> str:
        """A length as it is set on a fence or marked on a stick.

        What is on no mark is given to the mark below, so that a part never comes out too long, with a + for the rest.

        Examples
        --------
        >>> Tape("in", PER_INCH // 8).words(14 * PER_INCH + 15 * PER_INCH // 16), Tape("mm", PER_MM).words(320, False)
        ('14 7/8+"', '1')
        """
        over = "" if length % self.mark == 0 else "+"
        marked = Ticks(length // self.mark * self.mark)
        if self.unit == "mm":
            words = format_length(marked, "mm").removesuffix(" mm") + over
            return f"{words} mm" if with_unit else words
        if self.unit == "ft":
            return format_length(marked, "in") + over
        whole, part = divmod(Fraction(marked, PER_INCH), 1)
        words = (f"{whole} {part}" if whole and part else str(part or whole)) + over
        return f'{words}"' if with_unit else words


INCHES, MILLIMETRES = Tape("in", PER_INCH // 16), Tape("mm", PER_MM)
"""The usual tapes: 1/16 in and 1 mm."""


def format_about(length: float, units: Units) -> str:
    """Print a length for reading only, rounded to the nearest 1/8 in or 1 mm and marked as such."""
    step = PER_INCH // 8 if units == "in" else PER_MM
    near = round(length / step) * step
    text = format_length(Ticks(near), units)
    return text if near == length else f"about {text}"


def _mixed(inches: Fraction) -> str:
    whole, part = divmod(inches, 1)
    if not part:
        return str(whole)
    return f"{whole} {part}" if whole else str(part)


def _decimal(number: Fraction) -> str:
    """A fraction whose denominator divides 320, written as the finite decimal that it is."""
    scaled = number * 10**6  # 320 = 2^6 * 5 divides 10^6
    whole, part = divmod(scaled.numerator, 10**6)
    return str(whole) if part == 0 else f"{whole}.{part:06d}".rstrip("0")


def to_number(length: Ticks, units: Units) -> float:
    """A length as a number in the folder's units, for JSON; `from_number` gives the same ticks back."""
    return length / _TICKS_PER[units]


def from_number(number: float, units: Units) -> Ticks:
    """Read back a number that `to_number` has written (to the nearest tick)."""
    return parse_length(number, units, Rounding.NEAREST)


def to_mm(length: float) -> float:
    """A length in ticks as millimetres, for mechanics."""
    return length / PER_MM


def inches(number: float) -> Ticks:
    """A length that a source prints in inches, rounded to the nearest tick."""
    return Ticks(round(number * PER_INCH))


def millimetres(number: float) -> Ticks:
    """A length that a source prints in millimetres, rounded to the nearest tick."""
    return Ticks(round(number * PER_MM))


def mm_to_number(length_mm: float, units: Units) -> float:
    """A computed length [mm] as a number in the folder's units, to 1/1000 mm or 1/10000 in."""
    return round(length_mm / MM_PER_INCH, 4) if units == "in" else round(length_mm, 3)


def kg_to_number(weight_kg: float, units: Units) -> float:
    """A weight as a number in pounds (for ``"in"``) or kilograms, to one decimal."""
    return round(weight_kg / KG_PER_POUND, 1) if units == "in" else round(weight_kg, 1)


def feet_or_metres(length: float, units: Units) -> str:
    """A run of rod or shelf for reading, to one decimal: ``12.4 ft`` or ``3.78 m``."""
    if units == "in":
        return f"{length / (12 * PER_INCH):.1f} ft"
    return f"{length / (1000 * PER_MM):.2f} m"
