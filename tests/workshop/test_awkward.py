"""Packets of awkward households: built, counted again by other code, and readable by other programs."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pypdf
import pytest
from rebuilt_parts import faults
from support.awkward import HOUSEHOLDS, household

from capacity.__main__ import main


@pytest.mark.parametrize("name", HOUSEHOLDS)
def test_the_packet_of_an_awkward_household(name: str, tmp_path: Path) -> None:
    folder = household(name, tmp_path / "home")
    assert main(["build", str(folder)]) == 1  # each has something that falls short, and says so
    assert faults(folder) == []
    pdf = (folder / "build" / "packet.pdf").read_bytes()
    assert b"/Suspects" not in pdf  # some readers grumble at it
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    assert reader.outline
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]  # type: ignore[index]
    whole = "\n".join(page.extract_text() for page in reader.pages)
    for words in (
        "Falls short",
        "By fence setting",
        "Heights of wall",
        "Drilling",
        "Labels to stick on",
        "likely between",
    ):
        assert words in whole, words
    record = json.loads((folder / "build" / "parts.json").read_text())
    assert record["falls_short"]


def test_a_metric_packet_speaks_of_no_inches_and_what_is_owned_is_not_bought(tmp_path: Path) -> None:
    folder = household("seated", tmp_path / "home")
    assert main(["build", str(folder)]) == 1
    record = json.loads((folder / "build" / "parts.json").read_text())
    assert not [
        line["how"] for line in record["shopping"]["lines"] if " in apart" in line["how"] or "every 6 in" in line["how"]
    ]
    (pins,) = [line for line in record["shopping"]["lines"] if line["article"].startswith("shelf pins")]
    assert pins["packs"] == 0
    low, high = record["shopping"]["likely"]
    assert record["shopping"]["total"] < low < high
    assert record["shopping"]["is_over_budget"]
