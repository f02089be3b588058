"""Ctrl-C while a command is still being loaded: one line and exit code 130, whatever was being loaded just then."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from support.cases import one_wall

CODE = """
import signal, sys
from importlib.abc import MetaPathFinder

class Interrupter(MetaPathFinder):
    left = int(sys.argv.pop(1))

    def find_spec(self, name, path=None, target=None):
        if name.startswith("capacity.commands") or self.begun:
            self.begun = True
            self.left -= 1
            if self.left == 0:
                signal.raise_signal(signal.SIGINT)

    begun = False

sys.meta_path.insert(0, Interrupter())
from capacity.__main__ import main
sys.exit(main(sys.argv[1:]))
"""
"""What the script `capacity` does, with Ctrl-C at the given number of modules that are looked for from then on."""


@pytest.mark.parametrize("number", [1, 2, 5, 12, 30, 80, 160])
def test_an_interrupt_while_modules_are_loaded_is_one_line(tmp_path: Path, number: int) -> None:
    (tmp_path / "closet.toml").write_text(one_wall())
    (tmp_path / "inventory.csv").write_text("what,count\nsneakers,4\n")
    done = subprocess.run(
        [sys.executable, "-c", CODE, str(number), "fit", str(tmp_path)], capture_output=True, text=True, timeout=120
    )
    assert (done.stderr.splitlines(), done.returncode) == (["interrupted"], 130)
    assert done.stdout == ""


def test_nothing_is_loaded_before_an_interrupt_is_heard() -> None:
    """The package and the beginning of the command load no module of their own, of ours or of Python."""
    code = "import sys; before = {*sys.modules}; import capacity.__main__; print(*sorted({*sys.modules} - before))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=120)
    assert done.stdout.split() == ["capacity", "capacity.__main__"]
