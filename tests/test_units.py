"""Lengths: every spelling, exact ticks, stated rounding, and printing that reads back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capacity.units import (
    KG_PER_M3_PER_LB_PER_FT3,
    KG_PER_POUND,
    LONGEST,
    MM_PER_INCH,
    MPA_PER_PSF,
    MPA_PER_PSI,
    NEWTONS_PER_KG,
    NEWTONS_PER_POUND,
    LengthError,
    Rounding,
    Ticks,
    feet_or_metres,
    format_about,
    format_length,
    from_number,
    kg_to_number,
    length_to_write,
    mm_to_number,
    parse_length,
    to_number,
    with_unit,
    without_unit,
)


@pytest.mark.parametrize(
    ("text", "ticks"),
    [
        ("14", 113_792), ("14.5", 117_856), ("14 1/2", 117_856), ('14-1/2"', 117_856), ("3' 2 1/2\"", 312_928),
        ("3 ft 2.5 in", 312_928), ("368 mm", 117_760), ("36.8 cm", 117_760), ("23/32", 5_842), ("3½", 28_448),
        ("5′ 6″", 536_448), ("36,8 cm", 117_760), ("1.2 m", 384_000),
    ],
)  # fmt: skip
def test_every_spelling_reads_to_its_exact_ticks(text: str, ticks: int) -> None:
    """By hand: 1 in = 8128 ticks, 1 mm = 320 ticks."""
    assert parse_length(text, "in", Rounding.UP) == ticks == parse_length(text, "in", Rounding.DOWN)


def test_a_bare_number_is_in_the_folders_units() -> None:
    assert parse_length(368, "mm", Rounding.DOWN) == parse_length("368 mm", "in", Rounding.DOWN)


def test_part_of_a_tick_goes_the_stated_way() -> None:
    assert parse_length("1/3 mm", "in", Rounding.DOWN) == 106
    assert parse_length("1/3 mm", "in", Rounding.UP) == 107
    assert parse_length("1/3 mm", "in", Rounding.NEAREST) == 107


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "empty"), ("x", "not a length"), ("-3", "negative"), ("1/0", "divides by zero"), ("1,000", "thousands"),
        ("3 in 2 ft", "not one length"), ("1e5", "unknown unit"), ("9999 m", "longer than 100 m"), ("14-", "not one"),
    ],
)  # fmt: skip
def test_what_is_no_length_is_refused_in_words(text: str, reason: str) -> None:
    with pytest.raises(LengthError, match=reason):
        parse_length(text, "in", Rounding.UP)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), True, 1e308])
def test_no_strange_number_is_a_length(value: float) -> None:
    with pytest.raises(LengthError):
        parse_length(value, "in", Rounding.UP)


@given(st.integers(0, 30_000_000), st.sampled_from(["in", "mm"]), st.sampled_from(list(Rounding)))
def test_what_is_printed_reads_back(ticks: int, units: str, rounding: Rounding) -> None:
    text = format_length(Ticks(ticks), units)  # type: ignore[arg-type]
    assert parse_length(text, units, rounding) == ticks  # type: ignore[arg-type]
    assert from_number(to_number(Ticks(ticks), units), units) == ticks  # type: ignore[arg-type]


@given(st.integers(0, 30_000_000), st.sampled_from(["in", "mm"]), st.sampled_from(list(Rounding)))
def test_a_number_of_a_plan_copied_into_a_closet_loses_no_tick(ticks: int, units: str, rounding: Rounding) -> None:
    """8.362204724409448 in is the float nearest to 212.4 mm; read digit by digit it would be a tick less."""
    assert parse_length(to_number(Ticks(ticks), units), units, rounding) == ticks  # type: ignore[arg-type]


def test_what_a_person_types_is_still_rounded_the_stated_way() -> None:
    """14.1 in is 114604.8 ticks."""
    assert [parse_length(14.1, "in", way) for way in (Rounding.DOWN, Rounding.UP)] == [114_604, 114_605]


def test_fractions_are_in_lowest_terms() -> None:
    assert format_length(Ticks(8128 * 14 + 8128 // 2), "in") == "1' 2 1/2\""


@pytest.mark.parametrize(
    ("ticks", "units", "text"),
    [
        (8128 * 3 // 2, "in", '1 1/2"'), (8128 * 3 // 2 + 500, "in", 'about 1 1/2"'), (320 * 7, "mm", "7 mm"),
        (320 * 7 + 159, "mm", "about 7 mm"), (320 * 7 + 161, "mm", "about 8 mm"), (0, "in", '0"'),
    ],
)  # fmt: skip
def test_a_length_for_reading_is_marked_where_it_is_rounded(ticks: int, units: str, text: str) -> None:
    assert format_about(ticks, units) == text  # type: ignore[arg-type]


def test_a_text_too_long_is_no_length() -> None:
    with pytest.raises(LengthError, match="is not a length") as caught:
        parse_length("1" * 61, "in", Rounding.UP)
    assert len(caught.value.text) == 60


def test_converters_are_the_published_ones() -> None:
    """Inch and pound: international agreement of 1959, exact; standard gravity: CGPM 1901; the rest by hand."""
    assert MM_PER_INCH == 25.4
    assert KG_PER_POUND == 0.45359237
    assert NEWTONS_PER_KG == 9.80665
    assert pytest.approx(NEWTONS_PER_KG * KG_PER_POUND) == NEWTONS_PER_POUND
    assert pytest.approx(0.45359237 / 0.3048**3) == KG_PER_M3_PER_LB_PER_FT3  # 16.0185
    assert pytest.approx(0.006894757, rel=1e-6) == MPA_PER_PSI
    assert pytest.approx(4.788026e-5, rel=1e-6) == MPA_PER_PSF
    assert parse_length("100 m", "in", Rounding.UP) == LONGEST
    with pytest.raises(LengthError, match="longer than 100 m"):
        parse_length("100.1 m", "in", Rounding.UP)


def test_numbers_for_reading_are_in_the_folders_units() -> None:
    assert (mm_to_number(25.4, "in"), mm_to_number(25.4, "mm")) == (1.0, 25.4)
    assert (mm_to_number(1.0, "in"), mm_to_number(1.23456, "mm")) == (0.0394, 1.235)
    assert (kg_to_number(0.45359237, "in"), kg_to_number(1.26, "mm"), kg_to_number(1.0, "in")) == (1.0, 1.3, 2.2)
    assert (feet_or_metres(12.4 * 12 * 8128, "in"), feet_or_metres(3780 * 320, "mm")) == ("12.4 ft", "3.78 m")


def test_inches_stay_out_of_a_folder_in_millimetres_and_less_than_nothing_keeps_its_sign() -> None:
    assert format_length(Ticks(8128), "mm") == "25.4 mm"
    assert format_length(Ticks(-8128), "in") == '-1"'
    assert format_length(Ticks(-320), "mm") == "-1 mm"


def test_after_feet_a_bare_number_is_inches_and_only_then() -> None:
    assert parse_length("3' 2", "mm", Rounding.UP) == 38 * 8128
    assert parse_length("2", "mm", Rounding.UP) == 2 * 320
    with pytest.raises(LengthError, match="is not one length"):
        parse_length("3 mm 2", "in", Rounding.UP)


def test_a_unit_is_added_only_where_one_is_missing_and_taken_off_only_where_it_says_nothing() -> None:
    assert [with_unit(value, "mm") for value in (18, "18", "18 in", 0, "0", 1.5)] == [
        "18 mm", "18 mm", "18 in", 0, "0", "1.5 mm",
    ]  # fmt: skip
    assert [without_unit(value, "in") for value in ("18 in", "18 mm", "0", "007 in", "0.5 in", 18, "3' 2 in")] == [
        18, "18 mm", 0, "007", 0.5, 18, "3' 2 in",
    ]  # fmt: skip


def test_a_text_of_sixty_characters_is_still_read() -> None:
    """Longer ones are refused without a look at what they say."""
    assert parse_length("14".rjust(60, "0"), "in", Rounding.UP) == 14 * 8128
    with pytest.raises(LengthError, match="is not a length"):
        parse_length("14".rjust(61, "0"), "in", Rounding.UP)


@pytest.mark.parametrize(
    ("ticks", "inches", "millimetres"),
    [(14 * 8128, "14", "355.6"), (14 * 8128 + 127, "14 1/64", "355.996875"), (320, "1 mm", "1")],
)
def test_a_length_is_written_into_a_file_as_a_person_would(ticks: int, inches: str, millimetres: str) -> None:
    """In inches where it is whole 64ths, else in millimetres that say so."""
    assert str(length_to_write(Ticks(ticks), "in")) == inches
    assert str(length_to_write(Ticks(ticks), "mm")) == millimetres
