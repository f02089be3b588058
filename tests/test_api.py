"""What the package hands out to a notebook: a dozen names, frozen results, examples that run, errors in one line."""

from __future__ import annotations

import dataclasses
import doctest
import inspect
import re
from pathlib import Path

import pytest
from pydantic import BaseModel, ValidationError
from support.cases import one_wall

import capacity
from capacity import api
from capacity.makeover.samples import start_folder

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
QUICK = capacity.Effort(factor=0.01)
FUNCTIONS = {"check", "compare", "cut", "draw", "fit", "read"}


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> capacity.Makeover:
    """A small closet with a layout that is written beside it."""
    folder = tmp_path_factory.mktemp("closets") / "small"
    folder.mkdir()
    (folder / "closet.toml").write_text(one_wall())
    (folder / "inventory.csv").write_text("what,count,size,owner\nsneakers,4,US M 9,Ann\nshirt,5,M,\n")
    return capacity.fit(capacity.read(folder), QUICK, save=True)


def test_every_public_name_is_there_and_told() -> None:
    assert sorted(capacity.__all__) == capacity.__all__
    assert len(capacity.__all__) <= 14
    assert {name for name in capacity.__all__ if name.islower()} == FUNCTIONS
    for name in capacity.__all__:
        assert name in dir(capacity)
        assert (inspect.getdoc(getattr(capacity, name)) or "").strip(), name
    for name in FUNCTIONS:
        assert "Raises\n------" in (inspect.getdoc(getattr(capacity, name)) or ""), name
    with pytest.raises(AttributeError, match="'capacity' has no attribute 'optimise'"):
        capacity.optimise  # noqa: B018


def test_no_public_name_hides_a_room() -> None:
    """`import capacity.checks` sets a name of the package; a function of that name would be gone."""
    rooms = {path.stem for path in Path(capacity.__file__).parent.iterdir()}
    assert rooms & set(capacity.__all__) == set()


def test_what_is_handed_out_is_frozen(found: capacity.Makeover) -> None:
    results = [found, found.inventory, found.closet, found.plan, capacity.compare(found), capacity.check(found)]
    for result in results:
        if isinstance(result, BaseModel):
            with pytest.raises(ValidationError, match="frozen"):
                result.units = "mm"  # type: ignore[attr-defined]
        else:
            assert dataclasses.is_dataclass(result)
            with pytest.raises(dataclasses.FrozenInstanceError):
                setattr(result, dataclasses.fields(result)[0].name, None)


def test_a_layout_is_found_kept_compared_checked_drawn_and_cut(found: capacity.Makeover) -> None:
    again = capacity.read(found.folder)
    assert again == found
    assert repr(again).endswith("1 walls, 9 pieces, a layout>")
    gained = capacity.compare(again)
    assert gained.to_frame("owner").to_dict("records") == [
        {"owner": "Ann", "owned": 4, "before": 0, "after": 4, "gained": 4},
        {"owner": "shared", "owned": 5, "before": 0, "after": 5, "gained": 5},
    ]
    assert str(gained).startswith("Everything fits: all 9 pieces have a place")
    report = capacity.check(again)
    assert list(report.to_frame()["passed"]) == [check.passed for check in report.checks]
    assert "openings" in {trace.name for trace in capacity.draw(again, "back").data}
    parts = capacity.cut(again, QUICK).to_frame()
    assert {"upright", "shelf"} & set(parts["part"])
    assert parts["length"].max() == 84


def test_without_saving_nothing_is_written(found: capacity.Makeover, tmp_path: Path) -> None:
    for name, data in found.texts.files.items():
        (tmp_path / name).write_bytes(data)
    makeover = capacity.read(tmp_path)
    assert capacity.fit(makeover, QUICK).plan is not None
    assert makeover.plan is None
    assert {path.name for path in tmp_path.iterdir()} == {"closet.toml", "inventory.csv"}


def test_keeping_on_stores_no_less(found: capacity.Makeover) -> None:
    further = capacity.fit(found, QUICK, keep_going=True)
    assert further.plan is not None
    assert found.plan is not None
    assert further.plan.value.stored >= found.plan.value.stored


def test_what_cannot_be_done_is_said_in_one_line(found: capacity.Makeover, tmp_path: Path) -> None:
    with pytest.raises(capacity.InputError, match=r"closet\.toml"):
        capacity.read(tmp_path / "nowhere")
    with pytest.raises(capacity.InputError, match='"attic" is none of the walls: back'):
        capacity.draw(found, "attic")
    for name, data in found.texts.files.items():
        (tmp_path / name).write_bytes(data)
    without = capacity.read(tmp_path)
    assert not capacity.check(without).has_plan
    for ask in (capacity.compare, capacity.draw, capacity.cut):
        with pytest.raises(capacity.InputError, match=r"plan\.json: there is no layout yet"):
            ask(without)
    (tmp_path / "plan.json").write_text("{}")
    with pytest.raises(capacity.InputError, match=r"plan\.json.*run `capacity fit` again"):
        capacity.read(tmp_path)
    assert capacity.read(tmp_path, with_plan=False) == without


def test_a_stale_layout_is_not_compared(found: capacity.Makeover, tmp_path: Path) -> None:
    (tmp_path / "closet.toml").write_bytes(found.texts.files["closet.toml"])
    (tmp_path / "inventory.csv").write_text("what,count\nsneakers,4\n")
    stale = dataclasses.replace(capacity.read(tmp_path), plan=found.plan)
    assert stale.is_stale
    assert "a stale layout" in repr(stale)
    for ask in (capacity.compare, capacity.check, capacity.draw, capacity.cut):
        with pytest.raises(capacity.InputError, match="has changed since this layout was found"):
            ask(stale)


def test_the_examples_of_the_docstrings_run(monkeypatch: pytest.MonkeyPatch) -> None:
    """From the top of the repository; the examples after that of `fit` use what it found."""
    monkeypatch.chdir(ROOT)
    known: dict[str, object] = {}
    runner = doctest.DocTestRunner()
    tests = doctest.DocTestFinder().find(api, globs={})
    order = ["read", "fit", "compare", "check", "draw", "cut"]
    with_examples = {test.name.split(".")[-1]: test for test in tests if test.examples}
    assert set(with_examples) == set(order)
    for test in (with_examples[name] for name in order):
        test.globs.update(known)
        assert runner.run(test, clear_globs=False).failed == 0
        known |= test.globs
    assert runner.tries >= 12


def test_the_lines_of_the_readme_run(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (lines,) = re.findall(r"^```python\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
    assert len([line for line in lines.splitlines() if line.strip()]) <= 8
    monkeypatch.chdir(tmp_path)
    assert "seconds=60" in lines
    start = re.search(r'read\("([a-z-]+)"\)', lines)
    assert start is not None
    start_folder(tmp_path / start[1])
    exec(compile(lines.replace("seconds=60", "factor=0.01"), "README.md", "exec"), {})
    assert "Robin" in capsys.readouterr().out
    assert (tmp_path / "closet.html").stat().st_size > 10_000
