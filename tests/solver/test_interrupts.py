"""A search that is asked to end: by Ctrl-C once or twice, by the system, by a terminal that goes away."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from support.page_actions import wait

from capacity.__main__ import main
from capacity.layout.layout import Layout
from capacity.makeover.folder import fingerprint, read_folder
from capacity.makeover.plan import layouts_of, read_plan
from capacity.makeover.samples import start_folder
from capacity.solver.best_so_far import BestSoFar, drop_best, keeper, read_best, start_of
from capacity.solver.effort import Effort
from capacity.solver.interrupts import as_ctrl_c
from capacity.solver.planning import make_plan


@pytest.fixture
def searching(tmp_path: Path) -> Iterator[tuple[Path, subprocess.Popen[str]]]:
    """A long search that has found something."""
    folder = tmp_path / "couple"
    start_folder(folder, "couple-walk-in")
    command = [sys.executable, "-m", "capacity", "fit", str(folder)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        wait(lambda: read_best(folder, fingerprint(folder)) is not None)
        try:
            yield folder, process
        finally:
            process.kill()


def test_a_second_ctrl_c_ends_at_once_and_the_best_so_far_is_gone_on_from(
    searching: tuple[Path, subprocess.Popen[str]],
) -> None:
    """Found so: it said that there was no plan to keep, and 414 had been found."""
    folder, process = searching
    process.send_signal(signal.SIGINT)
    assert process.stderr is not None
    first = process.stderr.readline()
    assert first.startswith("stopping; the best so far (")
    assert first.endswith(") is being kept; Ctrl-C again gives up\n")
    process.send_signal(signal.SIGINT)
    _, errors = process.communicate(timeout=60)
    best = read_best(folder, fingerprint(folder))
    assert process.returncode == 130
    if (folder / "plan.json").exists():  # it had ended by itself before the second
        return
    assert best is not None
    assert errors == (
        f"given up; the best so far ({best.stored}) is kept, and `capacity fit --keep-going` goes on from it\n"
    )
    assert main(["fit", str(folder), "--keep-going", "--seconds", "0.1"]) in (0, 1)
    assert read_plan(folder / "plan.json").value.stored >= best.stored
    assert read_best(folder, fingerprint(folder)) is None


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
@pytest.mark.skipif(sys.platform == "win32", reason="no such signals there")
def test_ctrl_c_a_shutdown_and_a_closed_window_keep_the_plan(
    name: str, searching: tuple[Path, subprocess.Popen[str]]
) -> None:
    folder, process = searching
    process.send_signal(getattr(signal, name))
    out, _ = process.communicate(timeout=300)
    assert process.returncode == 130
    assert ("Stopped early" in out) == (out != "") == (name != "SIGHUP")
    plan = read_plan(folder / "plan.json")
    assert plan.stopped_early
    assert plan.value.status == "feasible"
    assert 0 < plan.value.stored <= plan.value.bound
    assert plan.after.stored > 0


# ---- the same without a process --------------------------------------------------------------------------


def test_what_is_ignored_stays_so_and_what_stood_before_comes_back() -> None:
    known = {number: signal.getsignal(number) for number in (signal.SIGTERM, signal.SIGHUP)}
    try:
        signal.signal(signal.SIGHUP, signal.SIG_IGN)
        with as_ctrl_c():
            assert signal.getsignal(signal.SIGHUP) is signal.SIG_IGN
            with pytest.raises(KeyboardInterrupt):
                signal.raise_signal(signal.SIGTERM)
        assert signal.getsignal(signal.SIGTERM) is known[signal.SIGTERM]
    finally:
        for number, action in known.items():
            signal.signal(number, action)


TWICE = """
import signal, threading
from capacity.solver.effort import Effort
from capacity.solver.interrupts import run_until_asked
effort, said = Effort(), list[str]()
begun, ends = threading.Event(), threading.Event()

def work() -> str:
    begun.set()
    ends.wait(20)
    return "found"

def interrupt(words: str) -> None:
    said.append(words)
    if len(said) == 1:
        ends.set()

timer = threading.Thread(target=lambda: (begun.wait(20), signal.raise_signal(signal.SIGINT)))
timer.start()
assert run_until_asked(effort, work, interrupt) == ("found", True)
timer.join()
assert said == ["stopping; the first layout is kept as soon as there is one; Ctrl-C again gives up"]
assert effort.is_stopping
begun.clear()
ends.clear()
timer = threading.Thread(target=lambda: (begun.wait(20), signal.raise_signal(signal.SIGINT)))
timer.start()
try:
    run_until_asked(effort, work, said.append)
except KeyboardInterrupt:
    print("given up")
ends.set()
timer.join()
"""
"""In a process of its own: a signal that comes late must not reach the runner of the tests."""


def test_a_first_request_stops_the_effort_and_a_second_goes_up() -> None:
    done = subprocess.run([sys.executable, "-c", TWICE], capture_output=True, text=True, timeout=120)
    assert (done.returncode, done.stdout) == (0, "given up\n"), done.stderr


@pytest.fixture
def kept(small: Path) -> tuple[Path, str, Layout, int]:
    """A small folder, its digest, and a layout of it with its value."""
    from capacity.makeover.files_to_problem import size_problem

    closet, inventory = read_folder(small)
    plan = make_plan(closet, inventory, Effort(factor=0.01), fingerprint(small))
    (small / ".capacity").mkdir(exist_ok=True)
    return small, plan.inputs, layouts_of(plan, size_problem(closet, inventory))[1], plan.value.stored


def test_the_best_is_kept_only_where_it_is_better_and_goes_when_the_plan_is_as_good(
    kept: tuple[Path, str, Layout, int],
) -> None:
    small, digest, layout, value = kept
    closet, inventory = read_folder(small)
    keeper(small, closet, digest)(layout, value)
    best = read_best(small, digest)
    assert best is not None
    assert best.stored == value
    keeper(small, closet, digest)(layout, value - 1)
    assert read_best(small, digest) == best
    assert read_best(small, "of other files") is None
    assert start_of(small, digest) == best
    plan = make_plan(closet, inventory, Effort(factor=0.01), digest, best)
    assert plan.value.stored >= value
    worse = plan.model_copy(update={"value": plan.value.model_copy(update={"stored": value - 1})})
    assert drop_best(small, worse) == best
    assert drop_best(small, plan) is None
    assert not (small / ".capacity" / "best.json").exists()


def test_what_cannot_be_kept_or_read_ends_no_search(kept: tuple[Path, str, Layout, int]) -> None:
    small, digest, layout, value = kept
    path = small / ".capacity" / "best.json"
    path.mkdir()
    keeper(small, read_folder(small)[0], digest)(layout, value)
    assert read_best(small, digest) is None
    path.rmdir()
    for text in ("{", '{"schema": "capacity.best/2"}', json.dumps({"schema": "capacity.best/1", "stored": 1e400})):
        path.write_text(text)
        assert read_best(small, digest) is None


def test_a_search_reports_its_best_whole() -> None:
    effort = Effort()
    one, two = Layout((), ()), Layout((), (True,))
    effort.whole = lambda layout: two
    effort.keep(one, 4)
    assert effort.best == (two, 4)
    assert BestSoFar.model_fields["stored"].annotation is int
