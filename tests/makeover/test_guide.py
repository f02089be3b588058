"""The guide: every block of code in it is run or read as it stands, and `capacity guide` prints it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from support.cases import one_wall

from capacity.__main__ import main
from capacity.closet.closet import parse_closet
from capacity.makeover.guide import TOPICS, guide_text, title_of
from capacity.makeover.samples import start_folder
from capacity.wardrobe.inventory import parse_inventory

CLOSET = one_wall(72) + "[panel]\nprice = 62\n"
TODAY = (
    '[[before]]\nwall = "back"\nleft = 0\nwidth = 72\ndepth = 12\n'
    'openings = [{ kind = "shelf", bottom = 0, height = 90 }]\n'
)


def _blocks(topic: str) -> list[tuple[str, str]]:
    return re.findall(r"^```(\w+)\n(.*?)^```$", guide_text(topic), flags=re.M | re.S)


@pytest.mark.parametrize("topic", TOPICS)
def test_the_code_of_the_guide_does_what_it_says(
    topic: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    blocks = _blocks(topic)
    assert guide_text(topic).count("```") == 2 * len(blocks)  # none is left out
    for language, text in blocks:
        match language:
            case "csv":
                assert parse_inventory(text, "in").pieces == 14
            case "toml" if "ceiling" in text:
                parse_closet(text)
            case "toml":
                parse_closet(CLOSET + text + (TODAY if "keep_bays" in text else ""))
            case "sh":
                for line in text.splitlines():
                    assert main(line.split()[1:]) in (0, 1), capsys.readouterr().err
            case "python":
                start_folder(Path("my-closet"))
                exec(text, {})
            case _:
                pytest.fail(f"nobody runs {language}")


def test_the_command_lists_the_topics_and_prints_one(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["guide"]) == 0
    listed = capsys.readouterr().out
    assert all(topic in listed and title_of(topic) in listed for topic in TOPICS)
    assert main(["guide", "glossary"]) == 0
    assert capsys.readouterr().out == guide_text("glossary")
