"""Changes of the closet file that take more than one setting: walls renamed or taken out, openings moved, rods added.

Each function reads the settings as they stand and gives the changes; nothing is written here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from capacity.closet.text_edits import Edit, SettingPath
from capacity.units import PER_INCH, LengthError, Rounding, Ticks, Units, length_to_write, parse_length

FLOOR_SHARE = 12 * PER_INCH
"""Height of the floor under the clothes that counts as a shelf, until it is measured (our proposal) [ticks]."""


def rename_wall(data: dict[str, Any], number: int, name: str | None) -> list[Edit]:
    """A wall's new name, also where bays, corners, lamps and the door speak of it."""
    changes = [Edit(("wall", number, "name"), name)]
    old = data["wall"][number].get("name")
    if not name or old is None:
        return changes
    return changes + [Edit(place, name) for place in _mentions(data, old)]


def remove_wall(data: dict[str, Any], number: int) -> list[Edit]:
    """Take a wall out with all that speaks of it: bays, lamps, wishes, corners that it has, the place of the door."""
    name = data["wall"][number].get("name")
    changes: list[Edit] = []
    entries: list[SettingPath] = []
    for place in _mentions(data, name):
        if place[0] == "wall":
            changes.append(Edit(place, None))
        elif place[0] == "door":
            changes += [Edit(("door", key), None) for key in ("faces", "left", "distance")]
        else:
            entries.append(place[:-1])
    changes += [Edit(place, None) for place in reversed(entries)]
    return [*changes, Edit(("wall", number), None)]


def _mentions(data: dict[str, Any], name: Any) -> list[SettingPath]:
    """Every setting that names a wall, in order."""
    settings: tuple[tuple[SettingPath, str], ...] = (
        (("wall",), "corner"), (("before",), "wall"), (("built",), "wall"), (("lamp",), "wall"),
        (("wishes", "bay"), "wall"), (("wishes", "drawers"), "wall"), (("wishes", "unit"), "wall"),
        (("wishes", "keep_to"), "wall"),
    )  # fmt: skip
    found: list[SettingPath] = [
        (*table, at, key)
        for table, key in settings
        for at, entry in enumerate(setting_at(data, table) or ())
        if isinstance(entry, dict) and entry.get(key) == name
    ]
    if setting_at(data, ("door", "faces")) == name:
        found.append(("door", "faces"))
    return found


def one_of_several(data: dict[str, Any], place: SettingPath, number: int, value: Any) -> list[Edit]:
    """One of several measurements of the same thing: set, added at the end, or taken out when it is None."""
    now = setting_at(data, place)
    if isinstance(now, list) and value is not None and number <= len(now):
        return [Edit((*place, number), value)]
    several = list(now) if isinstance(now, list) else [] if now is None else [now]
    several[number : number + 1] = [] if value is None else [value]
    return [Edit(place, several or None)]


def one_of_two(data: dict[str, Any], place: SettingPath, number: int, value: Any, usual: Any) -> list[Edit]:
    """One of two lengths that belong together; the other is the usual one until it is written, too."""
    now = setting_at(data, place)
    pair = list(now) if isinstance(now, list) and len(now) == 2 else [usual, usual]
    if value is None:
        return [Edit(place, None)]
    pair[number] = value
    return [Edit(place, pair)]


def move_entry(data: dict[str, Any], table: str, number: int, step: int) -> list[Edit]:
    """An entry of a list changes places with the next one or the one before; nothing where there is none."""
    entries = data.get(table, [])
    other = number + step
    if not 0 <= other < len(entries):
        return []
    changes: list[Edit] = []
    for at, entry, former in ((number, entries[other], entries[number]), (other, entries[number], entries[other])):
        changes += [Edit((table, at, key), None) for key in former if key not in entry]
        changes += [Edit((table, at, key), value) for key, value in entry.items()]
    return changes


def raise_opening(data: dict[str, Any], bay: int, number: int, units: Units) -> list[Edit]:
    """An opening changes places with the one above it; both stay as high, and so does what parts them.

    Raises
    ------
    LengthError
        When one of the two has a length that cannot be read.
    """
    openings = data["before"][bay]["openings"]
    above = next_above(data, bay, number, units)
    if above is None:
        return []
    lower, upper = _span(openings[number], units), _span(openings[above], units)
    gap = upper[0] - lower[1]
    place: SettingPath = ("before", bay, "openings")
    risen = Ticks(lower[0] + (upper[1] - upper[0]) + gap)
    return [
        Edit((*place, above, "bottom"), openings[number]["bottom"]),
        Edit((*place, number, "bottom"), length_to_write(risen, units)),
    ]


def next_above(data: dict[str, Any], bay: int, number: int, units: Units) -> int | None:
    """The opening over another one in the same bay, None over the topmost; raises as `raise_opening`."""
    order = from_the_floor(data, bay, units)
    at = order.index(number)
    return order[at + 1] if at + 1 < len(order) else None


def from_the_floor(data: dict[str, Any], bay: int, units: Units) -> list[int]:
    """Numbers of a bay's openings from the floor up; those whose bottom cannot be read stand last."""

    def height(number: int) -> tuple[bool, int]:
        try:
            return False, _span(openings[number], units)[0]
        except LengthError:
            return True, 0

    openings = data["before"][bay].get("openings", [])
    return sorted(range(len(openings)), key=height)


def opening_on_top(data: dict[str, Any], bay: int, units: Units, kind: str, bottom: Any, height: Any) -> list[Edit]:
    """A new opening; without a bottom it stands on the topmost one; raises as `raise_opening`."""
    openings = data["before"][bay].get("openings", [])
    if bottom is None:
        tops = [_span(opening, units)[1] for opening in openings]
        bottom = length_to_write(Ticks(max(tops, default=0)), units)
    opening = {"kind": kind, "bottom": bottom, **({} if height is None else {"height": height})}
    return [Edit(("before", bay, "openings", len(openings)), opening)]


def rod_under_shelf(shelf: Ticks, panel: Ticks, ceiling: Ticks, units: Units) -> list[dict[str, Any]]:
    """Openings of a bay with one rod under one shelf: the floor, the clothes, what lies on the shelf.

    Parameters
    ----------
    shelf
        Lower face of the shelf over the floor [ticks].
    panel
        Its thickness [ticks].
    ceiling
        Where the room over it ends [ticks].
    units
        Units of the file.
    """
    floor = min(FLOOR_SHARE, shelf // 2)
    spans = [("shelf", 0, floor), ("hang", floor, shelf), ("shelf", shelf + panel, ceiling)]
    return [
        {
            "kind": kind,
            "bottom": length_to_write(Ticks(bottom), units),
            "height": length_to_write(Ticks(top - bottom), units),
        }
        for kind, bottom, top in spans
        if top > bottom
    ]


def new_ceiling(data: dict[str, Any], value: Any) -> list[Edit]:
    """Another height of the ceiling; openings of today that end at the old one end at the new one."""
    changes = [Edit(("ceiling",), value)]
    units: Units = "mm" if data.get("units") == "mm" else "in"
    try:
        old, new = (parse_length(height, units, Rounding.DOWN) for height in (data["ceiling"], value))
        for at, bay in enumerate(data.get("before") or ()):
            for number, opening in enumerate(bay.get("openings") or ()):
                bottom, end = _span(opening, units)
                if end == old and new > bottom:
                    height = length_to_write(Ticks(new - bottom), units)
                    changes.append(Edit(("before", at, "openings", number, "height"), height))
    except (LengthError, KeyError, TypeError, AttributeError):  # what is wrong is said when it is saved
        return changes[:1]
    return changes


def setting_at(data: Any, place: SettingPath) -> Any:
    """What stands at a place, None where nothing does."""
    for key in place:
        is_there = key in data if isinstance(data, dict) else isinstance(data, list) and isinstance(key, int)
        if not is_there or (isinstance(data, list) and not 0 <= int(key) < len(data)):
            return None
        data = data[key]
    return data


def _span(opening: dict[str, Any], units: Units) -> tuple[int, int]:
    bottom = parse_length(opening.get("bottom", ""), units, Rounding.DOWN)
    return bottom, bottom + parse_length(opening.get("height", ""), units, Rounding.DOWN)


@dataclass(frozen=True, slots=True)
class BayToKeep:
    """A bay that is to be one that must be: its place [ticks], and its kind or the heights of its rods, if any."""

    left: Ticks
    width: Ticks
    kind: str | None = None
    rods: tuple[Ticks, ...] = ()


def wished_bays(data: dict[str, Any], wall: str, bays: Sequence[BayToKeep], units: Units) -> list[Edit]:
    """Bays of a wall as bays that must be; a wish for a bay at the same place gives way."""
    now = setting_at(data, ("wishes", "bay")) or []
    lefts = {bay.left for bay in bays}
    kept = [bay for bay in now if bay.get("wall") != wall or _left(bay, units) not in lefts]
    new: list[dict[str, Any]] = []
    for bay in bays:
        entry: dict[str, Any] = {
            "wall": wall,
            "left": length_to_write(bay.left, units),
            "width": length_to_write(bay.width, units),
        }
        if bay.rods:
            entry["rod"] = [length_to_write(rod, units) for rod in bay.rods]
        elif bay.kind is not None:
            entry["kind"] = bay.kind
        new.append(entry)
    gone = [number for number, bay in enumerate(now) if bay not in kept]
    return [
        *(Edit(("wishes", "bay", number), None) for number in reversed(gone)),
        *(Edit(("wishes", "bay", len(kept) + number), entry) for number, entry in enumerate(new)),
    ]


def _left(bay: dict[str, Any], units: Units) -> int | None:
    try:
        return parse_length(bay.get("left", ""), units, Rounding.DOWN)
    except LengthError:
        return None
