"""Where is it: a pile is found by what a person calls it, and the printed list says the same as the layout."""

from __future__ import annotations

import io
from collections import Counter
from pathlib import Path

import pytest
from pypdf import PdfReader
from support.cases import one_wall

from capacity.__main__ import main
from capacity.closet.closet import Closet, parse_closet
from capacity.layout.layout import Bay, Holding, Layout, Opening, WallLayout
from capacity.layout.problem import OpeningKind
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.folder import read_folder
from capacity.makeover.plan import planned_layout
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan
from capacity.units import inches
from capacity.upkeep.put_away import format_put_away, put_away_data
from capacity.upkeep.where import find, found_in_words
from capacity.wardrobe.inventory import Inventory, parse_inventory
from capacity.workshop.packet import Paper

SAMPLE_FOLDER = Path(__file__).parents[2] / "inventory_samples"

CLOSET = one_wall(60)
COUNT = """what,count,size,owner,label
hat,3,,Theo,wool
hat,1,,Ann,straw
sneakers,4,US W 8,Ann,
shirt,2,M,Theo,\u003cb\u003e#evil[x]
"""


@pytest.fixture
def put() -> tuple[Closet, Inventory, Layout]:
    """Two shelves with hats and sneakers, a rod with shirts; one hat has no place."""
    low = Opening(OpeningKind.SHELF, inches(3.75), inches(12), (Holding(1, 1), Holding(3, 4)))
    high = Opening(OpeningKind.SHELF, inches(84), inches(11), (Holding(1, 1), Holding(2, 1)))
    rod = Opening(OpeningKind.HANG, inches(0), inches(50), (Holding(4, 2),))
    bays = (Bay(inches(1), inches(30), inches(15), (low, high)), Bay(inches(32), inches(25), inches(15), (rod,)))
    return parse_closet(CLOSET), parse_inventory(COUNT, "in"), Layout((WallLayout("back", bays),))


@pytest.mark.parametrize(
    ("words", "rows"),
    [
        ("wool hat", [1]),
        ("Hats", [1, 2]),
        ("ann's straw", [2]),
        ("snekaers", [3]),
        ("trainers", [3]),
        ("snea", [3]),
        ("xyzzy", []),
        ("", []),
    ],
)
def test_what_is_asked_for_is_found(words: str, rows: list[int], put: tuple[Closet, Inventory, Layout]) -> None:
    _, inventory, layout = put
    assert [one.pile.row for one in find(words, inventory, layout)] == rows


def test_what_a_thing_is_called_itself_wins_over_another_name_of_its_kind(
    put: tuple[Closet, Inventory, Layout],
) -> None:
    count = parse_inventory(
        "what,count,size,owner\nlong coat,1,M,Ann\nhat,1,,Ann\n", "in"
    )  # "wool coat" is a long coat
    assert [one.pile.kind for one in find("wool hat", count, put[2])] == ["hat"]


def test_each_place_is_said_with_its_pieces_and_what_has_none(put: tuple[Closet, Inventory, Layout]) -> None:
    closet, inventory, layout = put
    (line,) = found_in_words(find("wool hat", inventory, layout), closet)
    assert line == (
        "Theo's hat (wool): 1 in A of wall back (shelf 3 3/4\" up); 1 in B of wall back (shelf 7' 0\" up); "
        "1 has no place here."
    )


def test_the_printed_list_and_labels_say_what_the_layout_holds(put: tuple[Closet, Inventory, Layout]) -> None:
    closet, inventory, layout = put
    data = put_away_data(closet, inventory, layout, "letter", "2026-03-01")
    said = Counter(text for wall in data["walls"] for row in wall["rows"] for text in row[3].split(", "))
    assert said == Counter({"Theo's hat × 1": 2, "Ann's sneakers × 4": 1, "Ann's hat × 1": 1, "Theo's shirt × 2": 1})
    assert [label[0] for label in data["labels"]] == ["A", "B", "C"]
    assert data["elsewhere"] == ["1 × Theo's hat (wool)"]
    pdf = format_put_away(closet, inventory, layout, "letter", "2026-03-01")
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    assert "#evil[x]" in text  # a name is set as text, never obeyed
    assert "room to spare" not in text


def test_the_list_for_the_door_is_one_page_also_of_a_large_closet() -> None:
    """Thirty piles on two walls: each pile and each opening on it, and no labels, on either paper."""
    closet, inventory = read_folder(SAMPLE_FOLDER / "couple-walk-in")
    problem = size_problem(closet, inventory)
    layout = planned_layout(make_plan(closet, inventory, Effort(factor=0.001)), problem)
    papers: tuple[Paper, ...] = ("letter", "a4")
    for paper in papers:
        pdf = format_put_away(closet, inventory, layout, paper, "2026-03-01", has_labels=False)
        (page,) = PdfReader(io.BytesIO(pdf)).pages
        text = page.extract_text()
        data = put_away_data(closet, inventory, layout, paper, "2026-03-01")
        assert len(data["index"]) > 30
        assert all(f"Wall {wall['name']}" in text for wall in data["walls"])
        assert "Labels for the edges" not in text


def test_without_a_refill_or_plan_it_says_what_to_run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "closet.toml").write_text(CLOSET)
    (tmp_path / "inventory.csv").write_text(COUNT)
    assert main(["where", str(tmp_path), "hat"]) == 2
    assert "run `capacity refill`" in capsys.readouterr().err
    main(["refill", str(tmp_path)])
    capsys.readouterr()
    assert main(["where", str(tmp_path), "wool", "hat"]) == 0
    assert "Theo's hat (wool): 3 have no place here." in capsys.readouterr().out
    assert main(["where", str(tmp_path), "xyzzy"]) == 1
    assert main(["put-away", str(tmp_path)]) == 0
    assert (tmp_path / "put-away.pdf").read_bytes().startswith(b"%PDF")
