"""A makeover folder as a record in ticks, read from its two files."""

from __future__ import annotations

import csv
import re
import tomllib
from dataclasses import dataclass, fields, replace
from fractions import Fraction
from math import ceil, floor
from pathlib import Path
from typing import Any

INCH = 8128
"""Ticks of 1/320 mm in an inch."""

MM = 320
PER = {"in": INCH, '"': INCH, "'": 12 * INCH, "ft": 12 * INCH, "mm": MM, "cm": 10 * MM}
NEW = ("play", "least_opening", "least_drawer", "highest_drawer", "round", "pitch")
"""Wishes that bind only what is built anew, each off at 0."""

AUTO = -1
"""The pitch of rows of holes on which shelves stand where that costs nothing."""

VALUES = {"daily": 3, "weekly": 2, "seasonal": 1}
USUAL = {
    "storage bin": ("stand", 3), "suitcase": ("stand", 2), "handbag": ("stand", 1),
    "hat": ("stand", 1), "sneakers": ("stand", 1), "jeans": ("stack", 8),
    "sweater": ("stack", 5), "blanket": ("stack", 2), "sheet set": ("stack", 4), "shirt": ("hang", 1),
    "coat": ("hang", 1), "skirt": ("hang", 1), "socks": ("drawer", 1), "scarf": ("drawer", 1),
}  # fmt: skip
"""Usual way of storing, and most in a stack or one on the other, of the kinds that are used here (`kinds.csv`)."""

DRAWERS_TOO = ("jeans", "sweater")
"""Which of them, no way written, may lie in drawers too where there must be drawers."""


@dataclass(frozen=True, slots=True)
class Pile:
    """One row of the inventory, measured [ticks]."""

    what: str
    count: int
    use: str
    store: str
    owner: str | None
    width: int = 0
    depth: int = 0
    height: int = 0
    drop: int = 0
    rod: int = 0
    first: int = 0
    """What a piece counts besides, where it must have a place: more than all pieces by their use."""
    also: str | None = None
    """Another way in which each piece may be stored, in an opening of another kind."""

    def stored_in(self, kind: str) -> Pile | None:
        """The pile in the way in which openings of a kind hold it."""
        for store in (self.store, self.also):
            if store is not None and {"hang": "hang", "drawer": "drawer"}.get(store, "shelf") == kind:
                return replace(self, store=store, also=None)
        return None

    @property
    def value(self) -> int:
        """What one stored piece counts."""
        return VALUES[self.use]

    @property
    def most(self) -> int:
        """Most pieces of a stack, and of what has a lid one on the other."""
        usual, most = USUAL[self.what]
        return most if self.store == usual and self.store in ("stand", "stack") else 1


@dataclass(frozen=True, slots=True)
class Box:
    """A blocked part of a wall [ticks]."""

    left: int
    width: int
    bottom: int
    height: int


@dataclass(frozen=True, slots=True)
class Wall:
    """One wall [ticks]; `corner` is the name of the wall that starts where this one ends."""

    name: str
    width: int
    depth: int
    ceilings: tuple[int, int]
    corner: str | None = None
    boxes: tuple[Box, ...] = ()


@dataclass(frozen=True, slots=True)
class Old:
    """One opening of today's closet [ticks]."""

    kind: str
    bottom: int
    height: int


@dataclass(frozen=True, slots=True)
class Today:
    """One bay of today's closet, or of what was built [ticks]."""

    wall: str
    left: int
    width: int
    depth: int
    openings: tuple[Old, ...]


@dataclass(frozen=True, slots=True)
class Must:
    """A bay that must be, with `count` drawers of the clear height `height` on its bottom panel [ticks].

    Or all of it is of one `kind`, or it has rods whose middles are so high, or it begins at `bottom`.
    """

    wall: str
    left: int
    width: int
    count: int = 0
    height: int = 0
    kind: str | None = None
    rods: tuple[int, ...] = ()
    bottom: int = 0

    @property
    def kinds(self) -> tuple[str, ...]:
        """What its openings below the top panel may be, those besides that must be there."""
        if self.rods or self.kind == "drawer":
            return ("shelf",)
        return (self.kind,) if self.kind else ("shelf", "hang", *(() if self.count else ("drawer",)))

    @property
    def kept_free(self) -> tuple[Box, ...]:
        """What stays free under it."""
        return (Box(self.left, self.width, 0, self.bottom),) if self.bottom else ()


@dataclass(frozen=True, slots=True)
class Keep:
    """What keeps to a wall."""

    wall: str
    owner: str | None
    what: str | None
    alone: bool


@dataclass(frozen=True, slots=True)
class Wishes:
    """The settings of `[wishes]` that are lengths, numbers or choices [ticks]."""

    toe_kick: int
    gap: int
    hang_allowance: int
    min_bay: int
    max_shelf: int
    max_rod: int
    rows_deep: int
    corner_access: int
    owners_apart: bool
    keep_bays: bool
    spare: Fraction
    budget: int
    play: int = 0
    least_opening: int = 0
    least_drawer: int = 0
    highest_drawer: int = 0
    round: int = 0
    pitch: int = 0


@dataclass(frozen=True, slots=True)
class Household:
    """Both files of a folder; `thick` is the panel, `price` that of a sheet of 48 by 96 in."""

    units: str
    top: int
    ceiling: int
    thick: int
    price: int
    piles: tuple[Pile, ...]
    walls: tuple[Wall, ...]
    today: tuple[Today, ...]
    wishes: Wishes
    must: tuple[Must, ...] = ()
    keeps: tuple[Keep, ...] = ()
    built: tuple[Today, ...] = ()
    firsts: tuple[tuple[str | None, str | None], ...] = ()
    """(what, owner) of what must have a place, None: any; `with_firsts` weighs the piles."""
    is_described: bool = False
    """Whether somebody says who reaches, and would rather spare plywood than have room to grow."""

    @property
    def has_drawers(self) -> bool:
        """Whether drawers must be, by a wish or because bays that have some are kept."""
        if self.wishes.keep_bays:
            return any(opening.kind == "drawer" for bay in self.built or self.today for opening in bay.openings)
        return any(bay.count or bay.kind == "drawer" for bay in self.must)

    age: int = 0
    """Of the child who is described; 0: nobody is, or an adult."""

    @property
    def standing(self) -> tuple[Today, ...]:
        """What stands now: what was built, and today's closet where nothing was."""
        return self.built or self.today

    @property
    def all(self) -> int:
        """The value of everything by use."""
        return sum(pile.value * pile.count for pile in self.piles)

    @property
    def heaviest(self) -> int:
        """The value of everything with what counts besides."""
        return sum((pile.value + pile.first) * pile.count for pile in self.piles)

    @property
    def by_use(self) -> Household:
        """The same where nothing goes first."""
        return replace(self, piles=tuple(replace(pile, first=0) for pile in self.piles), firsts=())

    def wall(self, name: str) -> int:
        """Index of a wall."""
        return [wall.name for wall in self.walls].index(name)

    @property
    def corners(self) -> tuple[tuple[int, int], ...]:
        """(wall that ends there, wall that starts there) of each corner."""
        return tuple((number, self.wall(w.corner)) for number, w in enumerate(self.walls) if w.corner is not None)

    @property
    def under_ceiling(self) -> int:
        """How far what is built anew stays below a ceiling or a slope: with any play 1/2 in, or 12 mm."""
        is_new = self.wishes.play and not self.wishes.keep_bays
        return (INCH // 2 if self.units == "in" else 12 * MM) if is_new else 0

    def built_height(self, kind: str, need: int) -> int:
        """Height at which an opening is built anew for what needs so much: at least the least, up to a mark or row."""
        wishes = self.wishes
        need = max(need, {"shelf": wishes.least_opening, "drawer": wishes.least_drawer}.get(kind, 0))
        return min((-(-(need + more) // step) * step - more for step, more in self.steps), default=need)

    @property
    def steps(self) -> tuple[tuple[int, int], ...]:
        """(step, more): a height and `more` is a whole number of some step; none: heights are free."""
        wishes = self.wishes
        if wishes.pitch > 0:
            return ((wishes.pitch, self.thick),)
        usual = 5 * INCH // 4 if self.units == "in" else 32 * MM
        on_rows = ((usual, self.thick),) if wishes.pitch == AUTO else ()
        return ((wishes.round, 0), *on_rows) if wishes.round else ()

    @property
    def most_panel(self) -> int | None:
        """Area of panel that the budget buys: 70 % of each sheet becomes panel [square ticks]; None: any."""
        if not self.wishes.budget:
            return None
        return floor(Fraction(self.wishes.budget * 48 * 96 * INCH**2 * 7, self.price * 10))

    def may_be(self, pile: Pile, wall: str) -> bool:
        """Whether the wishes let a pile be on a wall."""
        mine = [keep for keep in self.keeps if _concerns(keep, pile)]
        about: dict[tuple[str | None, str | None], set[str]] = {}
        for keep in mine:
            about.setdefault((keep.owner, keep.what), set()).add(keep.wall)
        if not all(wall in walls for walls in about.values()):
            return False
        taken = any(keep.alone and keep.wall == wall and not _concerns(keep, pile) for keep in self.keeps)
        return pile.owner is None or not taken or any(keep.wall == wall for keep in mine)


def _concerns(keep: Keep, pile: Pile) -> bool:
    return (keep.owner is None or keep.owner == pile.owner) and (keep.what is None or keep.what == pile.what)


# ---- reading ------------------------------------------------------------------------------------------


def exact(value: Any, units: str) -> Fraction:
    """A length in any spelling that is written here [ticks]."""
    if isinstance(value, int | float):
        return Fraction(str(value)) * PER[units]
    total, text = Fraction(0), value.strip()
    for number, unit in re.findall(r"([0-9]+/[0-9]+|[0-9.]+(?:[ -][0-9]+/[0-9]+)?)\s*(mm|cm|in|ft|'|\")?", text):
        amount = sum(map(Fraction, re.split(r"[ -]", number)), Fraction(0))
        total += amount * PER[unit or units]
    return total


def read_household(folder: Path) -> Household:
    """Both files of a folder as a record."""
    data = tomllib.loads((folder / "closet.toml").read_text(encoding="utf-8"))
    units = data.get("units", "in")

    def need(value: Any) -> int:
        return ceil(exact(value, units))

    def room(value: Any) -> int:
        return floor(exact(value, units))

    def bays(name: str) -> tuple[Today, ...]:
        return tuple(
            Today(bay["wall"], room(bay["left"]), room(bay["width"]), room(bay["depth"]),
                  tuple(Old(o["kind"], room(o["bottom"]), room(o["height"])) for o in bay["openings"]))
            for bay in data.get(name, ())
        )  # fmt: skip

    with (folder / "inventory.csv").open(encoding="utf-8-sig", newline="") as file:
        head = file.readline()
        rows = csv.DictReader(file, next(csv.reader([head], delimiter=_mark(head))), delimiter=_mark(head))
        written = list(rows)
        piles = tuple(_pile(row, need) for row in written)
    musts = [[_must(bay, need, room) for bay in data["wishes"].get(name, ())] for name in ("bay", "drawers")]
    must = (*musts[0], *(_over_unit(unit, data["wishes"], need, room) for unit in data["wishes"].get("unit", ())))
    must = (*must, *musts[1])
    walls = tuple(
        replace(wall, boxes=(*wall.boxes, *(box for bay in must if bay.wall == wall.name for box in bay.kept_free)))
        for wall in (_wall(table, room(data["ceiling"]), need, room) for table in data["wall"])
    )
    told, panel = data["wishes"], data["panel"]
    lengths = ("toe_kick", "gap", "hang_allowance", "min_bay", "corner_access", *NEW)
    wishes = {name: AUTO if told[name] == "auto" else need(told[name]) for name in lengths if name in told}
    home = Household(
        units=units, top=room(data["top"]), ceiling=room(data["ceiling"]),
        thick=need(panel["thickness"]), price=panel["price"],
        piles=piles, walls=walls,
        today=bays("before"),
        wishes=Wishes(
            **wishes, max_shelf=room(told["max_shelf"]), max_rod=room(told["max_rod"]), rows_deep=told["rows_deep"],
            owners_apart=told["owners_apart"], keep_bays=told["keep_bays"], spare=Fraction(str(told["spare"])),
            budget=told["budget"],
        ),
        must=must,
        is_described="prefer" in told,
        age=data.get("person", [{}])[0].get("age", 0),
        keeps=tuple(
            Keep(keep["wall"], keep.get("owner"), keep.get("what"), keep.get("alone", False))
            for keep in told.get("keep_to", ())
        ),
        built=bays("built"),
    )  # fmt: skip
    if home.has_drawers:
        piles = (
            replace(pile, also="drawer") if not row["store"] and pile.what in DRAWERS_TOO else pile
            for pile, row in zip(home.piles, written, strict=True)
        )
        home = replace(home, piles=tuple(piles))
    return with_firsts(home, tuple((item.get("what"), item.get("owner")) for item in told.get("must", ())))


def with_firsts(home: Household, firsts: tuple[tuple[str | None, str | None], ...]) -> Household:
    """The household with what must have a place, each piece of it counting more than all pieces by their use."""
    piles = (
        replace(pile, first=(1 + home.all) * any(what in (None, pile.what) and owner in (None, pile.owner)
                                                 for what, owner in firsts))
        for pile in home.piles
    )  # fmt: skip
    return replace(home, piles=tuple(piles), firsts=firsts)


def _must(bay: dict[str, Any], need: Any, room: Any) -> Must:
    rods = bay.get("rod", [])
    return Must(
        bay["wall"], room(bay["left"]), room(bay["width"]), bay.get("count", 0), need(bay.get("height", 0)),
        bay.get("kind"), tuple(map(room, rods if isinstance(rods, list) else [rods])), room(bay.get("bottom", 0)),
    )  # fmt: skip


def _over_unit(unit: dict[str, Any], wishes: dict[str, Any], need: Any, room: Any) -> Must:
    """The bay over a chest that is owned: wider by the play, begun so much higher as a hand needs; on marks."""
    mark = max(1, need(wishes.get("round", 0)))
    width, bottom = need(unit["width"]) + need(wishes.get("play", 0)), need(unit["height"]) + need(wishes["gap"])
    width, bottom = (-(-length // mark) * mark for length in (width, bottom))
    least, kick = need(wishes["min_bay"]), need(wishes["toe_kick"])
    return Must(unit["wall"], room(unit["left"]), max(width, least), bottom=max(bottom, kick))


def _mark(head: str) -> str:
    return max(",;\t", key=head.count)


def _pile(row: dict[str, str], need: Any) -> Pile:
    sizes = {name: need(row[name]) for name in ("width", "depth", "height", "drop", "rod") if row[name]}
    store, also = [*(row["store"] or USUAL[row["what"]][0]).split(" or "), None][:2]
    return Pile(
        row["what"], int(row["count"]), row["use"] or "weekly", str(store), row["owner"] or None, **sizes, also=also
    )


def _wall(table: dict[str, Any], ceiling: int, need: Any, room: Any) -> Wall:
    widths = table["width"] if isinstance(table["width"], list) else [table["width"]]
    left, right = map(room, table["ceiling"]) if "ceiling" in table else (ceiling, ceiling)
    boxes = (
        Box(room(box["left"]), need(box["width"]), room(box["bottom"]), need(box["height"]))
        for box in table.get("blocked", ())
    )
    ceilings = min(left, ceiling), min(right, ceiling)
    return Wall(
        table["name"], min(map(room, widths)), room(table["depth"]), ceilings, table.get("corner"), tuple(boxes)
    )


WISHES = tuple(field.name for field in fields(Wishes))
