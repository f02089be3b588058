"""The papers: example files are read, figures are those of the record, files that are named are there, all is short."""

from __future__ import annotations

import json
import re
import sys
import tomllib
from importlib.metadata import distribution
from pathlib import Path

import pytest
import samples

import capacity
from capacity.closet.closet import parse_closet
from capacity.units import Rounding, parse_length
from capacity.wardrobe.inventory import parse_inventory
from capacity.wardrobe.kinds import kinds

ROOT = Path(__file__).parents[1]
PAPERS = {"README.md": 200, "DEVELOPERS.md": 110, "tests/README.md": 200, "tests/benchmarks/README.md": 300}
"""The papers, and how many lines each may have."""

LONGEST_CELL = 220
"""Two lines of a table as it is shown."""

PACKAGE = Path(capacity.__file__).parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def _blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", README, re.MULTILINE | re.DOTALL)


def test_the_two_files_of_a_folder_are_read() -> None:
    closet, wishes = _blocks("toml")
    (inventory,) = _blocks("csv")
    facts = parse_closet(closet)
    assert (len(facts.wall), len(facts.before[0].openings)) == (1, 3)
    assert parse_inventory(inventory, facts.units).pieces == 25
    settled = parse_closet(closet + wishes.replace('"left"', '"back"')).wishes
    assert (settled.budget, settled.keep_to[0].owner, settled.drawers[0].count) == (700, "Robin", 4)


def test_lengths_and_kinds_are_as_it_says() -> None:
    written = re.search(r"A length may be written (.*?)\. ", README, re.DOTALL)
    assert written is not None
    lengths = re.findall(r"`([^`]+)`", written[1])
    assert len(lengths) == 5
    assert all(parse_length(text, "in", Rounding.UP) for text in lengths)
    number = re.search(r"one of ([0-9]+) kinds", README)
    assert number is not None
    assert len(set(kinds())) == int(number[1])


def test_figures_and_picture_are_those_of_the_record() -> None:
    """`python tests/benchmarks/samples.py` writes all three; none is typed by hand."""
    record = json.loads(samples.RECORD.read_text(encoding="utf-8"))
    assert set(record) == set(samples.SAMPLES)
    assert samples.with_figures(README, record) == README
    example = record[samples.DEFAULT]
    assert example["picture"] == samples.digest_of(samples.PICTURE)
    assert f"{example['stored']} of {example['all']}" in "\n".join(example["printed"])
    assert f"]({samples.PICTURE.relative_to(ROOT).as_posix()})" in README


def test_another_record_would_be_seen() -> None:
    record = json.loads(samples.RECORD.read_text(encoding="utf-8"))
    record["family-walk-in"]["stored"] += 1
    assert samples.with_figures(README, record) != README


@pytest.mark.parametrize("paper", PAPERS)
def test_a_paper_is_short_and_its_tables_can_be_read(paper: str) -> None:
    lines = (ROOT / paper).read_text(encoding="utf-8").splitlines()
    assert len(lines) <= PAPERS[paper]
    cells = [cell for line in lines if line.startswith("|") for cell in line.strip("|").split(" | ")]
    assert [cell for cell in cells if len(cell) > LONGEST_CELL] == []


@pytest.mark.parametrize("paper", PAPERS)
def test_every_file_that_a_paper_names_is_there(paper: str) -> None:
    """Paths in backticks, from the folder of the paper, the top or the package; links and their headings."""
    text = (ROOT / paper).read_text(encoding="utf-8")
    here = (ROOT / paper).parent
    named = re.findall(r"`(?:python )?([\w./-]+/[\w.-]+)[` ]", text)
    strangers = [
        name for name in named if name[0] != "." and not any(_is_there(place / name) for place in (here, ROOT, PACKAGE))
    ]
    assert strangers == []
    targets = re.findall(r"\]\(([^)]+)\)", text)
    assert named or targets
    for target in targets:
        path, _, heading = target.partition("#")
        linked = here / path if path else ROOT / paper
        assert linked.exists(), target
        headings = re.findall(r"^#+ (.*)$", linked.read_text(encoding="utf-8"), re.MULTILINE) if heading else []
        assert not heading or heading in [re.sub(r"[^\w -]", "", name).replace(" ", "-").lower() for name in headings]


def _is_there(path: Path) -> bool:
    return path.exists() or (not path.suffix and path.with_suffix(".py").exists())


def test_every_class_of_the_glossary_is_there() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    glossary = text[text.index("## Glossary") : text.index("## Dependencies")]
    names = re.findall(r"\*\*([A-Z][a-z]+[A-Z]\w+)\*\*", glossary)
    assert len(names) >= 20
    code = "\n".join(path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py"))
    assert [name for name in names if not re.search(rf"^(class )?{name}\b", code, re.MULTILINE)] == []


def test_what_is_imported_is_declared_and_told() -> None:
    """What the package imports stands in pyproject.toml and, with its reason, in DEVELOPERS.md."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    declared = {
        re.split("[<>=]", item)[0] for item in project["dependencies"] + project["optional-dependencies"]["dxf"]
    }
    told = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("## Dependencies")[1]
    assert [name for name in sorted(declared) if not re.search(rf"\b{name}\b", told)] == []
    code = "\n".join(path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py"))
    imported = set(re.findall(r"^ *(?:import |from (?=\S+ import ))([a-z_0-9]+)", code, re.MULTILINE))
    offered = {line.split("/")[0].split(".")[0] for name in declared for line in _files_of(name)}
    taken_along = {"starlette"}  # of streamlit, whose server it is
    assert imported - offered - taken_along - {"capacity"} - sys.stdlib_module_names == set()


def _files_of(library: str) -> list[str]:
    return (distribution(library).read_text("RECORD") or "").splitlines()


def test_every_benchmark_command_is_in_the_list() -> None:
    text = (ROOT / "tests" / "benchmarks" / "README.md").read_text(encoding="utf-8")
    scripts = [path for path in (ROOT / "tests" / "benchmarks").glob("*.py") if "__main__" in path.read_text("utf-8")]
    assert len(scripts) >= 15
    assert [path.name for path in scripts if f"`{path.name}" not in text] == []
