"""The picture of a wall as the page draws it: two figures for a phone, and one to keep with its sentence and date."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree

import pytest
from support.built_samples import INVENTORY, closet, hand_made_plan

from capacity.drawings.to_plotly import LIGHT
from capacity.errors import InputError
from capacity.makeover.comparison import headline
from capacity.page.picture import Sides, framed_svg, narrow_figures, sides_of
from capacity.wardrobe.inventory import parse_inventory


@pytest.fixture(scope="module")
def sides() -> Sides:
    house = closet()
    return sides_of(house, parse_inventory(INVENTORY, "in"), hand_made_plan(house))


def test_both_figures_of_a_phone_have_as_many_inches_a_pixel(sides: Sides) -> None:
    scales = []
    for figure in narrow_figures(sides, 1, LIGHT):
        low, high = figure.layout.xaxis.range
        scales.append((high - low) / figure.layout.width)
    assert scales[0] == pytest.approx(scales[1], rel=0.01)


def test_the_picture_to_keep_has_sentence_name_wall_and_date(sides: Sides) -> None:
    root = ElementTree.fromstring(framed_svg(sides, 1, "Harbour Lane", "2026-03-01"))
    text = " ".join(" ".join(item.itertext()) for item in root.iter() if item.tag.endswith(("text", "tspan")))
    assert "Harbour Lane, back, 2026-03-01" in text
    for word in headline(sides.plan).split()[:4]:
        assert word in text


def test_a_plan_whose_before_has_other_walls_is_not_drawn() -> None:
    house, plan = closet(), hand_made_plan(closet())
    before = plan.before.model_copy(update={"walls": plan.before.walls[:1]})
    with pytest.raises(InputError, match="the walls of before are others"):
        sides_of(house, parse_inventory(INVENTORY, "in"), plan.model_copy(update={"before": before}))
