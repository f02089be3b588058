"""Start the page: on this machine only or for its network, with the options by which nothing leaves it."""

from __future__ import annotations

import os
import secrets
import signal
import socket
import subprocess
import threading
import time
import urllib.error
import urllib.request
import webbrowser
from pathlib import Path
from types import FrameType

from capacity.errors import Fault, InputError
from capacity.page.server.gate import CODE_IN, HOSTS_IN, OWN_HOSTS, PAIR
from capacity.page.server.own_python import command_of, environment

HOST = "127.0.0.1"
EVERY_ADDRESS = "0.0.0.0"
BEYOND = ("198.51.100.1", 9)
"""An address that nobody has (RFC 5737, TEST-NET-2), by which the system is asked for the way out of this machine."""
FIRST_PORT, PORTS = 8501, 100
INTERRUPTED = 130
OPTIONS = {
    "server.address": HOST,
    "server.headless": "true",
    "server.showEmailPrompt": "false",
    "server.fileWatcherType": "none",
    "server.maxUploadSize": "2",
    "server.enableCORS": "true",
    "server.enableXsrfProtection": "true",
    "server.enableAgentApi": "false",
    "browser.serverAddress": HOST,
    "browser.gatherUsageStats": "false",
    "client.toolbarMode": "minimal",
    "client.showErrorLinks": "false",
    "client.showErrorDetails": "none",
    "client.disableDataExport": "true",
    "logger.level": "warning",
    "theme.light.primaryColor": "#005A8C",
    "theme.dark.primaryColor": "#005A8C",
}
"""Options given on the command line, where they win over any options file that a person has."""


def command(folder: Path | None, port: int, network_address: str | None = None) -> list[str]:
    """The command that runs the page; the folder stands after `--`, never in an address.

    Parameters
    ----------
    folder, port
        What to open, and where to listen.
    network_address
        This machine's address in its network, when the page is to be reached from there; None for this machine only.
    """
    script = Path(__file__).with_name("script.py")
    chosen = {**OPTIONS, "server.port": str(port)}
    hosts = [HOST, "localhost"]  # another name for us, given by somebody else's name server, is refused
    if network_address is not None:
        # without an address of its own to name, the server would ask outside for one
        chosen |= {"server.address": EVERY_ADDRESS, "browser.serverAddress": network_address}
        hosts.append(network_address)
    options = [f"--{name}={value}" for name, value in chosen.items()]
    options += [f"--server.allowedHosts={host}" for host in hosts]
    arguments = [str(folder)] if folder else []
    if network_address is not None:
        arguments.append("--lan")
    return command_of("capacity.page.server.shut_in", ["run", str(script), *options, "--", *arguments])


def gate(network_address: str | None, code: str) -> dict[str, str]:
    """What the server's process is told of who may reach it: the names that are ours, and the pairing code."""
    return {HOSTS_IN: " ".join([OWN_HOSTS, *([network_address] if network_address is not None else [])]), CODE_IN: code}


def _show_pairing(address: str) -> None:
    """A code to scan, and the address that it means, for a terminal that cannot show it."""
    import segno

    print("On a phone in the same network, scan this:\n")
    segno.make(address, micro=False).terminal(compact=True)
    print(
        f"\nor type {address}\n\n"
        "Whoever has this code can see and change the folder and those beside it until Ctrl-C ends the page. There is\n"
        "no encryption: use it in a network at home.",
        flush=True,
    )


def network_address() -> str:
    """The address of this machine in its network, as another machine there would type it; nothing is sent to find it.

    Raises
    ------
    InputError
        When the machine is in no network.
    """
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.connect(BEYOND)  # only chooses a way: a datagram socket sends nothing until it is told to
            address: str = probe.getsockname()[0]
    except OSError:
        address = HOST
    if address in (HOST, EVERY_ADDRESS):
        problem = "this machine has no address in a network; connect it, or leave --lan away"
        raise InputError([Fault("--lan", "", problem)])
    return address


def serve(folder: Path | None, port: int | None, opens_browser: bool, lan: bool = False) -> int:
    """Run the page until it is interrupted; returns the exit code.

    Parameters
    ----------
    folder, port
        What to open, and where to listen; None for none and for the first free port.
    opens_browser
        Whether a browser is opened on this machine.
    lan
        Whether other machines in the network may open the page too.

    Raises
    ------
    InputError
        When no port can be listened on, there is no network, or no folder to be shared is named.
    """
    if lan and folder is None:
        raise InputError([Fault("--lan", "", "name the folder to be shared: capacity page my-closet --lan")])
    reached_at = network_address() if lan else None
    chosen = _free_port(port, EVERY_ADDRESS if lan else HOST)
    address = f"http://{HOST}:{chosen}"
    code = secrets.token_urlsafe(9) if lan else ""
    process = subprocess.Popen(
        command(folder.absolute() if folder else None, chosen, reached_at),
        stdout=subprocess.DEVNULL,
        env=environment() | gate(reached_at, code),
    )
    if reached_at is None:
        print(f"The page is at {address} on this machine only; Ctrl-C ends it.", flush=True)
    else:
        _show_pairing(f"http://{reached_at}:{chosen}/?{PAIR}={code}")
        address = f"{address}/?{PAIR}={code}"
        print(f"On this machine it is at {address}", flush=True)
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


def _free_port(wanted: int | None, host: str) -> int:
    for port in [wanted] if wanted is not None else range(FIRST_PORT, FIRST_PORT + PORTS):
        try:
            with socket.socket() as trial:
                if os.name == "posix":  # elsewhere this would take a port that is in use
                    trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
                trial.bind((host, port))
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
            urllib.request.urlopen(address, timeout=1).close()
        except urllib.error.HTTPError:  # it answers: this program has no cookie
            pass
        except (urllib.error.URLError, OSError):
            time.sleep(0.1)
            continue
        webbrowser.open(address)
        return
