"""Changes of `closet.toml`: what is changed, what stays byte for byte, what is refused."""

from __future__ import annotations

import difflib
import random
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as some

from capacity.closet.closet import read_closet
from capacity.closet.saving import change_closet, closet_faults, missing_settings, read_data, replace_text
from capacity.closet.text_edits import Edit, changed_text
from capacity.errors import InputError
from capacity.makeover.samples import SAMPLES
from capacity.units import Rounding, parse_length

SHIPPED = Path(__file__).parents[2] / "inventory_samples"

MIXED = """# mine
name = "Two walls"   # as we call it
ceiling = 96
top = 84

[[wall]]             # one
name  = "left"
width = ["60 1/4", 60]   # twice
depth = 15
corner = "back"

[[before]]           # stands on the left wall
wall = "left"
left = 0
width = 50
depth = 12
openings = [
  { kind = "shelf", bottom = 0, height = 10 },   # shoes
  { kind = "hang", bottom = 10, height = 50 },   # coats
]

# the back one
[[wall]]             # two
name = "back"
width = 70
depth = 15

[[wall.blocked]]     # outlet
left = 3
width = 4
bottom = 12
height = 5
# after the outlet

[wishes]
spare = 0.1          # some
# gap = 2

# how we get in
[door]
kind = "open"
width = 30
height = 80
"""


def lines_changed(old: str, new: str) -> tuple[list[str], list[str]]:
    """The lines that went, and those that came."""
    found = [line for line in difflib.ndiff(old.splitlines(), new.splitlines()) if line[0] in "-+"]
    return [line[2:] for line in found if line[0] == "-"], [line[2:] for line in found if line[0] == "+"]


def setting(value: Any, *place: str | int) -> Edit:
    return Edit(place, value)


@pytest.mark.parametrize(
    ("change", "gone", "came"),
    [
        (setting("8 ft", "ceiling"), ["ceiling = 96"], ['ceiling = "8 ft"']),
        (setting("A", "name"), ['name = "Two walls"   # as we call it'], ['name = "A"   # as we call it']),
        (
            setting(61, "wall", 0, "width", 1),
            ['width = ["60 1/4", 60]   # twice'],
            ['width = ["60 1/4", 61]   # twice'],
        ),
        (
            setting("59 3/4", "wall", 0, "width", 2),
            ['width = ["60 1/4", 60]   # twice'],
            ['width = ["60 1/4", 60, "59 3/4"]   # twice'],
        ),
        (setting(16, "wall", 1, "depth"), ["depth = 15"], ["depth = 16"]),
        (setting(5, "wall", 1, "blocked", 0, "left"), ["left = 3"], ["left = 5"]),
        (setting("1/4", "wall", 0, "lean"), [], ['lean = "1/4"']),
        (setting(None, "wall", 0, "corner"), ['corner = "back"'], []),
        (
            setting(49, "before", 0, "openings", 1, "height"),
            ['  { kind = "hang", bottom = 10, height = 50 },   # coats'],
            ['  { kind = "hang", bottom = 10, height = 49 },   # coats'],
        ),
        (
            setting(None, "before", 0, "openings", 0),
            ['  { kind = "shelf", bottom = 0, height = 10 },   # shoes'],
            [],
        ),
        (
            setting({"kind": "shelf", "bottom": 61, "height": 8}, "before", 0, "openings", 2),
            [],
            ['  {kind = "shelf", bottom = 61, height = 8},'],
        ),
        (setting(None, "wishes", "spare"), ["spare = 0.1          # some"], []),
        (setting(2, "wishes", "gap"), [], ["gap = 2"]),
        (setting("3/4", "panel", "thickness"), [], ["[panel]", 'thickness = "3/4"', ""]),
        (setting(False, "construction", "paint"), [], ["[construction]", "paint = false", ""]),
        (
            setting({"name": "Ann", "height": "5 ft 4 in"}, "person", 0),
            [],
            ["", "[[person]]", 'name = "Ann"', 'height = "5 ft 4 in"'],
        ),
        (
            setting(None, "door"),
            ["[door]", 'kind = "open"', "width = 30", "height = 80"],
            [],
        ),
        (
            setting(None, "wall", 1, "blocked", 0),
            ["[[wall.blocked]]     # outlet", "left = 3", "width = 4", "bottom = 12", "height = 5"],
            [],
        ),
    ],
)
def test_one_change_touches_its_own_lines_only(change: Edit, gone: list[str], came: list[str]) -> None:
    new = changed_text(MIXED, [change])
    left, added = lines_changed(MIXED, new)
    assert [line for line in left if line] == gone
    assert [line for line in added if line] == [line for line in came if line]
    assert tomllib.loads(new) != tomllib.loads(MIXED)


def test_new_walls_and_bays_come_after_the_last_and_leave_the_remarks_where_they_belong() -> None:
    wall = {"name": "right", "width": ["50 1/8", 50], "depth": 15}
    bay = {
        "wall": "right",
        "left": 0,
        "width": 40,
        "depth": 12,
        "openings": [{"kind": "hang", "bottom": 0, "height": 60}],
    }
    new = changed_text(MIXED, [setting(wall, "wall", 2), setting(bay, "before", 1)])
    assert '# after the outlet\n\n[[wall]]\nname = "right"\n' in new
    assert '# the back one\n[[wall]]             # two\nname = "back"' in new
    assert "# how we get in\n[door]" in new
    assert 'openings = [\n    {kind = "hang", bottom = 0, height = 60},\n]' in new
    data = tomllib.loads(new)
    assert data["wall"][2] == wall
    assert data["before"][1] == bay


def test_a_wall_taken_out_takes_its_own_lines_and_no_remark_of_others() -> None:
    new = changed_text(MIXED, [setting(None, "wall", 1)])
    assert "blocked" not in new
    assert "# the back one\n" in new
    assert "# after the outlet\n" in new
    assert new.startswith(MIXED[: MIXED.index("# the back one")])
    assert new.endswith(MIXED[MIXED.index("[wishes]") :])


@pytest.mark.parametrize("sample", SAMPLES)
def test_no_change_and_a_change_back_leave_every_byte(sample: str) -> None:
    text = (SHIPPED / sample / "closet.toml").read_text()
    assert changed_text(text, []) == text
    data = tomllib.loads(text)
    assert changed_text(text, [Edit(("ceiling",), data["ceiling"])]) == text
    away = changed_text(text, [Edit(("wall", 0, "depth"), "1 ft 5 in"), Edit(("wishes", "gap"), "41 mm")])
    back = [Edit(("wall", 0, "depth"), data["wall"][0]["depth"]), Edit(("wishes", "gap"), data["wishes"]["gap"])]
    assert away != text
    assert changed_text(away, back) == text


@pytest.mark.parametrize("sample", SAMPLES)
def test_many_changes_one_after_the_other_lose_no_remark(sample: str) -> None:
    """Every setting of every table is changed, in a fixed disorder; the remarks are all still there, in order."""
    text = (SHIPPED / sample / "closet.toml").read_text()
    places: list[tuple[str | int, ...]] = []

    def walk(at: Any, way: tuple[str | int, ...]) -> None:
        if isinstance(at, dict | list):
            for key, inner in at.items() if isinstance(at, dict) else enumerate(at):
                walk(inner, (*way, key))
        else:
            places.append(way)

    walk(tomllib.loads(text), ())
    random.Random(7).shuffle(places)
    new = text
    for number, place in enumerate(places):
        new = changed_text(new, [Edit(place, f"new {number}")])
    assert [line.partition("#")[2] for line in new.splitlines()] == [
        line.partition("#")[2] for line in text.splitlines()
    ]
    assert [line.partition("=")[0] for line in new.splitlines()] == [
        line.partition("=")[0] for line in text.splitlines()
    ]


HOSTILE = (
    '"', "\\", '"""', "'''", "a\nb", "a\r\nb", "\t", "# no remark", "[wall]", "[[wall]]\nname = 1", "= 3", "🧥🧦",
    "שלום‮abc", "\x00\x1f\x7f", "é", " ", "</script><b>", "${x}", "{}",
)  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE)
def test_any_text_reads_back_as_it_was_typed(text: str) -> None:
    person = {"name": text, "age": 9}
    new = changed_text(MIXED, [setting(text, "name"), setting(text, "wall", 0, "name"), setting(person, "person", 0)])
    data = tomllib.loads(new)
    assert data["name"] == data["wall"][0]["name"] == data["person"][0]["name"] == text
    again = changed_text(new, [setting("Two walls", "name"), setting("left", "wall", 0, "name")])
    assert changed_text(again, [setting(None, "person", 0)]) == MIXED


@given(some.text(some.characters(exclude_categories=("Cs",)), max_size=40))
def test_any_text_at_all_reads_back(text: str) -> None:
    assert tomllib.loads(changed_text(MIXED, [setting(text, "before", 0, "wall")]))["before"][0]["wall"] == text


def test_unknown_tables_and_every_way_of_writing_a_table_stay_and_can_be_changed() -> None:
    text = (
        'ceiling = 96\ntop = 84\nwishes.gap = 2 # dotted\nwishes.spare = 0.1\ndoor = { kind = "open", width = 30, '
        'height = 80 } # in braces\nbefore = [\n  { wall = "a", left = 0, width = 9, depth = 9, openings = [] },\n]\n'
        '[[wall]]\nname = "a"\nwidth = [\n[1,2],\n40 ]\ndepth = 15\n'
        '[ours.plants] # not known\nfern = """\n[wall]\n"""\n'
    )
    changes = [
        setting(3, "wishes", "gap"),
        setting(31, "door", "width"),
        setting(16, "wall", 0, "depth"),
        setting(8, "before", 0, "depth"),
        setting({"kind": "hang", "bottom": 0, "height": 60}, "before", 0, "openings", 0),
    ]
    new = changed_text(text, changes)
    data = tomllib.loads(new)
    assert data["wishes"] == {"gap": 3, "spare": 0.1}
    assert data["door"]["width"] == 31
    assert data["before"][0]["openings"] == [{"kind": "hang", "bottom": 0, "height": 60}]
    assert new.endswith('[ours.plants] # not known\nfern = """\n[wall]\n"""\n')
    assert "wishes.gap = 3 # dotted" in new
    assert "} # in braces" in new


def test_a_bay_may_lose_all_its_openings_and_a_wall_all_its_blocked_parts() -> None:
    new = changed_text(MIXED, [setting(None, "before", 0, "openings", 1), setting(None, "before", 0, "openings", 0)])
    new = changed_text(new, [setting(None, "wall", 1, "blocked", 0)])
    data = tomllib.loads(new)
    assert data["before"][0]["openings"] == []
    assert "blocked" not in data["wall"][1]


def test_what_is_written_in_too_odd_a_way_is_refused_rather_than_spoiled() -> None:
    text = (
        'ceiling = 96\ntop = 84\n[[wall]]\nname = "a"\nwidth = 70\ndepth = 15\n[panel]\nprice = 9\n'
        "[[wall.blocked]]  # under another table than its wall\nleft = 3\nwidth = 4\nbottom = 12\nheight = 5\n"
    )
    with pytest.raises(InputError, match=r"wall\.0\.blocked\.0\.left: is written in a way that cannot be changed here"):
        changed_text(text, [setting(5, "wall", 0, "blocked", 0, "left")])
    assert tomllib.loads(changed_text(text, [setting(16, "wall", 0, "depth")]))["wall"][0]["depth"] == 16


def test_line_ends_of_another_system_are_kept() -> None:
    text = MIXED.replace("\n", "\r\n")
    new = changed_text(text, [setting(16, "wall", 1, "depth")])
    assert new == text.replace('"back"\r\nwidth = 70\r\ndepth = 15', '"back"\r\nwidth = 70\r\ndepth = 16')


# ---- the file -------------------------------------------------------------------------------------------


def write(path: Path, *changes: Edit) -> dict[str, Any]:
    return change_closet(path, lambda _: changes)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "closet.toml"
    path.write_text(MIXED)
    return path


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (setting("wide", "wall", 0, "width"), '[[wall]] 1 "left", width 1: "wide" is not a length'),
        (setting(-3, "wall", 0, "depth"), "negative"),
        (setting(97, "top"), "top: 8' 1\" is above the ceiling of 8'"),
        (setting(None, "ceiling"), "ceiling: is missing; write it"),
        (setting("porch", "wall", 0, "corner"), '"porch" is not another wall; the others are: "back"'),
        (setting(55, "before", 0, "left"), "outside the wall's 5'"),
        (setting(0.95, "wishes", "spare"), "[wishes] spare: 0.95 cannot be used"),
        (setting("balsa", "panel", "material"), '"balsa" is not a material that is known here'),
        (setting({"kind": "shelf", "bottom": 50, "height": 20}, "before", 0, "openings", 2), "overlaps opening 2"),
        (setting(None, "wall", 1), '"back" is not another wall'),
        (setting(1, "wishes", "wish"), "[wishes] wish: is not a setting that is known"),
        (setting({"kind": "hall", "width": 40}, "way", 0), "a hall has width and ceiling: write ceiling"),
    ],
)
def test_a_change_that_brings_a_fault_is_refused_and_nothing_is_written(file: Path, change: Edit, words: str) -> None:
    before = file.read_bytes(), file.stat().st_mtime_ns
    with pytest.raises(InputError) as refused:
        write(file, setting(90, "top"), change)
    assert words in str(refused.value)
    assert (file.read_bytes(), file.stat().st_mtime_ns) == before
    assert [path.name for path in file.parent.iterdir()] == ["closet.toml"]


def test_an_empty_folder_is_filled_one_setting_after_the_other(tmp_path: Path) -> None:
    file = tmp_path / "closet.toml"
    assert read_data(file) == {}
    data = write(file, setting("8 ft", "ceiling"))
    assert missing_settings(data) == ("top", "wall")
    with pytest.raises(InputError, match="above the ceiling"):
        write(file, setting(97, "top"))
    with pytest.raises(InputError, match='"high" is not a length'):
        write(file, setting("high", "top"))
    write(file, setting("18 mm", "panel", "thickness"))
    write(file, setting(84, "top"))
    with pytest.raises(InputError, match="narrower than the smallest bay"):
        write(file, setting({"name": "back", "width": 9, "depth": 15}, "wall", 0))
    data = write(file, setting({"name": "back", "width": ["70 1/4", 70], "depth": 15}, "wall", 0))
    assert missing_settings(data) == ()
    assert closet_faults(data) == ()
    closet = read_closet(file)
    assert closet.wall[0].clear_width == parse_length(70, "in", Rounding.DOWN)
    text = file.read_text()
    assert text.startswith("# The closet of this folder.")
    assert text.index("[[wall]]") < text.index("[panel]")


def test_a_file_with_faults_can_be_repaired_one_after_the_other(file: Path) -> None:
    text = MIXED.replace("width = 70\ndepth", 'width = "wide"\ndepth').replace("spare = 0.1 ", "spare = 7 ")
    file.write_text(text)
    write(file, setting("Renamed", "name"))  # what is at fault elsewhere stands in the way of nothing
    with pytest.raises(InputError, match='"wider" is not a length'):
        write(file, setting("wider", "wall", 1, "width"))
    write(file, setting(70, "wall", 1, "width"))
    with pytest.raises(InputError, match="spare"):
        write(file, setting(8, "wishes", "spare"))
    write(file, setting(0.2, "wishes", "spare"))
    assert closet_faults(read_data(file)) == ()


def test_a_file_that_is_not_toml_is_not_touched(file: Path) -> None:
    file.write_text("ceiling = = 3\n")
    with pytest.raises(InputError, match="is not valid TOML"):
        write(file, setting(96, "ceiling"))
    with pytest.raises(InputError, match="is not valid TOML"):
        read_data(file)
    assert file.read_text() == "ceiling = = 3\n"


def test_a_file_typed_as_a_whole_is_written_when_it_is_right(file: Path) -> None:
    with pytest.raises(InputError, match="top: 8' 1\" is above"):
        replace_text(file, MIXED.replace("top = 84", "top = 97"))
    with pytest.raises(InputError, match="is not valid TOML"):
        replace_text(file, "[")
    assert file.read_text() == MIXED
    replace_text(file, "ceiling = 90 # only this\n")  # a beginning
    assert file.read_text() == "ceiling = 90 # only this\n"


def test_the_changes_are_made_to_what_stands_in_the_file_now(file: Path) -> None:
    def longer(data: dict[str, Any]) -> list[Edit]:
        return [Edit(("wall", 0, "width", len(data["wall"][0]["width"])), 59)]

    change_closet(file, longer)
    assert change_closet(file, longer)["wall"][0]["width"] == ["60 1/4", 60, 59, 59]
