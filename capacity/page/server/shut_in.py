"""Streamlit's own command without its question to the outside what address this machine has.

Streamlit asks it, of a server that is not ours, whenever a page of another site reaches for this one: only then would
it know whether that site is this machine by another name. Here such a site is refused without asking anybody.

    python -m capacity.page.server.shut_in run SCRIPT ...
"""

from __future__ import annotations

from streamlit import net_util
from streamlit.web import cli


def ask_nobody() -> None:
    """Have this process know no other address of its machine than those named in its options."""
    net_util.get_internal_ip = _unknown
    net_util.get_external_ip = _unknown


def _unknown() -> None:
    """The answer to a question that is not asked."""


if __name__ == "__main__":
    ask_nobody()
    cli.main(prog_name="streamlit")
