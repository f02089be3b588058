"""The inventory as rows: blank files, the first pile, and cells that a spreadsheet must not take for formulas."""

from __future__ import annotations

from pathlib import Path

import pytest

from capacity.errors import InputError
from capacity.wardrobe.inventory import parse_inventory
from capacity.wardrobe.inventory_edits import changed_pile, escaped, for_spreadsheet, is_blank, with_pile, without_pile


@pytest.mark.parametrize("text", ["", "\ufeff", "  \n\n", "what,count\n", "what,count\n,,\n\n"])
def test_a_file_without_a_row_is_blank(text: str, tmp_path: Path) -> None:
    path = tmp_path / "inventory.csv"
    assert is_blank(path)
    path.write_text(text, encoding="utf-8")
    assert is_blank(path)


@pytest.mark.parametrize("text", ["what,count\njeans,x\n", "jeans", 'what\n"', "\0"])
def test_a_file_with_anything_else_is_not(text: str, tmp_path: Path) -> None:
    path = tmp_path / "inventory.csv"
    path.write_text(text, encoding="utf-8")
    assert is_blank(path) == (text == "jeans")  # one line is taken for a header


def test_the_first_pile_begins_a_blank_text_and_keeps_its_columns() -> None:
    assert with_pile("", {"what": "jeans", "count": "3", "size": ""}, "in") == "what,count\njeans,3\n"
    assert with_pile("Note;what;count\n", {"what": "jeans", "count": "3"}, "in") == "Note,what,count\n,jeans,3\n"
    assert with_pile("what,count\nsocks,1\n", {"what": "jeans", "count": "3", "owner": "Ann"}, "in") == (
        "what,count,owner\nsocks,1,\njeans,3,Ann\n"
    )


@pytest.mark.parametrize("text", ["what,count\nsneekers,1\n", 'what,count\n"jeans'])
def test_a_pile_is_not_added_to_a_file_with_faults(text: str) -> None:
    with pytest.raises(InputError):
        with_pile(text, {"what": "jeans", "count": "3"}, "in")


@pytest.mark.parametrize("name", ["=1+1", "+1", "-x", "@x", "'=x", "''=x", "'x", "shirt", "O'Neill", "'"])
def test_what_a_person_types_reads_back_and_is_no_formula(name: str) -> None:
    assert not escaped(name).startswith(("=", "+", "-", "@"))
    text = with_pile("", {"what": "jeans", "count": "3", "owner": name, "label": name}, "in")
    pile = parse_inventory(text, "in").pile(1)
    assert (pile.owner, pile.label) == (name, name)


def test_a_pile_is_changed_or_taken_out_and_every_other_row_stays() -> None:
    text = "What,count,note\njeans,3,kept\nsocks,4,\n"
    new = changed_pile(text, 1, {"owner": "=Ann", "use": "", "note": "blue"}, "in")
    assert new == "What,count,note,owner\njeans,3,blue,'=Ann\nsocks,4,,\n"  # an empty cell adds no column
    assert without_pile(text, 1, "in") == "What,count,note\nsocks,4,\n"
    for wrong in (
        lambda: changed_pile(text, 1, {"use": "often"}, "in"),
        lambda: without_pile("what,count\nhat,1\n", 1, "in"),
    ):
        with pytest.raises(InputError):
            wrong()


def test_a_file_taken_out_has_no_formula_and_reads_back_the_same() -> None:
    inventory = parse_inventory('what,count,owner,label,x\njeans,3,=A1,"\'=b",-1\n', "in")
    text = for_spreadsheet(inventory)
    assert text == "what,count,owner,label,x\njeans,3,'=A1,'=b,'-1\n"
    assert parse_inventory(text, "in").piles == inventory.piles
