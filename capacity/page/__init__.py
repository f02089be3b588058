"""The page: one folder or file a step, the same files as the commands, nothing computed that the package does not.

The folder is the truth: each run reads it, each accepted change is written before anything is drawn. A search or a
packet is a process of its own (`errand`). Only this room knows Streamlit.
"""

from __future__ import annotations


def show() -> None:
    """Draw the page; called by the script that Streamlit runs, each time that anything changes."""
    from capacity.page.server.shut_in import ask_nobody
    from capacity.page.shell import draw

    ask_nobody()
    draw()
