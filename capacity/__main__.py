"""The command line: `capacity start | count | fit | compare | check | build | adopt DIR`, and `capacity page`."""

from __future__ import annotations

import argparse
import io
import json
import os
import sys
import threading
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from capacity import __version__
from capacity.errors import InputError
from capacity.makeover.samples import DEFAULT, SAMPLES, start_folder

if TYPE_CHECKING:
    from collections import Counter

    from capacity.makeover.plan import Plan
    from capacity.solver.effort import Effort
    from capacity.wardrobe.inventory import Inventory

DONE, FELL_SHORT, BAD_INPUT, INTERRUPTED = 0, 1, 2, 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code."""
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
    except KeyboardInterrupt:
        print("interrupted before there was a plan to keep", file=sys.stderr)
        return INTERRUPTED
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
    fit.add_argument("--keep-going", action="store_true", help="go on from the layout of plan.json")
    fit.add_argument("--progress", type=Path, metavar="FILE", help="write progress to FILE while looking")
    _command(commands, "compare", _compare, "before and after again from plan.json, by kind and owner")
    _command(commands, "check", _check, "sag, bow, room, reach, light, door and way in; 1 if one falls short")
    build = _command(commands, "build", _build, "write build/, to be printed and built from; 1 if a check falls short")
    build.add_argument("--paper", choices=("letter", "a4"), help="paper of the packet (default: letter, or a4 for mm)")
    build.add_argument("--progress", type=Path, metavar="FILE", help="write progress to FILE while making it")
    _command(commands, "adopt", _adopt, "write what was built into closet.toml, as planned, to be corrected on site")
    _command(commands, "refill", _refill, "fill what stands now as well as possible; moves no board")
    _page_command(commands)
    return parser


def _command(commands: Any, name: str, run: Any, words: str) -> argparse.ArgumentParser:
    example = f"example: capacity {name} my-closet"
    parser: argparse.ArgumentParser = commands.add_parser(name, help=words, description=words, epilog=example)
    parser.add_argument("folder", type=Path, metavar="DIR", help="the makeover folder")
    parser.add_argument("--json", action="store_true", help="print one JSON document and nothing else")
    parser.set_defaults(run=run)
    return parser


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
        print(json.dumps({"written": [str(file) for file in files]}))
    else:
        for file in files:
            print(f"wrote {file}")
    return DONE


def _count(options: argparse.Namespace) -> int:
    from capacity.api import read
    from capacity.units import feet_or_metres
    from capacity.wardrobe.tally import room_needed

    makeover = read(options.folder, with_plan=False)
    inventory, units = makeover.inventory, makeover.closet.units
    room = room_needed(inventory)
    owners = {owner: sum(p.count for p in inventory.piles if p.owner == owner) for owner in inventory.owners}
    shared = sum(pile.count for pile in inventory.piles if pile.owner is None)
    if options.json:
        answer = {
            "piles": len(inventory.piles),
            "pieces": inventory.pieces,
            "owners": owners,
            "shared": shared,
        }
        print(json.dumps({**answer, "units": units, "rod_ticks": room.rod, "shelf_ticks": room.shelf}))
        return DONE
    piles = len(inventory.piles)
    print(f"{piles} {'pile' if piles == 1 else 'piles'}, {inventory.pieces} pieces")
    for owner, pieces in owners.items():
        print(f"  {owner}: {pieces}")
    if shared:
        print(f"  shared: {shared}")
    print(f"rod length needed: {feet_or_metres(room.rod, units)}")
    print(f"shelf run needed: {feet_or_metres(room.shelf, units)}")
    return DONE


def _fit(options: argparse.Namespace) -> int:
    from capacity.disk.files import require_writable
    from capacity.makeover.folder import read_folder_at_once
    from capacity.makeover.plan import FILE_NAME, read_plan
    from capacity.makeover.saved_plan import before_search, changed_meanwhile, keep_plan
    from capacity.solver.effort import Effort
    from capacity.solver.planning import make_plan
    from capacity.solver.progress import search_in
    from capacity.terminal import ProgressLine

    closet, inventory, texts = read_folder_at_once(options.folder)
    require_writable(options.folder)
    with ProgressLine() as line:
        effort = Effort(options.seconds, options.seed, on_progress=line.show)
        with search_in(options.folder, options.progress, effort):
            before = before_search(options.folder, texts)
            start = read_plan(options.folder / FILE_NAME) if options.keep_going else None
            search = partial(make_plan, closet, inventory, effort, texts.digest, start)
            plan, interrupted = _in_background(effort, search)
            keep_plan(options.folder, plan, before)
    _print_plan(plan, inventory, options.json)
    is_stale = changed_meanwhile(options.folder, before)
    if is_stale:
        words = "the count or the closet has changed while this layout was looked for: it is for what they were then"
        print(f"{words}; run `capacity fit` again", file=sys.stderr)
    if interrupted:
        return INTERRUPTED
    return FELL_SHORT if plan.left_out or is_stale else DONE


def _in_background(effort: Effort, work: Any) -> tuple[Plan, bool]:
    """Run the search in a thread, so that Ctrl-C reaches us and the best plan so far is kept."""
    results: list[Plan] = []
    errors: list[BaseException] = []
    done = threading.Event()  # an interrupted join() would report a running thread as ended

    def run() -> None:
        try:
            results.append(work())
        except BaseException as error:  # handed on to the waiting thread below
            errors.append(error)
        finally:
            done.set()

    threading.Thread(target=run, daemon=True).start()
    interrupted = False
    while not done.is_set():
        try:
            done.wait(0.1)
        except KeyboardInterrupt:
            if interrupted:
                raise
            interrupted = True
            effort.stop()
    if errors:
        raise errors[0]
    return results[0], interrupted


def _compare(options: argparse.Namespace) -> int:
    from capacity.api import STALE, plan_of, read
    from capacity.makeover.refilled import built_beside

    makeover = read(options.folder)
    if makeover.is_stale:
        print(STALE, file=sys.stderr)
        return FELL_SHORT
    plan = plan_of(makeover)
    _print_plan(plan, makeover.inventory, options.json, built_beside(options.folder, makeover.closet))
    return FELL_SHORT if plan.left_out else DONE


def _check(options: argparse.Namespace) -> int:
    from capacity.api import STALE, check, read
    from capacity.terminal import print_report

    makeover = read(options.folder)
    if makeover.is_stale:
        print(STALE, file=sys.stderr)
        return FELL_SHORT
    report = check(makeover)
    if options.json:
        print(json.dumps(report.model_dump(mode="json"), indent=1, ensure_ascii=False))
    else:
        print_report(report)
    return DONE if report.has_plan and not report.short else FELL_SHORT


def _build(options: argparse.Namespace) -> int:
    from capacity.closet.closet import FILE_NAME as CLOSET_NAME
    from capacity.disk.files import require_writable
    from capacity.disk.folder_swap import require_ours
    from capacity.makeover.folder import read_folder
    from capacity.makeover.plan import FILE_NAME, read_plan
    from capacity.solver.effort import Effort
    from capacity.solver.progress import progress_in
    from capacity.terminal import print_build
    from capacity.workshop.build_files import build
    from capacity.workshop.job import prepare

    closet, inventory = read_folder(options.folder)
    plan = read_plan(options.folder / FILE_NAME)
    require_writable(options.folder)
    require_ours(options.folder)
    text = (options.folder / CLOSET_NAME).read_text(encoding="utf-8-sig")
    effort = Effort()
    with progress_in(options.progress, effort, "the packet is being made"):
        job = prepare(closet, inventory, plan, effort, text)
        shopping, files = build(options.folder, job, options.paper or ("a4" if closet.units == "mm" else "letter"))
    if options.json:
        print((options.folder / "build" / "parts.json").read_text(encoding="utf-8"), end="")
    else:
        print_build(job, shopping, options.folder / "build", len(files))
    if shopping.is_over_budget:
        dearest = ", ".join(f"{line.item} {shopping.money(line.total or 0)}" for line in shopping.dearest())
        over = f"{shopping.money(shopping.total)} is above the budget of {shopping.money(shopping.budget)}"
        print(f"{over}; the dearest lines: {dearest}", file=sys.stderr)
        return FELL_SHORT
    return FELL_SHORT if job.report.short else DONE


def _adopt(options: argparse.Namespace) -> int:
    from capacity.makeover.adoption import adopt_plan
    from capacity.makeover.folder import read_folder
    from capacity.makeover.plan import FILE_NAME, read_plan

    read_folder(options.folder)
    bays = adopt_plan(options.folder, read_plan(options.folder / FILE_NAME))
    if options.json:
        print(json.dumps({"bays": bays}))
    else:
        print(
            f"wrote {bays} bays as [[built]] into closet.toml, as planned: measure them and correct what is different"
        )
    return DONE


def _refill(options: argparse.Namespace) -> int:
    from capacity.disk.files import require_writable
    from capacity.makeover.folder import read_folder
    from capacity.makeover.plan import FILE_NAME, read_plan
    from capacity.makeover.refilled import format_refilled, refill_digest, write_refilled
    from capacity.solver.effort import Effort
    from capacity.solver.refilling import refill_standing
    from capacity.terminal import print_refilled

    closet, inventory = read_folder(options.folder)
    require_writable(options.folder)
    refilled = refill_standing(closet, inventory, Effort(), refill_digest(options.folder, closet))
    write_refilled(options.folder, refilled)
    if options.json:
        sys.stdout.write(format_refilled(refilled))
    else:
        path = options.folder / FILE_NAME
        print_refilled(refilled, inventory, read_plan(path) if path.exists() else None)
    return FELL_SHORT if refilled.left_out else DONE


def _print_plan(plan: Plan, inventory: Inventory, as_json: bool, built: Counter[int] | None = None) -> None:
    from capacity.makeover.plan import format_plan
    from capacity.terminal import print_plan

    if as_json:
        sys.stdout.write(format_plan(plan))
    else:
        print_plan(plan, inventory, built)


if __name__ == "__main__":
    sys.exit(main())
