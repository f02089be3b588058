"""The commands for the years with what was built: adopt, refill, history, where, put-away, seasons, respace, let-go."""

from __future__ import annotations

import argparse
import datetime
import json
import sys
from typing import TYPE_CHECKING

from capacity.errors import DONE, FELL_SHORT, InputError

if TYPE_CHECKING:
    from capacity.workshop.packet import Paper


def run_adopt(options: argparse.Namespace) -> int:
    """Write what was planned as what stands, to be corrected on site. Returns the exit code."""
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


def run_refill(options: argparse.Namespace) -> int:
    """Fill what stands, and note the count of this day. Returns the exit code."""
    from capacity.commands.printing import print_refilled
    from capacity.disk.files import require_writable
    from capacity.makeover.folder import read_folder
    from capacity.makeover.plan import FILE_NAME, read_plan
    from capacity.makeover.refilled import format_refilled, write_refilled
    from capacity.solver.refilling import refill_folder
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


def run_history(options: argparse.Namespace) -> int:
    """Print the counts so far. Returns the exit code."""
    from dataclasses import asdict

    from capacity.commands.printing import print_table
    from capacity.makeover.folder import read_folder
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


def run_where(options: argparse.Namespace) -> int:
    """Print where something is. Returns the exit code."""
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


def run_put_away(options: argparse.Namespace) -> int:
    """Write the list for the inside of the door, and labels. Returns the exit code."""
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


def run_seasons(options: argparse.Namespace) -> int:
    """Print what is in use in each season and what moves when it turns, also as a calendar. Returns the exit code."""
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
            {"from": turn.ends.name, "to": turn.begins.name, "starts": turn.begins.starts,
             "moves": list(turn_in_words(turn, closet))}
            for turn in found
        ]  # fmt: skip
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


def run_respace(options: argparse.Namespace) -> int:
    """Print which boards to move, fewest first. Returns the exit code."""
    from capacity.makeover.files_to_problem import size_problem
    from capacity.makeover.folder import read_folder
    from capacity.makeover.refilled import read_refilled
    from capacity.solver.boards_to_move import shelf_moves
    from capacity.solver.effort import Effort
    from capacity.solver.refilling import refill_folder
    from capacity.upkeep.board_moves_in_words import reshelved_in_words
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


def run_let_go(options: argparse.Namespace) -> int:
    """List what has no place, or take it out of the count. Returns the exit code."""
    from dataclasses import asdict

    from capacity.disk.files import require_writable
    from capacity.makeover.folder import read_folder
    from capacity.upkeep.letting_go import FILE_NAME, GOES, going, going_in_words, take_out, write_going
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
