"""Shoe sizes: the scales as straight lines from foot length to size, and reading what people write.

`piece_dimensions` makes width, depth and height of a pair from them. Every mapping states where it comes from and how
it is known. "Common practice" means: used by shops and makers, no published source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import cast

from capacity.units import INCH_MM
from capacity.wardrobe.size_text import SizeError, Wearer, near_text, read_number, refuse_outside

BARLEYCORN_MM = INCH_MM / 3
"""Step of the UK and US scales, 1/3 in [mm]. Published: the definition of the English shoe size."""

PARIS_POINT_MM = Fraction(20, 3)
"""Step of the EU scale, 2/3 cm [mm]. Published: the definition of the Paris point."""

ENGLISH_ALLOWANCE_MM = INCH_MM * 2 / 3
"""How much longer the last is than the foot on the UK and US scales, 2 barleycorns [mm]. Common practice."""

EU_ALLOWANCE_MM = Fraction(15)
"""How much longer the last is than the foot on the EU scale [mm]. Common practice; makers use 10-20."""


@dataclass(frozen=True, slots=True)
class ShoeSize:
    """One foot: its length [mm], and whose it is where the size says so."""

    foot_mm: Fraction
    wearer: Wearer | None


@dataclass(frozen=True, slots=True)
class ShoeScale:
    """One system of shoe sizes: a straight line from foot length to size.

    size = (foot + allowance - last_at_zero) / step, all in mm.

    Parameters
    ----------
    prefix
        What is printed before the number, such as ``US M``.
    step_mm
        Foot length per whole size [mm].
    last_at_zero_mm
        Length of the last at size 0 [mm].
    allowance_mm
        How much longer the last is than the foot [mm].
    least, most
        Range of sizes that is accepted (our proposal, a little wider than what shops sell).
    wearer
        Whose size it is, where the scale says so.

    References
    ----------
    Barleycorn and Paris point: published definitions. ISO 9407 for Mondopoint: the size is the foot length in
    mm. The sizes at which the English scales start are from memory; the allowances are common practice.

    Examples
    --------
    >>> US_MEN.foot_mm(Fraction(9)) == Fraction(31, 3) * INCH_MM
    True
    >>> US_MEN.text(Fraction(525, 2))
    'US M 9'
    >>> EU_ADULT.text(Fraction(525, 2))
    'EU 41.5'
    """

    prefix: str
    step_mm: Fraction
    last_at_zero_mm: Fraction
    allowance_mm: Fraction
    least: Fraction
    most: Fraction
    wearer: Wearer | None = None

    def foot_mm(self, size: Fraction) -> Fraction:
        """Foot length of a size [mm]: size * step + last_at_zero - allowance."""
        return size * self.step_mm + self.last_at_zero_mm - self.allowance_mm

    def size(self, foot_mm: Fraction) -> Fraction:
        """Exact size of a foot length [mm], not rounded."""
        return (foot_mm + self.allowance_mm - self.last_at_zero_mm) / self.step_mm

    def text(self, foot_mm: Fraction) -> str:
        """The size as printed, to the nearest half size (Mondopoint: mm), a tie to the larger."""
        grain = 1 if self.step_mm == 1 else 2
        near = Fraction((self.size(foot_mm) * grain + Fraction(1, 2)).__floor__(), grain)
        return f"{self.prefix} {near_text(near)}"


def _english(prefix: str, start: Fraction, least: str, most: str, wearer: Wearer | None) -> ShoeScale:
    """Make a scale in barleycorns: size = 3 x last [in] - start."""
    zero = start * BARLEYCORN_MM
    return ShoeScale(prefix, BARLEYCORN_MM, zero, ENGLISH_ALLOWANCE_MM, Fraction(least), Fraction(most), wearer)


US_MEN = _english("US M", Fraction(24), "3", "18", "men")
"""US men = 3 x last [in] - 24 = 3 x foot [in] - 22: one more than the UK size. Start from memory."""

US_WOMEN = _english("US W", Fraction(45, 2), "3", "17", "women")
"""US women, common scale = 3 x last [in] - 22 1/2: men's + 1 1/2. Start from memory; some makers use + 1."""

US_CHILD = _english("US C", Fraction(35, 3), "0", "13.5", "child")
"""US child = 3 x last [in] - 11 2/3. Start from memory."""

US_YOUTH = _english("US Y", Fraction(35, 3) + 13, "1", "7", "child")
"""US youth = US child - 13, because 1 is the half size after 13 1/2. Common practice."""

UK_ADULT = _english("UK", Fraction(25), "1", "17", None)
"""UK adult, men and women alike = 3 x last [in] - 25 = 3 x foot [in] - 23. Start from memory."""

UK_CHILD = _english("UK C", Fraction(12), "0", "13.5", "child")
"""UK child = 3 x last [in] - 12 (size 0 is a last of 4 in); 13 1/2 is followed by adult 1. From memory."""

UK_YOUTH = _english("UK Y", Fraction(25), "1", "6", "child")
"""The low end of the adult UK scale, worn by a child."""

EU_ADULT = ShoeScale("EU", PARIS_POINT_MM, Fraction(0), EU_ALLOWANCE_MM, Fraction(33), Fraction(54))
"""EU = last [mm] / (20/3) = 1.5 x (foot [cm] + 1.5). Paris point published; allowance common practice."""

EU_CHILD = ShoeScale("EU", PARIS_POINT_MM, Fraction(0), EU_ALLOWANCE_MM, Fraction(15), Fraction(41), "child")
"""The same scale, worn by a child."""

MONDOPOINT = ShoeScale("Mondo", Fraction(1), Fraction(0), Fraction(0), Fraction(195), Fraction(350))
"""Mondopoint, ISO 9407: the size is the foot length in mm. Published."""

MONDOPOINT_CHILD = ShoeScale("Mondo", Fraction(1), Fraction(0), Fraction(0), Fraction(80), Fraction(260), "child")
"""The same scale, worn by a child."""

_SHOE = re.compile(r"([a-z'. ]*?) ?([0-9]{1,3}(?:[.,][0-9]{1,2}|[ -][1-3]/[2-4])?) ?([a-z'. ]*)")
_SHOE_WORDS = re.compile(
    r"[ .]*(?:(?P<system>mondopoint|mondo|mp|mm|cm|usa?|uk|eur?)"
    r"|(?P<women>women'?s?|w)|(?P<men>men'?s?|m)"
    r"|(?P<k>kid'?s?|k)|(?P<y>youth|y)|(?P<c>child(?:ren)?(?:'?s)?|toddler|c|t))[ .]*"
)
# The scales that a system and a mark may mean, the likelier first; "" is an adult size without a mark.
_SCALES: dict[str, dict[str, tuple[ShoeScale, ...]]] = {
    "us": {
        "men": (US_MEN,), "women": (US_WOMEN,), "c": (US_CHILD,), "y": (US_YOUTH,),
        "k": (US_YOUTH, US_CHILD), "child": (US_CHILD, US_YOUTH),
    },
    "uk": {
        "": (UK_ADULT,), "men": (UK_ADULT,), "women": (UK_ADULT,), "c": (UK_CHILD,), "y": (UK_YOUTH,),
        "k": (UK_YOUTH, UK_CHILD), "child": (UK_CHILD, UK_YOUTH),
    },
    "eu": {"": (EU_ADULT, EU_CHILD), "men": (EU_ADULT,), "women": (EU_ADULT,), "child": (EU_CHILD,)},
    "mm": {
        "": (MONDOPOINT, MONDOPOINT_CHILD), "men": (MONDOPOINT,), "women": (MONDOPOINT,),
        "child": (MONDOPOINT_CHILD,),
    },
}  # fmt: skip


def read_shoe(text: str, usual: str | None) -> ShoeSize | None:
    """Read a shoe size in plain text; None when it is no shoe size.

    Parameters
    ----------
    text
        As `plain_text` gives it.
    usual
        ``men``, ``women`` or ``child``: who usually wears it, for a size that does not say; or None.

    Raises
    ------
    SizeError
        When it is a shoe size, but out of range, between two sizes, or it does not say whose it is.
    """
    parts = _shoe_parts(text)
    if parts is None:
        return None
    system, mark, number = parts
    if not mark and (usual == "child" or system == "us"):
        mark = usual or ""
    elif mark in ("c", "y", "k") and system in ("eu", "mm"):
        mark = "child"
    if mark not in _SCALES[system]:
        size = near_text(number)
        msg = f'"{text}" does not say whose size it is; write US M {size} or US W {size}'
        raise SizeError(msg)
    return _on_scale(text, system, mark, number)


def is_shoe_size(text: str) -> bool:
    """Whether a plain text reads as a shoe size, in range or not."""
    return _shoe_parts(text) is not None


def _on_scale(text: str, system: str, mark: str, number: Fraction) -> ShoeSize:
    scales = _SCALES[system][mark]
    fitting = [scale for scale in scales if scale.least <= number <= scale.most]
    if not fitting:
        least, most = min(scale.least for scale in scales), max(scale.most for scale in scales)
        refuse_outside(text, "Mondopoint (mm)" if system == "mm" else scales[0].prefix, number, least, most)
    if mark == "child" and len(fitting) > 1 and system in ("us", "uk"):
        names = " or ".join(f"{scale.prefix} {near_text(number)}" for scale in fitting)
        msg = f'"{text}" may be a small child\'s or a youth size; write {names}'
        raise SizeError(msg)
    grain = {"us": 2, "uk": 2, "eu": 6}.get(system)
    if grain and (number * grain).denominator != 1:
        steps = "half sizes, such as 10.5" if grain == 2 else "halves or thirds, such as 42.5 or 42 2/3"
        msg = f'"{text}" is between two sizes; {system.upper()} sizes go in {steps}'
        raise SizeError(msg)
    wearer = cast("Wearer", mark) if mark in ("men", "women") else fitting[0].wearer
    return ShoeSize(fitting[0].foot_mm(number), wearer)


def _shoe_parts(text: str) -> tuple[str, str, Fraction] | None:
    """System (us, uk, eu, mm), mark (men, women, c, y, k or none) and number; None for no shoe size."""
    match = _SHOE.fullmatch(text.casefold())
    if match is None:
        return None
    systems: list[str] = []
    marks: list[str] = []
    for words in (match[1], match[3]):
        position = 0
        while position < len(words):
            word = _SHOE_WORDS.match(words, position)
            if word is None:
                return None
            group = str(word.lastgroup)
            (systems if group == "system" else marks).append(word[group] if group == "system" else group)
            position = word.end()
    if len(marks) > 1 or not (systems or marks):
        return None
    return _one_system(systems, marks[0] if marks else "", read_number(match[2]))


def _one_system(systems: list[str], mark: str, number: Fraction) -> tuple[str, str, Fraction] | None:
    names = [{"usa": "us", "eur": "eu", "mondopoint": "mondo", "mp": "mondo"}.get(name, name) for name in systems]
    if names in (["mondo", "mm"], ["mondo", "cm"]):
        names = names[1:]
    if names == ["mondo"]:  # ski boots print it in cm
        names = ["cm" if number < 40 else "mm"]
    if names == ["cm"]:
        names, number = ["mm"], number * 10
    if not names:
        names = ["us"]
    return (names[0], mark, number) if len(names) == 1 else None
