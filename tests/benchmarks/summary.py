"""Medians over the seeds of a record of `rivals`, and which targets are met.

The targets are those of the project: see the README beside this file.
"""

from __future__ import annotations

import statistics
from collections import defaultdict
from collections.abc import Callable, Iterator
from typing import Any

Row = dict[str, Any]
Group = dict[str, dict[int, Row]]
"""The rows of one family and fullness, by method and seed."""

NAMES = ("ours", "aggregated", "naive-cpsat", "naive-highs")
ONE_OR_TWO = ("reach-in", "two-wall")


def at(row: Row, seconds: float, key: str = "trace") -> int:
    """The value (or the bound) that a method had at a time; without any, 0 (or everything)."""
    found: list[int] = [value for when, value in row["found"].get(key, []) if when <= seconds]
    if key == "bounds":
        return min([int(row["all"]), *found])
    return max([0, *found])


def gap(row: Row, seconds: float) -> float:
    """What is open at a time, in per cent of the bound."""
    bound = at(row, seconds, "bounds")
    return 100.0 * (bound - at(row, seconds)) / bound


NOTHING: Row = {"value": 0, "pieces": 0, "proven": None, "trace": [], "bounds": []}
"""What a method has that gave no answer in time."""


def grouped(rows: list[Row]) -> dict[tuple[str, str], Group]:
    """The results by family and fullness."""
    groups: dict[tuple[str, str], Group] = defaultdict(lambda: defaultdict(dict))
    for row in rows:
        if "method" in row:
            found = NOTHING if "error" in row["found"] else row["found"]
            groups[(row["family"], row["fullness"])][row["method"]][row["seed"]] = {**row, "found": found}
    return groups


def _median(numbers: list[float]) -> float:
    return statistics.median(numbers) if numbers else float("nan")


def _time(numbers: list[float | None]) -> str:
    """The median time of a proof; where half of them have none, how many have."""
    proven = [number for number in numbers if number is not None]
    if not numbers:
        return ""
    middle = sorted(float("inf") if number is None else number for number in numbers)[len(numbers) // 2]
    return f"{middle:.1f}" if middle < float("inf") else f"{len(proven)} of {len(numbers)}"


def _shared(group: Group) -> list[int]:
    """The seeds that every method has run which has run any."""
    return sorted(set.intersection(*(set(rows) for rows in group.values() if rows)))


def table(groups: dict[tuple[str, str], Group]) -> Iterator[str]:
    """Values at the end, times of proofs, and pieces left out, over the seeds that all have run; gaps over all of ours.

    The number of shared seeds stands in brackets where it is smaller.
    """
    yield (
        "| family | seeds | all | bound | ours | aggregated CP-SAT | naive CP-SAT | naive HiGHS | rule of thumb | "
        "gap at 10 s, % | proof: ours, best rival [s] | left out: ours, rule |"
    )
    yield "|" + " --- |" * 12
    for (family, fullness), group in groups.items():
        mine, shared = group.get("ours", {}), _shared(group)
        limit = max((row["seconds"] for row in mine.values()), default=10.0)

        def middle(name: str, of: Callable[[Row], float], rows: Group = group, seeds: list[int] = shared) -> str:
            some = rows.get(name, {})
            return f"{_median([of(some[seed]) for seed in seeds]):g}" if some else ""

        values = [middle(name, lambda row: row["found"]["value"]) for name in (*NAMES, "rule")]
        proofs = _time([mine[seed]["found"]["proven"] for seed in shared])
        rivals = _time([proof(group, seed) for seed in shared])
        out = [middle(name, lambda row: row["owned"] - row["found"]["pieces"]) for name in ("ours", "rule")]
        bound = middle("ours", lambda row, limit=limit: at(row, limit, "bounds"))
        total = middle("ours", lambda row: row["all"])
        gaps = f"{_median([gap(row, 10.0) for row in mine.values()]):.1f}"
        seeds = str(len(mine)) if len(mine) == len(shared) else f"{len(mine)} ({len(shared)})"
        cells = [f"{family} {fullness}", seeds, total, bound, *values, gaps, f"{proofs}, {rivals}", ", ".join(out)]
        yield "| " + " | ".join(cells) + " |"


def proof(group: Group, seed: int) -> float | None:
    """When the fastest rival had its proof, if any has one."""
    found = [group[name][seed]["found"]["proven"] for name in NAMES[1:] if seed in group.get(name, {})]
    return min((number for number in found if number is not None), default=None)


def targets(groups: dict[tuple[str, str], Group]) -> Iterator[tuple[str, str, bool]]:
    """Each target for each family: what is asked, what was reached, whether that is met."""
    for (family, fullness), group in groups.items():
        mine = list(group.get("ours", {}).values())
        if not mine:
            continue
        where = f"{family} {fullness}"
        if fullness == "slack" and family in ONE_OR_TWO:
            times = sorted(row["found"]["proven"] or float("inf") for row in mine)
            middle = times[len(times) // 2]
            yield f"{where}: proven in 3 s", f"{middle:.1f} s", middle <= 3.0
        if fullness == "slack":
            if family not in ONE_OR_TWO:
                reached = _median([gap(row, 10.0) for row in mine])
                yield f"{where}: gap at 10 s <= 0.3 %", f"{reached:.2f} %", reached <= 0.3
            pairs = [(row["found"]["proven"], proof(group, row["seed"])) for row in mine]
            ratios = [other / own for own, other in pairs if own and other]
            if ratios:
                yield (
                    f"{where}: 5 times as fast as the best proof",
                    f"{_median(ratios):.1f} times",
                    _median(ratios) >= 5,
                )
        else:
            most = 1.0 if fullness == "just" else 2.5 if family == "reach-in" else 2.0
            reached = _median([gap(row, 10.0) for row in mine])
            yield f"{where}: gap at 10 s <= {most} %", f"{reached:.2f} %", reached <= most
        yield from _against_rivals(where, fullness, group)


def _against_rivals(where: str, fullness: str, group: Group) -> Iterator[tuple[str, str, bool]]:
    mine = group["ours"]
    highs = group.get("naive-highs", {})
    ratios = [
        at(row, row["seconds"]) / max(1, at(highs[seed], row["seconds"])) for seed, row in mine.items() if seed in highs
    ]
    if ratios:
        middle = _median(ratios)
        words = f"{middle:.2f} x" if middle < 100 else "it has next to nothing"
        yield f"{where}: value at the end >= 1.08 x naive HiGHS", words, middle >= 1.08
    worst = [
        (at(row, row["seconds"]) - at(group[name][seed], row["seconds"]), name)
        for name in (*NAMES[1:], "rule")
        for seed, row in mine.items()
        if seed in group.get(name, {})
    ]
    if worst:
        least, name = min(worst)
        yield f"{where}: never below a rival", f"{least:+d} against {name}", least >= 0
    rule = group.get("rule", {})
    if fullness == "just" and rule:
        out = [
            (rule[seed]["owned"] - rule[seed]["found"]["pieces"], row["owned"] - row["found"]["pieces"])
            for seed, row in mine.items()
            if seed in rule
        ]
        ours, theirs = _median([own for _, own in out]), _median([other for other, _ in out])
        yield f"{where}: the rule leaves out twice as much", f"{theirs:.0f} against {ours:.0f}", theirs >= 2 * ours


def print_summary(rows: list[Row]) -> None:
    """Where it was measured, the table, the targets, and what failed."""
    groups = grouped(rows)
    about = {tuple(row["about"].items()) for row in rows if "about" in row}
    for items in sorted(about, key=str):
        print(", ".join(f"{key} {value}" for key, value in items))
    print(*table(groups), sep="\n")
    print()
    found = list(targets(groups))
    print("| target | reached | |", "| --- | --- | --- |", sep="\n")
    for asked, reached, is_met in found:
        print(f"| {asked} | {reached} | {'met' if is_met else '**missed**'} |")
    print(f"\n{sum(is_met for *_, is_met in found)} of {len(found)} targets met")
    for row in rows:
        if "error" in row.get("found", {}):
            print("error:", row["family"], row["fullness"], row["seed"], row["method"], row["found"]["error"])
