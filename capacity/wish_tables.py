"""What the household may wish for beside single settings: tables of `[wishes]` in `closet.toml`."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from capacity.fields import Place, Room, Table, Text, Thick


class WishedBay(Table):
    """A bay that must be: its clear left face from the left end of the wall, and its clear width."""

    wall: Text
    left: Place
    width: Room


class Drawers(WishedBay):
    """A bank of drawers in a bay that must be: how many, and the clear height of the opening of each.

    7 1/4 in by default: 6 in inside the drawer (common practice, no published source) and what the drawer rule takes.
    """

    count: Annotated[int, Field(ge=1, le=20)]
    height: Thick = Field(default="7 1/4 in", validate_default=True)


class KeepTo(Table):
    """Things that keep to a wall: an owner's, of one kind, or both; `alone`: nothing of other owners joins them."""

    wall: Text
    owner: Text | None = None
    what: Text | None = None
    alone: bool = False

    @model_validator(mode="after")
    def _says_what(self) -> KeepTo:
        if self.owner is None and self.what is None:
            msg = "says neither whose things nor which kind; write owner, what or both"
            raise ValueError(msg)
        return self
