"""What each command loads: only those that search load the solver, only the page loads Streamlit."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from support.cases import one_wall

from capacity.makeover.folder import read_folder_at_once
from capacity.makeover.plan import write_plan
from capacity.makeover.samples import start_folder
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan

HEAVY = {"highspy", "numpy", "ortools", "pandas", "plotly", "pydantic", "rich", "streamlit", "tomlkit", "typst"}
RUN = f"""
import sys
{{code}}
print("loaded", *sorted({HEAVY!r} & set(sys.modules)), file=sys.stderr)
"""
COMMAND = """
from capacity.__main__ import main
try:
    main({arguments!r})
except SystemExit:
    pass
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("closet")
    (place / "closet.toml").write_text(one_wall())
    (place / "inventory.csv").write_text("what,count,size,owner\nsneakers,4,US M 9,Ann\nshirt,5,M,\n")
    closet, inventory, texts = read_folder_at_once(place)
    write_plan(make_plan(closet, inventory, Effort(factor=0.01), texts.digest), place / "plan.json")
    return place


def _ran(code: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", RUN.replace("{code}", code)], capture_output=True, text=True, timeout=120, check=True
    )


def _loaded(code: str) -> set[str]:
    done = _ran(code)
    (line,) = [line for line in done.stderr.splitlines() if line.startswith("loaded")]
    return set(line.split()[1:])


def _loaded_by(*arguments: str) -> set[str]:
    return _loaded(COMMAND.replace("{arguments!r}", repr(list(arguments))))


def test_the_package_and_its_help_load_nothing() -> None:
    assert _loaded("import capacity; assert 'read' in dir(capacity)") == set()
    assert _loaded_by("--help") == set()
    assert _loaded_by("fit", "--help") == set()
    assert _loaded("from capacity import InputError") == set()


def test_what_only_reads_loads_no_solver_no_table_and_no_page(folder: Path) -> None:
    reading = {"pydantic", "tomlkit"}
    assert _loaded_by("count", str(folder)) <= reading
    assert _loaded_by("compare", str(folder)) <= reading | {"rich"}
    assert _loaded_by("compare", str(folder), "--json") <= reading
    assert _loaded_by("check", str(folder)) <= reading | {"rich", "numpy"}


def test_the_page_reads_a_folder_without_the_solver(folder: Path) -> None:
    """The digest by which a plan knows its inputs, asked for by every run of the page, and the folder itself."""
    ask = "from pathlib import Path; from capacity.page.household import fingerprint, read_household"
    reads = f"{ask}; place = Path({str(folder)!r}); assert fingerprint(place); assert not read_household(place).faults"
    assert _loaded(reads) & {"ortools", "highspy"} == set()


def test_filling_what_stands_loads_no_table(tmp_path: Path) -> None:
    """CP-SAT loads pandas, which takes longer than to fill a family's closet without it."""
    start_folder(tmp_path / "family", "family-walk-in")
    assert _loaded_by("refill", str(tmp_path / "family")) & {"pandas", "plotly", "streamlit", "typst"} == set()


def test_a_notebook_loads_a_table_only_when_it_asks_for_one(folder: Path) -> None:
    ask = f"import capacity; found = capacity.compare(capacity.read({str(folder)!r}))"
    assert "pandas" not in _loaded(ask)
    assert "pandas" in _loaded(f"{ask}.to_frame()")


def test_a_search_loads_the_solver_and_no_page(folder: Path) -> None:
    """So the guard above can see a solver at all; OR-Tools itself takes pandas along."""
    loaded = _loaded_by("fit", str(folder), "--seconds", "1", "--json")
    assert "ortools" in loaded
    assert loaded & {"plotly", "streamlit", "typst"} == set()
