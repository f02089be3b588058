"""Sizes as people write them: shoes to foot length, clothes to steps from M, waist and inseam, or stature.

Every mapping states where it comes from and how it is known. "Common practice" means: used by shops and
makers, no published source.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, cast

from capacity.units import PER_INCH, PER_MM, shorten

Wearer = Literal["men", "women", "child"]

INCH_MM = Fraction(PER_INCH, PER_MM)
"""One inch [mm], exact."""

BARLEYCORN_MM = INCH_MM / 3
"""Step of the UK and US scales, 1/3 in [mm]. Published: the definition of the English shoe size."""

PARIS_POINT_MM = Fraction(20, 3)
"""Step of the EU scale, 2/3 cm [mm]. Published: the definition of the Paris point."""

ENGLISH_ALLOWANCE_MM = INCH_MM * 2 / 3
"""How much longer the last is than the foot on the UK and US scales, 2 barleycorns [mm]. Common practice."""

EU_ALLOWANCE_MM = Fraction(15)
"""How much longer the last is than the foot on the EU scale [mm]. Common practice; makers use 10-20."""

MOST_CHARACTERS = 40


class SizeError(ValueError):
    """A text that is not a size of the wanted system; says what is wrong and what would be right."""


@dataclass(frozen=True, slots=True)
class ShoeSize:
    """One foot: its length [mm], and whose it is where the size says so."""

    foot_mm: Fraction
    wearer: Wearer | None


@dataclass(frozen=True, slots=True)
class ClothingSize:
    """One garment or household textile.

    `steps` counts letter sizes from M (S -1, L +1), or steps of its own scale for textiles; a child's size
    has 0 there and its `stature_mm`. `longer_in` is what a tall or long cut adds to the length [in].
    """

    steps: Fraction
    waist_in: Fraction | None = None
    inseam_in: Fraction | None = None
    stature_mm: Fraction | None = None
    longer_in: Fraction = Fraction(0)


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


def near_text(number: Fraction) -> str:
    """A number of whole or half steps as people write it: ``10``, ``10.5``."""
    return str(number) if number.denominator == 1 else f"{float(number):.4g}"


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

_PLAIN_SIGNS = {"\u2019": "'", "\u00d7": "x", "½": " 1/2", "⅓": " 1/3", "⅔": " 2/3", "¼": " 1/4", "¾": " 3/4"}
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


def parse_size(text: str, system: str, wearer: str | None) -> ShoeSize | ClothingSize:
    """Read one size.

    Parameters
    ----------
    text
        As a person writes it.
    system
        ``shoe``, ``letter`` (also women's numbers), ``waist`` (waist x inseam), ``suit`` (chest),
        ``child``, ``towel`` or ``bed``.
    wearer
        ``men``, ``women`` or ``child``: who usually wears it, for a size that does not say; or None.

    Raises
    ------
    SizeError
        When the text is not a size of that system, or an implausible one.
    ValueError
        When there is no such system.

    Examples
    --------
    >>> parse_size("usw8", "shoe", None)
    ShoeSize(foot_mm=Fraction(2413, 10), wearer='women')
    >>> parse_size("270 mm", "shoe", "men")
    ShoeSize(foot_mm=Fraction(270, 1), wearer=None)
    >>> parse_size("XXL", "letter", None).steps
    Fraction(3, 1)
    >>> size = parse_size("W34 L32", "waist", None)
    >>> str(size.waist_in), str(size.inseam_in)
    ('34', '32')
    """
    if system not in _EXAMPLES:
        msg = f"no size system {system!r}; there are {', '.join(_EXAMPLES)}"
        raise ValueError(msg)
    plain = _plain(text, system)
    if system == "shoe":
        return _shoe(plain, wearer)
    size = _CLOTHING[system](plain.casefold(), wearer)
    if size is not None:
        return size
    fault = "is not a size that can be read"
    if _shoe_parts(plain) is not None:
        fault = "is a shoe size"
    elif _PAIR.fullmatch(plain):
        fault = "is a waist and inseam"
    wanted = _EXAMPLES[system]
    if wearer == "men":
        wanted = wanted.replace("women's US 8 or EU 38", "men's EU 50")
    msg = f'"{shorten(plain)}" {fault}; this takes {wanted}'
    raise SizeError(msg)


def _plain(text: str, system: str) -> str:
    """The text with one space between words and plain signs, safe to print in a message."""
    text = text[: MOST_CHARACTERS + 1]
    for sign, spelled in _PLAIN_SIGNS.items():
        text = text.replace(sign, spelled)
    text = unicodedata.normalize("NFKC", text)
    plain = " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
    if not plain:
        msg = f"the size is empty; this takes {_EXAMPLES[system]}"
        raise SizeError(msg)
    if len(plain) > MOST_CHARACTERS or any(not sign.isprintable() and not sign.isspace() for sign in text):
        raise _unreadable(plain, system)
    return plain


def _unreadable(text: str, system: str) -> SizeError:
    what = "a shoe size" if system == "shoe" else "a size"
    return SizeError(f'"{shorten(text)}" is not {what} that can be read; this takes {_EXAMPLES[system]}')


def _refuse_outside(text: str, label: str, number: Fraction, least: Fraction, most: Fraction) -> None:
    if not least <= number <= most:
        msg = f'"{text}" is out of range; {label} sizes run from {near_text(least)} to {near_text(most)}'
        raise SizeError(msg)


def _number(text: str) -> Fraction:
    """A number such as 10, 10.5, 10,5 or 42 2/3."""
    return sum((Fraction(part) for part in re.split("[ -]", text.replace(",", "."))), Fraction(0))


# --- shoes ---


def _shoe(text: str, usual: str | None) -> ShoeSize:
    parts = _shoe_parts(text)
    if parts is None:
        if _is_clothing(text):
            msg = f'"{text}" is a clothing size; shoes take a number with its system, such as US M 10.5'
            raise SizeError(msg)
        raise _unreadable(text, "shoe")
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


def _on_scale(text: str, system: str, mark: str, number: Fraction) -> ShoeSize:
    scales = _SCALES[system][mark]
    fitting = [scale for scale in scales if scale.least <= number <= scale.most]
    if not fitting:
        least, most = min(scale.least for scale in scales), max(scale.most for scale in scales)
        _refuse_outside(text, "Mondopoint (mm)" if system == "mm" else scales[0].prefix, number, least, most)
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
    return _one_system(systems, marks[0] if marks else "", _number(match[2]))


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


def _is_clothing(text: str) -> bool:
    low = text.casefold()
    if _PAIR.fullmatch(low) or _SUIT_CUT.fullmatch(low):
        return True
    try:
        return _letter_steps(low) is not None
    except SizeError:
        return True  # a letter size out of range


# --- clothes ---

LONGER_CUT_IN = {"tall": Fraction(2), "long": Fraction(3, 2), "short": Fraction(-3, 2)}
"""What a cut adds to the length [in]. Common practice, no published source."""

WAIST_M_IN, WAIST_STEP_IN = Fraction(32), Fraction(3)
"""Waist of a letter M and growth per letter [in]. Our proposal: letters of EN 13402-3 are 8 cm apart."""

INSEAM_IN = Fraction(32)
"""Inseam where a size gives none [in]. Common practice, no published source."""

CHILD_LETTERS_MM = {-2: 1100, -1: 1220, 0: 1340, 1: 1460, 2: 1580}
"""Stature for XS to XL of children's clothes by steps from M [mm]. Common practice, no published source."""

TOWELS = {"hand": Fraction(-1), "bath": Fraction(0), "bath sheet": Fraction(1)}
"""Steps of towel sizes from a bath towel of about 27 x 52 in. Our proposal."""

BEDS = {
    "twin": Fraction(-2), "single": Fraction(-2), "full": Fraction(-1), "double": Fraction(-1),
    "queen": Fraction(0), "king": Fraction(1),
}  # fmt: skip
"""Steps of bed sizes from queen. Our proposal."""

_LETTER = re.compile(r"(?P<count>[1-9]?)(?P<x>x{0,9})(?P<base>[sml]?)(?P<tall>t?)")
_PAIR = re.compile(r"w? ?([0-9]{2}(?:[.,]5)?) ?(?:[x/*]| |(?=l)) ?l? ?([0-9]{2}(?:[.,]5)?)", re.IGNORECASE)
_SUIT = re.compile(r"([0-9]{2}) ?(r|regular|l|long|s|short)?")
_SUIT_CUT = re.compile(r"[0-9]{2} ?(?:r|regular|l|long|s|short)")
_NUMBERED = re.compile(r"(us|uk|eur?)? ?([0-9]{1,3})")
_WAIST = re.compile(r"w? ?([2-6][0-9](?:[.,]5)?)")
_YEARS = re.compile(r"(age )?(?:[0-9]{1,2} ?- ?)?([0-9]{1,2}) ?(t|x|y|yrs?|years?(?: old)?)?")
_STATURE = re.compile(r"([0-9]{2,3}) ?cm")


def _letter_steps(low: str) -> tuple[Fraction, bool] | None:
    """Letter steps from M, and whether it is a tall cut; None when it is no letter size."""
    for word, short in (
        ("extra", "x"),
        ("small", "s"),
        ("medium", "m"),
        ("med", "m"),
        ("large", "l"),
        ("tall", "t"),
    ):
        low = low.replace(word, short)
    match = _LETTER.fullmatch(re.sub(r"[ .-]", "", low))
    if match is None or not (match["base"] or match["x"]):
        return None
    count = int(match["count"]) if match["count"] else len(match["x"])
    base = match["base"] or "l"  # 2X is short for 2XL
    if (match["count"] and match["x"] != "x") or (base == "m" and count) or (not match["base"] and not match["count"]):
        return None
    steps = {"s": -1 - count, "m": 0, "l": 1 + count}[base]
    if not -3 <= steps <= 6:
        msg = f'"{low.upper()}" is out of range; letter sizes run from XXS to 5XL'
        raise SizeError(msg)
    return Fraction(steps), bool(match["tall"])


def _numbered_steps(low: str, wearer: str | None) -> Fraction | None:
    """Steps from M of women's US, UK and EU numbers, and of men's EU numbers.

    US 8 = UK 12 = EU 38 = M and four numbers make a letter; men's EU 50 = M. Common practice, no published
    source.
    """
    match = _NUMBERED.fullmatch(low)
    if match is None or (wearer == "men" and (match[1] or "") not in ("eu", "eur")):
        return None
    system, number = (match[1] or "us")[:2], Fraction(match[2])
    middle = {"us": 8, "uk": 12, "eu": 50 if wearer == "men" else 38}[system]
    least, most = middle - (10 if wearer == "men" else 8), middle + 20
    _refuse_outside(low.upper(), system.upper(), number, Fraction(least), Fraction(most))
    return (number - middle) / 4


def _child(low: str, letters: bool = False) -> ClothingSize | None:
    """A child's size; without `letters` only one that cannot be anything else, such as 4T, age 8, 116 cm.

    Stature [cm] = 80 + 6 x age: the 6 cm steps of EU children's labels (92 at 2, 116 at 6, 152 at 12).
    Common practice, no published source.
    """
    in_cm, years = _STATURE.fullmatch(low), _YEARS.fullmatch(low)
    if in_cm and int(in_cm[1]) >= 50:
        _refuse_outside(low, "stature in cm:", Fraction(in_cm[1]), Fraction(50), Fraction(188))
        return _for_stature(Fraction(in_cm[1]) * 10)
    if years and (letters or years[1] or (years[3] or "x") != "x"):
        age = Fraction(years[2]) + (years[3] == "x")  # 6X lies between 6 and 7: the larger
        _refuse_outside(low, "children's", age, Fraction(1), Fraction(16))
        return _for_stature(800 + 60 * age)
    letter = _letter_steps(low) if letters else None
    if letter is None:
        return None
    if int(letter[0]) not in CHILD_LETTERS_MM:
        msg = f'"{low.upper()}" is out of range; children\'s letter sizes run from XS to XL'
        raise SizeError(msg)
    return _for_stature(Fraction(CHILD_LETTERS_MM[int(letter[0])]))


def _for_stature(stature_mm: Fraction) -> ClothingSize:
    """A child's waist [in] = 9 + stature [cm] / 9, inseam = 0.45 x stature. Common practice."""
    waist, inseam = 9 + stature_mm / 90, Fraction(45, 100) * stature_mm / INCH_MM
    return ClothingSize(Fraction(0), waist, inseam, stature_mm)


def _letter(low: str, wearer: str | None) -> ClothingSize | None:
    letter = _letter_steps(low)
    if letter is not None:
        return ClothingSize(letter[0], longer_in=LONGER_CUT_IN["tall"] * letter[1])
    child = _child(low)
    if child is not None:
        return child
    steps = _numbered_steps(low, wearer)
    return None if steps is None else ClothingSize(steps)


def _suit(low: str, wearer: str | None) -> ClothingSize | None:
    """Chest and cut: 40R = M and 4 in of chest make a letter. Common practice, no published source."""
    match = _SUIT.fullmatch(low)
    if match is None or (int(match[1]) < 32 and not match[2]):
        return _letter(low, wearer)
    _refuse_outside(low.upper(), "chest", Fraction(match[1]), Fraction(30), Fraction(60))
    longer = {"l": "long", "s": "short"}.get((match[2] or "r")[0])
    return ClothingSize((Fraction(match[1]) - 40) / 4, longer_in=LONGER_CUT_IN[longer] if longer else Fraction(0))


def _waist(low: str, wearer: str | None) -> ClothingSize | None:
    """Waist x inseam; women's US number n is a waist of 25 + n/2 in. Common practice, no published source."""
    pair, alone = _PAIR.fullmatch(low), _WAIST.fullmatch(low)
    if pair:
        return _for_waist(low, _number(pair[1]), _number(pair[2]))
    if alone:
        return _for_waist(low, _number(alone[1]), INSEAM_IN)
    size = _letter(low, wearer)
    if size is None or size.stature_mm is not None:
        return size
    if _letter_steps(low) is None:
        return _for_waist(low, 29 + 2 * size.steps, INSEAM_IN)
    return _for_waist(low, WAIST_M_IN + WAIST_STEP_IN * size.steps, INSEAM_IN + size.longer_in)


def _for_waist(low: str, waist: Fraction, inseam: Fraction) -> ClothingSize:
    _refuse_outside(low, "waist", waist, Fraction(20), Fraction(60))
    _refuse_outside(low, "inseam", inseam, Fraction(18), Fraction(42))
    return ClothingSize((waist - WAIST_M_IN) / WAIST_STEP_IN, waist, inseam)


def _named(names: dict[str, Fraction]) -> Callable[[str, str | None], ClothingSize | None]:
    def read(low: str, _wearer: str | None) -> ClothingSize | None:
        steps = names.get(low.removesuffix(" towel").removesuffix(" size"))
        return None if steps is None else ClothingSize(steps)

    return read


_CLOTHING: dict[str, Callable[[str, str | None], ClothingSize | None]] = {
    "letter": _letter,
    "waist": _waist,
    "suit": _suit,
    "child": lambda low, _wearer: _child(low, letters=True),
    "towel": _named(TOWELS),
    "bed": _named(BEDS),
}
_EXAMPLES = {
    "shoe": "US M 10.5, US W 8, US C 13, UK 7, EU 42 or 270 mm",
    "letter": "M, XL, LT or 2XL, women's US 8 or EU 38, or a child's 4T or 116 cm",
    "waist": "waist x inseam such as 34x32, a letter such as M, women's US 8, or a child's 4T or 116 cm",
    "suit": "chest and cut such as 40R or 42L, or a letter such as M",
    "child": "an age such as 6 or 4T, a stature such as 116 cm, or a letter such as M",
    "towel": "hand, bath or bath sheet",
    "bed": "twin, full, queen or king",
}
