"""The page in a real browser, on a phone's screen: compare, tap, measure; nothing leaves this machine."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import BrowserContext, Page, expect, sync_playwright
from support.browsing import (
    NARROW,
    PATIENCE,
    WATCH,
    address_of,
    free_port,
    is_settled,
    opened_browser,
    stands_within_its_width,
    touched_once_drawn,
    turn_to,
    wait_until_up,
)

from capacity.closet.closet import read_closet
from capacity.errors import InputError
from capacity.makeover.comparison import headline
from capacity.makeover.plan import Plan, read_plan
from capacity.makeover.samples import start_folder
from capacity.page.server import serving
from capacity.units import PER_INCH
from capacity.wardrobe.inventory import read_inventory

pytestmark = pytest.mark.browser


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    start_folder(tmp_path / "closet")
    return tmp_path / "closet"


CODE = "paired-by-test"


def icon_file() -> Path:
    """A small picture that is there anyhow."""
    return Path(serving.__file__).parents[1] / "icon.png"


@pytest.fixture
def address(folder: Path) -> Iterator[str]:
    """The page, served as `capacity page DIR` serves it."""
    with _serving(folder, free_port()) as (address, _):
        yield address


@contextmanager
def _serving(
    folder: Path, port: int, network_address: str | None = None, first_path: Path | None = None
) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    paths = [str(first_path or ""), *sys.path]
    with subprocess.Popen(
        serving.command(folder, port, network_address), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        cwd=folder.parent, env={
            **os.environ, **serving.gate(network_address, CODE if network_address else ""),
            "PYTHONPATH": os.pathsep.join(path for path in paths if path),
        },
    ) as server:  # fmt: skip
        try:
            wait_until_up(port, server)
            yield address_of(port), server
        finally:
            server.terminate()


def _comes_to_hold(figure: Callable[[], object], wanted: object) -> None:
    """Wait for a figure that surely comes; only a hang fails."""
    for _ in range(PATIENCE // 50):
        if figure() == wanted:
            return
        time.sleep(0.05)
    assert figure() == wanted


@pytest.fixture
def browser(chromium: str, tmp_path: Path) -> Iterator[BrowserContext]:
    with sync_playwright() as playwright, opened_browser(playwright, chromium, tmp_path / "browser") as context:
        expect.set_options(timeout=PATIENCE)
        yield context


def test_compare_tap_and_measure_on_a_phone_and_nothing_is_reached_elsewhere(
    browser: BrowserContext, made: Callable[..., Path], watch: Path
) -> None:
    folder = made()
    page = touched_once_drawn(browser.new_page())
    hosts: set[str | None] = set()
    errors: list[str] = []
    page.on("request", lambda request: hosts.add(urlsplit(request.url.removeprefix("blob:")).hostname))
    page.on("websocket", lambda socket: hosts.add(urlsplit(socket.url).hostname))
    page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: errors.append(str(error)))
    with _serving(folder, free_port(), first_path=watch) as (address, _):
        page.goto(f"{address}compare")
        _is_compared(page, read_plan(folder / "plan.json"))
        page.set_viewport_size({"width": NARROW, "height": 844})
        page.goto(f"{address}count")
        _is_tapped(page, folder)
        turn_to(page, "Closet")
        _is_measured(page, folder)
    # under another name a step asks in its own folder first whether the server lives there
    assert [error for error in errors if "404" not in error] == []
    assert hosts == {serving.HOST}
    assert _reached_elsewhere(watch) == []


def _is_compared(page: Page, plan: Plan) -> None:
    expect(page.get_by_role("heading", level=2)).to_contain_text("Against today's closet this layout brings")
    expect(page.get_by_text(headline(plan))).to_be_visible()
    drawings = page.locator(".st-key-drawing .js-plotly-plot .main-svg:first-child")
    expect(drawings).to_have_count(2)
    expect(drawings.first).to_be_visible()
    boxes = [drawings.nth(number).bounding_box() for number in range(2)]
    assert boxes[0] is not None
    assert boxes[1] is not None
    assert boxes[1]["y"] >= boxes[0]["y"] + boxes[0]["height"]  # one under the other
    assert boxes[0]["width"] == boxes[1]["width"]  # of the same wall, so the same inches a pixel
    expect(page.locator(".st-key-gain_chart .main-svg").first).to_be_visible()
    assert stands_within_its_width(page)

    page.set_viewport_size({"width": 1280, "height": 900})
    wide = page.locator(".st-key-drawing .js-plotly-plot")
    expect(wide).to_have_count(1)  # only what the window has room for is drawn
    for title in (
        f"Before: {plan.before.stored} of {plan.before.pieces} pieces",
        f"After: {plan.after.stored} of {plan.after.pieces} pieces",
    ):
        expect(wide.locator(".annotation-text").get_by_text(title, exact=True)).to_be_visible()
    wide.evaluate("chart => chart.scrollIntoView({block: 'center'})")
    disc = wide.locator(".scatterlayer .trace").last.locator(".point").first.bounding_box()
    assert disc is not None
    page.mouse.click(disc["x"] + disc["width"] / 2, disc["y"] + disc["height"] / 2)
    expect(page.get_by_role("strong").get_by_text("Before A", exact=True)).to_be_visible()
    assert stands_within_its_width(page)
    ground = wide.locator(".main-svg").first
    expect(ground).to_have_css("background-color", "rgb(255, 255, 255)")
    page.emulate_media(color_scheme="dark")
    expect(ground).to_have_css("background-color", "rgb(23, 22, 20)")  # pictures follow the system
    page.emulate_media(color_scheme="light")
    expect(ground).to_have_css("background-color", "rgb(255, 255, 255)")
    is_settled(page)  # a press while all is drawn anew is lost
    for name, beginning in (("Save the picture (PNG)", b"\x89PNG"), ("Save the drawing (SVG)", b"<svg")):
        with page.expect_download() as download:
            page.get_by_role("button", name=name).click()
        assert download.value.path().read_bytes().startswith(beginning)
    page.get_by_text("A photo of the old closet").click()
    old = page.get_by_role("img", name="The old closet before, 1 photo")
    photo = {"name": "old.png", "mimeType": "image/png", "buffer": icon_file().read_bytes()}
    page.get_by_test_id("stFileUploaderDropzoneInput").set_input_files(photo)
    expect(old).to_be_visible()
    expect(wide).to_have_count(1)  # beside it the layout alone
    is_settled(page)
    page.get_by_text("A photo of the old closet").click()
    page.get_by_role("button", name="Take the photo out").click()
    expect(old).to_have_count(0)


def _is_tapped(page: Page, folder: Path) -> None:
    tile, number = page.locator(".st-key-tile_1 .more"), page.locator(".st-key-tile_1 .count")
    expect(tile).to_have_text("sneakers US M 10.5 daily 3")
    tile.tap()
    expect(number).to_have_text("4")
    expect(page.get_by_role("heading", level=2)).to_contain_text("63 pieces counted")
    assert read_inventory(folder / "inventory.csv", "in").pile(1).count == 4
    expect(page.get_by_role("button", name="Undo")).to_be_enabled()  # the first change has the page drawn anew
    assert stands_within_its_width(page)


def _is_measured(page: Page, folder: Path) -> None:
    expect(page.get_by_role("heading", level=2)).to_contain_text("Nothing is missing for a layout")
    expect(page.locator(".st-key-room_drawing img").first).to_be_visible()
    depth = page.get_by_label("Depth of shelves", exact=True).first
    depth.fill("1 ft 4")
    depth.press("Tab")
    expect(page.get_by_text("understood: 1' 4\"").first).to_be_visible()
    assert read_closet(folder / "closet.toml").wall[0].depth == 16 * PER_INCH
    assert stands_within_its_width(page)


@pytest.fixture
def watch(tmp_path: Path) -> Path:
    """A folder that, first on the path, has a Python note whom it reaches for; and it does note."""
    watch = tmp_path / "watch"
    watch.mkdir()
    (watch / "sitecustomize.py").write_text(WATCH)
    proof = [
        sys.executable,
        "-c",
        "import socket; socket.socket(socket.AF_INET, socket.SOCK_DGRAM).connect(('127.0.0.1', 9))",
    ]
    subprocess.run(proof, env={**os.environ, "PYTHONPATH": str(watch)}, check=True)
    assert (watch / "reached").read_text() == "socket.connect (('127.0.0.1', 9),)\n"
    (watch / "reached").unlink()
    return watch


def _reached_elsewhere(watch: Path) -> list[str]:
    reached = (watch / "reached").read_text().splitlines() if (watch / "reached").exists() else []
    return [line for line in reached if not any(name in line for name in ("127.0.0.1", "0.0.0.0", "localhost"))]


def test_twenty_taps_are_twenty_while_another_phone_counts_too_and_a_number_over_its_is_asked_about(
    browser: BrowserContext, address: str, folder: Path
) -> None:
    """In the first round, on a machine however busy: presses are sent as a running total, so none can be lost."""
    first, second = touched_once_drawn(browser.new_page()), browser.new_page()
    tiles = []
    for page in (first, second):
        page.goto(f"{address}count")
        tiles.append((page.locator(".st-key-tile_1 .more"), page.locator(".st-key-tile_2 .more")))
        expect(tiles[-1][0]).to_be_visible()
    for number in range(20):
        tiles[0][0].dispatch_event("click")
        tiles[1][0].dispatch_event("click")  # the same pile from the other phone
        tiles[1][1].dispatch_event("click")
        if number < 10:
            first.wait_for_timeout(100)  # half of them as fingers tap, half as fast as can be
    _comes_to_hold(lambda: [read_inventory(folder / "inventory.csv", "in").pile(row).count for row in (1, 2)], [43, 25])
    second.close()
    first.reload()
    exact = first.locator(".st-key-tile_1 .exact")
    exact.fill("20")
    exact.press("Enter")
    _comes_to_hold(lambda: read_inventory(folder / "inventory.csv", "in").pile(1).count, 20)
    text = (folder / "inventory.csv").read_text()
    (folder / "inventory.csv").write_text(text.replace(",20,", ",30,", 1))
    exact.fill("25")
    exact.press("Enter")
    expect(first.get_by_text("Changed on disk since you opened this: it says 30 now, you typed 25.")).to_be_visible()
    first.get_by_role("button", name="Keep mine: 25").click()
    _comes_to_hold(lambda: read_inventory(folder / "inventory.csv", "in").pile(1).count, 25)


def test_taps_made_while_the_page_is_dead_are_counted_once_it_is_back(browser: BrowserContext, folder: Path) -> None:
    """The page is killed and started again; neither the taps before nor those between are lost or doubled."""
    page = browser.new_page()
    tile, number = page.locator(".st-key-tile_1 .more"), page.locator(".st-key-tile_1 .count")
    with _serving(folder, free_port()) as (address, server):
        page.goto(address)
        is_settled(page)
        turn_to(page, "Count")
        expect(tile).to_be_visible()
        for _ in range(5):
            tile.tap()
        _comes_to_hold(lambda: read_inventory(folder / "inventory.csv", "in").pile(1).count, 8)
        server.kill()
        server.wait()
        for _ in range(2):
            tile.dispatch_event("click")
        expect(number).to_have_text("10")
        assert read_inventory(folder / "inventory.csv", "in").pile(1).count == 8
    with _serving(folder, int(urlsplit(address).port or 0)):
        _comes_to_hold(lambda: read_inventory(folder / "inventory.csv", "in").pile(1).count, 10)
        expect(number).to_have_text("10")
        tile.dispatch_event("click")
        _comes_to_hold(lambda: read_inventory(folder / "inventory.csv", "in").pile(1).count, 11)


def test_a_page_for_the_network_lets_a_paired_phone_in_and_reaches_nothing_else(
    browser: BrowserContext, folder: Path, watch: Path
) -> None:
    try:
        own = serving.network_address()
    except InputError:
        pytest.skip("this machine is in no network")
    page = browser.new_page()
    hosts: set[str | None] = set()
    page.on("request", lambda request: hosts.add(urlsplit(request.url.removeprefix("blob:")).hostname))
    page.on("websocket", lambda socket: hosts.add(urlsplit(socket.url).hostname))
    port = free_port()
    with _serving(folder, port, own, watch):
        at = f"http://{own}:{port}/"
        assert browser.request.get(at).status == 403  # a phone that has not scanned the code
        page.goto(f"{at}?pair={CODE}")
        is_settled(page)
        turn_to(page, "Count")
        page.locator(".st-key-tile_1 .more").tap()
        _comes_to_hold(lambda: read_inventory(folder / "inventory.csv", "in").pile(1).count, 4)
    assert hosts == {own}
    assert _reached_elsewhere(watch) == []
