"""Packets of awkward households: built, counted again by other code, and readable by other programs."""

from __future__ import annotations

import io
import json
import math
import re
from pathlib import Path

import pypdf
import pytest
from rebuilt_parts import faults
from support.awkward import HOUSEHOLDS, household

from capacity.__main__ import main
from capacity.solver import effort
from capacity.solver.effort import Effort


@pytest.fixture
def _cut_in_the_first_way(monkeypatch: pytest.MonkeyPatch) -> None:
    """No search for fewer sheets: how boards are cut is tried elsewhere."""

    def stopped(*_: object) -> Effort:
        made = Effort()
        made.stop()
        return made

    monkeypatch.setattr(effort, "Effort", stopped)


def _heights_of_rods(run: str) -> list[str]:
    """Where the list of places has the rods, from the floor, in a text without spaces."""
    return re.findall(r"-\drod([0-9/']+\+?\"|[0-9]+mm)", run[run.rindex("Whereeachpilegoes") :])


@pytest.mark.usefixtures("_cut_in_the_first_way")
@pytest.mark.parametrize("name", HOUSEHOLDS)
def test_the_packet_of_an_awkward_household(name: str, tmp_path: Path) -> None:
    folder = household(name, tmp_path / "home")
    assert main(["build", str(folder)]) == 1  # each has something that falls short, and says so
    assert faults(folder) == []
    pdf = (folder / "build" / "packet.pdf").read_bytes()
    assert b"/Suspects" not in pdf  # some readers grumble at it
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    assert reader.outline
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]  # type: ignore[index]
    small: list[str] = []

    def note_small(text: str, around: list[float], own: list[float], font: object, size: float) -> None:
        a, b, c, d = (own[0] * around[0], own[0] * around[1], own[3] * around[2], own[3] * around[3])
        if text.strip() and size * math.sqrt(abs(a * d - b * c)) < 7.99:
            small.append(text)

    whole = "\n".join(page.extract_text(visitor_text=note_small) for page in reader.pages)
    assert small == []  # nothing under 8 points
    for words in (
        "Falls short",
        "By fence setting",
        "Heights of wall",
        "Drilling",
        "Labels to stick on",
        "likely between",
    ):
        assert words in whole, words
    record = json.loads((folder / "build" / "parts.json").read_text())
    assert record["falls_short"]
    run = "".join(whole.replace("\u200b", "").split())
    assert "about3/4" not in run
    rods = _heights_of_rods(run)
    assert rods
    assert '0"' not in rods
    if name == "old house":  # its baseboard stays, and its board measures less than 23/32
        assert "notchedoverit" in run
        assert "baseboardwheretheuprightsstand" not in run
        assert '0.703"' in run


def test_a_metric_packet_speaks_of_no_inches_and_what_is_owned_is_not_bought(tmp_path: Path) -> None:
    folder = household("seated", tmp_path / "home")
    assert main(["build", str(folder)]) == 1
    record = json.loads((folder / "build" / "parts.json").read_text())
    assert not [
        line["how"] for line in record["shopping"]["lines"] if " in apart" in line["how"] or "every 6 in" in line["how"]
    ]
    (reach,) = [item["figures"] for item in record["falls_short"] if item["what"].startswith("things within reach")]
    assert reach.count("Jo's sneakers") == 1  # each pile once, wherever it lies
    (pins,) = [line for line in record["shopping"]["lines"] if line["article"].startswith("shelf pins")]
    assert pins["packs"] == 0
    whole, offcut = [line for line in record["shopping"]["lines"] if line["article"].startswith("board for backs")]
    assert (offcut["packs"], whole["packs"]) == (0, 2)  # one of three backs comes from the board that is owned
    low, high = record["shopping"]["likely"]
    assert record["shopping"]["total"] < low < high
    assert record["shopping"]["is_over_budget"]


def test_a_fit_under_a_budget_holds_everything_to_buy_against_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Boards for 60 are within 100, which is all that the search knows; rods, screws and paint are not."""
    (tmp_path / "closet.toml").write_text(
        'ceiling = 96\ntop = 84\n[[wall]]\nname = "back"\nwidth = 24\ndepth = 12\n'
        "[panel]\nprice = 60\n[wishes]\nbudget = 100\n"
    )
    (tmp_path / "inventory.csv").write_text("what,count\nsneakers,2\nshirt,3\n")
    main(["fit", str(tmp_path), "--effort", "quick"])
    (line,) = [line for line in capsys.readouterr().out.splitlines() if line.startswith("All to buy: ")]
    assert line.endswith("above the budget of $100.00.")
