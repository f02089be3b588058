"""The commands on the way to what is built: start, count, fit, compare, check, build, prove."""

from __future__ import annotations

import argparse
import json
import os
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from capacity.errors import DONE, FELL_SHORT, INTERRUPTED, InputError
from capacity.makeover.samples import start_folder

if TYPE_CHECKING:
    from capacity.api import Makeover
    from capacity.closet.closet import Closet
    from capacity.makeover.folder import FolderTexts
    from capacity.makeover.plan import Plan
    from capacity.makeover.refilled import Refilled
    from capacity.makeover.saved_plan import Before
    from capacity.wardrobe.inventory import Inventory


def run_start(options: argparse.Namespace) -> int:
    """Make a folder to be filled in. Returns the exit code."""
    files = start_folder(options.folder, options.sample)
    if options.json:
        print(json.dumps({"schema": "capacity.start/1", "written": [str(file) for file in files]}))
    else:
        for file in files:
            print(f"wrote {file}")
    return DONE


def run_count(options: argparse.Namespace) -> int:
    """Print the tally. Returns the exit code."""
    from capacity.api import read
    from capacity.units import Ticks, feet_or_metres, to_number
    from capacity.wardrobe.tally import room_needed

    makeover = read(options.folder, with_plan=False)
    inventory, units = makeover.inventory, makeover.closet.units
    room = room_needed(inventory)
    owners = {owner: sum(p.count for p in inventory.piles if p.owner == owner) for owner in inventory.owners}
    shared = sum(pile.count for pile in inventory.piles if pile.owner is None)
    if options.json:
        answer = {"piles": len(inventory.piles), "pieces": inventory.pieces, "owners": owners, "shared": shared}
        lengths = {"rod": to_number(Ticks(room.rod), units), "shelf": to_number(Ticks(room.shelf), units)}
        print(json.dumps({"schema": "capacity.count/1", **answer, "units": units, **lengths}))
        return DONE
    _say_remarks(inventory)
    piles = len(inventory.piles)
    print(f"{piles} {'pile' if piles == 1 else 'piles'}, {inventory.pieces} pieces")
    for owner, pieces in owners.items():
        print(f"  {owner}: {pieces}")
    if shared:
        print(f"  shared: {shared}")
    print(f"rod length needed: {feet_or_metres(room.rod, units)}")
    print(f"shelf run needed: {feet_or_metres(room.shelf, units)}")
    return DONE


def _say_remarks(inventory: Inventory) -> None:
    """What is read past in the inventory and was perhaps meant."""
    from capacity.wardrobe.inventory import FILE_NAME

    for remark in inventory.remarks:
        print(f"{FILE_NAME}: {remark}", file=sys.stderr)


def run_fit(options: argparse.Namespace) -> int:
    """Find a layout, write `plan.json` and print before and after. Returns the exit code."""
    from capacity.disk.files import require_writable
    from capacity.makeover.budget import budget_before
    from capacity.makeover.comparison import more_time_in_words
    from capacity.makeover.folder import read_folder_at_once
    from capacity.makeover.saved_plan import changed_meanwhile
    from capacity.solver.best_so_far import drop_best

    closet, inventory, texts = read_folder_at_once(options.folder)
    require_writable(options.folder)
    _say_remarks(inventory)
    if closet.wishes.budget and not options.json:
        print(budget_before(closet), file=sys.stderr)
    found: list[_Found] = []
    try:
        _search(options, closet, inventory, texts, found)
    except KeyboardInterrupt:
        return _give_up(options.folder, texts.digest)
    except InputError:
        if found:  # a layout that cannot be written is printed all the same
            _print_plan(found[0].plan, inventory, options.json)
            sys.stdout.flush()
        raise
    plan = found[0].plan
    _print_plan(plan, inventory, options.json)
    if not options.json:
        print(more_time_in_words(plan))
    if closet.wishes.budget and not options.json and not found[0].is_interrupted:
        _say_costs(closet, inventory, plan)
    best = drop_best(options.folder, plan)
    if best is not None:
        words = f"a search that was broken off had found a layout worth {best.stored}"
        print(f"{words}; `capacity fit --keep-going` goes on from it", file=sys.stderr)
    is_stale = changed_meanwhile(options.folder, found[0].before)
    if is_stale:
        words = "the count or the closet has changed while this layout was looked for: it is for what they were then"
        print(f"{words}; run `capacity fit` again", file=sys.stderr)
    if found[0].is_interrupted:
        return INTERRUPTED
    return FELL_SHORT if plan.left_out or is_stale else DONE


def _say_costs(closet: Closet, inventory: Inventory, plan: Plan) -> None:
    """Hold everything that is to be bought against the budget, of which the search knows the boards alone."""
    from capacity.solver.effort import Effort
    from capacity.workshop.job import prepare
    from capacity.workshop.shopping import shopping_list

    try:
        job = prepare(closet, inventory, plan, Effort(factor=0.1))
    except InputError:  # nothing to build, or a part that fits on no sheet: `build` says which
        return
    shopping = shopping_list(job)
    print(f"{shopping.budget_words()} {shopping.room_words()}".rstrip())


class _Found(NamedTuple):
    """What a search found, from what it began, and whether somebody asked for an early end."""

    plan: Plan
    before: Before
    is_interrupted: bool


def _search(
    options: argparse.Namespace, closet: Closet, inventory: Inventory, texts: FolderTexts, found: list[_Found]
) -> None:
    """Look for a layout and keep it; `found` holds it also where keeping it fails."""
    from capacity.commands.printing import ProgressLine
    from capacity.makeover.saved_plan import before_search, keep_plan
    from capacity.solver.best_so_far import keeper, start_of
    from capacity.solver.effort import EFFORTS, Effort
    from capacity.solver.interrupts import as_ctrl_c, run_until_asked
    from capacity.solver.planning import make_plan
    from capacity.solver.progress import search_in
    from capacity.workshop.whole_sheets import sheets_to_buy

    digest = texts.digest
    with ProgressLine() as line, as_ctrl_c():
        effort = Effort(options.seconds, options.seed, EFFORTS[options.effort], line.show)
        with search_in(options.folder, options.progress, effort, keeper(options.folder, closet, digest)):
            before = before_search(options.folder, texts)
            start = start_of(options.folder, digest) if options.keep_going else None
            search = partial(make_plan, closet, inventory, effort, digest, start, sheets_to_buy)
            plan, is_interrupted = run_until_asked(effort, search, line.say)
            found.append(_Found(plan, before, is_interrupted))
            keep_plan(options.folder, plan, before)


def _give_up(folder: Path, digest: str) -> int:
    """Say what is left of a search that was ended before its end, and end at once: its threads are not waited for."""
    from capacity.solver.best_so_far import read_best

    best = read_best(folder, digest)
    words = "given up before there was a layout to keep"
    if best is not None:
        words = f"given up; the best so far ({best.stored}) is kept, and `capacity fit --keep-going` goes on from it"
    print(words, file=sys.stderr, flush=True)
    os._exit(INTERRUPTED)


def run_compare(options: argparse.Namespace) -> int:
    """Print before and after again. Returns the exit code."""
    from capacity.api import plan_of, read
    from capacity.makeover.refilled import read_refilled
    from capacity.upkeep.promised import gain_in_words, reasons

    makeover = read(options.folder)
    closet, inventory = makeover.closet, makeover.inventory
    built = read_refilled(options.folder, closet) if closet.built else None
    if makeover.is_stale:
        if makeover.plan is not None and built is not None and not options.json:
            print(gain_in_words(makeover.plan, built, is_stale=True))
        return _say_stale(makeover, options.json)
    plan = plan_of(makeover)
    _print_plan(plan, inventory, options.json, built)
    if built is not None and not options.json:
        print(gain_in_words(plan, built, is_stale=False))
        for line in reasons(plan, built, closet, inventory):
            print(f"  {line}")
    elif closet.built and not options.json:
        print("What was built is not filled yet for this count: `capacity refill` does it.")
    return FELL_SHORT if plan.left_out else DONE


def _say_stale(makeover: Makeover, as_json: bool) -> int:
    """Say that a layout was found for other files than those there now; returns the exit code."""
    from capacity.api import STALE

    print(STALE, file=sys.stderr)
    if as_json and makeover.plan is not None:
        digests = {"found_for": makeover.plan.inputs, "inputs": makeover.texts.digest}
        print(json.dumps({"schema": "capacity.stale/1", **digests}))
    return FELL_SHORT


def run_check(options: argparse.Namespace) -> int:
    """Print what holds, goes in and is reached, and what falls short. Returns the exit code."""
    from capacity.api import check, read
    from capacity.commands.printing import print_report

    makeover = read(options.folder)
    if makeover.is_stale:
        for line in _growing(options, makeover) if options.years and not options.json else ():
            print(line)
        return _say_stale(makeover, options.json)
    report = check(makeover)
    if options.json:
        document = {"schema": "capacity.check/1", **report.model_dump(mode="json")}
        if options.years:
            document["growing"] = _growing(options, makeover)
        print(json.dumps(document, indent=1, ensure_ascii=False))
    else:
        print_report(report)
        for line in _growing(options, makeover) if options.years else ():
            print(line)
    return DONE if report.has_plan and not report.short else FELL_SHORT


def _growing(options: argparse.Namespace, makeover: Makeover) -> list[str]:
    """What children will have grown out of."""
    from capacity.makeover.files_to_problem import size_problem
    from capacity.upkeep.growing import growing_in_words
    from capacity.upkeep.where import built_by, put_away

    closet, inventory = makeover.closet, makeover.inventory
    layout = put_away(options.folder, closet, inventory)
    planned = built_by(options.folder, size_problem(closet, inventory))
    return list(growing_in_words(closet, inventory, layout, options.years, planned))


def run_build(options: argparse.Namespace) -> int:
    """Write what is printed and built from. Returns the exit code."""
    from capacity.api import plan_of, read
    from capacity.closet.closet import FILE_NAME as CLOSET_NAME
    from capacity.commands.printing import print_build
    from capacity.disk.files import MOST_BYTES, read_text, require_writable
    from capacity.disk.folder_swap import require_ours
    from capacity.solver.effort import Effort
    from capacity.solver.progress import progress_in
    from capacity.workshop.build_files import build
    from capacity.workshop.job import prepare

    makeover = read(options.folder)
    if makeover.is_stale:
        return _say_stale(makeover, options.json)
    plan, closet = plan_of(makeover), makeover.closet
    require_writable(options.folder)
    require_ours(options.folder)
    text = makeover.texts.files[CLOSET_NAME].decode("utf-8-sig")
    effort = Effort()
    with progress_in(options.progress, effort, "the packet is being made"):
        job = prepare(closet, makeover.inventory, plan, effort, text)
        shopping, files = build(options.folder, job, options.paper or ("a4" if closet.units == "mm" else "letter"))
    if options.json:
        print(read_text(options.folder / "build" / "parts.json", MOST_BYTES), end="")
    else:
        print_build(job, shopping, options.folder / "build", len(files))
    if shopping.is_over_budget:
        dearest = ", ".join(f"{line.item} {shopping.money(line.total or 0)}" for line in shopping.dearest())
        print(f"{shopping.compared()} The dearest lines: {dearest}.", file=sys.stderr)
        return FELL_SHORT
    return FELL_SHORT if job.report.short else DONE


def run_prove(options: argparse.Namespace) -> int:
    """Check the proof that the plan carries, by code that shares nothing with the search. Returns the exit code."""
    from capacity.errors import Fault
    from capacity.makeover.plan import FILE_NAME, read_plan
    from capacity.solver.proof.prove import main as check_proof
    from capacity.solver.proof.prove import prove

    if read_plan(options.folder / FILE_NAME).proof is None:
        raise InputError([Fault(FILE_NAME, "proof", "carries none; run fit again")])
    if not options.json:
        return check_proof([str(options.folder)])
    try:
        faults, most, plan = prove(options.folder)
    except (OSError, ValueError, AttributeError, LookupError, TypeError, ArithmeticError, RecursionError) as error:
        raise InputError([Fault(FILE_NAME, "proof", f"cannot be read: {type(error).__name__}: {error}")]) from None
    answer = {"schema": "capacity.prove/1", "faults": faults, "stored": plan.value.stored, "bound": most}
    print(json.dumps(answer))
    return FELL_SHORT if faults or most > plan.value.bound else DONE


def _print_plan(plan: Plan, inventory: Inventory, as_json: bool, built: Refilled | None = None) -> None:
    from capacity.commands.printing import print_plan
    from capacity.makeover.plan import format_plan

    if as_json:
        sys.stdout.write(format_plan(plan))
    else:
        print_plan(plan, inventory, None if built is None else built.pieces_of)
