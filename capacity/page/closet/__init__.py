"""The step Closet: walls, what stands there today, the room, people, stock and wishes, each entry saved at once.

Each table of `closet.toml` is asked for in plain words; what was understood is said back and drawn. Nothing is decided
here that `closet/edits` does not check.
"""

__all__ = ["step"]
