"""What a change of the count has changed, in words: each pile with its number before and after."""

from __future__ import annotations

from collections import Counter

from capacity.errors import InputError
from capacity.units import Units
from capacity.wardrobe.inventory import parse_inventory

MOST_SAID = 3


def changes_in_words(before: str, after: str, units: Units) -> str:
    """What differs between two texts of an inventory, such as `suitcase: 1 to none`; empty where one is unreadable."""
    old, new = _counts(before, units), _counts(after, units)
    if old is None or new is None:
        return ""
    names = [name for name in dict.fromkeys([*old, *new]) if old[name] != new[name]]
    said = [f"{name}: {old[name] or 'none'} to {new[name] or 'none'}" for name in names[:MOST_SAID]]
    more = [f"and {len(names) - MOST_SAID} more"] if len(names) > MOST_SAID else []
    return ", ".join([*said, *more])


def _counts(text: str, units: Units) -> Counter[str] | None:
    """Pieces by pile; none for a text without a row, None for one that cannot be read."""
    if len([line for line in text.splitlines() if line.strip()]) < 2:
        return Counter()
    try:
        inventory = parse_inventory(text, units)
    except InputError:
        return None
    counts: Counter[str] = Counter()
    for pile in inventory.piles:
        counts[pile.name] += pile.count
    return counts
