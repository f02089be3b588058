"""Names and labels that would do something where they are shown: on every page and in everything that is written.

Markup, formulas, signs that turn the direction of writing, control codes, signs of the packet's and the drawings' own
languages, and as many letters as are allowed, in every text that a person can give.
"""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import unicodedata
import xml.etree.ElementTree as ElementTree
from html.parser import HTMLParser
from pathlib import Path

import ezdxf
import pypdf
import pytest
from playwright.sync_api import Page
from support.browsing import WIDE, Windows, walked
from support.opened_pages import Open

from capacity.__main__ import main
from capacity.errors import TURNING
from capacity.page.shell import STEPS

MARKUP = "<img src=x onerror=alert(1)><script>alert(2)</script>"
MARKDOWN = (
    "**b** www.evil.example a@evil.example [x](javascript:alert(1)) ![y](http://evil.example/y) "
    ":red[c] $x^2$ `c` ~s~ <!-- -->"
)
WALL = f"=1%%u{MARKUP}{MARKDOWN}"
TEXTS = (
    MARKUP, MARKDOWN, '=HYPERLINK("http://evil.example","x")', "+1+cmd|x", "-2", "@SUM(1)", "'=1", "\t=1",
    "a\u202egnp.exe\u2066", "\u05e9\u05dc\u05d5\u05dd", "a\x1b]0;title\x07\x1b[31mred\x9b2J", "x" * 200,
    "%%u %%129 \\P {\\fArial;x} ^J", "#panic() @ref \\ // /* ]", "]]> &amp; &#x41; \" '",
)  # fmt: skip
KINDS = (
    "sneakers", "shirt", "jeans", "sweater", "t-shirt", "hat", "towel", "belt", "socks", "blouse", "skirt", "jacket",
    "heels", "flats", "sandals",
)  # fmt: skip
SVG_PARTS = {"svg", "title", "rect", "g", "path", "text", "circle", "line", "polyline", "polygon", "tspan"}


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with such texts everywhere, its layout and its packet; to be read only, or copied."""
    folder = tmp_path_factory.mktemp("hostile") / "a #1 & b's"
    folder.mkdir()
    stream = io.StringIO()
    writer = csv.writer(stream)
    writer.writerow(["what", "count", "owner", "label", "own column"])
    writer.writerows([kind, 2, text, text, text] for kind, text in zip(KINDS, TEXTS, strict=True))
    (folder / "inventory.csv").write_text(stream.getvalue(), encoding="utf-8", newline="")
    name, formula = (json.dumps(text) for text in (WALL, TEXTS[2]))
    (folder / "closet.toml").write_text(
        f"name = {name}\nceiling = 96\ntop = 84\n[[wall]]\nname = {name}\nwidth = 60\ndepth = 15\n"
        f"[[before]]\nwall = {name}\nleft = 0\nwidth = 38\ndepth = 15\n"
        'openings = [{ kind = "shelf", bottom = 0, height = 12 }, { kind = "hang", bottom = 12, height = 50 }]\n'
        f"[[person]]\nname = {formula}\nheight = 65\n[prices]\ncurrency = {json.dumps('=1')}\n",
        encoding="utf-8",
    )
    assert main(["fit", str(folder)]) in (0, 1)
    assert main(["build", str(folder)]) in (0, 1)
    return folder


def _obeyed(text: str) -> set[str]:
    """Signs that a terminal or a reader would obey."""
    return {sign for sign in text if sign in TURNING or (unicodedata.category(sign) == "Cc" and sign not in "\n")}


@pytest.mark.parametrize("command", ["count", "fit", "compare", "check", "build"])
def test_a_terminal_obeys_nothing_and_json_is_one_document(
    built: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], command: str
) -> None:
    folder = tmp_path / built.name
    shutil.copytree(built, folder)
    more = ["--seconds", "2"] if command == "fit" else []
    assert main([command, str(folder), *more]) in (0, 1)
    said = capsys.readouterr()
    assert _obeyed(said.out + said.err) == set()
    assert main([command, str(folder), *more, "--json"]) in (0, 1)
    out = capsys.readouterr().out
    json.loads(out)
    assert _obeyed(out) == set()


def test_a_text_that_a_terminal_would_obey_is_no_name_of_a_wall(
    built: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for text in ("a\x1b[31m", "a\u202eb", "a\nb", "a\x00b", "x" * 201):
        closet = (built / "closet.toml").read_text(encoding="utf-8")
        (tmp_path / "closet.toml").write_text(closet.replace(json.dumps(WALL), json.dumps(text), 1))
        shutil.copy(built / "inventory.csv", tmp_path)
        assert main(["check", str(tmp_path)]) == 2
        said = capsys.readouterr().err
        assert said.count("\n") == 1
        assert _obeyed(said) == set()


def test_no_cell_of_a_list_is_a_formula(built: Path) -> None:
    lists = sorted((built / "build").glob("*.csv"))
    assert len(lists) >= 2
    for path in lists:
        text = path.read_text(encoding="utf-8-sig")
        assert _obeyed(text.replace("\t", "")) == set()
        for cell in (cell for row in csv.reader(io.StringIO(text)) for cell in row):
            assert re.fullmatch(r"-?[0-9.]+", cell) or not re.match(r"[=+\-@\t\r]", cell), (path.name, cell)


def test_drawings_hold_shapes_and_words_only(built: Path) -> None:
    pictures = sorted((built / "build").glob("*.svg"))
    assert pictures
    words = ""
    for path in pictures:
        root = ElementTree.fromstring(path.read_text(encoding="utf-8"))
        for element in root.iter():
            assert element.tag.rpartition("}")[2] in SVG_PARTS, (path.name, element.tag)
            assert not [key for key in element.attrib if key.startswith("on") or "href" in key], path.name
            assert not re.search(r"url\(|javascript:", " ".join(element.attrib.values()).replace(MARKDOWN, ""))
            words += (element.text or "") + " "
        assert _obeyed(path.read_text(encoding="utf-8").replace("\t", "")) == set()
    assert "<img src=x" in words  # as words


def test_cad_drawings_open_and_their_words_stay_words(built: Path) -> None:
    drawings = sorted((built / "build").glob("*.dxf"))
    assert drawings
    for path in drawings:
        document = ezdxf.readfile(path)
        assert not document.audit().errors
        for entity in document.modelspace():
            assert entity.dxftype() in {"LINE", "LWPOLYLINE", "POLYLINE", "TEXT", "CIRCLE", "ARC", "HATCH", "SOLID"}
            if entity.dxftype() == "TEXT":
                assert _obeyed(entity.dxf.text) == set()
                assert not re.search(r"%%[ucdopk0-9]", entity.dxf.text, re.IGNORECASE)


def test_the_packet_has_no_links_no_scripts_and_every_name(built: Path) -> None:
    reader = pypdf.PdfReader(io.BytesIO((built / "build" / "packet.pdf").read_bytes()))
    assert not reader.trailer["/Root"].get("/Names", {}).get("/JavaScript")
    assert "/OpenAction" not in reader.trailer["/Root"]
    for page in reader.pages:
        for note in page.get("/Annots", []):
            action = note.get_object().get("/A", {})
            assert "/URI" not in action
            assert action.get("/S") in (None, "/GoTo")
    text = "".join("".join(page.extract_text().replace("\u200b", "").split()) for page in reader.pages)
    for words in ("<imgsrc=xonerror=alert(1)>", "**b**", "#panic()@ref", '=HYPERLINK("http', "+1+cmd|x", "@SUM(1)"):
        assert words in text, words


class _Parts(HTMLParser):
    """What a reader of HTML would make of a text that the page sends as HTML."""

    def __init__(self) -> None:
        super().__init__()
        self.found: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found |= {tag, *(name for name, _ in attrs if name.startswith("on"))}


@pytest.mark.parametrize("step", [step.url_path for step in STEPS])
def test_a_page_sends_no_such_text_where_it_is_read_as_markup(
    built: Path, tmp_path: Path, opened: Open, step: str
) -> None:
    folder = tmp_path / built.name
    shutil.copytree(built, folder)
    page = opened(folder, step)
    assert not page.exception
    parts = (page.title, page.header, page.subheader, page.markdown, page.caption, page.error, page.warning, page.info)
    texts = [str(element.value) for part in parts for element in part]
    labels = [*page.button, *page.radio, *page.selectbox, *page.text_input, *page.number_input, *page.toggle]
    texts += [str(element.label) for element in labels]
    texts += [str(option) for element in page.radio for option in element.options]
    for text in texts:
        bare = re.sub(r"\\[\\`*_{}\[\]()<>#+\-.!|~$:^=&]", "", text)  # what is marked as plain
        assert not re.search(r"<script|<img|\]\(|:red\[|\$x|<!--", bare), text
        assert not {sign for sign in text if sign in TURNING or sign in "\x07\x1b\x9b"}, text
    for element in page.get("html"):
        parser = _Parts()
        parser.feed(str(element.proto.body))
        assert parser.found <= {"style"}


@pytest.mark.browser
def test_a_browser_runs_nothing_and_fetches_nothing(built: Path, tmp_path: Path, windows: Windows) -> None:
    """`windows` sees to it that nothing was asked for from elsewhere and nothing complained."""
    folder = tmp_path / built.name
    shutil.copytree(built, folder)
    page = windows.open(folder, width=WIDE)
    said: list[str] = []
    page.on("dialog", lambda dialog: said.append(dialog.message))
    for step in walked(page):
        for expander in page.locator("[data-testid=stExpander] summary:visible").all():
            expander.click()
        page.wait_for_timeout(300)
        assert _foreign(page) == [], step
    assert said == []


def _foreign(page: Page) -> list[str]:
    """Parts in the page that only such a text could have made."""
    found: list[str] = page.evaluate(
        """() => [...document.querySelectorAll(`[onerror], img[src="x"], img[src*="evil"],
        a[href^="javascript"], a[href*="evil"]:not([href^="#"]), .katex`)].map(it => it.outerHTML.slice(0, 200))"""
    )
    return found
