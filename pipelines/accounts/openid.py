"""A club's own sign-in (OpenID Connect), where a club has one: what ``openid.toml`` in the home folder says of it.

The client's secret stands in no settings: it is read from the environment or from a file for its owner alone.
"""

import os
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from pipelines.errors import ThirdstepError

SETTINGS_FILE = "openid.toml"
SECRET_FILE = "openid-secret.txt"
SECRET_VARIABLE = "THIRDSTEP_OPENID_SECRET"
BACK = "/openid/back"  # the address that the club's sign-in sends people back to, behind ours
_NEEDED = ("issuer", "client_id", "public_address")
_LOOPBACK = ("127.0.0.1", "localhost", "::1")


@dataclass(frozen=True)
class ClubSignIn:
    """Where people sign in with their club's account, and as what thirdstep is known there."""

    issuer: str
    client_id: str
    public_address: str  # under which people reach the dashboard
    label: str = "your club’s account"
    client_secret: str = field(default="", repr=False)

    @property
    def back(self) -> str:
        """The address that people are sent back to; the club's provider must know it."""
        return self.public_address + BACK


def club_sign_in(home: Path) -> ClubSignIn | None:
    """Return the club's sign-in of a home folder; null where it has none.

    Raises:
        ThirdstepError: The file cannot be read, something is missing in it, or the secret is open to others.
    """
    path = home / SETTINGS_FILE
    try:
        told = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as wrong:
        raise ThirdstepError(f"{SETTINGS_FILE} cannot be read: {wrong}.") from wrong
    unknown = sorted(set(told) - {*_NEEDED, "label"})
    if unknown:
        raise ThirdstepError(f"{SETTINGS_FILE} knows no '{unknown[0]}'. It holds {', '.join(_NEEDED)} and label.")
    for name in _NEEDED:
        if not isinstance(told.get(name), str) or not told[name].strip():
            raise ThirdstepError(f"{SETTINGS_FILE} lacks {name}.")
    for name in ("issuer", "public_address"):
        _must_be_safe(name, told[name])
    return ClubSignIn(
        issuer=told["issuer"].strip(),
        client_id=told["client_id"].strip(),
        public_address=told["public_address"].strip().rstrip("/"),
        label=str(told.get("label") or ClubSignIn.label),
        client_secret=_secret(home),
    )


def public_name(home: Path) -> list[str]:
    """Return the host name of the address that the club's sign-in sends people back to; none where there is no club.

    What is wrong with the file is said where people sign in; the dashboard opens without it.
    """
    try:
        club = club_sign_in(home)
    except ThirdstepError:
        return []
    name = urlsplit(club.public_address).hostname if club else None
    return [name] if name and name not in _LOOPBACK else []


def _must_be_safe(name: str, address: str) -> None:
    parts = urlsplit(address)
    if parts.scheme == "https" or (parts.scheme == "http" and parts.hostname in _LOOPBACK):
        return
    raise ThirdstepError(f"{SETTINGS_FILE}: {name} must begin with https:// (http:// only on this machine).")


def _secret(home: Path) -> str:
    told = os.environ.get(SECRET_VARIABLE, "").strip()
    if told:
        return told
    path = home / SECRET_FILE
    try:
        if os.name == "posix" and path.stat().st_mode & 0o077:
            raise ThirdstepError(f"{SECRET_FILE} can be read by others. Make it yours alone: chmod 600 {SECRET_FILE}.")
        told = path.read_text(encoding="utf-8").strip()
    except OSError:
        told = ""
    if not told:
        raise ThirdstepError(
            f"The secret of the club's sign-in is missing: put it in {SECRET_FILE} in the home folder."
        )
    return told
