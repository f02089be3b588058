"""The page Closet in the tests: what it refuses, what it has written, and how a form is sent."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from streamlit.testing.v1 import AppTest


def faults(page: AppTest) -> list[str]:
    assert not page.exception
    return [str(element.value).replace("\\", "") for element in page.error]


def data_of(folder: Path) -> dict[str, Any]:
    return tomllib.loads((folder / "closet.toml").read_text(encoding="utf-8"))


def leaves(at: Any, way: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    if isinstance(at, dict | list) and at:
        for key, inner in at.items() if isinstance(at, dict) else enumerate(at):
            yield from leaves(inner, (*way, key))
    else:
        yield way, at


def difference(old: dict[str, Any], new: dict[str, Any]) -> dict[tuple[str | int, ...], Any]:
    """Every setting that differs, with its new value; None for one that has gone."""
    before, after = dict(leaves(old)), dict(leaves(new))
    return {place: after.get(place) for place in {**before, **after} if before.get(place) != after.get(place)}


def submit(page: AppTest, form: str, words: str) -> AppTest:
    return page.button(key=f"FormSubmitter:add_{form}-{words}").click().run()
