"""Kinds of setting that the tables of `closet.toml` are made of: lengths with a direction, texts, lists.

A setting that is not known is refused by `Table`; `closet` words the fault.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, ValidationInfo

from capacity.errors import visible, without_codes
from capacity.units import Rounding, Ticks, Units, parse_length, shorten


@dataclass(frozen=True, slots=True)
class Usual:
    """A usual length: as written in a folder in inches, and in a metric one."""

    inches: str
    metric: str


def _length(rounding: Rounding, zero: bool = True, auto: bool = False) -> BeforeValidator:
    def read(value: object, info: ValidationInfo) -> Ticks | Literal["auto"]:
        if auto and value == "auto":
            return "auto"
        if isinstance(value, Usual):
            value = value.metric if (info.context or {}).get("units") == "mm" else value.inches
        if not isinstance(value, str | int | float):
            msg = f"{show_value(value)} is not a length; write a number or a text such as 14 1/2 or 368 mm"
            raise ValueError(msg)
        units: Units = (info.context or {}).get("units", "in")
        length = parse_length(value, units, rounding)
        if not zero and length == 0:
            msg = f"{show_value(value)} is nothing; expected a length above 0"
            raise ValueError(msg)
        return length

    return BeforeValidator(read)


def show_value(value: object) -> str:
    """A value of the file as a message shows it, cut to one line."""
    return shorten(f'"{value}"' if isinstance(value, str) else str(value))


def one_or_several(value: object) -> object:
    """A single value as a list of one."""
    return value if isinstance(value, list | tuple) else [value]


Room = Annotated[Ticks, _length(Rounding.DOWN, zero=False)]
"""A length that gives room, above 0, rounded down to a tick."""

Position = Annotated[Ticks, _length(Rounding.DOWN)]
"""A distance from the left end of the wall or from the floor, 0 or more, rounded down to a tick."""

Need = Annotated[Ticks, _length(Rounding.UP)]
"""A length that takes room, 0 or more, rounded up to a tick."""

NeedOrAuto = Annotated[Ticks | Literal["auto"], _length(Rounding.UP, auto=True)]
"""A length that takes room, 0 or more, or "auto": the program decides."""

Thick = Annotated[Ticks, _length(Rounding.UP, zero=False)]
"""A length that takes room, above 0, rounded up to a tick."""


def _readable(text: str) -> str:
    """Refuse a text with signs that a terminal would obey."""
    if text != without_codes(text) or (not text.isprintable() and len(text.splitlines()) > 1):
        msg = f"{show_value(visible(text))} has a control code or an end of line in it; take it out"
        raise ValueError(msg)
    return text


Text = Annotated[str, Field(min_length=1, max_length=200), AfterValidator(_readable)]
Name = Annotated[Text, AfterValidator(lambda text: unicodedata.normalize("NFC", text))]
"""What somebody is called: "é" may be typed as one letter or as two, and is the same name."""

Title = Annotated[str, Field(max_length=200), AfterValidator(_readable)]
"""A text that may be empty."""


class Table(BaseModel):
    """A table of the file: frozen, and no setting that is not known."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)
