"""The tables of `closet.toml` that the checks read: stock, door, way in, people, lamps, the real room."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from capacity.construction import Money
from capacity.fields import Need, Place, Room, Table, Text, Thick, one_or_several, show_value
from capacity.materials import PERFORMANCE_CATEGORIES, materials, names_of
from capacity.units import Ticks, inches

STANDARDS = ("architectural", "heavy architectural", "kitchen cabinet", "laboratory")
"""Names of the load standards that a shelf can be held to; figures stand in `strength`."""

TUBE_WALL = inches(0.035)
"""Wall of a metal rod when none is written: the thinnest that is usual (our proposal, the safe side)."""


def _known(*families: str) -> AfterValidator:
    def read(name: str) -> str:
        plain = " ".join(name.casefold().split())
        if plain not in materials() or materials()[plain].family not in families:
            msg = f"{show_value(name)} is not a material that is known here; known: {', '.join(names_of(*families))}"
            raise ValueError(msg)
        return plain

    return AfterValidator(read)


def _category(name: str) -> str:
    if name not in PERFORMANCE_CATEGORIES:
        msg = f"{show_value(name)} is not a performance category; known: {', '.join(PERFORMANCE_CATEGORIES)}"
        raise ValueError(msg)
    return name


class Strip(Table):
    """A solid strip along a shelf: at the front edge flush with its top, or a cleat under its back edge."""

    material: Annotated[Text, _known("solid", "board", "metal")] = "poplar"
    thickness: Thick
    height: Thick
    glued: bool = True


class Panel(Table):
    """Shelf and upright stock. `thickness` is what the design counts with; `measured` what a caliper says.

    `support_every`: middle supports under every shelf, at most so far apart. 23/32 in is what 3/4 in plywood
    usually is (common practice, no published source).
    """

    thickness: Thick = Field(default="23/32 in", validate_default=True)
    sheet: tuple[Room, Room] | None = None
    price: Money | None = None
    material: Annotated[Text, _known("board", "solid")] = "plywood"
    grain: Literal["along", "across"] = "along"
    ends: Literal["supported", "clamped"] = "supported"
    standard: Literal["architectural", "heavy architectural", "kitchen cabinet", "laboratory"] = "architectural"
    category: Annotated[Text, AfterValidator(_category)] | None = None
    measured: Annotated[tuple[Thick, ...], BeforeValidator(one_or_several), Field(max_length=50)] = ()
    strip: Strip | None = None
    cleat: Strip | None = None
    support_every: Room | None = None

    @property
    def thinnest(self) -> Ticks:
        """Least measured thickness, for stiffness."""
        return min(self.measured, default=self.thickness)

    @property
    def thickest(self) -> Ticks:
        """Greatest measured thickness, for how much room the uprights take."""
        return max(self.measured, default=self.thickness)


class Rod(Table):
    """The rod that garments hang on: a dowel of wood, or a tube of metal with `wall` thickness.

    Poplar, the weakest wood that rods are usually made of, when nothing is written (our proposal, the safe
    side). `support_every`: centre brackets, at most so far apart. 1 1/4 in is the least that the pole rule allows
    (see `strength`).
    """

    diameter: Thick = Field(default="1 1/4 in", validate_default=True)
    material: Annotated[Text, _known("solid", "metal")] = "poplar"
    wall: Thick | None = None
    support_every: Room | None = None

    @property
    def is_metal(self) -> bool:
        """Whether it is a metal tube or bar."""
        return materials()[self.material].family == "metal"

    @property
    def bore(self) -> Ticks:
        """Inner diameter; 0 for a dowel or a solid bar."""
        wall = self.wall if self.wall is not None else (TUBE_WALL if self.is_metal else None)
        return Ticks(max(0, self.diameter - 2 * wall)) if wall is not None else Ticks(0)


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
    left: Place | None = None
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


class Person(Table):
    """Somebody who uses the closet. A child may have an age instead of a height; `reach` measured wins.

    `reach` is the highest place from which this person can take a thing, standing or seated.
    """

    name: Text
    height: Room | None = None
    posture: Literal["standing", "seated"] = "standing"
    age: Annotated[int, Field(ge=3, le=120)] | None = None
    reach: Room | None = None

    @model_validator(mode="after")
    def _can_be_judged(self) -> Person:
        if self.posture == "standing" and self.height is None and (self.age is None or self.age > 12):
            msg = "write height, how tall this person is (a child of 3 to 12 may have age instead)"
            raise ValueError(msg)
        return self


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
    left: Place
    out: Place
    width: Need = Ticks(0)
    depth: Need = Ticks(0)
    bottom: Place | None = None


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


def people_faults(people: tuple[Person, ...]) -> Iterator[tuple[str, str]]:
    """Two people of one name."""
    names = [person.name.casefold() for person in people]
    for number, name in enumerate(names, start=1):
        if names.index(name) != number - 1:
            yield f"[[person]] {number}, name", f"{show_value(people[number - 1].name)} is there twice"
