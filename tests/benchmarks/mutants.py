"""One small fault at a time in rules, units, beams, the bound and its pricing, and whether the tests see it.

    python tests/benchmarks/mutants.py [layout.fit_rules units checks.beams ...] [--every 4 --from 1]

A mutant changes one comparison, one operator, one number, one condition or one result of a module. Each is tried in a
fork of a process that has loaded everything else, with the tests named below, and is killed when one of them fails.
Prints the score by module and every mutant that survived. Not every survivor is a gap: some change nothing.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import copy
import importlib.abc
import importlib.machinery
import importlib.util
import io
import os
import signal
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).parents[2]
PRICING = (
    "tests/solver/relaxation/test_pricing.py", "tests/solver/relaxation/test_wall_pricing.py",
    "tests/solver/relaxation/test_value_bound.py",
    "tests/solver/relaxation/test_budget.py",
    "--deselect=tests/solver/relaxation/test_budget.py::test_the_plan_says_what_the_boards_cost",
)  # fmt: skip
"""Tests of what the master asks bays and openings for, the quickest first."""

TESTS = {
    "layout.fit_rules": ("tests/layout/test_fit_rules.py", "tests/layout/test_fit_rules_walls.py"),
    "units": ("tests/test_units.py",),
    "checks.beams": ("tests/checks/test_beams.py",),
    "solver.relaxation.value_bound": ("tests/solver/relaxation/test_value_bound.py",),
    "solver.relaxation.bay_pricing": PRICING,
    "solver.relaxation.wall_pricing": PRICING,
    "solver.relaxation.opening_knapsack": PRICING,
    "solver.relaxation.linear_program": PRICING,
    "solver.proof.branch_and_bound": ("tests/solver/proof/test_branch_and_bound.py",),
}
LONGEST = 60
"""A mutant that is not done by then runs forever: it is seen [processor s]."""

COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Add, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Add, ast.Pow: ast.Mult,
}  # fmt: skip
NAMES = {"min": "max", "max": "min", "any": "all", "all": "any"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """A module's tree with one change, and the change in words."""

    tree: ast.Module
    words: str


def mutants_of(source: str) -> Iterator[Mutant]:
    """Every mutant of a module; docstrings, messages and types are left alone."""
    whole = ast.parse(source)
    kept = _left_alone(whole)
    for number, node in enumerate(ast.walk(whole)):
        if id(node) in kept:
            continue
        for way in range(_ways(node)):
            tree = copy.deepcopy(whole)
            twin = next(other for index, other in enumerate(ast.walk(tree)) if index == number)
            before = ast.unparse(twin)
            _change(twin, way)
            line = getattr(node, "lineno", 0)
            yield Mutant(ast.fix_missing_locations(tree), f"line {line}: {before[:70]} -> {ast.unparse(twin)[:70]}")


def _left_alone(tree: ast.Module) -> set[int]:
    kept: set[int] = set()
    for node in ast.walk(tree):
        parts: list[ast.AST | None] = []
        if isinstance(node, ast.FunctionDef):
            parts += [node.returns, *(argument.annotation for argument in node.args.args), *node.decorator_list]
        if isinstance(node, ast.AnnAssign):
            parts.append(node.annotation)
        if isinstance(node, ast.JoinedStr | ast.Raise | ast.Import | ast.ImportFrom):
            parts.append(node)
        for part in parts:
            kept |= {id(inner) for inner in ast.walk(part)} if part is not None else set()
    return kept


def _ways(node: ast.AST) -> int:
    if isinstance(node, ast.Compare):
        return len(node.ops)
    if isinstance(node, ast.BinOp):
        return int(type(node.op) in OPERATORS)
    if isinstance(node, ast.Constant):
        return int(isinstance(node.value, int | float))
    if isinstance(node, ast.Name):
        return int(node.id in NAMES and isinstance(node.ctx, ast.Load))
    return int(isinstance(node, ast.BoolOp | ast.IfExp | ast.If)) + int(
        isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub)
    )


def _change(node: ast.AST, way: int) -> None:
    if isinstance(node, ast.Compare):
        node.ops[way] = COMPARISONS[type(node.ops[way])]()
    elif isinstance(node, ast.BinOp):
        node.op = OPERATORS[type(node.op)]()
    elif isinstance(node, ast.Constant):
        node.value = not node.value if isinstance(node.value, bool) else node.value + 1  # type: ignore[operator]
    elif isinstance(node, ast.Name):
        node.id = NAMES[node.id]
    elif isinstance(node, ast.BoolOp):
        node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
    elif isinstance(node, ast.IfExp | ast.If):
        node.test = ast.UnaryOp(ast.Not(), node.test)
    elif isinstance(node, ast.UnaryOp):
        node.op = ast.UAdd() if isinstance(node.op, ast.USub) else node.op
        if isinstance(node.op, ast.Not):
            node.operand = ast.UnaryOp(ast.Not(), node.operand)


class _Loader(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Loads one module from a tree."""

    def __init__(self, name: str, path: Path, tree: ast.Module) -> None:
        self.name, self.path, self.tree = name, path, tree

    def find_spec(
        self, fullname: str, path: object = None, target: object = None
    ) -> importlib.machinery.ModuleSpec | None:
        """Only for the module itself."""
        if fullname != self.name:
            return None
        return importlib.util.spec_from_file_location(fullname, self.path, loader=self)

    def exec_module(self, module: ModuleType) -> None:
        """Run the tree as the module."""
        exec(compile(self.tree, str(self.path), "exec"), module.__dict__)


def _path(name: str) -> Path:
    """The file of a module such as `layout.fit_rules`."""
    return ROOT / "capacity" / f"{name.replace('.', '/')}.py"


def survives(name: str, tree: ast.Module) -> bool:
    """Whether all tests pass with the tree as the module."""
    child = os.fork()
    if not child:
        signal.setitimer(signal.ITIMER_PROF, LONGEST)
        code = 1
        with contextlib.suppress(BaseException):
            import pytest

            sys.meta_path.insert(0, _Loader(f"capacity.{name}", _path(name), tree))
            with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
                quiet = ("-W", "ignore::pytest.PytestAssertRewriteWarning")  # loaded before the fork, as meant
                code = int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", *quiet, *TESTS[name]]))
        os._exit(code)
    _, status = os.waitpid(child, 0)
    return status == 0


def main() -> None:
    """Try the mutants and print what came of them."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("modules", nargs="*", default=list(TESTS))
    parser.add_argument("--every", type=int, default=1, metavar="N", help="only each N-th mutant")
    parser.add_argument("--from", type=int, default=0, dest="first", metavar="N", help="number of the first of them")
    options = parser.parse_args()
    os.chdir(ROOT)
    sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
    # loaded once, before the forks: everything that takes time and is not ours
    import hypothesis.strategies
    import numpy
    import ortools.sat.python.cp_model
    import pandas
    import pytest
    import streamlit.testing.v1  # noqa: F401

    del hypothesis, numpy, ortools, pandas, pytest
    for name in options.modules:
        source = _path(name).read_text(encoding="utf-8")
        began, tried, alive = time.monotonic(), 0, []
        if not survives(name, ast.parse(source)):
            sys.exit(f"{name}: the tests fail without any change")
        for number, mutant in enumerate(mutants_of(source)):
            if number % options.every == options.first % options.every:
                tried += 1
                if survives(name, mutant.tree):
                    alive.append(mutant.words)
                    print(f"  {name}, {mutant.words}", flush=True)
        share = 100 * (tried - len(alive)) / max(1, tried)
        print(
            f"{name}: {tried - len(alive)} of {tried} killed, {share:.0f} %, {time.monotonic() - began:.0f} s",
            flush=True,
        )


if __name__ == "__main__":
    main()
