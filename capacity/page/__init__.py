"""The page: Start, Count, Fit and Compare in a browser on this machine; one module a step.

The folder is the truth: each step reads it, and everything accepted is written to it at once. A new step is a
module with a `show(folder)` function and a line in `shell.STEPS`.
"""

from __future__ import annotations


def show() -> None:
    """Draw the page; called by the script that Streamlit runs, each time that anything changes."""
    from capacity.page.shell import draw
    from capacity.page.shut_in import ask_nobody

    ask_nobody()
    draw()
