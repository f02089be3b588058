"""The layout's one-way table, read from the syntax tree."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import capacity

DEVELOPERS = Path(__file__).parents[1] / "DEVELOPERS.md"
PACKAGE = Path(capacity.__file__).parent


def _rows() -> list[list[str]]:
    """The names in each row of the table in DEVELOPERS.md, from the bottom up."""
    lines = DEVELOPERS.read_text(encoding="utf-8").splitlines()
    return [
        re.findall(r"`([a-z_.]+)`", re.sub(r"\([^)]*\)", "", line)) for line in lines if re.match(r"\| \d+ \|", line)
    ]


def _name(path: Path) -> str:
    """`page.fit` for `page/fit.py`, `page` for `page/__init__.py`."""
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    return ".".join(part for part in parts if part != "__init__")


def _imports(path: Path, modules: set[str]) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names: list[str] = []
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "capacity":
            names = [f"{node.module}.{alias.name}" for alias in node.names if alias.name != "__version__"]
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names if alias.name.startswith("capacity.")]
        # `from capacity.page import fit` is the module page.fit; `from capacity.page import show` is the package
        for name in names:
            inside = name.removeprefix("capacity.")
            found.add(inside if inside in modules else inside.rpartition(".")[0])
    return found


def test_every_module_imports_only_from_lower_rows() -> None:
    rows = _rows()
    row_of = {name: number for number, names in enumerate(rows) for name in names}
    modules = {name: path for path in PACKAGE.rglob("*.py") if (name := _name(path))}
    assert sorted(modules) == sorted(name for names in rows for name in names)
    upward = [
        f"{name} imports {other}"
        for name, path in modules.items()
        for other in _imports(path, set(modules))
        if row_of[other] >= row_of[name]
    ]
    assert upward == []


def _users(word: str) -> set[str]:
    return {_name(path) for path in PACKAGE.rglob("*.py") if f"import {word}" in path.read_text(encoding="utf-8")}


def test_only_cpsat_modules_import_the_solver() -> None:
    users = {_name(path) for path in PACKAGE.rglob("*.py") if "ortools" in path.read_text(encoding="utf-8")}
    programs = {"linear_program", "spacing_program", "row_relaxation", "zone_bound"}
    searching = {"filling", "filling_model", "whole", "master", "diving"} | programs
    assert users == {"effort", "cutting_bound", "cutting_choice"} | searching


def test_only_the_page_imports_streamlit() -> None:
    users = _users("streamlit") | {
        _name(path) for path in PACKAGE.rglob("*.py") if "from streamlit" in path.read_text(encoding="utf-8")
    }
    assert users
    assert all(name.startswith("page.") for name in users)
    assert "page.serving" not in users


def test_only_two_modules_import_plotly() -> None:
    assert _users("plotly") == {"drawing_plotly", "page.picture"}
