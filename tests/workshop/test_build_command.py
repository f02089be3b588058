"""`capacity build`: the packet, the lists and drawings that it writes, what it refuses, and what is said of money."""

from __future__ import annotations

import csv
import io
import json
import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import ezdxf
import pypdf
import pytest
from support.built_samples import (
    INVENTORY,
    TOML,
    built_files,
    closet,
    folder_to_build,
    hand_made_plan,
    layout,
    stand_for,
)

from capacity.__main__ import main
from capacity.checks.cautions import DEFER
from capacity.closet.closet import read_closet
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.folder import read_folder
from capacity.makeover.plan import layout_of, plan_walls, read_plan
from capacity.makeover.plan_checks import check_plan
from capacity.solver.effort import Effort
from capacity.wardrobe.inventory import parse_inventory
from capacity.workshop.build_files import build
from capacity.workshop.job import prepare
from capacity.workshop.packet import breakable
from capacity.workshop.parts.carpentry import make_parts


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small folder with a plan."""
    return folder_to_build(tmp_path)


def test_build_writes_the_packet_and_the_same_again(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["build", str(folder)]) == 0
    assert "put together they are the plan's openings exactly" in capsys.readouterr().out
    first = built_files(folder)
    assert {"packet.pdf", "cut-list.csv", "shopping-list.csv", "parts.json", "plan.svg"} <= set(first)
    assert main(["build", str(folder)]) == 0
    assert built_files(folder) == first
    assert sorted(json.loads(first["parts.json"])["files"]) == sorted(first)
    seen = sorted(path.name for path in folder.iterdir() if not path.name.startswith("."))
    assert seen == ["build", "closet.toml", "inventory.csv", "plan.json"]


def test_the_packet_names_everything_and_counts_its_pages(folder: Path) -> None:
    assert main(["build", str(folder), "--paper", "a4"]) == 0
    reader = pypdf.PdfReader(io.BytesIO((folder / "build" / "packet.pdf").read_bytes()))
    pages = [page.extract_text() for page in reader.pages]
    for number, text in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in text
    whole = "\n".join(pages).replace("\xad", "-")  # how some readers give back a hyphen
    for part in json.loads((folder / "build" / "parts.json").read_text())["parts"]:
        assert part["label"] in whole
    for words in ("Cautions", "Shopping list", "Cut list", "Story sticks", "Order of work", "Where each pile goes"):
        assert words in whole
    assert "licensed practice" in whole
    width, height = (float(number) for number in reader.pages[0].mediabox[2:])
    assert (round(width), round(height)) == (595, 842)  # A4 in points


def test_what_falls_short_stands_on_page_1_with_its_cure_and_its_parts_are_marked(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A rod of 1 in, and no lamp in the file."""
    _with(folder, '[rod]\ndiameter = 1\nmaterial = "poplar"\n')
    assert main(["build", str(folder)]) == 1
    out = capsys.readouterr().out
    assert "falls short: thickness of the clothes pole" in out
    assert 'cure: take a rod 1 1/4" thick' in out
    assert "not checked: lamps: write [[lamp]]" in out
    reader = pypdf.PdfReader(io.BytesIO((folder / "build" / "packet.pdf").read_bytes()))
    first = " ".join(reader.pages[0].extract_text().replace("\u200b", "").split())
    for words in ("thickness of the clothes pole", 'take a rod 1 1/4" thick', "Not checked", "write [[lamp]]"):
        assert words in first
    record = json.loads((folder / "build" / "parts.json").read_text())
    rods = {part["label"] for part in record["parts"] if part["part"] == "rod"}
    marked = {label for item in record["falls_short"] if "clothes pole" in item["what"] for label in item["parts"]}
    assert marked == rods
    rows = csv.DictReader(io.StringIO((folder / "build" / "cut-list.csv").read_text()))
    assert {row["label"] for row in rows if "on page 1" in row["falls short"]} >= rods


def test_what_people_typed_is_text_and_never_markup(folder: Path) -> None:
    """Quotes, brackets, backslashes and typst's own signs in the closet's name, a wall and a pile."""
    hostile = '#panic() *bold* $x$ [a] <b>row</b> `code` @ref \\\\ \\"q\\" // gone /* all */ = head'
    text = (folder / "closet.toml").read_text().replace('Test <b>row</b> \\\\ \\"quoted\\"', hostile)
    (folder / "closet.toml").write_text(text)
    plan = json.loads((folder / "plan.json").read_text())
    name = read_closet(folder / "closet.toml").name
    plan["name"] = name
    (folder / "plan.json").write_text(json.dumps(plan))
    assert main(["build", str(folder)]) == 0
    reader = pypdf.PdfReader(io.BytesIO((folder / "build" / "packet.pdf").read_bytes()))
    first = " ".join(reader.pages[0].extract_text().replace("\u200b", "").split())
    for words in ("#panic()", "*bold*", "$x$", "[a]", "<b>row</b>", "`code`", "@ref", "// gone /* all */ = head"):
        assert words in first
    for path in (folder / "build").glob("*.svg"):
        root = ElementTree.fromstring(path.read_text(encoding="utf-8"))
        assert {element.tag.rpartition("}")[2] for element in root.iter()} <= {
            "svg", "title", "rect", "g", "path", "text", "circle",
        }  # fmt: skip


def test_long_words_can_break_and_short_ones_stay() -> None:
    assert breakable("one two") == "one two"
    assert breakable("a" * 40).replace("\u200b", "") == "a" * 40
    assert max(len(piece) for piece in breakable("a" * 40).split("\u200b")) <= 18


def test_a_spreadsheet_reads_the_lists_as_text_and_numbers(folder: Path) -> None:
    assert main(["build", str(folder)]) == 0
    rows = list(csv.DictReader(io.StringIO((folder / "build" / "cut-list.csv").read_text())))
    parts = json.loads((folder / "build" / "parts.json").read_text())["parts"]
    assert [row["label"] for row in rows] == [part["label"] for part in parts]
    assert [float(row["length (in)"]) for row in rows] == [part["length"] for part in parts]
    cells = [cell for row in rows for cell in row.values()]
    assert not any(re.match(r"[=+@\t]|-[^0-9]", cell) for cell in cells)
    from capacity.workshop.build_files import _guarded

    guarded = {"=1+1": "'=1+1", "-5": "-5", "-x": "'-x", "'a": "''a", "1-U1": "1-U1"}
    assert {text: _guarded(text) for text in guarded} == guarded


def test_json_prints_the_record_and_nothing_else(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["build", str(folder), "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    assert record["schema"] == "capacity.build/1"
    assert record["sheets"]["panel"]["is_proven"]


def test_dxf_holds_the_same_outlines(folder: Path) -> None:
    assert main(["build", str(folder)]) == 0
    document = ezdxf.readfile(folder / "build" / "wall-1-parts.dxf")
    outlines = document.modelspace().query("LWPOLYLINE")
    house = closet()
    wanted = [
        part
        for part in make_parts(house, size_problem(house, parse_inventory(INVENTORY, "in")), layout(house)).parts
        if part.wall == 1
    ]
    closed = [outline for outline in outlines if outline.closed]
    assert len(closed) == len(wanted)
    assert document.units == 4  # millimetres


def test_metric_folders_print_millimetres(tmp_path: Path) -> None:
    text = f'units = "mm"\n{TOML}'
    for number in (96, 84, 70, 16, 80):
        text = re.sub(rf"(= \[?){number}\b", rf'\g<1>"{number} in"', text)
    text = text.replace("sheet = [48, 96]", 'sheet = ["48 in", "96 in"]').replace('sheet = [48, "96 in"]', "")
    text = text.replace('"69 7/8"', '"69 7/8 in"').replace('"23/32"', '"23/32 in"')
    (tmp_path / "closet.toml").write_text(text)
    inventory = INVENTORY.replace("width,depth,height,drop,rod", "width,depth,height,drop,rod")
    inventory = re.sub(r",(\d+),(\d+),(\d+),,,", r",\1 in,\2 in,\3 in,,,", inventory).replace("38,1,", "38 in,1 in,")
    (tmp_path / "inventory.csv").write_text(inventory)
    house, piles = read_folder(tmp_path)
    assert house.units == "mm"
    plan = hand_made_plan(closet())
    metric = plan.model_copy(
        update={
            "units": "mm",
            "walls": plan_walls(layout_of(plan.walls, "in", (True,)), "mm"),
            "before": plan.before.model_copy(update={"walls": plan.before.walls}),
        }
    )
    made = prepare(house, piles, metric, Effort(factor=0.1))
    build(tmp_path, made, "a4")
    record = json.loads((tmp_path / "build" / "parts.json").read_text())
    uprights = [part for part in record["parts"] if part["part"] == "upright"]
    assert {part["length"] for part in uprights} == {84 * 25.4}
    rows = list(csv.DictReader(io.StringIO((tmp_path / "build" / "cut-list.csv").read_text())))
    assert all("'" not in row["length to cut"].lstrip("'") for row in rows)


def _with(folder: Path, more: str) -> None:
    (folder / "closet.toml").write_text((folder / "closet.toml").read_text() + more)
    stand_for(folder, read_plan(folder / "plan.json"))


ALL_PRICES = "\n".join(
    f"{key} = 2.5"
    for key in (
        "rod", "edge_band", "rod_sockets", "shelf_pins", "pocket_screws", "wall_screws", "short_screws", "box_screws",
        "slides", "pulls", "wall_anchors", "glue", "sandpaper", "shims", "caulk", "primer", "paint",
    )
)  # fmt: skip


def test_over_budget_exits_1_and_names_the_dearest(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _with(folder, "budget = 100\n")
    assert main(["build", str(folder)]) == 1
    error = capsys.readouterr().err
    assert "above the budget of $100.00. The dearest lines: board for uprights and shelves" in error
    assert (folder / "build" / "packet.pdf").exists()
    assert json.loads((folder / "build" / "parts.json").read_text())["shopping"]["is_over_budget"]


def test_tax_and_reserve_are_lines_and_a_full_price_list_is_not_partial(folder: Path) -> None:
    sheets = "".join(f'[[sheet]]\nfor = "drawer {name}"\nsize = [24, 48]\nprice = 10\n' for name in ("box", "bottom"))
    _with(folder, f"[prices]\ntax = 0.0825\nreserve = 0.1\n{ALL_PRICES}\n{sheets}")
    assert main(["build", str(folder)]) == 0
    shopping = json.loads((folder / "build" / "parts.json").read_text())["shopping"]
    assert not shopping["is_partial"]
    by_hand = round(sum(round(100 * line["price"]) * line["packs"] for line in shopping["lines"]))
    assert round(100 * shopping["sum"]) == by_hand
    assert round(100 * shopping["tax"]) == -(-by_hand * 825 // 10000)
    assert shopping["total"] == pytest.approx(shopping["sum"] + shopping["tax"] + shopping["reserve"])


def test_prices_and_construction_need_no_new_search(folder: Path) -> None:
    """The plan still fits the folder, so it is built; another count is refused."""
    _with(folder, '[prices]\nrod = 12\n[construction]\njoint = "dado"\n')
    assert main(["build", str(folder)]) == 0


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("sheet = [48, 96]", "sheet = [48, 60]", "fits on no sheet"),
        ("price = 62", 'price = "62,00"', "has a comma"),
        ("top = 84", "top = 80", "plan.json"),
        ('name = "back"', 'name = "rear"', "is not another wall"),
    ],
)
def test_bad_input_is_one_line_exit_2_and_nothing_written(
    folder: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, said: str
) -> None:
    (folder / "closet.toml").write_text((folder / "closet.toml").read_text().replace(old, new))
    stand_for(folder, read_plan(folder / "plan.json"))
    assert main(["build", str(folder)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert all(said in line for line in lines[:1] or [""])
    assert len(lines) == 1 or all(line.startswith("plan.json, ") for line in lines)
    assert not (folder / "build").exists()


def test_the_packet_says_every_caution_of_the_checks(folder: Path) -> None:
    """They had drifted apart: sprayed ceilings only on paper, dust limits and the carcass's weight only in `check`."""
    assert main(["build", str(folder)]) in (0, 1)
    reader = pypdf.PdfReader(folder / "build" / "packet.pdf")
    printed = "".join("".join(page.extract_text() for page in reader.pages).replace("\u200b", "").split())
    house, piles = read_folder(folder)
    report = check_plan(house, piles, read_plan(folder / "plan.json"))
    assert len(report.cautions) >= 9
    for caution in report.cautions:
        assert "".join(f"{caution.topic.capitalize()}".split()) in printed
        assert "".join(caution.words.removesuffix(DEFER).split()) in printed  # who decides is said once, for all
    assert "".join(DEFER.split()) in printed
