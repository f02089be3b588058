"""The closet as solid blocks: where all stands in the room, and the file of it read by a general mesh library."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
import trimesh

from capacity.closet.closet import parse_closet
from capacity.drawings.drawing import PILE_STYLES, Style
from capacity.drawings.elevation import Side
from capacity.drawings.solid import Block, solid_closet
from capacity.drawings.to_glb import format_glb
from capacity.drawings.to_plotly import LIGHT, draw_solid, solid_colours
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind
from capacity.makeover.files_to_problem import size_problem
from capacity.units import PER_INCH, PER_MM
from capacity.wardrobe.inventory import parse_inventory

CLOSET = """ceiling = 96
top = 84
[[wall]]
name = "left"
width = 60
depth = 15
corner = "back"
[[wall]]
name = "back"
width = 72
depth = 15
"""


@pytest.fixture(scope="module")
def blocks() -> tuple[Block, ...]:
    """Two walls that meet, one shelf with a box on the second."""
    closet = parse_closet(CLOSET)
    inventory = parse_inventory("what,count,width,depth,height\nstorage bin,1,20,12,10\n", "in")
    problem = size_problem(closet, inventory)
    thick = problem.rules.panel
    shelf = Opening(OpeningKind.SHELF, problem.rules.base, 30 * PER_INCH, (Holding(1, 1),))
    rod = Opening(OpeningKind.HANG, shelf.bottom + shelf.height + thick, 40 * PER_INCH)
    bay = Bay(40 * PER_INCH, 24 * PER_INCH, 15 * PER_INCH, (shelf, rod))
    layout = Layout((WallLayout("left", ()), WallLayout("back", (bay,))), (True,))
    return solid_closet(problem, inventory, Side("After", layout, True))


def test_everything_stands_in_the_room_at_its_place(blocks: tuple[Block, ...]) -> None:
    inch = PER_INCH
    assert min(block.low[axis] for block in blocks for axis in (0, 1)) == 0
    left, back = (block for block in blocks if block.style is Style.WALL)
    # the left wall goes up the plan, the back wall from its end to the right: both 2 in thick, outside
    assert (left.low, left.high) == ((0, 0, 0), (2 * inch, 60 * inch, 96 * inch))
    assert (back.low, back.high) == ((2 * inch, 60 * inch, 0), (74 * inch, 62 * inch, 96 * inch))
    (box,) = (block for block in blocks if block.style in PILE_STYLES)
    assert (box.high[0] - box.low[0], box.high[2] - box.low[2]) == (20 * inch, 10 * inch)
    assert (box.low[1], box.high[1]) == (45 * inch, 60 * inch)  # from the back wall 15 in into the room
    assert box.low[0] >= 42 * inch
    (rod,) = (block for block in blocks if block.style is Style.ROD)
    assert (rod.low[1] + rod.high[1]) // 2 == 48 * inch  # 12 in from the back wall


def test_drawers_have_their_fronts_at_the_depth_of_their_bay() -> None:
    problem = size_problem(parse_closet(CLOSET), (inventory := parse_inventory("what,count\nhat,1\n", "in")))
    drawer = Opening(OpeningKind.DRAWER, 4 * PER_INCH, 8 * PER_INCH)
    bays = tuple(Bay(left * PER_INCH, 20 * PER_INCH, deep * PER_INCH, (drawer,)) for left, deep in ((2, 12), (30, 18)))
    layout = Layout((WallLayout("left", ()), WallLayout("back", bays)), (True,))
    blocks = solid_closet(problem, inventory, Side("Before", layout, False))
    fronts = [block for block in blocks if block.style is Style.DRAWER]
    assert [(60 * PER_INCH - block.low[1]) // PER_INCH for block in fronts] == [12, 18]


def test_the_file_holds_the_same_blocks_at_true_scale(blocks: tuple[Block, ...], tmp_path: Path) -> None:
    shown = [block for block in blocks if block.style in solid_colours(LIGHT)]
    scene = trimesh.load(io.BytesIO(format_glb(blocks, solid_colours(LIGHT))), file_type="glb")
    volume = sum(mesh.volume for mesh in scene.geometry.values())
    metre = PER_MM * 1000

    def size(block: Block) -> float:
        return float((block.high[0] - block.low[0]) * (block.high[1] - block.low[1]) * (block.high[2] - block.low[2]))

    assert volume == pytest.approx(sum(map(size, shown)) / metre**3, rel=1e-5)  # faces look outwards, too
    low, high = scene.bounds
    for axis, (place, way) in enumerate(((0, 1), (2, 1), (1, -1))):
        ends = sorted(
            way * end / metre for end in (min(b.low[place] for b in shown), max(b.high[place] for b in shown))
        )
        assert (low[axis], high[axis]) == pytest.approx(tuple(ends), abs=1e-5)
    assert len(format_glb(blocks, solid_colours(LIGHT))) < 20_000


def test_the_figure_has_each_block_once(blocks: tuple[Block, ...]) -> None:
    figure = draw_solid(blocks, 400, LIGHT)
    shown = [block for block in blocks if block.style in solid_colours(LIGHT)]
    assert sum(len(trace.x) for trace in figure.data) == 8 * len(shown)
    assert sum(len(trace.i) for trace in figure.data) == 12 * len(shown)
