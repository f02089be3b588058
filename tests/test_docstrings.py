"""The examples in the docstrings run and print what they say."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

import capacity

ROOT = Path(capacity.__file__).parent
MODULES = sorted(
    ".".join(path.relative_to(ROOT).with_suffix("").parts)
    for path in ROOT.rglob("*.py")
    if ">>>" in path.read_text(encoding="utf-8")
)


def test_the_readers_of_lengths_and_sizes_show_examples() -> None:
    sizes = {f"wardrobe.{name}" for name in ("kinds", "shapes", "shoe_sizes", "sizes")}
    assert {"units"} | sizes <= set(MODULES)


@pytest.mark.parametrize("module", MODULES)
def test_the_examples_run(module: str) -> None:
    result = doctest.testmod(importlib.import_module(f"capacity.{module}"))
    assert result.attempted >= 1
    assert result.failed == 0
