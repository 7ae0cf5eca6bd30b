"""The dashboard on a club's own network: its certificate, its addresses, and what the gate promises, over HTTPS."""

import datetime as dt
import http.client
import os
import signal
import socket
import ssl
import subprocess
import sys
import threading

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec

from dashboard.access.cookies import SIGN_IN, cookie_name
from pipelines import flow
from pipelines.errors import ThirdstepError
from pipelines.home.certificate import AUTHORITY, FOLDER, certificate_for
from pipelines.outputs import network, server

TODAY = dt.date(2026, 11, 30)


def handshake(made, name: str) -> None:
    """Speak TLS between two ends of this process, the client trusting the authority alone; raise what it refuses."""
    at_server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    at_server.load_cert_chain(made.certificate, made.key)
    at_client = ssl.create_default_context(cafile=str(made.authority))
    near, far = socket.socketpair()
    refused: list[Exception] = []

    def serve() -> None:
        try:
            at_server.wrap_socket(far, server_side=True).close()
        except (ssl.SSLError, OSError) as error:
            refused.append(error)

    other = threading.Thread(target=serve)
    other.start()
    try:
        at_client.wrap_socket(near, server_hostname=name).close()
    finally:
        near.close()
        other.join(10)


def test_a_browser_that_trusts_the_authority_takes_the_certificate_for_its_address_alone(tmp_path):
    today = dt.datetime.now(dt.UTC).date()  # the library holds it against this machine's clock
    made = certificate_for(tmp_path, "192.168.7.20", today)
    handshake(made, "192.168.7.20")
    for other in ("192.168.7.21", "squad.club.example"):
        with pytest.raises(ssl.SSLCertVerificationError):
            handshake(made, other)


def test_what_the_authority_signs_for_the_internet_is_refused(tmp_path):
    # RFC 5280, 4.2.1.10 (Cooper et al. 2008): what lies outside the permitted names is not valid.
    today = dt.datetime.now(dt.UTC).date()
    made = certificate_for(tmp_path, "8.8.4.4", today)
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree"):
        handshake(made, "8.8.4.4")


def test_the_authority_stays_while_addresses_change_and_certificates_run_out(tmp_path):
    first = certificate_for(tmp_path, "10.0.0.5", TODAY)
    certificate = first.certificate.read_bytes()
    assert certificate_for(tmp_path, "10.0.0.5", TODAY) == first
    assert first.certificate.read_bytes() == certificate  # nothing made anew
    moved = certificate_for(tmp_path, "10.0.0.6", TODAY)
    assert moved.fingerprint == first.fingerprint
    assert first.certificate.read_bytes() != certificate
    later = TODAY + dt.timedelta(days=380)  # of 397
    certificate_for(tmp_path, "10.0.0.6", later)
    ends = x509.load_pem_x509_certificate(first.certificate.read_bytes()).not_valid_after_utc.date()
    assert (ends - later).days == 396


@pytest.mark.parametrize("lost", ["authority.pem", "authority-key.pem", "certificate.pem", "certificate-key.pem"])
def test_a_lost_or_damaged_half_is_made_anew(tmp_path, lost):
    certificate_for(tmp_path, "10.0.0.5", dt.datetime.now(dt.UTC).date())
    (tmp_path / FOLDER / lost).write_bytes(b"not a key")
    handshake(certificate_for(tmp_path, "10.0.0.5", dt.datetime.now(dt.UTC).date()), "10.0.0.5")


def test_a_key_of_another_certificate_is_not_used(tmp_path):
    one = certificate_for(tmp_path / "one", "10.0.0.5", TODAY)
    other = certificate_for(tmp_path / "other", "10.0.0.5", TODAY)
    one.key.write_bytes(other.key.read_bytes())
    made = certificate_for(tmp_path / "one", "10.0.0.5", TODAY)
    known = x509.load_pem_x509_certificate(made.certificate.read_bytes())
    assert isinstance(known.public_key(), ec.EllipticCurvePublicKey)
    assert made.key.read_bytes() != other.key.read_bytes()


@pytest.mark.skipif(os.name != "posix", reason="rights of files are POSIX's")
def test_nobody_else_on_the_machine_reads_a_key(tmp_path):
    certificate_for(tmp_path, "10.0.0.5", TODAY)
    rights = {path.name: path.stat().st_mode & 0o077 for path in (tmp_path / FOLDER).glob("*-key.pem")}
    assert rights == {"authority-key.pem": 0, "certificate-key.pem": 0}


@pytest.mark.parametrize(
    ("address", "own"),
    [
        ("192.168.1.4", True), ("10.9.8.7", True), ("172.31.255.1", True), ("fd00::2", True),  # RFC 1918, RFC 4193
        ("172.32.0.1", False), ("8.8.8.8", False), ("127.0.0.1", False), ("0.0.0.0", False), ("::", False),
        ("169.254.1.1", False), ("2001:db8::1", False), ("squad.local", False), ("", False),
    ],
)  # fmt: skip
def test_only_addresses_of_a_network_of_ones_own_are_listened_on(address, own):
    assert network.is_own_network(address) is own
    if address and not own:
        with pytest.raises(ThirdstepError, match="no address of a network of your own"):
            network.chosen_address(address)


def test_a_machine_on_no_network_says_what_to_do(monkeypatch):
    monkeypatch.setattr(network, "own_addresses", list)
    with pytest.raises(ThirdstepError, match=r"on no network of its own.*--address"):
        network.chosen_address(None)


@pytest.mark.parametrize(
    ("link", "elsewhere"),
    [
        ("https://192.168.1.4:8501/join#t", True), ("https://[fd00::2]:8501/join#t", True),
        ("https://squad.club.example/join#t", True), ("http://127.0.0.1:8501/join#t", False),
        ("http://[::1]:8501/join#t", False), ("http://localhost:8501/join#t", False), ("/join#t", False),
    ],
)  # fmt: skip
def test_an_invitation_that_opens_here_alone_is_told(link, elsewhere):
    assert network.opens_elsewhere(link) is elsewhere


def test_the_square_on_the_terminal_is_one_a_camera_reads():
    drawn = network.square("https://192.168.1.4:8501")
    lines = [line for line in drawn.splitlines() if line]
    assert len({len(line) for line in lines}) == 1  # a square of equal lines
    assert set(drawn) <= set("█▀▄ \n")


def test_without_a_certificate_nothing_but_this_machine_is_answered(home):
    with pytest.raises(ThirdstepError, match="over HTTPS only"):
        server.serve(home, None, False, print, listen_at="192.168.1.4")


CHILD = """
import datetime as dt, sys
from pathlib import Path
from pipelines.home.certificate import certificate_for
from pipelines.home.folder import Home
from pipelines.outputs.server import serve
root = Path(sys.argv[1])
made = certificate_for(root, "127.0.0.1", dt.datetime.now(dt.UTC).date())
serve(Home(root), None, False, lambda told: print(told, flush=True), listen_at="127.0.0.1", certificate=made)
"""


def test_everything_the_gate_promises_holds_over_https(home):
    accounts = flow.accounts(home)
    accounts.add("coach", "head_coach", "a phrase of four words")
    token = accounts.sign_in("coach", "a phrase of four words")
    with subprocess.Popen(
        [sys.executable, "-c", CHILD, str(home.root)], stdout=subprocess.PIPE, text=True, start_new_session=True
    ) as child:
        try:
            assert child.stdout is not None
            address = child.stdout.readline().strip()
            assert address.startswith("https://127.0.0.1:")
            host = address.removeprefix("https://")
            known = ssl.create_default_context(cafile=str(home.root / FOLDER / AUTHORITY))

            def ask(path: str, **headers: str) -> http.client.HTTPResponse:
                to = http.client.HTTPSConnection(host, timeout=30, context=known)
                to.request("GET", path, headers=headers)
                return to.getresponse()

            signed_in = {"cookie": f"{cookie_name(SIGN_IN, home.root, is_https=True)}={token}"}
            page = ask("/", accept="text/html")
            assert (page.status, page.getheader("location")) == (303, "/login")
            form = ask("/login")
            assert form.status == 200
            assert "secure" in str(form.getheader("set-cookie")).lower()
            assert form.getheader("strict-transport-security")
            assert ask("/media/anything").status == 401
            whole = ask("/", accept="text/html", **signed_in)
            assert whole.status == 200
            assert b'<link rel="manifest" href="/app.webmanifest">' in whole.read()
            assert ask("/app.webmanifest").getheader("content-type") == "application/manifest+json"
            for size in (180, 192, 512):
                assert ask(f"/app/static/icon-{size}.png").read(8) == b"\x89PNG\r\n\x1a\n"
            handed = ask("/certificate").read()
            assert handed == (home.root / FOLDER / AUTHORITY).read_bytes()
            assert b"PRIVATE" not in handed
            upgrade = {
                "upgrade": "websocket", "connection": "Upgrade", "sec-websocket-version": "13",
                "sec-websocket-key": "dGhlIHNhbXBsZSBub25jZQ==", "origin": address,
            }  # fmt: skip
            assert ask("/_stcore/stream", **upgrade).status == 403
            assert ask("/_stcore/stream", **upgrade, **signed_in).status == 101
            plain = http.client.HTTPConnection(host, timeout=10)
            plain.request("GET", "/login")
            with pytest.raises((http.client.HTTPException, OSError)):
                plain.getresponse()
        finally:
            os.killpg(child.pid, signal.SIGKILL)
