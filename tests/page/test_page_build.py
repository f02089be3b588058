"""The step Build without a browser: what falls short, what it costs, the packet made in a process of its own."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest
from support.built_samples import stand_for
from support.opened_pages import Open, fitted, packed, said

from capacity.checks.all_checks import Report
from capacity.checks.check import Check, Cure, Place, shortfalls
from capacity.closet.closet import Closet, read_closet
from capacity.errors import InputError
from capacity.makeover.plan import Plan, read_plan
from capacity.makeover.plan_checks import check_plan
from capacity.page import household
from capacity.page.building import contents
from capacity.page.building import step as build
from capacity.units import PER_INCH
from capacity.wardrobe.inventory import Inventory
from capacity.workshop.build_record import read_build, revision_of
from capacity.workshop.pages.shopping_page import format_shopping_page, shopping_data


def _made(page: AppTest, folder: Path) -> AppTest:
    """Press the button and wait for the packet."""
    page.button(key="build_start").click().run()
    assert not page.exception
    _wait(lambda: not build.PACKET.runs(folder))
    page.run()
    assert not page.exception
    return page


def _wait(is_so: Callable[[], bool]) -> None:
    for _ in range(2400):
        if is_so():
            return
        time.sleep(0.05)
    pytest.fail("waited for two minutes")


def test_without_a_layout_there_is_nothing_to_build(opened: Open, small: Path) -> None:
    page = opened(small, "build")
    assert page.header[0].value == "Nothing to build yet: there is no layout for this folder."
    assert not page.button


@pytest.mark.parametrize("is_there", [False, True])
def test_no_folder_and_an_empty_one(opened: Open, tmp_path: Path, is_there: bool) -> None:
    folder = tmp_path / "empty"
    folder.mkdir()
    page = opened(folder if is_there else None, "build")
    assert page.header
    assert not page.exception


def test_the_packet_is_made_and_all_of_it_is_on_the_page(opened: Open, small: Path) -> None:
    plan = fitted(small)
    page = opened(small, "build")
    assert plan.checks
    words = _checked(plan)
    assert page.header[0].value == plain_of(f"{words}; the packet is not made yet.")
    assert [button.label for button in page.get("download_button")] == ["List for the door, one page (PDF)"]
    assert [tab.label for tab in page.tabs] == ["Falls short", "Shopping", "Sheets", "Parts", "Cautions"]
    assert said(page).count("The packet is not made yet; it brings this.") == 3
    page = _made(page, small)
    record = read_build(small)
    assert record is not None
    sheets = f"{record.sheet_count} sheet{'s' if record.sheet_count > 1 else ''}"
    assert page.header[0].value.replace("\\", "") == f"{words}; {sheets}. {record.shopping.in_words}"
    labels = [button.label for button in page.get("download_button")]
    assert labels[:5] == [
        "The packet to print (PDF)", "Cut list (CSV)", "Shopping list (CSV)", "List for the door, one page (PDF)",
        "Shopping list, one page (PDF)",
    ]  # fmt: skip
    assert {"This drawing (SVG)"} < set(labels)
    assert len(page.get("image")) == 1
    tables = "\n".join(str(cell) for table in page.table for cell in table.value.to_numpy().ravel()).replace("\\", "")
    for line in record.shopping.lines:
        assert line.article in tables
    for part in record.parts:
        assert part.label in tables
    assert "Breaker" in said(page)
    assert said(page).count("ocal codes and licensed practice decide") == 1
    assert "How high everybody reaches" not in said(page)
    assert "Whether everything gets into the room is not checked: enter doors, stairs and corners under" in said(page)
    assert not [line for line in said(page).splitlines() if "[[" in line or "[door]" in line]
    assert not page.error
    assert not page.warning


def _checked(plan: Plan) -> str:
    short = sum(not check.passed for check in plan.checks)
    return f"{short} of {len(plan.checks)} checks fall short" if short else f"All {len(plan.checks)} checks passed"


def plain_of(text: str) -> str:
    from capacity.page.household import plain

    return plain(text)


def test_what_a_search_does_not_read_is_checked_anew_and_an_old_packet_says_that_it_is(
    opened: Open, small: Path
) -> None:
    """Found so: the price of a sheet or a door made the layout stale, and its checks stayed those of that day."""
    plan = fitted(small)
    page = _made(opened(small, "build"), small)
    door = '[door]\nkind = "hinged"\nwidth = 30\nheight = 40\n[panel]\nprice = 70\n'
    (small / "closet.toml").write_text((small / "closet.toml").read_text() + door)
    page.run()
    assert "since this layout was found" not in said(page)
    assert not page.button(key="build_start").disabled
    short = int(page.header[0].value.split()[0])
    assert short > sum(not check.passed for check in plan.checks)
    assert page.markdown[0].value.startswith("**Falls short")
    labels = [button.label for button in page.get("download_button")]
    assert "The packet to print (PDF), old" in labels
    assert "Shopping list, one page (PDF), old" in labels
    assert "List for the door, one page (PDF)" in labels


def test_single_pages_are_made_when_they_are_asked_for(small: Path) -> None:
    fitted(small)
    packed(small)
    record = read_build(small)
    assert record is not None
    pdf = format_shopping_page(record, "a4", "2027-01-02")
    assert pdf.startswith(b"%PDF-")
    assert pdf == format_shopping_page(record, "a4", "2027-01-02")
    rows = shopping_data(record, "a4", "2027-01-02")["rows"]
    assert [row[1].replace("\u200b", "") for row in rows] == [
        line.article for line in record.shopping.lines if line.packs
    ]


def test_each_drawing_of_the_packet_can_be_chosen(opened: Open, small: Path) -> None:
    fitted(small)
    page = _made(opened(small, "build"), small)
    record = read_build(small)
    assert record is not None
    names = list(record.sheets_by_name)
    assert names
    assert page.selectbox(key="build_drawing").options[: len(names)] == [
        f"Panel, sheet {number} as it is cut".replace(" as", ", as") for number in range(1, len(names) + 1)
    ]
    for choice in page.selectbox(key="build_drawing").options:
        page.selectbox(key="build_drawing").select(choice).run()
        assert not page.exception
        assert len(page.get("image")) == 1


def test_over_budget_says_by_how_much_and_names_the_dearest_lines(opened: Open, small: Path) -> None:
    text = (small / "closet.toml").read_text()
    (small / "closet.toml").write_text(text + "[panel]\nprice = 62\n")
    fitted(small)
    (small / "closet.toml").write_text(text + "[panel]\nprice = 62\n[wishes]\nbudget = 20\n")
    stand_for(small, read_plan(small / "plan.json"))
    page = _made(opened(small, "build"), small)
    record = read_build(small)
    assert record is not None
    assert record.shopping.is_over_budget
    assert "or more above the budget of $20.00" in record.shopping.in_words
    assert record.shopping.in_words in said(page)
    assert "The dearest lines: board for uprights and shelves" in said(page)
    assert not page.error  # exit code 1 of the command is an answer, no failure
    built = json.loads((small / "build" / "parts.json").read_text())
    built["shopping"]["hangs"] = ["One sheet of board hangs on an inch."]
    (small / "build" / "parts.json").write_text(json.dumps(built))
    page.run()
    assert "One sheet of board hangs on an inch." in said(page)
    text = (small / "closet.toml").read_text().replace("budget = 20", "budget = 900")
    (small / "closet.toml").write_text(text)
    stand_for(small, read_plan(small / "plan.json"))
    page.run()
    assert "since this packet was made. Make it again." in said(page)
    page = _made(page, small)
    assert "That is within the budget of $900.00." in said(page)
    assert "since this packet was made" not in said(page)


def test_a_layout_without_bays_is_nothing_to_build(opened: Open, small: Path) -> None:
    text = (small / "closet.toml").read_text()
    (small / "closet.toml").write_text(text + "[panel]\nprice = 62\n[wishes]\nbudget = 1\n")
    plan = fitted(small)
    assert not any(wall.bays for wall in plan.walls)
    page = _made(opened(small, "build"), small)
    assert "the layout: has no bays, so there is nothing to build" in said(page)
    assert read_build(small) is None


def test_a_layout_that_no_longer_fits_is_refused_in_words(opened: Open, small: Path) -> None:
    fitted(small)
    page = _made(opened(small, "build"), small)
    before = (small / "build" / "parts.json").read_bytes()
    (small / "inventory.csv").write_text("what,count\njeans,3\n")
    page.run()
    assert "The count or the closet has changed since this layout was found. A packet is made only for" in said(page)
    assert page.button(key="build_start").disabled
    build.PACKET.start(small)  # as if it had changed after the page was drawn
    _wait(lambda: not build.PACKET.runs(small))
    assert (small / "build" / "parts.json").read_bytes() == before
    assert page.button(key="build_fit").label == "Find a new layout"


def _also(monkeypatch: pytest.MonkeyPatch, checks: Iterable[Check]) -> None:
    """Have the page find these checks besides."""

    def found(closet: Closet, inventory: Inventory, plan: Plan) -> Report:
        report = check_plan(closet, inventory, plan)
        return report.model_copy(update={"checks": (*report.checks, *checks)})

    monkeypatch.setattr(household, "check_plan", found)


def test_what_falls_short_stands_once_with_its_places_and_its_cure(
    opened: Open, small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = fitted(small)
    door = {"name": "goes through: the door", "computed": 84.5, "limit": 79.5}
    way = _short(3, cured=True).model_copy(update=door)
    _also(monkeypatch, [*(_short(bay, cured=True) for bay in (1, 2)), _short(1, cured=False), way])
    page = opened(small, "build")
    number = len(plan.checks) + 4
    short = 4 + sum(not check.passed for check in plan.checks)
    assert said(page).count("Falls short: shelf is *red*") == 2
    assert f"{short} of {number} checks fall short; the packet is not made yet." in said(page)
    assert "Falls short: shelf is *red*" + "**, wall back, bay 1; wall back, bay 2" in said(page)
    assert "It is 0.5 in; at most 0.25 is right; as painted." in said(page)
    assert "paint it <green>; then it is 0.1 in; at most 0.25 is right." in said(page)
    assert "It needs 84 1/2 in, and the room for it is 79 1/2; as painted." in said(page)
    assert "none was found; change the closet and find a layout again" in said(page)


def test_a_cure_that_is_a_setting_is_written_into_the_closet_by_a_button(
    opened: Open, small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fitted(small)
    curable, work = _short(1, cured=True), _short(2, cured=True)
    assert curable.cure is not None
    assert work.cure is not None
    cures = [
        curable.cure.model_copy(update={"settings": {"wishes.max_shelf": "30", "wall.1.depth": "14"}}),
        work.cure.model_copy(update={"action": "saw", "settings": {"door.clear": "30"}}),
    ]
    checks = [check.model_copy(update={"cure": cure}) for check, cure in zip((curable, work), cures, strict=True)]
    _also(monkeypatch, checks)
    page = opened(small, "build")
    (button,) = [button for button in page.button if button.label == "Use this cure"]
    button.click().run()
    assert not page.exception
    closet = read_closet(small / "closet.toml")
    assert (closet.wishes.max_shelf, closet.wall[0].depth) == (30 * PER_INCH, 14 * PER_INCH)
    assert "Written into the closet: paint it <green>." in said(page)
    assert page.button(key="build_fit").label == "Find a new layout"


def _short(bay: int, cured: bool) -> Check:
    cure = Cure(action="paint", sentence="paint it <green>", settings={}, computed=0.1, limit=0.25, passed=True)
    return Check(
        name="shelf is *red*", place=Place(wall="back", bay=bay), computed=0.5, limit=0.25, sense="at most", unit="in",
        ratio=2.0, passed=False, source="nobody", how_known="invented", note="as painted", cure=cure if cured else None,
    )  # fmt: skip


def test_shortfalls_join_what_one_cure_mends_the_worst_first() -> None:
    mild, grave = _short(1, cured=True), _short(2, cured=True).model_copy(update={"ratio": 3.0})
    assert shortfalls([mild, _short(3, cured=False), grave]) == ((grave, mild), (_short(3, cured=False),))
    assert shortfalls([mild.model_copy(update={"passed": True})]) == ()


@pytest.mark.parametrize("text", ["{", "[]", '{"schema": "capacity.build/9"}', '{"schema": "capacity.build/1"}', "\0"])
def test_a_packet_that_cannot_be_read_is_one_line(opened: Open, small: Path, text: str) -> None:
    fitted(small)
    (small / "build").mkdir()
    (small / "build" / "parts.json").write_text(text)
    with pytest.raises(InputError, match=r"parts\.json.*make the packet again"):
        read_build(small)
    page = opened(small, "build")
    assert not page.exception
    assert len(page.error) == 1
    assert "make the packet again" in said(page)
    assert "the packet is not made yet" in said(page)


def test_a_packet_that_lost_files_still_opens(opened: Open, small: Path) -> None:
    fitted(small)
    page = _made(opened(small, "build"), small)
    for path in (small / "build").iterdir():
        if path.name != "parts.json":
            path.unlink()
    page.run()
    assert not page.exception
    labels = [button.label for button in page.get("download_button")]
    assert labels == ["List for the door, one page (PDF)", "Shopping list, one page (PDF)"]
    assert not page.get("image")


def test_a_second_packet_at_the_same_time_is_not_started(opened: Open, small: Path) -> None:
    from capacity.solver.effort import Effort
    from capacity.solver.progress import progress_in

    fitted(small)
    packed(small)
    with progress_in(small / ".capacity" / "packet.json", Effort()):
        page = opened(small, "build")
        assert page.button(key="build_start").disabled
        assert "The packet to print (PDF), old" in [button.label for button in page.get("download_button")]
        build.PACKET.start(small)
        assert not (small / ".capacity" / "packet.log").exists()
    assert not build.PACKET.runs(small)


def test_the_revision_follows_layout_and_closet_but_not_the_clock(small: Path) -> None:
    plan: Plan = fitted(small)
    text = (small / "closet.toml").read_text()
    first = revision_of(plan, text)
    assert revision_of(plan.model_copy(update={"seconds": 9e9}), text) == first
    assert revision_of(plan.model_copy(update={"name": "another"}), text) != first
    assert revision_of(plan, text + "# a price") != first
    assert revision_of(read_plan(small / "plan.json"), text) == first


def test_text_that_people_typed_is_never_markup_in_the_packet(opened: Open, small: Path) -> None:
    hostile = "<b>x</b> **y** [a](http://b) $z$"
    text = (small / "closet.toml").read_text().replace('name = "back"', f"name = '{hostile}'")
    (small / "closet.toml").write_text(text.replace('wall = "back"', f"wall = '{hostile}'"))
    fitted(small)
    page = _made(opened(small, "build"), small)
    texts = [element.value for part in (page.markdown, page.header, page.caption, page.table) for element in part]
    assert not any(hostile in str(value) for value in texts)
    assert hostile in said(page) or hostile in "\n".join(page.selectbox(key="build_drawing").options)


def test_files_to_take_away_are_read_when_they_are_taken(small: Path) -> None:
    path = small / "inventory.csv"
    assert contents.content(path) == path.read_bytes()
    assert contents.content(small / "nothing") == b""


def test_the_progress_of_a_packet_counts_its_steps(small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from capacity.__main__ import main

    fitted(small)
    progress = small / ".capacity" / "packet.json"
    assert main(["build", str(small), "--json", "--progress", str(progress)]) == 0
    record = json.loads(progress.read_text())
    assert (record["state"], record["doing"], record["stored"], record["all"]) == ("done", "drawing and printing", 2, 3)
    assert json.loads(capsys.readouterr().out)["drawings"]
