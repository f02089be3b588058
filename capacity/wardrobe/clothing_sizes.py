"""Sizes of clothes and household textiles: to steps from M, waist and inseam, or stature.

Every mapping states where it comes from and how it is known. "Common practice" means: used by shops and
makers, no published source.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from capacity.units import INCH_MM
from capacity.wardrobe.size_text import SizeError, read_number, refuse_outside

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


def _letter_steps(low: str) -> tuple[Fraction, bool] | None:
    """Letter steps from M, and whether it is a tall cut; None when it is no letter size."""
    for word, short in (("extra", "x"), ("small", "s"), ("medium", "m"), ("med", "m"), ("large", "l"), ("tall", "t")):
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
    refuse_outside(low.upper(), system.upper(), number, Fraction(least), Fraction(most))
    return (number - middle) / 4


def _child(low: str, letters: bool = False) -> ClothingSize | None:
    """A child's size; without `letters` only one that cannot be anything else, such as 4T, age 8, 116 cm.

    Stature [cm] = 80 + 6 x age: the 6 cm steps of EU children's labels (92 at 2, 116 at 6, 152 at 12).
    Common practice, no published source.
    """
    in_cm, years = _STATURE.fullmatch(low), _YEARS.fullmatch(low)
    if in_cm and int(in_cm[1]) >= 50:
        refuse_outside(low, "stature in cm:", Fraction(in_cm[1]), Fraction(50), Fraction(188))
        return _for_stature(Fraction(in_cm[1]) * 10)
    if years and (letters or years[1] or (years[3] or "x") != "x"):
        age = Fraction(years[2]) + (years[3] == "x")  # 6X lies between 6 and 7: the larger
        refuse_outside(low, "children's", age, Fraction(1), Fraction(16))
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
    refuse_outside(low.upper(), "chest", Fraction(match[1]), Fraction(30), Fraction(60))
    longer = {"l": "long", "s": "short"}.get((match[2] or "r")[0])
    return ClothingSize((Fraction(match[1]) - 40) / 4, longer_in=LONGER_CUT_IN[longer] if longer else Fraction(0))


def _waist(low: str, wearer: str | None) -> ClothingSize | None:
    """Waist x inseam; women's US number n is a waist of 25 + n/2 in. Common practice, no published source."""
    pair, alone = _PAIR.fullmatch(low), _WAIST.fullmatch(low)
    if pair:
        return _for_waist(low, read_number(pair[1]), read_number(pair[2]))
    if alone:
        return _for_waist(low, read_number(alone[1]), INSEAM_IN)
    size = _letter(low, wearer)
    if size is None or size.stature_mm is not None:
        return size
    if _letter_steps(low) is None:
        return _for_waist(low, 29 + 2 * size.steps, INSEAM_IN)
    return _for_waist(low, WAIST_M_IN + WAIST_STEP_IN * size.steps, INSEAM_IN + size.longer_in)


def _for_waist(low: str, waist: Fraction, inseam: Fraction) -> ClothingSize:
    refuse_outside(low, "waist", waist, Fraction(20), Fraction(60))
    refuse_outside(low, "inseam", inseam, Fraction(18), Fraction(42))
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


def read_clothing(text: str, system: str, wearer: str | None) -> ClothingSize | None:
    """Read a size of clothes or textiles in plain text; None when it is no size of that system.

    Parameters
    ----------
    text
        As `plain_text` gives it.
    system
        ``letter``, ``waist``, ``suit``, ``child``, ``towel`` or ``bed``.
    wearer
        ``men``, ``women`` or ``child``: who usually wears it; or None.

    Raises
    ------
    SizeError
        When it is a size of that system, but out of range.
    """
    return _CLOTHING[system](text.casefold(), wearer)


def is_waist_and_inseam(text: str) -> bool:
    """Whether a plain text reads as waist x inseam, such as 34x32."""
    return _PAIR.fullmatch(text) is not None


def is_clothing_size(text: str) -> bool:
    """Whether a plain text reads as a size that only clothes have, in range or not."""
    low = text.casefold()
    if is_waist_and_inseam(low) or _SUIT_CUT.fullmatch(low):
        return True
    try:
        return _letter_steps(low) is not None
    except SizeError:
        return True  # a letter size out of range
