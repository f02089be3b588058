"""The walls, what hangs there today, the material and the wishes: `closet.toml`."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError, ValidationInfo

from capacity.errors import Fault, InputError
from capacity.files import read_text
from capacity.units import Rounding, Ticks, Units, format_length, parse_length, shorten

FILE_NAME = "closet.toml"
MOST_BYTES = 1_000_000
MOST_WALLS = 8
MOST_PLACES = 200  # blocked parts, bays or openings in one list

_NOT_YET_WISHES = ("keep_bays", "budget")
_NOT_YET_TABLES = (
    "door", "way", "person", "people", "lamp", "light", "prices", "hardware", "hallway", "drawers", "locks",
)  # fmt: skip


def _length(rounding: Rounding, zero: bool = True) -> BeforeValidator:
    def read(value: object, info: ValidationInfo) -> Ticks:
        if not isinstance(value, str | int | float):
            msg = f"{_show(value)} is not a length; write a number or a text such as 14 1/2 or 368 mm"
            raise ValueError(msg)
        units: Units = (info.context or {}).get("units", "in")
        length = parse_length(value, units, rounding)
        if not zero and length == 0:
            msg = f"{_show(value)} is nothing; expected a length above 0"
            raise ValueError(msg)
        return length

    return BeforeValidator(read)


def _several(value: object) -> object:
    return value if isinstance(value, list | tuple) else [value]


Room = Annotated[Ticks, _length(Rounding.DOWN, zero=False)]
"""A length that gives room, above 0, rounded down to a tick."""

Place = Annotated[Ticks, _length(Rounding.DOWN)]
"""A distance from the left end of the wall or from the floor, 0 or more, rounded down to a tick."""

Need = Annotated[Ticks, _length(Rounding.UP)]
"""A length that takes room, 0 or more, rounded up to a tick."""

Thick = Annotated[Ticks, _length(Rounding.UP, zero=False)]
"""A length that takes room, above 0, rounded up to a tick."""

_Text = Annotated[str, Field(min_length=1, max_length=200)]


class _Table(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class Blocked(_Table):
    """A part of a wall where nothing may be built."""

    left: Place
    width: Thick
    bottom: Place
    height: Thick


class Wall(_Table):
    """A stretch of wall to build against, left to right as one faces it."""

    name: _Text
    width: Annotated[tuple[Room, ...], BeforeValidator(_several), Field(min_length=1, max_length=20)]
    depth: Room
    corner: _Text | None = None
    ceiling: Annotated[tuple[Room, Room], Field()] | None = None
    blocked: Annotated[tuple[Blocked, ...], Field(max_length=MOST_PLACES)] = ()

    @property
    def clear_width(self) -> Ticks:
        """The least of the measured widths."""
        return min(self.width)


class OldOpening(_Table):
    """One opening of today's closet; `bottom` is measured from the floor."""

    kind: Literal["shelf", "hang", "drawer"]
    bottom: Place
    height: Room


class OldBay(_Table):
    """One bay of today's closet, its openings from the floor up."""

    wall: _Text
    left: Place
    width: Room
    depth: Room
    openings: Annotated[tuple[OldOpening, ...], Field(max_length=MOST_PLACES)]


class Panel(_Table):
    """Shelf and upright stock."""

    thickness: Thick = Field(default="23/32 in", validate_default=True)
    sheet: tuple[Room, Room] | None = None
    price: Annotated[float, Field(ge=0, le=1e6, strict=False, allow_inf_nan=False)] | None = None


class Rod(_Table):
    """The rod that garments hang on; its diameter is drawn to scale."""

    diameter: Thick = Field(default="1 1/4 in", validate_default=True)


class Wishes(_Table):
    """What the household wants; the defaults are those of the file's description."""

    toe_kick: Need = Field(default="3 in", validate_default=True)
    gap: Need = Field(default="1 in", validate_default=True)
    hang_allowance: Need = Field(default="4 in", validate_default=True)
    min_bay: Thick = Field(default="12 in", validate_default=True)
    max_shelf: Room = Field(default="36 in", validate_default=True)
    max_rod: Room = Field(default="48 in", validate_default=True)
    rows_deep: Annotated[int, Field(ge=1, le=20)] = 1
    corner_access: Need = Field(default="12 in", validate_default=True)
    owners_apart: bool = False
    spare: Annotated[float, Field(ge=0, le=0.9, strict=False, allow_inf_nan=False)] = 0.0
    keep_bays: Literal[False] = False
    prefer: Literal["plywood"] | None = None
    budget: Annotated[float, Field(ge=0, le=0, strict=False)] = 0.0

    @property
    def spare_share(self) -> Fraction:
        """The share of room to leave free, exactly as typed (0.15 is 3/20)."""
        return Fraction(str(self.spare))


class Closet(_Table):
    """One closet: the room, today's bays, the material and the wishes; lengths in ticks."""

    name: Annotated[str, Field(max_length=200)] = "Closet"
    units: Units = "in"
    ceiling: Room
    top: Room
    wall: Annotated[tuple[Wall, ...], Field(min_length=1, max_length=MOST_WALLS)]
    before: Annotated[tuple[OldBay, ...], Field(max_length=MOST_PLACES)] = ()
    panel: Panel = Field(default={}, validate_default=True)
    rod: Rod = Field(default={}, validate_default=True)
    wishes: Wishes = Field(default={}, validate_default=True)


def read_closet(path: Path) -> Closet:
    """Read `closet.toml`.

    Raises
    ------
    InputError
        With every fault of the file, each with the table and the setting that it concerns.
    """
    return parse_closet(read_text(path, MOST_BYTES), path.name)


def parse_closet(text: str, file: str = FILE_NAME) -> Closet:
    """Read the text of a closet file; see `read_closet`."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError([Fault(file, "", f"is not valid TOML: {error}")]) from None
    except (RecursionError, ValueError):
        raise InputError(
            [Fault(file, "", "is not valid TOML: it is nested too deeply or has a number too long")]
        ) from None
    faults = [*_units_faults(data, file), *_not_yet_faults(data, file)]
    units = data.get("units", "in")
    try:
        closet = Closet.model_validate(data, context={"units": units if units in ("in", "mm") else "in"}, strict=False)
    except ValidationError as error:
        known = {fault.place.strip("[]") for fault in faults}
        items = error.errors(include_url=False)
        # a list whose entries are faulty is also reported as too short; one line is enough
        items = [item for item in items if item["type"] != "too_short" or not item["input"]]
        found = [_fault_of(item, data, file) for item in items]
        raise InputError(faults + [fault for fault in found if fault.place.strip("[]") not in known]) from None
    if not faults:
        faults = [Fault(file, place, problem) for place, problem in _closet_faults(closet)]
    if faults:
        raise InputError(faults)
    return closet


def _units_faults(data: dict[str, Any], file: str) -> Iterator[Fault]:
    units = data.get("units", "in")
    if units not in ("in", "mm"):
        yield Fault(file, "units", f'{_show(units)} is not known; write "in" or "mm"')


def _not_yet_faults(data: dict[str, Any], file: str) -> Iterator[Fault]:
    remedy = "is not honoured by this version; take it out"
    wishes = data.get("wishes")
    for name in _NOT_YET_WISHES:
        if isinstance(wishes, dict) and wishes.get(name):
            yield Fault(file, f"[wishes] {name}", remedy)
    for name in _NOT_YET_TABLES:
        if name in data:
            yield Fault(file, f"[{name}]", remedy)


def _show(value: object) -> str:
    return shorten(f'"{value}"' if isinstance(value, str) else str(value))


def _fault_of(item: Any, data: dict[str, Any], file: str) -> Fault:
    """Put one finding of the data model into the words of the file."""
    where = [part for part in item["loc"] if not (isinstance(part, str) and part.startswith(("function-", "tuple[")))]
    kind, given = item["type"], item["input"]
    place = _place(where, data)
    if kind == "missing":
        return Fault(file, place, "is missing; write it")
    if kind == "extra_forbidden":
        return Fault(file, place, "is not a setting that is known; take it out or correct its name")
    if kind == "value_error":
        return Fault(file, place, str(item["ctx"]["error"]))
    words = {
        "bool_type": "expected true or false",
        "bool_parsing": "expected true or false",
        "string_type": "expected a text in quotes",
        "string_too_short": "expected a text that is not empty",
        "string_too_long": "expected a text of at most 200 characters",
        "literal_error": f"expected {item.get('ctx', {}).get('expected', '')}",
        "tuple_type": "expected a list",
        "model_type": "expected a table",
        "dict_type": "expected a table",
    }
    expected = words.get(kind, item["msg"][0].lower() + item["msg"][1:])
    return Fault(file, place, f"{_show(given)} cannot be used: {expected}")


def _place(where: list[Any], data: dict[str, Any]) -> str:
    """`[[wall]] 2 "left", depth`: the table as it stands in the file, counted from 1."""
    words: list[str] = []
    at: Any = data
    for index, part in enumerate(where):
        is_list = index + 1 < len(where) and isinstance(where[index + 1], int)
        if isinstance(part, int):
            words[-1] += f" {part + 1}"
            at = at[part] if isinstance(at, list) and part < len(at) else None
            if isinstance(at, dict) and isinstance(at.get("name"), str):
                words[-1] += f' "{shorten(at["name"])}"'
            continue
        at = at.get(part) if isinstance(at, dict) else None
        if index + 1 < len(where) and index == 0:
            words.append(f"[[{part}]]" if is_list and isinstance(at, list) else f"[{part}]")
        else:
            words.append(str(part))
    return ", ".join(words) if len(where) != 2 or not words[0].startswith("[") else " ".join(words)


def _closet_faults(closet: Closet) -> Iterator[tuple[str, str]]:
    """What each value allows by itself but not together with the others."""
    units, wishes, thick = closet.units, closet.wishes, closet.panel.thickness

    def show(length: int) -> str:
        return format_length(Ticks(length), units)

    if closet.top > closet.ceiling:
        yield "top", f"{show(closet.top)} is above the ceiling of {show(closet.ceiling)}"
    if closet.top <= wishes.toe_kick + 2 * thick:
        yield "top", f"{show(closet.top)} leaves no room over the toe kick and two panels"
    for name in ("max_shelf", "max_rod"):
        if getattr(wishes, name) < wishes.min_bay:
            yield (
                f"[wishes] {name}",
                f"{show(getattr(wishes, name))} is less than min_bay, {show(wishes.min_bay)}",
            )
    names = [wall.name for wall in closet.wall]
    for number, wall in enumerate(closet.wall, start=1):
        place = f'[[wall]] {number} "{shorten(wall.name)}"'
        if names.index(wall.name) != number - 1:
            yield place, "another wall has this name; give each wall its own"
        least = wishes.min_bay + 2 * thick
        if wall.clear_width < least:
            yield (
                f"{place}, width",
                (f"{show(wall.clear_width)} is narrower than the smallest bay with its two uprights, {show(least)}"),
            )
        for blocked_number, blocked in enumerate(wall.blocked, start=1):
            inside = f"{place}, blocked {blocked_number}"
            if blocked.left + blocked.width > max(wall.width):
                yield (
                    inside,
                    f"ends at {show(blocked.left + blocked.width)}, beyond the wall's {show(max(wall.width))}",
                )
            if blocked.bottom + blocked.height > max(wall.ceiling or (closet.ceiling,)):
                yield inside, f"ends at {show(blocked.bottom + blocked.height)}, above the ceiling"
        if wall.ceiling and min(wall.ceiling) > closet.ceiling:
            yield (
                f"{place}, ceiling",
                f"both ends are above the ceiling of {show(closet.ceiling)}; raise `ceiling`",
            )
    yield from _corner_faults(closet)
    yield from _before_faults(closet)


def _corner_faults(closet: Closet) -> Iterator[tuple[str, str]]:
    names = [wall.name for wall in closet.wall]
    started: dict[str, str] = {}
    for number, wall in enumerate(closet.wall, start=1):
        if wall.corner is None:
            continue
        place = f'[[wall]] {number} "{shorten(wall.name)}", corner'
        if wall.corner not in names or wall.corner == wall.name:
            others = ", ".join(f'"{shorten(name)}"' for name in names if name != wall.name) or "none"
            yield place, f"{_show(wall.corner)} is not another wall; the others are: {others}"
        elif wall.corner in started:
            yield (
                place,
                f'wall "{shorten(started[wall.corner])}" already ends at the start of {_show(wall.corner)}',
            )
        else:
            started[wall.corner] = wall.name


def _before_faults(closet: Closet) -> Iterator[tuple[str, str]]:
    def show(length: int) -> str:
        return format_length(Ticks(length), closet.units)

    walls = {wall.name: wall for wall in closet.wall}
    placed: dict[str, list[tuple[int, int, int]]] = {}
    for number, bay in enumerate(closet.before, start=1):
        place = f"[[before]] {number}"
        wall = walls.get(bay.wall)
        if wall is None:
            known = ", ".join(f'"{shorten(name)}"' for name in walls)
            yield f"{place}, wall", f"{_show(bay.wall)} is not a wall; the walls are: {known}"
            continue
        if bay.left + bay.width > wall.clear_width:
            end = show(bay.left + bay.width)
            yield f"{place}, width", f"the bay ends at {end}, outside the wall's {show(wall.clear_width)}"
        for other, left, right in placed.setdefault(bay.wall, []):
            if bay.left < right and left < bay.left + bay.width:
                yield f"{place}, left", f"the bay overlaps [[before]] {other} on the same wall"
        placed[bay.wall].append((number, bay.left, bay.left + bay.width))
        ceiling = max(wall.ceiling) if wall.ceiling else closet.ceiling
        for index, opening in enumerate(bay.openings, start=1):
            upper = opening.bottom + opening.height
            if upper > ceiling:
                yield (
                    f"{place}, opening {index}",
                    f"ends at {show(upper)}, above the ceiling of {show(ceiling)}",
                )
            for below, lower in enumerate(bay.openings[: index - 1], start=1):
                if opening.bottom < lower.bottom + lower.height and lower.bottom < upper:
                    yield f"{place}, opening {index}", f"overlaps opening {below} of the same bay"
