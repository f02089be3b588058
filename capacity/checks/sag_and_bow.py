"""Every shelf and rod of a layout checked under what it carries, with the cheapest cure where one falls short.

The limits stand in `sag_limits`, the formulas in `beams`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from pydantic import JsonValue

from capacity.checks.beams import LineLoad
from capacity.checks.check import Check, Cure, Place, Rule, down_to_mark, length_check, length_cure, up_to_mark
from capacity.checks.sag_limits import (
    LOOKS_STRAIGHT_SOURCE,
    POLE_DIAMETER_METAL,
    POLE_DIAMETER_WOOD,
    POLE_SOURCE,
    POLE_SPAN,
    ROD_BOW_SOURCE,
    SAFE_ROUNDING,
    STANDARDS,
    contents_sag,
    heaviest_on_rods,
    heaviest_on_shelves,
    longest,
    pole_rule,
    rod_bow,
    rod_holds,
    shelf_holds,
    spans,
    standard_sag,
)
from capacity.closet.boards import Panel, Rod, StiffeningStrip
from capacity.closet.closet import Closet
from capacity.closet.materials import materials
from capacity.layout.layout import Bay, Layout, Opening, panels_of
from capacity.layout.problem import OpeningKind, Problem
from capacity.units import (
    NEWTONS_PER_KG,
    Rounding,
    Ticks,
    Units,
    format_about,
    format_length,
    inches,
    mm_to_number,
    parse_length,
    to_mm,
)
from capacity.wardrobe.inventory import Inventory
from capacity.wardrobe.kinds import Store

STRIPS = ((0.75, 1.5), (0.75, 2.5))
"""Front strips to try, thickness x height [in]: solid 1 x 2 and 1 x 3 sticks, the usual ones (common practice, no
published source)."""

SUPPORTS = (2, 3)
"""Spans into which supports part a shelf or rod: one in the middle, or one at each third (our proposal)."""

THICKER = (0.75, 1.0, 1.4375)
"""Boards to try [in]: 3/4, 1 in, and two of 23/32 glued together (common practice, no published source)."""

SOLD: dict[tuple[Units, bool], tuple[str, ...]] = {
    ("in", False): ("1 1/4 in", "1 5/16 in", "1 3/8 in", "1 1/2 in", "1 5/8 in", "2 in"),
    ("in", True): ("1 1/16 in", "1 1/4 in", "1 5/16 in", "1 1/2 in"),
    ("mm", False): ("32 mm", "35 mm", "40 mm", "45 mm", "50 mm"),
    ("mm", True): ("28 mm", "30 mm", "32 mm", "35 mm", "40 mm"),
}
"""Diameters in which dowels, and tubes of metal (True), are sold (common practice, no published source)."""

TUBE_WALLS: dict[Units, str] = {"in": "0.049 in", "mm": "1.5 mm"}
"""Wall of the steel tube to try instead of a dowel (common practice, no published source)."""


SagOf = Callable[[Panel, int], tuple[float, float]]
"""Sag and its limit [mm] of a stock at a width [ticks]."""


@dataclass(frozen=True, slots=True)
class Shelf:
    """One horizontal panel of a bay and what stands on it."""

    place: Place
    width: int
    depth: int
    loads: tuple[LineLoad, ...]


@dataclass(frozen=True, slots=True)
class Worst:
    """The heaviest that any layout can put on a shelf or a rod: cures that need a new layout are held against it.

    `min_bay` is the narrowest bay that such a layout may have [ticks].
    """

    on_shelves: tuple[LineLoad, ...]
    on_rods: tuple[LineLoad, ...]
    min_bay: int


def contents_of(problem: Problem, inventory: Inventory, bay: Bay, opening: Opening) -> tuple[LineLoad, ...]:
    """Line loads of what stands in a shelf opening or hangs on a rod, each over the room that it takes."""
    loads = []
    for item in opening.holds:
        whole, pile = problem.thing(item.row), inventory.pile(item.row)
        thing = whole.stored_in(opening.kind) or whole
        weight = pile.shape.weight_kg * item.count * NEWTONS_PER_KG
        if thing.store is Store.HANG:
            taken = thing.rod * item.count
        else:
            width, depth = (thing.depth, thing.width) if item.turned else (thing.width, thing.depth)
            rows = max(1, min(problem.rules.rows_deep, bay.depth // depth))
            most = thing.most
            high = max(1, min(most, (opening.height - problem.rules.gap) // thing.height))
            stacks = -(-item.count // high)
            taken = -(-stacks // rows) * width
        loads.append(LineLoad(weight / to_mm(taken), to_mm(taken)))
    return tuple(loads)


def shelves_of(problem: Problem, inventory: Inventory, layout: Layout) -> Iterator[Shelf]:
    """Every horizontal panel of a layout; the opening is the one that stands on it, none for an empty top."""
    for wall in layout.walls:
        for number, bay in enumerate(wall.bays, start=1):
            for face in panels_of(problem, bay):
                upper = face + problem.rules.panel
                place = Place(wall=wall.name, bay=number, thing="top panel")
                loads: tuple[LineLoad, ...] = ()
                for index, opening in enumerate(bay.openings, start=1):
                    if opening.bottom == upper:
                        place = Place(wall=wall.name, bay=number, opening=index)
                        if opening.kind is OpeningKind.SHELF:
                            loads = contents_of(problem, inventory, bay, opening)
                yield Shelf(place, bay.width, bay.depth, loads)


def bearing_checks(closet: Closet, problem: Problem, inventory: Inventory, layout: Layout) -> Iterator[Check]:
    """Sag of every shelf (two verdicts), bow and pole rule of every rod."""
    worst = Worst(
        tuple(heaviest_on_shelves(inventory.piles, problem.rules.rows_deep)),
        tuple(heaviest_on_rods(inventory.piles)),
        problem.rules.min_bay,
    )
    for shelf in shelves_of(problem, inventory, layout):
        yield from _shelf_checks(closet, shelf, worst)
    for wall in layout.walls:
        for number, bay in enumerate(wall.bays, start=1):
            for index, opening in enumerate(bay.openings, start=1):
                if opening.kind is OpeningKind.HANG:
                    loads = contents_of(problem, inventory, bay, opening)
                    place = Place(wall=wall.name, bay=number, opening=index)
                    yield from _rod_checks(closet, place, bay.width, loads, worst)


# ---- shelves ------------------------------------------------------------------------------------------


def _shelf_checks(closet: Closet, shelf: Shelf, worst: Worst) -> Iterator[Check]:
    panel, units = closet.panel, closet.units
    standard = STANDARDS[panel.standard]
    load = "200 lb at most" if standard.most_lb else "no most load"
    verdicts: tuple[tuple[str, SagOf, str, str, str], ...] = (
        (
            "shelf meets the standard",
            lambda stock, width: standard_sag(stock, width, shelf.depth),
            standard.source,
            standard.how_known,
            f"{panel.standard}: {standard.load_psf:g} lb/ft2, {load}; sag at once",
        ),
        (
            "shelf looks straight",
            lambda stock, width: contents_sag(stock, width, shelf.depth, shelf.loads),
            LOOKS_STRAIGHT_SOURCE,
            "published, second hand",
            f"its contents and its own weight, with creep x {materials()[panel.material].creep:g}",
        ),
    )
    for name, sag_of, source, how_known, note in verdicts:
        sag, limit = sag_of(panel, shelf.width)
        passed = sag <= limit * SAFE_ROUNDING
        cure = None if passed else _shelf_cure(panel, units, shelf, worst, sag_of)
        rule = Rule(name, "at most", source, how_known, note)
        yield length_check(units, rule, shelf.place, sag, limit, cure, mm_to_number, SAFE_ROUNDING)


def _shelf_cure(panel: Panel, units: Units, shelf: Shelf, worst: Worst, sag_of: SagOf) -> Cure | None:
    """The first cure, in order of cost, after which the shelf passes both verdicts.

    Grain along the span costs nothing, a stick little, a support a bracket, a narrower bay one more upright, a
    thicker board most (common practice, no published source).
    """
    for action, sentence, stock, width, settings in _shelf_cures(panel, units, shelf, worst):
        loads = worst.on_shelves if "capacity fit" in sentence else shelf.loads
        if shelf_holds(stock, width, shelf.depth, loads):
            sag, limit = sag_of(stock, width)
            return length_cure(units, action, sentence, settings, sag, limit, show=mm_to_number)
    return None


ShelfTrial = tuple[str, str, Panel, int, dict[str, JsonValue]]


def _shelf_cures(panel: Panel, units: Units, shelf: Shelf, worst: Worst) -> Iterator[ShelfTrial]:
    if panel.grain == "across":
        along = panel.model_copy(update={"grain": "along"})
        yield "grain along", "run the face grain along the span", along, shelf.width, {"panel.grain": "along"}
    stuff = "hard maple"
    for thick, high in STRIPS:
        stick = StiffeningStrip.model_construct(
            material=stuff, thickness=inches(thick), height=inches(high), glued=True
        )
        stock = panel.model_copy(update={"strip": stick})
        show = {name: format_length(inches(value), units) for name, value in (("thickness", thick), ("height", high))}
        words = f"glue a strip of {stuff}, {show['thickness']} x {show['height']}, along the front, flush with the top"
        settings: dict[str, JsonValue] = {"panel.strip": {"material": stuff, **show, "glued": True}}
        yield "front strip", words, stock, shelf.width, settings
    for number in SUPPORTS:
        every = up_to_mark(-(-shelf.width // number), units)
        stock = panel.model_copy(update={"support_every": every})
        words = f"support it {'in the middle' if number == 2 else 'at every third'} with a bracket or a short upright"
        yield "middle support", words, stock, shelf.width, {"panel.support_every": format_length(every, units)}
    width = longest(lambda w: shelf_holds(panel, w, shelf.depth, worst.on_shelves), shelf.width, panel.support_every)
    width = down_to_mark(width, units)
    if width >= worst.min_bay:
        words = f"make the bay at most {format_about(width, units)} wide and run `capacity fit` again"
        yield "narrower bay", words, panel, width, {"wishes.max_shelf": format_length(width, units)}
    for thick in THICKER:
        if inches(thick) > panel.thickness:
            stock = panel.model_copy(update={"thickness": inches(thick), "measured": ()})
            width = longest(lambda w, stock=stock: shelf_holds(stock, w, shelf.depth, worst.on_shelves), shelf.width)  # type: ignore[misc]
            if width < worst.min_bay:
                continue
            shown, wide = format_length(inches(thick), units), down_to_mark(width, units)
            words = (
                f"take board {shown} thick, bays at most {format_about(wide, units)} wide, and run `capacity fit` again"
            )
            more: dict[str, JsonValue] = {"panel.thickness": shown, "panel.measured": []}
            yield "thicker board", words, stock, wide, {**more, "wishes.max_shelf": format_length(wide, units)}


# ---- rods ---------------------------------------------------------------------------------------------


def _rod_checks(closet: Closet, place: Place, width: int, loads: tuple[LineLoad, ...], worst: Worst) -> Iterator[Check]:
    rod, units = closet.rod, closet.units
    bow, limit = rod_bow(rod, width, loads)
    note = f"the garments that hang there and the rod, with creep x {materials()[rod.material].creep:g}"
    cure = None
    if bow > limit * SAFE_ROUNDING:
        cure = _rod_cure(rod, units, width, loads, worst)
    rule = Rule("rod stays straight", "at most", ROD_BOW_SOURCE, "our proposal", note)
    yield length_check(units, rule, place, bow, limit, cure, mm_to_number, SAFE_ROUNDING)
    _, span = spans(width, rod.support_every)
    thick = to_mm(POLE_DIAMETER_METAL if rod.is_metal else POLE_DIAMETER_WOOD)
    cure = None if pole_rule(rod, width) else _pole_cure(rod, units, width, loads)
    stuff = "metal" if rod.is_metal else "wood"
    pairs: tuple[tuple[str, float, float, Literal["at most", "at least"], str], ...] = (
        ("span of the clothes pole", span, to_mm(POLE_SPAN), "at most", "between its supports"),
        ("thickness of the clothes pole", to_mm(rod.diameter), thick, "at least", stuff),
    )
    for name, computed, most, sense, note in pairs:
        yield length_check(
            units, Rule(name, sense, POLE_SOURCE, "published", note), place, computed, most, cure, show=mm_to_number
        )


RodTrial = tuple[str, str, Rod, int, dict[str, JsonValue]]


def _rod_cures(rod: Rod, units: Units, width: int, worst: Worst) -> Iterator[RodTrial]:
    """A bracket is the cheapest, then a tube, then a narrower bay (common practice, no published source)."""
    for number in SUPPORTS:
        every = up_to_mark(-(-width // number), units)
        stock = rod.model_copy(update={"support_every": every})
        words = f"hold the rod {'in the middle' if number == 2 else 'at every third'} with a centre bracket"
        yield "centre bracket", words, stock, width, {"rod.support_every": format_length(every, units)}
    shown = TUBE_WALLS[units]
    wall = parse_length(shown, units, Rounding.DOWN)
    for diameter in (size for size in _sold(units, is_metal=True) if size >= rod.diameter):
        number = -(-width // POLE_SPAN)
        apart = up_to_mark(-(-width // number), units) if number > 1 else rod.support_every
        change = {"material": "steel", "wall": wall, "diameter": diameter, "support_every": apart}
        stock = rod.model_copy(update=change)
        thick = format_length(diameter, units)
        words = f"take a steel tube {thick} thick with a wall of {shown}"
        settings: dict[str, JsonValue] = {"rod.material": "steel", "rod.wall": shown, "rod.diameter": thick}
        if number > 1 and apart is not None:
            words += f", and hold it with centre brackets at most {format_about(apart, units)} apart"
            settings["rod.support_every"] = format_length(apart, units)
        yield "tube instead of dowel", words, stock, width, settings
    narrow = longest(lambda w: rod_holds(rod, w, worst.on_rods), width, rod.support_every)
    narrow = down_to_mark(narrow, units)
    if narrow >= worst.min_bay:
        words = f"make the bay at most {format_about(narrow, units)} wide and run `capacity fit` again"
        yield "narrower bay", words, rod, narrow, {"wishes.max_rod": format_length(narrow, units)}


def _rod_cure(rod: Rod, units: Units, width: int, loads: tuple[LineLoad, ...], worst: Worst) -> Cure | None:
    for action, sentence, stock, new_width, settings in _rod_cures(rod, units, width, worst):
        if rod_holds(stock, new_width, worst.on_rods if "capacity fit" in sentence else loads):
            bow, limit = rod_bow(stock, new_width, loads)
            return length_cure(units, action, sentence, settings, bow, limit, show=mm_to_number)
    return None


def _sold(units: Units, is_metal: bool) -> tuple[Ticks, ...]:
    """The diameters in which rods are sold, thinnest first."""
    return tuple(parse_length(size, units, Rounding.UP) for size in SOLD[units, is_metal])


def _pole_cure(rod: Rod, units: Units, width: int, loads: tuple[LineLoad, ...]) -> Cure | None:
    """A thicker rod where it is too thin, a bracket where it is too long, after which it does not bow either."""
    least = max(rod.diameter, POLE_DIAMETER_METAL if rod.is_metal else POLE_DIAMETER_WOOD)
    sizes = (rod.diameter, *_sold(units, rod.is_metal))
    thick = next((size for size in sizes if size >= least), least)
    number = max(1, -(-width // POLE_SPAN))
    for supports in range(number, number + 3):
        every = up_to_mark(-(-width // supports), units) if supports > 1 else rod.support_every
        stock = rod.model_copy(update={"diameter": thick, "support_every": every})
        if pole_rule(stock, width) and rod_holds(stock, width, loads):
            words: list[str] = []
            settings: dict[str, JsonValue] = {}
            if thick > rod.diameter:
                words.append(f"take a rod {format_length(thick, units)} thick")
                settings["rod.diameter"] = format_length(thick, units)
            if every is not None and every != rod.support_every:
                words.append(f"hold it with centre brackets at most {format_about(every, units)} apart")
                settings["rod.support_every"] = format_length(every, units)
            computed, limit = (spans(width, every)[1], to_mm(POLE_SPAN)) if every else (to_mm(thick), to_mm(thick))
            return length_cure(
                units,
                action="thicker rod" if thick > rod.diameter else "centre bracket",
                sentence=" and ".join(words),
                settings=settings,
                computed=computed,
                limit=limit,
                show=mm_to_number,
            )
    return None
