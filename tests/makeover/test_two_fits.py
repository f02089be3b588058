"""Two searches on one folder, and a folder that changes under a search: one is told, and no layout is lost."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
import streamlit as st
from support.page_actions import wait

from capacity.disk import folder_lock
from capacity.disk.file_lock import hold
from capacity.errors import Fault, InputError
from capacity.makeover import saved_plan
from capacity.makeover.folder import fingerprint, read_folder, read_folder_at_once
from capacity.makeover.plan import Plan, read_plan
from capacity.makeover.samples import start_folder
from capacity.makeover.saved_plan import UNREADABLE, Before, before_search, fitted_folder, keep_plan
from capacity.page.errand import SEARCH, look_for_layout
from capacity.solver.best_so_far import read_best
from capacity.solver.planning import make_plan
from capacity.solver.progress import ask_to_stop, is_running, read_progress

ALREADY = "a layout is being looked for in this folder already"


def _fit(folder: Path, *more: str) -> list[str]:
    return [sys.executable, "-m", "capacity", "fit", str(folder), *more]


def _run(folder: Path, *more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(_fit(folder, *more), capture_output=True, text=True, timeout=120, check=False)


def _progress(folder: Path) -> Path:
    return folder / ".capacity" / "progress.json"


@pytest.fixture
def long(tmp_path: Path) -> Path:
    """A folder whose search takes minutes unless it is stopped."""
    folder = tmp_path / "couple"
    start_folder(folder, "couple-walk-in")
    return folder


@pytest.fixture
def searching(long: Path) -> Iterator[subprocess.Popen[str]]:
    """A search from the command line that has begun."""
    with subprocess.Popen(_fit(long), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        wait(lambda: is_running(_progress(long)) and read_progress(_progress(long)) is not None)
        try:
            yield process
        finally:
            process.kill()


def test_a_second_fit_is_told_at_once_and_the_page_sees_the_first_and_can_stop_it(
    long: Path, searching: subprocess.Popen[str], tmp_path: Path
) -> None:
    for more in ((), ("--progress", str(tmp_path / "elsewhere.json"))):
        second = _run(long, *more)
        assert (second.returncode, second.stdout) == (2, "")
        assert second.stderr == f"{long}: {ALREADY}; wait for its end, or stop it\n"
    assert not (long / "plan.json").exists()
    st.cache_resource.clear()
    assert SEARCH.runs(long)
    look_for_layout(long, 0)  # nothing is started
    record = read_progress(_progress(long))
    assert record is not None
    assert record.process == searching.pid
    SEARCH.stop(long)
    _, errors = searching.communicate(timeout=120)
    assert (searching.returncode in (0, 1), errors) == (True, "")
    assert read_plan(long / "plan.json").stopped_early
    assert not (long / "plan-2.json").exists()
    assert not SEARCH.runs(long)
    assert SEARCH.failure(long) == ""


def test_a_fit_of_the_command_line_is_told_while_the_page_searches(long: Path) -> None:
    st.cache_resource.clear()
    look_for_layout(long, 0)
    wait(lambda: is_running(_progress(long)))
    second = _run(long)
    assert second.returncode == 2
    assert second.stderr.count("\n") == 1
    assert ALREADY in second.stderr
    SEARCH.stop(long)
    wait(lambda: not SEARCH.runs(long))
    assert read_plan(long / "plan.json").stopped_early


def test_the_search_of_a_process_that_was_killed_is_in_nobodys_way(small: Path, tmp_path: Path) -> None:
    hidden = small / ".capacity"
    hidden.mkdir()
    (hidden / "progress.lock").touch()
    (hidden / "progress.stop").touch()
    (hidden / "progress.json").write_text('{"schema": "capacity.progress/1", "process": 1}')
    assert _run(small).returncode == 0
    assert not read_plan(small / "plan.json").stopped_early  # the old request to stop was not for this one
    record = read_progress(hidden / "progress.json")
    assert record is not None
    assert record.state == "done"


def test_a_count_that_changes_while_the_layout_is_looked_for_is_told(
    long: Path, searching: subprocess.Popen[str]
) -> None:
    inputs, inventory = fingerprint(long), (long / "inventory.csv").read_bytes()
    (long / "inventory.csv").write_bytes(inventory + b"jeans,3\n")
    ask_to_stop(_progress(long))
    _, errors = searching.communicate(timeout=120)
    assert searching.returncode == 1
    assert errors == (
        "the count or the closet has changed while this layout was looked for: it is for what they were then; "
        "run `capacity fit` again\n"
    )
    plan = read_plan(long / "plan.json")
    assert plan.inputs == inputs != fingerprint(long)
    assert (fitted_folder(long, inputs) / "inventory.csv").read_bytes() == inventory
    assert fingerprint(fitted_folder(long, inputs)) == inputs


def test_a_plan_that_another_program_wrote_meanwhile_stays_and_ours_is_kept(
    long: Path, searching: subprocess.Popen[str]
) -> None:
    """The lock is passed by here, as by a program on another machine, or a person who brings a plan back from git."""
    wait(lambda: (record := read_progress(_progress(long))) is not None and record.all > 0)
    (long / "plan.json").write_text("theirs")
    (long / "plan-2.json").write_text("theirs too")
    ask_to_stop(_progress(long))
    out, errors = searching.communicate(timeout=120)
    assert searching.returncode == 2
    assert "could hold at most" in out  # what was found is printed all the same
    assert errors == (
        "plan.json: was written by another program while this layout was looked for, and stays; this layout is kept "
        "in plan-3.json: to use it, give it the name plan.json\n"
    )
    assert (long / "plan.json").read_text() == "theirs"
    assert (long / "plan-2.json").read_text() == "theirs too"
    (long / "plan-3.json").rename(long / "plan.json")
    plan = read_plan(long / "plan.json")
    assert plan.inputs == fingerprint(long) == fingerprint(fitted_folder(long, plan.inputs))
    assert json.loads(_progress(long).read_text())["state"] == "failed"


# ---- the same without a search -----------------------------------------------------------------------------


@pytest.fixture
def found(small: Path) -> tuple[Plan, Before]:
    from capacity.solver.effort import Effort

    before = before_search(small, read_folder_at_once(small)[2])
    return make_plan(*read_folder(small), Effort(factor=0.01), before.texts.digest), before


def test_only_the_copy_of_the_layout_that_stands_is_kept(small: Path, found: tuple[Plan, Before]) -> None:
    plan, before = found
    keep_plan(small, plan, before)
    old = fitted_folder(small, plan.inputs)
    assert fingerprint(old) == plan.inputs
    strange = old.parent / "notes"
    strange.mkdir()
    (small / "inventory.csv").write_text("what,count\njeans,3\n")
    later = before_search(small, read_folder_at_once(small)[2])
    keep_plan(small, plan.model_copy(update={"inputs": later.texts.digest}), later)
    assert sorted(path.name for path in old.parent.iterdir()) == sorted([later.texts.digest, "notes"])
    assert fingerprint(fitted_folder(small, later.texts.digest)) == later.texts.digest


@pytest.mark.parametrize("digest", ["", "../../..", "/etc", "0" * 63, "0" * 64 + "\n", "A" * 64])
def test_a_plan_cannot_name_a_place_elsewhere(small: Path, digest: str) -> None:
    assert fitted_folder(small, digest) == small / ".capacity" / "fitted" / "unknown"


def test_a_layout_is_kept_beside_while_somebody_else_writes(
    small: Path, found: tuple[Plan, Before], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(folder_lock, "LONGEST_CHANGE", 0.02)
    (small / ".capacity").mkdir()
    words = r"is being written by another program.* is kept in plan-2\.json"
    with hold(small / ".capacity" / "write.lock", 0), pytest.raises(InputError, match=words):
        keep_plan(small, *found)
    assert not (small / "plan.json").exists()
    assert read_plan(small / "plan-2.json") == found[0]


def test_there_is_an_end_to_what_is_kept_beside(
    small: Path, found: tuple[Plan, Before], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (small / "plan.json").write_text("theirs")
    for number in range(2, 101):
        (small / f"plan-{number}.json").write_text("x")
    before = {path.name: path.read_text() for path in small.iterdir() if path.is_file()}
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    words = (
        r"99 layouts are kept beside it already, take some away; this layout is kept in .*capacity-plan-\w+\.json: to"
    )
    with pytest.raises(InputError, match=words):
        keep_plan(small, *found)
    assert {path.name: path.read_text() for path in small.iterdir() if path.is_file()} == before
    (aside,) = tmp_path.glob("capacity-plan-*.json")
    assert read_plan(aside) == found[0]


def test_a_layout_that_cannot_be_written_is_kept_beside_or_elsewhere_and_never_lost(
    small: Path, found: tuple[Plan, Before], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Found by putting a folder in its place, and by filling the disk: an hour's answer was gone."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    (small / "plan.json").mkdir()
    with pytest.raises(InputError, match=r"and stays; this layout is kept in plan-2\.json"):
        keep_plan(small, *found)
    assert read_plan(small / "plan-2.json") == found[0]
    assert fingerprint(fitted_folder(small, found[0].inputs)) == found[0].inputs
    with pytest.raises(InputError, match=r"cannot be written.*; this layout is kept in plan-3\.json"):
        keep_plan(small, found[0], Before(found[1].texts, UNREADABLE))

    def refuse(*_: object, **__: object) -> None:
        raise InputError([Fault("plan.json", "", "cannot be written: No space left on device")])

    for name in ("write_plan", "write_text"):
        monkeypatch.setattr(saved_plan, name, refuse)
    (small / "plan.json").rmdir()
    with pytest.raises(InputError, match=r"No space left on device; this layout is kept in .*capacity-plan-"):
        keep_plan(small, *found)
    assert [read_plan(path) for path in tmp_path.glob("capacity-plan-*.json")] == [found[0]]
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "gone"))
    with pytest.raises(InputError, match="this layout could be kept nowhere"):
        keep_plan(small, *found)


def test_the_copy_of_a_layout_kept_beside_stays_when_the_next_is_written(
    small: Path, found: tuple[Plan, Before]
) -> None:
    keep_plan(small, *found)
    (small / "plan.json").rename(small / "plan-2.json")
    (small / "inventory.csv").write_text("what,count\njeans,3\n")
    later = before_search(small, read_folder_at_once(small)[2])
    keep_plan(small, found[0].model_copy(update={"inputs": later.texts.digest}), later)
    for digest in (found[0].inputs, later.texts.digest):
        assert fingerprint(fitted_folder(small, digest)) == digest


def test_a_search_with_its_progress_elsewhere_is_seen_and_ended_by_the_page_and_nobody_else_is(
    long: Path, tmp_path: Path
) -> None:
    """Found so: the page showed the record of an old search, and End killed whatever had its number by then."""
    elsewhere = tmp_path / "elsewhere.json"
    hidden = long / ".capacity"
    hidden.mkdir()
    with subprocess.Popen([sys.executable, "-c", "import time; time.sleep(300)"]) as stranger:
        old = json.dumps({"schema": "capacity.progress/1", "process": stranger.pid, "stored": 999, "all": 999})
        (hidden / "progress.json").write_text(old)
        with subprocess.Popen(
            _fit(long, "--progress", str(elsewhere)), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True
        ) as process:
            wait(lambda: is_running(elsewhere) and read_best(long, fingerprint(long)) is not None)
            record = read_progress(_progress(long))
            assert record is not None
            assert record.process == process.pid
            (hidden / "progress.json").write_text(old)
            st.cache_resource.clear()
            SEARCH.end(long)
            process.communicate(timeout=300)
        assert process.returncode < 0
        assert stranger.poll() is None
        stranger.kill()
    assert not (long / "plan.json").exists()
    assert read_best(long, fingerprint(long)) is not None
    for number in (-1, 0):
        (hidden / "progress.json").write_text(json.dumps({"schema": "capacity.progress/1", "process": number}))
        assert read_progress(hidden / "progress.json") is None


def test_a_hidden_folder_that_cannot_be_made_keeps_no_layout_from_being_written(
    small: Path, found: tuple[Plan, Before]
) -> None:
    (small / ".capacity").write_text("a file")
    keep_plan(small, *found)
    assert read_plan(small / "plan.json") == found[0]
    (small / "plan.json").unlink()
    assert _run(small).returncode == 0
    assert (small / ".capacity").read_text() == "a file"


def test_files_that_change_while_they_are_read_are_read_again(small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from capacity.makeover import folder

    really, times = folder.read_folder, []

    def changing(place: Path) -> object:
        read = really(place)
        times.append(place)
        if len(times) < 3:
            (place / "inventory.csv").write_text(f"what,count\njeans,{len(times)}\n")
        return read

    monkeypatch.setattr(folder, "read_folder", changing)
    _, inventory, texts = read_folder_at_once(small)
    assert (inventory.pieces, len(times)) == (2, 3)
    assert texts.digest == fingerprint(small)
    monkeypatch.setattr(folder, "MOST_TRIES", 2)
    times.clear()
    with pytest.raises(InputError, match="small: is being changed all the time; try again"):
        read_folder_at_once(small)


def test_of_two_starts_at_once_one_makes_the_folder_and_the_other_is_told(tmp_path: Path) -> None:
    """Found by thinking of it: the second wrote its files over those of the first."""
    code = "import sys; from pathlib import Path; from capacity.makeover import samples\n"
    code += "really = samples._make\n"
    code += "def wait(folder): really(folder); print(flush=True); sys.stdin.readline()\n"
    code += "samples._make = wait\n"
    code += "from capacity.__main__ import main; sys.exit(main(['start', sys.argv[1], '--sample', sys.argv[2]]))"
    folder, names = tmp_path / "new", ("couple-walk-in", "family-walk-in")
    starts = [
        subprocess.Popen(
            [sys.executable, "-c", code, str(folder), name],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for name in names
    ]  # fmt: skip
    for start in starts:
        assert start.stdout is not None
        assert start.stdout.readline() == "\n"  # both have seen that nothing is there
    answers = [start.communicate("go\n", timeout=60) for start in starts]
    assert [start.returncode for start in starts] == [0, 2]
    assert answers[1][1] == f"inventory.csv: is already in {folder}; nothing is overwritten\n"
    start_folder(tmp_path / "one", names[0])
    for name in ("inventory.csv", "closet.toml"):
        assert (folder / name).read_bytes() == (tmp_path / "one" / name).read_bytes()
