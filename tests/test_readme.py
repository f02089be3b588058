"""The README's example files are read as they stand there, and what it says of the kinds is so."""

from __future__ import annotations

import re
from pathlib import Path

from capacity.closet.closet import parse_closet
from capacity.units import Rounding, parse_length
from capacity.wardrobe.inventory import parse_inventory
from capacity.wardrobe.kinds import kinds

README = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")


def _blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", README, re.MULTILINE | re.DOTALL)


def test_the_two_files_of_a_folder_are_read() -> None:
    closet, wishes = _blocks("toml")
    (inventory,) = _blocks("csv")
    facts = parse_closet(closet)
    assert (len(facts.wall), len(facts.before[0].openings)) == (1, 3)
    assert parse_inventory(inventory, facts.units).pieces == 27
    settled = parse_closet(closet + wishes.replace('"left"', '"back"')).wishes
    assert (settled.budget, settled.keep_to[0].owner, settled.drawers[0].count) == (700, "Robin", 4)


def test_lengths_and_kinds_are_as_it_says() -> None:
    written = re.search(r"A length may be written (.*?)\. ", README, re.DOTALL)
    assert written is not None
    lengths = re.findall(r"`([^`]+)`", written[1])
    assert len(lengths) == 5
    assert all(parse_length(text, "in", Rounding.UP) for text in lengths)
    number = re.search(r"one of ([0-9]+) kinds", README)
    assert number is not None
    assert len(set(kinds())) == int(number[1])
