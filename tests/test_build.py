"""The whole way from a sample to the build folder: drawings, cut list and sheets agree, and nothing is half written."""

from __future__ import annotations

import csv
import errno
import io
import json
import os
import re
import xml.etree.ElementTree as ElementTree
from collections import Counter
from pathlib import Path
from typing import Any

import ezdxf
import pypdf
import pytest
from built_samples import INVENTORY, TOML, closet, layout
from cases import INCH

import capacity
from capacity import build_folder
from capacity.__main__ import main
from capacity.build_files import build, parts_record
from capacity.carpentry import make_parts
from capacity.closet import Closet, read_closet
from capacity.cutting import cutting_faults
from capacity.drawing import Dimension, Rectangle
from capacity.effort import Effort
from capacity.errors import InputError
from capacity.inventory import parse_inventory
from capacity.job import Job, prepare
from capacity.packet import breakable
from capacity.parts import Lie, Material, Part, Role
from capacity.pictures import pictures
from capacity.plan import Plan, PlanSide, PlanValue, format_plan, layout_of, plan_walls
from capacity.rebuilding import rebuilt
from capacity.samples import SAMPLES
from capacity.saw_steps import cuts_of, offcuts_of
from capacity.shopping import shopping_list
from capacity.sizing import size_problem, todays_layout
from capacity.solving import make_plan, read_folder
from capacity.stock import pieces_of, saw_of
from capacity.story_stick import story_sticks
from capacity.units import Units, from_number

SAMPLE_FOLDER = Path(capacity.__file__).parent.parent / "inventory_samples"


BUSY = """[construction]
supports = "cleats"
nosing = { thickness = 0.5, height = 1.5 }
back = "1/4"
joint = "dado"
shelf_support_every = 20
rod_support_every = 20
[panel.cleat]
thickness = 0.75
height = 1
"""


@pytest.fixture(scope="module", params=SAMPLES)
def job(request: pytest.FixtureRequest) -> Job:
    """A job made of a sample with a short search."""
    house, inventory = read_folder(SAMPLE_FOLDER / request.param)
    plan = make_plan(house, inventory, Effort(factor=0.01))
    return prepare(house, inventory, plan, Effort(factor=0.1))


def _hand_made_plan(house: Closet) -> Plan:
    """The plan of `built_samples`, as `fit` would write it."""
    made = layout(house)
    held = Counter(made.stored())
    inventory = parse_inventory(INVENTORY, "in")
    before = plan_walls(todays_layout(house), house.units)
    sides = {"value": 1, "value_bound": 1, "capacity_multiple": 1.0, "capacity_multiple_at_most": 1.0, "multiples": {},
             "pieces": sum(pile.count for pile in inventory.piles)}  # fmt: skip
    return Plan(
        units=house.units, name=house.name, inputs="", corners=("left & first",),
        walls=plan_walls(made, house.units),
        left_out=tuple(
            {"row": pile.row, "count": pile.count - held[pile.row], "reason": "no room"}  # type: ignore[misc]
            for pile in inventory.piles if held[pile.row] < pile.count
        ),
        value=PlanValue(stored=1, all=1, bound=1, status="optimal"), goals=(),
        before=PlanSide(**sides, stored=0, walls=before),
        after=PlanSide(**sides, stored=sum(held.values()), walls=plan_walls(made, house.units)),
        rule_of_thumb=0, rule_of_thumb_bound=0, seconds=0.0, seed=0, stopped_early=False,
    )  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small folder with a plan."""
    (tmp_path / "closet.toml").write_text(f'units = "in"\n{TOML}')
    (tmp_path / "inventory.csv").write_text(INVENTORY)
    (tmp_path / "plan.json").write_text(format_plan(_hand_made_plan(closet())))
    return tmp_path


# ---- every sample -----------------------------------------------------------------------------------------


def test_every_part_is_drawn_listed_and_cut_exactly_once(job: Job) -> None:
    labels = Counter(part.label for part in job.carcass.parts)
    assert set(labels.values()) == {1}
    drawn: Counter[str] = Counter()
    on_sheets: Counter[str] = Counter()
    for picture in pictures(job):
        words = Counter(word for text in picture.drawing.texts() for word in re.split(r"\s+", text.words))
        if picture.name.endswith("-parts"):
            drawn += Counter({word: count for word, count in words.items() if word in labels})
            outlines = [s.opening for s in picture.drawing.shapes if isinstance(s, Rectangle) and s.opening]
            assert Counter(outlines) == Counter({word: 1 for word in words if word in labels})
        if picture.name.startswith("sheet-"):
            on_sheets += Counter({word: count for word, count in words.items() if word in labels})
    assert drawn == labels
    sheet_parts = {part.label: 1 for part in job.carcass.parts if part.material.is_sheet}
    assert on_sheets == Counter(sheet_parts)
    placed = [
        piece.label
        for use, cut_list in [*job.sheets.items(), *job.sticks.items()]
        if use != "edge band"
        for one in cut_list.plan.layouts
        for piece in one.placed
    ]
    assert Counter(placed) == labels
    record = parts_record(job, shopping_list(job), ())
    assert Counter(part["label"] for part in record["parts"]) == labels


def _parts_of(record: dict[str, Any]) -> list[Part]:
    """Parts read back from `parts.json`, in ticks."""
    units: Units = record["units"]

    def ticks(number: float) -> int:
        return from_number(number, units)

    return [
        Part(
            one["label"], Role(one["part"]), Material(one["material"]),
            *(ticks(one[name]) for name in ("length", "width", "thickness")),
            one["grain"], one["banded_long"], one["banded_short"], one["wall"], one["bay"] or 0,
            ticks(one["left"]), ticks(one["bottom"]), Lie(one["lies"]),
        )
        for one in record["parts"]
    ]  # fmt: skip


def test_the_written_parts_alone_make_the_openings_of_the_plan(job: Job) -> None:
    """From the text of `parts.json` to the openings of `plan.json`, each to the tick."""
    record = json.loads(json.dumps(parts_record(job, shopping_list(job), ())))
    bays = rebuilt(_parts_of(record), job.closet)
    openings = 0
    for w, wall in enumerate(job.plan.walls, 1):
        for b, bay in enumerate(wall.bays, 1):
            made = bays[w, b]
            place = tuple(from_number(number, job.plan.units) for number in (bay.left, bay.width, bay.depth))
            assert (made.left, made.width, made.depth) == place
            for opening in bay.openings:
                bottom, height = (from_number(number, job.plan.units) for number in (opening.bottom, opening.height))
                assert (bottom, height) in made.gaps or bottom == made.top
                openings += 1
    assert openings == sum(len(bay.openings) for wall in job.plan.walls for bay in wall.bays)


def test_areas_and_lengths_add_up(job: Job) -> None:
    saw = saw_of(job.closet)
    for material, cut_list in job.sheets.items():
        parts = job.carcass.sheet_parts(material)
        assert list(cutting_faults(pieces_of(parts), cut_list.plan.layouts, saw)) == []
        placed = [piece for one in cut_list.plan.layouts for piece in one.placed]
        assert sum(piece.across * piece.along for piece in placed) == sum(part.area for part in parts)
        for number, one in enumerate(cut_list.plan.layouts, 1):
            used = sum(piece.across * piece.along for piece in one.placed)
            rest = sum(offcut.across * offcut.along for offcut in offcuts_of(one, saw, number))
            trimmed = (one.stock.length - 2 * saw.trim) * (one.stock.width - 2 * saw.trim)
            sawdust = saw.kerf * sum(cut.end - cut.start for cut in cuts_of(one, saw))
            assert 0 <= trimmed - used - rest <= sawdust
            numbers = [cut.number for cut in cuts_of(one, saw)]
            assert numbers == list(range(1, len(numbers) + 1))
        assert cut_list.plan.bound <= cut_list.plan.cost == sum(one.stock.cost for one in cut_list.plan.layouts)
    for use, cut_list in job.sticks.items():
        for one in cut_list.plan.layouts:
            assert sum(piece.along for piece in one.placed) <= one.stock.length
        if use == "edge band":
            lengths = [length for part in job.carcass.parts for length in part.band_lengths]
            total = sum(piece.along for one in cut_list.plan.layouts for piece in one.placed)
            assert total == sum(lengths) + 4 * INCH * len(lengths)


def test_no_two_texts_of_a_drawing_overlap_and_all_are_on_their_sheet(job: Job) -> None:
    for picture in pictures(job):
        texts = picture.drawing.texts()
        clashes = [
            (one.words, other.words)
            for index, one in enumerate(texts)
            for other in texts[:index]
            if one.extent.overlaps(other.extent)
        ]
        assert clashes == [], picture.name
        outside = [
            text.words
            for text in texts
            if text.extent.left < 0
            or text.extent.bottom < 0
            or text.extent.right > picture.drawing.width
            or text.extent.top > picture.drawing.height
        ]
        assert outside == [], picture.name


def test_chains_of_dimensions_add_up_to_the_wall(job: Job) -> None:
    for picture in pictures(job):
        if picture.name.endswith("-parts"):
            rows: dict[int, list[Dimension]] = {}
            for shape in picture.drawing.shapes:
                if isinstance(shape, Dimension):
                    rows.setdefault(shape.at, []).append(shape)
            assert len(rows) == 2
            sums = {sum(dimension.length for dimension in row) for row in rows.values()}
            wall = int(picture.name.split("-")[1]) - 1
            assert sums == {job.problem.runs[wall].width}


def test_story_sticks_hold_every_height_of_both_sides(job: Job) -> None:
    for wall, run in enumerate(job.problem.runs, 1):
        parts = [part for part in job.carcass.parts if part.wall == wall]
        marked = Counter(
            label
            for stick in story_sticks(parts, wall)
            for mark in (*stick.left, *stick.right)
            for label in mark.labels
        )
        on_sticks = (Role.BOTTOM, Role.TOP, Role.FIXED, Role.LOOSE, Role.CLEAT, Role.ROD)
        assert marked == Counter({part.label: 2 for part in parts if part.role in on_sticks}), run.name


def test_every_svg_is_well_formed_and_shows_what_the_record_says(job: Job) -> None:
    for picture in pictures(job):
        root = ElementTree.fromstring(picture.svg)
        shown = [element.text for element in root.iter("{http://www.w3.org/2000/svg}text")]
        lines = sum(text.words.count("\n") + 1 for text in picture.drawing.texts())
        assert len(shown) >= lines


def test_whole_packs_and_sums(job: Job) -> None:
    shopping = shopping_list(job)
    assert shopping.total == shopping.subtotal + shopping.tax + shopping.reserve
    assert shopping.subtotal == sum(line.total or 0 for line in shopping.lines)
    assert shopping.is_partial
    sheets = sum(line.packs for line in shopping.lines if line.pack.startswith("sheet "))
    assert sheets == sum(len(cut_list.plan.layouts) for cut_list in job.sheets.values())
    for line in shopping.lines:
        assert line.packs >= 1
        assert line.how


# ---- the command ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("more", "assembly"),
    [("", "whole"), (BUSY, "whole"), ("", "two pieces"), (BUSY, "on a base")],
    ids=["usual", "everything", "two pieces", "everything on a base"],
)
def test_a_build_with_every_kind_of_part_is_drawn_clearly_too(more: str, assembly: str) -> None:
    house = closet(more).model_copy(update={"assembly": assembly})
    made = prepare(house, parse_inventory(INVENTORY, "in"), _hand_made_plan(house), Effort(factor=0.1))
    roles = {part.role for part in made.carcass.parts}
    assert not more or {Role.NOSING, Role.SHELF_CLEAT, Role.SUPPORT, Role.BACK, Role.ROD, Role.FRONT} <= roles
    test_every_part_is_drawn_listed_and_cut_exactly_once(made)
    test_areas_and_lengths_add_up(made)
    test_no_two_texts_of_a_drawing_overlap_and_all_are_on_their_sheet(made)
    test_the_written_parts_alone_make_the_openings_of_the_plan(made)


def _files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted((folder / "build").iterdir())}


def test_build_writes_the_packet_and_the_same_again(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["build", str(folder)]) == 0
    assert "put together they are the plan's openings to the tick" in capsys.readouterr().out
    first = _files(folder)
    assert {"packet.pdf", "cut-list.csv", "shopping-list.csv", "parts.json", "plan.svg"} <= set(first)
    assert main(["build", str(folder)]) == 0
    assert _files(folder) == first
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
    from capacity.build_files import _guarded

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
    plan = _hand_made_plan(closet())
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


# ---- budget, prices ---------------------------------------------------------------------------------------


def _with(folder: Path, more: str) -> None:
    (folder / "closet.toml").write_text((folder / "closet.toml").read_text() + more)


ALL_PRICES = "\n".join(
    f"{key} = 2.5"
    for key in (
        "rod", "edge_band", "rod_sockets", "shelf_pins", "pocket_screws", "wall_screws", "short_screws", "box_screws",
        "slides", "pulls", "wall_anchors", "glue", "sandpaper", "shims", "caulk", "primer", "paint",
    )
)  # fmt: skip


def test_over_budget_exits_1_and_names_the_dearest(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _with(folder, "[wishes]\nbudget = 100\n")
    assert main(["build", str(folder)]) == 1
    error = capsys.readouterr().err
    assert "above the budget of $100.00; the dearest lines: board for uprights and shelves" in error
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
    assert main(["build", str(folder)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 1
    assert said in lines[0]
    assert not (folder / "build").exists()


def test_a_plan_for_another_count_is_refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "inventory.csv").write_text(INVENTORY.replace("sneakers,6", "sneakers,5"))
    assert main(["build", str(folder)]) == 2
    assert "another count (row 1 of the inventory); run `capacity fit` again" in capsys.readouterr().err


# ---- whole or not at all ----------------------------------------------------------------------------------


def test_a_full_disk_at_any_file_leaves_the_old_build_whole(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = {"parts.json": b'{"schema": "capacity.build/1", "files": ["parts.json", "a"]}', "a": b"old"}
    build_folder.write_folder(folder, files)
    before = _files(folder)
    real = build_folder._write
    for failing in range(2):
        calls = 0

        def full(path: Path, data: bytes, failing: int = failing) -> None:
            nonlocal calls
            calls += 1
            if calls > failing:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            real(path, data)

        monkeypatch.setattr(build_folder, "_write", full)
        with pytest.raises(InputError, match="No space left"):
            build_folder.write_folder(folder, {**files, "a": b"new"})
        assert _files(folder) == before
        assert not list(folder.glob(".build*"))


@pytest.mark.parametrize("failing", [0, 1])
def test_a_swap_that_fails_half_way_leaves_the_old_build(
    folder: Path, monkeypatch: pytest.MonkeyPatch, failing: int
) -> None:
    files = {"parts.json": b'{"schema": "capacity.build/1", "files": ["parts.json"]}'}
    build_folder.write_folder(folder, files)
    real, calls = os.replace, 0

    def denied(source: Any, target: Any) -> None:
        nonlocal calls
        calls += 1
        if calls == failing + 1:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        real(source, target)

    monkeypatch.setattr(os, "replace", denied)
    with pytest.raises(InputError, match="Permission denied"):
        build_folder.write_folder(folder, {**files, "b": b"new"})
    assert _files(folder) == files
    assert not list(folder.glob(".build*"))


def test_a_run_killed_between_the_two_renames_is_made_good(folder: Path) -> None:
    files = {"parts.json": b'{"schema": "capacity.build/1", "files": ["parts.json"]}'}
    build_folder.write_folder(folder, files)
    (folder / "build").rename(folder / ".build-old")
    (folder / ".build-new-x").mkdir()
    build_folder.require_ours(folder)
    assert _files(folder) == files
    assert not list(folder.glob(".build*"))


def test_a_build_folder_with_somebody_elses_file_is_not_touched(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["build", str(folder)]) == 0
    (folder / "build" / "my notes.txt").write_text("mine")
    before = _files(folder)
    assert main(["build", str(folder)]) == 2
    assert "my notes.txt: was not written by this program" in capsys.readouterr().err
    assert _files(folder) == before
    (folder / "build" / "parts.json").unlink()
    assert main(["build", str(folder)]) == 2


@pytest.mark.parametrize("where", ["the folder", "temporary files"])
def test_a_folder_without_permission_is_one_line(folder: Path, capsys: pytest.CaptureFixture[str], where: str) -> None:
    real = build_folder.tempfile.mkdtemp

    def refuse(*given: Any, **named: Any) -> str:
        if (named.get("prefix") == ".build-new-") == (where == "the folder"):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        made: str = real(*given, **named)
        return made

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(build_folder.tempfile, "mkdtemp", refuse)
        assert main(["build", str(folder)]) == 2
    assert "cannot be written" in capsys.readouterr().err
    assert not (folder / "build").exists()
