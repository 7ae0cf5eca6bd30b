"""The dashboard is started on this machine only, says where, and ends with the command."""

import contextlib
import os
import signal
import socket
import subprocess
import sys
import urllib.request

import pytest

from pipelines import serving
from pipelines.errors import ThirdstepError


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


def test_a_port_that_is_taken_is_one_sentence(home):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(ThirdstepError, match=f"Port {port} is taken"):
            serving.serve(home, port, False, print)
