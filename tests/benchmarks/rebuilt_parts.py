"""A second way to every part, hole, mark and sum of a packet: from plan.json and the settings, by other code.

Run it on makeover folders that were built: `python tests/benchmarks/rebuilt_parts.py DIR...`. It shares the readers of
`closet.toml` with the program and nothing of the workshop: sizes are counted again in exact fractions of a tick from
the openings that `plan.json` holds, and `build/parts.json` is held against them.
"""

from __future__ import annotations

import json
import math
import re
import sys
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

from capacity.closet.closet import Closet, read_closet

TICKS = {"in": 8128, "mm": 320}
SHELVES = ("bottom", "top", "fixed shelf", "loose shelf")


def faults(folder: Path) -> list[str]:
    """Everything in `build/parts.json` that is not as counted again; empty when both agree."""
    closet = read_closet(folder / "closet.toml")
    plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    built = json.loads((folder / "build" / "parts.json").read_text(encoding="utf-8"))
    unit = TICKS[closet.units]
    parts = [
        {**part, **{key: round(part[key] * unit) for key in ("length", "width", "thickness", "left", "bottom")}}
        for part in built["parts"]
    ]
    found: list[str] = []
    for number, wall in enumerate(plan["walls"], 1):
        bays = [_ticked(bay, unit) for bay in wall["bays"]]
        own = [part for part in parts if part["wall"] == number]
        if bays:
            found += _uprights(closet, number, bays, own)
        for at, bay in enumerate(bays, 1):
            inside = [part for part in own if part["bay"] == at]
            found += _bay(closet, f"bay {number}-{at}", bay, inside)
            holes = [hole for hole in built["holes"] if (hole["wall"], hole["bay"]) == (number, at)]
            found += _holes(closet, f"bay {number}-{at}", bay, inside, holes, unit)
    found += _boards(closet, parts)
    found += _marks(parts, built["marks"], unit)
    return found + list(_sums(closet, built["shopping"]))


def _ticked(bay: dict[str, Any], unit: int) -> dict[str, Any]:
    openings = [
        {"kind": one["kind"], "bottom": round(one["bottom"] * unit), "height": round(one["height"] * unit)}
        for one in bay["openings"]
    ]
    return {**{key: round(bay[key] * unit) for key in ("left", "width", "depth")}, "openings": openings}


def _uprights(closet: Closet, wall: int, bays: list[dict[str, Any]], own: list[dict[str, Any]]) -> Iterator[str]:
    """One at each end of each bay, shared where two meet, as high as the top of the higher bay beside it."""
    if closet.wishes.keep_bays:
        return
    thick = closet.panel.thickness
    tops: dict[int, int] = {}
    for bay in bays:
        top = max(_faces(closet, bay)) + thick
        for left in (bay["left"] - thick, bay["left"] + bay["width"]):
            tops[left] = max(tops.get(left, 0), top)
    standing: Counter[int] = Counter()
    for part in own:
        if part["part"] == "upright":
            standing[part["left"]] += part["length"]
    kick = closet.wishes.toe_kick if closet.assembly == "on a base" else 0
    slope = closet.wall[wall - 1].ceiling or (0, 0)
    falls = -(-thick * abs(slope[0] - slope[1]) // closet.wall[wall - 1].clear_width)  # over its own thickness
    for left in sorted(tops.keys() | standing.keys()):
        lower = tops.get(left, 0) - standing[left]
        if not 0 <= lower <= falls and lower != kick:
            yield f"wall {wall}: the upright at {left} is {standing[left]} high, not {tops.get(left, 0)}"


def _boards(closet: Closet, parts: list[dict[str, Any]]) -> Iterator[str]:
    """Each board as thick as its stock; uprights as deep as their wall, on the floor or on their lower piece."""
    built = closet.construction
    thick = {
        "panel": closet.panel.thickness, "back": built.back, "drawer box": built.drawer_side,
        "drawer bottom": built.drawer_bottom, "rod": closet.rod.diameter,
    }  # fmt: skip
    kick = closet.wishes.toe_kick if closet.assembly == "on a base" else 0
    for part in parts:
        if part["thickness"] != thick.get(part["material"], part["thickness"]) or (
            part["part"] == "rod" and part["width"] != part["thickness"]
        ):
            yield f"{part['label']} is {part['thickness']} thick"
        if part["part"] == "upright":
            deep = closet.wall[part["wall"] - 1].depth - built.band
            feet = {0, kick} if not part["note"].startswith("upper piece") else {
                low["bottom"] + low["length"] for low in parts
                if low["part"] == "upright" and (low["wall"], low["left"]) == (part["wall"], part["left"])
            }  # fmt: skip
            if part["width"] != deep or part["bottom"] not in feet:
                yield f"{part['label']} is {part['width']} deep and stands at {part['bottom']}"
        if part["part"] in ("scribe strip", "filler panel") and (part["bottom"] or not _is_by_upright(part, parts)):
            yield f"{part['label']} is {part['length']} long from {part['bottom']} on"


def _is_by_upright(strip: dict[str, Any], parts: list[dict[str, Any]]) -> bool:
    """Whether a strip at the end of a wall is as long as an upright there, or shorter where the ceiling falls to it."""
    uprights = [part for part in parts if part["part"] == "upright" and part["wall"] == strip["wall"]]
    heights = Counter[int]()
    for part in uprights:
        heights[part["left"]] += part["length"]
    ends = [heights[min(heights)] + min(p["bottom"] for p in uprights), heights[max(heights)]]
    return any(0 <= end - strip["length"] <= strip["width"] + strip["thickness"] for end in ends)


def _faces(closet: Closet, bay: dict[str, Any]) -> list[int]:
    """Lower faces of the horizontal boards: under and over each opening, none over the last one above the top."""
    thick, top = closet.panel.thickness, closet.top
    faces = set()
    for index, one in enumerate(bay["openings"]):
        if one["bottom"] > 0:
            faces.add(one["bottom"] - thick)
        if not (index == len(bay["openings"]) - 1 and one["bottom"] >= top):
            faces.add(one["bottom"] + one["height"])
    return sorted(faces)


def _bay(closet: Closet, name: str, bay: dict[str, Any], inside: list[dict[str, Any]]) -> Iterator[str]:
    built, thick = closet.construction, closet.panel.thickness
    shelves = [part for part in inside if part["part"] in SHELVES]
    if sorted(part["bottom"] for part in shelves) != _faces(closet, bay):
        yield f"{name}: boards at {sorted(part['bottom'] for part in shelves)}, not at {_faces(closet, bay)}"
    dado = 2 * built.dado - built.dado_play if built.joint == "dado" else 0
    strip = built.nosing or closet.panel.strip
    edge = strip.thickness if strip is not None else built.band
    for part in shelves:
        long = bay["width"] - built.shelf_play if part["part"] == "loose shelf" else bay["width"] + dado
        board = closet.baseboard
        behind = board.thickness if board is not None and board.keep and part["bottom"] < board.height else 0
        if (part["length"], part["width"]) != (long, bay["depth"] - edge - behind):
            yield f"{name}: {part['label']} is {part['length']} x {part['width']}, not {long} x {bay['depth'] - edge}"
        if abs(2 * part["left"] + long - 2 * bay["left"] - bay["width"]) > 1:
            yield f"{name}: {part['label']} lies at {part['left']}, not in the middle"
    kinds = Counter(one["kind"] for one in bay["openings"])
    roles = Counter(part["part"] for part in inside)
    for role, number in (
        ("rod", kinds["hang"]),
        ("drawer front", kinds["drawer"]),
        ("drawer side", 2 * kinds["drawer"]),
    ):
        if roles[role] != number:
            yield f"{name}: {roles[role]} of {role}, not {number}"
    for one in bay["openings"]:
        if one["kind"] == "hang":
            yield from _rod(closet, name, bay, one, inside)
        if one["kind"] == "drawer":
            yield from _drawer(closet, name, bay, one, inside)
    base = closet.wishes.toe_kick + thick
    if bay["openings"][0]["bottom"] == base and closet.assembly != "on a base" and closet.wishes.toe_kick:
        kicks = [part for part in inside if part["part"] == "kick board"]
        sizes = {(part["left"], part["length"], part["bottom"] + part["width"]) for part in kicks}
        if sizes != {(bay["left"], bay["width"], closet.wishes.toe_kick)} or max(p["bottom"] for p in kicks) > 0:
            yield f"{name}: kick boards {sizes}"
    if built.back is not None and not closet.wishes.keep_bays:
        yield from _back(closet, name, bay, inside)
    for part in inside:
        if part["part"] == "wall cleat":
            yield from _cleat(closet, name, bay, part)


def _cleat(closet: Closet, name: str, bay: dict[str, Any], part: dict[str, Any]) -> Iterator[str]:
    """From upright to upright, under a board or on the lowest one or on the floor."""
    high, low = closet.construction.cleat, part["bottom"]
    if (part["left"], part["length"], part["width"]) != (bay["left"], bay["width"], high):
        yield f"{name}: {part['label']} is {part['length']} x {part['width']} at {part['left']}"
    ends = {one["bottom"] + one["height"] - high for one in bay["openings"]} | {bay["openings"][0]["bottom"]}
    if low not in ends:
        yield f"{name}: {part['label']} at {low} is screwed to no board"


def _back(closet: Closet, name: str, bay: dict[str, Any], inside: list[dict[str, Any]]) -> Iterator[str]:
    """From middle to middle of the uprights, up to the top, over a kept baseboard and what a bay stands above."""
    thick, board, low = closet.panel.thickness, closet.baseboard, bay["openings"][0]["bottom"]
    feet = [0, board.height if board is not None and board.keep else 0]
    feet.append(low - thick if low - thick > closet.wishes.toe_kick else 0)
    high = max(_faces(closet, bay)) + thick - max(feet)
    sizes = [(part["length"], part["width"], part["bottom"]) for part in inside if part["part"] == "back"]
    if sizes != [(high, bay["width"] + thick, max(feet))]:
        yield f"{name}: backs {sizes}, not {high} x {bay['width'] + thick} from {max(feet)} up"


def _rod(closet: Closet, name: str, bay: dict[str, Any], one: dict[str, Any], inside: list[Any]) -> Iterator[str]:
    """Its middle as wished for, else 15/16 of the hang allowance under the board above, at most 4 in; to a mark."""
    over = min(closet.wishes.hang_allowance * 15 // 16, 4 * TICKS["in"])
    mark = TICKS["in"] // 16 if closet.units == "in" else TICKS["mm"]
    wished = [rod for bays in closet.wishes.bay if bays.left == bay["left"] for rod in bays.rod]
    end = one["bottom"] + one["height"]
    middle = next((rod for rod in wished if one["bottom"] < rod < end), end - over) // mark * mark
    rods = [part for part in inside if part["part"] == "rod" and part["bottom"] + part["thickness"] // 2 == middle]
    play = closet.construction.rod_play
    if [(part["left"], part["length"]) for part in rods] != [(bay["left"] + play // 2, bay["width"] - play)]:
        yield f"{name}: no rod at {middle} that is {bay['width'] - closet.construction.rod_play} long"


def _drawer(closet: Closet, name: str, bay: dict[str, Any], one: dict[str, Any], inside: list[Any]) -> Iterator[str]:
    """By the drawer rule: slides of 1/2 in a side; 1/4 in above and 1/2 in below; groove 1/4 in, play 1/16 in."""
    built, inch = closet.construction, TICKS["in"]
    here = [part for part in inside if one["bottom"] <= part["bottom"] < one["bottom"] + one["height"]]
    reveal = 2 * (built.reveal + built.band)
    side = {part["length"] for part in here if part["part"] == "drawer side"}
    if len(side) != 1:
        yield f"{name}: drawer sides {side}"
        return
    slide = side.pop()
    wide = bay["width"] - inch - 2 * built.drawer_side
    high = one["height"] - 3 * inch // 4
    wanted = {
        "drawer front": (bay["width"] - reveal, one["height"] - reveal),
        "drawer side": (slide, high),
        "drawer box front": (wide, high),
        "drawer box back": (wide, high),
        "drawer bottom": (wide + 7 * inch // 16, slide - 2 * built.drawer_side + 7 * inch // 16),
    }
    if slide % (2 * inch) or slide + inch > bay["depth"]:
        yield f"{name}: a slide of {slide} in a depth of {bay['depth']}"
    gap = built.reveal + built.band
    places = {
        "drawer front": {(bay["left"] + gap, one["bottom"] + gap)},
        "drawer side": {(left, one["bottom"] + inch // 2) for left in (
            bay["left"] + inch // 2, bay["left"] + bay["width"] - inch // 2 - built.drawer_side)},
    }  # fmt: skip
    for part in here:
        if (part["left"], part["bottom"]) not in places.get(part["part"], {(part["left"], part["bottom"])}):
            yield f"{name}: {part['label']} is at {part['left']}, {part['bottom']}"
        if part["part"] in wanted and (part["length"], part["width"]) != wanted[part["part"]]:
            yield f"{name}: {part['label']} is {part['length']} x {part['width']}, not {wanted[part['part']]}"


def _holes(
    closet: Closet, name: str, bay: dict[str, Any], inside: list[Any], holes: list[Any], unit: int
) -> Iterator[str]:
    """Pins 1/8 in (2.5 mm) under each loose shelf, pockets on each fixed one, sockets in the middle of each rod."""
    units, built = closet.units, closet.construction
    under = 1016 if units == "in" else 800
    edge, wall = (3 * 8128 // 2, 12 * 8128) if units == "in" else (37 * 320, 305 * 320)
    found = Counter(
        (hole["for"], hole["part"], round(hole["height"] * unit), round(hole["from_front"] * unit)) for hole in holes
    )
    wanted: Counter[tuple[str, str, int, int]] = Counter()
    for part in inside:
        label = part["label"]
        if part["part"] == "loose shelf" and built.supports == "pins":
            for place in (edge, bay["depth"] - edge):
                wanted["pin", label, part["bottom"] - under, place] += 1
        if part["part"] in ("bottom", "top", "fixed shelf") and built.joint == "pocket screws":
            number = max(2, -(-(bay["depth"] - 4 * 8128) // (8 * 8128)) + 1)
            mark = 508 if units == "in" else 320
            apart = 8128 if units == "in" else 25 * 320
            later = apart if part["bay"] % 2 == 0 else 0
            for at in range(number):
                place = 2 * 8128 + (bay["depth"] - 4 * 8128 - apart) * at // (number - 1) + later
                wanted["pocket screw", label, part["bottom"], place // mark * mark] += 1
        if part["part"] == "rod":
            middle = part["bottom"] + part["thickness"] // 2
            wanted["rod socket", label, middle, max(3 * 8128 // 2, bay["depth"] - wall)] += 1
        if part["part"] == "drawer front":
            low = max(one["bottom"] for one in bay["openings"] if one["bottom"] <= part["bottom"])
            wanted["slide", label, low + 8128 // 2 + 7 * 8128 // 8, closet.panel.thickness] += 1
    if found != wanted:
        yield f"{name}: holes {sorted((found - wanted) + (wanted - found))[:4]}"


def _marks(parts: list[Any], marks: list[Any], unit: int) -> Iterator[str]:
    """Every shelf, cleat and rod is on the sticks of both its uprights, at its own height."""
    heights = {
        part["label"]: part["bottom"] + (part["thickness"] // 2 if part["part"] == "rod" else 0)
        for part in parts
        if part["part"] in (*SHELVES, "wall cleat", "rod")
    }
    seen: Counter[str] = Counter()
    for mark in marks:
        for label in mark["parts"]:
            seen[label] += 1
            if heights.get(label) != round(mark["height"] * unit):
                yield f"stick {mark['upright']}: {label} is marked at {mark['height']}"
    for label in heights:
        if not 1 <= seen[label] <= 2:
            yield f"{label} is on {seen[label]} sticks"


def _sums(closet: Closet, shopping: dict[str, Any]) -> Iterator[str]:
    """Whole packs of what is needed and not owned, each price times them, and the sums."""
    for line in shopping["lines"]:
        needed = re.search(r"\d+", line["needed"])
        per = re.search(r" of (\d+)$", line["packed_as"])
        if needed and per and line["packed_as"].split()[0] in ("bag", "box", "pack", "bundle"):
            most = -(-int(needed[0]) // int(per[1]))
            if line["packs"] > most or (line["packs"] < most and not closet.have.model_fields_set):
                yield f"{line['article']}: {line['packs']} packs for {line['needed']}"
    cents, ends = 0, [Fraction(0), Fraction(0)]
    for line in shopping["lines"]:
        known = [line["price"]] * 2 if line["price"] is not None else line["guess"] or [0, 0]
        ends = [end + Fraction(str(price)) * line["packs"] for end, price in zip(ends, known, strict=True)]
        if line["price"] is not None:
            total = round(Fraction(str(line["price"])) * 100) * line["packs"]
            cents += total
            if total != round(Fraction(str(line["total"])) * 100):
                yield f"{line['article']}: {line['packs']} x {line['price']} is not {line['total']}"
    if cents != round(Fraction(str(shopping["sum"])) * 100):
        yield f"the sum is {cents / 100}, not {shopping['sum']}"
    more = (1 + Fraction(str(closet.prices.tax))) * (1 + Fraction(str(closet.prices.reserve)))
    likely = [float(Fraction(math.ceil(100 * end * more), 100)) for end in ends]
    if shopping["likely"] != likely:
        yield f"likely between {shopping['likely']}, not {likely}"


if __name__ == "__main__":
    every = {folder: faults(Path(folder)) for folder in sys.argv[1:]}
    for folder, wrong in every.items():
        print(f"{folder}: {'; '.join(wrong) or 'every part, hole, mark and sum agrees'}")
    sys.exit(any(every.values()))
