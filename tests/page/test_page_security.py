"""The page against whoever is not meant to use it: other sites, other names of this machine, files elsewhere, too much.

One server, as `capacity page DIR` starts it, spoken to without a browser: what a browser forbids, these do.
"""

from __future__ import annotations

import http.client
import json
import os
import subprocess
import sys
import threading
import urllib.parse
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest
from support.browsing import WATCH, end_server, free_port, start_server
from support.opened_pages import APP, Open, fitted, said
from support.page_actions import wait
from support.speaking import Window, opened_window

from capacity.makeover.samples import start_folder
from capacity.page import errand
from capacity.page.building import contents
from capacity.page.errand import SEARCH, Errand, look_for_layout
from capacity.page.server import serving
from capacity.wardrobe.inventory import read_inventory

SECRET = "nobody-is-to-read-this"


class Served(NamedTuple):
    """A server: its port, the folder that is open, and where it notes whom it reaches for."""

    port: int
    folder: Path
    reached: Path


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    place = tmp_path_factory.mktemp("page")
    folder, watch = place / "closet", place / "watch"
    start_folder(folder)
    (folder / "secret.txt").write_text(SECRET)
    (place / "secret.txt").write_text(SECRET)
    watch.mkdir()
    (watch / "sitecustomize.py").write_text(WATCH)
    port = free_port()
    sys.path.insert(0, str(watch))  # the server gets this path
    try:
        server = start_server(folder, port, place)
    finally:
        sys.path.remove(str(watch))
    yield Served(port, folder, watch / "reached")
    end_server(server)


def _shake(port: int, host: str, origin: str) -> int:
    """The status of a handshake with any words for host and origin."""
    connection = http.client.HTTPConnection(serving.HOST, port, timeout=60)
    connection.putrequest("GET", "/_stcore/stream", skip_host=True)
    for name, value in (
        ("Host", host), ("Origin", origin), ("Connection", "Upgrade"), ("Upgrade", "websocket"),
        ("Sec-WebSocket-Version", "13"), ("Sec-WebSocket-Key", "dGhlIHNhbXBsZSBub25jZQ=="),
    ):  # fmt: skip
        if value:
            connection.putheader(name, value)
    connection.endheaders()
    status = connection.getresponse().status
    connection.close()
    return status


def _elsewhere(page: Served) -> list[str]:
    """Whom the server has reached for beyond its own machine."""
    lines = page.reached.read_text().splitlines() if page.reached.exists() else []
    return [line for line in lines if not any(own in line for own in ("127.0.0.1", "0.0.0.0", "localhost", "::1"))]


def test_only_its_own_names_are_answered(page: Served) -> None:
    """A name server of others can make any name mean this machine; a browser then takes the page for theirs."""
    own = f"{serving.HOST}:{page.port}"
    assert _shake(page.port, own, f"http://{own}") == 101
    assert _shake(page.port, f"localhost:{page.port}", f"http://localhost:{page.port}") == 101
    for host in (
        "evil.example", f"evil.example:{page.port}", f"127.0.0.1.evil.example:{page.port}", "localhost.evil.example",
        "127.0.0.1@evil.example", "evil.example@127.0.0.1", "127.0.0.1/evil", "0.0.0.0", "127.0.0.1:99999", "[::1]",
    ):  # fmt: skip
        assert _shake(page.port, host, f"http://{host}") in (400, 403), host


def test_another_site_is_refused_and_nobody_is_asked_about_it(page: Served) -> None:
    """Found so: for each such site the server asked a machine outside what address this one has."""
    own = f"{serving.HOST}:{page.port}"
    for origin in (
        "http://evil.example", "https://evil.example", "null", "file://", "http://127.0.0.1.evil.example",
        "http://evil.example/?127.0.0.1", "chrome-extension://abcdefgh",
    ):  # fmt: skip
        assert _shake(page.port, own, origin) == 403, origin
    assert _elsewhere(page) == []


def test_the_watch_would_note_it(page: Served, tmp_path: Path) -> None:
    (tmp_path / "sitecustomize.py").write_text(WATCH)
    code = "from streamlit import net_util; net_util._make_blocking_http_get = lambda *_, **__: None\n"
    code += "net_util.get_internal_ip()"
    env = {**os.environ, "PYTHONPATH": os.pathsep.join([str(tmp_path), *(path for path in sys.path if path)])}
    subprocess.run([sys.executable, "-c", code], env=env, check=True)
    assert "8.8.8.8" in (tmp_path / "reached").read_text()


# ---- files that are sent to it -------------------------------------------------------------------------------


def _sent(page: Served, session: str, size: int, with_token: bool = True, in_pieces: bool = False) -> int:
    """Send a file of a size as the uploader of a window does; returns the status."""
    token = _token(page) if with_token else ""
    head = b'--x\r\nContent-Disposition: form-data; name="f"; filename="a.csv"\r\n\r\n'
    body = head + b"a" * size + b"\r\n--x--\r\n"
    connection = http.client.HTTPConnection(serving.HOST, page.port, timeout=60)
    headers = {"Content-Type": "multipart/form-data; boundary=x"}
    if token:
        headers |= {"X-Xsrftoken": token, "Cookie": f"_streamlit_xsrf={token}"}
    pieces = (body[at : at + 100_000] for at in range(0, len(body), 100_000))
    try:
        connection.request(
            "PUT", f"/_stcore/upload_file/{session}/one", pieces if in_pieces else body, headers,
            encode_chunked=in_pieces,
        )  # fmt: skip
        return connection.getresponse().status
    except (BrokenPipeError, ConnectionResetError):  # refused before the end
        return 413
    finally:
        connection.close()


def _token(page: Served) -> str:
    connection = http.client.HTTPConnection(serving.HOST, page.port, timeout=60)
    connection.request("GET", "/_stcore/host-config")
    answer = connection.getresponse()
    answer.read()
    cookies = [value for name, value in answer.getheaders() if name.lower() == "set-cookie"]
    connection.request("GET", "/_stcore/health")
    answer = connection.getresponse()
    answer.read()
    cookies += [value for name, value in answer.getheaders() if name.lower() == "set-cookie"]
    connection.close()
    (cookie,) = {text.partition(";")[0] for text in cookies if "xsrf" in text}
    assert all("samesite" in text.lower() for text in cookies if "xsrf" in text)
    return cookie.partition("=")[2]


def test_a_file_is_taken_from_an_open_window_only_and_up_to_its_limit(page: Served) -> None:
    with opened_window(page.port, "count") as window:
        assert _sent(page, window.session, 1_000) == 204
        assert _sent(page, window.session, 1_000, with_token=False) == 403
        assert _sent(page, "0" * 36, 1_000) == 400
        assert _sent(page, window.session, 2_000_000) == 204
        for in_pieces in (False, True):
            assert _sent(page, window.session, 3_200_000, in_pieces=in_pieces) == 413
    wait(lambda: _sent(page, window.session, 1_000) == 400)  # its window has gone


def test_another_site_may_not_send_files_nor_read_answers(page: Served) -> None:
    connection = http.client.HTTPConnection(serving.HOST, page.port, timeout=60)
    for method, path in (("OPTIONS", "/_stcore/upload_file/x/y"), ("GET", "/_stcore/health"), ("GET", "/")):
        connection.request(method, path, headers={"Origin": "http://evil.example"})
        answer = connection.getresponse()
        answer.read()
        allowed = answer.getheader("Access-Control-Allow-Origin")
        assert allowed is None or urllib.parse.urlsplit(allowed).hostname == serving.HOST, path
    connection.close()


# ---- files that are not to be had ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "prefix", ["", "/media", "/static", "/app/static", "/component/x", "/_stcore/bidi-components/x"]
)
def test_no_address_leads_to_a_file_of_the_folder_or_beyond(page: Served, prefix: str) -> None:
    places = [page.folder / "secret.txt", page.folder.parent / "secret.txt", Path("/etc/passwd")]
    for place in places:
        for way in (
            str(place), "/.." * 12 + str(place), "/%2e%2e" * 12 + str(place), "/..%2f" * 12 + str(place)[1:],
            "/..\\" * 12 + str(place), "/%5c..%5c.." + str(place), f"/{place.name}", f"/%00{place}", f"/x%00/{place}",
            f"/C:{place}", f"//127.0.0.1{place}", f"/.{place}", f"/%252e%252e{place}",
        ):  # fmt: skip
            connection = http.client.HTTPConnection(serving.HOST, page.port, timeout=60)
            connection.putrequest("GET", f"{prefix}{way}", skip_host=True)
            connection.putheader("Host", f"{serving.HOST}:{page.port}")
            connection.endheaders()
            body = connection.getresponse().read()
            connection.close()
            assert SECRET.encode() not in body, (prefix, way)
            assert b"root:" not in body, (prefix, way)


def test_a_record_of_a_packet_names_no_file_elsewhere(
    made_packet: Path, opened: Open, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = made_packet
    (folder / "outside.svg").write_text(f"<svg xmlns='http://www.w3.org/2000/svg'><title>{SECRET}</title></svg>")
    record = json.loads((folder / "build" / "parts.json").read_text())
    names = ["../outside", str(folder / "outside"), "link"]
    record["files"] += [f"{name}.svg" for name in names]
    record["drawings"] += [{"name": name, "shows": f"shows {name}"} for name in names]
    (folder / "build" / "parts.json").write_text(json.dumps(record))
    (folder / "build" / "link.svg").symlink_to(folder / "outside.svg")
    page = opened(folder, "build")
    options = page.selectbox(key="build_drawing").options
    assert not any("outside" in option for option in options)
    (link,) = [option for option in options if "link" in option]
    page.selectbox(key="build_drawing").select(link).run()
    assert not page.exception
    assert not page.get("imgs")
    assert contents.content(folder / "build" / "link.svg") == b""


@pytest.fixture
def made_packet(small: Path) -> Path:
    from capacity.__main__ import main

    fitted(small)
    assert main(["build", str(small)]) in (0, 1)
    return small


def _chosen(page: AppTest, text: str) -> None:
    """Have a window say that a folder was chosen which it was not offered."""
    states = page._tree.get_widget_states()
    choice = page.selectbox(key="start_choice")
    (state,) = [state for state in states.widgets if state.id == choice.proto.id] or [states.widgets.add()]
    state.id, state.string_value = choice.proto.id, text
    page._run(states)


@pytest.mark.parametrize("is_shared", [True, False])
def test_a_window_opens_only_what_it_was_offered(
    small: Path, opened: Open, monkeypatch: pytest.MonkeyPatch, is_shared: bool
) -> None:
    """A browser can send any text as the choice in a list: on a page for the network that would open any folder."""
    home = small.parent
    start_folder(home / "beside")
    start_folder(home / "elsewhere" / "private")
    (home / "link").symlink_to(home / "elsewhere" / "private")
    opened(None)  # forgets what was open
    monkeypatch.setattr(sys, "argv", ["app.py", str(small), *(["--lan"] if is_shared else [])])
    page = AppTest.from_file(str(APP), default_timeout=60).run()
    for path in (home / "elsewhere" / "private", small / ".." / "elsewhere" / "private", Path("/"), Path("\0")):
        _chosen(page, str(path))
        assert "9 pieces counted" in said(page), path
    assert ("link" in page.selectbox(key="start_choice").options) == (not is_shared)
    _chosen(page, str(home / "link"))
    assert ("9 pieces counted" in said(page)) == is_shared
    _chosen(page, str(home / "beside"))
    assert "62 pieces counted" in said(page)


# ---- too much ------------------------------------------------------------------------------------------------


def test_only_so_many_searches_run_at_once_whatever_the_folders(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    st.cache_resource.clear()
    long = [sys.executable, "-c", "import time; time.sleep(600)"]
    monkeypatch.setattr(errand, "command_of", lambda *_: long)
    monkeypatch.setattr(Errand, "_guard", lambda _self, _folder, _process, is_guarded: is_guarded.set())
    folders = [tmp_path / f"closet {number}" for number in range(errand.MOST_AT_ONCE + 2)]
    for folder in folders:
        folder.mkdir()
    try:
        for folder in folders[:-1]:
            look_for_layout(folder, 0)
        assert [SEARCH.runs(folder) for folder in folders] == [True] * errand.MOST_AT_ONCE + [False, False]
        assert SEARCH.failure(folders[-2]) == (
            f"{folders[-2].name}: 4 searches and packets run already for this page; "
            "wait until one has ended, or stop it"
        )
        SEARCH.end(folders[0])
        wait(lambda: not SEARCH.runs(folders[0]))
        look_for_layout(folders[-1], 0)
        assert SEARCH.runs(folders[-1])
    finally:
        for process in errand._processes().values():
            process.kill()
            process.wait()


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux bounds another process")
def test_a_search_is_bounded_in_memory_and_in_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import resource

    st.cache_resource.clear()
    asked: list[list[str]] = []

    def busy(_: str, arguments: list[str]) -> list[str]:
        asked.append(list(arguments))
        return [sys.executable, "-c", "while True: pass"]

    monkeypatch.setattr(errand, "command_of", busy)
    monkeypatch.setattr(Errand, "_guard", lambda _self, _folder, _process, is_guarded: is_guarded.set())
    look_for_layout(tmp_path, 0)
    (process,) = errand._processes().values()
    try:
        assert asked[0][-1] == "3600"  # seconds, where nobody limits it
        assert resource.prlimit(process.pid, resource.RLIMIT_CPU) == (4 * 3600, 4 * 3600)
        assert resource.prlimit(process.pid, resource.RLIMIT_DATA) == (4 * 2**30, 4 * 2**30)
        resource.prlimit(process.pid, resource.RLIMIT_CPU, (1, 1))
        assert process.wait(120) < 0  # ended by the system
    finally:
        process.kill()
        process.wait()


def test_files_in_the_folder_where_it_is_started_are_no_modules(small: Path, tmp_path: Path) -> None:
    """Found by starting it in a folder with a stray `copy.py`: the page did not come up, or ran what lay there."""
    for name in ("streamlit", "capacity", "random", "copy", "pydantic", "sitecustomize"):
        (tmp_path / f"{name}.py").write_text(f"open({str(tmp_path / 'was run')!r}, 'a').write({name!r})\n")
    code = "import sys; from pathlib import Path; from capacity.page.errand import SEARCH, look_for_layout\n"
    code += "from support.page_actions import wait; folder = Path(sys.argv[1]); look_for_layout(folder, 0)\n"
    code += "wait(lambda: not SEARCH.runs(folder)); print(SEARCH.failure(folder))"
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
    done = subprocess.run(
        [sys.executable, "-P", "-c", code, str(small)], cwd=tmp_path, env=env, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert done.stdout.strip() == "", done.stderr
    assert (small / "plan.json").exists()
    server = start_server(small, free_port(), tmp_path)
    end_server(server)
    assert not (tmp_path / "was run").exists()


# ---- many at once --------------------------------------------------------------------------------------------

WINDOWS, TAPS = 6, 4


def test_six_windows_tapping_at_once_lose_no_tap(page: Served) -> None:
    """Half of the taps go to one pile that all tap, half to a pile of each window's own."""
    before = {pile.row: pile.count for pile in read_inventory(page.folder / "inventory.csv", "in").piles}
    faults: list[BaseException] = []

    def tap(number: int) -> None:
        try:
            with opened_window(page.port, "count") as window:
                barrier.wait(120)
                _tap(window, number)
        except BaseException as error:
            faults.append(error)

    barrier = threading.Barrier(WINDOWS)
    threads = [threading.Thread(target=tap, args=(number,)) for number in range(WINDOWS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == []
    wanted = {1: WINDOWS * TAPS} | {2 + number: TAPS for number in range(WINDOWS)}

    def added() -> dict[int, int]:
        now = read_inventory(page.folder / "inventory.csv", "in")
        return {pile.row: pile.count - before[pile.row] for pile in now.piles if pile.count != before[pile.row]}

    wait(lambda: sum(added().values()) >= sum(wanted.values()))
    assert added() == wanted


def _tap(window: Window, number: int) -> None:
    """Tap both piles in turn, each time without waiting for the answer to the one before last."""
    for presses in range(1, TAPS + 1):
        for key in ("tile_1", f"tile_{2 + number}"):
            window.press(key, f"{number} {key}", presses)
            window.hear()
