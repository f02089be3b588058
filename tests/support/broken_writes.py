"""A write broken off at each of its system calls: everything that can go wrong there, and what is wrong afterwards."""

from __future__ import annotations

import contextlib
import os
import pickle
import re
import shutil
import signal
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from support import power_cut
from support.power_cut import Content, Tree, read_tree, write_tree
from support.system_calls import KILLED, KINDS, Fault, watched
from support.writes import USER_FILES, VERSIONS, Write, read_plan_of

from capacity.disk.files import HALF
from capacity.disk.folder_swap import NAME, require_ours
from capacity.errors import InputError
from capacity.makeover.folder import read_folder
from capacity.makeover.plan import format_plan, read_plan

TWO_FILES = ("start a folder", "start in a folder that is there", "switch the units")
HALF_WRITTEN = re.compile(rf"\.[a-z0-9_]{{8}}\{HALF}")
LONGEST = 20
"""No write takes so long, whatever fails [s]."""


@dataclass(slots=True)
class Tally:
    """How many faults were injected, by kind, and what was found wrong."""

    cases: dict[str, int] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Ran:
    """What a child process that wrote came to: how it ended, how many calls it made, and the steps on the disk."""

    ended: str
    calls: int
    steps: tuple[Any, ...] = ()
    snapshot: Any = None
    root: int = 0


def run(write: Write, folder: Path, fault: Fault | None) -> Ran:
    """Do it in a process of its own, with a fault or none."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:  # never returns
        signal.alarm(LONGEST)
        with contextlib.suppress(BaseException):
            os.close(reading)
            before = os.write
            calls = watched(folder, fault)
            snapshot = power_cut.snapshot(folder.parent, calls)
            ended = "done"
            try:
                write.act(folder)
            except InputError as error:
                ended = f"told: {error.faults[0]}"
            except KeyboardInterrupt:
                ended = "interrupted"
            except BaseException as error:
                ended = f"raised {error!r}"
            answer = pickle.dumps(
                (ended, calls.number, tuple(calls.steps) if fault is None else (), snapshot, calls.node(folder.parent))
            )
            while answer:
                answer = answer[before(writing, answer) :]
        os._exit(0)
    os.close(writing)
    with open(reading, "rb") as pipe:
        data = pipe.read()
    _, status = os.waitpid(child, 0)
    code = os.waitstatus_to_exitcode(status)
    if code == KILLED:
        return Ran("killed", 0)
    if code != 0 or not data:
        return Ran(f"raised exit {code}", 0)
    return Ran(*pickle.loads(data))


def seen(tree: Tree) -> Tree:
    """What a person sees of a folder: the files, and `build`."""
    return {place: data for place, data in tree.items() if not place.startswith(".")}


def faults_of(write: Write, kinds: tuple[str, ...] = KINDS, points: int | None = None) -> Tally:
    """Let everything go wrong at every call of one write, or at so many of them."""
    tally = Tally()
    with tempfile.TemporaryDirectory() as place:
        old, new = Path(place, "old", "folder"), Path(place, "new", "folder")
        old.parent.mkdir()
        write.before(old)
        assert read_plan_of(0) != read_plan_of(1)  # made here, once: a plan says how long it took
        _copied(old.parent, new.parent)
        normal = run(write, new, None)
        if normal.ended != "done":
            tally.wrong.append(f"{write.name}, nothing wrong: {normal.ended}")
            return tally
        both = read_tree(old.parent), read_tree(new.parent)
        for number in _some(range(1, normal.calls + 1), points):
            for kind in kinds:
                case = Path(place, "case")
                _copied(old.parent, case)
                ran = run(write, case / "folder", Fault(kind, number))
                tally.cases[kind] = tally.cases.get(kind, 0) + 1
                label = f"{write.name}, {kind} at call {number} of {normal.calls} ({ran.ended})"
                tally.wrong += [f"{label}: {what}" for what in judged(write, case, both, ran.ended)]
                shutil.rmtree(case)
        for number, tree in _power_states(normal, points):
            case = Path(place, "case")
            case.mkdir()
            write_tree(tree, case)
            tally.cases["power cut"] = tally.cases.get("power cut", 0) + 1
            ended = "done" if number == normal.calls else "killed"
            label = f"{write.name}, power cut after call {number} of {normal.calls}"
            tally.wrong += [f"{label}: {what}" for what in judged(write, case, both, ended)]
            shutil.rmtree(case)
    return tally


def _some(calls: range, points: int | None) -> list[int]:
    """All of them, or so many spread evenly, the last one among them."""
    if points is None or points >= len(calls):
        return list(calls)
    return [calls[-1 - index * len(calls) // points] for index in range(points)]


def _power_states(normal: Ran, points: int | None) -> Iterator[tuple[int, Tree]]:
    for number in _some(range(normal.calls + 1), points):
        for tree in power_cut.states(normal.snapshot, list(normal.steps), normal.root, number):
            yield number, tree


def _copied(source: Path, target: Path) -> None:
    shutil.copytree(source, target, symlinks=True)


def judged(write: Write, case: Path, both: tuple[Tree, Tree], ended: str) -> Iterator[str]:
    """What is wrong with a folder after a fault: nothing when it opens and holds the old or the new, whole."""
    folder = case / "folder"
    if ended.startswith("raised"):
        yield "an error that nobody expects went up"
    if folder.is_dir():
        with contextlib.suppress(InputError):
            require_ours(folder)
    old, new = (_units(seen(dict(_below(tree)))) for tree in both)
    now = _units(seen(dict(_below(read_tree(case)))))
    for unit in sorted({*old, *new, *now}):
        if now.get(unit) not in (old.get(unit), new.get(unit)):
            yield f"{unit} is neither the old nor the new"
    if ended == "done" and now != new:
        yield "it was reported as written and is not"
    # a folder that is begun may hold its first file, and units are switched in two files: nothing is lost by either
    if ended.startswith("told") and now != old and not ("confirm" in ended or write.name in TWO_FILES):
        yield "it was reported as not written and is"
    texts = {data for tree in both for place, data in tree.items() if VERSIONS in place}
    texts |= {data for tree in both for place, data in tree.items() if place.endswith(USER_FILES)}
    for place, data in _below(read_tree(case)):
        if place.startswith(VERSIONS) and data is not None and not place.endswith(".new") and data not in texts:
            yield f"{place} is no version that ever was"
    yield from write.wrong(folder, ended == "killed")
    yield from _goes_on(write, folder, new)
    yield from write.wrong(folder, True)


def _goes_on(write: Write, folder: Path, new: dict[str, Any]) -> Iterator[str]:
    """The folder opens, and what was broken off can be done now."""
    if all((folder / name).exists() for name in USER_FILES[:2]):
        try:
            read_folder(folder)
            if (folder / "plan.json").exists():
                format_plan(read_plan(folder / "plan.json"))
        except InputError as error:
            yield f"it does not open: {error}"
    if not write.again:
        return
    try:
        write.act(folder)
    except InputError as error:
        if "already" not in str(error) or not write.name.startswith("start"):
            yield f"it cannot be done again: {error}"
    if _units(seen(dict(_below(read_tree(folder.parent))))) != new:
        yield "done again, it is not the new"
    for place in sorted(read_tree(folder.parent)):
        if HALF_WRITTEN.search(place):
            yield f"done again, {place} is left behind"


def _below(tree: Tree) -> Iterator[tuple[str, Content]]:
    for place, data in tree.items():
        if place.startswith("folder/"):
            yield place.removeprefix("folder/"), data


def _units(tree: Tree) -> dict[str, Any]:
    """What is whole or not: each file of the user, and `build` as one."""
    found: dict[str, Any] = {place: data for place, data in tree.items() if not place.startswith(NAME)}
    build = {place: data for place, data in tree.items() if place.startswith(f"{NAME}/")}
    return found | ({NAME: build} if NAME in tree else {})
