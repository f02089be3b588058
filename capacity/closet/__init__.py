"""The closet as somebody wrote it down: `closet.toml` read, checked, changed and saved with its remarks.

Walls, what hangs there today, boards and rods, people, the room around it, and wishes, all as frozen models. Nothing
here knows what is owned, and nothing decides what fits.
"""

__all__ = [
    "boards",
    "closet",
    "construction",
    "edging",
    "edits",
    "fields",
    "materials",
    "people",
    "saving",
    "summary",
    "surroundings",
    "text_edits",
    "unit_switch",
    "walls",
    "wishes",
]
