"""The commands, as a person runs them: exit codes, one line a fault, nothing half-written."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from support.folders import CLOSET, INVENTORY

from capacity.__main__ import main
from capacity.makeover.comparison import more_time_in_words
from capacity.makeover.plan import read_plan
from capacity.makeover.samples import SAMPLES
from capacity.solver.effort import EFFORTS


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "closet.toml").write_text(CLOSET)
    (tmp_path / "inventory.csv").write_text(INVENTORY)
    return tmp_path


def test_fit_stores_everything_and_writes_the_plan(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["fit", str(folder)]) == 0
    assert "Everything fits: all 9 pieces" in capsys.readouterr().out
    plan = json.loads((folder / "plan.json").read_text())
    assert plan["schema"] == "capacity.plan/1"
    assert plan["value"] == {"stored": 18, "all": 18, "bound": 18, "status": "optimal"}
    assert plan["after"]["stored"] == plan["after"]["pieces"] == 9


def test_the_last_line_says_what_more_time_might_bring(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["fit", str(folder), "--effort", "quick"]) == 0
    assert capsys.readouterr().out.splitlines()[-1].startswith("More time can store nothing more;")
    plan = read_plan(folder / "plan.json")
    open_plan = plan.model_copy(update={"value": plan.value.model_copy(update={"bound": plan.value.stored + 3})})
    assert more_time_in_words(open_plan).startswith("More time might store up to 3 more in value")


def test_each_effort_of_the_command_is_one_of_the_search(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert list(EFFORTS) == ["quick", "usual", "thorough"]
    assert EFFORTS["quick"] < EFFORTS["usual"] == 1.0 < EFFORTS["thorough"]
    with pytest.raises(SystemExit):
        main(["fit", str(folder), "--effort", "endless"])
    assert "'quick', 'usual', 'thorough'" in capsys.readouterr().err


def test_the_same_folder_and_seed_give_the_same_bytes(folder: Path) -> None:
    texts = []
    for _ in range(2):
        assert main(["fit", str(folder), "--json"]) == 0
        plan = json.loads((folder / "plan.json").read_text())
        del plan["seconds"]
        texts.append(json.dumps(plan))
    assert texts[0] == texts[1]


def test_json_is_one_document(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["count", str(folder), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["pieces"] == 9


def test_compare_refuses_a_stale_plan(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["fit", str(folder)]) == 0
    assert main(["compare", str(folder)]) == 0
    (folder / "inventory.csv").write_text(INVENTORY + "jeans,2,32x32,\n")
    assert main(["compare", str(folder)]) == 1
    assert "has changed since" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("inventory", "said"),
    [
        ("what,count\nsneekers,4\n", 'row 2, column what: "sneekers" is not a kind that is known; nearest: "sneakers"'),
        ("what,count\nsneakers,-1\n", 'row 2, column count: "-1" is not a whole number'),
        ("what,count\nsneakers,1.5\n", 'row 2, column count: "1.5" is not a whole number'),
        ("what,count,size\nsneakers,1,34x32\n", "row 2, column size"),
        ("what,count,width\nsneakers,1,12 x\n", "row 2, column width"),
        ("what,count\n", "holds no pile"),
        ("what,count\nsneakers,0\n", "every count is 0"),
        ("what;size\nsneakers;\n", 'the header has no column "count"'),
        ("", "the file is empty"),
        ("what,count\n" + "x" * 2_100_000, "larger than 2 MB"),
    ],
)
def test_bad_inventory_is_one_line_and_exit_2(
    folder: Path, capsys: pytest.CaptureFixture[str], inventory: str, said: str
) -> None:
    (folder / "inventory.csv").write_text(inventory)
    assert main(["fit", str(folder)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 1
    assert said in lines[0]
    assert not (folder / "plan.json").exists()


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (CLOSET[CLOSET.index("width = 40") :], "width = 13\ndepth = 15\n", "narrower than the smallest bay"),
        ("width = 38", "width = 41", "outside the wall's"),
        ("bottom = 12", "bottom = 11", "overlaps opening 1"),
        ("top = 84", "top = 97", "above the ceiling"),
        ("top = 84", "top = 84 84", "is not valid TOML"),
        ("top = 84", 'top = "84 x"', "top:"),
        ("top = 84", "top = 84\ntopp = 3", "topp: is not a setting that is known"),
        ("[[before]]", "[hallway]\nwidth = 30\n[[before]]", "[hallway]: is not honoured"),
    ],
)
def test_bad_closet_is_one_line_and_exit_2(
    folder: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, said: str
) -> None:
    (folder / "closet.toml").write_text(CLOSET.replace(old, new))
    assert main(["fit", str(folder)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 1
    assert said in lines[0]


def test_a_file_that_is_not_utf8_or_missing_is_named(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "inventory.csv").write_bytes(b"what,count\nsneakers,1\n\xff\xfe,2\n")
    (folder / "closet.toml").unlink()
    assert main(["fit", str(folder)]) == 2
    error = capsys.readouterr().err
    assert "line 3 is not UTF-8" in error
    assert "closet.toml: there is no such file" in error


def test_a_piece_larger_than_any_opening_is_left_out_and_named(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "inventory.csv").write_text("what,count,width,depth,height\nsuitcase,1,50,30,30\nsneakers,1,,,\n")
    assert main(["fit", str(folder)]) == 1
    assert "left out: 1 x suitcase (larger than any opening)" in capsys.readouterr().out


def test_start_never_overwrites(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["start", str(tmp_path / "new")]) == 0
    assert main(["start", str(tmp_path / "new")]) == 2
    assert "nothing is overwritten" in capsys.readouterr().err


@pytest.mark.parametrize("sample", SAMPLES)
def test_every_sample_can_be_counted(sample: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["start", str(tmp_path), "--sample", sample]) == 0
    assert main(["count", str(tmp_path)]) == 0
    assert "shelf run needed" in capsys.readouterr().out


def test_help_does_not_load_the_solver() -> None:
    code = "import sys, capacity.__main__ as m\ntry: m.main(['fit', '--help'])\nexcept SystemExit: pass\n"
    code += "assert not {'ortools', 'pandas', 'streamlit', 'plotly'} & set(sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, check=False).returncode == 0


@pytest.mark.parametrize("count", ['"1,000"', "1.000", "1.5", '"2,000.0"'])
def test_a_mark_between_thousands_is_never_read_as_a_point(
    folder: Path, count: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "inventory.csv").write_text(f"what,count\nsneakers,{count}\n")
    assert main(["count", str(folder)]) == 2
    assert capsys.readouterr().err.startswith("inventory.csv, row 2, column count: ")


def test_compare_without_a_plan_says_what_writes_one(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", str(folder)]) == 2
    assert "`capacity fit` writes one" in capsys.readouterr().err


def test_a_place_that_may_not_be_entered_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    exists = Path.exists

    def refuse(self: Path) -> bool:
        if tmp_path in self.parents:
            raise PermissionError(13, "Permission denied")
        return exists(self)

    monkeypatch.setattr(Path, "exists", refuse)
    assert main(["start", str(tmp_path / "x")]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_a_reader_that_goes_away_is_no_traceback(folder: Path) -> None:
    command = f"{sys.executable} -m capacity count {folder} | true"
    run = subprocess.run(["sh", "-c", command], capture_output=True, text=True, timeout=60, check=False)
    assert "Traceback" not in run.stderr


def test_a_letter_that_the_terminal_lacks_is_no_traceback(folder: Path) -> None:
    (folder / "inventory.csv").write_text("what,count,label\nsuitcase,900,Zoë’s\n", encoding="utf-8")
    env = {"PYTHONIOENCODING": "ascii", "PATH": "/usr/bin:/bin", "PYTHONPATH": ":".join(sys.path)}
    run = subprocess.run(
        [sys.executable, "-m", "capacity", "fit", str(folder), "--seconds", "1"],
        capture_output=True, text=True, timeout=120, check=False, env=env,
    )  # fmt: skip
    assert run.returncode == 1
    assert "Traceback" not in run.stderr
    assert "Zo\\xeb" in run.stdout


def test_too_little_memory_is_one_line(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def exhausted(*_: object, **__: object) -> None:
        raise MemoryError

    monkeypatch.setattr("capacity.solver.planning.make_plan", exhausted)
    assert main(["fit", str(folder)]) == 2
    assert capsys.readouterr().err == (
        "this needs more memory than there is; join rows of the inventory that are alike\n"
    )


def test_a_column_that_is_nearly_known_is_told_by_count_and_fit(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "inventory.csv").write_text(INVENTORY.replace("size", "sise"))
    for command in ("count", "fit"):
        assert main([command, str(folder)]) in (0, 1)
        assert 'inventory.csv: column "sise" is kept but not read; is "size" meant?\n' in capsys.readouterr().err


def test_every_document_says_what_it_is(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for command in ("fit", "count", "compare", "check"):
        main([command, str(folder), "--json"])
        assert json.loads(capsys.readouterr().out)["schema"].startswith("capacity.")
    main(["count", str(folder), "--json"])
    answer = json.loads(capsys.readouterr().out)
    assert answer["units"] == "in"
    assert 0 < answer["rod"] < answer["shelf"] < 100  # lengths in these units
