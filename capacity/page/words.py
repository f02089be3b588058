"""What is said of a file and its settings, in the words of the page: no brackets, no commands, no names of settings."""

from __future__ import annotations

import re

from capacity.errors import Fault, InputError

FILES = {
    "closet.toml": "the measurements",
    "inventory.csv": "the count",
    "plan.json": "the layout",
    "build/parts.json": "the packet",
}
"""What the page calls the files of a folder."""

TABLES = {
    "wishes": "wishes:", "wishes.bay": "bay that must be", "wishes.drawers": "bank of drawers",
    "wishes.keep_to": "things that keep to a wall", "wishes.must": "what must have a place",
    "wishes.unit": "furniture that stands in a bay", "before": "bay of today", "built": "bay as built", "way": "way in",
    "room": "room in front", "panel.strip": "strip", "panel.cleat": "cleat", "sheet": "sheet", "stick": "length",
    "print": "printing", "have": "what is owned",
}  # fmt: skip
"""What it calls their tables, where that is another word."""

SETTINGS = {
    "corner_access": "room at a corner", "gap": "hand room", "hang_allowance": "room for hangers",
    "highest_drawer": "drawers end at most at", "keep_bays": "today's bays stay",
    "keep_to": "things that keep to a wall",
    "least_drawer": "lowest drawer opening", "least_opening": "lowest shelf opening", "max_rod": "longest rod",
    "max_shelf": "longest shelf", "min_bay": "narrowest bay", "out_of_square": "out of square",
    "owners_apart": "a bay holds the things of one owner only", "pitch": "rows of holes", "rows_deep": "rows deep",
    "spare": "room to spare", "support_every": "supports every", "toe_kick": "toe kick", "top": "top of the built-ins",
    "width_after": "width after it", "front": "depth of the closet",
}  # fmt: skip
"""What it calls their settings, where that is more than a space for each underscore."""

COMMANDS = (
    (
        r'write \[\[person\]\] with name and age, and chart = "boys" or "girls"',
        "add them under People on the page Closet, with their age and growth chart",
    ),
    (r'write \[\[wishes\.must\]\] what = "[^"]*"', "add it under Wishes to what must have a place, on the page Closet"),
    (r'write "stack or drawer" as the store of', "open, on the page Count, and choose “stack or drawer” for:"),
    (r"(and |, and )run `capacity fit` again", r"\1find a layout again"),
    (r"run `capacity fit` again", "find a layout again"),
    (r"; `capacity start` makes [^;]*", ""),
    (r"run `capacity refill`", "choose “Put everything away anew” on the page Live with it"),
    (r"`capacity refill`", "“Put everything away anew” on the page Live with it"),
    (r"`?capacity fit`?", "the page Fit"),
)
"""What is done by a command or by hand in a file, and the same on the page."""

_QUOTED = re.compile(r'("[^"\n]*")')
_TABLE = re.compile(r"\[{1,2}([a-z_]+(?:\.[a-z_]+)?)\]{1,2}(?:,? ([a-z_]+\b)(?=$|[:,]))?")
_FIRST = re.compile(r"^([\w./-]+\.(?:toml|json)), ([a-z_]+):")
_TICKED = re.compile(r"`([^`\n]*)`")
_UNDERSCORED = re.compile(r"\b[a-z]+(?:_[a-z]+)+\b")


def in_page_words(text: str) -> str:
    """A sentence on a file in the words of the page; what is in double quotes was typed by somebody and stays.

    Examples
    --------
    >>> in_page_words('[wishes] toe_kick: "x_y" is no length')
    'wishes: toe kick: "x_y" is no length'
    >>> in_page_words("make the bay narrower and run `capacity fit` again")
    'make the bay narrower and find a layout again'
    """
    for command, words in COMMANDS:
        text = re.sub(command, words, text)
    text = _FIRST.sub(lambda found: f"{found[1]}, {SETTINGS.get(found[2], found[2])}:", text)
    parts = _QUOTED.split(text)
    parts[::2] = [_TICKED.sub(_setting, _TABLE.sub(_table, part)) for part in parts[::2]]
    parts[::2] = [_UNDERSCORED.sub(_setting, part) for part in parts[::2]]
    for file, name in FILES.items():
        parts[::2] = [part.replace(file, name) for part in parts[::2]]
    return "".join(parts)


def _table(found: re.Match[str]) -> str:
    name, setting = found[1], found[2]
    words = TABLES.get(name, name.replace("_", " "))
    return words if setting is None else f"{words} {SETTINGS.get(setting, setting)}"


def _setting(found: re.Match[str]) -> str:
    name = found[1] if found.re is _TICKED else found[0]
    return SETTINGS.get(name, name.replace("_", " "))


def fault_in_words(fault: Fault) -> str:
    """One fault as a line of the page, such as `the count, row 3, column size: ...`."""
    return in_page_words(str(fault))


def told(error: InputError) -> tuple[str, ...]:
    """Every fault as a line of the page."""
    return tuple(fault_in_words(fault) for fault in error.faults)
