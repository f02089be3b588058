"""The rarer tables of the page Closet, each folded under one line that says what is set."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

import streamlit as st

from capacity.closet.boards import STANDARDS, Panel, Rod
from capacity.closet.construction import Prices
from capacity.closet.edits import move_entry, one_of_several, one_of_two
from capacity.closet.materials import PERFORMANCE_CATEGORIES, names_of
from capacity.closet.surroundings import LAMP_KINDS
from capacity.closet.text_edits import Edit, SettingPath
from capacity.closet.wishes import DRAWER_OPENING, Wishes
from capacity.page.closet.entry import Form, chosen, key_of, length, length_said, part_of_length, ticked
from capacity.page.closet.entry_table import Setting, act, add, appended, one_table, remove, table
from capacity.page.household import plain

PANEL = (
    Setting("thickness", "Thickness", usual=Panel().thickness, note="measure it: plywood sold as 3/4 is thinner"),
    Setting("material", "Material", "choice", names_of("board", "solid"), usual="plywood"),
    Setting("price", "Price of a sheet", "number"),
    Setting("category", "Performance category", "choice", tuple(PERFORMANCE_CATEGORIES), usual="none"),
    Setting("grain", "Grain", "choice", ("along", "across"), usual="along"),
    Setting("ends", "Shelf ends", "choice", ("supported", "clamped"), usual="supported"),
    Setting("standard", "Load standard", "choice", STANDARDS, usual="architectural"),
    Setting("support_every", "Middle supports every", note="under each shelf, at most so far apart"),
)

STRIP = (
    Setting("thickness", "Thickness", is_needed=True),
    Setting("height", "Height", is_needed=True),
    Setting("material", "Material", "choice", names_of("solid", "board", "metal"), usual="poplar"),
    Setting("glued", "Glued to the shelf", "tick", usual=True),
)

ROD = (
    Setting("diameter", "Diameter", usual=Rod().diameter),
    Setting("material", "Material", "choice", names_of("solid", "metal"), usual="poplar"),
    Setting("wall", "Wall of the tube", note="empty: a dowel or, of metal, the thinnest usual tube"),
    Setting("support_every", "Brackets every", note="centre brackets, at most so far apart"),
)

DOOR = (
    Setting("kind", "Kind", "choice", ("hinged", "bifold", "sliding", "open"), is_needed=True),
    Setting("width", "Width", note="of the leaf when hinged, else of the opening", is_needed=True),
    Setting("height", "Height", is_needed=True),
    Setting("clear", "Clear width", note="measured with the door open; it wins"),
    Setting("swings", "Swings", "choice", ("in", "out"), usual="out"),
    Setting("hinge", "Hinge", "choice", ("left", "right"), usual="left"),
)

WAY = {
    "door": (Setting("width", "Clear width"), Setting("height", "Clear height")),
    "hall": (Setting("width", "Width"), Setting("ceiling", "Ceiling")),
    "corner": (
        Setting("width", "Width before it"), Setting("width_after", "Width after it"), Setting("ceiling", "Ceiling"),
    ),
    "stairs": (
        Setting("width", "Width"), Setting("headroom", "Headroom"), Setting("rise", "Rise of a step"),
        Setting("run", "Run of a step"),
    ),
    "window": (Setting("width", "Clear width"), Setting("height", "Clear height")),
}  # fmt: skip
_NAME = Setting("name", "Name", "text")

PERSON = (
    _NAME,
    Setting("height", "Height", note="how tall; a child of 3 to 12 may have an age instead"),
    Setting("age", "Age", "number"),
    Setting("posture", "Posture", "choice", ("standing", "seated"), usual="standing"),
    Setting("reach", "Highest reach", note="measured; it wins over the height"),
    Setting(
        "chart", "Growth chart", "choice", ("boys", "girls"), usual="the one that grows more", note="up to 20 years"
    ),
)

SEASON = (
    Setting("name", "Season", "text", note="as in the column season of the count", is_needed=True),
    Setting("starts", "Begins", "text", note="month and day, such as 10-15", is_needed=True),
)

LAMP = (
    Setting("kind", "Kind", "choice", LAMP_KINDS, is_needed=True),
    Setting("left", "Along the wall", note="from the left end of the wall to the lamp", is_needed=True),
    Setting("out", "Out from the wall", is_needed=True),
    Setting("width", "Width", usual=0),
    Setting("depth", "Depth", usual=0),
    Setting("bottom", "Lower edge", note="over the floor; empty: flush with the ceiling"),
)

ROOM = (
    Setting("length", "Length", is_needed=True),
    Setting("width", "Width", is_needed=True),
    Setting("ceiling", "Ceiling", is_needed=True),
)

BASEBOARD = (
    Setting("thickness", "Thickness", is_needed=True),
    Setting("height", "Height", is_needed=True),
    Setting("keep", "It stays behind the built-ins", "tick", is_needed=True),
)

_USUAL = Wishes()
WISHES = (
    Setting("toe_kick", "Toe kick", usual=_USUAL.toe_kick, note="height of the recess under the lowest shelf"),
    Setting("gap", "Hand room", usual=_USUAL.gap, note="above what stands or lies on a shelf"),
    Setting("hang_allowance", "Room for hangers", usual=_USUAL.hang_allowance, note="over the rod and under the hem"),
    Setting("min_bay", "Narrowest bay", usual=_USUAL.min_bay),
    Setting("max_shelf", "Longest shelf", note="empty: what board and things allow, at most 36 in"),
    Setting("max_rod", "Longest rod", note="empty: what rod and things allow, at most 48 in"),
    Setting("rows_deep", "Rows deep", "number", usual=_USUAL.rows_deep, note="things one behind the other"),
    Setting("corner_access", "Room at a corner", usual=_USUAL.corner_access, note="free width before its owner"),
    Setting("play", "Play", note="what is built narrower than a wall; empty: 1/4 in or 6 mm; 0: none"),
    Setting("least_opening", "Lowest shelf opening", note="a hand must go in; empty: 4 in or 100 mm; 0: any"),
    Setting("least_drawer", "Lowest drawer opening", note="its box takes a slide; empty: 4 in or 100 mm; 0: any"),
    Setting("highest_drawer", "Drawers end at most at", note="over the floor; empty: 48 in or 1220 mm; 0: anywhere"),
    Setting("round", "Sizes in whole multiples of", note="what a rule can mark; empty: 1/16 in or 1 mm; 0: any"),
    Setting("pitch", "Rows of holes", note="so far apart; empty: 1 1/4 in or 32 mm where they cost nothing; 0: none"),
    Setting("years", "Years to grow", "number", usual=0, note="the layout holds the sizes of now and of then"),
    Setting("spare", "Room to spare", "number", usual=0, note="share to leave free, such as 0.1"),
    Setting("budget", "Budget", "number", usual="no limit"),
    Setting("prefer", "Rather save", "choice", ("plywood",), usual="room to spare first"),
    Setting("owners_apart", "A bay holds the things of one owner only", "tick"),
    Setting("keep_bays", "Today's bays stay; only shelves and rods move", "tick"),
)

ASSEMBLY = ("whole", "on a base", "two pieces", "in place")
MEASURED = 3


def show(form: Form, owners: Sequence[str], kinds: Sequence[str]) -> None:
    """Draw every table; `owners` and `kinds` are those of the count."""
    _folded(form, "door", "Door of the closet", _said(form, ("door",), ("kind", "width")), _door)
    ways = form.at("way") or []
    _folded(form, "way", "Way in", ", ".join(str(way.get("name", way.get("kind"))) for way in ways), _way)
    people = form.at("person") or []
    names = ", ".join(str(person.get("name", "")) for person in people)
    if unknown := _unknown(form, owners):
        names += f"{'; ' if names else ''}of the count not yet: {', '.join(unknown)}"
    _folded(form, "person", "People", names, partial(_people, owners=owners))
    seasons = ", ".join(str(season.get("name", "")) for season in form.at("season") or ())
    asked = partial(_entries, place=("season",), settings=SEASON, words="a season")
    _folded(form, "season", "Seasons", seasons, asked)
    lamps = form.at("lamp") or []
    _folded(form, "lamp", "Lamps", ", ".join(str(lamp.get("kind", "")) for lamp in lamps), _lamps)
    rooms = _said(form, ("room",), ("length", "width"))
    _folded(form, "room", "Room in front", rooms, partial(one_table, place=("room",), settings=ROOM, name="the room"))
    board = _said(form, ("baseboard",), ("thickness", "height"))
    _folded(
        form, "baseboard", "Baseboard", board,
        partial(one_table, place=("baseboard",), settings=BASEBOARD, name="the baseboard"),
    )  # fmt: skip
    _folded(form, "panel", "Panel", _said(form, ("panel",), ("thickness", "material")) or "23/32 in plywood", _panel)
    rod = _said(form, ("rod",), ("diameter", "material")) or "1 1/4 in poplar"
    _folded(form, "rod", "Rod", rod, partial(table, place=("rod",), settings=ROD))
    prices = form.at("prices") or {}
    _folded(form, "prices", "Prices", f"{len(prices)} set" if prices else "", _prices)
    wishes = form.at("wishes") or {}
    _folded(
        form, "wishes", "Wishes", f"{len(wishes)} set" if wishes else "", partial(_wishes, kinds=kinds, owners=owners)
    )
    built = str(form.at("assembly") or "whole") + ("" if form.at("fillers") is not False else ", without fillers")
    _folded(form, "assembly", "How it goes in", built, _assembly)


def _folded(form: Form, name: str, title: str, said: str, draw: Callable[..., None]) -> None:
    with st.expander(f"{title}: {plain(said) or 'not set'}", key=f"open_{name}"):
        draw(form)


def _said(form: Form, place: SettingPath, names: Sequence[str]) -> str:
    """The first settings of a table in words, as they are written."""
    values = [form.at(*place, name) for name in names]
    words = (length_said(value, form.units).removeprefix("understood: ") or str(value) for value in values if value)
    return ", ".join(words)


def _door(form: Form) -> None:
    one_table(form, ("door",), DOOR, "the door")
    if form.at("door") is None:
        return
    if form.at("door", "faces") is not None:
        st.write("Where it is, on the wall that one faces through it:")
        with st.container(horizontal=True, key="fields_door_place"):
            chosen(form, ("door", "faces"), "Faces the wall", form.wall_names)
            length(form, ("door", "left"), "From its left end", "from the left end of that wall to the door")
            length(form, ("door", "distance"), "From that wall", "from that wall to the door")
        away = [Edit(("door", name), None) for name in ("faces", "left", "distance")]
        act(form, "remove_door_place", "Take out where it is", lambda _: away, ("door",))
        return
    asks = (
        Setting("faces", "Faces the wall", "choice", form.wall_names, note="the wall that one faces through it"),
        Setting("left", "From its left end"),
        Setting("distance", "From that wall"),
    )
    add(form, "door_place", asks, _door_place, "Say where it is", ("door",))


def _door_place(_data: dict[str, Any], answers: dict[str, Any]) -> list[Edit]:
    return [Edit(("door", name), value) for name, value in answers.items()]


def _way(form: Form) -> None:
    st.caption("From the street to the room of the closet, in the order in which one walks.")
    entries = form.at("way") or []
    for at, way in enumerate(entries):
        kind = str(way.get("kind", ""))
        with st.container(border=True, key=f"way_{at}"):
            st.markdown(f"**{at + 1}** {plain(kind)}")
            table(form, ("way", at), (_NAME, *WAY.get(kind, ())))
            with st.container(horizontal=True, key=f"buttons_way_{at}"):
                if at:
                    act(form, f"earlier_way_{at}", "Earlier", partial(_move_way, at, -1), ("way",))
                if at + 1 < len(entries):
                    act(form, f"later_way_{at}", "Later", partial(_move_way, at, 1), ("way",))
                remove(form, ("way", at), "Take it out")
    kind = st.selectbox("Next stretch of the way", tuple(WAY), key="way_kind", filter_mode=None, width=280)
    add(form, f"way_{kind}", (_NAME, *WAY[kind]), partial(_new_way, kind), f"Add the {kind}", ("way",))


def _move_way(at: int, step: int, data: dict[str, Any]) -> list[Edit]:
    return move_entry(data, "way", at, step)


def _new_way(kind: str, data: dict[str, Any], answers: dict[str, Any]) -> list[Edit]:
    return appended(("way",), data, {"kind": kind, **answers})


def _people(form: Form, owners: Sequence[str]) -> None:
    """Everybody in the file; who owns something and is not there yet is offered by name."""
    for number, owner in enumerate(_unknown(form, owners)):
        asked = (
            Setting("height", "How tall", note="or an age, for a child of 3 to 12"),
            Setting("age", "Age", "number"),
        )
        st.markdown(f"**{plain(owner)}**")
        add(form, f"person_{number}", asked, partial(_person, owner), f"Add {plain(owner)}", ("person",))
    _entries(form, ("person",), PERSON, "a person")


def _unknown(form: Form, owners: Sequence[str]) -> list[str]:
    """Who owns something and is not described."""
    known = [str(person.get("name", "")).casefold() for person in form.at("person") or ()]
    return [owner for owner in owners if owner.casefold() not in known]


def _person(owner: str, data: dict[str, Any], answers: dict[str, Any]) -> list[Edit]:
    return appended(("person",), data, {"name": owner, **answers})


def _lamps(form: Form) -> None:
    wall = Setting("wall", "Measured from wall", "choice", form.wall_names, is_needed=True)
    _entries(form, ("lamp",), (wall, *LAMP), "a lamp")


def _entries(
    form: Form,
    place: SettingPath,
    settings: Sequence[Setting],
    words: str,
    more: Callable[[Form, SettingPath], None] | None = None,
) -> None:
    """Every entry of a list with a button that takes it out, and a form for one more; `more` draws what else it has."""
    for at in range(len(form.at(*place) or ())):
        with st.container(border=True, key=f"entry_{key_of((*place, at))}"):
            st.markdown(f"**{at + 1}**")
            table(form, (*place, at), settings)
            if more is not None:
                more(form, (*place, at))
            remove(form, (*place, at), "Take it out")
    named = "_".join(str(part) for part in place)
    add(form, named, settings, partial(appended, place), f"Add {words}", place)


def _panel(form: Form) -> None:
    table(form, ("panel",), PANEL)
    usual = ["48 in", "96 in"]
    sheet = form.at("panel", "sheet")
    sizes = sheet if isinstance(sheet, list) and len(sheet) == 2 else (None, None)
    with st.container(horizontal=True, key="fields_sheet"):
        for at, label in enumerate(("Sheet, one side", "Sheet, other side")):
            changes = partial(_sheet, at, usual[1 - at])
            part_of_length(form, ("panel", "sheet", at), label, sizes[at], changes, "one sheet as it is sold")
        _several(form, ("panel", "measured"), "Caliper, place", "thickness as measured", MEASURED)
    for name, words in (("strip", "a solid strip at the front edge"), ("cleat", "a cleat under the back edge")):
        st.write(f"Stiffened by {words}:")
        one_table(form, ("panel", name), STRIP, words)


def _sheet(at: int, other: str, data: dict[str, Any], value: Any) -> list[Edit]:
    return one_of_two(data, ("panel", "sheet"), at, value, other)


def _rods(form: Form, bay: SettingPath) -> None:
    """Fields for the heights of the rods of a bay, and for one more."""
    with st.container(horizontal=True, key=f"fields_rods_{key_of(bay)}"):
        _several(form, (*bay, "rod"), "Rod", "its middle over the floor; any rod makes it a bay of rods", 2)


def _several(form: Form, place: SettingPath, label: str, note: str, least: int) -> None:
    """Fields for several lengths of a setting, at least so many, the last of them empty."""
    several = form.at(*place)
    known = several if isinstance(several, list) else [] if several is None else [several]
    for at in range(max(least, len(known) + 1)):
        value, changes = known[at] if at < len(known) else None, partial(_one_of, place, at)
        part_of_length(form, (*place, at), f"{label} {at + 1}", value, changes, note)


def _one_of(place: SettingPath, at: int, data: dict[str, Any], value: Any) -> list[Edit]:
    return one_of_several(data, place, at, value)


def _prices(form: Form) -> None:
    st.caption("What one pack costs, by the lines of the shopping list; a sheet has its price under Panel.")
    notes = {"tax": "a share, such as 0.08", "reserve": "a share put aside, such as 0.1"}
    settings = [
        Setting(
            name,
            name.replace("_", " ").capitalize(),
            "text" if name == "currency" else "number",
            note=notes.get(name, ""),
        )
        for name in Prices.model_fields
    ]
    table(form, ("prices",), settings)


def _wishes(form: Form, kinds: Sequence[str], owners: Sequence[str]) -> None:
    table(form, ("wishes",), WISHES)
    wall = Setting("wall", "Wall", "choice", form.wall_names)
    st.write("A bay that must be:")
    bay = (wall, Setting("left", "From the left end", note="to its clear left face"), Setting("width", "Clear width"))
    what = (
        Setting("kind", "All of it", "choice", ("shelf", "hang", "drawer"), usual="whatever fits best"),
        Setting("bottom", "Begins over the floor", note="over a radiator or a window seat; empty: on the floor"),
    )
    _entries(form, ("wishes", "bay"), (*bay, *what), "a bay that must be", _rods)
    st.write("A bank of drawers in a bay that must be:")
    height = Setting("height", "Height of each opening", usual=DRAWER_OPENING)
    _entries(form, ("wishes", "drawers"), (*bay, Setting("count", "Drawers", "number"), height), "a bank of drawers")
    st.write("A chest or baskets that you own, in a bay of its own; what lies in it is no part of the count:")
    sizes = (Setting(name, name.capitalize()) for name in ("width", "depth", "height"))
    left = Setting("left", "From the left end", note="to the clear left face of its bay")
    own = (Setting("what", "Name", "text"), wall, left, *sizes)
    _entries(form, ("wishes", "unit"), own, "a unit that you own")
    named = (
        Setting("owner", "Whose", "choice", tuple(owners), usual="all"),
        Setting("what", "Which kind", "choice", tuple(kinds), usual="all"),
    )
    st.write("What must have a place before anything else is weighed, by owner, by kind or both:")
    _entries(form, ("wishes", "must"), named, "what must have a place")
    st.write("Things that keep to a wall, by owner, by kind or both:")
    keeps = (
        wall, *named,
        Setting("alone", "Nothing of other owners joins them", "tick"),
    )  # fmt: skip
    _entries(form, ("wishes", "keep_to"), keeps, "things that keep to a wall")


def _assembly(form: Form) -> None:
    with st.container(horizontal=True, key="fields_assembly"):
        chosen(
            form,
            ("assembly",),
            "Brought in",
            ASSEMBLY,
            "as whole bays, on a base, in two pieces, or built there",
            "whole",
        )
    ticked(form, ("fillers",), "Fillers close the gaps to the walls", usual=True)
