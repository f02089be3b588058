"""Changes of more than one setting as data: walls renamed and taken out, openings moved, rods added; the sentence."""

from __future__ import annotations

import copy
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as some

from capacity.closet.closet import validate_closet
from capacity.closet.edits import (
    from_the_floor,
    move_entry,
    one_of_several,
    one_of_two,
    opening_on_top,
    raise_opening,
    remove_wall,
    rename_wall,
    rod_under_shelf,
    setting_at,
)
from capacity.closet.summary import measured_sentence, not_given
from capacity.closet.text_edits import Edit, changed_text
from capacity.makeover.samples import SAMPLES
from capacity.units import PER_INCH, LengthError, Rounding, Ticks, parse_length

SHIPPED = Path(__file__).parents[2] / "inventory_samples"


def text_of(sample: str) -> str:
    return (SHIPPED / sample / "closet.toml").read_text()


def after(text: str, changes: list[Edit]) -> dict[str, Any]:
    return tomllib.loads(changed_text(text, changes))


@pytest.mark.parametrize("sample", SAMPLES)
def test_a_wall_under_another_name_is_the_same_closet(sample: str) -> None:
    text = text_of(sample)
    data = tomllib.loads(text)
    for number, wall in enumerate(data["wall"]):
        renamed = after(text, rename_wall(data, number, "a new name"))
        there = repr(validate_closet(renamed)).replace("a new name", wall["name"])
        assert there == repr(validate_closet(data))
        assert rename_wall(data, number, None) == [Edit(("wall", number, "name"), None)]


@pytest.mark.parametrize("sample", ["couple-walk-in", "family-walk-in"])
def test_what_is_left_without_a_wall_is_a_closet_that_does_not_speak_of_it(sample: str) -> None:
    text = text_of(sample) + '[[wishes.bay]]\nwall = "back"\nleft = 600\nwidth = 500\n'
    data = tomllib.loads(text)
    for number, wall in enumerate(data["wall"]):
        closet = validate_closet(after(text, remove_wall(data, number)))
        assert [left.name for left in closet.wall] == [left["name"] for left in data["wall"] if left is not wall]
        assert len(closet.before) == sum(bay["wall"] != wall["name"] for bay in data["before"])
        assert len(closet.wishes.bay) == (wall["name"] != "back")


def heights(data: dict[str, Any]) -> list[tuple[str, int, int]]:
    found = []
    for number in from_the_floor(data, 0, "in"):
        opening = data["before"][0]["openings"][number]
        bottom, high = (parse_length(opening[name], "in", Rounding.DOWN) for name in ("bottom", "height"))
        found.append((opening["kind"], int(bottom), int(high)))
    return found


@given(some.lists(some.tuples(some.integers(1, 4000), some.integers(0, 200)), min_size=2, max_size=6), some.data())
def test_two_openings_that_change_places_keep_their_height_their_gap_and_all_the_others(
    parts: list[tuple[int, int]], chosen: some.DataObject
) -> None:
    bottom, openings = 0, []
    for index, (high, gap) in enumerate(parts):
        openings.append({"kind": str(index), "bottom": f"{bottom}/64", "height": f"{high}/64"})
        bottom += high + gap
    data: dict[str, Any] = {"before": [{"openings": openings}]}
    number = chosen.draw(some.integers(0, len(parts) - 2))
    before = heights(data)
    changed = copy.deepcopy(data)
    for change in raise_opening(data, 0, number, "in"):
        changed["before"][0]["openings"][change.place[3]][change.place[4]] = change.value
    now = heights(changed)
    lower, upper = before[number], before[number + 1]
    assert now[:number] == before[:number]
    assert now[number + 2 :] == before[number + 2 :]
    assert (now[number][0], now[number + 1][0]) == (upper[0], lower[0])
    assert now[number][1] == lower[1]
    assert now[number + 1][1] + now[number + 1][2] == upper[1] + upper[2]
    assert now[number + 1][1] - now[number][1] - now[number][2] == upper[1] - lower[1] - lower[2]
    assert raise_opening(data, 0, len(parts) - 1, "in") == []


def test_an_opening_whose_length_cannot_be_read_is_not_moved() -> None:
    data = {"before": [{"openings": [{"bottom": "low", "height": 3}, {"bottom": 5, "height": 3}]}]}
    assert from_the_floor(data, 0, "in") == [1, 0]
    with pytest.raises(LengthError):
        opening_on_top(data, 0, "in", "shelf", None, 4)


def test_a_new_opening_stands_on_the_topmost_or_where_it_is_said() -> None:
    data = {"before": [{"openings": [{"bottom": "10 1/2", "height": 3}, {"bottom": 0, "height": 9}]}]}
    place = ("before", 0, "openings", 2)
    assert opening_on_top(data, 0, "in", "hang", None, 40) == [
        Edit(place, {"kind": "hang", "bottom": "13 1/2", "height": 40})
    ]
    assert opening_on_top(data, 0, "in", "hang", 20, None) == [Edit(place, {"kind": "hang", "bottom": 20})]


def test_a_rod_under_a_shelf_has_the_floor_below_and_the_rest_above() -> None:
    shelf, panel, ceiling = Ticks(66 * PER_INCH), Ticks(3 * PER_INCH // 4), Ticks(96 * PER_INCH)
    assert rod_under_shelf(shelf, panel, ceiling, "in") == [
        {"kind": "shelf", "bottom": 0, "height": 12},
        {"kind": "hang", "bottom": 12, "height": 54},
        {"kind": "shelf", "bottom": "66 3/4", "height": "29 1/4"},
    ]
    assert len(rod_under_shelf(ceiling, panel, ceiling, "in")) == 2  # no room over it


def test_one_of_several_measurements() -> None:
    place = ("wall", 0, "width")

    def data(width: Any) -> dict[str, Any]:
        return {"wall": [{"width": width}]}

    assert one_of_several(data([5, 6]), place, 1, 7) == [Edit((*place, 1), 7)]
    assert one_of_several(data([5, 6]), place, 2, 7) == [Edit((*place, 2), 7)]
    assert one_of_several(data([5, 6]), place, 0, None) == [Edit(place, [6])]
    assert one_of_several(data(5), place, 1, 7) == [Edit(place, [5, 7])]
    assert one_of_several(data(5), place, 0, None) == [Edit(place, None)]
    assert one_of_several(data([5]), place, 5, 7) == [Edit(place, [5, 7])]


def test_one_of_two_lengths_takes_the_usual_for_the_other() -> None:
    assert one_of_two({}, ("a",), 1, 72, 96) == [Edit(("a",), [96, 72])]
    assert one_of_two({"a": [90, 72]}, ("a",), 0, 80, 96) == [Edit(("a",), [80, 72])]
    assert one_of_two({"a": [90, 72]}, ("a",), 0, None, 96) == [Edit(("a",), None)]


@pytest.mark.parametrize("number", range(4))
def test_a_stretch_of_the_way_moves_whole(number: int) -> None:
    text = text_of("couple-walk-in")
    data = tomllib.loads(text)
    ways = data["way"]
    moved = after(text, move_entry(data, "way", number, 1))["way"]
    if number == len(ways) - 1:
        assert moved == ways
    else:
        assert moved == [*ways[:number], ways[number + 1], ways[number], *ways[number + 2 :]]


def test_a_setting_that_is_not_there_is_none_whatever_stands_in_its_way() -> None:
    data = {"wall": [{"width": "70 1/4"}], "door": 3}
    assert setting_at(data, ("wall", 0, "width")) == "70 1/4"
    for place in (("wall", 1), ("wall", -1), ("wall", 0, "width", 0), ("door", "faces"), ("wall", "name"), ("x", 0)):
        assert setting_at(data, place) is None


def test_the_sentence_counts_what_is_there_and_names_what_is_missing() -> None:
    data = tomllib.loads(text_of("family-walk-in"))
    assert measured_sentence(data, validate_closet(data)) == (
        "3 walls, 6294 mm to build against, under a ceiling of 2450 mm; today 4 bays with 14 openings. "
        "Nothing is missing for a layout."
    )
    assert not_given(data) == ""
    assert not_given({"door": {"kind": "open"}, "lamp": []}).endswith(
        "the way in, the people, the lamps, the room in front and the baseboard. Each has its place below."
    )
    assert measured_sentence({"ceiling": 96}, None) == "Still missing: the height of the built-ins and a wall."
    assert measured_sentence({"wall": [{}]}, None).startswith("1 wall so far. Still missing: ")
    assert "have a fault" in measured_sentence(data, None)
