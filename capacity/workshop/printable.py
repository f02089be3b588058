"""Single pages typeset, and signs for which no font has a shape: found by typesetting them, written as their names."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from capacity.drawings.to_svg import FONT
from capacity.errors import Fault, InputError

FONTS = (*FONT.removesuffix(", sans-serif").split(", "), "Libertinus Serif")
"""Families to look in first for what is printed."""

USUAL = "\u017f"
"""Signs up to here, Latin with its accents, are in any font for reading, and are not looked up."""

NOWHERE = "\U0010fffd"
"""For private use, so that no font has it: its shape is the box that stands for a missing one."""

TONES = "\u200d\ufe0e\ufe0f\U0001f3fb-\U0001f3ff"
"""What only changes or joins the pictures before it."""


def typeset(template: bytes, data: Mapping[str, Any], name: str) -> bytes:
    """Typeset data by a template as PDF; the same data give the same bytes on one machine.

    Parameters
    ----------
    template, data
        The text of a typst file, and what it prints, as JSON.
    name
        What the file will be called.

    Raises
    ------
    InputError
        When typst fails.
    """
    import typst

    text = json.dumps(data, ensure_ascii=False)
    try:
        shown = in_words(text, missing_signs([text], FONTS))
        pdf = typst.compile(template, format="pdf", timestamp=0, sys_inputs={"data": shown})
    except RuntimeError as error:
        raise InputError([Fault(name, "", f"cannot be typeset: {error}")]) from None
    if not isinstance(pdf, bytes):
        msg = "typst gave no single document"
        raise AssertionError(msg)
    return pdf


def missing_signs(texts: Iterable[str], fonts: Sequence[str]) -> frozenset[str]:
    """The signs of these texts that would be printed as an empty box.

    Parameters
    ----------
    texts
        What is to be printed.
    fonts
        Families to look in first; then every other that typst finds on this machine or brings along.
    """
    signs = {sign for text in texts for sign in text if sign > USUAL}
    asked = sorted(sign for sign in signs if unicodedata.category(sign) not in ("Cc", "Cf", "Cs", "Mn", "Zs"))
    if not asked:
        return frozenset()
    import typst

    families = ", ".join(f'"{family}"' for family in fonts)
    page = f"#set page(width: 2em, height: 2em, margin: 0pt)\n#set text(font: ({families},))\n"
    words = "#pagebreak()\n".join(f'#"\\u{{{ord(sign):x}}}"\n' for sign in (NOWHERE, *asked))
    pages = typst.compile((page + words).encode(), format="svg")
    if isinstance(pages, bytes):
        msg = "typst gave one page for several signs"
        raise AssertionError(msg)
    box, *shapes = map(_shape, pages)
    return frozenset(sign for sign, shape in zip(asked, shapes, strict=True) if shape == box)


def _shape(svg: bytes) -> tuple[bytes, ...]:
    """The outlines on a page."""
    return tuple(re.findall(rb' d="[^"]*"', svg))


def in_words(text: str, missing: frozenset[str]) -> str:
    """Give a text with every picture or symbol that is missing as its name; letters stay, whatever is missing.

    Examples
    --------
    >>> in_words("Ann's \\U0001f455\\U0001f3fd", frozenset("\\U0001f455\\U0001f3fd"))
    "Ann's [t-shirt]"
    """
    named = "".join(sorted(sign for sign in missing if not is_written(sign) and not re.match(f"[{TONES}]", sign)))
    if not named:
        return text
    return re.sub(f"([{re.escape(named)}])[{TONES}]*", lambda found: f"[{_name(found[1])}]", text)


def is_written(sign: str) -> bool:
    """Whether a sign is a letter or a numeral of some script, so that a text would be lost in names of signs."""
    return unicodedata.category(sign)[0] in "LMN"


def scripts_of(signs: Iterable[str]) -> tuple[str, ...]:
    """The scripts that some letters are of, in order.

    Examples
    --------
    >>> scripts_of("\u05e9\u05dc\u4e2d")
    ('CJK', 'Hebrew')
    """
    words = {_name(sign).split()[0] for sign in signs}
    return tuple(sorted(word.upper() if word == "cjk" else word.capitalize() for word in words))


def _name(sign: str) -> str:
    return unicodedata.name(sign, "").lower() or f"U+{ord(sign):X}"
