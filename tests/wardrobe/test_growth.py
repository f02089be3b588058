"""Growing: the medians are the published ones, between them too, and sizes grow as the catalogue has them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from capacity.units import inches
from capacity.wardrobe.growth import Chart, grown, growth, median_stature_cm
from capacity.wardrobe.inventory import parse_inventory
from capacity.wardrobe.kinds import find_kind, parse_kind_size
from capacity.wardrobe.piece_dimensions import shape_of

PUBLISHED = (
    (42.5, 99.00254338, 97.6484807), (66.5, 112.4295761, 111.4875806), (102.5, 130.9982857, 130.5573839),
    (126.5, 141.2581515, 141.0396832), (138.5, 146.3665278, 147.8423918), (150.5, 152.6623878, 154.755501),
    (174.5, 167.4641466, 161.3267744), (210.5, 175.8359757, 163.0401953),
)  # fmt: skip
"""Months, boys, girls [cm]: rows of the CDC data file that lie between those that are kept."""


@pytest.mark.parametrize(("months", "boys", "girls"), PUBLISHED)
def test_between_the_rows_kept_a_median_is_that_of_the_published_file(months: float, boys: float, girls: float) -> None:
    age = Fraction(months) / 12
    assert float(median_stature_cm(age, "boys")) == pytest.approx(boys, abs=0.6)
    assert float(median_stature_cm(age, "girls")) == pytest.approx(girls, abs=0.6)


@pytest.mark.parametrize(("age", "chart", "printed"), [(2, "boys", 86.5), (8, "girls", 127.6), (20, "boys", 176.8)])
def test_medians_at_birthdays(age: int, chart: Chart, printed: float) -> None:
    assert float(median_stature_cm(age, chart)) == pytest.approx(printed, abs=0.25)


def test_nobody_shrinks_and_grown_ups_stay() -> None:
    for chart in ("boys", "girls"):
        medians = [median_stature_cm(age, chart) for age in range(2, 25)]
        assert medians == sorted(medians)
    assert growth(19, 5, ["girls"]) < Fraction(1002, 1000)
    assert growth(20, 5) == growth(45, 5) == 1
    assert growth(9, 3) == max(growth(9, 3, ["boys"]), growth(9, 3, ["girls"]))


def test_a_size_grows_to_what_the_catalogue_has_for_the_larger_one() -> None:
    factor = Fraction(134, 116)
    piles = parse_inventory("what,count,size\nkids top,3,116 cm\nkids dress,1,116 cm\nkids shoes,2,EU 30\n", "in").piles
    for pile, then in zip(piles, ("134 cm", "134 cm", "EU 34.5"), strict=True):
        kind = find_kind(pile.kind)
        assert kind is not None
        later = grown(pile, factor)
        assert later.size == then
        if then.endswith("cm"):
            assert later.shape == shape_of(kind, parse_kind_size(kind, then), pile.store)
        assert later.shape.width >= pile.shape.width
        assert later.shape.drop >= pile.shape.drop


def test_what_was_measured_grows_alike_and_a_suitcase_does_not() -> None:
    text = "what,count,drop,rod,width,depth,height\nkids top,3,20,1,,,\nsuitcase,1,,,20,14,9\nt-shirt,2,,,10,12,1\n"
    top, case, shirt = parse_inventory(text, "in").piles
    later = grown(top, Fraction(3, 2))
    assert (later.shape.rod, later.size) == (top.shape.rod, "")
    assert abs(later.shape.drop - inches(30)) <= inches(0.2)
    assert grown(case, Fraction(3, 2)) == case
    wide = grown(shirt, Fraction(3, 2)).shape
    assert wide == replace(shirt.shape, width=inches(15), depth=inches(18))
