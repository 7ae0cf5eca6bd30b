"""The dashboard as a child process: started on this machine only, waited for, ended with us."""

import importlib.util
import os
import re
import signal
import socket
import ssl
import subprocess
import sys
import time
import urllib.request
import webbrowser
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import IO, TYPE_CHECKING

from pipelines.errors import ThirdstepError
from pipelines.home.folder import HOME_VARIABLE, Home
from pipelines.home.machine import allow_many_files
from pipelines.home.trouble import plain_words
from pipelines.outputs.network import as_host

if TYPE_CHECKING:
    from pipelines.home.certificate import Certificate

LOOPBACK = "127.0.0.1"
OWN_NAMES = (LOOPBACK, "localhost")
LONGEST_NAME = 253  # characters of a host name, RFC 1035
HOST_NAME = re.compile(r"(?!-)[a-z0-9-]{1,63}(?<!-)(?:\.(?!-)[a-z0-9-]{1,63}(?<!-))*")  # RFC 1123
FIRST_PORT = 8501
LONGEST_LOG_BYTES = 2_000_000  # own choice
PORTS_TRIED = 50
START_WAIT_S = 90.0  # s, a first start imports everything on a slow machine
END_WAIT_S = 5.0  # s between asking the dashboard to end and ending it


def serve(
    home: Home,
    port: int | None,
    open_browser: bool,
    announce: Callable[[str], None],
    public_names: Sequence[str] = (),
    listen_at: str = LOOPBACK,
    certificate: "Certificate | None" = None,
) -> None:
    """Start the dashboard of a home, say its address, and stay until it ends or Ctrl-C is pressed.

    Args:
        home: Whose dashboard.
        port: Where it listens, on the loopback address; null for the first free one.
        open_browser: Whether to open it in a browser too, where there is a screen.
        announce: Is told the address.
        public_names: Host names under which a web server on this machine passes it on.
        listen_at: The address it listens on: this machine alone, or one on a network of its own.
        certificate: What it speaks HTTPS with; without one it speaks HTTP, which only the loopback address may.

    Raises:
        ThirdstepError: The port is taken, a public name is no host name, or the dashboard does not start.
    """
    if certificate is None and listen_at != LOOPBACK:
        raise ThirdstepError("Other machines are answered over HTTPS only.")
    own = OWN_NAMES if listen_at == LOOPBACK else (listen_at,)
    names = [*dict.fromkeys((*own, *map(_host_name, public_names)))]
    port = _free_port(port, listen_at)
    address = f"{'https' if certificate else 'http'}://{as_host(listen_at)}:{port}"
    allow_many_files()
    with _log(home) as said, _ending_on_request():
        before = said.tell()
        child = subprocess.Popen(
            _command(port, names, listen_at, certificate), cwd=_folder().parent,
            env=os.environ | {HOME_VARIABLE: str(home.root)}, stdout=subprocess.DEVNULL, stderr=said,
        )  # fmt: skip
        try:
            if not _is_up(child, address, certificate):
                said.seek(before)
                last = (said.read().strip().splitlines() or ["it said nothing"])[-1]
                raise ThirdstepError(
                    f"The dashboard did not start: {last} All that it said stands in '{home.dashboard_log}'."
                )
            announce(address)
            if open_browser and _has_screen():
                webbrowser.open(address)
            child.wait()
        except KeyboardInterrupt:
            pass
        finally:
            _end(child)


def _log(home: Home) -> IO[str]:
    """Open the dashboard's log to write on; a long one is put aside first, in place of the one before it."""
    path = home.dashboard_log
    with plain_words(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.exists() and path.stat().st_size > LONGEST_LOG_BYTES:
            path.replace(path.with_suffix(".before.log"))
        return path.open("a+", encoding="utf-8", errors="replace")


def _folder() -> Path:
    """Return the dashboard's folder without importing it."""
    spec = importlib.util.find_spec("dashboard")
    if spec is None or not spec.submodule_search_locations:
        raise ThirdstepError("The dashboard is not installed. Install thirdstep again.")
    return Path(next(iter(spec.submodule_search_locations)))


def _host_name(said: str) -> str:
    """Return a public name as a browser sends it. Raises ThirdstepError for what is no host name."""
    name = said.strip().lower()
    if len(name) > LONGEST_NAME or not HOST_NAME.fullmatch(name):
        raise ThirdstepError(f"'{said}' is no host name. Give the name alone, as in --public-name squad.club.example.")
    return name


def _command(
    port: int, names: Sequence[str], listen_at: str = LOOPBACK, certificate: "Certificate | None" = None
) -> list[str]:
    options = {
        "server.address": listen_at, "server.port": str(port), "server.headless": "true",
        "browser.gatherUsageStats": "false",
    }  # fmt: skip
    if certificate:
        options |= {
            "server.sslCertFile": str(certificate.certificate), "server.sslKeyFile": str(certificate.key),
        }  # fmt: skip
    told = [part for name, value in options.items() for part in (f"--{name}", value)]
    told += [part for name in names for part in ("--server.allowedHosts", name)]
    return [sys.executable, "-m", "dashboard.serve", "run", str(_folder() / "run.py"), *told]


def _free_port(wanted: int | None, listen_at: str = LOOPBACK) -> int:
    family = socket.AF_INET6 if ":" in listen_at else socket.AF_INET
    for port in [wanted] if wanted else range(FIRST_PORT, FIRST_PORT + PORTS_TRIED):
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            if os.name == "posix":
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # a port just closed is free
            try:
                probe.bind((listen_at, port))
            except OSError:
                continue
            return port
    if wanted:
        raise ThirdstepError(f"Port {wanted} is taken by another program. Give another one with --port N.")
    raise ThirdstepError("No free port was found. Give one with --port N.")


def _is_up(child: subprocess.Popen[bytes], address: str, certificate: "Certificate | None" = None) -> bool:
    never_a_proxy = urllib.request.ProxyHandler({})  # to ourselves
    known = ssl.create_default_context(cafile=str(certificate.authority)) if certificate else None
    direct = urllib.request.build_opener(never_a_proxy, urllib.request.HTTPSHandler(context=known))
    until = time.monotonic() + START_WAIT_S
    while time.monotonic() < until and child.poll() is None:
        try:
            with direct.open(f"{address}/_stcore/health", timeout=2) as answer:
                if answer.status == 200:
                    return True
        except OSError:
            time.sleep(0.2)
    return False


def _end(child: subprocess.Popen[bytes]) -> None:
    if child.poll() is None:
        child.terminate()
        try:
            child.wait(END_WAIT_S)
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()


def _has_screen() -> bool:
    return sys.platform != "linux" or bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


@contextmanager
def _ending_on_request() -> Iterator[None]:
    """Let Ctrl-C and a request to end (kill, a closed service) both end the dashboard."""

    def stop(_signal: int, _frame: FrameType | None) -> None:
        raise KeyboardInterrupt

    asked = (signal.SIGINT, signal.SIGTERM)
    try:
        before = [signal.signal(one, stop) for one in asked]
    except ValueError:  # not in the main thread
        yield
        return
    try:
        yield
    finally:
        for one, handler in zip(asked, before, strict=True):
            signal.signal(one, handler)
