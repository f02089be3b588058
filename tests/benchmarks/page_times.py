"""Seconds from a press to the picture, for every step of the page, in a real browser on this machine.

    python tests/benchmarks/page_times.py [--sample NAME] [--rounds N]

A press is a click on the link of a step; the picture is there when nothing is left to load and every chart is drawn.
Then a tap until it is on disk, a search until it says so and until its layout is drawn, and a packet until it can be
taken away. For the first picture a browser is open that has never been here. The middle of the rounds is printed for
the links, one figure for the rest; for the links also the processor time of the page's server, which says the same on a
busy machine (Linux only). Needs a Chromium on PATH.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import Page, expect

sys.path.insert(0, str(Path(__file__).parent.parent))

from support.browsing import WIDE, Windows, find_chromium, is_settled, sentence

from capacity.makeover.samples import DEFAULT, start_folder
from capacity.page.shell import STEPS
from capacity.wardrobe.inventory import FILE_NAME, read_inventory


def main() -> None:
    """Measure all of it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sample", default=DEFAULT)
    parser.add_argument("--rounds", type=int, default=5)
    options = parser.parse_args()
    chromium = find_chromium()
    if chromium is None:
        parser.error("no Chromium on PATH")
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place, "closet")
        start_folder(folder, options.sample)
        windows = Windows(chromium, Path(place))
        try:
            browser = windows.browser(WIDE)
            began = time.perf_counter()
            port = windows.serve(folder)
            page = windows.page(browser, port)
            _say("from the command to the first picture", time.perf_counter() - began)
            _tap(page, folder)
            _fit(page)
            _build(page)
            for step in STEPS:
                rounds = [_turned(page, step.title, windows.process(port)) for _ in range(options.rounds)]
                seconds, of_server = (statistics.median(each) for each in zip(*rounds, strict=True))
                _say(f"to {step.title}, middle of {options.rounds}", seconds, f"{of_server:6.2f} s of the server")
        finally:
            windows.close()


def _say(what: str, seconds: float, more: str = "") -> None:
    print(f"{what:44} {seconds:6.2f} s {more}".rstrip(), flush=True)


def _go(page: Page, title: str) -> None:
    page.get_by_role("link", name=title, exact=True).first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(title)
    is_settled(page)


def _turned(page: Page, title: str, server: int) -> tuple[float, float]:
    """From another step to this one, by the clock and by the processor of the server."""
    _go(page, "Count" if title != "Count" else "Start")
    began, used = time.perf_counter(), _processor_seconds(server)
    _go(page, title)
    return time.perf_counter() - began, _processor_seconds(server) - used


def _processor_seconds(process: int) -> float:
    """What a process has used so far; nothing is known but on Linux."""
    stat = Path(f"/proc/{process}/stat")
    if not stat.exists():
        return 0.0
    fields = stat.read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _tap(page: Page, folder: Path) -> None:
    _go(page, "Count")
    more = page.locator(".st-key-tile_1 .more")
    expect(more).to_be_visible()
    count = read_inventory(folder / FILE_NAME, "in").pile(1).count
    began = time.perf_counter()
    more.click()
    while read_inventory(folder / FILE_NAME, "in").pile(1).count == count:
        time.sleep(0.005)
    _say("a tap until it is on disk", time.perf_counter() - began)


def _fit(page: Page) -> None:
    _go(page, "Fit")
    began = time.perf_counter()
    page.get_by_role("button", name="Find a layout").click()
    expect(sentence(page)).to_have_text("A layout is being looked for.")
    _say("a search until the page says that it runs", time.perf_counter() - began)
    expect(sentence(page)).to_contain_text("a place", timeout=3_600_000)
    is_settled(page)
    _say("a search until its layout is drawn", time.perf_counter() - began)


def _build(page: Page) -> None:
    _go(page, "Build")
    began = time.perf_counter()
    page.get_by_role("button", name="Make the packet").click()
    expect(page.get_by_role("button", name="The packet to print")).to_be_visible(timeout=3_600_000)
    is_settled(page)
    _say("a packet until it can be taken away", time.perf_counter() - began)


if __name__ == "__main__":
    main()
