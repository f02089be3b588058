"""The page's server: the script behind the gate."""

from pathlib import Path

import streamlit as st
from starlette.middleware import Middleware

from capacity.page.server.gate import Gate, gate_of_environment

HOSTS, CODE = gate_of_environment()

app = st.App(Path(__file__).parents[1] / "app.py", middleware=[Middleware(Gate, hosts=HOSTS, code=CODE)])
