"""Where the dashboard can be reached on the club's own network: this machine's addresses, and one of them as a square
to scan.
"""

import contextlib
import datetime as dt
import io
import ipaddress
import socket
from urllib.parse import urlsplit

import segno

from pipelines.errors import ThirdstepError
from pipelines.home.certificate import OWN_NETWORKS, Certificate, certificate_for
from pipelines.home.folder import Home, Say
from pipelines.home.trouble import plain_words

# Documentation addresses, which no network routes (RFC 5737, RFC 3849): asking which way they lie sends nothing.
_ELSEWHERE = ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1"))


def own_addresses() -> list[str]:
    """Return this machine's addresses on networks of its own, the one it reaches others by first."""
    found = []
    for family, elsewhere in _ELSEWHERE:
        try:
            with socket.socket(family, socket.SOCK_DGRAM) as asked:
                asked.connect((elsewhere, 9))
                found.append(str(asked.getsockname()[0]))
        except OSError:
            continue
    with contextlib.suppress(OSError):
        found += [str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None)]
    return [one for one in dict.fromkeys(found) if is_own_network(one)]


def is_own_network(address: str) -> bool:
    """Return whether an address is of a network of one's own: no loopback, nothing that the internet could reach."""
    try:
        ip = ipaddress.ip_address(address)
    except ValueError:
        return False
    return any(ip in ipaddress.ip_network(part) for part in OWN_NETWORKS)


def chosen_address(wanted: str | None) -> str:
    """Return the address to listen on: the wanted one, or the first of this machine's own.

    Raises:
        ThirdstepError: There is none, or the wanted one is not this machine's or can be reached from the internet.
    """
    there = own_addresses()
    if wanted:
        if not is_own_network(wanted):
            raise ThirdstepError(
                f"{wanted} is no address of a network of your own. From elsewhere, put a web server in front: README."
            )
        return wanted
    if not there:
        raise ThirdstepError(
            "This machine is on no network of its own. Join the club's network, or give the address: --address ADDRESS."
        )
    return there[0]


def listen_on(home: Home, wanted: str | None, announce: Say, guide: Say) -> tuple[str, Certificate, Say]:
    """Return where to listen on the club's own network, with which certificate, and how the link is announced there.

    ``guide`` is told how a phone gets to the link and what it must compare before it trusts it.
    """
    here = chosen_address(wanted)
    with plain_words(home.root):
        certificate = certificate_for(home.root, here, dt.datetime.now().date())

    def announce_all(link: str) -> None:
        announce(link)
        guide(square(link))
        guide(
            f"A phone on the same network scans this or types {link}\n"
            "It warns once, because the certificate was made on this machine. To trust it for good, open "
            f"{link}/certificate on the phone, and install it only where its SHA-256 is\n  {certificate.fingerprint}"
        )

    return here, certificate, announce_all


def as_host(address: str) -> str:
    """Return an address as it stands in a link: an IPv6 address goes in brackets (RFC 3986)."""
    return f"[{address}]" if ":" in address else address


def opens_elsewhere(link: str) -> bool:
    """Return whether a link can be opened on another device: not where its host is this machine itself, or none."""
    host = urlsplit(link).hostname or ""
    try:
        return not ipaddress.ip_address(host).is_loopback
    except ValueError:  # a name
        return host not in ("", "localhost")


def square(link: str) -> str:
    """Return a link as a square of characters that a phone's camera reads off a terminal (ISO/IEC 18004)."""
    out = io.StringIO()
    segno.make(link, error="m", micro=False).terminal(out, compact=True)
    return out.getvalue()


def square_svg(link: str) -> str:
    """Return a link as a drawn square (SVG) for a page."""
    return str(segno.make(link, error="m", micro=False).svg_inline(scale=4, border=4, dark="#1a1a1a", light="#ffffff"))
