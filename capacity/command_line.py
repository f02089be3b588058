"""The command line: `capacity COMMAND DIR`, `capacity page`, `capacity guide`."""

from __future__ import annotations

import argparse
import datetime
import io
import json
import os
import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from capacity import __version__
from capacity.errors import BAD_INPUT, DONE, FELL_SHORT, INTERRUPTED, InputError
from capacity.makeover.guide import TOPICS, guide_text, title_of
from capacity.makeover.samples import DEFAULT, SAMPLES, start_folder

if TYPE_CHECKING:
    from capacity.api import Makeover
    from capacity.closet.closet import Closet
    from capacity.makeover.folder import FolderTexts
    from capacity.makeover.plan import Plan
    from capacity.makeover.refilled import Refilled
    from capacity.makeover.saved_plan import Before
    from capacity.wardrobe.inventory import Inventory
    from capacity.workshop.packet import Paper


def run(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code.

    Raises
    ------
    KeyboardInterrupt
        When it is interrupted and does not say itself what is kept.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a terminal that cannot show a letter shows its number
            stream.reconfigure(errors="backslashreplace")
    options = _parser().parse_args(arguments)
    try:
        code: int = options.run(options)
        sys.stdout.flush()
    except InputError as error:
        for fault in error.faults:
            print(fault, file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:  # whoever read the output has enough of it
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return FELL_SHORT
    except MemoryError:
        words = "this needs more memory than there is; join rows of the inventory that are alike"
        print(words, file=sys.stderr)
        return BAD_INPUT
    return code


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="capacity", description="From a counted wardrobe to a closet layout in which everything fits."
    )
    parser.add_argument("--version", action="version", version=f"capacity {__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    start = _command(commands, "start", _start, "make a makeover folder to fill in; never overwrites")
    start.add_argument("--sample", default=DEFAULT, metavar="NAME", help=f"one of {', '.join(SAMPLES)}")
    _command(commands, "count", _count, "the tally: piles, owners, rod length and shelf run that they need")
    fit = _command(commands, "fit", _fit, "find a layout, write plan.json, print before and after")
    fit.add_argument("--seconds", type=_seconds, metavar="N", help="stop after N seconds with the best plan so far")
    fit.add_argument("--seed", type=int, default=0, metavar="N", help="seed of everything random (default 0)")
    words = "how much work to do; each gives the same plan every time (default: usual)"
    fit.add_argument("--effort", choices=("quick", "usual", "thorough"), default="usual", help=words)
    fit.add_argument("--keep-going", action="store_true", help="go on from the layout of plan.json")
    fit.add_argument("--progress", type=Path, metavar="FILE", help="write progress to FILE while looking")
    _command(commands, "compare", _compare, "before and after again from plan.json, by kind and owner")
    check = _command(commands, "check", _check, "sag, bow, room, reach, light, door and way in; 1 if one falls short")
    words = "say too what children will have grown out of in N years, and which shelves to move for it"
    check.add_argument("--years", type=int, choices=range(1, 18), metavar="N", help=words)
    build = _command(commands, "build", _build, "write build/, to be printed and built from; 1 if a check falls short")
    build.add_argument("--paper", choices=("letter", "a4"), help="paper of the packet (default: letter, or a4 for mm)")
    build.add_argument("--progress", type=Path, metavar="FILE", help="write progress to FILE while making it")
    _command(commands, "prove", _prove, "check the proof in plan.json by other code: the layout, and what none exceeds")
    _command(commands, "adopt", _adopt, "write what was built into closet.toml, as planned, to be corrected on site")
    refill = _command(commands, "refill", _refill, "fill what stands now as well as possible; moves no board")
    refill.add_argument("--season", metavar="NAME", help="as `capacity seasons` has it for that season")
    _command(commands, "history", _history, "the counts so far, a day a line: pieces, what has a place, room used")
    where = _command(commands, "where", _where, "where something is: the openings that hold it")
    where.add_argument("words", nargs="+", metavar="WORD", help="what you call it: kind, owner, size or label")
    words = "write put-away.pdf: a list for the inside of the door, labels for the edges of the shelves"
    put_away = _command(commands, "put-away", _put_away, words)
    put_away.add_argument("--paper", choices=("letter", "a4"), help="paper (default: letter, or a4 for mm)")
    words = "what is in use in each season, what moves where when it turns; writes seasons.ics for a calendar"
    _command(commands, "seasons", _seasons, words)
    words = "which boards of what was built to move to other holes, fewest first, and what that brings"
    _command(commands, "respace", _respace, words)
    let_go = _command(commands, "let-go", _let_go, "list what has no place in letting-go.csv, to say where it goes")
    let_go.add_argument("--done", action="store_true", help="take what goes somewhere, by that list, out of the count")
    _many_command(commands)
    _page_command(commands)
    words = "a short guide to one topic, or the list of them"
    guide = commands.add_parser("guide", help=words, description=words, epilog="example: capacity guide first-closet")
    guide.add_argument("topic", nargs="?", choices=TOPICS, metavar="TOPIC", help=f"one of {', '.join(TOPICS)}")
    guide.set_defaults(run=_guide)
    return parser


def _command(commands: Any, name: str, run: Any, words: str) -> argparse.ArgumentParser:
    example = f"example: capacity {name} my-closet"
    parser: argparse.ArgumentParser = commands.add_parser(name, help=words, description=words, epilog=example)
    parser.add_argument("folder", type=Path, metavar="DIR", help="the makeover folder")
    parser.add_argument("--json", action="store_true", help="print one JSON document and nothing else")
    parser.set_defaults(run=run)
    return parser


def _many_command(commands: Any) -> None:
    words = "many closets, or what-ifs about one: a table, pieces against cost, what sheets cut together save"
    example = "example: capacity many my-closet --vary wishes.budget=400,600,800 --vary counts=1,1.2"
    many = commands.add_parser("many", help=words, description=words, epilog=example)
    many.add_argument("folders", type=Path, nargs="+", metavar="DIR", help="the makeover folders; none is changed")
    words = (
        "each folder once for each value; KEY is a setting with dots, such as wall.back.depth, counts, or another_wall"
    )
    many.add_argument("--vary", action="append", default=[], metavar="KEY=A,B,C", help=words)
    words = "where results go, and what is done already is kept (default: ./many)"
    many.add_argument("--into", type=Path, default=Path("many"), metavar="DIR", help=words)
    words = "how many at once (default: one for each processor)"
    many.add_argument("--workers", type=_workers, metavar="N", help=words)
    words = "a Dask scheduler such as tcp://10.0.0.5:8786, or local; without it, processes of this machine"
    many.add_argument("--on", metavar="ADDRESS", help=words)
    many.add_argument("--effort", choices=("quick", "usual", "thorough"), default="quick", help="work for each closet")
    many.add_argument("--seed", type=int, default=0, metavar="N", help="seed of everything random (default 0)")
    many.add_argument("--progress", type=Path, metavar="FILE", help="write progress to FILE while looking")
    many.add_argument("--json", action="store_true", help="print one JSON document and nothing else")
    many.set_defaults(run=_many)


MOST_WORKERS = 256


def _workers(text: str) -> int:
    if not text.isdecimal() or not 0 < int(text) <= MOST_WORKERS:
        msg = f'"{text}" is not a number of workers from 1 to {MOST_WORKERS}'
        raise argparse.ArgumentTypeError(msg)
    return int(text)


def _many(options: argparse.Namespace) -> int:
    from capacity.many.journal import Journal
    from capacity.many.results import cut_together, results_table, write_results
    from capacity.many.solving import read_all
    from capacity.many.tasks import parse_variation, tasks_of
    from capacity.many.workers import on_a_cluster, on_this_machine
    from capacity.solver.effort import EFFORTS, Effort
    from capacity.solver.progress import progress_in

    variations = [parse_variation(text) for text in options.vary]
    tasks = tasks_of(options.folders, variations, EFFORTS[options.effort], options.seed)
    read_all(tasks)
    journal = Journal(options.into)
    left = list({task.digest: task for task in tasks if task.digest not in journal.done}.values())
    workers = min(options.workers or os.cpu_count() or 1, max(1, len(left)))
    found = on_a_cluster(left, options.on) if options.on and left else on_this_machine(left, workers)
    begun, is_shown = len(tasks) - len(left), sys.stderr.isatty() and not options.json
    effort = Effort()
    try:
        with progress_in(options.progress, effort, "many closets are being looked at"):
            effort.report("finding layouts", begun, len(tasks), len(tasks))
            for number, (task, result) in enumerate(found, start=begun + 1):
                journal.keep(task.digest, result)
                effort.report("finding layouts", number, len(tasks), len(tasks))
                if is_shown:
                    words = f"{number} of {len(tasks)} done: {task.name[:60]}"
                    print(f"\r\033[K{words}", end="", file=sys.stderr, flush=True)
                if effort.is_over:
                    break
    finally:
        found.close()
        if is_shown:
            print("\r\033[K", end="", file=sys.stderr)
        write_results(options.into, tasks, journal.done)
    table, together = results_table(tasks, journal.done), list(cut_together(tasks, journal.done))
    if options.json:
        rows = json.loads(table.to_json(orient="records"))
        sheets = [{"closets": item.closets, "alone": item.alone, "together": item.together} for item in together]
        print(json.dumps({"schema": "capacity.many/1", "closets": rows, "sheets": sheets}))
    else:
        from capacity.terminal import print_many

        print_many(table, together, options.into)
    return DONE if (table["stored"] == table["pieces"]).fillna(value=False).all() else FELL_SHORT


def _page_command(commands: Any) -> None:
    words = "open the page in a browser, on this machine only; sends nothing out"
    page = commands.add_parser("page", help=words, description=words, epilog="example: capacity page my-closet")
    page.add_argument("folder", type=Path, nargs="?", metavar="DIR", help="the makeover folder to open")
    page.add_argument("--port", type=int, metavar="N", help="port to listen on (default: the first free one from 8501)")
    page.add_argument("--no-browser", action="store_true", help="only print the address")
    words = "let phones in the same network open the page; anyone there can see and change it"
    page.add_argument("--lan", action="store_true", help=words)
    page.set_defaults(run=_page)


def _page(options: argparse.Namespace) -> int:
    from capacity.page.server.serving import serve

    return serve(options.folder, options.port, opens_browser=not options.no_browser, lan=options.lan)


def _guide(options: argparse.Namespace) -> int:
    if options.topic is None:
        print("\n".join(f"{topic:16}{title_of(topic)}" for topic in TOPICS))
    else:
        print(guide_text(options.topic), end="")
    return DONE


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        seconds = 0.0
    if not 0 < seconds <= 86_400:
        msg = f'"{text}" is not a number of seconds above 0'
        raise argparse.ArgumentTypeError(msg)
    return seconds


def _start(options: argparse.Namespace) -> int:
    files = start_folder(options.folder, options.sample)
    if options.json:
        print(json.dumps({"schema": "capacity.start/1", "written": [str(file) for file in files]}))
    else:
        for file in files:
            print(f"wrote {file}")
    return DONE


def _count(options: argparse.Namespace) -> int:
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


def _fit(options: argparse.Namespace) -> int:
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
    from capacity.makeover.saved_plan import before_search, keep_plan
    from capacity.solver.best_so_far import keeper, start_of
    from capacity.solver.effort import EFFORTS, Effort
    from capacity.solver.interrupts import as_ctrl_c, run_until_asked
    from capacity.solver.planning import make_plan
    from capacity.solver.progress import search_in
    from capacity.terminal import ProgressLine

    digest = texts.digest
    with ProgressLine() as line, as_ctrl_c():
        effort = Effort(options.seconds, options.seed, EFFORTS[options.effort], line.show)
        with search_in(options.folder, options.progress, effort, keeper(options.folder, closet, digest)):
            before = before_search(options.folder, texts)
            start = start_of(options.folder, digest) if options.keep_going else None
            search = partial(make_plan, closet, inventory, effort, digest, start)
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


def _compare(options: argparse.Namespace) -> int:
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


def _check(options: argparse.Namespace) -> int:
    from capacity.api import check, read
    from capacity.terminal import print_report

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


def _build(options: argparse.Namespace) -> int:
    from capacity.api import plan_of, read
    from capacity.closet.closet import FILE_NAME as CLOSET_NAME
    from capacity.disk.files import MOST_BYTES, read_text, require_writable
    from capacity.disk.folder_swap import require_ours
    from capacity.solver.effort import Effort
    from capacity.solver.progress import progress_in
    from capacity.terminal import print_build
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


def _adopt(options: argparse.Namespace) -> int:
    from capacity.makeover.adoption import adopt_plan
    from capacity.makeover.folder import read_folder
    from capacity.makeover.plan import FILE_NAME, read_plan

    read_folder(options.folder)
    bays = adopt_plan(options.folder, read_plan(options.folder / FILE_NAME))
    if options.json:
        print(json.dumps({"schema": "capacity.adopt/1", "bays": bays}))
    else:
        print(
            f"wrote {bays} bays as [[built]] into closet.toml, as planned: measure them and correct what is different"
        )
    return DONE


def _prove(options: argparse.Namespace) -> int:
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


def _refill(options: argparse.Namespace) -> int:
    from capacity.disk.files import require_writable
    from capacity.makeover.folder import read_folder
    from capacity.makeover.plan import FILE_NAME, read_plan
    from capacity.makeover.refilled import format_refilled, write_refilled
    from capacity.solver.refilling import refill_folder
    from capacity.terminal import print_refilled
    from capacity.upkeep.counts import day_count, note_count
    from capacity.upkeep.seasons import refilled_in

    closet, inventory = read_folder(options.folder)
    require_writable(options.folder)
    if options.season:
        refilled = refilled_in(options.folder, closet, inventory, options.season)
    else:
        refilled = refill_folder(options.folder, closet, inventory)
    write_refilled(options.folder, refilled)
    try:
        note_count(options.folder, day_count(closet, inventory, refilled, datetime.date.today()))
    except InputError as error:  # what was found is told all the same
        print(error.faults[0], file=sys.stderr)
    if options.json:
        sys.stdout.write(format_refilled(refilled))
    else:
        path = options.folder / FILE_NAME
        print_refilled(refilled, inventory, read_plan(path) if path.exists() else None)
    return FELL_SHORT if refilled.left_out else DONE


def _history(options: argparse.Namespace) -> int:
    from dataclasses import asdict

    from capacity.makeover.folder import read_folder
    from capacity.terminal import print_table
    from capacity.upkeep.counts import read_counts, rows_of

    read_folder(options.folder)
    days = read_counts(options.folder)
    if options.json:
        print(json.dumps({"schema": "capacity.history/1", "counts": [asdict(day) for day in days]}))
    elif days:
        print_table(rows_of(days))
    else:
        print("nothing is noted yet: each `capacity refill` notes the count of its day")
    return DONE


def _where(options: argparse.Namespace) -> int:
    from capacity.makeover.folder import read_folder
    from capacity.upkeep.where import find, found_in_words, put_away

    closet, inventory = read_folder(options.folder)
    words = " ".join(options.words)
    found = find(words, inventory, put_away(options.folder, closet, inventory))
    if options.json:
        rows = [
            {
                "row": one.pile.row,
                "pile": one.pile.name,
                "places": [
                    {"wall": closet.wall[item.wall].name, "opening": item.letter, "count": number}
                    for item, number in one.places
                ],
                "no_place": one.elsewhere,
            }
            for one in found
        ]
        print(json.dumps({"schema": "capacity.where/1", "found": rows}))
    elif found:
        for line in found_in_words(found, closet):
            print(line)
    else:
        print(f"nothing in the count answers to: {words}")
    return DONE if found else FELL_SHORT


def _put_away(options: argparse.Namespace) -> int:
    from capacity.disk.files import require_writable
    from capacity.makeover.folder import read_folder
    from capacity.upkeep.put_away import FILE_NAME, format_put_away, write_put_away
    from capacity.upkeep.where import put_away

    closet, inventory = read_folder(options.folder)
    require_writable(options.folder)
    layout = put_away(options.folder, closet, inventory)
    paper: Paper = options.paper or ("a4" if closet.units == "mm" else "letter")
    date = datetime.date.today().isoformat()
    write_put_away(options.folder, format_put_away(closet, inventory, layout, paper, date))
    if options.json:
        print(json.dumps({"schema": "capacity.put-away/1", "written": str(options.folder / FILE_NAME)}))
    else:
        print(f"wrote {options.folder / FILE_NAME}")
    return DONE


def _seasons(options: argparse.Namespace) -> int:
    from capacity.disk.files import require_writable
    from capacity.makeover.folder import read_folder
    from capacity.solver.effort import Effort
    from capacity.upkeep.seasons import plan_seasons, seasons_in_words, turn_in_words, turns
    from capacity.upkeep.swap_calendar import FILE_NAME, format_calendar, write_calendar

    closet, inventory = read_folder(options.folder)
    require_writable(options.folder)
    seasons = plan_seasons(closet, inventory, Effort())
    found = turns(seasons, inventory)
    if found:
        write_calendar(options.folder, format_calendar(found, closet, datetime.date.today()))
    if options.json:
        lists = [
            {"from": turn.ends.name, "to": turn.begins.name, "starts": turn.begins.starts, "moves": words}
            for turn in found
            if (words := list(turn_in_words(turn, closet))) is not None
        ]
        lines = list(seasons_in_words(seasons, closet, inventory))
        print(json.dumps({"schema": "capacity.seasons/1", "seasons": lines, "turns": lists}, ensure_ascii=False))
        return DONE
    if not seasons:
        print("No pile names a season: write a column `season` into inventory.csv, such as winter (empty: all year).")
    for line in seasons_in_words(seasons, closet, inventory):
        print(line)
    for turn in found:
        print(f"When {turn.begins.name} begins, {f'{len(turn.moves)} piles move:' if turn.moves else 'nothing moves.'}")
        for line in turn_in_words(turn, closet):
            print(f"  {line}")
    if found:
        undated = [season.name for season in seasons if season.starts is None]
        more = f"; no day is known for {', '.join(undated)}: write [[season]] name and starts" if undated else ""
        print(f"wrote {options.folder / FILE_NAME}{more}")
    return DONE


def _respace(options: argparse.Namespace) -> int:
    from capacity.makeover.files_to_problem import size_problem
    from capacity.makeover.folder import read_folder
    from capacity.makeover.refilled import read_refilled
    from capacity.solver.effort import Effort
    from capacity.solver.refilling import refill_folder
    from capacity.solver.shelf_moves import shelf_moves
    from capacity.upkeep.board_moves import reshelved_in_words
    from capacity.upkeep.where import built_by

    closet, inventory = read_folder(options.folder)
    refilled = read_refilled(options.folder, closet)
    if refilled is None:
        refilled = refill_folder(options.folder, closet, inventory)
    problem = size_problem(closet, inventory)
    steps = shelf_moves(closet, inventory, refilled, Effort(), built_by(options.folder, problem))
    lines = list(reshelved_in_words(steps, refilled, problem, closet))
    if options.json:
        found = [{"boards": len(step.moves), "stored": step.stored, "value": step.value} for step in steps]
        print(json.dumps({"schema": "capacity.respace/1", "steps": found, "words": lines}, ensure_ascii=False))
    else:
        print(f"What stands holds {refilled.stored} of {refilled.pieces} pieces.")
        for line in lines:
            print(line)
    return DONE


def _let_go(options: argparse.Namespace) -> int:
    from dataclasses import asdict

    from capacity.disk.files import require_writable
    from capacity.makeover.folder import read_folder
    from capacity.upkeep.gone import FILE_NAME, GOES, going, going_in_words, take_out, write_going
    from capacity.upkeep.where import put_away

    closet, inventory = read_folder(options.folder)
    require_writable(options.folder)
    if options.done:
        lines = take_out(options.folder, closet.units)
    else:
        layout = put_away(options.folder, closet, inventory)
        lines = write_going(options.folder, going(inventory, layout))
    if options.json:
        print(json.dumps({"schema": "capacity.let-go/1", "lines": [asdict(one) for one in lines]}, ensure_ascii=False))
        return DONE
    for line in going_in_words(lines):
        print(line)
    if options.done:
        pieces = sum(one.pieces for one in lines)
        print(f"{pieces} pieces taken out of the count." if pieces else "Nothing more goes out of the count.")
    elif lines:
        print(f"wrote {options.folder / FILE_NAME}: write {', '.join(GOES[:-1])} or {GOES[-1]} into its column goes")
    else:
        print("Everything has a place.")
    return DONE


def _print_plan(plan: Plan, inventory: Inventory, as_json: bool, built: Refilled | None = None) -> None:
    from capacity.makeover.plan import format_plan
    from capacity.terminal import print_plan

    if as_json:
        sys.stdout.write(format_plan(plan))
    else:
        print_plan(plan, inventory, None if built is None else built.pieces_of)
