"""Journeys through the page in a real browser: from an empty folder to the packet, and everything that can go wrong."""

from __future__ import annotations

import os
import re
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from itertools import pairwise
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Locator, Page, expect
from playwright.sync_api import TimeoutError as PlaywrightTimeout
from support.browsing import (
    NARROW,
    PATIENCE,
    WIDE,
    Windows,
    is_settled,
    screens,
    sentence,
    stands_within_its_width,
    turn_to,
    walked,
)
from support.opened_pages import fitted

from capacity.makeover.comparison import headline
from capacity.makeover.plan import read_plan
from capacity.makeover.samples import start_folder
from capacity.solver.progress import is_running, searcher
from capacity.wardrobe.inventory import read_inventory
from capacity.workshop.build_record import read_build

pytestmark = pytest.mark.browser

LEAST = 320
"""The narrowest phone that is made [CSS pixels]."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    start_folder(tmp_path / "closet")
    return tmp_path / "closet"


def count_of(folder: Path, row: int = 1) -> int:
    return read_inventory(folder / "inventory.csv", "in").pile(row).count


def comes_to(folder: Path, count: int) -> None:
    """Wait for a count that surely comes to the disk; only a hang fails."""
    for _ in range(PATIENCE // 50):
        if count_of(folder) == count:
            return
        time.sleep(0.05)
    assert count_of(folder) == count


def tile_of(page: Page, row: int = 1) -> tuple[Locator, Locator]:
    """What is tapped, and where the number stands."""
    tile = page.locator(f".st-key-tile_{row}")
    expect(tile.locator(".more")).to_be_visible()
    return tile.locator(".more"), tile.locator(".count")


def add_pile(page: Page, kind: str, count: int, total: int) -> None:
    """Count one pile by hand."""
    field = page.get_by_role("combobox", name="What")
    if not field.is_visible():  # folded away until something was added
        page.get_by_text("Add something else").click()
        expect(field).to_be_visible()
        is_settled(page)
    add = page.get_by_role("button", name="Add it")
    for _ in range(6):  # what is offered is drawn anew with each letter, and closes when the page is, or scrolls
        field.scroll_into_view_if_needed()
        field.click()
        field.fill(kind)
        with suppress(PlaywrightTimeout, AssertionError):
            page.get_by_role("option", name=kind, exact=True).click(timeout=10_000)
            expect(add).to_be_enabled(timeout=10_000)
            break
    is_settled(page)
    number = page.get_by_role("spinbutton", name="How many")
    number.fill(str(count))
    number.press("Enter")
    add.click()
    expect(sentence(page)).to_contain_text(f"{total} pieces counted")


def fill(page: Page, label: str, words: str) -> None:
    """Type into a field, and leave it."""
    field = page.get_by_role("textbox", name=label, exact=True)
    field.fill(words)
    field.press("Tab")


@pytest.mark.parametrize(("width", "scheme"), screens((LEAST, "dark"), (WIDE, "light")))
def test_a_newcomers_way_from_an_empty_folder_to_the_packet(
    windows: Windows, tmp_path: Path, width: int, scheme: Literal["light", "dark"]
) -> None:
    folder = tmp_path / "ours"
    folder.mkdir()
    page = windows.page(windows.browser(width, scheme), windows.serve(folder))
    expect(sentence(page)).to_contain_text("nothing counted yet, no layout for it yet")
    turn_to(page, "Count")
    add_pile(page, "sneakers", 4, 4)
    add_pile(page, "shirt", 5, 9)
    assert stands_within_its_width(page)
    assert page.locator(".tile .name").evaluate_all(BROKEN) == []
    turn_to(page, "Closet")
    fill(page, "Ceiling", "8 ft")
    fill(page, "Top of the built-ins", "84")
    fill(page, "Name", "back")
    fill(page, "Width", "40")
    fill(page, "Depth of shelves", "15")
    page.get_by_role("button", name="Add the wall").click()
    expect(sentence(page)).not_to_contain_text("Still missing")
    assert stands_within_its_width(page)
    turn_to(page, "Fit")
    page.get_by_role("button", name="Find a layout").click()
    expect(sentence(page)).to_contain_text("Everything fits: all 9 pieces have a place")
    assert stands_within_its_width(page)
    plan = read_plan(folder / "plan.json")
    turn_to(page, "Compare")
    expect(sentence(page)).to_have_text(headline(plan))
    assert stands_within_its_width(page)
    turn_to(page, "Build")
    make_and_take_away(page, folder)


BROKEN = (
    "all => all.filter(it => !/[ -]/.test(it.textContent) && it.getClientRects().length > 1).map(it => it.innerText)"
)
"""Names of one word that stand on more than one line."""


def make_and_take_away(page: Page, folder: Path) -> None:
    """Make the packet, watched, and take away what it holds."""
    checks = read_plan(folder / "plan.json").checks
    short = sum(not check.passed for check in checks)
    words = f"{short} of {len(checks)} checks fall short" if short else f"All {len(checks)} checks passed"
    expect(sentence(page)).to_have_text(f"{words}; the packet is not made yet.")
    page.get_by_role("button", name="Make the packet").click()
    expect(page.get_by_role("button", name="The packet to print")).to_be_visible()
    record = read_build(folder)
    assert record is not None
    expect(sentence(page)).to_contain_text(f"{words}; {record.sheet_count} sheet")
    for label, first in (
        ("The packet to print", b"%PDF-"),
        ("Cut list", b"label,part,"),
        ("Shopping list (CSV)", b"buy,"),
    ):
        with page.expect_download() as download:
            page.get_by_role("button", name=label).click()
        assert download.value.path().read_bytes().startswith(first)
    page.get_by_role("tab", name="Sheets").click()
    expect(page.locator(".st-key-drawing_of_build img")).to_be_visible()
    assert stands_within_its_width(page)


def reach(page: Page, name: str) -> None:
    """Go to what has that name by the Tab key alone."""
    for _ in range(150):
        page.keyboard.press("Tab")
        if name in page.evaluate(NAME):
            return
    pytest.fail(f"{name} is not reached by Tab")


NAME = """() => {
  const it = document.activeElement;
  if (!it.matches('button, a[href], input, summary')) return '';
  const group = it.matches('[type=radio]') ? it.closest('[role=radiogroup]') : null;
  return (group || it).getAttribute('aria-label') || it.labels?.[0]?.innerText || it.innerText || '';
}"""
"""The name of what has the focus; of a choice the name of the group."""


@pytest.mark.parametrize(("width", "scheme"), screens((WIDE, "dark")))
def test_a_change_is_tried_and_kept_and_shelves_are_respaced_by_keys_alone(
    windows: Windows, small: Path, width: int, scheme: Literal["light", "dark"]
) -> None:
    """Then the same page as narrow as a phone."""
    plan = fitted(small)
    page = windows.page(windows.browser(width, scheme), windows.serve(small), "fit")
    is_settled(page)
    reach(page, "What is in an opening")
    is_settled(page)
    page.keyboard.press("ArrowDown")
    expect(page.get_by_role("option").first).to_be_visible()
    openings = [opening for bay in plan.walls[0].bays for opening in bay.openings]
    highest = max((at for at, each in enumerate(openings) if each.kind == "shelf"), key=lambda at: openings[at].height)
    for _ in range(highest):  # two shelves go into it
        page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    expect(page.get_by_role("combobox", name="What is in an opening")).to_have_value(re.compile("[A-Z]: "))
    is_settled(page)
    reach(page, "Try a change")
    page.keyboard.press("Enter")
    is_settled(page)
    reach(page, "What to do at")
    page.keyboard.press("Space")
    expect(page.get_by_text("That cannot be built").or_(page.get_by_text("have a place then"))).to_be_visible()
    is_settled(page)
    reach(page, "What to do at")
    for _ in range(2):
        page.keyboard.press("ArrowDown")
        is_settled(page)
    expect(page.get_by_role("radio", name="put a shelf into it")).to_be_checked()
    expect(page.get_by_text("have a place then")).to_be_visible()
    expect(page.get_by_text(re.compile("sheets? of board"))).to_be_visible()
    expect(page.get_by_text("Tried: ", exact=False).first).to_be_visible()
    reach(page, "Keep it as the layout")
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Undo")).to_be_enabled()
    assert read_plan(small / "plan.json").walls != plan.walls
    page.set_viewport_size({"width": LEAST, "height": 844})
    turn_to(page, "Compare")
    assert stands_within_its_width(page)
    reach(page, "What would re-spaced shelves alone bring?")
    page.keyboard.press("Enter")
    expect(sentence(page)).to_contain_text("re-spaced shelves alone bring")
    assert stands_within_its_width(page)


def test_a_reload_in_the_middle_of_the_count_loses_nothing(windows: Windows, folder: Path) -> None:
    page = windows.open(folder, "count")
    more, number = tile_of(page)
    for _ in range(3):
        more.tap()
    expect(number).to_have_text("6")
    comes_to(folder, 6)
    more.tap()  # and away before the answer is drawn
    page.reload()
    is_settled(page)
    shown = count_of(folder)  # the last tap either reached the server or did not; what is shown is what is on disk
    assert shown in (6, 7)
    expect(number).to_have_text(f"{shown}")
    more.tap()
    comes_to(folder, shown + 1)


def test_a_search_survives_reload_and_a_killed_server_and_stopped_keeps_its_best(
    windows: Windows, tmp_path: Path
) -> None:
    """The search is held from its first layout on, so that it does not end by itself on a busy machine."""
    folder = tmp_path / "family"
    start_folder(folder, "family-walk-in")
    progress = folder / ".capacity" / "progress.json"
    port = windows.serve(folder)
    page = windows.page(windows.browser(), port, "fit")
    page.get_by_role("button", name="Find a layout").tap()
    expect(sentence(page)).to_have_text("A layout is being looked for.")
    expect(page.get_by_text("pieces have a place").first).to_be_visible()
    search = searcher(progress)
    assert search is not None
    os.kill(search, signal.SIGSTOP)
    try:
        expect(page.locator(".st-key-fit_best .main-svg").first).to_be_visible()  # the best so far, drawn
        page.reload()
        expect(sentence(page)).to_have_text("A layout is being looked for.")
        expect(page.get_by_role("button", name="Find a layout")).to_be_disabled()
        windows.kill(port)
        assert is_running(progress)
        windows.serve(folder, port)
        is_settled(page)
        expect(page.get_by_text("The bar is full when")).to_be_visible()
        windows.may_complain = False
        while not progress.with_suffix(".stop").exists():
            with suppress(PlaywrightTimeout):  # in the first moments after coming back a press may be lost
                page.get_by_role("button", name="Stop and keep the best").click(timeout=5000)
            page.wait_for_timeout(500)
    finally:
        os.kill(search, signal.SIGCONT)
    expect(sentence(page)).to_contain_text("pieces have a place")
    plan = read_plan(folder / "plan.json")
    assert plan.stopped_early
    expect(sentence(page)).to_have_text(headline(plan))
    expect(page.get_by_role("button", name="Find a new layout")).to_be_enabled()


@pytest.mark.parametrize(("width", "scheme"), screens((NARROW, "light"), (WIDE, "dark")))
def test_each_step_fits_its_screen_is_reached_by_keys_and_nothing_keeps_people_out(
    windows: Windows, made: Callable[..., Path], width: int, scheme: Literal["light", "dark"]
) -> None:
    """Of a folder with all that there can be: over its budget, and with a packet."""
    from axe_playwright_python.sync_playwright import Axe

    folder = made(budget=100)
    page = windows.page(windows.browser(width, scheme), windows.serve(folder))
    rules = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    findings: list[str] = []
    for step in walked(page):
        if width == WIDE:
            findings += [f"{step}: {fault}" for fault in _out_of_reach(page)]
        unfold(page)
        for tab in page.get_by_role("tab").all() or [None]:
            if tab is not None:
                tab.click()
                is_settled(page)
            results = Axe().run(page, options={"runOnly": {"type": "tag", "values": rules}})
            findings += [
                f"{step}: {item['id']}: {[node['html'][:200] for node in item['nodes']]}"
                for item in results.response["violations"]
            ]
            findings += [f"{step}: {fault}" for fault in _headings_and_pictures(page)]
            findings += [f"{step}: {fault}" for fault in _widths(page, width)]
    assert not findings, "\n".join(findings)


def test_no_step_of_a_folder_that_has_changed_is_wider_than_a_phone(
    windows: Windows, made: Callable[..., Path]
) -> None:
    folder = made()
    (folder / "inventory.csv").write_text("what,count\nsneakers,4\n")
    page = windows.open(folder)
    page.set_viewport_size({"width": LEAST, "height": 844})
    findings = [f"{step}: {fault}" for step in walked(page) for fault in _widths(page, LEAST)]
    assert not findings, "\n".join(findings)


def _widths(page: Page, width: int) -> Iterator[str]:
    """The widths of a screen at which a page is wider than it: its own, and on a phone the least that is made."""
    for each in (LEAST, width) if width == NARROW else (width,):
        if width == NARROW:
            page.set_viewport_size({"width": each, "height": 844})
            is_settled(page)
        if not stands_within_its_width(page):
            yield f"is wider than {each}"


def _headings_and_pictures(page: Page) -> Iterator[str]:
    """Headings that skip a level, pictures without words, and charts whose words hold no finding."""
    levels = page.locator("h1, h2, h3, h4, h5, h6").evaluate_all("all => all.map(one => Number(one.tagName[1]))")
    if levels[:2] != [1, 2] or any(after > before + 1 for before, after in pairwise(levels)):
        yield f"headings of the levels {levels}"
    if page.locator("img:not([alt]), img[alt='']").count():
        yield "a picture without words"
    for chart in page.locator("[data-testid=stPlotlyChart]:visible").all():
        words = chart.evaluate("it => (it.querySelector('[aria-label]') || it).getAttribute('aria-label')") or ""
        if not any(sign.isdigit() for sign in words):
            yield f'a chart that says only "{words}"'


def _out_of_reach(page: Page) -> Iterator[str]:
    """Actions that the keyboard does not reach, or whose focus cannot be seen."""
    page.evaluate("document.activeElement.blur()")
    actions = page.evaluate(WANTED)
    wanted = set(actions)
    reached: set[str] = set()
    for _ in range(3 * len(actions) + 60):
        page.keyboard.press("Tab")
        name, is_seen = page.evaluate(FOCUSED)
        if name and not is_seen and name not in reached:
            yield f"the focus on {name} cannot be seen"
        reached.add(name)
        if wanted <= reached:
            break
    yield from (f"{name} is not reached" for name in wanted - reached)


NAME_OF = """const nameOf = it => it && it.matches('button, a[href], input, select, textarea, summary') && !it.disabled
  ? (it.getAttribute('aria-label') || it.innerText || '').trim() : '';"""

WANTED = (
    "() => {"
    + NAME_OF
    + """
  const main = document.querySelector('[data-testid=stMain]');
  return [...main.querySelectorAll('button, a[href], summary')]
    .filter(it => it.checkVisibility() && it.tabIndex >= 0
      && (it.matches('summary') || !it.closest('details:not([open])'))
      && !it.closest('[data-testid=stDataFrame], [data-testid=stElementToolbar], [data-testid=stNumberInput]'))
    .map(nameOf).filter(Boolean);
}"""
)

FOCUSED = (
    "() => {"
    + NAME_OF
    + """
  const it = document.activeElement;
  if (!it || it === document.body) return ['', true];
  for (let at = it; at && at !== document.body; at = at.parentElement) {
    const look = getComputedStyle(at);
    if ((look.outlineStyle !== 'none' && parseFloat(look.outlineWidth) > 0) || look.boxShadow !== 'none')
      return [nameOf(it), true];
  }
  return [nameOf(it), false];
}"""
)


def unfold(page: Page) -> None:
    """Open whatever is folded away."""
    page.evaluate("document.querySelectorAll('details:not([open]) > summary').forEach(each => each.click())")
    is_settled(page)
