"""Thousands of random households through everything that `fit`, `check` and `build` do, with short limits.

    nice -n 10 python tests/benchmarks/searches.py --households 2000 [--seed 0] [--seconds 0.3]

Each household is written as the two files a person writes, with walls, corners, slopes, blocked parts, a crooked room,
wishes, today's closet, doors, people and lamps by chance. Then

- the layout keeps to every rule (`verify`), also when the plan was written and read back;
- what is stored is at most the bound, and at least what the rule of thumb stores;
- the checks are made;
- every fifth: four times as long finds nothing above the first bound, and its bound is not below what the first found;
- every tenth: without a limit the same seed gives the same bytes, `seconds` aside;
- every tenth: the parts are made, and put together again they are the plan.

Prints every household that broke one of these, by its number, and a summary; exit 1 if there was any.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections import Counter
from collections.abc import Iterator

from capacity.checking import check_plan
from capacity.closet import parse_closet
from capacity.effort import Effort
from capacity.errors import InputError
from capacity.inventory import parse_inventory
from capacity.job import prepare
from capacity.kinds import kinds
from capacity.plan import Plan, format_plan, layouts_of
from capacity.sizing import size_problem
from capacity.solving import make_plan
from capacity.verify import filling_violations, stored_value, violations

NAMES = ("left", "back", "right")


def inventory_text(chance: random.Random) -> str:
    """Two to nine piles of whatever the catalogue has."""
    lines = ["what,count,owner,use,store,width,depth,height"]
    for _ in range(chance.randint(2, 9)):
        kind = chance.choice(sorted(kinds()))
        owner = chance.choice(("", "", "Ada", "Ben"))
        use = chance.choice(("", "daily", "weekly", "seasonal"))
        store = chance.choice(("", "", kinds()[kind].stores[-1].value))
        sizes = (
            [chance.choice(("", str(chance.randint(3, 15)))) for _ in range(3)] if chance.random() < 0.2 else [""] * 3
        )
        lines.append(",".join((kind, str(chance.randint(1, 12)), owner, use, store, *sizes)))
    return "\n".join(lines) + "\n"


def closet_text(chance: random.Random) -> str:
    """One to three walls, and a handful of the other settings."""
    units = chance.choice(("in", "in", "mm"))
    scale = 1.0 if units == "in" else 25.0

    def number(low: float, high: float) -> str:
        return str(round(round(chance.uniform(low, high) * 8) / 8 * scale, 3))

    def maybe(share: float, *lines: str) -> list[str]:
        return [*lines] if chance.random() < share else []

    ceiling, top = chance.choice(((96, 84), (96, 96), (84, 60), (48, 40)))
    lines = [f'units = "{units}"', f"ceiling = {ceiling * scale}", f"top = {top * scale}"]
    lines += maybe(0.2, "fillers = true") + maybe(0.3, f'assembly = "{chance.choice(("on a base", "in place"))}"')
    walls = NAMES[: chance.choice((1, 1, 1, 2, 2, 3))]
    for index, name in enumerate(walls):
        widths = [number(20, 90)] if chance.random() < 0.6 else [number(60, 61), number(60, 61), number(60, 61)]
        lines += ["[[wall]]", f'name = "{name}"', f"width = [{', '.join(widths)}]", f"depth = {number(12, 18)}"]
        if index + 1 < len(walls) and chance.random() < 0.8:
            lines.append(f'corner = "{walls[index + 1]}"')
        lines += maybe(0.15, f"ceiling = [{ceiling * scale}, {number(30, 47)}]")
        lines += maybe(0.2, f"lean = {number(0, 0.5)}") + maybe(0.15, f"out_of_square = {number(0, 0.5)}")
        lines += maybe(0.2, f"front = {number(40, 90)}") + maybe(0.2, f"level = {number(0, 0.75)}")
        if chance.random() < 0.15:
            lines += ["[[wall.blocked]]", f"left = {number(2, 12)}", f"width = {number(2, 7)}"]
            lines += [f"bottom = {number(0, 30)}", f"height = {number(2, 12)}"]
    lines += _today(chance, number) if chance.random() < 0.4 else []
    lines += maybe(0.3, "[panel]", f'thickness = "{chance.choice(("23/32 in", "3/4 in", "18 mm"))}"')
    lines += maybe(0.2, "[baseboard]", f"thickness = {number(0.3, 0.8)}", f"height = {number(2, 5)}", "keep = true")
    lines += maybe(0.3, "[door]", 'kind = "hinged"', f"width = {number(24, 32)}", f"height = {number(76, 80)}")
    if chance.random() < 0.3:
        lines += ["[[person]]", 'name = "Ada"', f"height = {number(58, 72)}"]
    lines += ["[wishes]"]
    lines += maybe(0.2, "owners_apart = true") + maybe(0.2, f"spare = {chance.choice((0.05, 0.1, 0.25))}")
    lines += maybe(0.2, "rows_deep = 2") + maybe(0.2, f"toe_kick = {number(0, 4)}")
    lines += maybe(0.2, f"max_shelf = {number(18, 36)}") + maybe(0.1, 'prefer = "plywood"')
    lines += maybe(0.2, f"corner_access = {number(0, 12)}") + maybe(0.2, f"gap = {number(0, 2)}")
    return "\n".join(lines) + "\n"


def _today(chance: random.Random, number: object) -> list[str]:
    assert callable(number)
    opening = f'{{ kind = "shelf", bottom = 0, height = {number(6, 14)} }}'
    rod = f'{{ kind = "hang", bottom = {number(15, 16)}, height = {number(14, 20)} }}'
    both = ", ".join((opening, rod)[: chance.randint(1, 2)])
    lines = ["[[before]]", f'wall = "{NAMES[0]}"', "left = 0", f"width = {number(12, 19)}", f"depth = {number(11, 14)}"]
    return [*lines, f"openings = [{both}]"]


def household(seed: int) -> tuple[str, str]:
    """The texts of both files; the first of this seed that have no fault."""
    chance = random.Random(f"household {seed}")
    while True:
        texts = closet_text(chance), inventory_text(chance)
        try:
            size_problem(parse_closet(texts[0]), parse_inventory(texts[1], parse_closet(texts[0]).units))
        except InputError:
            continue
        return texts


def plan_of(texts: tuple[str, str], seconds: float | None, factor: float = 1.0) -> Plan:
    """The plan that `fit` would write."""
    closet = parse_closet(texts[0])
    effort = Effort(seconds, seed=1, factor=factor)
    return make_plan(closet, parse_inventory(texts[1], closet.units), effort, "same")


def broken(number: int, texts: tuple[str, str], seconds: float, counted: Counter[str]) -> Iterator[str]:
    """What does not hold for one household."""
    closet = parse_closet(texts[0])
    inventory = parse_inventory(texts[1], closet.units)
    facts = size_problem(closet, inventory)
    plan = Plan.model_validate_json(format_plan(plan_of(texts, seconds)))
    counted["proven best"] += plan.value.status == "optimal"
    counted["everything stored"] += plan.after.stored == plan.after.pieces
    today, planned = layouts_of(plan, facts)
    if violations(facts, planned) or filling_violations(facts, today):
        yield f"read back it breaks {violations(facts, planned) or filling_violations(facts, today)}"
    if stored_value(facts, planned) != plan.value.stored:
        yield f"{stored_value(facts, planned)} is stored, not {plan.value.stored}"
    if not plan.rule_of_thumb <= plan.value.stored <= plan.value.bound <= plan.value.all:
        yield f"rule of thumb {plan.rule_of_thumb}, {plan.value}"
    if (plan.value.status == "optimal") is not (plan.value.stored == plan.value.bound):
        yield f"the status of {plan.value}"
    check_plan(closet, inventory, plan)
    if number % 5 == 0:
        counted["given four times as long"] += 1
        more = plan_of(texts, 4 * seconds)
        if more.value.stored > plan.value.bound or plan.value.stored > more.value.bound:
            yield f"{plan.value} against {more.value} with more time"
    if number % 10 == 0:
        counted["done twice"] += 1
        first, second = (plan_of(texts, None, 0.02).model_copy(update={"seconds": 0.0}) for _ in range(2))
        if format_plan(first) != format_plan(second):
            yield "the same seed gives other bytes"
    if number % 10 == 5 and any(wall.bays for wall in planned.walls):
        counted["built"] += 1
        prepare(closet, inventory, plan, Effort(factor=0.05), texts[0])


def main() -> int:
    """Run all of them; returns the exit code."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--households", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=0, help="number of the first one")
    parser.add_argument("--seconds", type=float, default=0.3, help="limit of each search")
    options = parser.parse_args()
    began, wrong, counted = time.monotonic(), 0, Counter[str]()
    for seed in range(options.seed, options.seed + options.households):
        texts = household(seed)
        try:
            found = list(broken(seed, texts, options.seconds, counted))
        except InputError as error:
            found = [] if "fits on no sheet" in str(error) else [f"refused: {error}"]
            counted["parts larger than a sheet"] += not found
        except Exception as error:
            found = [f"{type(error).__name__}: {error}"]
        for what in found:
            wrong += 1
            print(f"household {seed}: {what[:400]}", flush=True)
        if (seed + 1) % 100 == 0:
            print(f"{seed + 1 - options.seed} households, {time.monotonic() - began:.0f} s, {wrong} wrong", flush=True)
    print(f"{options.households} households in {time.monotonic() - began:.0f} s: {wrong} wrong; {dict(counted)}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
