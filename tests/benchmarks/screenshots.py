"""Pictures of every step of the page, to be looked at: narrow and wide, light and dark.

    python tests/benchmarks/screenshots.py OUT [FOLDER]

FOLDER is a makeover folder with a layout and a packet; without it one is made from a sample (half a minute). Each step
becomes `OUT/<step>-<width>-<light|dark>.png`, whole pages from top to bottom. Needs a Chromium on PATH.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Page, expect, sync_playwright

sys.path.insert(0, str(Path(__file__).parent.parent))

from support.browsing import PATIENCE, address_of, find_chromium, is_settled, opened_browser, served

from capacity.page.shell import STEPS

WIDTHS = (390, 1280)


def main() -> None:
    """Take all pictures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("out", type=Path)
    parser.add_argument("folder", type=Path, nargs="?")
    parser.add_argument("--width", type=int, action="append", help=f"width in pixels (default {WIDTHS})")
    parser.add_argument("--step", action="append", help="address of a step, such as build (default: all)")
    options = parser.parse_args()
    chromium = find_chromium()
    if chromium is None:
        parser.error("no Chromium on PATH")
    steps = [step for step in STEPS if options.step is None or step.url_path in options.step]
    options.out.mkdir(parents=True, exist_ok=True)
    expect.set_options(timeout=PATIENCE)
    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        folder = options.folder or _prepared(Path(place) / "first-closet")
        with served(folder.absolute()) as port:
            for scheme in ("light", "dark"):
                for width in options.width or WIDTHS:
                    profile = Path(place, f"{scheme}{width}")
                    with opened_browser(playwright, chromium, profile, width, scheme) as browser:
                        for step in steps:
                            page = browser.new_page()
                            page.goto(address_of(port, step.url_path))
                            _picture(page, options.out / f"{step.title.casefold()}-{width}-{scheme}.png")
                            page.close()


def _picture(page: Page, path: Path) -> None:
    """The whole page: the window is made as high as what stands in it."""
    is_settled(page)
    high = page.evaluate("document.querySelector('[data-testid=stMain]').scrollHeight")
    page.set_viewport_size({"width": page.viewport_size["width"], "height": min(12_000, high + 20)})
    is_settled(page)
    page.screenshot(path=path)
    print(path, flush=True)


def _prepared(folder: Path) -> Path:
    for command in (["start"], ["fit"], ["build"]):
        subprocess.run(
            [sys.executable, "-m", "capacity", *command, str(folder)], check=False, stdout=subprocess.DEVNULL
        )
    return folder


if __name__ == "__main__":
    main()
