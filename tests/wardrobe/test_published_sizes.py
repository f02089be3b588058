"""Figures of others beside what we compute: published, computed from public data, and derived by hand.

The tolerance of a printed figure is half a unit in its last printed place, read off its text.
"""

from fractions import Fraction

import pytest

from capacity.units import INCH_MM, PER_INCH, PER_MM
from capacity.wardrobe.clothing_sizes import ClothingSize
from capacity.wardrobe.kinds import Store, kinds
from capacity.wardrobe.piece_dimensions import foot_breadth_mm, shaft_diameter_mm, shape_of
from capacity.wardrobe.shoe_sizes import (
    BARLEYCORN_MM,
    ENGLISH_ALLOWANCE_MM,
    EU_ADULT,
    MONDOPOINT,
    PARIS_POINT_MM,
    UK_ADULT,
    UK_CHILD,
    US_CHILD,
    US_MEN,
    US_WOMEN,
    US_YOUTH,
    ShoeScale,
    ShoeSize,
)
from capacity.wardrobe.size_text import Wearer
from capacity.wardrobe.sizes import parse_size


def half_unit(printed: str) -> Fraction:
    """Half a unit in the last printed place."""
    return Fraction(1, 2 * 10 ** len(printed.partition(".")[2]))


def agrees(value: Fraction | float, printed: str) -> bool:
    return abs(Fraction(value) - Fraction(printed)) <= half_unit(printed)


# --- published: definitions ---


@pytest.mark.parametrize(
    ("value", "printed"),
    [
        (BARLEYCORN_MM, "8.47"),  # 1/3 in, the step of English sizes: encyclopedia article "Shoe size"
        (PARIS_POINT_MM, "6.67"),  # 2/3 cm, the step of continental sizes: the same article
        (12 * BARLEYCORN_MM, "101.6"),  # 12 barleycorns are 4 in
        (3 * PARIS_POINT_MM, "20.00"),  # 3 Paris points are 2 cm
    ],
)
def test_a_step_is_its_published_length(value: Fraction, printed: str) -> None:
    assert agrees(value, printed)


@pytest.mark.parametrize("foot_mm", [200, 262, 270, 350])
def test_mondopoint_is_the_foot_length(foot_mm: int) -> None:
    """ISO 9407: the size is the foot length in mm."""
    assert MONDOPOINT.size(Fraction(foot_mm)) == foot_mm


def test_a_us_mens_size_is_one_more_than_the_uk_size() -> None:
    """Encyclopedia article "Shoe size": UK 12 = US 13."""
    assert US_MEN.foot_mm(Fraction(13)) == UK_ADULT.foot_mm(Fraction(12))


# --- from memory: where the scales start, and how they follow on ---


@pytest.mark.parametrize(
    ("scale", "size", "last_in"),
    [
        (UK_ADULT, 7, "32/3"),  # (7 + 25) / 3
        (UK_CHILD, 0, "4"),  # four inches
        (US_MEN, 9, "11"),  # (9 + 24) / 3
        (US_WOMEN, 8, "61/6"),  # (8 + 22.5) / 3
        (US_CHILD, 13, "74/9"),  # (13 + 11 2/3) / 3
    ],
)
def test_an_english_scale_starts_where_its_formula_says(scale: ShoeScale, size: int, last_in: str) -> None:
    assert scale.foot_mm(Fraction(size)) + ENGLISH_ALLOWANCE_MM == Fraction(last_in) * INCH_MM


def test_childs_13_and_a_half_is_followed_by_1() -> None:
    assert UK_ADULT.foot_mm(Fraction(1)) - UK_CHILD.foot_mm(Fraction("13.5")) == BARLEYCORN_MM / 2
    assert US_YOUTH.foot_mm(Fraction(1)) - US_CHILD.foot_mm(Fraction("13.5")) == BARLEYCORN_MM / 2


# --- derived by hand from those formulas ---


@pytest.mark.parametrize(
    ("scale", "size", "inches", "mm"),
    [
        (US_MEN, 9, "10.33", "262.5"),  # (9 + 22) / 3 = 10.333 in
        (US_WOMEN, 8, "9.50", "241"),  # (8 + 20.5) / 3 = 9.5 in
    ],
)
def test_a_worked_foot_length(scale: ShoeScale, size: int, inches: str, mm: str) -> None:
    foot = scale.foot_mm(Fraction(size))
    assert agrees(foot / INCH_MM, inches)
    assert agrees(foot, mm)


def test_a_worked_conversion_from_us_to_eu() -> None:
    """US women 8: EU = 1.5 x (24.1 + 1.5) = 38.4, sold as 38.5."""
    foot = US_WOMEN.foot_mm(Fraction(8))
    assert agrees(EU_ADULT.size(foot), "38.4")
    assert EU_ADULT.text(foot) == "EU 38.5"


# --- computed: ANSUR II (Gordon et al. 2014, NATICK/TR-15/007), public data, 4082 men and 1986 women ---


@pytest.mark.parametrize(
    ("wearer", "length", "breadth", "start", "slope"),
    [("men", "271.2", "101.9", "38.1", "0.2352"), ("women", "246.3", "92.7", "40.2", "0.2134")],
)
def test_breadth_at_the_mean_foot_is_the_mean_breadth(
    wearer: Wearer, length: str, breadth: str, start: str, slope: str
) -> None:
    """A least-squares line goes through the means; all five figures are printed rounded.

    The two ends may differ by half a unit of each: of the mean breadth, of the start, of the slope times the
    mean length, and of the mean length times the slope.
    """
    value = foot_breadth_mm(Fraction(length), wearer)
    rounding = half_unit(breadth) + half_unit(start)
    rounding += half_unit(slope) * Fraction(length) + half_unit(length) * Fraction(slope)
    assert rounding < Fraction("0.13")
    assert abs(value - Fraction(breadth)) <= rounding
    assert foot_breadth_mm(Fraction(length) + 1, wearer) - value == Fraction(slope)


@pytest.mark.parametrize(("wearer", "length", "printed"), [("men", "271.2", "131"), ("women", "246.3", "125")])
def test_a_shaft_at_the_mean_foot_is_the_mean_calf_and_20_mm(wearer: Wearer, length: str, printed: str) -> None:
    """(392.3 + 20) / pi = 131.2 mm, (373.3 + 20) / pi = 125.2 mm, by hand."""
    assert agrees(shaft_diameter_mm(Fraction(length), wearer), printed)


# --- derived by hand: the room of a pair [mm], worked from the rounded foot lengths above, so to 1 mm ---

PAIRS = [
    # 2 x (99.9 + 8) + 8, 262.5 + 32, 125
    ("sneakers", "US M 9", (224, 295, 125)),
    # 2 x (99.9 + 4) + 8, 262.5 + 35, 120
    ("dress shoes", "US M 9", (216, 298, 120)),
    # 2 x (91.6 - 8) + 6, 241 + 18, 90
    ("flats", "US W 8", (173, 259, 90)),
    # 2 x (91.6 + 8) + 8, 241 + 32, 118
    ("sneakers", "US W 8", (207, 273, 118)),
    # 2 x (0.40 x 180 + 4) + 6, 180 + 18, 80
    ("kids shoes", "Mondo 180", (158, 198, 80)),
    # heel of 90 mm: 2 x (91.7 - 10) + 8, 241.3 + 10 - 9, 70 + 90
    ("heels", "US W 8", (171, 242, 160)),
    # shaft (373.3 x 0.990 + 20) / 3.1416 = 124.0: 2 x 124.0 + 12, 241.3 + 32, 400 + 40
    ("tall boots", "US W 8", (260, 273, 440)),
    # shaft (392.3 x 0.984 + 20) / 3.1416 = 129.2: 2 x 129.2 + 12, 262.5 + 45, 305 + 38
    ("western boots", "US M 9", (270, 308, 343)),
    # child's shaft (240 + 20) / 3.1416 = 82.8: 2 x 82.8 + 12, 180 + 32, 250 + 40
    ("tall boots", "Mondo 180", (178, 212, 290)),
]


@pytest.mark.parametrize(("name", "text", "by_hand"), PAIRS, ids=[f"{pair[0]} {pair[1]}" for pair in PAIRS])
def test_a_pair_takes_the_room_worked_by_hand(name: str, text: str, by_hand: tuple[int, int, int]) -> None:
    """Rounded up to 1/16 in (1.59 mm), so at most that above and 1 mm of hand rounding below or above."""
    kind = kinds()[name]
    shape = shape_of(kind, parse_size(text, "shoe", kind.wearer), Store.STAND)
    for side, worked in zip((shape.width, shape.depth, shape.height), by_hand, strict=True):
        assert worked - 1 <= Fraction(side, PER_MM) <= worked + 1 + INCH_MM / 16


def test_a_child_in_trainers_has_a_childs_foot() -> None:
    """0.40 x 200 = 80 mm: 2 x (80 + 4) + 8 = 176 mm."""
    shape = shape_of(kinds()["sneakers"], ShoeSize(Fraction(200), "child"), Store.STAND)
    assert 176 <= Fraction(shape.width, PER_MM) < 178


# --- jeans ---


def test_jeans_weigh_what_is_published_for_w33_l34() -> None:
    """A trade article gives about 700 g in 12 oz denim; the fitted formula gives 0.69 kg, by hand."""
    size = ClothingSize(Fraction(0), Fraction(33), Fraction(34))
    weight = shape_of(kinds()["jeans"], size, Store.STACK).weight_kg
    assert agrees(weight, "0.7")
    assert agrees(weight, "0.69")


@pytest.mark.parametrize(
    ("text", "width", "depth", "drop"),
    [
        ("32x32", "10", "14", "29"),  # 32/4 + 2, (32 + 10)/3, (32 + 10)/2 + 8
        ("40x35", "12", "15", "61/2"),  # 40/4 + 2, (35 + 10)/3, (35 + 10)/2 + 8
    ],
)
def test_jeans_have_the_footprint_of_their_folds(text: str, width: str, depth: str, drop: str) -> None:
    """The geometry of folding in thirds, by hand [in]."""
    kind = kinds()["jeans"]
    size = parse_size(text, "waist", None)
    folded, hung = shape_of(kind, size, Store.STACK), shape_of(kind, size, Store.HANG)
    assert [Fraction(side, PER_INCH) for side in (folded.width, folded.depth, hung.drop)] == [
        Fraction(width),
        Fraction(depth),
        Fraction(drop),
    ]


def test_trousers_by_the_cuff_hang_their_outseam_and_four_inches() -> None:
    """By hand: 30 + 10 + 4 in; the trade gives 44-50 in."""
    kind = kinds()["cuffed trousers"]
    assert shape_of(kind, parse_size("34x30", "waist", None), Store.HANG).drop == 44 * PER_INCH


# --- published ranges for what hangs and what stands [in], which the middle size must keep to ---


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [
        # planning textbook, clothes-storage chapter (Parrott, Beamish, Emmel and Lee; authors from memory):
        # rod length for coats and gowns 4-5 in
        ("coat", 4, 5),
        ("long coat", 4, 5),
        ("gown", 4, 5),
        # architects' handbook of building types, as quoted: men's suits 3 in
        ("suit", 3, 3),
        # the textbook again: women's clothes about 2 in a piece, men's (here also anybody's) about 2 1/2 in
        *((name, 2, 2) for name in ("blouse", "skirt", "long skirt", "short dress", "midi dress", "long dress")),
        *((name, 2.5, 2.5) for name in ("shirt", "polo", "trousers", "cuffed trousers", "jeans", "jacket", "vest")),
    ],
)
def test_rod_length_keeps_to_the_published_range(name: str, least: float, most: float) -> None:
    rod = shape_of(kinds()[name], None, Store.HANG).rod
    assert least * PER_INCH <= rod <= most * PER_INCH


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [
        # shaft without heel, shop and maker guides; the heel of the row is taken off again
        ("ankle boots", "3", "8.75"),
        ("mid-calf boots", "9", "13.5"),
        ("tall boots", "13.75", "17.75"),
        ("western boots", "8", "12.1"),
    ],
)
def test_a_boot_shaft_keeps_to_the_published_range(name: str, least: str, most: str) -> None:
    kind = kinds()[name]
    shaft = Fraction(shape_of(kind, None, Store.STAND).height, PER_MM) - kind.figures.heel_mm
    assert Fraction(least) <= shaft / INCH_MM <= Fraction(most)
