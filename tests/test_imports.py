"""The rule of imports between rooms, read from DEVELOPERS.md and held against the syntax tree."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import capacity

DEVELOPERS = Path(__file__).parents[1] / "DEVELOPERS.md"
PACKAGE = Path(capacity.__file__).parent
MOST_FILES = 15
ABOVE_ALL = {"__main__", ""}
"""What may import from every room: where the script begins, and what the package hands out."""


def _order(line: str) -> list[list[str]]:
    """The rooms of a line such as `errors, units | disk | closet`, from the bottom up."""
    return [re.findall(r"[a-z_]+", room) for room in line.removeprefix("In solver:").rstrip(".").split("|")]


@cache
def _rule() -> tuple[list[list[str]], list[list[str]]]:
    """The order of the rooms, and that of the rooms in the solver, as DEVELOPERS.md gives them."""
    lines = DEVELOPERS.read_text(encoding="utf-8").splitlines()
    top = next(line for line in lines if line.startswith("errors, units |"))
    solver = next(line for line in lines if line.startswith("In solver:"))
    return _order(top), _order(solver)


def _name(path: Path) -> str:
    """`page.fit` for `page/fit.py`, `page` for `page/__init__.py`."""
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    return ".".join(part for part in parts if part != "__init__")


def _modules() -> dict[str, Path]:
    return {_name(path): path for path in PACKAGE.rglob("*.py")}


@cache
def _import_lines(path: Path) -> tuple[ast.Import | ast.ImportFrom, ...]:
    """All lines of a file that import, also within a function."""
    nodes = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
    return tuple(node for node in nodes if isinstance(node, ast.Import | ast.ImportFrom))


def _imports(path: Path, modules: set[str]) -> set[str]:
    found: set[str] = set()
    for node in _import_lines(path):
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


def _floor(name: str, order: list[list[str]], depth: int) -> int | None:
    """Which place in an order a module stands at; None where it is above all."""
    parts = name.split(".")
    room = parts[depth] if len(parts) > depth else ""
    return next((number for number, rooms in enumerate(order) if room in rooms), None)


def test_every_module_has_its_room_in_the_rule() -> None:
    order, solver = _rule()
    strangers = [name for name in _modules() if _floor(name, order, 0) is None and name not in ABOVE_ALL]
    strangers += [name for name in _modules() if name.startswith("solver.") and _floor(name, solver, 1) is None]
    assert strangers == []


def test_a_file_imports_from_its_own_room_and_from_rooms_to_the_left() -> None:
    order, solver = _rule()
    modules = _modules()
    wrong = []
    for name, path in modules.items():
        here = _floor(name, order, 0)
        for other in _imports(path, set(modules)):
            there = _floor(other, order, 0)
            if here is not None and (there is None or there > here):
                wrong.append(f"{name} imports {other}")
            inside = name.startswith("solver.") and other.startswith("solver.")
            if inside and (_floor(other, solver, 1) or 0) > (_floor(name, solver, 1) or 0):
                wrong.append(f"{name} imports {other}")
    assert wrong == []


def test_no_module_needs_itself() -> None:
    modules = _modules()
    needs = {name: _imports(path, set(modules)) - {name} for name, path in modules.items()}
    while free := [name for name, others in needs.items() if not others & set(needs)]:
        for name in free:
            del needs[name]
    assert needs == {}


def test_a_room_is_small_and_says_what_it_is_for() -> None:
    for face in PACKAGE.rglob("__init__.py"):
        room = face.parent
        files = [path for path in room.glob("*.py") if path != face]
        assert len(files) <= MOST_FILES, room
        text = ast.get_docstring(ast.parse(face.read_text(encoding="utf-8"))) or ""
        assert len(text.split()) >= 15, f"{room}: what is done here, and what must it never know?"


def _face(room: str) -> set[str] | None:
    """The files of a room that its face offers to others; None where it offers all."""
    tree = ast.parse((PACKAGE / room.replace(".", "/") / "__init__.py").read_text(encoding="utf-8"))
    for node in tree.body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name) and node.targets[0].id == "__all__":
            return set(ast.literal_eval(node.value))
    return None


def test_other_rooms_use_only_the_files_that_a_face_names() -> None:
    modules = _modules()
    used: dict[str, set[str]] = {}
    for name, path in modules.items():
        for other in _imports(path, set(modules)):
            room, _, file = other.rpartition(".")
            if room and name != room and not name.startswith(f"{room}."):
                used.setdefault(room, set()).add(file)
    faces = {room: _face(room) for room in used if not room.startswith("page")}
    assert {room: files for room, files in used.items() if room in faces} == faces


def _users(*words: str) -> set[str]:
    """The modules that import a library."""
    found = set()
    for name, path in _modules().items():
        for node in _import_lines(path):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else [alias.name for alias in node.names]
            if any(imported.split(".")[0] in words for imported in names):
                found.add(name)
    return found


def test_the_solvers_stay_in_two_rooms() -> None:
    users = _users("ortools", "highspy")
    assert users
    assert {name for name in users if not name.startswith(("solver.", "workshop.cutting."))} == set()


def test_only_the_page_imports_streamlit() -> None:
    users = _users("streamlit")
    assert users
    assert all(name.startswith("page.") for name in users)
    assert "page.server.serving" not in users


def test_only_two_modules_import_plotly() -> None:
    assert _users("plotly") == {"drawings.to_plotly", "page.picture"}
