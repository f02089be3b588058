"""The examples in the docstrings run and print what they say."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

import capacity
from capacity import api

PACKAGE = Path(capacity.__file__).parent
MODULES = sorted(
    ".".join(("capacity", *path.relative_to(PACKAGE).with_suffix("").parts))
    for path in PACKAGE.rglob("*.py")
    if ">>>" in path.read_text(encoding="utf-8") and path != Path(api.__file__)
)
"""All but `api`, whose examples share one search."""


def test_every_room_is_looked_at() -> None:
    """Among them a file of the top folder, of a room, and of a room within a room."""
    examples = {"capacity.units", "capacity.wardrobe.sizes", "capacity.workshop.cutting.lower_bound"}
    assert examples <= set(MODULES)


@pytest.mark.parametrize("module", MODULES)
def test_the_examples_run(module: str) -> None:
    result = doctest.testmod(importlib.import_module(module))
    assert result.attempted >= 1
    assert result.failed == 0
