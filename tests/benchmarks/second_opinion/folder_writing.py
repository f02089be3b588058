"""A household written to the two files of a folder, each length in a spelling of its own by chance."""

from __future__ import annotations

import csv
import io
import json
import random
from collections.abc import Container
from dataclasses import astuple, fields, replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from second_opinion.household import AUTO, DRAWERS_TOO, INCH, MM, USUAL, WISHES, Household, Must, read_household


class Writer:
    """Writes a household to a folder, each length in a spelling of its own by chance."""

    def __init__(self, chance: random.Random, units: str, known: Container[str]) -> None:
        self._chance, self._units, self._known = chance, units, known

    def spelled(self, length: int, slack: int = 0) -> str | int | float:
        """A length in some spelling; with `slack` 1 or -1 up to a third of a tick more or less."""
        ways: list[str | int | float] = []
        if length % 127 == 0:
            whole, part = divmod(Fraction(length, INCH), 1)
            text = f"{whole} {part}" if whole and part else str(part or whole)
            feet, rest = divmod(Fraction(length, INCH), 12)
            inches = f"{int(rest)} {rest % 1}" if rest % 1 else str(int(rest))
            ways += [f'{text}"', f"{text} in", text.replace(" ", "-") + '"', f"{feet}' {inches}\""]
            ways += [f"{feet} ft {float(rest)} in"]
            if self._units == "in":
                ways += [text, float(Fraction(length, INCH)), float(Fraction(length, INCH))]
        millimetres = Fraction(length, MM)
        decimal = f"{length * 3125 // 10**6}.{length * 3125 % 10**6:06d}"
        if millimetres.denominator == 1:
            ways += [f"{millimetres} mm", *([int(millimetres)] * 3 if self._units == "mm" else [])]
        if not ways or self._chance.random() < 0.2:
            nudged = Fraction(decimal) + Fraction(slack, 1000)
            ways = [f"{float(nudged):.6f} mm", f"{float(nudged) / 10:.7f} cm"]
        return self._chance.choice(ways)

    def closet(self, home: Household) -> str:
        """The text of `closet.toml`."""
        say, wishes = self._said, home.wishes
        lines = [f'units = "{self._units}"', f"ceiling = {say(home.ceiling)}", f"top = {say(home.top)}"]
        lines += [
            "[panel]",
            f"thickness = {say(home.thick, -1)}",
            "sheet = ['48 in', '96 in']",
            f"price = {home.price}",
        ]
        lines += ["[prices]", "tax = 0", "reserve = 0"]
        for wall in home.walls:
            more = [wall.width + self._chance.choice((0, INCH // 8)) for _ in range(self._chance.choice((0, 0, 2)))]
            widths = ", ".join(say(width, 1) for width in self._chance.sample([*more, wall.width], len(more) + 1))
            lines += ["[[wall]]", f"name = {json.dumps(wall.name)}", f"width = [{widths}]"]
            lines += [f"depth = {say(wall.depth, 1)}", f"ceiling = [{', '.join(map(say, wall.ceilings))}]"]
            lines += [f"corner = {json.dumps(wall.corner)}"] if wall.corner else []
            for box in (box for box in wall.boxes if not any(box in must.kept_free for must in home.must)):
                lines += ["[[wall.blocked]]", *(f"{f.name} = {say(getattr(box, f.name))}" for f in fields(box))]
        for table, bay in [*(("before", bay) for bay in home.today), *(("built", bay) for bay in home.built)]:
            lines += [f"[[{table}]]", f"wall = {json.dumps(bay.wall)}"]
            lines += [f"{name} = {say(getattr(bay, name))}" for name in ("left", "width", "depth")]
            inner = (
                f'{{ kind = "{o.kind}", bottom = {say(o.bottom)}, height = {say(o.height)} }}' for o in bay.openings
            )
            lines.append(f"openings = [{', '.join(inner)}]")
        lines.append("[wishes]")
        for field in fields(wishes):
            if field.name not in self._known:
                continue
            value = getattr(wishes, field.name)
            if value == AUTO:
                lines.append(f'{field.name} = "auto"')
                continue
            is_plain = field.name in ("rows_deep", "owners_apart", "keep_bays", "spare", "budget")
            shown = str(float(value) if isinstance(value, Fraction) else value).lower() if is_plain else say(value)
            lines.append(f"{field.name} = {shown}")
        lines += ['prefer = "plywood"'] if home.is_described else []
        return "\n".join([*lines, *self._tables(home)]) + "\n"

    def _tables(self, home: Household) -> list[str]:
        say, lines = self._said, []
        if home.is_described or home.age:
            tall = f"age = {home.age}" if home.age else f"height = {say(62 * INCH)}"
            lines += ["[[person]]", 'name = "Ada"', tall]
        for bay in home.must:
            unit = self._unit(home, bay)
            if unit is not None:
                lines += unit
                continue
            lines += ["[[wishes.drawers]]" if bay.count else "[[wishes.bay]]", f"wall = {json.dumps(bay.wall)}"]
            lines += [f"left = {say(bay.left)}", f"width = {say(bay.width)}"]
            lines += [f"count = {bay.count}", f"height = {say(bay.height)}"] if bay.count else []
            lines += [f'kind = "{bay.kind}"'] if bay.kind else []
            lines += [f"rod = [{', '.join(map(say, bay.rods))}]"] if bay.rods else []
            lines += [f"bottom = {say(bay.bottom)}"] if bay.bottom else []
        for first in home.firsts:
            named = zip(("what", "owner"), first, strict=True)
            lines += ["[[wishes.must]]", *(f"{name} = {json.dumps(value)}" for name, value in named if value)]
        for keep in home.keeps:
            lines += ["[[wishes.keep_to]]", f"wall = {json.dumps(keep.wall)}", f"alone = {str(keep.alone).lower()}"]
            lines += [f"{n} = {json.dumps(getattr(keep, n))}" for n in ("owner", "what") if getattr(keep, n)]
        return lines

    def _unit(self, home: Household, bay: Must) -> list[str] | None:
        """A bay that begins higher than on the floor, told half the time as that of a chest which stands under it."""
        wishes, mark = home.wishes, max(1, home.wishes.round)
        width, height = bay.width - wishes.play, bay.bottom - wishes.gap
        is_plain = bay.kind is None and not bay.rods and "unit" in self._known
        if not is_plain or min(width, height) <= mark or bay.width % mark or bay.bottom % mark or not bay.bottom:
            return None
        if self._chance.random() < 0.5:
            return None
        width, height = (length - self._chance.choice((0, mark // 2)) for length in (width, height))
        depth = home.walls[home.wall(bay.wall)].depth
        sizes = {"left": bay.left, "width": width, "depth": depth, "height": height}
        return [
            "[[wishes.unit]]",
            'what = "chest"',
            f"wall = {json.dumps(bay.wall)}",
            *(f"{name} = {self._said(length)}" for name, length in sizes.items()),
        ]

    def _said(self, length: int, slack: int = 0) -> str:
        shown = self.spelled(length, slack)
        return json.dumps(shown) if isinstance(shown, str) else str(shown)

    def inventory(self, home: Household) -> str:
        """The text of `inventory.csv`."""
        columns = ["what", "count", "use", "store", "owner", "width", "depth", "height", "drop", "rod"]
        self._chance.shuffle(columns)
        text = io.StringIO()
        writer = csv.DictWriter(text, columns, delimiter=self._chance.choice(",;\t"), lineterminator="\n")
        writer.writeheader()
        for pile in home.piles:
            row: dict[str, Any] = {name: getattr(pile, name) or "" for name in columns}
            row["count"] = str(pile.count)
            if pile.also is not None:
                row["store"] = f"{pile.store} or {pile.also}"
            ways = ("stack", "drawer") if home.has_drawers and pile.what in DRAWERS_TOO else (USUAL[pile.what][0], None)
            if (pile.store, pile.also) == ways and self._chance.random() < 0.5:
                row["store"] = ""
            for name in ("width", "depth", "height", "drop", "rod"):
                row[name] = self.spelled(row[name], -1) if row[name] else ""
            writer.writerow(row)
        return text.getvalue()


def write_household(home: Household, folder: Path, seed: object, known: Container[str] = WISHES) -> None:
    """Both files of a folder; the same seed spells alike. Of the wishes those are written that are `known`.

    Raises
    ------
    AssertionError
        When they do not read as the household: a fault of this module.
    """
    folder.mkdir(parents=True, exist_ok=True)
    writer = Writer(random.Random(f"{seed}"), home.units, known)
    (folder / "closet.toml").write_text(writer.closet(home), encoding="utf-8")
    (folder / "inventory.csv").write_text(writer.inventory(home), encoding="utf-8")
    found = read_household(folder)  # bays over what is owned come after the others there
    assert set(found.must) == set(home.must), folder
    assert _unordered(found) == _unordered(home), folder


def _unordered(home: Household) -> Household:
    """The household without its bays that must be, and with what they keep free in one order."""
    walls = (replace(wall, boxes=tuple(sorted(wall.boxes, key=astuple))) for wall in home.walls)
    return replace(home, must=(), walls=tuple(walls))
