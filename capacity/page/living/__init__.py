"""The step Live with it: what was built and measured, where things are, counts over time, seasons, growing children.

Each part draws one question; the figures are those of `upkeep`, and nothing is built or moved here.
"""

__all__ = ["step"]
