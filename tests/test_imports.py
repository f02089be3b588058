"""The layout's one-way table, read from the syntax tree."""

from __future__ import annotations

import ast
from pathlib import Path

import capacity

ROWS = (
    {"units", "errors"},
    {"files", "sizes", "fields", "beams", "materials", "passage", "checks"},
    {"kinds", "closet_tables"},
    {"inventory", "closet", "problem"},
    {"layout", "towers", "strength", "folder"},
    {"verify", "building", "sizing", "plan", "effort", "cpsat", "samples", "bearing", "floorplan", "reach", "room"},
    {"rule_of_thumb", "recreate", "filling", "comparing", "lamp", "doorway", "reaching"},
    {"multiple", "design", "carrying", "planview"},
    {"cautions"},
    {"checking"},
    {"solving", "terminal"},
    {"__main__"},
)
PACKAGE = Path(capacity.__file__).parent


def _imports(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "capacity":
            parts = node.module.split(".")
            found |= {parts[1]} if len(parts) > 1 else {alias.name for alias in node.names} - {"__version__"}
        if isinstance(node, ast.Import):
            found |= {alias.name.split(".")[1] for alias in node.names if alias.name.startswith("capacity.")}
    return found


def test_every_module_imports_only_from_lower_rows() -> None:
    row_of = {name: number for number, names in enumerate(ROWS) for name in names}
    modules = {path.stem: path for path in PACKAGE.rglob("*.py") if path.stem != "__init__"}
    assert set(modules) == set(row_of)
    upward = [
        f"{name} imports {other}"
        for name, path in modules.items()
        for other in _imports(path)
        if row_of[other] >= row_of[name]
    ]
    assert upward == []


def test_only_cpsat_modules_import_the_solver() -> None:
    users = {path.stem for path in PACKAGE.rglob("*.py") if "ortools" in path.read_text(encoding="utf-8")}
    assert users == {"cpsat", "effort", "filling", "design"}
