"""Two programs that write one folder at once: no change is lost, and whoever cannot write is told."""

from __future__ import annotations

import multiprocessing
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

if sys.platform == "win32":
    pytest.skip("the programs are forks of this one", allow_module_level=True)

from capacity.disk import file_lock, folder_swap
from capacity.disk.folder_swap import MANIFEST, SCHEMA, write_folder
from capacity.errors import InputError
from capacity.page.household import change_inventory
from capacity.wardrobe.inventory import read_inventory, with_cells

TAPS, WRITERS = 25, 3


def _tap(folder: Path) -> None:
    for _ in range(TAPS):
        change_inventory(
            folder, "in", lambda now: with_cells(now, {(1, "count"): str(now.piles[0].count + 1)}, "in"), True
        )


def _build(folder: Path, told: object, number: int) -> None:
    files = {f"part-{number}": b"x" * 100_000, MANIFEST: f'{{"schema": "{SCHEMA}", "files": '.encode()}
    files[MANIFEST] += f'["part-{number}", "{MANIFEST}"]}}'.encode()
    for _ in range(20):
        try:
            write_folder(folder, files)
        except InputError as error:
            told.put(str(error))  # type: ignore[attr-defined]


def _together(work: Callable[..., None], *arguments: tuple[object, ...]) -> None:
    context = multiprocessing.get_context("fork")
    writers = [context.Process(target=work, args=one) for one in arguments]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(120)
    assert [writer.exitcode for writer in writers] == [0] * len(writers)


def test_no_tap_is_lost_among_three_programs(tmp_path: Path) -> None:
    (tmp_path / "inventory.csv").write_text("what,count\nsneakers,0\nhat,1\n", encoding="utf-8")
    _together(_tap, *[(tmp_path,)] * WRITERS)
    assert read_inventory(tmp_path / "inventory.csv", "in").piles[0].count == TAPS * WRITERS


def test_of_two_builds_at_once_each_is_whole_and_one_may_be_told(tmp_path: Path) -> None:
    """Found so: one took the other's half written folder for the rest of a run that was killed, and cleared it."""
    told = multiprocessing.get_context("fork").SimpleQueue()
    _together(_build, (tmp_path, told, 1), (tmp_path, told, 2))
    names = sorted(path.name for path in (tmp_path / "build").iterdir())
    assert names in (sorted(["part-1", MANIFEST]), sorted(["part-2", MANIFEST]))
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".build")] == []
    while not told.empty():
        assert "another build is being written" in told.get()


def test_a_build_waits_for_another_and_is_told_when_it_does_not_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(folder_swap, "LONGEST_WRITE", 0.05)
    write_folder(tmp_path, {MANIFEST: b"{}"})
    began = time.monotonic()
    with file_lock.hold(tmp_path / ".capacity" / "build.lock", 0) as is_ours:
        assert is_ours
        with pytest.raises(InputError, match="another build is being written"):
            write_folder(tmp_path, {MANIFEST: b"{}"})
    assert time.monotonic() - began >= 0.05
