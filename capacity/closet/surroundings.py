"""The room around the closet: door, way in, lamps, the room in front, baseboard."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import AfterValidator, model_validator

from capacity.closet.fields import Name, Need, Position, Room, Table, Text, Thick, show_value
from capacity.units import Ticks


def _day_of_year(text: str) -> str:
    """Refuse what is no day of every year."""
    try:
        return datetime.date.fromisoformat(f"2001-{text}").strftime("%m-%d")
    except ValueError:
        msg = f'{show_value(text)} is no day of the year; write month and day, such as "10-15"'
        raise ValueError(msg) from None


class Door(Table):
    """The door of the closet.

    `width` and `height` are the leaf of a hinged door, the opening of any other; `clear` is the clear width
    measured with the door open and wins. For the plan view: `faces` names the wall that one faces through
    the door, `left` is the left edge of the door along that wall, `distance` from that wall to the door.
    `hinge` is left or right as one faces that wall from inside.
    """

    kind: Literal["hinged", "bifold", "sliding", "open"]
    width: Room
    height: Room
    clear: Room | None = None
    faces: Text | None = None
    left: Position | None = None
    distance: Room | None = None
    swings: Literal["in", "out"] = "out"
    hinge: Literal["left", "right"] = "left"

    @model_validator(mode="after")
    def _is_placed(self) -> Door:
        given = [self.faces is not None, self.left is not None, self.distance is not None]
        if any(given) and not all(given):
            msg = "`faces`, `left` and `distance` place the door together; write all three or none"
            raise ValueError(msg)
        return self


class Way(Table):
    """One stretch of the way from the street into the room of the closet, in the order in which one walks it.

    door: clear `width` and `height`. hall: `width`, `ceiling`. corner: hall `width` before and `width_after`,
    `ceiling`. stairs: `width`, `headroom` (plumb), `rise` and `run` of a step. window: `width`, `height`; it leads
    straight into the room and replaces all the rest.
    """

    kind: Literal["door", "hall", "corner", "stairs", "window"]
    name: Text | None = None
    width: Room
    height: Room | None = None
    width_after: Room | None = None
    ceiling: Room | None = None
    headroom: Room | None = None
    rise: Room | None = None
    run: Room | None = None

    @model_validator(mode="after")
    def _is_complete(self) -> Way:
        wanted = {
            "door": {"height"}, "window": {"height"}, "hall": {"ceiling"}, "corner": {"width_after", "ceiling"},
            "stairs": {"headroom", "rise", "run"},
        }[self.kind]  # fmt: skip
        rest = {"height", "width_after", "ceiling", "headroom", "rise", "run"}
        given = {name for name in rest if getattr(self, name) is not None}
        words = [f"write {name}" for name in sorted(wanted - given)]
        words += [f"take out {name}" for name in sorted(given - wanted)]
        if words:
            msg = f"a {self.kind} has width and {', '.join(sorted(wanted))}: {', '.join(words)}"
            raise ValueError(msg)
        return self

    @property
    def title(self) -> str:
        """What a person calls it."""
        return self.name or self.kind


LAMP_KINDS = (
    "surface incandescent", "surface led", "surface fluorescent",
    "recessed incandescent", "recessed led", "recessed fluorescent",
    "closet rated", "open bulb", "pendant",
)  # fmt: skip


def _lamp_kind(name: str) -> str:
    plain = " ".join(name.casefold().split())
    if plain not in LAMP_KINDS:
        msg = f"{show_value(name)} is not a kind of lamp that is known; known: {', '.join(LAMP_KINDS)}"
        raise ValueError(msg)
    return plain


class Lamp(Table):
    """A luminaire as a box: `left` along the wall it is measured from, `out` from that wall, `bottom` over the floor.

    Without `bottom` it is flush with the ceiling, and it always reaches up to the ceiling. Without `width` or
    `depth` it is a point in that direction.
    """

    kind: Annotated[Text, AfterValidator(_lamp_kind)]
    wall: Text
    left: Position
    out: Position
    width: Need = Ticks(0)
    depth: Need = Ticks(0)
    bottom: Position | None = None


class RoomInFront(Table):
    """The room in front of the closet: its free floor, where a carcass can be laid down and stood up."""

    length: Room
    width: Room
    ceiling: Room


class Baseboard(Table):
    """The baseboard along the walls; `keep` is whether it stays behind the built-ins."""

    thickness: Thick
    height: Thick
    keep: bool


class Season(Table):
    """A season of the household: its name, as in the count, and the day of the year on which it begins (MM-DD)."""

    name: Annotated[Name, AfterValidator(lambda name: " ".join(name.casefold().split()))]
    starts: Annotated[Text, AfterValidator(_day_of_year)]


def season_faults(seasons: tuple[Season, ...]) -> Iterator[tuple[str, str]]:
    """Two seasons of one name, or on one day."""
    for field in ("name", "starts"):
        said = [getattr(season, field) for season in seasons]
        for number, value in enumerate(said, start=1):
            if said.index(value) != number - 1:
                yield f"[[season]] {number}, {field}", f"{show_value(value)} is there twice"
