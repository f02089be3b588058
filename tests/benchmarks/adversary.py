"""Random tiny closets of every rule and every wish, solved as `capacity fit --json` solves them, and judged.

    nice -n 10 python tests/benchmarks/adversary.py --closets 1000 --keep faults --record done.jsonl [--within 600]

Each is written as a folder, lengths in mixed spellings, and solved. Then `second_opinion`, which shares no code with
`capacity`, says from the folder and `plan.json` alone whether every rule is kept and every sum is true; where
something is left out HiGHS finds the most that any layout stores, banks of drawers filled together with the walls: the
bound may not lie below it, a proven plan must equal it, and nothing above it may be stored. Today's closet likewise.
The proof that the plan carries is checked by `prove.py`, and what stands already is refilled. A year later, when the
plan was built and the count has grown, boards move to other holes and seasons turn. Then the household is told
otherwise (rows permuted, owners renamed, people described, mirrored, other units, a pile in two rows, a wall an inch
wider), two ways of seven by turns, or `--ways` 7: the intervals may not contradict each other.

Prints one line for each fault, keeps the folder that shows it where `--keep` names one, and says what came of all; exit
1 if there was any. With `--record` each closet is a line of that file when it is done, and those that stand there are
not done again. A closet takes 1.1 s of one processor, and 0.4 s more for each way of telling it otherwise.
"""

from __future__ import annotations

import argparse
import json
import re
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import chain
from pathlib import Path
from typing import Any

from lived_with import KNOWN, WORK, lived_with_faults
from second_opinion.exact_model import ExactModel
from second_opinion.folder_writing import write_household
from second_opinion.household import Household
from second_opinion.judge import building_faults, is_within_drawer_wishes, plan_rule_faults, weight_of
from second_opinion.later_goals import multiple_faults, places_faults
from second_opinion.left_out import change_faults, most_of, reason_faults
from second_opinion.model_layout import model_layout
from second_opinion.plan_faults import plan_faults
from second_opinion.random_homes import random_home
from second_opinion.reach import reach_faults
from second_opinion.refill_faults import filled_faults, refill_faults
from second_opinion.variants import Variant, contradiction, variants_of

from capacity.errors import InputError
from capacity.makeover.folder import read_folder_at_once
from capacity.makeover.plan import format_plan
from capacity.makeover.refilled import format_refilled
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan
from capacity.solver.proof.prove import prove
from capacity.solver.refilling import refill_standing


@dataclass(slots=True)
class Trial:
    """One closet: its faults, what was counted, and which rules it has."""

    seed: int
    faults: list[str] = field(default_factory=list)
    counted: Counter[str] = field(default_factory=Counter)


def fitted(home: Household, folder: Path, seed: object) -> dict[str, Any]:
    """The folder of a household, and the plan that `fit` writes into it.

    Raises
    ------
    InputError
        When the household cannot be.
    """
    write_household(home, folder, seed, KNOWN)
    closet, inventory, texts = read_folder_at_once(folder)
    text = format_plan(make_plan(closet, inventory, Effort(factor=WORK), texts.digest))
    (folder / "plan.json").write_text(text, encoding="utf-8")
    plan: dict[str, Any] = json.loads(text)
    return plan


def interval(home: Household, plan: dict[str, Any]) -> tuple[int, int]:
    """What is stored, and the most that could be, each piece that must have a place counting more than all by use."""
    stored, bound = plan["value"]["stored"], plan["value"]["bound"]
    for goal in plan["goals"] if home.firsts else ():
        if goal["name"] == "what must have a place":
            more = 1 + home.all
            stored, bound = stored + more * round(goal["value"]), bound + more * round(goal["bound"])
    return stored, bound


def traits(home: Household) -> Iterator[str]:
    """What a household has."""
    wishes = home.wishes
    yield f"{len(home.walls)} wall{'s' * (len(home.walls) > 1)}"
    told = {
        "corner": home.corners, "slope": any(w.ceilings[0] != w.ceilings[1] for w in home.walls),
        "blocked part": any(wall.boxes for wall in home.walls), "owners apart": wishes.owners_apart,
        "spare": wishes.spare, "rows deep": wishes.rows_deep > 1,
        "bays that must be": any(not must.count for must in home.must),
        "kind": any(must.kind for must in home.must), "rod": any(must.rods for must in home.must),
        "bottom": any(must.bottom for must in home.must), "bank of drawers": any(must.count for must in home.must),
        "today": home.today, "built": home.built,
        "keep_bays": wishes.keep_bays,
        "keep_to": home.keeps, "must": home.firsts, "budget": wishes.budget, "play": wishes.play, "round": wishes.round,
        "least_opening": wishes.least_opening, "least_drawer": wishes.least_drawer,
        "highest_drawer": wishes.highest_drawer, "pitch": wishes.pitch,
        "above the top": any(max(wall.ceilings) > home.top for wall in home.walls),
    }  # fmt: skip
    yield from (name for name, has in told.items() if has)


def stored_faults(home: Household, plan: dict[str, Any], seconds: float, counted: Counter[str]) -> Iterator[str]:
    """What a plan stores and what it says could be stored, beside the exact model."""
    stored, bound = interval(home, plan)
    if stored == home.heaviest:
        return
    counted["not everything stored"] += 1
    model = ExactModel(home)
    found = model.program.solve(seconds, stored)
    if found.bound < stored:  # HiGHS may call it infeasible for its tolerances: asked again without that row
        found = model.program.solve(seconds)
    if found.bound < stored:
        yield f"{stored} stored, at most {found.bound} by the model: it is too strict, or the judge too mild"
    if found.value is None:
        counted["model undecided"] += 1
        return
    layout = model_layout(model, found.solution)
    broken = plan_rule_faults(home, layout)
    if broken or weight_of(home, layout) != found.value:
        counted["model's layout refused"] += 1
        yield from [f"the model's own layout, worth {found.value}: {broken[:1]}"] if found.value > bound else []
        return
    if found.value > bound:
        words = "FALSE PROOF" if plan["value"]["status"] == "optimal" else "FALSE BOUND"
        yield f"{words}: stored {stored}, at most {bound}, but {found.value} can be stored"
    counted["model proven" if found.is_proven else "model undecided"] += 1
    counted["plan proven"] += stored == bound
    counted["plan is the optimum"] += found.is_proven and found.value == stored
    counted["bound is the optimum"] += found.is_proven and found.value == bound


def is_wrongly_refused(home: Household, error: InputError, seconds: float) -> bool:
    """Whether the model has a layout that the judge accepts, with what is said to be larger than any opening."""
    said = str(error.faults[0])
    if "than the smallest bay with its two uprights" in said:  # a wall against which nothing can be built
        least = home.wishes.min_bay + 2 * home.thick + home.wishes.play
        return all(wall.width >= least for wall in home.walls)
    if "least_drawer" in said or "highest_drawer" in said:  # a bank that other wishes rule out
        return all(is_within_drawer_wishes(home, must) for must in home.must)
    named = re.search(r"row (\d+) of the inventory, .* is larger than any opening", said)
    if named is not None:
        pile = replace(home.piles[int(named[1]) - 1], count=1)
        most = most_of(replace(home, piles=(pile,), wishes=replace(home.wishes, budget=0)), seconds)
        return most is not None and most[0] > 0
    model = ExactModel(home)
    found = model.program.solve(seconds)
    if found.value is None:
        return False
    layout, least = model_layout(model, found.solution), home.wishes.least_opening
    if "leaves it no opening" in said and any(
        max(item.height for item in bay.openings) < least for bay in chain(*layout)
    ):
        return False  # a rod with nothing to hang under it is no opening for a bay
    return not building_faults(home, layout)


def refilled(folder: Path) -> dict[str, Any]:
    """What `refill` says of a folder."""
    closet, inventory, texts = read_folder_at_once(folder)
    found: dict[str, Any] = json.loads(
        format_refilled(refill_standing(closet, inventory, Effort(factor=WORK), texts.digest))
    )
    return found


def all_faults(home: Household, plan: dict[str, Any], folder: Path, seconds: float, trial: Trial) -> Iterator[str]:
    """Everything in which a plan, and a refill of the same folder, is wrong."""
    before, value = plan["before"], plan["value"]
    yield from plan_faults(home, plan, 1 if plan["left_out"] else 0)
    faults, most, _ = prove(folder)
    for fault in faults:
        yield f"proof: {fault}"
    trial.counted["proof confirms the bound"] += most <= value["bound"]
    least = plan | {"value": value | {"bound": min(value["bound"], most)}}
    yield from stored_faults(home, least, seconds, trial.counted)
    for fault in filled_faults(home.by_use, home.today, before["value"], before["value_bound"], seconds):
        yield f"before: {fault}"
    yield from reason_faults(home, plan, seconds, trial.counted)
    yield from change_faults(home, plan, seconds, trial.seed)
    yield from places_faults(home, plan, seconds)
    yield from reach_faults(home, plan, seconds)
    yield from multiple_faults(home, plan, seconds)
    if home.standing:
        trial.counted["refilled"] += 1
        for fault in refill_faults(home, refilled(folder), seconds):
            yield f"refill: {fault}"
    later = folder.with_name(f"{folder.name}-a-year-later")
    for fault in lived_with_faults(home, plan, later, seconds, trial.seed, trial.counted):
        yield f"a year later: {fault}"


def tried(seed: int, seconds: float, number: int, keep: Path | None) -> Trial:
    """One closet and so many of its variants."""
    trial = Trial(seed)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / f"{seed}"
        home = random_home(seed, KNOWN)
        try:
            plan = fitted(home, folder, seed)
        except InputError as error:
            trial.counted["refused"] += 1
            if is_wrongly_refused(home, error, seconds):
                trial.faults.append(f"refused, but there is a layout: {error.faults[0]}")
                _kept(folder, keep)
            return trial
        except Exception as error:
            trial.counted.update(("closets", *traits(home)))
            trial.faults.append(f"TRACEBACK {type(error).__name__}: {str(error)[:300]}")
            _kept(folder, keep)
            return trial
        trial.counted.update(("closets", *traits(home)))
        trial.faults += all_faults(home, plan, folder, seconds, trial)
        if trial.faults:
            _kept(folder, keep)
        all_ways = variants_of(home, seed) if number else []
        for turn in range(min(number, len(all_ways))):
            way = all_ways[(number * seed + turn) % len(all_ways)]
            _compare(trial, way, interval(home, plan), folder, keep)
    return trial


def _compare(trial: Trial, way: Variant, one: tuple[int, int], folder: Path, keep: Path | None) -> None:
    """A variant of a closet beside it."""
    other = folder.with_name(f"{folder.name}-{way.name.replace(' ', '-')}")
    try:
        plan = fitted(way.home, other, f"{trial.seed} {way.name}")
        mine = interval(way.home, plan)
        found = list(plan_faults(way.home, plan, 1 if plan["left_out"] else 0))
        if contradiction(way.relation, one, mine):
            found.append(f"stored and at most {mine}, the household itself {one}")
        trial.counted[f"{way.name}: "] += 1
        trial.counted[f"{way.name}: other value or bound"] += way.relation == "same" and mine != one
    except Exception as error:
        found = [f"TRACEBACK {type(error).__name__}: {str(error)[:300]}"]
    trial.faults += [f"{way.name}: {fault}" for fault in found]
    if found:
        _kept(folder, keep)
        _kept(other, keep)


def _kept(folder: Path, keep: Path | None) -> None:
    if keep is not None:
        shutil.copytree(folder, keep / folder.name, dirs_exist_ok=True)


def main() -> int:
    """Try so many closets; returns the exit code."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--closets", type=int, default=100)
    parser.add_argument("--first", type=int, default=0, help="seed of the first")
    parser.add_argument("--seconds", type=float, default=10.0, help="processor seconds for each model")
    parser.add_argument("--ways", type=int, default=2, help="ways of seven to tell each otherwise, by turns")
    parser.add_argument("--keep", type=Path, help="where folders with a fault are kept")
    parser.add_argument("--record", type=Path, help="what is done already and, line by line, what is done now")
    parser.add_argument("--within", type=float, default=float("inf"), help="begin no more after so many seconds")
    options = parser.parse_args()
    began, numbers = time.monotonic(), range(options.first, options.first + options.closets)
    done: dict[int, Trial] = {}
    if options.record and options.record.exists():
        for line in map(json.loads, options.record.read_text(encoding="utf-8").splitlines()):
            done[line["closet"]] = Trial(line["closet"], line["faults"], Counter(line["counted"]))
    for seed in numbers:
        if seed in done:
            continue
        if time.monotonic() - began > options.within:
            break
        trial = done[seed] = tried(seed, options.seconds, options.ways, options.keep)
        for fault in trial.faults:
            print(f"closet {seed}: {fault}", flush=True)
        if options.record:
            with options.record.open("a", encoding="utf-8") as file:
                record = {"closet": seed, "faults": trial.faults, "counted": trial.counted}
                file.write(json.dumps(record) + "\n")
    mine = [done[seed] for seed in numbers if seed in done]
    wrong = [trial.seed for trial in mine if trial.faults]
    counted = sum((trial.counted for trial in mine), Counter[str]())
    print(f"| of closets {numbers.start} to {numbers.stop - 1} | {len(mine)} |\n| --- | --- |")
    for name, count in sorted(counted.items()):
        print(f"| {name.removesuffix(': ')} | {count} |")
    print(f"| with a fault | {len(wrong)} |\n{wrong}\n{time.process_time():.0f} s of one processor now")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
