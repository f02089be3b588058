"""Reading the count: tolerant of spreadsheets, exact about faults, and nothing unknown is lost."""

from __future__ import annotations

import pytest

from capacity.errors import InputError
from capacity.inventory import Use, format_inventory, parse_inventory, with_cells
from capacity.kinds import Store
from capacity.units import PER_INCH


@pytest.mark.parametrize(
    "text",
    [
        "what,count,size\nSneakers,4,US M 9\n",
        "\ufeffwhat;count;size\r\nsneakers;4;US M 9\r\n",
        "sep=;\r\nwhat;count;size\r\nsneaker;4.0;US M 9\r\n",
        "size\tCount\tWHAT\nUS M 9\t4\tsneakers\n",
        "what,count,size,,\n\nsneakers,4,US M 9,,\n,,,,\n",
    ],
)
def test_a_spreadsheets_habits_are_read(text: str) -> None:
    (pile,) = parse_inventory(text, "in").piles
    assert (pile.kind, pile.count, pile.row, pile.use, pile.store) == ("sneakers", 4, 1, Use.WEEKLY, Store.STAND)


def test_unknown_columns_and_texts_survive_a_rewrite() -> None:
    text = 'what,count,my note,owner\nsneakers,4,"red, mostly",Ann\nshirt,2,=SUM(1),\n'
    inventory = parse_inventory(text, "in")
    assert format_inventory(inventory) == text
    changed = with_cells(inventory, {(1, "count"): "5", (2, "label"): "work"}, "in")
    assert [pile.count for pile in changed.piles] == [5, 2]
    assert changed.piles[1].label == "work"
    assert '"red, mostly"' in format_inventory(changed)


def test_a_measured_value_wins() -> None:
    text = "what,count,height,drop,rod,store\nsneakers,1,5 1/2,,,\nshirt,1,,40,1.5,\nsneakers,1,,10,2,hang\n"
    shoes, shirt, hung = parse_inventory(text, "in").piles
    assert shoes.shape.height == 11 * PER_INCH // 2
    assert (shirt.shape.drop, shirt.shape.rod) == (40 * PER_INCH, 3 * PER_INCH // 2)
    assert (hung.store, hung.shape.drop) == (Store.HANG, 10 * PER_INCH)


def test_all_faults_are_found_at_once_with_the_spreadsheets_row() -> None:
    text = "what,count,use,store,width\n\nfoo,-1,sometimes,,\nsneakers,1,,hang,\njeans,2,,,0\n"
    with pytest.raises(InputError, match="row 3, column what") as caught:
        parse_inventory(text, "in")
    places = [fault.place for fault in caught.value.faults]
    assert places == [
        "row 3, column what", "row 3, column count", "row 3, column use", "row 4, column store", "row 5, column width",
    ]  # fmt: skip


def test_owners_are_one_person_however_they_are_spelled() -> None:
    inventory = parse_inventory("what,count,owner\nsneakers,1,Ann\nshirt,1,ann \nhat,1,\n", "in")
    assert inventory.owners == ("Ann",)
    assert inventory.piles[2].owner is None


def test_the_apostrophe_that_guards_a_formula_is_taken_off_once() -> None:
    inventory = parse_inventory("what,count,label\nhat,1,'=SUM(1)\nhat,1,''=x\nhat,1,'plain\n", "in")
    assert [pile.label for pile in inventory.piles] == ["=SUM(1)", "'=x", "'plain"]


@pytest.mark.parametrize("name", ["x;y;z;w", "x\ty\tz\tw", "a;;;;\nb", 'say "a;b;c;d"', "a\rb"])
def test_separators_and_ends_of_lines_in_the_name_of_a_column_do_not_mislead(name: str) -> None:
    quoted = name.replace('"', '""')
    inventory = parse_inventory(f'what,count,"{quoted}"\nsneakers,4,kept\n', "in")
    assert inventory.header == ("what", "count", name)
    assert parse_inventory(format_inventory(inventory), "in") == inventory
