"""What the yard sells for each material, and the parts as pieces to be cut from it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from capacity.closet.closet import Closet
from capacity.closet.construction import SMALL_SHEETS, USUAL_SHEET, USUAL_STICK
from capacity.drawings.labels import length_words
from capacity.units import PER_INCH, Units
from capacity.workshop.cutting.cutting_plan import Blank, Saw, Stock
from capacity.workshop.parts.parts import Part, StockKind

BAND_ENDS = 4 * PER_INCH
"""Edge band is cut longer than its edge, 2 in at each end, and trimmed (common practice) [ticks]."""

AREA_UNIT = (PER_INCH // 8) ** 2
"""Areas are compared in squares of 1/8 in where a price is missing [square ticks]."""


@dataclass(frozen=True, slots=True)
class StockSizes:
    """The sizes of one material that can be bought or are owned; `prices` are by name.

    Totals are compared in cents when every size that is sold has a price, else in area or length; `is_priced` says
    which.
    """

    material: str
    stocks: tuple[Stock, ...]
    prices: dict[str, float | None]

    @property
    def is_priced(self) -> bool:
        """Whether every size that is sold has a price."""
        return all(self.prices[stock.name] is not None for stock in self.stocks if stock.is_sold)


def sheet_choice(closet: Closet, material: StockKind) -> StockSizes:
    """Sheets of one material: those of `[[sheet]]`, else the panel's size or a full one; for drawers small ones too."""
    found: list[_Size] = []
    for sheet in closet.sheet:
        if sheet.use == material.value:
            width, length = min(sheet.size), max(sheet.size)
            found.append(
                (sheet.name or size_words(width, length, closet.units), length, width, sheet.price, sheet.have)
            )
    owned = [size for size in found if size[3] is None and size[4]]
    found = [size for size in found if size not in owned]
    if not found and material in (StockKind.DRAWER_BOX, StockKind.DRAWER_BOTTOM):
        sizes = SMALL_SHEETS[closet.units]
        found = [(size_words(wide, high, closet.units), high, wide, None, 0) for wide, high in sizes]
    if not found:
        size: tuple[int, int] = closet.panel.sheet or USUAL_SHEET
        short, long = min(size), max(size)
        price = closet.panel.price if material is StockKind.PANEL else None
        found.append((size_words(short, long, closet.units), long, short, price, 0))
    return _choice(material.value, found, owned)


def stick_choice(closet: Closet, use: str) -> StockSizes:
    """Lengths of rod, nosing or edge band: those of `[[stick]]`, else the usual length at the price of `[prices]`."""
    found: list[_Size] = [
        (stick.name or length_words(stick.length, closet.units), stick.length, 1, stick.price, stick.have)
        for stick in closet.stick
        if stick.use == use
    ]
    owned = [size for size in found if size[3] is None and size[4]]
    found = [size for size in found if size not in owned]
    if not found:
        price: float | None = getattr(closet.prices, use.replace(" ", "_"))
        length = USUAL_STICK[closet.units][use]
        found.append((length_words(length, closet.units), length, 1, price, 0))
    return _choice(use, found, owned)


_Size = tuple[str, int, int, float | None, int]
"""Name, length, width, price, and how many are owned."""


def _choice(material: str, sold: Sequence[_Size], owned: Sequence[_Size]) -> StockSizes:
    """What is sold, and what is owned besides; owned pieces of a size that is sold count with that."""
    have = {size[1:3]: 0 for size in sold}
    for _, long, wide, _, number in owned:
        if (long, wide) in have:
            have[long, wide] += number
    every = [(*size[:4], size[4] + have.pop(size[1:3], 0)) for size in sold]
    every += [size for size in owned if size[1:3] not in {other[1:3] for other in sold}]
    named: dict[str, tuple[int, int, float | None, int]] = {}
    for name, *rest in every:
        again = sum(1 for other in named if other == name or other.startswith(f"{name} ("))
        named[f"{name} ({again + 1})" if again else name] = tuple(rest)  # type: ignore[assignment]
    is_priced = all(price is not None and price > 0 for *_, price, _ in sold)
    rate = min((100 * price / (long * wide) for _, long, wide, price, _ in sold if price), default=0.0)

    def cost(long: int, wide: int, price: float | None) -> int:
        if is_priced:
            return max(1, round(100 * price if price is not None else rate * long * wide))
        # one more, so that of as much board in fewer sheets these are the cheaper
        return 1 + long * wide // AREA_UNIT if wide > 1 else long

    stocks = tuple(
        Stock(name, long, wide, cost(long, wide, price), number, place < len(sold))
        for place, (name, (long, wide, price, number)) in enumerate(named.items())
    )
    prices = {name: price for name, (*_, price, _) in named.items()}
    return StockSizes(material, stocks, prices)


def size_words(width: int, length: int, units: Units) -> str:
    """The size of a sheet, width first."""
    return f"{length_words(width, units, False)} × {length_words(length, units, False)}"


def pieces_of(parts: Sequence[Part]) -> tuple[Blank, ...]:
    """Sheet parts as pieces; without grain they may turn."""
    return tuple(Blank(part.label, part.length, part.width, not part.has_grain) for part in parts)


def sticks_of(parts: Sequence[Part]) -> tuple[Blank, ...]:
    """Parts sold by length as pieces one tick wide."""
    return tuple(Blank(part.label, part.length, 1, False) for part in parts)


def band_pieces(parts: Sequence[Part], beyond: int = BAND_ENDS // 2) -> Iterator[Blank]:
    """Every banded edge as a length of band, with so much more at each end [ticks]."""
    for part in parts:
        for number, length in enumerate(part.band_lengths, 1):
            yield Blank(f"{part.label} edge {number}", length + 2 * beyond, 1, False)


def saw_of(closet: Closet) -> Saw:
    """The saw for sheets."""
    return Saw(closet.construction.kerf, closet.construction.trim)


def stick_saw(closet: Closet, use: str) -> Saw:
    """The saw for sticks: no trim; edge band is cut with a knife."""
    return Saw(0 if use == "edge band" else closet.construction.kerf, 0)
