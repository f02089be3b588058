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
