"""Sizes as people write them: every spelling, both ways, and what is refused."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capacity.units import INCH_MM
from capacity.wardrobe.clothing_sizes import ClothingSize
from capacity.wardrobe.shoe_sizes import (
    EU_ADULT,
    EU_CHILD,
    MONDOPOINT,
    MONDOPOINT_CHILD,
    UK_ADULT,
    UK_CHILD,
    UK_YOUTH,
    US_CHILD,
    US_MEN,
    US_WOMEN,
    US_YOUTH,
    ShoeScale,
    ShoeSize,
)
from capacity.wardrobe.size_text import SizeError
from capacity.wardrobe.sizes import parse_size

SCALES = [
    US_MEN, US_WOMEN, US_CHILD, US_YOUTH, UK_ADULT, UK_CHILD, UK_YOUTH,
    EU_ADULT, EU_CHILD, MONDOPOINT, MONDOPOINT_CHILD,
]  # fmt: skip
SYSTEMS = ("shoe", "letter", "waist", "suit", "child", "towel", "bed")


def shoe(text: str, wearer: str | None = "men") -> ShoeSize:
    size = parse_size(text, "shoe", wearer)
    assert isinstance(size, ShoeSize)
    return size


def clothes(text: str, system: str = "letter", wearer: str | None = None) -> ClothingSize:
    size = parse_size(text, system, wearer)
    assert isinstance(size, ClothingSize)
    return size


# --- shoes ---


@pytest.mark.parametrize(
    "text",
    [
        "US M 10.5",
        "usm10.5",
        "M 10.5",
        "10.5 M",
        "US 10.5",
        "us men 10.5",
        "Men's 10½",
        "USA M 10,5",
        "M10 1/2",
    ],
)
def test_every_spelling_of_one_mens_size_is_the_same_foot(text: str) -> None:
    assert shoe(text) == ShoeSize(Fraction(65, 6) * INCH_MM, "men")  # (10.5 + 22) / 3 in


@pytest.mark.parametrize("text", ["US W 8", "W8", "8 w", "women's 8", "usw8", "Women\u2019s US 8"])
def test_every_spelling_of_one_womens_size_is_the_same_foot(text: str) -> None:
    assert shoe(text) == ShoeSize(Fraction(19, 2) * INCH_MM, "women")  # (8 + 20.5) / 3 in


@pytest.mark.parametrize(
    "text", ["270 mm", "27 cm", "27.0CM", "Mondo 270", "MP 270", "mondopoint 27", "mp270", "MP 270 mm"]
)
def test_every_spelling_of_a_foot_length_is_that_length(text: str) -> None:
    assert shoe(text) == ShoeSize(Fraction(270), None)


@pytest.mark.parametrize(
    ("text", "foot_mm"),
    [
        ("EU 42", "265"),
        ("42 eur", "265"),
        ("EU 42.5", "805/3"),
        ("EU 42 2/3", "2425/9"),
        ("EU 42⅔", "2425/9"),
    ],
)
def test_eu_sizes_may_be_halves_and_thirds(text: str, foot_mm: str) -> None:
    assert shoe(text) == ShoeSize(Fraction(foot_mm), None)


@pytest.mark.parametrize(
    ("text", "scale", "number"),
    [
        ("US C 13", US_CHILD, 13), ("US T 5", US_CHILD, 5), ("13 child", US_CHILD, 13),
        ("US K 12", US_CHILD, 12),
        ("US Y 3", US_YOUTH, 3), ("US K 2", US_YOUTH, 2), ("youth 3", US_YOUTH, 3),
        ("UK C 10", UK_CHILD, 10), ("UK K 10", UK_CHILD, 10), ("UK Y 2", UK_YOUTH, 2),
        ("EU C 35", EU_CHILD, 35),
    ],
)  # fmt: skip
def test_a_childs_size_says_so(text: str, scale: ShoeScale, number: int) -> None:
    assert shoe(text) == ShoeSize(scale.foot_mm(Fraction(number)), "child")


def test_a_size_that_says_nothing_of_the_wearer_goes_by_the_usual_one() -> None:
    assert shoe("US 8", "men").wearer == "men"
    assert shoe("US 8", "women") == shoe("US W 8", "men")
    assert shoe("US 12", "child") == shoe("US C 12")
    assert shoe("UK 7", "women").wearer is None


def test_a_small_eu_size_is_a_childs_whatever_the_kind() -> None:
    assert shoe("EU 32.5").wearer == "child"
    assert shoe("EU 33").wearer is None
    assert shoe("180 mm").wearer == "child"
    assert shoe("195 mm").wearer is None


@pytest.mark.parametrize(
    ("text", "wearer", "message"),
    [
        ("US M 45", "men", r'"US M 45" is out of range; US M sizes run from 3 to 18'),
        ("US W 18", "men", "US W sizes run from 3 to 17"),
        ("US C 14", "men", "US C sizes run from 0 to 13.5"),
        ("US Y 8", "men", "US Y sizes run from 1 to 7"),
        ("EU 12", "men", "EU sizes run from 15 to 54"),
        ("EU 55", "men", "EU sizes run from 15 to 54"),
        ("EU 45", "child", "EU sizes run from 15 to 41"),
        ("UK 0", "men", "UK sizes run from 1 to 17"),
        ("79 mm", "men", r"Mondopoint \(mm\) sizes run from 80 to 350"),
        ("116 cm", "men", r"Mondopoint \(mm\) sizes run from 80 to 350"),
        ("US M 10.3", "men", "between two sizes; US sizes go in half sizes"),
        ("EU 42.1", "men", "between two sizes; EU sizes go in halves or thirds"),
        ("US 3", "child", "write US C 3 or US Y 3"),
        ("UK 2", "child", "write UK C 2 or UK Y 2"),
        ("US 9", None, "does not say whose size it is; write US M 9 or US W 9"),
        ("M", "men", r'"M" is a clothing size; shoes take .*such as US M 10.5'),
        ("34x32", "men", r'"34x32" is a clothing size; shoes take .*such as US M 10.5'),
        ("40R", "men", "is a clothing size"),
        ("9XL", "men", "is a clothing size"),
        ("10.5", "men", r'"10.5" is not a shoe size that can be read; this takes US M 10.5'),
        ("US M W 8", "men", "is not a shoe size that can be read"),
        ("US UK 8", "men", "is not a shoe size that can be read"),
        ("US M 10 D", "men", "is not a shoe size that can be read"),
        ("-8 US", "men", "is not a shoe size that can be read"),
    ],
)
def test_a_shoe_size_is_refused_with_what_would_be_right(text: str, wearer: str | None, message: str) -> None:
    with pytest.raises(SizeError, match=message):
        parse_size(text, "shoe", wearer)


@pytest.mark.parametrize("scale", SCALES, ids=lambda scale: f"{scale.prefix}-{scale.wearer}")
def test_every_half_size_is_read_back_from_its_own_print(scale: ShoeScale) -> None:
    grain = 1 if scale.step_mm == 1 else 2
    size = scale.least
    while size <= scale.most:
        foot = scale.foot_mm(size)
        assert scale.size(foot) == size
        assert shoe(scale.text(foot), scale.wearer or "men").foot_mm == foot
        size += Fraction(1, grain)


@given(st.sampled_from(SCALES), st.fractions(0, 1, max_denominator=10_000))
def test_a_printed_size_is_at_most_half_a_step_off(scale: ShoeScale, share: Fraction) -> None:
    first, last = scale.foot_mm(scale.least), scale.foot_mm(scale.most)
    foot = first + share * (last - first)
    again = shoe(scale.text(foot), scale.wearer or "men").foot_mm
    assert abs(again - foot) <= scale.step_mm / (2 if scale.step_mm == 1 else 4)


def test_a_tie_goes_to_the_larger_size() -> None:
    assert US_MEN.text(US_MEN.foot_mm(Fraction("9.25"))) == "US M 9.5"


# --- clothes ---


@pytest.mark.parametrize(
    ("text", "steps"),
    [
        ("XXS", -3), ("xs", -2), ("x-small", -2), ("S", -1), ("small", -1), ("M", 0), ("med", 0),
        ("Medium", 0),
        ("l", 1), ("large", 1), ("XL", 2), ("X-Large", 2), ("extra large", 2), ("XXL", 3), ("2XL", 3),
        ("2x", 3),
        ("XXXL", 4), ("3XL", 4), ("4xl", 5), ("5XL", 6),
    ],
)  # fmt: skip
def test_letters_are_steps_from_m(text: str, steps: int) -> None:
    assert clothes(text) == ClothingSize(Fraction(steps))


@pytest.mark.parametrize("text", ["LT", "L tall", "l t", "Large Tall"])
def test_a_tall_letter_is_two_inches_longer(text: str) -> None:
    assert clothes(text) == ClothingSize(Fraction(1), longer_in=Fraction(2))


@pytest.mark.parametrize(
    ("text", "wearer", "steps"),
    [
        ("8", None, "0"), ("US 8", "women", "0"), ("UK 12", None, "0"), ("EU 38", None, "0"),
        ("10", None, "1/2"),
        ("US 0", None, "-2"), ("EU 42", "women", "1"), ("EU 50", "men", "0"), ("EU 54", "men", "1"),
    ],
)  # fmt: skip
def test_numbers_are_quarter_letters(text: str, wearer: str | None, steps: str) -> None:
    assert clothes(text, "letter", wearer).steps == Fraction(steps)


@pytest.mark.parametrize("text", ["34x32", "34 x 32", "34X32", "34/32", "34\u00d732", "W34 L32", "w34l32", "W34/L32"])
def test_every_spelling_of_waist_and_inseam_is_the_same(text: str) -> None:
    assert clothes(text, "waist") == ClothingSize(Fraction(2, 3), Fraction(34), Fraction(32))


@pytest.mark.parametrize(
    ("text", "waist", "inseam"),
    [
        ("32", 32, 32),
        ("W36", 36, 32),
        ("M", 32, 32),
        ("L", 35, 32),
        ("LT", 35, 34),
        ("US 8", 29, 32),
        ("10", 30, 32),
    ],
)
def test_other_trouser_sizes_become_waist_and_inseam(text: str, waist: int, inseam: int) -> None:
    size = clothes(text, "waist")
    assert size.waist_in == waist
    assert size.inseam_in == inseam


@pytest.mark.parametrize(
    ("text", "steps", "longer"),
    [
        ("40R", "0", "0"), ("42L", "1/2", "3/2"), ("44 long", "1", "3/2"), ("38S", "-1/2", "-3/2"),
        ("48", "2", "0"),
        ("L", "1", "0"), ("LT", "1", "2"),
    ],
)  # fmt: skip
def test_suits_go_by_chest_and_cut(text: str, steps: str, longer: str) -> None:
    assert clothes(text, "suit", "men") == ClothingSize(Fraction(steps), longer_in=Fraction(longer))


@pytest.mark.parametrize(
    ("text", "stature_mm"),
    [
        ("2T", 920), ("4T", 1040), ("6", 1160), ("6X", 1220), ("age 8", 1280), ("8 y", 1280),
        ("8 years", 1280),
        ("4-6", 1160), ("116 cm", 1160), ("116cm", 1160), ("M", 1340), ("XL", 1580),
    ],
)  # fmt: skip
def test_a_childs_clothes_go_by_stature(text: str, stature_mm: int) -> None:
    assert clothes(text, "child", "child").stature_mm == stature_mm


@pytest.mark.parametrize("system", ["letter", "waist", "suit"])
def test_a_clear_childs_size_is_read_for_any_garment(system: str) -> None:
    assert clothes("4T", system).stature_mm == 1040
    assert clothes("116 cm", system) == clothes("6", "child")


def test_a_childs_waist_and_inseam_follow_from_stature() -> None:
    size = clothes("12", "child")
    assert size.waist_in is not None
    assert size.inseam_in is not None
    assert (round(size.waist_in), round(size.inseam_in)) == (26, 27)


@pytest.mark.parametrize(
    ("text", "system", "steps"),
    [
        ("hand", "towel", -1), ("Bath", "towel", 0), ("bath sheet", "towel", 1), ("hand towel", "towel", -1),
        ("twin", "bed", -2), ("full", "bed", -1), ("queen size", "bed", 0), ("KING", "bed", 1),
    ],
)  # fmt: skip
def test_textiles_have_steps_of_their_own(text: str, system: str, steps: int) -> None:
    assert clothes(text, system) == ClothingSize(Fraction(steps))


@pytest.mark.parametrize(
    ("text", "system", "wearer", "message"),
    [
        ("US M 10.5", "letter", None, r'"US M 10.5" is a shoe size; this takes M, XL'),
        ("270 mm", "waist", None, "is a shoe size; this takes waist x inseam such as 34x32"),
        ("34x32", "letter", None, r'"34x32" is a waist and inseam; this takes M, XL'),
        ("34x32", "child", "child", "is a waist and inseam; this takes an age such as 6"),
        ("6XL", "letter", None, r'"6XL" is out of range; letter sizes run from XXS to 5XL'),
        ("XXXS", "letter", None, "letter sizes run from XXS to 5XL"),
        ("XXS", "child", "child", "children's letter sizes run from XS to XL"),
        ("US 99", "letter", None, r'"US 99" is out of range; US sizes run from 0 to 28'),
        ("EU 29", "letter", "women", "EU sizes run from 30 to 58"),
        ("EU 38", "letter", "men", "EU sizes run from 40 to 70"),
        ("8", "letter", "men", r'"8" is not a size that can be read; this takes .*men.s EU 50'),
        ("99x32", "waist", None, "waist sizes run from 20 to 60"),
        ("34x50", "waist", None, "inseam sizes run from 18 to 42"),
        ("62R", "suit", "men", "chest sizes run from 30 to 60"),
        ("age 17", "letter", None, "children's sizes run from 1 to 16"),
        ("200 cm", "child", "child", "stature in cm: sizes run from 50 to 188"),
        ("M", "towel", None, r'"M" is not a size that can be read; this takes hand, bath or bath sheet'),
        ("XL", "bed", None, "this takes twin, full, queen or king"),
        ("MM", "letter", None, "is not a size that can be read"),
        ("2M", "letter", None, "is a shoe size"),
        ("3XXL", "letter", None, "is not a size that can be read"),
        ("x", "letter", None, "is not a size that can be read"),
    ],
)
def test_a_clothing_size_is_refused_with_what_would_be_right(
    text: str, system: str, wearer: str | None, message: str
) -> None:
    with pytest.raises(SizeError, match=message):
        parse_size(text, system, wearer)


# --- anything at all ---


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("text", ["1e308", "nan", "inf", "a\0b", "9" * 400, "x" * 1_000_000, "42 2/0", "½", "٤٢"])
def test_nonsense_is_a_size_error_and_its_message_can_be_printed(system: str, text: str) -> None:
    with pytest.raises(SizeError, match=r"this takes|run from") as caught:
        parse_size(text, system, None)
    assert str(caught.value).isprintable()
    assert len(str(caught.value)) < 250


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("text", ["", "   ", "\0", "\t\n"])
def test_an_empty_size_is_refused(system: str, text: str) -> None:
    with pytest.raises(SizeError, match="the size is empty; this takes"):
        parse_size(text, system, None)


@given(
    st.text(max_size=50) | st.text("0123456789.,/-+ xXsmlwtrukeycEUSMW½\0", max_size=12),
    st.sampled_from(SYSTEMS),
    st.sampled_from(["men", "women", "child", None]),
)
def test_any_text_is_a_size_or_a_size_error(text: str, system: str, wearer: str | None) -> None:
    try:
        size = parse_size(text, system, wearer)
    except SizeError as error:
        assert str(error)  # noqa: PT017  either outcome is right; no other exception may come out
    else:
        assert isinstance(size, ShoeSize if system == "shoe" else ClothingSize)


def test_an_unknown_system_is_our_own_mistake_not_the_persons() -> None:
    with pytest.raises(ValueError, match="no size system 'hat'; there are shoe, letter") as caught:
        parse_size("M", "hat", None)
    assert not isinstance(caught.value, SizeError)
