"""A lock on a file: one holder, also among processes, and none after the holder was killed."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from capacity.disk.file_lock import hold, is_held

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
