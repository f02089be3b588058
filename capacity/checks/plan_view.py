"""Room for people, hangers, heat and drawers: aisle, hangers, corners, radiators; and what `doorway` checks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from pydantic import JsonValue

from capacity.checks.check import Check, Cure, Place, Rule, length_check, length_cure, up_to_mark
from capacity.checks.doorway import doorway_checks, more_corner_access
from capacity.checks.floor_plan import (
    HANGER_DEPTH,
    HANGER_SOURCE,
    WIDE_KINDS,
    Solid,
    built_ins,
    frames,
    hang_reach,
    step_off,
)
from capacity.checks.out_of_reach import opening_at, swap_contents, swap_piles
from capacity.closet.closet import Closet
from capacity.layout.drawer_rule import slide_length
from capacity.layout.fit_rules import filling_violations
from capacity.layout.layout import Bay, Layout
from capacity.layout.problem import HANG_DEPTH, OpeningKind, Problem
from capacity.layout.reach_zones import SHOULDER, STATURE, zones_of
from capacity.layout.rod_height import LIFT, SHARE, over_rod, rod_height, rod_wished
from capacity.units import PER_INCH, Ticks, Units, format_about, format_length, inches, millimetres
from capacity.wardrobe.inventory import Inventory

AISLE, AISLE_SEATED = inches(24), inches(36)
AISLE_SOURCE = "walk-in aisle 24 in bare: architecture-firm planning page and practice"
SEATED_AISLE_SOURCE = "2010 ADA Standards 403.5: 36 in clear for a wheelchair"
"""Free width to walk in (published, second hand), and to roll in (from memory)."""


LIFT_SOURCE = "building-types handbook: pole to shelf above 3 in (76 mm) clear"

RADIATOR_FREE = inches(4)
"""Room beside and over a radiator, so that its warmth comes out and boards do not dry out (common practice, no
published source)."""

SLIDE_HIGH = inches(1.75)
"""Height of a side-mounted slide, 45 mm, which the side of a drawer box must cover (common practice)."""

HAND: dict[Units, Ticks] = {"in": inches(4), "mm": millimetres(100)}
"""Least clear height of an opening that a hand reaches into (our proposal, and the usual `least_opening`)."""

BOX_LESS = 3 * PER_INCH // 4
"""What a drawer box is lower than its opening, by the drawer rule [ticks]."""

PRACTICE = "common practice"


MOST_OVER_SHOULDER_KG = 5.0
"""What weighs more is not lifted over the shoulder at arm's length: lifting guidelines of the British Health and Safety
Executive, INDG143, men at head height (from memory)."""


def plan_checks(closet: Closet, problem: Problem, inventory: Inventory, layout: Layout) -> Iterator[Check]:
    """All checks of the plan view that the file gives enough for."""
    solids = built_ins(closet, inventory, layout)
    yield from _aisles(closet, solids)
    yield from _hanger_depths(closet, inventory, layout)
    yield from _corners(closet, problem, inventory, solids)
    yield from doorway_checks(closet, inventory, solids, layout)
    yield from _rods(closet, problem, layout)
    yield from _radiators(closet, problem, layout)
    yield from _drawers(closet, layout)
    yield from _hands(closet, layout)
    yield from _heavy(closet, problem, inventory, layout)


# ---- aisle, hangers, corners --------------------------------------------------------------------------


def _aisles(closet: Closet, solids: tuple[Solid, ...]) -> Iterator[Check]:
    """Between two walls of built-ins that face each other, and between one and what its `front` says faces it."""
    places, comfort = frames(closet), "36 in" if closet.units == "in" else "915 mm"
    seated = any(person.posture == "seated" for person in closet.person)
    limit = AISLE_SEATED if seated else AISLE
    source, known = (SEATED_AISLE_SOURCE, "from memory") if seated else (AISLE_SOURCE, "published, second hand")
    reaches = {wall: max(s.reach for s in solids if s.wall == wall) for wall in dict.fromkeys(s.wall for s in solids)}
    free: list[tuple[str, str, int, tuple[str, ...]]] = [
        (wall.name, "what faces it", wall.front - reaches[wall.name], (wall.name,))
        for wall in closet.wall
        if wall.front is not None and wall.name in reaches
    ]
    for first, second in combinations(reaches, 2):
        one, two = places[first], places[second]
        if one.group == two.group and one.into == (-two.into[0], -two.into[1]):
            apart = abs((two.x - one.x) * one.into[0] + (two.y - one.y) * one.into[1])
            free.append((first, f"wall {second}", apart - reaches[first] - reaches[second], (first, second)))
    for name, other, aisle, walls in free:
        words = f"to {other}, in front of what hangs there; {comfort} is comfortable"
        rule = Rule("aisle", "at least", source, known, words)
        yield length_check(
            closet.units, rule, Place(wall=name), aisle, limit, _shallower(closet, walls, reaches, aisle, limit)
        )


def _shallower(closet: Closet, walls: tuple[str, ...], reaches: dict[str, int], aisle: int, limit: int) -> Cure | None:
    """Shelves as much shallower as the aisle is short, shared by its walls; clothes that reach out further stay."""
    settings: dict[str, JsonValue] = {}
    words, gained = [], 0
    for index, wall in enumerate(closet.wall, start=1):
        if wall.name in walls:
            share = up_to_mark(-(-(limit - aisle) // len(walls)), closet.units)
            depth = Ticks(wall.depth - share)
            if depth < HANG_DEPTH or reaches[wall.name] > wall.depth + step_off(closet):
                return None
            settings[f"wall.{index}.depth"] = format_length(depth, closet.units)
            words.append(f"wall {wall.name} {format_about(depth, closet.units)}")
            gained += share
    return length_cure(
        closet.units,
        action="shallower shelves",
        sentence=f"make {' and '.join(words)} deep and run `capacity fit` again",
        settings=settings,
        computed=aisle + gained,
        limit=limit,
        passed=aisle + gained >= limit,
    )


def _hanger_depths(closet: Closet, inventory: Inventory, layout: Layout) -> Iterator[Check]:
    """From the wall to the front of what hangs, against the door or whatever faces that wall."""
    for index, wall in enumerate(layout.walls):
        door = closet.door
        known = [closet.wall[index].front]
        if door is not None and door.faces == wall.name and door.kind != "open":
            known.append(door.distance)
        free = min((length for length in known if length is not None), default=None)
        if free is None:
            continue
        for number, bay in enumerate(wall.bays, start=1):
            if hang_reach(bay, inventory):
                need = step_off(closet) + hang_reach(bay, inventory)
                yield length_check(
                    closet.units,
                    Rule("depth for hangers", "at least", HANGER_SOURCE, "published",
                         "from the wall to the door or to what faces it"),
                    Place(wall=wall.name, bay=number),
                    free,
                    need,
                    _hang_elsewhere(closet, inventory, wall.name, number, bay, free),
                )  # fmt: skip


def _hang_elsewhere(closet: Closet, inventory: Inventory, wall: str, number: int, bay: Bay, free: int) -> Cure | None:
    """Hang the widest garments elsewhere; where even the others touch the door, do without it."""
    units = closet.units
    if free - step_off(closet) >= HANGER_DEPTH:
        rods = [opening for opening in bay.openings if opening.kind is OpeningKind.HANG]
        rows = sorted({item.row for o in rods for item in o.holds if inventory.pile(item.row).kind in WIDE_KINDS})
        names = ", ".join(inventory.pile(row).name for row in rows)
        return length_cure(
            units,
            action="hang elsewhere",
            sentence=f"hang {names} where it is deeper; the rest needs {format_length(HANGER_DEPTH, units)}",
            settings={"layout.without_rows": [wall, number, list(rows)]},
            computed=free,
            limit=HANGER_DEPTH + step_off(closet),
        )
    front = next(item.front for item in closet.wall if item.name == wall)
    need = step_off(closet) + hang_reach(bay, inventory)
    if front is not None and front < need:
        return None
    return length_cure(
        units,
        action="open doorway",
        sentence="take the door away or hang a curtain: the clothes then reach out into the doorway",
        settings={"door.kind": "open", "door.clear": None},
        computed=front if front is not None else need,
        limit=need,
    )


def _corners(closet: Closet, problem: Problem, inventory: Inventory, solids: tuple[Solid, ...]) -> Iterator[Check]:
    """What hangs on one wall keeps clear of the built-ins and clothes of the wall round the corner."""
    names = [wall.name for wall in closet.wall]
    for corner in problem.corners:
        pair = names[corner.ends], names[corner.starts]
        first, second = ([solid for solid in solids if solid.wall == name] for name in pair)
        if not first or not second:
            continue
        deepest = max(one.rect.overlap(two.rect) for one in first for two in second)
        yield length_check(
            closet.units,
            Rule("clothes clear at the corner", "at most", HANGER_SOURCE, "published",
                 "how deep hanging clothes run into the other wall in plan view"),
            Place(wall=pair[0], thing=f"corner with wall {pair[1]}"),
            deepest,
            0,
            more_corner_access(closet, inventory),
        )  # fmt: skip


# ---- rods, radiators, drawers -------------------------------------------------------------------------


def _rods(closet: Closet, problem: Problem, layout: Layout) -> Iterator[Check]:
    """Over each rod hangers lift off: 3 in clear."""
    radius = -(-closet.rod.diameter // 2)
    part, of = SHARE
    wanted = up_to_mark(-(-(LIFT + radius) * of // part), closet.units)
    shown = format_length(wanted, closet.units)
    cure = length_cure(
        closet.units,
        action="more hang allowance",
        sentence=f"leave {shown} for hangers and hems together and run `capacity fit` again",
        settings={"wishes.hang_allowance": shown},
        computed=over_rod(wanted) - radius,
        limit=LIFT,
        passed=over_rod(wanted) - radius >= LIFT,
    )
    for wall, bay, index, _, opening in layout.openings():
        if opening.kind is OpeningKind.HANG:
            place = Place(wall=layout.walls[wall].name, bay=bay + 1, opening=index + 1)
            over = opening.bottom + opening.height - rod_height(problem, opening) - radius
            may_cure = cure.passed and not rod_wished(problem, opening)
            words = "clear between the rod and what is above it"
            rule = Rule("hangers lift off the rod", "at least", LIFT_SOURCE, "published, second hand", words)
            yield length_check(closet.units, rule, place, over, LIFT, cure if may_cure else None)


def _radiators(closet: Closet, problem: Problem, layout: Layout) -> Iterator[Check]:
    """Built-ins beside or over a radiator keep away from it."""
    thick = problem.rules.panel
    for index, wall in enumerate(layout.walls):
        for number, part in enumerate(closet.wall[index].blocked):
            if part.what != "radiator" or not wall.bays:
                continue
            away = []
            for bay in wall.bays:
                left, right = bay.left - thick, bay.left + bay.width + thick
                low = min(opening.bottom for opening in bay.openings)
                beside = max(part.left - right, left - part.left - part.width, 0)
                above = max(low - problem.rules.panel - part.bottom - part.height, 0)
                away.append(max(beside, above))
            more = RADIATOR_FREE
            key, units = f"wall.{index + 1}.blocked.{number + 1}", closet.units
            start, end = max(0, part.left - more), min(closet.wall[index].clear_width, part.left + part.width + more)
            sizes = {
                "left": start, "width": end - start, "height": part.height + more,
            }  # fmt: skip
            settings: dict[str, JsonValue] = {
                f"{key}.{name}": format_length(Ticks(size), units) for name, size in sizes.items()
            }
            settings[f"{key}.what"] = None
            room = format_length(more, units)
            words = "so that it warms the room and dries no board"
            rule = Rule("room around the radiator", "at least", PRACTICE, PRACTICE, words)
            cure = length_cure(
                units,
                "keep away",
                f"block {room} more on each side of it and over it, and run `capacity fit` again",
                settings,
                more,
                more,
            )
            yield length_check(
                units, rule, Place(wall=wall.name, thing=f"radiator {number + 1}"), min(away), more, cure
            )


def _drawers(closet: Closet, layout: Layout) -> Iterator[Check]:
    """The box is as high as its slide, and front and box end before the wall."""
    units, thick = closet.units, closet.panel.thickness
    high = up_to_mark(SLIDE_HIGH + BOX_LESS, units)
    for wall, number, index, bay, opening in layout.openings():
        if opening.kind is not OpeningKind.DRAWER:
            continue
        place = Place(wall=layout.walls[wall].name, bay=number + 1, opening=index + 1)
        words = "height of the box against that of a side-mounted slide"
        rule = Rule("drawer side covers its slide", "at least", PRACTICE, PRACTICE, words)
        cure = length_cure(
            units,
            "higher drawers",
            f"let no drawer opening be lower than {format_length(high, units)} and run `capacity fit` again",
            {"wishes.least_drawer": format_length(high, units)},
            high - BOX_LESS,
            SLIDE_HIGH,
        )
        yield length_check(units, rule, place, opening.height - BOX_LESS, SLIDE_HIGH, cure)
        yield length_check(
            units,
            Rule("drawer ends before the wall", "at most", "the parts: inset front and box, one behind the other",
                 "computed"),
            place,
            thick + slide_length(bay.depth),
            bay.depth,
        )  # fmt: skip


def _hands(closet: Closet, layout: Layout) -> Iterator[Check]:
    """A hand goes into every shelf opening that holds something."""
    least = HAND[closet.units]
    shown = format_length(least, closet.units)
    for wall, number, index, _, opening in layout.openings():
        if opening.kind is OpeningKind.SHELF and opening.holds:
            yield length_check(
                closet.units,
                Rule("a hand goes into the opening", "at least",
                     "our proposal, from the breadth of a hand with what it holds", "our proposal", "clear height"),
                Place(wall=layout.walls[wall].name, bay=number + 1, opening=index + 1),
                opening.height,
                least,
                length_cure(
                    closet.units,
                    action="higher openings",
                    sentence=f"let no shelf opening be lower than {shown} and run `capacity fit` again",
                    settings={"wishes.least_opening": shown},
                    computed=least,
                    limit=least,
                ),
            )  # fmt: skip


# ---- heavy things -------------------------------------------------------------------------------------


def _heavy(closet: Closet, problem: Problem, inventory: Inventory, layout: Layout) -> Iterator[Check]:
    """What is heavy stands no higher than the shoulder of whoever lifts it."""
    zones = [zone for zone in zones_of(closet.person).values() if zone.is_adult]
    limit = min((zone.comfort_high for zone in zones), default=millimetres(SHOULDER))
    heavy = frozenset(
        pile.row for pile in inventory.piles if pile.shape.weight_kg > MOST_OVER_SHOULDER_KG and pile.count
    )
    who = "the shoulder of the smallest adult" if zones else f"the shoulder of an adult of {STATURE} mm"
    source = f"HSE INDG143: over {MOST_OVER_SHOULDER_KG:g} kg not above the shoulder at arm's length; {who}"
    note = "from the floor to what it stands on"
    rule = Rule("heavy things no higher than the shoulder", "at most", source, "from memory", note)
    trial = _Lowering(problem, inventory, layout, heavy, limit)
    for wall, number, index, _, opening in layout.openings():
        for item in opening.holds:
            if item.row in heavy and opening.kind is OpeningKind.SHELF:
                name, thing = layout.walls[wall].name, inventory.pile(item.row).name
                place = Place(wall=name, bay=number + 1, opening=index + 1, thing=thing)
                is_high = opening.bottom > limit
                cure = trial.cure(closet.units, (wall, number, index), item.row) if is_high else None
                yield length_check(closet.units, rule, place, opening.bottom, limit, cure)


@dataclass(frozen=True, slots=True)
class _Lowering:
    """A layout in which piles by data row are heavy, and the highest that they may stand [ticks]."""

    problem: Problem
    inventory: Inventory
    layout: Layout
    heavy: frozenset[int]
    limit: int

    def cure(self, units: Units, spot: tuple[int, int, int], row: int) -> Cure | None:
        """One change of places after which a heavy pile stands lower and no other heavy one higher than it may."""
        layout, inventory = self.layout, self.inventory
        here = (layout.walls[spot[0]].name, spot[1] + 1, spot[2] + 1)
        for w, b, o, _, there in layout.openings():
            if there.kind is not OpeningKind.SHELF or there.bottom > self.limit or (w, b, o) == spot:
                continue
            other = (layout.walls[w].name, b + 1, o + 1)
            for kind, back, changed in self._changes(spot, (w, b, o), row):
                if not filling_violations(self.problem, changed):
                    words = f"wall {other[0]}, bay {other[1]}, opening {other[2]}"
                    name = inventory.pile(row).name
                    sentence = f"put {name} into {words}" if kind == "piles" else f"change what is there with {words}"
                    sentence += f", and {inventory.pile(back).name} back" if back else ""
                    change: JsonValue = [kind, *here, *other, row if kind == "piles" else 0, back]
                    settings: dict[str, JsonValue] = {"layout.change": [change]}
                    bottom = opening_at(changed, (w, b, o)).bottom
                    return length_cure(units, "change places", sentence, settings, bottom, self.limit)
        return None

    def _changes(
        self, spot: tuple[int, int, int], other: tuple[int, int, int], row: int
    ) -> Iterator[tuple[str, int, Layout]]:
        """The pile into the other opening, alone or for one of there (its row), then all contents of both."""
        holds = opening_at(self.layout, other).holds
        for back in (0, *dict.fromkeys(item.row for item in holds if item.row not in self.heavy)):
            yield "piles", back, swap_piles(self.layout, spot, other, row, back)
        if not any(item.row in self.heavy for item in holds):
            yield "contents", 0, swap_contents(self.layout, spot, other)
