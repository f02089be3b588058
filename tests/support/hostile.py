"""Hostile texts for every reader: made from good ones by mutation, from pieces that break programs, and from noise."""

from __future__ import annotations

import random
from collections.abc import Sequence

PIECES = (
    "1e308", "-1e308", "1e-400", "1e999999999", "nan", "inf", "-inf", "0x1f", "1_000", "9" * 30, "9" * 5000, "1/0",
    "0/0", "-0", "1e9", "1000000000", "0.1e1", "1.7976931348623157e308", "\0", "\x1b[31m", "\u202e", "\u2066", "\ufeff",
    "\u2028", "\u0085", "\ud7ff", "\U0001f9e6", "é", "e\u0301", "١٢", "½", "⅞", "㊿", "=1+1", "@SUM(A1)", "+cmd|' /C",
    "<script>alert(1)</script>", "$x^2$", "![](x)", "{{7*7}}", "%s%n", "../../etc/passwd", "'; DROP", '"', '""', '"""',
    "'", "''", "\\", "\\u0000", "\\x", ",", ";", "\t", "\r", "\n", "\r\n", "\n\n", "[", "]", "[[", "]]", "{", "}", "=",
    "[" * 200, "{a=" * 100, '"a".' * 200, "a." * 500, "#", "true", "null", "1979-05-27", "07:32:00", "' 1 1/2\"", "ft",
    "mm", "in", "ells", "US M", "EU", "34x32", "W34 L32", "XXXXL", "2T", "queen", "x" * 3000, " " * 3000,
    "a\u0308" * 99,
)  # fmt: skip
"""Pieces that have broken parsers: numbers past every range, signs of spreadsheets, markup, right-to-left, nesting."""


def mutated(chance: random.Random, seeds: Sequence[str], most: int = 12_000) -> str:
    """A good text with a few things cut, doubled, swapped or put in; now and then noise alone."""
    if chance.random() < 0.03:
        return "".join(chr(_letter(chance)) for _ in range(chance.randint(0, 40)))
    text = chance.choice(seeds)
    for _ in range(1 + min(int(chance.expovariate(0.7)), 8)):
        start = chance.randint(0, len(text))
        end = min(len(text), start + int(chance.expovariate(0.2)))
        kind = chance.random()
        if kind < 0.3:
            text = text[:start] + chance.choice(PIECES) + text[start:]
        elif kind < 0.5:
            text = text[:start] + chance.choice(PIECES) + text[end:]
        elif kind < 0.65:
            text = text[:start] + text[end:]
        elif kind < 0.8:
            text = text[:start] + chr(_letter(chance)) + text[start + 1 :]
        elif kind < 0.9:
            text = text[:end] + text[start:end] * chance.randint(1, 4) + text[end:]
        else:
            other = chance.choice(seeds)
            text = text[:start] + other[chance.randint(0, len(other)) :]
    return text[:most]


def _letter(chance: random.Random) -> int:
    if chance.random() < 0.7:
        return chance.randint(9, 126)
    letter = chance.randint(128, 0x1FFFF)
    return letter if not 0xD800 <= letter <= 0xDFFF else 0x2603
