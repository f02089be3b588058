"""The page Closet without a browser: what each field writes, and what is said."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from support.closet_page import data_of, difference, faults, submit
from support.opened_pages import Open, said

from capacity.closet.closet import read_closet
from capacity.layout.problem import Problem
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.folder import read_folder
from capacity.makeover.samples import SAMPLES, start_folder
from capacity.page.household import read_household
from capacity.units import inches

IN = 8128  # ticks


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    start_folder(tmp_path / "ours", "family-walk-in")
    return tmp_path / "ours"


@pytest.mark.parametrize("sample", SAMPLES)
def test_each_sample_is_shown_whole_and_nothing_is_written_by_looking(
    opened: Open, tmp_path: Path, sample: str
) -> None:
    start_folder(tmp_path / "ours", sample)
    text = (tmp_path / "ours" / "closet.toml").read_bytes()
    page = opened(tmp_path / "ours", "closet")
    closet = read_closet(tmp_path / "ours" / "closet.toml")
    assert page.header[0].value.startswith(f"{len(closet.wall)} wall")
    assert "Nothing is missing for a layout" in said(page)
    assert faults(page) == []
    assert len(page.get("image")) == 2  # the wall and all from above
    assert page.text_input(key="closet_wall_0_name").value == closet.wall[0].name
    assert (tmp_path / "ours" / "closet.toml").read_bytes() == text


def test_from_an_empty_folder_to_a_closet_that_can_be_fitted(opened: Open, tmp_path: Path) -> None:
    ours = tmp_path / "ours"
    ours.mkdir()
    page = opened(ours, "closet")
    page.text_input(key="closet_ceiling").set_value("8 ft").run()
    assert data_of(ours) == {"ceiling": "8 ft"}
    assert "understood: 8' 0\"" in said(page)
    page.text_input(key="closet_top").set_value("97").run()
    assert faults(page) == ["Not saved: 8' 1\" is above the ceiling of 8' 0\""]
    assert page.text_input(key="closet_top").value == "97"  # what was typed is still there
    page.text_input(key="closet_top").set_value("84").run()
    assert faults(page) == []
    assert "Still missing: a wall." in said(page)
    submit(page, "wall", "Add the wall")
    assert any("wall 1, name: is missing" in fault for fault in faults(page))
    for name, text in (("name", "back"), ("width", "70 1/4"), ("depth", "15")):
        page.text_input(key=f"add_wall_{name}").set_value(text)
    submit(page, "wall", "Add the wall")
    assert faults(page) == []
    assert page.text_input(key="add_wall_name").value == ""  # ready for the next
    assert "1 wall, 5' 10 1/4\" to build against, under a ceiling of 8' 0\"; today nothing" in said(page)
    page.text_input(key="closet_wall_0_width_1").set_value("70").run()
    page.text_input(key="closet_wall_0_width_2").set_value("69 7/8").run()
    assert data_of(ours)["wall"] == [{"name": "back", "width": ["70 1/4", 70, "69 7/8"], "depth": 15}]
    assert "The least width counts: 5' 9 7/8\"." in said(page)
    for name, text in (("left", "0"), ("width", "69"), ("depth", "12"), ("shelf", "66")):
        page.text_input(key=f"add_bay_0_{name}").set_value(text)
    submit(page, "bay_0", "Add the bay")
    assert faults(page) == []
    closet = read_closet(ours / "closet.toml")
    assert [(item.kind, item.bottom, item.height) for item in closet.before[0].openings] == [
        ("shelf", 0, 12 * IN),
        ("hang", 12 * IN, 54 * IN),
        ("shelf", 66 * IN + 23 * IN // 32, 30 * IN - 23 * IN // 32),
    ]
    assert "today 1 bay with 3 openings. Nothing is missing for a layout." in said(page)


def test_each_field_changes_its_own_setting_and_no_remark(opened: Open, folder: Path) -> None:
    """Ten at a time on one page: after each run the file differs from before in just those settings."""
    text = (folder / "closet.toml").read_text()
    (folder / "closet.toml").write_text(text.replace("ceiling = 2450 ", "ceiling = 2464 "))
    page = opened(folder, "closet")
    remarks = [line.partition("#")[2] for line in (folder / "closet.toml").read_text().splitlines() if "#" in line]
    typed: list[tuple[str, str, tuple[str | int, ...], Any]] = [
        ("name", "Our place", ("name",), "Our place"),
        ("top", "2100.5", ("top",), 2100.5),
        ("wall_0_width_1", "6' 5\"", ("wall", 0, "width", 1), "6' 5\""),
        ("wall_0_depth", "410 mm", ("wall", 0, "depth"), 410),
        ("wall_0_lean", "3", ("wall", 0, "lean"), 3),
        ("wall_0_out_of_square", "1/8 in", ("wall", 0, "out_of_square"), "1/8 in"),
        ("wall_0_level", "5", ("wall", 0, "level"), 5),
        ("wall_0_front", "900", ("wall", 0, "front"), 900),
        ("before_0_left", "290", ("before", 0, "left"), 290),
        ("before_0_width", "1640", ("before", 0, "width"), 1640),
        ("before_0_depth", "390", ("before", 0, "depth"), 390),
        ("before_0_openings_1_height", "1300", ("before", 0, "openings", 1, "height"), 1300),
        ("before_0_openings_2_bottom", "1701", ("before", 0, "openings", 2, "bottom"), 1701),
        ("panel_thickness", "18.3", ("panel", "thickness"), 18.3),
        ("panel_price", "59.90", ("panel", "price"), 59.9),
        ("panel_support_every", "800", ("panel", "support_every"), 800),
        ("rod_diameter", "1 1/4 in", ("rod", "diameter"), "1 1/4 in"),
        ("rod_wall", "1.6", ("rod", "wall"), 1.6),
        ("prices_currency", "€", ("prices", "currency"), "€"),
        ("prices_tax", "0.2", ("prices", "tax"), 0.2),
        ("prices_edge_band", "12", ("prices", "edge_band"), 12),
        ("wishes_toe_kick", "80", ("wishes", "toe_kick"), 80),
        ("wishes_gap", "1 in", ("wishes", "gap"), "1 in"),
        ("wishes_hang_allowance", "110", ("wishes", "hang_allowance"), 110),
        ("wishes_min_bay", "310", ("wishes", "min_bay"), 310),
        ("wishes_max_shelf", "850", ("wishes", "max_shelf"), 850),
        ("wishes_max_rod", "1100", ("wishes", "max_rod"), 1100),
        ("wishes_rows_deep", "2", ("wishes", "rows_deep"), 2),
        ("wishes_corner_access", "310", ("wishes", "corner_access"), 310),
        ("wishes_play", "5", ("wishes", "play"), 5),
        ("wishes_least_opening", "4 in", ("wishes", "least_opening"), "4 in"),
        ("wishes_highest_drawer", "1250", ("wishes", "highest_drawer"), 1250),
        ("wishes_round", "2", ("wishes", "round"), 2),
        ("wishes_pitch", "32", ("wishes", "pitch"), 32),
        ("wishes_spare", "0.15", ("wishes", "spare"), 0.15),
        ("wishes_budget", "900", ("wishes", "budget"), 900),
        ("door_width", "810", ("door", "width"), 810),
        ("door_height", "2050", ("door", "height"), 2050),
        ("door_clear", "790", ("door", "clear"), 790),
        ("door_left", "810", ("door", "left"), 810),
        ("door_distance", "1970", ("door", "distance"), 1970),
        ("way_1_rise", "175", ("way", 1, "rise"), 175),
        ("way_1_name", "cellar stairs", ("way", 1, "name"), "cellar stairs"),
        ("person_0_height", "5 ft 6", ("person", 0, "height"), "5 ft 6"),
        ("person_2_age", "10", ("person", 2, "age"), 10),
        ("person_1_reach", "2100", ("person", 1, "reach"), 2100),
        ("lamp_0_out", "910", ("lamp", 0, "out"), 910),
        ("lamp_0_bottom", "2340", ("lamp", 0, "bottom"), 2340),
        ("room_width", "2950", ("room", "width"), 2950),
        ("baseboard_height", "95", ("baseboard", "height"), 95),
    ]  # fmt: skip
    for first in range(0, len(typed), 10):
        some, before = typed[first : first + 10], data_of(folder)
        for key, text, _, _ in some:
            page.text_input(key=f"closet_{key}").set_value(text)
        page.run()
        assert faults(page) == []
        assert difference(before, data_of(folder)) == {place: value for _, _, place, value in some}
    chosen: list[tuple[str, str, tuple[str | int, ...]]] = [
        ("before_0_openings_2_kind", "drawer", ("before", 0, "openings", 2, "kind")),
        ("panel_material", "mdf", ("panel", "material")),
        ("panel_standard", "laboratory", ("panel", "standard")),
        ("rod_material", "beech", ("rod", "material")),
        ("wishes_prefer", "plywood", ("wishes", "prefer")),
        ("door_swings", "in", ("door", "swings")),
        ("person_0_posture", "seated", ("person", 0, "posture")),
        ("lamp_0_kind", "recessed led", ("lamp", 0, "kind")),
        ("assembly", "in place", ("assembly",)),
    ]  # fmt: skip
    before = data_of(folder)
    for key, choice, _ in chosen:
        page.selectbox(key=f"closet_{key}").set_value(choice)
    page.run()
    assert faults(page) == []
    assert difference(before, data_of(folder)) == {place: choice for _, choice, place in chosen}
    boxes: list[tuple[str, tuple[str | int, ...], bool]] = [
        ("fillers", ("fillers",), False),
        ("wishes_owners_apart", ("wishes", "owners_apart"), True),
        ("wishes_keep_bays", ("wishes", "keep_bays"), True),
    ]
    before = data_of(folder)
    for key, _, is_on in boxes:
        page.checkbox(key=f"closet_{key}").set_value(is_on)
    page.run()
    assert difference(before, data_of(folder)) == {place: is_on for _, place, is_on in boxes}
    left = [line.partition("#")[2] for line in (folder / "closet.toml").read_text().splitlines() if "#" in line]
    assert left == remarks
    before = data_of(folder)
    page.text_input(key="closet_wall_0_lean").set_value("").run()  # emptied: taken out
    assert difference(before, data_of(folder)) == {("wall", 0, "lean"): None}


def test_openings_are_moved_added_and_taken_out(opened: Open, folder: Path) -> None:
    page = opened(folder, "closet")
    kinds = [item["kind"] for item in data_of(folder)["before"][0]["openings"]]
    assert kinds == ["shelf", "hang", "shelf"]
    page.button(key="raise_0_0").click().run()  # the floor's shelf over the clothes: 350 and 1330 high, nothing between
    openings = data_of(folder)["before"][0]["openings"]
    assert (openings[0]["bottom"], openings[1]["bottom"]) == (1330, 0)
    page.button(key="lower_0_0").click().run()
    assert [item["bottom"] for item in data_of(folder)["before"][0]["openings"]] == [0, 350, 1700]
    page.button(key="remove_closet_before_0_openings_2").click().run()
    assert len(data_of(folder)["before"][0]["openings"]) == 2
    page.selectbox(key="add_opening_0_kind").set_value("drawer")
    page.text_input(key="add_opening_0_height").set_value("200")
    submit(page, "opening_0", "Add an opening")
    assert data_of(folder)["before"][0]["openings"][2] == {"kind": "drawer", "bottom": 1680, "height": 200}
    assert faults(page) == []
    page.button(key="remove_closet_before_0").click().run()
    assert [bay["wall"] for bay in data_of(folder)["before"]] == ["back", "back", "right"]
    assert "Nothing stands on this wall today" in said(page)


def test_a_wall_is_renamed_everywhere_and_taken_out_with_what_stands_there(opened: Open, folder: Path) -> None:
    page = opened(folder, "closet")
    page.radio(key="closet_wall").set_value(1).run()
    page.text_input(key="closet_wall_1_name").set_value("window side").run()
    assert faults(page) == []
    data = data_of(folder)
    assert data["wall"][0]["corner"] == data["door"]["faces"] == data["lamp"][0]["wall"] == "window side"
    assert [bay["wall"] for bay in data["before"]] == ["left", "window side", "window side", "right"]
    page.button(key="remove_wall_1").click().run()
    assert faults(page) == []
    data = data_of(folder)
    assert [wall["name"] for wall in data["wall"]] == ["left", "right"]
    assert [bay["wall"] for bay in data["before"]] == ["left", "right"]
    assert "lamp" not in data
    assert set(data["door"]) == {"kind", "width", "height"}
    read_closet(folder / "closet.toml")


def test_tables_are_added_and_taken_out(opened: Open, folder: Path) -> None:
    page = opened(folder, "closet")
    for name in ("door", "baseboard", "room"):
        page.button(key=f"remove_closet_{name}").click().run()
        assert name not in data_of(folder)
    page.button(key="remove_closet_person_3").click().run()
    assert [person["name"] for person in data_of(folder)["person"]] == ["Vera", "Emil", "Juno"]
    page.text_input(key="add_person_0_age").set_value("6")  # known from the count, so offered by name
    submit(page, "person_0", "Add Otto")
    assert data_of(folder)["person"][3] == {"name": "Otto", "age": 6}
    page.selectbox(key="add_closet_door_kind").set_value("bifold")
    for name, text in (("width", "760"), ("height", "2000")):
        page.text_input(key=f"add_closet_door_{name}").set_value(text)
    submit(page, "closet_door", "Add the door")
    assert data_of(folder)["door"] == {"kind": "bifold", "width": 760, "height": 2000}
    page.selectbox(key="add_door_place_faces").set_value("back")
    page.text_input(key="add_door_place_left").set_value("700")
    submit(page, "door_place", "Say where it is")
    assert any("write all three or none" in fault for fault in faults(page))
    page.text_input(key="add_door_place_distance").set_value("1950")
    submit(page, "door_place", "Say where it is")
    assert data_of(folder)["door"]["distance"] == 1950
    page.selectbox(key="way_kind").set_value("hall").run()
    page.text_input(key="add_way_hall_width").set_value("900")
    page.text_input(key="add_way_hall_ceiling").set_value("2400")
    submit(page, "way_hall", "Add the hall")
    page.button(key="earlier_way_2").click().run()
    assert [way["kind"] for way in data_of(folder)["way"]] == ["door", "hall", "stairs"]
    page.text_input(key="add_blocked_0_left").set_value("10")
    for name, text in (("width", "80"), ("bottom", "300"), ("height", "120")):
        page.text_input(key=f"add_blocked_0_{name}").set_value(text)
    submit(page, "blocked_0", "Add a blocked place")
    assert data_of(folder)["wall"][0]["blocked"] == [{"left": 10, "width": 80, "bottom": 300, "height": 120}]
    page.selectbox(key="add_wishes_keep_to_wall").set_value("right")
    page.selectbox(key="add_wishes_keep_to_owner").set_value("Emil")
    submit(page, "wishes_keep_to", "Add things that keep to a wall")
    page.selectbox(key="add_wishes_bay_wall").set_value("back")
    page.text_input(key="add_wishes_bay_left").set_value("600")
    page.text_input(key="add_wishes_bay_width").set_value("500")
    page.selectbox(key="add_wishes_bay_kind").set_value("hang")
    page.text_input(key="add_wishes_bay_bottom").set_value("300")
    submit(page, "wishes_bay", "Add a bay that must be")
    page.selectbox(key="add_wishes_drawers_wall").set_value("back")
    for name, text in (("left", "1300"), ("width", "450"), ("count", "4")):
        page.text_input(key=f"add_wishes_drawers_{name}").set_value(text)
    submit(page, "wishes_drawers", "Add a bank of drawers")
    wishes = data_of(folder)["wishes"]
    assert wishes["keep_to"] == [{"wall": "right", "owner": "Emil"}]
    assert wishes["bay"] == [{"wall": "back", "left": 600, "width": 500, "kind": "hang", "bottom": 300}]
    page.text_input(key="closet_wishes_bay_0_rod_0").set_value("1900").run()
    page.text_input(key="closet_wishes_bay_0_rod_1").set_value("1000").run()
    page.selectbox(key="add_wishes_must_owner").set_value("Emil")
    submit(page, "wishes_must", "Add what must have a place")
    wishes = data_of(folder)["wishes"]
    assert wishes["bay"][0]["rod"] == [1900, 1000]
    assert wishes["must"] == [{"owner": "Emil"}]
    assert wishes["drawers"] == [{"wall": "back", "left": 1300, "width": 450, "count": 4}]
    page.selectbox(key="add_wishes_unit_wall").set_value("right")
    for name, text in (("what", "chest"), ("left", "100"), ("width", "400"), ("depth", "300"), ("height", "600")):
        page.text_input(key=f"add_wishes_unit_{name}").set_value(text)
    submit(page, "wishes_unit", "Add a unit that you own")
    assert data_of(folder)["wishes"]["unit"] == [
        {"what": "chest", "wall": "right", "left": 100, "width": 400, "depth": 300, "height": 600}
    ]
    page.text_input(key="closet_wall_0_ceiling_1").set_value("2000").run()
    assert data_of(folder)["wall"][0]["ceiling"] == [2450, 2000]
    assert faults(page) == []
    read_closet(folder / "closet.toml")


def _without_usual_sizes(folder: Path) -> Problem:
    """The problem of a folder less what has a usual value of its own in either system."""
    problem = size_problem(*read_folder(folder)).as_given
    return replace(problem, runs=tuple(replace(run, kept_right=0) for run in problem.runs))


def test_the_other_units_change_no_length_and_are_said_back(opened: Open, folder: Path) -> None:
    before = _without_usual_sizes(folder)
    text = (folder / "closet.toml").read_text()
    page = opened(folder, "closet")
    page.radio(key="closet_units").set_value("in").run()
    assert faults(page) == []
    assert _without_usual_sizes(folder) == before
    assert page.text_input(key="closet_top").value == "2140 mm"
    page.text_input(key="closet_top").set_value("84").run()
    assert "understood: 7' 0\"" in said(page)
    page.text_input(key="closet_top").set_value("2140 mm").run()
    page.radio(key="closet_units").set_value("mm").run()
    assert (folder / "closet.toml").read_text() == text


def test_a_count_in_millimetres_is_read_so_before_the_closet_is_measured(tmp_path: Path) -> None:
    (tmp_path / "closet.toml").write_text('units = "mm"\nceiling = 2400\n')
    (tmp_path / "inventory.csv").write_text("what,count,width\nstorage bin,2,4500\n")
    household = read_household(tmp_path)
    assert household.closet is None
    assert household.units == "mm"
    assert household.inventory is not None
    assert household.inventory.piles[0].shape.width == 4500 * 320


def test_the_ceiling_is_lowered_where_only_an_opening_up_to_it_is_in_the_way(opened: Open, small: Path) -> None:
    text = (small / "closet.toml").read_text()
    over = '{ kind = "hang", bottom = 12, height = 50 }, { kind = "shelf", bottom = 63, height = 33 }'
    (small / "closet.toml").write_text(text.replace('{ kind = "hang", bottom = 12, height = 50 }', over))
    page = opened(small, "closet")
    page.text_input(key="closet_ceiling").set_value("7 ft 11 1/2").run()
    assert not faults(page)
    closet = read_closet(small / "closet.toml")
    assert closet.before[0].openings[2].height == inches(32.5)
    page.text_input(key="closet_ceiling").set_value("60").run()
    assert faults(page)
    page.button(key="undo_the_measurements").click().run()
    assert read_closet(small / "closet.toml").before[0].openings[2].height == inches(33)


def test_undo_brings_the_last_measurement_back_into_its_field(opened: Open, folder: Path) -> None:
    text = (folder / "closet.toml").read_bytes()
    page = opened(folder, "closet")
    page.text_input(key="closet_ceiling").set_value("2500").run()
    page.button(key="undo_the_measurements").click().run()
    assert (folder / "closet.toml").read_bytes() == text
    assert page.text_input(key="closet_ceiling").value == "2450"
    page.button(key="redo_the_measurements").click().run()
    assert page.text_input(key="closet_ceiling").value == "2500"
