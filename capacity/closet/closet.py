"""The walls, what hangs there today, the material and the wishes: `closet.toml`."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError

from capacity.closet.boards import Panel, Rod
from capacity.closet.construction import Construction, Hardware, Have, Minutes, Prices, Print, SheetStock, StickStock
from capacity.closet.fields import Room, Table, Title, show_value
from capacity.closet.people import Person, people_faults
from capacity.closet.surroundings import Baseboard, Door, Lamp, RoomInFront, Season, Way, season_faults
from capacity.closet.walls import MOST_PLACES, BayToday, Wall, before_faults, corner_faults
from capacity.closet.wishes import UNDER_CEILING, Wishes
from capacity.disk.files import read_text
from capacity.errors import Fault, InputError
from capacity.units import PER_INCH, PER_MM, Tape, Ticks, Units, format_length, shorten

FILE_NAME = "closet.toml"
MOST_BYTES, MOST_WALLS, MOST_PEOPLE = 1_000_000, 8, 50
MOST_STOCK = 12
"""Sizes of sheets, or lengths of sticks; like all such limits chosen by us."""

LEAST_CLEAT = 3 * PER_INCH // 8
"""Least height of a cleat under a loose shelf (our proposal) [ticks]."""

_NOT_YET_TABLES = {"people", "light", "hallway"}


class Closet(Table):
    """One closet: the room, today's bays, the material and the wishes; lengths in ticks."""

    name: Title = "Closet"
    units: Units = "in"
    ceiling: Room
    top: Room
    wall: Annotated[tuple[Wall, ...], Field(min_length=1, max_length=MOST_WALLS)]
    before: Annotated[tuple[BayToday, ...], Field(max_length=MOST_PLACES)] = ()
    built: Annotated[tuple[BayToday, ...], Field(max_length=MOST_PLACES)] = ()
    panel: Panel = Field(default={}, validate_default=True)
    rod: Rod = Field(default={}, validate_default=True)
    wishes: Wishes = Field(default={}, validate_default=True)
    door: Door | None = None
    way: Annotated[tuple[Way, ...], Field(max_length=MOST_PLACES)] = ()
    person: Annotated[tuple[Person, ...], Field(max_length=MOST_PEOPLE)] = ()
    season: Annotated[tuple[Season, ...], Field(max_length=12)] = ()
    lamp: Annotated[tuple[Lamp, ...], Field(max_length=MOST_PLACES)] = ()
    room: RoomInFront | None = None
    baseboard: Baseboard | None = None
    fillers: bool = True
    assembly: Literal["whole", "on a base", "two pieces", "in place"] = "whole"
    construction: Construction = Field(default={}, validate_default=True)
    sheet: Annotated[tuple[SheetStock, ...], Field(max_length=MOST_STOCK)] = ()
    stick: Annotated[tuple[StickStock, ...], Field(max_length=MOST_STOCK)] = ()
    prices: Prices = Field(default={}, validate_default=True)
    hardware: Hardware = Field(default={}, validate_default=True)
    have: Have = Field(default={}, validate_default=True)
    print: Print = Field(default={}, validate_default=True)
    minutes: Minutes = Field(default={}, validate_default=True)

    @property
    def lengths(self) -> Tape:
        """How the packet prints lengths: `round` is the finest mark where a tape has it, 1/8 in or 3 mm at most."""
        inch, mark = self.units == "in", self.wishes.round
        per, most = (PER_INCH, PER_INCH // 8) if inch else (PER_MM, 3 * PER_MM)
        is_mark = 0 < mark <= most and (
            per % mark == 0 and 64 % (per // mark) == 0 if inch else mark % (PER_MM // 2) == 0
        )
        usual = PER_INCH // 16 if inch else PER_MM
        unit: Literal["in", "ft", "mm"] = "ft" if inch and self.print.lengths == "feet" else self.units
        return Tape(unit, mark if is_mark else usual)

    def show(self, length: int) -> str:
        """A length [ticks] as a message of this folder prints it."""
        return format_length(Ticks(length), self.units)

    @property
    def standing(self) -> tuple[BayToday, ...]:
        """The bays that stand now: what was built, or today's where nothing was."""
        return self.built or self.before

    @property
    def has_drawers(self) -> bool:
        """Whether drawers must be: a bank of them or a bay of their kind is wished for, or bays with some are kept."""
        if self.wishes.keep_bays:
            return any(opening.kind == "drawer" for bay in self.standing for opening in bay.openings)
        return bool(self.wishes.drawers) or any(bay.kind == "drawer" for bay in self.wishes.bay)

    def kept_ends(self, wall: Wall) -> tuple[Ticks, Ticks]:
        """What straight and square built-ins leave free at the left and the right end of a wall.

        A kept baseboard at both ends. What the ends lean and are out of square, whose direction is not known, is all
        kept at the right: places along a wall count from where its left end comes furthest in.
        """
        board = self.baseboard.thickness if self.baseboard is not None and self.baseboard.keep else 0
        return Ticks(board), Ticks(board + wall.lean + wall.out_of_square)

    @property
    def under_ceiling(self) -> Ticks:
        """How far the built-ins stay below a ceiling or a slope."""
        return UNDER_CEILING[self.units] if self.wishes.play else Ticks(0)

    def design_ends(self, wall: Wall) -> tuple[Ticks, Ticks]:
        """What a design leaves free at the left and the right end of a wall: the play at the right besides."""
        left, right = self.kept_ends(wall)
        return left, Ticks(right + self.wishes.play)

    def built_width(self, wall: Wall) -> Ticks:
        """Width of the straight and square built-ins that a design puts in between the ends of a wall."""
        return Ticks(wall.clear_width - sum(self.design_ends(wall)))


DEEPEST = 30
"""A setting lies in at most so many tables."""

_DEEP = re.compile(
    r"(?<![A-Za-z0-9_-])(?:(?:[A-Za-z0-9_-]+|\"[^\"\n]*\"|'[^'\n]*')[ \t]*\.[ \t]*){" + str(DEEPEST) + "}"
)


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
    return validate_closet(load_closet(text, file), file)


def load_closet(text: str, file: str = FILE_NAME) -> dict[str, Any]:
    """The settings of a closet file as plain data, not looked at yet; `InputError` when it is not TOML."""
    deep = _DEEP.search(text)
    if deep is not None:  # reading it would take time and memory by the square of its depth
        line = text.count("\n", 0, deep.start()) + 1
        raise InputError([Fault(file, "", f"line {line} names a setting more than {DEEPEST} tables deep")])
    try:
        return tomllib.loads(text)
    except (RecursionError, ValueError) as error:
        is_told = isinstance(error, tomllib.TOMLDecodeError)
        reason = error if is_told else "it is nested too deeply or has a number too long"
        raise InputError([Fault(file, "", f"is not valid TOML: {reason}{_cure(text, str(error))}")]) from None


def _cure(text: str, reason: str) -> str:
    """What to write instead, where a value stands without its quotes; empty where it is something else."""
    number = re.search(r"at line (\d+)", reason)
    line = text.splitlines()[int(number[1]) - 1 :][:1] if number else []
    found = re.fullmatch(r"\s*([\w.\"-]+)\s*=\s*([^#\[{]+?)\s*(?:#.*)?", line[0]) if line else None
    if found is None or found[2][0] in "\"'":
        return ""
    value = found[2].strip("\u201c\u201d\u2018\u2019\u201e\u201f")
    if value.casefold() in ("yes", "no", "on", "off"):
        if found[1].split(".")[-1].strip('"') not in _ticked():
            return f"; {shorten(found[1])} is not answered with yes or no: write its value, a text in straight quotes"
        return f"; write {found[1]} = {'true' if value.casefold() in ('yes', 'on') else 'false'}"
    quoted = f"'{value}'" if '"' in value else f'"{value}"'
    return f"; put the value in straight quotes: {shorten(found[1])} = {shorten(quoted)}"


def _ticked() -> set[str]:
    """The settings that are true or false, of whichever table."""
    return {name for table in Table.__subclasses__() for name, field in table.model_fields.items()
            if field.annotation is bool}  # fmt: skip


def validate_closet(data: dict[str, Any], file: str = FILE_NAME) -> Closet:
    """The closet that the settings of a file describe; see `read_closet`."""
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
        yield Fault(file, "units", f'{show_value(units)} is not known; write "in" or "mm"')


def _not_yet_faults(data: dict[str, Any], file: str) -> Iterator[Fault]:
    for name in sorted(data.keys() & _NOT_YET_TABLES):
        yield Fault(file, f"[{name}]", "is not honoured by this version; take it out")


def _fault_of(item: Any, data: dict[str, Any], file: str) -> Fault:
    """Put one finding of the data model into the words of the file."""
    where = [part for part in item["loc"] if not (isinstance(part, str) and part.startswith(("function-", "tuple[")))]
    kind, given = item["type"], item["input"]
    place = _place(where, data)
    if kind == "missing":
        return Fault(file, place, "is missing; write it")
    if kind == "extra_forbidden":
        others = [name for name in _settings() if name != where[-1]]  # known elsewhere, and so not meant
        near = get_close_matches(str(where[-1]), others, n=1, cutoff=0.75)
        meant = f'; is "{near[0]}" meant?' if near else ""
        return Fault(file, place, f"is not a setting that is known; take it out or correct its name{meant}")
    if kind == "tuple_type" and isinstance(given, dict) and len(where) == 1:
        return Fault(file, place, f"stands in single brackets: write [[{where[0]}]], since there may be several")
    if kind == "less_than_equal" and where[-1] == "spare":
        return Fault(file, place, f"{show_value(given)} cannot be used: write the share, such as 0.15 for 15 %")
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
    return Fault(file, place, f"{show_value(given)} cannot be used: {expected}")


@cache
def _settings() -> tuple[str, ...]:
    """The names of all settings, wherever they stand."""
    seen, ahead = set[str](), [Closet.model_json_schema()]
    while ahead:
        schema = ahead.pop()
        seen |= schema.get("properties", {}).keys()
        ahead += schema.get("$defs", {}).values()
    return tuple(sorted(seen))


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
    units, wishes, thick, show = closet.units, closet.wishes, closet.panel.thickness, closet.show

    if closet.top > closet.ceiling:
        yield "top", f"{show(closet.top)} is above the ceiling of {show(closet.ceiling)}"
    if closet.top <= wishes.toe_kick + 2 * thick:
        yield "top", f"{show(closet.top)} leaves no room over the toe kick and two panels"
    for name in ("max_shelf", "max_rod"):
        if getattr(wishes, name) < wishes.min_bay:
            yield (f"[wishes] {name}", f"{show(getattr(wishes, name))} is less than min_bay, {show(wishes.min_bay)}")
    yield from _size_wish_faults(closet)
    names = [wall.name for wall in closet.wall]
    for number, wall in enumerate(closet.wall, start=1):
        place = f'[[wall]] {number} "{shorten(wall.name)}"'
        if names.index(wall.name) != number - 1:
            yield place, "another wall has this name; give each wall its own"
        least, built = wishes.min_bay + 2 * thick, closet.built_width(wall)
        smallest = f"than the smallest bay with its two uprights, {show(least)}"
        if built < least <= built + wishes.play:
            left = f'leaves {show(max(0, built))} of the wall "{shorten(wall.name)}", less {smallest}'
            yield "[wishes] play", f"{show(wishes.play)} {left}"
        elif built < least:
            yield f"{place}, width", f"{show(max(0, built))} is narrower {smallest}"
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
            yield (f"{place}, ceiling", f"both ends are above the ceiling of {show(closet.ceiling)}; raise `ceiling`")
    yield from corner_faults(closet.wall)
    yield from before_faults(closet.before, closet.wall, closet.ceiling, units)
    yield from before_faults(closet.built, closet.wall, closet.ceiling, units, "built")
    yield from people_faults(closet.person)
    yield from season_faults(closet.season)
    yield from _wall_name_faults(closet)
    yield from _construction_faults(closet)
    yield from _budget_faults(closet)


def _size_wish_faults(closet: Closet) -> Iterator[tuple[str, str]]:
    """Least heights that no opening could have, and marks as large as what they are to mark."""
    wishes, thick = closet.wishes, closet.panel.thickness

    def show(length: int) -> str:
        return format_length(Ticks(length), closet.units)

    room = min(closet.top, closet.ceiling - closet.under_ceiling) - wishes.toe_kick - 2 * thick
    for name in ("least_opening", "least_drawer", "round", "gap", "hang_allowance"):
        given = getattr(wishes, name)
        if given > room > 0 and (name in wishes.model_fields_set or name not in ("gap", "hang_allowance")):
            yield f"[wishes] {name}", f"{show(given)} is more than a bay has between its panels, {show(room)}"
    if wishes.fixed_pitch > room > 0:
        yield "[wishes] pitch", f"{show(wishes.fixed_pitch)} is more than a bay has between its panels, {show(room)}"
    if wishes.round > wishes.min_bay:
        yield "[wishes] round", f"{show(wishes.round)} is more than min_bay, {show(wishes.min_bay)}"
    least = wishes.toe_kick + thick + wishes.least_drawer
    if 0 < wishes.highest_drawer < least <= closet.top:
        words = (
            f"{show(wishes.highest_drawer)} leaves no room for a drawer over the toe kick; {show(least)} at least, or 0"
        )
        yield "[wishes] highest_drawer", words


def _budget_faults(closet: Closet) -> Iterator[tuple[str, str]]:
    """A budget limits the layout by what boards cost, so they need a price."""
    has_price = closet.panel.price or any(sheet.use == "panel" and sheet.price for sheet in closet.sheet)
    if closet.wishes.budget and not has_price:
        yield "[wishes] budget", "is a limit only where a sheet has a price; write `price` in [panel]"


def _construction_faults(closet: Closet) -> Iterator[tuple[str, str]]:
    """Stock that does not agree with the sizes that the drawings and the drawer rule count with."""
    show = closet.show

    built = closet.construction
    thick = {
        "panel": closet.panel.thickness, "back": built.back, "drawer box": built.drawer_side,
        "drawer bottom": built.drawer_bottom,
    }  # fmt: skip
    for number, sheet in enumerate(closet.sheet, start=1):
        wanted = thick[sheet.use]
        if sheet.thickness is not None and sheet.thickness != wanted:
            is_now = show(wanted) if wanted is not None else "not used"
            yield (
                f"[[sheet]] {number}, thickness",
                f"{show(sheet.thickness)} differs from that of the {sheet.use}, {is_now}: one thickness a use, "
                "since every opening counts with it; sort the sheets and write the one that you build with",
            )
    if 2 * built.dado >= closet.panel.thickness and built.joint == "dado":
        yield (
            "[construction] dado",
            f"{show(built.dado)} is half of the panel or more, so two back to back would meet; 1/4 in is usual",
        )
    for name, most in (("drawer_side", PER_INCH // 2), ("drawer_bottom", PER_INCH // 4)):
        if getattr(built, name) > most:
            given = show(getattr(built, name))
            yield f"[construction] {name}", f"{given} is thicker than {show(most)}, with which the drawer rule counts"
    if built.supports == "cleats" and closet.wishes.gap < LEAST_CLEAT:
        yield "[construction] supports", f"cleats need a `gap` of {show(LEAST_CLEAT)} or more to lie in"
    if built.nosing is not None and built.nosing.height < closet.panel.thickness:
        yield "[construction] nosing, height", "is less than the panel's thickness, so its edge would show"


def _wall_name_faults(closet: Closet) -> Iterator[tuple[str, str]]:
    """Lamps and the door must name walls that there are, and a lamp must hang under the ceiling."""
    known = ", ".join(f'"{shorten(wall.name)}"' for wall in closet.wall)
    named = [(f"[[lamp]] {number}, wall", lamp.wall) for number, lamp in enumerate(closet.lamp, start=1)]
    if closet.door is not None and closet.door.faces is not None:
        named.append(("[door] faces", closet.door.faces))
    for place, name in named:
        if name not in [wall.name for wall in closet.wall]:
            yield place, f"{show_value(name)} is not a wall; the walls are: {known}"
    for number, lamp in enumerate(closet.lamp, start=1):
        if lamp.bottom is not None and lamp.bottom > closet.ceiling:
            yield f"[[lamp]] {number}, bottom", "is above the ceiling"
