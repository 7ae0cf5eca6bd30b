"""The dashboard is started on this machine only, says where, and ends with the command."""

import contextlib
import http.client
import os
import signal
import socket
import subprocess
import sys
import urllib.request

import pytest

from dashboard.access.cookies import SIGN_IN, cookie_name
from pipelines import flow
from pipelines.errors import ThirdstepError
from pipelines.outputs import server as serving


def test_an_empty_home_opens_and_ctrl_c_ends_everything(home):
    command = [sys.executable, "-m", "pipelines.cli", "--home", str(home.root), "open", "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, start_new_session=True) as child:
        try:
            assert child.stdout is not None
            told = child.stdout.readline()
            assert told.startswith("The dashboard is open at http://127.0.0.1:")
            address = told.split()[5]
            with urllib.request.build_opener(urllib.request.ProxyHandler({})).open(f"{address}/_stcore/health") as up:
                assert up.status == 200
            os.kill(child.pid, signal.SIGINT)
            assert child.wait(timeout=60) == 0
        finally:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(child.pid, signal.SIGKILL)
    with socket.socket() as probe, pytest.raises(ConnectionRefusedError):
        probe.connect(("127.0.0.1", int(address.rsplit(":", 1)[1])))


@contextlib.contextmanager
def opened(home, *options):
    """Open the dashboard and give its address; end it after."""
    command = [sys.executable, "-m", "pipelines.cli", "--home", str(home.root), "open", "--no-browser", *options]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, start_new_session=True) as child:
        try:
            assert child.stdout is not None
            yield child.stdout.readline().split()[5]
        finally:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(child.pid, signal.SIGKILL)


def test_a_page_is_drawn_under_the_public_names_and_under_no_other(home):
    (home.root).mkdir()
    (home.root / "openid.toml").write_text(
        'issuer = "https://login.club.example"\nclient_id = "thirdstep"\n'
        'public_address = "https://sign.club.example"\n',
        encoding="utf-8",
    )
    accounts = flow.accounts(home)
    accounts.add("coach", "head_coach", "a phrase of four words")
    cookie = f"{cookie_name(SIGN_IN, home.root, is_https=True)}={accounts.sign_in('coach', 'a phrase of four words')}"

    def status(address, host):
        to = http.client.HTTPConnection(address.removeprefix("http://"), timeout=30)
        to.request("GET", "/_stcore/stream", headers={
            "host": host, "origin": f"https://{host}", "x-forwarded-proto": "https", "cookie": cookie,
            "upgrade": "websocket",
            "connection": "Upgrade",
            "sec-websocket-version": "13", "sec-websocket-key": "dGhlIHNhbXBsZSBub25jZQ==",
        })  # fmt: skip
        return to.getresponse().status

    os.environ["THIRDSTEP_OPENID_SECRET"] = "invented"
    try:
        with opened(home, "--public-name", "Squad.club.example") as address:
            names = ["squad.club.example", "sign.club.example", address.removeprefix("http://"), "other.example"]
            assert [status(address, name) for name in names] == [101, 101, 101, 403]
    finally:
        del os.environ["THIRDSTEP_OPENID_SECRET"]


@pytest.mark.parametrize("name", ["https://squad.club.example", "squad club", "*", "-a.example", "a..b", "x" * 300, ""])
def test_what_is_no_host_name_is_refused(home, name):
    with pytest.raises(ThirdstepError, match="is no host name"):
        serving.serve(home, None, False, print, [name])


def test_a_port_that_is_taken_is_one_sentence(home):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(ThirdstepError, match=f"Port {port} is taken"):
            serving.serve(home, port, False, print)
