"""The people who use the closet, as the file describes them; `layout.reach_zones` knows who reaches how high."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field, model_validator

from capacity.closet.fields import Name, Room, Table, show_value


class Person(Table):
    """Somebody who uses the closet. A child may have an age instead of a height; `reach` measured wins.

    `reach` is the highest place from which this person can take a thing, standing or seated. `chart` says by which of
    the growth charts somebody up to 20 grows; left out: by the one that grows more.
    """

    name: Name
    height: Room | None = None
    posture: Literal["standing", "seated"] = "standing"
    age: Annotated[int, Field(ge=3, le=120)] | None = None
    reach: Room | None = None
    chart: Literal["boys", "girls"] | None = None

    @model_validator(mode="after")
    def _can_be_judged(self) -> Person:
        if self.posture == "standing" and self.height is None and (self.age is None or self.age > 12):
            msg = "write height, how tall this person is (a child of 3 to 12 may have age instead)"
            raise ValueError(msg)
        return self


def people_faults(people: tuple[Person, ...]) -> Iterator[tuple[str, str]]:
    """Two people of one name."""
    names = [person.name.casefold() for person in people]
    for number, name in enumerate(names, start=1):
        if names.index(name) != number - 1:
            yield f"[[person]] {number}, name", f"{show_value(people[number - 1].name)} is there twice"
