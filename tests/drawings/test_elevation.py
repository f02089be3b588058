"""Walls seen from the front: to scale, complete, legible. Pictures are not compared; the shapes are."""

from __future__ import annotations

import random
from collections import Counter
from itertools import combinations, pairwise
from pathlib import Path

import pytest
from support.cases import INCH, one_wall

from capacity.closet.closet import parse_closet
from capacity.drawings.carcass_drawing import View
from capacity.drawings.drawing import Dimension, Drawing, Extent, Line, Marker, Rectangle, Style
from capacity.drawings.elevation import Side, before_and_after, elevation, people_of
from capacity.drawings.labels import contents, lettered
from capacity.drawings.to_plotly import LIGHT, draw_plotly
from capacity.layout.fit_rules import filling_violations
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind, Problem
from capacity.makeover.files_to_problem import size_problem, todays_layout
from capacity.units import Rounding, parse_length
from capacity.wardrobe.inventory import Inventory, parse_inventory

SAMPLE_FOLDER = Path(__file__).parents[2] / "inventory_samples"
SAMPLES = sorted(folder.name for folder in SAMPLE_FOLDER.iterdir() if folder.is_dir())
LETTER = 2 * INCH
VIEW = View(LETTER, "in")


def _packed(problem: Problem, seed: int) -> Layout:
    """Today's openings filled at random by the fit rules: the checker decides what goes in."""
    chance = random.Random(seed)
    walls = tuple(run.name for run in problem.runs)
    layout = _LAYOUTS[walls]
    contents: dict[tuple[int, int, int], tuple[Holding, ...]] = {}
    left = {thing.row: thing.count for thing in problem.things}
    for wall, bay, index, _, _ in layout.openings():
        for thing in chance.sample(problem.things, len(problem.things)):
            for count in range(min(left[thing.row], 4), 0, -1):
                held = (*contents.get((wall, bay, index), ()), Holding(thing.row, count, chance.random() < 0.3))
                trial = layout.holding({**contents, (wall, bay, index): held})
                if not filling_violations(problem, trial):
                    contents[(wall, bay, index)] = held
                    left[thing.row] -= count
                    break
    return layout.holding(contents)


_LAYOUTS: dict[tuple[str, ...], Layout] = {}


@pytest.fixture(params=SAMPLES, scope="module")
def filled(request: pytest.FixtureRequest) -> tuple[Problem, Inventory, Layout]:
    folder = SAMPLE_FOLDER / request.param
    closet = parse_closet((folder / "closet.toml").read_text())
    inventory = parse_inventory((folder / "inventory.csv").read_text(), closet.units)
    problem = size_problem(closet, inventory)
    _LAYOUTS[tuple(run.name for run in problem.runs)] = todays_layout(closet)
    return problem, inventory, _packed(problem, seed=5)


def _two_bays(problem: Problem) -> Layout:
    """A built wall: two bays of 20 in on the first wall, shelves and a rod, nothing on the others."""
    thick = problem.rules.panel
    base, height = problem.rules.base, 10 * INCH
    first = Bay(thick, 20 * INCH, 15 * INCH, (Opening(OpeningKind.SHELF, base, problem.top - thick - base),))
    upper = base + height + thick
    second = Bay(
        2 * thick + 20 * INCH,
        20 * INCH,
        15 * INCH,
        (
            Opening(OpeningKind.SHELF, base, height),
            Opening(OpeningKind.HANG, upper, problem.top - thick - upper),
        ),
    )
    empty = tuple(WallLayout(run.name, ()) for run in problem.runs[1:])
    return Layout((WallLayout(problem.runs[0].name, (first, second)), *empty), (True,) * len(problem.corners))


def _drawings(filled: tuple[Problem, Inventory, Layout], view: View = VIEW) -> list[Drawing]:
    problem, inventory, layout = filled
    before, after = Side("Before", layout, False), Side("After", _two_bays(problem), True)
    return [before_and_after(problem, inventory, before, after, wall, view) for wall in range(len(problem.runs))]


def test_every_stored_piece_is_drawn_once(filled: tuple[Problem, Inventory, Layout]) -> None:
    drawn: Counter[int] = Counter()
    for drawing in _drawings(filled):
        for piece in drawing.pieces():
            drawn[piece.row] += piece.pieces
    assert sum(drawn.values()) > 15
    assert drawn == filled[2].stored()


def test_no_two_pieces_overlap_and_all_are_inside_their_opening(filled: tuple[Problem, Inventory, Layout]) -> None:
    problem, inventory, layout = filled
    for wall in range(len(problem.runs)):
        drawing = elevation(problem, inventory, Side("Before", layout, False), wall, VIEW)
        rooms = {
            shape.opening: shape.extent
            for shape in drawing.shapes
            if isinstance(shape, Rectangle) and shape.style is Style.OPENING
        }
        for piece in drawing.pieces():
            assert rooms[piece.opening].holds(piece.extent), piece
        for one, other in combinations(drawing.pieces(), 2):
            assert not one.extent.overlaps(other.extent), (one, other)


def test_pieces_are_drawn_in_their_own_size(filled: tuple[Problem, Inventory, Layout]) -> None:
    problem = filled[0]
    for drawing in _drawings(filled):
        for piece in drawing.pieces():
            thing = problem.thing(piece.row)
            if thing.drop:
                assert (piece.width, piece.height) == (thing.rod, thing.drop)
            else:
                assert piece.width in (thing.width, thing.depth)
                assert piece.height == thing.height


def test_the_chain_of_widths_adds_up_to_the_wall(filled: tuple[Problem, Inventory, Layout]) -> None:
    problem = filled[0]
    for run, drawing in zip(problem.runs, _drawings(filled), strict=True):
        levels: dict[int, list[Dimension]] = {}
        for shape in drawing.shapes:
            if isinstance(shape, Dimension) and shape.axis == "x":
                levels.setdefault(shape.at, []).append(shape)
        chains = sorted((sum(item.length for item in level), len(level)) for level in levels.values())
        assert all(length % run.width == 0 for length, _ in chains)
        assert sum(length for length, _ in chains) == 4 * run.width  # a chain and the whole, before and after
        for level in levels.values():
            for one, following in pairwise(sorted(level, key=lambda item: item.start)):
                assert following.start >= one.end


def test_printed_lengths_are_exact_or_say_about(filled: tuple[Problem, Inventory, Layout]) -> None:
    for drawing in _drawings(filled):
        for shape in drawing.shapes:
            if isinstance(shape, Dimension) and shape.words:
                words = shape.words.replace("\n", " ")
                read = parse_length(words.removeprefix("about "), "in", Rounding.NEAREST)
                assert read == shape.length or (words.startswith("about ") and abs(read - shape.length) <= INCH // 16)


@pytest.mark.parametrize("letter", [2 * INCH, 3 * INCH])
def test_text_is_on_the_sheet_and_never_over_other_text(filled: tuple[Problem, Inventory, Layout], letter: int) -> None:
    for drawing in _drawings(filled, View(letter, "in")):
        sheet = Extent(0, 0, drawing.width, drawing.height)
        boxes = [(text.words, text.extent) for text in drawing.texts()]
        discs = [(shape.letter, shape.extent) for shape in drawing.shapes if isinstance(shape, Marker)]
        for words, box in (*boxes, *discs):
            assert sheet.holds(box), words
        for (one, box), (other, second) in combinations((*boxes, *discs), 2):
            assert not box.overlaps(second), (one, other)


def test_shapes_stay_on_the_sheet(filled: tuple[Problem, Inventory, Layout]) -> None:
    for drawing in _drawings(filled):
        sheet = Extent(0, 0, drawing.width, drawing.height)
        for shape in drawing.shapes:
            if isinstance(shape, Rectangle):
                assert sheet.holds(shape.extent), shape
            if isinstance(shape, Line):
                assert sheet.holds(
                    Extent(min(shape.x1, shape.x2), min(shape.y1, shape.y2), max(shape.x1, shape.x2),
                           max(shape.y1, shape.y2))
                ), shape  # fmt: skip


def test_both_sides_stand_on_one_floor_and_have_one_scale(filled: tuple[Problem, Inventory, Layout]) -> None:
    problem, inventory, layout = filled
    for wall, drawing in enumerate(_drawings(filled)):
        floors = [
            shape
            for shape in drawing.shapes
            if isinstance(shape, Line) and shape.style is Style.WALL and shape.y1 == shape.y2 == drawing.floor
        ]
        assert [line.x2 - line.x1 for line in floors] == [problem.runs[wall].width] * 2
        single = elevation(problem, inventory, Side("Before", layout, False), wall, VIEW)
        sizes = sorted((piece.width, piece.height) for piece in single.pieces())
        assert sizes == sorted((piece.width, piece.height) for piece in drawing.pieces())
        figure = draw_plotly(drawing, 1 / 2000, LIGHT)
        assert figure.layout.yaxis.scaleanchor == "x"
        assert figure.layout.width / drawing.width == pytest.approx(figure.layout.height / drawing.height, rel=0.01)


def test_every_opening_has_one_letter_and_one_marker(filled: tuple[Problem, Inventory, Layout]) -> None:
    problem, inventory, layout = filled
    for wall in range(len(problem.runs)):
        drawing = elevation(problem, inventory, Side("Before", layout, False), wall, VIEW)
        letters = [shape.letter for shape in drawing.shapes if isinstance(shape, Marker)]
        assert letters == [item.letter for item in lettered(layout) if item.wall == wall]
        assert len(set(letters)) == len(letters)


def test_every_opening_that_holds_something_is_named(filled: tuple[Problem, Inventory, Layout]) -> None:
    problem, inventory, layout = filled
    for wall in range(len(problem.runs)):
        for names in ("inside", "list"):
            drawing = elevation(problem, inventory, Side("Before", layout, False), wall, View(LETTER, "in", names))
            written = " ".join(" ".join(text.words.split()) for text in drawing.texts())
            for item in lettered(layout):
                if item.wall == wall:
                    for words in contents(item.opening, inventory):
                        assert words in written, (item.letter, words)


def test_what_has_no_place_lies_in_front_piece_by_piece(filled: tuple[Problem, Inventory, Layout]) -> None:
    problem, inventory, layout = filled
    drawing = elevation(problem, inventory, Side("Before", layout, False), 0, View(LETTER, "in", has_floor=True))
    loose = [piece for piece in drawing.pieces() if not piece.opening]
    stored = layout.stored()
    assert Counter(piece.row for piece in loose) == Counter(
        {thing.row: thing.count - stored[thing.row] for thing in problem.things if thing.count > stored[thing.row]}
    )
    for piece in loose:
        thing = problem.thing(piece.row)
        sides = (thing.drop, thing.rod) if thing.drop else (thing.width, thing.height)
        assert sorted((piece.width, piece.height)) == sorted(sides)
        assert piece.bottom + piece.height <= drawing.floor
        assert Extent(0, 0, drawing.width, drawing.height).holds(piece.extent)
    for one, other in combinations(loose, 2):
        assert not one.extent.overlaps(other.extent)


def test_people_stand_at_their_height_and_their_reach_crosses_both_walls() -> None:
    closet = parse_closet(
        one_wall(60) + '[[person]]\nname = "Ann"\nheight = 64\n[[person]]\nname = "Kim"\nage = 6\n'
        '[[person]]\nname = "Lee"\nheight = 70\nposture = "seated"\n'
    )
    inventory = parse_inventory("what,count\nsneakers,1\n", "in")
    problem = size_problem(closet, inventory)
    empty = Layout((WallLayout("back", ()),))
    view = View(LETTER, "in", people=people_of(closet))
    drawing = before_and_after(problem, inventory, Side("Before", empty, False), Side("After", empty, True), 0, view)
    ann, kim, lee = view.people
    drawn = [shape for shape in drawing.shapes if isinstance(shape, Rectangle) and shape.style is Style.PERSON]
    assert [(shape.bottom - drawing.floor, shape.height) for shape in drawn] == [(0, ann.reach)]
    heads = [max(y for _, y in path) for path in drawn[0].outlines[-1:]]
    assert heads[0] - drawing.floor == pytest.approx(64 * INCH, rel=0.01)
    lines = Counter(
        shape.y1 - drawing.floor for shape in drawing.shapes if isinstance(shape, Line) and shape.style is Style.REACH
    )
    assert lines == {ann.reach: 2, kim.reach: 2, lee.reach: 2}
    assert (kim.reach, lee.reach) == (40 * INCH, 48 * INCH)  # 2010 ADA Standards: children of 5-8; a seated adult
    assert sum(text.words.startswith("Kim reaches 40") for text in drawing.texts()) == 2


def test_blocked_parts_slopes_and_corners_are_drawn() -> None:
    closet = parse_closet(
        one_wall(60, name="left")
        + 'corner = "back"\n[[wall]]\nname = "back"\nwidth = 80\ndepth = 15\nceiling = [96, 72]\n'
        "[[wall.blocked]]\nleft = 50\nwidth = 10\nbottom = 40\nheight = 12\n"
    )
    inventory = parse_inventory("what,count\nsneakers,1\n", "in")
    problem = size_problem(closet, inventory)
    empty = Layout(tuple(WallLayout(run.name, ()) for run in problem.runs), (True,))
    drawing = elevation(problem, inventory, Side("After", empty, True), 1, VIEW)
    boxes = {shape.style: shape for shape in drawing.shapes if isinstance(shape, Rectangle)}
    assert boxes[Style.BLOCKED].width == 10 * INCH
    assert boxes[Style.CORNER].width == (15 + 12) * INCH  # the owner's depth and corner_access, rule 2
    heights = [shape.words for shape in drawing.shapes if isinstance(shape, Dimension) and shape.axis == "y"]
    assert heights == ['72"', '96"']
    ceilings = [line for line in drawing.shapes if isinstance(line, Line) and line.y1 - line.y2 == 24 * INCH]
    assert len(ceilings) == 1
    assert any(isinstance(shape, Line) and shape.style is Style.HATCH for shape in drawing.shapes)
