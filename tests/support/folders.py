"""The texts of a small folder; and folders that are made once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from support.cases import one_wall

MadeOnce = Callable[[str, Callable[[Path], object]], Path]
"""Makes a file or folder of a name once for all processes of a run of the tests."""

CLOSET = (
    one_wall()
    + """[[before]]
wall = "back"
left = 0
width = 38
depth = 15
openings = [{ kind = "shelf", bottom = 0, height = 12 }, { kind = "hang", bottom = 12, height = 50 }]
"""
)


INVENTORY = "what,count,size,note\nsneakers,4,US M 9,kept\nshirt,5,M,\n"
