"""What a command says in less usual cases: on a terminal, as data, of a built bay that differs, of a wrong number."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

from capacity.__main__ import main
from capacity.commands.printing import ProgressLine
from capacity.makeover.adoption import adopt_plan
from capacity.makeover.folder import fingerprint, read_folder
from capacity.makeover.plan import write_plan
from capacity.makeover.samples import SAMPLES
from capacity.solver.effort import Effort, Progress
from capacity.solver.planning import make_plan


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize("is_terminal", [True, False])
def test_the_search_says_where_it_stands_on_a_terminal_alone(
    is_terminal: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen = _Terminal() if is_terminal else io.StringIO()
    monkeypatch.setattr(sys, "stderr", seen)
    monkeypatch.setenv("TERM", "xterm")
    with ProgressLine() as line:
        line.show(Progress("building bays anew", 12, 30, 40, 2.0))
        line.say("a line of its own")
    assert "a line of its own" in seen.getvalue()
    assert ("\x1b[" in seen.getvalue()) == is_terminal


def test_a_folder_is_started_and_told_as_data(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["start", str(tmp_path / "new"), "--json"]) == 0
    written = json.loads(capsys.readouterr().out)["written"]
    assert {Path(name).name for name in written} == {"closet.toml", "inventory.csv"}
    assert all(Path(name).exists() for name in written)
    assert main(["start", str(tmp_path / "other"), "--sample", "castle"]) == 2
    assert f'"castle" is not a sample; the samples: {", ".join(SAMPLES)}' in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["many", "a", "--into", "b", "--workers", "0"], '"0" is not a number of workers from 1 to'),
        (["fit", "a", "--seconds", "none"], '"none" is not a number of seconds above 0'),
        (["fit", "a", "--seconds", "-1"], '"-1" is not a number of seconds above 0'),
    ],
)
def test_a_number_that_is_none_is_one_line(arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == 2
    assert said in capsys.readouterr().err


def test_a_bay_that_came_out_narrower_and_a_gain_for_another_count_are_told(
    small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (small / "inventory.csv").write_text("what,count,width,depth,height\nhat,3,12,12,5\n")
    closet, inventory = read_folder(small)
    plan = make_plan(closet, inventory, Effort(factor=0.01), fingerprint(small))
    write_plan(plan, small / "plan.json")
    adopt_plan(small, plan)
    text = (small / "closet.toml").read_text()
    start = text.index("[[built]]")
    wide = plan.walls[0].bays[0].width
    narrow = text[start:].replace(f"width = {wide:g}", f"width = {wide - 1:g}")
    assert narrow != text[start:]
    (small / "closet.toml").write_text(text[:start] + narrow)
    main(["refill", str(small)])
    capsys.readouterr()
    main(["compare", str(small)])
    assert 'is 1" narrower than planned, 1" too narrow for all that was to go in.' in capsys.readouterr().out
    (small / "inventory.csv").write_text("what,count,width,depth,height\nhat,5,12,12,5\n")
    main(["refill", str(small)])
    capsys.readouterr()
    assert main(["compare", str(small)]) == 1
    said = capsys.readouterr().out
    assert "Gain promised, for what was counted then: " in said
    assert "of the 5 pieces counted now." in said
