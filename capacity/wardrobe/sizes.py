"""Sizes as people write them: shoes to foot length, clothes to steps from M, waist and inseam, or stature."""

from __future__ import annotations

from capacity.units import shorten
from capacity.wardrobe.clothing_sizes import ClothingSize, is_clothing_size, is_waist_and_inseam, read_clothing
from capacity.wardrobe.shoe_sizes import ShoeSize, is_shoe_size, read_shoe
from capacity.wardrobe.size_text import EXAMPLES, SizeError, plain_text, unreadable


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
    if system not in EXAMPLES:
        msg = f"no size system {system!r}; there are {', '.join(EXAMPLES)}"
        raise ValueError(msg)
    plain = plain_text(text, system)
    if system == "shoe":
        shoe = read_shoe(plain, wearer)
        if shoe is not None:
            return shoe
        if is_clothing_size(plain):
            msg = f'"{plain}" is a clothing size; shoes take a number with its system, such as US M 10.5'
            raise SizeError(msg)
        raise unreadable(plain, "shoe")
    size = read_clothing(plain, system, wearer)
    if size is not None:
        return size
    fault = "is not a size that can be read"
    if is_shoe_size(plain):
        fault = "is a shoe size"
    elif is_waist_and_inseam(plain):
        fault = "is a waist and inseam"
    wanted = EXAMPLES[system]
    if wearer == "men":
        wanted = wanted.replace("women's US 8 or EU 38", "men's EU 50")
    msg = f'"{shorten(plain)}" {fault}; this takes {wanted}'
    raise SizeError(msg)
