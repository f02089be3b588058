"""Signs that no font has: found by typesetting them, and printed in the packet as words."""

from __future__ import annotations

import io
from pathlib import Path

import pypdf
import pytest
from support.built_samples import folder_to_build, stand_for

from capacity.__main__ import main
from capacity.makeover.plan import read_plan
from capacity.workshop import packet
from capacity.workshop.printable import NOWHERE, in_words, is_written, missing_signs

FONTS = ("Libertinus Serif",)
"""Comes with typst, so it is on every machine."""


def test_only_what_has_no_shape_is_missing() -> None:
    """Latin, Greek, Cyrillic, mathematics and marks that typst brings fonts for; private use that no font has."""
    assert missing_signs(["Ünal's αβ Жук × 2 ″ … – 36.8 cm\n\u200b\u200d\ufe0f"], FONTS) == frozenset()
    assert missing_signs([f"a{NOWHERE}ω", "\U0010ff00"], FONTS) == {NOWHERE, "\U0010ff00"}


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("\U0001f455", "[t-shirt]"),
        ("a \U0001f455\U0001f3fd\ufe0f b", "a [t-shirt] b"),
        ("\U0001f9e5\u200d\U0001f455", "[coat][t-shirt]"),
        ("\U000e0fff", "[U+E0FFF]"),
        ("\u05e9\u05dc", "\u05e9\u05dc"),
        ("no sign", "no sign"),
    ],
)
def test_a_missing_sign_is_its_name_and_letters_stay(text: str, printed: str) -> None:
    assert in_words(text, frozenset(text) - set("ab no")) == printed


def _packet(folder: Path) -> str:
    assert main(["build", str(folder)]) == 0
    reader = pypdf.PdfReader(io.BytesIO((folder / "build" / "packet.pdf").read_bytes()))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).replace("\u200b", "").split())


def _renamed(folder: Path, text: str) -> Path:
    """The folder with another name for its closet and its second wall."""
    folder_to_build(folder)
    for path in (folder / "closet.toml", folder / "plan.json"):
        words = path.read_text(encoding="utf-8").replace('name = "back"', f'name = "{text}"')
        words = words.replace('corner = "back"', f'corner = "{text}"').replace('"name": "back"', f'"name": "{text}"')
        path.write_text(words, encoding="utf-8")
    stand_for(folder, read_plan(folder / "plan.json"))
    return folder


def test_the_packet_prints_a_sign_without_a_shape_as_its_name(tmp_path: Path) -> None:
    words = _packet(_renamed(tmp_path, f"nook {NOWHERE}"))
    assert "Wall 2: nook [U+10FFFD]" in words
    assert words.count("nook [U+10FFFD]") == words.count("nook")  # in the drawings too
    assert NOWHERE not in words
    assert packet.NO_FONT not in words


def test_letters_without_a_shape_are_told_with_their_script(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(packet, "missing_signs", lambda texts, fonts: frozenset("\u05e9"))
    words = _packet(_renamed(tmp_path, "hall \u05e9"))
    assert f"{packet.NO_FONT}: Hebrew." in words
    assert is_written("\u05e9")
