"""What a person does on the page, for tests without a browser: taps on a tile; and waiting for what surely comes."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest


def say(page: AppTest, row: int, presses: int, /, **more: object) -> None:
    """Have a tile send what its script in the browser sends: its running total of presses, and a number typed."""
    (tile,) = [element for element in page.get("bidi_component") if element.key == f"tile_{row}"]
    states = page._tree.get_widget_states()
    state = states.widgets.add()
    state.id = tile.proto.id
    sent = sent_to(page, row)
    said = {"token": "phone", "presses": presses, "seen": 0, "base": sent["count"], "page": sent["page"], "typed": None}
    state.json_value = json.dumps({"said": {**said, **more}})
    page._run(states)
    assert not page.exception


def sent_to(page: AppTest, row: int) -> dict[str, Any]:
    """What the page has sent to a tile."""
    (tile,) = [element for element in page.get("bidi_component") if element.key == f"tile_{row}"]
    data: dict[str, Any] = json.loads(tile.proto.json)
    return data


def wait(is_so: Callable[[], bool]) -> None:
    """Wait for something that surely comes; only a hang fails."""
    for _ in range(2400):
        if is_so():
            return
        time.sleep(0.05)
    pytest.fail("waited for two minutes")
