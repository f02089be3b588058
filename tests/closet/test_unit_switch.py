"""The other system of units: the same problem to the tick, and back again."""

from __future__ import annotations

import csv
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as some

from capacity.closet.closet import Closet, read_closet
from capacity.closet.construction import USUAL
from capacity.closet.unit_switch import length_places, switch_units
from capacity.disk.versions import undo, would_bring, write_version
from capacity.errors import InputError
from capacity.layout.problem import Problem
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.folder import read_folder
from capacity.makeover.samples import SAMPLES, start_folder
from capacity.units import Rounding, Ticks, Units, length_to_write, parse_length, to_number, with_unit, without_unit
from capacity.wardrobe.inventory import Inventory

OTHER: dict[str, Units] = {"in": "mm", "mm": "in"}


@pytest.fixture(params=SAMPLES)
def folder(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    start_folder(tmp_path / "closet", request.param)
    return tmp_path / "closet"


SIZE_WISHES = ("play", "least_opening", "least_drawer", "highest_drawer", "round", "pitch")
"""What has a usual value of its own in either system."""


def without_size_wishes(folder: tuple[Closet, Inventory]) -> Problem:
    """The problem of a folder whose unnamed size wishes are all switched off."""
    closet, inventory = folder
    unnamed = dict.fromkeys(set(SIZE_WISHES) - closet.wishes.model_fields_set, Ticks(0))
    wishes = closet.wishes.model_copy(update=unnamed)
    return size_problem(closet.model_copy(update={"wishes": wishes}), inventory)


def test_the_problem_is_the_same_to_the_tick_in_either_system_and_the_file_comes_back(folder: Path) -> None:
    before = read_folder(folder)
    text = (folder / "closet.toml").read_text()
    units = before[0].units
    switch_units(folder, OTHER[units])
    after = read_folder(folder)
    assert after[0].units == OTHER[units]
    assert without_size_wishes(after) == without_size_wishes(before)
    # allowances of the construction and size wishes that nobody has named follow the marks of the rule
    sizes = {name: getattr(after[0].wishes, name) for name in SIZE_WISHES}
    wishes = before[0].wishes.model_copy(update=sizes)
    unnamed = USUAL["in"].keys() - before[0].construction.model_fields_set
    usual = {name: getattr(after[0].construction, name) for name in unnamed}
    own = before[0].construction.model_copy(update=usual)
    assert after[0] == before[0].model_copy(update={"units": OTHER[units], "construction": own, "wishes": wishes})
    assert after[1].piles == before[1].piles
    switch_units(folder, units)
    assert (folder / "closet.toml").read_text() == text
    back = read_folder(folder)
    assert (back[0], back[1].piles) == (before[0], before[1].piles)


def test_measured_piles_keep_their_lengths(tmp_path: Path) -> None:
    (tmp_path / "closet.toml").write_text(
        'ceiling = 96.5\ntop = "7 ft"\n[[wall]]\nname = "a"\nwidth = [72, "71 63/64", 71.3, 71.33333333333333]\n'
        "depth = 0.38e2\n"
    )
    (tmp_path / "inventory.csv").write_text(
        'what,count,width,depth,height,mine\nsneakers,4,4 1/2,"12""",110 mm,7\nhat,1,1/3,,.5,\nshirt,2,,,,\n'
    )
    before = read_folder(tmp_path)
    switch_units(tmp_path, "mm")
    after = read_folder(tmp_path)
    assert after[1].piles == before[1].piles
    assert after[0].wall == before[0].wall
    assert without_size_wishes(after) == without_size_wishes(before)
    with (tmp_path / "inventory.csv").open() as file:
        rows = list(csv.reader(file))
    assert rows[1] == ["sneakers", "4", "4 1/2 in", '12"', "110 mm", "7"]
    assert rows[2] == ["hat", "1", "1/3 in", "", ".5 in", ""]
    data = tomllib.loads((tmp_path / "closet.toml").read_text())
    assert data["top"] == "7 ft"
    assert data["ceiling"] == "96.5 in"


@pytest.mark.parametrize("spoiled", ["closet.toml", "inventory.csv"])
def test_a_folder_with_a_fault_is_left_alone(tmp_path: Path, spoiled: str) -> None:
    start_folder(tmp_path / "closet")
    path = tmp_path / "closet" / spoiled
    path.write_text(path.read_text() + ("[wishes2]\n" if spoiled == "closet.toml" else "sneekers,1,,,,\n"))
    texts = [(tmp_path / "closet" / name).read_bytes() for name in ("closet.toml", "inventory.csv")]
    with pytest.raises(InputError):
        switch_units(tmp_path / "closet", "mm")
    assert [(tmp_path / "closet" / name).read_bytes() for name in ("closet.toml", "inventory.csv")] == texts


def test_no_older_version_comes_back_under_the_other_units(tmp_path: Path) -> None:
    start_folder(tmp_path / "closet")
    for name in ("closet.toml", "inventory.csv"):
        path = tmp_path / "closet" / name
        write_version(path, path.read_text() + "\n")
    assert would_bring(tmp_path / "closet" / "closet.toml", "undo") is not None
    switch_units(tmp_path / "closet", "mm")
    for name in ("closet.toml", "inventory.csv"):
        assert would_bring(tmp_path / "closet" / name, "undo") is None
        assert not undo(tmp_path / "closet" / name)


def test_a_folder_that_is_only_begun_can_be_switched(tmp_path: Path) -> None:
    (tmp_path / "closet.toml").write_text("ceiling = 96\n")
    switch_units(tmp_path, "mm")
    assert tomllib.loads((tmp_path / "closet.toml").read_text()) == {"ceiling": "96 in", "units": "mm"}
    switch_units(tmp_path / "nothing", "in")  # no file and the units it would have
    assert not (tmp_path / "nothing").exists()


def test_every_length_of_a_full_file_is_found() -> None:
    """Against a list written by hand from the file's description."""
    shipped = Path(__file__).parents[2] / "inventory_samples"
    data = tomllib.loads((shipped / "family-walk-in" / "closet.toml").read_text())
    names = {place[-1] if isinstance(place[-1], str) else place[-2] for place, _ in length_places(data)}
    assert names == {
        "ceiling", "top", "width", "depth", "left", "bottom", "height", "thickness", "sheet", "diameter", "wall",
        "toe_kick", "gap", "hang_allowance", "min_bay", "corner_access", "distance", "length", "headroom", "rise",
        "run", "out",
    }  # fmt: skip
    assert len(list(length_places(data))) == len({place for place, _ in length_places(data)})


@given(some.integers(0, 10_000_000), some.sampled_from(["in", "mm"]))
def test_a_written_length_reads_back_to_the_same_ticks(ticks: int, units: Units) -> None:
    written = length_to_write(parse_length(f"{ticks}/320 mm", "mm", Rounding.DOWN), units)
    for rounding in Rounding:
        assert parse_length(written, units, rounding) == ticks
        assert parse_length(with_unit(written, units), OTHER[units], rounding) == ticks


WRITTEN = some.one_of(
    some.integers(0, 3900),
    some.decimals(0, 3900, places=6).map(float),
    some.from_regex(r"[0-9]{1,3}( [0-9]{1,2}/[1-9])?", fullmatch=True),
    some.from_regex(r"[0-9]' [0-9]{1,2}( 1/[1-9]\")?", fullmatch=True),
    some.from_regex(r"[0-9] ft [0-9] in|[0-9]{1,3} (in|mm|cm)", fullmatch=True),
)


@given(WRITTEN)
def test_a_unit_added_and_left_out_again_changes_no_length(value: str | int | float) -> None:
    for units in OTHER:
        told = with_unit(value, units)  # type: ignore[arg-type]
        for rounding in Rounding:
            wanted = parse_length(value, units, rounding)  # type: ignore[arg-type]
            assert parse_length(told, OTHER[units], rounding) == wanted
            assert parse_length(without_unit(told, units), units, rounding) == wanted  # type: ignore[arg-type]


def test_a_number_that_stands_for_the_nearest_tick_keeps_its_ticks() -> None:
    for ticks in (1, 5, 123_457):
        number = to_number(Ticks(ticks), "in")
        told = with_unit(number, "in")
        assert {parse_length(told, "mm", rounding) for rounding in Rounding} == {ticks}


def test_a_closet_that_was_switched_is_read_by_the_commands(folder: Path) -> None:
    switch_units(folder, OTHER[read_closet(folder / "closet.toml").units])
    assert read_closet(folder / "closet.toml").wall
