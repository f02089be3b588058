"""What the household may wish for beside single settings: tables of `[wishes]` in `closet.toml`."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from capacity.fields import Place, Room, Table, Text, Thick
from capacity.units import inches

DRAWER_OPENING = inches(7.25)
"""Opening of a drawer where none is written: 6 in inside the drawer (common practice, no published source) and the
1 1/4 in that the drawer rule takes [ticks]."""


class WishedBay(Table):
    """A bay that must be: its clear left face from the left end of the wall, and its clear width."""

    wall: Text
    left: Place
    width: Room


class Drawers(WishedBay):
    """A bank of drawers in a bay that must be: how many, and the clear height of the opening of each."""

    count: Annotated[int, Field(ge=1, le=20)]
    height: Thick = DRAWER_OPENING


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
