"""How the page is served: on this machine only or for its network, behind a gate, with nothing taken from elsewhere.

`serving` starts the server's process, `script` is what Streamlit runs there, `gate` decides who is let in. Nothing here
knows a folder's files.
"""

__all__ = ["own_python", "serving", "shut_in"]
