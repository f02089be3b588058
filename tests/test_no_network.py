"""Nothing goes out: every command works where no socket can be made, and imports nothing that would make one."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

RUN = """
import sys

def refuse(event, arguments):
    if event in ("socket.connect", "socket.bind", "socket.getaddrinfo", "socket.gethostbyname", "socket.sendto"):
        raise RuntimeError(f"{event} {arguments}")

sys.addaudithook(refuse)
{more}
from capacity.__main__ import main

folder = sys.argv[1]
codes = [main(["start", folder])]
(closet := __import__("pathlib").Path(folder, "closet.toml")).write_text(
    "ceiling = 96\\ntop = 84\\n[[wall]]\\nname = 'back'\\nwidth = 38.5\\ndepth = 15\\n"
)
__import__("pathlib").Path(folder, "inventory.csv").write_text("what,count\\nsneakers,4\\nshirt,5\\n")
for command in ("count", "fit", "compare", "check", "build"):
    codes.append(main([command, folder]))
print("codes", codes, file=sys.stderr)
"""


def _ran(folder: Path, more: str = "", before: tuple[str, ...] = ()) -> subprocess.CompletedProcess[str]:
    code = RUN.replace("{more}", more)
    return subprocess.run(
        [*before, sys.executable, "-c", code, str(folder)], capture_output=True, text=True, timeout=300, check=False
    )


def test_every_command_works_where_no_socket_can_be_made(tmp_path: Path) -> None:
    done = _ran(tmp_path / "closet")
    assert "codes [0, 0, 0, 0, " in done.stderr, done.stderr
    assert done.returncode == 0
    assert (tmp_path / "closet" / "build" / "packet.pdf").read_bytes().startswith(b"%PDF")


def test_a_socket_would_be_seen(tmp_path: Path) -> None:
    more = "import socket; socket.create_connection(('127.0.0.1', 9), 1)"
    done = _ran(tmp_path / "closet", more)
    assert "RuntimeError: socket." in done.stderr
    assert done.returncode != 0


def test_every_command_works_without_any_network_device(tmp_path: Path) -> None:
    """What is not written in Python either: in a name space of its own there is no network at all."""
    inside = ("unshare", "--map-root-user", "--net")
    if shutil.which("unshare") is None or subprocess.run([*inside, "true"], check=False).returncode:
        pytest.skip("no network name space can be made here")
    done = _ran(tmp_path / "closet", before=inside)
    assert "codes [0, 0, 0, 0, " in done.stderr, done.stderr
