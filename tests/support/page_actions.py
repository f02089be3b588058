"""What a person does on the page, for tests without a browser: taps on a tile; and waiting for what surely comes."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest


def say(page: AppTest, row: int | str, presses: int, /, **more: object) -> None:
    """Have a tile send what its script in the browser sends: its running total of presses, and a number typed.

    `row` is the data row of its pile, or the key of a ready tile.
    """
    tile = tile_of(page, row)
    states = page._tree.get_widget_states()
    state = states.widgets.add()
    state.id = tile.proto.id
    sent = sent_to(page, row)
    said = {"token": "phone", "presses": presses, "seen": 0, "base": sent["count"], "page": sent["page"], "typed": None}
    state.json_value = json.dumps({"said": {**said, **more}})
    page._run(states)
    assert not page.exception


def tile_of(page: AppTest, row: int | str) -> Any:
    """The tile of a data row, or of that key."""
    key = f"tile_{row}" if isinstance(row, int) else row
    (tile,) = [element for element in page.get("bidi_component") if element.key == key]
    return tile


def sent_to(page: AppTest, row: int | str) -> dict[str, Any]:
    """What the page has sent to a tile."""
    data: dict[str, Any] = json.loads(tile_of(page, row).proto.json)
    return data


def wait(is_so: Callable[[], bool]) -> None:
    """Wait for something that surely comes; only a hang fails."""
    for _ in range(2400):
        if is_so():
            return
        time.sleep(0.05)
    pytest.fail("waited for two minutes")
