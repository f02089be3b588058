"""Windows of the page without a browser: what a browser says to the server and hears, over a real websocket."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from support.browsing import address_of
from websockets.sync.client import ClientConnection, connect
from websockets.typing import Origin, Subprotocol

PATIENCE = 120.0
"""How long a wait may take before it counts as a hang [s]."""


class Window:
    """One window on one step: its session, its elements by identity, and the tiles by key."""

    def __init__(self, socket: ClientConnection, step: str) -> None:
        self._socket, self._step = socket, step
        self.session = ""
        self.widgets: dict[str, Any] = {}
        self.tiles: dict[str, Any] = {}
        self.texts: list[str] = []
        self._finished = 0
        self.run()

    def run(self, states: dict[str, str] | None = None, texts: dict[str, str] | None = None) -> None:
        """Have the script run with these states of its widgets (JSON, or strings), and wait until it has ended."""
        self.say(states, texts)
        self.hear()

    def say(self, states: dict[str, str] | None = None, texts: dict[str, str] | None = None) -> None:
        """Send states of widgets without waiting for anything."""
        message = BackMsg()
        message.rerun_script.page_name = self._step
        for name, value in (states or {}).items():
            state = message.rerun_script.widget_states.widgets.add()
            state.id, state.json_value = name, value
        for name, value in (texts or {}).items():
            state = message.rerun_script.widget_states.widgets.add()
            state.id, state.string_value = name, value
        self._socket.send(message.SerializeToString())

    def hear(self) -> None:
        """Take in what the server says until a run has ended."""
        while True:
            data = self._socket.recv(PATIENCE)
            assert isinstance(data, bytes)
            message = ForwardMsg.FromString(data)
            kind = message.WhichOneof("type")
            if kind == "new_session":
                self.session = message.new_session.initialize.session_id
            elif kind == "delta":
                self._take(message.delta)
            elif kind == "script_finished":
                return

    def press(self, key: str, token: str, presses: int) -> None:
        """Say what a tile says: its running total of presses."""
        tile = self.tiles[key]
        sent = json.loads(tile.json)
        said = {"token": token, "presses": presses, "seen": 0, "base": sent["count"], "page": sent["page"]}
        self.say({tile.id: json.dumps({"said": {**said, "typed": None}})})

    def _take(self, delta: Any) -> None:
        if delta.WhichOneof("type") != "new_element":
            return
        kind = delta.new_element.WhichOneof("type")
        element = getattr(delta.new_element, kind)
        self.texts.append(str(element))
        if hasattr(element, "id"):
            self.widgets[element.id] = element
        if kind == "bidi_component":
            for key in element.id.split("-"):  # other parts of the page are of this kind too
                if key.startswith("tile_"):
                    self.tiles[key] = element


@contextmanager
def opened_window(port: int, step: str = "", headers: dict[str, str] | None = None) -> Iterator[Window]:
    """A window of the page on a port as long as the block runs."""
    place = address_of(port, "_stcore/stream").replace("http:", "ws:")
    origin = (headers or {}).pop("Origin", address_of(port).rstrip("/"))
    with connect(
        place,
        origin=Origin(origin),
        additional_headers=headers,
        subprotocols=[Subprotocol("streamlit")],
        max_size=None,
        open_timeout=PATIENCE,
    ) as socket:
        yield Window(socket, step)
