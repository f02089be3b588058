"""A lock on a file: one holder, also among processes, and none after the holder was killed."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from capacity.disk import file_lock
from capacity.disk.file_lock import hold, holder, is_abandoned, is_held, marked
from capacity.disk.files import write_text

HOLDER = """
import sys, time
from pathlib import Path
from capacity.disk.file_lock import hold
with hold(Path(sys.argv[1]), 0) as is_ours:
    print(is_ours, flush=True)
    time.sleep(600)
"""


def test_one_holder_at_a_time(tmp_path: Path) -> None:
    path = tmp_path / "lock"
    assert not is_held(path)
    with hold(path, 0) as first:
        assert first
        assert is_held(path)
        with hold(path, 0.02) as second:
            assert not second
        assert is_held(path)
    assert not is_held(path)


def test_those_who_look_do_not_take_each_other_for_a_holder(tmp_path: Path) -> None:
    path = tmp_path / "lock"
    path.touch()
    import fcntl

    with path.open("r+b") as looking:
        fcntl.flock(looking, fcntl.LOCK_SH)
        assert not is_held(path)


def test_the_lock_of_a_killed_process_is_free(tmp_path: Path) -> None:
    path = tmp_path / "lock"
    with subprocess.Popen([sys.executable, "-c", HOLDER, str(path)], stdout=subprocess.PIPE, text=True) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "True\n"
        assert is_held(path)
        holder.kill()
        holder.wait()
    assert not is_held(path)


class _ByteLocks:
    """What Windows does with a locked byte, between the open files of this process: who else wants it is refused."""

    LK_NBLCK, LK_UNLCK = 2, 0

    def __init__(self) -> None:
        self.held: dict[tuple[int, int], int] = {}

    def locking(self, descriptor: int, how: int, number: int) -> None:
        key = os.fstat(descriptor).st_ino, os.lseek(descriptor, 0, os.SEEK_CUR)
        assert (key[1], number) == (0, 1)
        if how == self.LK_UNLCK:
            assert self.held.pop(key) == descriptor
        elif key in self.held:
            raise PermissionError(13, "Permission denied")
        else:
            self.held[key] = descriptor


@pytest.fixture(params=["this system", "Windows"])
def on(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """The locks of both systems; those of Windows with a stand-in for its calls, which have never run on one."""
    if request.param == "Windows":
        monkeypatch.setitem(sys.modules, "msvcrt", _ByteLocks())
        monkeypatch.setattr(file_lock, "SYSTEM", file_lock.Windows())
    return str(request.param)


def test_one_holds_it_and_all_can_see_so_on_both_systems(on: str, tmp_path: Path) -> None:
    path = tmp_path / "x.lock"
    for _ in range(2):
        with hold(path, 0, signs=True) as first:
            assert first
            with hold(path, 0) as second:
                assert not second
            assert is_held(path)
            assert holder(path) == os.getpid()
            data = path.read_bytes()
            assert data[file_lock.SIGNED_FROM :] == b"%d\n" % os.getpid()
        assert not is_held(path)
        assert holder(path) is None


def test_what_is_being_written_is_never_taken_for_abandoned_on_either(on: str, tmp_path: Path) -> None:
    (tmp_path / "x").write_text("half")
    with marked(tmp_path / "x"):
        assert not is_abandoned(tmp_path / "x")
    assert is_abandoned(tmp_path / "x") is (on != "Windows")
    write_text(tmp_path / "y", "whole\n")
    assert (tmp_path / "y").read_bytes() == b"whole\n"


def test_the_holder_who_signs_is_known_and_nobody_else_is(tmp_path: Path) -> None:
    path = tmp_path / "x.lock"
    assert holder(path) is None
    path.write_text("\n-1\n")
    assert holder(path) is None  # nobody holds it, whatever it says
    with hold(path, 0, signs=True) as is_held_now:
        assert is_held_now
        assert holder(path) == os.getpid()
    assert holder(path) is None
    for text in ("\n-1\n", "\n0\n", "\nx\n", "", "\n" + "9" * 400):
        path.write_text(text)
        with hold(path, 0):
            assert holder(path) is None
