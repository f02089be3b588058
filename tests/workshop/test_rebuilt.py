"""A packet held against its second reckoning, and that reckoning shown to reject."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from rebuilt_parts import faults
from support.built_samples import folder_to_build

from capacity.__main__ import main


@pytest.fixture
def built(tmp_path: Path) -> Path:
    """A folder with a packet."""
    folder = folder_to_build(tmp_path)
    assert main(["build", str(folder)]) in (0, 1)
    return folder


def test_every_part_hole_mark_and_sum_is_as_counted_again_and_one_off_is_found(built: Path) -> None:
    assert faults(built) == []
    path = built / "build" / "parts.json"
    text = path.read_text()
    for spoil in (
        lambda record: record["parts"][0].update(length=record["parts"][0]["length"] + 1 / 16),
        lambda record: record["holes"][0].update(height=record["holes"][0]["height"] + 1 / 16),
        lambda record: record["marks"][0].update(height=record["marks"][0]["height"] + 1 / 16),
        lambda record: record["shopping"].update(sum=record["shopping"]["sum"] + 1),
        lambda record: record["shopping"]["likely"].reverse(),
        lambda record: record["parts"].pop(),
    ):
        record = json.loads(text)
        spoil(record)
        path.write_text(json.dumps(record))
        assert faults(built) != []


UNSEEN = {("scribe strip", "left"), ("scribe strip", "width"), ("filler panel", "left"), ("filler panel", "width")}
"""What follows from the measured wall and not from the plan; parts in a drawer box are placed by its sides alone."""


def test_every_number_of_every_part_is_counted_again(built: Path) -> None:
    path = built / "build" / "parts.json"
    record = json.loads(path.read_text())
    unseen = set()
    for part in record["parts"]:
        for name in ("length", "width", "thickness", "left", "bottom"):
            kept = part[name]
            part[name] = kept + 1 / 16
            path.write_text(json.dumps(record))
            if not faults(built):
                unseen.add((part["part"], name))
            part[name] = kept
    inside = {
        (part, name) for part in ("drawer box front", "drawer box back", "drawer bottom") for name in ("left", "bottom")
    }
    assert unseen <= UNSEEN | inside
