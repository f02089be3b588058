"""The page's server: the script behind the gate. What the page draws with is loaded while the browser still comes."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib import import_module
from pathlib import Path
from threading import Thread

import streamlit as st
from starlette.middleware import Middleware

from capacity.page.server.gate import Gate, gate_of_environment

HOSTS, CODE = gate_of_environment()


@asynccontextmanager
async def _loading(_app: st.App) -> AsyncIterator[None]:
    """Load the page's modules beside the first answers, which only bring the browser Streamlit's own files."""
    Thread(target=import_module, args=("capacity.page.shell",), daemon=True).start()
    yield


app = st.App(
    Path(__file__).parents[1] / "app.py",
    lifespan=_loading,
    middleware=[Middleware(Gate, hosts=HOSTS, code=CODE)],
)
