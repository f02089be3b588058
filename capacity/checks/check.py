"""The record of one check: what was computed, what it may be, who says so, and the cheapest cure.

Which cure is the cheapest, the file of each question finds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from pydantic import BaseModel, ConfigDict, JsonValue

from capacity.units import INCHES, MILLIMETRES, PER_INCH, PER_MM, Ticks, Units, counted, inches, millimetres, to_number


class _Record(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Place(_Record):
    """Where: wall by name, bay from the left and opening from the floor counted from 1, or a thing by name."""

    wall: str | None = None
    bay: int | None = None
    opening: int | None = None
    thing: str | None = None

    def __str__(self) -> str:
        words = [f"wall {self.wall}"] if self.wall is not None else []
        words += [f"bay {self.bay}"] if self.bay is not None else []
        words += [f"opening {self.opening}"] if self.opening is not None else []
        words += [self.thing] if self.thing is not None else []
        return ", ".join(words) or "the whole closet"


class Cure(_Record):
    """What would make it pass, itself checked.

    `settings` is the same as data: dotted places in `closet.toml` (tables in a list counted from 1) with their new
    values, or a change of the layout (`layout...`). `computed` and `limit` are the check's figures after it.
    """

    action: str
    sentence: str
    settings: dict[str, JsonValue]
    computed: float
    limit: float
    passed: bool


class Check(_Record):
    """One check. `ratio` is 1 at the limit and above 1 beyond it, whichever way the limit goes."""

    name: str
    place: Place
    computed: float
    limit: float
    sense: Literal["at most", "at least"]
    unit: str
    ratio: float | None
    passed: bool
    source: str
    how_known: str
    note: str = ""
    cure: Cure | None = None
    advice: str = ""
    """What to do where no single change was found that mends it."""


class Filler(_Record):
    """A part that fits straight built-ins to a crooked room; lengths in the plan's units.

    `width` is at its widest, with what is left to be scribed to the wall; `narrowest` is after scribing.
    """

    name: str
    wall: str
    end: str
    width: float
    narrowest: float
    height: float
    thickness: float
    note: str


NO_CURE = "no cure was found; change the closet's file and run `capacity fit` again"


def figures(computed: float, limit: float, sense: str, unit: str) -> str:
    """Computed and limit in words: lengths on the marks of a rule, others, and what is smaller, to two decimals."""
    if unit == "pieces":
        return counted(round(computed), "piece")
    if unit in ("in", "mm") and not 0 < abs(limit) < (1 if unit == "in" else 25):
        tape, per = (INCHES, PER_INCH) if unit == "in" else (MILLIMETRES, PER_MM)
        found, most = (
            ("-" if number < 0 else "") + tape.words(round(abs(number) * per), False) for number in (computed, limit)
        )
        if found != most or computed == limit:
            return f"{found} {unit}, {sense} {most}"
    near = computed if round(computed, 2) == round(limit, 2) else round(computed, 2)
    return f"{near:g} {unit}, {sense} {limit:g}"


def shortfalls(checks: Iterable[Check]) -> tuple[tuple[Check, ...], ...]:
    """The checks that fall short; those of one name that one cure mends stand together, the worst first."""
    groups: dict[tuple[str, str], list[Check]] = {}
    for check in checks:
        if not check.passed:
            said = check.cure.sentence if check.cure is not None else ""
            groups.setdefault((check.name, said), []).append(check)
    return tuple(tuple(sorted(group, key=lambda check: -(check.ratio or 0))) for group in groups.values())


def told(group: Sequence[Check]) -> tuple[str, str, str]:
    """What a group of `shortfalls` says: what falls short and where, its figures, its cure."""
    worst = group[0]
    what = f"{worst.name}, {'; '.join(str(check.place) for check in group)}"
    found = f"{figures(worst.computed, worst.limit, worst.sense, worst.unit)}; {worst.note}".removesuffix("; ")
    if worst.cure is None:
        return what, found, worst.advice or NO_CURE
    after = figures(worst.cure.computed, worst.cure.limit, worst.sense, worst.unit)
    return what, found, f"{worst.cure.sentence}; then {after}"


def tally_of(checks: Iterable[Check]) -> list[dict[str, str | int]]:
    """One row a name: in how many places, how many fall short, and the worst ratio (empty where there is none)."""
    rows: dict[str, dict[str, str | int]] = {}
    for check in checks:
        row = rows.setdefault(check.name, {"check": check.name, "places": 0, "short": 0, "worst ratio": ""})
        row["places"], row["short"] = int(row["places"]) + 1, int(row["short"]) + (not check.passed)
        if check.ratio is not None and (row["worst ratio"] == "" or check.ratio > float(row["worst ratio"])):
            row["worst ratio"] = f"{check.ratio:.2f}"
    return list(rows.values())


def ratio_of(computed: float, limit: float, sense: Literal["at most", "at least"]) -> float | None:
    """How much of the limit is used, to 4 digits; None where that says nothing (a limit of 0)."""
    above, under = (computed, limit) if sense == "at most" else (limit, computed)
    return round(above / under, 4) if under > 0 else None


def up_to_mark(length: int, units: Units) -> Ticks:
    """A length rounded up to a mark of the rule, 1/16 in or 1 mm."""
    mark = inches(1 / 16) if units == "in" else millimetres(1)
    return Ticks(-(-length // mark) * mark)


def down_to_mark(length: int, units: Units) -> Ticks:
    """A length cut back to a mark of the rule, 1/16 in or 1 mm, unless nothing would be left."""
    mark = inches(1 / 16) if units == "in" else millimetres(1)
    return Ticks(length // mark * mark or length)


def in_units(length: float, units: Units) -> float:
    """A length in ticks as a number in the folder's units, to four decimals."""
    return round(to_number(Ticks(round(length)), units), 4)


def length_cure(
    units: Units,
    action: str,
    sentence: str,
    settings: dict[str, JsonValue],
    computed: float,
    limit: float,
    passed: bool = True,
    show: Callable[[float, Units], float] = in_units,
) -> Cure:
    """A cure with the length that it leaves against its limit, both as `show` takes them: in ticks unless said."""
    return Cure(
        action=action,
        sentence=sentence,
        settings=settings,
        computed=show(computed, units),
        limit=show(limit, units),
        passed=passed,
    )


@dataclass(frozen=True, slots=True)
class Rule:
    """What a check asks of a length: its name, which way its limit goes, who says so, and what stands beside it."""

    name: str
    sense: Literal["at most", "at least"]
    source: str
    how_known: str
    note: str = ""


def length_check(
    units: Units,
    rule: Rule,
    place: Place,
    computed: float,
    limit: float,
    cure: Cure | None = None,
    show: Callable[[float, Units], float] = in_units,
    leeway: float = 1.0,
) -> Check:
    """A check of one length against another, compared as they are and shown in the folder's units.

    Both are in ticks, or in what `show` takes, as millimetres from mechanics. `leeway` is what a limit of "at most" is
    stretched by, for rounding in floating point.
    """
    passed = computed <= limit * leeway if rule.sense == "at most" else computed >= limit
    return Check(
        name=rule.name,
        place=place,
        computed=show(computed, units),
        limit=show(limit, units),
        sense=rule.sense,
        unit=units,
        ratio=ratio_of(computed, limit, rule.sense),
        passed=passed,
        source=rule.source,
        how_known=rule.how_known,
        note=rule.note,
        cure=None if passed else cure,
    )
