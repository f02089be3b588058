"""What the package writes and reads, found in its own source, so that faults and fuzzers leave nothing new out.

A function is found by the calls in it; that it is really tried is seen by watching which functions run.
"""

from __future__ import annotations

import ast
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import capacity

PACKAGE = Path(capacity.__file__).parent
Found = dict[str, tuple[str, int]]
"""Functions as `room/file.py:name`, each with its file and first line."""

WRITING = frozenset({
    "write_text", "put_whole", "write_version", "write_folder", "write_bytes", "take_away", "make_hidden", "mkdir",
    "touch", "unlink", "rmtree", "mkstemp", "mkdtemp", "NamedTemporaryFile", "TemporaryFile", "utime", "chmod",
})  # fmt: skip
PARSING = frozenset({"model_validate_json", "loads", "reader"})


def functions_that(is_such: Callable[[ast.Call], bool]) -> Found:
    """Every function of the package in whose own body such a call stands."""
    found: Found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        place = path.relative_to(PACKAGE).as_posix()
        for name, node in _functions(ast.parse(path.read_text(encoding="utf-8")), ""):
            if any(isinstance(part, ast.Call) and is_such(part) for part in _own(node)):
                found[f"{place}:{name}"] = (str(path), _first_line(node))
    return found


def writes(call: ast.Call) -> bool:
    """Whether a call makes, changes or takes away a file or folder; by its name, so texts are told by what they get."""
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    if name == "open":
        return any(
            isinstance(part, ast.Constant) and part.value in ("w", "wb", "xb", "a+b", "r+b") for part in _given(call)
        )
    if name in ("replace", "rename", "link"):  # of texts and records too: only those of `os`
        return isinstance(call.func, ast.Attribute) and getattr(call.func.value, "id", "") == "os"
    return name in WRITING


def parses(call: ast.Call) -> bool:
    """Whether a call makes something of a text from outside."""
    return isinstance(call.func, ast.Attribute) and call.func.attr in PARSING


def _given(call: ast.Call) -> Iterator[ast.expr]:
    yield from call.args
    yield from (item.value for item in call.keywords)


def _functions(node: ast.AST, inside: str) -> Iterator[tuple[str, ast.FunctionDef]]:
    for part in ast.iter_child_nodes(node):
        if isinstance(part, ast.FunctionDef):
            yield f"{inside}{part.name}", part
            yield from _functions(part, f"{inside}{part.name}.")
        elif isinstance(part, ast.ClassDef):
            yield from _functions(part, f"{inside}{part.name}.")
        else:
            yield from _functions(part, inside)


def _own(node: ast.FunctionDef) -> Iterator[ast.AST]:
    """What stands in a function, less what stands in the functions in it."""
    for part in node.body:
        yield from _own_of(part)


def _own_of(node: ast.AST) -> Iterator[ast.AST]:
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        return
    yield node
    for part in ast.iter_child_nodes(node):
        yield from _own_of(part)


def _first_line(node: ast.FunctionDef) -> int:
    return min([node.lineno, *(item.lineno for item in node.decorator_list)])


@contextmanager
def watching() -> Iterator[set[tuple[str, int]]]:
    """The functions that run while the block does, in all its threads: their files and first lines."""
    ran: set[tuple[str, int]] = set()

    def note(frame: FrameType, event: str, _: Any) -> None:
        code: CodeType = frame.f_code
        if event == "call":
            ran.add((code.co_filename, code.co_firstlineno))

    threading.setprofile(note)
    sys.setprofile(note)
    try:
        yield ran
    finally:
        sys.setprofile(None)
        threading.setprofile(None)
