"""What a guess may cost: tries are counted before a pass-phrase is looked at, by name and by address.

Names that do not exist are counted like those that do, so that a wait tells nothing. A stranger's tries stop strangers:
whoever comes from another address has a count of their own, and a browser that this person has signed in with before
is let in with the right pass-phrase whatever others tried.
"""

import datetime as dt
import hashlib
import ipaddress
import secrets
import sqlite3
from dataclasses import dataclass

from pipelines.errors import ThirdstepError

WINDOW_MIN = 15  # minutes that a try counts; this and the counts below are our own choice
PAIR_TRIES = 6  # tries for one name from one address in that time
NAME_TRIES = 30  # for one name from everywhere
ADDRESS_TRIES = 40  # from one address for all names: a club shares one
BROWSER_TRIES = 10  # in a row without a right one, after which a known browser is a stranger again
KNOWN_DAYS = 180  # that a browser stays known after the last sign-in with it

WAIT = f"Too many tries. Wait {WINDOW_MIN} minutes, or sign in where you have signed in before."

TABLES = """
create table if not exists tried (try_no integer primary key, name_sha256 text not null, address text not null,
    at text not null);
create index if not exists tried_by_name on tried (name_sha256);
create index if not exists tried_by_address on tried (address);
create table if not exists known_browser (token_sha256 text not null, name text not null, used_at text not null,
    wrong integer not null default 0, primary key (token_sha256, name));
"""


@dataclass(frozen=True)
class Try:
    """One try that was counted and may now be looked at."""

    name: str
    address: str
    browser: str = ""  # the token of a browser known for this name; "" where it is not
    try_no: int = 0


def sha256(text: str) -> str:
    """Return what is kept of a name that may be nobody's, or of a token."""
    return hashlib.sha256(text.encode()).hexdigest()


def whereabouts(address: str) -> str:
    """Return an address as tries are counted: of IPv6 the network of 64 bits that one household or phone has."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return address[:60]
    if isinstance(found, ipaddress.IPv6Address) and not found.ipv4_mapped:
        return str(ipaddress.ip_network((found, 64), strict=False).network_address)
    return str(getattr(found, "ipv4_mapped", None) or found)


def count(db: sqlite3.Connection, name: str, address: str, browser: str, at: dt.datetime) -> Try:
    """Count a try and return it, in one transaction that no second one can slip into.

    Raises:
        ThirdstepError: There were too many; the sentence is the same for every name.
    """
    db.execute("begin immediate")
    if browser and _is_known(db, name, browser, at):
        return Try(name, whereabouts(address), browser)
    since = (at - dt.timedelta(minutes=WINDOW_MIN)).isoformat()
    db.execute("delete from tried where at < ?", (since,))
    key, place = sha256(name), whereabouts(address)
    for condition, values, most in (
        ("name_sha256 = ? and address = ?", (key, place), PAIR_TRIES),
        ("name_sha256 = ?", (key,), NAME_TRIES),
        ("address = ? and address <> ''", (place,), ADDRESS_TRIES),
    ):
        if db.execute("select count(*) from tried where " + condition, values).fetchone()[0] >= most:
            raise ThirdstepError(WAIT)
    told = (key, place, at.isoformat())
    made = db.execute("insert into tried (name_sha256, address, at) values (?, ?, ?)", told).lastrowid
    return Try(name, place, "", made or 0)


def was_right(db: sqlite3.Connection, one: Try, browser: str, at: dt.datetime) -> str:
    """Forget what was tried from here for this name, and return the token by which the browser is known from now on."""
    db.execute("delete from tried where name_sha256 = ? and address = ?", (sha256(one.name), one.address))
    token = browser or secrets.token_urlsafe(32)
    db.execute(
        "insert or replace into known_browser (token_sha256, name, used_at, wrong) values (?, ?, ?, 0)",
        (sha256(token), one.name, at.isoformat()),
    )
    return token


def forget(db: sqlite3.Connection, name: str) -> None:
    """Forget every try and every known browser of a name."""
    db.execute("delete from tried where name_sha256 = ?", (sha256(name),))
    db.execute("delete from known_browser where name = ?", (name,))


def _is_known(db: sqlite3.Connection, name: str, browser: str, at: dt.datetime) -> bool:
    """Count a try of a known browser for itself; return whether it is one still."""
    since = (at - dt.timedelta(days=KNOWN_DAYS)).isoformat()
    db.execute("delete from known_browser where used_at < ? or wrong >= ?", (since, BROWSER_TRIES))
    where = (sha256(browser), name)
    return (
        db.execute("update known_browser set wrong = wrong + 1 where token_sha256 = ? and name = ?", where).rowcount
        == 1
    )
