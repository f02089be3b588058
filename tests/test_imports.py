"""The layout's one-way table, read from the syntax tree."""

from __future__ import annotations

import ast
from pathlib import Path

import capacity

ROWS = (
    {"beams", "cutting", "drawing", "effort", "errors", "passage", "units"},
    {
        "build_folder",
        "checks",
        "cutting_patterns",
        "drawing_dxf",
        "drawing_plotly",
        "drawing_svg",
        "fields",
        "files",
        "gain_drawing",
        "materials",
        "page.serving",
        "placing",
        "saw_steps",
        "size_text",
    },
    {"clothing_sizes", "construction", "cutting_bound", "cutting_heuristic", "progress", "samples", "shoe_sizes"},
    {"closet_tables", "parts", "sheets", "sizes"},
    {"closet", "kinds"},
    {"problem", "shapes"},
    {"inventory", "layout", "towers"},
    {
        "arranging",
        "building",
        "cpsat",
        "drawer_boxes",
        "floorplan",
        "folder",
        "labels",
        "opening_tables",
        "plan",
        "reach",
        "rebuilding",
        "repacking",
        "room",
        "strength",
        "tally",
        "verify",
    },
    {
        "bay_values",
        "bearing",
        "carpentry",
        "comparing",
        "doorway",
        "easing",
        "elevation",
        "filling",
        "lamp",
        "reaching",
        "recreate",
        "rule_of_thumb",
        "sheet_drawing",
        "sizing",
        "stock",
        "whole",
    },
    {
        "carrying",
        "job",
        "multiple",
        "page.picture",
        "parts_drawing",
        "plan_drawing",
        "planview",
        "story_stick",
        "stretches",
    },
    {"cautions", "master", "pictures", "quantities", "work_order"},
    {"checking", "diving", "shopping"},
    {"bounding", "packet", "terminal"},
    {"build_files", "refilling"},
    {"design"},
    {"goals", "wanting"},
    {"solving"},
    {"__main__", "page.household"},
    {"page.search", "page.start", "page.table"},
    {"page.compare", "page.count", "page.fit"},
    {"page.shell"},
    {"page"},
    {"page.app"},
)
PACKAGE = Path(capacity.__file__).parent


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
    row_of = {name: number for number, names in enumerate(ROWS) for name in names}
    modules = {name: path for path in PACKAGE.rglob("*.py") if (name := _name(path))}
    assert set(modules) == set(row_of)
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
    assert users == {"cpsat", "effort", "filling", "whole", "master", "diving", "cutting_bound", "sheets"}


def test_only_the_page_imports_streamlit() -> None:
    users = _users("streamlit") | {
        _name(path) for path in PACKAGE.rglob("*.py") if "from streamlit" in path.read_text(encoding="utf-8")
    }
    assert users
    assert all(name.startswith("page.") for name in users)
    assert "page.serving" not in users


def test_only_two_modules_import_plotly() -> None:
    assert _users("plotly") == {"drawing_plotly", "page.picture"}
