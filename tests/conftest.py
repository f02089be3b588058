"""One fixed profile for every property test, the same everywhere and without a clock; fixtures of the page's tests."""

from __future__ import annotations

import os
import shutil
import signal
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from streamlit.testing.v1 import AppTest
    from support.browsing import Windows
    from support.folders import MadeOnce
    from support.opened_pages import Open

settings.register_profile("fixed", derandomize=True, deadline=None, database=None, print_blob=False)
settings.load_profile("fixed")
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell starts what it puts aside with Ctrl-C ignored


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """One process a core and one more, as browsers are waited for; none besides this one for files or single tests."""
    if config.args and not any(Path(argument).is_dir() for argument in config.args):
        return 0
    return (os.cpu_count() or 1) + 1


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests in a browser first: one process waits for them while the others count, and none is left for the end."""
    items.sort(key=lambda item: item.get_closest_marker("browser") is None)


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Open:
    """Open one step of the page on a folder, as `capacity page DIR` does."""
    # imported here: most tests need no page, and it takes a second
    import streamlit as st
    from streamlit.testing.v1 import AppTest
    from streamlit.util import calc_hash
    from support.opened_pages import APP

    monkeypatch.chdir(tmp_path)
    st.cache_resource.clear()

    def go(folder: Path | None, step: str = "") -> AppTest:
        monkeypatch.setattr(sys, "argv", ["app.py", *([str(folder)] if folder else [])])
        page = AppTest.from_file(str(APP), default_timeout=60)
        if step:
            page._page_hash = calc_hash(step)  # opened there, as by its address
        return page.run()

    return go


@pytest.fixture
def small(tmp_path: Path) -> Path:
    from support.folders import CLOSET

    folder = tmp_path / "small"
    folder.mkdir()
    (folder / "closet.toml").write_text(CLOSET)
    (folder / "inventory.csv").write_text("what,count,size,owner,note\nsneakers,4,US M 9,Ann,kept\nshirt,5,M,,\n")
    return folder


@pytest.fixture(scope="session")
def chromium() -> str:
    """The browser of this machine; without one a test is skipped, and fails where CI=true."""
    from support.browsing import NAMES, find_chromium

    found = find_chromium()
    if found is None:
        reason = f"no Chromium on PATH (looked for {', '.join(NAMES)})"
        if os.environ.get("CI") == "true":
            pytest.fail(f"{reason}, and CI=true says that there must be one")
        pytest.skip(reason)
    return found


@pytest.fixture
def windows(chromium: str, tmp_path: Path) -> Iterator[Windows]:
    """Real windows on the page; after the test nothing may have left this machine or complained."""
    from support.browsing import Windows

    opened = Windows(chromium, tmp_path)
    try:
        yield opened
        opened.keep_pictures()
        assert opened.hosts <= {"127.0.0.1"}
        assert not opened.errors, "\n".join(opened.errors)
        assert opened.standard_error.read_text(errors="replace") == ""
    finally:
        opened.close()


@pytest.fixture(scope="session")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> MadeOnce:
    """Make a file or folder of a name once for all processes of this run; to be read only, or copied."""
    from capacity.disk.file_lock import hold

    own = tmp_path_factory.getbasetemp()
    place = own.parent if "PYTEST_XDIST_WORKER" in os.environ else own

    def made(name: str, make: Callable[[Path], object]) -> Path:
        path, half = place / name, place / f"half-{name}"
        with hold(place / f"{name}.lock", 600) as is_held:
            assert is_held
            if not path.exists():
                make(half)
                half.rename(path)
        return path

    return made


@pytest.fixture(scope="session")
def sample_with_packet(made_once: MadeOnce) -> Path:
    """A sample with a quick layout and its packet, to be copied."""
    from support.opened_pages import fitted, packed

    from capacity.makeover.samples import start_folder

    def make(folder: Path) -> None:
        start_folder(folder)
        fitted(folder)
        packed(folder)

    return made_once("sample-with-packet", make)


@pytest.fixture
def made(sample_with_packet: Path, made_once: MadeOnce, tmp_path: Path) -> Callable[..., Path]:
    """A folder with count, closet, layout and packet; `wishes` go into its table of that name."""

    def make(**wishes: object) -> Path:
        from support.opened_pages import refreshed

        def with_wishes(folder: Path) -> None:
            shutil.copytree(sample_with_packet, folder)
            refreshed(folder, wishes)

        words = "".join(f"-{wish}-{value}" for wish, value in sorted(wishes.items()))
        source = made_once(f"sample-with-packet{words}", with_wishes) if wishes else sample_with_packet
        return shutil.copytree(source, tmp_path / "made")

    return make
