"""Many closets at once: the tasks, what is done once, workers that die, one table."""

from __future__ import annotations

import csv
import json
import multiprocessing
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from support.cases import one_wall
from support.dying import dies_for_bad

from capacity.__main__ import main
from capacity.closet.closet import parse_closet
from capacity.errors import InputError
from capacity.many import workers
from capacity.many.frontier_chart import frontier_drawing
from capacity.many.journal import Journal
from capacity.many.results import cut_together, gains_in_words, outcomes, results_table, with_short_names
from capacity.many.solving import Result, read_all, solved
from capacity.many.varied_closets import Task, Variation, parse_variation, tasks_of
from capacity.many.workers import LOST, on_a_cluster, on_this_machine
from capacity.units import PER_INCH

CLOSET = (
    one_wall()
    + """[panel]
price = 50
"""
)


NOTHING: Result = {"row": {"stored": 0}, "boards": [], "stock": "", "plan": None}


def _folder(place: Path, count: int = 4) -> Path:
    place.mkdir()
    (place / "closet.toml").write_text(CLOSET, encoding="utf-8")
    (place / "inventory.csv").write_text(f"what,count,size,owner\nsneakers,{count},US M 9,Ann\n", encoding="utf-8")
    return place


@pytest.fixture
def folders(tmp_path: Path) -> tuple[Path, ...]:
    return tuple(_folder(tmp_path / name, count) for name, count in (("one", 4), ("two", 6), ("three", 8)))


# ---- the tasks ----------------------------------------------------------------------------------------


def test_every_combination_is_a_job(folders: tuple[Path, ...]) -> None:
    tasks = tasks_of(folders[:1], (Variation("wall.back.depth", ("12", "20")), Variation("counts", ("1", "1.5"))))
    assert [task.name for task in tasks] == [
        f"one: wall.back.depth {depth}, counts {factor}" for depth in (12, 20) for factor in ("1", "1.5")
    ]
    assert "depth = 20" in tasks[2].closet
    assert "sneakers,6,US M 9,Ann" in tasks[1].inventory
    assert len({task.digest for task in tasks}) == 4
    assert tasks[0].digest == replace(tasks[0], name="another", folder="elsewhere").digest


def test_a_wall_more_is_as_deep_as_the_first_and_0_is_none(folders: tuple[Path, ...]) -> None:
    none, wide = (parse_closet(t.closet) for t in tasks_of(folders[:1], (Variation("another_wall", ("0", "24 in")),)))
    assert none == parse_closet(CLOSET)
    assert [(wall.name, wall.depth) for wall in wide.wall] == [("back", 15 * PER_INCH), ("another wall", 15 * PER_INCH)]
    assert wide.wall[1].clear_width == 24 * PER_INCH


@pytest.mark.parametrize(
    ("key", "values", "words"),
    [
        ("wall.front.depth", "12", 'there is no "front" there; there are: back'),
        ("wall.2.depth", "12", 'there is no "2" there'),
        ("top", "tall", "is not a length"),
        ("counts", "none", "is no factor above 0"),
        ("wishes.nothing", "3", "nothing"),
        ("another_wall", "24,wide", "is not a length"),
        ("panel.thickness", "12,thick", "thick"),
    ],
)
def test_what_cannot_vary_is_said_before_any_search(
    folders: tuple[Path, ...], key: str, values: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    into = tmp_path / "into"
    assert main(["many", str(folders[0]), "--vary", f"{key}={values}", "--into", str(into)]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert words in line
    assert not into.exists()


def test_a_variation_that_says_nothing_is_refused() -> None:
    for text in ("top", "=3", "top=", "top=1,,2"):
        with pytest.raises(InputError, match="is not KEY=A,B,C"):
            parse_variation(text)


def test_the_faults_of_all_folders_are_said_at_once(folders: tuple[Path, ...]) -> None:
    for folder in folders[1:]:
        (folder / "closet.toml").write_text("ceiling = nothing\n")
    with pytest.raises(InputError) as refused:
        tasks_of(folders)
    assert {fault.file for fault in refused.value.faults} == {"two/closet.toml", "three/closet.toml"}


# ---- done once, whatever happens ----------------------------------------------------------------------


def _tasks(*names: str) -> list[Task]:
    return [Task(name, "", (), name, "") for name in names]


def test_a_worker_that_dies_costs_its_job_alone() -> None:
    tasks = _tasks("a", "b", "bad", "c", "d", "e")
    done = {task.name: result for task, result in on_this_machine(tasks, 2, dies_for_bad)}
    assert done.pop("bad") == LOST
    assert {name: result["row"]["stored"] for name, result in done.items()} == dict.fromkeys("abcde", 1)


@pytest.mark.parametrize("workers", [1, 2])
def test_a_job_that_ends_with_an_error_costs_itself_alone_and_is_tried_again_next_time(
    workers: int, tmp_path: Path
) -> None:
    journal = Journal(tmp_path / "into")
    for task, result in on_this_machine(_tasks("a", "full", "b"), workers, dies_for_bad):
        journal.keep(task.name, result)
    assert "MemoryError" in journal.done.pop("full")["row"]["fault"]
    assert Journal(tmp_path / "into").done == journal.done


def test_half_a_line_of_the_journal_is_passed_over(tmp_path: Path) -> None:
    journal = Journal(tmp_path / "into")
    journal.keep("first", NOTHING)
    with journal.path.open("a", encoding="utf-8") as file:
        file.write('{"digest": "fourth", "result": 5}\n[]\n{"digest": "fifth", "result": {"row": []}}\n')
        file.write('{"digest": "second", "resu')
    again = Journal(tmp_path / "into")
    assert set(again.done) == {"first"}
    again.keep("third", NOTHING)
    assert set(Journal(tmp_path / "into").done) == {"first", "third"}


def test_nothing_is_done_twice_and_the_table_does_not_depend_on_the_workers(
    folders: tuple[Path, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    one, two = tmp_path / "one-worker", tmp_path / "two-workers"
    names = [str(folder) for folder in folders]
    assert main(["many", *names, "--into", str(one), "--workers", "1"]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    assert "cut together" in said.out
    assert "3 of 3 hold more than today: three (by 8); two (by 6); one (by 4)" in said.out
    assert "lack room" not in said.out
    assert main(["many", *names, "--into", str(two), "--workers", "2", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert [row["pieces"] for row in document["closets"]] == [4, 6, 8]
    assert document["sheets"][0]["together"] <= document["sheets"][0]["alone"]
    for name in ("results.csv", "frontier.svg"):
        assert (one / name).read_bytes() == (two / name).read_bytes()

    def never(tasks: list[Task], _: int) -> Iterator[tuple[Task, object]]:
        assert tasks == []
        yield from ()

    monkeypatch.setattr(workers, "on_this_machine", never)
    assert main(["many", *names, "--into", str(one)]) == 0


def test_the_sheets_of_variants_of_one_closet_are_not_added_up(folders: tuple[Path, ...]) -> None:
    tasks = tasks_of(folders[:1], (Variation("top", ("80", "84")),))
    board = {"row": {"panel_sheets": 1}, "boards": [["A", 320, 320, True]], "stock": "{}", "plan": None}
    assert list(cut_together(tasks, {task.digest: board for task in tasks})) == []


@pytest.mark.skipif(sys.platform == "win32", reason="no such signals there")
@pytest.mark.parametrize("how", [("--workers", "1"), ("--workers", "2"), ("--on", "local")])
def test_a_sweep_that_is_interrupted_keeps_what_is_finished(
    how: tuple[str, str], folders: tuple[Path, ...], tmp_path: Path
) -> None:
    if how[0] == "--on":
        pytest.importorskip("distributed")
    into = tmp_path / "into"
    command = [sys.executable, "-m", "capacity", "many", *map(str, folders), "--into", str(into), *how]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    ) as process:
        for _ in range(1200):
            if (into / "journal.jsonl").exists() and (into / "journal.jsonl").stat().st_size:
                break
            time.sleep(0.05)
        os.killpg(process.pid, signal.SIGINT)  # as a terminal does, to all that run in it
        _, error = process.communicate(timeout=60)
    assert process.returncode in (130, 0)  # 0: it was quicker
    assert error in ("interrupted\n", "")
    with (into / "results.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 3
    assert {row["stored"] for row in rows} & {"4", "6", "8"}


def test_the_same_by_a_cluster(folders: tuple[Path, ...]) -> None:
    pytest.importorskip("distributed")
    tasks = tasks_of(folders[:2], effort=0.05)
    done = {task.name: result["row"]["stored"] for task, result in on_a_cluster(tasks, "local")}
    assert done == {"one": 4, "two": 6}


def test_a_worker_of_a_cluster_that_is_killed_costs_nothing(
    folders: tuple[Path, ...], capfd: pytest.CaptureFixture[str]
) -> None:
    pytest.importorskip("distributed")
    tasks = tasks_of(folders, (Variation("counts", ("1", "1.5")),), effort=0.05)
    found = {}
    for number, (task, result) in enumerate(on_a_cluster(tasks, "local")):
        found[task.digest] = result
        if number == 0:
            multiprocessing.active_children()[0].kill()
    alone = {task.digest: result for task, result in on_this_machine(tasks, 1)}
    assert found == alone
    assert results_table(tasks, found).to_csv() == results_table(tasks, alone).to_csv()
    assert capfd.readouterr().err == ""


def test_a_job_that_kills_every_worker_of_a_cluster_costs_itself_alone() -> None:
    pytest.importorskip("distributed")
    tasks = _tasks("a", "bad", "b", "full")
    done = {task.name: result for task, result in on_a_cluster(tasks, "local", dies_for_bad)}
    assert done.pop("bad") == LOST
    assert "MemoryError" in done.pop("full")["row"]["fault"]
    assert {name: result["row"]["stored"] for name, result in done.items()} == {"a": 1, "b": 1}


@pytest.mark.skipif(sys.platform == "win32", reason="no such signals there")
def test_a_scheduler_that_is_killed_keeps_what_is_finished_and_the_rest_is_said(
    folders: tuple[Path, ...], tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    pytest.importorskip("distributed")
    into, names = tmp_path / "into", [str(folder) for folder in folders]
    script = (
        "import time, distributed\n"
        "if __name__ == '__main__':\n"
        "    cluster = distributed.LocalCluster(1, threads_per_worker=1, dashboard_address='127.0.0.1:0')\n"
        "    print(cluster.scheduler_address, flush=True)\n"
        "    time.sleep(600)\n"
    )
    (tmp_path / "cluster.py").write_text(script, encoding="utf-8")
    command = [sys.executable, str(tmp_path / "cluster.py")]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, start_new_session=True
    ) as cluster:
        assert cluster.stdout is not None
        address = cluster.stdout.readline().strip()
        try:
            tasks, done = tasks_of(folders, (Variation("counts", ("1", "1.5")),), effort=0.05), {}
            for task, result in on_a_cluster(tasks, address):
                done[task.name] = result
                os.killpg(cluster.pid, signal.SIGKILL)
        finally:
            if cluster.poll() is None:
                os.killpg(cluster.pid, signal.SIGKILL)
    assert len(done) == len(tasks)
    assert any("stored" in result["row"] for result in done.values())
    assert any("the cluster was lost" in result["row"].get("fault", "") for result in done.values())
    assert capfd.readouterr().err == ""
    assert main(["many", *names, "--into", str(into), "--on", address]) == 2
    assert "no scheduler answers there" in capfd.readouterr().err


def test_a_cluster_that_does_not_answer_is_said_in_a_line() -> None:
    pytest.importorskip("distributed")
    with pytest.raises(InputError, match="no scheduler answers there"):
        list(on_a_cluster(_tasks("a"), "nowhere"))


# ---- what is said ------------------------------------------------------------------------------------


def test_what_costs_more_and_stores_no_more_is_not_on_the_frontier() -> None:
    tasks = _tasks("dear", "cheap", "middle", "undone")
    rows = {"dear": (400, 9), "cheap": (100, 5), "middle": (300, 5)}
    done = {
        task.digest: {**LOST, "row": {"cost_low": cost, "cost_high": cost, "stored": n, "pieces": 9, "currency": "$"}}
        for task in tasks if task.name in rows for cost, n in [rows[task.name]]
    }  # fmt: skip
    points = outcomes(tasks, done)
    assert [(point.name, point.is_best) for point in points] == [("cheap", True), ("middle", False), ("dear", True)]
    assert list(results_table(tasks, done)["closet"]) == ["dear", "cheap", "middle", "undone"]
    drawing = frontier_drawing([(p.cost, p.stored, p.words, p.is_best) for p in points], "$")
    words = [text.words for text in drawing.texts()]
    assert {"1", "2", "3"} <= set(words)
    assert any(text.startswith("2  middle: 5 of 9, about $300 (something as cheap") for text in words)
    for text in drawing.texts():
        assert text.extent.left >= 0
        assert text.extent.right <= drawing.width


def test_more_points_than_lines_are_counted() -> None:
    drawing = frontier_drawing([(100 * n, n, f"layout {n}", True) for n in range(1, 60)], "$")
    (more,) = [text.words for text in drawing.texts() if text.words.startswith("and ")]
    assert int(more.split()[1]) + sum(" layout " in text.words for text in drawing.texts()) == 59


def test_what_is_wrong_with_a_closet_is_said_before_any_search_and_in_its_row(folders: tuple[Path, ...]) -> None:
    (task,) = tasks_of(folders[:1], [], 1.0, 0)
    wrong = replace(task, inventory="what,count\nsneakrs,3\n")
    with pytest.raises(InputError) as raised:
        read_all([task, wrong])
    assert str(raised.value.faults[0]).startswith("one, inventory.csv, row 2, column what: ")
    assert 'nearest: "sneakers"' in solved(wrong)["row"]["fault"]
    many = Variation("wall.1.depth", tuple(map(str, range(10_001))))
    for variation, said in ((many, "10001 closets are too many"), (Variation("counts", ("0",)), "no factor above 0")):
        with pytest.raises(InputError, match=said):
            tasks_of(folders[:1], [variation], 1.0, 0)


def test_a_closet_is_named_by_what_differs_and_who_lacks_room_is_said() -> None:
    rows = [("12", "14", 9), ("15", "14", 6), ("18", "14", 9)]
    keys = ("wall.1.depth", "wall.2.depth")
    tasks = [
        Task(f"home: {keys[0]} {a}, {keys[1]} {b}", "home", ((keys[0], a), (keys[1], b)), a, b) for a, b, _ in rows
    ]
    done = {
        task.digest: {**NOTHING, "row": {"pieces": 9, "before": 6, "stored": stored}}
        for task, (_, _, stored) in zip(tasks, rows, strict=True)
    }
    table = with_short_names(results_table([*tasks, *_tasks("undone")], done))
    assert list(table["closet"])[:3] == [f"home: {keys[0]} {depth}" for depth in (12, 15, 18)]
    assert list(gains_in_words(table)) == [
        f"2 of 4 hold more than today: home: {keys[0]} 12 (by 3); home: {keys[0]} 18 (by 3)",
        f"1 of 4 still lack room: home: {keys[0]} 15 (by 3)",
    ]


def test_a_large_order_is_cut_in_the_first_way_found_with_a_bound_by_its_area() -> None:
    tasks = _tasks("a", "b")
    stock = json.dumps({"stocks": [["full", 96, 48, 100]], "kerf": 0, "trim": 0, "thickness": 1})
    boards = [[f"P{number}", 24, 24, True] for number in range(40)]  # eight to a sheet
    done = {t.digest: {"row": {"panel_sheets": 5}, "boards": boards, "stock": stock, "plan": None} for t in tasks}
    (found,) = cut_together(tasks, done)
    assert (found.closets, found.alone, found.together, found.least) == (2, 10, 10, 10)
    assert found.words.endswith("10 cut together (and no fewer), which saves 0.")
