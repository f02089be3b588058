"""Letters that are none: control codes and signs that turn the direction of writing, which a terminal would obey."""

from __future__ import annotations

import unicodedata

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
