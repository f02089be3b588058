"""Another process of this program: the same Python and the same package, whatever lies in the folder it is started in.

Python looks for modules in the current folder first when it is told to run one. A stray `random.py` there, or one that
somebody has put into a folder which was passed on, would be run in the place of the library's.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path


def command_of(module: str, arguments: Sequence[str]) -> list[str]:
    """The command that runs a module of this program; the current folder is no place for modules."""
    return [sys.executable, "-P", "-m", module, *arguments]


def environment() -> dict[str, str]:
    """The environment for `command_of`: this package is found where it is now, also when it is not installed."""
    places = [str(Path(__file__).resolve().parents[3]), os.environ.get("PYTHONPATH", "")]
    return {**os.environ, "PYTHONPATH": os.pathsep.join(place for place in places if place)}
