"""The certificate with which the dashboard speaks HTTPS on a club's own network, made on this machine.

Two files of the home's ``network`` folder belong together: an authority, which a phone may be told to trust once, and
a certificate for the address in use, signed by it. The authority may vouch for private addresses alone (RFC 5280, name
constraints), so a phone that trusts it trusts nothing else more than before. Keys never leave the folder.
"""

import datetime as dt
import ipaddress
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from pipelines.home.durable import make_folder, move_durably, write_durably

FOLDER = "network"
AUTHORITY, AUTHORITY_KEY = "authority.pem", "authority-key.pem"
CERTIFICATE, KEY = "certificate.pem", "certificate-key.pem"
AUTHORITY_DAYS = 3650
CERTIFICATE_DAYS = 397  # the longest that browsers take from any authority (CA/Browser Forum baseline requirements)
RENEWED_DAYS = 30  # days before its end in which a certificate is made anew
# What an address of a network of one's own may be: RFC 1918 and RFC 4193; and this machine itself.
OWN_NETWORKS = ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "fc00::/7")
LOOPBACKS = ("127.0.0.0/8", "::1/128")


@dataclass(frozen=True)
class Certificate:
    """The files a server speaks HTTPS with, and what a person compares on the phone."""

    certificate: Path
    key: Path
    authority: Path
    fingerprint: str  # SHA-256 of the authority, in pairs of hexadecimal digits


def certificate_for(root: Path, address: str, today: dt.date) -> Certificate:
    """Return a certificate for an address of the own network; it is made where there is none that serves.

    Args:
        root: The home folder.
        address: An IP address, of a network of one's own or of this machine.
        today: The day it has to be good on.

    Raises:
        ValueError: The address is no IP address.
    """
    ip = ipaddress.ip_address(address)
    folder = root / FOLDER
    make_folder(folder)
    authority, authority_key = _authority(folder, today)
    files = folder / CERTIFICATE, folder / KEY
    if not _serves(*files, authority, ip, today):
        key = ec.generate_private_key(ec.SECP256R1())
        made = _sign(_server_of(ip, key, authority, today), authority_key)
        _write_key(files[1], key)
        write_durably(files[0], made.public_bytes(serialization.Encoding.PEM))
    return Certificate(*files, folder / AUTHORITY, authority.fingerprint(hashes.SHA256()).hex(":").upper())


def _authority(folder: Path, today: dt.date) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    """Return the home's authority and its key, made where there is none that lasts."""
    at, key_at = folder / AUTHORITY, folder / AUTHORITY_KEY
    try:
        known = x509.load_pem_x509_certificate(at.read_bytes())
        key = serialization.load_pem_private_key(key_at.read_bytes(), password=None)
        if isinstance(key, ec.EllipticCurvePrivateKey) and _lasts(known, today) and _is_of(known, key):
            return known, key
    except (OSError, ValueError):
        pass  # none yet, or one half of it is lost: both are made anew
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "thirdstep on this network")])
    permitted: list[x509.GeneralName] = [x509.DNSName("localhost")]  # no other host name
    permitted += [x509.IPAddress(ipaddress.ip_network(part)) for part in (*OWN_NETWORKS, *LOOPBACKS)]
    made = _sign(
        _begun(name, name, key.public_key(), today, AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .add_extension(_usage(signs_others=True), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False),
        key,
    )
    _write_key(key_at, key)
    write_durably(at, made.public_bytes(serialization.Encoding.PEM))
    return made, key


def _server_of(
    ip: ipaddress.IPv4Address | ipaddress.IPv6Address,
    key: ec.EllipticCurvePrivateKey,
    authority: x509.Certificate,
    today: dt.date,
) -> x509.CertificateBuilder:
    # The name is no address: where it looks like one, some hold it against the authority's constraints on host names.
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "thirdstep dashboard")])
    issuer_key = authority.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    return (
        _begun(name, authority.subject, key.public_key(), today, CERTIFICATE_DAYS)
        .add_extension(x509.SubjectAlternativeName([x509.IPAddress(ip)]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_others=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(issuer_key), critical=False)
    )


def _begun(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePublicKey, today: dt.date, days: int
) -> x509.CertificateBuilder:
    # A day early: a phone's clock may be behind this machine's.
    begins = dt.datetime.combine(today, dt.time(), dt.UTC) - dt.timedelta(days=1)
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(begins)
        .not_valid_after(begins + dt.timedelta(days=days))
    )


def _usage(*, signs_others: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_others, key_cert_sign=signs_others, crl_sign=signs_others,
        content_commitment=False, key_encipherment=False, data_encipherment=False, key_agreement=False,
        encipher_only=False, decipher_only=False,
    )  # fmt: skip


def _sign(what: x509.CertificateBuilder, key: ec.EllipticCurvePrivateKey) -> x509.Certificate:
    return what.sign(key, hashes.SHA256())


def _serves(
    at: Path,
    key_at: Path,
    authority: x509.Certificate,
    ip: ipaddress.IPv4Address | ipaddress.IPv6Address,
    today: dt.date,
) -> bool:
    """Return whether the certificate there is of this address and authority, has its key, and lasts."""
    try:
        known = x509.load_pem_x509_certificate(at.read_bytes())
        key = serialization.load_pem_private_key(key_at.read_bytes(), password=None)
        known.verify_directly_issued_by(authority)
        names = known.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except Exception:  # whatever is wrong with it, another one is made
        return False
    is_of = isinstance(key, ec.EllipticCurvePrivateKey) and _is_of(known, key)
    return is_of and _lasts(known, today) and ip in names.get_values_for_type(x509.IPAddress)


def _lasts(known: x509.Certificate, today: dt.date) -> bool:
    return (known.not_valid_after_utc.date() - today).days > RENEWED_DAYS


def _is_of(known: x509.Certificate, key: ec.EllipticCurvePrivateKey) -> bool:
    return known.public_key() == key.public_key()


def _write_key(at: Path, key: ec.EllipticCurvePrivateKey) -> None:
    """Write a key that its owner alone can read, from its first byte on."""
    content = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    aside = at.with_suffix(".part")
    aside.unlink(missing_ok=True)
    aside.touch(mode=0o600)
    aside.write_bytes(content)
    move_durably(aside, at)
