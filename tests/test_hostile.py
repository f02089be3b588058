"""Hostile texts: a reader reads them or says in one clean line what is wrong, in time and within memory.

A fixed part of the fuzzing; the whole is a command, `python tests/benchmarks/fuzz.py`.
"""

from __future__ import annotations

import sys
import tracemalloc
from contextlib import suppress

import pytest

if sys.platform == "win32":
    pytest.skip("the time of the processor cannot be limited there", allow_module_level=True)

from support.in_the_tree import functions_that, parses, watching
from support.readers import Reader, fuzzed, giants, good_plan, readers, wrong_with

from capacity.closet.closet import DEEPEST, parse_closet
from capacity.errors import Fault, InputError
from capacity.units import LengthError
from capacity.wardrobe.inventory import MOST_FAULTS, MOST_ROWS, parse_inventory
from capacity.wardrobe.size_text import SizeError

MOST_MEMORY = 150_000_000
"""No text, however large or deep, takes more memory to read or refuse [bytes]."""

WALL = "ceiling = 96\ntop = 84\n[[wall]]\nname = 'back'\nwidth = 70\ndepth = 15\n"


@pytest.fixture(scope="module")
def every() -> dict[str, Reader]:
    return {reader.name: reader for reader in readers(good_plan())}


@pytest.mark.parametrize("name", [reader.name for reader in readers()])
def test_no_reader_stumbles_over_mutated_texts(name: str, every: dict[str, Reader]) -> None:
    assert list(fuzzed(every[name], seed=1, cases=250)) == []
    for seed in every[name].seeds:
        assert wrong_with(every[name], seed) == ""
        every[name].read(seed)


SHIPPED = {
    "commands/several.py:run_many": "a table of its own",
    "many/results.py:cut_together": "a record of its own",
    "many/solving.py:solved": "a plan of its own",
    "solver/proof/certificate.py:certificate": "a proof of its own, with lists for tuples",
    "many/varied_closets.py:_value": "what stands behind --vary; the closet's reader judges it",
    "closet/text_edits.py:_is_whole": "a closet that `load_closet` has read",
    "closet/text_edits.py:_names": "a closet that `load_closet` has read",
    "closet/text_edits.py:_change_sections": "a closet that `load_closet` has read",
    "closet/text_edits.py:_holds": "a closet that `load_closet` has read",
    "makeover/saved_plan.py:_inputs_of": "a plan; what is none counts as nothing",
    "wardrobe/inventory_edits.py:with_pile": "an inventory that was read before",
}
"""Functions that read what no stranger writes, each with its reason."""


def test_no_reader_of_the_tree_is_missing_from_the_list(every: dict[str, Reader]) -> None:
    """A function that makes something of a text and is run by none of the readers fails this test."""
    with watching() as ran:
        for reader in every.values():
            for seed in reader.seeds:
                with suppress(*reader.refusals):
                    reader.read(seed)
    found = functions_that(parses)
    assert len(found) > 8
    missing = {name for name, place in found.items() if place not in ran}
    assert sorted(missing - SHIPPED.keys()) == []
    assert sorted(SHIPPED.keys() - missing) == []


def test_a_reader_that_stumbles_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each thing that may go wrong is seen, or the other tests could not fail."""
    monkeypatch.setattr("support.readers.SLOWEST", 0.2)

    def hang(_: str) -> None:
        while True:
            pass

    def shout(text: str) -> None:
        raise InputError([Fault("x", "", "y" * 5000)])

    for read, said in ((int, "raised ValueError"), (hang, "took more than"), (shout, "5003 characters")):
        assert said in wrong_with(Reader("bad", (InputError,), ("x",), read), "x")


def test_giants_take_neither_time_nor_memory(every: dict[str, Reader]) -> None:
    """Found so: a key 50,000 tables deep took 14 GB, and 100,000 misspelled rows eight minutes."""
    for name, text in giants():
        assert wrong_with(every[name], text) == "", text[:120]
        tracemalloc.start()
        try:
            with suppress(InputError, LengthError, SizeError):
                every[name].read(text)
            assert tracemalloc.get_traced_memory()[1] < MOST_MEMORY, text[:120]
        finally:
            tracemalloc.stop()


def test_a_setting_too_deep_is_refused_and_ordinary_texts_are_not() -> None:
    deep = ".".join("a" * (DEEPEST + 1))
    quoted = deep.replace("a", '"a"')
    for text in (f"{deep} = 1", f"[{deep}]", f"x = {{ {deep} = 1 }}", f"[{quoted}]"):
        with pytest.raises(InputError, match=f"line 7 names a setting more than {DEEPEST} tables deep"):
            parse_closet(f"{WALL}{text}\n")
    parse_closet(f'name = "wait{"." * 40} {"1.5, " * 20} {"a. " * 9}"\n{WALL}')


def test_a_file_with_faults_everywhere_says_the_first_of_them() -> None:
    with pytest.raises(InputError) as caught:
        parse_inventory("what,count\n" + "snaekers,1\n" * 5000, "in")
    assert len(caught.value.faults) == MOST_FAULTS + 2
    assert "more faults than these" in str(caught.value.faults[-1])
    with pytest.raises(InputError, match=f"more than {MOST_ROWS} rows"):
        parse_inventory("what,count\n" + ",\n" * (MOST_ROWS + 1), "in")


def test_control_codes_reach_no_terminal() -> None:
    r"""Found so: `\x1b[31m` in a cell coloured the terminal that showed the message, and the count of its owner."""
    with pytest.raises(InputError) as caught:
        parse_inventory("what,count\nsne\x1b[31makers,1\n", "in")
    assert "\x1b" not in str(caught.value)
    assert r"sne\x1b[31makers" in str(Fault("x", "", "sne\x1b[31makers"))
    inventory = parse_inventory("what,count,owner,label\nsneakers,1,A\x1b[2J\u202enn,\x07red\n", "in")
    assert (inventory.piles[0].owner, inventory.piles[0].label) == ("A[2Jnn", "red")
    assert inventory.cells[0][2] == "A\x1b[2J\u202enn"  # what stands in the file stays
    for text in ('name = "a\\u001b[31mb"', 'name = "a\\u202eb"', 'name = "a\\nb"'):
        with pytest.raises(InputError, match=r"has a control code or an end of line in it"):
            parse_closet(f"{text}\n{WALL}")
    assert parse_closet(f'name = "ארון \U0001f9e6"\n{WALL}').name == "ארון \U0001f9e6"
