"""The step Compare beside other ways: re-spacing on request, variants in folders beside, charts with their finding."""

from __future__ import annotations

import math
import shutil
import time
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest
from support.opened_pages import Open, fitted, packed, said

from capacity.makeover.comparison import headline
from capacity.makeover.folder import read_folder_at_once
from capacity.makeover.plan import read_plan
from capacity.makeover.saved_plan import before_search, keep_plan
from capacity.page.compare import respacing
from capacity.page.errand import SEARCH
from capacity.workshop.build_record import read_build

PRICED = "[panel]\nprice = 62\n"


@pytest.fixture
def priced(small: Path) -> Path:
    (small / "closet.toml").write_text((small / "closet.toml").read_text() + PRICED)
    return small


def _table(page: AppTest) -> dict[str, list[str]]:
    """The table of other ways: what stands beside each name."""
    found = next(table.value for table in page.table if "to buy, likely" in table.value.columns)
    return {
        str(row[0]).replace("\\", ""): [str(cell).replace("\\", "") for cell in row[1:]] for row in found.to_numpy()
    }


def _tried(page: AppTest, folder: Path) -> AppTest:
    page.button(key="respace").click().run()
    assert not page.exception
    for _ in range(2400):
        if not SEARCH.runs(respacing.folder_of(folder)):
            break
        time.sleep(0.05)
    else:
        pytest.fail("waited for two minutes")
    page.run()
    assert not page.exception
    return page


def test_today_and_this_layout_stand_beside_each_other(opened: Open, priced: Path) -> None:
    plan = fitted(priced)
    page = opened(priced, "compare")
    table = _table(page)
    assert list(table) == ["today's closet", "this layout"]
    assert table["today's closet"][:2] == ["$0.00", f"{plan.before.stored} of {plan.before.pieces}"]
    assert table["this layout"][1] == f"{plan.after.stored} of {plan.after.pieces}"
    assert table["this layout"][0].startswith("$")
    gained = plan.after.stored - plan.before.stored
    assert (
        page.header[0]
        .value.replace("\\", "")
        .startswith(
            f"Against today's closet this layout brings {gained} more pieces, for {table['this layout'][0]}."
            if gained > 1
            else "Against today's closet this layout brings "
        )
    )
    assert not page.error
    packed(priced)  # the figure of every page is that of the packet
    record = read_build(priced)
    assert record is not None
    likely = f"{math.floor(record.shopping.likely[0])} to ${math.ceil(record.shopping.likely[1])}"
    assert _table(opened(priced, "compare"))["this layout"][0] == f"${likely}"
    assert {metric.label: metric.value for metric in opened(priced, "fit").metric}["To buy, likely"] == f"${likely}"
    low, high = (f"${amount}" for amount in likely.replace("$", "").split(" to "))
    assert f"between {low} and {high}" in opened(priced, "build").header[0].value.replace("\\", "")


def test_a_sentence_is_said_once_also_of_an_old_layout(opened: Open, priced: Path) -> None:
    """Found so: the layout's sentence stood in the head and again under it where what it was found for has gone."""
    sentence = headline(fitted(priced))
    (priced / "inventory.csv").write_text("what,count\njeans,2\n")
    page = opened(priced, "compare")
    assert "is not known any more" in said(page)
    assert said(page).count(sentence) == 1


def test_what_has_no_price_and_no_guess_is_not_known(opened: Open, small: Path) -> None:
    (small / "closet.toml").write_text((small / "closet.toml").read_text() + '[prices]\ncurrency = "EUR "\n')
    fitted(small)
    page = opened(small, "compare")
    assert _table(page)["this layout"][0] == "no price yet"
    assert "EUR" not in page.header[0].value


def test_respacing_is_found_in_the_background_and_kept_until_the_folder_changes(opened: Open, priced: Path) -> None:
    plan = fitted(priced)
    before = {path.name: path.read_bytes() for path in priced.iterdir() if path.is_file()}
    page = _tried(opened(priced, "compare"), priced)
    table = _table(page)
    assert "today's bays re-spaced" in table
    assert "re-spaced shelves alone bring" in page.header[0].value.replace("\\", "")
    found = read_plan(respacing.folder_of(priced) / "plan.json")
    assert table["today's bays re-spaced"][1] == f"{found.after.stored} of {found.after.pieces}"
    kept = [(bay.left, bay.width) for wall in found.after.walls for bay in wall.bays]
    assert kept == [(bay.left, bay.width) for wall in plan.before.walls for bay in wall.bays]
    assert {path.name: path.read_bytes() for path in priced.iterdir() if path.is_file()} == before
    assert "today's bays re-spaced" in _table(opened(priced, "compare"))  # a reload
    keep_plan(priced, plan, before_search(priced, read_folder_at_once(priced)[2]))  # with what it was found for
    path = priced / "closet.toml"
    path.write_text(path.read_text().replace("ceiling = 96", "ceiling = 97"))
    page = opened(priced, "compare")
    assert "since re-spacing was tried, so it is not in the table" in said(page)


def test_a_closet_that_cannot_be_respaced_says_why(opened: Open, priced: Path) -> None:
    fitted(priced)
    page = opened(priced, "compare")
    (priced / "closet.toml").unlink()
    page.button(key="respace").click().run()
    assert not page.exception
    assert "The measurements: there is no such file" in said(page)
    assert not SEARCH.runs(respacing.folder_of(priced))


def test_variants_beside_are_shown_when_their_count_is_the_same(opened: Open, priced: Path, tmp_path: Path) -> None:
    fitted(priced)
    for name in ("with *drawers*", "another count", "broken"):
        shutil.copytree(priced, tmp_path / name)
    text = (tmp_path / "another count" / "inventory.csv").read_text()
    (tmp_path / "another count" / "inventory.csv").write_text(text.replace("sneakers,4", "sneakers,5"))
    fitted(tmp_path / "another count")
    (tmp_path / "broken" / "plan.json").write_text("{")
    page = opened(priced, "compare")
    assert set(_table(page)) == {"today's closet", "this layout", "with *drawers*"}
    assert "no layout of their own now: another count, broken." in said(page)


def test_charts_say_their_finding_and_the_tables_hold_the_shares(opened: Open, priced: Path) -> None:
    fitted(priced)
    page = opened(priced, "compare")
    assert len(page.get("plotly_chart")) == 3  # before and after, gain by kind and by owner
    by_owner = next(table.value for table in page.table if "owner" in table.value.columns)
    assert "(100 %)" in str(by_owner["after"].iloc[0]).replace("\\", "")
    assert set(by_owner["owner"]) == {"Ann", "shared"}
    assert "The capacity multiple does not depend on how much you own" in said(page)
