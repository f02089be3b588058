"""The wheel that is built from this tree holds all that the commands need, and starts a makeover without the tree."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TAKEN = ("capacity", "inventory_samples", "pyproject.toml", "README.md", "LICENSE")
BUILD = "import sys; from setuptools import build_meta; print(build_meta.build_wheel(sys.argv[1]))"


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What a wheel puts on a machine; it is built from a copy, so that nothing is left in the tree."""
    tree, out = tmp_path_factory.mktemp("tree"), tmp_path_factory.mktemp("wheel")
    for name in TAKEN:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, tree / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(ROOT / name, tree / name)
    subprocess.run([sys.executable, "-c", BUILD, str(out)], cwd=tree, check=True, capture_output=True, timeout=120)
    (wheel,) = out.glob("*.whl")
    zipfile.ZipFile(wheel).extractall(out / "unpacked")
    return out / "unpacked"


def _files(place: Path, name: str) -> set[str]:
    every = (path for path in (place / name).rglob("*") if path.is_file() and "__pycache__" not in path.parts)
    return {path.relative_to(place / name).as_posix() for path in every}


def test_every_file_of_the_package_is_in_it(unpacked: Path) -> None:
    samples = {f"inventory_samples/{name}" for name in _files(ROOT, "inventory_samples") if "/" in name}
    assert any(name.endswith("closet.toml") for name in samples)
    assert _files(unpacked, "capacity") == _files(ROOT, "capacity") | samples


def test_start_and_count_work_without_the_tree(unpacked: Path, tmp_path: Path) -> None:
    surroundings = {**os.environ, "PYTHONPATH": str(unpacked)}
    for command in ("start", "count"):
        done = subprocess.run(
            [sys.executable, "-m", "capacity", command, str(tmp_path / "closet")],
            cwd=tmp_path, env=surroundings, capture_output=True, text=True, check=True, timeout=60,
        )  # fmt: skip
    assert "62 pieces" in done.stdout
    where = "import capacity; print(capacity.__file__)"
    seen = subprocess.run([sys.executable, "-c", where], cwd=tmp_path, env=surroundings, capture_output=True, text=True)
    assert seen.stdout.startswith(str(unpacked))
