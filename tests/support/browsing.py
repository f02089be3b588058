"""A real browser on the page as `capacity page DIR` serves it: server, browser, waiting, and what may not happen."""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from itertools import product
from pathlib import Path
from typing import Literal
from urllib.parse import urlsplit

from playwright.sync_api import (
    BrowserContext,
    ConsoleMessage,
    Error,
    Locator,
    Page,
    Playwright,
    expect,
    sync_playwright,
)
from playwright.sync_api import TimeoutError as PlaywrightTimeout

from capacity.page.server import serving

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
ARGUMENTS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
PATIENCE = 120_000
"""How long a wait may take before it counts as a hang [ms]."""

NARROW, WIDE = 390, 1280
EVERY_SCREEN = "EVERY_SCREEN"
"""With this variable set in the environment a journey is made on each width in each scheme, which takes longer."""

WATCH = """
import os, sys

def note(event, given):
    if event in ("socket.connect", "socket.sendto", "socket.getaddrinfo", "socket.gethostbyname"):
        place = os.path.join(os.path.dirname(__file__), "reached")
        handle = os.open(place, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
        os.write(handle, f"{event} {given[1:] if event in ('socket.connect', 'socket.sendto') else given}\\n".encode())
        os.close(handle)

sys.addaudithook(note)
"""
"""Has every Python that starts with it note whom it reaches for."""


def screens(*usual: tuple[int, str]) -> list[tuple[int, str]]:
    """Width and scheme of the screens on which a journey is made: the usual ones, or all."""
    return list(product((320, NARROW, WIDE), ("light", "dark"))) if os.environ.get(EVERY_SCREEN) else list(usual)


def find_chromium() -> str | None:
    """The path of a Chromium on this machine."""
    return next((path for name in NAMES if (path := shutil.which(name))), None)


def free_port() -> int:
    """A port on which nobody listens now."""
    with socket.socket() as trial:
        trial.bind((serving.HOST, 0))
        port: int = trial.getsockname()[1]
    return port


def address_of(port: int, step: str = "") -> str:
    """The address of a step of the page."""
    return f"http://{serving.HOST}:{port}/{step}"


def start_server(folder: Path | None, port: int, where: Path, errors: Path | None = None) -> subprocess.Popen[bytes]:
    """Serve the page as `capacity page DIR` does, and wait until it answers; `errors` takes its standard error."""
    heard = subprocess.DEVNULL if errors is None else os.open(errors, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    server = subprocess.Popen(
        serving.command(folder, port), stdout=subprocess.DEVNULL, stderr=heard, cwd=where,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)},
    )  # fmt: skip
    try:
        wait_until_up(port, server)
    except AssertionError:
        server.kill()
        server.wait()
        raise
    return server


def wait_until_up(port: int, server: subprocess.Popen[bytes]) -> None:
    """Wait until a server answers.

    Raises
    ------
    AssertionError
        When it has ended, or does not answer in two minutes.
    """
    for _ in range(1200):
        if server.poll() is not None:
            break
        try:
            with urllib.request.urlopen(address_of(port, "_stcore/health"), timeout=1) as answer:
                if answer.read() == b"ok":
                    return
        except urllib.error.HTTPError as error:
            if error.code == 403:  # a shared page is closed to whoever is not paired
                return
        except (urllib.error.URLError, OSError):
            pass
        time.sleep(0.1)
    msg = "the page did not start in two minutes"
    raise AssertionError(msg)


def end_server(server: subprocess.Popen[bytes], number: int = signal.SIGTERM) -> None:
    """End it by a signal, and wait until it has ended."""
    if server.poll() is None:
        server.send_signal(number)
    try:
        server.wait(20)
    except subprocess.TimeoutExpired:
        server.kill()
        server.wait()


@contextmanager
def served(folder: Path | None, where: Path | None = None) -> Iterator[int]:
    """The page on a free port as long as the block runs; `where` is the folder in which it is started."""
    port = free_port()
    server = start_server(folder, port, where or (folder.parent if folder else Path.cwd()))
    try:
        yield port
    finally:
        end_server(server)


@contextmanager
def opened_browser(
    playwright: Playwright,
    chromium: str,
    profile: Path,
    width: int = NARROW,
    scheme: Literal["light", "dark"] = "light",
) -> Iterator[BrowserContext]:
    """A browser that has never been used, with a phone's touch screen where it is narrow.

    It asks for reduced motion: what only moves takes four tenths of its processor time.
    """
    is_phone = width < 600
    context = playwright.chromium.launch_persistent_context(
        str(profile), executable_path=chromium, headless=True, args=list(ARGUMENTS),
        viewport={"width": width, "height": 844 if is_phone else 900}, has_touch=is_phone, color_scheme=scheme,
        accept_downloads=True, reduced_motion="reduce",
    )  # fmt: skip
    context.set_default_timeout(PATIENCE)
    try:
        yield context
    finally:
        context.close()


class Windows:
    """Server and browser of one test, closed together; every page is watched for requests and complaints.

    Pictures of all pages are kept in the test's own folder for temporary files, under `pictures`.
    """

    def __init__(self, chromium: str, place: Path) -> None:
        self.hosts: set[str | None] = set()
        self.errors: list[str] = []
        self.standard_error = place / "standard-error"
        self.may_complain = False  # while a server is away on purpose
        self._chromium, self._place = chromium, place
        self._exits = ExitStack()
        self._playwright: Playwright | None = None
        self._pages: list[Page] = []
        self._servers: dict[int, subprocess.Popen[bytes]] = {}

    def serve(self, folder: Path | None, port: int | None = None) -> int:
        """Serve the page on a folder; returns the port."""
        chosen = port or free_port()
        self._servers[chosen] = start_server(folder, chosen, self._place, self.standard_error)
        self._exits.callback(end_server, self._servers[chosen])
        return chosen

    def process(self, port: int) -> int:
        """The number of the process that serves a port."""
        return self._servers[port].pid

    def kill(self, port: int) -> None:
        """Kill the server of a port, as when the power fails; what the pages say about it is no fault of theirs."""
        self.may_complain = True
        end_server(self._servers[port], signal.SIGKILL)

    def browser(self, width: int = NARROW, scheme: Literal["light", "dark"] = "light") -> BrowserContext:
        """A new browser."""
        if self._playwright is None:
            self._playwright = self._exits.enter_context(sync_playwright())
            expect.set_options(timeout=PATIENCE)
        profile = Path(tempfile.mkdtemp(dir=self._place, prefix="browser-"))
        return self._exits.enter_context(opened_browser(self._playwright, self._chromium, profile, width, scheme))

    def page(self, browser: BrowserContext, port: int, step: str = "") -> Page:
        """A new page on a step, watched and settled."""
        page = touched_once_drawn(browser.new_page())
        self._pages.append(page)
        page.on("request", lambda request: self.hosts.add(urlsplit(request.url.removeprefix("blob:")).hostname))
        page.on("websocket", lambda socket: self.hosts.add(urlsplit(socket.url).hostname))
        page.on("console", self._read)
        page.on("pageerror", lambda error: self._heard(str(error)))
        page.goto(address_of(port, step))
        is_settled(page)
        return page

    def open(self, folder: Path | None, step: str = "", width: int = NARROW) -> Page:
        """Serve a folder and open one page of it in a new browser."""
        return self.page(self.browser(width), self.serve(folder), step)

    def keep_pictures(self) -> None:
        """Keep a picture of every page that is open."""
        pictures = self._place / "pictures"
        pictures.mkdir(exist_ok=True)
        for number, page in enumerate(self._pages, 1):
            if not page.is_closed():
                page.screenshot(path=pictures / f"{number}.png")

    def close(self) -> None:
        """End browser and server; what a failed test left open is kept as a picture first."""
        with suppress(Error):
            self.keep_pictures()
        self._exits.close()

    def _read(self, message: ConsoleMessage) -> None:
        """An error in the console; that the address of a step is not that of the server is found out by asking."""
        where = message.location["url"]
        is_a_question = "404" in message.text and re.search(r"/[a-z]+/_stcore/(health|host-config)$", where)
        if message.type == "error" and not is_a_question:
            self._heard(f"{message.text} ({where})")

    def _heard(self, words: str) -> None:
        if not self.may_complain:
            self.errors.append(words)


BEING_DRAWN = '[data-testid="stApp"]:is([data-test-script-state="running"], [data-test-script-state="rerunRequested"])'


def touched_once_drawn(page: Page) -> Page:
    """Have every press, entry and expectation wait until the page runs no more: what moves under a press loses it."""
    page.add_locator_handler(page.locator(BEING_DRAWN), lambda: None)
    return page


def is_settled(page: Page) -> None:
    """Wait until the page is connected, has run, and shows its foot; then until all is drawn and nothing fades."""
    app = page.locator('[data-testid="stApp"][data-test-connection-state="CONNECTED"]')
    expect(app).to_be_visible()
    expect(page.locator(".st-key-foot")).to_be_visible()
    expect(page.locator('[data-testid="stApp"][data-test-script-state="notRunning"]')).to_be_visible()
    expect(page.locator('[data-testid="stSkeleton"]')).to_have_count(0)
    for chart in page.locator(".js-plotly-plot:visible").all():
        expect(chart.locator(".main-svg").first).to_be_visible()
    page.wait_for_function(AT_REST)


AT_REST = """() => document.getAnimations().every(
  move => move.playState !== 'running' || move.effect.getComputedTiming().endTime === Infinity)"""


def turn_to(page: Page, step: str) -> None:
    """Go on by the link at the foot of the page."""
    page.get_by_role("link", name=f"Next: {step}").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(step)
    is_settled(page)


def walked(page: Page) -> Iterator[str]:
    """Every step one after the other, by the link at the foot."""
    from capacity.page.shell import STEPS

    for step in STEPS:
        if step.url_path:
            turn_to(page, step.title)
        yield step.title


def sentence(page: Page) -> Locator:
    """The first line of the page, which answers its question."""
    return page.get_by_role("heading", level=2).first


def stands_within_its_width(page: Page) -> bool:
    """Whether neither the document nor the page's main part can be pushed sideways, once it has been laid out."""
    try:
        page.wait_for_function(
            "() => [document.documentElement, document.querySelector('[data-testid=stMain]')]"
            ".every(part => part !== null && part.scrollWidth <= part.clientWidth)",
            timeout=10_000,
        )
    except PlaywrightTimeout:
        return False
    return True
