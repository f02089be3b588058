"""The step Fit: start and stop the search, watch it, and read its answer with every opening lettered.

The search runs in a process of its own; this room starts it, shows its progress and draws what it found.
"""

__all__ = ["step"]
