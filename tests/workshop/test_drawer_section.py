"""A drawer cut open: whatever its bay, front, box, slides, boards and cleat never meet, and the packet shows it."""

from __future__ import annotations

from itertools import combinations

import pytest
from support.built_samples import INVENTORY, closet, hand_made_plan
from support.cases import INCH, one_wall

from capacity.closet.closet import Closet, parse_closet
from capacity.drawings.carcass_drawing import View
from capacity.drawings.drawing import Dimension
from capacity.makeover.files_to_problem import size_problem
from capacity.solver.effort import Effort
from capacity.solver.search.design import first_layout
from capacity.solver.search.wall_parts import divide
from capacity.wardrobe.inventory import parse_inventory
from capacity.workshop.job import prepare
from capacity.workshop.packet import packet_data
from capacity.workshop.pages.drawer_section import DrawerSection, drawer_sections, section_drawings
from capacity.workshop.parts.carpentry import make_parts
from capacity.workshop.parts.parts import Role
from capacity.workshop.pictures import pictures
from capacity.workshop.shopping import shopping_list

BANK = '[[wishes.drawers]]\nwall = "back"\nleft = 1\nwidth = 24\ncount = 3\nheight = {height}\n'
COUNT = parse_inventory("what,count\nsocks,4\n", "in")


def _closet(depth: float, height: float, more: str) -> Closet:
    return parse_closet(one_wall(depth=depth) + more + BANK.format(height=height))


def _sections(house: Closet) -> list[DrawerSection]:
    facts = size_problem(house, COUNT)
    divided = divide(facts)
    layout = divided.joined(first_layout(divided.problem))
    return list(drawer_sections(facts.rules.panel, layout, make_parts(house, facts, layout).parts))


@pytest.mark.parametrize(
    "more", ["", '[panel]\nthickness = "1"\n', '[construction]\nreveal = 0\ndrawer_side = "3/8"\n']
)
@pytest.mark.parametrize("height", [4, 7.25, 12])
def test_nothing_of_a_drawer_meets_anything(height: float, more: str) -> None:
    """Depths from the least that a slide takes to 31 in: among them 15 in, 7/16 in too shallow for a cleat."""
    cleats = set()
    for depth in (11, 11.5, 12, 12.75, 13, 13.5, 14, 15, 15.25, 16, 17.5, 18, 22, 24, 29, 31):
        for item in _sections(_closet(depth, height, more)):
            for pieces in (item.side, item.across):
                for (name, one), (other, two) in combinations(pieces, 2):
                    assert not one.overlaps(two), f"{name} and {other} meet at a depth of {depth}"
            inside = [place for name, place in item.side if name in ("front", "box", "cleat")]
            assert min(place.left for place in inside) == 0
            assert max(place.right for place in inside) <= item.depth == depth * INCH
            assert all(0 <= place.bottom < place.top <= item.height for place in inside)
            box = next(place for name, place in item.side if name == "box")
            assert box.left <= item.slide.left < item.slide.right <= box.right
            cleats.add(any(name == "cleat" for name, _ in item.side))
    assert True in cleats or height <= 4  # no cleat is so low that it goes into an opening of 4 in


def test_the_packet_shows_each_drawer_that_differs_with_its_sizes() -> None:
    """By hand, 16 in deep: a slide of 14 in behind a front of 23/32 leaves 9/16 in before a cleat of 23/32."""
    house = closet()
    job = prepare(house, parse_inventory(INVENTORY, "in"), hand_made_plan(house), Effort(factor=0.1))
    found = list(section_drawings(job))
    assert [fronts for fronts, _ in found] == ["1-1DF1", "1-1DF2"]  # 6 and 6 1/2 in high
    drawing = found[0][1](View(INCH, "in"))
    words = [shape.words for shape in drawing.shapes if isinstance(shape, Dimension)]
    assert words[:2] == ['14"', '16"']
    assert '9/16"' in [text.words for text in drawing.texts()]
    drawn = list(pictures(job))
    data = packet_data(job, shopping_list(job), "letter", drawn)
    assert [item["picture"] for item in data["drawers"]] == ["drawer-section.svg", "drawer-section-2.svg"]
    (pulls,) = [note for note in data["drilling_notes"] if note.startswith("Drawer pulls: ")]
    widest = max(part.length for part in job.carcass.of(Role.FRONT))
    assert ("two on a wide one" in pulls) is (widest > 24 * INCH)
