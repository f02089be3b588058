"""One wall on the page Closet: its measurements, its blocked parts, and the bays that stand there today."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any

import streamlit as st

from capacity.checks.floor_plan import depth_in_words
from capacity.closet.boards import Panel
from capacity.closet.edits import (
    from_the_floor,
    next_above,
    one_of_several,
    one_of_two,
    opening_on_top,
    raise_opening,
    remove_wall,
    rename_wall,
    rod_under_shelf,
)
from capacity.closet.text_edits import Edit, SettingPath
from capacity.drawings.labels import letter_of
from capacity.page.closet.entry import (
    Form,
    Question,
    chosen,
    key_of,
    length,
    length_said,
    part_of_length,
    text_of,
    typed,
)
from capacity.page.closet.entry_table import Setting, act, add, appended, remove, table
from capacity.page.household import plain
from capacity.units import LengthError, Rounding, Ticks, Units, format_length, parse_length
from capacity.wardrobe.piles import Pile

WIDTHS = ("Width at the floor", "Width half way up", "Width at the top")

DEPTH = "how far new uprights and shelves come out from this wall; what that means is said below"
FRONT = "from this wall to the door, or to the wall that faces it; it may be left out"

NEW_WALL = (
    Setting("name", "Name", "text", note="such as back or left"),
    Setting("width", "Width", note="the least that you measure; more places can be added after"),
    Setting("front", "Depth of the closet", note=FRONT),
    Setting("depth", "Depth of shelves", note=DEPTH),
)

BLOCKED = (
    Setting("left", "From the left end", is_needed=True),
    Setting("width", "Width", is_needed=True),
    Setting("bottom", "From the floor", is_needed=True),
    Setting("height", "Height", is_needed=True),
)

BAY = (
    Setting("left", "From the left end", note="from the left end of the wall, as you face it"),
    Setting("width", "Clear width"),
    Setting("depth", "Depth", note="one depth for the whole bay"),
)

KINDS = {"shelf": "shelf", "hang": "rod", "drawer": "drawer"}
_KIND_OF = {words: kind for kind, words in KINDS.items()}


def show_wall(form: Form, number: int, piles: Sequence[Pile]) -> None:
    """The measurements of a wall and what its depth means for these piles, then what is rarer, folded."""
    place: SettingPath = ("wall", number)
    widths = form.at(*place, "width")
    several = widths if isinstance(widths, list) else [widths]
    with st.container(horizontal=True, key=f"fields_wall_{number}"):
        typed(
            form,
            Question((*place, "name"), "Name"),
            text_of,
            changes=lambda data, name: rename_wall(data, number, name),
        )
        for at in range(max(len(WIDTHS), len(several))):
            label = WIDTHS[at] if at < len(WIDTHS) else f"Width, place {at + 1}"
            value = several[at] if at < len(several) else None
            part_of_length(form, (*place, "width", at), label, value, partial(_width, number, at))
        length(form, (*place, "front"), "Depth of the closet", FRONT)
        length(form, (*place, "depth"), "Depth of shelves", DEPTH)
    if form.closet is not None and len(several) > 1:
        least = format_length(form.closet.wall[number].clear_width, form.units)
        st.caption(plain(f"The least width counts: {least}."))
    if form.closet is not None:
        wall = form.closet.wall[number]
        st.caption(plain(" ".join(depth_in_words(wall.depth, wall.front, piles, form.units))))
    with st.expander(f"More about this wall: {_more(form.at(*place))}", key=f"open_wall_{number}"):
        _rarer(form, number)
    blocked = form.at(*place, "blocked") or []
    with st.expander(f"Where nothing may be built: {_count(len(blocked), 'place')}", key=f"open_blocked_{number}"):
        st.caption(
            "A window, an outlet, a panel, a hatch: left and bottom are measured from the left end and the floor."
        )
        for at in range(len(blocked)):
            table(form, (*place, "blocked", at), BLOCKED)
            remove(form, (*place, "blocked", at), f"Take out blocked place {at + 1}")
        add(form, f"blocked_{number}", BLOCKED, partial(_blocked, number), "Add a blocked place", (*place, "blocked"))


def _rarer(form: Form, number: int) -> None:
    place: SettingPath = ("wall", number)
    others = [name for name in form.wall_names if name and name != form.at(*place, "name")]
    slope = form.at(*place, "ceiling")
    ends = slope if isinstance(slope, list) and len(slope) == 2 else (None, None)
    usual = form.at("ceiling") or "100 m"
    with st.container(horizontal=True, key=f"fields_rarer_{number}"):
        if others:
            note = "the wall that begins at the right-hand end of this one; one of the two then owns the corner"
            chosen(form, (*place, "corner"), "Corner with", others, note, "none")
        for at, side in enumerate(("left", "right")):
            note = "a sloped ceiling, straight from end to end; empty both: level"
            changes = partial(_slope, number, at, usual)
            part_of_length(form, (*place, "ceiling", at), f"Ceiling at the {side} end", ends[at], changes, note)
        length(form, (*place, "lean"), "Out of plumb", "how far its ends lean over the height", 0)
        length(form, (*place, "out_of_square"), "Out of square", "how far the end walls run out over the depth", 0)
        length(form, (*place, "level"), "Floor falls", "how much the floor falls along it", 0)
    name = plain(str(form.at(*place, "name") or ""))
    bays = sum(bay.get("wall") == form.at(*place, "name") for bay in form.at("before") or ())
    words = f"Take out the wall {name}" + (f" and its {_count(bays, 'bay')}" if bays else "")
    act(form, f"remove_wall_{number}", words, lambda data: remove_wall(data, number), ("wall",))


def _width(number: int, at: int, data: dict[str, Any], value: Any) -> list[Edit]:
    return one_of_several(data, ("wall", number, "width"), at, value)


def _slope(number: int, at: int, usual: Any, data: dict[str, Any], value: Any) -> list[Edit]:
    return one_of_two(data, ("wall", number, "ceiling"), at, value, usual)


def _blocked(number: int, data: dict[str, Any], answers: dict[str, Any]) -> list[Edit]:
    return appended(("wall", number, "blocked"), data, answers)


def _more(wall: dict[str, Any]) -> str:
    words = {
        "corner": "a corner", "ceiling": "a sloped ceiling", "lean": "out of plumb", "out_of_square": "out of square",
        "level": "floor not level",
    }  # fmt: skip
    return ", ".join(said for name, said in words.items() if name in wall) or "nothing set"


def _count(number: int, thing: str) -> str:
    return f"{number or 'no'} {thing}{'' if number == 1 else 's'}"


# ---- today's bays ---------------------------------------------------------------------------------------


def show_bays(form: Form, number: int) -> None:
    """Today's bays on a wall, each folded, and a form for one more."""
    name = form.at("wall", number, "name")
    mine = [at for at, bay in enumerate(form.at("before") or ()) if isinstance(bay, dict) and bay.get("wall") == name]
    if not mine:
        st.write("Nothing stands on this wall today. If something does, add it: before and after are then compared.")
    letters = _letters(form, mine)
    for place_on_wall, bay in enumerate(_left_to_right(form, mine), start=1):
        openings = form.at("before", bay, "openings") or []
        wide = length_said(form.at("before", bay, "width"), form.units).removeprefix("understood: ")
        title = f"Bay {place_on_wall}: {wide} wide, {_count(len(openings), 'opening')}"
        with st.expander(plain(title), key=f"open_bay_{bay}"):
            table(form, ("before", bay), BAY)
            for opening in _floor_up(form, bay):
                _opening(form, bay, opening, letters.get((bay, opening), ""))
            asks = (
                Setting("kind", "New opening", "choice", tuple(_KIND_OF)),
                Setting("height", "Height"),
                Setting("bottom", "From the floor", note="empty: it stands on the topmost opening"),
            )
            add(form, f"opening_{bay}", asks, partial(_new_opening, bay), "Add an opening", ("before", bay))
            remove(form, ("before", bay), f"Take out bay {place_on_wall}")
    shelf = Setting("shelf", "Height of the shelf over the rod", note="empty: no rod; openings can be added after")
    with st.expander("Add a bay", key=f"open_new_bay_{number}", expanded=not mine):
        st.caption("As it stands there today.")
        add(form, f"bay_{number}", (*BAY, shelf), partial(_new_bay, number), "Add the bay", ("before",))


def _opening(form: Form, bay: int, number: int, letter: str) -> None:
    """One opening: its letter in the drawing, kind and size, and the buttons that move it or take it out."""
    place: SettingPath = ("before", bay, "openings", number)
    with st.container(border=True, key=f"opening_{bay}_{number}"):
        kind = KINDS.get(str(form.at(*place, "kind")), "opening")
        st.markdown(f"**{letter}** {kind}" if letter else kind)
        with st.container(horizontal=True, key=f"fields_opening_{bay}_{number}"):
            chosen(form, (*place, "kind"), "Kind", tuple(KINDS), words=KINDS)
            length(form, (*place, "bottom"), "From the floor")
            length(form, (*place, "height"), "Clear height")
        with st.container(horizontal=True, key=f"buttons_opening_{bay}_{number}"):
            above, below = _neighbours(form, bay, number)
            if above:
                act(form, f"raise_{bay}_{number}", "Move up", partial(_raise, bay, number), ("before", bay))
            if below is not None:
                act(form, f"lower_{bay}_{number}", "Move down", partial(_raise, bay, below), ("before", bay))
            act(form, f"remove_{key_of(place)}", "Take it out", lambda _: [Edit(place, None)], ("before", bay))


def _neighbours(form: Form, bay: int, number: int) -> tuple[bool, int | None]:
    """Whether there is an opening above, and the number of the one below; none while a height cannot be read."""
    try:
        order = from_the_floor(form.data, bay, form.units)
        at = order.index(number)
        has_above = next_above(form.data, bay, number, form.units) is not None
    except (LengthError, KeyError, TypeError):
        return False, None
    return has_above, order[at - 1] if at else None


def _raise(bay: int, number: int, data: dict[str, Any]) -> list[Edit]:
    return raise_opening(data, bay, number, _units(data))


def _new_opening(bay: int, data: dict[str, Any], answers: dict[str, Any]) -> list[Edit]:
    kind = _KIND_OF.get(answers.get("kind", ""), "")
    return opening_on_top(data, bay, _units(data), kind, answers.get("bottom"), answers.get("height"))


def _new_bay(number: int, data: dict[str, Any], answers: dict[str, Any]) -> list[Edit]:
    """A bay without openings, or with one rod under one shelf when the height of that is given."""
    shelf = answers.pop("shelf", None)
    units, openings = _units(data), []
    if shelf is not None:
        wall = data["wall"][number]
        thickness = data.get("panel", {}).get("thickness")
        panel = Panel().thickness if thickness is None else _read(thickness, units)
        heights = [data.get("ceiling"), *(wall.get("ceiling") or ())]
        ceiling = min((_read(height, units) for height in heights if height is not None), default=Ticks(0))
        openings = rod_under_shelf(_read(shelf, units), panel, ceiling, units)
    entry = {"wall": data["wall"][number]["name"], **answers, "openings": openings}
    return appended(("before",), data, entry)


def _read(value: Any, units: Units) -> Ticks:
    return parse_length(value, units, Rounding.DOWN)


def _units(data: dict[str, Any]) -> Units:
    return "mm" if data.get("units") == "mm" else "in"


def _left_to_right(form: Form, bays: list[int]) -> list[int]:
    """Numbers of bays in the order in which they stand, as the drawing has them."""

    def left(bay: int) -> int:
        try:
            return _read(form.at("before", bay, "left"), form.units)
        except (LengthError, TypeError):
            return 0

    return sorted(bays, key=left)


def _floor_up(form: Form, bay: int) -> list[int]:
    try:
        return from_the_floor(form.data, bay, form.units)
    except (AttributeError, KeyError, TypeError):
        return list(range(len(form.at("before", bay, "openings") or [])))


def _letters(form: Form, bays: list[int]) -> dict[tuple[int, int], str]:
    """The letter that each opening has in the drawing."""
    if form.closet is None:
        return {}
    places = [(bay, opening) for bay in _left_to_right(form, bays) for opening in _floor_up(form, bay)]
    return {place: letter_of(number) for number, place in enumerate(places)}
