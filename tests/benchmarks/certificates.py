"""The proofs that plans carry, checked by the file that shares nothing with the search.

    python tests/benchmarks/certificates.py --closets 200 [--samples NAME ...]

Random tiny closets of every rule and every wish (`second_opinion.random_homes`), or samples, are fitted; then
`prove.py` checks each plan, once more with prices and boxes drawn by chance, which may prove less, never too much. Says
how many are confirmed, of how many only a weaker bound, and how far off; what `fit` refuses to look at has no plan, and
is counted by the setting that it names. Exit 1 if there is a fault.
"""

from __future__ import annotations

import argparse
import json
import random
import re
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any

from adversary import KNOWN, fitted
from second_opinion.random_homes import random_home

from capacity.errors import InputError
from capacity.makeover.folder import read_folder_at_once
from capacity.makeover.plan import format_plan
from capacity.makeover.samples import start_folder
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan
from capacity.solver.proof.prove import prove


def judged(name: str, folder: Path, counted: Counter[str]) -> None:
    """Check the plan of a folder, and count what came of it."""
    begin = time.process_time()
    faults, bound, plan = prove(folder)
    seconds = time.process_time() - begin
    counted["seconds"] += round(1000 * seconds)
    for fault in faults:
        print(f"{name}: {fault}")
    below = drawn_bound(folder)
    if below < plan.value.stored:
        print(f"{name}: {plan.value.stored} are stored, and boxes drawn by chance prove {below}")
    counted["faults"] += bool(faults) or below < plan.value.stored
    counted["with boxes"] += any("parts" in vars(choice) and choice.parts for choice in plan.proof.choices)
    counted["everything stored"] += plan.value.stored == plan.value.all
    is_confirmed = bound <= plan.value.bound
    counted["confirmed" if is_confirmed else "weaker"] += 1
    if not is_confirmed or name.startswith("sample"):
        print(f"{name}: stored {plan.value.stored}, bound {plan.value.bound}, by the proof {bound}, {seconds:.1f} s")


def drawn_bound(folder: Path) -> int:
    """What is proven with prices and boxes drawn by chance in place of those of the plan."""
    chance, kept = random.Random(folder.name), (folder / "plan.json").read_text(encoding="utf-8")
    plan = json.loads(kept)
    things = plan["proof"]["facts"]["things"]

    def box(limits: int) -> dict[str, Any]:
        if chance.random() < 0.5 and limits < 3:
            kind = chance.choice(["shelf", "hang", "drawer", "bay", "pieces"])
            height = 0 if kind == "bay" else chance.randrange(200_000)
            rows = [thing["row"] for thing in things if chance.random() < 0.4]
            owner = chance.choice(["", *(thing["owner"] or "" for thing in things)])
            counted = [kind, rows if kind == "pieces" else height, chance.choice([0, chance.randrange(300)]), owner]
            return {"counted": counted, "number": chance.randrange(4), "parts": [box(limits + 1), box(limits + 1)]}
        prices = [[thing["row"], chance.randrange(1 + 2_000_000 * thing["value"])] for thing in things]
        charges = [chance.choice([0, chance.randrange(5_000_000)]) for _ in range(limits)]
        return {"prices": prices, "panel": chance.choice([0, chance.randrange(3000)]), "charges": charges}

    for choice in plan["proof"]["choices"]:
        owners = choice["owners"]
        choice.clear()
        choice |= {"owners": owners, **box(0)}
    (folder / "plan.json").write_text(json.dumps(plan), encoding="utf-8")
    found = prove(folder)[1]
    (folder / "plan.json").write_text(kept, encoding="utf-8")
    return found


def main() -> int:
    """Run the command."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--closets", type=int, default=200)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--samples", nargs="*", default=[])
    options = parser.parse_args()
    counted: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as place:
        for name in options.samples:
            folder = Path(place) / name
            start_folder(folder, name)
            closet, inventory, texts = read_folder_at_once(folder)
            text = format_plan(make_plan(closet, inventory, Effort(), texts.digest))
            (folder / "plan.json").write_text(text, encoding="utf-8")
            judged(f"sample {name}", folder, counted)
        for seed in range(options.first, options.first + options.closets):
            folder = Path(place) / str(seed)
            try:
                fitted(random_home(seed, KNOWN), folder, seed)
            except InputError as error:
                counted[f"refused for {re.sub(' [0-9]+.*', '', error.faults[0].place)}"] += 1
                continue
            judged(f"closet {seed}", folder, counted)
    print(", ".join(f"{what}: {number}" for what, number in sorted(counted.items())))
    return 1 if counted["faults"] else 0


if __name__ == "__main__":
    sys.exit(main())
