"""The page Closet without a browser: what is refused, how it is said, and how a broken file is put right."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from support.closet_page import data_of, faults, submit
from support.opened_pages import Open, said

from capacity.makeover.samples import start_folder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    start_folder(tmp_path / "ours", "family-walk-in")
    return tmp_path / "ours"


FAULTS = (
    ("ceiling", "high", '"high" is not a length; expected a length such as'),
    ("ceiling", "", "is missing; write it"),
    ("wall_0_width_0", "2 in", "narrower than the smallest bay"),
    ("wall_0_depth", "-4", '"-4" is negative'),
    ("wall_0_name", "back", "another wall has this name"),
    ("before_0_width", "9000", "outside the wall's 1950 mm"),
    ("before_0_openings_0_height", "400", "overlaps opening 1"),
    ("wishes_spare", "1.5", "1.5 cannot be used"),
    ("wishes_rows_deep", "two", '"two" cannot be used'),
    ("panel_price", "12,50", "has a comma"),
    ("person_2_age", "1", "1 cannot be used"),
    ("door_left", "", "write all three or none"),
    ("way_0_height", "", "a door has width and height: write height"),
)
"""Fields with what is typed into them and what is said of it."""


def test_a_fault_stands_by_its_field_and_leaves_the_file_byte_for_byte(opened: Open, folder: Path) -> None:
    """One after the other on one page; what was said of a field stays while others are typed into."""
    page = opened(folder, "closet")
    before = (folder / "closet.toml").read_bytes()
    said_of: dict[str, str] = {}
    for key, text, words in FAULTS:
        page.text_input(key=f"closet_{key}").set_value(text).run()
        said_of[key] = words
        told = faults(page)
        assert len(told) == len(said_of)
        for each in said_of.values():
            (fault,) = [fault for fault in told if each in fault]
            assert fault.startswith("Not saved: ")
            assert "closet.toml" not in fault
        assert page.text_input(key=f"closet_{key}").value == text
        assert (folder / "closet.toml").read_bytes() == before
    assert {path.name for path in folder.iterdir()} <= {"closet.toml", "inventory.csv", ".capacity"}


def test_what_another_page_has_changed_is_not_written_over(opened: Open, folder: Path) -> None:
    page = opened(folder, "closet")
    text = (folder / "closet.toml").read_text()
    other = text.replace("width  = [1955, 1950, 1952]", "width  = [1955, 1951, 1952]")
    assert other != text
    (folder / "closet.toml").write_text(other)
    page.text_input(key="closet_wall_0_depth").set_value("390").run()  # the same wall
    assert "changed elsewhere" in faults(page)[0]
    assert (folder / "closet.toml").read_text() == other
    assert page.text_input(key="closet_wall_0_width_1").value == "1951"
    page.text_input(key="closet_wall_0_depth").set_value("395").run()
    assert data_of(folder)["wall"][0]["depth"] == 395
    (folder / "closet.toml").write_text((folder / "closet.toml").read_text().replace("price     = 58.00", "price = 60"))
    page.text_input(key="closet_top").set_value("2130").run()  # another setting: both are kept
    assert faults(page) == []
    assert (data_of(folder)["top"], data_of(folder)["panel"]["price"]) == (2130, 60)


@pytest.mark.parametrize(("answer", "top"), [("mine", 2130), ("theirs", 2120)])
def test_a_value_typed_over_one_that_was_changed_elsewhere_is_asked_about(
    opened: Open, folder: Path, answer: str, top: int
) -> None:
    page = opened(folder, "closet")
    text = (folder / "closet.toml").read_text()
    (folder / "closet.toml").write_text(text.replace("top     = 2140", "top     = 2120"))
    page.text_input(key="closet_top").set_value("2130").run()
    assert "Changed elsewhere meanwhile: it says 2120 now, you chose 2130." in said(page)
    assert data_of(folder)["top"] == 2120
    page.button(key=f"{answer}_closet_top").click().run()
    assert data_of(folder)["top"] == top
    assert page.text_input(key="closet_top").value == str(top)
    assert "Changed elsewhere" not in said(page)
    page.text_input(key="closet_top").set_value("2110").run()
    assert data_of(folder)["top"] == 2110


def test_a_broken_file_is_repaired_on_the_page(opened: Open, folder: Path) -> None:
    (folder / "closet.toml").write_text("ceiling = = 2400\n")
    page = opened(folder, "closet")
    assert "The measurements cannot be read yet." in said(page)
    assert "is not valid TOML" in faults(page)[0]
    page.text_area(key="closet_text").set_value("ceiling = 3\nceiling = 4\n")
    page.button(key="FormSubmitter:text_form-Save the file").click().run()
    assert any(fault.startswith("Not saved: ") for fault in faults(page))
    page.text_area(key="closet_text").set_value("# ours\nceiling = 96\n")
    page.button(key="FormSubmitter:text_form-Save the file").click().run()
    assert (folder / "closet.toml").read_text() == "# ours\nceiling = 96\n"
    assert "Still missing: the height of the built-ins and a wall." in said(page)


WRONG = ("3", '"text"', "true", "[1]", "[[1], [2]]", '["a", { b = 1 }]', "{ a = 1 }", "[]", "1979-05-27", "nan")
TABLES = ("wall", "before", "person", "way", "lamp", "door", "panel", "wishes", "room", "prices")


@pytest.mark.parametrize("wrong", WRONG)
def test_whatever_stands_where_a_table_should_is_told_in_words(opened: Open, tmp_path: Path, wrong: str) -> None:
    inside = f"[[wall]]\nname = {wrong}\nwidth = {wrong}\ndepth = 15\nblocked = {wrong}\nceiling = {wrong}\n"
    inside += f"[[before]]\nwall = {wrong}\nleft = 0\nopenings = {wrong}\n[panel]\nstrip = {wrong}\nsheet = {wrong}\n"
    inside += f"[[way]]\nkind = {wrong}\n[door]\nkind = {wrong}\nfaces = {wrong}\n[wishes]\nbay = {wrong}\n"
    texts = [
        f"units = {wrong}\nname = {wrong}\nceiling = {wrong}\ntop = {wrong}\n{inside}",
        "".join(f"{name} = {wrong}\n" for name in TABLES),
    ]
    for text in texts:
        (tmp_path / "closet.toml").write_text(text)
        page = opened(tmp_path, "closet")
        assert faults(page)
        for name, entered in (("name", "back"), ("width", "70"), ("depth", "15")):
            page.text_input(key=f"add_wall_{name}").set_value(entered)
        submit(page, "wall", "Add the wall")
        page.text_input(key="closet_wishes_gap").set_value("1").run()
        assert faults(page)
        tomllib.loads((tmp_path / "closet.toml").read_text())


def test_faults_of_the_file_are_said_and_put_right_one_by_one(opened: Open, folder: Path) -> None:
    text = (folder / "closet.toml").read_text()
    spoiled = (
        text.replace("top     = 2140", 'top     = "tall"')
        .replace("spare", "spare")
        .replace("gap            = 25", 'gap            = "some"')
    )
    (folder / "closet.toml").write_text(spoiled + "\n[ours]\nfern = 3 # not known\n")
    page = opened(folder, "closet")
    assert len(faults(page)) == 3
    page.text_input(key="closet_top").set_value("2140").run()
    page.text_input(key="closet_wishes_gap").set_value("25").run()
    assert ["[ours]" in fault or "ours" in fault for fault in faults(page)] == [True]
    assert (folder / "closet.toml").read_text().endswith("[ours]\nfern = 3 # not known\n")


HOSTILE = '<img src=x onerror=alert(1)> **b** [x](javascript:alert(1)) " \\ $x^2$ 🧥 שלום'


def test_text_of_a_person_is_never_markup(opened: Open, folder: Path) -> None:
    page = opened(folder, "closet")
    page.text_input(key="closet_wall_0_name").set_value(HOSTILE).run()
    page.text_input(key="closet_person_0_name").set_value(HOSTILE).run()
    assert faults(page) == []
    assert data_of(folder)["wall"][0]["name"] == data_of(folder)["person"][0]["name"] == HOSTILE
    shown = [str(element.value) for part in (page.markdown, page.caption, page.header) for element in part]
    shown += [str(option) for option in page.radio(key="closet_wall").options]
    shown += [str(element.label) for element in page.get("expander")]
    marked = [re.sub(r"\\.", "", text) for text in shown if "onerror" in text]
    assert len(marked) >= 2
    assert not [text for text in marked if re.search(r"[<>*\[\]()$^]", text.removeprefix("**1** "))]


def test_no_folder_a_missing_one_and_an_empty_one(opened: Open, tmp_path: Path) -> None:
    assert "No closet is open yet" in said(opened(None, "closet"))
    assert "There is no folder" in said(opened(tmp_path / "nowhere", "closet"))
    (tmp_path / "empty").mkdir()
    page = opened(tmp_path / "empty", "closet")
    assert "Still missing: the height of the ceiling, the height of the built-ins and a wall." in said(page)
    assert list((tmp_path / "empty").iterdir()) == []
