"""Everything that writes into a makeover folder, each with what must hold whatever goes wrong on the way."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from typing import Any
from unittest.mock import patch

from support.cases import one_wall
from support.power_cut import read_tree

from capacity.closet.saving import change_closet, replace_text
from capacity.closet.unit_switch import switch_units
from capacity.disk.files import HIDDEN, write_text
from capacity.disk.folder_swap import MANIFEST, SCHEMA, write_folder
from capacity.disk.versions import redo, undo, write_version
from capacity.errors import Fault as Told
from capacity.errors import InputError
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.folder import fingerprint, read_folder, read_folder_at_once
from capacity.makeover.new_folder import copy_variant, make_empty
from capacity.makeover.plan import Plan, PlanValue, planned_layout, read_plan, write_plan
from capacity.makeover.refilled import Refilled, read_refilled, refill_digest, write_refilled
from capacity.makeover.samples import start_folder
from capacity.makeover.saved_plan import Before, before_search, fitted_folder, keep_plan
from capacity.page import errand
from capacity.page.building.step import PACKET
from capacity.page.compare import respacing
from capacity.page.compare.photo import FILE_NAME as PHOTO
from capacity.page.errand import SEARCH
from capacity.page.household import change_file, change_inventory
from capacity.solver.best_so_far import drop_best, keeper, read_best
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan
from capacity.solver.progress import is_running, read_progress, search_in
from capacity.upkeep.counts import DayCount, note_count, read_counts
from capacity.upkeep.letting_go import Going, take_out, write_going
from capacity.upkeep.put_away import write_put_away
from capacity.upkeep.swap_calendar import write_calendar
from capacity.wardrobe.inventory import parse_inventory

CLOSET = one_wall()
COUNTS = tuple(f"what,count,width,depth,height\nsneakers,{number},10,12,5\n" for number in range(1, 16))
USER_FILES = ("inventory.csv", "closet.toml", "plan.json")
VERSIONS = f"{HIDDEN}/versions/"


@dataclass(frozen=True, slots=True)
class Write:
    """One thing that writes: the folder before, what is done, and whether doing it once more gives the same.

    `wrong` says what is wrong with what is hidden, besides what holds for every folder: given the folder, and whether
    the program was ended there and then (by a kill or a power cut) or could say something.
    """

    name: str
    before: Callable[[Path], None]
    act: Callable[[Path], object]
    again: bool = True
    wrong: Callable[[Path, bool], Iterator[str]] = lambda folder, was_killed: iter(())


def _folder(folder: Path, count: int = 1) -> None:
    folder.mkdir()
    (folder / "closet.toml").write_text(CLOSET, encoding="utf-8")
    (folder / "inventory.csv").write_text(COUNTS[count], encoding="utf-8")


def _with_versions(folder: Path) -> None:
    _folder(folder, 0)
    for text in COUNTS[1:12]:
        write_version(folder / "inventory.csv", text)


def _with_two_versions(folder: Path) -> None:
    _folder(folder, 0)
    for text in COUNTS[1:3]:
        write_version(folder / "inventory.csv", text)


def _undone(folder: Path) -> None:
    _with_versions(folder)
    undo(folder / "inventory.csv")


def _linked(folder: Path) -> None:
    """The count is a link to a file elsewhere, as some keep it: its versions are copies."""
    _folder(folder)
    (folder / "inventory.csv").rename(folder / "count.csv")
    (folder / "inventory.csv").symlink_to("count.csv")


def _linked_versions(folder: Path) -> None:
    _linked(folder)
    write_version(folder / "inventory.csv", COUNTS[2])


def _planned(folder: Path) -> None:
    _folder(folder)
    write_plan(read_plan_of(0), folder / "plan.json")


def _built(folder: Path) -> None:
    _folder(folder)
    write_folder(folder, _packet(1))


def _packet(number: int) -> dict[str, bytes]:
    names = ["packet.pdf", "cut-list.csv", f"sheet-{number}.svg", MANIFEST]
    files = {name: f"{name} {number}".encode() * 50 for name in names}
    files[MANIFEST] = json.dumps({"schema": SCHEMA, "files": names}).encode()
    return files


@cache
def read_plan_of(seed: int) -> Any:
    """A plan of the small closet."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place, "folder")
        _folder(folder)
        return make_plan(*read_folder(folder), Effort(seed=seed, factor=0.1))


def _found(seed: int, folder: Path) -> tuple[Plan, Before]:
    """A layout of a folder as it stands, and what it was found from."""
    texts = read_folder_at_once(folder)[2]
    return read_plan_of(seed).model_copy(update={"inputs": texts.digest}), before_search(folder, texts)


def _kept(folder: Path) -> None:
    _folder(folder)
    keep_plan(folder, *_found(0, folder))
    (folder / "inventory.csv").write_text(COUNTS[2], encoding="utf-8")


def _keep(folder: Path) -> None:
    keep_plan(folder, *_found(1, folder))


def _keep_aside(folder: Path) -> None:
    """Another program writes `plan.json` while the layout is looked for: ours is kept under a name of its own."""
    plan, before = _found(1, folder)
    try:
        keep_plan(folder, plan, Before(before.texts, "other"))
    except InputError as error:
        if "is kept in plan-2.json" not in str(error):
            raise


def _no_copy(folder: Path, was_killed: bool) -> Iterator[str]:
    """Whichever layout stands in the folder, what it was found for is known."""
    if was_killed and (folder / "plan.json").exists():
        digest = read_plan(folder / "plan.json").inputs
        copy = fitted_folder(folder, digest)
        if not copy.is_dir() or fingerprint(copy) != digest:
            yield "the layout stands, and what it was found for is lost"


def _keep_best(folder: Path) -> None:
    """The best so far of a search that goes on."""
    closet, inventory, texts = read_folder_at_once(folder)
    plan = read_plan_of(1)
    with suppress(OSError):  # a search has made it before; without it nothing can be kept
        (folder / HIDDEN).mkdir(exist_ok=True)
    layout = planned_layout(plan, size_problem(closet, inventory))
    keeper(folder, closet, texts.digest)(layout, plan.value.stored)


def _with_best(folder: Path) -> None:
    _folder(folder)
    _keep_best(folder)


def _drop_best(folder: Path) -> None:
    drop_best(folder, read_plan_of(1).model_copy(update={"inputs": read_folder_at_once(folder)[2].digest}))


def _half_a_best(folder: Path, _: bool) -> Iterator[str]:
    if (folder / HIDDEN / "best.json").exists() and read_best(folder, fingerprint(folder)) is None:
        yield "the best so far cannot be read"


def _refill(folder: Path) -> None:
    """What stands now, filled: nothing stands, and everything is left out."""
    digest = refill_digest(folder, read_folder(folder)[0])
    value = PlanValue(stored=0, all=0, bound=0, status="optimal")
    found = Refilled(units="in", inputs=digest, stands="before", walls=(), left_out=(), value=value, stored=0, pieces=0)
    write_refilled(folder, found)


def _half_refilled(folder: Path, _: bool) -> Iterator[str]:
    if (folder / HIDDEN / "refill.json").exists() and read_refilled(folder, read_folder(folder)[0]) is None:
        yield "what was filled cannot be read"


def _note_count(folder: Path) -> None:
    note_count(folder, DayCount("2026-03-01", "built", 180, 170, 416, 400, 84, 94, -1))


def _noted(folder: Path) -> None:
    _folder(folder)
    note_count(folder, DayCount("2026-02-01", "before", 180, 120, 416, 300, 84, 94, -1))


def _lost_history(folder: Path, _: bool) -> Iterator[str]:
    """The days before are there whatever happens."""
    if [day.date for day in read_counts(folder)][:1] != ["2026-02-01"]:
        yield "the history of counts is lost"


def _listed(folder: Path) -> None:
    _folder(folder)
    write_going(folder, (_one_goes(folder, "sell"),))


def _one_goes(folder: Path, goes: str) -> Going:
    """One piece of the first pile goes."""
    first = read_folder(folder)[1].piles[0]
    return Going(first.owner or "", first.kind, first.size, first.label, "weekly", 1, first.count, 2, goes, first.row)


def _let_go(folder: Path) -> None:
    take_out(folder, "in")


def _watch(folder: Path) -> None:
    effort = Effort()
    with search_in(folder, None, effort):
        effort.report("looking", 1, 2, 3)


def _no_progress(folder: Path, _: bool) -> Iterator[str]:
    """Progress is read whole or not at all, and nothing seems to run any more."""
    path = folder / HIDDEN / "progress.json"
    if path.exists() and read_progress(path) is None:
        yield "the progress cannot be read"
    if is_running(path):
        yield "a search seems to run"


def _searched(folder: Path) -> None:
    _folder(folder)
    _watch(folder)


def _ask_to_stop(folder: Path) -> None:
    SEARCH.stop(folder)
    if refusal := errand._refusals().pop(SEARCH._key(folder), ""):
        raise InputError([Told(folder.name, "", refusal)])


def _start_errand(errand_of: errand.Errand, folder: Path) -> None:
    """Everything that a start writes, with a program that does nothing in the place of the search."""
    with patch.object(errand, "command_of", lambda *_: [shutil.which("true") or "true"]):
        errand_of.start(folder)
    if refusal := errand._refusals().pop(errand_of._key(folder), ""):
        raise InputError([Told(folder.name, "", refusal)])
    errand._processes().pop(errand_of._key(folder)).wait()


def _respace(folder: Path) -> None:
    with patch.object(respacing, "look_for_layout", lambda *_: None):
        if refusal := respacing.start(folder):
            raise InputError([Told(folder.name, "", refusal)])


def _respaced(folder: Path) -> None:
    _folder(folder)
    with patch.object(respacing, "look_for_layout", lambda *_: None):
        respacing.start(folder)
        (folder / "inventory.csv").write_text(COUNTS[2], encoding="utf-8")


def _home(folder: Path) -> None:
    """A folder of makeover folders, one of them with a layout."""
    folder.mkdir()
    _planned(folder / "first")


def _copy(folder: Path) -> None:
    if not (folder / "second").exists():
        copy_variant(folder / "first", "second")


def _make(folder: Path) -> None:
    if not (folder / "second").exists():
        make_empty(folder, "second")


def _half_copied(folder: Path, _: bool) -> Iterator[str]:
    second = folder / "second"
    if second.exists() and read_tree(second) != read_tree(folder / "first"):
        yield "a copy of a folder is not whole"


def _count(folder: Path) -> None:
    change_inventory(folder, "in", lambda _: parse_inventory(COUNTS[13], "in"))


def _type_closet(folder: Path) -> None:
    change_file(folder / "closet.toml", lambda text: text.replace("40", "44"))


WRITES = (
    Write("start a folder", lambda folder: None, start_folder),
    Write("start in a folder that is there", lambda folder: folder.mkdir(), start_folder),
    Write("count for the first time", _folder, _count),
    Write("count with ten versions", _with_versions, _count),
    Write("count in a linked file", _linked, _count),
    Write("undo", _with_versions, lambda folder: undo(folder / "inventory.csv"), again=False),
    Write("redo", _undone, lambda folder: redo(folder / "inventory.csv"), again=False),
    Write("undo in a linked file", _linked_versions, lambda folder: undo(folder / "inventory.csv"), again=False),
    Write("type a closet", _folder, lambda folder: replace_text(folder / "closet.toml", CLOSET.replace("40", "44"))),
    Write("change a closet with a version", _folder, _type_closet),
    Write("change a setting", _folder, lambda folder: change_closet(folder / "closet.toml", _wider)),
    Write("switch the units", _with_two_versions, lambda folder: switch_units(folder, "mm")),
    Write("first plan", _folder, lambda folder: write_plan(read_plan_of(0), folder / "plan.json")),
    Write("next plan", _planned, lambda folder: write_plan(read_plan_of(1), folder / "plan.json")),
    Write("first build", _folder, lambda folder: write_folder(folder, _packet(2))),
    Write("next build", _built, lambda folder: write_folder(folder, _packet(2))),
    Write("keep the first layout", _folder, _keep, wrong=_no_copy),
    Write("keep the next layout", _kept, _keep, wrong=_no_copy),
    Write("keep a layout beside another's", _kept, _keep_aside, again=False, wrong=_no_copy),
    Write("keep the best so far", _folder, _keep_best, wrong=_half_a_best),
    Write("drop the best so far", _with_best, _drop_best, wrong=_half_a_best),
    Write("keep what a refill found", _folder, _refill, wrong=_half_refilled),
    Write("note a count", _noted, _note_count, wrong=_lost_history),
    Write("keep a photo", _folder, lambda folder: write_text(folder / PHOTO, b"\xff\xd8")),
    Write("print where all is", _folder, lambda folder: write_put_away(folder, b"%PDF")),
    Write("write the swap lists", _folder, lambda folder: write_calendar(folder, b"BEGIN:VCALENDAR")),
    Write("list what goes", _folder, lambda folder: write_going(folder, (_one_goes(folder, ""),))),
    Write("take out what goes", _listed, _let_go),
    Write("watch a search", _folder, _watch, wrong=_no_progress),
    Write("watch a search where one was", _searched, _watch, wrong=_no_progress),
    Write("ask a search to stop", _searched, _ask_to_stop),
    Write("start a search", _searched, partial(_start_errand, SEARCH), wrong=_no_progress),
    Write("start a packet", _folder, partial(_start_errand, PACKET)),
    Write("try re-spacing", _folder, _respace),
    Write("try re-spacing again", _respaced, _respace),
    Write("copy a folder as a variant", _home, _copy, wrong=_half_copied),
    Write("make an empty folder", _home, _make),
)


def _wider(_: dict[str, Any]) -> list[Any]:
    from capacity.closet.text_edits import Edit

    return [Edit(("top",), 80)]
