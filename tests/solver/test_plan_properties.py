"""Properties of the whole way from two texts to a plan, and of what is read, printed and written on it."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from capacity.closet.closet import parse_closet
from capacity.errors import InputError
from capacity.makeover.plan import Plan, PlanBay, PlanOpening, PlanWall
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan
from capacity.units import (
    PER_INCH,
    PER_MM,
    Rounding,
    Ticks,
    Units,
    format_length,
    from_number,
    parse_length,
)
from capacity.wardrobe.inventory import (
    COLUMNS,
    Inventory,
    format_inventory,
    parse_inventory,
    read_inventory,
    with_cells,
    write_inventory,
)

SIXTY_FOURTH = PER_INCH // 64


# ---- both systems of units, and what is printed ------------------------------------------------------


def _inches(length: int) -> str:
    """A whole number of 1/64 in as a fraction of an inch, for a folder in inches."""
    whole, part = divmod(Fraction(length, PER_INCH), 1)
    return f"{whole} {part}" if whole and part else str(part or whole)


def _millimetres(length: int) -> str:
    """The same length as the finite decimal of millimetres that it is, for a folder in millimetres."""
    scaled = Fraction(length, PER_MM) * 10**6
    assert scaled.denominator == 1
    return f"{scaled.numerator // 10**6}.{scaled.numerator % 10**6:06d}"


def _sixty_fourths(low: float, high: float) -> st.SearchStrategy[int]:
    """Lengths in ticks that are exact in both systems, between two lengths in inches."""
    return st.integers(round(low * 64), round(high * 64)).map(lambda number: number * SIXTY_FOURTH)


@given(st.integers(0, 200 * 64).map(lambda number: number * SIXTY_FOURTH), st.sampled_from(Rounding))
def test_every_spelling_of_a_length_is_the_same_length(length: int, rounding: Rounding) -> None:
    """Exact in both systems, so no direction of rounding may matter."""
    feet, rest = divmod(length, 12 * PER_INCH)
    spellings: list[tuple[str, Units]] = [
        (_inches(length), "in"),
        (f'{_inches(length)}"', "mm"),
        (f"{feet}' {_inches(rest)}\"", "mm"),
        (f"{feet} ft {_inches(rest)} in", "in"),
        (_millimetres(length), "mm"),
        (f"{_millimetres(length)} mm", "in"),
        (format_length(Ticks(length), "in"), "mm"),
        (format_length(Ticks(length), "mm"), "in"),
    ]
    assert {parse_length(text, units, rounding) for text, units in spellings} == {length}


@given(st.fractions(0, 3900, max_denominator=10_000), st.sampled_from(["in", "mm"]))
def test_a_need_is_never_rounded_below_and_a_room_never_above(number: Fraction, units: Units) -> None:
    """What is not a whole tick goes up for a need and down for a room, by less than one tick."""
    exact = number * (PER_INCH if units == "in" else PER_MM)
    text = f"{number.numerator}/{number.denominator}"
    need, room = (parse_length(text, units, way) for way in (Rounding.UP, Rounding.DOWN))
    assert room <= exact <= need
    assert need - room == (0 if exact.denominator == 1 else 1)


@given(st.integers(-30_000_000, -1), st.sampled_from(["in", "mm"]))
def test_a_negative_length_prints_as_such_and_is_no_length_to_read(ticks: int, units: Units) -> None:
    text = format_length(Ticks(ticks), units)
    assert text == "-" + format_length(Ticks(-ticks), units)
    with pytest.raises(ValueError, match="is negative"):
        parse_length(text, units, Rounding.UP)


# ---- plans -------------------------------------------------------------------------------------------

Pile = tuple[str, int, str, dict[str, int]]
"""Kind, count, use, and measured lengths by column [ticks]."""

_MEASURED = {
    "storage bin": {"width": (6, 16), "depth": (8, 14), "height": (4, 14)},
    "sweater": {"width": (8, 14), "depth": (8, 14), "height": (1, 3)},
    "shirt": {"drop": (30, 40), "rod": (1, 4)},
    "socks": {"width": (3, 6), "depth": (3, 6), "height": (1, 3)},
}


@st.composite
def _pile(draw: st.DrawFn) -> Pile:
    kind = draw(st.sampled_from(sorted(_MEASURED)))
    measured = {column: draw(_sixty_fourths(*limits)) for column, limits in _MEASURED[kind].items()}
    return kind, draw(st.integers(1, 4)), draw(st.sampled_from(("daily", "weekly", "seasonal"))), measured


@st.composite
def _room(draw: st.DrawFn) -> dict[str, int]:
    """Width of the only wall, top and ceiling [ticks]."""
    top = draw(_sixty_fourths(40, 70))
    return {"width": draw(_sixty_fourths(16, 36)), "top": top, "ceiling": top + draw(_sixty_fourths(0, 14))}


SAME = """[wishes]
play = 0
pitch = 0
round = "1/16 in"
least_opening = "4 in"
least_drawer = "4 in"
highest_drawer = "48 in"
"""
"""Sizes whose usual ones differ between a folder in inches and a metric one."""


def _texts(room: dict[str, int], piles: list[Pile], units: Units, before: str = "") -> tuple[str, str]:
    """The two files of a folder, every length a bare number in its units."""
    spell = _inches if units == "in" else _millimetres
    closet = (
        f'units = "{units}"\nceiling = "{spell(room["ceiling"])}"\ntop = "{spell(room["top"])}"\n'
        f'[[wall]]\nname = "back"\nwidth = "{spell(room["width"])}"\ndepth = "{spell(15 * PER_INCH)}"\n{SAME}'
    )
    lengths = ("width", "depth", "height", "drop", "rod")
    rows = [
        ",".join([kind, str(count), use, *(spell(sizes[name]) if name in sizes else "" for name in lengths)])
        for kind, count, use, sizes in piles
    ]
    return closet + before, "\n".join([",".join(("what", "count", "use", *lengths)), *rows]) + "\n"


def _plan(texts: tuple[str, str]) -> Plan:
    closet = parse_closet(texts[0])
    return make_plan(closet, parse_inventory(texts[1], closet.units), Effort(factor=0.3))


def _in_ticks(walls: tuple[PlanWall, ...], units: Units) -> list[tuple[object, ...]]:
    def ticks(item: PlanBay | PlanOpening, *names: str) -> tuple[int, ...]:
        return tuple(from_number(getattr(item, name), units) for name in names)

    return [
        (
            wall.name,
            ticks(bay, "left", "width", "depth"),
            opening.kind,
            ticks(opening, "bottom", "height"),
            opening.holds,
        )
        for wall in walls
        for bay in wall.bays
        for opening in bay.openings
    ]


@given(_room(), st.lists(_pile(), min_size=1, max_size=3))
@settings(max_examples=8)
def test_a_closet_in_inches_and_in_millimetres_gets_one_plan(room: dict[str, int], piles: list[Pile]) -> None:
    inches, millimetres = _plan(_texts(room, piles, "in")), _plan(_texts(room, piles, "mm"))
    assert _in_ticks(inches.walls, "in") == _in_ticks(millimetres.walls, "mm")
    assert (inches.value, inches.left_out, inches.rule_of_thumb) == (
        millimetres.value,
        millimetres.left_out,
        millimetres.rule_of_thumb,
    )
    assert inches.after.multiples == millimetres.after.multiples


def _as_before(walls: tuple[PlanWall, ...], units: Units, as_number: bool) -> str:
    """A design written down as today's closet: the plan's own numbers, or each length in millimetres."""

    def exact(number: float) -> str:
        return repr(number) if as_number else repr(format_length(from_number(number, units), "mm"))

    text = ""
    for wall in walls:
        for bay in wall.bays:
            openings = ", ".join(
                f'{{ kind = "{o.kind}", bottom = {exact(o.bottom)}, height = {exact(o.height)} }}' for o in bay.openings
            )
            place = f"left = {exact(bay.left)}\nwidth = {exact(bay.width)}\ndepth = {exact(bay.depth)}"
            text += f'[[before]]\nwall = "{wall.name}"\n{place}\nopenings = [{openings}]\n'
    return text


@given(_room(), st.lists(_pile(), min_size=1, max_size=3), st.sampled_from(["in", "mm"]), st.booleans())
@settings(max_examples=8)
def test_a_design_written_down_as_todays_closet_gains_exactly_nothing(
    room: dict[str, int], piles: list[Pile], units: Units, as_number: bool
) -> None:
    first = _plan(_texts(room, piles, units))
    assume(first.value.status == "optimal")
    again = _plan(_texts(room, piles, units, _as_before(first.walls, units, as_number)))
    assert again.before.value == again.after.value == first.value.stored
    assert again.value.status == "optimal"
    assert again.before.value_bound == again.before.value
    assert again.after.value - again.before.value == 0


@given(_room(), st.lists(_pile(), min_size=1, max_size=3), st.randoms(use_true_random=False))
@settings(max_examples=8)
def test_the_order_of_the_rows_changes_neither_value_nor_bound(
    room: dict[str, int], piles: list[Pile], chance: object
) -> None:
    shuffled = list(piles)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    one, other = _plan(_texts(room, piles, "in")), _plan(_texts(room, shuffled, "in"))
    assume(one.value.status == other.value.status == "optimal")
    assert one.value == other.value


# ---- the inventory, with hostile text ----------------------------------------------------------------

_HOSTILE = st.text(
    st.one_of(
        st.sampled_from(",;\t\"'=+-@\r\n \ufeff\u2028\x0b\x1c\x85|#\\"),
        st.characters(exclude_categories=("Cs",), exclude_characters="\0"),
    ),
    max_size=30,
)
"""Any text but NUL, which no file of ours may hold; separators, quotes and line ends are frequent."""


@st.composite
def _hostile_inventory(draw: st.DrawFn) -> Inventory:
    """Two or three rows with hostile labels, owners and cells of columns that nobody knows, their names too."""
    rows = draw(st.integers(1, 3))
    base = parse_inventory("what,count\n" + "sneakers,2\n" * rows, "in")
    own = draw(st.lists(_HOSTILE.filter(_is_unknown), max_size=2, unique_by=lambda name: name.casefold()))
    changes = {(1, "label"): draw(_HOSTILE), (1, "owner"): draw(_HOSTILE)}
    changes |= {(row, name): draw(_HOSTILE) for row in range(1, rows + 1) for name in ("label", *own)}
    return with_cells(base, changes, "in")


def _is_unknown(name: str) -> bool:
    return " ".join(name.split()).casefold() not in (*COLUMNS, "")


@given(_hostile_inventory())
@settings(max_examples=150)
def test_an_inventory_written_and_read_back_is_the_same(inventory: Inventory) -> None:
    assert parse_inventory(format_inventory(inventory), "in") == inventory
    with TemporaryDirectory() as folder:
        path = Path(folder) / "inventory.csv"
        write_inventory(inventory, path)
        assert read_inventory(path, "in") == inventory


@pytest.mark.parametrize("text", ["a\0b", "\udc80"])
def test_what_no_file_may_hold_is_refused_when_it_is_typed(text: str) -> None:
    base = parse_inventory("what,count\nsneakers,2\n", "in")
    with pytest.raises(InputError, match="row 2, column label: has a character that no text file can hold"):
        with_cells(base, {(1, "label"): text}, "in")
