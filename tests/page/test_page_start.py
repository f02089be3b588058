"""Start and how the page is served: folders made, opened and copied; on this machine only, or for a network."""

from __future__ import annotations

import re
import shutil
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest
from support.opened_pages import APP, Open, fitted, said, turn_to
from support.page_actions import say, wait

from capacity.makeover.new_folder import make_empty
from capacity.makeover.samples import start_folder
from capacity.page.server import serving
from capacity.page.start import EMPTY


def test_a_folder_is_made_opened_and_found_again_after_a_reload(opened: Open, tmp_path: Path) -> None:
    page = opened(None)
    page.selectbox(key="start_sample").set_value("six-foot-reach-in")
    page.text_input(key="start_name").set_value("ours")
    page.button(key="FormSubmitter:make_form-Make it").click().run()
    assert "62 pieces counted, no layout for it yet" in said(page)
    assert (tmp_path / "ours" / "closet.toml").exists()
    page.text_input(key="start_name").set_value("ours")
    page.button(key="FormSubmitter:make_form-Make it").click().run()
    assert "nothing is overwritten" in said(page)
    for path in ("not there", "~nobody-of-that-name/x", "x" * 5000):
        page.text_input(key="start_path").set_value(path)
        page.button(key="FormSubmitter:open_form-Open folder").click().run()
        assert not page.exception
        assert "There is no folder" in said(page)
    for name in ("x" * 300, "../x", ""):
        page.text_input(key="start_name").set_value(name)
        page.button(key="FormSubmitter:make_form-Make it").click().run()
        assert not page.exception
        assert "name of the folder: " in said(page)
    assert [path.name for path in tmp_path.iterdir()] == ["ours"]


def test_a_window_keeps_its_folder_whatever_another_opens(opened: Open, small: Path) -> None:
    other = small.parent / "other"
    shutil.copytree(small, other)
    (other / "inventory.csv").write_text("what,count\njeans,3\n")
    mine, theirs = opened(small), opened(small)
    theirs.text_input(key="start_path").set_value(str(other))
    theirs.button(key="FormSubmitter:open_form-Open folder").click().run()
    assert "3 pieces counted" in said(theirs)
    assert "9 pieces counted" in said(mine.run())
    assert "9 pieces counted" in said(opened(small))  # a third window


def test_an_address_holds_a_code_and_finds_its_folder_again(opened: Open, small: Path) -> None:
    other = small.parent / "other"
    shutil.copytree(small, other)
    (other / "inventory.csv").write_text("what,count\njeans,3\n")
    page = opened(other)
    code = page.query_params["closet"]
    assert "other" not in code
    assert re.fullmatch("[0-9a-f]{12}", code)
    again = AppTest.from_file(str(APP), default_timeout=60)
    again.query_params["closet"] = code
    assert "3 pieces counted" in said(again.run())
    again = AppTest.from_file(str(APP), default_timeout=60)
    again.query_params["closet"] = "no such code"
    assert "3 pieces counted" in said(again.run())  # the folder of the command line


@pytest.mark.parametrize("step", ["", "count", "closet", "fit", "compare", "build"])
def test_the_name_of_the_closet_stands_over_every_page(opened: Open, small: Path, step: str) -> None:
    path = small / "closet.toml"
    path.write_text('name = "Upstairs, left"\n' + path.read_text())
    assert opened(small, step).caption[0].value.replace("\\", "") == "Upstairs, left"


@pytest.mark.parametrize("step", ["", "count", "closet", "fit", "compare", "build"])
def test_a_new_folder_is_no_fault(opened: Open, tmp_path: Path, step: str) -> None:
    folder = make_empty(tmp_path, "ours")
    page = opened(folder, step)
    assert not page.error
    assert not page.warning
    (folder / "closet.toml").write_text("ceiling = 96\n")
    assert not opened(folder, step).error


def test_start_says_what_comes_first(opened: Open, small: Path) -> None:
    empty = make_empty(small.parent, "ours")
    assert "First count what comes out of the closet." in said(opened(empty))
    assert "All is there for a layout." in said(opened(small))
    (small / "closet.toml").unlink()
    assert "Next, measure the walls" in said(opened(small))


def test_an_empty_folder_says_what_is_missing_and_takes_its_first_pile(opened: Open, tmp_path: Path) -> None:
    page = opened(None)
    assert page.selectbox(key="start_sample").value == EMPTY  # one's own closet comes first
    page.text_input(key="start_name").set_value("ours")
    page.button(key="FormSubmitter:make_form-Make it").click().run()
    words = said(page)
    assert "ours: nothing counted yet, no layout for it yet." in words
    for line in ("**Counted:** not yet", "**Measured:** not yet", "**Fitted:** not yet", "**Built:** not yet"):
        assert line in words
    turn_to(page, "count")
    assert page.header[0].value == "Nothing is counted yet: tap what comes out of the closet."
    page.selectbox(key="add_kind").set_value("jeans").run()
    page.number_input(key="add_count").set_value(3)
    page.button(key="add_pile").click().run()
    assert not page.exception
    assert (tmp_path / "ours" / "inventory.csv").read_text() == "what,count,size,owner,use,label\njeans,3,,,,\n"
    assert "3 pieces counted" in page.header[0].value


def test_a_variant_is_copied_and_opened_and_leaves_the_first_as_it_was(opened: Open, small: Path) -> None:
    fitted(small)
    before = {path.name: path.read_bytes() for path in small.iterdir() if path.is_file()}
    page = opened(small)
    page.text_input(key="start_copy").set_value("../elsewhere")
    page.button(key="FormSubmitter:copy_form-Copy it").click().run()
    assert "name of the folder: has /" in said(page)
    page.text_input(key="start_copy").set_value("with drawers")
    page.button(key="FormSubmitter:copy_form-Copy it").click().run()
    assert not page.exception
    made = small.parent / "with drawers"
    assert str(made) in said(page)
    assert "9 pieces counted, a layout found" in said(page)
    assert {path.name: path.read_bytes() for path in made.iterdir() if path.is_file()} == before
    say(turn_to(page, "count"), 1, 1)
    assert {path.name: path.read_bytes() for path in small.iterdir() if path.is_file()} == before


def test_a_shared_page_opens_only_folders_beside_its_own(
    opened: Open, small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = small.parent / "other"
    start_folder(other)
    monkeypatch.chdir("/")
    monkeypatch.setattr(sys, "argv", ["app.py", str(small), "--lan"])
    page = AppTest.from_file(str(APP), default_timeout=60).run()
    assert not page.exception
    assert [field.key for field in page.text_input] == ["start_name", "start_copy"]
    assert "only folders beside the one it was started with" in said(page)
    assert page.selectbox(key="start_choice").options == ["other", "small"]


def test_the_page_is_served_on_loopback_and_the_folder_is_no_address() -> None:
    command = serving.command(Path("/some/folder"), 8600)
    assert command[-2:] == ["--", "/some/folder"]
    assert {"--server.address=127.0.0.1", "--browser.gatherUsageStats=false", "--server.port=8600"} <= set(command)
    assert Path(command[command.index("run") + 1]).is_file()
    text = (APP.parent / ".streamlit" / "config.toml").read_text()
    for name in ("gatherUsageStats = false", 'address = "127.0.0.1"', 'serverAddress = "127.0.0.1"'):
        assert name in text


def test_a_page_for_the_network_listens_there_and_answers_to_its_own_names_only() -> None:
    command = serving.command(Path("/some/folder"), 8600, "192.0.2.7")
    assert command[-3:] == ["--", "/some/folder", "--lan"]
    wanted = {
        "--server.address=0.0.0.0", "--browser.serverAddress=192.0.2.7", "--server.allowedHosts=192.0.2.7",
        "--server.enableCORS=true", "--server.enableXsrfProtection=true", "--browser.gatherUsageStats=false",
        "--server.maxUploadSize=2",
    }  # fmt: skip
    assert wanted <= set(command)
    alone = serving.command(Path("/some/folder"), 8600)
    assert {option for option in alone if "allowedHosts" in option or "ddress" in option} == {
        "--server.address=127.0.0.1", "--browser.serverAddress=127.0.0.1",
        "--server.allowedHosts=127.0.0.1", "--server.allowedHosts=localhost",
    }  # fmt: skip


def test_a_page_for_the_network_says_who_can_see_it(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], small: Path
) -> None:
    monkeypatch.setattr(serving, "network_address", lambda: "192.0.2.7")
    monkeypatch.setattr(serving, "command", lambda *given: [sys.executable, "-c", f"print({given[2]!r})"])
    with socket.socket() as trial:
        trial.bind((serving.HOST, 0))
        port = trial.getsockname()[1]
    assert serving.serve(small, port, opens_browser=False, lan=True) == 0
    said = capfd.readouterr().out
    code = re.search(rf"or type http://192\.0\.2\.7:{port}/\?pair=(\S+)\n", said)
    assert code is not None
    assert len(code[1]) >= 12
    assert f"On this machine it is at http://127.0.0.1:{port}/?pair={code[1]}" in said
    assert "Whoever has this code can see and change the folder" in said
    assert "no encryption" in said


def test_no_network_or_no_folder_to_share_is_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], small: Path
) -> None:
    from capacity.__main__ import main

    assert main(["page", "--lan"]) == 2
    monkeypatch.setattr(serving, "BEYOND", ("127.0.0.1", 9))
    assert main(["page", str(small), "--lan"]) == 2
    assert capsys.readouterr().err.splitlines() == [
        "--lan: name the folder to be shared: capacity page my-closet --lan",
        "--lan: this machine has no address in a network; connect it, or leave --lan away",
    ]


def test_the_command_serves_the_page_and_takes_it_along_when_it_ends(small: Path) -> None:
    with socket.socket() as trial:
        trial.bind((serving.HOST, 0))
        port = trial.getsockname()[1]
    command = [sys.executable, "-m", "capacity", "page", str(small), "--port", str(port), "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as process:
        wait(lambda: _answers(port))
        process.send_signal(signal.SIGTERM)
        said, _ = process.communicate()
    assert process.returncode == 130
    assert said == f"The page is at http://127.0.0.1:{port} on this machine only; Ctrl-C ends it.\n"
    wait(lambda: not _answers(port))


def _answers(port: int) -> bool:
    with socket.socket() as trial:
        return trial.connect_ex((serving.HOST, port)) == 0


def test_a_port_that_is_taken_is_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    from capacity.__main__ import main

    assert main(["page", "--port", "99999", "--no-browser"]) == 2
    assert capsys.readouterr().err.splitlines() == [
        "--port: port 99999 cannot be listened on; choose another with --port N"
    ]


def test_a_window_keeps_its_folder_when_another_opens_another(opened: Open, small: Path) -> None:
    start_folder(small.parent / "other")
    first, second = opened(small), opened(small)
    second.text_input(key="start_path").set_value(str(small.parent / "other"))
    second.button(key="FormSubmitter:open_form-Open folder").click().run()
    assert "62 pieces counted" in said(second)
    assert "9 pieces counted" in said(first.run())
