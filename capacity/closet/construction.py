"""How the built-ins are put together and what the yard sells: tables of `closet.toml` that only `build` reads.

Every default is a parameter with its source beside it. "Common practice" means that it is the habit of the trade
and no published source is known to us.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, ConfigDict, Field, ValidationInfo

from capacity.closet.fields import Need, Room, Table, Text, Thick, show_value
from capacity.units import PER_INCH, PER_MM, inches


class Nosing(Table):
    """A solid strip along the front edge of every shelf, flush with its top; it replaces the edge band there."""

    thickness: Thick
    height: Thick


USUAL: dict[str, dict[str, str | int]] = {
    "in": {
        "dado": "1/4 in", "dado_play": "1/16 in", "band": 0, "shelf_play": "1/8 in", "rod_play": "1/8 in",
        "fixed_every": "42 in", "cleat": "3 in", "kick_setback": "3 in", "reveal": "1/8 in", "drawer_side": "1/2 in",
        "drawer_bottom": "1/4 in", "scribe": "1 1/2 in", "filler": "6 in", "kerf": "1/8 in", "trim": "1/8 in",
    },
    "mm": {
        "dado": "6 mm", "dado_play": "1.5 mm", "band": 0, "shelf_play": "3 mm", "rod_play": "3 mm",
        "fixed_every": "1050 mm", "cleat": "75 mm", "kick_setback": "75 mm", "reveal": "3 mm", "drawer_side": "12 mm",
        "drawer_bottom": "6 mm", "scribe": "38 mm", "filler": "150 mm", "kerf": "3.2 mm", "trim": "3 mm",
    },
}  # fmt: skip
"""The usual lengths in the folder's own marks, so that what is left to cut lies on a mark of the rule."""


USUAL_LENGTH: Any = "usual"
"""Stands for the length that `USUAL` has under the setting's name."""


def _usual(value: object, info: ValidationInfo) -> object:
    units = (info.context or {}).get("units", "in")
    return USUAL[units][str(info.field_name)] if value == USUAL_LENGTH else value


UsualNeed = Annotated[Need, BeforeValidator(_usual), Field(validate_default=True)]
UsualThick = Annotated[Thick, BeforeValidator(_usual), Field(validate_default=True)]
UsualRoom = Annotated[Room, BeforeValidator(_usual), Field(validate_default=True)]


class Construction(Table):
    """Allowances between the clear openings of a plan and the sizes that are cut.

    The lengths named here are those of a folder in inches; `USUAL` has those of one in millimetres.

    joint
        How fixed shelves, tops and bottoms meet the uprights: butted and pocket-screwed, or in a dado.
    dado, dado_play
        Depth of a dado, and how much shorter a shelf in two dadoes is than their bottoms are apart: 1/4 to 3/8 in,
        and 1/16 in (common practice).
    band
        Thickness of the edge band that is taken off the sizes, 0 (the default) for none; iron-on veneer is about
        1/64 in or 0.5 mm, plastic up to 1/8 in or 3 mm (common practice).
    shelf_play, rod_play
        How much shorter than the bay a loose shelf and a rod are: 1/8 in (common practice).
    fixed_every
        Uprights are tied by a fixed shelf at least this often: 42 in (common practice).
    supports
        What loose shelves lie on: four pins each, or two cleats screwed to the uprights.
    cleat
        Height of the strips by which the built-ins are screwed to the studs: at least 2 1/2 in, at the top, at the
        bottom, and one more above 60 in (Architectural Woodwork Standards, 1st ed. 2009, 4.4.18); 3 in here.
    back
        Thickness of a back panel, none by default; it goes behind the uprights, so that no opening gets shallower.
    nosing
        See `Nosing`; none by default.
    kick_setback
        How far the kick board stands behind the front: 3 in (common practice).
    reveal
        Gap around a drawer front: 1/8 in (common practice).
    drawer_side, drawer_bottom
        Stock of drawer boxes, 1/2 and 1/4 in; not thicker, because the drawer rule counts with these.
    scribe, filler
        A gap to the wall up to 1 1/2 in is closed by a scribe strip (Architectural Woodwork Standards, 1st ed. 2009,
        1.2.20.1.4), a wider one up to 6 in by a filler (common practice); beyond that the end stays open.
    kerf, trim
        Width of a saw cut, full kerf 1/8 in; and what is cut off each factory edge, 1/8 in (both common practice).
    grained
        Whether the panels have a grain, which then runs along every shelf and up every upright.
    shelf_support_every, rod_support_every
        Brackets under every shelf and rod at most so far apart; none by default, since only a bay that is kept
        may be wider than `max_shelf` or `max_rod`.
    paint
        Whether primer and paint are on the shopping list.
    """

    joint: Literal["pocket screws", "dado"] = "pocket screws"
    dado: UsualThick = USUAL_LENGTH
    dado_play: UsualNeed = USUAL_LENGTH
    band: UsualNeed = USUAL_LENGTH
    shelf_play: UsualNeed = USUAL_LENGTH
    rod_play: UsualNeed = USUAL_LENGTH
    fixed_every: UsualRoom = USUAL_LENGTH
    supports: Literal["pins", "cleats"] = "pins"
    cleat: UsualThick = USUAL_LENGTH
    back: Thick | None = None
    nosing: Nosing | None = None
    kick_setback: UsualNeed = USUAL_LENGTH
    reveal: UsualNeed = USUAL_LENGTH
    drawer_side: UsualThick = USUAL_LENGTH
    drawer_bottom: UsualThick = USUAL_LENGTH
    scribe: UsualRoom = USUAL_LENGTH
    filler: UsualRoom = USUAL_LENGTH
    kerf: UsualThick = USUAL_LENGTH
    trim: UsualNeed = USUAL_LENGTH
    grained: bool = True
    shelf_support_every: Room | None = None
    rod_support_every: Room | None = None
    paint: bool = True


def _money(value: object) -> object:
    """An amount of money: a number, or a text with a decimal point."""
    if isinstance(value, str):
        text = value.strip()
        if "," in text:
            msg = f"{show_value(value)} has a comma; write a number with a decimal point, such as 12.50"
            raise ValueError(msg)
        try:
            return float(text)
        except ValueError:
            msg = f"{show_value(value)} is not a price; write a number such as 12.50"
            raise ValueError(msg) from None
    return value


Money = Annotated[float, BeforeValidator(_money), Field(ge=0, le=1e6, strict=False, allow_inf_nan=False)]
"""An amount in the folder's currency."""

Share = Annotated[float, Field(ge=0, le=1, strict=False, allow_inf_nan=False)]
"""A share such as 0.08."""

SheetUse = Literal["panel", "back", "drawer box", "drawer bottom"]
StickUse = Literal["rod", "nosing", "shelf cleat", "edge band"]


Owned = Annotated[int, Field(ge=0, le=100_000)]
"""How many there are already; they cost nothing."""


class SheetStock(Table):
    """One size of sheet that can be bought; `have` so many already; `thickness`, if written, is that of its use.

    Of a size that is owned and has no price, such as an offcut, there are only those.
    """

    use: Annotated[SheetUse, Field(alias="for")] = "panel"
    size: tuple[Room, Room]
    price: Money | None = None
    thickness: Thick | None = None
    name: Text | None = None
    have: Owned = 0

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, populate_by_name=True)


class StickStock(Table):
    """One length of rod, nosing, strip under shelves, or roll of edge band; `have` so many already."""

    use: Annotated[StickUse, Field(alias="for")]
    length: Room
    price: Money | None = None
    name: Text | None = None
    have: Owned = 0

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, populate_by_name=True)


class Prices(Table):
    """What one pack costs, by the keys of the shopping list; `tax` is added to all, `reserve` is put aside."""

    currency: Annotated[Text, Field(max_length=5)] = "$"
    tax: Share = 0.0
    reserve: Share = 0.0
    rod: Money | None = None
    nosing: Money | None = None
    shelf_cleat: Money | None = None
    edge_band: Money | None = None
    rod_sockets: Money | None = None
    rod_brackets: Money | None = None
    shelf_pins: Money | None = None
    shelf_brackets: Money | None = None
    pocket_screws: Money | None = None
    panel_screws: Money | None = None
    joining_plates: Money | None = None
    frame_screws: Money | None = None
    wall_screws: Money | None = None
    short_screws: Money | None = None
    back_screws: Money | None = None
    box_screws: Money | None = None
    slides: Money | None = None
    pulls: Money | None = None
    wall_anchors: Money | None = None
    wall_brackets: Money | None = None
    glue: Money | None = None
    sandpaper: Money | None = None
    shims: Money | None = None
    caulk: Money | None = None
    primer: Money | None = None
    paint: Money | None = None


Pack = Annotated[int, Field(ge=1, le=100_000)]


class Hardware(Table):
    """How many pieces one pack holds, where the shop's packs differ from the usual ones."""

    shelf_pins: Pack | None = None
    pocket_screws: Pack | None = None
    panel_screws: Pack | None = None
    joining_plates: Pack | None = None
    frame_screws: Pack | None = None
    wall_screws: Pack | None = None
    short_screws: Pack | None = None
    back_screws: Pack | None = None
    box_screws: Pack | None = None
    wall_anchors: Pack | None = None
    wall_brackets: Pack | None = None
    sandpaper: Pack | None = None
    shims: Pack | None = None


class Have(Table):
    """What is owned already, by the keys of the shopping list, in pieces (pairs, joints, feet, square feet)."""

    rod_sockets: Owned = 0
    rod_brackets: Owned = 0
    shelf_pins: Owned = 0
    shelf_brackets: Owned = 0
    pocket_screws: Owned = 0
    panel_screws: Owned = 0
    joining_plates: Owned = 0
    frame_screws: Owned = 0
    wall_screws: Owned = 0
    short_screws: Owned = 0
    back_screws: Owned = 0
    box_screws: Owned = 0
    slides: Owned = 0
    pulls: Owned = 0
    wall_anchors: Owned = 0
    wall_brackets: Owned = 0
    glue: Owned = 0
    sandpaper: Owned = 0
    shims: Owned = 0
    caulk: Owned = 0
    primer: Owned = 0
    paint: Owned = 0


USUAL_STICK = {
    "in": {"rod": 96 * PER_INCH, "nosing": 96 * PER_INCH, "shelf cleat": 96 * PER_INCH, "edge band": 300 * PER_INCH},
    "mm": {"rod": 2400 * PER_MM, "nosing": 2400 * PER_MM, "shelf cleat": 2400 * PER_MM, "edge band": 10_000 * PER_MM},
}
"""Lengths sold where no `[[stick]]` says otherwise: 8 ft and 25 ft; 2.4 m and 10 m (common practice) [ticks]."""

USUAL_SHEET = (48 * PER_INCH, 96 * PER_INCH)
"""Full sheet of plywood (common practice) [ticks]."""

SMALL_SHEETS = {
    "in": ((24 * PER_INCH, 48 * PER_INCH), (48 * PER_INCH, 48 * PER_INCH), (48 * PER_INCH, 96 * PER_INCH)),
    "mm": ((610 * PER_MM, 1220 * PER_MM), (1220 * PER_MM, 1220 * PER_MM), (1220 * PER_MM, 2440 * PER_MM)),
}
"""Quarter, half and full sheets, in which thin board for drawers is also sold (common practice) [ticks]."""


class Print(Table):
    """How the packet prints lengths: inches alone, as a tape and a fence show them, or feet and inches.

    `label_columns` and `label_rows` are those of the sheet of labels that is printed on, and `label_margin` is what it
    leaves free above and below them (usual sheets, common practice, no published source).
    """

    lengths: Literal["inches", "feet"] = "inches"
    label_columns: Annotated[int, Field(ge=1, le=6)] = 3
    label_rows: Annotated[int, Field(ge=1, le=24)] = 10
    label_margin: Annotated[Need, Field(le=inches(2))] = Field(default="1/2 in", validate_default=True)


Rate = Annotated[float, Field(ge=0, le=1000, strict=False, allow_inf_nan=False)]


class Minutes(Table):
    """How long one of each takes [minutes]: guesses of ours for somebody who does it now and then; change them.

    `coat` is painting one board on both sides once, `drying` the days that each coat dries.
    """

    cut: Rate = 3.0
    hole: Rate = 0.5
    edge: Rate = 4.0
    joint: Rate = 6.0
    coat: Rate = 4.0
    drying: Rate = 1.0
