"""From a sample to everything that is made of it: drawings, cut list and sheets agree, and all parts make the plan."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ElementTree
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from support.awkward import quick_plan
from support.built_samples import INVENTORY, closet, hand_made_plan
from support.cases import INCH

import capacity
from capacity.drawings.drawing import Dimension, Rectangle
from capacity.makeover.folder import read_folder
from capacity.makeover.samples import SAMPLES
from capacity.solver.effort import Effort
from capacity.units import Units, from_number
from capacity.wardrobe.inventory import parse_inventory
from capacity.workshop.build_files import parts_record
from capacity.workshop.cutting.cutting_plan import cutting_faults
from capacity.workshop.cutting.saw_steps import cuts_of, offcuts_of
from capacity.workshop.job import Job, prepare
from capacity.workshop.parts.parts import SHEETS, Lie, Part, Role, StockKind
from capacity.workshop.parts.reassembly import rebuilt
from capacity.workshop.pictures import Picture, pictures
from capacity.workshop.shopping import shopping_list
from capacity.workshop.stock import pieces_of, saw_of
from capacity.workshop.story_stick import story_sticks

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
    """A job made of a sample without a search."""
    house, inventory = read_folder(SAMPLE_FOLDER / request.param)
    return prepare(house, inventory, quick_plan(house, inventory), _no_work())


def _no_work() -> Effort:
    """Boards are cut in the first way that is found."""
    effort = Effort()
    effort.stop()
    return effort


Drawn = tuple[Picture, ...]


@pytest.fixture(scope="module")
def drawn(job: Job) -> Drawn:
    return tuple(pictures(job))


def test_every_part_is_drawn_listed_and_cut_exactly_once(job: Job, drawn: Drawn) -> None:
    labels = Counter(part.label for part in job.carcass.parts)
    assert set(labels.values()) == {1}
    shown: Counter[str] = Counter()
    on_sheets: Counter[str] = Counter()
    for picture in drawn:
        words = Counter(word for text in picture.drawing.texts() for word in re.split(r"\s+", text.words))
        if picture.name.endswith("-parts"):
            shown += Counter({word: count for word, count in words.items() if word in labels})
            outlines = [s.opening for s in picture.drawing.shapes if isinstance(s, Rectangle) and s.opening]
            assert Counter(outlines) == Counter({word: 1 for word in words if word in labels})
        if picture.name.startswith("sheet-"):
            on_sheets += Counter({word: count for word, count in words.items() if word in labels})
    assert shown == labels
    sheet_parts = {part.label: 1 for part in job.carcass.parts if part.material in SHEETS}
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
            one["label"], Role(one["part"]), StockKind(one["material"]),
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


def test_no_two_texts_of_a_drawing_overlap_and_all_are_on_their_sheet(drawn: Drawn) -> None:
    for picture in drawn:
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


def test_chains_of_dimensions_add_up_to_the_wall(job: Job, drawn: Drawn) -> None:
    for picture in drawn:
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


def test_every_svg_is_well_formed_and_shows_what_the_record_says(drawn: Drawn) -> None:
    for picture in drawn:
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


@pytest.mark.parametrize(
    ("more", "assembly"),
    [("", "whole"), (BUSY, "whole"), ("", "two pieces"), (BUSY, "on a base")],
    ids=["usual", "everything", "two pieces", "everything on a base"],
)
def test_a_build_with_every_kind_of_part_is_drawn_clearly_too(more: str, assembly: str) -> None:
    house = closet(more).model_copy(update={"assembly": assembly})
    made = prepare(house, parse_inventory(INVENTORY, "in"), hand_made_plan(house), _no_work())
    roles = {part.role for part in made.carcass.parts}
    assert not more or {Role.NOSING, Role.SHELF_CLEAT, Role.SUPPORT, Role.BACK, Role.ROD, Role.FRONT} <= roles
    drawn = tuple(pictures(made))
    test_every_part_is_drawn_listed_and_cut_exactly_once(made, drawn)
    test_areas_and_lengths_add_up(made)
    test_no_two_texts_of_a_drawing_overlap_and_all_are_on_their_sheet(drawn)
    test_the_written_parts_alone_make_the_openings_of_the_plan(made)
