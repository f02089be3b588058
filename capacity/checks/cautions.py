"""Where work can hurt someone, for checks, page and packet alike; each defers to local codes and licensed practice."""

from __future__ import annotations

from dataclasses import dataclass

from capacity.checks.way_in import carcass_weight, carcasses
from capacity.closet.closet import Closet
from capacity.layout.layout import Layout
from capacity.layout.problem import Problem
from capacity.units import INCHES_PER_FOOT, KG_PER_POUND, MM_PER_INCH, Units, inches, kg_to_number, to_mm

DEFER = "Local codes and licensed practice decide."

ALONE_KG = 23.0
"""Nobody lifts more than this alone: load constant of the NIOSH lifting equation, 23 kg or 51 lb (from memory)."""

LEAD_ROOM_FT2 = 6
"""Painted area disturbed in a room above which 40 CFR 745 binds contractors in pre-1978 housing (published, second
hand)."""

TIP_HEIGHT, TIP_WEIGHT_LB, TIP_VOLUME_FT3 = inches(27), 30, 3.2
"""Scope of ASTM F2057-23 and 16 CFR 1261.2: free-standing units so tall, so heavy and so large (published)."""

SHEET = {
    "in": "A 4 x 8 ft sheet of 3/4 in board weighs 60 to 100 lb (27 to 45 kg)",
    "mm": "A sheet of 1220 x 2440 mm and 18 mm thick weighs 27 to 45 kg",
}
"""What a full sheet of board weighs, from plywood to particle board (common practice, no published source)."""

SCREW_DEPTH = {"in": "1 1/4 in", "mm": "32 mm"}
"""A cable is at least so far behind the face of a stud: NEC 300.4 (from memory)."""

DUST_NIOSH, DUST_OSHA = 1, 15
"""Wood dust in the air [mg/m3]: NIOSH's recommended limit, OSHA's legal one for total dust (OSHA's page on wood dust,
published)."""


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: what it is about, and what to do."""

    topic: str
    words: str


def _cubic_feet(width: float, depth: float, height: float) -> float:
    return width * depth * height / (INCHES_PER_FOOT * MM_PER_INCH) ** 3


def in_tip_over_scope(height: int, weight_kg: float, volume_ft3: float, is_fixed: bool) -> bool:
    """Whether the tip-over rule for clothing storage units covers a unit; nothing fixed to the building is covered."""
    tall, heavy = height >= TIP_HEIGHT, weight_kg >= TIP_WEIGHT_LB * KG_PER_POUND
    return tall and heavy and volume_ft3 >= TIP_VOLUME_FT3 and not is_fixed


def cautions(closet: Closet, problem: Problem, layout: Layout) -> tuple[Caution, ...]:
    """The cautions that apply to this closet and layout, in the order of the work."""
    lead = f"{LEAD_ROOM_FT2} ft2" if closet.units == "in" else f"{LEAD_ROOM_FT2 * 0.3048**2:.1f} m²"
    found = [
        Caution("old paint", "Built before 1978? Presume lead in the paint: no dry sanding or scraping, wet methods, "
                f"clean up the dust; contractors are bound above {lead} a room. {DEFER}"),
        Caution("old flooring and sprayed ceilings", "Tile, sheet backing, black adhesive or a sprayed ceiling from "
                "before about 1986 may hold asbestos: have it tested first, do not sand, scrape or cut it. "
                f"{DEFER}"),
        Caution("breaker", "Switch the breaker off and test that the wires are dead before work near outlets, "
                f"switches or lamps. {DEFER}"),
        Caution("buried cables and pipes", "Find cables and pipes before you drill; a screw deeper than "
                f"{SCREW_DEPTH[closet.units]} into a stud can meet a cable. {DEFER}"),
        Caution("anchoring and tip-over", _tip_over_words(closet, problem, layout)),
        Caution("dust", "Wood dust harms the lungs: cut outdoors or with extraction, and wear a fitting mask. US "
                f"limits are {DUST_NIOSH} (NIOSH) to {DUST_OSHA} (OSHA) mg/m3. {DEFER}"),
        Caution("blades", "Eye and ear protection on, the sheet held firmly, the blade guarded and unplugged before a "
                f"hand comes near it. {DEFER}"),
        Caution("ladder", "Stand on a sound ladder, three points of contact, never on its two top rungs. "
                f"{DEFER}"),
        Caution("two-person lift", _lift_words(closet, problem, layout)),
    ]  # fmt: skip
    if closet.lamp:
        words = "A lamp in a closet is the work of a licensed electrician; the clearances here are those of one code."
        found.insert(3, Caution("lamp", f"{words} {DEFER}"))
    return tuple(found)


def _lift_words(closet: Closet, problem: Problem, layout: Layout) -> str:
    """What two people lift: a sheet of board always, a carcass where it is heavy."""
    words = f"{SHEET[closet.units]}: two people carry it."
    lift = _heaviest(closet, problem, layout)
    if lift > ALONE_KG:
        words += f" The heaviest carcass weighs about {_weight(lift, closet.units)}: two people lift it, never one."
    return f"{words} Above {_weight(ALONE_KG, closet.units)} nobody lifts alone. {DEFER}"


def _weight(weight_kg: float, units: Units) -> str:
    number = kg_to_number(weight_kg, units)
    return f"{number:.0f} {'lb' if units == 'in' else 'kg'}"


def _heaviest(closet: Closet, problem: Problem, layout: Layout) -> float:
    """Weight of the heaviest carcass, or of the heavier piece of one [kg]; 0 when built part by part."""
    weights = [0.0]
    for index, wall in enumerate(layout.walls):
        for number, bay in enumerate(wall.bays, start=1):
            whole = carcass_weight(closet, problem, bay, problem.top)
            boxes = carcasses(problem, layout, index, number, closet.assembly)
            tall = sum(box.height for box in boxes)
            weights += [whole * box.height / tall for box in boxes]
    return max(weights)


def _tip_over_words(closet: Closet, problem: Problem, layout: Layout) -> str:
    """Always to be anchored; how many bays the rule would cover if they stood free."""
    thick, number = 2 * problem.rules.panel, 0
    for wall in layout.walls:
        for bay in wall.bays:
            volume = _cubic_feet(to_mm(bay.width + thick), to_mm(bay.depth), to_mm(problem.top))
            number += in_tip_over_scope(
                problem.top, carcass_weight(closet, problem, bay, problem.top), volume, is_fixed=False
            )
    words = (
        "Screw every bay to the studs, top and bottom, before anything is put in, and never leave one standing free: "
    )
    words += "a child can pull it over."
    if number:
        words += f" Left free, {number} of the bays would fall under the tip-over rule (ASTM F2057-23)."
    return f"{words} {DEFER}"
