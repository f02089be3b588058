"""The command line: `capacity COMMAND DIR`, `capacity page`, `capacity guide`."""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from capacity import __version__
from capacity.commands import living, planning, several
from capacity.errors import BAD_INPUT, DONE, FELL_SHORT, InputError
from capacity.makeover.guide import TOPICS, guide_text, title_of
from capacity.makeover.samples import DEFAULT, SAMPLES


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
    _planning_commands(commands)
    _living_commands(commands)
    _many_command(commands)
    _page_command(commands)
    words = "a short guide to one topic, or the list of them"
    guide = commands.add_parser("guide", help=words, description=words, epilog="example: capacity guide first-closet")
    guide.add_argument("topic", nargs="?", choices=TOPICS, metavar="TOPIC", help=f"one of {', '.join(TOPICS)}")
    guide.set_defaults(run=_guide)
    return parser


def _planning_commands(commands: Any) -> None:
    start = _command(commands, "start", planning.run_start, "make a makeover folder to fill in; never overwrites")
    start.add_argument("--sample", default=DEFAULT, metavar="NAME", help=f"one of {', '.join(SAMPLES)}")
    _command(commands, "count", planning.run_count, "the tally: piles, owners, rod length and shelf run that they need")
    fit = _command(commands, "fit", planning.run_fit, "find a layout, write plan.json, print before and after")
    fit.add_argument("--seconds", type=_seconds, metavar="N", help="stop after N seconds with the best plan so far")
    fit.add_argument("--seed", type=int, default=0, metavar="N", help="seed of everything random (default 0)")
    words = "how much work to do; each gives the same plan every time (default: usual)"
    fit.add_argument("--effort", choices=("quick", "usual", "thorough"), default="usual", help=words)
    fit.add_argument("--keep-going", action="store_true", help="go on from the layout of plan.json")
    fit.add_argument("--progress", type=Path, metavar="FILE", help="write progress to FILE while looking")
    _command(commands, "compare", planning.run_compare, "before and after again from plan.json, by kind and owner")
    check = _command(
        commands, "check", planning.run_check, "sag, bow, room, reach, light, door and way in; 1 if one falls short"
    )
    words = "say too what children will have grown out of in N years, and which shelves to move for it"
    check.add_argument("--years", type=int, choices=range(1, 18), metavar="N", help=words)
    build = _command(
        commands, "build", planning.run_build, "write build/, to be printed and built from; 1 if a check falls short"
    )
    build.add_argument("--paper", choices=("letter", "a4"), help="paper of the packet (default: letter, or a4 for mm)")
    build.add_argument("--progress", type=Path, metavar="FILE", help="write progress to FILE while making it")
    _command(
        commands,
        "prove",
        planning.run_prove,
        "check the proof in plan.json by other code: the layout, and what none exceeds",
    )


def _living_commands(commands: Any) -> None:
    _command(
        commands,
        "adopt",
        living.run_adopt,
        "write what was built into closet.toml, as planned, to be corrected on site",
    )
    refill = _command(commands, "refill", living.run_refill, "fill what stands now as well as possible; moves no board")
    refill.add_argument("--season", metavar="NAME", help="as `capacity seasons` has it for that season")
    _command(
        commands, "history", living.run_history, "the counts so far, a day a line: pieces, what has a place, room used"
    )
    where = _command(commands, "where", living.run_where, "where something is: the openings that hold it")
    where.add_argument("words", nargs="+", metavar="WORD", help="what you call it: kind, owner, size or label")
    words = "write put-away.pdf: a list for the inside of the door, labels for the edges of the shelves"
    put_away = _command(commands, "put-away", living.run_put_away, words)
    put_away.add_argument("--paper", choices=("letter", "a4"), help="paper (default: letter, or a4 for mm)")
    words = "what is in use in each season, what moves where when it turns; writes seasons.ics for a calendar"
    _command(commands, "seasons", living.run_seasons, words)
    words = "which boards of what was built to move to other holes, fewest first, and what that brings"
    _command(commands, "respace", living.run_respace, words)
    let_go = _command(
        commands, "let-go", living.run_let_go, "list what has no place in letting-go.csv, to say where it goes"
    )
    let_go.add_argument("--done", action="store_true", help="take what goes somewhere, by that list, out of the count")


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
    many.set_defaults(run=several.run_many)


MOST_WORKERS = 256


def _workers(text: str) -> int:
    if not text.isdecimal() or not 0 < int(text) <= MOST_WORKERS:
        msg = f'"{text}" is not a number of workers from 1 to {MOST_WORKERS}'
        raise argparse.ArgumentTypeError(msg)
    return int(text)


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
