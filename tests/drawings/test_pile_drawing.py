"""Piles as they are drawn: each in its box, in its own number, and named under a pointer."""

from __future__ import annotations

from support.cases import INCH, one_wall

from capacity.closet.closet import parse_closet
from capacity.drawings.carcass_drawing import View
from capacity.drawings.drawing import PILE_STYLES, Extent, Rectangle, Style
from capacity.drawings.elevation import Side, elevation
from capacity.drawings.pile_drawing import arranged
from capacity.drawings.silhouettes import silhouette
from capacity.drawings.to_plotly import LIGHT, draw_plotly
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind
from capacity.makeover.files_to_problem import size_problem
from capacity.wardrobe.inventory import parse_inventory

LETTER = 2 * INCH
VIEW = View(LETTER, "in")


def test_every_kind_is_drawn_within_its_box() -> None:
    for style in PILE_STYLES:
        for kind in ("shirt", "trousers", "gown", "handbag", "suitcase", "hat", "storage bin", "sneakers"):
            for wide, high in ((2 * INCH, 40 * INCH), (8 * INCH, 5 * INCH), (11 * INCH, INCH // 2), (30, 20)):
                for is_turned in (False, True):
                    figure = silhouette(kind, style, wide, high, is_turned)
                    box = Extent(0, 0, wide, high)
                    assert figure.outlines
                    for x, y in (point for path in figure.outlines for point in path):
                        assert box.holds(Extent(x, y, x, y)), (style, kind)
                    hook = INCH if style in (Style.HUNG_SHORT, Style.HUNG_LONG) else 0
                    for x, y in (point for path in figure.strokes for point in path):
                        assert Extent(0, 0, wide, high + hook).holds(Extent(x, y, x, y)), (style, kind)


def test_what_stands_one_behind_the_other_counts_as_several() -> None:
    closet = parse_closet(one_wall(60, 30) + "[wishes]\nrows_deep = 2\n")
    inventory = parse_inventory("what,count,width,depth,height\nstorage bin,3,10,12,8\nsweater,7,10,12,3\n", "in")
    problem = size_problem(closet, inventory)
    opening = Opening(OpeningKind.SHELF, 0, 11 * INCH, (Holding(1, 3), Holding(2, 7)))
    pieces = arranged(problem, Bay(0, 58 * INCH, 30 * INCH, (opening,)), opening)
    # by hand: bins 2 deep, so 2 and 1 side by side; sweaters 3 high (10 in of room, 3 in each) and 2 deep: 6 and 1
    seen = [(piece.row, piece.left // INCH, (piece.bottom) // INCH, piece.pieces) for piece in pieces]
    assert seen == [
        (1, 0, 0, 2), (1, 10, 0, 1), (2, 20, 0, 2), (2, 20, 3, 2), (2, 20, 6, 2), (2, 30, 0, 1),
    ]  # fmt: skip


def test_a_pointer_on_a_piece_names_its_pile_and_a_chosen_opening_is_marked() -> None:
    closet = parse_closet(one_wall(60))
    inventory = parse_inventory("what,count,owner\nsneakers,2,Ann\n", "in")
    problem = size_problem(closet, inventory)
    bay = Bay(INCH, 20 * INCH, 15 * INCH, (Opening(OpeningKind.SHELF, 4 * INCH, 9 * INCH, (Holding(1, 2),)),))
    side = Side("After", Layout((WallLayout("back", (bay,)),)), True)
    drawing = elevation(problem, inventory, side, 0, View(LETTER, "in", chosen="After A"))
    marked = [shape for shape in drawing.shapes if isinstance(shape, Rectangle) and shape.style is Style.CHOSEN]
    assert [(shape.width, shape.height) for shape in marked] == [(20 * INCH, 9 * INCH)]
    piles = next(trace for trace in draw_plotly(drawing, 1 / 2000, LIGHT).data if trace.name == "piles")
    assert set(piles.customdata) == {"After A"}
    assert all(words.startswith("Ann's sneakers") for words in piles.hovertext)
