"""Start the page on this machine: the options by which nothing leaves it, a free port, and the browser."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
import webbrowser
from pathlib import Path
from types import FrameType

from capacity.errors import Fault, InputError

HOST = "127.0.0.1"
FIRST_PORT, PORTS = 8501, 100
INTERRUPTED = 130
OPTIONS = {
    "server.address": HOST,
    "server.headless": "true",
    "server.showEmailPrompt": "false",
    "server.fileWatcherType": "none",
    "server.maxUploadSize": "2",
    "browser.serverAddress": HOST,
    "browser.gatherUsageStats": "false",
    "client.toolbarMode": "minimal",
    "client.showErrorLinks": "false",
    "client.showErrorDetails": "none",
    "client.disableDataExport": "true",
    "theme.light.primaryColor": "#005A8C",
    "theme.dark.primaryColor": "#005A8C",
}
"""Options given on the command line, where they win over any options file that a person has."""


def command(folder: Path | None, port: int) -> list[str]:
    """The command that runs the page; the folder stands after `--`, never in an address."""
    script = Path(__file__).with_name("app.py")
    options = [f"--{name}={value}" for name, value in {**OPTIONS, "server.port": str(port)}.items()]
    return [sys.executable, "-m", "streamlit", "run", str(script), *options, "--", *([str(folder)] if folder else [])]


def serve(folder: Path | None, port: int | None, opens_browser: bool) -> int:
    """Run the page until it is interrupted; returns the exit code.

    Raises
    ------
    InputError
        When no port can be listened on.
    """
    chosen = _free_port(port)
    address = f"http://{HOST}:{chosen}"
    process = subprocess.Popen(command(folder.absolute() if folder else None, chosen), stdout=subprocess.DEVNULL)
    print(f"The page is at {address} on this machine only; Ctrl-C ends it.", flush=True)
    if opens_browser:
        threading.Thread(target=_open_when_ready, args=(address, process), daemon=True).start()
    # whoever ends this process ends the page with it
    signal.signal(signal.SIGTERM, _interrupted)
    try:
        return process.wait()
    except KeyboardInterrupt:
        return INTERRUPTED
    finally:
        process.terminate()
        process.wait()


def _interrupted(_number: int, _frame: FrameType | None) -> None:
    raise KeyboardInterrupt


def _free_port(wanted: int | None) -> int:
    for port in [wanted] if wanted is not None else range(FIRST_PORT, FIRST_PORT + PORTS):
        try:
            with socket.socket() as trial:
                if os.name == "posix":  # elsewhere this would take a port that is in use
                    trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
                trial.bind((HOST, port))
        except (OSError, OverflowError):
            continue
        return port
    ports = f"port {wanted}" if wanted is not None else f"no port from {FIRST_PORT} to {FIRST_PORT + PORTS - 1}"
    raise InputError([Fault("--port", "", f"{ports} cannot be listened on; choose another with --port N")])


def _open_when_ready(address: str, process: subprocess.Popen[bytes]) -> None:
    for _ in range(300):
        if process.poll() is not None:
            return
        try:
            with urllib.request.urlopen(f"{address}/_stcore/health", timeout=1):
                webbrowser.open(address)
                return
        except (urllib.error.URLError, OSError):
            time.sleep(0.1)
